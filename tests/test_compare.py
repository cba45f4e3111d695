"""Two plans side by side: a coach's what-if, of which nothing is written."""

from __future__ import annotations

import json
import re

import pytest
import yaml

from commands import sitegen
from sitegen.coach.compare import with_settings
from test_cli import practice  # noqa: F401, a fixture

AS_OF = ("--as-of", "2027-02-01")


def tree(folder):
    return {p: p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_another_growth_beside_the_plan_as_it_is(practice):  # noqa: F811
    before = tree(practice)
    done = sitegen("compare", "ayla", "--with", "growth: 2 %", *AS_OF, "--json", cwd=practice)
    found = json.loads(done.stdout)
    mine = json.loads(sitegen("weeks", "ayla", *AS_OF, "--json", cwd=practice).stdout)["weeks"]

    assert found["plans"] == ["ayla", "ayla with growth: 2 %"]
    assert found["over"] == 3  # on the first of February
    ahead = [w["run_minutes"] for w in mine[3:]]
    assert [w["run_minutes"][0] for w in found["weeks"]] == ahead
    slower, as_it_is = found["reaches"][1], found["reaches"][0]
    assert 0 < sum(ahead) - as_it_is["all_running"] < 100  # the event itself
    assert slower["largest_week"] < as_it_is["largest_week"]
    assert slower["all_running"] < as_it_is["all_running"]
    assert tree(practice) == before


def test_a_setting_that_is_tried_changes_nothing_of_what_is_over(practice):  # noqa: F811
    """Without a ledger the past would be worked out anew with it, and today's level with that."""

    def level(growth):
        done = sitegen("compare", "ayla", "--with", growth, *AS_OF, "--json", cwd=practice)
        return json.loads(done.stdout)["weeks"][0]["run_minutes"]

    (before, slow), (_, none), (_, fast) = map(
        level, ("growth: 2 %", "growth: 0 %", "growth: 30 %")
    )
    assert none <= slow <= before <= fast <= none * 1.3 + 1
    told = sitegen("compare", "ayla", "--with", "growth: 2 %", *AS_OF, cwd=practice).stdout
    assert "3 weeks are over and are left out" in told


def test_two_clients_and_the_weeks_that_only_one_has(practice):  # noqa: F811
    done = sitegen("compare", "ayla", "bram", *AS_OF, cwd=practice)
    rows = [line for line in done.stdout.splitlines() if line[:4].strip().isdigit()]

    assert done.returncode == 0 and len(rows) == 13  # of sixteen, three are over
    assert "·" in rows[-1] and "·" not in rows[0]
    assert all(len(row) <= 80 for row in rows)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "--with"),
        (("--with", "grow: 3"), '"grow" is no setting that can be set here; did you mean growth?'),
        (("--with", "growth"), "write it like growth: 8 %"),
        (("--with", "growth: [8"), "write it like growth: 8 %"),
        (("--with", "growth: 99 %"), "write 0 to 30 %"),
    ],
)
def test_what_is_no_setting_is_told_with_what_to_write(practice, words, says):  # noqa: F811
    done = sitegen("compare", "ayla", *words, *AS_OF, cwd=practice)

    assert done.returncode == 2 and says in done.stderr and "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "settings",
    [
        ("tue: rest", "long: sat"),
        ("event: {on: 2027-04-11}",),
        ("race: {distance: 10 km, time: 52:30, on: 2027-01-03}",),
        ("aim: 170 spm", "hard: {per_week: 2}"),
        ("status: paused",),
    ],
)
def test_what_can_be_set_is_tried_as_set_writes_it(practice, settings):  # noqa: F811
    """Of a map only the keys that are named change."""
    path = practice / "clients" / "ayla.yaml"
    tried = with_settings(path.read_bytes(), settings)
    done = sitegen("set", "ayla", *settings, "--yes", *AS_OF, cwd=practice)
    assert done.returncode == 0, done.stderr

    assert yaml.load(tried, yaml.BaseLoader) == yaml.load(path.read_bytes(), yaml.BaseLoader)
    words = [word for setting in settings for word in ("--with", setting)]
    assert sitegen("compare", "bram", *words, *AS_OF, cwd=practice).returncode == 0


def test_a_day_of_weeks_in_rotation_is_tried_with_the_whole_of_them(practice):  # noqa: F811
    path = practice / "clients" / "bram.yaml"
    path.write_text(
        re.sub(
            r"^week:\n(  .*\n)+", "week: [{tue: yes}, {sat: yes}]\n", path.read_text(), flags=re.M
        )
    )
    day = sitegen("compare", "bram", "--with", "tue: rest", *AS_OF, cwd=practice)
    assert day.returncode == 2 and "write all of week in place of tue" in day.stderr
    whole = sitegen("compare", "bram", "--with", "week: {thu: yes}", *AS_OF, cwd=practice)
    assert whole.returncode == 0, whole.stderr
