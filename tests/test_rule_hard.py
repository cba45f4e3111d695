"""Hard sessions: late, few, and never while something holds the plan."""

from __future__ import annotations

import pytest

from generated import runner, training
from sitegen.model.plan import Plan, Session
from sundays import DAY, FIRST, Told, lived, ran
from support import plan_of

BASE = "{on: 2027-01-04, cadence: 160 spm, pace: 6:00 /km, week: 240 min, longest: 70 min, runs: 5}"
DAYS = "{mon: {}, tue: {}, wed: {}, thu: {}, fri: {}, sat: {}, sun: {}}"


def hard_weeks(plan: Plan) -> dict[int, int]:
    found = {w.number: sum(s.hard for s in w.sessions) for w in plan.weeks}
    return {number: count for number, count in found.items() if count}


def plan_with(hard: str, log: str = "[]", as_of: str = "2027-01-01", weeks: int = 9) -> Plan:
    text = runner(
        baseline=BASE, week=DAYS, plan=f"{{from: 2027-01-04, weeks: {weeks}, hard: {hard}}}"
    )
    return plan_of(text, log, as_of)


def test_none_before_week_five_unless_the_file_says_so() -> None:
    assert min(hard_weeks(plan_with("{per_week: 1}"))) == 5


@pytest.mark.parametrize("first", [1, 3, 7])
def test_the_file_says_from_which_week(first: int) -> None:
    assert min(hard_weeks(plan_with(f"{{from_week: {first}, per_week: 1}}"))) == first


@pytest.mark.parametrize(("count", "weeks"), [(0, 0), (1, 7), (2, 7)])
def test_the_file_says_how_many(count: int, weeks: int) -> None:
    found = hard_weeks(plan_with(f"{{from_week: 1, per_week: {count}}}"))

    assert len(found) == weeks
    assert max(found.values(), default=0) == count


@pytest.mark.parametrize(
    ("days", "most"),
    [("{tue: {}, thu: {}, sun: {}}", 1), ("{mon: {}, wed: {}, fri: {}, sun: {}}", 2)],
)
def test_two_a_week_only_where_four_runs_stand(days: str, most: int) -> None:
    """Two hard runs of three leave one easy one. Common practice, no source."""
    base = BASE.replace("240", "120").replace("runs: 5", f"runs: {days.count('{}')}")
    plan = "{from: 2027-01-04, weeks: 9, enough: 150 min, hard: {from_week: 1, per_week: 2}}"
    found = hard_weeks(plan_of(runner(baseline=base, week=days, plan=plan)))

    assert max(found.values()) == most


def test_none_in_easier_weeks() -> None:
    assert not {4, 8} & set(hard_weeks(plan_with("{from_week: 1, per_week: 2}")))


def test_a_fifth_of_the_week_at_most() -> None:
    for week in plan_with("{from_week: 1, per_week: 2}").weeks:
        assert sum(s.hard_minutes for s in week.sessions) <= 0.2 * training(week) + 1e-6


@pytest.mark.parametrize("score", [3, 5, 6])
def test_none_while_pain_holds(score: int) -> None:
    log = f"[{{on: 2027-01-04, ran: 40 min, pain: {{during: {score}}}}}]"
    plan = plan_with("{from_week: 1, per_week: 2}", log, "2027-01-04")

    assert [s.id for s in plan.sessions if s.hard and s.on.isoformat() > "2027-01-04"] == []


def test_none_in_the_week_after_a_step_back() -> None:
    """Two runs in a row at 3 or more, and calm ones since: minutes grow again, the hard ones wait
    for a week."""
    sore = [f"{{on: 2027-01-{day:02}, ran: 40 min, pain: {{during: 3}}}}" for day in (4, 5)]
    calm = [f"{{on: 2027-01-{day:02}, ran: 40 min, pain: {{during: 0}}}}" for day in (7, 8, 9)]
    log = f"[{', '.join([*sore, *calm])}]"
    plan = plan_with("{from_week: 1, per_week: 1}", log, "2027-01-10")

    assert [w.kind for w in plan.weeks[:3]] == ["back", "build", "build"]
    assert min(hard_weeks(plan)) == 3


@pytest.mark.parametrize(("days", "easy_weeks"), [(14, 2), (21, 3), (28, 5)])
def test_after_two_weeks_away_a_whole_easy_week_is_run_before_a_hard_session(
    days: int, easy_weeks: int
) -> None:
    """It stood in the first week after the return; after four weeks, in the first without walks."""
    first = FIRST + DAY * 14

    def tells(run: Session) -> list[Told]:
        is_away = first <= run.on < first + DAY * days
        return [Told(run.on, {"on": str(run.on), "skipped": "travel"} if is_away else ran(run))]

    text = runner(
        week="{tue: {}, thu: {}, sun: {}, long: sun}",
        plan="{from: 2027-01-04, weeks: 20, hard: {from_week: 2}, ease: {every: 8}, enough: 5 h}",
    )
    weeks = lived(tells, 15, text).weeks[2 + days // 7 :]

    assert [any(s.hard for s in week) for week in weeks].index(True) == easy_weeks


def test_none_without_being_asked_for() -> None:
    assert hard_weeks(plan_of(runner(baseline=BASE, week=DAYS))) == {}


def test_none_before_thirty_minutes_are_run_without_a_walk() -> None:
    text = runner(
        baseline=BASE[:-1] + ", continuous: 20 min}",
        week=DAYS,
        plan="{from: 2027-01-04, weeks: 1, hard: {from_week: 1, per_week: 1}}",
    )

    assert hard_weeks(plan_of(text)) == {}


def test_a_hard_session_is_called_hard_and_felt_harder_than_an_easy_one() -> None:
    plan = plan_with("{from_week: 1, per_week: 1}")
    hard = [s for s in plan.sessions if s.hard]
    easy = [s for s in plan.sessions if s.kind == "easy"]

    assert {s.kind for s in hard} <= {"strides", "tempo", "intervals"}
    assert not any(s.hard for s in plan.sessions if s.kind not in ("strides", "tempo", "intervals"))
    assert min(s.effort_high for s in hard) > max(s.effort_high for s in easy)


def test_a_week_that_stays_as_it_was_gives_the_reason_of_its_last_day() -> None:
    """The pain of Monday is over by Sunday, and the days without a run hold the week as before."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 172 spm, pace: 6:30 /km, week: 120 min, "
        "longest: 48 min, runs: 2}",
        week="{wed: {up_to: 1 h 30 min}, sun: {up_to: 4 h}, long: sun}",
        plan="{from: 2027-01-04, weeks: 20, hard: {from_week: 5, per_week: 1}}",
    )
    log = (
        "[{on: 2027-01-23, ran: 36 min, pain: {during: 0}}, "
        "{on: 2027-01-25, ran: 25 min, pain: {during: 2}}, {on: 2027-01-30, skipped: time}, "
        "{on: 2027-02-01, ran: 41 min, pain: {during: 4}}, "
        "{on: 2027-02-03, ran: 58 min, pain: {during: 0}}, "
        "{on: 2027-02-05, ran: 54 min, pain: {during: 0}}]"
    )
    week = plan_of(text, log, "2027-02-09").weeks[4]

    reasons = [str(d.says) for d in week.decisions if d.rule == "hard"]
    assert reasons == ["No hard session while something holds the plan."]


def told(plan: Plan) -> list[str]:
    """What `check` says of hard running."""
    return [f"{p.message} ({p.hint})" for p in plan.problems if "hard run" in p.message]


HARD = "hard: {from_week: 2, per_week: 1}"
TWO = "{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 80 min, longest: 45 min, runs: 2}"


@pytest.mark.parametrize(
    ("days", "written", "word"),
    [
        ("{tue: {}, sat: {}}", "runs: 1, ", "4 of weeks 2 to 6: With a single run a week"),
        ("{wed: {}, thu: {}}", "", "4 of weeks 2 to 6: No hard run: no day lies apart"),
        ("{tue: {}, sat: {}}", "", ""),
    ],
)
def test_hard_running_that_days_leave_no_place_for_is_told(
    days: str, written: str, word: str
) -> None:
    """Of 144 drawn plans with hard running asked for 45 held none, and nothing was said."""
    plan = plan_of(
        runner(baseline=TWO, week=days, plan=f"{{from: 2027-01-04, weeks: 6, {written}{HARD}}}")
    )
    found = told(plan)

    assert len(found) == bool(word)
    assert "".join(found).startswith(word)
    assert bool(hard_weeks(plan)) == (not word)


def test_hard_running_on_the_ladder_is_told() -> None:
    """Run and walk in turn until week 12: what was asked for from week 5 on is none of it."""
    nothing = "{on: 2027-01-04, cadence: 160 spm, week: 0 min}"
    plan = plan_of(
        runner(baseline=nothing, plan="{from: 2027-01-04, weeks: 12, hard: {per_week: 1}}")
    )
    (line,) = told(plan)

    assert line.startswith("weeks 5 to 7 and 9 to 11: no hard run, as runs are still run and")
    assert "a later from_week" in line


def test_a_single_run_is_no_reason_where_two_stand() -> None:
    """One that was too short for the week's minutes gets a second beside it."""
    base = "{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 40 min, longest: 40 min, "
    plan = plan_of(
        runner(
            baseline=base + "runs: 1}",
            week="{tue: {up_to: 45 min}, fri: {up_to: 45 min}}",
            plan=f"{{from: 2027-01-04, weeks: 6, {HARD}}}",
        )
    )

    assert [len([s for s in w.sessions if s.is_run]) for w in plan.weeks][1:3] == [2, 2]
    assert not [d for w in plan.weeks for d in w.decisions if "single run" in str(d.says)]
    assert set(hard_weeks(plan)) == {2, 3, 5, 6}
