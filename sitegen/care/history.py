"""What the first talk can find out about health, and what each known answer asks for.

For a clinician's eye: one line an answer. The words are for the coach alone; nobody reads a
diagnosis out of them. Effects are judgement where no source is named; sources are quoted from
memory. What is not known is never guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Literal, NamedTuple, Protocol

from sitegen.care.words import plain, said, spoken

Effect = Literal["clinician", "slower", "none"]


class Asks(NamedTuple):
    """What a known answer asks for: its effect on the plan, why, and what a coach does."""

    effect: Effect
    why: str
    do: str


# Warning signs of too little energy for what is done; two together are for a clinician. That they
# add up: the IOC's consensus on relative energy deficiency, Br J Sports Med 2023 (from memory).
LOW_ENERGY = ("low_energy", "weight_loss", "missed_periods", "bone_stress")
LEAST_TOGETHER = 2
# A score from which pain before the first run is for a clinician; in a log it asks for two days of
# rest (`sitegen.rules.pain`). Common practice, no source.
MUCH_PAIN = 6
_OF_TEN = r"(10|\d)(?:·\d)? ?(?:/|of|out of|de|sobre) ?10"
_SCORE = re.compile(
    rf"(?<![\w·]){_OF_TEN}(?!\w)|"
    r"\b(?:pain|dolor)(?: of| de)? (10|\d)(?! ?(?:/|of|out|de|sobre|day|week|month|year|dia"
    r"|semana|mes|ano|min|km|k|h|hour|times|veces))(?![\w·])"
)
# Pain is spoken of, so the place need not stand beside it as in a check-in's words.
_SWELLS = re.compile(r"\b(?<!no )(?<!not )(?<!longer )(?<!without )(?<!sin )(?:swoll|swell|hinch)")
# Diabetes is a metabolic disease: who injects insulin has one, whatever the screening says.
METABOLIC = "insulin"

HISTORY: dict[str, Asks] = {
    "pain_now": Asks(
        "slower",
        "there is pain before the first run",
        "agree what it is and have it scored from the first run on, as weeks wait for two runs at "
        "0 to 2 where it is 3 and more or has no score; take the line out once it is gone",
    ),
    # The strongest predictor of a new injury that is known (from memory).
    "injury": Asks(
        "slower",
        "an injury of the last 12 months goes with another one",
        "ask how it is now; a way back is written as return: {after: NAME}",
    ),
    "bone_stress": Asks(
        "slower",
        "a bone was injured by running once, and the next one comes more easily",
        "within six months of it (write the day) a clinician first, then return: {after: "
        "bone-stress}; take pain on one spot of a bone for a stop; ask about food, sleep and "
        "periods",
    ),
    "surgery": Asks(
        "clinician",
        "an operation",
        "within six months of it who operated says when and how; for a year weeks grow half as "
        "fast",
    ),
    "concussion": Asks(
        "clinician",
        "a concussion",
        "within six months of it a clinician first; headache, dizziness or fog in a run: stop",
    ),
    "pregnant": Asks(
        "clinician",
        "a pregnancy",
        "bleeding, contractions, breathless at rest, calf swollen: stop, and call; no collagen",
    ),
    "gave_birth": Asks(
        "clinician",
        "a birth",
        "within twelve weeks of it a clinician first, then return: {after: birth}; leaking, "
        "heaviness or bleeding in a run: stop; for a year weeks grow half as fast",
    ),
    "missed_periods": Asks(
        "slower",
        "periods that stay away can mean too little energy, and cost bone",
        "a clinician who knows it looks into this, whatever the plan does",
    ),
    "weight_loss": Asks(
        "slower",
        "weight is lost without meaning to",
        "a doctor looks into this first of all; it need not come from running",
    ),
    "low_energy": Asks(
        "slower",
        "tired for weeks, or eating little",
        "a doctor or a dietitian; growing can wait",
    ),
    "fainted": Asks(
        "clinician", "fainting in effort", "a doctor rules the heart out before any effort",
    ),
    "sudden_death_in_family": Asks(
        "clinician",
        "a sudden death in the family under 50",
        "a doctor rules out what is inherited",
    ),
    "other_sport": Asks(
        "none",
        "other sport and lifting are load that the plan knows nothing of",
        "leave those days out of the week, or give them for strength, and keep a night between "
        "heavy lifting and a hard run",
    ),
    "heat": Asks(
        "none",
        "heat has to be learned anew each year",
        "in the first two warm weeks shorter and slower; who was ever ill from heat asks a doctor "
        "first; confused in heat is an emergency",
    ),
}  # fmt: skip

MEDICINE_ASKS: dict[str, Asks] = {
    "blood_pressure": Asks(
        "none",
        "medicine for blood pressure can make dizzy, above all when a run ends at once",
        "go by effort, not by heart rate, and always walk to cool down",
    ),
    "heart_rate": Asks(
        "none",
        "medicine for the heart rate holds it down, so heart rate says nothing of the effort",
        "go by effort; ask what it is for: a disease of the heart belongs to known_disease",
    ),
    "blood_thinner": Asks(
        "none",
        "with a blood thinner a fall bleeds more, and a knock to the head is an emergency",
        "even paths, light in the dark, and no collagen with vitamin C; ask what it is for: a "
        "disease of the heart or the vessels belongs to known_disease",
    ),
    METABOLIC: Asks(
        "clinician",
        "insulin: running lowers the sugar in the blood, also hours later",
        "food and doses are for who treats it; sugar comes along",
    ),
    "steroids": Asks(
        "slower",
        "steroids over months weaken bone and tendon",
        "growing slowly; pain on one spot of a bone is a stop",
    ),
    # Fluoroquinolones: the label's warning on tendons (from memory).
    "antibiotics": Asks(
        "slower",
        "some antibiotics can hurt tendons, for weeks after the last one",
        "ask which one; pain at the Achilles tendon is a stop, and who gave it hears of it",
    ),
    "other": Asks(
        "none",
        "a medicine that may matter",
        "ask who gave it what it means for running",
    ),
}


class Told(Protocol):
    """A client's history, by the names of `HISTORY`; and the medicines."""

    pain_now: str | None
    medicines: list[str]


def answered(history: Told) -> Iterator[tuple[str, Asks]]:
    """Every answer that tells of something, by its field; each medicine under its own name."""
    for name, asks in HISTORY.items():
        if getattr(history, name):
            yield name, asks
    for name in history.medicines:
        yield name, MEDICINE_ASKS[name]


def signs_now(history: Told) -> tuple[str, ...]:
    """Signs of danger that the words for present pain speak of; any swelling among them."""
    words = history.pain_now or ""
    found = said(words)
    swells = _SWELLS.search(plain(words))
    is_named = any("swelling" in one.sign for one in spoken(words))
    return (*found, "swelling") if swells and not is_named else found


def pain_score(history: Told) -> int | None:
    """The highest score of 10 that the words for present pain give; None where they give none."""
    found = _SCORE.findall(plain(history.pain_now or ""))
    return max((int(one or other) for one, other in found), default=None)


def is_much_pain(history: Told) -> bool:
    """Whether present pain has a score that is for a clinician before any running."""
    return (pain_score(history) or 0) >= MUCH_PAIN


def is_low(history: Told) -> bool:
    """Whether signs of too little energy come together."""
    return sum(bool(getattr(history, name)) for name in LOW_ENERGY) >= LEAST_TOGETHER
