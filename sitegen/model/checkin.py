"""One check-in: what a client did and felt. A log is a list of them, newest last."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from sitegen.model.client import Written
from sitegen.model.kinds import (
    CadenceText,
    DateText,
    DistanceText,
    DurationText,
    Prose,
    Score,
    choice,
)
from sitegen.model.kinds import Text as TextKind

URGENT_SIGNS = ("chest_pain", "fainting", "breathless_at_rest", "calf_swelling")
OTHER_SIGNS = (
    "swelling", "limp", "night_pain", "locking", "giving_way", "bone_point_pain",
)  # fmt: skip
SIGNS = OTHER_SIGNS + URGENT_SIGNS
LANDINGS = ("quiet", "mixed", "loud")
SKIPPED = ("ill", "travel", "pain", "time", "other")


class Pain(Written):
    """Pain from 0, none, to 10, worst imaginable."""

    during: Score | None = None
    after: Score | None = None
    next_morning: Score | None = None
    site: TextKind | None = None

    @property
    def session_worst(self) -> int | None:
        """The worse of during and after; None where neither was told."""
        told = [s for s in (self.during, self.after) if s is not None]
        return max(told) if told else None

    @property
    def worst(self) -> int | None:
        told = [s for s in (self.during, self.after, self.next_morning) if s is not None]
        return max(told) if told else None

    @property
    def worse_next_morning(self) -> bool:
        """More pain the next morning than in the session."""
        during = self.session_worst
        return during is not None and self.next_morning is not None and self.next_morning > during


class CheckIn(Written):
    """One session, done or skipped. Two on one date are two sessions."""

    on: DateText
    ran: DurationText | None = None
    distance: DistanceText | None = None
    cadence: CadenceText | None = None
    effort: Score | None = None
    pain: Pain | None = None
    landing: Annotated[str, choice(*LANDINGS)] | None = None
    signs: list[Annotated[str, choice(*SIGNS)]] = Field(default_factory=list)
    skipped: Annotated[str, choice(*SKIPPED)] | None = None
    said: Prose | None = None

    @property
    def is_run(self) -> bool:
        """True where a run was done: minutes or a distance, and not skipped."""
        return self.skipped is None and (self.ran is not None or self.distance is not None)
