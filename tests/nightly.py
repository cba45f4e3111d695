"""What is looked at in every run, and what by night alone: `make nightly`."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TypeVar

import pytest

T = TypeVar("T")
IS_NIGHTLY = os.environ.get("PROMISES") == "nightly"
by_night = pytest.mark.skipif(not IS_NIGHTLY, reason="looked at by night: make nightly")


def some_of(every: Sequence[T], *by_day: T) -> Sequence[T]:
    """Of a table of cases those of ``by_day``, in which each single value comes; by night all."""
    assert set(by_day) <= set(every)
    return every if IS_NIGHTLY else by_day
