"""What the desk says: by name, true of what was done, and without a command to be typed."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from desk_served import DAY, Visitor, lay_practice, served
from sitegen.desk.panel import DeskPanel
from sitegen.desk.panels import PANELS
from sitegen.desk.server import Desk
from sitegen.desk.warm import Warm
from sitegen.desk.wording import by_name, here
from sitegen.practice.waits import alarm_number


@pytest.fixture
def clients(tmp_path: Path) -> Path:
    return lay_practice(tmp_path)


@pytest.fixture
def visitor(clients: Path) -> Iterator[Visitor]:
    with served(clients) as desk:
        yield Visitor(desk)


def mail(sender: str, subject: str, says: str) -> dict[str, str]:
    text = f"From: {sender}\nSubject: {subject}\n\n{says}\n"
    return {"name": "letter.eml", "data": base64.b64encode(text.encode()).decode()}


def waits(clients: Path) -> Path:
    (found,) = (clients / ".aside").glob("*.txt")
    return found


def test_the_answer_to_a_strangers_letter_speaks_of_no_plan(
    visitor: Visitor, clients: Path
) -> None:
    visitor.show("taking/receive", text="I had chest pain on the stairs.\n")
    alarms = unescape(visitor.get("/panel/alarms").text)
    assert "Waiting aside" in alarms and "omebody unknown" not in alarms
    given = {"whose": "practice", "number": str(alarm_number(waits(clients).name))}
    shown = unescape(visitor.show("alarms/answer", **given, because="rang").json["html"])
    assert "You did: rang" in shown and "plan" not in shown
    done = unescape(visitor.do("alarms/answer", **given, because="rang").json["html"])
    assert "no log holds it" in done and "plan" not in done, "no plan stands behind it"


def test_a_letter_is_told_by_name_and_once_and_without_a_command(
    visitor: Visitor, clients: Path
) -> None:
    letter = mail("Ayla Verne <a@b.example>", "Calf", "I limp a bit since Friday.")
    told = unescape(visitor.show("taking/receive", files=[letter]).json["told"])
    assert "choose the client beside it" in told and "sitegen " not in told and "--" not in told
    page = unescape(visitor.get("/panel/taking").text)
    assert "or answer its alarm above" in page and "sitegen " not in page
    name = waits(clients).name
    taken = unescape(visitor.show("taking/take", name=name, whose="ayla").json["told"])
    assert "Ayla Verne: the words" in taken and "ayla:" not in taken and "speak of limp" in taken
    assert "a message without a check-in" not in taken, "it is in a log by now"


@pytest.mark.parametrize(
    ("typed", "pressed"),
    [
        ("2 more as at the last build: sitegen check lists them",
         "2 more as at the last build; each client's page lists them"),
        ("run sitegen build, then publish again", "press Build…, then Publish…"),
        ("when you have acted: sitegen answer mara 1 limp --because WHAT", "answer it above"),
        ("that is 2, by hand: look", "that is 2, by hand: look"),
    ],
)  # fmt: skip
def test_what_would_be_typed_is_what_is_pressed(typed: str, pressed: str) -> None:
    assert here(typed) == pressed


@pytest.mark.parametrize(
    ("line", "named"),
    [
        ("TODAY: mara: the words speak of limp", "TODAY: Mara Quint: the words speak of limp"),
        ("mara: taken, signed", "Mara Quint: taken, signed"),
        ("mara (Mara Quint): a new page", "Mara Quint: a new page"),
        ("theo: taken", "theo: taken"),
        ("1 check-in taken", "1 check-in taken"),
    ],
)
def test_a_line_begins_with_the_clients_name(line: str, named: str) -> None:
    assert by_name(line, {"mara": "Mara Quint"}) == named


def test_a_fault_of_the_tool_is_told_in_words(clients: Path) -> None:
    broken = DeskPanel("broken", "Broken", lambda warm, given: {"share": 1 // 0})
    with Desk(Warm(clients, clients.parent / "public", DAY), (*PANELS, broken), 0, False) as desk:
        answer = Visitor(desk).get("/panel/broken")
    assert answer.status == 500 and "none of yours" in answer.text
    assert "Error" not in answer.text and "trouble" not in answer.text
    assert answer.headers["Cache-Control"] == "no-store"
