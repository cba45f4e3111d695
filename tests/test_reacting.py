"""A device stops by its own check-ins as the engine would: one table, two readers, same answers."""

from __future__ import annotations

import json
import random
import re
import shutil
import subprocess
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from generated import runner
from sitegen.care import illness
from sitegen.model.checkin import SIGNS
from sitegen.portal.reacting import DEVICE_RULES, reacts
from sitegen.rules.pain import pain_grade
from sitegen.rules.signs import signs_told
from support import case_of

HERE = Path(__file__).parent
NODE = shutil.which("node")
pytestmark = pytest.mark.skipif(NODE is None, reason="Node runs the script")
SEQUENCES = 5000
FIRST = date(2027, 1, 4)
LATER = date(2027, 3, 1)
NAMES = ("during", "after", "next_morning", "before", "walking")


def sequences(count: int) -> list[list[dict[str, Any]]]:
    """Check-ins of up to eight weeks, oldest first; most tell little, as people do."""
    chance = random.Random(20270104)
    return [_sequence(chance) for _ in range(count)]


def _sequence(chance: random.Random) -> list[dict[str, Any]]:
    days = sorted(chance.sample(range(56), chance.randint(1, 5)))
    return [_entry(chance, FIRST + timedelta(days=day)) for day in days]


def _entry(chance: random.Random, on: date) -> dict[str, Any]:
    entry: dict[str, Any] = {"on": on.isoformat()}
    if chance.random() < 0.2:
        entry["skipped"] = chance.choice(("ill", "travel", "pain", "time", "other"))
    else:
        entry["ran"] = 20
    if chance.random() < 0.6:
        told = chance.sample(NAMES, chance.randint(1, 5))
        entry["pain"] = {name: chance.choice((0, 0, 1, 2, 3, 5, 6, 7, 8, 10)) for name in told}
    if chance.random() < 0.4:
        signs = [*SIGNS, *["palpitations"] * 12]
        entry["signs"] = sorted(set(chance.sample(signs, chance.randint(1, 2))))
    if chance.random() < 0.1:
        entry["well_again"] = True
    return entry


def as_log(entries: list[dict[str, Any]]) -> list[Any]:
    """As a coach's log has them."""
    log = [dict(entry) for entry in entries]
    for entry in log:
        if "ran" in entry:
            entry["ran"] = f"{entry['ran']} min"
        if "well_again" in entry:
            entry["well_again"] = "yes"
    return log


def by_engine(entries: list[dict[str, Any]]) -> list[str]:
    """The grade of each check-in, from the engine's own readers."""
    case = case_of(runner(), as_log(entries))
    signs = signs_told(case, LATER)
    found = []
    for at, entry in enumerate(case.log):
        kinds = {one.kind for one in signs if one.entry == at}
        if kinds:
            found.append("now" if "now" in kinds else "today")
        elif entry.pain is not None and pain_grade(entry.pain, "standard") == "rest":
            found.append("rest")
        elif illness.grade(entry) == "grave":
            found.append("ill")
        else:
            found.append("")
    return found


def by_device(told: list[list[dict[str, Any]]], **other: Any) -> list[list[str]]:
    known = {**DEVICE_RULES, "taken": [], "standing": [], "infected": [], **other}
    run = subprocess.run(
        [str(NODE), str(HERE / "js" / "grades.js")],
        input=json.dumps({"reacts": known, "sequences": told}),
        capture_output=True, text=True, timeout=300, check=True,
    )  # fmt: skip
    answer: list[list[str]] = json.loads(run.stdout)
    return answer


@pytest.fixture(scope="module")
def told() -> list[list[dict[str, Any]]]:
    return sequences(SEQUENCES)


@pytest.fixture(scope="module")
def engine(told: list[list[dict[str, Any]]]) -> list[list[str]]:
    return [by_engine(entries) for entries in told]


def test_device_and_engine_answer_alike(
    told: list[list[dict[str, Any]]], engine: list[list[str]]
) -> None:
    device = by_device(told)
    wrong = [
        (entries, theirs, ours)
        for entries, theirs, ours in zip(told, engine, device, strict=True)
        if theirs != ours
    ]

    assert wrong[:3] == []
    met = {grade for grades in engine for grade in grades}
    assert met == {"now", "today", "rest", "ill", ""}, "the sequences try every answer"


@pytest.mark.parametrize(
    "other",
    [
        {"severe": DEVICE_RULES["severe"] + 1},
        {"rest": DEVICE_RULES["rest"] - 1},
        {"infection_days": DEVICE_RULES["infection_days"] - 1},
        {"now": DEVICE_RULES["now"][1:]},
        {"ill": DEVICE_RULES["ill"][1:]},
    ],
    ids=lambda other: next(iter(other)),
)
def test_one_number_otherwise_is_seen(
    told: list[list[dict[str, Any]]], engine: list[list[str]], other: dict[str, Any]
) -> None:
    assert by_device(told, **other) != engine


def test_what_the_device_does_holds_under_node() -> None:
    run = subprocess.run(
        [str(NODE), "--test", str(HERE / "js" / "reacting.test.js")],
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip

    assert run.returncode == 0, run.stdout
    passed = re.search(r"^# pass (\d+)$", run.stdout, re.MULTILINE)
    assert passed and int(passed[1]) >= 7


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
