"""What a session is made of: warm-up, stretches of running and walking, cool-down."""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby
from math import ceil

from sitegen.model.case import Case
from sitegen.model.plan import Part, SessionKind
from sitegen.model.sentence import N_, Sentence, say
from sitegen.model.values import METRES_HALF_MARATHON
from sitegen.rules import screening
from sitegen.rules.draft import Beat, Rung
from sitegen.rules.pacing import QUICK_S, TEMPO_S, race_pace
from sitegen.rules.power_law import predict_seconds
from sitegen.rules.run_walk import stretches

WARM_UP_MIN = 5
SHORT_WARM_UP_MIN = 2
ROOM_FOR_WARM_UP_MIN = 25
SHORT_STRETCH_MIN = 4

WARM_UP = say("Walk, briskly towards the end.")
COOL_DOWN = say("Walk until your breath is calm.")
EASY = say("Run easily: you can speak in whole sentences.")
LONG = say("Run easily, slower than you think; you can speak in whole sentences.")
WALK = say("Walk briskly.")
BEAT = say("Step to the beat, at the same speed: shorter, quicker steps.")
BETWEEN = say("Run on easily, without the beat.")
STRIDE = say("Over 20 s run smoothly quicker, never flat out; then 40 s easily.")
TEMPO = say("Run steadily hard: a few words at a time, no more.")
QUICK = say("Run quickly but in control; you could do two more of these.")
RECOVER = say("Run very easily.")
STRENGTH = say("Strength drills, calmly and without pain.")
EVENT = say("Your event. Begin slower than you want to.")
EVENT_EASY = say(
    "Your event, as an easy run: nothing hard until a clinician has cleared it. You can speak in "
    "whole sentences."
)
TEMPO_PACED = N_(
    "Run steadily hard: a few words at a time, no more. From your race that is about {fast} to "
    "{slow} /{unit}; breath and legs have the last word."
)
QUICK_PACED = N_(
    "Run quickly but in control; you could do two more of these. From your race that is about "
    "{fast} to {slow} /{unit}; breath and legs have the last word."
)
EVENT_TIMED = N_("Your event. Begin slower than you want to. Your race points to about {time}.")
EVENT_TIMED_FAR = N_(
    "Your event. Begin slower than you want to. Your race points to about {time}; over this "
    "distance such a guess is often 10 min or more too fast."
)

# Effort on the 0-10 scale for the whole session. Common practice, no source.
EFFORT: dict[SessionKind, tuple[int, int]] = {
    "easy": (2, 3),
    "long": (2, 3),
    "run_walk": (2, 3),
    "beat": (2, 3),
    "strides": (3, 5),
    "tempo": (5, 6),
    "intervals": (6, 7),
    "strength": (3, 5),
    "event": (6, 9),
}


def warm_up_minutes(limit: int) -> int:
    """Minutes to walk before a run, and again after it, on a day with ``limit`` minutes."""
    return WARM_UP_MIN if limit >= ROOM_FOR_WARM_UP_MIN else SHORT_WARM_UP_MIN


@lru_cache(maxsize=4096)  # a date that an event could have is looked for over two years of weeks
def run_room(limit: int, rung: Rung | None = None) -> int:
    """Most running minutes that fit into a day of ``limit`` minutes, walks included."""
    room = limit - 2 * warm_up_minutes(limit)
    if room <= 0:
        return 0
    if rung is None or rung.walk == 0:
        return room
    return max((m for m in range(room + 1) if m + _walks(m, rung) * rung.walk <= room), default=0)


def _walks(minutes: int, rung: Rung) -> int:
    """Walk breaks between the stretches of ``minutes`` of running."""
    return max(ceil(minutes / rung.run) - 1, 0)


def framed(parts: tuple[Part, ...], limit: int) -> tuple[Part, ...]:
    """The parts between a walk to warm up and one to cool down."""
    walk = float(warm_up_minutes(limit))
    return (
        Part("warm_up", walk, text=WARM_UP),
        *parts,
        Part("cool_down", walk, text=COOL_DOWN),
    )


def steady(minutes: int, text: Sentence = EASY) -> tuple[Part, ...]:
    return (Part("run", float(minutes), text=text),) if minutes > 0 else ()


def run_walk(minutes: int, rung: Rung, cue: int | None) -> tuple[Part, ...]:
    """``minutes`` of running in stretches of the rung's length, a walk between them.

    With ``cue`` up to two short stretches are run to the beat, or of a longer one a few minutes.
    """
    if rung.walk == 0:
        return steady(minutes)
    found = stretches(minutes, rung.run)
    if len(found) == 1:
        return steady(int(found[0]))
    walk = Part("walk", rung.walk, 1, None, WALK)
    parts: list[Part] = []
    if cue is not None and rung.run <= SHORT_STRETCH_MIN:
        on_beat = min(2, len(found) - 1)
        parts += [Part("beat", rung.run, on_beat, cue, BEAT), walk._replace(repeat=on_beat)]
        found = found[on_beat:]
    elif cue is not None:
        repeats = min(4, int(found[0] // 2))
        parts += [Part("beat", 1.0, repeats, cue, BEAT), Part("run", 1.0, repeats, None, BETWEEN)]
        if found[0] > 2 * repeats:
            parts.append(Part("run", found[0] - 2 * repeats, 1, None, EASY))
        parts.append(walk)
        found = found[1:]
    for length, alike in groupby(found[:-1]):
        repeats = len(list(alike))
        parts += [Part("run", length, repeats, None, EASY), walk._replace(repeat=repeats)]
    return (*parts, Part("run", found[-1], 1, None, EASY))


def beat_run(minutes: int, beat: Beat, cue: int) -> tuple[Part, ...]:
    """An easy run with ``beat`` in its middle; fewer or shorter repeats where it is too short."""
    if beat.repeats == 1:
        length = min(beat.minutes, max(minutes - 4, 1))
        before = (minutes - length) // 2
        middle: tuple[Part, ...] = (Part("beat", float(length), 1, cue, BEAT),)
        return (*steady(before), *middle, *steady(minutes - before - length))
    repeats = min(beat.repeats, max((minutes - 2) // (2 * beat.minutes), 1))
    used = repeats * beat.minutes * 2
    if used >= minutes:
        return steady(minutes)
    before = (minutes - used + 1) // 2
    middle = (
        Part("beat", float(beat.minutes), repeats, cue, BEAT),
        Part("run", float(beat.minutes), repeats, None, BETWEEN),
    )
    return (*steady(before), *middle, *steady(minutes - before - used))


def hard_run(
    kind: SessionKind, minutes: int, tempo: Sentence = TEMPO, quick: Sentence = QUICK
) -> tuple[Part, ...]:
    """A hard session of ``minutes`` of running in all; at most half of it is hard."""
    if kind == "strides":
        repeats = max(min(minutes // 3, 6), 2)
        middle: tuple[Part, ...] = (Part("run", 1.0, repeats, None, STRIDE),)
    elif kind == "tempo":
        block = max(minutes // 4, 2)
        middle = (
            Part("run", float(block), 1, None, tempo),
            Part("run", 1.0, 1, None, RECOVER),
            Part("run", float(block), 1, None, tempo),
        )
    else:
        repeats = max(min(minutes // 8, 6), 2)
        middle = (
            Part("run", 2.0, repeats, None, quick),
            Part("run", 2.0, repeats, None, RECOVER),
        )
    used = int(sum(p.total_minutes for p in middle))
    if used + 2 > minutes:
        return steady(minutes)
    before = (minutes - used + 1) // 2
    return (*steady(before), *middle, *steady(minutes - before - used))


def hard_words(case: Case) -> tuple[Sentence, Sentence]:
    """What tempo and quick running ask for, with a pace range where a race gives one."""
    tempo = race_pace(case, TEMPO_S)
    quick = race_pace(case, QUICK_S)
    if tempo is None or quick is None:
        return TEMPO, QUICK
    units = case.units
    return (
        _with_pace(TEMPO_PACED, tempo.words(units), units),
        _with_pace(QUICK_PACED, quick.words(units), units),
    )


def event_effort(case: Case) -> tuple[int, int]:
    """Effort at the event: that of an easy run where nothing hard is allowed."""
    event = case.client.goal.event
    easy = event is not None and not screening.hard_allowed(case, event.on)
    return EFFORT["easy" if easy else "event"]


def event_words(case: Case) -> Sentence:
    """What the event asks for, with the time that a race promises, and how far to trust it."""
    event, race = case.client.goal.event, case.client.baseline.race
    if event is not None and not screening.hard_allowed(case, event.on):
        return EVENT_EASY
    if event is None or race is None:
        return EVENT
    seconds = predict_seconds(race.distance.metres, race.time.seconds, event.distance.metres)
    if seconds is None:
        return EVENT
    far = event.distance.metres > METRES_HALF_MARATHON
    hours, rest = divmod(round(seconds), 3600)
    shown = f"{hours}:{rest // 60:02}:{rest % 60:02}" if hours else f"{rest // 60}:{rest % 60:02}"
    return say(EVENT_TIMED_FAR if far else EVENT_TIMED, time=shown)


def _with_pace(template: str, pace: tuple[str, str], units: str) -> Sentence:
    return say(template, fast=pace[0], slow=pace[1], unit=units)
