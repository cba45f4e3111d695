"""What all tests share."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from typing import Any

import pytest

from chromium import chromium

# A browser on a busy machine is slow; a test waits for what it expects, and never measures that.
with contextlib.suppress(ImportError):
    from playwright.sync_api import expect

    expect.set_options(timeout=30_000)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Chromium, once for all tests of a file; each test opens a context of its own."""
    with chromium() as found:
        yield found
