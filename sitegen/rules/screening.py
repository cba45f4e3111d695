"""Who may start, who sees a clinician first, and who may do nothing hard yet."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from sitegen.model.case import Case
from sitegen.model.problem import Origin
from sitegen.model.sentence import N_, say
from sitegen.model.values import Duration
from sitegen.rules import history
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
    asked = case.client.screening
    cleared = clearance(case)
    if cleared is not None and cleared <= day:
        return None
    if asked.symptoms:
        return _stop(case.origins.at("screening", "symptoms"))
    if asked.known_disease and not asked.regular_exercise:
        return _stop(case.origins.at("screening", "known_disease"))
    return None


def _stop(because: Origin) -> Stop:
    return Stop("screening", None, because, "", RULE.name, say(REFERRED), SOURCE, refers=True)


def _may_stop(log: Log) -> bool:
    asked = log.case.client.screening
    return bool(asked.symptoms or asked.known_disease)


def _stops(log: Log, before: date, day: date) -> Stop | None:
    return stop(log.case, day)


def is_new(case: Case) -> bool:
    """Whether somebody with a known disease who is not active begins as a new runner does."""
    asked = case.client.screening
    return asked.known_disease and not asked.regular_exercise


def as_new(case: Case) -> Case:
    """The case with a baseline of nothing, for such a client; whatever the file says of weeks.

    The numbers stay in the file, for the day on which the coach answers the screening anew.
    """
    if not is_new(case):
        return case
    nothing = Duration(0)
    baseline = case.client.baseline.but(
        week=nothing, longest=nothing, continuous=nothing, race=None
    )
    return replace(case, client=case.client.but(baseline=baseline))


def hard_allowed(case: Case, day: date) -> bool:
    """False where anything asks for a clinician's word, and none for all stands on ``day``.

    A word for easy running is none for hard running, whatever asked for it.
    """
    asked = case.client.screening
    since = [on for _, on in history.asked_for(case.client, day)]
    if asked.known_disease or asked.symptoms:
        since.append(asked.on)
    return not since or cleared_for_hard(case, day, max(since))


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
        before=draft.minutes,
        after=0.0,
        kind="pause",
        minutes=0.0,
        stop=found,
    )


RULE = Rule(
    name="screening",
    promise=(
        "Not regularly active with a known disease, or anyone with symptoms: no sessions until a "
        "clinician's clearance is written down; then, with a known disease, as a new runner "
        "begins, whatever the baseline says. With a known disease, or whatever else asks for a "
        "clinician's word (`history`): nothing hard without a clearance for all that is not older, "
        "and of the last 12 months."
    ),
    reason="A coach asks, stops and refers; a coach does not clear.",
    source=SOURCE,
    evidence="published",
    apply=apply,
    sees=as_new,
    stops=_stops,
    may_stop=_may_stop,
    review="With `symptoms: yes` and no `cleared_on`, no week holds a session.",
)
