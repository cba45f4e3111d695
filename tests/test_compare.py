"""Two plans side by side: a coach's what-if, of which nothing is written."""

from __future__ import annotations

import json

import pytest

from commands import sitegen
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
        (("--with", "grow: 3"), "grow is no setting of a plan"),
        (("--with", "growth"), "write it like growth: 8 %"),
        (("--with", "growth: [8"), "write it like growth: 8 %"),
        (("--with", "growth: 99 %"), "write 0 to 30 %"),
    ],
)
def test_what_is_no_setting_is_told_with_what_to_write(practice, words, says):  # noqa: F811
    done = sitegen("compare", "ayla", *words, *AS_OF, cwd=practice)

    assert done.returncode == 2 and says in done.stderr and "Traceback" not in done.stderr
