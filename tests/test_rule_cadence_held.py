"""The aim rises only when the step before it is held, on the client's own line of rate on speed."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import cycle
from random import Random
from statistics import linear_regression

import pytest

from generated import runner
from sitegen.model.plan import Plan
from sitegen.rules.rate_line import PUBLISHED, Line, Lines, Rated, fit
from support import plan_of

BASELINE = (
    "{on: 2027-01-04, cadence: 160 spm, pace: 6:40 /km, week: 150 min, longest: 50 min, runs: 4}"
)
TEXT = runner(baseline=BASELINE, plan="{from: 2027-01-04, weeks: 20, growth: 5 %}")
MONDAY = date(2027, 1, 4)


def lived(
    spm: int | tuple[int, ...], weeks: int, text: str = TEXT, metres_per_second: float = 2.5
) -> Plan:
    """The plan after so many weeks in which each run was logged at one speed and step rate, or at
    several in turn.
    """
    rates = cycle((spm,) if isinstance(spm, int) else spm)
    log: list[dict[str, str]] = []
    plan = plan_of(text, log, MONDAY.isoformat())
    for week in range(weeks):
        monday = MONDAY + timedelta(weeks=week + 1)
        log += [
            {
                "on": s.on.isoformat(),
                "ran": f"{s.run_minutes:g} min",
                "distance": f"{s.run_minutes * 60 * metres_per_second:.0f} m",
                "cadence": f"{next(rates)} spm",
            }
            for s in plan.weeks[week].sessions
            if s.is_run
        ]
        plan = plan_of(text, log, monday.isoformat())
    return plan


def aims(plan: Plan, weeks: int) -> list[int]:
    return [w.cadence.aim for w in plan.weeks[:weeks]]


def test_standing_still_below_the_aim_does_not_let_it_climb() -> None:
    """162 spm on every run: the aim rises once, to 164, and waits there."""
    found = aims(lived(160, 12), 12)

    assert max(found) == 164
    assert found[-1] == 164


def test_held_it_climbs_as_before() -> None:
    assert aims(lived(164, 9), 9)[-1] > 164


@pytest.mark.parametrize(("spm", "climbs"), [(166, True), (169, False)])
def test_only_within_two_per_cent_is_held(spm: int, climbs: bool) -> None:
    """Of an aim of 164: 167.3 at most."""
    assert (aims(lived(spm, 9), 9)[-1] > 164) is climbs


@pytest.mark.parametrize(
    ("rates", "climbs"), [((164, 164, 164, 158), True), ((164, 158, 164, 158), False)]
)
def test_three_of_four_runs_have_to_hold_it_and_two_do_not(
    rates: tuple[int, ...], climbs: bool
) -> None:
    assert (aims(lived(rates, 9), 9)[-1] > 164) is climbs


def by_line(slope: float, runs: int = 40) -> Plan:
    """The plan after nine weeks at 164 spm at the baseline's 2.5 m/s, and more where quicker."""
    log: list[dict[str, str]] = []
    plan = plan_of(TEXT, log, MONDAY.isoformat())
    number = 0
    for week in range(9):
        for session in (s for s in plan.weeks[week].sessions if s.is_run):
            speed = (2.4, 2.6, 2.8, 3.0)[number % 4]
            number += 1
            entry = {"on": session.on.isoformat(), "ran": f"{session.run_minutes:g} min"}
            if number <= runs:
                entry["distance"] = f"{session.run_minutes * 60 * speed:.0f} m"
                entry["cadence"] = f"{164 + slope * (speed - 2.5):.0f} spm"
            log.append(entry)
        plan = plan_of(TEXT, log, (MONDAY + timedelta(weeks=week + 1)).isoformat())
    return plan


def test_the_clients_own_line_puts_the_rates_on_the_baselines_speed() -> None:
    """Twenty spm per m/s is this runner's own: at 3.0 m/s 174 is 164 at 2.5, and held. By the
    published slope it would be 171, and not held."""
    assert aims(by_line(20.0), 9)[-1] > 164


def test_which_slope_serves_is_said_with_its_source() -> None:
    few, many = (
        next(d.source for d in by_line(20.0, runs).weeks[8].decisions if d.rule == "cadence")
        for runs in (5, 40)
    )

    assert "5.6 spm per m/s" in few and "weak for others" in few
    assert "the client's own" in many and "standard error" in many


def test_told_from_another_speed_the_rate_is_put_on_the_baselines() -> None:
    """164 spm at 3.4 m/s is 159 at the baseline's 2.5 m/s, by the published slope."""
    assert aims(lived(164, 9, metres_per_second=3.4), 9)[-1] == 164


def test_the_coach_is_asked_after_six_weeks_and_the_client_is_not() -> None:
    def asked(weeks: int) -> bool:
        plan = lived(160, weeks)
        return any(
            d.rule == "cadence" and d.warns and "is not held after" in str(d.says)
            for w in plan.weeks
            for d in w.decisions
        )

    assert [asked(weeks) for weeks in (5, 6, 7, 8, 10)] == [False, False, True, True, True]


def test_who_tells_no_step_rate_is_asked_for_one_and_not_called_unsteady() -> None:
    log: list[dict[str, str]] = []
    plan = plan_of(TEXT, log, MONDAY.isoformat())
    for week in range(10):
        log += [
            {"on": s.on.isoformat(), "ran": f"{s.run_minutes:g} min"}
            for s in plan.weeks[week].sessions
            if s.is_run
        ]
        plan = plan_of(TEXT, log, (MONDAY + timedelta(weeks=week + 1)).isoformat())
    said = [p.message for p in plan.problems if p.code == "plan-cadence"]

    assert len(said) == 1 and "No step rate was told" in said[0] and "not held" not in said[0]


def test_what_sunday_says_of_next_week_monday_says_too() -> None:
    """With the last week's runs logged on Sunday already."""
    log: list[dict[str, str]] = []
    plan = plan_of(TEXT, log, MONDAY.isoformat())
    for week in range(8):
        log += [
            {"on": s.on.isoformat(), "ran": f"{s.run_minutes:g} min", "cadence": "161 spm"}
            for s in plan.weeks[week].sessions
            if s.is_run
        ]
        sunday = MONDAY + timedelta(days=7 * week + 6)
        plan = plan_of(TEXT, log, sunday.isoformat())
        monday = plan_of(TEXT, log, (sunday + timedelta(days=1)).isoformat())
        assert plan.weeks[week + 1].cadence == monday.weeks[week + 1].cadence
        plan = monday


# --- the line ----------------------------------------------------------------------------------


def rated(speeds: list[float], slope: float, climb: float = 0.0, noise: float = 0.0) -> list[Rated]:
    random = Random(7)
    return [
        Rated(MONDAY + timedelta(days=3 * i), v, 160 + slope * (v - 2.5) + climb * i)
        if not noise
        else Rated(
            MONDAY + timedelta(days=3 * i),
            v,
            160 + slope * (v - 2.5) + climb * i + random.gauss(0, noise),
        )
        for i, v in enumerate(speeds)
    ]


SPEEDS = [2.4, 2.7, 2.5, 2.8, 2.45, 2.6, 2.75, 2.55]


@pytest.mark.parametrize("slope", [0.0, 5.6, 9.0])
@pytest.mark.parametrize("climb", [0.0, 0.5])
def test_runs_on_a_line_give_that_line(slope: float, climb: float) -> None:
    """Also where the rate climbs from run to run, as it is meant to."""
    found = fit(rated(SPEEDS, slope, climb))

    assert found.slope == pytest.approx(slope, abs=1e-6)
    assert found.error == pytest.approx(0, abs=1e-6)
    assert found.runs == len(SPEEDS)


@pytest.mark.parametrize("speeds", [SPEEDS[:5], [2.5, 2.6, 2.7, 2.55, 2.65, 2.75]])
def test_fewer_than_six_runs_or_under_a_third_of_a_metre_a_second_leave_the_published_slope(
    speeds: list[float],
) -> None:
    assert fit(rated(speeds, 9.0)) == PUBLISHED


def test_slope_and_error_are_those_of_least_squares() -> None:
    """By the standard library's own regression: what the days explain is taken out of both first
    (Frisch R, Waugh FV. Econometrica 1933;1(4):387-401, from memory)."""
    runs = rated(SPEEDS * 3, 8.0, 0.1, noise=1.0)
    days = [(r.on - MONDAY).days for r in runs]

    def without_days(values: list[float]) -> list[float]:
        slope, at_0 = linear_regression(days, values)
        return [v - at_0 - slope * d for v, d in zip(values, days, strict=True)]

    speed, rate = without_days([r.speed for r in runs]), without_days([r.spm for r in runs])
    slope, at_0 = linear_regression(speed, rate)
    rest = sum((y - at_0 - slope * x) ** 2 for x, y in zip(speed, rate, strict=True))
    weight = sum(x * x for x in speed) * (len(runs) - 3) / rest

    found = fit(runs)

    assert found.slope == pytest.approx((slope * weight + 5.6 / 16) / (weight + 1 / 16))
    assert found.error == pytest.approx((weight + 1 / 16) ** -0.5)


def test_a_few_noisy_runs_hardly_move_it() -> None:
    found = fit(rated(SPEEDS[:6], 30.0, noise=6.0))

    assert abs(found.slope - 5.6) < 12
    assert found.error is not None and found.error < 4


def test_a_morning_knows_only_what_was_logged_before_it() -> None:
    runs = rated(SPEEDS, 9.0)
    lines = Lines(runs)

    assert lines.before(runs[5].on) == PUBLISHED
    assert lines.before(runs[5].on + timedelta(days=1)).slope == pytest.approx(9.0)


def test_a_rate_is_moved_along_the_line() -> None:
    assert Line(6.0).at(165.0, 3.0, 2.5) == 162.0
