"""What a build says on Sunday: what is new for a client in full, what it told before as a count."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commands import sitegen
from sitegen.model.problem import Origin, Problem
from sitegen.site.news import is_danger, problem_lines, told_before

DAY = ("--as-of", "2027-02-07")
CLIENT = """\
name: Mara Quint
screening: {on: 2027-01-05, regular_exercise: yes, known_disease: no, symptoms: no}
baseline: {on: 2027-01-06, cadence: 158 spm, pace: 6:50 /km, week: 75 min, longest: 32 min, runs: 3}
week:
  tue: {at: 18:15, up_to: 1 h 15 min}
  thu: {at: 18:15, up_to: 1 h 15 min}
  sun: {at: 10:00, up_to: 1 h 30 min}
plan: {from: 2027-01-11, weeks: 12}
history:
  medicines: [blood_pressure, blood_thinner]
"""
PRACTICE = """\
name: Tidewrack Running
coach: Ines
contact: ines@tidewrack.example
timezone: Europe/Lisbon
emergency: "112"
"""
LOG = "".join(f"- {{on: 2027-02-0{day}, ran: 25 min}}\n" for day in (2, 4))
THINNER = "with a blood thinner a fall bleeds more"


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    (tmp_path / "clients").mkdir()
    (tmp_path / "clients/practice.yaml").write_text(PRACTICE)
    (tmp_path / "clients/mara.yaml").write_text(CLIENT)
    (tmp_path / "clients/mara.log.yaml").write_text(LOG)
    return tmp_path


def built(home: Path, *words: str) -> str:
    done = sitegen("build", *words, *DAY, cwd=home)
    assert done.returncode == 0, done.stderr
    return done.stderr


def edit(home: Path, more: str, name: str = "mara.yaml") -> None:
    path = home / "clients" / name
    path.write_text(path.read_text() + more)


def forget(home: Path) -> None:
    for path in (home / ".sitegen-cache").glob("build-*"):
        path.unlink()


def site(home: Path) -> dict[str, bytes]:
    files = (path for path in (home / "public").rglob("*") if path.is_file())
    return {path.relative_to(home).as_posix(): path.read_bytes() for path in files}


def test_what_the_last_build_told_is_counted_and_what_is_new_is_told(practice: Path) -> None:
    assert THINNER in built(practice)
    again = built(practice)
    assert THINNER not in again and "2 more as at the last build: sitegen check lists them" in again
    edit(practice, "fuel: {collagen: 15 g, vitamin_c: 500 mg, asked_on: 2027-01-06}\n")
    after = built(practice)
    assert "[fuel-vitamin-c]" in after and "2 more as at the last build" in after
    assert "[fuel-vitamin-c]" not in built(practice)


def test_a_lost_memory_tells_all_again_and_changes_nothing_else(practice: Path) -> None:
    first, whole = built(practice), site(practice)
    as_json = sitegen("build", "--json", *DAY, cwd=practice)
    forget(practice)
    assert built(practice) == first and site(practice) == whole
    forget(practice)
    lost = sitegen("build", "--json", *DAY, cwd=practice)
    assert json.loads(lost.stdout)["problems"] == json.loads(as_json.stdout)["problems"]
    assert lost.returncode == as_json.returncode == 0


def test_what_only_a_script_was_told_is_news_to_the_coach(practice: Path) -> None:
    sitegen("build", "--json", *DAY, cwd=practice)
    assert THINNER in built(practice)
    assert THINNER not in built(practice)


def test_what_came_and_went_is_new_when_it_comes_again(practice: Path) -> None:
    built(practice)
    path = practice / "clients/mara.yaml"
    path.write_text(CLIENT.replace(", blood_thinner", ""))
    built(practice)
    path.write_text(CLIENT)
    assert THINNER in built(practice)


def test_a_stop_is_told_by_each_build(practice: Path) -> None:
    edit(practice, "- {on: 2027-02-06, signs: [calf_swelling]}\n", "mara.log.yaml")
    for _ in range(2):
        told = built(practice)
        assert "[alarm]" in told and "[stopped-signs]" in told


def test_an_error_is_told_each_time_and_not_buried_by_what_was_told(practice: Path) -> None:
    built(practice)
    (practice / "clients/.keys.yaml").write_text("[")  # then nobody can be built
    for _ in range(2):
        done = sitegen("build", *DAY, cwd=practice)
        assert done.returncode == 1 and "error" in done.stderr and THINNER not in done.stderr
        assert "2 more as at the last build" in done.stderr


def test_check_has_all_what_is_new_before_what_was_told(practice: Path) -> None:
    before = sitegen("check", *DAY, cwd=practice)
    assert "last build" not in before.stderr + before.stdout
    built(practice)
    edit(practice, "fuel: {collagen: 15 g, vitamin_c: 500 mg, asked_on: 2027-01-06}\n")
    done = sitegen("check", *DAY, cwd=practice)
    new, told = done.stderr.split("as at the last build:\n")
    assert "[fuel-vitamin-c]" in new and THINNER not in new
    assert told == before.stderr
    assert done.stdout == "1 client checked: 0 errors, 4 warnings, 2 of them as at the last build\n"


SHORT = "the longest run before this event will be {} min, and the event asks for about 89 min: "
FEW = "the plan's limits can't reach it safely by 2027-04-11, as the weeks are too few"


@pytest.mark.parametrize(
    ("now", "hint", "is_told"),
    [
        (74, "an event on 2027-05-02 or later would be within them", True),
        (76, "an event on 2027-05-09 or later would be within them", True),
        (82, "an event on 2027-04-25 or later would be within them", True),
        (62, "an event on 2027-05-23 or later would be within them", False),
        (74, "move the event", False),
    ],
)
def test_an_event_out_of_reach_is_no_news_each_sunday_until_it_lacks_more(
    now: int, hint: str, is_told: bool
) -> None:
    before = warning(
        SHORT.format(75) + FEW, "event-reach", 3, "an event on 2027-05-02 or later would be "
        "within them",
    )  # fmt: skip
    found = warning(SHORT.format(now) + FEW, "event-reach", 3, hint)
    later = warning(SHORT.format(now) + FEW.replace("04-11", "05-11"), "event-reach", 3, hint)

    assert told_before([found], [before]) == ({found} if is_told else set())
    assert not told_before([later], [before]), "another day is another matter"


def warning(message: str, code: str = "plan-spacing", line: int = 1, hint: str = "") -> Problem:
    return Problem(Origin("clients/mara.yaml", line), message, hint, code, "warning")


@pytest.mark.parametrize(
    ("now", "before", "is_told"),
    [
        ("weeks 5 and 6 hold less", "weeks 4 to 6 hold less", True),
        ("weeks 6 and 7 hold less", "weeks 4 to 6 hold less", False),
        ("week 7: 160 spm, 9 weeks of it", "week 6: 160 spm, 8 weeks of it", True),
        ("week 7: 162 spm, 9 weeks of it", "week 6: 160 spm, 8 weeks of it", False),
        ("9 of weeks 8 to 20 stand still", "10 of weeks 7 to 20 stand still", True),
        ("11 of weeks 8 to 20 stand still", "10 of weeks 7 to 20 stand still", False),
        ("60 of 90 min fit in week 6", "70 of 90 min fit in week 6", False),
    ],
)  # fmt: skip
def test_a_matter_is_the_same_but_for_how_long_it_has_lasted(
    now: str, before: str, is_told: bool
) -> None:
    moved = warning(now, line=9)
    assert told_before([moved], [warning(before)]) == ({moved} if is_told else set())


@pytest.mark.parametrize(
    "code", ["alarm", "stopped-pain", "plan-pain", "plan-illness", "log-ahead", "habit-more"]
)
def test_a_danger_is_never_as_before(code: str) -> None:
    danger = warning("calf swelling", code)
    assert is_danger(danger) and not told_before([danger], [danger])


def test_those_of_one_kind_stand_on_one_line_with_all_their_words() -> None:
    found = [
        warning("a", "history", 3, "ask"),
        warning("b", "history", 3),
        warning("x", "not-adult", 3),
        warning("c", "history", 4, "say"),
        warning("d", "alarm", 5),
        warning("e", "alarm", 5),
    ]
    assert [*problem_lines(found)] == [
        "clients/mara.yaml:3:1: warning: a (ask); b; line 4: c (say) [history]",
        "clients/mara.yaml:3:1: warning: x [not-adult]",
        "clients/mara.yaml:5:1: warning: d [alarm]",
        "clients/mara.yaml:5:1: warning: e [alarm]",
    ]
