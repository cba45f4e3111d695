"""Who may start, who sees a clinician first, and who may do nothing hard yet."""

from __future__ import annotations

from datetime import date

from sitegen.model.case import Case
from sitegen.model.problem import Origin
from sitegen.model.sentence import N_, say
from sitegen.rules.draft import Draft, Past, Stop
from sitegen.rules.lifts import clearance, cleared_for_hard
from sitegen.rules.log import Log
from sitegen.rules.rule import Rule

SOURCE = (
    "Riebe D et al., Med Sci Sports Exerc 2015;47(11):2473-2479 (three-question screening); "
    "the decision table is our wording, quoted from memory of the paper"
)

REFERRED = N_("The answers at intake call for a clinician's word before any running.")


def stop(case: Case, day: date) -> Stop | None:
    """Why no session may be planned on ``day``, or None."""
    asked, cleared = case.client.screening, clearance(case)
    if cleared is not None and cleared <= day:
        return None
    if asked.symptoms:
        return _stop(case.origins.at("screening", "symptoms"))
    if asked.known_disease and not asked.regular_exercise:
        return _stop(case.origins.at("screening", "known_disease"))
    return None


def _stop(because: Origin) -> Stop:
    return Stop("screening", None, because, "", RULE.name, say(REFERRED), SOURCE, refers=True)


def _stops(log: Log, before: date, day: date) -> Stop | None:
    return stop(log.case, day)


def hard_allowed(case: Case, day: date) -> bool:
    """False for who has a known disease, or had symptoms, and is not cleared for all.

    Such a clearance is not older than twelve months.
    """
    asked = case.client.screening
    return not (asked.known_disease or asked.symptoms) or cleared_for_hard(case, day)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Plan nothing for who has to be seen first."""
    found = past.stop
    if found is None or found.rule != RULE.name:
        return draft
    return draft.decide(
        RULE.name,
        found.says,
        because=found.because,
        source=SOURCE,
        kind="pause",
        minutes=0.0,
        stop=found,
    )


RULE = Rule(
    name="screening",
    promise=(
        "Not regularly active with a known disease, or anyone with symptoms: no sessions until a "
        "clinician's clearance is written down. Active with a known disease: nothing hard."
    ),
    reason="A coach asks, stops and refers; a coach does not clear.",
    source=SOURCE,
    evidence="published",
    apply=apply,
    stops=_stops,
    review="With `symptoms: yes` and no `cleared_on`, no week holds a session.",
)
