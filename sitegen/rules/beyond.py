"""An event that is far beyond the runs before it: its runner is told to speak to the coach."""

from __future__ import annotations

from sitegen.model.case import Case
from sitegen.model.sentence import N_, say
from sitegen.rules import taper
from sitegen.rules.draft import Draft, Past, whole_minutes
from sitegen.rules.event import wanted_minutes
from sitegen.rules.rule import Rule

SOURCE = "common practice, no source"
# Far beyond is an event where no run of the ten weeks before came to this share of what it asks
# for. Common practice, no source.
FAR_UNDER = 0.5
FAR = N_(
    "Your event is far longer than your runs of late: none was over {longest} min. Speak to your "
    "coach before you start: a shorter one, another day, or an easy run with walks."
)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Say so from the taper on; the event's own day is an easy one then."""
    event, found = case.client.goal.event, taper.taper(case)
    if event is None or found is None or draft.stop is not None:
        return draft
    if not found.first_week <= draft.number <= found.event_week:
        return draft
    longest = max((run.minutes for run in past.runs), default=past.known_longest)
    if longest >= wanted_minutes(case, event) * FAR_UNDER:
        return draft
    return draft.decide(
        RULE.name,
        say(FAR, longest=whole_minutes(longest)),
        because=case.origins.at("goal", "event"),
        source=SOURCE,
    )


RULE = Rule(
    name="beyond",
    promise=(
        "Where no run of the ten weeks before comes to half of what the event asks for, the "
        "client is told from the taper on to speak to the coach first, and the event's day is an "
        "easy one."
    ),
    reason="A distance far beyond what tissue has carried is no day to race.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    moves_minutes=False,
    needs=("taper",),
    review="Set the longest run of the ten weeks before the event against what it asks for.",
)
