"""What is named where an event's long run is never reached, and what was written to no effect.

That a day lies between the runs of older runners, and what share of a week a long run may be, are
common practice, no source.
"""

from __future__ import annotations

from generated import NOTHING, runner
from sitegen.model.plan import Plan
from support import plan_of

BASELINE = (
    "{on: 2027-01-04, cadence: 172 spm, pace: 6:30 /km, week: 180 min, longest: 72 min, runs: 4}"
)
GOAL = "goal: {text: Run, event: {on: 2027-03-28, distance: 10 km}}"


def plan(week: str, more: str = "", baseline: str = BASELINE, weeks: object = 12) -> Plan:
    """Of so many weeks; settings may follow their number."""
    text = runner(
        week=week, plan=f"{{from: 2027-01-04, weeks: {weeks}}}", baseline=baseline, more=more
    )
    return plan_of(text, "[]", "2027-01-04")


def told(found: Plan, code: str) -> str:
    lines = [f"{p.message} | {p.hint}" for p in found.problems if p.code == code]
    assert len(lines) == 1, lines
    return lines[0]


def test_the_day_that_was_written_for_the_long_run_is_named_where_it_has_no_room() -> None:
    """Sunday would have it; the coach wrote Tuesday."""
    week = (
        "{tue: {up_to: 75 min}, thu: {up_to: 1 h}, fri: {up_to: 1 h}, sun: {up_to: 2 h}, long: tue}"
    )
    line = told(plan(week, GOAL), "event-reach")

    assert "its day, tue, has room for a run of 65 min" in line
    assert "never reach it" in line and "does not grow" not in line
    assert plan(week.replace("long: tue", "long: sun"), GOAL).problems == ()


def test_days_that_hold_too_little_beside_it_are_named() -> None:
    """With a day between runs Tuesday, Thursday and Saturday are left; half of a week beside 100
    min is 100 min."""
    week = (
        "{mon: {up_to: 1 h}, tue: {up_to: 2 h 30 min}, thu: {up_to: 1 h}, sat: {up_to: 1 h}, "
        "long: tue}"
    )
    line = told(
        plan(
            week, "born: 1958\ngoal: {text: Run, event: {on: 2027-03-28, distance: half marathon}}"
        ),
        "event-reach",
    )

    assert "the other days of its week, thu and sat, have room for 100 min" in line
    assert "the long run is at most 50% of a week" in line


def test_a_long_day_that_a_day_between_runs_leaves_out_is_told_once_with_its_weeks() -> None:
    """Thursday's long run would lie beside Wednesday's and Friday's."""
    week = "{wed: {}, thu: {}, fri: {}, sun: {}, long: thu}"
    line = told(plan(week, "born: 1955"), "plan-unheeded")

    assert line.startswith("weeks 1 to 12: no long run on thu")
    assert "on wed, fri and sun, a day apart" in line
    assert not [p for p in plan(week, "born: 1985").problems if p.code == "plan-unheeded"]


def test_monday_is_had_after_twelve_weeks_in_which_the_long_run_was_on_sunday() -> None:
    """A new runner's day between leaves Tuesday, Thursday and Sunday; then Monday follows one."""
    week = "{mon: {up_to: 2 h}, tue: {}, wed: {}, thu: {}, sun: {}, long: mon}"
    found = plan(week, baseline=NOTHING, weeks=20)
    first, last = (
        {s.on.weekday() for w in part for s in w.sessions if s.id.endswith("-long")}
        for part in (found.weeks[:12], found.weeks[15:])
    )

    assert first == {6} and last == {0}


def test_more_runs_than_the_days_hold_are_told_with_what_holds_them() -> None:
    three = "{tue: {}, thu: {}, sun: {}}"
    few = told(plan(three, weeks="12, runs: 5"), "plan-unheeded")
    new = told(
        plan("{mon: {}, tue: {}, wed: {}, sun: {}}", baseline=NOTHING, weeks="8, runs: 3"),
        "plan-unheeded",
    )

    assert few.startswith("weeks 1 to 12: 3 runs at most, where 5 are written, as days are offered")
    assert "where 3 are written, as a day lies between two" in new
    assert not [p for p in plan(three, weeks="12, runs: 3").problems if p.code == "plan-unheeded"]


def test_a_growth_that_nothing_is_left_for_is_told() -> None:
    """Without `enough` growth ends at 150 min, and the baseline has 180."""
    week = "{tue: {}, thu: {}, sun: {}}"
    line = told(plan(week, weeks="12, growth: 8 %"), "plan-unheeded")

    assert line.startswith("no week grows by 8 %: 180 min") and "enough" in line
    grows = plan(week, weeks="12, growth: 8 %, enough: 4 h")
    assert not [p for p in grows.problems if p.code == "plan-unheeded"]
    assert max(w.run_minutes for w in grows.weeks) > 200


def test_strength_work_that_the_long_run_leaves_no_day_is_told() -> None:
    """Saturday is the day before the long run, Sunday its own."""
    week = "{tue: {}, thu: {}, sat: {for: [run, strength]}, sun: {for: [run, strength]}, long: sun}"
    line = told(plan(week, weeks=6), "plan-unheeded")

    assert line.startswith("weeks 1 to 6: no strength work on sat and sun, as the long run")
    free = plan(week.replace("thu: {}", "thu: {for: [run, strength]}"), weeks=6)
    assert free.problems == ()
    assert all(any(not s.is_run for s in w.sessions) for w in free.weeks)
    none = "rules: {strength: {per_week: 0}}"
    assert plan(week, none, weeks=6).problems == ()


def test_what_follows_a_week_that_the_coach_made_much_lighter_is_told() -> None:
    """The level stays, as her week is no measurement: 316 min followed 153 with no word of it."""
    week = "{tue: {}, thu: {}, sat: {}, sun: {}}"
    lighter = "changes: [{week: 2, minutes: MINUTES min, because: shins}]"
    found = plan(week, lighter.replace("MINUTES", "90"), weeks=8)
    line = told(found, "plan-unheeded")

    assert line.startswith("week 3 goes on from the level before, at ")
    assert f"{found.weeks[2].run_minutes:.0f} min after the 90 of week 2" in line
    assert plan(week, lighter.replace("MINUTES", "150"), weeks=8).problems == ()


def test_strength_that_a_monday_keeps_off_a_free_sunday_is_told_so() -> None:
    """No run stood on Sunday, and yet "runs leave no room" was the reason."""
    found = plan("{mon: {}, tue: {}, thu: {}, sat: {}, sun: {up_to: 75 min, for: [run, strength]}}",
                 "born: 1962", weeks="6, growth: 0 %, runs: 3")  # fmt: skip
    line = told(found, "plan-unheeded")

    assert "no strength work on sun, as the Monday after may hold a long run or a hard one" in line
    assert not any(s.on.weekday() == 6 for s in found.sessions)


def test_fewer_runs_are_proposed_where_those_that_were_written_are_of_a_few_minutes() -> None:
    """Six runs of 50 min a week are of 6 to 7 min beside the long one, and nobody said so."""
    week = "{mon: {}, tue: {}, wed: {}, thu: {}, fri: {}, sun: {}, long: sun}"
    small = BASELINE.replace("180 min, longest: 72 min", "50 min, longest: 30 min")
    found = plan(week, baseline=small, weeks="8, growth: 0 %, runs: 6")
    line = told(found, "plan-unheeded")

    assert "runs of 6 min at the shortest, as 6 are written | write runs: 4," in line
    fewer = plan(week, baseline=small, weeks="8, growth: 0 %, runs: 4")
    assert fewer.problems == ()
    assert min(s.run_minutes for s in fewer.weeks[0].sessions if s.is_run) >= 10
    assert plan(week, weeks="8, runs: 6").problems == ()


def test_of_a_week_with_one_run_no_day_after_each_is_told() -> None:
    def days_between(week: str, runs: int) -> bool:
        found = plan(week, baseline=NOTHING, weeks=f"6, runs: {runs}")
        said = [str(d.says) for w in found.weeks for d in w.decisions]
        return any(says.startswith("A day without running after each run") for says in said)

    assert not days_between("{sun: {}}", 1) and not days_between("{tue: {}, sat: {}}", 1)
    assert days_between("{tue: {}, sat: {}}", 2)
