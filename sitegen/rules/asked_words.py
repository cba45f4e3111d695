"""Words in check-ins that are a question to the coach: too little energy, the pelvic floor after a
birth, a pregnancy, a medicine begun. None of them stops a plan."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sitegen.care.energy import ENERGY_WORDS, energy_said
from sitegen.care.history import HISTORY
from sitegen.care.news import news_said
from sitegen.care.pelvic import pelvic_said
from sitegen.model.case import Case
from sitegen.model.problem import Origin
from sitegen.rules import signs

AFTER_BIRTH = "birth"  # the way back of library/returns/birth.yaml
OF_WORDS = "told_"  # begins the matters
# Told again within so many days, it is no question of its own. Common practice, no source.
AGAIN_DAYS = 28
PELVIC = "pelvic_floor"

_BY_WORDS = "found by words alone, which may mean something else"
_ASKS = {
    PELVIC: (
        "heaviness, leaking or bleeding, after a birth",
        "no run with it; talk with the client in private, and send to who looked after the birth "
        "or to a pelvic-health physiotherapist",
    ),
    "pregnant": (
        "a pregnancy",
        "talk with the client in private; if it is so, write history: {pregnant: yes}, and the "
        "plan waits for a clinician's word",
    ),
    "medicines": (
        "a new medicine",
        "ask which one, what for, and what who gave it says of running; those that matter stand "
        "under history: {medicines: [...]}",
    ),
    **{
        name: (
            name.replace("_", " "),
            f"{HISTORY[name].why}; talk with the client in private, and send to a clinician; if it "
            f"is so, write history: {{{name}: yes}}",
        )
        for name in ENERGY_WORDS
    },
}


def words_asked(case: Case, as_of: date) -> Iterator[tuple[str, date, str, Origin | None]]:
    """Matter, day, what the coach is told, and the entry, of each such question."""
    last: dict[str, date] = {}
    for index, entry, since in signs.counted(case, as_of):
        for name in _told(case, entry.said or ""):
            if name in last and (since - last[name]).days < AGAIN_DAYS:
                continue
            last[name] = since
            what, do = _ASKS[name]
            says = f"words of {what} came on {since} ({_BY_WORDS}): {do}"
            yield f"{OF_WORDS}{name}", since, says, case.log_origins.value(index)


def _told(case: Case, text: str) -> Iterator[str]:
    """What a text tells of, but for what the coach knows from the first talk."""
    if not text:
        return
    history = case.client.history
    for name in (*energy_said(text), *news_said(text)):
        # another medicine is news, whichever the file names
        if name == "medicines" or history is None or not getattr(history, name):
            yield name
    if _gave_birth(case) and pelvic_said(text):
        yield PELVIC


def _gave_birth(case: Case) -> bool:
    client = case.client
    came_back = client.return_ is not None and client.return_.after == AFTER_BIRTH
    return came_back or bool(client.history and client.history.gave_birth)
