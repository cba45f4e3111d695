"""A device stops by its own check-ins as the engine would: one table, two readers, same answers."""

from __future__ import annotations

import json
import random
import re
import shutil
import subprocess
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from generated import runner
from nightly import IS_NIGHTLY
from sitegen.care import illness
from sitegen.care.sentences import DEVICE_HOLDS
from sitegen.care.signs import ALL, BY_THE_FILE
from sitegen.care.words import WORD_LISTS, said, spoken
from sitegen.model.case import Case
from sitegen.model.checkin import SIGNS
from sitegen.portal.reacting import DEVICE_RULES, reacts
from sitegen.portal.wordlists import EVERY_PAGE, word_lists
from sitegen.rules.draft import BACK_SHARE
from sitegen.rules.log import sessions
from sitegen.rules.pain import (
    REFER_WITHIN_DAYS,
    REST_AGAIN_DAYS,
    REST_HOURS_DAYS,
    pain_grade,
    states,
)
from sitegen.rules.signs import INFECTION_DAYS, signs_told
from support import case_of
from test_urgent_words import ALARMING, BEYOND, HARMLESS, alarming

HERE = Path(__file__).parent
NODE = shutil.which("node")
pytestmark = pytest.mark.skipif(NODE is None, reason="Node runs the script")
SEQUENCES = 5000 if IS_NIGHTLY else 2000
FEW = 1500
PROFILES = ("standard", "knee")
FIRST = date(2027, 1, 4)
LATER = date(2027, 3, 1)
WORRIES = [sentence for _, sentence in ALARMING]
ILL = ["Fever since Monday.", "Tengo fiebre.", "A chesty cough again.", "No fever, all good."]
NAMES = ("during", "after", "next_morning", "before", "walking")


def sequences(count: int) -> list[list[dict[str, Any]]]:
    """Check-ins of up to eight weeks, oldest first; most tell little, as people do."""
    chance = random.Random(20270104)
    edges = list(_edges())
    return edges + [_sequence(chance) for _ in range(count - len(edges))]


def _edges() -> Iterator[list[dict[str, Any]]]:
    """Each length of days, met and passed by one."""

    def at(day: int, **told: Any) -> dict[str, Any]:
        return {"on": (FIRST + timedelta(days=day)).isoformat(), "ran": 20, **told}

    def hurt(day: int, score: int) -> dict[str, Any]:
        return at(day, pain={"during": score, "after": score})

    left = {"skipped": "pain"}
    yield [{"on": at(day)["on"], **left} for day in range(4)]  # no score, and yet it hurt
    for over in (0, 1):
        infected = {"on": FIRST.isoformat(), "skipped": "ill"}
        yield [infected, at(INFECTION_DAYS + over, signs=["palpitations"])]
        again = 1 + REFER_WITHIN_DAYS + over
        yield [hurt(0, 4), hurt(1, 4), hurt(again - 1, 4), hurt(again, 4)]
        yield [hurt(0, 6), hurt(REST_AGAIN_DAYS + over, 6)]
        yield [hurt(0, 6), hurt(REST_HOURS_DAYS + over, 0)]


def _sequence(chance: random.Random) -> list[dict[str, Any]]:
    within = chance.choice((56, 16))
    days = sorted(chance.sample(range(within), chance.randint(1, 6)))
    found = []
    for day in days:
        on = FIRST + timedelta(days=day)
        found.append(_entry(chance, on))
        if chance.random() < 0.2:
            morning = {"next_morning": chance.choice((0, 1, 2, 3, 6)), "walking": 0}
            found.append({"on": on.isoformat(), "pain": morning})
    return found


def _entry(chance: random.Random, on: date) -> dict[str, Any]:
    entry: dict[str, Any] = {"on": on.isoformat()}
    if chance.random() < 0.2:
        entry["skipped"] = chance.choice(("ill", "travel", "pain", "time", "other"))
    else:
        entry["ran" if chance.random() < 0.85 else "walked"] = 20
    if chance.random() < 0.6:
        told = chance.sample(NAMES, chance.randint(1, 5))
        entry["pain"] = {name: chance.choice((0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 10)) for name in told}
    if chance.random() < 0.4:
        signs = [*SIGNS, *["palpitations"] * 12]
        entry["signs"] = sorted(set(chance.sample(signs, chance.randint(1, 2))))
    if chance.random() < 0.1:
        entry["well_again"] = True
    if chance.random() < 0.2:
        entry["said"] = chance.choice(chance.choice((WORRIES, HARMLESS, ILL)))
    return entry


def as_log(entries: list[dict[str, Any]]) -> list[Any]:
    """As a coach's log has them."""
    log = [dict(entry) for entry in entries]
    for entry in log:
        for what in ("ran", "walked"):
            if what in entry:
                entry[what] = f"{entry[what]} min"
        if "well_again" in entry:
            entry["well_again"] = "yes"
    return log


class Answers(NamedTuple):
    """The grade of each check-in in each sequence; the level of pain after each, by profile."""

    grades: list[list[str]]
    levels: dict[str, list[str]]


def by_engine(told: list[list[dict[str, Any]]]) -> Answers:
    """From the engine's own readers."""
    answers = Answers([], {profile: [] for profile in PROFILES})
    for entries in told:
        case = case_of(runner(), as_log(entries))
        answers.grades.append(_grades(case))
        logged = sessions(case, LATER)
        for profile, levels in answers.levels.items():
            levels.append(states(case, logged, profile)[-1].level)
    return answers


def _grades(case: Case) -> list[str]:
    signs = signs_told(case, LATER)
    found = []
    for at, entry in enumerate(case.log):
        kinds = {one.kind for one in signs if one.entry == at}
        hard = any(one.sign == "self_harm" for one in signs if one.entry == at)
        if kinds:
            found.append("now" if "now" in kinds else "self_harm" if hard else "today")
        elif entry.pain is not None and pain_grade(entry.pain, "standard") == "rest":
            found.append("rest")
        elif illness.grade(entry) == "grave":
            found.append("ill")
        else:
            found.append("")
    return found


def by_device(told: list[list[dict[str, Any]]], *others: dict[str, Any]) -> list[Answers]:
    """One for the rules as they are, and one for each of ``others``."""
    known = {**DEVICE_RULES, "taken": [], "standing": [], "infected": []}
    run = subprocess.run(
        [str(NODE), str(HERE / "js" / "grades.js")],
        input=json.dumps(
            {
                "all": [known, *(known | other for other in others)],
                "sequences": told,
                "words": word_lists(),
            }
        ),
        capture_output=True, text=True, timeout=300, check=True,
    )  # fmt: skip
    return [Answers(**answers) for answers in json.loads(run.stdout)]


@pytest.fixture(scope="module")
def told() -> list[list[dict[str, Any]]]:
    return sequences(SEQUENCES)


@pytest.fixture(scope="module")
def engine(told: list[list[dict[str, Any]]]) -> Answers:
    return by_engine(told)


@pytest.fixture(scope="module")
def device(told: list[list[dict[str, Any]]]) -> Answers:
    return by_device(told)[0]


def test_device_and_engine_answer_alike(
    told: list[list[dict[str, Any]]], engine: Answers, device: Answers
) -> None:
    wrong = [
        (entries, theirs, ours)
        for entries, theirs, ours in zip(told, engine.grades, device.grades, strict=True)
        if theirs != ours
    ]

    assert wrong[:3] == []
    met = {grade for grades in engine.grades for grade in grades}
    assert met == {"now", "self_harm", "today", "rest", "ill", ""}, "the sequences try every answer"


@pytest.mark.parametrize("profile", PROFILES)
def test_pain_leads_device_and_engine_to_the_same(
    told: list[list[dict[str, Any]]], engine: Answers, device: Answers, profile: str
) -> None:
    theirs, ours = engine.levels[profile], device.levels[profile]

    wrong = [one for one in zip(told, theirs, ours, strict=True) if one[1] != one[2]]
    assert wrong[:3] == []
    assert {level: theirs.count(level) > 50 for level in ("go", "hold", "rest", "refer")} == {
        "go": True, "hold": True, "rest": True, "refer": True,
    }  # fmt: skip


def test_one_number_otherwise_is_seen(told: list[list[dict[str, Any]]], device: Answers) -> None:
    """A part of the sequences is enough."""
    others = [
        {name: value[1:] if isinstance(value, list) else value + 1}  # type: ignore[index, operator]
        for name, value in DEVICE_RULES.items()
    ]
    same, *found = by_device(told[:FEW], *others)

    assert same == Answers(
        device.grades[:FEW], {name: levels[:FEW] for name, levels in device.levels.items()}
    )
    unseen = [other for other, answers in zip(others, found, strict=True) if answers == same]
    assert unseen == []


def test_what_a_build_knows_and_the_rest_on_the_device_lead_where_the_engine_does(
    told: list[list[dict[str, Any]]],
) -> None:
    known, theirs = [], []
    for at, entries in enumerate(told[:400]):
        profile = PROFILES[at % 2]
        more = f"rules: {{pain: {{profile: {profile}}}}}"
        cut = len(entries) // 2
        as_of = date.fromisoformat(entries[cut]["on"])
        taken = [{**entry, "id": _id(n)} for n, entry in enumerate(entries[:cut])]
        known.append([reacts(case_of(runner(more=more), as_log(taken)), as_of), entries[cut:]])
        whole = case_of(runner(more=more), as_log(entries))
        theirs.append(states(whole, sessions(whole, LATER), profile)[-1].level)
    run = subprocess.run(
        [str(NODE), str(HERE / "js" / "grades.js")],
        input=json.dumps(
            {"all": [DEVICE_RULES], "sequences": [], "known": known, "words": word_lists()}
        ),
        capture_output=True, text=True, timeout=300, check=True,
    )  # fmt: skip

    ours = json.loads(run.stdout)
    wrong = [one for one in zip(told, known, theirs, ours, strict=False) if one[2] != one[3]]
    assert wrong[:1] == []
    assert {"go", "hold", "rest", "refer"} == set(ours)


def test_device_and_coach_find_the_same_words_of_danger() -> None:
    """Each sentence of the tables, and all of them joined to others by what denies or lists."""
    chance = random.Random(8)
    texts = [*WORRIES, *HARMLESS, *ILL, "Sin FIEBRE; pero me desmayé\n\n> no chest pain", "İß ﬁ ½"]
    bare = [text.rstrip(".!?") for text in texts]
    for link in (" or ", ", ", " and no ", " ni ", ". No ", " … ", ": no", " (", " o "):
        texts += [f"{chance.choice(bare)}{link}{chance.choice(bare)}" for _ in range(120)]
    own = ["my heart device", "pump*"]
    texts += [
        "My heart device beeped.",
        "The pumping stopped.",
        "No pumps today.",
        "Heart. Device.",
    ]

    run = subprocess.run(
        [str(NODE), str(HERE / "js" / "grades.js")],
        input=json.dumps(
            {"all": [], "sequences": [], "texts": texts, "own": own, "words": word_lists()}
        ),
        capture_output=True, text=True, timeout=300, check=True,
    )  # fmt: skip

    ours = json.loads(run.stdout)
    theirs = [
        [
            sorted(_as_on_device(text, own)),
            *(illness.is_ill(text, ill, rarer=False) for ill in (False, True)),
        ]
        for text in texts
    ]
    wrong = [one for one in zip(texts, theirs, ours, strict=True) if one[1] != one[2]]
    assert wrong[:3] == []
    found = {sign for signs, *_ in ours for sign in signs}
    coachs = {"bleeding"}  # which a device has no words for
    assert found == {*ALL} - coachs - BY_THE_FILE, "every sign is met, the coach's own words too"
    assert not any(row.said for one in WORD_LISTS for sign in coachs for row in one.rows[sign])


def _as_on_device(text: str, own: list[str]) -> list[str]:
    return [one.sign for one in spoken(text, own, rarer=False) if not one.is_denied]


@pytest.mark.parametrize("page", ["", "en", "es"])
def test_a_pattern_that_travels_packed_is_the_coachs_sides(page: str) -> None:
    lists = word_lists(page)

    def whole(text: str) -> str:
        while "@" in text:
            text = re.sub("@(.)", lambda m: lists["parts"][ord(m[1]) - ord("A")], text)
        return text.replace("%", r"\w")

    for language, sent in zip(WORD_LISTS, lists["languages"], strict=True):
        assert sent["signs"]
        for sign, theirs in zip(sent["signs"], sent["rows"], strict=True):
            here = [row for row in language.rows[sign] if row.said]
            for ours, row in zip(here, theirs, strict=True):
                wanted = ("|".join(ours.said), ours.is_thing, ours.explains)
                assert [*map(whole, row)] == [one.replace("(?:", "(") for one in wanted]


@pytest.mark.parametrize("page", ["en", "es-MX"])
def test_a_page_hears_its_own_language_whole_and_what_is_urgent_in_others(page: str) -> None:
    tag = page.partition("-")[0]
    texts = [text for _, text in ALARMING]
    run = subprocess.run(
        [str(NODE), str(HERE / "js" / "grades.js")],
        input=json.dumps(
            {"all": [], "sequences": [], "texts": texts, "own": [], "words": word_lists(page)}
        ),
        capture_output=True, text=True, timeout=300, check=True,
    )  # fmt: skip

    heard = {
        text: {*signs} for text, (signs, *_) in zip(texts, json.loads(run.stdout), strict=True)
    }
    own = {text for _, text in alarming(tag)}
    assert [text for text in own if heard[text] != {*said(text)}] == []
    others = {text: {*said(text)} & EVERY_PAGE for text in texts if text not in own}
    assert [text for text, signs in others.items() if not signs <= heard[text]] == []
    assert {sign for signs in others.values() for sign in signs} == EVERY_PAGE - {"urgent_word"}
    assert any(not heard[text] for text in others), "what is left to the coach's side"


@pytest.mark.parametrize("page", ["en", "es"])
def test_what_a_page_has_no_room_for_is_left_to_the_coachs_side(page: str) -> None:
    """Where a device hears one of these, it belongs into the table of what both hear."""
    run = subprocess.run(
        [str(NODE), str(HERE / "js" / "grades.js")],
        input=json.dumps(
            {
                "all": [], "sequences": [], "own": [], "words": word_lists(page),
                "texts": [text for _, text in BEYOND],
            }
        ),
        capture_output=True, text=True, timeout=300, check=True,
    )  # fmt: skip

    heard = zip(BEYOND, json.loads(run.stdout), strict=True)
    assert [text for (sign, text), (signs, *_) in heard if sign in signs] == []
    assert {sign for sign, _ in BEYOND} >= {"self_harm", "chest_pain", "calf_swelling"}


def test_a_fifth_less_is_what_the_engine_takes() -> None:
    assert "a fifth less" in DEVICE_HOLDS["back"]
    assert pytest.approx(1 - 1 / 5) == BACK_SHARE


def _id(number: int) -> str:
    return "bcdfghjkm" + "npqrstvwxz"[number]


def test_a_build_lists_what_it_took_and_what_nobody_has_freed() -> None:
    log = [
        {"on": "2027-01-05", "ran": "20 min", "signs": ["chest_pain"], "id": "bcdfghjkmn"},
        {"on": "2027-01-06", "skipped": "ill", "id": "nmkjhgfdcb"},
        {"on": "2027-01-07", "ran": "20 min"},
    ]
    lift = {"on": "2027-01-13", "lifts": "chest_pain 2027-01-05", "seen_by": "Dr", "because": "ok"}
    found = reacts(case_of(runner(), log), date(2027, 1, 13))
    freed = reacts(case_of(runner(more=f"changes: [{json.dumps(lift)}]"), log), date(2027, 1, 13))

    assert found["taken"] == freed["taken"] == ["bcdfghjkmn", "nmkjhgfdcb"]
    assert (found["standing"], freed["standing"]) == (["bcdfghjkmn"], [])
    assert found["infected"] == ["2027-01-06"]
    assert "also_now" not in found
    thinner = runner(more="history: {on: 2026-12-01, medicines: blood_thinner}")
    assert reacts(case_of(thinner, log), date(2027, 1, 13))["also_now"] == ["head_injury"]
