"""One check-in: what a client did and felt. A log is a list of them, newest last."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from sitegen.model.client import Written
from sitegen.model.kinds import (
    CadenceText,
    DateText,
    DecibelText,
    DistanceText,
    DurationText,
    Prose,
    Score,
    YesNo,
    choice,
    whole,
)
from sitegen.model.kinds import Text as TextKind

URGENT_SIGNS = (
    "chest_pain", "fainting", "near_fainting", "breathless_at_rest", "breathless_out_of_proportion",
    "heat_confusion", "one_sided_weakness", "worst_headache", "calf_swelling",
)  # fmt: skip
OTHER_SIGNS = (
    "swelling", "limp", "night_pain", "locking", "giving_way", "bone_point_pain",
    "palpitations", "dark_urine", "hot_joint", "cannot_bear_weight", "fever",
)  # fmt: skip
SIGNS = OTHER_SIGNS + URGENT_SIGNS
LANDINGS = ("quiet", "mixed", "loud")
HEARD_PARTS = ("usual", "quieter", "beat", "usual_again")
SKIPPED = ("ill", "travel", "pain", "time", "other")


class Pain(Written):
    """Pain from 0, none, to 10, worst imaginable."""

    during: Score | None = None
    after: Score | None = None
    next_morning: Score | None = None
    before: Score | None = None
    walking: Score | None = None
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


class Heard(Written):
    """One part of a listening check: numbers that the client's own device made of steps."""

    part: Annotated[str, choice(*HEARD_PARTS)]
    spm: CadenceText | None = None
    steps: Annotated[int, whole(0, 1000, "steps, a whole number")] | None = None
    difference_db: DecibelText | None = None
    snr_db: DecibelText | None = None
    place: TextKind | None = None


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
    well_again: YesNo | None = None
    heard: list[Heard] = Field(default_factory=list)
    received: DateText | None = None
    said: Prose | None = None

    @property
    def is_run(self) -> bool:
        """True where a run was done: minutes or a distance, and not skipped."""
        return self.skipped is None and (self.ran is not None or self.distance is not None)
