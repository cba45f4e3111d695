"""A copy of the project in which a recipe of DEVELOPERS.md is followed, and what it touched."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PARTS = ("sitegen", "templates", "clients", "tools", "babel.cfg", "pyproject.toml")


class Copy:
    """The project's own files in a folder where they may be changed."""

    def __init__(self, folder: Path, *more: str) -> None:
        self.root = folder
        # What is compiled holds for a copy as well, but for what another process just writes.
        leave_out = shutil.ignore_patterns(".*", "*.pyc.*")
        for part in (*PARTS, *more):
            source = ROOT / part
            if source.is_dir():
                shutil.copytree(source, folder / part, ignore=leave_out)
            else:
                shutil.copy2(source, folder / part)
        self._before = self._texts()

    def _texts(self) -> dict[str, bytes]:
        return {
            path.relative_to(self.root).as_posix(): path.read_bytes()
            for path in sorted(self.root.rglob("*"))
            if path.is_file() and "__pycache__" not in path.parts
        }

    def write(self, name: str, text: str) -> None:
        """A new file, or an old one anew."""
        path = self.root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")

    def replace(self, name: str, old: str, new: str) -> None:
        """Change one place of a file; it must stand there exactly once."""
        text = (self.root / name).read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{name}: {old!r} stands there {text.count(old)} times"
        self.write(name, text.replace(old, new))

    def touched(self) -> list[str]:
        """Files that are new or other than before, but for what the tools made."""
        now = self._texts()
        made = (".mo", ".pot")
        return [
            n for n, data in now.items() if self._before.get(n) != data and not n.endswith(made)
        ]

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run Python in the copy, with the copy's own package."""
        return subprocess.run(
            [sys.executable, *words],
            cwd=self.root,
            env={**os.environ, "PYTHONPATH": str(self.root)},
            capture_output=True,
            text=True,
            check=False,
        )
