"""The coach's own decisions: obeyed last, on record, warned about where they break a limit."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generated import DAY, MONDAY, WEEK, Life, life_of, lives, runner, training
from sitegen.model.plan import Plan, Session
from support import plan_of
from test_promises import EVERY_LIFE, EXAMPLES, sums

BASE = "{on: 2027-01-04, cadence: 160 spm, pace: 6:00 /km, week: 200 min, longest: 60 min, runs: 4}"
DAYS = "{tue: {}, thu: {up_to: 1 h}, sat: {}, sun: {}, long: sun}"


def changed(change: str, **more: str) -> Plan:
    """Eight weeks with one change in the third, which begins on 18 January."""
    text = runner(
        baseline=BASE, week=DAYS, more=f"changes: [{{{change}, because: she asked}}]", **more
    )
    return plan_of(text)


def untouched(**more: str) -> Plan:
    return plan_of(runner(baseline=BASE, week=DAYS, **more))


def on(plan: Plan, day: str) -> list[Session]:
    return [s for s in plan.sessions if s.on.isoformat() == day]


def recorded(plan: Plan, week: int) -> list[str]:
    return [str(d.says) for d in plan.weeks[week - 1].decisions if d.rule == "changes"]


def warned(plan: Plan) -> bool:
    return any(p.code == "plan-changes" and p.level == "warning" for p in plan.problems)


def test_a_day_of_rest() -> None:
    plan = changed("on: 2027-01-19, rest: yes")

    assert on(untouched(), "2027-01-19") and not on(plan, "2027-01-19")
    assert "she asked" in recorded(plan, 3)[0]


def test_a_run_moved_beside_another_is_told_where_the_plan_keeps_them_apart() -> None:
    """Thursday to Friday, before Saturday's long run: what else it breaks is told beside it."""
    days = "{tue: {}, thu: {}, sat: {}, long: sat}"
    told = []
    for to in ("2027-01-22", "2027-01-20"):
        change = f"changes: [{{on: 2027-01-21, move_to: {to}, because: she asked}}]"
        plan = plan_of(runner(baseline=BASE.replace("runs: 4", "runs: 3"), week=days, more=change))
        told.append(" ".join(recorded(plan, 3)))
    before = "{sat: {}, sun: {}, tue: {}, long: sun}"
    change = "changes: [{on: 2027-01-19, move_to: 2027-01-22, because: she asked}]"
    usual = plan_of(runner(baseline=BASE.replace("runs: 4", "runs: 3"), week=before, more=change))

    assert "is not a day that this client offers" in told[0]
    assert "The runs of 2027-01-22 and 2027-01-23 now follow each other" in told[0]
    assert "The runs of 2027-01-19 and 2027-01-20 now follow each other" in told[1]
    assert "follow each other" not in " ".join(recorded(usual, 3))  # its week-end does so anyway


def test_a_week_of_rest() -> None:
    plan = changed("week: 3, rest: yes")

    assert plan.weeks[2].sessions == ()
    assert "she asked" in recorded(plan, 3)[0]
    assert training(plan.weeks[4]) <= training(untouched().weeks[4])


def test_minutes_of_a_day() -> None:
    plan = changed("on: 2027-01-19, minutes: 25 min")

    assert [s.run_minutes for s in on(plan, "2027-01-19")] == [25]
    assert on(plan, "2027-01-19")[0].id == on(untouched(), "2027-01-19")[0].id
    assert not warned(plan)


def test_minutes_of_a_week() -> None:
    plan = changed("week: 3, minutes: 150 min")

    assert training(plan.weeks[2]) == 150
    assert "she asked" in recorded(plan, 3)[0]
    assert not warned(plan)


def test_the_week_after_goes_on_from_the_level_before_what_the_coach_set() -> None:
    """Her own lighter or heavier week is a decision, not a measurement."""
    for minutes in (40, 150):
        plan = changed(f"week: 2, minutes: {minutes} min")
        assert training(plan.weeks[1]) == minutes
        assert training(plan.weeks[2]) == training(untouched().weeks[1])


def test_another_kind_of_session() -> None:
    plan = changed("on: 2027-01-19, kind: tempo")
    session = on(plan, "2027-01-19")[0]

    assert session.kind == "tempo" and session.hard
    assert session.run_minutes == on(untouched(), "2027-01-19")[0].run_minutes


@pytest.mark.parametrize("kind", ["ease", "hold"])
def test_another_kind_of_week(kind: str) -> None:
    plan = changed(f"week: 3, kind: {kind}")

    assert plan.weeks[2].kind == kind
    assert training(plan.weeks[2]) <= training(plan.weeks[1]) * (0.7 if kind == "ease" else 1)


def test_a_week_made_to_build_grows_no_further_than_is_enough() -> None:
    """150 min are enough where nobody says: a week made to build in place of ease had 165."""
    text = runner(
        plan="{from: 2027-01-04, weeks: 9}",
        more="changes: [{week: 8, kind: build, because: well}]",
    )
    assert [training(w) for w in plan_of(text).weeks[6:]] == [150, 150, 150]


def test_an_easy_week_made_a_building_one() -> None:
    plan = changed("week: 4, kind: build")

    assert plan.weeks[3].kind == "build"
    assert training(plan.weeks[3]) > training(plan.weeks[2])


def test_cadence_of_a_week() -> None:
    plan = changed("week: 3, cadence: 166 spm")

    assert plan.weeks[2].cadence.aim == 166
    assert "she asked" in recorded(plan, 3)[0]
    assert not warned(plan)


@pytest.mark.parametrize("spm", [150, 180])
def test_a_cadence_below_baseline_or_over_the_ceiling_is_warned_about(spm: int) -> None:
    plan = changed(f"week: 3, cadence: {spm} spm")

    assert plan.weeks[2].cadence.aim == spm
    assert warned(plan)


@pytest.mark.parametrize("spm", [150, 180])
def test_so_it_is_on_a_day(spm: int) -> None:
    plan = changed(f"on: 2027-01-19, cadence: {spm} spm")
    cued = {p.cadence_spm for s in on(plan, "2027-01-19") for p in s.parts if p.cadence_spm}

    assert cued == {spm}
    assert warned(plan)


def test_a_move_within_the_week_keeps_the_id() -> None:
    plan = changed("on: 2027-01-19, move_to: 2027-01-20")
    moved = on(plan, "2027-01-20")

    assert not on(plan, "2027-01-19")
    assert [s.id for s in moved] == [s.id for s in on(untouched(), "2027-01-19")]
    assert moved[0].moved_from == date(2027, 1, 19)
    assert training(plan.weeks[2]) == training(untouched().weeks[2])


def test_a_move_to_a_day_that_is_not_offered_is_warned_about() -> None:
    assert warned(changed("on: 2027-01-19, move_to: 2027-01-20"))


def test_a_move_into_another_week() -> None:
    """Its minutes stand in the week where it is run."""
    plan, before = changed("on: 2027-01-19, move_to: 2027-01-27"), untouched()
    moved = next(s for s in plan.sessions if s.moved_from)

    assert moved in plan.weeks[3].sessions and moved not in plan.weeks[2].sessions
    assert training(plan.weeks[2]) == training(before.weeks[2]) - moved.run_minutes
    assert all(w.start <= s.on < w.start + WEEK for w in plan.weeks for s in w.sessions)


def test_a_move_that_overfills_the_other_week_is_warned_about() -> None:
    """The easy week 4 gets a run of week 3 on top: over 70 % of the building week."""
    plan = changed("on: 2027-01-19, move_to: 2027-01-26")

    assert training(plan.weeks[3]) > 0.7 * training(untouched().weeks[2])
    assert warned(plan)


def test_a_move_onto_a_day_that_has_a_run_already_is_warned_about_where_it_is_too_much() -> None:
    """Thursday offers an hour; two runs do not fit."""
    assert warned(changed("on: 2027-01-19, move_to: 2027-01-21"))


def test_a_move_beside_the_long_run_of_a_hard_session_is_warned_about() -> None:
    hard = {"plan": "{from: 2027-01-04, weeks: 8, hard: {from_week: 1, per_week: 1}}"}
    session = next(s for s in untouched(**hard).weeks[2].sessions if s.hard)
    plan = changed(f"on: {session.on.isoformat()}, move_to: 2027-01-23", **hard)

    assert any("neighbouring" in p.message for p in plan.problems)


def test_a_move_across_the_weekend_beside_the_long_run_is_warned_about() -> None:
    """A hard session moved to the Monday after Sunday's long run."""
    hard = {"plan": "{from: 2027-01-04, weeks: 8, hard: {from_week: 1, per_week: 1}}"}
    session = next(s for s in untouched(**hard).weeks[2].sessions if s.hard)
    plan = changed(f"on: {session.on.isoformat()}, move_to: 2027-01-25", **hard)

    assert any("neighbouring" in p.message for p in plan.problems)


@pytest.mark.parametrize("minutes", [90, 180])
def test_a_run_over_a_tenth_longer_than_any_lately_is_carried_out_and_warned_about(
    minutes: int,
) -> None:
    plan = changed(f"on: 2027-01-24, minutes: {minutes} min")

    assert [s.run_minutes for s in on(plan, "2027-01-24")] == [minutes]
    assert warned(plan)


def test_a_week_over_the_growth_is_carried_out_and_warned_about() -> None:
    plan = changed("week: 3, minutes: 400 min")

    assert training(plan.weeks[2]) == 400
    assert warned(plan)


def test_a_hard_session_in_an_easy_week_is_carried_out_and_warned_about() -> None:
    plan = changed("on: 2027-01-26, kind: intervals")

    assert on(plan, "2027-01-26")[0].hard
    assert warned(plan)


def test_a_hard_session_over_a_fifth_of_the_week_is_warned_about() -> None:
    plan = changed("on: 2027-01-24, kind: tempo")

    assert on(plan, "2027-01-24")[0].hard
    assert warned(plan)


def test_a_hard_session_without_clearance_is_warned_about() -> None:
    plan = changed(
        "on: 2027-01-21, kind: strides",
        screening="{on: 2026-12-01, regular_exercise: yes, known_disease: yes, symptoms: no}",
    )

    assert warned(plan)


@pytest.mark.parametrize(
    ("session", "more", "says"),
    [
        ("easy-off-road", {"more": "history: {medicines: [blood_thinner]}"}, "Uneven ground"),
        ("easy-off-road", {}, ""),
        ("tempo-short", {"plan": "{from: 2027-01-04, weeks: 8, hard: {from_week: 2}}"}, "Two hard"),
        ("easy", {"baseline": BASE.replace("200", "30").replace("60", "15")}, "without a walk"),
        ("easy", {}, ""),
    ],
)
def test_what_a_session_of_the_coachs_brings_with_it_is_told(
    session: str, more: dict[str, str], says: str
) -> None:
    text = {"baseline": BASE, "week": "{tue: {}, wed: {}, fri: {}, sun: {}, long: sun}", **more}
    before = text.pop("more", "")
    days = [s.on for s in plan_of(runner(**text)).weeks[2].sessions if s.hard]
    on = days[0] + DAY if days else date(2027, 1, 20)
    change = f"changes: [{{on: {on}, session: {session}, minutes: 25 min, because: she asked}}]"
    plan = plan_of(runner(more=f"{before}\n{change}", **text))
    told = [p.message for p in plan.problems if p.code == "plan-changes"]

    assert [t for t in told if says in t] if says else not told


def test_a_day_without_a_session_gets_one_where_the_minutes_are_given() -> None:
    plan = changed("on: 2027-01-20, minutes: 20 min")
    added = on(plan, "2027-01-20")

    assert [s.run_minutes for s in added] == [20]
    assert len({s.id for s in plan.sessions}) == len(plan.sessions)


def test_a_change_on_a_day_without_a_session_says_that_it_does_nothing() -> None:
    assert warned(changed("on: 2027-01-20, kind: tempo"))


def test_days_before_a_change_stay_as_they_were() -> None:
    plan, before = changed("on: 2027-01-21, minutes: 10 min"), untouched()

    assert [s for s in plan.sessions if s.on < date(2027, 1, 21)] == [
        s for s in before.sessions if s.on < date(2027, 1, 21)
    ]


def test_two_changes_of_one_day_are_carried_out_in_order() -> None:
    text = runner(
        baseline=BASE,
        week=DAYS,
        more="changes:\n"
        "- {on: 2027-01-19, minutes: 30 min, because: less time}\n"
        "- {on: 2027-01-19, minutes: 20 min, because: even less}\n",
    )

    assert [s.run_minutes for s in on(plan_of(text), "2027-01-19")] == [20]


def test_no_session_is_lost_in_a_move_out_of_the_plan() -> None:
    """Carried out or not, a move past the plan's last day is warned about."""
    plan = changed("on: 2027-01-19, move_to: 2027-06-01")

    assert warned(plan) or on(plan, "2027-01-19")


def test_minutes_for_a_week_that_is_paused_run_into_nothing_with_a_word() -> None:
    """60 min for a week that a sign pauses: nothing is planned, and the coach hears why."""
    text = runner(
        baseline=BASE, week=DAYS, more="changes: [{week: 3, minutes: 60 min, because: she asked}]"
    )
    plan = plan_of(text, "[{on: 2027-01-05, ran: 10 min, signs: [limp]}]", "2027-01-06")

    assert plan.weeks[2].sessions == ()
    assert plan.problems


def test_the_plan_after_a_change_keeps_its_promises_on_days_offered() -> None:
    plan = changed("week: 3, minutes: 100 min")
    later = [s for s in plan.sessions if s.on >= date(2027, 1, 25)]

    assert {s.on.weekday() for s in later} <= {1, 3, 5, 6}
    assert all(s.on - timedelta(0) >= date(2027, 1, 25) for s in later)


# --- any change to any client ------------------------------------------------------------------


@st.composite
def one_change(draw: st.DrawFn, weeks: int) -> dict[str, str]:
    """A change that the reader accepts, of a day or of a week."""
    day = (MONDAY + DAY * draw(st.integers(0, 7 * weeks - 1))).isoformat()
    found = {"because": "she asked"}
    if draw(st.integers(0, 2)) == 0:
        found["week"] = str(draw(st.integers(1, weeks)))
        what = draw(st.sampled_from(("rest", "minutes", "kind", "cadence")))
        kinds = ("build", "ease", "hold")
    else:
        found["on"] = day
        what = draw(st.sampled_from(("rest", "minutes", "kind", "cadence", "move_to")))
        kinds = ("easy", "long", "run_walk", "beat", "strides", "tempo", "intervals", "strength")
    values = {
        "rest": "yes",
        "minutes": f"{draw(st.integers(1, 200))} min",
        "kind": draw(st.sampled_from(kinds)),
        "cadence": f"{draw(st.integers(140, 200))} spm",
        "move_to": (MONDAY + DAY * draw(st.integers(0, 7 * weeks - 1))).isoformat(),
    }
    return found | {what: values[what]}


@settings(EVERY_LIFE, max_examples=EXAMPLES // 4)
@given(life=lives(), data=st.data())
def test_any_change_is_recorded_leaves_earlier_weeks_alone_and_a_plan_that_adds_up(
    life: Life, data: st.DataObject
) -> None:
    """Whole minutes, lasting ids, each session in its week; what the coach wrote is on record."""
    change = data.draw(one_change(life.client.plan.weeks))
    after = life_of(life.raw | {"changes": [change]}, life.entries, life.as_of.isoformat())

    assert list(sums(after)) == []
    days = [date.fromisoformat(change[key]) for key in ("on", "move_to") if key in change]
    weeks = [int(change["week"])] if "week" in change else [life.week_of(day) for day in days]
    rules = [d.rule for d in after.plan.weeks[weeks[0] - 1].decisions]
    stopped = life.plan.weeks[weeks[0] - 1].kind == "pause"
    assert "changes" in rules or stopped or not life.plan.weeks[weeks[0] - 1].sessions
    assert [w.sessions for w in after.plan.weeks[: min(weeks) - 1]] == [
        w.sessions for w in life.plan.weeks[: min(weeks) - 1]
    ]
