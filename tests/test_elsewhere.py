"""The same practice on other systems, as far as one can pretend: the same files, and no fault."""

from __future__ import annotations

import json
import os
import random
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from elsewhere import LACKS, NOT_TRIED
from nightly import by_night

HERE = Path(__file__).parent
DAY = "2027-03-18"
ENV = {
    "PYTHONPATH": str(HERE.parent),
    "PYTHONWARNDEFAULTENCODING": "1",
    "PYTHONUTF8": "0",
    "PYTHONIOENCODING": "cp1252",
}
AS_OF = ("--as-of", DAY)
COMMANDS: tuple[tuple[str, ...], ...] = (
    ("check", *AS_OF),
    ("build", *AS_OF),
    ("build", *AS_OF),  # nothing changed
    ("rest", "nia", "--week", "2027-03-22", "--because", "exams", "--yes", *AS_OF),
    ("build", *AS_OF),
    ("undo", "--yes", *AS_OF),
    ("weeks", "nia", *AS_OF),
    ("roster", *AS_OF),
    ("desk", "--to", "desk", *AS_OF),
    ("build", *AS_OF),
    ("publish", "./host", "--withdraw-many"),
    ("export", "nia", "--to", "nia.zip", *AS_OF),
    ("erase", "nia", "--yes"),
    ("build", *AS_OF),
    ("publish", "./host", "--withdraw-many"),
)


def run(system: str, folder: Path, *words: str, **env: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, str(HERE / "elsewhere.py"), system, *words],
        cwd=folder, env={**os.environ, **ENV, **env}, capture_output=True, check=False,
    )  # fmt: skip


def practice(folder: Path) -> Path:
    """The demo's, and so many clients more that they are built by processes."""
    sys.path.insert(0, str(HERE.parent / "benchmarks"))
    from practice import texts

    shutil.copytree(HERE.parent / "clients", folder / "clients")
    for number in range(12):
        client, log = texts(random.Random(number), number, 4, 6)
        (folder / f"clients/laeufer-{number}.yaml").write_text(client, "utf-8")
        (folder / f"clients/laeufer-{number}.log.yaml").write_text(log, "utf-8")
    return folder


def files_of(folder: Path) -> dict[str, bytes]:
    """All files but what a build remembers and when it was published."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and ".sitegen-cache" not in path.parts and path.name != ".published.json"
    }


def lived(system: str, folder: Path, keys: Path) -> dict[str, bytes]:
    """What lies there after all commands, none of which may fail. ``keys`` are made if absent."""
    practice(folder)
    (folder / "host").mkdir()
    if keys.exists():
        shutil.copy(keys, folder / "clients/.keys.yaml")
    for words in COMMANDS:
        done = run(system, folder, *words)
        assert done.returncode == 0, (system, words, done.stderr.decode("cp1252"))
        assert b"Traceback" not in done.stderr
        if words[0] == "build" and not keys.exists():
            shutil.copy(folder / "clients/.keys.yaml", keys)
    return files_of(folder)


@by_night
def test_the_same_files_come_out_on_each_system(tmp_path: Path) -> None:
    for system in ("linux", *LACKS):
        (tmp_path / system).mkdir()
    here, *others = (
        lived(system, tmp_path / system, tmp_path / "keys.yaml") for system in ("linux", *LACKS)
    )
    assert any(name.startswith("host/") for name in here)
    assert all(other == here for other in others)


REFUSED = """
import elsewhere, os, sys
from pathlib import Path
elsewhere.dress(sys.argv[1])
from sitegen import locking
import inspect
Path("Ada.yaml").write_bytes(b"")
Path("folder").mkdir()
held = open("Ada.yaml", "rb")

def lock_twice():
    with locking.locked(Path("folder")), locking.locked(Path("folder"), 0):
        print("two hold it")

tries = {
    "colon": lambda: Path("a:b").write_bytes(b""),
    "reserved": lambda: Path("nul.txt").write_bytes(b""),
    "dot": lambda: Path("a.").mkdir(),
    "case": lambda: Path("ada.yaml").write_bytes(b""),
    "replaced": lambda: os.replace("folder", "Ada.yaml"),
    "removed": lambda: os.remove("Ada.yaml"),
    "folder": lambda: os.open("folder", os.O_RDONLY),
    "link": lambda: os.symlink("Ada.yaml", "link"),
    "lock": lock_twice,
}
for name, tried in tries.items():
    try:
        tried()
    except OSError:
        print(name)
print("library" if inspect.signature(locking.locked).parameters["by_library"].default else "flock")
print(locking.os.name, hasattr(locking.os, "fchmod"))
"""


@pytest.mark.parametrize(
    ("system", "refused"),
    [
        (
            "windows",
            "colon reserved dot case replaced removed folder link lock library nt False",
        ),
        ("macos", "case replaced lock flock posix True"),
    ],
)
def test_what_a_system_refuses_is_refused(tmp_path: Path, system: str, refused: str) -> None:
    """A look at the pretence itself: what it lets pass, the test above could not find."""
    done = subprocess.run(
        [sys.executable, "-c", REFUSED, system],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(HERE), str(HERE.parent)])},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.stdout.split() == refused.split(), done.stderr


BARRED = """
import elsewhere, os, sys, time
from pathlib import Path
elsewhere.dress("windows")
from sitegen import world
there = Path("ada.yaml")
there.write_bytes(b"old")
scanner = [there.open("rb") for _ in range(int(sys.argv[1]))]
time.sleep = lambda _: scanner and scanner.pop().close()
try:
    world.write_bytes_atomic(there, b"new")
except world.Refused as error:
    print(str(error).removeprefix(str(there.parent.absolute())))
print(there.read_bytes(), *map(str, Path().iterdir()))
"""


@pytest.mark.parametrize(
    ("open_for", "said"),
    [(2, ["b'new' ada.yaml"]), (99, ["/ada.yaml can't be written: ", "b'old' ada.yaml"])],
)
def test_a_file_that_another_program_has_open_is_replaced_once_it_is_closed(
    tmp_path: Path, open_for: int, said: list[str]
) -> None:
    """As a virus scanner opens each new file for a moment; Windows replaces none that is open."""
    done = subprocess.run(
        [sys.executable, "-c", BARRED, str(open_for)],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(HERE), str(HERE.parent)])},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    lines = done.stdout.splitlines()
    assert len(lines) == len(said), done.stderr
    assert all(line.startswith(begin) for line, begin in zip(lines, said, strict=True)), lines


def test_a_path_that_is_too_long_is_told_with_what_to_do(tmp_path: Path) -> None:
    """Windows says of it that it is not there."""
    deep = tmp_path / ("d" * (231 - len(str(tmp_path))))
    shutil.copytree(HERE.parent / "clients", deep / "clients")
    (deep / "clients/texts/light-evenings.md").rename(deep / "clients/texts/dark.md")
    house = deep / "clients/practice.yaml"
    house.write_text(house.read_text("utf-8").replace("light-evenings", "dark"), "utf-8")
    words = ("rest", "nia", "--week", "2027-03-22", "--because", "exams", "--yes")
    for said in (run("windows", deep, *words, *AS_OF), run("windows", deep, "build", *AS_OF)):
        assert said.returncode == 1 and b"nearer to the drive's top" in said.stderr
        assert b"Traceback" not in said.stderr


def test_what_no_pretence_reaches_is_listed() -> None:
    done = subprocess.run(
        [sys.executable, str(HERE / "elsewhere.py")], capture_output=True, text=True, check=True
    )
    assert all(line in done.stdout for lines in NOT_TRIED.values() for line in lines)


def test_an_output_without_an_arrow_gets_a_question_mark(tmp_path: Path) -> None:
    """And JSON stays whole, whatever the encoding."""
    shutil.copytree(HERE.parent / "clients", tmp_path / "clients")
    act = ("rest", "nia", "--week", "2027-03-22", "--because", "exams", "--dry-run", *AS_OF)
    whole = run("linux", tmp_path, *act, PYTHONIOENCODING="utf-8")
    plain, told = run("linux", tmp_path, *act), run("linux", tmp_path, *act, "--json")
    assert "\N{RIGHTWARDS ARROW}" in whole.stdout.decode()
    assert plain.returncode == 0 and "?" in plain.stdout.decode("cp1252")
    assert json.loads(told.stdout.decode("ascii"))
