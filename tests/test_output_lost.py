"""Nobody takes what a command prints: a full disk, a reader who has gone, an output closed before.

Each command ends with status 74 and without a traceback, and nothing is taken that was not told.
"""

from __future__ import annotations

import contextlib
import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

from sitegen.acts import ACTS
from sitegen.cli import COMMANDS, main
from test_cli import DAY, ROOT, practice
from test_intake import RACER, form

__all__ = ["practice"]  # a fixture

LOST = 74
FULL = Path("/dev/full")
WORDS = {
    "build": ["--as-of", DAY],
    "check": ["--as-of", DAY],
    "alarms": ["--as-of", DAY],
    "answer": ["nia", "1", "--because", "spoke", "--json", "--as-of", DAY],
    "compare": ["nia", "ayla", "--as-of", DAY],
    "desk": ["--to", "desk", "--as-of", DAY],
    "erase": ["nia"],
    "export": ["nia", "--as-of", DAY],
    "intake": ["--sheet"],
    "link": ["nia"],
    "house": ["volume: {growth: 5 %}", "--dry-run", "--as-of", DAY],
    "sessions": [],
    "history": ["nia", "--as-of", DAY],
    "links": ["--json"],
    "remind": ["--as-of", DAY],
    "preview": ["--as-of", DAY, "--port", "0"],
    "publish": ["./host"],
    "receive": ["--as-of", DAY],
    "roster": ["--as-of", DAY],
    "rules": [],
    "rest": ["bram", "tue", "--because", "x", "--as-of", DAY],
    "schema": [],
    "sheet": ["--as-of", DAY],
    "undo": ["--list"],
    "weeks": ["nia", "--as-of", DAY],
    "why": ["nia", "--as-of", DAY],
    "--help": [],
    "--version": [],
}
CHECK_IN = "Check-in {code}\n- on: 2027-02-09\n  ran: 31 min\n"


def run(
    words: list[str], cwd: Path, out: int | None, close: bool = False, typed: str = ""
) -> subprocess.CompletedProcess[str]:
    """A command whose standard output is ``out``, or closed."""
    script = "import os, sys; os.close(1); os.execv(sys.executable, sys.argv[1:])"
    command = [sys.executable, "-m", "sitegen", *words]
    return subprocess.run(
        [sys.executable, "-c", script, *command] if close else command,
        cwd=cwd,
        stdout=out,
        stderr=subprocess.PIPE,
        input=typed,
        text=True,
        check=False,
        timeout=120,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )


def gone() -> int:
    """The end of a pipe whose reader has gone."""
    reader, writer = os.pipe()
    os.close(reader)
    return writer


def test_every_command_is_tried() -> None:
    """Of the acts one: all of them end in the same lines (`act_commands.do_act`)."""
    assert set(WORDS) - {"--help", "--version"} | set(ACTS) == set(COMMANDS)


@pytest.mark.skipif(not FULL.exists(), reason="there is no /dev/full on this system")
@pytest.mark.parametrize("name", WORDS)
def test_a_full_disk_ends_a_command_with_one_sentence(name: str, practice: Path) -> None:
    (practice / "host").mkdir(exist_ok=True)
    if name == "publish":
        assert run(["build", "--as-of", DAY], practice, subprocess.DEVNULL).returncode == 0
    with FULL.open("wb") as full:
        done = run([name, *WORDS[name]], practice, full.fileno(), typed="nia\n")
    assert "Traceback" not in done.stderr and "Exception" not in done.stderr
    assert done.returncode == LOST, done.stderr
    assert "can't be written" in done.stderr.splitlines()[-1]


@pytest.mark.skipif(not FULL.exists(), reason="there is no /dev/full on this system")
@pytest.mark.parametrize(
    ("words", "done"),
    [
        ("export nia --as-of 2027-03-18", "yet nia-data.zip was written"),
        ("link nia --renew", "yet the link was changed"),
        ("answer nia 1 --because spoke --as-of 2027-03-18", "yet your answer was noted"),
        ("intake new --answers answers.yaml", "yet clients/new.yaml was written"),
        ("rest bram tue --because x --yes --json --as-of 2027-03-18", "yet it was written"),
        ("erase nia --yes --json", "yet nia was removed"),
    ],
    ids=lambda words: words.partition(" ")[0],
)
def test_what_was_done_is_told_where_its_words_are_lost(
    words: str,
    done: str,
    practice: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """In this process, with a full disk behind its standard output."""
    (practice / "answers.yaml").write_text(form(RACER), encoding="utf-8")
    with (practice / "clients" / "nia.log.yaml").open("a", encoding="utf-8") as log:
        log.write("- on: 2027-03-17\n  signs: [chest_pain]\n")
    monkeypatch.chdir(practice)
    full = io.TextIOWrapper(FULL.open("wb", buffering=0), write_through=True)
    with pytest.raises(SystemExit) as ended, monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", full)
        main.main(words.split(), prog_name="sitegen")
    with contextlib.suppress(OSError):
        full.close()
    assert ended.value.code == LOST
    assert capsys.readouterr().err.endswith(f", {done}\n")


@pytest.mark.parametrize("name", ["check", "weeks", "roster", "rules", "schema", "--help"])
def test_a_reader_who_has_gone_ends_a_command_in_silence(name: str, practice: Path) -> None:
    writer = gone()
    try:
        done = run([name, *WORDS[name]], practice, writer)
    finally:
        os.close(writer)
    assert "Traceback" not in done.stderr and "sitegen:" not in done.stderr
    assert done.returncode == LOST, done.stderr


@pytest.mark.skipif(os.name != "posix", reason="another system closes outputs in another way")
@pytest.mark.parametrize("name", ["check", "weeks", "build", "--version"])
def test_an_output_closed_before_is_told_like_a_full_disk(name: str, practice: Path) -> None:
    done = run([name, *WORDS[name]], practice, None, close=True)
    assert "Traceback" not in done.stderr
    assert done.returncode == LOST and "it is closed" in done.stderr


def code_of(practice: Path) -> str:
    from sitegen.seal.addresses import checkin_code
    from sitegen.seal.keys_file import KEYS_FILE, load_keys

    assert run(["link", "nia"], practice, subprocess.DEVNULL).returncode == 0
    keys, _ = load_keys(practice / "clients" / KEYS_FILE)
    assert keys is not None
    return checkin_code(keys.links["nia"])


@pytest.mark.parametrize("as_json", [False, True])
def test_what_can_not_be_told_is_not_taken(as_json: bool, practice: Path) -> None:
    log = practice / "clients" / "nia.log.yaml"
    before = log.read_bytes()
    message = CHECK_IN.format(code=code_of(practice))
    words = ["receive", "--as-of", DAY, *(["--json"] if as_json else [])]

    writer = gone()
    try:
        done = run(words, practice, writer, typed=message)
    finally:
        os.close(writer)

    assert done.returncode == LOST
    assert done.stderr.endswith("so nothing was taken; receive the same again\n")
    assert log.read_bytes() == before
    assert run(words, practice, subprocess.DEVNULL, typed=message).returncode == 0
    assert b"2027-02-09" in log.read_bytes().removeprefix(before[:40])
    assert log.read_bytes() != before


def test_a_fault_of_the_tool_is_one_sentence_and_with_debug_a_traceback(practice: Path) -> None:
    script = (
        "import sys, sitegen.site.plans as plans\n"
        "from sitegen.cli import main\n"
        "def fails(*_, **__): raise RuntimeError('hunter2')\n"
        "plans.open_plans = fails\n"
        "main(sys.argv[1:])\n"
    )

    def told(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-c", script, *words],
            cwd=practice,
            capture_output=True,
            text=True,
            check=False,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )

    for words in (["weeks", "nia"], ["roster"], ["link", "nia"], ["publish", "./host"]):
        plain = told(*words)
        assert plain.returncode == 70
        assert plain.stderr == (
            "sitegen: a fault of the tool itself (RuntimeError), none of yours; "
            f"what is kept is whole. To see where: sitegen --debug {words[0]}\n"
        )
    whole = told("--debug", "weeks", "nia")
    assert whole.returncode == 1 and "RuntimeError: hunter2" in whole.stderr
    assert "Traceback" in whole.stderr
