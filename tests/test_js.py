"""The pure parts of the page's scripts, tried in Node: every file of tests in `tests/js`."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

NODE = shutil.which("node")
FILES = sorted((Path(__file__).parent / "js").glob("*.test.js"))


@pytest.mark.skipif(NODE is None, reason="Node runs the scripts' pure parts")
@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name.split(".")[0])
def test_every_promise_holds_under_node(file: Path) -> None:
    run = subprocess.run(
        [str(NODE), "--test", str(file)], capture_output=True, text=True, timeout=300, check=False
    )

    assert run.returncode == 0, run.stdout
    passed = re.search(r"^\S+ pass (\d+)$", run.stdout, re.MULTILINE)
    written = re.findall(r"^test\(", file.read_text(encoding="utf-8"), re.MULTILINE)
    assert passed and int(passed[1]) >= len(written) > 0
