"""A week's kind, or a week of rest, as the coach wrote it: it goes before what the plan chose."""

from __future__ import annotations

from sitegen.model.case import Case
from sitegen.model.client import WEEK_KINDS, Change
from sitegen.model.problem import Origin
from sitegen.model.sentence import N_, say
from sitegen.rules import volume
from sitegen.rules.draft import Draft, Past, Stop, whole_minutes
from sitegen.rules.ease import RULE as EASE
from sitegen.rules.precedence import Won, beats_the_coach
from sitegen.rules.rule import Rule

SOURCE = "the coach's decision"
MADE_WEEK = {
    "build": N_("Your coach made this a week to build: {why}"),
    "ease": N_("Your coach made this a week to ease: {why}"),
    "hold": N_("Your coach made this a week to hold: {why}"),
}
# By the claim that goes before the coach's; see `sitegen.rules.precedence`.
GOES_BEFORE = {
    "return": N_("Coming back goes before what your coach wrote for this week: {why}"),
    "ill": N_("An illness goes before what your coach wrote for this week: {why}"),
    "pain": N_("Pain goes before what your coach wrote for this week: {why}"),
    "question": N_("A question to settle goes before what your coach wrote for this week: {why}"),
    "away": N_("Days away go before what your coach wrote for this week: {why}"),
}


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Obey the changes that name this week."""
    if draft.stop is not None:
        return draft
    for index, change in enumerate(case.client.changes):
        if change.week != draft.number:
            continue
        because = case.origins.at("changes", index)
        if change.rest:
            return draft.decide(
                RULE.name,
                say("Your coach made this a week of rest: {why}", why=change.because),
                because=because,
                source=SOURCE,
                before=draft.minutes,
                after=0.0,
                kind="pause",
                minutes=0.0,
                stop=Stop("paused", None, because, change.because),
            )
        if change.kind in WEEK_KINDS:
            draft = _of_kind(case, draft, past, change, because)
    return draft


def _of_kind(case: Case, draft: Draft, past: Past, change: Change, because: Origin) -> Draft:
    growth = volume.growth_of(case, draft.start).fraction
    whole = volume.level(past)
    cut = volume.cut_from(draft, past)
    minutes = {
        "ease": cut * (1 - EASE.values(case).by.fraction),
        "hold": cut,
        "build": min(volume.wanted(whole, growth), max(volume.most(case), whole)),
    }[str(change.kind)]
    over = beats_the_coach(draft.kind, draft.decisions)
    if over is not None:
        return _no_more(draft, over, change, because, float(whole_minutes(minutes)))
    breaks = not draft.may_grow and change.kind == "build"
    return draft.decide(
        RULE.name,
        say(MADE_WEEK[str(change.kind)], why=change.because),
        because=because,
        source=SOURCE,
        before=draft.minutes,
        after=float(whole_minutes(minutes)),
        warns=breaks,
        kind=change.kind,
        minutes=float(whole_minutes(minutes)),
        may_grow=change.kind == "build",
        worth=minutes if change.kind == "build" else 0.0,
        by_coach=change.kind != "build",
    )


def _no_more(draft: Draft, over: Won, change: Change, because: Origin, wanted: float) -> Draft:
    """The week as it is for a stronger claim, or as much smaller as the coach wrote."""
    minutes = min(draft.minutes, wanted)
    return draft.decide(
        RULE.name,
        say(GOES_BEFORE[over.claim], why=change.because),
        because=because,
        source=SOURCE,
        before=draft.minutes,
        after=minutes,
        warns=True,
        minutes=minutes,
    )


RULE = Rule(
    name="changes",
    promise=(
        "A week that the coach made one of rest, to build, to ease or to hold is that, unless a "
        "stop stands or the client comes back, is ill, hurts or is away, which go first; what it "
        "breaks is named."
    ),
    reason="The coach knows what no file says.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume", "ease", "silence", "absence", "illness", "pain", "signs", "away", "taper"),
    audience="coach",
    review="Each line under `changes` with a `week` is seen in that week, or told why not.",
)
