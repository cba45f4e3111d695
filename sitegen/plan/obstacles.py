"""What keeps the long run of an event out of any week: days, limits, or the week's own size."""

from __future__ import annotations

from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.client import DAYS
from sitegen.model.plan import Week
from sitegen.plan.building import run_room
from sitegen.plan.week_names import enumerated
from sitegen.rules import spacing, volume
from sitegen.rules.days import DAY_MIN, offers
from sitegen.rules.draft import event_share


class Obstacle(NamedTuple):
    """What stands in the way, and whether a later event could not change it."""

    says: str
    lasts: bool = False


TOO_SLOW = Obstacle("the week does not grow far enough")


def in_the_file(case: Case, need: int) -> str | None:
    """What keeps so long a run out of any week, or None where only time is lacking."""
    days = [offer for offer in offers(case) if offer.run]
    room = max((run_room(offer.minutes) for offer in days), default=0)
    if room < need:
        return f"the days have room for a run of {room} min (`up_to`, with its walks)"
    share = event_share(len(days))
    rooms = sorted((run_room(offer.minutes) for offer in days), reverse=True)
    beside = sum(rooms[1:]) * share / (1 - share) if share < 1 else room
    if beside < need:
        return (
            f"the other days have room for {sum(rooms[1:])} min (`up_to`), and the long run is at "
            f"most {share:.0%} of a week"
        )
    most = volume.most(case)
    if most * share < need:
        return f"the most minutes a week, {most:.0f}, have room for one of {most * share:.0f} min"
    return None


def in_the_week(case: Case, week: Week) -> Obstacle:
    """What keeps the longest run of ``week``, the best of many, from being longer: its day, or the
    days beside it; `TOO_SLOW` where neither does, or may not for long."""
    runs = [s for s in week.sessions if s.is_run and s.run_minutes > 0]
    if not runs or spacing.is_novice(case, week.number) or len(case.client.rota) > 1:
        return TOO_SLOW
    long = max(runs, key=lambda s: s.run_minutes)
    day = long.on.weekday()
    rooms = {d: run_room(o.minutes) for d, o in enumerate(offers(case, week.start)) if o.run}
    if long.run_minutes >= rooms.get(day, DAY_MIN):
        fits = f"a run of {rooms[day]} min (`up_to`, with its walks)"
        return Obstacle(
            f"its day, {DAYS[day]}, has room for {fits}", lasts=rooms[day] == max(rooms.values())
        )
    share = event_share(len(runs))
    is_share = long.run_minutes >= week.run_minutes * share - 1
    if len(runs) > 1 and is_share and week.run_minutes + len(runs) < week.worth:
        others = [s for s in runs if s is not long]
        room = round(sum(s.run_minutes for s in others))
        on = enumerated([DAYS[s.on.weekday()] for s in others])
        return Obstacle(
            f"the other days of its week, {on}, have room for {room} min of running (`up_to`, with "
            f"walks and strength), and the long run is at most {share:.0%} of a week",
            lasts=True,
        )
    return TOO_SLOW
