"""The cadence chart: logged step rates over the planned steps. Pure geometry, no clock.

Drawn twice, for a wide page and for a phone, since a drawing that only shrinks has letters that
nobody can read. Colours come from the style sheet through class names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date, timedelta
from itertools import groupby, pairwise
from math import ceil, floor
from typing import NamedTuple

from markupsafe import Markup, escape

LETTER_WIDTH = 0.65  # of its height, on average: our own estimate for bold system fonts


class Point(NamedTuple):
    """Step rates of one week: their median, from the lowest run to the highest.

    ``label`` is what a screen reader says.
    """

    on: date
    spm: float
    inside: bool
    label: str
    low: float
    high: float


class HeardPoint(NamedTuple):
    """A step rate that a phone heard in a check; ``label`` is what a screen reader says."""

    on: date
    spm: float
    label: str


class AimStep(NamedTuple):
    """The planned step rate of one week."""

    start: date
    low: int
    aim: int
    high: int


class Chart(NamedTuple):
    """What is drawn. Texts come in already translated; steps are one a week, without gaps."""

    title: str
    description: str
    points: tuple[Point, ...]
    steps: tuple[AimStep, ...]
    baseline: int
    ceiling: int
    baseline_label: str
    ceiling_label: str
    aim_label: str
    unit_label: str
    today_label: str = ""
    event: date | None = None
    event_label: str = ""
    heard: tuple[HeardPoint, ...] = ()


class Frame(NamedTuple):
    """A drawing's size and margins, in its own units. ``letter`` is the height of its text."""

    name: str
    width: int
    height: int
    left: int
    right: int
    top: int
    bottom: int
    letter: int
    most_dates: int
    labels_outside: bool


WIDE = Frame("wide", 720, 300, 44, 104, 26, 34, 13, 12, True)
PHONE = Frame("phone", 400, 300, 40, 12, 28, 36, 15, 5, False)


class Scale(NamedTuple):
    """A straight line from values to places on the drawing."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return round(self.start + share * (self.end - self.start), 1)


def with_room(frame: Frame, labels: Iterable[str]) -> Frame:
    """The frame with a right margin that holds the longest label, where they stand outside."""
    if not frame.labels_outside:
        return frame
    longest = max(map(len, labels)) * frame.letter * LETTER_WIDTH
    return frame._replace(right=max(frame.right, ceil(longest) + 10))


def spm_range(values: Iterable[float], step: int = 5) -> tuple[int, int]:
    """Whole steps of the axis around all values, with some air above and below."""
    known = list(values)
    low = floor((min(known) - 2) / step) * step
    high = ceil((max(known) + 2) / step) * step
    return low, high


def axis_of(chart: Chart) -> tuple[int, int]:
    """From where to where a chart's step rates go."""
    values = [chart.baseline, chart.ceiling, *(v for p in chart.points for v in (p.low, p.high))]
    values += [v for s in chart.steps for v in (s.low, s.high)]
    return spm_range([*values, *(p.spm for p in chart.heard)])


def spm_ticks(low: int, high: int, most: int = 7) -> tuple[int, ...]:
    """Round step rates from low to high, in spm, at most ``most`` of them."""
    every = next((s for s in (5, 10, 20, 50) if (high - low) / s < most), 100)
    first = ceil(low / every) * every
    return tuple(range(first, high + 1, every))


def date_ticks(first: date, last: date, most: int, apart: int = 1) -> tuple[date, ...]:
    """Mondays, evenly and at least ``apart`` weeks apart, at most ``most`` of them."""
    monday = first + timedelta(days=-first.weekday() % 7)
    weeks = max(0, (last - monday).days // 7) + 1
    every = max(ceil(weeks / most), apart)
    return tuple(monday + timedelta(weeks=n) for n in range(0, weeks, every))


def apart(wanted: Sequence[float], gap: float) -> list[float]:
    """The places nearest to those wanted that keep ``gap`` between neighbours; same order."""
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    placed = list(wanted)
    for _ in range(len(wanted) * 4):
        moved = False
        for above, below in pairwise(order):
            missing = gap - (placed[below] - placed[above])
            if missing > 0.01:
                placed[above] -= missing / 2
                placed[below] += missing / 2
                moved = True
        if not moved:
            break
    return [round(p, 1) for p in placed]


def draw(chart: Chart, frame: Frame, day_words: Callable[[date], str]) -> Markup:
    """The chart as an SVG element.

    Raises:
        ValueError: A chart without a single planned step; a developer's slip.
    """
    if not chart.steps:
        raise ValueError("a chart needs at least one planned week")
    frame = with_room(frame, (chart.baseline_label, chart.ceiling_label, chart.aim_label))
    told = [*(p.on for p in chart.points), *(p.on for p in chart.heard)]
    first = min([chart.steps[0].start, *told])
    end = max(
        [
            chart.steps[-1].start + timedelta(days=7),
            *(on + timedelta(days=1) for on in told),
        ]
    )
    low, high = axis_of(chart)
    right, bottom = frame.width - frame.right, frame.height - frame.bottom
    days = Scale(first.toordinal(), end.toordinal(), frame.left, right)
    rates = Scale(low, high, bottom, frame.top)

    parts = [
        f'<svg class="chart {frame.name}" viewBox="0 0 {frame.width} {frame.height}" role="group" '
        f'aria-labelledby="chart-{frame.name}-title chart-{frame.name}-about">',
        f'<title id="chart-{frame.name}-title">{escape(chart.title)}</title>',
        f'<desc id="chart-{frame.name}-about">{escape(chart.description)}</desc>',
        '<g aria-hidden="true">',
        *_axes(chart, frame, days, rates, (first, end), day_words),
        *_plan(chart, days, rates),
        *_lines(chart, frame, rates),
        *_days(chart, frame, days, (first, end)),
        *_names(chart, frame, rates),  # last, so that no day's line cuts through them
        "</g>",
        *_points(chart.points, days, rates),
        *_heard(chart.heard, days, rates),
        "</svg>",
    ]
    return Markup("".join(parts))


def _axes(
    chart: Chart,
    frame: Frame,
    days: Scale,
    rates: Scale,
    span: tuple[date, date],
    day_words: Callable[[date], str],
) -> Iterable[str]:
    right, bottom = frame.width - frame.right, frame.height - frame.bottom
    for spm in spm_ticks(int(rates.low), int(rates.high)):
        y = rates(spm)
        yield f'<path class="lane" d="M{frame.left} {y}H{right}"/>'
        at = f'x="{frame.left - 7}" y="{y + frame.letter * 0.35:.1f}"'
        yield f'<text class="tick end" {at}>{spm}</text>'
    yield f'<path class="axis" d="M{frame.left} {bottom}H{right}"/>'
    yield f'<text class="tick" x="0" y="{frame.letter - 2}">{escape(chart.unit_label)}</text>'
    mondays = date_ticks(span[0], span[1] - timedelta(days=1), (span[1] - span[0]).days)
    label = max((len(day_words(m)) for m in mondays), default=0) * frame.letter * LETTER_WIDTH
    a_week = (right - frame.left) * 7 / (span[1] - span[0]).days
    weeks_apart = ceil((label + frame.letter * 0.6) / a_week)
    for monday in date_ticks(span[0], span[1] - timedelta(days=1), frame.most_dates, weeks_apart):
        x = days(monday.toordinal())
        yield f'<path class="axis" d="M{x} {bottom}v5"/>'
        if x + label <= frame.width:
            words = escape(day_words(monday))
            yield f'<text class="tick" x="{x}" y="{bottom + frame.letter + 9}">{words}</text>'


def _plan(chart: Chart, days: Scale, rates: Scale) -> Iterable[str]:
    """The band as one shape, the aim as one stepped line; a step that stays is drawn on."""
    runs = [tuple(same) for _, same in groupby(chart.steps, key=lambda s: s[1:])]
    steps = [same[0] for same in runs]
    edges = [days(s.start.toordinal()) for s in steps]
    edges.append(days((chart.steps[-1].start + timedelta(days=7)).toordinal()))
    top = "".join(f"V{rates(s.high):g}H{edges[i + 1]:g}" for i, s in enumerate(steps))
    under = "".join(f"V{rates(s.low):g}H{edges[i]:g}" for i, s in reversed(list(enumerate(steps))))
    yield f'<path class="band" d="M{edges[0]:g} {rates(steps[0].low):g}{top}{under}Z"/>'
    line = "".join(f"V{rates(s.aim):g}H{edges[i + 1]:g}" for i, s in enumerate(steps))
    yield f'<path class="aim" d="M{edges[0]:g} {rates(steps[0].aim):g}{line}"/>'


def _lines(chart: Chart, frame: Frame, rates: Scale) -> Iterable[str]:
    right = frame.width - frame.right
    for name, spm in (("ceiling", chart.ceiling), ("baseline", chart.baseline)):
        yield f'<path class="{name}" d="M{frame.left} {rates(spm)}H{right}"/>'


def _names(chart: Chart, frame: Frame, rates: Scale) -> Iterable[str]:
    """What each line across is: beside the drawing, or in it on a phone."""
    right = frame.width - frame.right
    if frame.labels_outside:
        named = (
            ("ceiling", chart.ceiling, chart.ceiling_label),
            ("baseline", chart.baseline, chart.baseline_label),
            ("aim", chart.steps[-1].aim, chart.aim_label),
        )
        places = apart([rates(spm) for _, spm, _ in named], frame.letter + 3)
        for (name, _, label), y in zip(named, places, strict=True):
            at = y + frame.letter * 0.35
            yield f'<text class="label {name}" x="{right + 8}" y="{at:.1f}">{escape(label)}</text>'
    else:
        above, below = rates(chart.ceiling) - 6, rates(chart.baseline) + frame.letter + 3
        yield (
            f'<text class="label ceiling" x="{frame.left + 4}" y="{above:.1f}">'
            f"{escape(chart.ceiling_label)}</text>"
            f'<text class="label baseline end" x="{right - 6}" y="{below:.1f}">'
            f"{escape(chart.baseline_label)}</text>"
        )


def _days(chart: Chart, frame: Frame, days: Scale, span: tuple[date, date]) -> Iterable[str]:
    """The event, and today, which only the browser knows and then puts where it belongs."""
    top, bottom = frame.top - 4, frame.height - frame.bottom
    event_words = ""
    if chart.event and span[0] <= chart.event < span[1]:
        x = days(chart.event.toordinal() + 0.5)
        yield f'<path class="event-day" d="M{x} {top}V{bottom}"/>'
        event_words = (
            f'<text class="label end" x="{x - 4}" y="{bottom - 10 - frame.letter}">'
            f"{escape(chart.event_label)}</text>"
        )
    if chart.today_label:
        across = f"{span[0]} {(span[1] - span[0]).days} {days.start} {days.end}"
        yield (
            f'<g display="none" data-today="{across}"><path class="today" d="M0 {top}V{bottom}"/>'
            f'<text class="label" x="4" y="{bottom - 6}">{escape(chart.today_label)}</text></g>'
        )
    yield event_words  # last, so that today's line does not cross them


def _points(points: Iterable[Point], days: Scale, rates: Scale) -> Iterable[str]:
    """Filled within the band, hollow outside it, with the spread; an unseen disc takes a thumb.

    A dot is small enough that those of a year stand side by side.
    """
    a_week = (days.end - days.start) * 7 / (days.high - days.low)
    radius = round(max(2.2, min(4.5, a_week * 0.42)), 1)
    for p in points:
        x, y = days(p.on.toordinal() + 0.5), rates(p.spm)
        name = "point" if p.inside else "point outside"
        low, high = (round(rates(end) - y, 1) for end in (p.low, p.high))
        spread = f'<path class="spread" d="M0 {low:g}V{high:g}"/>' if p.low < p.high else ""
        yield (
            f'<g class="{name}" transform="translate({x:g} {y:g})" role="img" tabindex="0" '
            f'aria-label="{escape(p.label)}">{spread}'
            f'<circle class="reach" r="12"/><circle class="dot" r="{radius:g}"/></g>'
        )


def _heard(points: Iterable[HeardPoint], days: Scale, rates: Scale) -> Iterable[str]:
    """A lozenge each: what a phone heard is no run's own step rate."""
    for p in points:
        x, y = days(p.on.toordinal() + 0.5), rates(p.spm)
        yield (
            f'<g class="point" role="img" tabindex="0" aria-label="{escape(p.label)}">'
            f'<circle class="reach" cx="{x}" cy="{y}" r="12"/>'
            f'<path class="heard" d="M{x} {round(y - 6, 1)}l6 6-6 6-6-6z"/></g>'
        )
