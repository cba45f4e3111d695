"""A coach's editor helps with a client's file as `intake` writes it: a real YAML language server.

Judge: the npm package yaml-language-server (package.json), spoken to over standard input and
output by the Language Server Protocol 3.17 (base protocol and messages quoted from memory). It
reads the schema from the comment in the file's first line; `tools/test-needs` brings it.
"""

from __future__ import annotations

import json
import queue
import shutil
import subprocess
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from sitegen.coach.client_file import SCHEMA
from sitegen.practice.schema import client_schema

ROOT = Path(__file__).resolve().parent.parent
SERVER = ROOT / "node_modules" / "yaml-language-server" / "bin" / "yaml-language-server"
NODE = shutil.which("node")
SECONDS = 60

pytestmark = pytest.mark.skipif(
    NODE is None or not SERVER.exists(),
    reason="no node or no yaml-language-server here: run tools/test-needs",
)

FIRST_LINE = f"# yaml-language-server: $schema={SCHEMA}\n"
PLAIN = """\
name: Mara Quint
screening: {on: 2027-01-05, regular_exercise: yes, known_disease: no, symptoms: no}
baseline:
  on: 2027-01-06
  cadence: 158 spm
  pace: 6:50 /km
  week: 75 min
  longest: 32 min
  runs: 3
week:
  tue: {at: 18:15, up_to: 1 h}
  thu: {at: 18:15, up_to: 1 h, for: [run, strength]}
  sun: {at: 10:00, up_to: 1 h 30 min}
  long: sun
plan: {from: 2027-01-11, weeks: 16, growth: 8 %}
"""
MARA = FIRST_LINE + PLAIN


class Editor:
    """An editor that has one file open. Everything it knows, it knows from the server."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._next = 0
        self._opened, self._uri = 0, ""
        self._arrived: queue.Queue[dict[str, Any]] = queue.Queue()
        self._process = subprocess.Popen(
            [str(NODE), str(SERVER), "--stdio"],
            cwd=folder,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        threading.Thread(target=self._listen, daemon=True).start()
        self._ask(
            "initialize",
            processId=None,
            rootUri=folder.as_uri(),
            capabilities={
                "textDocument": {
                    "hover": {"contentFormat": ["markdown"]},
                    "completion": {"completionItem": {"documentationFormat": ["markdown"]}},
                }
            },
        )
        self._tell("initialized")
        # No shelf of schemas from the network: the file names its own.
        shelf = {"enable": False}
        settings = {"validate": True, "hover": True, "completion": True, "schemaStore": shelf}
        self._tell("workspace/didChangeConfiguration", settings={"yaml": settings})

    def opens(self, text: str) -> list[str]:
        """The faults shown in a text: ``line: message``, lines counted from 1."""
        # Under a name of its own each time: the server dates nothing, and what it tells late of an
        # earlier text would be taken for this one's.
        self._opened += 1
        self._uri = uri = (self.folder / f"client-{self._opened}.yaml").as_uri()
        document = {"uri": uri, "languageId": "yaml", "version": 1, "text": text}
        self._tell("textDocument/didOpen", textDocument=document)
        while True:
            message = self._arrived.get(timeout=SECONDS)
            told = message.get("params", {})
            if message.get("method") == "textDocument/publishDiagnostics" and told["uri"] == uri:
                return sorted(
                    f"{one['range']['start']['line'] + 1}: {one['message']}"
                    for one in told["diagnostics"]
                )

    def offers(self, text: str) -> dict[str, str]:
        """What is offered at the bar ``|`` in a text: labels, and the words beside each."""
        return {item["label"]: _words(item.get("documentation")) for item in self._items(text)}

    def puts_in(self, text: str, label: str) -> str:
        """What an offer at the bar writes into the file."""
        item = next(item for item in self._items(text) if item["label"] == label)
        return str(item.get("textEdit", {}).get("newText", item.get("insertText"))).strip()

    def shows(self, text: str) -> str:
        """What is shown when the pointer rests on the word after the bar ``|``."""
        found = self._at_bar("textDocument/hover", text)
        return _words(found and found["contents"])

    def close(self) -> None:
        self._ask("shutdown")
        self._tell("exit")
        self._process.wait(SECONDS)

    def _items(self, text: str) -> list[dict[str, Any]]:
        found = self._at_bar("textDocument/completion", text)
        return list(found["items"] if isinstance(found, dict) else found or [])

    def _at_bar(self, method: str, text: str) -> Any:
        before, after = text.split("|")
        self.opens(before + after)
        line = before.count("\n")
        place = {"line": line, "character": len(before) - before.rfind("\n") - 1}
        return self._ask(method, textDocument={"uri": self._uri}, position=place)

    def _ask(self, method: str, **params: Any) -> Any:
        self._next += 1
        self._send({"id": self._next, "method": method, "params": params})
        while True:
            message = self._arrived.get(timeout=SECONDS)
            if message.get("id") == self._next and "method" not in message:
                assert "error" not in message, message
                return message["result"]

    def _tell(self, method: str, **params: Any) -> None:
        self._send({"method": method, "params": params})

    def _send(self, message: dict[str, Any]) -> None:
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        assert self._process.stdin is not None
        self._process.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self._process.stdin.flush()

    def _listen(self) -> None:
        stream = self._process.stdout
        assert stream is not None
        while line := stream.readline():
            if not line.lower().startswith(b"content-length:"):
                continue
            length = int(line.split(b":")[1])
            while stream.readline().strip():
                pass
            message = json.loads(stream.read(length))
            if "id" in message and "method" in message:  # the server asks: nothing is known
                items = message.get("params", {}).get("items")
                result = [None] * len(items) if items else None
                self._send({"id": message["id"], "result": result})
            else:
                self._arrived.put(message)


def _words(found: Any) -> str:
    return str(found["value"] if isinstance(found, dict) else found or "")


@pytest.fixture(scope="module")
def editor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Editor]:
    """A practice's folder with the schema beside the clients' files, as `intake` leaves it."""
    folder = tmp_path_factory.mktemp("clients")
    (folder / SCHEMA).write_text(json.dumps(client_schema()), encoding="utf-8")
    opened = Editor(folder)
    yield opened
    opened.close()


def with_line(old: str, new: str) -> str:
    """Mara's file with one thing written otherwise; a bar may stand in it."""
    assert MARA.count(old) == 1, old
    return MARA.replace(old, new)


def test_a_sound_file_shows_no_fault(editor: Editor) -> None:
    assert editor.opens(MARA) == []


def test_without_the_first_line_the_editor_knows_nothing(editor: Editor) -> None:
    """So that what the other tests see comes from the schema, and by way of that line."""
    wrong = with_line("name: Mara Quint", "nam: Mara Quint")

    assert editor.opens(wrong) != []
    assert editor.opens(wrong.removeprefix(FIRST_LINE)) == []


def test_what_intake_writes_shows_no_fault(editor: Editor) -> None:
    from sitegen.coach.client_file import client_text
    from test_intake import RACER, TODAY, talk

    text = client_text("bram", talk(RACER)[0], TODAY)

    assert text.startswith(FIRST_LINE)
    assert editor.opens(text) == []


@pytest.mark.parametrize("id", ["ayla", "bram", "jonas", "mirela", "nia", "tomas"])
def test_the_demo_practice_shows_no_fault(editor: Editor, id: str) -> None:
    text = (ROOT / "clients" / f"{id}.yaml").read_text(encoding="utf-8")

    assert editor.opens(FIRST_LINE + text) == []


DAY = "write rest, yes or a map, like {at: 18:30, up_to: 45 min}"


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("name: Mara", "nam: Mara",
         ['2: Missing property "name".', "2: Property nam is not allowed."]),
        ("{at: 10:00", "{att: 10:00", ["14: Property att is not allowed."]),
        ("158 spm", "158 km", ["6: write a cadence, like 158 spm"]),
        ("158 spm", "158", ["6: write a cadence, like 158 spm"]),
        ("75 min", "75", ["8: write a duration, like 45 min"]),
        ("6:50 /km", "6:50", ["7: write a pace, like 6:45 /km"]),
        ("8 %", "8", ["16: write a percentage, from 0 to 30 %"]),
        ("8 %", "31 %", ["16: write a percentage, from 0 to 30 %"]),
        ("symptoms: no", "symptoms: none", ["3: write yes or no"]),
        ("2027-01-05", "5.1.2027", ["3: write a date, like 2027-01-18"]),
        ("runs: 3", "runs: three", ["10: write runs a week, a whole number, from 0 to 14"]),
        ("runs: 3", "runs: 20", ["10: Value is above the maximum of 14."]),
        ("tue: {at: 18:15, up_to: 1 h}", "tue: 18:15", [f"12: {DAY}"]),
        ("  runs: 3\n", "  runs: 3\n  runs: 4\n", ["11: Map keys must be unique"]),
        ("growth: 8 %}\n", "growth: 8 %}\nrules: {pian: {profile: knee}}\n",
         ["17: Property pian is not allowed."]),
    ],
)  # fmt: skip
def test_a_slip_is_shown_where_it_is_written(
    editor: Editor, old: str, new: str, told: list[str]
) -> None:
    """In our words where the server lets us: no pattern, no name of a type."""
    assert editor.opens(with_line(old, new)) == told


def test_keys_that_are_not_there_yet_are_offered_with_their_meaning(editor: Editor) -> None:
    offered = editor.offers(MARA + "sta|")

    assert offered["status"].startswith("paused: the portal shows the pause")
    assert offered["born"] == "year or date of birth"
    assert "baseline" not in offered, "it stands there already"


@pytest.mark.parametrize(
    ("old", "new", "offered"),
    [
        ("growth: 8 %}\n", "growth: 8 %}\nstatus: |\n", {"active", "paused", "ended"}),
        ("growth: 8 %}\n", "growth: 8 %}\ncadence:\n  aim: |\n", {"168 spm", "keep"}),
        ("symptoms: no", "symptoms: |", {"yes", "no"}),
        ("long: sun", "long: |", {"mon", "tue", "wed", "thu", "fri", "sat", "sun"}),
        ("  long: sun", "  sat: |", {"rest", "yes", "{at: 18:30, up_to: 45 min}"}),
        ("long: sun", "sat: {for: |}", {"run", "strength", "[run, strength]"}),
        ("growth: 8 %}\n", "growth: 8 %}\nrules: {pain: {profile: |}}\n", {"standard", "knee"}),
        ("  runs: 3\n", "  |\n", {"runs", "continuous", "race", "stands_in"}),
    ],
)
def test_what_can_stand_here_is_offered_and_nothing_else(
    editor: Editor, old: str, new: str, offered: set[str]
) -> None:
    assert set(editor.offers(with_line(old, new))) == offered


def test_an_offered_word_is_put_in_as_a_coach_would_write_it(editor: Editor) -> None:
    """``yes``, not ``"yes"`` and not ``true``."""
    assert editor.puts_in(with_line("symptoms: no", "symptoms: |"), "yes") == "yes"
    day = "{at: 18:30, up_to: 45 min}"
    assert editor.puts_in(with_line("  long: sun", "  sat: |"), day) == day


@pytest.mark.parametrize(
    ("word", "shown"),
    [
        ("cadence: 158", "own step rate at an easy effort, both feet"),
        ("known_disease", "known cardiovascular, metabolic or renal disease"),
        ("from: 2027", "first day; weeks start on its Monday"),
        ("long: sun", "wanted day of the long run"),
    ],
)
def test_a_field_is_explained_where_the_pointer_rests(
    editor: Editor, word: str, shown: str
) -> None:
    assert shown in editor.shows(with_line(word, f"|{word}"))


def test_an_example_with_its_unit_is_shown_beside_a_field(editor: Editor) -> None:
    assert "158 spm" in editor.shows(with_line("cadence: 158", "|cadence: 158"))
