"""A run's own file: the page's reader, the coach's and a general library's say what is true."""

from __future__ import annotations

import base64
import json
import math
import random
import shutil
import subprocess
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

import run_files as made
from language_builder import make_renderer
from nightly import IS_NIGHTLY, by_night
from run_files import ODD, START, Part, Truth, gpx, moments, points, steady, track, truth
from sitegen.checkins.run_file import read_run_file, words_for
from sitegen.checkins.run_sum import Position, metres_between
from sitegen.portal.run_file import LIMITS, words_of

NODE = shutil.which("node")
HERE = Path(__file__).parent
LISBON = "Europe/Lisbon"
needs_node = pytest.mark.skipif(NODE is None, reason="Node runs the page's reader")


def read_here(data: bytes, zone: str = LISBON) -> dict[str, Any]:
    """As the coach's reader has it, in the page's shape."""
    runs, wrong = read_run_file(
        len(data), lambda start, end: data[start:end], lambda at: at.astimezone(ZoneInfo(zone))
    )
    told = {"wrong": wrong} if wrong else {"runs": [run._asdict() for run in runs]}
    return dict(json.loads(json.dumps(told)))


def read_there(files: Mapping[str, bytes], zone: str = LISBON, **more: Any) -> dict[str, Any]:
    """As the page's reader has them, in one process."""
    job = {
        "limits": LIMITS,
        "files": {name: base64.b64encode(data).decode() for name, data in files.items()},
        **more,
    }
    done = subprocess.run(
        [str(NODE), str(HERE / "js/runs.js"), zone],
        input=json.dumps(job), capture_output=True, text=True, check=True,
    )  # fmt: skip
    return dict(json.loads(done.stdout))


# --- sound files ------------------------------------------------------------------------------

SHAPES = {
    "a run": made.RUN,
    "a gap": made.WITH_GAP,
    "a stand": made.WITH_STAND,
    "two segments": made.WITH_SEGMENT,
    "run and walk": made.RUN_WALK,
    "sparse": made.RUN,
}
EVERY = {"sparse": 20.0}


def sound_files() -> dict[str, tuple[bytes, Truth]]:
    """Each shape in each form, with its truth."""
    found: dict[str, tuple[bytes, Truth]] = {}
    for name, parts in SHAPES.items():
        way, true = list(points(parts, EVERY.get(name, 1.0))), truth(parts)
        found[f"{name}: gpx"] = gpx(way), true
        found[f"{name}: one foot"] = gpx(way, foot=1, name="runCadence"), true
        found[f"{name}: prefixes"] = gpx(way, prefix="g"), true
        found[f"{name}: offset"] = gpx(way, zone="+05:30"), true
        found[f"{name}: bare"] = gpx(way, rated=False, elevation=False), true._replace(spm=None)
        if name != "two segments":  # a table has none
            found[f"{name}: csv"] = moments(way), true
            found[f"{name}: decimal comma"] = moments(way, ";", comma=True), true
            found[f"{name}: tabs"] = moments(way, "\t"), true
    for seed in range(20 if IS_NIGHTLY else 2):
        way = list(points(made.WITH_STAND))
        found[f"noise {seed}"] = gpx(way, jitter_m=0.3, seed=seed), truth(made.WITH_STAND)
    return found


SOUND = sound_files()


@pytest.fixture(scope="module")
def there() -> dict[str, Any]:
    """What the page's reader makes of all files."""
    files = {name: data for name, (data, _) in SOUND.items()} | ODD
    return dict(read_there(files)["found"])


@pytest.mark.parametrize("name", SOUND)
def test_the_truth_comes_back(name: str) -> None:
    data, true = SOUND[name]
    (run,) = read_here(data)["runs"]
    slack = 1 if "stand" not in name and "noise" not in name else 6  # a window at a stop's ends

    assert run["start"] == "2027-02-10T18:30:00"
    assert abs(run["moving_s"] - true.moving) <= slack
    assert run["elapsed_s"] == true.elapsed
    far = 0.06 if name.startswith("noise") else 0.003
    assert run["metres"] == pytest.approx(true.metres, rel=far)
    assert (run["spm"] is None) == (true.spm is None)
    if true.spm is not None:
        assert abs(run["spm"] - true.spm) <= 1
        assert run["steps"] == ("doubled" if "one foot" in name else "both")
    assert run["asks"] is None


@needs_node
def test_the_page_and_the_desk_say_the_same_of_every_file(there: dict[str, Any]) -> None:
    files = {name: data for name, (data, _) in SOUND.items()} | ODD
    assert len(files) > 100
    differ = {n: (there[n], mine) for n, d in files.items() if there[n] != (mine := read_here(d))}
    assert differ == {}


@needs_node
def test_slices_of_any_size_read_the_same(there: dict[str, Any]) -> None:
    """Cut anywhere: in a tag, in a letter of two bytes, between a carriage return and its feed."""
    names = ["a gap: prefixes", "two segments: one foot", "a run: csv", "two roots", "day or month"]
    few = {name: (ODD | {n: d for n, (d, _) in SOUND.items()})[name] for name in names}
    few["letters"] = track("<name>\u00e1\u00f1\U0001f3c3</name>", *steady(120, 2.8))
    few["comment"] = track("<!-- a-b ><gpx> -->", "<![CDATA[ <x> ]]>", "<?p q?>", *steady(120, 2.8))
    whole = read_there(few)["found"]
    for size in (1, 2, 7, 1000):
        cut = few if size > 2 else {n: d for n, d in few.items() if len(d) < 5000}
        assert read_there(cut, slice=size)["found"] == {name: whole[name] for name in cut}


MARKS = (
    b"<", b">", b'"', b"&", b";", b",", b"\n", b"\r", b"\xff", b"\x00", b"<!--", b"-->", b"]]>",
    b"<![CDATA[", b"&#65;", b"&#0;", b" xmlns:a=''", b"/", b" ", b"'", b"1", b"-", b"<?x", b"?>",
)  # fmt: skip


def damaged(count: int, seed: int) -> dict[str, bytes]:
    """Sound and odd files that were cut, or had marks put in, taken out or doubled."""
    chance = random.Random(seed)
    sound = [
        gpx(list(points(made.WITH_SEGMENT, 30))),
        moments(list(points(made.RUN, 60))),
        b"date;min;km;spm\n2027-02-10;31,5;5,2;82\n12/02/2027;40:10;6,1 km;166\n",
        b'fecha,tiempo,"distancia (km)"\n10/02/2027,1:02:03,"5,2"\n',
    ]
    odd = [data for data in ODD.values() if 0 < len(data) < 4000]
    files = {}
    for number in range(count):
        data = bytearray(chance.choice(sound if number % 2 else odd))
        for _ in range(chance.randint(1, 2)):
            at, other = chance.randrange(len(data) + 1), chance.randrange(len(data) + 1)
            match chance.choice(("cut", "put", "take", "double")):
                case "cut" if number % 4 == 0:
                    data = data[:at]
                case "put":
                    data[at:at] = chance.choice(MARKS)
                case "take":
                    data[at : at + chance.randint(1, 20)] = b""
                case "double":
                    data[at:at] = data[other : other + chance.randint(1, 80)]
        files[str(number)] = bytes(data)
    return files


@needs_node
@pytest.mark.parametrize("seed", range(20 if IS_NIGHTLY else 1))
def test_damaged_files_give_the_same_numbers_or_none_on_both_sides(seed: int) -> None:
    files = damaged(400, seed)
    there = read_there(files, slice=(3, 50, 100_000)[seed % 3])["found"]
    numbers = 0
    for name, data in files.items():
        mine = read_here(data)
        numbers += "runs" in mine
        if "wrong" in mine:
            assert "wrong" in there[name], data
        else:
            assert there[name] == mine, data
    assert 20 < numbers < 350


def test_a_general_library_reads_the_same_times_and_ways() -> None:
    """gpxpy 1.6: its own parser, its own distance (a sphere of 6,378 km, so 0.12 % more)."""
    gpxpy = pytest.importorskip("gpxpy", reason="gpxpy is not installed")
    looked_at = 0
    for name, (data, _) in SOUND.items():
        if data[:1] != b"<" or "prefixes" in name:  # which it does not read
            continue
        parsed = gpxpy.parse(data.decode())
        (run,) = read_here(data)["runs"]
        begin, end = parsed.get_time_bounds()
        assert run["elapsed_s"] == (end - begin).total_seconds(), name
        assert begin.astimezone(ZoneInfo(LISBON)).isoformat()[:19] == run["start"], name
        if not name.startswith("noise"):
            assert run["metres"] == pytest.approx(parsed.length_2d(), rel=0.005), name
        looked_at += 1
    assert looked_at > 25


# --- the great circle --------------------------------------------------------------------------

# Ed Williams, Aviation Formulary, worked example (from memory): Los Angeles N33 57 W118 24 to New
# York N40 38 W73 47 is 0.623585 radians. A quarter of the globe is a quarter of its girth.
LAX, JFK = Position(33.95, -118.4), Position(40 + 38 / 60, -(73 + 47 / 60))
WAYS = (
    (LAX, JFK, 0.623585),
    (Position(0, 0), Position(0, 90), math.pi / 2),
    (Position(0, 0), Position(90, 17), math.pi / 2),
    (Position(0, 179.5), Position(0, -179.5), math.pi / 180),
    (Position(38.7, -9.1), Position(38.7, -9.1), 0.0),
    (Position(10, 20), Position(-10, -160), math.pi),
)


def test_ways_along_the_great_circle_have_the_published_length() -> None:
    for one, other, radians in WAYS:
        assert metres_between(one, other) == pytest.approx(
            radians * 6371008.7714, rel=2e-6, abs=1e-6
        )


@needs_node
def test_the_page_measures_the_same_ways() -> None:
    ways = [[one._asdict(), other._asdict()] for one, other, _ in WAYS]
    for got, (one, other, _) in zip(read_there({}, ways=ways)["between"], WAYS, strict=True):
        assert got == pytest.approx(metres_between(one, other), rel=1e-12, abs=1e-6)


# --- days and clocks ---------------------------------------------------------------------------


def the_run(data: bytes, zone: str = LISBON) -> dict[str, Any]:
    (run,) = read_here(data, zone)["runs"]
    return dict(run)


def test_a_run_over_midnight_is_of_the_day_on_which_it_began() -> None:
    late = START.replace(hour=23, minute=50)
    run = the_run(gpx(list(points(made.RUN)), start=late))
    assert run["start"] == "2027-02-10T23:50:00"
    assert run["moving_s"] == 1200


@needs_node
def test_the_same_instant_is_another_day_elsewhere() -> None:
    data = gpx(list(points(made.RUN)), start=START.replace(hour=22))
    starts = {
        "Pacific/Auckland": "2027-02-11T11:00:00".replace("11:00", "11:30"),
        "America/Los_Angeles": "2027-02-10T14:30:00",
        "Asia/Kolkata": "2027-02-11T04:00:00",
    }
    for zone, start in starts.items():
        assert the_run(data, zone)["start"] == start
        assert read_there({"x": data}, zone)["found"]["x"]["runs"][0]["start"] == start


@needs_node
def test_the_change_to_summer_time_takes_no_minutes() -> None:
    """In Lisbon the clock goes from 01:00 to 02:00 on 28 March 2027; the run goes on."""
    start = START.replace(month=3, day=28, hour=0, minute=50)
    data = gpx(list(points(made.RUN)), start=start)
    run = the_run(data)
    assert run["start"] == "2027-03-28T00:50:00" and run["elapsed_s"] == 1200
    assert read_there({"x": data})["found"]["x"] == {"runs": [run]}


def test_without_a_zone_the_clock_is_taken_as_it_is_and_that_is_said() -> None:
    run = the_run(gpx(list(points(made.RUN)), zone=""), "Pacific/Auckland")
    assert run["start"] == "2027-02-10T18:30:00"
    assert run["notes"] == [{"code": "no-zone"}]


# --- points that don't fit ---------------------------------------------------------------------


def codes(run: Mapping[str, Any]) -> list[str]:
    return [note["code"] for note in run["notes"]]


def test_times_twice_and_backwards_are_left_out_and_counted() -> None:
    inside = steady(300, 2.8)
    inside[20:20] = [made.at(10, 99), made.at(95, 266)]
    run = the_run(track(*inside))
    assert run["moving_s"] == 300 and run["metres"] == 840
    assert run["notes"] == [{"code": "left-out", "count": 2}]


def test_a_leap_of_the_place_is_no_running() -> None:
    inside = steady(600, 2.8)
    inside[60] = made.at(300, 5000)
    run = the_run(track(*inside))
    assert run["metres"] == pytest.approx(1680, rel=0.02)
    assert run["notes"] == [{"code": "leaps", "count": 2}]


def test_tracks_in_any_order_and_one_twice_count_once() -> None:
    one, two = "".join(steady(300, 2.8)), "".join(steady(300, 3.0, begin=400))
    text = "".join(f"<trk><trkseg>{part}</trkseg></trk>" for part in (two, one, two))
    run = the_run(f"{made.HEAD}{text}</gpx>".encode())
    assert (run["start"], run["moving_s"], run["elapsed_s"]) == ("2027-02-10T18:30:00", 600, 700)
    assert codes(run) == ["overlap"]


def test_two_runs_of_a_file_are_two() -> None:
    parts = "</trkseg><trkseg>".join("".join(steady(600, 2.8, begin=b)) for b in (0, 90_000))
    first, second = read_here(track(parts))["runs"]
    assert (first["start"], second["start"]) == ("2027-02-10T18:30:00", "2027-02-11T19:30:00")
    assert first["moving_s"] == second["moving_s"] == 600


def test_a_long_way_without_points_is_counted_straight_and_said() -> None:
    run = the_run(track(made.at(0), *steady(600, 2.8, begin=0)[1:], made.at(900, 2520)))
    assert run["metres"] == 2520
    assert run["notes"] == [{"code": "gaps", "minutes": 5}]


def test_other_namespaces_and_none_are_read() -> None:
    inside = steady(120, 2.8)
    for head in (
        '<gpx version="1.1">',
        f'<gpx xmlns="{made.GPX[:-1]}0" version="1.0">',
        f'<gpx xmlns="{made.GPX.replace("http", "https")}">',
    ):
        assert the_run(track(*inside, head=head))["moving_s"] == 120
    strange = f'<gpx xmlns="{made.GPX}" xmlns:o="urn:o">'
    point = "<o:trkpt lat='9' lon='9'><o:time>2020-01-01T00:00:00Z</o:time></o:trkpt>"
    other = track(point, *inside, head=strange)
    assert the_run(other)["moving_s"] == 120


# --- one foot or both ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("spm", "speed", "foot", "steps", "told"),
    [
        (164, 2.8, 2, "both", 164),
        (164, 2.8, 1, "doubled", 164),
        (142, 2.0, 2, "both", 142),
        (144, 2.0, 1, "doubled", 144),
        (196, 5.0, 1, "doubled", 196),
        (110, 1.4, 2, "unclear", None),  # a walk, both feet
        (110, 1.4, 1, "unclear", None),  # a walk, one foot: 55
        (220, 1.9, 1, "unclear", None),  # 110 at a walk's speed
        (130, 2.2, 2, "unclear", None),  # between walking and running
    ],
)
def test_which_feet_are_counted_is_decided_by_where_walking_and_running_lie(
    spm: int, speed: float, foot: int, steps: str, told: int | None
) -> None:
    run = the_run(gpx(list(points([Part(600, speed, spm)])), foot=foot))
    assert (run["steps"], run["spm"]) == (steps, told)


def test_stops_and_walking_don_t_lower_the_step_rate_and_are_no_running() -> None:
    run = the_run(gpx(list(points(made.RUN_WALK)), foot=1))
    assert (run["spm"], run["running_s"], run["moving_s"]) == (162, 720, 1080)


# --- one row a run -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "date,minutes,km,spm\n2027-02-10,31.5,5.2,164\n",
        "fecha;duración;distancia (km);cadencia\n10/02/2027;31:30;5,2;164\n",
        "Fecha\tTiempo\tDistancia (m)\tPasos por minuto\n10/2/2027\t0:31:30\t5200\t82\n",
        'sep=;\r\n"Date";"Moving time";"Distance";"Cadence"\r\n'
        '"2027-02-10";"31:30";"5,2 km";"164 spm"\r\n',
        "date;duration_s;distance_mi;step rate\n2027-02-10;1890;3,2311;164\n",
        "cadence,note,distance (km),date,moving time (min)\n"
        '164,"a, b\n""c""",5.2,10.02.2027,31.5\n',
        "\ufeffdate;min;km;spm\n\n2027-02-11;;;\n2027-02-10;31,5;5.2;164\n",
    ],
)  # fmt: skip
def test_one_row_a_run_in_english_and_spanish(text: str) -> None:
    run = the_run(text.encode())
    assert run["start"] == "2027-02-10"
    assert (run["moving_s"], run["metres"], run["spm"]) == (1890, 5200, 164)


def test_text_of_windows_and_of_two_bytes_is_read() -> None:
    text = "fecha;duración (min);distancia (km)\n13/02/2027;31;5\n"
    for encoding in ("cp1252", "utf-16", "utf-8-sig"):
        assert the_run(text.encode(encoding))["moving_s"] == 1860


def test_a_day_that_is_sure_tells_how_the_others_are_written() -> None:
    runs = read_here(b"date;min\n03/02/2027;31\n14/02/2027;40\n")["runs"]
    assert [run["start"] for run in runs] == ["2027-02-03", "2027-02-14"]
    runs = read_here(b"date;min\n02/03/2027;31\n02/14/2027;40\n")["runs"]
    assert [run["start"] for run in runs] == ["2027-02-03", "2027-02-14"]


def test_seconds_alone_tell_no_day() -> None:
    rows = "".join(f"{n};{n * 2.8:.1f};164\n" for n in range(0, 601, 10))
    run = the_run(f"seconds;distance (m);spm\n{rows}".encode())
    assert (run["start"], run["moving_s"], run["metres"]) == (None, 600, 1680)
    assert codes(run) == ["no-day"]


def test_the_example_that_a_coach_hands_out_is_read() -> None:
    data = (HERE.parent / "docs/run-example.csv").read_bytes()
    runs = read_here(data)["runs"]
    assert len(runs) == 3 and not any(run["asks"] for run in runs)


# --- odd files, with the sentences -------------------------------------------------------------


def told_of(told: Mapping[str, Any]) -> Mapping[str, Any]:
    """Why there are no numbers."""
    if "wrong" in told:
        return dict(told["wrong"])
    (run,) = told["runs"]
    assert run["asks"] is not None, told
    return dict(run["asks"])


def test_each_odd_file_ends_in_its_sentence_in_both_languages() -> None:
    """The sentences stand in golden/run-files.txt, to be read."""
    renderer = make_renderer()
    lines = []
    for name, data in ODD.items():
        told = told_of(read_here(data))
        lines.append(name)
        for language in ("en", "es"):
            words = words_of(renderer.languages.catalogue(language).gettext)
            sentence = {**words["wrong"], **words["asks"]}[told["code"]]
            pace = (
                {"pace": f"{told['pace'] // 60}:{told['pace'] % 60:02}"} if "pace" in told else {}
            )
            lines.append(f"  {language}: {sentence.format(**{**told, **pace})}")
        assert lines[-2] == f"  en: {words_for(told)}"
    assert len(ODD) >= 40
    golden = (HERE / "golden/run-files.txt").read_text("utf-8")
    assert "\n".join([*lines, ""]) == golden


def test_every_sentence_but_three_has_its_odd_file() -> None:
    """`large` would be 64 MB, `unreadable` is the browser's; `long` in km is the same sentence."""
    seen = {told_of(read_here(data))["code"] for data in ODD.values()}
    words = words_of(str)
    assert {*words["wrong"], *words["asks"]} - seen == {"large", "unreadable"}


def test_a_file_that_is_too_large_is_not_even_opened() -> None:
    def slice(_start: int, _end: int) -> bytes:
        raise AssertionError("opened")

    _, wrong = read_run_file(64 * 1024 * 1024 + 1, slice, lambda at: at)
    assert wrong == {"code": "large", "most": 64}


@by_night
@needs_node
def test_fifty_megabytes_are_read_whole() -> None:
    """By day `benchmarks/run_file.py` says how long it takes."""
    parts = [Part(60, 2.8, 164)] * 80
    data = gpx(list(points(parts, every=0.0145)))
    assert len(data) > 50_000_000
    assert read_there({"x": data})["found"]["x"] == read_here(data)
    assert the_run(data)["moving_s"] == 4800


def test_nothing_of_a_place_leaves_the_reader() -> None:
    """A hundredth of a degree is a kilometre; no value of what comes out knows even that."""
    data = gpx(list(points(made.RUN)))
    assert b"38.7" in data and b"-9.14" in data
    text = json.dumps(read_here(data))
    assert "38.7" not in text and "9.14" not in text
