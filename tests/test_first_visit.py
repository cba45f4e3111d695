"""A first visit stays within 80 kB until ready with 16 weeks, 95 with a year; measured."""

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
    assert later == ["/assets/drills-en", "/assets/later-en", "/assets/listen-en"]
    assert 50_000 < visit.until_ready <= 80_000
    assert visit.until_ready < visit.whole <= 130_000


def test_a_year_with_three_hundred_check_ins_stays_within_its_limit(tmp_path: Path):
    from first_visit import MOST_ELEMENTS, YEAR_DAY, a_year, measure

    [(id, visit)] = measure(of=a_year(tmp_path), day=YEAR_DAY).items()

    assert id == "ayla"
    assert 60_000 < visit.until_ready <= 95_000
    assert 1_000 < visit.elements <= MOST_ELEMENTS
