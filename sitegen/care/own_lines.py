"""What Care says before the lists that all share, on the sealed page of whom it concerns.

A pregnancy, or a blood thinner, of which the first talk tells. Which is *now*: as the alarms have
it (`sitegen.care.pregnancy`, `sitegen.rules.signs`).
"""

from __future__ import annotations

from sitegen.model.sentence import N_

CARE_PREGNANT_NOW = N_(
    "In your pregnancy: bleeding, contractions, fluid that leaks, a baby that moves less, a bad "
    "headache or spots before your eyes, swollen hands or face. Call your midwife or doctor at "
    "once, too."
)
CARE_THINNER_NOW = N_("With your blood thinner: a knock to the head, also if you feel well.")
CARE_THINNER_TODAY = N_(
    "With your blood thinner: a hard fall, a large bruise, or a bleed that goes on."
)
