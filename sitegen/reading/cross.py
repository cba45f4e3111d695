"""What fields of a file say together: each check sees more than one of them.

An error is what is surely wrong, or what would break a promise of the plan; what is only odd is
a warning. Thresholds are the coach's contract unless a source is named beside them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from datetime import date, timedelta

from sitegen.model.case import Origins, Path
from sitegen.model.checkin import CheckIn
from sitegen.model.client import DAYS, SESSION_KINDS, WEEK_KINDS, Change, Client, Note
from sitegen.model.kinds import is_id, nearest, one_of, quoted
from sitegen.model.languages import LANGUAGES, fitting
from sitegen.model.practice import Notice, Practice
from sitegen.model.problem import Origin, Problem
from sitegen.model.values import Cadence, Distance, Duration
from sitegen.reading.links import broken_links, unknown_text
from sitegen.reading.translate import value_place

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
    missing: Collection[str] = (),
    drill_ids: Collection[str] | None = None,
    text_ids: Collection[str] | None = None,
) -> list[Problem]:
    """Every problem that no field shows alone.

    Args:
        client: What was read.
        origins: Where it was written.
        missing: Sections that could not be read; checks that need one of them are left out.
        drill_ids: Drills that there are; None leaves them unchecked, and links too.
        text_ids: The coach's texts that there are; None leaves them unchecked, and links too.
    """
    told: list[Problem] = []
    for check, needs in CHECKS:
        if not needs & set(missing):
            told += check(client, origins)
    if drill_ids is not None and "drills" not in missing:
        told += _drills(client.drills, origins, drill_ids)
    if "notes" not in missing:
        told += _references(client.notes, origins, ("notes",), drill_ids, text_ids)
    return told


def _error(origin: Origin, code: str, message: str, hint: str) -> Problem:
    return Problem(origin, message, hint, code)


def _warning(origin: Origin, code: str, message: str, hint: str) -> Problem:
    return Problem(origin, message, hint, code, "warning")


# --- baseline ---------------------------------------------------------------------------------


def _baseline(client: Client, origins: Origins) -> Iterator[Problem]:
    """Somebody who runs has a longest run, a pace and a number of runs, and they fit together."""
    base = client.baseline
    if base.week.seconds == 0:
        for name, value in (("longest", base.longest), ("continuous", base.continuous)):
            if value is not None and value.seconds:
                yield _warning(
                    origins.value("baseline", name),
                    "baseline-zero",
                    f"week is 0 min, yet {name} is {value}",
                    "week is the mean of the last four weeks: 20 min once makes 5 min a week",
                )
        return
    examples = {"longest": "25 min", "pace": "6:45 /km", "runs": "3"}
    for name, written in examples.items():
        if getattr(base, name) is None:
            yield _error(
                origins.at("baseline"),
                "baseline-incomplete",
                f'"{name}" is missing in baseline, and week is over 0 min',
                f"add {name}: {written}",
            )
    if base.longest is not None:
        if base.continuous is not None and base.continuous > base.longest:
            yield _error(
                origins.value("baseline", "continuous"),
                "baseline-continuous",
                f"continuous is {base.continuous}, over longest, {base.longest}",
                "the longest run without a walk is at most the longest run",
            )
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
                f"week is {base.week}, but {base.runs} runs of at most {base.longest} do not "
                "fill it",
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


def _race(client: Client, origins: Origins) -> Iterator[Problem]:
    race = client.baseline.race
    if race is None:
        return
    if odd := _odd_pace(race.time, race.distance):
        yield _warning(
            origins.value("baseline", "race", "time"),
            "race-pace",
            f"this race makes {odd} per km",
            "check distance and time; a time is m:ss or h:mm:ss",
        )
    if race.on is not None and race.on > client.baseline.on:
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


def _not_cleared(client: Client, origins: Origins) -> Iterator[Problem]:
    """What a known disease without a clearance leaves of what the coach asked for."""
    asked = client.screening
    if not (asked.known_disease and asked.regular_exercise) or asked.cleared_on is not None:
        return
    mend = "write cleared_on under screening once a clinician has cleared it"
    if client.goal.event is not None:
        yield _warning(
            origins.at("goal", "event"),
            "event-not-cleared",
            "the known disease has no clearance, so the event is planned as an easy run, no race",
            mend,
        )
    if client.plan.hard is not None and client.plan.hard.per_week != 0:
        yield _warning(
            origins.at("plan", "hard"),
            "hard-not-cleared",
            "the known disease has no clearance, so nothing hard is planned",
            mend,
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


def _week(client: Client, origins: Origins) -> Iterator[Problem]:
    offered = client.week.offered()
    running = tuple(
        name for name, day in zip(DAYS, offered, strict=True) if day and "run" in day.uses
    )
    if not running:
        yield _error(
            origins.at("week"),
            "no-run-day",
            "no day of the week is for running",
            "offer days under week, like tue: {at: 18:30, up_to: 45 min}",
        )
    long = client.week.long
    if running and long is not None and long not in running:
        day = offered[DAYS.index(long)]
        why = f"{long} is for strength alone" if day and day.uses else f"{long} is rest"
        yield _error(
            origins.value("week", "long"),
            "long-day",
            f"the long run cannot be on {long}: {why}",
            f"write {one_of(running)}, or offer {long} for running",
        )
    for name, day in zip(DAYS, offered, strict=True):
        if day and not day.uses:
            yield _error(
                origins.value("week", name, "for"),
                "empty",
                f"{name} is for nothing",
                f"write {name}: rest, or for: [run]",
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


def _fuel(client: Client, origins: Origins) -> Iterator[Problem]:
    fuel = client.fuel
    if fuel is None:
        return
    if fuel.asked_on is None:
        yield _error(
            origins.at("fuel"),
            "fuel-not-asked",
            '"asked_on" is missing in fuel',
            "go through the cautions with the client first, then add asked_on: and the date",
        )
    low, high = FUEL_BEFORE_MIN
    if fuel.before is not None and not low <= fuel.before.minutes <= high:
        yield _error(
            origins.value("fuel", "before"),
            "fuel-before",
            f"{fuel.before} is out of range",
            f"write {low} to {high} min",
        )
    if fuel.vitamin_c.mg > VITAMIN_C_USUAL_MG:
        yield _warning(
            origins.value("fuel", "vitamin_c"),
            "fuel-vitamin-c",
            f"{fuel.vitamin_c.mg:g} mg of vitamin C is a lot",
            f"about 50 mg is enough; up to {VITAMIN_C_USUAL_MG} mg raises no warning",
        )


def _drills(
    drills: Sequence[str], origins: Origins, known: Collection[str], above: Path = ()
) -> Iterator[Problem]:
    for number, drill in enumerate(drills):
        if drill not in known:
            yield _error(
                origins.value(*above, "drills", number),
                "drill-unknown",
                f"there is no drill {quoted(drill)}",
                f"{nearest(drill, list(known))}a drill of your own is a file drills/{drill}.md",
            )


# --- notes and changes ------------------------------------------------------------------------


def _notes(client: Client, origins: Origins) -> Iterator[Problem]:
    for number, note in enumerate(client.notes):
        if note.week > client.plan.weeks:
            yield _outside(client, origins.value("notes", number, "week"), f"week {note.week}")


def _references(
    notes: Sequence[Note | Notice],
    origins: Origins,
    path: Path,
    drill_ids: Collection[str] | None,
    text_ids: Collection[str] | None,
) -> Iterator[Problem]:
    """Texts that a note names, and places that its own words lead to."""
    for number, note in enumerate(notes):
        if text_ids is None:
            continue
        for at, id in enumerate(note.read):
            if id not in text_ids:
                yield unknown_text(id, value_place(origins, (*path, number, "read", at)), text_ids)
        if drill_ids is not None:
            origin = origins.value(*path, number, "text")
            yield from broken_links(note.text, origin, drill_ids, text_ids)


def _outside(client: Client, origin: Origin, what: str) -> Problem:
    return _warning(
        origin,
        "outside-plan",
        f"{what} is outside the plan",
        f"it has weeks 1 to {client.plan.weeks}, {_first_day(client)} to {_last_day(client)}",
    )


def _changes(client: Client, origins: Origins) -> Iterator[Problem]:
    for number, change in enumerate(client.changes):
        yield from _change(change, origins, number)


def _change(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    start = origins.value("changes", number)
    if change.on is None and change.week is None:
        yield _error(
            start,
            "change-when",
            "this change names neither a day nor a week",
            "add on: and a date, or week: and a number",
        )
    if change.on is not None and change.week is not None:
        yield _error(
            origins.at("changes", number, "week"),
            "change-when",
            "this change names a day and a week",
            "keep one of the two",
        )
    does = {
        "minutes": change.minutes,
        "move_to": change.move_to,
        "kind": change.kind,
        "cadence": change.cadence,
    }
    asked = [name for name, value in does.items() if value is not None]
    if not asked and change.rest is None:
        yield _error(
            start,
            "change-nothing",
            "this change does nothing",
            "add rest: yes, minutes, move_to, kind or cadence",
        )
    if asked and change.rest:
        yield _error(
            origins.at("changes", number, asked[0]),
            "change-rest",
            f"rest: yes and {asked[0]} cannot both be done",
            "keep one of the two",
        )
    if change.move_to is not None and change.on is None:
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
    fitting = WEEK_KINDS if change.on is None else SESSION_KINDS
    one_when = (change.on is None) != (change.week is None)
    if change.kind is not None and one_when and change.kind not in fitting:
        what = "week" if change.on is None else "session"
        yield _error(
            origins.value("changes", number, "kind"),
            "change-kind",
            f"{quoted(change.kind)} is not a kind of {what}",
            f"with {'week' if change.on is None else 'on'} write {one_of(fitting)}",
        )


def _changes_and_plan(client: Client, origins: Origins) -> Iterator[Problem]:
    first, last = _first_day(client), _last_day(client)
    for number, change in enumerate(client.changes):
        if change.week is not None and change.week > client.plan.weeks:
            what = f"week {change.week}"
            yield _outside(client, origins.value("changes", number, "week"), what)
        for name, day in (("on", change.on), ("move_to", change.move_to)):
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
    told = list(unknown_language(practice.language, origins))
    told += _notices(practice.notes, origins, ("notes",), drill_ids, text_ids)
    for name, group in practice.groups.items():
        path: Path = ("groups", name)
        if not is_id(name):
            hint = "write small letters, digits and hyphens, like spring-half"
            wrong = f"{quoted(name)} is not a group's name"
            told.append(_error(origins.at(*path), "group-name", wrong, hint))
        told += unknown_language(group.language, origins, path)
        told += _notices(group.notes, origins, (*path, "notes"), drill_ids, text_ids)
        if drill_ids is not None:
            told += _drills(group.drills, origins, drill_ids, path)
    return told


def _notices(
    notes: Sequence[Notice],
    origins: Origins,
    path: Path,
    drill_ids: Collection[str] | None,
    text_ids: Collection[str] | None,
) -> Iterator[Problem]:
    for number, note in enumerate(notes):
        if note.until < note.from_:
            yield _error(
                origins.value(*path, number, "until"),
                "note-dates",
                f"this note ends before it begins, {note.from_}",
                "check both dates; until is the last day on which it is shown",
            )
    yield from _references(notes, origins, path, drill_ids, text_ids)


def unknown_group(name: str, practice: Practice, origin: Origin) -> Problem:
    """For a client whose group the practice does not have."""
    known = tuple(practice.groups)
    hint = f"write {one_of(known)}" if known else f"write groups: {{{name}: …}} in practice.yaml"
    return _error(
        origin, "group-unknown", f"there is no group {quoted(name)}", nearest(name, known) + hint
    )


# --- languages --------------------------------------------------------------------------------


def unknown_language(language: str | None, origins: Origins, above: Path = ()) -> Iterator[Problem]:
    """A language that there is no catalogue for is no error: the page comes out in English."""
    if language is not None and fitting(language) is None:
        yield _warning(
            origins.value(*above, "language"),
            "language-unknown",
            f"there is no {quoted(language)}: pages come out in English",
            f"write {one_of(LANGUAGES)}",
        )


def _language(client: Client, origins: Origins) -> Iterator[Problem]:
    yield from unknown_language(client.language, origins)


CHECKS: tuple[tuple[Check, frozenset[str]], ...] = (
    (_language, frozenset({"language"})),
    (_born, frozenset({"born", "baseline"})),
    (_adult, frozenset({"born", "plan"})),
    (_not_cleared, frozenset({"screening", "goal", "plan"})),
    (_screening, frozenset({"screening"})),
    (_screening_and_plan, frozenset({"screening", "plan"})),
    (_baseline, frozenset({"baseline"})),
    (_baseline_cadence, frozenset({"baseline"})),
    (_race, frozenset({"baseline"})),
    (_event, frozenset({"goal", "plan"})),
    (_week, frozenset({"week"})),
    (_plan_dates, frozenset({"baseline", "plan"})),
    (_hard, frozenset({"plan"})),
    (_aim, frozenset({"baseline", "cadence"})),
    (_fuel, frozenset({"fuel"})),
    (_notes, frozenset({"notes", "plan"})),
    (_changes, frozenset({"changes"})),
    (_changes_and_plan, frozenset({"changes", "plan"})),
)


# --- the log ----------------------------------------------------------------------------------


def check_log(entries: Sequence[tuple[int, CheckIn]], origins: Origins) -> list[Problem]:
    """Problems of check-ins, given with their number in the file."""
    told: list[Problem] = []
    latest: date | None = None
    for number, entry in entries:
        told += _entry(number, entry, origins)
        if latest is not None and entry.on < latest:
            told.append(
                _warning(
                    origins.value(number, "on"),
                    "log-order",
                    f"this check-in stands below one of {latest}",
                    "check the date; it is taken in the order of dates all the same",
                )
            )
        latest = max(latest or entry.on, entry.on)
    return told


def _entry(number: int, entry: CheckIn, origins: Origins) -> Iterator[Problem]:
    ran = "ran" if entry.ran is not None else "distance" if entry.distance is not None else ""
    pain = entry.pain is not None and entry.pain.worst is not None
    if not (ran or entry.skipped or entry.signs or pain or entry.said):
        yield _warning(
            origins.value(number),
            "log-nothing",
            "this check-in does not say what was done",
            "add ran: 30 min, distance: 5 km, or skipped: and why",
        )
    if ran and entry.skipped:
        yield _error(
            origins.at(number, "skipped"),
            "log-skipped-ran",
            f"this session is skipped, yet {ran} is given",
            "keep one of the two",
        )
    if entry.ran is not None and entry.distance is not None:
        odd = _odd_pace(entry.ran, entry.distance)
        if odd:
            yield _warning(
                origins.value(number, "distance"),
                "log-pace",
                f"this run makes {odd} per km",
                "check ran and distance",
            )
