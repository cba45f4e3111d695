"""Which kinds of session have stood in the weeks so far, so that no two weeks are all alike."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from types import MappingProxyType
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.kinds import choice
from sitegen.model.record import row
from sitegen.model.workout import Workout
from sitegen.rules import pain
from sitegen.rules.draft import Draft, Past
from sitegen.rules.log import Log
from sitegen.rules.rule import Lived, Memory, Parameters, Rule

SOURCE = "common practice, no source"
SAME_AGAIN_WEEKS = 2


class Used(NamedTuple):
    """The last week that held a kind of session, and how often it was run in all."""

    week: int = 0
    times: int = 0


NOT_YET = Used()


class Stood(NamedTuple):
    """What stood so far: each kind of session, and the hard ones of the last weeks with any."""

    uses: Mapping[str, Used] = MappingProxyType({})
    hard: tuple[frozenset[str], ...] = ()

    def is_third(self, name: str) -> bool:
        """True where a hard session stood in both of the last two weeks that had one."""
        return len(self.hard) == SAME_AGAIN_WEEKS and all(name in week for week in self.hard)


def needs_even_ground(case: Case) -> bool:
    """Whether a fall weighs more than for others: it bleeds more with a blood thinner."""
    history = case.client.history
    return history is not None and "blood_thinner" in history.medicines


class SessionsParameters(Parameters):
    """What there is to run on."""

    ground: str = row(
        choice("any", "even", "level"),
        "",
        "what there is to run on; even: nothing off the road; level: no hills either, as on a "
        "treadmill",
        default="any",
    )


def _suits_ground(case: Case, workout: Workout) -> bool:
    """Whether there is ground for it; a kneecap that hurts is spared what goes downhill."""
    ground = RULE.values(case).ground
    if workout.hilly and (ground == "level" or pain.RULE.values(case).profile == "knee"):
        return False
    return not (workout.uneven and (ground != "any" or needs_even_ground(case)))


class Suiting:
    """Which kinds of session suit a client's event and a time before it: worked out once a plan."""

    def __init__(self, case: Case) -> None:
        event = case.client.goal.event
        self._metres = event.distance.metres if event is not None else None
        fit = (w for w in case.workouts.values() if _suits_ground(case, w))
        # The coach's own before the library's.
        self._workouts = sorted(fit, key=lambda w: (not w.own, w.name))
        self._found: dict[tuple[tuple[str, ...], tuple[str, ...]], tuple[Workout, ...]] = {}

    def of(self, kinds: tuple[str, ...], phases: tuple[str, ...]) -> tuple[Workout, ...]:
        """Those of any of the kinds that suit one of the phases."""
        key = (kinds, phases)
        if key not in self._found:
            self._found[key] = tuple(
                w
                for w in self._workouts
                if w.kind in kinds and any(w.suits(phase, self._metres) for phase in phases)
            )
        return self._found[key]


def _read(case: Case, log: Log) -> Suiting:
    return Suiting(case)


def suiting(past: Past) -> Suiting:
    """The kinds of session that suit this client."""
    found: Suiting = past.read[RULE.name]
    return found


def _start(case: Case, monday: date, number: int, before: Stood | None) -> Stood:
    return before or Stood()


def _after(before: Stood, lived: Lived) -> Stood:
    """What stood in the week, told or run; it grows only with what was run."""
    found = dict(before.uses)
    fates = {run.on: run.fate for run in lived.runs}
    for session in lived.week.sessions:
        if not session.workout:
            continue
        done = fates.get(session.on) in ("done", "ahead")
        times = found.get(session.workout, NOT_YET).times + done
        found[session.workout] = Used(lived.week.number, times)
    hard = frozenset(s.workout for s in lived.week.sessions if s.hard and s.workout)
    return Stood(found, (*before.hard, hard)[-SAME_AGAIN_WEEKS:] if hard else before.hard)


def stood(past: Past) -> Stood:
    """What stood in the weeks before."""
    found: Stood = RULE.remembered(past)
    return found


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Nothing to decide for the week: days and minutes come first, see `plan/choosing.py`."""
    return draft


RULE = Rule(
    name="sessions",
    promise=(
        "The session that stood longest ago comes next, out of those that suit the event and the "
        "time before it; the same one never three weeks in a row where another suits. Each kind is "
        "a file: the library's, or the coach's own in `sessions/`. Nothing goes off the road or up "
        "hills where `ground` has none, nor downhill with the knee profile of `pain`."
    ),
    reason="A runner who meets the same run every week stops reading.",
    source=f"{SOURCE}; no downhill with a sore kneecap: Esculier JF et al. (read second-hand)",
    evidence="judgement",
    apply=apply,
    parameters=SessionsParameters,
    audience="coach",
    reads=_read,
    memory=Memory(_start, _after),
    review="Read the sessions of three weeks in a row: hard runs differ, and so do midweek runs.",
)
