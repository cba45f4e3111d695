"""What a session is made of: warm-up, stretches of running and walking, cool-down."""

from __future__ import annotations

from functools import cache, lru_cache
from itertools import groupby
from math import ceil

from sitegen.care.sentences import LINE_EVENT_HELD
from sitegen.model.case import Case
from sitegen.model.plan import Part, SessionKind
from sitegen.model.sentence import N_, Sentence, say
from sitegen.model.values import METRES_HALF_MARATHON
from sitegen.model.workout import Step, Workout
from sitegen.rules import hard, screening
from sitegen.rules.draft import EPSILON, Beat, Rung
from sitegen.rules.event import event_minutes
from sitegen.rules.pacing import race_pace
from sitegen.rules.power_law import predict_seconds
from sitegen.rules.run_walk import stretches

WARM_UP_MIN = 5
SHORT_WARM_UP_MIN = 2
ROOM_FOR_WARM_UP_MIN = 25
SHORT_STRETCH_MIN = 4
STRETCHES_ON_BEAT = 2
MINUTES_ON_BEAT = 4
EASY_ROUND_BEAT_MIN = 4
# Easy running round the parts of a session: a third of it, half of a long run, 4 min at least.
# Common practice, no source; the walks to warm up and to cool down come on top.
EASY_PART, EASY_PART_OF_LONG, EASY_AROUND_MIN = 3, 2, 4

WARM_UP = say("Walk, briskly towards the end.")
COOL_DOWN = say("Walk until your breath is calm.")
EASY = say("Run easily: you can speak in whole sentences.")
LONG = say("Run easily, slower than you think; you can speak in whole sentences.")
WALK = say("Walk briskly.")
BEAT = say("Step to the beat, at the same speed: shorter, quicker steps.")
BETWEEN = say("Run on easily, without the beat.")
STRENGTH = say("Strength drills, calmly and without pain.")
EVENT = say("Your event. Begin slower than you want to.")
EVENT_EASY = say(
    "Your event, as an easy run: nothing hard until a clinician has cleared it. You can speak in "
    "whole sentences."
)
EVENT_HELD = say(LINE_EVENT_HELD)
# Said after what a part asks for, where a race gives a pace.
PACED = "From your race that is about {fast} to {slow} /{unit}; breath and legs have the last word."
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
# At an event by the minutes that it takes: the longer, the more even. Common practice, no source.
EVENT_EFFORTS: tuple[tuple[float, tuple[int, int]], ...] = (
    (40, (6, 9)),
    (90, (6, 8)),
    (180, (5, 7)),
)
EVEN_EVENT_EFFORT = (4, 5)  # at a longer one, and where nothing hard was practised


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
    warm_up, cool_down = _walks_around(warm_up_minutes(limit))
    return (warm_up, *parts, cool_down)


@cache
def _walks_around(minutes: int) -> tuple[Part, Part]:
    walk = float(minutes)
    return Part("warm_up", walk, text=WARM_UP), Part("cool_down", walk, text=COOL_DOWN)


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
        on_beat = min(STRETCHES_ON_BEAT, len(found) - 1)
        parts += [Part("beat", rung.run, on_beat, cue, BEAT), walk._replace(repeat=on_beat)]
        found = found[on_beat:]
    elif cue is not None:
        repeats = min(MINUTES_ON_BEAT, int(found[0] // 2))
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
        length = min(beat.minutes, max(minutes - EASY_ROUND_BEAT_MIN, 1))
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


def laid_out(
    case: Case,
    workout: Workout,
    minutes: int,
    room: int,
    times: int = 0,
    most_hard: float = float("inf"),
    least_hard: float = 0.0,
    spm: int | None = None,
) -> tuple[Part, ...] | None:
    """The parts of a kind of session in ``minutes`` of running; None where they do not fit.

    Args:
        case: The client, for the pace that a race gives.
        workout: The kind of session.
        minutes: Running minutes in all.
        room: Minutes that the day has between its walks to warm up and to cool down.
        times: How often it was done before: it grows with each.
        most_hard: Most minutes of hard running.
        least_hard: Minutes of hard running from which on it need not be repeated more often.
        spm: The step rate of parts to the beat.
    """
    text = workout.text or EASY
    if not workout.steps:
        return steady(minutes, text)
    count = repeats(workout, minutes, room, times, most_hard, least_hard)
    if count < 1:
        return None
    left = minutes - count * workout.lap
    after = 0.0 if workout.at_end else float(left // 2)
    middle = tuple(_part(case, step, count, spm) for step in workout.steps)
    if len(middle) == 1 and middle[0].hard_minutes in (0.0, middle[0].minutes):
        whole = middle[0]  # nothing comes between, so it is one long part
        middle = (
            whole._replace(
                minutes=whole.minutes * count, repeat=1, hard_minutes=whole.hard_minutes * count
            ),
        )
    return (*_easy(left - after, text), *middle, *_easy(after, text))


def repeats(
    workout: Workout, minutes: int, room: int, times: int, most_hard: float, least_hard: float
) -> int:
    """How often the parts of a kind of session are done, as `laid_out` says; 0 for not at all."""
    count = min(workout.repeat + workout.by * times, workout.most)
    if workout.lap_hard:
        wanted = ceil(least_hard / workout.lap_hard - EPSILON)
        count = min(max(count, wanted), workout.most)
        count = int(min(count, most_hard / workout.lap_hard + EPSILON))
    easy = EASY_PART_OF_LONG if workout.kind == "long" else EASY_PART
    around = max(minutes // easy, EASY_AROUND_MIN)
    count = min(count, int((minutes - around) / workout.lap)) if workout.lap else 0
    if workout.lap_walk:
        count = min(count, int((room - minutes) / workout.lap_walk))
    return max(count, 0)


def _easy(minutes: float, text: Sentence) -> tuple[Part, ...]:
    return (Part("run", minutes, text=text),) if minutes > 0 else ()


def _part(case: Case, step: Step, count: int, spm: int | None) -> Part:
    text = step_words(case, step)
    cue = spm if step.kind == "beat" else None
    return Part(step.kind, step.minutes, count, cue, text, step.effort, step.quick)  # type: ignore[arg-type]


def step_words(case: Case, step: Step) -> Sentence:
    """What a part of a workout asks for, with the pace that a race gives."""
    text = step.text
    if text is None:
        text = WALK if step.kind == "walk" else (EASY if step.kind == "run" else BEAT)
    pace = race_pace(case, step.race_of * 60) if step.race_of else None
    if pace is None:
        return text
    fast, slow = pace.words(case.units)
    paced = f"{text.template} {PACED}"
    return say(paced, fast=fast, slow=slow, unit=case.units)


def effort_of(kind: SessionKind, workout: Workout | None) -> tuple[int, int]:
    """Effort of a whole session, of 10: that of its kind, or up to its hardest part's."""
    low, high = EFFORT[kind]
    top = workout.top_effort if workout is not None and workout.steps else 0
    return (low, high) if top == 0 else (max(low + top - high, 0), top)


def event_effort(case: Case, bars_hard: bool = False, held: bool = False) -> tuple[int, int]:
    """Effort at the event: that of an easy run where nothing hard is allowed."""
    event = case.client.goal.event
    if event is None or held or _is_easy_event(case, bars_hard):
        return EFFORT["easy"]
    if not hard.is_asked_for(case) and case.client.baseline.race is None:
        return EVEN_EVENT_EFFORT
    lasts = event_minutes(case, event)
    return next((found for most, found in EVENT_EFFORTS if lasts <= most), EVEN_EVENT_EFFORT)


def _is_easy_event(case: Case, bars_hard: bool) -> bool:
    event = case.client.goal.event
    return event is not None and (bars_hard or not screening.hard_allowed(case, event.on))


def event_words(case: Case, bars_hard: bool = False, held: bool = False) -> Sentence:
    """What the event asks for, with the time that a race promises, and how far to trust it.

    ``bars_hard`` is True where a clinician has to clear hard running after a stop, ``held`` where
    pain or a question to the coach holds the plan.
    """
    if held:
        return EVENT_HELD
    event, race = case.client.goal.event, case.client.baseline.race
    if _is_easy_event(case, bars_hard):
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
