"""What fields of a file say together: each check sees more than one of them.

An error is what is surely wrong, or what would break a promise of the plan; what is only odd is
a warning. Thresholds are the coach's contract unless a source is named beside them.

A file may have fields that could not be read: a check ends where it asks for one (`partly`). So
each check is about one thing, and what it needs not it does not ask for.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from datetime import date, timedelta

from sitegen.care.signs import LIFTED
from sitegen.model.case import Origins, Path
from sitegen.model.checkin import CheckIn
from sitegen.model.client import (
    DAYS,
    SESSION_KINDS,
    WEEK_KINDS,
    Away,
    Change,
    Client,
    Day,
    Note,
    WeekDays,
)
from sitegen.model.kinds import is_id, nearest, one_of, quoted
from sitegen.model.languages import LANGUAGES, fitting
from sitegen.model.practice import Group, Notice, Practice
from sitegen.model.problem import Origin, Problem
from sitegen.model.values import Cadence, Distance, Duration
from sitegen.practice.links import broken_links, unknown_text
from sitegen.practice.partly import NotKnown, as_far_as_known, gives, known, lacks, numbered
from sitegen.practice.translate import value_place

ADULT_YEARS = 18  # the trials and thresholds behind the rules are about adults
BASELINE_LASTS_WEEKS = 8  # as rule `absence`: from 8 weeks on a new baseline is asked for
MAX_WEEKS = 52
CADENCE_CEILING_PERCENT = 110  # of baseline; rule `cadence`
# Running begins near 140 steps a minute in adults (transition cadence, range 136-161 over ages
# 6-20; public biomedical archive 2021, exact citation open); below 120, judgement.
ONE_FOOT_BELOW_SPM = 120
WALKING_BELOW_SPM = 140
FUEL_BEFORE_MIN = (30, 60)
VITAMIN_C_USUAL_MG = 200
# Outside these, minutes and metres do not belong to one run: judgement, a little wider than the
# bounds of a pace (2:30 to 20:00 per km), as the 800 m world record is run near 2:06 per km.
LIKELY_PACE_S_PER_KM = (120, 1200)

Check = Callable[[Client, Origins], Iterator[Problem]]


def check_client(
    client: Client,
    origins: Origins,
    drill_ids: Collection[str] | None = None,
    text_ids: Collection[str] | None = None,
    groups: Collection[str] | None = None,
) -> list[Problem]:
    """Every problem that no field shows alone.

    Args:
        client: What was read.
        origins: Where it was written.
        drill_ids: Drills that there are; None leaves them unchecked, and links too.
        text_ids: The coach's texts that there are; None leaves them unchecked, and links too.
        groups: The practice's groups; None leaves the client's unchecked.
    """
    told: list[Problem] = []
    for check in CHECKS:
        told += as_far_as_known(check(client, origins))
    if groups is not None:
        told += as_far_as_known(_group(client, origins, groups))
    if drill_ids is not None:
        told += as_far_as_known(_drills(client, origins, drill_ids))
    told += as_far_as_known(_references(client, origins, drill_ids, text_ids))
    return told


def _error(origin: Origin, code: str, message: str, hint: str) -> Problem:
    return Problem(origin, message, hint, code)


def _warning(origin: Origin, code: str, message: str, hint: str) -> Problem:
    return Problem(origin, message, hint, code, "warning")


# --- baseline ---------------------------------------------------------------------------------


def _no_running(client: Client) -> bool:
    return client.baseline.week.seconds == 0


def _baseline_zero(client: Client, origins: Origins) -> Iterator[Problem]:
    """Who ran nothing in four weeks has no longest run of these weeks."""
    base = client.baseline
    if not _no_running(client):
        return
    for name in ("longest", "continuous"):
        value: Duration | None = known(base, name)
        if value is not None and value.seconds:
            yield _warning(
                origins.value("baseline", name),
                "baseline-zero",
                f"week is 0 min, yet {name} is {value}",
                "week is the mean of the last four weeks: 20 min once makes 5 min a week",
            )


def _baseline_whole(client: Client, origins: Origins) -> Iterator[Problem]:
    """Somebody who runs has a longest run, a pace and a number of runs."""
    if _no_running(client):
        return
    examples = {"longest": "25 min", "pace": "6:45 /km", "runs": "3"}
    for name, written in examples.items():
        if lacks(client.baseline, name):
            yield _error(
                origins.at("baseline"),
                "baseline-incomplete",
                f'"{name}" is missing in baseline, and week is over 0 min',
                f"add {name}: {written}",
            )


def _continuous(client: Client, origins: Origins) -> Iterator[Problem]:
    base = client.baseline
    week: Duration | None = known(base, "week")
    if week is not None and week.seconds == 0:
        return
    if base.longest is not None and base.continuous is not None and base.continuous > base.longest:
        yield _error(
            origins.value("baseline", "continuous"),
            "baseline-continuous",
            f"continuous is {base.continuous}, over longest, {base.longest}",
            "the longest run without a walk is at most the longest run",
        )


def _longest_and_week(client: Client, origins: Origins) -> Iterator[Problem]:
    base = client.baseline
    if _no_running(client) or base.longest is None:
        return
    if base.longest.seconds > 4 * base.week.seconds:
        yield _warning(
            origins.value("baseline", "longest"),
            "baseline-longest",
            f"longest is {base.longest}, over four weeks of {base.week}",
            "week is the mean of the last four weeks; check both",
        )
    elif base.runs is not None and base.runs * base.longest.seconds < base.week.seconds:
        yield _warning(
            origins.value("baseline", "week"),
            "baseline-week",
            f"week is {base.week}, but {base.runs} runs of at most {base.longest} do not fill it",
            "check week, runs and longest",
        )


def _baseline_cadence(client: Client, origins: Origins) -> Iterator[Problem]:
    spm = client.baseline.cadence.spm
    origin = origins.value("baseline", "cadence")
    if spm < ONE_FOOT_BELOW_SPM:
        yield _warning(
            origin,
            "cadence-one-foot",
            f"{spm} spm is probably one foot, counted alone",
            f"count both feet; if one was counted, write {2 * spm} spm",
        )
    elif spm < WALKING_BELOW_SPM:
        yield _warning(
            origin,
            "cadence-walking",
            f"{spm} spm is more like walking: running begins near {WALKING_BELOW_SPM} spm",
            "count again at an easy run, both feet",
        )


def _race_pace(client: Client, origins: Origins) -> Iterator[Problem]:
    race = client.baseline.race
    if race is not None and (odd := _odd_pace(race.time, race.distance)):
        yield _warning(
            origins.value("baseline", "race", "time"),
            "race-pace",
            f"this race makes {odd} per km",
            "check distance and time; a time is m:ss or h:mm:ss",
        )


def _race_date(client: Client, origins: Origins) -> Iterator[Problem]:
    race = client.baseline.race
    if race is not None and race.on is not None and race.on > client.baseline.on:
        yield _warning(
            origins.value("baseline", "race", "on"),
            "race-after-baseline",
            f"this race is dated after the baseline, {client.baseline.on}",
            "check both dates",
        )


def _odd_pace(time: Duration, distance: Distance) -> str:
    """The pace, where it is not one of a run; else nothing."""
    pace = round(time.seconds / distance.km)
    low, high = LIKELY_PACE_S_PER_KM
    return "" if low <= pace <= high else f"{pace // 60}:{pace % 60:02d}"


# --- dates ------------------------------------------------------------------------------------


def _plan_dates(client: Client, origins: Origins) -> Iterator[Problem]:
    start, taken = client.plan.from_, client.baseline.on
    origin = origins.value("plan", "from")
    if start < taken:
        yield _warning(
            origin,
            "plan-before-baseline",
            f"the plan begins before the baseline was taken, {taken}",
            "check both dates",
        )
    elif start - taken > timedelta(weeks=BASELINE_LASTS_WEEKS):
        yield _warning(
            origin,
            "baseline-old",
            f"the plan begins more than {BASELINE_LASTS_WEEKS} weeks after the baseline, {taken}",
            "take a new baseline",
        )


def _hard(client: Client, origins: Origins) -> Iterator[Problem]:
    hard, weeks = client.plan.hard, client.plan.weeks
    if hard is not None and hard.from_week is not None and hard.from_week > weeks:
        yield _warning(
            origins.value("plan", "hard", "from_week"),
            "hard-after-plan",
            f"the plan has no week {hard.from_week}",
            f"it ends with week {weeks}; nothing hard will be planned",
        )


def _event(client: Client, origins: Origins) -> Iterator[Problem]:
    event = client.goal.event
    if event is None:
        return
    origin = origins.value("goal", "event", "on")
    if event.on < client.plan.from_:
        yield _error(
            origin,
            "event-before-plan",
            f"the event is before the plan begins, {client.plan.from_}",
            "check both dates, or take the event out",
        )
    elif event.on > _last_day(client):
        yield _warning(
            origin,
            "event-after-plan",
            f"the event is after the plan ends, {_last_day(client)}",
            _reaching(_weeks_to(client, event.on)),
        )


def _first_day(client: Client) -> date:
    """Monday of week 1."""
    return client.plan.from_ - timedelta(days=client.plan.from_.weekday())


def _last_day(client: Client) -> date:
    """Sunday of the last week."""
    return _first_day(client) + timedelta(weeks=client.plan.weeks, days=-1)


def _weeks_to(client: Client, day: date) -> int:
    return (day - _first_day(client)).days // 7 + 1


def _reaching(weeks: int) -> str:
    if weeks > MAX_WEEKS:
        return f"a plan has at most {MAX_WEEKS} weeks; check the date, or begin it later"
    return f"for a plan that reaches it, write weeks: {weeks}"


def _screening(client: Client, origins: Origins) -> Iterator[Problem]:
    cleared = client.screening.cleared_on
    if cleared is not None and lacks(client.screening, "cleared_by"):
        yield _warning(
            origins.value("screening", "cleared_on"),
            "cleared-by",
            "this clearance does not say by whom, so it does not count",
            "add cleared_by: and who gave it; cleared_for: all where hard running is meant too",
        )
    if cleared is not None and cleared < client.screening.on:
        yield _warning(
            origins.value("screening", "cleared_on"),
            "cleared-before-screening",
            f"the clearance is older than the screening, {client.screening.on}",
            "check both dates; a clearance answers what the screening found",
        )


def _screening_and_plan(client: Client, origins: Origins) -> Iterator[Problem]:
    if client.screening.on > client.plan.from_:
        yield _warning(
            origins.value("screening", "on"),
            "screening-after-plan",
            f"the screening is dated after the plan begins, {client.plan.from_}",
            "check both dates; the questions come first",
        )


def _baseline_before_clearance(client: Client, origins: Origins) -> Iterator[Problem]:
    """What was true of somebody who was not to run need not be true of who runs again."""
    asked, counted = client.screening, client.baseline.on
    was_referred = asked.symptoms or (asked.known_disease and not asked.regular_exercise)
    if was_referred and asked.cleared_on is not None and counted < asked.cleared_on:
        yield _warning(
            origins.value("baseline", "on"),
            "baseline-before-clearance",
            f"the baseline is older than the clearance, {asked.cleared_on}, and may no longer hold",
            "take it again, step rate and weekly running, before the first run",
        )


def _awaits_clearance(client: Client) -> bool:
    """Whether a known disease without a clearance limits what the coach may ask for."""
    asked = client.screening
    is_cleared = asked.cleared_on is not None and asked.cleared_for == "all"
    return asked.known_disease and asked.regular_exercise and not is_cleared


_CLEAR = (
    "write cleared_on, cleared_by and cleared_for: all under screening once a clinician has "
    "cleared it"
)


def _event_not_cleared(client: Client, origins: Origins) -> Iterator[Problem]:
    if _awaits_clearance(client) and client.goal.event is not None:
        yield _warning(
            origins.at("goal", "event"),
            "event-not-cleared",
            "the known disease has no clearance, so the event is planned as an easy run, no race",
            _CLEAR,
        )


def _hard_not_cleared(client: Client, origins: Origins) -> Iterator[Problem]:
    if not _awaits_clearance(client) or client.plan.hard is None:
        return
    if client.plan.hard.per_week != 0:
        yield _warning(
            origins.at("plan", "hard"),
            "hard-not-cleared",
            "the known disease has no clearance, so nothing hard is planned",
            _CLEAR,
        )


def _adult(client: Client, origins: Origins) -> Iterator[Problem]:
    born = client.born
    start = client.plan.from_
    years = start.year - (born.year if isinstance(born, date) else born or 0)
    if isinstance(born, date):
        years -= (start.month, start.day) < (born.month, born.day)
    if born is not None and 0 <= years < ADULT_YEARS:
        yield _warning(
            origins.value("born"),
            "not-adult",
            f"{years} years old when the plan begins: its limits and their evidence are adults'",
            "check the date; who is still growing needs other limits, and a coach trained for them",
        )


def _born(client: Client, origins: Origins) -> Iterator[Problem]:
    born = client.born
    taken = client.baseline.on
    late = born > taken if isinstance(born, date) else born is not None and born > taken.year
    if late:
        yield _error(
            origins.value("born"),
            "born-late",
            f"this is after the baseline was taken, {taken}",
            "write the year or date of birth, like 1984",
        )


# --- the days of the week ---------------------------------------------------------------------


def _days(week: WeekDays) -> Iterator[tuple[str, Day | None, tuple[str, ...]]]:
    """Each day that could be read: its name, what it offers, and what it is for."""
    for name in DAYS:
        try:
            day: Day | None = getattr(week, name)
            yield name, day, tuple(day.uses) if day else ()
        except NotKnown:
            continue


def _week(client: Client, origins: Origins) -> Iterator[Problem]:
    days = list(_days(client.week))
    running = tuple(name for name, _, uses in days if "run" in uses)
    if not running and len(days) == len(DAYS):
        yield _error(
            origins.at("week"),
            "no-run-day",
            "no day of the week is for running",
            "offer days under week, like tue: {at: 18:30, up_to: 45 min}",
        )
    for name, day, uses in days:
        if day and not uses:
            yield _error(
                origins.value("week", name, "for"),
                "empty",
                f"{name} is for nothing",
                f"write {name}: rest, or for: [run]",
            )
    long = client.week.long
    for name, day, uses in days:
        if running and name == long and "run" not in uses:
            why = f"{long} is for strength alone" if day and uses else f"{long} is rest"
            yield _error(
                origins.value("week", "long"),
                "long-day",
                f"the long run cannot be on {long}: {why}",
                f"write {one_of(running)}, or offer {long} for running",
            )


# --- cadence and fuel -------------------------------------------------------------------------


def _aim(client: Client, origins: Origins) -> Iterator[Problem]:
    aim, base = client.cadence.aim, client.baseline.cadence.spm
    if not isinstance(aim, Cadence):
        return
    origin = origins.value("cadence", "aim")
    ceiling = base * CADENCE_CEILING_PERCENT // 100
    if aim.spm < base:
        yield _error(
            origin,
            "aim-below-baseline",
            f"the aim is below the baseline, {base} spm; a plan never lowers a step rate",
            f"write keep, or {base} to {ceiling} spm",
        )
    elif aim.spm > ceiling and base >= ONE_FOOT_BELOW_SPM:  # below, the baseline is in doubt
        yield _warning(
            origin,
            "aim-over-ceiling",
            f"the aim is over baseline + 10 %; the plan stops at {ceiling} spm",
            "aim higher once a new baseline is logged and held for 4 weeks",
        )


def _fuel_asked(client: Client, origins: Origins) -> Iterator[Problem]:
    if client.fuel is not None and client.fuel.asked_on is None:
        yield _error(
            origins.at("fuel"),
            "fuel-not-asked",
            '"asked_on" is missing in fuel',
            "go through the cautions with the client first, then add asked_on: and the date",
        )


def _fuel_before(client: Client, origins: Origins) -> Iterator[Problem]:
    low, high = FUEL_BEFORE_MIN
    before = client.fuel.before if client.fuel is not None else None
    if before is not None and not low <= before.minutes <= high:
        yield _error(
            origins.value("fuel", "before"),
            "fuel-before",
            f"{before} is out of range",
            f"write {low} to {high} min",
        )


def _vitamin_c(client: Client, origins: Origins) -> Iterator[Problem]:
    if client.fuel is not None and client.fuel.vitamin_c.mg > VITAMIN_C_USUAL_MG:
        yield _warning(
            origins.value("fuel", "vitamin_c"),
            "fuel-vitamin-c",
            f"{client.fuel.vitamin_c.mg:g} mg of vitamin C is a lot",
            f"about 50 mg is enough; up to {VITAMIN_C_USUAL_MG} mg raises no warning",
        )


# --- away, and odd weeks ----------------------------------------------------------------------


def _away(client: Client, origins: Origins) -> Iterator[Problem]:
    for number, away in numbered(client.away):
        yield from as_far_as_known(_away_dates(away, origins, number))


def _away_dates(away: Away, origins: Origins, number: int) -> Iterator[Problem]:
    if away.to < away.from_:
        yield _error(
            origins.value("away", number, "to"),
            "away-dates",
            f"this ends before it begins, {away.from_}",
            "check both dates; to is the last day away",
        )


def _odd_weeks(client: Client, origins: Origins) -> Iterator[Problem]:
    for monday in client.weeks_on:
        if monday.weekday() != 0:
            right = monday - timedelta(days=monday.weekday())
            yield _error(
                origins.at("weeks_on", str(monday)),
                "week-monday",
                f"{monday} is no Monday",
                f"write the Monday of that week, {right}",
            )


# --- what the practice has --------------------------------------------------------------------


def _group(client: Client, origins: Origins, groups: Collection[str]) -> Iterator[Problem]:
    name = client.group
    if name is not None and name not in groups:
        there = tuple(groups)
        new = f"groups: {{{name}: …}} in practice.yaml"
        yield _error(
            origins.value("group"),
            "group-unknown",
            f"there is no group {quoted(name)}",
            f"{nearest(name, there)}write {one_of(there) if there else new}",
        )


def _drills(
    written: Client | Group, origins: Origins, known: Collection[str], above: Path = ()
) -> Iterator[Problem]:
    for number, drill in numbered(written.drills):
        if drill not in known:
            yield _error(
                origins.value(*above, "drills", number),
                "drill-unknown",
                f"there is no drill {quoted(drill)}",
                f"{nearest(drill, list(known))}a drill of your own is a file drills/{drill}.md",
            )


def _references(
    written: Client | Practice | Group,
    origins: Origins,
    drill_ids: Collection[str] | None,
    text_ids: Collection[str] | None,
    above: Path = (),
) -> Iterator[Problem]:
    """Texts that notes name, and places that their own words lead to."""
    if text_ids is None:
        return
    notes: Sequence[Note | Notice] = written.notes
    for number, note in numbered(notes):
        path: Path = (*above, "notes", number)
        yield from as_far_as_known(_texts(note, origins, path, text_ids))
        if drill_ids is not None:
            yield from as_far_as_known(_links(note, origins, path, drill_ids, text_ids))


def _texts(
    note: Note | Notice, origins: Origins, path: Path, text_ids: Collection[str]
) -> Iterator[Problem]:
    for at, id in numbered(note.read):
        if id not in text_ids:
            yield unknown_text(id, value_place(origins, (*path, "read", at)), text_ids)


def _links(
    note: Note | Notice,
    origins: Origins,
    path: Path,
    drill_ids: Collection[str],
    text_ids: Collection[str],
) -> Iterator[Problem]:
    yield from broken_links(note.text, origins.value(*path, "text"), drill_ids, text_ids)


# --- notes and changes ------------------------------------------------------------------------


def _notes(client: Client, origins: Origins) -> Iterator[Problem]:
    for number, note in numbered(client.notes):
        if (known(note, "week") or 0) > client.plan.weeks:
            yield _outside(client, origins.value("notes", number, "week"), f"week {note.week}")


def _outside(client: Client, origin: Origin, what: str) -> Problem:
    weeks = client.plan.weeks
    try:
        days = f", {_first_day(client)} to {_last_day(client)}"
    except NotKnown:
        days = ""
    return _warning(
        origin, "outside-plan", f"{what} is outside the plan", f"it has weeks 1 to {weeks}{days}"
    )


def _changes(client: Client, origins: Origins) -> Iterator[Problem]:
    for number, change in numbered(client.changes):
        for check in CHANGE_CHECKS:
            yield from as_far_as_known(check(change, origins, number))


def _change_day_or_week(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    if lacks(change, "on") and lacks(change, "week"):
        yield _error(
            origins.value("changes", number),
            "change-when",
            "this change names neither a day nor a week",
            "add on: and a date, or week: and a number",
        )
    if gives(change, "on") and gives(change, "week"):
        yield _error(
            origins.at("changes", number, "week"),
            "change-when",
            "this change names a day and a week",
            "keep one of the two",
        )


_DOES = ("minutes", "move_to", "kind", "cadence", "session")


def _change_does(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    if all(lacks(change, name) for name in ("rest", "lifts", *_DOES)):
        yield _error(
            origins.value("changes", number),
            "change-nothing",
            "this change does nothing",
            "add rest: yes, minutes, move_to, kind, session, cadence or lifts",
        )


def _change_rest(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    if change.rest and (asked := [name for name in _DOES if gives(change, name)]):
        yield _error(
            origins.at("changes", number, asked[0]),
            "change-rest",
            f"rest: yes and {asked[0]} cannot both be done",
            "keep one of the two",
        )


def _change_move(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    if gives(change, "move_to") and lacks(change, "on"):
        yield _error(
            origins.at("changes", number, "move_to"),
            "change-move",
            "move_to needs the day from which to move",
            "add on: and the date of the session",
        )
    if change.move_to is not None and change.move_to == change.on:
        yield _warning(
            origins.value("changes", number, "move_to"),
            "change-move",
            "this moves a session to the day on which it is",
            "check both dates",
        )


def _change_kind(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    kinds: tuple[str, ...]
    if gives(change, "on") and lacks(change, "week"):
        when, what, kinds = "on", "session", SESSION_KINDS
    elif gives(change, "week") and lacks(change, "on"):
        when, what, kinds = "week", "week", WEEK_KINDS
    else:
        return
    if change.kind is not None and change.kind not in kinds:
        yield _error(
            origins.value("changes", number, "kind"),
            "change-kind",
            f"{quoted(change.kind)} is not a kind of {what}",
            f"with {when} write {one_of(kinds)}",
        )


def _change_lifts(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    """A lift lies after the day of its sign, and says who looked into it."""
    if change.lifts is None:
        return
    if lacks(change, "seen_by"):
        yield _error(
            origins.at("changes", number, "lifts"),
            "change-lifts",
            "seen_by is missing beside lifts",
            "add seen_by: and who looked into the sign",
        )
    if change.lifts.sign not in LIFTED:
        yield _error(
            origins.value("changes", number, "lifts"),
            "change-lifts",
            f"{quoted(change.lifts.sign)} is no sign",
            f"{nearest(change.lifts.sign, LIFTED)}write one of {', '.join(LIFTED)}",
        )
    if change.on is not None and change.on <= change.lifts.on:
        yield _error(
            origins.value("changes", number, "on"),
            "change-lifts",
            f"this is not after the day of the sign, {change.lifts.on}",
            "check both dates; a lift lies after the day of the sign",
        )


CHANGE_CHECKS: tuple[Callable[[Change, Origins, int], Iterator[Problem]], ...] = (
    _change_day_or_week,
    _change_does,
    _change_rest,
    _change_move,
    _change_kind,
    _change_lifts,
)


def _changes_and_weeks(client: Client, origins: Origins) -> Iterator[Problem]:
    for number, change in numbered(client.changes):
        if (known(change, "week") or 0) > client.plan.weeks:
            what = f"week {change.week}"
            yield _outside(client, origins.value("changes", number, "week"), what)


def _changes_and_days(client: Client, origins: Origins) -> Iterator[Problem]:
    first, last = _first_day(client), _last_day(client)
    for number, change in numbered(client.changes):
        for name in ("on", "move_to"):
            day: date | None = known(change, name)
            if day is not None and not first <= day <= last:
                yield _outside(client, origins.value("changes", number, name), str(day))


# --- the practice -----------------------------------------------------------------------------


def check_practice(
    practice: Practice,
    origins: Origins,
    drill_ids: Collection[str] | None = None,
    text_ids: Collection[str] | None = None,
) -> list[Problem]:
    """Every problem of the practice and its groups that no field shows alone.

    A group that no client is in is none: it may wait for the season's first. A client's slip in
    the group's name is told at the client's line.
    """
    told = _shared(practice, origins, drill_ids, text_ids)
    told += _group_names(origins)
    for name, group in (known(practice, "groups") or {}).items():
        above: Path = ("groups", name)
        told += _shared(group, origins, drill_ids, text_ids, above)
        if drill_ids is not None:
            told += as_far_as_known(_drills(group, origins, drill_ids, above))
    return told


def _shared(
    written: Practice | Group,
    origins: Origins,
    drill_ids: Collection[str] | None,
    text_ids: Collection[str] | None,
    above: Path = (),
) -> list[Problem]:
    """What the practice and a group have in common."""
    return [
        *as_far_as_known(_language(written, origins, above)),
        *as_far_as_known(_notices(written, origins, above)),
        *as_far_as_known(_references(written, origins, drill_ids, text_ids, above)),
    ]


def _group_names(origins: Origins) -> Iterator[Problem]:
    for path in origins.keys:
        if len(path) == 2 and path[0] == "groups" and not is_id(name := str(path[1])):
            hint = "write small letters, digits and hyphens, like spring-half"
            wrong = f"{quoted(name)} is not a group's name"
            yield _error(origins.at(*path), "group-name", wrong, hint)


def _notices(written: Practice | Group, origins: Origins, above: Path) -> Iterator[Problem]:
    for number, note in numbered(written.notes):
        yield from as_far_as_known(_notice_dates(note, origins, (*above, "notes", number)))


def _notice_dates(note: Notice, origins: Origins, path: Path) -> Iterator[Problem]:
    if note.until < note.from_:
        yield _error(
            origins.value(*path, "until"),
            "note-dates",
            f"this note ends before it begins, {note.from_}",
            "check both dates; until is the last day on which it is shown",
        )


# --- languages --------------------------------------------------------------------------------


def _language(
    written: Client | Practice | Group, origins: Origins, above: Path = ()
) -> Iterator[Problem]:
    """A language that there is no catalogue for is no error: the page comes out in English."""
    language = written.language
    if language is not None and fitting(language) is None:
        yield _warning(
            origins.value(*above, "language"),
            "language-unknown",
            f"there is no {quoted(language)}: pages come out in English",
            f"write {one_of(LANGUAGES)}",
        )


CHECKS: tuple[Check, ...] = (
    _language,
    _born,
    _adult,
    _event_not_cleared,
    _hard_not_cleared,
    _screening,
    _screening_and_plan,
    _baseline_before_clearance,
    _baseline_zero,
    _baseline_whole,
    _continuous,
    _longest_and_week,
    _baseline_cadence,
    _race_pace,
    _race_date,
    _event,
    _week,
    _plan_dates,
    _hard,
    _aim,
    _fuel_asked,
    _fuel_before,
    _vitamin_c,
    _away,
    _odd_weeks,
    _notes,
    _changes,
    _changes_and_weeks,
    _changes_and_days,
)


# --- the log ----------------------------------------------------------------------------------


def check_log(entries: Sequence[tuple[int, CheckIn]], origins: Origins) -> list[Problem]:
    """Problems of check-ins, given with their number in the file."""
    told: list[Problem] = []
    latest: date | None = None
    for number, entry in entries:
        for check in CHECK_IN_CHECKS:
            try:
                found = check(number, entry, origins)
            except NotKnown:
                continue
            if found is not None:
                told.append(found)
        try:
            on = entry.on
        except NotKnown:
            continue
        if latest is not None and on < latest:
            told.append(
                _warning(
                    origins.value(number, "on"),
                    "log-order",
                    f"this check-in stands below one of {latest}",
                    "check the date; it is taken in the order of dates all the same",
                )
            )
        else:
            latest = on
    return told


def _ran(entry: CheckIn) -> str:
    """The field that tells of a run, if there is one."""
    return "ran" if gives(entry, "ran") else "distance" if gives(entry, "distance") else ""


def _says_nothing(number: int, entry: CheckIn, origins: Origins) -> Problem | None:
    if _ran(entry) or entry.skipped or entry.signs or entry.said:
        return None
    if entry.pain is not None and entry.pain.worst is not None:
        return None
    return _warning(
        origins.value(number),
        "log-nothing",
        "this check-in does not say what was done",
        "add ran: 30 min, distance: 5 km, or skipped: and why",
    )


def _skipped_and_ran(number: int, entry: CheckIn, origins: Origins) -> Problem | None:
    if not gives(entry, "skipped") or not (ran := _ran(entry)):
        return None
    return _error(
        origins.at(number, "skipped"),
        "log-skipped-ran",
        f"this session is skipped, yet {ran} is given",
        "keep one of the two",
    )


def _log_pace(number: int, entry: CheckIn, origins: Origins) -> Problem | None:
    if entry.ran is None or entry.distance is None:
        return None
    if not (odd := _odd_pace(entry.ran, entry.distance)):
        return None
    return _warning(
        origins.value(number, "distance"),
        "log-pace",
        f"this run makes {odd} per km",
        "check ran and distance",
    )


CHECK_IN_CHECKS: tuple[Callable[[int, CheckIn, Origins], Problem | None], ...] = (
    _says_nothing,
    _skipped_and_ran,
    _log_pace,
)
