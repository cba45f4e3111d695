"""Hard sessions: late, few, and never while something holds the plan."""

from __future__ import annotations

from sitegen.model.case import Case
from sitegen.model.kinds import percent, whole
from sitegen.model.record import row
from sitegen.model.sentence import Sentence, say
from sitegen.model.values import Percent
from sitegen.rules import absence, pain, screening, volume
from sitegen.rules.draft import Draft, Past, whole_minutes
from sitegen.rules.rule import Parameters, Rule

SOURCE = (
    "common practice, no source; progressing hard running instead of volume did not clearly "
    "change injuries (Ramskov D et al., BMJ Open Sport Exerc Med 2018;4(1):e000333)"
)
RUNS_FOR_TWO = 4
SHORTEST_MIN = 1.5  # of hard running in a week: four strides have a little less


class HardParameters(Parameters):
    """When hard sessions may begin, and how many there are."""

    from_week: int = row(
        whole(1, 52, "a week's number"), "", "first week with a hard session", default=5
    )
    per_week: int = row(
        whole(0, 2, "sessions a week, a whole number"),
        "",
        "hard sessions a week, once the coach's file asks for hard sessions",
        default=1,
    )
    share: Percent = row(
        percent(5, 20),
        "",
        "most of the week's minutes that are hard running",
        default=Percent(20),
    )


def why_not(draft: Draft, past: Past, case: Case, from_week: int) -> Sentence | None:
    """The reason against a hard session in this week, or None."""
    if past.number < from_week:
        return say("No hard session before week {week}.", week=from_week)
    if draft.bars_hard or not screening.hard_allowed(case, past.start):
        return say("Nothing hard until a clinician has cleared it.")
    if draft.is_run_walk:
        return say("No hard session before 30 minutes are run without a walk.")
    if draft.kind == "ease":
        return say("No hard session in an easier week.")
    sore = pain.pain_known(past)
    if sore.level != "go" or sore.backs:  # also before an event
        return say("No hard session while pain holds the plan.")
    if past.previous is not None and past.previous.kind == "back":
        return say("No hard session in the week after a step back: first the easy minutes return.")
    if past.previous is not None and past.previous.rung is not None:
        return say("No hard session in the first week without walks: first the running itself.")
    if absence.is_just_back(past):
        return say("No hard session yet: after two weeks without a run a whole easy week is first.")
    if volume.waits(past):
        return say("No hard session before most of a week of coming back is run and told.")
    if not draft.may_grow:
        return say("No hard session while something holds the plan.")
    return None


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Say how many hard sessions the week has, which, and how long they may be."""
    if draft.stop is not None or (case.client.plan.hard is None and "hard" not in case.settings):
        return draft
    values = RULE.values(case)
    if values.per_week == 0 or not is_asked_for(case) or draft.bars_hard:
        return draft  # what bars it has said so
    because = case.setting_origin(
        RULE.name, "per_week", "plan", "hard", "per_week"
    ) or case.setting_origin(RULE.name, "from_week", "plan", "hard")
    reason = why_not(draft, past, case, values.from_week)
    room = draft.minutes * values.share.fraction
    count = min(values.per_week, 2 if draft.runs >= RUNS_FOR_TWO else 1)
    if draft.kind in ("taper", "event"):
        count = min(count, 1)
    if reason is None and room < SHORTEST_MIN and draft.kind != "event":
        reason = say(
            "The week is too short for hard running: it is at most {share} of it.",
            share=values.share,
        )
    if reason is not None:
        return draft.decide(RULE.name, reason, because=because, source=SOURCE)
    return draft.decide(
        RULE.name,
        say(
            "Hard running this week: at most {minutes} min, {share} of the week.",
            minutes=whole_minutes(room),
            share=values.share,
        ),
        because=because,
        source=SOURCE,
        after=float(count),
        hard=count,
        hard_share=values.share.fraction,
    )


def is_asked_for(case: Case) -> bool:
    """Hard sessions come only where the coach asked: in the client's plan or by a rule's value."""
    if case.client.plan.hard is not None or "hard" in case.client.rules:
        return True
    return "hard" in case.practice.rules


RULE = Rule(
    name="hard",
    promise=(
        "None before `from_week`, none in ease weeks, none while pain or anything else holds the "
        "plan, in a taper too, nor in the week after a step back, the first week without walks, "
        "the first whole week after a return from two weeks without a run, or while a return is "
        "repeated (common practice, no source); at "
        "most 20 % of the week's minutes are hard ones, and at least half of what `share` says in "
        "a building week, or `check` says why not."
    ),
    reason="Easy minutes come first; hard ones sharpen what is there.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    parameters=HardParameters,
    needs=("volume", "ease", "absence", "pain", "taper", "run_walk", "spacing"),
    review="Add up the hard minutes of a week's parts, and set them against the week's.",
    client_fields={
        "from_week": ("plan", "hard", "from_week"),
        "per_week": ("plan", "hard", "per_week"),
    },
)
