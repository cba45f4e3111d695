"""Cadence: logged step rates over the plan's, drawn and as a table, and what a change does.

Sources: Willson et al. 2014, Clin Biomech 29:243-247 (per step and per distance, both printed
there; neither follows from the other); Heiderscheit et al. 2011, Med Sci Sports Exerc
43(2):296-302 (direction); Anderson et al. 2022, Sports Med Open 8:112 (what is not shown).
"""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from markupsafe import Markup

from sitegen.model.checkin import CheckIn
from sitegen.model.plan import Week
from sitegen.model.sentence import N_
from sitegen.portal import chart
from sitegen.portal.scene import Scene, View
from sitegen.rules import cadence

LANDING_WORDS = {"quiet": N_("quiet"), "mixed": N_("mixed"), "loud": N_("loud")}


class RateRow(NamedTuple):
    on: str
    day: date
    spm: int
    band: str
    place: str
    landing: str


class StepCount(NamedTuple):
    """Steps over one kilometre or mile at the baseline pace, in tens; plain arithmetic."""

    pace: str
    unit: str
    at_baseline: str
    aim: int
    at_aim: str


class CadenceView(NamedTuple):
    baseline: int
    ceiling: int
    first: int
    last: int
    keeps: bool
    wide: Markup
    phone: Markup
    rows: tuple[RateRow, ...]
    steps: StepCount | None
    axis_from: int


def build(scene: Scene) -> CadenceView:
    words, _ = scene.words, scene.words.gettext
    baseline = scene.case.client.baseline.cadence.spm
    ceiling = cadence.ceiling(baseline)
    weeks = scene.plan.weeks
    logged = [e for e in sorted(scene.case.log, key=lambda e: e.on) if e.cadence]
    rows = tuple(_row(e, scene.week_of(e.on.isoformat()), scene) for e in logged)
    first = weeks[0].cadence.aim if weeks else baseline
    last = weeks[-1].cadence.aim if weeks else baseline
    wide = phone = Markup("")
    axis_from = 0
    if weeks:
        points = tuple(_point(row, scene) for row in rows)
        steps = tuple(
            chart.AimStep(w.start, w.cadence.low, w.cadence.aim, w.cadence.high) for w in weeks
        )
        description = _(
            "Planned: {first} steps a minute in the first week, {last} in the last. "
            "Baseline {baseline}, ceiling {ceiling}. Runs logged: {count}."
        ).format(first=first, last=last, baseline=baseline, ceiling=ceiling, count=len(points))
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
        )
        wide = chart.draw(drawing, chart.WIDE, words.day_month)
        phone = chart.draw(drawing, chart.PHONE, words.day_month)
        values = [baseline, ceiling, *(p.spm for p in points)]
        axis_from = chart.spm_range(values + [v for s in steps for v in (s.low, s.high)])[0]
    return CadenceView(
        baseline, ceiling, first, last, first == last == baseline,
        wide, phone, rows, _step_count(scene, baseline, last), axis_from,
    )  # fmt: skip


def _row(entry: CheckIn, week: Week | None, scene: Scene) -> RateRow:
    assert entry.cadence is not None
    _ = scene.words.gettext
    spm, band, place = entry.cadence.spm, "", ""
    if week:
        low, high = week.cadence.low, week.cadence.high
        band = f"{low}–{high}"
        place = _("in the band") if low <= spm <= high else _("above") if spm > high else _("below")
    landing = _(LANDING_WORDS[entry.landing]) if entry.landing else ""
    return RateRow(scene.words.day(entry.on), entry.on, spm, band, place, landing)


def _point(row: RateRow, scene: Scene) -> chart.Point:
    _ = scene.words.gettext
    said = [_("{day}: {spm} steps a minute").format(day=row.on, spm=row.spm)]
    if row.place:
        said.append(row.place)
    if row.landing:
        said.append(_("landing {landing}").format(landing=row.landing))
    week = scene.week_of(row.day.isoformat())
    inside = bool(week and week.cadence.low <= row.spm <= week.cadence.high)
    return chart.Point(row.day, row.spm, inside, ", ".join(said))


def _step_count(scene: Scene, baseline: int, aim: int) -> StepCount | None:
    pace = scene.case.client.baseline.pace
    if pace is None or aim == baseline:
        return None
    words = scene.words
    minutes = pace.seconds_per_km / 60 * (1.609344 if words.units == "mi" else 1.0)
    return StepCount(
        pace=words.pace(pace),
        unit=words.gettext("mile") if words.units == "mi" else words.gettext("kilometre"),
        at_baseline=words.number(round(baseline * minutes, -1), 0),
        aim=aim,
        at_aim=words.number(round(aim * minutes, -1), 0),
    )


VIEW = View("cadence", N_("Cadence"), N_("Cadence: your steps a minute"), build)
