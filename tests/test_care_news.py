"""Words of a pregnancy or of a new medicine in a check-in: for the coach to ask about, and no stop.

The sentences are invented, and our own judgement of what a coach should hear of.
"""

from __future__ import annotations

import pytest

from generated import DAY, MONDAY, runner
from sitegen.care.news import news_said
from sitegen.plan.alarms import alarms
from sitegen.plan.condition import log_with_readings
from sitegen.plan.fold import expand
from support import case_of

SAID = [
    ("pregnant", "I am pregnant, seven weeks! I would like to go on running."),
    ("pregnant", "I'm pregnant"),
    ("pregnant", "I think I might be pregnant"),
    ("pregnant", "Just found out that I'm 6 weeks pregnant"),
    ("pregnant", "The pregnancy test was positive"),
    ("pregnant", "We are expecting a baby in autumn"),
    ("pregnant", "Creo que estoy embarazada otra vez."),
    ("pregnant", "Me he quedado embarazada"),
    ("pregnant", "El test de embarazo ha dado positivo"),
    ("pregnant", "Estoy embarazada de siete semanas"),
    ("medicines", "My doctor started me on new tablets for blood pressure on Friday."),
    ("medicines", "Doctor put me on an antibiotic, ciprofloxacin, for my bladder."),
    ("medicines", "I was prescribed steroids for the asthma"),
    ("medicines", "Started a new medicine last week"),
    ("medicines", "I'm on beta blockers now"),
    ("medicines", "New blood pressure pills since Monday"),
    ("medicines", "They switched me to warfarin"),
    ("medicines", "Empecé con unas pastillas nuevas para el tiroides."),
    ("medicines", "El médico me ha recetado antibióticos"),
    ("medicines", "Estoy tomando corticoides"),
    ("medicines", "Me han cambiado la medicación"),
]

NOTHING = [
    "I am not pregnant", "No, I'm so glad I'm not pregnant", "My sister is pregnant",
    "My wife is seven weeks pregnant", "A pregnant pause at the start", "Pregnancy test negative",
    "Before the pregnancy I ran faster", "When I was pregnant I walked", "No estoy embarazada",
    "Mi hermana está embarazada", "Test de embarazo negativo", "Antes del embarazo corría más",
    "Took a painkiller yesterday", "Started slowly, took my tablets after", "Salt tablets helped",
    "Started taking magnesium tablets", "New vitamin tablets", "Started the run after my pills",
    "No new medicine", "My dad started on new tablets", "I started on the track, new shoes",
    "Finished the antibiotics", "He put me on the bus", "Put on a new jacket",
    "Empecé despacio, me tomé la pastilla después", "Pastillas de sal", "Mi padre empezó pastillas",
    "Empecé con magnesio", "No me ha recetado nada", "Sin medicinas nuevas",
]  # fmt: skip


@pytest.mark.parametrize(("name", "text"), SAID)
def test_it_is_heard(name: str, text: str) -> None:
    assert news_said(text) == (name,)


@pytest.mark.parametrize("text", NOTHING)
def test_what_is_ordinary_denied_past_or_about_somebody_else_asks_nothing(text: str) -> None:
    assert news_said(text) == ()


def test_the_coach_is_asked_once_in_four_weeks_and_nothing_grows_until_then() -> None:
    """A pregnancy that the file tells of is known; another new medicine never is."""
    days = [MONDAY + DAY * day for day in (1, 8, 36)]
    said = "'I am pregnant, and started on new tablets'"
    log = [{"on": f"{day}", "ran": "30 min", "said": said} for day in days]
    day = MONDAY + DAY * 37

    def asked(more: str = "") -> dict[str, list[int]]:
        case = case_of(runner(more=more), log)
        found = [a for a in alarms(case, log_with_readings(case, day)) if a.kind != "notice"]
        assert all(a.kind == "ask" for a in found)
        return {a.matter: [(each.since - MONDAY).days for each in a.all] for a in found}

    assert asked() == {"told_pregnant": [1, 36], "told_medicines": [1, 36]}
    assert asked("history: {medicines: [other]}") == asked()
    plan = expand(case_of(runner(), log[:1]), MONDAY + DAY * 2)
    assert plan.status == "active" and plan.weeks[1].kind == "hold"


def test_a_pregnancy_that_the_file_tells_of_is_not_asked_again() -> None:
    log = [{"on": f"{MONDAY + DAY}", "ran": "30 min", "said": "'I am pregnant'"}]
    case = case_of(runner(more="history: {pregnant: yes}"), log)
    found = alarms(case, log_with_readings(case, MONDAY + DAY * 2))
    assert [a.matter for a in found if a.matter.startswith("told")] == []
