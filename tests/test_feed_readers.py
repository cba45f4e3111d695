"""Five readers that share no code see each session at the same minute, over every clock change."""

from __future__ import annotations

import zoneinfo
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from feed.plans import FEED_ID, SECOND_DAY, built, habit, plan_of, run_at
from feed.readers import READERS, VTIMEZONE_READERS, Events, Reader, Seen
from sitegen.feed.feed import lasting_uid
from sitegen.feed.timezone import transitions
from sitegen.model.plan import Plan

YEARS = datetime(2026, 7, 1, tzinfo=UTC), datetime(2027, 12, 31, tzinfo=UTC)
ZONES = (
    "Europe/Lisbon", "America/New_York", "Asia/Kathmandu", "Australia/Lord_Howe",
    "America/Phoenix", "Europe/Dublin", "America/Santiago", "America/St_Johns", "Africa/Casablanca",
    "Pacific/Chatham", "Asia/Jerusalem", "UTC",
)  # fmt: skip


def uid(session_id: str) -> str:
    return lasting_uid(FEED_ID, session_id)


def read(reader: Reader, folder: Path, text: bytes) -> Events:
    file = folder / "feed.ics"
    file.write_bytes(text)
    return reader([file])[0]


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize(
    ("zone", "on", "start"),
    [
        # Lisbon: an hour back on the night to 25 October 2026, forward to 28 March 2027
        ("Europe/Lisbon", date(2026, 10, 24), "2026-10-24 17:30"),
        ("Europe/Lisbon", date(2026, 10, 25), "2026-10-25 18:30"),
        ("Europe/Lisbon", date(2027, 3, 27), "2027-03-27 18:30"),
        ("Europe/Lisbon", date(2027, 3, 28), "2027-03-28 17:30"),
        # New York: 1 November 2026 and 14 March 2027
        ("America/New_York", date(2026, 10, 31), "2026-10-31 22:30"),
        ("America/New_York", date(2026, 11, 1), "2026-11-01 23:30"),
        ("America/New_York", date(2027, 3, 13), "2027-03-13 23:30"),
        ("America/New_York", date(2027, 3, 14), "2027-03-14 22:30"),
        # Lord Howe: half an hour, the other way round, 4 October 2026 and 4 April 2027
        ("Australia/Lord_Howe", date(2026, 10, 3), "2026-10-03 08:00"),
        ("Australia/Lord_Howe", date(2026, 10, 4), "2026-10-04 07:30"),
        ("Australia/Lord_Howe", date(2027, 4, 3), "2027-04-03 07:30"),
        ("Australia/Lord_Howe", date(2027, 4, 4), "2027-04-04 08:00"),
        # no summer time
        ("Asia/Kathmandu", date(2026, 10, 25), "2026-10-25 12:45"),
        ("Asia/Kathmandu", date(2027, 3, 28), "2027-03-28 12:45"),
        ("America/Phoenix", date(2026, 11, 1), "2026-11-02 01:30"),
        ("America/Phoenix", date(2027, 3, 14), "2027-03-15 01:30"),
        # Casablanca: an hour back for Ramadan, from December into the new year
        ("Africa/Casablanca", date(2031, 1, 10), "2031-01-10 18:30"),
        ("Africa/Casablanca", date(2031, 2, 20), "2031-02-20 17:30"),
    ],
)
def test_half_past_six_is_half_past_six_on_both_sides_of_a_change(
    reader: Reader, zone: str, on: date, start: str, tmp_path: Path
):
    """Instants worked out by hand from the zones' laws."""
    seen = read(reader, tmp_path, built(plan_of(run_at(on, time(18, 30))), zone))

    begins = utc(start)
    assert seen == {uid("one"): Seen(begins, begins + timedelta(minutes=35), 0, (-1800,))}


def hours_around_changes(zone: str) -> Plan:
    """A run at each hour of the days about every change of the zone, or of Lisbon's."""
    found = list(transitions(ZoneInfo(zone), *YEARS)) or list(
        transitions(ZoneInfo("Europe/Lisbon"), *YEARS)
    )
    days = sorted({(c.at + timedelta(days=d)).date() for c in found for d in (-1, 0, 1)})
    return plan_of(
        *(run_at(day, time(hour, 30), 20, f"{day} {hour}") for day in days for hour in range(24))
    )


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("zone", ZONES)
def test_each_hour_of_the_days_about_a_change_is_read_alike(
    reader: Reader, zone: str, tmp_path: Path
):
    """Instants from `zoneinfo`; also the hours that come twice, or not at all."""
    plan = hours_around_changes(zone)
    seen = read(reader, tmp_path, built(plan, zone))

    expected = {}
    for session in plan.sessions:
        assert session.at is not None
        wall = datetime.combine(session.on, session.at, ZoneInfo(zone))
        start = wall.astimezone(UTC)
        expected[uid(session.id)] = Seen(start, start + timedelta(minutes=20), 0, (-1800,))
    assert len(expected) >= 144
    assert seen == expected


@pytest.mark.parametrize("reader", VTIMEZONE_READERS)
def test_every_zone_of_the_world_is_read_alike(reader: Reader, tmp_path: Path):
    """Runs in the hours about each change of a year and a half, and one in each quarter."""
    files: list[Path] = []
    expected: list[Events] = []
    known = set()
    for name in sorted(zoneinfo.available_timezones()):
        zone = ZoneInfo(name)
        found = tuple(transitions(zone, *YEARS))
        if (found, YEARS[0].astimezone(zone).utcoffset()) in known:
            continue  # another name for what was already looked at
        known.add((found, YEARS[0].astimezone(zone).utcoffset()))
        moments = [datetime(2026, month, 2, 12, tzinfo=UTC) for month in (7, 9, 12)]
        moments += [c.at + timedelta(hours=h) for c in found for h in (-12, -3, 3, 12)]
        walls = [moment.astimezone(zone).replace(tzinfo=None) for moment in moments]
        runs = [run_at(w.date(), w.time(), 30, str(n)) for n, w in enumerate(walls)]
        files.append(tmp_path / f"{len(files)}.ics")
        files[-1].write_bytes(built(plan_of(*runs), name, alarm_minutes=None))
        half = timedelta(minutes=30)
        expected.append({uid(str(n)): Seen(m, m + half, 0, ()) for n, m in enumerate(moments)})

    assert len(files) > 60
    assert reader(files) == expected


@pytest.mark.parametrize("reader", READERS)
def test_an_hour_that_comes_twice_is_the_first_one(reader: Reader, tmp_path: Path):
    """RFC 5545 section 3.3.5. Lisbon, 25 October 2026: 01:30 comes at 00:30 and 01:30 UTC."""
    seen = read(reader, tmp_path, built(plan_of(run_at(date(2026, 10, 25), time(1, 30), 20))))

    assert seen[uid("one")].start == utc("2026-10-25 00:30")
    assert seen[uid("one")].end == utc("2026-10-25 00:50")


@pytest.mark.parametrize("reader", READERS)
def test_a_run_that_ends_in_the_second_of_two_hours_has_its_full_length(
    reader: Reader, tmp_path: Path
):
    """00:50 in summer, 100 minutes later it is 01:30 again."""
    seen = read(reader, tmp_path, built(plan_of(run_at(date(2026, 10, 25), time(0, 50), 100))))

    assert seen[uid("one")].start == utc("2026-10-24 23:50")
    assert seen[uid("one")].end == utc("2026-10-25 01:30")


@pytest.mark.parametrize("reader", READERS)
def test_an_hour_that_is_left_out_is_read_with_the_offset_before(reader: Reader, tmp_path: Path):
    """RFC 5545 section 3.3.5. New York, 14 March 2027: 02:30 is not there; 03:30 is meant."""
    text = built(plan_of(run_at(date(2027, 3, 14), time(2, 30), 20)), "America/New_York")

    assert b"DTSTART;TZID=America/New_York:20270314T033000\r\n" in text
    assert read(reader, tmp_path, text)[uid("one")].start == utc("2027-03-14 07:30")


@pytest.mark.parametrize("reader", READERS)
def test_a_run_through_a_change_keeps_its_length(reader: Reader, tmp_path: Path):
    """New York, 01:30 to 03:30 on the night that has no 02:00: one hour."""
    text = built(plan_of(run_at(date(2027, 3, 14), time(1, 30), 60)), "America/New_York")

    assert b"DTEND;TZID=America/New_York:20270314T033000\r\n" in text
    seen = read(reader, tmp_path, text)[uid("one")]
    assert (seen.start, seen.end) == (utc("2027-03-14 06:30"), utc("2027-03-14 07:30"))


@pytest.mark.parametrize("reader", READERS)
def test_a_session_without_an_hour_takes_no_hour(reader: Reader, tmp_path: Path):
    """A whole day ends, in the standard's words, with the day after. RFC 5545 section 3.6.1."""
    seen = read(reader, tmp_path, built(plan_of(run_at(date(2026, 10, 31), None))))

    assert seen == {uid("one"): Seen(date(2026, 10, 31), date(2026, 11, 1), 0, ())}


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("mode", ["discreet", "full"])
def test_a_whole_plan_is_read_without_an_error(reader: Reader, mode: str, tmp_path: Path):
    """Sixteen weeks of five sessions, with both alarms before the runs that have a fuel time."""
    plan = habit(16)
    seen = read(reader, tmp_path, built(plan, mode=mode, day=SECOND_DAY))

    assert seen.keys() == {uid(s.id) for s in plan.sessions}
    assert seen[uid("w1-0")].alarms == (-45 * 60, -30 * 60)
    assert seen[uid("w1-1")].alarms == (-30 * 60,)
    assert seen[uid("w1-5")].alarms == ()


@pytest.mark.parametrize("reader", READERS)
def test_a_plan_without_sessions_is_a_calendar_all_the_same(reader: Reader, tmp_path: Path):
    """A paused client. RFC 5545 section 3.6 wants one component at least: the time zone stays."""
    assert read(reader, tmp_path, built(plan_of())) == {}


@pytest.mark.parametrize("reader", READERS)
def test_feeds_of_other_years_are_read_in_one_process(reader: Reader, tmp_path: Path):
    """A program keeps one definition for a zone: whichever feed it reads first, each is right."""
    days = (date(2026, 10, 26), date(2027, 3, 29), date(2031, 7, 7))
    files, expected = [], []
    for number, day in enumerate((*days, *reversed(days))):
        files.append(tmp_path / f"{number}.ics")
        plan = plan_of(run_at(day, time(18, 30)), start=day)
        files[-1].write_bytes(built(plan, alarm_minutes=None))
        start = datetime.combine(day, time(18, 30), ZoneInfo("Europe/Lisbon")).astimezone(UTC)
        expected.append({uid("one"): Seen(start, start + timedelta(minutes=35), 0, ())})

    assert reader(files) == expected
