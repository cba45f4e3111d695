"""Signs that stop the plan: some at once and urgently, others until the coach lifts the pause."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from sitegen.model.case import Case
from sitegen.model.checkin import URGENT_SIGNS
from sitegen.model.sentence import N_, Sentence, say
from sitegen.rules.draft import Draft, Past, Stop
from sitegen.rules.log import Logged
from sitegen.rules.rule import Rule

SOURCE = (
    "usual red flags; bone: Knobloch AC et al., Curr Sports Med Rep 2025;24(9):281-291; heart: "
    "symptom list of Riebe D et al. 2015, quoted from memory; the list is not complete"
)

URGENT = N_(
    "Stop. {sign} was logged. Do not run. Call the emergency number or see a doctor today, then "
    "tell your coach."
)
PAUSE = N_(
    "Paused: {sign} was logged. Do not run; see a licensed clinician. The plan goes on when your "
    "coach lifts the pause."
)
PAIN_REFERRED = N_(
    "Paused: pain sent the plan back twice within 14 days. Do not run; see a licensed clinician. "
    "The plan goes on when your coach lifts the pause."
)

# The first word of a sentence, or one within it.
URGENT_WORDS = {
    "chest_pain": N_("Chest pain"),
    "fainting": N_("Fainting"),
    "breathless_at_rest": N_("Breathless at rest"),
    "calf_swelling": N_("Calf swelling"),
}
SIGN_WORDS = {
    "swelling": N_("swelling"),
    "limp": N_("limp"),
    "night_pain": N_("night pain"),
    "locking": N_("locking"),
    "giving_way": N_("giving way"),
    "bone_point_pain": N_("bone point pain"),
}


def lifted_on(case: Case) -> tuple[date, ...]:
    """Days on which the coach lifted a pause: a change with ``rest: no``."""
    return tuple(c.on for c in case.client.changes if c.rest is False and c.on is not None)


def stop(case: Case, signed: Sequence[Logged], day: date) -> Stop | None:
    """The sign that still stops the plan on ``day``; an urgent one first.

    ``signed`` are the sessions before ``day`` that told of a sign.
    """
    if not signed:
        return None
    cleared = case.client.screening.cleared_on
    lifts = lifted_on(case)
    found: Stop | None = None
    for session in signed:
        for sign in session.entry.signs:
            if sign in URGENT_SIGNS:
                if not (cleared is not None and session.on <= cleared <= day):
                    return Stop("urgent", session.on, session.origin, sign)
            elif not any(session.on <= lift <= day for lift in lifts):
                found = found or Stop("sign", session.on, session.origin, sign)
    return found


def words(found: Stop) -> Sentence:
    """What the client is told."""
    if found.reason == "pain":
        return say(PAIN_REFERRED)
    if found.reason == "urgent":
        return say(URGENT, sign=say(URGENT_WORDS[found.word]))
    return say(PAUSE, sign=say(SIGN_WORDS[found.word]))


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Plan nothing while a sign, or a referral for pain, stands."""
    found = past.condition.stop
    if draft.stop is not None or found is None or found.reason not in ("urgent", "sign", "pain"):
        return draft
    return draft.decide(
        "pain" if found.reason == "pain" else RULE.name,
        words(found),
        because=found.because,
        source=SOURCE,
        before=draft.minutes,
        after=0.0,
        warns=True,
        kind="pause",
        minutes=0.0,
        stop=found,
    )


RULE = Rule(
    name="signs",
    promise=(
        "Chest pain, fainting, breathlessness at rest or a swollen calf: stop, referred, urgent "
        "wording. Any other sign: pause until the coach records a change with `rest: no`."
    ),
    reason="A coach does not diagnose; a sign is a reason to be seen.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
)
