"""How a week's minutes are shared out over its running days: caps, the long run, the rest."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from sitegen.model.plan import Decision
from sitegen.model.sentence import N_, say
from sitegen.plan import building
from sitegen.plan.placing import STRENGTH_KEEPS_MIN, Pattern
from sitegen.rules import longest
from sitegen.rules.days import Offer
from sitegen.rules.draft import (
    KEPT_SHARE,
    Draft,
    Past,
    Rung,
    event_share,
    share_of_week,
    whole_minutes,
)
from sitegen.rules.run_walk import stretches
from sitegen.rules.spacing import LEAST_RUN_MIN

DAY = timedelta(days=1)
# Any other run is so much shorter than the long one. Common practice, no source.
LONGER_BY = 1.15
RUNS_WITH_LONGEST = 3
# So little that does not fit is no news for `check`. Common practice, no source.
PETTY_SHARE = 0.05
HELD = N_("{placed} of {wanted} min fit the days and limits of this week.")
NO_LONGER = N_(
    "No run is longer than it would be without what was told of, so the week holds less."
)


def _caps(
    draft: Draft, past: Past, pattern: Pattern, open_days: tuple[Offer, ...]
) -> dict[int, int]:
    """Most running minutes on each chosen day."""
    rung = rung_of(draft)
    kept = _kept_for_strength(pattern)
    found = {}
    for day in pattern.runs:
        on = draft.start + DAY * day
        room = open_days[day].minutes - (STRENGTH_KEEPS_MIN if day == kept else 0)
        most = min(building.run_room(room, rung), draft.longest)
        if rung is None:
            most = min(most, longest.most_on(past, on))
        for capped, cap in (*draft.caps, *draft.usual):
            if capped == on:
                most = min(most, cap)
        found[day] = max(whole_minutes(most), 0)
    return found


def _kept_for_strength(pattern: Pattern) -> int | None:
    """A day whose run leaves time for strength, where no other day holds it without a run."""
    if not pattern.strength or any(d not in pattern.runs for d in pattern.strength):
        return None
    return pattern.strength[0]


def shared_out(
    draft: Draft, past: Past, pattern: Pattern, open_days: tuple[Offer, ...]
) -> tuple[dict[int, int], Decision | None]:
    """Whole minutes for each running day, and what did not fit.

    The long run first, the rest as evenly as days allow; with three runs or more the long one is
    the longest by far.
    """
    total = whole_minutes(draft.minutes)
    caps = _caps(draft, past, pattern, open_days)
    minutes = _minutes(draft, pattern, caps)
    placed = sum(minutes.values())
    if placed >= total - len(pattern.runs) or not pattern.runs or draft.caps or draft.usual:
        return minutes, None
    says = say(HELD, placed=placed, wanted=total)
    warns = placed < total * (1 - PETTY_SHARE)
    held = Decision("spacing", says, None, "arithmetic", float(total), float(placed), warns=warns)
    return minutes, held


def no_longer(
    draft: Draft, past: Past, pattern: Pattern, open_days: tuple[Offer, ...], minutes: int
) -> Decision | None:
    """What is said where the week holds ``minutes``, and more without the bounds of `Draft.usual`:
    by more than whole minutes a run come to."""
    enough = whole_minutes(draft.minutes) - len(pattern.runs)
    if not draft.usual or minutes >= enough:  # no week holds more than its minutes
        return None
    free = draft.but(usual=())
    most = sum(_minutes(free, pattern, _caps(free, past, pattern, open_days)).values())
    if minutes >= most - len(pattern.runs):
        return None
    return Decision("spacing", say(NO_LONGER), None, "common practice, no source")


def _minutes(draft: Draft, pattern: Pattern, caps: dict[int, int]) -> dict[int, int]:
    """Minutes for each running day."""
    minutes = dict.fromkeys(pattern.runs, 0)
    left = whole_minutes(draft.minutes)
    others = list(pattern.runs)
    if pattern.long is not None and len(others) > 1:
        minutes[pattern.long] = min(caps[pattern.long], left)
        left -= minutes[pattern.long]
        others.remove(pattern.long)
        ceiling = _most_beside(draft, pattern, minutes[pattern.long])
        caps = {d: min(c, ceiling) if d in others else c for d, c in caps.items()}
    _spread(minutes, others, caps, left)
    before: dict[int, int] = {}
    while before != minutes:
        before = dict(minutes)
        _trim_share(draft, minutes, pattern)
        if pattern.long is not None:
            most = _most_beside(draft, pattern, minutes[pattern.long])
            minutes = {d: m if d == pattern.long else min(m, most) for d, m in minutes.items()}
        _in_stretches(draft, minutes, caps)
    return minutes


def _most_beside(draft: Draft, pattern: Pattern, long: int) -> int:
    """Most minutes of any other run beside a long one."""
    if len(pattern.runs) < RUNS_WITH_LONGEST or draft.is_run_walk:
        return long
    least = 0 if draft.kind == "build" else min(long, LEAST_RUN_MIN)
    return max(whole_minutes(long / LONGER_BY), least)


def _in_stretches(draft: Draft, minutes: dict[int, int], caps: dict[int, int]) -> None:
    """What is left out so that no run ends in a scrap counts for the week's shares too.

    Where the scraps of several days make a whole stretch, the shortest run that may has it.
    """
    rung = rung_of(draft)
    if rung is None or rung.walk <= 0:
        return
    before = sum(minutes.values())
    for day in minutes:
        minutes[day] = whole_minutes(sum(stretches(minutes[day], rung.run)))
    spare = before - sum(minutes.values())
    for day in sorted(minutes, key=lambda day: (minutes[day], day)):
        if rung.run <= spare and minutes[day] + rung.run <= caps[day]:
            minutes[day] += whole_minutes(rung.run)
            spare -= whole_minutes(rung.run)


def _spread(minutes: dict[int, int], days: Sequence[int], caps: dict[int, int], left: int) -> None:
    """Share ``left`` minutes out over ``days`` evenly, none over its cap."""
    used, open_days = 0, [d for d in days if caps[d] > 0]
    while open_days and used < left:
        each = max((left - used) // len(open_days), 1)
        for day in list(open_days):
            give = min(each, caps[day] - minutes[day], left - used)
            minutes[day] += give
            used += give
            if minutes[day] >= caps[day]:
                open_days.remove(day)
            if used >= left:
                break


def _trim_share(draft: Draft, minutes: dict[int, int], pattern: Pattern) -> None:
    """No run over its share of what was placed; cutting one lowers the sum, so it is repeated."""
    runs = sum(1 for placed in minutes.values() if placed > 0)  # a day without room holds none
    if runs < 2 or draft.event_on is not None:
        return
    share = max(draft.share, share_of_week(runs))  # fewer runs may be more of a week each
    while True:
        total = sum(minutes.values())
        usual = whole_minutes(total * share)
        need = min(draft.long_need, whole_minutes(total * event_share(runs)))
        need = max(need, min(draft.long_kept, whole_minutes(total * KEPT_SHARE)))
        most = {d: max(usual, need) if d == pattern.long else usual for d in minutes}
        over = [d for d, m in minutes.items() if m > most[d]]
        if not over or total == 0:
            return
        for day in over:
            minutes[day] = most[day]


def rung_of(draft: Draft) -> Rung | None:
    return None if draft.rung is None else draft.ladder[draft.rung]
