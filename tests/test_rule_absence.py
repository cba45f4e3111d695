"""Days without a run: come back to less than was left."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise

import pytest

from generated import NEW_TO_EXERCISE, runner, training
from sitegen.model.plan import Plan, Session
from sundays import CLIENT, DAY, FIRST, Told, lived, ran, skipped
from support import plan_of

MONDAY = date(2027, 3, 8)
WEEK = timedelta(days=7)


def away(days: int, *, continuous: str = "", screening: str | None = None) -> Plan:
    """A plan that begins ``days`` days after the last logged run, as of its first Monday.

    The week to come back to has 100 min.
    """
    last = (MONDAY - timedelta(days=days)).isoformat()
    text = runner(
        baseline=f"{{on: {last}, cadence: 160 spm, pace: 6:30 /km, week: 100 min, longest: 40 min, "
        f"runs: 3{continuous}}}",
        plan=f"{{from: {MONDAY.isoformat()}, weeks: 6}}",
        **({"screening": screening} if screening else {}),
    )
    return plan_of(text, f"[{{on: {last}, ran: 40 min}}]", MONDAY.isoformat())


@pytest.mark.parametrize("days", [1, 6])
def test_under_a_week_the_plan_goes_on(days: int) -> None:
    plan = away(days)

    assert plan.weeks[0].kind == "build"
    assert training(plan.weeks[0]) > 100


@pytest.mark.parametrize(
    ("days", "most"), [(7, 80), (13, 80), (14, 60), (27, 60), (28, 50), (55, 50)]
)
def test_the_longer_the_absence_the_less_there_is_to_come_back_to(days: int, most: int) -> None:
    plan = away(days)

    assert plan.weeks[0].kind == "return"
    assert most - 3 <= training(plan.weeks[0]) <= most


@pytest.mark.parametrize("days", [56, 57, 100])
def test_from_eight_weeks_a_new_baseline_is_asked_for(days: int) -> None:
    plan = away(days)
    words = [str(d.says) for d in plan.weeks[0].decisions if d.rule == "absence"]

    assert training(plan.weeks[0]) <= 50
    assert any("baseline" in w for w in words)
    assert any("baseline" in p.message for p in plan.problems)


@pytest.mark.parametrize(("days", "down"), [(6, 0), (27, 0), (28, 1), (55, 1)])
def test_from_four_weeks_one_rung_down(days: int, down: int) -> None:
    ladder = {"continuous": ", continuous: 5 min", "screening": NEW_TO_EXERCISE}

    assert away(1, **ladder).weeks[0].rung - away(days, **ladder).weeks[0].rung == down


def test_who_ran_thirty_minutes_comes_back_to_the_last_rung_but_one_at_most() -> None:
    """One rung down from 30 min without a walk is a run/walk again."""
    plan = away(30)

    assert plan.weeks[0].rung is not None


def test_the_week_after_the_return_builds_on_what_came_back() -> None:
    plan = away(14)

    assert training(plan.weeks[0]) <= 60
    assert training(plan.weeks[1]) <= 70


def test_an_absence_within_the_plan_is_counted_to_the_next_week() -> None:
    """Last run on Sunday of week 1, then ill: on Monday of week 3 that is eight days ago."""
    log = """
    - {on: 2027-01-05, ran: 40 min}
    - {on: 2027-01-07, ran: 40 min}
    - {on: 2027-01-10, ran: 40 min}
    - {on: 2027-01-12, skipped: ill}
    - {on: 2027-01-14, skipped: ill}
    - {on: 2027-01-16, skipped: ill}
    """
    plan = plan_of(runner(), log, "2027-01-18")

    assert plan.weeks[2].kind == "return"
    assert training(plan.weeks[2]) <= 132 * 0.8


def test_an_absence_shows_in_the_rest_of_the_current_week_too() -> None:
    """As of Thursday of week 2 the last run is nine days ago: Saturday's run is a return."""
    log = """
    - {on: 2027-01-05, ran: 40 min}
    - {on: 2027-01-07, skipped: ill}
    - {on: 2027-01-09, skipped: ill}
    - {on: 2027-01-12, skipped: ill}
    """
    ill = plan_of(runner(), log, "2027-01-14")
    well = plan_of(runner(), log, "2027-01-10")

    def rest(plan: Plan) -> float:
        return sum(s.run_minutes for s in plan.weeks[1].sessions if s.on >= date(2027, 1, 14))

    assert ill.weeks[1].kind == "return" and well.weeks[1].kind == "hold"
    assert 0 < rest(ill) <= 0.85 * rest(well)


def test_a_run_of_which_nothing_was_heard_is_no_absence() -> None:
    """The same gap, and nobody said that nothing was run in it: the week is repeated, not cut."""
    plan = plan_of(runner(), "[{on: 2027-01-10, ran: 40 min}]", "2027-01-18")

    assert plan.weeks[2].kind == "build"
    assert training(plan.weeks[2]) == training(plan.weeks[0])


def test_weeks_ahead_assume_that_the_plan_is_followed() -> None:
    """A log that ends today is no absence for the weeks to come."""
    log = "[{on: 2027-01-05, ran: 40 min}]"
    plan = plan_of(runner(), log, "2027-01-05")

    assert [w.kind for w in plan.weeks[1:3]] == ["build", "build"]


def test_an_easier_week_left_out_costs_the_week_after_it_and_not_the_level() -> None:
    """Week 4 is the easier one; nobody ran in it, and week 6 is worth what it would have been."""
    weeks = [
        plan_of(runner(), _log({4}), "2027-02-01").weeks,
        plan_of(runner(), _log(set()), "2027-02-01").weeks,
    ]
    (missed, usual) = weeks

    assert missed[4].kind == "return" and training(missed[4]) < training(usual[4])
    assert missed[5].worth == usual[4].worth > usual[2].worth


def test_ill_in_an_easier_week_is_an_absence_all_the_same() -> None:
    ill = plan_of(runner(), _log({4}, "ill"), "2027-02-01").weeks
    missed = plan_of(runner(), _log({4}), "2027-02-01").weeks

    assert training(ill[5]) < training(missed[5])


def test_one_run_missed_is_no_absence_inside_the_week() -> None:
    """Two runs a week: the next one is seven days after the last, and stays as it was."""
    text = runner(week="{tue: {}, sat: {}}")
    log = "[{on: 2027-01-05, ran: 60 min}, {on: 2027-01-09, skipped: time}]"
    plan = plan_of(text, log, "2027-01-12")

    assert plan.weeks[1].kind == "build"


ROTA = "[{tue: {}, thu: {}, sun: {}, long: sun}, {sat: {}}]"
BIG_WEEK = [f"{{on: 2027-01-{day}, ran: 44 min}}" for day in ("05", "07", "10")]


@pytest.mark.parametrize(
    ("why", "kind", "kept"),
    [("time", "build", True), ("travel", "return", True), ("ill", "return", False)],
)
def test_the_one_run_of_a_small_week_left_out_costs_no_level(
    why: str, kind: str, kept: bool
) -> None:
    """Three runs and one in rotation: with the one of a week away 160 min became 116, and 81 for
    the 137 of the next big week."""
    log = f"[{', '.join([*BIG_WEEK, f'{{on: 2027-01-16, skipped: {why}}}'])}]"
    week = plan_of(runner(week=ROTA), log, "2027-01-18").weeks[2]

    assert week.kind == kind
    assert (week.worth >= 132) is kept


@pytest.mark.parametrize(("missed", "left"), [((16,), 48.0), ((16, 23), 48 * 0.6)])
def test_who_runs_once_a_week_comes_back_to_the_level_after_one_run_left_out(
    missed: tuple[int, ...], left: float
) -> None:
    """Two weeks lie between the runs, so the week is less; one that went well follows as before."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 48 min, "
        "longest: 48 min, runs: 1}",
        week="{sat: {}}",
        plan="{from: 2027-01-04, weeks: 8, growth: 0 %}",
    )
    log = ["{on: 2027-01-09, ran: 48 min}"]
    log += [f"{{on: 2027-01-{day}, skipped: time}}" for day in missed]
    plan = plan_of(
        text, f"[{', '.join(log)}]", (date(2027, 1, 11) + WEEK * len(missed)).isoformat()
    )
    back = plan.weeks[1 + len(missed)]

    assert back.kind == "return" and training(back) < 48
    assert back.worth == pytest.approx(left)


def test_one_run_left_out_beside_others_that_nobody_heard_of_is_an_absence() -> None:
    """Of three runs one was told as left out, and the others were hardly run."""
    log = f"[{', '.join([*BIG_WEEK, '{on: 2027-01-12, skipped: time}'])}]"
    plan = plan_of(runner(week="{tue: {}, thu: {}, sun: {}}"), log, "2027-01-18")

    assert plan.weeks[2].kind == "return"
    assert plan.weeks[2].worth < 132


def _log(missed: set[int], why: str = "time") -> str:
    """Four weeks of the runner's days, all run as told but for the ``missed`` weeks."""
    plan = plan_of(runner(), "[]", "2027-01-04")
    lines = []
    for week in plan.weeks[:4]:
        for session in (s for s in week.sessions if s.is_run):
            said = (
                f"skipped: {why}"
                if week.number in missed
                else f"ran: {session.run_minutes:.0f} min"
            )
            lines.append(f"- {{on: {session.on}, {said}}}")
    return "\n".join(lines)


def _away(*days: tuple[str, str], on: str = "2027-01-03", as_of: str = "2027-01-04") -> Plan:
    dated = ", ".join(f"{{from: {first}, to: {last}, because: x}}" for first, last in days)
    text = runner(
        baseline=f"{{on: {on}, cadence: 160 spm, pace: 6:30 /km, week: 120 min, longest: 45 min, "
        "runs: 3}",
        plan="{from: 2027-01-04, weeks: 16}",
        more=f"away: [{dated}]",
    )
    return plan_of(text, "[]", as_of)


def test_days_away_in_two_entries_are_one_absence() -> None:
    one = _away(("2027-02-01", "2027-02-21"))
    in_two = _away(("2027-02-11", "2027-02-21"), ("2027-02-01", "2027-02-10"))

    assert [training(w) for w in in_two.weeks] == [training(w) for w in one.weeks]
    assert training(in_two.weeks[8]) < 120


def test_a_baseline_taken_after_days_away_leaves_none_to_come_back_from() -> None:
    away = ("2027-02-01", "2027-04-04")

    assert _away(away, as_of="2027-04-05").weeks[13].kind == "return"
    taken_anew = _away(away, on="2027-04-05", as_of="2027-04-05").weeks[13]
    assert taken_anew.kind == "build" and training(taken_anew) >= 120


def test_the_sentence_says_the_rules_own_share_in_an_easier_week_too() -> None:
    """Over a week: 80 %, as the rule's promise has it, also where the week holds less."""
    text = runner(
        baseline=f"{{on: {MONDAY - timedelta(days=21)}, cadence: 160 spm, pace: 6:30 /km, "
        "week: 100 min, longest: 40 min, runs: 3}",
        plan=f"{{from: {MONDAY - timedelta(days=21)}, weeks: 6}}",
    )
    ran = MONDAY - timedelta(days=10)
    left_out = f"{{on: {MONDAY - timedelta(days=1)}, skipped: travel}}"
    log = f"[{{on: {ran}, ran: 30 min}}, {left_out}]"
    week = plan_of(text, log, MONDAY.isoformat()).weeks[3]
    said = {d.rule: d for d in week.decisions}

    assert said["absence"].before == 70  # an easier week of 100 min
    assert "80 %" in str(said["absence"].says)
    assert training(week) <= 70


@pytest.mark.parametrize("days", [29, 36, 43])
def test_a_second_week_of_coming_back_takes_no_part_of_the_part(days: int) -> None:
    """Half of the half: runs of 7 min in the week of the end, and then of 3."""
    for last in range(5):
        end = date(2027, 3, 8) + timedelta(days=last)
        away = f"away: [{{from: {end - timedelta(days=days)}, to: {end}, because: a trip}}]"
        plan = plan_of(
            runner(
                baseline="{on: 2027-01-04, cadence: 172 spm, pace: 6:00 /km, week: 90 min, "
                "longest: 35 min, runs: 4}",
                week="{mon: {}, tue: {}, thu: {}, sat: {}, sun: {}}",
                plan="{from: 2027-01-04, weeks: 14}",
                more=away,
            )
        )
        first, second = plan.weeks[9:11]
        assert (first.kind, second.kind) == ("return", "return")
        assert second.longest_minutes >= first.longest_minutes
        assert training(second) <= 0.5 * 110


@pytest.mark.parametrize(
    "told",
    ["pain: {during: 3, after: 2}", "pain: {during: 6, after: 3, next_morning: 1, walking: 0}"],
)
def test_pain_in_the_week_of_return_gives_nothing_of_the_return_back(told: str) -> None:
    """The level after it is that of the return, as it would be without the pain, or less."""
    last = MONDAY - timedelta(days=10)
    text = runner(
        baseline=f"{{on: {last}, cadence: 160 spm, pace: 6:30 /km, week: 100 min, longest: 40 min, "
        "runs: 3}",
        plan=f"{{from: {MONDAY}, weeks: 6, growth: 0 %}}",
    )
    days = [s.on for s in plan_of(text, f"[{{on: {last}, ran: 40 min}}]", str(MONDAY)).sessions]
    runs = [f"{{on: {last}, ran: 40 min}}", *(f"{{on: {on}, ran: 20 min}}" for on in days[:2])]
    hurt = [*runs[:-1], runs[-1].replace("}", f", {told}}}")]

    def after(log: list[str]) -> float:
        return training(plan_of(text, f"[{', '.join(log)}]", str(MONDAY + WEEK)).weeks[1])

    assert after(runs) == 80
    assert 0 < after(hurt) <= 80


@pytest.mark.parametrize("skipped", ["time", "ill"])
def test_who_left_out_every_run_since_the_plan_began_has_been_away_since_then(skipped: str) -> None:
    """Five weeks ill from the first day on were followed by 142 min: no run was logged from which
    days could be counted. A run of which nothing was heard stays one that may have been run."""
    told: list[str] = []
    for number in range(4):
        day = (date(2027, 1, 4) + WEEK * number).isoformat()
        week = plan_of(runner(), f"[{', '.join(told)}]", day).weeks[number]
        told += [f"{{on: {s.on}, skipped: {skipped}}}" for s in week.sessions if s.is_run]
    away, silent = (
        plan_of(runner(), f"[{', '.join(log)}]", "2027-02-01").weeks[4] for log in (told, told[:2])
    )

    assert away.kind == "return" and training(away) <= 0.5 * 120
    assert any("28 days" in str(d.says) for d in away.decisions if d.rule == "absence")
    assert not [d for d in silent.decisions if d.rule == "absence"]


@pytest.mark.parametrize("said", ["", ", said: fever"])
def test_weeks_of_illness_come_back_to_the_part_that_is_told(said: str) -> None:
    """Each week left out, ill without fever, was a part of the one before: of 171 min a week 11
    were left after five, and the page spoke of half."""
    told: list[str] = []
    for number in range(7):
        day = (date(2027, 1, 4) + WEEK * number).isoformat()
        week = plan_of(runner(), f"[{', '.join(told)}]", day).weeks[number]
        for session in (s for s in week.sessions if s.is_run):
            what = "skipped: ill" + said if number > 1 else f"ran: {session.run_minutes:.0f} min"
            told.append(f"{{on: {session.on}, {what}}}")
    told += ["{on: 2027-02-21, well_again: yes}"] if said else []
    weeks = plan_of(runner(), f"[{', '.join(told)}]", "2027-02-22").weeks
    back, level = weeks[7], weeks[1].worth

    assert back.kind == "return"
    assert 0.4 * level <= training(back) <= 0.5 * level


@pytest.mark.parametrize(
    ("of_return", "grows"),
    [
        (["ran", "ran", "ran"], True),
        (["ran", "skipped", "ran"], True),
        (["ran", "skipped", "skipped"], False),
        (["skipped", "skipped", "ran"], False),
        (["", "", "ran"], False),  # what nobody told of counts as left out
    ],
)
def test_a_return_of_which_half_was_left_out_is_repeated_before_the_next_step(
    of_return: list[str], grows: bool
) -> None:
    """Two weeks away, and of the week after them one run of three: the next was a tenth larger."""
    away, back = FIRST + DAY * 14, FIRST + DAY * 28

    def tells(run: Session) -> list[Told]:
        if away <= run.on < back:
            return [Told(run.on, {"on": str(run.on), "skipped": "travel"})]
        if back <= run.on < back + WEEK:
            how = of_return[{1: 0, 3: 1, 6: 2}[run.on.weekday()]]
            return [Told(run.on, ran(run) if how == "ran" else skipped(run))] if how else []
        return [Told(run.on, ran(run))]

    text = CLIENT.replace("growth: 10 %", "growth: 10 %, ease: {every: 8}")
    life = lived(tells, 8, text)
    first, second, third = life.minutes[4:7]

    assert life.plans[back - DAY].weeks[4].kind == "return"
    assert second > first if grows else first - 3 <= second <= first  # of whole minutes a run
    assert third > first  # it goes on once a week was run
    said = [d for d in life.plans[back + DAY * 6].weeks[5].decisions if d.rule == "volume"]
    assert any("the week of coming back had" in str(d.says) for d in said) is not grows


def test_who_tells_of_nothing_by_agreement_has_the_level_after_days_away() -> None:
    """No word would ever end the wait."""
    away = "away: [{from: 2027-02-01, to: 2027-02-10, because: a trip}]\ncheckins: none"
    text = runner(plan="{from: 2027-01-04, weeks: 12, ease: {every: 8}}", more=away)
    weeks = plan_of(text, "[]", "2027-03-08").weeks

    assert training(weeks[6]) < training(weeks[3]) == training(weeks[9])


def test_days_of_a_week_without_a_word_say_no_more_of_an_absence_than_its_monday_did() -> None:
    """Four weeks after the last run on a Saturday: on Sunday the next week ran and walked in turn,
    and on Monday it did not, as the week's runs were told and may have been run."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 152 spm, pace: 6:40 /km, week: 90 min, longest: 63 "
        "min, runs: 2}",
        week="{tue: {}, sat: {}, long: sat}",
        plan="{from: 2027-01-04, weeks: 8, enough: 10 h}",
    )
    runs = "{on: 2027-01-09, ran: 50 min}, {on: 2027-01-16, ran: 55 min}"
    left_out = ", ".join(
        f"{{on: 2027-{day}, skipped: time}}" for day in ("01-19", "01-30", "02-06")
    )
    sunday, monday = (
        plan_of(text, f"[{runs}, {left_out}]", f"2027-02-{day}").weeks[6] for day in (14, 15)
    )

    assert sunday.sessions == monday.sessions and sunday.sessions


@pytest.mark.parametrize("until", [6, 8, 10])
def test_weeks_of_one_run_left_out_and_no_other_word_are_no_parts_of_one_another(
    until: int,
) -> None:
    """Of 330 min a week 264, 158, 66, 47, 23 and 11 were left, and nothing: each is a part of the
    level, and once runs are told weeks go on from what was lastly told."""
    first = FIRST + DAY * 21

    def tells(run: Session) -> list[Told]:
        if first <= run.on < FIRST + DAY * 7 * until:
            return [Told(run.on, skipped(run))] if run.on.weekday() == 1 else []
        return [Told(run.on, ran(run))]

    text = CLIENT.replace("growth: 10 %", "growth: 10 %, ease: {every: 8}")
    minutes = lived(tells, until + 4, text).minutes
    least, back = min(minutes[4 : until + 1]), minutes[until:]

    assert least >= 0.3 * minutes[3]  # half of the level, by running and walking in turn or eased
    assert max(minutes[n + 1] / minutes[n] for n in range(4, until)) <= 1.1
    # A tenth or ten minutes, also after an easier week.
    assert all(after <= max(before * 1.6, before + 10) for before, after in pairwise(back))


def test_a_run_moved_on_into_the_next_week_makes_no_return_of_it():
    """ "After 0 days away: back at 100 %" stood over a week of coming back that nothing led to."""
    text = runner(
        week="{wed: {}, fri: {}, sun: {}}",
        plan="{from: 2027-01-04, weeks: 8}",
        more="changes: [{on: 2027-01-24, move_to: 2027-01-26, because: a wedding}]",
    )
    log = "[{on: 2027-01-13, ran: 30 min}, {on: 2027-01-17, ran: 45 min}]"
    week = plan_of(text, log, "2027-01-17").weeks[3]

    assert any(s.on == date(2027, 1, 26) for s in week.sessions)
    assert week.kind != "return"
    assert [d for d in week.decisions if d.rule == "absence"] == []


HOLIDAY = runner(
    week="{tue: {}, thu: {}, sun: {}, long: sun}",
    plan="{from: 2027-01-04, weeks: 10, growth: 0 %}",
    more="away: [{from: 2027-02-01, to: 2027-02-07, because: A walk in the hills}]",
)


@pytest.mark.parametrize("words", [{}, {"said": "A fever of 39."}], ids=["a cold", "a fever"])
def test_ill_in_a_week_of_coming_back_is_come_back_from_by_what_was_run(
    words: dict[str, str],
) -> None:
    """30 min in a fortnight were followed by 96 of 120 min after a cold, by all 120 after a fever;
    and those, all run, by 80 %, as if the days before them had come after."""

    def tells(session: Session) -> Sequence[Told]:
        on = session.on
        if not date(2027, 2, 8) <= on <= date(2027, 2, 14):
            return [Told(on, ran(session))]
        if on == date(2027, 2, 9):
            return [Told(on, {"on": str(on), "ran": "30 min", "effort": "3"})]
        well = [Told(on, {"on": str(on), "well_again": "yes"})] if on.weekday() == 6 else []
        return [Told(on, {"on": str(on), "skipped": "ill", **words}), *well]

    minutes = lived(tells, 9, HOLIDAY).minutes
    whole, ill, eased, after = minutes[2], *minutes[6:9]

    assert ill <= 0.6 * whole
    assert eased <= 0.7 * whole
    assert ill <= after <= 0.8 * whole  # no part of a part
