"""One client's file, `ID.yaml`: what the coach writes."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from sitegen.model.kinds import (
    AimText,
    BornText,
    CadenceText,
    ClockText,
    DateText,
    DistanceText,
    DurationOrZeroText,
    DurationText,
    IdText,
    LanguageText,
    LengthText,
    LiftText,
    PaceText,
    Prose,
    RaceTimeText,
    ReturnText,
    SessionText,
    Text,
    TextIdText,
    TimezoneText,
    YesNo,
    choice,
    mass,
    percent,
    whole,
)
from sitegen.model.values import Mass, Percent

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
UNITS = ("km", "mi")
PRIVACY = ("sealed", "open")
CALENDAR = ("discreet", "full", "off")
SESSION_KINDS = (
    "easy", "long", "run_walk", "beat", "strides", "tempo", "intervals", "strength",
)  # fmt: skip
WEEK_KINDS = ("build", "ease", "hold")
CHECKINS = ("expected", "none")
CLEARED_FOR = ("easy", "all")
MEDICINES = (
    "blood_pressure", "heart_rate", "blood_thinner", "insulin", "steroids", "antibiotics", "other",
)  # fmt: skip


class Written(BaseModel):
    """A map in a coach's file: frozen, and a key that it does not know is a slip."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, arbitrary_types_allowed=True, populate_by_name=True
    )


class Screening(Written):
    """The three questions before anything else."""

    on: DateText = Field(description="day on which the questions were asked")
    regular_exercise: YesNo = Field(
        description="30 min of planned exercise on 3 days a week for the last 3 months"
    )
    known_disease: YesNo = Field(description="known cardiovascular, metabolic or renal disease")
    symptoms: YesNo = Field(description="signs or symptoms suggestive of such a disease")
    cleared_on: DateText | None = Field(None, description="day of a clinician's clearance")
    cleared_for: Annotated[str, choice(*CLEARED_FOR)] | None = Field(
        None, description="what the clearance is for: easy running, or all, hard sessions too"
    )
    cleared_by: Text | None = Field(None, description="who gave it")


class Race(Written):
    """A race that was run."""

    distance: DistanceText
    time: RaceTimeText
    on: DateText | None = None


class Baseline(Written):
    """Where the client starts from."""

    on: DateText = Field(description="day on which this was taken down")
    cadence: CadenceText = Field(description="own step rate at an easy effort, both feet")
    pace: PaceText | None = Field(None, description="pace of the easy run it was counted in")
    week: DurationOrZeroText = Field(description="mean weekly running of the last four weeks")
    longest: DurationOrZeroText | None = Field(
        None, description="longest single run of the last 30 days"
    )
    continuous: DurationOrZeroText | None = Field(
        None, description="longest run without a walk; default: longest"
    )
    runs: Annotated[int, whole(0, 14, "runs a week, a whole number")] | None = Field(
        None, description="runs a week"
    )
    race: Race | None = None
    stands_in: YesNo | None = Field(
        None, description="yes: these numbers only stand in, and nothing is planned on them"
    )


class Event(Written):
    """Something to be ready for."""

    on: DateText
    distance: DistanceText
    name: Text | None = None


class Goal(Written):
    """What the client wants, in words, and perhaps an event."""

    text: Text | None = None
    event: Event | None = None


def _one_or_many(value: object) -> object:
    """``for: run`` means ``for: [run]``."""
    return [value] if isinstance(value, str) else value


class Day(Written):
    """What a weekday offers."""

    at: ClockText | None = Field(None, description="time of day at which the session starts")
    up_to: DurationText | None = Field(None, description="longest that a session may take in all")
    uses: Annotated[
        list[Annotated[str, choice("run", "strength")]], BeforeValidator(_one_or_many)
    ] = Field(default_factory=lambda: ["run"], alias="for", description="what the day is for")


def _day(value: object) -> object:
    """``rest`` and ``no`` offer nothing; ``yes`` offers a run with no limit."""
    if isinstance(value, str) and value.strip().lower() in {"rest", "no"}:
        return None
    if isinstance(value, str) and value.strip().lower() == "yes":
        return {}
    return value


DayText = Annotated[Day | None, BeforeValidator(_day)]


class WeekDays(Written):
    """The days that a client has. A day left out is rest."""

    mon: DayText = None
    tue: DayText = None
    wed: DayText = None
    thu: DayText = None
    fri: DayText = None
    sat: DayText = None
    sun: DayText = None
    long: Annotated[str, choice(*DAYS)] | None = Field(
        None, description="wanted day of the long run"
    )

    def offered(self) -> tuple[Day | None, ...]:
        """Seven days, Monday first; None is rest."""
        return (self.mon, self.tue, self.wed, self.thu, self.fri, self.sat, self.sun)


class Ease(Written):
    """How often a week is made easy, and by how much."""

    every: Annotated[int, whole(2, 8, "weeks, a whole number")] | None = None
    by: Annotated[Percent, percent(10, 50)] | None = None


class Hard(Written):
    """Hard sessions: none unless the coach asks for them."""

    from_week: Annotated[int, whole(1, 52, "a week's number")] | None = None
    per_week: Annotated[int, whole(0, 2, "sessions a week, a whole number")] | None = None


class PlanSettings(Written):
    """Length and growth of the plan."""

    from_: DateText = Field(alias="from", description="first day; weeks start on its Monday")
    weeks: Annotated[int, whole(1, 52, "weeks, a whole number")] = Field(
        description="length of the plan"
    )
    growth: Annotated[Percent, percent(0, 30)] | None = Field(
        None, description="most that a building week grows; default 10 %"
    )
    enough: DurationText | None = Field(
        None, description="running a week at which growth ends: enough is enough"
    )
    runs: Annotated[int, whole(1, 14, "runs a week, a whole number")] | None = Field(
        None, description="runs a week; default: as the days allow"
    )
    ease: Ease = Field(default_factory=Ease)
    hard: Hard | None = None


class CadenceSettings(Written):
    """Where the step rate should go, and how slowly."""

    aim: AimText | None = None
    step: Annotated[Percent, percent(0, 5, above_low=True)] | None = None
    hold: Annotated[int, whole(1, 8, "weeks, a whole number")] | None = None


class Fuel(Written):
    """Collagen with vitamin C before a run. Absent is off."""

    collagen: Annotated[Mass, mass(5_000, 20_000, "15 g")] = Mass(15_000)
    vitamin_c: Annotated[Mass, mass(0, 1000, "50 mg")] = Mass(50)
    before: DurationText | None = Field(None, description="30 to 60 min; default 45 min")
    asked_on: DateText | None = Field(
        None, description="day on which the cautions were gone through with the client"
    )


ToRead = Annotated[list[TextIdText], BeforeValidator(_one_or_many)]


class Note(Written):
    """A word to the client for one week."""

    week: Annotated[int, whole(1, 52, "a week's number")]
    text: Prose
    read: ToRead = Field(default_factory=list)


class Change(Written):
    """The coach's own decision about a day or a week. Obeyed last."""

    on: DateText | None = None
    week: Annotated[int, whole(1, 52, "a week's number")] | None = None
    rest: YesNo | None = Field(
        None, description="yes: nothing on that day or week; no: lifts a pause from that day on"
    )
    minutes: DurationOrZeroText | None = None
    move_to: DateText | None = None
    kind: Annotated[str, choice(*SESSION_KINDS, *WEEK_KINDS)] | None = None
    cadence: CadenceText | None = None
    session: SessionText | None = Field(None, description="a session of the library, or your own")
    lifts: LiftText | None = Field(
        None, description="the sign that is looked into, and the day on which it was told"
    )
    seen_by: Text | None = Field(None, description="who looked into the sign")
    because: Text


class Away(Written):
    """Days on which the client does not run, known beforehand."""

    from_: DateText = Field(alias="from", description="first day away")
    to: DateText = Field(description="last day away")
    because: Text = Field(description="your reason; the client reads it, too")


class Return(Written):
    """A way back to running, step by step, after an illness, an injury, a birth or a long rest."""

    after: ReturnText = Field(description="what the client comes back from: a return's name")
    cleared_on: DateText | None = Field(None, description="day of a clinician's word on it")
    by: Text | None = Field(None, description="who gave it")


class History(Written):
    """What the first talk found out about health. Each may be left out; nothing is guessed."""

    on: DateText | None = Field(None, description="day of the talk")
    pain_now: Text | None = Field(None, description="pain at present, and where")
    injury: Text | None = Field(None, description="injury of the last 12 months, and where")
    bone_stress: BornText | None = Field(
        None, description="year or day of a stress injury of a bone, ever"
    )
    surgery: DateText | None = Field(None, description="day of the last operation")
    concussion: DateText | None = Field(None, description="day of the last concussion")
    pregnant: YesNo | None = Field(None, description="whether the client is pregnant")
    gave_birth: DateText | None = Field(None, description="day of the last birth")
    missed_periods: YesNo | None = Field(None, description="whether periods have stayed away")
    weight_loss: YesNo | None = Field(None, description="weight lost without meaning to")
    low_energy: YesNo | None = Field(None, description="tired for weeks, or eating little")
    medicines: Annotated[
        list[Annotated[str, choice(*MEDICINES)]], BeforeValidator(_one_or_many)
    ] = Field(default_factory=list, description="medicines that matter for running")
    fainted: YesNo | None = Field(None, description="whether the client ever fainted in effort")
    sudden_death_in_family: YesNo | None = Field(
        None, description="a sudden death in the family under 50"
    )
    other_sport: Text | None = Field(None, description="other sport and lifting")
    heat: Text | None = Field(None, description="how heat is borne, and any heat illness")


class Client(Written):
    """One client, as the coach wrote the file."""

    name: Text = Field(description="the client's name")
    called: Text | None = Field(
        None, description="how the portal greets; default: the first word of name"
    )
    status: Annotated[str, choice("active", "paused", "ended")] = Field(
        "active",
        description="paused: the portal shows the pause and no sessions; "
        "ended: portal and feed go at the next publish",
    )
    group: Text | None = Field(
        None, description="a group of practice.yaml, whose settings hold where this file is silent"
    )
    timezone: TimezoneText | None = Field(None, description="default: the practice's")
    units: Annotated[str, choice(*UNITS)] | None = Field(
        None, description="default: the practice's"
    )
    language: LanguageText | None = Field(None, description="default: the practice's")
    born: BornText | None = Field(None, description="year or date of birth")
    height: LengthText | None = Field(None, description="body height")
    screening: Screening = Field(description="the three questions before anything else")
    baseline: Baseline = Field(description="where the client starts from")
    goal: Goal = Field(
        default_factory=Goal, description="what the client wants, and perhaps an event"
    )
    week: WeekDays = Field(
        default_factory=WeekDays, description="the days that the client has; others are rest"
    )
    plan: PlanSettings = Field(description="first day, length and growth of the plan")
    cadence: CadenceSettings = Field(
        default_factory=CadenceSettings,
        description="where the step rate should go, and how slowly",
    )
    fuel: Fuel | None = Field(
        None, description="collagen with vitamin C before a run; left out is off"
    )
    drills: list[IdText] = Field(
        default_factory=list, description="drills by id; default: chosen by the plan's stage"
    )
    away: list[Away] = Field(default_factory=list, description="holidays, known beforehand")
    weeks_on: dict[DateText, WeekDays] = Field(
        default_factory=dict, description="the days of one odd week, by its Monday"
    )
    history: History | None = Field(None, description="what the first talk found out about health")
    return_: Return | None = Field(
        None, alias="return", description="a way back to running, step by step"
    )
    emergency: Text | None = Field(
        None, description="the emergency number where the client lives; default: the practice's"
    )
    private: Prose | None = Field(
        None, description="your own notes; never shown to the client, in no file that is published"
    )
    checkins: Annotated[str, choice(*CHECKINS)] | None = Field(
        None, description="expected; or none, agreed with who never logs; default: the practice's"
    )
    privacy: Annotated[str, choice(*PRIVACY)] | None = Field(
        None, description="sealed: only the private link opens the portal; open: anyone can"
    )
    calendar: Annotated[str, choice(*CALENDAR)] | None = Field(
        None,
        description="discreet: the feed says only Run, 35 min; full: parts and beat too; off: none",
    )
    rules: dict[str, Any] = Field(
        default_factory=dict, description="values of rule parameters for this client"
    )
    notes: list[Note] = Field(default_factory=list, description="words to the client, by week")
    changes: list[Change] = Field(
        default_factory=list, description="the coach's own decisions; obeyed last"
    )

    @property
    def greeting(self) -> str:
        """How the portal speaks to the client."""
        return self.called or self.name.split()[0]
