"""Run and walk in turn, on a ladder to thirty minutes without a walk."""

from __future__ import annotations

from itertools import pairwise

import pytest

from generated import NEW_TO_EXERCISE, NOTHING, runner
from sitegen.model.plan import Plan
from sitegen.rules.run_walk import RULE, RunWalkParameters, rungs, stretches
from support import plan_of, tree
from test_promises import longest_stretch

FROM_NOTHING = (
    "tue sat", "mon thu", "sat sun", "tue thu sat", "mon wed fri", "mon tue wed", "tue thu sat sun",
    "mon tue thu fri sun", "mon tue wed thu fri sat", "mon tue wed thu fri sat sun",
)  # fmt: skip


def week_text(days: str) -> str:
    return "{" + ", ".join(f"{d}: {{}}" for d in days.split()) + "}"


def first_without_a_walk(plan: Plan) -> int | None:
    """The first week that has thirty minutes of running in one go."""
    return next(
        (w.number for w in plan.weeks if any(longest_stretch(s) >= 30 for s in w.sessions)), None
    )


@pytest.mark.parametrize("days", FROM_NOTHING)
@pytest.mark.parametrize("exercise", ["yes", "no"])
@pytest.mark.parametrize("runs", ["", ", runs: 2", ", runs: 4"])
def test_from_nothing_to_thirty_minutes_in_ten_to_fourteen_weeks(
    days: str, exercise: str, runs: str
) -> None:
    text = runner(
        baseline=NOTHING[:-1] + runs + "}",
        screening=NEW_TO_EXERCISE.replace("regular_exercise: no", f"regular_exercise: {exercise}"),
        week=week_text(days),
        plan="{from: 2027-01-04, weeks: 20}",
    )

    assert first_without_a_walk(plan_of(text)) in range(10, 15)


@pytest.mark.parametrize("every", [3, 5, 6, 7, 8])
@pytest.mark.parametrize("days", ["tue sat", "tue thu sat", "mon wed fri sun"])
def test_however_often_the_weeks_are_eased(every: int, days: str) -> None:
    text = runner(
        baseline=NOTHING,
        screening=NEW_TO_EXERCISE,
        week=week_text(days),
        plan=f"{{from: 2027-01-04, weeks: 20, ease: {{every: {every}}}}}",
    )

    assert first_without_a_walk(plan_of(text)) in range(10, 15)


def test_a_followed_plan_arrives_too() -> None:
    """Each planned run logged as it was planned, week by week."""
    text = runner(
        baseline=NOTHING,
        screening=NEW_TO_EXERCISE,
        week=week_text("tue thu sat"),
        plan="{from: 2027-01-04, weeks: 16}",
    )
    plan = plan_of(text)
    log: list[dict[str, str]] = []
    for week in plan.weeks:
        now = plan_of(text, log, week.start.isoformat()).weeks[week.number - 1]
        log += [{"on": s.on.isoformat(), "ran": f"{s.run_minutes:g} min"} for s in now.sessions]
    done = plan_of(text, log, "2027-05-01")

    assert first_without_a_walk(done) in range(10, 15)


def test_the_ladder_has_eight_rungs_at_least_and_ends_at_thirty_minutes_without_a_walk() -> None:
    ladder = rungs(RunWalkParameters())

    assert len(ladder) >= 8
    assert (ladder[-1].run, ladder[-1].walk) == (30, 0)
    assert all(above.run >= below.run for below, above in pairwise(ladder))


def test_one_rung_a_week_at_most() -> None:
    text = runner(
        baseline=NOTHING,
        screening=NEW_TO_EXERCISE,
        week=week_text("tue thu sat"),
        plan="{from: 2027-01-04, weeks: 14}",
    )
    climbed = [w.rung or 11 for w in plan_of(text).weeks]

    assert all(0 <= above - below <= 1 for below, above in pairwise(climbed))


@pytest.mark.parametrize(
    ("continuous", "stretch"), [(1, 1), (4, 4), (6, 5), (12, 10), (19, 15), (29, 20)]
)
def test_a_runner_begins_on_the_rung_that_is_run_already(continuous: int, stretch: int) -> None:
    text = runner(
        baseline="{on: 2027-01-04, cadence: 160 spm, pace: 7:00 /km, week: 90 min, "
        f"longest: 30 min, continuous: {continuous} min, runs: 3}}",
        screening=NEW_TO_EXERCISE,
    )
    week = plan_of(text).weeks[0]

    assert max(longest_stretch(s) for s in week.sessions) <= stretch
    assert rungs(RunWalkParameters())[(week.rung or 0) - 1].run == stretch


def test_thirty_minutes_without_a_walk_need_no_ladder() -> None:
    plan = plan_of(runner())

    assert not any(s.kind == "run_walk" for s in plan.sessions)
    assert {w.rung for w in plan.weeks} == {None}


@pytest.mark.parametrize("days", ["tue sat", "tue thu sat", "mon wed fri sun"])
@pytest.mark.parametrize("longest", [6, 12, 20])
def test_the_running_of_a_session_grows_by_five_minutes_at_most(days: str, longest: int) -> None:
    """However large the week is that the file names. Common practice, no source."""
    base = f"{{on: 2027-01-04, cadence: 160 spm, week: 90 min, longest: {longest} min}}"
    weeks = plan_of(runner(baseline=base, week=week_text(days))).weeks
    most, steps = float(longest), []
    for week in weeks:
        turns = [s.run_minutes for s in week.sessions if s.kind == "run_walk"]
        steps += [max(turns) - most] if turns else []
        most = max(most, *turns, 0.0)
    assert max(steps) == 5


def test_a_missed_run_of_a_new_rung_repeats_the_rung() -> None:
    """A miss repeats the week: its stretches as well as its minutes."""
    text = runner(
        baseline=NOTHING,
        screening=NEW_TO_EXERCISE,
        week=week_text("tue thu sat"),
        plan="{from: 2027-01-04, weeks: 8, ease: {every: 8}}",
    )
    for missed, climbs in (("", True), ("w03-run-1", False)):
        log: list[dict[str, str]] = []
        for number in range(3):
            plan = plan_of(text, log, f"2027-01-{4 + 7 * number:02}")
            for s in plan.weeks[number].sessions:
                told = {"skipped": "time"} if s.id == missed else {"ran": f"{s.run_minutes:g} min"}
                log.append({"on": str(s.on), **told})
        weeks = plan_of(text, log, "2027-01-25").weeks
        before, after = (max(map(longest_stretch, weeks[n].sessions)) for n in (2, 3))
        assert (after > before) is climbs and after >= before


def test_a_hard_week_keeps_the_rung() -> None:
    text = runner(baseline=NOTHING, screening=NEW_TO_EXERCISE, week=week_text("tue sat"))
    easy = [{"on": "2027-01-05", "ran": "5 min", "effort": "3"}]
    tough = [{"on": "2027-01-05", "ran": "5 min", "effort": "9"}]

    assert plan_of(text, easy, "2027-01-11").weeks[1].rung == 2
    assert plan_of(text, tough, "2027-01-11").weeks[1].rung == 1


def test_a_practice_writes_its_own_ladder() -> None:
    """Eight rungs of its own: the runs follow them, and unknown ones are refused."""
    steps = [f"{{run: {n} min, walk: 1 min}}" for n in (2, 4, 6, 8, 12, 16, 22)]
    text = runner(
        baseline=NOTHING,
        screening=NEW_TO_EXERCISE,
        week=week_text("tue thu sat"),
        plan="{from: 2027-01-04, weeks: 16}",
        more="rules: {run_walk: {ladder: [" + ", ".join(steps) + ", {run: 30 min}]}}",
    )
    plan = plan_of(text)

    assert plan.weeks[0].rung == 1
    assert max(longest_stretch(s) for s in plan.weeks[0].sessions) <= 2
    assert {p.minutes for s in plan.sessions for p in s.parts if p.kind == "walk"} == {1.0}
    assert first_without_a_walk(plan) is not None


def test_the_ladder_is_data_with_a_reason_and_a_source() -> None:
    values = RULE.parameters.of_tree(tree("{ladder: [{run: 1 min, walk: 1 min}, {run: 30 min}]}"))

    assert [r.run for r in rungs(values)] == [1, 30]  # type: ignore[arg-type]
    assert RULE.source and RULE.reason


@pytest.mark.parametrize("first", ["2027-01-05", "2027-01-06", "2027-01-08"])
def test_a_plan_from_nothing_that_begins_in_a_week_begins_with_a_session_in_it(first: str) -> None:
    plan = plan_of(
        runner(
            baseline=NOTHING,
            screening=NEW_TO_EXERCISE,
            week="{tue: {}, thu: {}, sat: {}, sun: {}}",
            plan=f"{{from: {first}, weeks: 6}}",
        )
    )
    part, whole = plan.weeks[:2]

    assert 0 < part.run_minutes <= 10 and min(s.on for s in part.sessions).isoformat() >= first
    assert (part.rung, whole.rung, whole.run_minutes) == (1, 1, 10), (
        "the first whole week, as usual"
    )


@pytest.mark.parametrize(
    ("minutes", "run", "found"),
    [(3, 2, (2,)), (5, 2, (2, 2)), (4, 2, (2, 2)), (5, 3, (3, 2)), (3, 1, (1, 1, 1)),
     (8, 5, (5, 3)), (5, 4, (4,)), (6, 4, (4, 2))],
)  # fmt: skip
def test_a_last_stretch_is_half_of_the_others_and_two_minutes(
    minutes: float, run: float, found: tuple[float, ...]
) -> None:
    assert stretches(minutes, run) == found


def test_what_is_left_out_of_several_runs_makes_a_stretch_of_one() -> None:
    """Ten minutes in stretches of two, on three days: 4, 4 and 2, not 2, 2 and 4."""
    base = "{on: 2027-01-04, cadence: 156 spm, week: 0 min, continuous: 2 min}"
    week = plan_of(runner(baseline=base, screening=NEW_TO_EXERCISE)).weeks[0]
    runs = sorted(s.run_minutes for s in week.sessions if s.is_run)

    assert week.rung == 2 and runs == [2, 4, 4]


def test_a_dose_of_less_than_a_minute_a_run_is_walked_and_said() -> None:
    """No week is empty without a reason: coming back to a part of 3 min is a walk."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 152 spm, week: 3 min, continuous: 1 min, runs: 3}",
        week=week_text("mon wed sat"),
    )
    plan = plan_of(text, "[{on: 2027-01-04, ran: 3 min}]", "2027-01-04")
    back = plan_of(
        text,
        "[{on: 2027-01-04, ran: 1 min}, {on: 2027-01-06, skipped: travel}, "
        "{on: 2027-01-09, skipped: travel}, {on: 2027-01-11, skipped: travel}, "
        "{on: 2027-01-13, skipped: travel}, {on: 2027-01-16, skipped: travel}]",
        "2027-01-18",
    )

    assert any(s.run_minutes > 0 for s in plan.weeks[0].sessions)
    for week in back.weeks[2:]:
        assert week.sessions and all(s.is_walk for s in week.sessions if s.is_run)
    assert any("Walking this week" in problem.message for problem in back.problems)


def test_a_run_that_needs_no_walk_is_not_called_run_and_walk() -> None:
    """In an easier week near the ladder's end runs may be short enough for none."""
    text = runner(
        baseline=NOTHING,
        screening=NEW_TO_EXERCISE,
        week="{tue: {}, thu: {}, sun: {}}",
        plan="{from: 2027-01-04, weeks: 20}",
    )
    runs = [s for s in plan_of(text).sessions if s.kind == "run_walk"]
    whole = [s for s in runs if not s.walk_minutes]

    assert whole and {s.read_as for s in whole} == {"easy"}
    assert {s.read_as for s in runs if s.walk_minutes} == {"run_walk"}
