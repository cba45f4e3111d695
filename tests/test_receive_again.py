"""The same words a second time: of what was answered since they tell anew, but not of a file that
lay there already."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from receive_case_files import CODES, TODAY, practice_with_mail
from sitegen import world
from sitegen.checkins.receive import Received, receive
from sitegen.coach.alarms import alarms_told, answer
from sitegen.model.alarm import Alarm
from sitegen.practice.opening import open_practice

MESSAGE = "I had chest pain yesterday\n"
LATER = TODAY + timedelta(31)


@pytest.fixture
def clients(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return practice_with_mail(tmp_path, monkeypatch)


def on_day(monkeypatch: pytest.MonkeyPatch, day: date) -> None:
    monkeypatch.setattr(world, "today", lambda _zone: day)


def came(name: str, text: str, day: date) -> Path:
    path = Path("mail") / name
    path.write_text(text)
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=UTC).timestamp()
    os.utime(path, (noon, noon))
    return path


def taken(whose: str | None = None) -> Received:
    return receive([Path("mail")], None, Path("clients"), None, whose)


def open_alarms(id: str, day: date) -> list[Alarm]:
    told = alarms_told(open_practice(Path("clients"), (), day))
    return [one for one in told.alarms.get(id, ()) if one.is_open]


def answer_all(id: str, day: date) -> None:
    for one in open_alarms(id, day):
        opened = open_practice(Path("clients"), (), day)
        assert not answer(opened, id, one.number, "spoke with her", None, day).problems
    assert open_alarms(id, day) == []


def lift(matter: str, told_on: date, day: date) -> None:
    with Path("clients/mara.yaml").open("a") as file:
        file.write(
            f"changes:\n- {{on: {day}, lifts: {matter} {told_on}, seen_by: Dr. Paz, "
            "because: seen}\n"
        )


def test_a_message_of_danger_tells_anew_once_the_first_was_lifted(
    clients: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = clients / "mara.log.yaml"
    on_day(monkeypatch, TODAY)
    came("1.txt", MESSAGE, TODAY)
    taken("mara")
    first = log.read_text()
    lift("chest_pain", TODAY, TODAY + timedelta(2))

    on_day(monkeypatch, LATER)
    taken("mara")  # the folder as it lay there
    assert log.read_text() == first and open_alarms("mara", LATER) == []

    came("2.txt", MESSAGE, LATER)
    taken("mara")
    assert log.read_text() == f"{first}- on: {LATER}\n  said: I had chest pain yesterday\n"
    assert [one.key for one in open_alarms("mara", LATER)] == [f"chest_pain {LATER}"]
    told = receive([], MESSAGE, clients, None, "mara")  # it is open: once is enough
    assert told.lines[-1].startswith("0 check-ins taken, 1 there already")


def test_what_stops_of_a_check_in_aside_tells_anew_of_another_day(
    clients: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = f"Check-in {CODES['mara']}\n- on: DAY\n  ran: 3 bananas\n  signs: [chest_pain]\n"
    on_day(monkeypatch, TODAY)
    came("1.txt", text.replace("DAY", str(TODAY)), TODAY)
    taken()
    assert len(open_alarms("mara", TODAY)) == 2  # the sign, and what waits aside

    other = TODAY + timedelta(1)
    on_day(monkeypatch, other)
    came("2.txt", text.replace("DAY", str(other)), other)
    taken()
    taken()
    log = (clients / "mara.log.yaml").read_text()
    assert log.count("chest_pain]") == 2 and log.count(f"on: {other}\n") == 1


def test_a_message_aside_tells_anew_once_the_first_was_answered(
    clients: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    on_day(monkeypatch, TODAY)
    came("1.txt", MESSAGE, TODAY)
    taken()
    taken()
    assert len(open_alarms("practice", TODAY)) == 1
    answer_all("practice", TODAY)

    on_day(monkeypatch, LATER)
    taken()
    assert open_alarms("practice", LATER) == []  # a folder may be received again

    came("2.txt", MESSAGE, LATER)
    taken()
    (one,) = open_alarms("practice", LATER)
    assert (one.kind, one.since) == ("now", LATER)
    assert len(list((clients / ".aside").iterdir())) == 2


def test_on_the_day_of_the_answer_another_telling_opens_an_alarm_of_its_own(
    clients: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same words in another file, or pasted anew; the same folder again tells nothing new."""
    on_day(monkeypatch, TODAY)
    came("1.txt", MESSAGE, TODAY)
    taken()
    answer_all("practice", TODAY)
    taken()
    assert open_alarms("practice", TODAY) == []

    came("2.txt", MESSAGE, TODAY)
    taken()
    taken()
    (second,) = open_alarms("practice", TODAY)
    assert (second.kind, second.since) == ("now", TODAY)
    answer_all("practice", TODAY)
    taken()
    assert open_alarms("practice", TODAY) == []

    receive([], MESSAGE, clients, None, None)
    receive([], MESSAGE, clients, None, None)
    (third,) = open_alarms("practice", TODAY)
    assert third.key != second.key
    assert len(list((clients / ".aside").iterdir())) == 3


def test_a_check_in_aside_tells_anew_on_the_day_of_its_answer_and_goes_when_mended(
    clients: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = f"Check-in {CODES['mara']}\n- on: {TODAY}\n  ran: 3 bananas\n  effort: 3\n"
    on_day(monkeypatch, TODAY)
    came("1.txt", text, TODAY)
    taken()
    answer_all("mara", TODAY)
    came("2.txt", text, TODAY)
    taken()
    (again,) = open_alarms("mara", TODAY)
    first, second = sorted((path.stem for path in (clients / ".aside").iterdir()), key=len)
    assert second == f"{first}-2"
    assert again.matter == f"aside{second[10:]}"
    path = clients / f".aside/{second}.txt"
    path.write_text(path.read_text().replace("3 bananas", "30 min"))
    assert receive([path], None, clients, None, None).problems == ()
    assert open_alarms("mara", TODAY) == [] and not path.exists()
