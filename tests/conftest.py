"""What all tests share."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from typing import Any

import pytest

from chromium import chromium
from nightly import IS_NIGHTLY

# By day the same examples each time; by night others, and more. None is judged by its time.
with contextlib.suppress(ImportError):
    from hypothesis import HealthCheck, settings

    patient = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
    settings.register_profile("ci", patient, max_examples=50, derandomize=True, database=None)
    settings.register_profile("nightly", patient, max_examples=1_000)
    settings.load_profile("nightly" if IS_NIGHTLY else "ci")

# A browser on a busy machine is slow; a test waits for what it expects, and never measures that.
with contextlib.suppress(ImportError):
    from playwright.sync_api import expect

    expect.set_options(timeout=30_000)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Chromium, once for all tests of a file; each test opens a context of its own."""
    with chromium() as found:
        yield found
