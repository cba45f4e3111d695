"""What the listening check hears in sound that another hand made: see docs/listening.md."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import hearing
import other_footfall as other
from nightly import IS_NIGHTLY
from other_footfall import NOISES, Check, Heard, a_check, a_run, nobody

pytestmark = pytest.mark.skipif(hearing.NODE is None, reason="Node runs the page's script")
# By day the first whose phone samples at 16 kHz: they cost the least.
RUNS = range(1, 201) if IS_NIGHTLY else (3, 7, 11, 12)
DAY_ALONE = (("wind", 3), ("talk", 1), ("rustle", 1))
ALONE = [(kind, n) for kind in NOISES for n in range(1, 26)] if IS_NIGHTLY else DAY_ALONE
CHECKS = range(1, 51) if IS_NIGHTLY else (3,)
SECONDS = 62.0 if IS_NIGHTLY else 30.0  # of a runner; noise alone has the page's minute


def heard(cases: Iterable[Heard], folder: Path) -> list[tuple[Heard, dict[str, Any]]]:
    """One after the other: by night they would not all fit on the disk."""
    return [(case, hearing.listened([case], folder)[0]) for case in cases]


def judged(check: Check, folder: Path) -> dict[str, Any]:
    found = dict(zip(hearing.PARTS, hearing.listened(check.parts, folder), strict=True))
    pairs = [pair for one in found.values() for pair in one["pairs"]]
    (claim,) = hearing.asked([{"found": found, "pairs": pairs}])
    return claim | {"found": found}


# --- the generator ------------------------------------------------------------------------------


def test_the_weighting_is_the_standard_s() -> None:
    """IEC 61672-1:2013, table 3, from memory, to 0.1 dB."""
    table = {63: -26.2, 125: -16.1, 250: -8.6, 500: -3.2, 1000: 0.0, 2000: 1.2, 4000: 1.0}
    hz = 1000 * 10 ** (np.round(10 * np.log10(np.array(list(table)) / 1000)) / 10)

    assert 20 * np.log10(other.a_weight(hz)) == pytest.approx(list(table.values()), abs=0.1)


def test_a_case_is_its_seed_s_alone_and_has_the_truth_that_is_told() -> None:
    one, again, differs = (a_run(seed, seconds=8) for seed in (3, 3, 7))

    assert (one.wave == again.wave).all() and one[1:] == again[1:]
    assert one.spm != differs.spm
    chance = np.random.default_rng(5)
    runner = other.a_runner(chance)._replace(spm=170, drift=0)
    times = other.contacts(chance, runner, 60)
    clean = other.steps(chance, runner, 16_000, times, 60)
    share = len(times) * other.STANCE_S / 60
    assert 60 / np.mean(np.diff(times)) == pytest.approx(170, abs=1)
    assert other.level(clean, 16_000) == pytest.approx(
        runner.level_db + 10 * np.log10(share), abs=0.01
    )


# --- what is heard in it ------------------------------------------------------------------------


def test_a_rate_that_is_told_is_right_and_most_are_told(tmp_path: Path) -> None:
    pairs = heard((a_run(seed, seconds=SECONDS) for seed in RUNS), tmp_path)
    taken = [(one, found) for one, found in pairs if "refused" not in found]

    assert len(taken) >= 0.8 * len(pairs)
    for one, found in taken:
        assert found["spm"] == pytest.approx(one.spm, abs=2), one.told


def test_noise_alone_is_no_runner(tmp_path: Path) -> None:
    pairs = heard((nobody(seed, kind) for kind, seed in ALONE), tmp_path)
    taken = [one.told for one, found in pairs if "refused" not in found]

    assert len(taken) < 0.01 * len(pairs), taken


def test_in_a_check_each_rate_and_each_difference_that_is_told_is_right(tmp_path: Path) -> None:
    claimed = 0
    for seed in CHECKS:
        check = a_check(seed, seconds=SECONDS)
        claim = judged(check, tmp_path)
        claimed += claim["quieter_db"] is not None
        for part, found in zip(check.parts, claim["found"].values(), strict=True):
            assert "refused" in found or found["spm"] == pytest.approx(part.spm, abs=2), seed
        for name, true in (("quieter_db", check.quieter_db), ("beat_db", check.beat_db)):
            assert claim[name] is None or claim[name] == pytest.approx(true, abs=1.5), seed
    assert claimed >= 0.5 * len(CHECKS)
