"""Signs that a coach acts on, and how urgent each is.

Source: the symptom list behind Riebe D et al., Med Sci Sports Exerc 2015;47(11):2473-2479 (from
memory, wording ours); Knobloch AC et al., Curr Sports Med Rep 2025;24(9):281-291 (bone); a
regional knee referral pathway with the Ottawa knee rule, Stiell IG et al., JAMA 1996;275:611-615;
ACSM position stand on exertional heat illness 2007. Which sign is *now* and which is *today* is
judgement. The list is not complete.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

Urgency = Literal["now", "today", "ask"]

# *now*: emergency number first.
NOW = (
    "chest_pain",
    "fainting",
    "near_fainting",
    "breathless_at_rest",
    "breathless_out_of_proportion",
    "one_sided_weakness",
    "worst_headache",
    "heat_confusion",
    "coughing_blood",
    "cold_limb",
    "implant_shock",
    "pregnancy_sign",
    "urgent_word",
)
# *today*: no running, and a clinician today.
TODAY = (
    "calf_swelling",
    "palpitations",
    "dark_urine",
    "cannot_bear_weight",
    "hot_joint",
    "saddle_numbness",
    "self_harm",
    "head_injury",
    "bleeding",
    "severe_pain",
    "bone_point_pain",
    "night_pain",
    "limp",
    "locking",
    "giving_way",
    "swelling",
)
# Looked for with those alone of whom the file says so, and so by no device.
BY_THE_FILE = frozenset({"pregnancy_sign"})
# An illness: no running while it lasts and a day more, and no clinician asked for by itself.
ILL = ("fever", "chest_cold", "upset_stomach")
ALL = NOW + TODAY
LIFTED = (*ALL, "pain")
"""What a coach's ``lifts`` may name: a sign, or pain that sent the plan back twice."""
BY_WORDS_ONLY = frozenset(
    {"implant_shock", "pregnancy_sign", "urgent_word", "self_harm", "head_injury", "bleeding"}
    | {"severe_pain"}
)

# Where a name alone would not say it.
_IN_WORDS = {
    "fainting": "fainting",
    "near_fainting": "nearly fainting",
    "palpitations": "a racing or skipping heart",
    "one_sided_weakness": "weakness or numbness on one side",
    "worst_headache": "the worst headache",
    "heat_confusion": "confusion in heat",
    "cold_limb": "a limb that is cold, pale, numb or deformed",
    "implant_shock": "a shock from an implanted device",
    "pregnancy_sign": "a sign of danger in pregnancy",
    "urgent_word": "one of your urgent words",
    "cannot_bear_weight": "can't bear weight",
    "saddle_numbness": "numbness in the saddle area, or the bladder",
    "self_harm": "self-harm",
    "head_injury": "a knock to the head",
    "bleeding": "a large bruise or a bleed, with a blood thinner",
    "severe_pain": "pain of 8 or more",
    "bone_point_pain": "pain on a bone, in one spot or in the groin",
    "night_pain": "pain at night",
    "chest_cold": "a cold on the chest",
    "upset_stomach": "an upset stomach or bowels",
}


def sign_words(sign: str) -> str:
    """``chest pain``: a sign as a coach reads it."""
    return _IN_WORDS.get(sign, sign.replace("_", " "))


def urgency(sign: str) -> Urgency:
    """How urgent a sign is. One that nobody knows is *today*: it was worth a tick.

    *ask* is an illness: no running while it lasts, and no clinician asked for by itself.
    """
    if sign in ILL:
        return "ask"
    return "now" if sign in NOW else "today"


def most_urgent_first(signs: Iterable[str]) -> tuple[str, ...]:
    """Each sign once, *now* before *today* before illness, in the order of the lists."""
    told = set(signs)
    unknown = sorted(told - {*ALL, *ILL})
    return (*(s for s in ALL if s in told), *unknown, *(s for s in ILL if s in told))
