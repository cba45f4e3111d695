"""Text of others is shown on a terminal, and never obeyed by it.

Control characters: ECMA-48; characters that turn text round: Unicode Standard Annex 9.
"""

from __future__ import annotations

import ast
import io
import json
import re
import unicodedata
from pathlib import Path

import pytest

from commands import sitegen
from receive_case_files import CODES, practice
from sitegen.terminal.output import harmless
from sitegen.terminal.progress import ProgressLine

ROOT = Path(__file__).resolve().parent.parent
ESCAPE = "\x1b]0;owned\x07\x1b[2J\x9b31m\u202egpj.exe"
OBEYED = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    practice(tmp_path)
    return tmp_path


def test_every_control_character_is_shown() -> None:
    every = "".join(map(chr, range(0x3000)))
    told = harmless(every + "\udc80")

    kept = {c for c in told if unicodedata.category(c) == "Cc"}
    assert kept == {"\t", "\n"}
    assert not OBEYED.search(told) and "\\x1b" in told and "\\u202e" in told and "\\udc80" in told
    assert harmless("Málaga – 5′ 13″\n\tño, 👟🏽 مرحبا") == "Málaga – 5′ 13″\n\tño, 👟🏽 مرحبا"


def test_no_command_lets_a_character_through(folder: Path) -> None:
    """Names of files, subjects, values, keys and what was typed, each with all of them."""
    name = "".join(c for c in ESCAPE if c != "/")
    mail = folder / f"{name}.eml"
    mail.write_text(
        f"From: a@example.org\nSubject: {ESCAPE} I had chest pain\n\n"
        f"Check-in {CODES['mara']}\n- on: 2027-02-09\n  ran: {ESCAPE}\n  {ESCAPE}: 3\n",
        encoding="utf-8",
    )
    (folder / "other.txt").write_text(f"Check-in {ESCAPE}\n- on: 2027-02-09\n", encoding="utf-8")
    client = folder / "clients/mara.yaml"
    bad = client.read_text("utf-8").replace("name: ", f'name: "\\e[2J\\u202e"\nnick{ESCAPE[-4:]}: ')
    runs = [
        ("receive", mail.name, "other.txt", f"{name}.gone"),
        ("receive", mail.name, "--json"),
        ("check", ESCAPE),
        ("roster",),
        ("alarms",),
        ("weeks", f"mara{ESCAPE}"),
        ("publish", ESCAPE),
        ("publish", f"sftp://{ESCAPE}.example.org/site"),
    ]
    seen = ""
    for words in [*runs, "mend", ("check",), ("build",), ("why", "mara"), ("link", "mara")]:
        if isinstance(words, str):
            client.write_text(bad, encoding="utf-8")
            continue
        done = sitegen(*words, cwd=folder)
        told = done.stdout + done.stderr
        found = OBEYED.search(told)
        assert not found, (words, told[max(0, found.start() - 80) :][:160])
        seen += told
    assert seen.count("\\x1b") > 5 and "\\u202e" in seen
    kept = [file.read_text("utf-8") for file in (folder / "clients/.aside").iterdir()]
    assert len(kept) == 3 and not any(map(OBEYED.search, kept)), "a coach looks into them there"


def test_json_says_the_same_characters(folder: Path) -> None:
    done = sitegen("receive", "\x9b.gone", "--json", cwd=folder)

    assert "\x9b" not in done.stdout
    assert json.loads(done.stdout)["problems"][0]["file"] == "\x9b.gone"


def test_a_line_of_progress_shows_them_too() -> None:
    to = io.StringIO()
    ProgressLine(to)(0, 0, f"reading {ESCAPE}")
    assert to.getvalue().removeprefix("\r\x1b[K").startswith("reading \\x1b]0;owned")


def test_nothing_else_prints() -> None:
    """One function at one place, so that nobody can forget it."""
    found = set()
    for path in (ROOT / "sitegen").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            name = ast.unparse(node.func) if isinstance(node, ast.Call) else ""
            if name in ("print", "click.echo", "click.prompt", "click.secho", "sys.stdout.write"):
                found.add(path.relative_to(ROOT).as_posix())
    assert found == {"sitegen/terminal/output.py", "sitegen/coach/fieldbook.py"}
