"""How many runs a week holds and on which days: one more where they are full, one less where a day
has hardly any room.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime, time, timedelta
from functools import lru_cache

from sitegen.model.case import Case
from sitegen.model.client import DAYS
from sitegen.model.plan import Decision, Session
from sitegen.model.sentence import N_, say
from sitegen.plan import building
from sitegen.plan.placing import Pattern, Wish, place
from sitegen.plan.sharing import shared_out
from sitegen.rules import longest, spacing
from sitegen.rules.days import NIGHT, UNLIMITED, Offer, most_runs, offers, week_days
from sitegen.rules.draft import Draft, Past, event_share, share_of_week, whole_minutes
from sitegen.rules.volume import level

DAY = timedelta(days=1)
# Session lengths are told apart in steps of this size when days are chosen.
EACH_STEP_MIN = 5
# A week whose runs are longer than this on average gets one run more, where a day is offered.
# Common practice, no source.
USUAL_RUN_MIN = 50
HARD_FREE_DAYS = 2
# A week that has so much more without the day that has least room leaves that one out. Common
# practice, no source.
CLEARLY_MORE = 1.25
NO_LONGER_ALONE = N_(
    "No run is over {most} min: what two runs would hold does not go into a single one."
)
NO_RUN_ON = N_(
    "No run on {day}: its room for {room} min of running would keep the others as short, as none "
    "is more than its share of the week."
)


def chosen(
    case: Case, draft: Draft, past: Past, open_days: tuple[Offer, ...]
) -> tuple[Draft, Pattern, dict[int, int], Decision | None]:
    """The week with its days, and the minutes of each.

    A day with hardly any room makes all runs short, as none is more than its share of the week:
    where the coach wrote no number of runs, such a day holds none if the week has clearly more
    without it, and it is not what gives a new runner a day off.
    """
    full = enough_runs(case, draft, past, open_days)
    pattern = place(open_days, _wish(case, full, past))
    full = by_days(full, pattern)
    minutes, held = shared_out(full, past, pattern, open_days)
    is_free = case.client.plan.runs is None or 0 in minutes.values()
    wanted = week_days(case, draft.start).long
    limited = [d for d in pattern.runs if open_days[d].minutes < UNLIMITED and DAYS[d] != wanted]
    if held is None or not (is_free and limited) or draft.event_on or len(pattern.runs) < 2:
        return full, pattern, minutes, held
    least = min(limited, key=lambda d: (open_days[d].minutes, d))
    fewer = chosen(case, draft, past, without(open_days, (least,)))
    if fewer[1].crowded and not pattern.crowded and minutes[least] > 0:
        return full, pattern, minutes, held
    more, most = sum(minutes.values()), sum(fewer[2].values())
    if most <= more * CLEARLY_MORE and (minutes[least] > 0 or most < more):
        return full, pattern, minutes, held
    short = (*fewer[1].left_out, least)
    return fewer[0], fewer[1]._replace(left_out=short), fewer[2], fewer[3]


def without(open_days: tuple[Offer, ...], days: Collection[int]) -> tuple[Offer, ...]:
    """What the days offer, but for a run on some of them."""
    if not days:
        return open_days
    return tuple(o._replace(run=o.run and day not in days) for day, o in enumerate(open_days))


def left_out(
    case: Case, pattern: Pattern, open_days: tuple[Offer, ...], longest: int
) -> list[Decision]:
    """Days that hold no run, in a week of which another holds one that had no room there."""
    rooms = ((day, building.run_room(open_days[day].minutes)) for day in pattern.left_out)
    return [_no_run_on(case, DAYS[day], room) for day, room in rooms if room < longest]


def _no_run_on(case: Case, day: str, room: int) -> Decision:
    because = case.origins.at("week", day)
    says = say(NO_RUN_ON, day=day, room=room)
    return Decision("spacing", says, because, "common practice, no source", warns=True)


def by_days(draft: Draft, pattern: Pattern) -> Draft:
    """A draft with as many runs as days were found for.

    One that the Sunday before left no day for comes again. Not so in a week that something cuts:
    with its minutes a run more would come back at once.
    """
    runs = len(pattern.runs)
    if draft.event_on is not None or runs == draft.runs:
        return draft
    missing = draft.runs - runs if draft.kind == "build" else 0
    return draft.but(runs=runs, share=share_of_week(runs), spared=draft.spared + missing)


def _wish(case: Case, draft: Draft, past: Past) -> Wish:
    long_day = week_days(case, draft.start).long
    has_long = draft.runs > 1 and draft.event_on is None
    long_minutes = min(draft.longest, draft.minutes * draft.share)
    others = draft.runs - 1 if has_long else max(draft.runs, 1)
    each = draft.minutes / others
    if has_long:  # none is longer than the long one
        each = min((draft.minutes - long_minutes) / others, long_minutes)
    return Wish(
        runs=draft.runs,
        hard=draft.hard if has_long or draft.event_on else 0,
        strength=draft.strength,
        novice=draft.novice,
        has_long=has_long,
        long_day=DAYS.index(long_day) if long_day else None,
        each=_room_for(each),
        long=_room_for(long_minutes),
        usual=_usual_days(past),
        sunday=_sunday_before(past),
        next_monday=offers(case, draft.start + 7 * DAY)[0].run,
        strength_minutes=draft.strength_minutes if draft.strength else 0,
        short_monday=_is_short_monday(case, past),
        for_event=_room_for(min(draft.long_need, draft.longest)) if draft.long_need else 0,
        hard_until=draft.event_on.weekday() - HARD_FREE_DAYS if draft.event_on else 7,
        quick_first=draft.kind in ("taper", "event"),
    )


def _room_for(run_minutes: float) -> int:
    """Minutes that a day has to offer for a run, warm-up and cool-down with it."""
    whole = whole_minutes(run_minutes) + 2 * building.WARM_UP_MIN
    return -(-whole // EACH_STEP_MIN) * EACH_STEP_MIN


def _usual_days(past: Past) -> tuple[int, ...]:
    """The weekdays that last week's runs were placed on: days move only where they must."""
    if past.previous is None:
        return ()
    return tuple(sorted({s.on.weekday() for s in past.previous.sessions if s.is_run}))


def _sunday_before(past: Past) -> int:
    """What the Sunday before this week was, for `Wish.sunday`."""
    if past.previous is None:
        return 0
    there = [s for s in past.previous.sessions if s.is_run and s.on == past.start - DAY]
    if any(s.hard or is_long(s) or s.kind == "event" for s in there):
        return 2
    return 1 if there else 0


def _is_short_monday(case: Case, past: Past) -> bool:
    """Whether less than a night lies between the Sunday before this week and its Monday."""
    at = clock(offers(case, past.start)[0].at)
    if past.previous is None or at is None:
        return False
    monday = datetime.combine(past.start, at)
    return any(
        monday - ends < NIGHT
        for s in past.previous.sessions
        if s.on == past.start - DAY and (ends := s.ends) is not None
    )


def is_long(session: Session) -> bool:
    """True for the week's long run, whatever its kind."""
    return session.id.endswith("-long")


def enough_runs(case: Case, draft: Draft, past: Past, open_days: tuple[Offer, ...]) -> Draft:
    """One run more where the week's minutes don't fit into the runs there are."""
    # Who is new to running begins with one run rather than with two on neighbouring days.
    is_first = past.number == 1 and spacing.is_novice(case, 1)
    has_lost = sum(o.run for o in open_days) < sum(o.run for o in offers(case, draft.start))
    cut_short = draft.event_on is not None or draft.start < case.client.plan.from_ or is_first
    most = most_runs(open_days, draft.novice, least=1 if cut_short or has_lost else 2)
    runs = min(draft.runs, most)
    grows = draft.kind == "build" and draft.may_grow
    is_free = case.client.plan.runs is None  # where the coach wrote how many, that many
    if is_free and grows and runs < most and _is_crowded(draft, open_days, runs):
        runs += 1
    share = 1.0 if draft.event_on else share_of_week(runs)
    # Of one run more the event's share is smaller; over it the long run would starve the others.
    need = min(draft.long_need, whole_minutes(draft.minutes * event_share(runs)))
    by_share = float(max(whole_minutes(draft.minutes * share), need, draft.long_kept))
    draft = draft.but(runs=runs, share=share, longest=min(draft.longest, by_share))
    is_instead = is_free and runs == 1 < sum(o.run for o in offers(case, draft.start))
    return _alone(case, draft, past, need) if is_instead and not draft.event_on else draft


def _alone(case: Case, draft: Draft, past: Past, need: int) -> Draft:
    """A lone run in the place of two: no longer than the long one of them, or than a usual one."""
    most = float(max(whole_minutes(level(past) * share_of_week(2)), USUAL_RUN_MIN, need))
    if draft.longest <= most:
        return draft
    others = tuple(one for one in draft.decisions if one.rule != longest.RULE.name)
    return draft.but(decisions=others).decide(
        longest.RULE.name,
        say(NO_LONGER_ALONE, most=most),
        because=case.origins.at("week"),
        source="common practice, no source",
        after=most,
        longest=most,
    )


def _is_crowded(draft: Draft, open_days: tuple[Offer, ...], runs: int) -> bool:
    """Whether so many runs have no room for the week's minutes, or are long ones."""
    if not draft.is_run_walk and draft.minutes > runs * USUAL_RUN_MIN:
        return True
    room = [min(building.run_room(o.minutes), draft.longest) for o in open_days if o.run]
    return sum(sorted(room, reverse=True)[:runs]) < draft.minutes - runs


@lru_cache(maxsize=512)
def clock(minute: int | None) -> time | None:
    """The hour of a minute of the day."""
    return None if minute is None else time(minute // 60, minute % 60)
