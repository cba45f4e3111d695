"""The beat's clock and the step counter, as pure functions under Node."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

HERE = Path(__file__).parent
NODE = shutil.which("node")


@pytest.mark.skipif(NODE is None, reason="Node runs the scripts' pure parts")
def test_every_promise_of_the_beat_holds_under_node():
    """Programmes, clicks, taps and motion: see tests/js/beat.test.js."""
    run = subprocess.run(
        [str(NODE), "--test", str(HERE / "js" / "beat.test.js")],
        capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip

    assert run.returncode == 0, run.stdout
    passed = re.search(r"^# pass (\d+)$", run.stdout, re.MULTILINE)
    assert passed and int(passed[1]) >= 30
