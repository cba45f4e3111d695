"""One session in words: what it asks for, and its parts line by line."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date, time
from itertools import groupby
from typing import NamedTuple
from urllib.parse import quote

from markupsafe import Markup

from sitegen.model.plan import Part, Session, Week
from sitegen.model.sentence import N_
from sitegen.portal.scene import Scene
from sitegen.portal.words import Words, tied

SESSION_WORDS = {
    "easy": N_("Easy run"),
    "long": N_("Long run"),
    "run_walk": N_("Run and walk"),
    "walk": N_("Walk"),
    "beat": N_("Run to the beat"),
    "strides": N_("Easy run with strides"),
    "tempo": N_("Steady hard run"),
    "intervals": N_("Repeats"),
    "strength": N_("Strength"),
    "event": N_("Your event"),
}

FAR_MIN = 90  # of running, from which one drinks and eats under way; common practice, no source
SHAPED = frozenset({"strides", "tempo", "intervals", "event"})

# A part with its length: in some languages one says "3 min running" and "5 min of warm-up".
LENGTH_WORDS = {
    "warm_up": N_("{length} warm-up"),
    "run": N_("{length} run"),
    "walk": N_("{length} walk"),
    "beat": N_("{length} run to the beat"),
    "drill": N_("{length} drills"),
    "strength": N_("{length} strength"),
    "cool_down": N_("{length} cool-down"),
}


class Piece(NamedTuple):
    """A part in words: how long what, and how."""

    what: str
    how: str


class PartLine(NamedTuple):
    """Parts done in turn, and how often; ``times`` is empty for a part done once."""

    times: str
    pieces: tuple[Piece, ...]


class Named(NamedTuple):
    """Something that a link leads to."""

    id: str
    title: str


class SessionFacts(NamedTuple):
    """What a session asks for; what is not meant is left at its default."""

    effort: tuple[int, int]  # lowest and highest, of 10
    is_run: bool = False
    spm: int | None = None
    cue: str = ""
    fuel_at: time | None = None
    is_far: bool = False


class FactsView(NamedTuple):
    """The same in words."""

    effort_number: str
    effort: str
    talk: str
    spm: int | None
    cue: str
    before: tuple[str, ...]


class SessionView(NamedTuple):
    """A session in words; ``facts``, ``parts`` and ``drills`` are drawn.

    ``shaped`` is a run whose parts need more words than their names; ``stopped`` is one that the
    client must not do now.
    """

    id: str
    on: date
    when: str
    at: str
    title: str
    purpose: str
    minutes: str
    running: str
    facts: Markup
    parts: Markup
    drills: Markup
    moved: str
    is_run: bool
    is_walk: bool
    is_event: bool
    shaped: bool
    stopped: bool


class Alike(NamedTuple):
    """What is the same for all weeks of a plan: drills' titles and cues by id, and three pens."""

    longest_week: float  # minutes of running
    titles: Mapping[str, str]
    cues: Mapping[str, tuple[str, ...]]
    facts: Callable[[SessionFacts], Markup]
    parts: Callable[[tuple[Part, ...]], Markup]
    drills: Callable[[tuple[Named, ...]], Markup]


def session_view(
    session: Session,
    week: Week,
    scene: Scene,
    alike: Alike,
    *,
    stopped: bool = False,
) -> SessionView:
    """One session in words."""
    words, _ = scene.words, scene.words.gettext
    total, running = round(session.total_minutes), round(session.run_minutes)
    of_it = moved = ""
    if running and running != total:
        of_it = tied(_("{minutes} min of it running").format(minutes=running))
    if session.moved_from:
        moved = _("Moved from {day}.").format(day=words.day(session.moved_from))
    named = tuple(Named(d, alike.titles[d]) for d in session.drills if d in alike.titles)
    return SessionView(
        id=quote(session.id, safe=""),
        on=session.on,
        when=words.day(session.on),
        at=words.clock(session.at) if session.at else "",
        title=words.say(session.title)
        if session.title
        else words.gettext(SESSION_WORDS[session.read_as]),
        purpose=words.say(session.purpose) if session.purpose else "",
        minutes=str(total),
        running=of_it,
        facts=alike.facts(_facts(session, week, alike.cues)),
        parts=alike.parts(session.parts),
        drills=alike.drills(named) if named else Markup(),
        moved=moved,
        is_run=session.is_run,
        is_walk=session.is_walk,
        is_event=session.kind == "event",
        shaped=session.kind in SHAPED or any(part.effort for part in session.parts),
        stopped=stopped,
    )


def _facts(session: Session, week: Week, cues: Mapping[str, tuple[str, ...]]) -> SessionFacts:
    spm = None
    if session.is_run and not session.is_walk and session.kind != "event":
        beats = (part.cadence_spm for part in session.parts if part.cadence_spm)
        spm = next(beats, week.cadence.aim)
    return SessionFacts(
        (session.effort_low, session.effort_high),
        session.is_run,
        spm,
        _cue(session, week, cues),
        session.fuel_at,
        session.run_minutes >= FAR_MIN,
    )


def facts_view(facts: SessionFacts, words: Words) -> FactsView:
    """What a session asks for, in words."""
    _ = words.gettext
    before = []
    if facts.fuel_at:
        drink = _("Collagen drink at {time}, if you and your coach agreed on it")
        before.append(drink.format(time=words.clock(facts.fuel_at)))
    if facts.is_far:
        before.append(_("Pack water and something to eat. Drink when you are thirsty."))
    return FactsView(
        words.effort_number(*facts.effort),
        words.effort(*facts.effort),
        words.talk(facts.effort[1]) if facts.is_run else "",
        facts.spm,
        facts.cue,
        tuple(before),
    )


def _cue(session: Session, week: Week, cues: Mapping[str, tuple[str, ...]]) -> str:
    """One thing to think of: from the session's drills, else any drill done on the run."""
    if not session.is_run or session.is_walk or session.kind == "event":
        return ""
    wanted = [cues[d] for d in session.drills if d in cues] or list(cues.values())
    if not wanted:
        return ""
    chosen = wanted[(week.number - 1) % len(wanted)]
    return chosen[(week.number - 1) // len(wanted) % len(chosen)]


def is_hard(part: Part, session: Session) -> bool:
    """True for the hard running of a hard session, between the easy stretches of it."""
    return session.hard and part.hard_minutes > 0


def turns(parts: Iterable[Part]) -> Iterator[tuple[Part, ...]]:
    """Parts line by line: neighbours with the same repeat above 1 are one line, done in turn."""
    for repeat, group in groupby(parts, key=lambda p: p.repeat):
        if repeat > 1:
            yield tuple(group)
        else:
            for single in group:
                yield (single,)


def part_lines(parts: Iterable[Part], words: Words) -> tuple[PartLine, ...]:
    """A session's parts in words, line by line."""
    return tuple(part_line(turn, words) for turn in turns(parts))


def part_line(turn: tuple[Part, ...], words: Words) -> PartLine:
    """One line in words."""
    repeat = turn[0].repeat
    times = words.gettext("{n} times").format(n=repeat) if repeat > 1 else ""
    return PartLine(times, tuple(piece(part, words) for part in turn))


def piece(part: Part, words: Words) -> Piece:
    """``3 min run``, and the plan's own words about it."""
    what = words.gettext(LENGTH_WORDS[part.kind]).format(length=words.minutes(part.minutes))
    return Piece(what, words.say(part.text) if part.text else "")
