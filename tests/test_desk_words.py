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
from sitegen.desk.panels.client import text_mark
from sitegen.desk.server import Desk
from sitegen.desk.warm import Warm
from sitegen.desk.wording import by_name, here, reason_first
from sitegen.practice.waits import alarm_number
from sitegen.seal.keys_file import KEYS_FILE


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
    assert ".aside" not in alarms + visitor.get("/panel/sheet").text, "no place of a folder"
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


WHY = "Room for 80 min of running: of the last building week 68 of 80 min were run, so it stays"
DAYS = "Wed 20 Jan easy 34 min (was 37 min), Fri 22 Jan easy 34 min (was 37 min), Sun 24 Jan 42 min"


def test_of_a_long_change_the_reason_stands_first_and_its_sessions_on_asking() -> None:
    assert reason_first(f"{WHY}: {DAYS}; more: {DAYS}") == (WHY, f"{DAYS}; more: {DAYS}")
    assert reason_first(f"{'Stop. ' * 40}: 6 sessions from Tue 26 Jan to Sat 6 Feb are gone")[1]
    for says in ("You travel: Tue 19 Jan is new", f"{WHY}, {WHY}"):
        assert reason_first(says) == (says, ""), "short, or without sessions"


def test_a_row_says_in_bold_only_what_asks(visitor: Visitor, clients: Path) -> None:
    rows = unescape(visitor.get("/panel/sheet").text).split("<tr")
    calm = [row for row in rows if "as planned:" in row]
    assert calm and not any('class="ask"' in row for row in calm)
    (loud,) = (row for row in rows if "chest pain" in row)
    assert '<p class="ask">urgent: chest pain' in loud


def test_a_letter_keeps_its_subject_apart_from_its_words(visitor: Visitor, clients: Path) -> None:
    letter = mail("Ayla Verne <a@b.example>", "My shifts", "Hi, may the run go to Tuesday?")
    visitor.show("taking/receive", files=[letter])
    visitor.show("taking/take", name=waits(clients).name, whose="ayla")
    assert "My shifts. Hi, may the run" in (clients / "ayla.log.yaml").read_text()


def test_several_settings_go_in_at_once_and_a_warning_says_what_to_write(
    visitor: Visitor,
) -> None:
    assert '<textarea name="setting"' in visitor.get("/panel/decide?whose=mirela").text
    far = "event: {on: 2027-09-18, distance: 5 km}\ngrowth: 7 %"
    shown = unescape(visitor.show("sheet/set", whose="mirela", setting=far).json["html"])
    assert "growth: 7 %" in shown and "2027-09-18" in shown
    assert "(for a plan that reaches it, write weeks: " in shown


def test_a_file_saved_with_an_error_is_not_told_as_on_its_way_out(
    visitor: Visitor, clients: Path
) -> None:
    text = (clients / "mirela.yaml").read_text()
    mark = text_mark(text.encode())
    given = {"id": "mirela", "mark": mark, "text": text.replace("name: ", "nam: ", 1)}
    assert ">Save it with the error</button>" in visitor.show("client/write", **given).json["html"]
    says = visitor.do("client/write", **given).json["says"]
    assert "the page stays as it is until that is mended" in says and "publish" not in says


def test_a_private_link_is_shown_with_its_code_once_a_build_made_it(
    visitor: Visitor, clients: Path
) -> None:
    def link() -> str:
        return unescape(visitor.get("/panel/link?id=mirela").text)

    assert 'data-open="link?id=mirela"' in visitor.get("/panel/client?id=mirela").text
    assert "has no address yet" in link()
    with (clients / "practice.yaml").open("a") as file:
        file.write("address: https://plans.tidewrack.example/\n")
    assert "build first" in link() and not (clients / KEYS_FILE).exists(), "a look makes none"
    visitor.do("out/build")
    assert "https://plans.tidewrack.example/" in link() and "#k=" in link()
    assert "<svg" in link() and "data-copy" in link()
    with (clients / "mirela.yaml").open("a") as file:
        file.write("status: ended\n")
    assert "there is no link" in link()


def test_a_practice_without_clients_says_how_to_begin(tmp_path: Path) -> None:
    clients = tmp_path / "clients"
    clients.mkdir()
    (clients / "practice.yaml").write_text("name: Saltgrass\ncoach: Runa\ncontact: r@s.example\n")
    with served(clients) as desk:
        visitor = Visitor(desk)
        assert "sitegen intake" in visitor.get("/panel/sheet").text
        assert "sitegen intake" not in visitor.get("/panel/sheet?alarm=yes").text
        assert "check-in is overdue" in visitor.get("/panel/out").text


def test_what_a_build_tells_is_told_by_name(visitor: Visitor, clients: Path) -> None:
    file = clients / "mirela.yaml"
    file.write_text(file.read_text().replace("name: ", "nam: ", 1))
    told = unescape(visitor.do("out/build").json["html"])
    assert "mirela.yaml, line " in told or "mirela, line " in told, "it has no name yet"
    assert "clients/" not in told and "[unknown-key]" not in told and "sitegen check" not in told
    shown = here("an alarm of the practice is open, for a message in no log: see sitegen alarms")
    assert shown == "an alarm of the practice is open, for a message in no log"
