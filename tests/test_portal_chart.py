"""The cadence chart's geometry: where things stand, and that the drawing tells no lie."""

from __future__ import annotations

import re
from datetime import date, timedelta
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from sitegen.portal.chart import (
    PHONE,
    WIDE,
    AimStep,
    Chart,
    Frame,
    Point,
    Scale,
    apart,
    date_ticks,
    draw,
    spm_range,
    spm_ticks,
)
from sitegen.rules.cadence import ceiling

MONDAY = date(2027, 1, 18)
SVG = "{http://www.w3.org/2000/svg}"


def chart_of(points: tuple[Point, ...] = (), aims: tuple[int, ...] = (158, 158, 162)) -> Chart:
    steps = tuple(
        AimStep(MONDAY + timedelta(weeks=n), aim - 4, aim, aim + 4) for n, aim in enumerate(aims)
    )
    return Chart(
        "Steps", "What is drawn", points, steps, 158, 173,
        "baseline 158", "ceiling 173", "aim 162", "steps a minute",
    )  # fmt: skip


def drawn(chart: Chart, frame: Frame = WIDE) -> ElementTree.Element:
    text = str(draw(chart, frame, lambda day: f"{day:%d %b}"))
    return ElementTree.fromstring(text.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" '))


def numbers(path: str) -> list[float]:
    return [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", path)]


def points_of(svg: ElementTree.Element) -> list[ElementTree.Element]:
    return [g for g in svg.iter(f"{SVG}g") if g.attrib.get("class", "").startswith("point")]


def place_of(point: ElementTree.Element) -> tuple[float, float]:
    x, y = numbers(point.attrib["transform"])
    return x, y


def test_a_tenth_above_158_leaves_173_whole_steps():
    """158 × 1.1 is 173.8; the ceiling is never rounded up over it."""
    assert [ceiling(b) for b in (150, 158, 160, 170)] == [165, 173, 176, 187]


def test_a_scale_maps_its_ends_to_its_places_and_halves_to_the_middle():
    scale = Scale(150, 170, 300, 100)

    assert (scale(150), scale(160), scale(170)) == (300, 200, 100)


@pytest.mark.parametrize(
    ("values", "expected"), [([158, 173], (155, 175)), ([160], (155, 165)), ([101, 239], (95, 245))]
)
def test_the_axis_has_air_above_and_below(values: list[int], expected: tuple[int, int]):
    assert spm_range(values) == expected


def test_ticks_are_round_and_few():
    assert spm_ticks(150, 175) == (150, 155, 160, 165, 170, 175)
    assert spm_ticks(95, 245) == (100, 150, 200)


def test_date_ticks_are_mondays_evenly_apart():
    ticks = date_ticks(date(2027, 1, 20), date(2027, 5, 2), most=5)

    assert all(day.weekday() == 0 for day in ticks)
    assert len({(b - a).days for a, b in pairwise(ticks)}) == 1
    assert len(ticks) <= 5


@pytest.mark.parametrize("frame", [WIDE, PHONE], ids=lambda f: f.name)
@pytest.mark.parametrize("weeks", range(4, 53))
def test_the_days_under_the_chart_never_touch_each_other(frame: Frame, weeks: int):
    aims = tuple(158 + n % 3 for n in range(weeks))
    svg = drawn(chart_of(aims=aims), frame)
    bottom = f"{frame.height - frame.bottom + frame.letter + 9}"
    days = [t for t in svg.iter(f"{SVG}text") if t.attrib["y"] == bottom]
    letter = frame.letter * 0.6  # a digit's width in common fonts is about 0.55 of its height
    ends = [(float(t.attrib["x"]), len(t.text or "") * letter) for t in days]

    assert len(days) >= 2
    for (x, width), (after, _) in pairwise(ends):
        assert x + width < after
    assert ends[-1][0] + ends[-1][1] <= frame.width


def test_labels_that_would_overlap_move_apart_and_keep_their_order():
    placed = apart([100, 104, 180], gap=16)

    assert placed[1] - placed[0] == pytest.approx(16, abs=0.1)
    assert placed[2] == 180
    assert placed == sorted(placed)


@pytest.mark.parametrize("frame", [WIDE, PHONE], ids=lambda f: f.name)
def test_the_plan_is_a_band_with_the_aim_inside_and_a_step_where_it_changes(frame: Frame):
    svg = drawn(chart_of(), frame)
    aim = svg.find(f".//{SVG}path[@class='aim']")

    assert aim is not None
    heights = [float(y) for y in re.findall(r"V(-?[\d.]+)", aim.attrib["d"])]
    assert len(heights) == 2  # the first two weeks are alike
    assert heights[0] > heights[1]  # up the page is more steps
    ends = [float(x) for x in re.findall(r"H(-?[\d.]+)", aim.attrib["d"])]
    start = numbers(aim.attrib["d"])[0]
    assert (ends[0] - start) / (ends[1] - start) == pytest.approx(2 / 3, abs=0.01)


@pytest.mark.parametrize("frame", [WIDE, PHONE], ids=lambda f: f.name)
def test_no_days_line_is_drawn_over_a_name(frame: Frame):
    text = str(draw(chart_of()._replace(today_label="Today"), frame, str))
    assert 0 < text.index("data-today") < text.index('class="label ceiling')
    assert text.index("data-today") < text.index('class="label baseline')


@pytest.mark.parametrize("frame", [WIDE, PHONE], ids=lambda f: f.name)
def test_everything_stays_within_the_drawing(frame: Frame):
    points = tuple(
        Point(MONDAY + timedelta(days=d), spm, True, "x", spm - 2, spm)
        for d, spm in ((0, 120), (40, 210))
    )
    svg = drawn(chart_of(points), frame)

    places = [place_of(point) for point in points_of(svg)]
    assert len(places) == 2
    for x, y in places:
        assert frame.left <= x <= frame.width - frame.right
        assert frame.top <= y <= frame.height - frame.bottom
    for text in svg.iter(f"{SVG}text"):
        assert 0 <= float(text.attrib["y"]) <= frame.height


def test_a_point_on_the_ceiling_stands_on_the_line_of_the_ceiling():
    svg = drawn(chart_of((Point(MONDAY, 173, False, "high", 173, 173),)))
    line = svg.find(f".//{SVG}path[@class='ceiling']")
    [point] = points_of(svg)

    assert line is not None
    assert numbers(line.attrib["d"])[1] == place_of(point)[1]


def test_the_spread_of_a_week_reaches_from_its_lowest_to_its_highest_run():
    svg = drawn(chart_of((Point(MONDAY, 160, True, "week", 158, 173),)))
    spread = svg.find(f".//{SVG}path[@class='spread']")
    lines = [svg.find(f".//{SVG}path[@class='{name}']") for name in ("baseline", "ceiling")]

    [point] = points_of(svg)
    assert spread is not None
    ends = [place_of(point)[1] + y for y in numbers(spread.attrib["d"])[1:]]
    assert ends == pytest.approx(
        [numbers(line.attrib["d"])[1] for line in lines if line is not None], abs=0.05
    )


def test_the_dots_of_fifty_weeks_stand_side_by_side_and_those_of_a_few_are_large():
    def radii_and_gap(weeks: int, frame: Frame) -> tuple[set[float], float]:
        mondays = [MONDAY + timedelta(weeks=n) for n in range(weeks)]
        points = tuple(Point(on, 160, True, "week", 160, 160) for on in mondays)
        svg = drawn(chart_of(points, (158,) * weeks), frame)
        places = [place_of(point)[0] for point in points_of(svg)]
        dots = svg.iter(f"{SVG}circle")
        radii = {float(d.attrib["r"]) for d in dots if d.attrib["class"] == "dot"}
        return radii, min(b - a for a, b in pairwise(places))

    [few] = radii_and_gap(6, PHONE)[0]
    [many], gap = radii_and_gap(50, PHONE)
    assert few == 4.5
    assert 2 <= many < few and 2 * many <= gap
    assert radii_and_gap(50, WIDE)[0] == {4.5}


def test_todays_line_does_not_cross_the_word_event():
    chart = chart_of()._replace(today_label="today", event=MONDAY, event_label="event")
    text = str(draw(chart, PHONE, str))

    assert text.index('class="event-day"') < text.index("data-today") < text.index(">event<")


def test_the_event_stands_on_its_day_and_today_is_left_to_the_browser():
    day = MONDAY + timedelta(days=10)
    chart = chart_of()._replace(today_label="today", event=day, event_label="event")
    svg = drawn(chart)
    event = svg.find(f".//{SVG}path[@class='event-day']")
    [today] = [g for g in svg.iter(f"{SVG}g") if "data-today" in g.attrib]

    first, days, left, right = today.attrib["data-today"].split()
    assert (first, days) == (MONDAY.isoformat(), "21") and today.attrib["display"] == "none"
    assert event is not None
    across = float(right) - float(left)
    assert numbers(event.attrib["d"])[0] == pytest.approx(float(left) + across * 10.5 / 21, abs=0.1)


def test_every_point_has_a_name_and_can_be_reached():
    points = tuple(
        Point(MONDAY + timedelta(days=d), 160, d < 3, f"day {d}", 160, 160) for d in range(5)
    )
    groups = [g for g in drawn(chart_of(points)).iter(f"{SVG}g") if "tabindex" in g.attrib]

    assert [g.attrib["aria-label"] for g in groups] == [f"day {d}" for d in range(5)]
    assert all(g.attrib["tabindex"] == "0" for g in groups)
    assert [g.attrib["class"] for g in groups] == ["point"] * 3 + ["point outside"] * 2


def test_two_drawings_share_no_id_and_name_themselves():
    ids = [
        e.attrib["id"]
        for f in (WIDE, PHONE)
        for e in drawn(chart_of(), f).iter()
        if "id" in e.attrib
    ]

    assert len(ids) == len(set(ids)) == 4


def test_a_name_with_markup_is_only_text():
    svg = draw(chart_of((Point(MONDAY, 160, True, '"><script>x</script>', 160, 160),)), WIDE, str)

    assert "<script" not in svg


def test_a_chart_without_a_week_is_a_slip():
    with pytest.raises(ValueError, match="at least one planned week"):
        draw(chart_of(aims=()), WIDE, str)
