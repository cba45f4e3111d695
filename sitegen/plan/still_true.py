"""Reasons that no longer hold are not told: room that was cut, what a way back outranks, and what
speaks of a session that is not there. A rung's stretches are told as they stand.

A week of a way back is told by the way alone. Other rules have said what a building week would
hold, how far an easier one drops, and which share of a week its longest run may be. None of that
stands in a step's dose.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import cast

from sitegen.model.plan import RUNNING_PARTS, Decision, Session, Week
from sitegen.model.sentence import N_, say
from sitegen.model.values import Percent
from sitegen.plan.drafting import CROWDED
from sitegen.rules import (
    FILLING,
    SIZING,
    absence,
    after_stop,
    age,
    coach_week,
    ease,
    guard,
    hard,
    history,
    long_run,
    longest,
    pain,
    returning,
    run_walk,
    silence,
    spacing,
    strength,
    volume,
)
from sitegen.rules.draft import whole_minutes
from sitegen.rules.precedence import sets_minutes

# What sizes a week as if it were one of building, and what fills it.
OUTRANKED = frozenset(
    rule.name
    for rule in (
        volume.RULE,
        ease.RULE,
        age.RULE,
        absence.RULE,
        history.RULE,
        silence.RULE,
        guard.RULE,
        *FILLING,
    )
)

# What a week would hold that goes on.
OF_RUNNING = frozenset(r.name for r in (volume.RULE, ease.RULE, age.RULE, guard.RULE, *FILLING))

# What rules ask for that say how many of such sessions a week has.
SUCH_SESSIONS: dict[str, Callable[[Session], bool]] = {
    hard.RULE.name: lambda session: session.hard,
    strength.RULE.name: lambda session: session.kind == "strength",
}
SIZING_NAMES = frozenset(rule.name for rule in SIZING) - {volume.RULE.name}
OF_RUNG = frozenset({run_walk.IN_TURN, run_walk.UP_A_RUNG})
IN_SHORTER_TURN = N_("Run at most {run} min at a stretch, walk {walk} min, in turn.")
NO_TURN = N_("No run is over {run} min this week: that is short enough to need no walk within it.")
RETURNS = frozenset({absence.RULE.name, after_stop.RULE.name})
# At half, or by so much easier: where nobody is to run that is nothing yet.
NOTHING_YET = RETURNS | {pain.RULE.name, ease.RULE.name}


def what_holds(weeks: Sequence[Week]) -> tuple[Week, ...]:
    """The weeks without the reasons that no longer hold."""
    return tuple(_with_what_is_there(_with_room_left(_alone(week))) for week in weeks)


def _alone(week: Week) -> Week:
    """A week that stopped is told by what stopped it, one of a way back by the way."""
    rules = {decision.rule for decision in week.decisions}
    is_way = week.kind == "return" and returning.RULE.name in rules
    out = OUTRANKED if is_way else OF_RUNNING if week.kind == "pause" else frozenset()
    if not rules & out:
        return week
    kept = (one for one in week.decisions if one.rule not in out or (one.warns and not is_way))
    return week._replace(decisions=tuple(kept))


def _with_room_left(week: Week) -> Week:
    """Room that another rule cut is not told; a return and the way to an event take the place of an
    easier week, too, and where nobody is to run nobody comes back yet."""
    sizes = [d.after or 0.0 for d in week.decisions if d.rule in SIZING_NAMES and sets_minutes(d)]
    least = min(sizes, default=float("inf"))
    is_back = week.kind == "return" and any(d.rule in RETURNS for d in week.decisions)
    is_instead = is_back or week.kind in ("taper", "event")
    kept = tuple(
        one
        for one in week.decisions
        if one.warns
        or (
            not (one.rule == volume.RULE.name and (one.after or 0) > least)
            and not (is_instead and one.rule == ease.RULE.name)
            and not (one.rule in NOTHING_YET and one.after and not week.run_minutes)
        )
    )
    return week if len(kept) == len(week.decisions) else week._replace(decisions=kept)


def _with_what_is_there(week: Week) -> Week:
    """Days and limits may leave no place for what was asked for: then it is no reason."""
    most = max((s.run_minutes for s in week.sessions if s.is_run and s.kind != "event"), default=0)
    is_crowded = any(one.says.template == CROWDED for one in week.decisions)
    if is_crowded or sum(s.is_run for s in week.sessions) == 1:
        apart = spacing.DAY_BETWEEN  # not of neighbouring days, nor where no run comes after one
        week = week._replace(
            decisions=tuple(one for one in week.decisions if one.says.template not in apart)
        )
    kept = [one for one in week.decisions if _is_there(one, week, most)]
    if any(one.rule == coach_week.RULE.name and one.before != one.after for one in kept):
        kept = [one for one in kept if one.warns or _is_left(one, week)]
    return week._replace(decisions=tuple(_as_it_stands(one, week) for one in kept))


def _as_it_stands(decision: Decision, week: Week) -> Decision:
    """The same of a share of a week that holds less than it has room for, and of a rung whose
    stretches are longer than any of its short runs."""
    if decision.says.template == longest.OF_WEEK:
        return _of_what_stands(decision, week)
    if decision.rule != run_walk.RULE.name or decision.says.template not in OF_RUNG:
        return decision
    run, walk = (cast(float, decision.says.values[name]) for name in ("run", "walk"))
    turns = [s for s in week.sessions if s.kind == "run_walk" and s.run_minutes > 0]
    most = max(map(_stretch, turns), default=run)
    if most >= run:
        return decision
    has_walks = any(s.walk_minutes for s in turns)
    says = say(IN_SHORTER_TURN, run=most, walk=walk) if has_walks else say(NO_TURN, run=most)
    return decision._replace(says=says, before=None, after=None)


def _of_what_stands(decision: Decision, week: Week) -> Decision:
    """A longest run as a share of the minutes that stand; as a bound alone where a run is more."""
    runs = [s.run_minutes for s in week.sessions if s.is_run and s.kind != "event"]
    share = cast(int, decision.says.values["share"])
    most = whole_minutes(sum(runs) * share / 100)
    if most >= (decision.after or 0):
        return decision
    if max(runs, default=0) > most:
        return decision._replace(says=say(longest.BOUND, most=whole_minutes(decision.after or 0)))
    return decision._replace(says=say(longest.OF_WEEK, most=most, share=share), after=float(most))


def _stretch(session: Session) -> float:
    """The longest running without a walk in it, in minutes."""
    most = now = 0.0
    for part, after in pairwise((*session.parts, session.parts[-1])):
        if part.kind not in RUNNING_PARTS:
            now = 0.0
            continue
        in_turn = after.kind == "walk" and after.repeat == part.repeat
        now += part.minutes if in_turn else part.total_minutes
        most = max(most, now)
    return most


def _is_there(decision: Decision, week: Week, most: float) -> bool:
    """Whether the week, whose longest run has ``most`` minutes, holds what the decision names, or
    it is a warning, but for that of a bound where nobody runs."""
    if decision.warns and (most or decision.rule != longest.RULE.name):
        return True
    asks = SUCH_SESSIONS.get(decision.rule)
    if asks is not None and decision.after:
        return any(asks(session) for session in week.sessions)
    if decision.rule == long_run.RULE.name and most <= (decision.before or 0):
        return False  # no more of the week than usual
    if decision.rule in (long_run.RULE.name, longest.RULE.name):
        return 0 < most <= (decision.after or 0)
    return True


def _is_left(decision: Decision, week: Week) -> bool:
    """Whether what a rule made of a week's minutes, or a share of them that it names, is still so
    where the coach wrote other ones."""
    rule, after, total = decision.rule, decision.after or 0.0, week.run_minutes
    share = decision.says.values.get("share")
    says_size = rule in SIZING_NAMES and "after" in decision.says.values
    if rule == ease.RULE.name or (says_size and rule != coach_week.RULE.name):
        return total <= after
    if rule == longest.RULE.name and share is not None:
        return share == round(after / total * 100)
    if rule == hard.RULE.name and isinstance(share, Percent):
        return cast(int, decision.says.values["minutes"]) <= round(total * share.fraction)
    return True
