"""What comes back after a stop: the dose of a return, and nothing hard before a clinician says so.

The care contract's sentence on a lift: it "brings back the return's dose, not the full week". The
shares are those of the days without a run (`test_rule_absence`); both are judgement, no source.
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache

import pytest

from sitegen.model.plan import Week
from support import plan_of

DAY = timedelta(days=1)
SIGN_ON, LIFT_ON = date(2027, 2, 10), date(2027, 2, 12)  # Wednesday and Friday of week 6
NOW, TODAY = "chest_pain", "limp"
SEEN = "seen_by: a doctor, because: seen"


def client(more: str = "", cleared: str = "") -> str:
    return f"""
    name: Sam Vale
    screening: {{on: 2026-12-01, regular_exercise: yes, known_disease: no, symptoms: no{cleared}}}
    baseline: {{on: 2027-01-04, cadence: 160 spm, pace: '6:30 /km', week: 120 min,
                longest: 45 min, runs: 3}}
    week: {{tue: {{}}, thu: {{}}, sat: {{}}, sun: {{}}, long: sun}}
    plan: {{from: 2027-01-04, weeks: 11, enough: 300 min, hard: {{per_week: 1}}}}
    {more}
    """


def lifted(
    sign: str, on: date = LIFT_ON, more: str = SEEN, cleared: str = "", goal: str = ""
) -> str:
    lift = f"changes: [{{on: {on}, lifts: {sign} {SIGN_ON}, {more}}}]"
    return client(f"{lift}\n    {goal}", cleared)


@lru_cache
def log(sign: str, until: date = SIGN_ON) -> str:
    """Every run done as it was told until the sign, and none after it."""
    entries: list[str] = []
    for monday in (date(2027, 1, 4) + 7 * DAY * n for n in range(6)):
        plan = plan_of(client(), f"[{', '.join(entries)}]", str(monday))
        week = next(w for w in plan.weeks if w.start == monday)
        entries += [
            f"{{on: {s.on}, ran: {s.run_minutes:.0f} min, effort: 3, pain: {{during: 0}}}}"
            for s in week.sessions
            if s.is_run and s.on < until
        ]
    told = [f"{{on: {until}, signs: [{sign}]}}"] if sign else []
    return f"[{', '.join([*entries, *told])}]"


def after(file: str, sign: str = NOW, as_of: date = LIFT_ON) -> dict[int, Week]:
    return {w.number: w for w in plan_of(file, log(sign), str(as_of)).weeks}


def hard_weeks(weeks: dict[int, Week]) -> set[int]:
    """Weeks with a hard run from the day of the lift on."""
    return {n for n, w in weeks.items() for s in w.sessions if s.hard and s.on >= LIFT_ON}


@pytest.mark.parametrize("sign", [NOW, TODAY])
def test_the_first_whole_week_is_a_return_at_four_fifths(sign: str) -> None:
    before = after(client(), "")[5].run_minutes
    weeks = after(lifted(sign), sign)

    assert before == 174
    assert weeks[6].kind == weeks[7].kind == "return"
    assert weeks[7].run_minutes == 139 == int(before * 0.8)
    assert not hard_weeks(weeks) & {6, 7}


def test_the_rest_of_its_own_week_is_smaller_too_and_no_run_a_new_longest() -> None:
    weeks = after(lifted(TODAY), TODAY)
    ran = max(s.run_minutes for n in (1, 2, 3, 4, 5) for s in weeks[n].sessions if s.is_run)
    left = [s.run_minutes for s in weeks[6].sessions if s.is_run and s.on >= LIFT_ON]

    assert left and max(left) <= 0.8 * ran


def test_a_lift_on_a_monday_is_one_week_and_the_level_is_built_on_from_there() -> None:
    weeks = after(lifted(TODAY, date(2027, 2, 15)), TODAY, date(2027, 2, 15))

    assert [weeks[n].kind for n in (6, 7, 8, 9)] == ["pause", "return", "ease", "build"]
    assert weeks[7].run_minutes == 139
    assert weeks[9].run_minutes <= 140 * 1.1


def test_in_an_easier_week_the_return_is_a_part_of_that_and_growth_begins_there() -> None:
    """Week 8 is an easier one in any case: a return in it is less than what stood there."""
    on = date(2027, 2, 22)
    sign = date(2027, 2, 21)
    file = client(f"changes: [{{on: {on}, lifts: limp {sign}, {SEEN}}}]")
    told = log(TODAY, sign)
    eased = {w.number: w.run_minutes for w in plan_of(client(), log("", sign), str(on)).weeks}[8]
    weeks = {w.number: w for w in plan_of(file, told, str(on)).weeks}

    assert weeks[8].kind == "return" and eased > 100
    # Neither the room of a building week nor the easier week is told, which the return took over.
    assert not {d.rule for d in weeks[8].decisions} & {"volume", "ease"}
    assert "volume" in {d.rule for d in weeks[9].decisions}
    assert eased * 0.75 < weeks[8].run_minutes <= eased * 0.8
    assert weeks[9].run_minutes <= max(weeks[8].run_minutes * 1.1, weeks[8].run_minutes + 10) + 1


def test_the_return_is_no_more_than_a_part_of_what_was_really_run() -> None:
    """Of weeks of some 146 min half was run, run for run: four fifths of that."""
    halves = [
        f"{{on: {s.on}, ran: {s.run_minutes / 2:.0f} min, effort: 3, pain: {{during: 0}}}}"
        for w in plan_of(client(), "[]", "2027-01-04").weeks[:6]
        for s in w.sessions
        if s.is_run and s.on < SIGN_ON
    ]
    told = f"[{', '.join([*halves, f'{{on: {SIGN_ON}, signs: [limp]}}'])}]"
    on = date(2027, 2, 15)
    week = plan_of(lifted(TODAY, on), told, str(on)).weeks[6]
    dose = next(d.after for d in week.decisions if d.rule == "after_stop")

    assert week.kind == "return" and dose is not None and 50 <= dose <= 60  # without it 106


def test_a_run_of_which_nothing_was_heard_is_no_part_of_the_dose_after_a_stop() -> None:
    """One run of each week is told, at full length: the level stays, the dose is of that one."""
    runs = [
        s
        for w in plan_of(client(), "[]", "2027-01-04").weeks[:6]
        for s in w.sessions
        if s.kind == "long" and s.on < SIGN_ON
    ]
    told = [
        f"{{on: {s.on}, ran: {s.run_minutes:.0f} min, effort: 3, pain: {{during: 0}}}}"
        for s in runs
    ]
    on = date(2027, 2, 15)
    entries = f"[{', '.join([*told, f'{{on: {SIGN_ON}, signs: [limp]}}'])}]"
    week = plan_of(lifted(TODAY, on), entries, str(on)).weeks[6]
    dose = next(d.after for d in week.decisions if d.rule == "after_stop")

    assert week.kind == "return" and dose is not None
    assert 0 < dose <= 0.8 * max(s.run_minutes for s in runs)


def test_who_is_known_to_have_run_nothing_comes_back_to_no_more_than_who_ran_a_little() -> None:
    """Long runs were left out and nothing was heard of the others: of 30 min, as none are less."""
    told = [
        f"{{on: {s.on}, skipped: other}}"
        for w in plan_of(client(), "[]", "2027-01-04").weeks[:6]
        for s in w.sessions
        if s.kind == "long" and s.on < SIGN_ON
    ]
    on = date(2027, 2, 15)
    entries = f"[{', '.join([*told, f'{{on: {SIGN_ON}, signs: [limp]}}'])}]"
    week = plan_of(lifted(TODAY, on), entries, str(on)).weeks[6]

    assert week.kind == "return" and 0 < week.run_minutes <= 0.8 * 30


def test_after_a_stop_the_long_run_of_an_event_grows_from_the_runs_since() -> None:
    goal = "goal: {event: {on: 2027-03-21, distance: 10 km}}"
    on = date(2027, 2, 15)
    weeks = after(lifted(TODAY, on, goal=goal), TODAY, on)
    longest = {
        n: max((s.run_minutes for s in w.sessions if s.is_run), default=0) for n, w in weeks.items()
    }

    assert longest[5] > longest[9] > 0
    assert longest[9] <= max(0.35 * weeks[9].run_minutes, 1.1 * max(longest[7], longest[8])) + 1


def test_a_long_stop_comes_back_as_a_long_absence_does_in_the_week_after_it_too() -> None:
    """Twenty-three days without a run: 60 %, also where the first two runs have been done."""
    on = date(2027, 3, 4)
    weeks = after(lifted(TODAY, on), TODAY, on)

    assert [weeks[n].kind for n in (9, 10)] == ["return", "return"]
    assert weeks[10].run_minutes <= 174 * 0.6


def test_after_a_sign_of_now_nothing_is_hard_until_a_clearance_for_all_after_it() -> None:
    assert hard_weeks(after(lifted(TODAY), TODAY)) == {9, 10, 11}
    barred = after(lifted(NOW))
    assert hard_weeks(barred) == set()
    runs = [s for n in (7, 8, 9, 10, 11) for s in barred[n].sessions if s.is_run]
    assert max(s.effort_high for s in runs) <= 3  # easy running only, so nothing steady either

    cleared = ", cleared_on: {}, cleared_by: a doctor, cleared_for: {}"
    later = [
        cleared.format(on, what) for on, what in (("2027-03-09", "all"), ("2027-03-09", "easy"))
    ]
    older = cleared.format("2027-02-10", "all")
    assert hard_weeks(after(lifted(NOW, cleared=later[0]))) == {11}
    assert hard_weeks(after(lifted(NOW, cleared=later[1]))) == set()
    assert hard_weeks(after(lifted(NOW, cleared=older))) == set()


def test_a_clearance_alone_frees_with_the_dose_of_a_return_and_for_easy_running_alone() -> None:
    def weeks(what: str) -> dict[int, Week]:
        return after(client(cleared=f", cleared_on: 2027-02-12, cleared_by: a doctor{what}"))

    assert (
        weeks(", cleared_for: easy")[7].run_minutes
        == weeks(", cleared_for: all")[7].run_minutes
        == 139
    )
    assert hard_weeks(weeks(", cleared_for: easy")) == set()
    assert hard_weeks(weeks(", cleared_for: all")) == {9, 10, 11}


def test_what_is_lost_is_said_to_the_coach_with_the_way_out() -> None:
    plan = plan_of(lifted(NOW), log(NOW), str(LIFT_ON))
    told = [p for p in plan.problems if p.code == "plan-after_stop" and "Easy running" in p.message]

    assert len(told) == 1 and told[0].message.startswith("weeks 6 to 11: ")
    assert "cleared_for: all" in told[0].hint and "false_alarm: yes" in told[0].hint


@pytest.mark.parametrize(("sign", "effort"), [(NOW, 3), (TODAY, None)])
def test_an_event_is_an_easy_run_until_hard_running_is_cleared(sign: str, effort: int) -> None:
    goal = "goal: {event: {on: 2027-03-21, distance: 5 km}}"
    weeks = after(lifted(sign, goal=goal), sign)
    event = next(s for w in weeks.values() for s in w.sessions if s.kind == "event")

    assert ("clinician" in str(event.parts[1].text)) == (sign == NOW)
    assert (event.effort_high <= 3) == (effort == 3)


def test_a_coach_puts_nothing_hard_where_it_is_barred() -> None:
    more = f"{SEEN}}}, {{on: 2027-03-16, session: repeats, because: wants it"
    weeks = after(lifted(NOW, more=more))

    assert hard_weeks(weeks) == set()
    assert any("is a hard session, so the day stays" in str(d.says) for d in weeks[11].decisions)


@pytest.mark.parametrize("sign", [NOW, TODAY])
def test_a_false_alarm_leaves_nothing_to_come_back_from(sign: str) -> None:
    """The plan of who never told of it, but for the days that it was stopped on."""
    never = after(client(), "")
    weeks = after(lifted(sign, more=f"false_alarm: yes, {SEEN}"), sign)

    assert [s for s in weeks[6].sessions if SIGN_ON < s.on < LIFT_ON] == []
    assert [s for s in weeks[6].sessions if s.on >= LIFT_ON] == [
        s for s in never[6].sessions if s.on >= LIFT_ON
    ]
    assert hard_weeks(weeks) == hard_weeks(never)
    assert "after_stop" not in {d.rule for w in weeks.values() for d in w.decisions}


def test_a_false_alarm_is_told_as_one_to_client_and_coach() -> None:
    plan = plan_of(lifted(NOW, more=f"false_alarm: yes, {SEEN}"), log(NOW), str(LIFT_ON))
    words = [str(d.says) for w in plan.weeks for d in w.decisions if d.rule == "signs"]

    assert words == [
        f"Your plan was stopped from {SIGN_ON} to {LIFT_ON}: it was a false alarm. "
        "Who looked into it: a doctor. Sessions stand again."
    ]
    assert [a.freed_by for a in plan.alarms if a.matter == NOW] == ["a doctor: a false alarm"]


def test_who_starts_from_nothing_is_held_at_the_first_step() -> None:
    text = client(f"changes: [{{on: {LIFT_ON}, lifts: limp {SIGN_ON}, {SEEN}}}]").replace(
        "week: 120 min,\n                longest: 45 min, runs: 3", "week: 0 min"
    )
    weeks = {
        w.number: w
        for w in plan_of(text, f"[{{on: {SIGN_ON}, signs: [limp]}}]", str(LIFT_ON)).weeks
    }

    assert 0 < weeks[7].run_minutes <= 10
    assert weeks[9].run_minutes >= weeks[7].run_minutes


def test_silence_in_the_week_of_a_return_brings_no_more_than_a_word_would() -> None:
    """What nobody told keeps the level of a building week; of a return, no more than its dose."""
    monday = date(2027, 2, 22)  # after the first whole week, the seventh
    file = lifted(NOW)
    weeks = after(file)
    runs = [s for n in (6, 7) for s in weeks[n].sessions if s.is_run and s.on > LIFT_ON]
    told = "".join(
        f", {{on: {s.on}, ran: {s.run_minutes:.0f} min, effort: 3, pain: {{during: 0}}}}"
        for s in runs
    )
    heard, silent = (
        next(w for w in plan_of(file, text, str(monday)).weeks if w.start == monday)
        for text in (f"{log(NOW)[:-1]}{told}]", log(NOW))
    )

    assert runs and heard.run_minutes > 0
    assert silent.run_minutes <= heard.run_minutes


def test_why_nothing_is_hard_after_a_sign_of_now_is_told_once() -> None:
    """What bars it says so; the rule of hard running does not say it again in other words."""
    weeks = after(lifted(NOW), NOW)
    for number in range(8, 12):
        told = [d for d in weeks[number].decisions if "hard" in str(d.says)]
        assert [d.rule for d in told] == ["after_stop"], [str(d.says) for d in told]
    assert not hard_weeks(weeks)


def test_weeks_of_a_run_or_two_before_a_stop_count_as_days_without_one() -> None:
    """From 200 min a week to 65, 33 and none around an illness: of the days since it was ill."""
    file = client(f"changes: [{{on: 2027-02-22, lifts: swelling 2027-02-16, {SEEN}}}]").replace(
        "week: 120 min,\n                longest: 45", "week: 200 min,\n longest: 60"
    )
    full = [(4 + 7 * week + day, 50) for week in range(4) for day in (1, 3, 5, 6)]
    few = [(33, 65), (41, 33)]
    entries = [
        f"{{on: {date(2027, 1, 1) + (on - 1) * DAY}, ran: {minutes} min, effort: 3}}"
        for on, minutes in full + few
    ]
    entries += [f"{{on: {date(2027, 2, day)}, skipped: ill}}" for day in (4, 6, 9)]
    told = ", ".join([*entries, "{on: 2027-02-16, signs: [swelling]}"])
    week = plan_of(file, f"[{told}]", "2027-02-22").weeks[7]
    dose = next(d for d in week.decisions if d.rule == "after_stop")

    assert week.kind == "return" and dose.after is not None
    assert 65 <= dose.after <= 0.6 * 200
