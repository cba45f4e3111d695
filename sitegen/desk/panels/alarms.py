"""Alarms: above everything until each is answered; a stop is lifted by who saw the client."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sitegen.care.signs import LIFTED
from sitegen.coach.alarms import LOUD, PRACTICE, answer
from sitegen.desk.deciding import DECISIONS, desk_name
from sitegen.desk.panel import DeskPanel, Outcome, Sent, Shown
from sitegen.desk.warm import Warm
from sitegen.locking import writing
from sitegen.model.alarm import Alarm
from sitegen.model.case import Case
from sitegen.model.problem import Origin, Problem

CLINICIAN = (
    "After a sign like this a licensed clinician should have seen the client before they run again."
)

FALSE_ALARM = (
    "A false alarm is a sign that was not meant, or was not there. One that was there and went "
    "away again is none: then a licensed clinician should have seen the client first."
)

ASIDE_SAYS = "Waiting aside"
"""In the place of a name, of messages that nobody knows whose they are."""

STAYS = (
    "the plan stays stopped: once somebody has seen the client, Decide… beside the name lifts it"
)


def _view(warm: Warm, _given: Sent) -> Mapping[str, Any]:
    told = warm.alarms()
    cases = warm.cases() if told.open else {}
    known = {id: case.client.name for id, case in cases.items()}
    there = frozenset(warm.listed().all_ids)
    rows = [
        {
            "id": id,
            "name": ASIDE_SAYS if id == PRACTICE else known.get(id, id),
            "is_practice": id not in there,
            "alarm": one,
            "said": _said(cases.get(id), one),
            "loud": LOUD[one.kind],
            "is_urgent": one.kind in ("now", "today"),
            "can_lift": id in there and can_lift(one),
            "can_be_false": one.matter != "pain",
        }
        for id, one in told.open
    ]
    return {"rows": rows}


def can_lift(one: Alarm) -> bool:
    """Whether a lift would end what it stops."""
    return one.kind in ("now", "today") and one.matter in LIFTED and one.is_standing


def _said(case: Case | None, one: Alarm) -> str:
    """The client's own words in the check-in that rang it."""
    if case is None or one.because is None:
        return ""
    places = (case.log_origins.value(at) for at in range(len(case.log)))
    entry = next((case.log[at] for at, place in enumerate(places) if place == one.because), None)
    return (entry.said or "") if entry else ""


def _answer(warm: Warm, given: Sent) -> Shown:
    """What will be noted, beside the alarm itself."""
    id, number = str(given.get("whose", "")), str(given.get("number", ""))
    because = str(given.get("because") or "").strip()
    seen_by = str(given.get("seen_by") or "").strip() or None
    not_client = bool(given.get("not_client"))
    mine = warm.alarms().alarms.get(id, ())
    one = next(
        (
            each
            for each in mine
            if number == str(each.number) or (number.isdecimal() and each.has_number(int(number)))
        ),
        None,
    )
    where = Origin((warm.clients / f"{id}.alarms.yaml").as_posix())
    if one is None or not one.is_about(str(given.get("key") or "") or None):
        return Shown("Answer", problems=(Problem(where, "this alarm is gone", "", "answer"),))
    is_client = id in warm.listed().all_ids
    name = desk_name(warm, id) if is_client else ASIDE_SAYS if id == PRACTICE else id
    says = f"Answer: {name}" if id == PRACTICE else f"Answer to alarm {number}: {name}"
    if not because:
        return Shown(says, problems=(Problem(where, "say what you did", "", "answer"),))
    lines = [f"{LOUD[one.kind]} {name}: {one.says}", f"  You did: {because}"]
    if seen_by:
        lines.append(f"  Seen by: {seen_by}")
    if not_client:
        lines.append("  The check-in was somebody else's.")
    is_stopped = is_client and can_lift(one)
    if is_stopped:
        lines.append("  The plan stays stopped until it is lifted.")

    def do() -> Outcome:
        with writing(warm.clients):
            opened, day = warm.opened(), warm.as_of  # by now another may have this number
            done = answer(opened, id, one.number, because, seen_by, day, not_client, one.key)
        if done.problems:
            return Outcome(f"Nothing was noted: {done.problems[0].message}")
        stays = is_stopped and not not_client
        return Outcome("Your answer was noted.", lines=(STAYS if stays else done.hint,))

    return Shown(says, tuple(lines), do=do, yes="Note it")


def _lift(warm: Warm, given: Sent) -> Shown:
    """A stop that ends; for the gravest a word on who should have seen the client."""
    shown = DECISIONS["lift"](warm, given)
    mine = warm.alarms().alarms.get(str(given.get("whose", "")), ())
    one = next((each for each in mine if str(each.number) == str(given.get("number", ""))), None)
    if shown.do is None or one is None or one.kind != "now":
        return shown
    says = f"Here stands: seen by {given['seen_by']}. {CLINICIAN}"
    if given.get("false_alarm"):
        says = FALSE_ALARM
    return shown._replace(lines=(says, *shown.lines))


PANEL = DeskPanel(
    "alarms",
    "Alarms",
    _view,
    {"answer": _answer, "lift": _lift},
    stands="above",
)
