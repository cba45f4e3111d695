"""Published equations that the coach's overview may cite: energy cost, and speed from two trials.

None of them decides anything in a plan.
"""

from __future__ import annotations

from dataclasses import dataclass

REST_ML = 3.5
JOG_FROM_M_PER_MIN = 80.0
VIGOROUS_MET = 6.0  # from memory: the usual border of vigorous effort in guidelines
TRIAL_RANGE_S = (120.0, 1800.0)


def run_vo2(metres_per_minute: float, grade: float = 0.0) -> float:
    """Oxygen cost of running in ml/kg/min; ``grade`` as a fraction.

    Source: ACSM's Guidelines for Exercise Testing and Prescription, 10th ed., Table 6.3, as
    reprinted by Bushman BA, ACSM's Health Fit J 2020;24(3):6-10. Steady state on a treadmill; the
    error for one person is large.

    Raises:
        ValueError: Slower than 80 m/min, where the equation does not hold.
    """
    if metres_per_minute < JOG_FROM_M_PER_MIN:
        raise ValueError("the running equation holds from 80 m/min on")
    return REST_ML + 0.2 * metres_per_minute + 0.9 * metres_per_minute * grade


def mets(vo2: float) -> float:
    """Multiples of resting oxygen use; 1 MET is 3.5 ml/kg/min."""
    return vo2 / REST_ML


def run_mets(seconds_per_km: float) -> float | None:
    """METs of level running at a pace; None where it is too slow for the equation."""
    metres_per_minute = 60_000 / seconds_per_km
    return mets(run_vo2(metres_per_minute)) if metres_per_minute >= JOG_FROM_M_PER_MIN else None


@dataclass(frozen=True, slots=True)
class TwoTrials:
    """Critical speed in m/s and the fixed reserve D' in metres, from two all-out trials."""

    critical_speed: float
    reserve_m: float


def two_trials(one: tuple[float, float], other: tuple[float, float]) -> TwoTrials | None:
    """The two-parameter model from two (metres, seconds) trials; None where it can't hold.

    Source: Hughson RL et al., Int J Sports Med 1984;5:23-25 (citation from memory); two trials do
    as well as three: Kordi M et al., Int J Sports Physiol Perform 2019;14(5):685-688. The reserve
    is noisy: in that study its spread is almost half of its mean.
    """
    (short_m, short_s), (long_m, long_s) = sorted((one, other), key=lambda trial: trial[1])
    low, high = TRIAL_RANGE_S
    if not low <= short_s < long_s <= high or long_m <= short_m:
        return None
    speed = (long_m - short_m) / (long_s - short_s)
    reserve = short_m - speed * short_s
    return TwoTrials(speed, reserve) if reserve >= 0 else None
