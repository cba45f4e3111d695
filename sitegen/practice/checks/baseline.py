"""What a runner brought: week, longest run, pace and step rate fit each other."""

from __future__ import annotations

from collections.abc import Iterator

from sitegen.model.case import Origins
from sitegen.model.client import Client
from sitegen.model.problem import Problem
from sitegen.model.values import Duration, Pace
from sitegen.practice.checks.days import odd_pace
from sitegen.practice.checks.telling import Check, error, warning
from sitegen.practice.partly import known, lacks

# Running begins near 140 steps a minute in adults (transition cadence, range 136-161 over ages
# 6-20; public biomedical archive 2021, exact citation open); below 120, judgement.
ONE_FOOT_BELOW_SPM = 120
WALKING_BELOW_SPM = 140
EASY_OVER_RACE = 1.8
"""Most that an easy kilometre takes, in kilometres of a race; common practice, no source. More is a
slip of the distance more often than a runner."""


def _no_running(client: Client) -> bool:
    return client.baseline.week.seconds == 0


def _baseline_zero(client: Client, origins: Origins) -> Iterator[Problem]:
    """Who ran nothing in four weeks has no longest run of these weeks."""
    base = client.baseline
    if not _no_running(client):
        return
    for name in ("longest", "continuous"):
        value: Duration | None = known(base, name)
        if value is not None and value.seconds:
            yield warning(
                origins.value("baseline", name),
                "baseline-zero",
                f"week is 0 min, yet {name} is {value}",
                "week is the mean of the last four weeks: 20 min once makes 5 min a week",
            )


def _baseline_whole(client: Client, origins: Origins) -> Iterator[Problem]:
    """Somebody who runs has a longest run, a pace and a number of runs."""
    if _no_running(client):
        return
    examples = {"longest": "25 min", "pace": "6:45 /km", "runs": "3"}
    for name, written in examples.items():
        if lacks(client.baseline, name):
            yield error(
                origins.at("baseline"),
                "baseline-incomplete",
                f'"{name}" is missing in baseline, and week is over 0 min',
                f"add {name}: {written}",
            )


def _continuous(client: Client, origins: Origins) -> Iterator[Problem]:
    base = client.baseline
    week: Duration | None = known(base, "week")
    if week is not None and week.seconds == 0:
        return
    if base.longest is not None and base.continuous is not None and base.continuous > base.longest:
        yield error(
            origins.value("baseline", "continuous"),
            "baseline-continuous",
            f"continuous is {base.continuous}, over longest, {base.longest}",
            "the longest run without a walk is at most the longest run",
        )


def _longest_and_week(client: Client, origins: Origins) -> Iterator[Problem]:
    base = client.baseline
    if _no_running(client) or base.longest is None:
        return
    if base.longest.seconds > 4 * base.week.seconds:
        yield warning(
            origins.value("baseline", "longest"),
            "baseline-longest",
            f"longest is {base.longest}, over four weeks of {base.week}",
            "week is the mean of the last four weeks; check both",
        )
    elif base.runs is not None and base.runs * base.longest.seconds < base.week.seconds:
        yield warning(
            origins.value("baseline", "week"),
            "baseline-week",
            f"week is {base.week}, but {base.runs} runs of at most {base.longest} do not fill it",
            "check week, runs and longest",
        )


def _baseline_cadence(client: Client, origins: Origins) -> Iterator[Problem]:
    spm = client.baseline.cadence.spm
    origin = origins.value("baseline", "cadence")
    if spm < ONE_FOOT_BELOW_SPM:
        yield warning(
            origin,
            "cadence-one-foot",
            f"{spm} spm is probably one foot, counted alone",
            f"count both feet; if one was counted, write {2 * spm} spm",
        )
    elif spm < WALKING_BELOW_SPM:
        yield warning(
            origin,
            "cadence-walking",
            f"{spm} spm is more like walking: running begins near {WALKING_BELOW_SPM} spm",
            "count again at an easy run, both feet",
        )


def _race_pace(client: Client, origins: Origins) -> Iterator[Problem]:
    race = client.baseline.race
    if race is not None and (odd := odd_pace(race.time, race.distance)):
        yield warning(
            origins.value("baseline", "race", "time"),
            "race-pace",
            f"this race makes {odd} per km",
            "check distance and time; a time is m:ss or h:mm:ss",
        )
        return
    easy: Pace | None = known(client.baseline, "pace")
    if race is None or easy is None:
        return
    times = easy.seconds_per_km / (race.time.seconds / race.distance.km)
    if times > EASY_OVER_RACE:
        yield warning(
            origins.value("baseline", "race", "time"),
            "race-pace",
            f"this race was run {times:.1f} times as fast as the easy run of this baseline",
            "check its distance and time, and the pace; the event's likely time comes from them",
        )


def _race_date(client: Client, origins: Origins) -> Iterator[Problem]:
    race = client.baseline.race
    if race is not None and race.on is not None and race.on > client.baseline.on:
        yield warning(
            origins.value("baseline", "race", "on"),
            "race-after-baseline",
            f"this race is dated after the baseline, {client.baseline.on}",
            "check both dates",
        )


CHECKS: tuple[Check, ...] = (
    _baseline_zero,
    _baseline_whole,
    _continuous,
    _longest_and_week,
    _baseline_cadence,
    _race_pace,
    _race_date,
)
