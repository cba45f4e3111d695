"""Words of too little energy in a check-in: for the coach to ask about, and no stop.

The sentences are invented, and our own judgement of what a coach should hear of.
"""

from __future__ import annotations

import pytest

from generated import DAY, MONDAY, runner
from sitegen.care.energy import energy_said
from sitegen.plan.alarms import alarms
from sitegen.plan.condition import log_with_readings
from sitegen.plan.fold import expand
from support import case_of

SAID = [
    ("missed_periods", "I have missed my period three times now"),
    ("missed_periods", "Missed another period."),
    ("missed_periods", "No period for three months, is that the running?"),
    ("missed_periods", "I haven't had my period since October"),
    ("missed_periods", "My period still hasn't come."),
    ("missed_periods", "My periods have stopped"),
    ("missed_periods", "The doctor calls it amenorrhoea"),
    ("missed_periods", "Hace tres meses que no me viene la regla"),
    ("missed_periods", "No me ha bajado la regla este mes"),
    ("missed_periods", "Llevo cuatro meses sin la regla"),
    ("missed_periods", "Llevo desde enero sin regla"),
    ("missed_periods", "Se me ha retirado la regla"),
    ("missed_periods", "La regla ya no me viene"),
    ("missed_periods", "No tengo la regla desde agosto"),
    ("missed_periods", "Hace meses que no tengo la regla"),
    ("missed_periods", "Se me ha cortado el periodo"),
    ("low_energy", "I have been exhausted for weeks"),
    ("low_energy", "No appetite for weeks"),
    ("low_energy", "I eat far too little, I know"),
    ("low_energy", "So tired for the last few weeks, even after sleeping"),
    ("low_energy", "I'm tired all the time"),
    ("low_energy", "For three weeks now I have been completely drained"),
    ("low_energy", "Weeks of exhaustion, and no idea why"),
    ("low_energy", "I know I'm not eating enough"),
    ("low_energy", "Hardly eating at the moment."),
    ("low_energy", "I can't eat properly, too stressed"),
    ("low_energy", "Been skipping meals to get lighter"),
    ("low_energy", "I'm scared of gaining weight"),
    ("low_energy", "Estoy agotada desde hace semanas"),
    ("low_energy", "Llevo tres semanas muy cansado"),
    ("low_energy", "Cansada todo el tiempo, no levanto cabeza"),
    ("low_energy", "Semanas de cansancio sin motivo"),
    ("low_energy", "Estoy comiendo muy poco"),
    ("low_energy", "Creo que no como lo suficiente"),
    ("low_energy", "Casi no como, no me entra nada"),
    ("low_energy", "Me salto comidas para adelgazar"),
    ("low_energy", "Tengo miedo a engordar"),
    ("weight_loss", "Lost four kilos without trying"),
    ("weight_loss", "I keep losing weight for no reason"),
    ("weight_loss", "He perdido tres kilos sin querer"),
    ("weight_loss", "Sigo perdiendo peso sin motivo"),
]  # fmt: skip

NOTHING = [
    "Tired today, short night", "Legs tired after a week of hills", "Tired but happy",
    "Exhausted after the long run", "Tired for the last kilometre", "I was tired all the way home",
    "I am not tired all the time any more", "I haven't missed a period", "Period pain, ran easy",
    "Period started today, heavy legs", "I missed a period of sunshine", "My period came on time",
    "My sister has missed her period", "My friend is not eating enough", "Not eating before runs",
    "I didn't eat enough before the run", "Not eating meat, feeling good",
    "Eating more, feel great", "I can't eat before a morning run", "Lost two kilos, as planned",
    "Lost weight, feel light", "After weeks of exhaustion I am myself again",
    "Six weeks in and not tired at all", "No energy in the last rep",
    "Hungry afterwards, ate well", "Could not find any energy on hill 3",
    "Read an article about not eating enough", "Never eating too little again, all fine",
    "Missed the training period in June", "I am always tired on Mondays after work",
    "Siempre cansado al final del día", "Cansada hoy, dormí poco",
    "Cansado después de la tirada larga", "Agotada en la última cuesta",
    "Me ha venido la regla, piernas pesadas", "Me bajó la regla hoy", "Dolor de regla, fui suave",
    "Ya no estoy cansada todo el tiempo", "Mi hermana no come lo suficiente",
    "No como carne y me va bien", "No comí bastante antes de salir", "Como poco antes de correr",
    "Perdí dos kilos, como queríamos", "Nunca me salto comidas", "No me duele la regla",
    "For weeks now I was never tired",
    "Por regla general salgo temprano", "Sin cansancio después de tres semanas",
    "Dejé de correr al rato, sin fuerzas hoy", "No estoy agotada desde hace semanas",
]  # fmt: skip


@pytest.mark.parametrize(("name", "text"), SAID)
def test_it_is_heard(name: str, text: str) -> None:
    assert energy_said(text) == (name,)


@pytest.mark.parametrize("text", NOTHING)
def test_what_is_ordinary_denied_past_or_about_somebody_else_asks_nothing(text: str) -> None:
    assert energy_said(text) == ()


def test_the_coach_is_asked_once_in_four_weeks_and_nothing_stops() -> None:
    """Not of what the first talk found out already."""
    days = [MONDAY + DAY * day for day in (1, 8, 15, 36)]
    log = [
        {"on": f"{day}", "ran": "30 min", "said": "'No period again, and exhausted for weeks'"}
        for day in days
    ]

    def asked(more: str = "") -> dict[str, list[int]]:
        case, day = case_of(runner(more=more), log), MONDAY + DAY * 37
        found = [a for a in alarms(case, log_with_readings(case, day)) if a.kind != "notice"]
        assert all(a.kind == "ask" and "clinician" in a.says for a in found)
        assert expand(case, day).status == "active"
        return {a.matter: [(each.since - MONDAY).days for each in a.all] for a in found}

    told = {"told_missed_periods": [1, 36]}
    assert asked() == {**told, "told_low_energy": [1, 36]}
    assert asked("history: {low_energy: yes}") == told
