"""A first visit stays within 90 kB over the wire for 16 weeks; measured, not added up."""

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
    from first_visit import LIMIT_KB, measure

    [(id, sent)] = measure(("ayla",)).items()

    total = sum(count for _, count in sent)
    paths = [path for path, _ in sent]
    assert id == "ayla"
    assert len(paths) == len(set(paths)), "something was sent twice"
    assert any(path.endswith("/worker.js") for path in paths)
    assert 50_000 < total <= LIMIT_KB * 1000
