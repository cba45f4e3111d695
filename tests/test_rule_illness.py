"""Ill: nothing until it is said to be over and a day more, then easy; and what tells of it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from generated import NEW_TO_EXERCISE, NOTHING, runner
from sitegen.care import sentences
from sitegen.care.illness import is_ill
from sitegen.model.plan import Plan, Session
from sundays import CLIENT, Told, lived, ran
from support import plan_of

DAYS = "{mon: yes, tue: yes, wed: yes, thu: yes, fri: yes, sat: yes, sun: yes}"
FEVER = "{on: 2027-01-11, skipped: ill, said: A fever of 39.}"


def days_of(plan: Plan, first: str, last: str) -> list[str]:
    return [s.on.isoformat() for s in plan.sessions if first <= s.on.isoformat() <= last]


def ahead(plan: Plan) -> list[date]:
    return [s.on for s in plan.sessions if s.on >= plan.as_of]


@pytest.mark.parametrize(
    "told",
    [
        FEVER,
        "{on: 2027-01-11, signs: [fever]}",
        "{on: 2027-01-11, ran: 20 min, signs: [chest_cold]}",
        "{on: 2027-01-11, skipped: ill, said: Vomiting all night.}",
        "{on: 2027-01-11, skipped: ill, said: Tos y flemas.}",
        "{on: 2027-01-11, said: Tengo fiebre.}",
        "{on: 2027-01-11, signs: [upset_stomach]}",
    ],
)
def test_fever_chest_and_gut_leave_nothing_until_it_is_said_to_be_over(told: str) -> None:
    for as_of in ("2027-01-11", "2027-01-14", "2027-01-30"):
        plan = plan_of(runner(), f"[{told}]", as_of)
        kept = [day for day in ahead(plan) if day.isoformat() != "2027-01-11"]
        assert kept == [] and plan.status == "paused", "no clinician is asked for by itself"
        assert str(plan.decisions[0].says) == sentences.LINE_ILL


@pytest.mark.parametrize("over", ["well_again: yes", "ran: 20 min"])
def test_a_day_after_it_is_over_the_plan_goes_on_and_easy_for_as_long(over: str) -> None:
    log = f"[{FEVER}, {{on: 2027-01-14, {over}}}]"
    for as_of in ("2027-01-14", "2027-01-15"):
        plan = plan_of(runner(week=DAYS), log, as_of)
        days = days_of(plan, "2027-01-15", "2027-01-31")
        assert days and days[0] >= "2027-01-16", "24 h more"
        told = [w for w in plan.weeks for d in w.decisions if d.says == d.says and
                str(d.says) == sentences.LINE_ILL_EASY]  # fmt: skip
        assert not [s for w in told for s in w.sessions if s.hard]
    after = plan_of(runner(week=DAYS), log, "2027-01-16")
    assert str(sentences.LINE_ILL_EASY) in {str(d.says) for d in after.weeks[1].decisions}
    assert after.weeks[1].kind in ("hold", "return")


def test_a_run_of_the_day_on_which_it_was_told_ends_nothing() -> None:
    """The morning's run was before the fever; so is one of a later telling's day."""
    same = f"[{FEVER}, {{on: 2027-01-11, ran: 30 min}}]"
    again = f"[{FEVER}, {{on: 2027-01-12, skipped: ill}}, {{on: 2027-01-12, ran: 30 min}}]"
    for log in (same, again):
        plan = plan_of(runner(), log, "2027-01-14")
        assert plan.status == "paused" and not [d for d in ahead(plan) if d.day > 13]


@pytest.mark.parametrize("day", [14, 15, 16])
def test_a_milder_word_after_a_fever_takes_none_of_its_easy_days(day: int) -> None:
    """Neither the day without a run nor the three easy days, nor their smaller weeks."""
    over = f"{FEVER}, {{on: 2027-01-14, well_again: yes}}"
    told = f"{over}, {{on: 2027-01-{day}, skipped: ill}}, {{on: 2027-01-17, ran: 20 min}}"
    one = plan_of(runner(week=DAYS), f"[{over}, {{on: 2027-01-17, ran: 20 min}}]", "2027-01-18")
    other = plan_of(runner(week=DAYS), f"[{told}]", "2027-01-18")

    assert days_of(other, "2027-01-15", "2027-01-15") == []
    lines = {str(d.says) for w in other.weeks for d in w.decisions}
    assert sentences.LINE_ILL_BACK in lines and not [s for s in other.weeks[2].sessions if s.hard]
    for week, calm in zip(other.weeks[1:4], one.weeks[1:4], strict=True):
        assert week.run_minutes <= calm.run_minutes


def test_easy_days_are_as_many_as_it_lasted_and_seven_at_most() -> None:
    from sitegen.model.problem import Origin
    from sitegen.rules.illness import Ill

    first = date(2027, 1, 4)
    for lasted in range(0, 15):
        over = first + timedelta(lasted)
        window = Ill(first, True, Origin("x"), over).easy_days()
        assert window is not None
        assert window[0] == over + timedelta(2)
        assert (window[1] - window[0]).days + 1 == min(max(lasted, 1), 7)


def test_ill_without_such_words_is_easy_by_feel_and_says_so() -> None:
    plan = plan_of(runner(), "[{on: 2027-01-11, skipped: ill, said: A runny nose.}]", "2027-01-12")

    assert plan.status == "active" and ahead(plan)
    assert sentences.LINE_ILL_BY_FEEL in {str(d.says) for d in plan.weeks[1].decisions}
    assert plan.weeks[1].kind == "hold"


def test_after_three_weeks_ill_it_is_the_return_of_four_weeks_away() -> None:
    log = "[{on: 2027-01-10, ran: 40 min}, {on: 2027-01-11, signs: [fever]}, %s]"
    long = plan_of(runner(), log % "{on: 2027-02-02, well_again: yes}", "2027-02-08")
    said = [str(d.says) for w in long.weeks for d in w.decisions if d.rule == "absence"]
    assert any("back at 50 %" in line for line in said)

    short = plan_of(runner(), log % "{on: 2027-01-30, well_again: yes}", "2027-02-08")
    said = [str(d.says) for w in short.weeks for d in w.decisions if d.rule == "absence"]
    assert not any("back at 50 % of" in line for line in said[:1])


@pytest.mark.parametrize(
    ("days", "kind"), [(0, "urgent"), (10, "urgent"), (28, "urgent"), (29, "sign")]
)
def test_the_heart_after_an_infection_calls_for_help_now(days: int, kind: str) -> None:
    on = date(2027, 1, 4) + timedelta(days)
    log = f"[{{on: 2027-01-04, signs: [fever]}}, {{on: {on}, signs: [palpitations]}}]"
    plan = plan_of(runner(), log, on.isoformat())

    line = sentences.LINE_NOW if kind == "urgent" else sentences.LINE_TODAY
    assert plan.decisions[0].says.template == line
    assert {a.kind for a in plan.alarms if a.matter == "palpitations"} == {
        "now" if kind == "urgent" else "today"
    }


def test_as_of_an_earlier_day_an_illness_that_was_run_after_is_over() -> None:
    """A look back at a log that goes on: all that is dated ahead counts from that day."""
    log = "[{on: 2027-01-26, skipped: ill}, {on: 2027-01-28, ran: 30 min}]"
    known, never = (plan_of(runner(), told, "2027-01-15") for told in (log, "[]"))
    assert ahead(known) == ahead(never)
    assert known.weeks[1].run_minutes == never.weeks[1].run_minutes


@pytest.mark.parametrize(
    "text",
    [
        "Ran with a bit of flu last year, fine now.", "No fever, only a cold.", "Hay fever again.",
        "First run after the flu.", "The fever is gone.", "My son has a fever.", "Flu jab today.",
        "Covid test negative.", "Test de covid negativo, menos mal.",
        "A positive run all the same.",
        "Sick of hills all day.", "Di positivo ánimo al grupo.", "Vomited once after the sprint.",
        "Threw up after the last repeat.", "Sin fiebre.", "Mi hija tiene gripe.",
        "My stomach was full of pasta.", "Since the fever I sleep well.", "Fever pitch at the end.",
        "It had a temperature of 25 outside.", "We had a temperature drop at the lake.",
        "No temperature, no shivers.", "The last hill gives me the shivers.",
        "My son has a temperature.",
        "Had a temperature last winter, fine since.", "Shivering at the start, what a wind.",
        "Gané por unas décimas.", "La llegada me dio escalofríos.", "Con temperatura agradable.",
        "Mejoré mi marca, tengo décimas de segundo de sobra.", "No tengo décimas ni tos.",
    ],
)  # fmt: skip
def test_harmless_words_are_no_illness(text: str) -> None:
    assert not is_ill(text)


@pytest.mark.parametrize(
    "text",
    [
        "Fever of 38.5 since last night.", "I have the flu.", "Bronchitis, says the doctor.",
        "A stomach bug, up all night.", "Fiebre toda la noche.", "Tengo gripe.", "Covid again.",
        "Positive covid test.", "Covid test came back positive", "tested positive this morning",
        "vomited all night", "was sick all night", "threw up all night",
        "Test de covid positivo.", "he dado positivo", "vomité toda la noche",
        "toda la noche con diarrea",
        "A chesty cough.", "My daughter was ill, and now I have a fever.",
        "Had a temperature and the shivers since last night, stayed in bed.",
        "Running a slight temperature today", "Woke with a high temperature.",
        "Shivering in bed all night", "Aching and shivering since noon",
        "chills and sweats all night",
        "Tengo unas décimas desde anoche.", "Escalofríos toda la noche",
        "Tuve escalofríos y tiritona",
        "Temperatura de 38,5 esta mañana.", "Tengo temperatura desde ayer.",
    ],
)  # fmt: skip
def test_words_of_an_illness_are_found(text: str) -> None:
    assert is_ill(text)


def test_who_starts_from_nothing_and_is_ill_at_once_begins_after_it_on_all_their_runs() -> None:
    """Without a week done there is no level to hold: the first step stands for it."""
    newcomer = runner(
        baseline=NOTHING, screening=NEW_TO_EXERCISE, week="{tue: yes, thu: yes, sun: yes}"
    )
    ill = "[{on: 2027-01-05, ran: 3 min}, {on: 2027-01-07, skipped: ill, signs: [fever]}, "
    plan = plan_of(newcomer, f"{ill}{{on: 2027-01-09, well_again: yes}}]", "2027-01-11")

    assert plan.status == "active"
    runs = [sum(s.is_run for s in week.sessions) for week in plan.weeks[1:5]]
    assert runs == [3, 3, 3, 3]
    assert 0 < plan.weeks[1].run_minutes <= 10


@pytest.mark.parametrize(("over", "ran", "share"), [(26, 29, 80), (27, 31, 60)])
def test_a_fever_that_ends_within_a_week_is_come_back_from_in_the_next(
    over: int, ran: int, share: int
) -> None:
    """After 14 days without a run and one of 20 min the next week had more than the best before."""
    log = (
        "[{on: 2027-01-12, ran: 44 min}, {on: 2027-01-14, ran: 43 min}, "
        "{on: 2027-01-17, ran: 58 min}, {on: 2027-01-18, skipped: ill, said: A fever of 39.}, "
        f"{{on: 2027-01-{over}, well_again: yes}}, {{on: 2027-01-{ran}, ran: 20 min}}]"
    )
    text = runner(week="{tue: {}, thu: {}, sun: {}}", plan="{from: 2027-01-04, weeks: 12}")
    week = plan_of(text, log, "2027-02-01").weeks[4]
    (said,) = [d for d in week.decisions if d.rule == "absence"]

    assert week.kind == "return" and said.says.values["share"] == share
    assert week.run_minutes <= share / 100 * plan_of(text, log, "2027-01-17").weeks[1].run_minutes


@pytest.mark.parametrize(
    ("last", "between", "weeks"),
    [
        (date(2027, 2, 9), None, [159, 159, 111]),
        (date(2027, 2, 12), None, [159, 159, 111]),
        (date(2027, 2, 10), date(2027, 2, 7), [174, 159, 111]),
        (date(2027, 2, 5), None, [174, 191, 133]),  # a few days cost what a run left out costs
    ],
)
def test_no_week_is_a_new_high_straight_out_of_a_week_of_illness(
    last: date, between: date | None, weeks: list[float]
) -> None:
    """Ill from the 4th on, without fever: 159 min had been run, and 174 followed, one run of them
    hard. The level stays, so that after the first week back the plan grows from there."""

    def tells(run: Session) -> list[Told]:
        is_ill = date(2027, 2, 4) <= run.on <= last and run.on != between
        return [Told(run.on, {"on": str(run.on), "skipped": "ill"} if is_ill else ran(run))]

    life = lived(tells, 8, CLIENT.replace("growth: 10 %", "growth: 10 %, hard: {from_week: 3}"))
    back, after = life.plans[date(2027, 2, 14)].weeks[6], life.plans[date(2027, 2, 28)].weeks[8]

    assert life.minutes[2] == 158 and life.minutes[5:] == weeks
    is_held = weeks[1] == 159
    assert (sentences.LINE_ILL_BACK in {str(d.says) for d in back.decisions}) is is_held
    assert any(s.hard for s in back.sessions) is not is_held
    assert sum(s.run_minutes for s in after.sessions) > 159


def test_the_rest_of_the_week_in_which_a_fever_ended_is_no_new_high_either() -> None:
    """A day of fever, one more, one of easy running; and on Sunday the longest run so far."""
    log = (
        "[{on: 2027-01-05, ran: 44 min}, {on: 2027-01-07, ran: 43 min}, {on: 2027-01-10, ran: 45 "
        "min}, {on: 2027-01-11, signs: [fever]}, {on: 2027-01-12, well_again: yes}]"
    )
    text = runner(week="{tue: {}, thu: {}, sun: {}}", plan="{from: 2027-01-04, weeks: 12}")
    week = plan_of(text, log, "2027-01-16").weeks[1]

    assert week.kind == "hold" and week.sessions[-1].on == date(2027, 1, 17)
    assert week.sessions[-1].run_minutes <= plan_of(text, "[]").weeks[0].longest_minutes


@pytest.mark.parametrize(("days", "short", "share"), [(14, 30, 60), (14, 70, None), (7, 30, None)])
def test_a_run_or_two_in_two_weeks_of_illness_keep_nobody_as_far_as_whole_weeks_would(
    days: int, short: int, share: int | None
) -> None:
    """Of 120 min a week 15 and 30 were run while ill, and the whole of it was due at once."""
    first = date(2027, 1, 4)
    ran = [
        f"{{on: {first + timedelta(weeks=week, days=day)}, ran: 40 min}}"
        for week in range(3)
        for day in (1, 3, 6)
    ]
    last = date(2027, 1, 24)
    ill = [
        f"{{on: {last + timedelta(n)}, skipped: ill}}"
        for n in range(2, days)
        if n not in (4, days - 5)
    ]
    over = last + timedelta(days)
    told = [*ran, *ill, f"{{on: {over - timedelta(5)}, ran: {short} min}}"]
    told += [f"{{on: {last + timedelta(4)}, ran: 15 min}}"] if days > 7 else []
    log = f"[{', '.join([*told, f'{{on: {over}, skipped: time, well_again: yes}}'])}]"
    text = runner(
        week="{tue: {}, thu: {}, sun: {}}",
        plan="{from: 2027-01-04, weeks: 12, growth: 0 %, ease: {every: 8}}",
    )
    monday = over + timedelta(1)
    week = next(w for w in plan_of(text, log, str(monday)).weeks if w.start == monday)
    said = [d.says.values.get("share") for d in week.decisions if d.rule == "absence"]

    assert said == ([share] if share else [])
    assert week.run_minutes <= 120 * (share or 100) / 100 and week.run_minutes > 60
