"""Kinds of runners: what the coach wrote of them, and how they are with a plan.

All are invented. None stands for how often anybody misses, forgets or overdoes; they differ in
one thing each, so that what a plan does with it can be seen.
"""

from __future__ import annotations

from dataclasses import dataclass, field

FIRST = "2027-01-04"  # a Monday


@dataclass(frozen=True)
class Runner:
    """How somebody is with a plan.

    Shares are chances from 0 to 1: ``does`` a run that was told, ``tells`` of one that was run,
    ``tells_missed`` of one that was not. ``amount`` is the share of a run's minutes that is run,
    ``extra`` the chance of a run of 30 min on a day without one. ``late`` is by how many days at
    most an entry comes late; ``sturdy`` times two of the longest run is what the invented tissue
    bears; ``ill`` is the length of one illness in days, ``away`` weeks by number in which nothing
    is run, and told as travel.
    """

    name: str
    words: str
    baseline: str = (
        "{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 120 min, "
        "longest: 45 min, runs: 3}"
    )
    week: str = "{tue: {}, thu: {}, sat: {}, sun: {}, long: sun}"
    plan: str = "{from: 2027-01-04, weeks: 16}"
    event: str = ""
    event_on: str = ""
    screening: str = "{on: 2026-12-01, regular_exercise: yes, known_disease: no, symptoms: no}"
    more: str = ""
    does: float = 0.97
    tells: float = 1.0
    tells_missed: float = 1.0
    amount: float = 1.0
    extra: float = 0.0
    late: int = 0
    sturdy: float = 1.5
    ill: int = 0
    away: tuple[int, ...] = field(default=())

    @property
    def text(self) -> str:
        """The client's file."""
        goal = (
            f"goal: {{event: {{on: {self.event_on}, distance: {self.event}}}}}\n"
            if self.event
            else ""
        )
        return (
            f"name: Sam Vale\nscreening: {self.screening}\nbaseline: {self.baseline}\n"
            f"week: {self.week}\nplan: {self.plan}\n{goal}{self.more}\n"
        )


TEN = {"event": "10 km", "event_on": "2027-04-25"}  # Sunday of week 16
HALF = "{on: 2027-01-04, cadence: 162 spm, pace: 6:10 /km, week: 150 min, longest: 60 min, runs: 4}"
MARATHON = (
    "{on: 2027-01-04, cadence: 166 spm, pace: 5:50 /km, week: 240 min, longest: 90 min, runs: 5}"
)

RUNNERS = (
    Runner("steady", "runs nearly all, tells of all", **TEN),
    Runner("busy", "misses one run in five, at random, and says so", does=0.8, **TEN),
    Runner(
        "silent", "runs nearly all, tells of half", does=0.95, tells=0.5, tells_missed=0.5, **TEN
    ),
    Runner("late", "tells up to five days late", late=5, **TEN),
    Runner("short", "runs 80 % of the minutes", amount=0.8, **TEN),
    Runner("eager", "runs a third more, and on days off", amount=1.33, extra=0.12, **TEN),
    Runner(
        "sore knee",
        "hurts early; profile knee",
        sturdy=0.8,
        more="rules: {pain: {profile: knee}}",
        **TEN,
    ),
    Runner("winter", "ill for 6 to 14 days", ill=14, **TEN),
    Runner("traveller", "every fifth week away, and says so", away=(5, 10, 15), **TEN),
    Runner(
        "from nothing",
        "never ran; three days a week",
        baseline="{on: 2027-01-04, cadence: 156 spm, week: 0 min}",
        week="{mon: {}, wed: {}, sat: {}, long: sat}",
        screening="{on: 2026-12-01, regular_exercise: no, known_disease: no, symptoms: no}",
        does=0.9,
        event="5 km",
        event_on="2027-04-25",
    ),
    Runner(
        "masters 66",
        "66 years, 90 min a week",
        baseline="{on: 2027-01-04, cadence: 158 spm, pace: 7:20 /km, week: 90 min, "
        "longest: 40 min, runs: 3}",
        more="born: 1961",
        does=0.93,
        sturdy=1.2,
        **TEN,
    ),
    Runner(
        "half",
        "half marathon in 20 weeks from 150 min, four days",
        baseline=HALF,
        week="{tue: {}, wed: {}, fri: {}, sun: {}, long: sun}",
        plan="{from: 2027-01-04, weeks: 20}",
        event="half marathon",
        event_on="2027-05-23",
        does=0.93,
    ),
    Runner(
        "marathon",
        "marathon in 20 weeks from 240 min, five days",
        baseline=MARATHON,
        week="{mon: {}, tue: {}, thu: {}, fri: {}, sun: {}, long: sun}",
        plan="{from: 2027-01-04, weeks: 20}",
        event="marathon",
        event_on="2027-05-23",
        does=0.93,
    ),
)
