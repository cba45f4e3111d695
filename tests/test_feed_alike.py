"""Two feeds in one calendar program: one name of a zone, one definition, and the right language.

Independent of `zoneinfo` and of our own reading: the rules of clock changes by law, quoted from
memory.
"""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones

import pytest

from sitegen.feed.feed import feed
from sitegen.feed.timezone import defined_years, vtimezone
from sitegen.model.kinds.places import TIMEZONE
from support import case_of, plan_of

ZONES = ("Europe/Lisbon", "America/Santiago", "Africa/Casablanca", "America/New_York", "Asia/Tokyo")
MARA = (Path(__file__).parent / "cases/receive/clients/mara.yaml").read_text("utf-8")


def zone_block(data: bytes) -> bytes:
    (block,) = re.findall(rb"BEGIN:VTIMEZONE.*?END:VTIMEZONE", data, re.DOTALL)
    return bytes(block)


@pytest.mark.parametrize("zone", ZONES)
def test_plans_of_different_years_define_a_zone_alike(zone: str) -> None:
    years = [(2021, 2021), (2026, 2027), (2027, 2027), (2028, 2029), (2039, 2039)]
    found = {vtimezone(zone, *defined_years(*pair)) for pair in years}

    assert len(found) == 1
    first, last = defined_years(2027, 2027)
    assert (first, last) == (2020, 2039)
    assert defined_years(2039, 2041) == (2020, 2059) and defined_years(2041, 2041)[0] == 2040


def test_daylight_time_is_where_the_laws_of_ten_years_put_it() -> None:
    """Directive 2000/84/EC: the last Sundays of March and October, 01:00 UTC. Energy Policy Act of
    2005: the second Sunday of March and the first of November, 02:00 local time."""
    for year in range(2024, 2035):
        for zone, (month, nth), (end_month, end_nth), at in (
            ("Europe/Lisbon", (3, -1), (10, -1), 1), ("America/New_York", (3, 2), (11, 1), 7),
        ):  # fmt: skip
            for m, n, hour, shift in ((month, nth, at, 1), (end_month, end_nth, at, -1)):
                days = [date(year, m, d) for d in range(1, monthrange(year, m)[1] + 1)]
                sunday = [d for d in days if d.weekday() == 6][n if n < 0 else n - 1]
                hour -= 1 if zone == "America/New_York" and shift < 0 else 0  # 02:00 EDT is 06:00
                change = datetime(sunday.year, m, sunday.day, hour, tzinfo=UTC)
                before, after = (
                    (change + timedelta(seconds=s)).astimezone(ZoneInfo(zone)).utcoffset()
                    for s in (-1, 0)
                )
                assert before is not None and after is not None
                assert after - before == timedelta(hours=shift), (zone, change)
    text = vtimezone("America/New_York", 2020, 2039).decode()
    assert "RRULE:FREQ=YEARLY;BYDAY=2SU;BYMONTH=3" in text


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_feed_says_its_language(language: str) -> None:
    client = f"{MARA}\nlanguage: {language}\n"
    data = feed(case_of(client), plan_of(client), feed_id="f", mode="full").text
    assert f"PRODID:-//sitegen//running plan//{language.upper()}\r\n".encode() in data
    assert zone_block(data)


@pytest.mark.parametrize(
    "name", ["right/UTC", "posix/Europe/Lisbon", "right/Europe/Lisbon", "Factory", "localtime"]
)
def test_a_file_beside_the_zones_is_no_zone(name: str) -> None:
    with pytest.raises(Exception, match="time zone"):
        TIMEZONE.parse(name)


def test_every_zone_that_a_coach_can_name_is_taken() -> None:
    names = available_timezones() - {"Factory", "localtime"}
    assert len(names) > 400 and all(TIMEZONE.parse(name) == name for name in names)
