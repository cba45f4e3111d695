"""The VTIMEZONE against a referee with other data and another reader: ICU, as Node carries it.

ICU builds its own copy of the tz data and has its own code for it (icu.unicode.org, "Time Zone
Data"; Node's ``process.versions.tz`` names the edition). Python's `zoneinfo`, of which the feed is
made, has no part in what stands on the referee's side.

Zones are those whose law has stood for years, since the two editions may differ by one. Where a
law changes, this turns red until both know it, and that is as it should be.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from datetime import UTC, datetime, timedelta

import pytest
from icalendar import Timezone

from sitegen.feed.timezone import vtimezone

NODE = shutil.which("node")
FIRST, LAST = 2026, 2036
ZONES = (
    "Europe/Lisbon", "Europe/London", "Europe/Madrid", "Europe/Dublin", "America/New_York",
    "America/Los_Angeles", "America/Sao_Paulo", "America/Bogota", "Australia/Sydney",
    "Australia/Lord_Howe", "Pacific/Auckland", "Pacific/Chatham", "Asia/Kathmandu", "Asia/Tokyo",
)  # fmt: skip

# For each zone: the offset, in minutes, at noon UTC of each day on which it differs from that of
# the day before, with the minute of the change in between, found by halving.
ASK = """
const [zones, first, last] = JSON.parse(process.argv[1]);
const MINUTE = 60_000, DAY = 1440 * MINUTE;
const told = {};
for (const zone of zones) {
    const format = new Intl.DateTimeFormat("en-GB", { timeZone: zone, timeZoneName: "longOffset" });
    const offset = (at) => {
        const text = format.formatToParts(at).find((part) => part.type === "timeZoneName").value;
        const [, sign, hours, minutes] = /^GMT(?:([+-])(\\d\\d):(\\d\\d))?$/.exec(text);
        return sign ? Number(`${sign}1`) * (60 * Number(hours) + Number(minutes)) : 0;
    };
    const changes = [];
    let before = offset(Date.UTC(first, 0, 1, 12));
    told[zone] = { start: before, changes };
    for (let noon = Date.UTC(first, 0, 2, 12); noon < Date.UTC(last + 1, 0, 1); noon += DAY) {
        const after = offset(noon);
        if (after === before) continue;
        let [low, high] = [noon - DAY, noon];
        while (high - low > MINUTE) {
            const middle = low + Math.floor((high - low) / 2 / MINUTE) * MINUTE;
            if (offset(middle) === before) low = middle; else high = middle;
        }
        changes.push([high / MINUTE, before, after]);
        before = after;
    }
}
console.log(JSON.stringify(told));
"""


@pytest.mark.skipif(NODE is None, reason="Node carries the referee")
def test_each_zone_changes_when_and_by_what_the_referee_says() -> None:
    asked = [str(NODE), "-e", ASK, json.dumps([ZONES, FIRST, LAST])]
    done = subprocess.run(asked, capture_output=True, text=True, check=True)
    told = json.loads(done.stdout)
    minute = timedelta(minutes=1)
    compared = 0
    for name in ZONES:
        text = vtimezone(name, FIRST, LAST).replace(b"TZID:", b"TZID:Unknown/")
        read = Timezone.from_ical(text).to_tz(lookup_tzid=False)
        expected = [(datetime(FIRST, 1, 1, 12), told[name]["start"])]
        for at, before, after in told[name]["changes"]:
            change = datetime.fromtimestamp(at * 60, UTC).replace(tzinfo=None)
            doubled = max(before - after, 0)  # minutes that come twice say nothing
            expected += [
                (change + (before - doubled - 1) * minute, before),
                (change + (after + doubled) * minute, after),
                (change + timedelta(days=30), after),
            ]
        for wall, offset in expected:
            assert wall.replace(tzinfo=read).utcoffset() == offset * minute, (name, wall)
            compared += 1
    assert compared > 400
    assert {name for name in ZONES if not told[name]["changes"]} == {
        "America/Sao_Paulo", "America/Bogota", "Asia/Kathmandu", "Asia/Tokyo",
    }  # fmt: skip
