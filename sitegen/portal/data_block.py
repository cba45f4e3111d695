"""The plan as the page's scripts read it; ``templates/start.js`` writes its shape down."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

from markupsafe import Markup

from sitegen.model.case import Case
from sitegen.model.plan import Plan, Session, Week
from sitegen.plan.condition import as_planned, log_with_readings, stop_known
from sitegen.portal.contact import coach_of
from sitegen.portal.reacting import reacts
from sitegen.portal.scene import Scene
from sitegen.portal.session import is_hard
from sitegen.portal.stopped import stop_notice

ASKED_DAYS = 2  # so long Now asks for a run of which nothing was told: views/now/view.js
_json = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode


def locale(language: str) -> str:
    """The language for dates in the browser; plain English means day before month here."""
    return "en-GB" if language == "en" else language


def _logged(case: Case) -> dict[str, list[str]]:
    """Days of check-ins that tell of a session, one each, by what became of it."""
    days: dict[str, list[str]] = {"ran": [], "done": [], "skipped": []}
    for entry in case.log:
        pain, day = entry.pain, entry.on.isoformat()
        if entry.skipped is not None:
            days["skipped"].append(day)
        elif entry.is_run:
            days["ran"].append(day)
        elif entry.walked or entry.effort is not None or (pain and "during" in pain.written):
            days["done"].append(day)
    return days


def _stopped(case: Case, plan: Plan) -> list[str]:
    """Days on which a run was told that nothing was heard of, and a stop stood, as is known now.

    Only so far back as a page asks for runs, and one of the plan's day or later.
    """
    told = {entry.on for entry in case.log if entry.is_run or entry.skipped}
    first = plan.as_of - timedelta(days=ASKED_DAYS)
    days = {s.on for s in plan.sessions if s.id in plan.told and first <= s.on <= plan.as_of}
    if not days - told:
        return []
    log = log_with_readings(as_planned(case), plan.as_of)
    stopped = (day for day in days - told if stop_known(log, day + timedelta(days=1), day))
    return [day.isoformat() for day in sorted(stopped)]


def data_block(scene: Scene) -> Markup:
    """What the page's scripts read; its shape is written down in ``templates/start.js``."""
    case, plan, coach = scene.case, scene.plan, coach_of(scene.case.practice)
    stop = stop_notice(scene)
    data = {
        "version": 1,
        "code": scene.code,
        "signing": scene.signing,
        "called": case.client.greeting,
        "language": locale(scene.words.language),
        "units": case.units,
        "status": plan.status,
        "stop": stop.kind if stop else "",
        "as_of": plan.as_of.isoformat(),
        "edition": scene.edition,
        "coach": {
            "name": coach.name,
            "contact": coach.contact.text,
            "href": coach.contact.href,
        },
        "emergency": case.emergency,
        "baseline_spm": case.client.baseline.cadence.spm,
        "weeks": [_week(week, scene) for week in plan.weeks],
        "logged": _logged(case) | {"stopped": _stopped(case, plan)},
        "reacts": reacts(case, plan.as_of),
    }
    return Markup(_json(data).replace("<", "\\u003c"))


def _week(week: Week, scene: Scene) -> dict[str, Any]:
    return {
        "number": week.number,
        "start": week.start.isoformat(),
        "kind": week.kind,
        "cadence_spm": [week.cadence.low, week.cadence.aim, week.cadence.high],
        "sessions": [_session(session, scene) for session in week.sessions],
    }


def _session(session: Session, scene: Scene) -> dict[str, Any]:
    return {
        "id": session.id,
        "on": session.on.isoformat(),
        "at": scene.words.clock(session.at) if session.at else None,
        "kind": session.read_as,
        "run_minutes": round(session.run_minutes, 2),
        "total_minutes": round(session.total_minutes, 2),
        **({"walk_minutes": session.walk_minutes} if session.is_walk else {}),
        "effort": (session.effort_low, session.effort_high),
        "parts": [
            [part.kind, float(part.minutes), part.repeat, part.cadence_spm]
            + [1] * is_hard(part, session)
            for part in session.parts
        ],
    }
