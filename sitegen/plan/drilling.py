"""Which drills go with which session: by the stage that the plan has reached, in turn by week."""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.model.case import Case
from sitegen.model.drill import Drill
from sitegen.model.plan import RUNNING_PARTS, Plan, Session, Week
from sitegen.rules import after_stop

STRENGTH_DRILLS = 4
RUN_PLACES = ("warm_up", "on_the_run", "after")
# Drills that are quick or springy, and the running at a stretch before which none of them comes.
QUICK_DRILLS = frozenset({"gentle-strides", "quick-feet", "soft-hops"})
STRIDES, TO_THE_BEAT = "gentle-strides", "beat-runs"
EASY_BEFORE_MIN = 10.0  # as gentle strides ask for; common practice, no source


def stage(case: Case, week: Week) -> str:
    """The stage of `sitegen.model.drill.STAGES` that a week belongs to."""
    if week.kind in ("taper", "event", "return", "back"):
        return "easing"
    if week.rung is not None:
        return "first_steps"
    if any(s.hard for s in week.sessions):
        return "sharpening"
    return "step_rate" if week.cadence.aim > case.client.baseline.cadence.spm else "building"


def with_drills(case: Case, plan: Plan, drills: Sequence[Drill]) -> Plan:
    """The plan with each session's drills named; days over keep those that were told."""
    own = case.client.drills
    chosen = [d for d in drills if d.id in own] if own else list(drills)
    return plan._replace(
        weeks=tuple(
            week._replace(sessions=_week_drilled(case, plan, week, chosen)) for week in plan.weeks
        ),
    )


def _week_drilled(
    case: Case, plan: Plan, week: Week, drills: Sequence[Drill]
) -> tuple[Session, ...]:
    """The week's sessions; its runs take their drills in turn."""
    if not after_stop.quick_allowed(case, plan.as_of, week.start):
        drills = [d for d in drills if d.id not in QUICK_DRILLS]
    found: list[Session] = []
    turn = week.number
    for session in week.sessions:
        own = _for_session(session, week, stage(case, week), drills, bool(case.client.drills), turn)
        found.append(session if session.id in plan.told else session._replace(drills=own))
        turn += session.is_run
    return tuple(found)


def used(plan: Plan, drills: Sequence[Drill], own: Sequence[str]) -> tuple[Drill, ...]:
    """The drills that a client's portal shows: those the plan names, and those the coach chose."""
    named = {d for s in plan.sessions for d in s.drills} | set(own)
    return tuple(d for d in drills if d.id in named)


def _for_session(
    session: Session,
    week: Week,
    stage: str,
    drills: Sequence[Drill],
    all_stages: bool,
    turn: int,
) -> tuple[str, ...]:
    """One warm-up, one for the run and one after it; for strength work a few in turn.

    Walking alone has none for the run: those ask to run.
    """
    if session.kind == "event":
        return ()
    if _holds_back(session, week):
        drills = [d for d in drills if d.id not in QUICK_DRILLS]
    if session.kind == "strength":
        fit = [
            d
            for d in drills
            if d.where == "strength" and (all_stages or {stage, "strength"} & set(d.stages))
        ]
        return _in_turn(fit, STRENGTH_DRILLS, 2 * week.number + session.on.weekday())
    found: list[str] = []
    places = [p for p in RUN_PLACES if p != "on_the_run" or not session.is_walk]
    for place in places:
        fit = [d for d in drills if d.where == place and (all_stages or stage in d.stages)]
        if place == "on_the_run":
            fit = [d for d in fit if _suits(d, session)] or fit
        found.extend(_in_turn(fit, 1, turn))
    return tuple(found)


def _suits(drill: Drill, session: Session) -> bool:
    """The beat's drill is that of its run alone; strides are for easy runs that are not long."""
    if drill.id == STRIDES:
        return not (session.hard or session.kind in ("long", "beat"))
    return (drill.id == TO_THE_BEAT) == (session.kind == "beat")


def _holds_back(session: Session, week: Week) -> bool:
    """True where nothing quick goes with a session.

    In a return, in a week held for pain or after an event, and where no stretch of running is long
    enough for it.
    """
    holding = {"pain", "asks", "taper"}  # the last in the weeks after an event
    is_held = week.kind in ("hold", "ease") and any(d.rule in holding for d in week.decisions)
    if is_held or week.kind in ("return", "back", "pause"):
        return True
    return session.kind != "strength" and _at_a_stretch(session) < EASY_BEFORE_MIN


def _at_a_stretch(session: Session) -> float:
    """The longest running without a walk, in minutes."""
    if session.walk_minutes <= 0:
        return session.run_minutes
    return max((p.minutes for p in session.parts if p.kind in RUNNING_PARTS), default=0.0)


def _in_turn(drills: Sequence[Drill], count: int, turn: int) -> tuple[str, ...]:
    """``count`` neighbours from a ring of drills, beginning further on each turn."""
    count = min(count, len(drills))
    return tuple(drills[(turn + i) % len(drills)].id for i in range(count))
