"""The VTIMEZONE: from the last line of a tz data file, and true for every year of a plan."""

from __future__ import annotations

import zoneinfo
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import pytest
from icalendar import Timezone

from nightly import IS_NIGHTLY
from sitegen.feed.timezone import YearlyDay, last_line, transitions, vtimezone, yearly_days

HOUR = timedelta(hours=1)
MINUTE = timedelta(minutes=1)
ODD = ("Africa/Casablanca", "America/Nuuk", "Asia/Gaza", "Australia/Lord_Howe", "Pacific/Chatham")


def lines(name: str, first: int = 2026, last: int = 2027) -> list[str]:
    return vtimezone(name, first, last).decode().splitlines()


# The rule


def test_a_rule_with_its_own_hours_is_read():
    """Lisbon. Source of the form: POSIX 2017, Base Definitions 8.3, TZ."""
    assert yearly_days("WET0WEST,M3.5.0/1,M10.5.0") == (
        YearlyDay(3, 5, 0, 1 * HOUR),
        YearlyDay(10, 5, 0, 2 * HOUR),
    )


def test_names_in_angle_brackets_and_half_hours_are_read():
    """Lord Howe moves by half an hour; the Chatham Islands change at 02:45."""
    assert yearly_days("<+1030>-10:30<+11>-11,M10.1.0,M4.1.0") == (
        YearlyDay(10, 1, 0, 2 * HOUR),
        YearlyDay(4, 1, 0, 2 * HOUR),
    )
    chatham = yearly_days("<+1245>-12:45<+1345>,M9.5.0/2:45,M4.1.0/3:45")
    assert chatham is not None
    assert [day.clock for day in chatham] == [2.75 * HOUR, 3.75 * HOUR]


def test_hours_past_midnight_and_before_it_are_read():
    """Nuuk changes on the evening before its rule's Sunday; Gaza two days after its Thursday."""
    nuuk = yearly_days("<-02>2<-01>,M3.5.0/-1,M10.5.0/0")
    gaza = yearly_days("EET-2EEST,M3.4.4/50,M10.4.4/50")
    assert nuuk is not None and gaza is not None
    assert nuuk[0].in_year(2026) == datetime(2026, 3, 28, 23)
    assert gaza[0].in_year(2026) == datetime(2026, 3, 28, 2)


@pytest.mark.parametrize(
    "rule", ["", "UTC0", "<+0545>-5:45", "EST5EDT", "EST5EDT,J60,J300", "EST5EDT,M3.2.0", "\x00"]
)
def test_a_rule_without_summer_time_or_of_another_form_is_none(rule: str):
    assert yearly_days(rule) is None


@pytest.mark.parametrize(
    ("day", "onset"),
    [
        (YearlyDay(3, 5, 0, HOUR), datetime(2026, 3, 29, 1)),  # a fifth Sunday
        (YearlyDay(10, 5, 0, HOUR), datetime(2026, 10, 25, 1)),  # the fourth is the last
        (YearlyDay(3, 2, 0, 2 * HOUR), datetime(2026, 3, 8, 2)),
        (YearlyDay(11, 1, 0, 2 * HOUR), datetime(2026, 11, 1, 2)),  # the first of the month
        (YearlyDay(2, 5, 0, HOUR), datetime(2027, 2, 28, 1)),
    ],
)
def test_the_day_of_a_change_is_found(day: YearlyDay, onset: datetime):
    """Days read from a wall calendar."""
    assert day.in_year(onset.year) == onset


def test_the_rule_is_the_last_line_of_the_file_that_zoneinfo_reads():
    assert yearly_days(last_line("Europe/Lisbon")) is not None
    assert last_line("Asia/Kathmandu") == "<+0545>-5:45"


def test_the_package_is_read_where_the_system_has_no_zones(monkeypatch: pytest.MonkeyPatch):
    system = last_line("Australia/Lord_Howe")
    monkeypatch.setattr(zoneinfo, "TZPATH", ())

    assert last_line("Australia/Lord_Howe") == system == "<+1030>-10:30<+11>-11,M10.1.0,M4.1.0"


@pytest.mark.parametrize("name", ["Europe/Nowhere", "../etc/passwd", "/etc/passwd", "Europe"])
def test_a_name_that_is_no_zone_opens_no_file(name: str):
    with pytest.raises((ZoneInfoNotFoundError, ValueError, OSError)):
        last_line(name)


# The component


def test_new_york_follows_its_rule():
    """Onsets and offsets as in the printed sample, RFC 5545 section 3.6.5: from 2007 on."""
    assert lines("America/New_York") == [
        "BEGIN:VTIMEZONE",
        "TZID:America/New_York",
        "BEGIN:DAYLIGHT",
        "DTSTART:20250309T020000",
        "TZOFFSETFROM:-0500",
        "TZOFFSETTO:-0400",
        "RRULE:FREQ=YEARLY;BYDAY=2SU;BYMONTH=3",
        "TZNAME:EDT",
        "END:DAYLIGHT",
        "BEGIN:STANDARD",
        "DTSTART:20251102T020000",
        "TZOFFSETFROM:-0400",
        "TZOFFSETTO:-0500",
        "RRULE:FREQ=YEARLY;BYDAY=1SU;BYMONTH=11",
        "TZNAME:EST",
        "END:STANDARD",
        "END:VTIMEZONE",
    ]


def test_lord_howe_moves_by_half_an_hour_in_southern_order():
    text = lines("Australia/Lord_Howe")

    assert text[2:4] == ["BEGIN:STANDARD", "DTSTART:20250406T020000"]
    assert text[4:6] == ["TZOFFSETFROM:+1100", "TZOFFSETTO:+1030"]
    assert text[9:11] == ["BEGIN:DAYLIGHT", "DTSTART:20251005T020000"]


@pytest.mark.parametrize(
    ("name", "offset"),
    [("Asia/Kathmandu", "+0545"), ("America/Phoenix", "-0700"), ("UTC", "+0000")],
)
def test_a_zone_without_summer_time_has_one_offset(name: str, offset: str):
    text = lines(name)

    assert text.count("BEGIN:STANDARD") == 1 and "BEGIN:DAYLIGHT" not in text
    assert f"TZOFFSETFROM:{offset}" in text and f"TZOFFSETTO:{offset}" in text
    assert not any(line.startswith("RRULE") for line in text)


def test_dublin_puts_the_clock_forward_in_summer_whatever_the_law_calls_it():
    """The tz data say that Irish standard time is in summer; the readers expect DAYLIGHT there."""
    text = lines("Europe/Dublin")
    summer = text[text.index("BEGIN:DAYLIGHT") : text.index("END:DAYLIGHT")]

    assert "TZNAME:IST" in summer and "TZOFFSETTO:+0100" in summer


def test_a_law_that_changed_in_the_years_of_the_plan_is_written_out():
    """Mexico City kept summer time for the last time in 2022."""
    text = lines("America/Mexico_City", 2022, 2023)

    assert [line for line in text if line.startswith("DTSTART")] == [
        "DTSTART:19700101T000000", "DTSTART:20220403T020000", "DTSTART:20221030T020000",
    ]  # fmt: skip
    assert not any(line.startswith("RRULE") for line in text)


def test_a_year_begins_with_the_time_that_its_december_left():
    """Casablanca: Ramadan of 2031 begins in December 2030; the year starts an hour back."""
    text = lines("Africa/Casablanca", 2031, 2031)

    first = text[text.index("DTSTART:19700101T000000") :]
    assert first[:3] == ["DTSTART:19700101T000000", "TZOFFSETFROM:+0000", "TZOFFSETTO:+0000"]


@pytest.mark.parametrize("name", ["America/Santiago", "Asia/Jerusalem", "America/Nuuk"])
def test_a_change_on_another_day_than_its_rules_is_written_out(name: str):
    assert not any(line.startswith("RRULE") for line in lines(name))


def test_every_zone_is_right_to_the_minute_at_each_change():
    """Against `zoneinfo`: a day of each month and the minutes beside every change of three years.

    By night every zone; by day each fifth, and those that change by half an hour, before midnight
    or by Ramadan.

    icalendar turns the VTIMEZONE back into a zone by itself; it is given no name to look up. Times
    that come twice or never are left out here; the feed writes none.
    """
    first, last = datetime(2025, 1, 1, tzinfo=UTC), datetime(2028, 1, 1, tzinfo=UTC)
    months = [datetime(y, m, 1, 12, tzinfo=UTC) for y in range(2025, 2028) for m in range(1, 13)]
    compared = 0
    every = sorted(zoneinfo.available_timezones())
    for name in every if IS_NIGHTLY else sorted({*every[::5], *ODD}):
        zone = ZoneInfo(name)
        moments = list(months)
        for change in transitions(zone, first, last):
            doubled = max(change.before - change.after, timedelta(0))
            moments += [change.at - doubled - MINUTE, change.at + doubled]
        text = vtimezone(name, 2025, 2027).replace(b"TZID:", b"TZID:Unknown/")
        read = Timezone.from_ical(text).to_tz(lookup_tzid=False)
        for moment in moments:
            wall = moment.astimezone(zone).replace(tzinfo=None)
            offset = wall.replace(tzinfo=read).utcoffset()
            assert offset == wall.replace(tzinfo=zone).utcoffset(), (name, wall)
            compared += 1
    assert compared > (15_000 if IS_NIGHTLY else 3_000)
