"""Pain at one place that comes back week after week, or rises from run to run.

The numbers are judgement (common practice, no source): chosen so that an ordinary runner with a
niggle now and then meets a notice about once a year and an alarm less than once in two.

Pure: scores in, findings out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Literal, NamedTuple

from sitegen.care.words import plain

WEEK = timedelta(days=7)
TREND_WEEKS = 3
RUNS = 3
AGAIN_WITHIN_WEEKS = 8  # three weeks at `ASK_FROM` that are not in a row
ASK_FROM, NOTICE_FROM = 3, 2  # score of each of three weeks
ASK_RISE, NOTICE_RISE = 4, 3  # score of the last of three rising runs


class Score(NamedTuple):
    """The worst score of one session, and where it hurt; an empty site is none told."""

    on: date
    score: int
    site: str = ""
    at: int = 0  # the entry's place in the log


class Trend(NamedTuple):
    """Where pain comes back: ``weeks`` three in a row, ``again`` three not far apart, ``rise`` over
    three runs.
    """

    kind: Literal["ask", "notice"]
    how: Literal["weeks", "again", "rise"]
    since: date
    site: str
    scores: tuple[int, ...]
    at: int


def trends(scores: Iterable[Score]) -> tuple[Trend, ...]:
    """All trends, by the day on which each shows; one that goes on shows again after three more."""
    places: dict[str, list[Score]] = {}
    told = sorted(scores)
    spelt = {site: " ".join(plain(site).split()) for site in {one.site for one in told}}
    for one in told:
        places.setdefault(spelt[one.site], []).append(one)
    found: list[Trend] = []
    for mine in places.values():
        for kind, least, top in (
            ("ask", ASK_FROM, ASK_RISE),
            ("notice", NOTICE_FROM, NOTICE_RISE),
        ):
            level: Literal["ask", "notice"] = "ask" if kind == "ask" else "notice"
            found += _weeks(mine, level, least)
            found += _rises(mine, level, top)
        found += _again(mine)
    asked = {(t.since, t.site) for t in found if t.kind == "ask"}
    return tuple(sorted(t for t in found if t.kind == "ask" or (t.since, t.site) not in asked))


def _weeks(mine: Sequence[Score], kind: Literal["ask", "notice"], least: int) -> list[Trend]:
    """Three calendar weeks in a row with ``least`` or more in each."""
    found: list[Trend] = []
    run: list[Score] = []  # the first score of each week that reached it
    for one in mine:
        if one.score < least:
            continue
        monday = one.on - timedelta(days=one.on.weekday())
        last = run[-1].on - timedelta(days=run[-1].on.weekday()) if run else None
        if last == monday:
            continue
        run = [*run, one] if last == monday - WEEK else [one]
        if len(run) == TREND_WEEKS:
            told = tuple(s.score for s in run)
            found.append(Trend(kind, "weeks", one.on, one.site, told, one.at))
            run = []
    return found


def _again(mine: Sequence[Score]) -> list[Trend]:
    """Three calendar weeks with 3 or more among eight: it comes and goes, and no week follows on.

    A notice and no more: between them lie runs without pain, and each alone held the plan.
    """
    found: list[Trend] = []
    run: list[Score] = []  # the first score of each week that reached it
    for one in mine:
        monday = one.on - timedelta(days=one.on.weekday())
        if one.score < ASK_FROM or (run and run[-1].on >= monday):
            continue
        oldest = monday - (AGAIN_WITHIN_WEEKS - 1) * WEEK
        run = [*(score for score in run if score.on >= oldest), one]
        if len(run) < TREND_WEEKS:
            continue
        if run[0].on < monday - (TREND_WEEKS - 1) * WEEK:  # three in a row are asked about
            told = tuple(score.score for score in run)
            found.append(Trend("notice", "again", one.on, one.site, told, one.at))
        run = []
    return found


def _rises(mine: Sequence[Score], kind: Literal["ask", "notice"], top: int) -> list[Trend]:
    """Three runs in a row, each worse than the one before, to ``top`` or more."""
    found: list[Trend] = []
    at = RUNS - 1
    while at < len(mine):
        last = mine[at]
        if last.score >= top and mine[at - 2].score < mine[at - 1].score < last.score:
            told = tuple(s.score for s in mine[at - RUNS + 1 : at + 1])
            found.append(Trend(kind, "rise", last.on, last.site, told, last.at))
            at += RUNS - 1
        at += 1
    return found
