"""Weeks: the whole plan, each week with its minutes drawn, its sessions in parts, its reasons.

The sessions drawn here are the only ones in the document: the view Now shows copies of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from markupsafe import Markup

from sitegen.care.sentences import LINE_EVENT_WAITS
from sitegen.model.checkin import CheckIn
from sitegen.model.client import Note
from sitegen.model.plan import Band, Decision, Week
from sitegen.model.sentence import N_
from sitegen.portal.qr import squares
from sitegen.portal.reasons import Source, deciding_first, reasons, source_as_read
from sitegen.portal.scene import Scene, View
from sitegen.portal.session import (
    SESSION_WORDS,
    Alike,
    Named,
    SessionView,
    facts_view,
    part_lines,
    session_view,
)
from sitegen.portal.stopped import StopNotice, stop_notice
from sitegen.portal.words import Words, tied
from sitegen.rules import cadence
from sitegen.rules.log import log_of

WEEK_WORDS = {
    "build": N_("building"),
    "ease": N_("easier"),
    "hold": N_("holding"),
    "back": N_("a step back"),
    "return": N_("coming back"),
    "taper": N_("freshening up"),
    "event": N_("event week"),
    "pause": N_("paused"),
}
SIGN_FACTS = {
    "chest_pain": N_("chest pain or pressure"),
    "fainting": N_("fainting or nearly so"),
    "breathless_at_rest": N_("breathless at rest"),
    "calf_swelling": N_("a calf swollen or hot on one side"),
    "swelling": N_("swelling"),
    "limp": N_("a limp"),
    "night_pain": N_("pain at night or at rest"),
    "locking": N_("a joint that locks"),
    "giving_way": N_("a joint that gives way"),
    "bone_point_pain": N_("pain on one spot of a bone"),
    "near_fainting": N_("nearly fainting"),
    "breathless_out_of_proportion": N_("breathless out of proportion"),
    "heat_confusion": N_("confusion in heat"),
    "one_sided_weakness": N_("weakness or numbness on one side"),
    "worst_headache": N_("the worst headache"),
    "palpitations": N_("a racing or skipping heart"),
    "dark_urine": N_("dark urine"),
    "hot_joint": N_("a hot joint"),
    "cannot_bear_weight": N_("a leg that bears no weight"),
    "saddle_numbness": N_("numbness between the legs"),
    "coughing_blood": N_("coughing blood"),
    "cold_limb": N_("a limb that is cold, pale or numb"),
    "fever": N_("fever"),
    "chest_cold": N_("a cold on the chest"),
    "upset_stomach": N_("an upset stomach"),
}
LANDING_WORDS = {"quiet": N_("quiet"), "mixed": N_("mixed"), "loud": N_("loud")}
RATE_DAYS = 70  # how far back logged step rates count, as in the plan
SKIPPED_WORDS = {
    "ill": N_("skipped, ill"),
    "travel": N_("skipped, travelling"),
    "pain": N_("skipped, pain"),
    "time": N_("skipped, no time"),
    "other": N_("skipped"),
}


class ShownCheckIn(NamedTuple):
    """A check-in, as the week remembers it."""

    on: str
    facts: str
    said: str


class WeekTold(NamedTuple):
    """What was told of a week: ``minutes`` of running, and how the week went in one line."""

    minutes: float
    felt: str


class Bar(NamedTuple):
    """One run's place on the week's lane, in hundredths of the longest week."""

    x: float
    width: float
    hard: bool


class NoteView(NamedTuple):
    """A word of the coach's. ``text`` is drawn; ``read`` are texts of hers that go with it.

    One to many clients has a first and a last day, and ``dates`` in words; one for this client's
    week has none of them.
    """

    text: Markup
    read: tuple[Named, ...] = ()
    first: date | None = None
    last: date | None = None
    dates: str = ""


class WeekView(NamedTuple):
    number: int
    start: date
    end: date
    span: str
    kind: str
    kind_words: str
    minutes: str
    facts: str
    lanes: tuple[tuple[str, str], ...]  # easy and hard runs, as what a path draws
    sessions: tuple[SessionView, ...]
    notes: tuple[NoteView, ...]
    reasons: Markup
    told: tuple[ShownCheckIn, ...]
    ran: float  # in hundredths of the longest week, as a bar's width
    felt: str


class WeeksView(NamedTuple):
    """``qr`` is the private link in squares, empty where it is not known whole."""

    stop: StopNotice | None
    weeks: tuple[WeekView, ...]
    goal: str
    event: str
    sources: tuple[Source, ...]
    qr: str
    is_folded: bool  # weeks are drawn by the page's script: views/weeks/folded.js
    kinds: tuple[tuple[str, str], ...]  # sessions of the plan, as the calendar of months names them
    is_hard: bool  # some run of some week is


def build(scene: Scene) -> WeeksView:
    """The whole plan, ready to be drawn."""
    notes: dict[int, list[Note]] = {}
    for note in scene.case.client.notes:
        notes.setdefault(note.week, []).append(note)
    to_all = dated_notes(scene)
    told: dict[int, list[CheckIn]] = {}
    for entry in sorted(scene.case.log, key=lambda e: e.on):
        week = scene.week_of(entry.on.isoformat())
        if week:
            told.setdefault(week.number, []).append(entry)
    words = scene.words
    gone = {number: told_of_week(entries, words) for number, entries in told.items()}
    planned = [[s.run_minutes for s in w.sessions] for w in scene.plan.weeks]
    alike = Alike(
        max((*map(sum, planned), *(week.minutes for week in gone.values())), default=0.0),
        {} if stop_notice(scene) else {d.id: d.title for d in scene.drills},
        {d.id: d.cues for d in scene.drills if d.where == "on_the_run" and d.cues},
        scene.pens("views/weeks/facts.html", lambda facts: facts_view(facts, words)),
        scene.pens("views/weeks/parts.html", lambda parts: part_lines(parts, words)),
        scene.pens("views/weeks/drills.html", lambda named: named),
    )
    weeks = tuple(
        _week(
            week,
            minutes,
            scene,
            alike,
            notes_of_week(week, notes.get(week.number, ()), to_all, scene),
            told.get(week.number, ()),
            gone.get(week.number),
        )
        for week, minutes in zip(scene.plan.weeks, planned, strict=True)
    )
    sources = tuple(source_as_read(source, scene.words.gettext) for source in scene.sources)
    goal = scene.case.client.goal.text or ""
    qr = squares(scene.link) if scene.link and weeks else ""
    planned_kinds = dict.fromkeys(s.read_as for w in scene.plan.weeks for s in w.sessions)
    kinds = tuple((kind, words.gettext(SESSION_WORDS[kind])) for kind in planned_kinds)
    return WeeksView(
        stop_notice(scene), weeks, goal, event_line(scene), sources, qr, scene.are_apart, kinds,
        any(kind == "hard" for week in weeks for kind, _ in week.lanes),
    )  # fmt: skip


def _week(
    week: Week,
    minutes: Sequence[float],  # of running, session by session
    scene: Scene,
    alike: Alike,
    notes: tuple[NoteView, ...],
    told: Iterable[CheckIn],
    gone: WeekTold | None,
) -> WeekView:
    words = scene.words
    stopped_days = _stopped_days(week, scene)
    hards = (s.hard for s in week.sessions)
    drawn = bars(zip(minutes, hards, strict=True), alike.longest_week)
    easy, hard = (tuple(bar for bar in drawn if bar.hard == is_hard) for is_hard in (False, True))
    return WeekView(
        number=week.number,
        start=week.start,
        end=week.start + timedelta(days=6),
        span=words.span(week.start, 7),
        kind=week.kind,
        kind_words=words.gettext(WEEK_WORDS[week.kind]),
        minutes=words.number(sum(minutes), 0),
        facts=week_facts(week.cadence, minutes, words),
        lanes=tuple((kind, _path(some)) for kind, some in (("easy", easy), ("hard", hard)) if some),
        sessions=tuple(
            session_view(s, week, scene, alike, stopped=s.on in stopped_days) for s in week.sessions
        ),
        notes=notes,
        reasons=reasons(
            deciding_first(week.kind, _with_rate_of_today(week, scene)),
            scene,
            {s.id: s for s in week.sessions},
        ),
        told=tuple(_told(entry, scene) for entry in told),
        ran=round(gone.minutes * 100 / alike.longest_week, 2) if gone and gone.minutes else 0.0,
        felt=gone.felt if gone else "",
    )


def told_of_week(entries: Sequence[CheckIn], words: Words) -> WeekTold:
    """A week's check-ins in one line: runs and minutes, effort, pain, signs, what was left out."""
    _ = words.gettext
    runs = [e for e in entries if e.is_run]
    minutes = sum(e.ran.minutes for e in runs if e.ran)
    facts: list[str] = []
    if runs:
        said = words.ngettext("{count} run", "{count} runs", len(runs)).format(count=len(runs))
        is_known = all(e.ran for e in runs)  # of one that was told in kilometres nobody knows them
        facts.append(f"{said}, {words.minutes(round(minutes))}" if is_known else said)
    if efforts := [e.effort for e in entries if e.effort is not None]:
        facts.append(_together(_("effort {score}").format(score=_range(efforts))))
    pains = [e.pain.worst for e in entries if e.pain and e.pain.worst is not None]
    if pains:
        facts.append(_together(_("pain {score}").format(score=_range(pains))))
    signs = dict.fromkeys(sign for e in entries for sign in e.signs)
    facts += [_(SIGN_FACTS[sign]) for sign in signs]
    if left := sum(e.skipped is not None for e in entries):
        said = words.ngettext("{count} left out", "{count} left out", left).format(count=left)
        facts.append(_together(said))
    return WeekTold(minutes, tied("; ".join(facts)))


def _together(fact: str) -> str:
    """Two or three words that no end of a line parts, nor a range at its dash."""
    return fact.replace(" ", "\u00a0").replace("–", "–\u2060")


def _range(scores: Sequence[int]) -> str:
    low, high = min(scores), max(scores)
    return str(low) if low == high else f"{low}–{high}"


def dated_notes(scene: Scene) -> tuple[NoteView, ...]:
    """Words to all clients and to the group. Whether one is shown today, the browser decides."""
    return tuple(
        NoteView(
            scene.shared_markdown(notice.text),
            _to_read(notice.read, scene),
            notice.from_,
            notice.until,
            _days(notice.from_, notice.until, scene.words),
        )
        for notice in scene.case.notices
    )


def _days(first: date, last: date, words: Words) -> str:
    return words.day(first) if first == last else words.span(first, (last - first).days + 1)


def notes_of_week(
    week: Week, own: Sequence[Note], to_all: Iterable[NoteView], scene: Scene
) -> tuple[NoteView, ...]:
    """The client's own notes as one, then those to all whose days touch the week."""
    notes: list[NoteView] = []
    if own:
        read = tuple(dict.fromkeys(id for note in own for id in note.read))
        text = scene.markdown("\n\n".join(note.text for note in own))
        notes.append(NoteView(text, _to_read(read, scene)))
    sunday = week.start + timedelta(days=6)
    notes += [
        n for n in to_all if n.first and n.last and n.first <= sunday and n.last >= week.start
    ]
    return tuple(notes)


def _to_read(ids: Iterable[str], scene: Scene) -> tuple[Named, ...]:
    return tuple(Named(id, scene.titles[id]) for id in ids if id in scene.titles)


def _stopped_days(week: Week, scene: Scene) -> frozenset[date]:
    """Days from the plan's own on that nobody has told of, where the plan is stopped."""
    if stop_notice(scene) is None:
        return frozenset()
    told = {entry.on for entry in scene.case.log}
    return frozenset(s.on for s in week.sessions if s.on >= scene.plan.as_of and s.on not in told)


def week_facts(band: Band, minutes: Sequence[float], words: Words) -> str:
    """The week in two sentences, from its minutes of running, session by session; empty for one
    without."""
    if not sum(minutes):
        return ""
    said = words.gettext(
        "{minutes} min of running, {longest} min in the longest run. "
        "Beat {aim}; {low} to {high} is on it."
    ).format(
        minutes=words.number(sum(minutes), 0),
        longest=words.number(max(minutes, default=0.0), 0),
        aim=band.aim,
        low=band.low,
        high=band.high,
    )
    return tied(said)


def bars(runs: Iterable[tuple[float, bool]], longest_week: float) -> tuple[Bar, ...]:
    """Runs laid end to end; the longest week of the plan is 100 wide."""
    if not longest_week:
        return ()
    drawn: list[Bar] = []
    x = 0.0
    for minutes, hard in runs:
        width = minutes * 100 / longest_week
        if width:
            drawn.append(Bar(round(x, 2), round(width, 2), hard))
        x += width
    return tuple(drawn)


def _path(bars: Iterable[Bar]) -> str:
    """Bars as an SVG path draws them."""
    return "".join([f"M{bar.x} 0h{bar.width}v10h-{bar.width}z" for bar in bars])


def _with_rate_of_today(week: Week, scene: Scene) -> Sequence[Decision]:
    """A week's decisions; this week's count of held step rates with the check-ins since its Monday.

    The rule counted when the week was planned; the coach's roster counts on the plan's own day,
    and the two must not differ before a client's eyes.
    """
    as_of = scene.plan.as_of
    if not week.start <= as_of < week.start + timedelta(days=7):
        return week.decisions
    counts = [
        d for d in week.decisions if d.rule == cadence.RULE.name and "within" in d.says.values
    ]
    if not counts:
        return week.decisions
    log = log_of(scene.case, as_of)
    recent = [s for s in log.logged if (as_of - s.on).days <= RATE_DAYS]
    line = cadence.lines(scene.case, log).before(as_of + timedelta(days=1))
    met = cadence.held(scene.case, recent, week.cadence.aim, line)
    if not met.counted:
        return week.decisions
    now = {"within": met.within, "count": met.counted}

    def counted(decision: Decision) -> Decision:
        says = decision.says
        return decision._replace(says=says._replace(values={**says.values, **now}))

    return [counted(d) if d in counts else d for d in week.decisions]


def _told(entry: CheckIn, scene: Scene) -> ShownCheckIn:
    words, _ = scene.words, scene.words.gettext
    facts: list[str] = []
    if entry.skipped:
        facts.append(_(SKIPPED_WORDS[entry.skipped]))
    if entry.ran:
        facts.append(_("ran {length}").format(length=words.minutes(entry.ran.minutes)))
    if entry.walked:
        facts.append(_("walked {length}").format(length=words.minutes(entry.walked.minutes)))
    if entry.distance:
        facts.append(words.distance(entry.distance))
    if entry.effort is not None:
        facts.append(_("effort {score}").format(score=entry.effort))
    if entry.cadence:
        facts.append(_("{spm} steps a minute").format(spm=entry.cadence.spm))
    if entry.landing:
        facts.append(_("landing {landing}").format(landing=_(LANDING_WORDS[entry.landing])))
    if entry.pain and entry.pain.worst is not None:
        facts.append(_("pain {score} of 10").format(score=entry.pain.worst))
    facts.extend(_(SIGN_FACTS[sign]) for sign in entry.signs)
    said = scene.markdown(entry.said) if entry.said else ""
    return ShownCheckIn(words.day(entry.on), ", ".join(facts), said)


def event_line(scene: Scene) -> str:
    """``Harbour Ten, 10 km, Sun 14 Mar``, and that it waits with the plan; empty without one."""
    event = scene.case.client.goal.event
    if event is None:
        return ""
    said = [scene.words.distance(event.distance), scene.words.day(event.on)]
    line = ", ".join([event.name, *said] if event.name else said)
    if stop_notice(scene) and event.on >= scene.plan.as_of:
        return f"{line}. {scene.words.gettext(LINE_EVENT_WAITS)}"
    return line


VIEW = View("weeks", N_("Weeks"), N_("The whole plan"), build, has_number=True)
