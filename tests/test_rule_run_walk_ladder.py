"""A ladder as a coach writes it: each of its fields acts, and no session ends in a scrap."""

from __future__ import annotations

from itertools import pairwise
from math import floor

import pytest

from generated import NEW_TO_EXERCISE, NOTHING, runner
from sitegen.model.plan import Plan, Session, Week
from sitegen.model.record import NotRead
from sitegen.plan.building import run_walk
from sitegen.rules.draft import Rung
from sitegen.rules.run_walk import RULE, rungs, stretches
from support import plan_of

# Table 1 of the protocol in Trials 2023;24 (doi 10.1186/s13063-023-07502-x), standard care, itself
# not tested: walk and run in minutes, whole distance in miles, effort 0-10. Each phase at least
# twice, at least one day off between runs.
TABLE = (
    (2, 3, 1.0, 3), (2, 3, 1.5, 3), (2, 4, 1.5, 4), (2, 4, 2.0, 4), (1, 4, 2.0, 5), (0, 0, 2.0, 5),
)  # fmt: skip
KM_PER_MILE = 1.609344
# Where nobody ran yet the plan reckons with 8:30 /km, and with walking at 5.5 km an hour.
RUN_KM_MIN, WALK_KM_MIN = 60 / 510, 5.5 / 60


def ladder(rungs: str, more: str = "", log: str = "[]", as_of: str = "2027-01-01") -> Plan:
    text = runner(
        baseline=NOTHING,
        screening=NEW_TO_EXERCISE,
        week="{mon: {}, wed: {}, fri: {}, sat: {}, sun: {}}",
        plan="{from: 2027-01-04, weeks: 20}",
        more=f"rules: {{run_walk: {{ladder: [{rungs}]{more}}}}}",
    )
    return plan_of(text, log, as_of)


def printed() -> str:
    rungs = (
        f"{{distance: {miles} mi, effort: {effort}"
        + (f", run: {run} min, walk: {walk} min}}" if walk else "}")
        for walk, run, miles, effort in TABLE
    )
    return ", ".join(rungs)


@pytest.fixture(scope="module")
def plan() -> Plan:
    return ladder(printed(), ", sessions: 2, rest_days: 1")


def miles(session: Session) -> float:
    """How far a session goes between its warm-up and its cool-down."""
    parts = session.parts[1:-1]
    km = sum(p.total_minutes * (WALK_KM_MIN if p.kind == "walk" else RUN_KM_MIN) for p in parts)
    return km / KM_PER_MILE


def whole(plan: Plan, phase: int) -> list[Session]:
    """Sessions of a phase that go as far as printed, but for less than a turn."""
    walk, run, far, _ = TABLE[phase - 1]
    turn = (run * RUN_KM_MIN + walk * WALK_KM_MIN) / KM_PER_MILE if walk else RUN_KM_MIN
    sessions = [s for w in plan.weeks if w.rung == phase for s in w.sessions if s.is_run]
    return [s for s in sessions if far - turn < miles(s) <= far + 1e-9]


def test_each_phase_of_the_printed_table_is_run_as_far_as_printed_and_twice(plan: Plan) -> None:
    """But for the last, after which thirty minutes are run without a walk."""
    for phase in range(1, len(TABLE)):
        assert len(whole(plan, phase)) >= 2, f"phase {phase}"
    assert whole(plan, len(TABLE))


def test_no_session_goes_further_than_its_phase(plan: Plan) -> None:
    for week in plan.weeks:
        for session in week.sessions if week.rung else ():
            assert miles(session) <= TABLE[week.rung - 1][2] + 1e-9


def test_a_session_is_as_hard_as_printed_and_no_harder(plan: Plan) -> None:
    for week in plan.weeks:
        for session in week.sessions if week.rung else ():
            assert session.effort_high == TABLE[week.rung - 1][3]


def test_a_day_off_between_runs(plan: Plan) -> None:
    days = [s.on for w in plan.weeks if w.rung for s in w.sessions if s.is_run]
    assert all((after - day).days >= 2 for day, after in pairwise(days))


def printed_minutes(phase: int) -> float:
    """Minutes of running in a session of the printed table that goes its whole distance."""
    walk, run, far, _ = TABLE[phase - 1]
    km = far * KM_PER_MILE
    return km / (run * RUN_KM_MIN + walk * WALK_KM_MIN) * run if walk else km / RUN_KM_MIN


@pytest.mark.parametrize("days", ["tue sat", "tue thu sat", "mon wed fri sun"])
def test_the_tools_own_ladder_steps_no_further_than_the_printed_one(days: str) -> None:
    """From phase to phase the printed table's sessions gain up to 4.9 min of running, and it goes
    from stretches of 4 min to 27 without a walk. Ours gain 5 at most over any in the 30 days
    before, and a stretch 10 at the top."""
    gains = [printed_minutes(n + 1) - printed_minutes(n) for n in range(1, len(TABLE))]
    text = runner(
        baseline=NOTHING,
        screening=NEW_TO_EXERCISE,
        week="{" + ", ".join(f"{day}: {{}}" for day in days.split()) + "}",
        plan="{from: 2027-01-04, weeks: 14}",
    )
    weeks = [w for w in plan_of(text).weeks if w.rung is not None]
    longest = [w.longest_minutes for w in weeks]
    stretch = [rung.run for rung in rungs(RULE.parameters())]

    assert 4.5 < max(gains) < 5
    assert len(weeks) >= 12
    for number in range(1, len(longest)):
        assert longest[number] - max(longest[max(number - 4, 0) : number]) <= round(max(gains))
    assert max(b - a for a, b in pairwise(stretch)) <= printed_minutes(6) - TABLE[4][1]


def test_more_sessions_a_rung_take_more_weeks() -> None:
    rungs = ", ".join(f"{{run: {n} min, walk: 1 min}}" for n in (1, 2, 3, 4)) + ", {}"

    def weeks_on(plan: Plan, rung: int) -> int:
        return sum(1 for w in plan.weeks if w.rung == rung)

    few, many = ladder(rungs, ", sessions: 1"), ladder(rungs, ", sessions: 7")
    assert weeks_on(few, 2) == 1
    assert weeks_on(many, 2) >= 3


def test_a_rung_is_kept_while_it_feels_harder_than_it_says() -> None:
    rungs = "{run: 1 min, walk: 1 min, effort: 3}, {run: 2 min, walk: 1 min}, {}"

    def second(effort: int) -> Week:
        entries = ", ".join(
            f"{{on: 2027-01-0{day}, ran: 4 min, effort: {effort}}}" for day in (4, 6, 8)
        )
        return ladder(rungs, log=f"[{entries}]", as_of="2027-01-11").weeks[1]

    assert second(3).rung == 2
    assert second(4).rung == 1


def test_days_off_last_as_long_as_the_ladder_asks_for_them() -> None:
    """After twelve weeks running is no longer new; the ladder's own days off stay."""
    slow = ", ".join(f"{{run: {n} min, walk: 1 min}}" for n in range(2, 8)) + ", {}"

    def neighbours(rest_days: int) -> int:
        text = runner(
            baseline=(
                "{on: 2027-01-04, cadence: 160 spm, pace: 7:00 /km, week: 100 min, "
                "longest: 25 min, continuous: 2 min, runs: 5}"
            ),
            week="{mon: {}, tue: {}, wed: {}, thu: {}, fri: {}}",
            plan="{from: 2027-01-04, weeks: 18, runs: 4}",
            more=f"rules: {{run_walk: {{ladder: [{slow}], sessions: 7, rest_days: {rest_days}}}}}",
        )
        weeks = [w for w in plan_of(text).weeks if w.number > 14 and w.rung]
        assert weeks
        days = [s.on for w in weeks for s in w.sessions if s.is_run]
        return sum((after - day).days == 1 for day, after in pairwise(days))

    assert neighbours(1) == 0
    assert neighbours(0) > 0


@pytest.mark.parametrize("run", [1.0, 1.5, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 20.0])
@pytest.mark.parametrize("cue", [None, 164])
def test_no_session_ends_in_a_scrap(run: float, cue: int | None) -> None:
    for minutes in range(max(floor(run), 1), 61):
        parts = run_walk(minutes, Rung(run, 2.0), cue)
        lengths = stretches(minutes, run)
        total = sum(p.total_minutes for p in parts if p.kind != "walk")

        assert min(lengths) >= run / 2 or len(lengths) == 1
        assert max(lengths) <= run or len(lengths) == 1
        assert total <= minutes
        assert total > minutes - run / 2 or run <= 5


def test_days_off_other_than_none_or_one_are_not_taken() -> None:
    with pytest.raises(NotRead, match="rest_days"):
        RULE.parameters.of_tree({"rest_days": "2"})
