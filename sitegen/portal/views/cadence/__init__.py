"""Cadence: logged step rates over the plan's, drawn and as a table, and what a change does.

Sources: Willson et al. 2014, Clin Biomech 29:243-247 (per step and per distance, both printed
there; neither follows from the other); Heiderscheit et al. 2011, Med Sci Sports Exerc
43(2):296-302 (direction); Anderson et al. 2022, Sports Med Open 8:112 (what is not shown).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from itertools import groupby
from typing import NamedTuple

from markupsafe import Markup

from sitegen.model.checkin import CheckIn
from sitegen.model.plan import Week
from sitegen.model.sentence import N_
from sitegen.model.values import METRES_PER_MILE
from sitegen.portal import chart
from sitegen.portal.scene import Scene, View
from sitegen.portal.views.weeks import LANDING_WORDS
from sitegen.portal.words import Words, tied
from sitegen.rules import cadence

METRES_PER_FOOT = 0.3048  # exactly: international yard and pound agreement of 1959


class ToldRate(NamedTuple):
    """One step rate that was told; ``landing`` is how the feet sounded, empty if nobody said."""

    day: date
    spm: int
    landing: str


class RateRow(NamedTuple):
    """A week's step rates in words: the middle one, the lowest to the highest, the plan's band."""

    span: str
    middle: str
    spread: str
    band: str
    place: str


class HeardRow(NamedTuple):
    """One listening check in words: step rates, and quieter and beat against usual; empty where
    nothing was heard or claimed. Only what stands in one row may be compared."""

    day: str
    usual: str
    quieter: str
    quieter_by: str
    beat: str
    beat_by: str


class OwnNumbers(NamedTuple):
    """The client's own steps at their baseline pace, before and at the plan's end; arithmetic.

    Lengths with their unit, steps over one kilometre or mile in tens. Without a change of the
    step rate ``length_aim`` and ``steps_aim`` are empty; without a pace all but ``shorter`` are.
    """

    pace: str
    unit: str
    length: str
    length_aim: str
    steps: str
    steps_aim: str
    shorter: str


class CadenceView(NamedTuple):
    baseline: int
    ceiling: int
    first: int
    last: int
    keeps: bool
    wide: Markup
    phone: Markup
    rows: tuple[RateRow, ...]
    own: OwnNumbers | None
    axis_from: int
    is_folded: bool  # the table is drawn when it is opened
    heard: tuple[HeardRow, ...]


def build(scene: Scene) -> CadenceView:
    words, _ = scene.words, scene.words.gettext
    baseline = scene.case.client.baseline.cadence.spm
    ceiling = cadence.ceiling(baseline)
    weeks = scene.plan.weeks
    logged = [e for e in sorted(scene.case.log, key=lambda e: e.on) if e.cadence]
    landings = (_(LANDING_WORDS[e.landing]) if e.landing else "" for e in logged)
    rates = [
        ToldRate(e.on, e.cadence.spm, landing)
        for e, landing in zip(logged, landings, strict=True)
        if e.cadence
    ]
    told = [(monday, list(week)) for monday, week in groupby(rates, key=_monday)]
    rows = tuple(_row(monday, week, scene) for monday, week in told)
    first = weeks[0].cadence.aim if weeks else baseline
    last = weeks[-1].cadence.aim if weeks else baseline
    heard = [e for e in sorted(scene.case.log, key=lambda e: e.on) if e.heard]
    wide = phone = Markup("")
    axis_from = 0
    event = scene.case.client.goal.event
    if weeks:
        points = tuple(_point(monday, week, scene) for monday, week in told)
        steps = tuple(
            chart.AimStep(w.start, w.cadence.low, w.cadence.aim, w.cadence.high) for w in weeks
        )
        description = _(
            "Planned: {first} steps a minute in the first week, {last} in the last. "
            "Baseline {baseline}, ceiling {ceiling}. Runs logged: {count}."
        ).format(first=first, last=last, baseline=baseline, ceiling=ceiling, count=len(rates))
        drawing = chart.Chart(
            title=_("Steps a minute, planned and logged"),
            description=description,
            points=points,
            steps=steps,
            baseline=baseline,
            ceiling=ceiling,
            baseline_label=_("baseline {spm}").format(spm=baseline),
            ceiling_label=_("ceiling {spm}").format(spm=ceiling),
            aim_label=_("aim {spm}").format(spm=last),
            unit_label=_("steps a minute"),
            today_label=_("Today").lower(),
            event=event.on if event else None,
            event_label=_("event"),
            heard=tuple(_heard_point(entry, scene) for entry in heard if entry.heard_spm),
        )
        wide = chart.draw(drawing, chart.WIDE, words.day_month)
        phone = chart.draw(drawing, chart.PHONE, words.day_month)
        axis_from = chart.axis_of(drawing)[0]
    return CadenceView(
        baseline, ceiling, first, last, first == last == baseline,
        wide, phone, rows, _own_numbers(scene, baseline, last), axis_from, scene.are_apart,
        tuple(_heard_row(entry, words) for entry in heard),
    )  # fmt: skip


def _monday(rate: ToldRate) -> date:
    return rate.day - timedelta(rate.day.weekday())


def _row(monday: date, week: Sequence[ToldRate], scene: Scene) -> RateRow:
    words, plan = scene.words, scene.week_of(week[0].day.isoformat())
    rates = [rate.spm for rate in week]
    middle = _middle(rates)
    return RateRow(
        words.span(monday, 7),
        words.number(middle),
        str(rates[0]) if min(rates) == max(rates) else f"{min(rates)}–{max(rates)}",
        f"{plan.cadence.low}–{plan.cadence.high}" if plan else "",
        where(middle, plan, words.gettext) if plan else "",
    )


def _middle(rates: Sequence[int]) -> float:
    """The median; `statistics` would be loaded for this alone, with all its fractions."""
    ordered, half = sorted(rates), len(rates) // 2
    return (ordered[half] + ordered[-half - 1]) / 2


def _point(monday: date, week: Sequence[ToldRate], scene: Scene) -> chart.Point:
    """A week's median, its lowest and highest run."""
    words, _ = scene.words, scene.words.gettext
    rates = [rate.spm for rate in week]
    middle, low, high = _middle(rates), min(rates), max(rates)
    if len(week) == 1:
        said = [_("{day}: {spm} steps a minute").format(day=words.day(week[0].day), spm=rates[0])]
    else:
        said = [
            _("{span}: {spm} steps a minute, the middle of {count} runs").format(
                span=words.span(monday, 7), count=len(week), spm=words.number(middle)
            ),
            _("{low} to {high}").format(low=low, high=high),
        ]
    plan = scene.week_of(week[0].day.isoformat())
    if plan:
        said.append(where(middle, plan, _))
    if len(week) == 1 and week[0].landing:
        said.append(_("landing {landing}").format(landing=week[0].landing))
    is_inside = bool(plan and plan.cadence.low <= middle <= plan.cadence.high)
    on = week[0].day if len(week) == 1 else monday + timedelta(days=3)
    return chart.Point(on, middle, is_inside, ", ".join(said), low, high)


def _heard_point(entry: CheckIn, scene: Scene) -> chart.HeardPoint:
    words, rate = scene.words, entry.heard_spm or 0.0
    said = words.gettext("{day}: {spm} steps a minute, heard by the phone").format(
        day=words.day(entry.on), spm=words.number(rate, 0)
    )
    return chart.HeardPoint(entry.on, rate, said)


def _heard_row(entry: CheckIn, words: Words) -> HeardRow:
    by_part = {one.part: one for one in entry.heard}

    def rate(name: str) -> str:
        one = by_part.get(name)
        return str(one.spm.spm) if one and one.spm else ""

    def against(name: str) -> str:
        one = by_part.get(name)
        if one is None or one.difference_db is None:
            return ""
        sign = "−" if one.difference_db < 0 else "+" if one.difference_db > 0 else ""
        return tied(f"{sign}{words.number(abs(one.difference_db))} dB")

    usual = entry.heard_spm
    return HeardRow(
        words.day(entry.on), "" if usual is None else words.number(usual, 0),
        rate("quieter"), against("quieter"), rate("beat"), against("beat"),
    )  # fmt: skip


def where(spm: float, week: Week, _: Callable[[str], str]) -> str:
    """Where a step rate stands to a week's band, in words."""
    if week.cadence.low <= spm <= week.cadence.high:
        return _("in the band")
    return _("above") if spm > week.cadence.high else _("below")


def _own_numbers(scene: Scene, baseline: int, aim: int) -> OwnNumbers | None:
    words, pace = scene.words, scene.case.client.baseline.pace
    shorter = "" if aim == baseline else words.percent(round(100 - 100 * baseline / aim, 1))
    if pace is None:
        return OwnNumbers("", "", "", "", "", "", shorter) if shorter else None
    is_mile = words.units == "mi"
    minutes = pace.seconds_per_km / 60
    metres = 1000 / (minutes * baseline)  # one step, at the baseline's speed
    of_step = _step_in_feet if is_mile else _step_in_metres
    along = minutes * (METRES_PER_MILE / 1000 if is_mile else 1.0)
    return OwnNumbers(
        pace=words.pace(pace),
        unit=words.gettext("mile") if is_mile else words.gettext("kilometre"),
        length=of_step(metres, words),
        length_aim=of_step(metres * baseline / aim, words) if shorter else "",
        steps=words.number(round(baseline * along, -1), 0),
        steps_aim=words.number(round(aim * along, -1), 0) if shorter else "",
        shorter=shorter,
    )


def _step_in_metres(metres: float, words: Words) -> str:
    return tied(f"{words.number(metres * 100, 0)} cm")


def _step_in_feet(metres: float, words: Words) -> str:
    return tied(f"{words.number(metres / METRES_PER_FOOT)} ft")


VIEW = View("cadence", N_("Cadence"), N_("Cadence: your steps a minute"), build)
