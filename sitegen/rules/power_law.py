"""From one race to the likely time of another, by the published power law.

Source: Riegel PS, American Scientist 1981;69(3):285-290 (formula and range read second-hand). Too
hopeful for the marathon of ordinary runners by 10 min or more in half of them: Vickers AJ,
Vertosick EA, BMC Sports Sci Med Rehabil 2016;8:26.
"""

from __future__ import annotations

EXPONENT = 1.06
RANGE_S = (3.5 * 60, 230 * 60)


def predict_seconds(metres: float, seconds: float, target_metres: float) -> float | None:
    """Likely time over ``target_metres`` after ``seconds`` over ``metres``.

    None where either effort lies outside the law's range of 3.5 to 230 minutes.
    """
    found = seconds * (target_metres / metres) ** EXPONENT
    low, high = RANGE_S
    return found if low <= seconds <= high and low <= found <= high else None
