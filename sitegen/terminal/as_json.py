"""A plan as the contract's JSON."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import time
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sitegen.model.plan import Decision, Part, Plan, Session, Week


def plan_json(plan: Plan, done: Mapping[str, float] = MappingProxyType({})) -> dict[str, Any]:
    """What ``sitegen weeks ID --json`` prints.

    ``done`` are the minutes of running that became of sessions told, by the session's id.
    """
    return {
        "client": plan.client,
        "as_of": plan.as_of.isoformat(),
        "status": plan.status,
        "problems": [p.as_json() for p in plan.problems],
        "alarms": [alarm.as_json() for alarm in plan.alarms],
        "decisions": [_decision(d) for d in plan.decisions],
        "weeks": [_week(w, plan, done) for w in plan.weeks],
    }


def _week(week: Week, plan: Plan, done: Mapping[str, float]) -> dict[str, Any]:
    return {
        "number": week.number,
        "start": week.start.isoformat(),
        "kind": week.kind,
        "run_minutes": _number(week.run_minutes),
        "longest_minutes": _number(week.longest_minutes),
        "steps": week.steps,
        "cadence_spm": {
            "low": week.cadence.low,
            "aim": week.cadence.aim,
            "high": week.cadence.high,
        },
        "sessions": [
            {
                **_session(s),
                "told": s.id in plan.told if s.on < plan.as_of else None,
                "done": _number(done.get(s.id)),
            }
            for s in week.sessions
        ],
        "decisions": [_decision(d) for d in week.decisions],
    }


def _session(session: Session) -> dict[str, Any]:
    return {
        "id": session.id,
        "on": session.on.isoformat(),
        "at": _clock(session.at),
        "kind": session.kind,
        "hard": session.hard,
        "run_minutes": _number(session.run_minutes),
        "total_minutes": _number(session.total_minutes),
        "effort": {"low": session.effort_low, "high": session.effort_high},
        "parts": [_part(p) for p in session.parts],
        "drills": list(session.drills),
        "session": session.workout or None,
        "title": str(session.title) if session.title else None,
        "purpose": str(session.purpose) if session.purpose else None,
        "hard_minutes": _number(session.hard_minutes),
        "fuel_at": _clock(session.fuel_at),
        "moved_from": session.moved_from.isoformat() if session.moved_from else None,
    }


def _part(part: Part) -> dict[str, Any]:
    return {
        "kind": part.kind,
        "minutes": _number(part.minutes),
        "repeat": part.repeat,
        "cadence_spm": part.cadence_spm,
        "text": str(part.text) if part.text else "",
        "effort": part.effort,
        "hard_minutes": _number(part.hard_minutes),
    }


def _decision(decision: Decision) -> dict[str, Any]:
    return {
        "rule": decision.rule,
        "says": str(decision.says),
        "because": str(decision.because) if decision.because else None,
        "source": decision.source,
        "from": _number(decision.before),
        "to": _number(decision.after),
        "session": decision.session,
        "warns": decision.warns,
    }


def _number(value: float | None) -> float | None:
    return None if value is None else round(float(value), 2)


def _clock(value: time | None) -> str | None:
    return value.strftime("%H:%M") if value else None
