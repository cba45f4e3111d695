"""One check-in: what a client did and felt. A log is a list of them, newest last."""

from __future__ import annotations

from datetime import date

from sitegen.model.kinds import (
    CADENCE,
    CHECKIN_ID,
    DATE,
    DECIBEL,
    DISTANCE,
    DURATION,
    PROSE,
    SCORE,
    TEXT,
    YES_NO,
    choice,
    whole,
)
from sitegen.model.record import Record, row
from sitegen.model.values import Cadence, Distance, Duration

# What can be ticked; how urgent each is says `sitegen.care.signs`.
SIGNS = (
    "swelling", "limp", "night_pain", "locking", "giving_way", "bone_point_pain", "calf_swelling",
    "palpitations", "dark_urine", "hot_joint", "cannot_bear_weight", "saddle_numbness", "fever",
    "chest_cold", "upset_stomach", "chest_pain", "fainting", "near_fainting", "breathless_at_rest",
    "breathless_out_of_proportion", "heat_confusion", "one_sided_weakness", "worst_headache",
    "coughing_blood", "cold_limb",
)  # fmt: skip
LANDINGS = ("quiet", "mixed", "loud")
HEARD_PARTS = ("usual", "quieter", "beat", "usual_again")
SKIPPED = ("ill", "travel", "pain", "time", "other")
SKIPPED_UNWELL = ("ill", "pain")  # of these, what speaks of health


class Pain(Record):
    """Pain from 0, none, to 10, worst imaginable."""

    during: int | None = row(SCORE, "2", "worst while running")
    after: int | None = row(SCORE, "1", "worst in the hours after")
    next_morning: int | None = row(SCORE, "1", "worst the next morning")
    before: int | None = row(SCORE, "1", "in the hours before the run")
    walking: int | None = row(SCORE, "0", "in walking")
    site: str | None = row(TEXT, "left shin", "where it hurts")

    @property
    def session_worst(self) -> int | None:
        """The worse of during and after; None where neither was told."""
        told = [s for s in (self.during, self.after) if s is not None]
        return max(told) if told else None

    @property
    def worst(self) -> int | None:
        """The highest of what the session brought; pain in walking is no milder than in a run."""
        scores = (self.during, self.after, self.next_morning, self.walking)
        told = [score for score in scores if score is not None]
        return max(told) if told else None

    @property
    def worse_next_morning(self) -> bool:
        """More pain the next morning than in the session."""
        during = self.session_worst
        return during is not None and self.next_morning is not None and self.next_morning > during


class Heard(Record):
    """One part of a listening check: numbers that the client's own device made of steps."""

    part: str = row(choice(*HEARD_PARTS), "quieter", "which part of the check", needed=True)
    spm: Cadence | None = row(CADENCE, "158 spm", "steps a minute that were heard")
    steps: int | None = row(whole(0, 1000, 'steps, a whole number'), "162", "steps that were heard")
    difference_db: float | None = row(DECIBEL, "-3.5", "how much louder than the usual part; below 0 is quieter")
    snr_db: float | None = row(DECIBEL, "12", "how far the steps stood out of the noise")
    place: str | None = row(TEXT, "on the floor beside the treadmill", "where the device was")


    @property
    def says(self) -> str:
        """``quieter 162 spm, 3.5 dB quieter``."""
        told = [self.part.replace("_", " ")]
        told[0] += f" {self.spm}" if self.spm else ""
        if self.difference_db:
            way = "quieter" if self.difference_db < 0 else "louder"
            told.append(f"{abs(self.difference_db):g} dB {way}")
        elif self.difference_db is not None:
            told.append("as loud")
        return ", ".join(told)


class CheckIn(Record):
    """One session, done or skipped. Two on one date are two sessions."""

    EXAMPLE = "{on: 2027-01-19, ran: 24 min}"

    on: date = row(DATE, "2027-01-19", "day of the session", needed=True)
    ran: Duration | None = row(DURATION, "24 min", "how long the run was")
    walked: Duration | None = row(DURATION, "30 min", "how long the walk was, where no running was told")
    distance: Distance | None = row(DISTANCE, "3.8 km", "how far")
    cadence: Cadence | None = row(CADENCE, "158 spm", "step rate that was counted or shown, both feet")
    effort: int | None = row(SCORE, "3", "how hard it felt, 0 to 10")
    pain: Pain | None = row(Pain, "{during: 2, after: 1, next_morning: 1}", "pain from 0, none, to 10, worst imaginable")
    landing: str | None = row(choice(*LANDINGS), "quiet", "how the feet sounded")
    signs: list[str] = row(choice(*SIGNS), "[swelling]", "signs that stop or pause the plan", many="list")
    skipped: str | None = row(choice(*SKIPPED), "ill", "why the session was not done")
    well_again: bool | None = row(YES_NO, "yes", "yes: the illness is over")
    heard: list[Heard] = row(Heard, "[{part: quieter, spm: 162 spm, steps: 162, difference_db: -3.5, snr_db: 12}]", "numbers of a listening check, made on the client's own device; they move no plan", many="list")
    received: date | None = row(DATE, "2027-01-20", "day on which the check-in came in; `sitegen receive` writes it")
    id: str | None = row(CHECKIN_ID, "kqvbnrtwzd", "letters by which the client's device knows that this check-in was taken in; it writes them")
    signed: str | None = row(TEXT, "yes", "`yes`, `no` or `changed`: whether the link's own page wrote this; `sitegen receive` writes it, and reads the letters that stand here in a message")
    said: str | None = row(PROSE, "Felt light. The wind was cold.", "anything the client wants to tell you")

    @property
    def is_run(self) -> bool:
        """True where a run was done: minutes or a distance, not walked, and not skipped."""
        has_length = self.ran is not None or (self.distance is not None and self.walked is None)
        return self.skipped is None and has_length

    @property
    def is_run_or_walk(self) -> bool:
        """True where a run was done, or the walk that a day without running asked for."""
        return self.is_run or (self.skipped is None and self.walked is not None)

    @property
    def heard_spm(self) -> float | None:
        """Steps a minute as usual, by a listening check: the mean of its two usual parts."""
        rates = [one.spm.spm for one in self.heard if one.part.startswith("usual") and one.spm]
        return sum(rates) / len(rates) if rates else None
