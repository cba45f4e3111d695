"""Every promise that is kept, over the simulated lives and the sweeps.

The ordinary run lives 300 lives; with `PROMISES=nightly` in the environment 10,000. The sweep of
shares is of 300 lives each by night, of 20 by day.
"""

from __future__ import annotations

import os

import pytest

from .promises import PROMISES, kept
from .verdict import Verdict

IS_NIGHTLY = os.environ.get("PROMISES") == "nightly"
CROWD = 10_000 if IS_NIGHTLY else 300
OPEN = [name for name in PROMISES if name not in kept()]


@pytest.mark.parametrize("name", kept())
def test_a_kept_promise_holds(name: str) -> None:
    promise = PROMISES[name]
    verdict = promise.judge(CROWD)
    assert verdict.holds, f"{promise.says}\n{verdict.figure}\n" + "\n".join(verdict.breaches[:5])


@pytest.mark.skipif(not IS_NIGHTLY, reason="the promises not kept yet are looked at by night")
@pytest.mark.parametrize("name", OPEN)
def test_a_promise_that_holds_is_held(name: str) -> None:
    """A promise that has come to hold is given its ``since``, so that it stays kept."""
    assert not PROMISES[name].judge(300).holds, f"{name}: holds now, so say since when"


def test_a_verdict_with_a_breach_does_not_hold() -> None:
    assert Verdict((), "nothing").holds
    assert not Verdict(("week 3: 0 min",), "1 of 1").holds
