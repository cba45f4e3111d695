"""The calendar feed of one client: every session of the plan as an event, and little else.

A calendar program fetches the feed by itself, so it cannot be sealed. It holds only words from the
tuples below and numbers of the session: nothing that a coach or a client wrote can get in.
``docs/calendar.md`` tells what is in it and why.

Sources: RFC 5545 (iCalendar), RFC 7986 (NAME, REFRESH-INTERVAL), RFC 4791 section 4.1 (no METHOD
in what a calendar server stores).
"""

from __future__ import annotations

import hmac
import unicodedata
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import lru_cache
from itertools import groupby
from typing import NamedTuple
from zoneinfo import ZoneInfo

import icalendar
from icalendar import Alarm, Calendar
from icalendar.prop import vDate, vDatetime, vDuration, vText

from sitegen.feed.history import (
    NAME_DIGITS,
    Revision,
    history_text,
    read_history,
    revised,
    short_digest,
)
from sitegen.feed.timezone import defined_years, vtimezone
from sitegen.model.case import Case
from sitegen.model.plan import Part, PartKind, Plan, Session
from sitegen.model.sentence import N_
from sitegen.model.values import Duration

PRODID = "-//sitegen//running plan//"  # and the language of its words
MODES = ("discreet", "full")
REFRESH = timedelta(hours=6)  # our own choice: a session moved at lunch is seen in the evening
ALARM_MINUTES = 30  # our own choice: time to change and to leave the house
DAY_MINUTES = 24 * 60
UID_LENGTH = 32  # hexadecimal digits: 128 bits

Translate = Callable[[str], str]

# Every string that a client can read in the feed. Braces stay as they are in a translation.
CALENDAR_NAME = N_("Running plan")
RUN = N_("Run, {minutes} min")
STRENGTH_TIMED = N_("Strength, {minutes} min")
RUN_UNTIMED = N_("Run")
# A feed lies in clear, and walks in place of runs would tell of an injury.
SESSION_TIMED = N_("Session, {minutes} min")
SESSION_UNTIMED = N_("Session")
WALK_TIMED = N_("Walk, {minutes} min")
WALK_UNTIMED = N_("Walk")
STRENGTH_UNTIMED = N_("Strength")
TO_START = N_("{minutes} min to the start")
FUEL_SOON = N_("Time for your fuel, {minutes} min before the start")
FUEL_TODAY = N_("Time for your fuel")
REMINDER = N_("Reminder")
REPEATED = N_("{times} times: {parts}")
WITH_BEAT = N_("{part} at {spm} steps a minute")
PARTS: dict[PartKind, str] = {
    "warm_up": N_("warm-up {length}"),
    "run": N_("run {length}"),
    "walk": N_("walk {length}"),
    "beat": N_("run to the beat {length}"),
    "drill": N_("drills {length}"),
    "strength": N_("strength {length}"),
    "cool_down": N_("cool-down {length}"),
}
STRINGS = (
    CALENDAR_NAME, RUN, WALK_TIMED, STRENGTH_TIMED, RUN_UNTIMED, WALK_UNTIMED, STRENGTH_UNTIMED,
    SESSION_TIMED, SESSION_UNTIMED,
    TO_START, FUEL_SOON, FUEL_TODAY, REMINDER, REPEATED, WITH_BEAT, *PARTS.values(),
)  # fmt: skip


class CalendarEvent(NamedTuple):
    """An event's lines as icalendar writes them, without name and revision."""

    body: bytes
    alarms: bytes


class Feed(NamedTuple):
    """A feed as a calendar program fetches it, and what the next one has to know of it."""

    text: bytes
    history: str


def feed(
    case: Case,
    plan: Plan,
    *,
    feed_id: str,
    mode: str,
    history: str = "",
    alarm_minutes: int | None = ALARM_MINUTES,
    translate: Translate = str,
) -> Feed:
    """The whole feed.

    Args:
        case: Gives the time zone and the plan's first day.
        plan: Gives the sessions, and the day that is the revision of what is new or changed.
        feed_id: The feed's own secret name; the events' lasting UIDs come from it.
        mode: ``discreet``: what and how long; ``full``: parts and beat as well.
        history: What the last feed left, as it is kept. An event that would come out the same
            keeps its revision; one that changed gets the next. Where it is empty, damaged or of
            another feed, all events are new.
        alarm_minutes: From this reminder to the start; None for no reminder.
        translate: From an English string of `STRINGS` to the client's language.

    Returns:
        UTF-8 with CRLF at the end of each line, and the new history. Where that is given again
        for the same plan, on whatever day, both come out the same.

    Raises:
        ValueError: unknown mode, or two sessions with one id; a developer's slip, never a coach's.
    """
    if mode not in MODES:
        raise ValueError(f"the feed's mode is one of {MODES}, not {mode!r}")
    sessions = sorted(plan.sessions, key=lambda s: (s.on, s.at or time.min, s.id))
    if len({s.id for s in sessions}) < len(sessions):
        raise ValueError("two sessions of the plan have one id")

    scribe = Scribe(ZoneInfo(case.timezone), mode == "full", alarm_minutes, translate)
    events = dict(read_history(history, feed_id))
    days = [case.first_monday, *(s.on for s in sessions)]
    blocks = [vtimezone(case.timezone, *defined_years(min(days).year, max(days).year))]
    for session in sessions:
        event, uid = scribe.event(session), lasting_uid(feed_id, session.id)
        name = uid[:NAME_DIGITS]
        events[name] = revised(short_digest(*event), events.get(name), plan.as_of)
        blocks.append(_written(uid, event, events[name].revision))
    head, end, line_end = _calendar(translate, case.language).rpartition(b"END:VCALENDAR")
    return Feed(head + b"".join(blocks) + end + line_end, history_text(feed_id, events))


def lasting_uid(feed_id: str, session_id: str) -> str:
    """The event's name for ever: it outlives moves, and tells nothing. 32 hexadecimal digits."""
    return hmac.digest(feed_id.encode(), session_id.encode(), "sha256").hex()[:UID_LENGTH]


def _written(uid: str, event: CalendarEvent, revision: Revision) -> bytes:
    """The properties stand in an order of our own, whatever icalendar prefers next year: a new
    version of it must not make every event look changed. What differs in every event, and has one
    form only, is written here."""
    name = f"BEGIN:VEVENT\r\nUID:{uid}\r\n".encode()
    return b"".join((name, event.body, _revision(revision), event.alarms, b"END:VEVENT\r\n"))


def _revision(revision: Revision) -> bytes:
    at = f"{_digits(revision.at)}Z"  # RFC 5545 section 3.3.5, form 2: UTC
    return f"SEQUENCE:{revision.sequence}\r\nDTSTAMP:{at}\r\nLAST-MODIFIED:{at}\r\n".encode()


def _digits(at: datetime) -> str:
    """``20270329T183000``."""
    return f"{at:%Y%m%dT%H%M%S}"


# --- the calendar and its events --------------------------------------------------------------


def _calendar(translate: Translate, language: str) -> bytes:
    """The calendar's own properties, without any event."""
    calendar = Calendar()
    calendar["VERSION"] = vText("2.0")
    calendar["PRODID"] = vText(PRODID + language.upper())
    name = _text(translate(CALENDAR_NAME))
    calendar["NAME"] = name
    calendar["X-WR-CALNAME"] = name  # for programs older than RFC 7986
    refresh = vDuration(REFRESH)
    refresh.params["VALUE"] = "DURATION"
    calendar["REFRESH-INTERVAL"] = refresh
    calendar["X-PUBLISHED-TTL"] = vDuration(REFRESH)
    return bytes(calendar.to_ical(sorted=False))


class Scribe(NamedTuple):
    """Writes sessions as events: where, how openly, and in which language."""

    zone: ZoneInfo
    is_full: bool
    alarm_minutes: int | None
    translate: Translate

    def event(self, session: Session) -> CalendarEvent:
        """The session as an event that has no name and no revision yet."""
        lines = list(self.parts(session.parts)) if self.is_full else []
        minutes = rounded_minutes(session.total_minutes)
        summary = self.summary(session, minutes)
        described = _described(summary, "\n".join(lines))
        timed = _timed(session.on, session.at, minutes, self.zone)
        return CalendarEvent(described + timed, b"".join(self.alarms(session, summary)))

    def summary(self, session: Session, minutes: int) -> str:
        if session.is_walk:
            walk = (WALK_TIMED, WALK_UNTIMED)
            timed, untimed = walk if self.is_full else (SESSION_TIMED, SESSION_UNTIMED)
        elif session.is_run:
            timed, untimed = RUN, RUN_UNTIMED
        else:
            timed, untimed = STRENGTH_TIMED, STRENGTH_UNTIMED
        return self._say(timed if minutes else untimed, minutes=minutes)

    def parts(self, parts: tuple[Part, ...]) -> Iterator[str]:
        """One line a part; neighbours that repeat in turn share a line."""
        for times, turn in groupby(parts, key=lambda part: part.repeat):
            lines = [self.part(part) for part in turn]
            if times > 1:
                lines = [self._say(REPEATED, times=times, parts=", ".join(lines))]
            yield from (line[:1].upper() + line[1:] for line in lines)

    def part(self, part: Part) -> str:
        text = self._say(PARTS[part.kind], length=Duration(round(part.minutes * 60)))
        if part.cadence_spm is None:
            return text
        return self._say(WITH_BEAT, part=text, spm=part.cadence_spm)

    def alarms(self, session: Session, summary: str) -> Iterator[bytes]:
        """The fuel's, then the session's. A day without an hour has no "before the start"."""
        if session.fuel_at is not None:
            yield self._fuel_alarm(session.at, session.fuel_at)
        if session.at is not None and self.alarm_minutes is not None:
            yield _alarm(timedelta(minutes=-self.alarm_minutes), summary)

    def _fuel_alarm(self, at: time | None, fuel_at: time) -> bytes:
        fuel = timedelta(hours=fuel_at.hour, minutes=fuel_at.minute)
        if at is None:
            return _alarm(fuel, self._say(FUEL_TODAY if self.is_full else REMINDER))
        ahead = (timedelta(hours=at.hour, minutes=at.minute) - fuel) % timedelta(days=1)
        text = FUEL_SOON if self.is_full else TO_START
        return _alarm(-ahead, self._say(text, minutes=ahead // timedelta(minutes=1)))

    def _say(self, template: str, **values: object) -> str:
        return self.translate(template).format(**values)


def span(on: date, at: time, minutes: int, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Start and end as the wall shows them, the end so many real minutes after the start.

    A time that a clock change leaves out is read with the offset before it, so that 02:30 becomes
    03:30; of one that comes twice the first is meant. Source: RFC 5545 section 3.3.5.
    """
    start = datetime.combine(on, at).replace(tzinfo=zone, fold=0).astimezone(UTC)
    return start.astimezone(zone), (start + timedelta(minutes=minutes)).astimezone(zone)


def rounded_minutes(minutes: float) -> int:
    """Rounded to the nearest, a half up; what is shorter than a half is still one."""
    return max(1, int(minutes + 0.5)) if minutes > 0 else 0


@lru_cache(maxsize=4096)
def _is_even(on: date, zone: ZoneInfo) -> bool:
    """Whether the clocks stay as they are on this day and the next: most days are such."""
    first = datetime.combine(on, time.min)
    hours = (first + timedelta(hours=hour) for hour in range(49))
    return len({hour.replace(tzinfo=zone).utcoffset() for hour in hours}) == 1


def _is_doubled(moment: datetime) -> bool:
    """True for a wall time that comes twice, so that only UTC can say which is meant."""
    return moment.replace(fold=0).utcoffset() != moment.replace(fold=1).utcoffset()


def _whole_day(on: date) -> vDate:
    day = vDate(on)
    day.params["VALUE"] = "DATE"
    return day


# Few lines are different, and icalendar takes its time over each, so those written are kept.


@lru_cache(maxsize=1024)
def _described(summary: str, description: str) -> bytes:
    event = icalendar.Event()
    event["SUMMARY"] = _text(summary)
    if description:
        event["DESCRIPTION"] = _text(description)
    return _lines(event)


def _timed(on: date, at: time | None, minutes: int, zone: ZoneInfo) -> bytes:
    if at is None:
        return _on_day(on)
    start = datetime.combine(on, at, zone)
    if minutes < DAY_MINUTES and _is_even(on, zone):
        end = start + timedelta(minutes=minutes)
    else:
        start, end = span(on, at, minutes, zone)
        if _is_doubled(start) or _is_doubled(end):
            start, end = start.astimezone(UTC), end.astimezone(UTC)
    if not minutes:  # RFC 5545 3.8.2.2: an end is later than its start, or not there
        return _moment("DTSTART", start)
    return _moment("DTSTART", start) + _moment("DTEND", end)


@lru_cache(maxsize=1024)
def _on_day(on: date) -> bytes:
    event = icalendar.Event()
    event["DTSTART"] = _whole_day(on)
    event["DTEND"] = _whole_day(on + timedelta(days=1))
    event["TRANSP"] = vText("TRANSPARENT")  # a run does not make the whole day busy
    return _lines(event)


def _moment(name: str, at: datetime) -> bytes:
    """A property whose value is a moment. What stands before the digits is icalendar's."""
    before, after = _around_digits(name, at.tzinfo)
    return b"%b%b%b" % (before, _digits(at).encode(), after)


@lru_cache(maxsize=256)
def _around_digits(name: str, zone: tzinfo | None) -> tuple[bytes, bytes]:
    """How a line with a moment begins, with the zone's name as its TZID, and how it ends."""
    event = icalendar.Event()
    event[name] = vDatetime(datetime(2000, 1, 1, tzinfo=zone))
    before, _, after = _lines(event).rpartition(b"20000101T000000")
    return before, after


def _lines(event: icalendar.Event) -> bytes:
    """An event's properties in the order in which they were set, without the lines around them."""
    text = bytes(event.to_ical(sorted=False))
    return text.removeprefix(b"BEGIN:VEVENT\r\n").removesuffix(b"END:VEVENT\r\n")


@lru_cache(maxsize=1024)
def _alarm(trigger: timedelta, text: str) -> bytes:
    alarm = Alarm()
    alarm["ACTION"] = vText("DISPLAY")
    alarm["DESCRIPTION"] = _text(text)
    alarm["TRIGGER"] = vDuration(trigger)
    return bytes(alarm.to_ical(sorted=False))


def _text(words: str) -> vText:
    """Words without what RFC 5545 forbids in a TEXT: control characters, but for the new line."""
    if words.isprintable():  # nothing of the kind in it
        return vText(words)
    return vText("".join(c for c in words if c == "\n" or unicodedata.category(c) not in _NO_TEXT))


_NO_TEXT = ("Cc", "Cs", "Zl", "Zp")
