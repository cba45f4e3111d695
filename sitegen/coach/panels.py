"""Four small drawings of one client over the same weeks: minutes, pain, step rate, load.

Pure geometry in the drawing language of `sitegen.portal.chart`: lanes, one band, dots that are
full or hollow, and no colour that means anything by itself. All four share their time axis, so
that what stands under one another happened in the same week. Colours come by class name.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

from markupsafe import Markup, escape

from sitegen.coach.loads import load_of
from sitegen.model.case import Case
from sitegen.model.plan import Plan
from sitegen.portal.chart import Scale, date_ticks, spm_range, spm_ticks
from sitegen.portal.words import Words
from sitegen.rules.log import Logged

DAY = timedelta(days=1)
WEEK = timedelta(days=7)

PANEL_WIDTH, HEIGHT = 400, 132
LEFT, RIGHT, TOP, BOTTOM = 38, 396, 12, 104
LETTER = 14
MOST_DATES = 5
AFTER_WEEKS = 8  # drawn at most after the plan's end

PAIN_TICKS = (0, 2, 5, 10)
PAIN_TOP = 10
MINUTE_STEPS = (10, 20, 30, 60, 120, 240, 480)
LOAD_STEPS = (50, 100, 200, 500, 1000, 2000, 5000)
WORDS = Words()


@dataclass(frozen=True, slots=True)
class Panel:
    """One drawing, and the words under it that say how to read it."""

    name: str
    title: str
    how: str
    drawing: Markup


@dataclass(frozen=True, slots=True)
class Span:
    """The weeks drawn: the plan's, and those since it ended, up to today's."""

    first: date
    end: date  # the Monday after the last week
    as_of: date

    @property
    def mondays(self) -> tuple[date, ...]:
        weeks = (self.end - self.first).days // 7
        return tuple(self.first + WEEK * n for n in range(weeks))

    @property
    def days(self) -> Scale:
        return Scale(self.first.toordinal(), self.end.toordinal(), LEFT, RIGHT)

    def holds(self, day: date) -> bool:
        return self.first <= day < self.end


def span_of(plan: Plan) -> Span:
    """From the plan's first Monday to its end, or to this week if that is later."""
    first, end = plan.weeks[0].start, plan.weeks[-1].start + WEEK
    this_week = plan.as_of - DAY * plan.as_of.weekday() + WEEK
    return Span(first, max(end, min(this_week, end + WEEK * AFTER_WEEKS)), plan.as_of)


def panels(case: Case, plan: Plan, logged: Sequence[Logged]) -> tuple[Panel, ...]:
    """The four drawings; a kind of which nothing was logged is left out, but for the minutes."""
    span = span_of(plan)
    mine = [s for s in logged if span.holds(s.on)]
    drawn = (
        _minutes(case, plan, mine, span),
        _pain(mine, span),
        _rates(case, plan, mine, span),
        _loads(mine, span),
    )
    return tuple(panel for panel in drawn if panel is not None)


# --- the common ground ------------------------------------------------------------------------


def _draw(
    label: str, span: Span, ticks: Iterable[tuple[float, str]], parts: Iterable[str]
) -> Markup:
    ground = [
        f'<svg class="panel" viewBox="0 0 {PANEL_WIDTH} {HEIGHT}" role="img" '
        f'aria-label="{escape(label)}">'
    ]
    for y, words in ticks:
        ground.append(f'<path class="lane" d="M{LEFT} {y}H{RIGHT}"/>')
        ground.append(
            f'<text class="end" x="{LEFT - 6}" y="{y + LETTER * 0.35:.1f}">{words}</text>'
        )
    ground.append(f'<path class="axis" d="M{LEFT} {BOTTOM}H{RIGHT}"/>')
    days = span.days
    for monday in date_ticks(span.first, span.end - DAY, MOST_DATES):
        x = days(monday.toordinal())
        ground.append(f'<path class="axis" d="M{x} {BOTTOM}v5"/>')
        if x < RIGHT - LETTER * 2.4:
            words = escape(WORDS.day_month(monday))
            ground.append(f'<text x="{x}" y="{BOTTOM + LETTER + 8}">{words}</text>')
    if span.holds(span.as_of):
        x = days(span.as_of.toordinal() + 0.5)
        ground.append(
            f'<path class="today" d="M{x} {TOP - 8}V{BOTTOM}"><title>today</title></path>'
        )
    return Markup("".join([*ground, *parts, "</svg>"]))


def _scale(most: float, steps: Sequence[int]) -> tuple[Scale, tuple[int, ...]]:
    """From 0 to a round number over ``most``, and the round numbers on the way, three at most."""
    every = next((s for s in steps if most <= 3 * s), steps[-1])
    top = max(ceil(most / every), 1) * every
    return Scale(0, top, BOTTOM, TOP), tuple(range(0, top + 1, every))


def _dot(x: float, y: float, title: str, hollow: bool = False) -> str:
    kind = "dot hollow" if hollow else "dot"
    return (
        f'<circle class="{kind}" cx="{x}" cy="{y}" r="3.5"><title>{escape(title)}</title></circle>'
    )


# --- the four ---------------------------------------------------------------------------------


def _minutes(case: Case, plan: Plan, mine: Sequence[Logged], span: Span) -> Panel:
    """Planned: an open box a week. Done: a full bar inside it."""
    planned = {w.start: w.run_minutes for w in plan.weeks}
    done = {m: sum(s.minutes for s in mine if m <= s.on < m + WEEK) for m in span.mondays}
    up, ticks = _scale(max([*planned.values(), *done.values(), 1]), MINUTE_STEPS)
    days = span.days

    def parts() -> Iterator[str]:
        for monday in span.mondays:
            left, right = days(monday.toordinal()), days(monday.toordinal() + 7)
            wide = right - left
            plan_min, done_min = planned.get(monday, 0.0), done[monday]
            told = f"{WORDS.span(monday, 7)}: {plan_min:.0f} min planned"
            if monday <= span.as_of:
                told += f", {done_min:.0f} done"
            yield f"<g><title>{escape(told)}</title>"
            if done_min:
                y = up(done_min)
                x, w = round(left + wide * 0.28, 1), round(wide * 0.44, 1)
                yield f'<rect class="done" x="{x}" y="{y}" width="{w}" height="{BOTTOM - y:.1f}"/>'
            if plan_min:
                x, end, y = round(left + wide * 0.1, 1), round(right - wide * 0.1, 1), up(plan_min)
                yield f'<path class="planned" d="M{x} {BOTTOM}V{y}H{end}V{BOTTOM}"/>'
            yield "</g>"
        event = case.client.goal.event
        if event is not None and span.holds(event.on):
            yield _flag(days(event.on.toordinal() + 0.5), "event")

    label = "Minutes of running a week, planned and done. The table has the same numbers."
    how = "Open boxes are planned, full bars are done. The dotted line is today."
    drawing = _draw(label, span, [(up(t), str(t)) for t in ticks], parts())
    return Panel("minutes", "Minutes of running a week", how, drawing)


def _flag(x: float, word: str) -> str:
    """A line over the whole height with a word at its top, kept inside the drawing."""
    side = ' class="flag end"' if x > PANEL_WIDTH / 2 else ' class="flag"'
    at = x - 4 if x > PANEL_WIDTH / 2 else x + 4
    return (
        f'<path class="mark" d="M{x} {TOP - 8}V{BOTTOM}"/>'
        f'<text{side} x="{at:.1f}" y="{TOP + 3}">{escape(word)}</text>'
    )


def _pain(mine: Sequence[Logged], span: Span) -> Panel | None:
    """The worst in or after a session as a dot, the next morning as a ring; signs by name."""
    told = [s for s in mine if s.pain and s.pain.worst is not None]
    left_out = [s for s in mine if s.entry.skipped == "pain"]
    signed = [s for s in mine if s.entry.signs]
    if not (told or left_out or signed):
        return None
    up, days = Scale(0, PAIN_TOP, BOTTOM, TOP), span.days

    def parts() -> Iterator[str]:
        for session in signed:
            names = ", ".join(sign.replace("_", " ") for sign in session.entry.signs)
            yield _flag(days(session.on.toordinal() + 0.5), names)
        for session in told:
            pain, x = session.pain, days(session.on.toordinal() + 0.5)
            assert pain is not None
            day, worst, morning = WORDS.day(session.on), pain.session_worst, pain.next_morning
            if worst is not None and morning is not None:
                yield f'<path class="stalk" d="M{x} {up(worst)}V{up(morning)}"/>'
            if morning is not None:
                yield _dot(x, up(morning), f"{day}, next morning: {morning}/10", hollow=True)
            if worst is not None:
                yield _dot(x, up(worst), f"{day}: {worst}/10")
        for session in left_out:
            x, y = days(session.on.toordinal() + 0.5), up(0)
            title = escape(f"{WORDS.day(session.on)}: left out for pain")
            path = f"M{x - 4:.1f} {y - 4}l8 8m0 -8l-8 8"
            yield f'<path class="cross" d="{path}"><title>{title}</title></path>'

    label = f"Pain from 0 to 10 in {len(told)} sessions. The table of check-ins has the scores."
    how = "Dot: worst in or after the session. Ring: next morning. Cross: left out for pain."
    drawing = _draw(label, span, [(up(t), str(t)) for t in PAIN_TICKS], parts())
    return Panel("pain", "Pain, 0 to 10", how, drawing)


def _rates(case: Case, plan: Plan, mine: Sequence[Logged], span: Span) -> Panel | None:
    """Logged step rates over the planned band, as in the client's own portal."""
    logged = [(s.on, s.entry.cadence.spm) for s in mine if s.entry.cadence]
    heard = [
        (e.on, e.heard_spm, "; ".join(one.says for one in e.heard))
        for e in case.log
        if e.heard_spm and span.holds(e.on) and e.on <= plan.as_of
    ]
    if not logged and not heard:
        return None
    own = case.client.baseline.cadence.spm
    planned = [v for w in plan.weeks for v in (w.cadence.low, w.cadence.high)]
    low, high = spm_range([own, *planned, *(r for _, r in logged), *(r for _, r, _ in heard)])
    up, days = Scale(low, high, BOTTOM, TOP), span.days

    def parts() -> Iterator[str]:
        edges = [days(w.start.toordinal()) for w in plan.weeks]
        edges.append(days((plan.weeks[-1].start + WEEK).toordinal()))
        weeks = list(enumerate(plan.weeks))
        over = "".join(f"V{up(w.cadence.high)}H{edges[i + 1]}" for i, w in weeks)
        under = "".join(f"V{up(w.cadence.low)}H{edges[i]}" for i, w in reversed(weeks))
        yield f'<path class="band" d="M{edges[0]} {up(plan.weeks[0].cadence.low)}{over}{under}Z"/>'
        line = "".join(f"V{up(w.cadence.aim)}H{edges[i + 1]}" for i, w in weeks)
        yield f'<path class="aim" d="M{edges[0]} {up(plan.weeks[0].cadence.aim)}{line}"/>'
        title = f"<title>baseline {own}</title>"
        yield f'<path class="baseline" d="M{LEFT} {up(own)}H{RIGHT}">{title}</path>'
        for on, spm in logged:
            week = plan.week_of(on)
            inside = week is not None and week.cadence.low <= spm <= week.cadence.high
            title = f"{WORDS.day(on)}: {spm} steps a minute"
            yield _dot(days(on.toordinal() + 0.5), up(spm), title, hollow=not inside)
        for on, rate, says in heard:
            x, y = days(on.toordinal() + 0.5), up(rate)
            title = escape(f"{WORDS.day(on)}, heard by the phone: {says}")
            at = f"M{x} {y - 5:.1f}l5 5-5 5-5-5z"
            yield f'<path class="heard" d="{at}"><title>{title}</title></path>'

    label = f"Step rate of {len(logged)} runs over the planned band; baseline {own}."
    how = "Line: aim, with its band. Dashes: baseline. Dot: in the band; ring: outside it."
    how += " Lozenge: heard by the client's phone." if heard else ""
    ticks = [(up(t), str(t)) for t in spm_ticks(low, high, most=4)]
    return Panel("rate", "Steps a minute", how, _draw(label, span, ticks, parts()))


def _loads(mine: Sequence[Logged], span: Span) -> Panel | None:
    """Load of each day as a thin bar."""
    by_day: dict[date, float] = {}
    for session in mine:
        by_day[session.on] = by_day.get(session.on, 0.0) + (load_of(session) or 0.0)
    if not any(by_day.values()):
        return None
    up, ticks = _scale(max(by_day.values()), LOAD_STEPS)
    days = span.days

    def parts() -> Iterator[str]:
        wide = max(round((days.end - days.start) / (days.high - days.low) * 0.7, 1), 1.0)
        for day, load in by_day.items():
            if load:
                x, y = days(day.toordinal() + 0.5) - wide / 2, up(load)
                title = escape(f"{WORDS.day(day)}: load {load:.0f}")
                yield (
                    f'<rect class="done" x="{x:.1f}" y="{y}" width="{wide}" '
                    f'height="{BOTTOM - y:.1f}"><title>{title}</title></rect>'
                )

    label = "Load of each day, effort times minutes. The table has the weeks' sums."
    how = "Effort times minutes. A gap is rest, or a day of which nothing was told."
    return Panel(
        "load",
        "Session load a day",
        how,
        _draw(label, span, [(up(t), str(t)) for t in ticks], parts()),
    )
