"""Imports go one way: cli, desk, coach, then check-ins, publish and site, then portal, feed and
seal, then plan and practice, then rules, then model.

The core knows no clock, no chance, no folders and no network.
"""

from __future__ import annotations

import ast
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "sitegen"

# What each part may import of the others. A part may always import itself and the version.
ALLOWED = {
    "model": set(),
    "care": {"model"},
    "rules": {"care", "model"},
    "practice": {"care", "rules", "model", "world"},  # of the world only its reader of folders
    "plan": {"care", "rules", "model"},
    "acts": {"plan", "practice", "care", "rules", "model"},
    "portal": {"care", "plan", "practice", "rules", "model"},
    "feed": {"portal", "plan", "model"},
    "library": set(),
    "world": set(),
    "locking": {"world"},
    "versions": {"world", "locking"},
    "terminal": {"practice", "model", "world", "locking"},
    "seal": {"world", "locking", "model"},
    "site": {
        "seal", "feed", "portal", "plan", "practice", "rules", "model", "world", "terminal",
        "locking", "versions",
    },
    "publish": {"site", "seal", "practice", "world", "model", "terminal", "locking"},
    "checkins": {
        "care", "site", "seal", "practice", "plan", "rules", "model", "world", "terminal",
        "portal", "locking", "versions",
    },
    "coach": {
        "care", "checkins", "publish", "site", "seal", "feed", "portal", "plan", "practice",
        "rules", "model", "world", "terminal", "library", "locking", "acts", "versions",
    },
    "desk": {
        "coach", "acts", "checkins", "publish", "site", "seal", "portal", "plan", "practice",
        "rules", "care", "model", "world", "terminal", "locking", "versions",
    },
    "__main__": {"cli"},
    "cli": {"terminal"},  # commands are found by name
}  # fmt: skip

PURE = ("model", "care", "rules", "plan", "portal", "feed")
WORLDLY = {
    "os", "pathlib", "shutil", "tempfile", "random", "secrets", "socket", "subprocess", "time",
    "urllib.request", "http", "threading", "asyncio", "io", "glob",
}  # fmt: skip
# The time zone database is read as `zoneinfo` reads it: the same everywhere, and no one's data.
EXCEPT = {"timezone.py": {"pathlib"}}


def part_of(path: Path) -> str:
    inside = path.relative_to(PACKAGE)
    return inside.parts[0] if len(inside.parts) > 1 else inside.stem


def imported(path: Path) -> set[str]:
    """Full names of all modules that a file imports, wherever in the file it does."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: a relative import"
            found |= {node.module} | {f"{node.module}.{a.name}" for a in node.names}
    return found


FILES = sorted(PACKAGE.rglob("*.py"))


def arrows() -> set[tuple[str, str, str]]:
    found = set()
    for path in FILES:
        for name in imported(path):
            pieces = name.split(".")
            if pieces[0] != "sitegen" or len(pieces) < 2:
                continue
            if (PACKAGE / pieces[1]).exists() or (PACKAGE / f"{pieces[1]}.py").exists():
                found.add((part_of(path), pieces[1], path.relative_to(ROOT).as_posix()))
    return {(a, b, where) for a, b, where in found if a != b}


def test_imports_go_one_way():
    seen = arrows()
    assert len({(a, b) for a, b, _ in seen}) >= 12, "the arrows were not found; is the test blind?"
    wrong = sorted(f"{where}: {a} -> {b}" for a, b, where in seen if b not in ALLOWED[a])
    assert wrong == []


def test_each_part_of_the_package_is_known_here():
    parts = {part_of(p) for p in FILES} - {"__init__", "__main__", "_templates"}
    assert parts <= set(ALLOWED)


@pytest.mark.parametrize("part", PURE)
def test_the_core_does_not_touch_the_world(part):
    files = [p for p in FILES if part_of(p) == part]
    assert files
    for path in files:
        names = imported(path) | {n.split(".")[0] for n in imported(path)}
        touched = names & WORLDLY - EXCEPT.get(path.name, set())
        assert not touched, f"{path.name} imports {sorted(touched)}"
        text = path.read_text(encoding="utf-8")
        for call in ("datetime.now(", "date.today(", "open("):
            assert f" {call}" not in text and f"({call}" not in text, f"{path.name} calls {call}"


# What starting a one-client rebuild may load. Heavy ones are named so that a new one is noticed.
HEAVY = {
    "babel", "playwright", "fsspec", "rich", "segno", "paramiko", "selenium", "hypothesis",
    "asyncio", "http", "recurring_ical_events", "aiohttp", "watchfiles",
}  # fmt: skip


def test_a_rebuild_loads_nothing_heavy(tmp_path):
    """The modules are counted in a fresh process that builds one client."""
    script = (
        "import sys\n"
        "from pathlib import Path\n"
        "from sitegen.site.building import build_site\n"
        f"built = build_site(Path({str(tmp_path / 'clients')!r}), Path({str(tmp_path / 'out')!r}),"
        " ('nia',))\n"
        "assert built.done, built.problems\n"
        "print(*sorted({m.split('.')[0] for m in sys.modules}))\n"
    )
    copied = tmp_path / "clients"
    copied.mkdir()
    (copied / "texts").mkdir()
    for name in (
        "practice.yaml", "logo.png", "texts/light-evenings.md", "nia.yaml", "nia.log.yaml",
    ):  # fmt: skip
        (copied / name).write_bytes((ROOT / "clients" / name).read_bytes())
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    loaded = set(done.stdout.split())
    assert {"jinja2", "yaml"} <= loaded, "the build did not run"
    assert loaded & HEAVY == set()


def test_a_build_of_nothing_loads_neither_reader_nor_engine(tmp_path):
    """A practice in which nothing changed is told from its files' stamps."""
    copied = tmp_path / "clients"
    shutil.copytree(ROOT / "clients", copied)
    words = [
        "build",
        "--clients",
        str(copied),
        "--as-of",
        "2027-03-18",
        "--out",
        str(tmp_path / "out"),
    ]
    loaded = ""
    for _ in range(2):
        script = f"import sys, sitegen.cli\nsys.argv[1:] = {words!r}\ntry: sitegen.cli.main()\n"
        script += "finally: print(*{m.split('.')[0] for m in sys.modules})"
        done = subprocess.run(
            [sys.executable, "-c", script], capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        *_, told, loaded = done.stdout.splitlines()
    assert "0 files written" in told and "click" in loaded.split()
    assert not {"jinja2", "yaml", "cryptography"} & {*loaded.split()}


def test_the_version_is_told_without_loading_the_engine():
    script = "import sys, sitegen.cli; print(*{m.split('.')[0] for m in sys.modules})"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    loaded = set(done.stdout.split())
    assert "click" in loaded
    assert loaded & {"jinja2", "yaml", "icalendar", "cryptography"} == set()


def test_no_module_is_over_500_lines() -> None:
    """A file is about one thing, and is read in one go."""
    lines = {p.relative_to(ROOT).as_posix(): len(p.read_bytes().splitlines()) for p in FILES}
    assert len(lines) > 200
    assert {file: count for file, count in lines.items() if count > 500} == {}
