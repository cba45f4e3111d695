"""Less running before an event, and what the last days hold."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from generated import NEW_TO_EXERCISE, runner, training
from sitegen.model.plan import Plan
from sitegen.plan import ledger
from sitegen.plan.fold import expand
from support import case_of, plan_of

DAYS = "{mon: {}, tue: {}, wed: {}, thu: {}, fri: {}, sat: {}, sun: {}}"
BASE = "{on: 2027-01-04, cadence: 175 spm, pace: 6:00 /km, week: 250 min, longest: 80 min, runs: 5}"


def towards(
    distance: str,
    on: str = "2027-03-14",
    hard: str = "",
    log: str = "[]",
    as_of: str = "2027-01-01",
) -> Plan:
    """Ten weeks to an event, on their last Sunday unless said otherwise."""
    text = runner(
        baseline=BASE,
        week=DAYS,
        plan=f"{{from: 2027-01-04, weeks: 11{hard}}}",
        more=f"goal: {{event: {{on: {on}, distance: {distance}}}}}",
    )
    return plan_of(text, log, as_of)


# Bosquet L et al., Med Sci Sports Exerc 2007;39(8):1358-1365: volume down by 41 to 60 %.
@pytest.mark.parametrize("distance", ["5 km", "10 km", "half marathon", "marathon"])
def test_the_last_week_has_forty_to_sixty_per_cent_of_the_peak(distance: str) -> None:
    """An event on Sunday: Monday to Saturday before it, the event itself not counted."""
    plan = towards(distance)
    peak = max(training(w) for w in plan.weeks[:9])

    assert 0.4 * peak - 6 <= training(plan.weeks[9]) <= 0.6 * peak


@pytest.mark.parametrize(
    ("distance", "weeks"), [("5 km", 1), ("10 km", 1), ("11 km", 2), ("half marathon", 2)]
)
def test_ten_kilometres_and_less_need_one_week_longer_events_two(distance: str, weeks: int) -> None:
    plan = towards(distance)
    peak = max(training(w) for w in plan.weeks[:9])
    before = training(plan.weeks[8])

    assert (before <= 0.6 * peak) is (weeks == 2)
    if weeks == 2:
        assert 0.4 * peak - 6 <= before


@pytest.mark.parametrize("on", [f"2027-03-{day:02}" for day in range(8, 15)])
@pytest.mark.parametrize("distance", ["10 km", "marathon"])
def test_the_weeks_before_the_event_are_lighter_whatever_its_weekday(
    on: str, distance: str
) -> None:
    """From Monday to Wednesday the event's own week is too short to taper in: the one before it."""
    plan = towards(distance, on)
    weekday = date.fromisoformat(on).weekday()
    peak = max(training(w) for w in plan.weeks[:7])
    last = 9 if weekday < 3 else 10

    assert all(
        training(w) <= 0.6 * peak
        for w in plan.weeks[last - (1 if distance == "10 km" else 2) : last]
    )


def test_a_share_of_the_largest_week_is_told_where_the_week_is_that() -> None:
    """ "6 min before the event, 45 % of the largest week (95 min)" told a client who had hurt."""
    usual = towards("10 km")
    sore = ", ".join(f"{{on: 2027-03-0{n}, ran: 20 min, pain: {{during: 3}}}}" for n in (2, 4))
    less = towards("10 km", log=f"[{sore}]", as_of="2027-03-05")
    told = [[str(d.says) for w in plan.weeks for d in w.decisions if d.rule == "taper"
             and "fresh legs" in str(d.says)] for plan in (usual, less)]  # fmt: skip

    assert told[0] and all("% of the largest week" in one for one in told[0])
    assert told[1] and not any("%" in one for one in told[1])


@pytest.mark.parametrize("on", [f"2027-03-{day:02}" for day in range(8, 15)])
def test_the_eve_is_rest_or_twenty_minutes(on: str) -> None:
    plan = towards("half marathon", on)
    eve = date.fromisoformat(on) - timedelta(days=1)

    assert sum(s.run_minutes for s in plan.sessions if s.on == eve) <= 20
    assert not any(s.hard or s.kind == "strength" for s in plan.sessions if s.on == eve)


@pytest.mark.parametrize("distance", ["5 km", "10 km", "half marathon", "marathon"])
def test_a_hard_session_stays_in_the_taper(distance: str) -> None:
    plan = towards(distance, hard=", hard: {from_week: 3, per_week: 1}")
    last_days = date(2027, 3, 14) - timedelta(days=7 if distance in ("5 km", "10 km") else 14)

    assert any(s.hard for s in plan.sessions if last_days <= s.on < date(2027, 3, 14))


@pytest.mark.parametrize("distance", ["10 km", "half marathon"])
def test_no_hard_session_stays_while_pain_holds_not_even_before_an_event(distance: str) -> None:
    log = "[{on: 2027-02-27, ran: 30 min, pain: {during: 4}}]"
    hard = ", hard: {from_week: 3, per_week: 1}"
    plan = towards(distance, hard=hard, log=log, as_of="2027-02-28")

    assert [s.id for s in plan.sessions if s.hard and s.on.isoformat() > "2027-02-27"] == []


THREE_WEEKS = [f"{{on: {day}, ran: 30 min, pain: {{during: 3}}}}" for day in
               ("2027-02-08", "2027-02-15", "2027-02-22")]  # fmt: skip
CALM = [f"{{on: 2027-02-{day}, ran: 30 min, pain: {{during: 0}}}}" for day in (24, 25, 26)]
WEEKLY = [f"{{on: {date(2027, 1, 5) + timedelta(weeks=n)}, ran: 30 min}}" for n in range(8)]


@pytest.mark.parametrize(
    ("told", "rule"),
    [
        ([*THREE_WEEKS, *CALM], "asks"),
        ([*WEEKLY, "{on: 2027-02-27, skipped: ill, said: A cold.}"], "illness"),
    ],
)
def test_nothing_hard_stays_in_the_taper_while_a_question_is_open_or_somebody_is_ill(
    told: list[str], rule: str
) -> None:
    hard = ", hard: {from_week: 3, per_week: 1}"
    plan = towards("half marathon", hard=hard, log=f"[{', '.join(told)}]", as_of="2027-02-28")
    first = plan.weeks[8]

    assert first.kind == "taper" and rule in {d.rule for d in first.decisions}
    assert [s.id for s in first.sessions if s.hard] == []


def test_the_event_is_a_session_of_its_own_on_its_day() -> None:
    plan = towards("half marathon")
    events = [s for s in plan.sessions if s.kind == "event"]

    assert [s.on for s in events] == [date(2027, 3, 14)]
    assert events[0].run_minutes == 127  # 21.0975 km at 6:00 /km
    assert plan.weeks[9].kind == "event"
    assert not any(s.on > events[0].on for s in plan.weeks[9].sessions)


def test_the_week_after_the_event_does_not_build() -> None:
    plan = towards("half marathon")

    assert plan.weeks[10].kind != "build"
    assert training(plan.weeks[10]) < training(plan.weeks[7])


def test_the_week_after_a_monday_event_keeps_the_runs_of_a_week() -> None:
    plan = towards("10 km", on="2027-03-08")
    runs = [s for s in plan.weeks[10].sessions if s.is_run]

    assert len(runs) >= 3


def test_volume_falls_even_after_a_long_illness() -> None:
    """The taper never lifts the minutes of who came back at half a fortnight before."""
    text = runner(
        baseline=BASE,
        week=DAYS,
        plan="{from: 2027-01-04, weeks: 10}",
        more="goal: {event: {on: 2027-03-14, distance: half marathon}}",
    )
    weeks_done = plan_of(text).weeks[:3]
    log = [
        {"on": s.on.isoformat(), "ran": f"{s.run_minutes:g} min"}
        for w in weeks_done
        for s in w.sessions
        if s.is_run
    ]
    plan = plan_of(text, log, "2027-02-22")

    assert training(plan.weeks[8]) <= training(plan.weeks[7])
    assert training(plan.weeks[9]) <= training(plan.weeks[8])


def test_an_event_after_the_plan_changes_nothing() -> None:
    text = runner(more="goal: {event: {on: 2027-06-06, distance: 10 km}}")

    assert plan_of(text).sessions == plan_of(runner()).sessions


@pytest.mark.parametrize("distance", ["5 km", "10 km", "half marathon", "marathon"])
@pytest.mark.parametrize("every", [2, 3, 4, 5])
def test_minutes_fall_from_week_to_week_also_after_an_easier_one(distance: str, every: int) -> None:
    """Bosquet 2007: volume falls. 60 % of the peak after a week at half of it would be a rise. The
    event alone is the reason, also in a week that would have been an easier one."""
    for end in range(6, 13):
        last = date(2027, 1, 4) + timedelta(weeks=end, days=-1)
        plan = plan_of(
            runner(
                baseline=BASE,
                week=DAYS,
                plan=f"{{from: 2027-01-04, weeks: {end}, ease: {{every: {every}, by: 50 %}}}}",
                more=f"goal: {{event: {{on: {last}, distance: {distance}}}}}",
            )
        )
        first = next(n for n, w in enumerate(plan.weeks) if w.kind in ("taper", "event"))
        minutes = [training(w) for w in plan.weeks[first - 1 :]]
        assert minutes == sorted(minutes, reverse=True), (end, minutes)
        reasons = {d.rule for w in plan.weeks[first:] for d in w.decisions}
        assert "taper" in reasons and "ease" not in reasons


# Weeks after the event, in shares of the largest building week: common practice, no source.
CLIMBS = {
    "5 km": (50, 75),
    "10 km": (50, 75),
    "half marathon": (40, 60, 80),
    "marathon": (30, 30, 45, 60, 80),
}


@pytest.mark.parametrize("distance", CLIMBS)
@pytest.mark.parametrize("on", ["2027-03-11", "2027-03-14"])
@pytest.mark.parametrize(
    ("days", "level"),
    [("wed sun", 90), ("tue thu sun", 90), ("tue thu sun", 180), ("mon tue thu sat sun", 260)],
)
def test_after_the_event_weeks_climb_back_in_steps(
    distance: str, on: str, days: str, level: int
) -> None:
    """No week of them is over its step, none is hard, and none crowds its minutes on fewer runs."""
    offered = ", ".join(f"{day}: {{}}" for day in days.split())
    plan = plan_of(
        runner(
            baseline=f"{{on: 2027-01-04, cadence: 172 spm, pace: 6:30 /km, week: {level} min, "
            f"longest: {level * 2 // 5} min, runs: {len(days.split())}}}",
            week=f"{{{offered}, long: sun}}",
            plan="{from: 2027-01-04, weeks: 20, ease: {every: 8}, hard: {from_week: 3}}",
            more=f"goal: {{event: {{on: {on}, distance: {distance}}}}}",
        )
    )
    event = next(w.number for w in plan.weeks if w.kind == "event")
    before = [w for w in plan.weeks[: event - 1] if w.kind == "build"]
    peak = max(training(w) for w in before)
    usual = max(s.run_minutes for w in before for s in w.sessions if s.is_run)
    steps = CLIMBS[distance]
    after = plan.weeks[event : event + len(steps)]

    for week, share in zip(after, steps, strict=True):
        runs = [s.run_minutes for s in week.sessions if s.is_run]
        assert sum(runs) <= peak * share / 100
        assert week.kind != "build" and not any(s.hard for s in week.sessions)
        assert max(runs, default=0) <= usual
    assert len([s for s in after[-1].sessions if s.is_run]) == len(days.split())
    assert max(training(w) for w in plan.weeks[event + len(steps) :]) > training(after[-1])


@pytest.mark.parametrize("on", ["2027-01-09", "2027-01-17"])
def test_the_steps_after_an_event_early_in_the_plan_are_shares_of_a_whole_week(on: str) -> None:
    """No week was built before it; the steps themselves are none, or each would shrink the next."""
    plan = plan_of(
        runner(
            baseline="{on: 2027-01-01, cadence: 172 spm, pace: 6:30 /km, week: 240 min, "
            "longest: 100 min, runs: 3}",
            plan="{from: 2027-01-04, weeks: 12, ease: {every: 8}}",
            more=f"goal: {{event: {{on: {on}, distance: marathon}}}}",
        )
    )
    event = next(w.number for w in plan.weeks if w.kind == "event")
    minutes = [training(w) for w in plan.weeks[event + 1 : event + 4]]

    assert minutes == [72, 108, 144]  # 30, 45 and 60 % of 240 min


def test_a_last_step_that_gave_way_to_an_easier_week_is_taken_after_it() -> None:
    """Five weeks after a marathon 204 min, 61 % of the peak, were followed by all of it, 334."""
    plan = plan_of(
        runner(
            baseline="{on: 2027-01-04, cadence: 172 spm, pace: 6:30 /km, week: 260 min, "
            "longest: 120 min, runs: 3}",
            plan="{from: 2027-01-04, weeks: 20}",
            more="goal: {event: {on: 2027-03-21, distance: marathon}}",
        )
    )
    peak = max(training(w) for w in plan.weeks[:10])
    easier, step, whole = plan.weeks[15:18]

    assert (easier.kind, step.kind, whole.kind) == ("ease", "hold", "build")
    assert training(easier) < training(step) <= 0.8 * peak + 1 < training(whole)


def test_weeks_climb_after_the_event_alone() -> None:
    """Without an event in the plan no week is one of them."""
    plan = plan_of(runner(plan="{from: 2027-01-04, weeks: 20}"))

    assert not [d for w in plan.weeks for d in w.decisions if d.rule in ("taper", "event_days")]


def test_an_event_whose_place_in_the_file_another_one_took_is_still_recovered_from() -> None:
    """The week after a race of 10 km had 235 min of building, as the next event was written."""
    first = "goal: {event: {on: 2027-02-14, distance: 10 km}}"
    text = runner(
        baseline="{on: 2027-01-04, cadence: 172 spm, pace: 6:00 /km, week: 150 min, "
        "longest: 60 min, runs: 3}",
        week="{tue: {}, thu: {}, sun: {}, long: sun}",
        plan="{from: 2027-01-04, weeks: 20}",
        more=f"checkins: none\n{first}",
    )
    case = case_of(text)
    raced = expand(case, date(2027, 2, 14))
    new = ledger.new_in(ledger.shown(raced), (), date(2027, 2, 14))
    assert new is not None
    later = text.replace(first, "goal: {event: {on: 2027-05-16, distance: half marathon}}")
    for other in (later, text.replace(first, "")):
        weeks = expand(replace(case_of(other), told=(new,)), date(2027, 2, 15)).weeks
        usual = expand(replace(case, told=(new,)), date(2027, 2, 15)).weeks
        assert [w.kind for w in weeks[5:8]] == ["event", "ease", "ease"]
        assert all(30 < training(weeks[n]) <= training(usual[n]) for n in (6, 7))
        assert not [s for w in weeks[6:8] for s in w.sessions if s.hard]
        assert weeks[8].kind != "hold"


def test_a_week_without_a_run_before_the_event_is_said_to_have_none() -> None:
    """ "0 min before the event: fresh legs count now."."""
    text = runner(
        baseline="{on: 2027-01-02, cadence: 156 spm, week: 0 min}",
        week="{mon: {up_to: 30 min}, wed: {}, thu: {}}",
        screening=NEW_TO_EXERCISE,
        plan="{from: 2027-01-04, weeks: 6, runs: 2}",
        more="goal: {event: {on: 2027-02-09, distance: 10 km}}",
    )
    says = [str(d.says) for w in plan_of(text).weeks for d in w.decisions if d.rule == "taper"]

    assert "No run before the event: fresh legs count now." in says
    assert [one for one in says if one.startswith("0 min")] == []
