"""Plans with an event, over days, volumes, distances, lengths of plan and what the days offer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from functools import cache
from itertools import product
from typing import NamedTuple

from generated import runner
from sitegen.model.plan import Plan, Session
from support import plan_of

MONDAY = date(2027, 1, 4)
DAYS = {
    2: ("wed", "sun"),
    3: ("tue", "thu", "sun"),
    4: ("tue", "thu", "sat", "sun"),
    5: ("mon", "tue", "thu", "sat", "sun"),
    6: ("mon", "tue", "wed", "thu", "sat", "sun"),
}
WEEKS = (60, 90, 120, 150, 180, 240)  # running minutes a week before the plan
DISTANCES = ("5 km", "10 km", "half marathon", "marathon")
LENGTHS = (12, 20)  # weeks
LIMITS = ("1 h", "1 h 30 min", "2 h 30 min", "4 h")  # on Sundays; other days 1 h 30 min at most


class EventPlan(NamedTuple):
    """One plan of the sweep and what it was made from."""

    days: int
    week: int
    distance: str
    weeks: int
    limit: str
    on: date
    longest: int
    text: str
    plan: Plan

    @property
    def runs(self) -> list[Session]:
        """Runs before the event."""
        return [s for s in self.plan.sessions if s.is_run and s.on < self.on]

    @property
    def told(self) -> str:
        """What is told of an event out of reach; empty where it is not."""
        found = (p for p in self.plan.problems if p.code == "event-reach")
        return next((f"{p.message} ({p.hint})" for p in found), "")


drawn = cache(plan_of)  # sweeps of several files share plans


def sweep(
    *,
    days: Sequence[int] = tuple(DAYS),
    weeks: Sequence[int] = WEEKS,
    distances: Sequence[str] = DISTANCES,
    lengths: Sequence[int] = LENGTHS,
    limits: Sequence[str] = LIMITS,
) -> Iterator[EventPlan]:
    """All 960 of them where nothing is left out. The event is on the plan's last Sunday."""
    for n, minutes, distance, length, limit in product(days, weeks, distances, lengths, limits):
        on = MONDAY + timedelta(days=7 * length - 1)
        longest = min(max(30, round(minutes * 0.4)), 90)
        other = "1 h" if limit == "1 h" else "1 h 30 min"
        week = ", ".join(f"{d}: {{up_to: {limit if d == 'sun' else other}}}" for d in DAYS[n])
        text = runner(
            baseline=f"{{on: 2027-01-04, cadence: 172 spm, pace: 6:30 /km, week: {minutes} min, "
            f"longest: {longest} min, runs: {min(n, 4)}}}",
            week=f"{{{week}, long: sun}}",
            plan=f"{{from: {MONDAY}, weeks: {length}, hard: {{from_week: 5, per_week: 1}}}}",
            more=f"goal: {{event: {{on: {on}, distance: {distance}}}}}",
        )
        yield EventPlan(n, minutes, distance, length, limit, on, longest, text, drawn(text))
