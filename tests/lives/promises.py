"""What a plan promises to imperfect people, each as a sentence and a check that can fail.

A promise that is kept says in ``since`` from when on, and is held by the tests. One without is not
kept yet: `python -m tests.lives promises` says what was found.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from . import of_events, of_files, of_lives
from .verdict import Verdict

Judge = Callable[[int], Verdict]


@dataclass(frozen=True)
class Promise:
    """A sentence, and ``judge``, which is given a number of lives to look at."""

    says: str
    judge: Judge
    since: str | None = None


FIRST_EDITION = "the first edition"
SECOND_EDITION = "the second edition"

PROMISES: Mapping[str, Promise] = {
    # Known, missed, unknown, ill
    "repeats": Promise(
        "A building week with a missed or unknown run is followed by the same level.",
        of_lives.repeats,
        since=SECOND_EDITION,
    ),
    "grows": Promise(
        "A building week with all runs done is followed by more.",
        of_lives.grows,
        since=FIRST_EDITION,
    ),
    "honesty": Promise(
        "Telling more never gives less, but where the guard, an absence or the limit of single "
        "runs cuts the week.",
        of_lives.honesty,
        since=SECOND_EDITION,
    ),
    "floor": Promise(
        "A building week is never under 90 % of the mean really run in the last four; of who does "
        "not tell all, unless the guard or the limit of single runs says so.",
        of_lives.floor,
        since=SECOND_EDITION,
    ),
    "guard": Promise(
        "A building week is at most 1.5 times the mean of the last four heard weeks.",
        of_lives.guard,
        since=SECOND_EDITION,
    ),
    "never nothing": Promise(
        "No week sinks to 0 min without a stop or a warning that says why.",
        of_lives.never_nothing,
        since=SECOND_EDITION,
    ),
    "sunday": Promise(
        "Sunday's plan for the next week is Monday's.", of_lives.sunday, since=SECOND_EDITION
    ),
    "shares": Promise(
        "Of the undisturbed plan 70 % are left with 90 % of runs done, 50 % with 80 %, 35 % with "
        "70 %.",
        of_files.shares,
        since=SECOND_EDITION,
    ),
    "shares widely": Promise(
        "That holds for two to six runs a week and growth of 0 to 30 %.",
        of_files.shares_widely,
        since=SECOND_EDITION,
    ),
    "one missed run": Promise(
        "One missed run costs one growth step at most, and nothing with growth 0 %.",
        of_files.one_missed,
        since=SECOND_EDITION,
    ),
    "ease": Promise(
        "Misses in an easier week cost nothing.", of_files.ease_missed, since=SECOND_EDITION
    ),
    "two of three told": Promise(
        "Who runs all and tells two of three, or nothing, is not brought down.",
        of_files.half_told,
        since=SECOND_EDITION,
    ),
    "habit": Promise(
        "Who runs two of three for four weeks is asked about.",
        of_files.habit,
        since=SECOND_EDITION,
    ),
    "silence": Promise(
        "After two weeks without a word 80 %; after four, none; a word brings the level back.",
        of_files.silence,
        since=SECOND_EDITION,
    ),
    "none by agreement": Promise(
        "A client who never logs by agreement goes on at the level.",
        of_files.none_by_agreement,
        since=FIRST_EDITION,
    ),
    "light week": Promise(
        "After the coach's own lighter week the plan goes on from the level before it.",
        of_files.light_week,
        since=SECOND_EDITION,
    ),
    "small": Promise("Small numbers grow, too.", of_files.small, since=FIRST_EDITION),
    "stop wins": Promise(
        "A change never plans inside a stop.", of_files.stop_wins, since=FIRST_EDITION
    ),
    "after a lift": Promise(
        "A lift brings back 80 % at most and nothing hard in its week and the first whole one; "
        "after a sign of *now* nothing hard before a clinician has cleared it.",
        of_files.after_lift,
        since=SECOND_EDITION,
    ),
    "dated ahead": Promise(
        "A lift, the end of days away and a week of rest that are dated ahead are planned ahead.",
        of_files.dated_ahead,
        since=SECOND_EDITION,
    ),
    # Enough
    "enough": Promise("Growth ends at `enough`.", of_files.enough, since=SECOND_EDITION),
    "enough by itself": Promise(
        "Without an event and without `enough`, growth ends at 150 min or the baseline.",
        of_files.enough_by_itself,
        since=SECOND_EDITION,
    ),
    "runs": Promise("`plan.runs` fixes the number of runs.", of_files.runs, since=SECOND_EDITION),
    "away": Promise("Nothing is planned on days away.", of_files.away, since=SECOND_EDITION),
    "odd week": Promise(
        "One odd week is on its own days.", of_files.odd_week, since=SECOND_EDITION
    ),
    "rota": Promise("Weeks may alternate.", of_files.rota, since=SECOND_EDITION),
    # Backwards from the event
    "event said": Promise(
        "Every event plan reaches its long run, or `check` says what stands in the way.",
        of_events.said,
        since=SECOND_EDITION,
    ),
    "event reached": Promise(
        "Half plans from 150 min and marathon plans from 240 min, in 20 weeks, reach it: 90 %.",
        of_events.reached,
        since=SECOND_EDITION,
    ),
    "long run missed": Promise(
        "One long run missed, in whatever week before the longest, does not cost the longest.",
        of_events.long_run_missed,
        since=SECOND_EDITION,
    ),
    "step": Promise(
        "From 30 min without a walk on no run is over 110 % of the longest of the 30 days before.",
        of_events.step,
        since=SECOND_EDITION,
    ),
    "steps back": Promise(
        "On the way to an event the long run never grows in more than three weeks in a row.",
        of_events.backs,
        since=SECOND_EDITION,
    ),
    "share": Promise(
        "The long run takes half of a week at most, with two runs 60 %.",
        of_events.share,
        since=SECOND_EDITION,
    ),
    "close": Promise(
        "Within four days of an event no run over the smaller of 40 min and 60 % of the usual "
        "run; within two, none over 20.",
        of_events.close,
        since=SECOND_EDITION,
    ),
    "taper": Promise(
        "Before an event minutes fall, and runs stay at 80 % or more.",
        of_events.taper,
        since=FIRST_EDITION,
    ),
    "quick": Promise(
        "Something quick stays in each week of the taper.",
        of_events.quick,
        since=SECOND_EDITION,
    ),
    "after": Promise(
        "After an event nothing hard for a week, and less.", of_events.after, since=FIRST_EDITION
    ),
    # Sessions
    "longest": Promise(
        "With three runs or more the long run is the longest by 15 %.",
        of_events.longest,
        since=SECOND_EDITION,
    ),
    "hard": Promise(
        "Hard minutes are 20 % of a week's at most, and half of what was asked for at least.",
        of_events.hard,
        since=SECOND_EDITION,
    ),
    "variety": Promise(
        "The same hard session not more than two weeks in a row.",
        of_events.variety,
        since=FIRST_EDITION,
    ),
    "strength": Promise(
        "Strength once a week wherever a day offers it.", of_files.strength, since=SECOND_EDITION
    ),
    "scrap": Promise("No run and walk ends in a scrap.", of_files.scrap, since=SECOND_EDITION),
    "masters": Promise(
        "From 65 on a day between runs, where the days allow.",
        of_files.masters,
        since=SECOND_EDITION,
    ),
    # Step rate
    "held": Promise(
        "The aim rises only where the last step was held.", of_files.held, since=FIRST_EDITION
    ),
}


def kept() -> list[str]:
    return [name for name, promise in PROMISES.items() if promise.since]


def everything(lives: int, only: str, tell: Callable[[str], None]) -> dict[str, dict[str, object]]:
    """Judge every promise whose name holds ``only``, told line by line."""
    found: dict[str, dict[str, object]] = {}
    for name, promise in _named(only):
        verdict = promise.judge(lives)
        mark = "holds" if verdict.holds else "BROKEN"
        held = "" if promise.since is None else f" (held by the tests since {promise.since})"
        tell(f"{mark:6}  {name}: {promise.says}{held}")
        tell(f"        {verdict.figure}")
        for line in verdict.breaches[:2]:
            tell(f"        e.g. {line}")
        found[name] = {
            "says": promise.says,
            "holds": verdict.holds,
            "figure": verdict.figure,
            "since": promise.since,
        }
    tell(f"{sum(bool(f['holds']) for f in found.values())} of {len(found)} hold")
    return found


def _named(only: str) -> Iterator[tuple[str, Promise]]:
    yield from ((name, promise) for name, promise in PROMISES.items() if only in name)
