"""A first visit of 16 weeks stays within 80 kB until ready, 139 kB whole; measured."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = pytest.mark.skipif(
    shutil.which("chromium") is None, reason="no chromium on this machine"
)


def test_a_first_visit_with_sixteen_weeks_stays_within_the_limit():
    from first_visit import measure

    [(id, visit)] = measure(("ayla",)).items()

    paths = [path for path, _ in visit.sent]
    assert id == "ayla"
    assert len(paths) == len(set(paths)), "something was sent twice"
    assert any(path.endswith("/worker.js") for path in paths)
    later = sorted(path.split(".")[0] for path in visit.later)
    assert later == ["/assets/drills-en", "/assets/later", "/assets/later-en"]
    assert 50_000 < visit.until_ready <= 80_000
    assert visit.until_ready < visit.whole <= 139_000
