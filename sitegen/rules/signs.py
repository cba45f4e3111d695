"""Signs that stop the plan: some at once and urgently, others until the coach lifts the pause."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from sitegen.model.case import Case
from sitegen.model.checkin import URGENT_SIGNS
from sitegen.model.sentence import N_, Sentence, say
from sitegen.rules.draft import Draft, Past, Stop, StopReason
from sitegen.rules.log import Log, Logged, lifted_on
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

# The first word of a sentence, or one within it.
URGENT_WORDS = {
    "chest_pain": N_("Chest pain"),
    "fainting": N_("Fainting"),
    "breathless_at_rest": N_("Breathless at rest"),
    "calf_swelling": N_("Calf swelling"),
    "near_fainting": N_("Nearly fainting"),
    "breathless_out_of_proportion": N_("Breathless out of proportion"),
    "heat_confusion": N_("Confusion in heat"),
    "one_sided_weakness": N_("Weakness on one side"),
    "worst_headache": N_("The worst headache"),
}
SIGN_WORDS = {
    "swelling": N_("swelling"),
    "limp": N_("limp"),
    "night_pain": N_("night pain"),
    "locking": N_("locking"),
    "giving_way": N_("giving way"),
    "bone_point_pain": N_("bone point pain"),
    "palpitations": N_("a racing or skipping heart"),
    "dark_urine": N_("dark urine"),
    "hot_joint": N_("a hot joint"),
    "cannot_bear_weight": N_("a leg that bears no weight"),
    "fever": N_("fever"),
}


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
                    says = say(URGENT, sign=say(URGENT_WORDS[sign]))
                    return _stop("urgent", session, sign, says)
            elif not any(session.on <= lift <= day for lift in lifts):
                says = say(PAUSE, sign=say(SIGN_WORDS[sign]))
                found = found or _stop("sign", session, sign, says)
    return found


def _stop(reason: StopReason, session: Logged, sign: str, says: Sentence) -> Stop:
    refers = reason == "urgent"
    return Stop(reason, session.on, session.origin, sign, RULE.name, says, SOURCE, refers)


def signed(log: Log) -> tuple[Logged, ...]:
    """The sessions that told of a sign, oldest first."""
    found: tuple[Logged, ...] = log.read[RULE.name]
    return found


def _read(case: Case, log: Log) -> tuple[Logged, ...]:
    return tuple(s for s in log.logged if s.entry.signs)


def _stops(log: Log, before: date, day: date) -> Stop | None:
    return stop(log.case, [s for s in signed(log) if s.on < before], day)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Plan nothing while a sign stands."""
    found = past.stop
    if draft.stop is not None or found is None or found.rule != RULE.name:
        return draft
    return draft.stopped(found)


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
    reads=_read,
    stops=_stops,
    review="From a sign's day on no session stands, until the day of the clearance or the lift.",
)
