"""Whether check-ins would ease a plan: lift a stop, end a hold, bring back or add running.

What nobody signed may stop a plan at once and never ease it without the coach's yes. Pure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date, timedelta

from sitegen.checkins.letters import Sound
from sitegen.checkins.logfile import what_is_new
from sitegen.checkins.posting import Posted, Taken, sift
from sitegen.checkins.signing import ABOUT_CHANGED, how_signed
from sitegen.model.checkin import CheckIn
from sitegen.model.plan import Plan, Week
from sitegen.model.problem import Origin, Problem
from sitegen.rules.pain import CALM_UP_TO

EASED_BY_A_RUN = ("hold", "back", "return", "pause")
MOST_APART = 12  # more in one go are not looked at one by one: a plan is drawn for each
SLACK_MIN = 0.5  # minutes of a week; sessions have whole ones
WEEK = timedelta(days=7)


def easing(
    sounds: Sequence[Sound],
    logged: Sequence[CheckIn],
    plan_with: Callable[[Sequence[Taken]], Plan | None],
) -> list[Sound]:
    """Those that nobody signed and that would ease the plan.

    Args:
        sounds: Check-ins of one client, in order but for this.
        logged: The log's entries.
        plan_with: The plan with more in the log; None where none can be drawn.
    """
    loose = [
        sound
        for sound in sounds
        if how_signed(sound.entry) != "yes"
        and what_is_new(sound.entry, sound.tree, logged) is not None
    ]
    sure = [sound for sound in sounds if how_signed(sound.entry) == "yes"]
    before = plan_with(sift(sure, logged)[0]) if loose else None
    together, _ = sift([*sure, *loose], logged)
    after = plan_with(together) if before is not None else None
    if before is None or after is None or not _ease(before, after, loose):
        return []
    if len(loose) > MOST_APART:
        return [sound for sound in loose if _is_calm(sound.entry)]
    found: list[Sound] = []
    for sound in sorted(loose, key=lambda one: one.entry.on):
        after = plan_with(sift([*sure, sound], logged)[0])
        if after is not None and eases(before, after, sound.entry):
            found.append(sound)
        else:
            sure.append(sound)
            before = after or before
    return found


def unsigned(one: Posted, sound: Sound, id: str) -> Problem:
    """Why it waits for the coach's yes."""
    why = ABOUT_CHANGED if sound.entry.signed == "changed" else "not signed"
    wrong = f"this is {why}, and it would ease the plan of {id}"
    hint = f"if you know that {id} wrote it, receive this file with --for {id}"
    on = str(sound.tree["on"])
    line = next((n for n, text in one.block.lines if on in text), one.block.line)
    return Problem(Origin(one.letter.name, line), wrong, hint, "checkin-unsigned")


def _ease(without: Plan, with_them: Plan, loose: Sequence[Sound]) -> bool:
    return any(eases(without, with_them, sound.entry) for sound in loose)


def eases(without: Plan, with_it: Plan, entry: CheckIn) -> bool:
    """Whether an entry frees or adds anything, compared with the plan without it.

    Also where it does not yet: while a plan is held, a calm run counts towards its end.
    """
    is_first = _is_held(without) and _is_calm(entry)
    return is_first or _frees(without, with_it) or _adds(without, with_it)


def _frees(without: Plan, with_it: Plan) -> bool:
    standing, before = ({*_standing(plan)} for plan in (with_it, without))
    gone = bool(before - standing)
    return gone or (without.status != "active" and with_it.status == "active")


def _standing(plan: Plan) -> Iterator[str]:
    for one in plan.alarms:
        if one.is_standing and one.kind == "notice":
            yield one.matter  # it holds nothing, and may tell of another day by one run more
        elif one.is_standing:
            yield from one.keys


def _adds(without: Plan, with_it: Plan) -> bool:
    today = with_it.as_of
    old = {week.number: week for week in without.weeks}
    return any(
        _more(old.get(week.number), week, today)
        for week in with_it.weeks
        if week.start + WEEK > today
    )


def _more(old: Week | None, new: Week, today: date) -> bool:
    """More minutes of running, or of hard running, from today on."""
    was, now = (_ahead(week, today) for week in (old, new))
    return any(after > before + SLACK_MIN for before, after in zip(was, now, strict=True))


def _ahead(week: Week | None, today: date) -> tuple[float, float]:
    left = [s for s in week.sessions if s.on >= today] if week else []
    return sum(s.run_minutes for s in left), sum(s.hard_minutes for s in left)


def _is_held(plan: Plan) -> bool:
    today = plan.as_of
    near = [week for week in plan.weeks if today < week.start + WEEK and week.start <= today + WEEK]
    return plan.status != "active" or any(week.kind in EASED_BY_A_RUN for week in near)


def _is_calm(entry: CheckIn) -> bool:
    """Of a kind by which a hold ends: a run, "well again", or low scores."""
    worst = None if entry.pain is None else entry.pain.worst
    tells_low = worst is not None and worst <= CALM_UP_TO
    if entry.signs or (worst is not None and not tells_low):
        return False
    return bool(entry.is_run or entry.well_again or tells_low)
