"""Chromium without a window, for all tests that ask what a page does.

The shell is of the same version and engine as the whole browser beside it, and opens a page with a
third of its work. `test_walk`, `test_first_visit` and the tests of all engines open the whole one.
"""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Iterator
from typing import Any

import pytest

WHOLE = shutil.which("chromium")
PROGRAM = shutil.which("chromium-headless-shell") or WHOLE
ARGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--mute-audio",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
needs_chromium = pytest.mark.skipif(PROGRAM is None, reason="no chromium on this machine")


@contextlib.contextmanager
def chromium(*more: str, program: str | None = PROGRAM) -> Iterator[Any]:
    """A browser that makes no sound and asks nothing of the network; ``more`` are words for it.

    One at a time: Playwright has no second one in a thread.
    """
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    if program is None:
        pytest.skip("no chromium on this machine")
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=[*ARGS, *more])
        yield browser
        browser.close()
