"""A VTIMEZONE that calendar programs read alike, made from the rule in the tz data file.

A tz data file ends with the rule that its zone follows from now on, like
``WET0WEST,M3.5.0/1,M10.5.0``. Where that rule holds for all the years of a plan, the VTIMEZONE is
that rule: two observances that repeat each year, or a single fixed one. Where it does not (a law
that changed within those years; Morocco, whose clock follows the moon; a change at 24:00 or later,
which a yearly rule cannot say), every change within those years is written out by itself.

`zoneinfo` decides what is true; the rule is only a shorter way to say it, and is checked against
it.

Sources, all from memory: the last line of a tz data file, RFC 8536 section 3.3; the rule's form,
POSIX 2017, Base Definitions 8.3, TZ; VTIMEZONE, RFC 5545 section 3.6.5.
"""

from __future__ import annotations

import re
import zoneinfo
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import NamedTuple
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard
from icalendar.prop import vDatetime, vRecur, vText, vUTCOffset

WEEKDAY_CODES = ("SU", "MO", "TU", "WE", "TH", "FR", "SA")  # POSIX counts weekdays from Sunday
DEFINED_YEARS = 20
LAST_WEEK = 5  # POSIX: the fifth is the last, be it the fourth
CHANGE_TIME = "2"  # POSIX: 02:00 where the rule names no time
EPOCH = datetime(1970, 1, 1)
ONE_DAY = timedelta(days=1)
ONE_SECOND = timedelta(seconds=1)

_NAME = r"(?:[A-Za-z]{3,}|<[A-Za-z0-9+-]{3,}>)"
_TIME = r"[+-]?\d{1,3}(?::\d{2}){0,2}"
_WHEN = rf"M(\d{{1,2}})\.([1-5])\.([0-6])(?:/({_TIME}))?"
_RULE = re.compile(rf"{_NAME}{_TIME}{_NAME}(?:{_TIME})?,{_WHEN},{_WHEN}")


class Transition(NamedTuple):
    """A clock change: its instant, the offset before and after, the name of the time after."""

    at: datetime  # UTC
    before: timedelta
    after: timedelta
    name: str

    @property
    def wall(self) -> datetime:
        """What the clock on the wall shows as it is changed, as RFC 5545 wants an onset."""
        return (self.at + self.before).replace(tzinfo=None)


class YearlyDay(NamedTuple):
    """``M3.5.0/1``: last Sunday of March at 01:00 on the wall. Weekday 0 is Sunday."""

    month: int
    week: int
    weekday: int
    clock: timedelta

    def in_year(self, year: int) -> datetime:
        """The wall time of this change in ``year``."""
        first = date(year, self.month, 1)
        day = first + timedelta(days=(self.weekday - first.isoweekday()) % 7)
        day += timedelta(weeks=self.week - 1)
        if day.month != self.month:
            day -= timedelta(weeks=1)
        return datetime.combine(day, time()) + self.clock

    @property
    def is_same_day(self) -> bool:
        """False where the time of the change falls on another day than the rule's own."""
        return timedelta(0) <= self.clock < ONE_DAY

    def as_recurrence(self) -> vRecur:
        week = -1 if self.week == LAST_WEEK else self.week
        return vRecur(
            freq="YEARLY", bymonth=self.month, byday=f"{week}{WEEKDAY_CODES[self.weekday]}"
        )


def last_line(name: str) -> str:
    """The rule that the zone's tz data file ends with; empty where it has none.

    The file is the one that `zoneinfo` itself would read: the system's, else the package's.

    Raises:
        ZoneInfoNotFoundError: there is no such zone.
    """
    ZoneInfo(name)  # refuses a name that is none, or that would lead out of the folder
    data = b""
    for folder in zoneinfo.TZPATH:
        file = Path(folder, name)
        if file.is_file():
            data = file.read_bytes()
            break
    else:
        data = resources.files("tzdata").joinpath("zoneinfo", *name.split("/")).read_bytes()
    if data[4:5] < b"2":  # the first version of the format has no last line
        return ""
    return data.rstrip(b"\n").rsplit(b"\n", 1)[-1].decode("ascii")


def yearly_days(rule: str) -> tuple[YearlyDay, YearlyDay] | None:
    """Summer time's first and last day; None for a rule without, or of another form."""
    found = _RULE.fullmatch(rule)
    if found is None:
        return None
    values = found.groups()
    return _yearly_day(*values[:4]), _yearly_day(*values[4:])


def _yearly_day(month: str, week: str, weekday: str, clock: str | None) -> YearlyDay:
    return YearlyDay(int(month), int(week), int(weekday), _clock(clock or CHANGE_TIME))


def _clock(text: str) -> timedelta:
    """``1``, ``2:45``, ``-1`` or ``26``: hours, minutes and seconds past midnight."""
    hours, minutes, seconds = (*map(int, text.lstrip("+-").split(":")), 0, 0)[:3]
    length = timedelta(hours=hours, minutes=minutes, seconds=seconds)
    return -length if text.startswith("-") else length


def transitions(zone: ZoneInfo, first: datetime, last: datetime) -> Iterator[Transition]:
    """The clock changes of ``zone`` from ``first`` to ``last``, both in UTC."""
    before = _offset(zone, first)
    day = first
    while day < last:
        if _offset(zone, day + ONE_DAY) != before:
            at = _first_second(zone, day, day + ONE_DAY)
            after = _offset(zone, at)
            yield Transition(at, before, after, _name(zone, at))
            before, day = after, at  # a second change on the same day is not lost
        else:
            day += ONE_DAY


def _first_second(zone: ZoneInfo, low: datetime, high: datetime) -> datetime:
    """The first second after ``low`` whose offset is not that at ``low``."""
    before = _offset(zone, low)
    while high - low > ONE_SECOND:
        middle = low + timedelta(seconds=(high - low) // ONE_SECOND // 2)
        if _offset(zone, middle) == before:
            low = middle
        else:
            high = middle
    return high


def _offset(zone: ZoneInfo, instant: datetime) -> timedelta:
    return instant.astimezone(zone).utcoffset() or timedelta(0)


def _name(zone: ZoneInfo, instant: datetime) -> str:
    return instant.astimezone(zone).tzname() or ""


def defined_years(first: int, last: int) -> tuple[int, int]:
    """The years that a zone is defined for in every feed, whatever years its plan touches.

    A calendar program keeps one definition for each TZID: two feeds that define it differently
    would move each other's events. Twenty years from an even decade on; more where a plan needs.
    """
    begin = first - first % DEFINED_YEARS
    return begin, max(begin + DEFINED_YEARS, last - last % DEFINED_YEARS + DEFINED_YEARS) - 1


@lru_cache(maxsize=64)  # a practice has few zones and many clients
def vtimezone(name: str, first_year: int, last_year: int) -> bytes:
    """The zone's VTIMEZONE, right for every moment of the years given, with CRLF at its end."""
    zone = ZoneInfo(name)
    start = datetime(first_year, 1, 1, tzinfo=UTC) - ONE_DAY  # the new year comes early in the east
    end = datetime(last_year + 1, 1, 1, tzinfo=UTC) + ONE_DAY
    found = tuple(transitions(zone, start, end))
    block = Timezone()
    block["TZID"] = vText(name)
    yearly = yearly_days(last_line(name))
    if yearly and _holds(yearly, found, range(first_year, last_year + 1)):
        for day in sorted(yearly, key=lambda d: d.month):
            change = next(c for c in found if c.wall == day.in_year(c.wall.year))
            # From the year before, so that the plan's first January has a time as well.
            onset = day.in_year(first_year - 1)
            block.add_component(_observance(change, onset, day.as_recurrence()))
    else:
        offset = _offset(zone, start)
        block.add_component(
            _observance(Transition(start, offset, offset, _name(zone, start)), EPOCH)
        )
        for change in found:
            block.add_component(_observance(change, change.wall))
    return bytes(block.to_ical(sorted=False))


def _holds(
    yearly: tuple[YearlyDay, YearlyDay], found: tuple[Transition, ...], years: range
) -> bool:
    """True where the changes found are just those of the rule, and a yearly rule can say them."""
    said = sorted(day.in_year(year) for day in yearly for year in years)
    return (
        all(day.is_same_day for day in yearly)
        and [change.wall for change in found] == said
        and len({(change.before, change.after) for change in found}) == len(yearly)
    )


def _observance(
    change: Transition, onset: datetime, repeats: vRecur | None = None
) -> TimezoneStandard | TimezoneDaylight:
    """DAYLIGHT is the time with the clock put forward, also in Dublin, where the law calls it
    standard: readers expect it so, and no offset depends on the word."""
    forward = change.after > change.before
    observance = TimezoneDaylight() if forward else TimezoneStandard()
    observance["DTSTART"] = vDatetime(onset)
    observance["TZOFFSETFROM"] = vUTCOffset(change.before)
    observance["TZOFFSETTO"] = vUTCOffset(change.after)
    if repeats is not None:
        observance["RRULE"] = repeats
    observance["TZNAME"] = vText(change.name)
    return observance
