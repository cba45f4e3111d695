"""Files of runs with known truth, and odd ones. Nothing here leans on the readers.

Ways go along a meridian, where a metre is a share of a degree whatever else is right, on a sphere
with the mean radius of the Geodetic Reference System 1980 (Moritz 2000).
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

METRES_A_DEGREE = 6371008.7714 * math.pi / 180
START = datetime(2027, 2, 10, 18, 30, tzinfo=UTC)
GPX = "http://www.topografix.com/GPX/1/1"


class Part(NamedTuple):
    """Seconds at one speed (m/s), with a step rate of both feet; how a pause shows in the file."""

    seconds: int
    speed: float
    spm: int = 0
    pause: str = ""  # gap: no points; stand: points that stay; segment: a new one


class Point(NamedTuple):
    at: float  # seconds from the start
    metres: float
    spm: int
    breaks: bool = False


class Truth(NamedTuple):
    moving: float
    elapsed: float
    metres: float
    spm: float | None


RUN = (Part(600, 2.8, 164), Part(600, 3.0, 168))
WITH_GAP = (Part(300, 2.8, 164), Part(240, 0, 0, "gap"), Part(300, 2.8, 164))
WITH_STAND = (Part(300, 2.8, 164), Part(120, 0, 0, "stand"), Part(300, 2.8, 164))
WITH_SEGMENT = (Part(300, 2.8, 164), Part(600, 0, 0, "segment"), Part(300, 2.8, 164))
RUN_WALK = tuple(part for _ in range(6) for part in (Part(120, 2.6, 162), Part(60, 1.3, 110)))


def points(parts: Sequence[Part], every: float = 1.0, from_s: float = 0.0) -> Iterator[Point]:
    """Points of a way that only goes on, one each ``every`` seconds."""
    now, metres = from_s, 0.0
    yield Point(now, metres, 0)
    breaks = False
    for part in parts:
        if part.pause in ("gap", "segment"):
            now += part.seconds
            breaks = part.pause == "segment"
            if breaks:
                yield Point(now, metres, 0, True)
            continue
        left = float(part.seconds)
        while left > 0:
            step = min(every, left)
            now, metres, left = now + step, metres + part.speed * step, left - step
            yield Point(now, metres, part.spm)


def truth(parts: Sequence[Part]) -> Truth:
    running = [p for p in parts if p.spm >= 140]
    seconds = sum(p.seconds for p in running)
    return Truth(
        sum(p.seconds for p in parts if not p.pause),
        sum(p.seconds for p in parts),
        sum(p.seconds * p.speed for p in parts),
        sum(p.seconds * p.spm for p in running) / seconds if seconds else None,
    )


def clock(seconds: float, zone: str = "Z", start: datetime = START) -> str:
    """A time stamp as GPX writes it, or with an offset, or with none."""
    when = start + timedelta(seconds=seconds)
    if zone and zone != "Z":
        away = int(zone[:3]) * 60 + int(zone[0] + zone[4:])
        when += timedelta(minutes=away)
    text = when.replace(tzinfo=None).isoformat(timespec="milliseconds")
    return f"{text.removesuffix('.000')}{zone}"


def gpx(
    found: Sequence[Point],
    *,
    foot: int = 2,
    zone: str = "Z",
    prefix: str = "",
    name: str = "cad",
    jitter_m: float = 0.0,
    seed: int = 1,
    start: datetime = START,
    rated: bool = True,
    elevation: bool = True,
) -> bytes:
    """A track northwards. ``foot`` is 1 where steps of one foot are counted."""
    chance = random.Random(seed)
    p = f"{prefix}:" if prefix else ""
    binds = f"xmlns:{prefix}" if prefix else "xmlns"
    out = [
        f'<?xml version="1.0" encoding="UTF-8"?>\n<{p}gpx {binds}="{GPX}" version="1.1" '
        f'creator="a test" xmlns:x="urn:example:steps"><{p}trk><{p}trkseg>'
    ]
    for one in found:
        if one.breaks:
            out.append(f"</{p}trkseg><{p}trkseg>")
        lat = 38.7 + (one.metres + chance.gauss(0, jitter_m)) / METRES_A_DEGREE
        lon = -9.14 + chance.gauss(0, jitter_m) / METRES_A_DEGREE
        rate = one.spm if foot == 2 else one.spm / 2
        more = f"<{p}ele>12.5</{p}ele>" if elevation else ""
        more += f"<{p}time>{clock(one.at, zone, start)}</{p}time>"
        if rated:
            more += f"<{p}extensions><x:more><x:{name}>{rate:g}</x:{name}></x:more></{p}extensions>"
        out.append(f'<{p}trkpt lat="{lat:.8f}" lon="{lon:.8f}">{more}</{p}trkpt>')
    return "\n".join([*out, f"</{p}trkseg></{p}trk></{p}gpx>\n"]).encode()


def moments(found: Sequence[Point], separator: str = ",", comma: bool = False) -> bytes:
    """The same as a table of times and metres from the start."""
    rows = [separator.join(("time", "distance (m)", "cadence"))]
    for one in found:
        far = f"{one.metres:.2f}"
        rows.append(separator.join((clock(one.at), far.replace(".", ",") if comma else far,
                                    str(one.spm))))  # fmt: skip
    return "\r\n".join([*rows, ""]).encode()


# --- odd files ---------------------------------------------------------------------------------

HEAD = f'<gpx xmlns="{GPX}" version="1.1" creator="t">'


def track(*inside: str, head: str = HEAD) -> bytes:
    lines = "\n".join(inside)
    return f"{head}\n<trk><trkseg>\n{lines}\n</trkseg></trk></gpx>".encode()


def at(seconds: float, metres: float = 0.0, more: str = "", start: datetime = START) -> str:
    lat = 38.7 + metres / METRES_A_DEGREE
    time = clock(seconds, start=start)
    return f'<trkpt lat="{lat:.7f}" lon="-9.14"><time>{time}</time>{more}</trkpt>'


def steady(seconds: int, speed: float, every: int = 5, begin: int = 0) -> list[str]:
    return [at(begin + n, n * speed) for n in range(0, seconds + 1, every)]


MANY = "".join(f"<trkseg>{at(n * 9)}</trkseg>" for n in range(10_001))
LAUGHS = "".join(
    f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' if n else '<!ENTITY l0 "lol">' for n in range(10)
)
MANY_NAMES = [f"a{n}='1'" for n in range(5000)]
PREFIXES = [
    "<a " + " ".join(f"xmlns:p{n}x{depth}='u'" for n in range(90)) + ">" for depth in range(90)
]
RUNS_OF_A_YEAR = "date;min\n" + "2027-01-01;30\n" * 401

ODD: dict[str, bytes] = {
    "empty": b"",
    "white space": b" \n\n\t ",
    "zip": b"PK\x03\x04" + bytes(40),
    "gzip": b"\x1f\x8b\x08" + bytes(40),
    "a device's own form": bytes([14, 16, 87, 8, 1, 2, 3, 4]) + bytes(60),
    "JSON": b'{"track": []}',
    "web page": b"<!DOCTYPE html><html><body>Log in</body></html>",
    "web page without a type": b"<html><body>Log in</body></html>",
    "other XML": b'<?xml version="1.0"?><places><place/></places>',
    "another GPX": b'<gpx xmlns="http://www.topografix.com/GPX/2/0"></gpx>',
    "cut off in a tag": track(*steady(120, 2.8))[:700],
    "cut off between tags": track(*steady(120, 2.8)).removesuffix(b"</trkseg></trk></gpx>"),
    "a tag closed by another": track("<trkpt></trkseg>"),
    "an attribute twice": track('<trkpt lat="1" lat="2" lon="3"/>'),
    "an attribute without quotes": track("<trkpt lat=1 lon=2/>"),
    "an unknown prefix": track("<q:x/>"),
    "an unknown entity": track("<trkpt>&nbsp;</trkpt>"),
    "an entity named as what every object has": track("<trkpt>&constructor;</trkpt>"),
    "an encoding so named": b'<?xml version="1.0" encoding="constructor"?>' + track(),
    "a unit so named": b"date;min;distance constructor\n2027-02-10;;5\n",
    "thousands of attributes": track(f"<trkpt {' '.join(MANY_NAMES)} lat=1 />"),
    "prefixes by the thousand, deep": track(*PREFIXES, *("<b xmlns:q='u'/>" for _ in range(2000))),
    "a bare ampersand": track("<name>Hill & dale</name>"),
    "two roots": track(*steady(120, 2.8)) + b"<gpx/>",
    "words after the end": track(*steady(120, 2.8)) + b"the end",
    "a control character": track("<name>\x0b</name>"),
    "nested 200 deep": track("<a>" * 200 + "</a>" * 200),
    "billion laughs": f"<!DOCTYPE gpx [{LAUGHS}]>".encode() + track("<name>&l9;</name>"),
    "external type": b'<!DOCTYPE gpx SYSTEM "https://example.org/gpx.dtd">' + track(),
    "external entity": b'<!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/passwd">]>'
    + track("<name>&x;</name>"),
    "an unknown encoding": b'<?xml version="1.0" encoding="EBCDIC-CP-US"?>' + track(),
    "bytes that are no UTF-8": track("<name>\u00f1</name>").replace("\u00f1".encode(), b"\xf1"),
    "only a route": f"{HEAD}<rte><rtept lat='1' lon='2'/></rte></gpx>".encode(),
    "an empty track": track(),
    "no times": track('<trkpt lat="38.7" lon="-9"/>' * 3),
    "times that are none": track('<trkpt lat="38.7" lon="-9"><time>noon</time></trkpt>' * 3),
    "no places": track("<trkpt><time>2027-02-10T18:30:00Z</time></trkpt>" * 3),
    "places off the globe": track(
        '<trkpt lat="91" lon="0"><time>2027-02-10T18:30:00Z</time></trkpt>'
    ),
    "backwards": track(*[at(600 - n, n) for n in range(0, 600, 60)]),
    "the same time throughout": track(*[at(0, n) for n in range(9)]),
    "one point": track(at(0)),
    "half a minute": track(*steady(30, 2.8)),
    "standing still": track(*steady(600, 0.0)),
    "too many pieces": f"{HEAD}<trk>{MANY}</trk></gpx>".encode(),
    "a ride": track(*steady(600, 7.5)),
    "a drive home": track(*steady(600, 2.8), *steady(120, 11.0, begin=605)),
    "a swim": track(*steady(600, 0.7)),
    "over a day": track(*steady(90_000, 2.0, every=500)),
    "no columns": b"Monday, a fine day\nran far\n",
    "no minutes": b"date;km\n2027-02-10;5\n",
    "a column twice": b"date;min;minutes\n2027-02-10;31;32\n",
    "no rows": b"date;min\n",
    "only rest days": b"date;min;km\n2027-02-10;;\n",
    "no day": b"date;min\nyesterday;31\n",
    "a day that is not": b"date;min\n2027-02-30;31\n",
    "day or month": b"date;min\n03/02/2027;31\n",
    "no clock": b"date;start;min\n2027-02-10;evening;31\n",
    "no duration": b"date;min\n2027-02-10;long\n",
    "a duration without a unit": b"date;duration\n2027-02-10;31\n",
    "no distance": b"date;min;km\n2027-02-10;31;far\n",
    "a distance without a unit": b"date;min;distance\n2027-02-10;31;5\n",
    "no step rate": b"date;min;spm\n2027-02-10;31;quick\n",
    "a place that is none": b"time,lat,lon\n2027-02-10T18:30:00Z,north,west\n",
    "a quotation mark left open": b'date;min;note\n2027-02-10;31;"fine\n',
    "a quotation mark too many": b'date;min\n"2027-02-10"x;31\n',
    "more runs than a year has": RUNS_OF_A_YEAR.encode(),
}
"""Files that give no numbers."""
