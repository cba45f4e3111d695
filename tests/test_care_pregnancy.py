"""Words of danger of who is pregnant, and what her page and one with a blood thinner say in Care.

The sentences are invented, and our own judgement of what must ring.
"""

from __future__ import annotations

from datetime import date

import pytest

from generated import runner
from portal_builder import make_case, make_drills, make_plan, make_renderer
from sitegen.care import own_lines, sentences
from sitegen.care.pregnancy import pregnancy_said
from sitegen.model.plan import Plan
from support import plan_of

SAID = (
    "I am bleeding and have contractions, ambulance?",
    "Spotting since Tuesday",
    "My waters broke on the run",
    "I think my water is breaking",
    "Leaking fluid since this morning",
    "The baby moves less today",
    "Baby hasn't moved since yesterday",
    "I haven't felt the baby kick",
    "Less movement than usual",
    "Headache and seeing spots",
    "A bad headache all day",
    "My hands are swollen",
    "My belly gets tight again and again",
    "A tightening belly on the hill",
    "Sangro un poco desde ayer",
    "Tengo contracciones",
    "He roto aguas",
    "El bebé se mueve menos",
    "No noto moverse al bebé",
    "Dolor de cabeza y veo luces",
    "Tengo la cara hinchada",
    "Se me pone la barriga dura",
)
NOT_SAID = (
    "No bleeding, no contractions.",
    "Baby kicked all the way, lovely run",
    "A bleeding toe, new shoes.",
    "My bottle leaked in the bag",
    "Felt strong, belly fine",
    "Hard work up the hill",
    "My sister is bleeding",
    "Sin sangrado ni contracciones",
    "El bebé se mueve mucho",
)


def test_it_is_heard_and_what_is_like_it_is_not() -> None:
    assert [text for text in SAID if not pregnancy_said(text)] == []
    assert [text for text in NOT_SAID if pregnancy_said(text)] == []


SCREENING = (
    "{on: 2026-12-01, regular_exercise: yes, known_disease: no, symptoms: no, "
    "cleared_on: 2026-12-20, cleared_by: a midwife, cleared_for: easy}"
)


@pytest.mark.parametrize(("pregnant", "rings"), [("yes", True), ("no", False)])
@pytest.mark.parametrize("said", [SAID[0], SAID[5], SAID[9]])
def test_it_rings_now_for_whom_the_file_says_is_pregnant(
    pregnant: str, rings: bool, said: str
) -> None:
    log = f'[{{on: 2027-01-05, ran: 20 min, said: "{said}"}}]'
    more = f"history: {{on: 2026-12-01, pregnant: {pregnant}}}"
    plan = plan_of(runner(screening=SCREENING, more=more), log, "2027-01-06")

    found = [one for one in plan.alarms if one.matter == "pregnancy_sign"]
    assert [one.kind for one in found] == ["now"] * rings
    assert (plan.status == "referred") is rings
    assert not [s for s in plan.sessions if s.on > date(2027, 1, 5)] or not rings
    assert not rings or plan.decisions[0].says.template == sentences.LINE_NOW


@pytest.mark.parametrize("privacy", ["sealed", "open"])
@pytest.mark.parametrize(
    ("history", "own"),
    [
        ({"pregnant": "yes"}, [own_lines.CARE_PREGNANT_NOW]),
        (
            {"medicines": ["blood_thinner"]},
            [own_lines.CARE_THINNER_NOW, own_lines.CARE_THINNER_TODAY],
        ),
        ({"pregnant": "no", "medicines": ["steroids"]}, []),
    ],
)
def test_care_says_so_on_the_sealed_page_of_whom_it_concerns(
    history: dict[str, object], own: list[str], privacy: str
) -> None:
    """On an open page it would tell everybody what the client told the coach."""
    case = make_case(history=history, privacy=privacy)
    page = make_renderer().document(
        case, make_plan(), make_drills(), feed_url="https://plans.example.org/x.ics", code="K7Q2"
    )
    care = page.partition('id="care"')[2]
    lines = (
        own_lines.CARE_PREGNANT_NOW, own_lines.CARE_THINNER_NOW, own_lines.CARE_THINNER_TODAY,
    )  # fmt: skip
    assert [one for one in lines if one in care] == (own if privacy == "sealed" else [])


def pregnant(as_of: str = "2027-01-04", cleared: str = "2026-12-20") -> Plan:
    text = runner(
        screening=SCREENING.replace("2026-12-20", cleared),
        plan="{from: 2027-01-04, weeks: 20}",
        more="history: {on: 2026-12-01, pregnant: yes}",
    )
    return plan_of(text, "[]", as_of)


def test_the_step_rate_does_not_rise_in_a_pregnancy() -> None:
    weeks = pregnant().weeks
    usual = plan_of(runner(plan="{from: 2027-01-04, weeks: 20}"), "[]", "2027-01-04").weeks

    assert len({week.cadence.aim for week in weeks}) == 1
    assert len({week.cadence.aim for week in usual}) > 1
    said = [str(d.says) for d in weeks[1].decisions if d.rule == "cadence"]
    assert any("your step rate stays as it is" in one for one in said)


@pytest.mark.parametrize(
    ("as_of", "cleared", "asked"),
    [
        ("2027-01-30", "2026-12-20", False),  # 41 days
        ("2027-01-31", "2026-12-20", True),
        ("2027-01-31", "2027-01-28", False),  # a new word
    ],
)
def test_a_word_in_a_pregnancy_is_asked_for_again_after_six_weeks(
    as_of: str, cleared: str, asked: bool
) -> None:
    found = [a for a in pregnant(as_of=as_of, cleared=cleared).alarms if a.matter == "pregnancy"]
    assert [(a.kind, a.is_open, str(a.since)) for a in found] == [
        ("ask", True, "2027-01-31")
    ] * asked


@pytest.mark.parametrize(
    ("medicine", "says"),
    [
        ("blood_thinner", "a knock to the head with a blood thinner was told on 2027-01-05"),
        ("steroids", "a knock to the head was told on 2027-01-05"),
    ],
)
def test_the_alarm_of_a_knock_says_that_a_blood_thinner_is_taken(medicine: str, says: str) -> None:
    log = '[{on: 2027-01-05, ran: 20 min, said: "Banged my head on a branch."}]'
    text = runner(more=f"history: {{medicines: [{medicine}]}}")
    (found,) = plan_of(text, log, "2027-01-06").alarms

    assert found.says.startswith(says)
