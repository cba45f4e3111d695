"""What all tests share."""

from __future__ import annotations

import contextlib

# A browser on a busy machine is slow; a test waits for what it expects, and never measures that.
with contextlib.suppress(ImportError):
    from playwright.sync_api import expect

    expect.set_options(timeout=30_000)
