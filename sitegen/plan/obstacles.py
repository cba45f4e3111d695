"""What keeps the long run of an event out of any week: days, limits, or the week's own size."""

from __future__ import annotations

from collections.abc import Sequence
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


FEWEST = 2  # runs of a week that grows; one is for who ran once a week, or has it written
TOO_SLOW = Obstacle("the week does not grow far enough")


def in_the_file(case: Case, need: int) -> str | None:
    """What keeps so long a run out of any week, or None where only time is lacking.

    A week of fewer runs may give the long one more of itself, and one of more has more beside it:
    the best number counts, or the coach's own.
    """
    days = [offer for offer in offers(case) if offer.run]
    rooms = sorted((run_room(offer.minutes) for offer in days), reverse=True)
    room = max(rooms, default=0)
    if room < need:
        return f"the days have room for a run of {room} min (`up_to`, with its walks)"
    written, usual = case.client.plan.runs, case.client.baseline.runs or FEWEST
    most = min(written or len(days), len(days))
    counts = range(most if written else min(usual, FEWEST, most), most + 1)
    best = max(counts, key=lambda runs: min(*_most_long(case, rooms, runs), need))
    beside, by_share = _most_long(case, rooms, best)
    share = event_share(best)
    if beside < need:
        return (
            f"the other days have room for {sum(rooms[1:best])} min (`up_to`), and the long run "
            f"is at most {share:.0%} of a week"
        )
    if by_share < need:
        full = f"{volume.most(case):.0f}"
        return f"the most minutes a week, {full}, have room for one of {by_share:.0f} min"
    return None


def _most_long(case: Case, rooms: Sequence[int], runs: int) -> tuple[float, float]:
    """The longest that a long run may be beside others with this much room; and by its share of
    the most minutes a week."""
    share = event_share(runs)
    beside = sum(rooms[1:runs]) * share / (1 - share) if share < 1 else float(rooms[0])
    return beside, volume.most(case) * share


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
            f"walks and strength), and the long run is at most {share:.0%} of a week"
        )
    return TOO_SLOW
