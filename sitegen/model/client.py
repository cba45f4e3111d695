"""The table of a client's file, `ID.yaml`: one line a field (`sitegen.model.record`)."""

from __future__ import annotations

from datetime import date, time
from typing import Any

from sitegen.model.kinds import (
    AIM,
    BORN,
    CADENCE,
    CLOCK,
    DATE,
    DISTANCE,
    DRILL_ID,
    DURATION,
    DURATION_OR_ZERO,
    LANGUAGE,
    LENGTH,
    LIFT,
    PACE,
    PROSE,
    RACE_TIME,
    RETURN_ID,
    SESSION_ID,
    TEXT,
    TEXT_ID,
    TIMEZONE,
    YES_NO,
    choice,
    duration_between,
    mass,
    percent,
    whole,
)
from sitegen.model.record import Record, row
from sitegen.model.values import Cadence, Distance, Duration, Length, Lift, Mass, Pace, Percent

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
UNITS = ("km", "mi")
MAX_WEEKS = 52  # of a plan
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

# Those of Riebe D et al., Med Sci Sports Exerc 2015;47(11):2473-2479, quoted from memory of the
# paper, in our words.
SYMPTOMS = (
    "pain or pressure in the chest, neck, jaw or arms",
    "short of breath at rest or with little effort",
    "dizziness or fainting",
    "waking up short of breath, or having to sit up to breathe",
    "swollen ankles",
    "a heart that races or stumbles",
    "calf pain in walking that goes with a rest",
    "a heart murmur that a doctor has found",
    "unusual tiredness with usual things",
)


class Screening(Record):
    """The three questions before anything else."""

    on: date = row(DATE, "2027-01-04", "day on which the questions were asked", needed=True, asks="On which day are the next three questions answered?")
    regular_exercise: bool = row(YES_NO, "yes", "30 min of planned exercise on 3 days a week for the last 3 months", needed=True, asks="Over the last 3 months: planned exercise, at least moderate, for 30 min or more on 3 days a week or more?", how="in doubt, no", pen="Over the last 3 months: planned exercise that makes you breathe harder, for 30 minutes or more, on 3 days a week or more?")
    known_disease: bool = row(YES_NO, "no", "known cardiovascular, metabolic or renal disease", needed=True, asks="A known disease of heart or vessels, of metabolism (diabetes is one), or of the kidneys?", how="in doubt, yes", pen="Has a doctor ever found a disease of your heart or vessels, of your metabolism (diabetes is one) or of your kidneys?")
    symptoms: bool = row(YES_NO, "no", "signs or symptoms suggestive of such a disease", needed=True, asks="\n".join(("Any of these, now or lately?", *(f"  - {one}" for one in SYMPTOMS))), how="in doubt, yes", pen=f"Any of these, now or lately: {'; '.join(SYMPTOMS)}?")
    cleared_on: date | None = row(DATE, "2027-01-18", "day of a clinician's clearance", needs="needed before any session, where the answers refer", asks="Has a clinician since said that {called} may run? On which day?", pen="If you said yes to one of the last two, or gave birth or had an operation lately: has a doctor since said that you may run? On which day?")
    cleared_for: str | None = row(choice(*CLEARED_FOR), "easy", "what the clearance is for: easy running, or all, hard sessions too", asks="For easy running alone, or for all, hard sessions too?", pen="For easy running alone, or for hard running too?")
    cleared_by: str | None = row(TEXT, "the family doctor", "who gave it", asks="Who said so?", how="without it the clearance does not count", pen="Who said so?")


class Race(Record):
    """A race that was run."""

    distance: Distance = row(DISTANCE, "5 km", "how long the race was", needed=True, asks="A race of the last months: over what distance?", pen="A race of the last months: how long was it?")
    time: Duration = row(RACE_TIME, "31:20", "the time it took", needed=True, asks="In what time?", pen="In what time?")
    on: date | None = row(DATE, "2027-01-18", "day of the race", asks="On which day?", pen="On which day?")


class Baseline(Record):
    """Where the client starts from."""

    on: date = row(DATE, "2027-01-11", "day on which this was taken down", needed=True, asks="On which day were the numbers below taken down?")
    cadence: Cadence = row(CADENCE, "158 spm", "own step rate at an easy effort, both feet", needed=True, asks="What is the step rate of an easy run, both feet?", how="count one foot for 30 s of easy running and take it times 4", pen="Run easily and count how often one foot lands in 30 seconds. How often? (Leave it open if you have never run.)")
    pace: Pace | None = row(PACE, "6:45 /km", "pace of the easy run it was counted in", needs="needed where week is over 0 min", asks="At what pace was the easy run in which the steps were counted?", pen="If you run: how long do you take for an easy kilometre or mile?")
    week: Duration = row(DURATION_OR_ZERO, "60 min", "mean weekly running of the last four weeks", needed=True, asks="How much did {called} run in a week, as the mean of the last four?", how="all four added, divided by 4; 0 min is a real starting point", pen="How many minutes did you run in each of the last four weeks? (0 is fine)")
    longest: Duration | None = row(DURATION_OR_ZERO, "25 min", "longest single run of the last 30 days", needs="needed where week is over 0 min", asks="What was the longest single run of the last 30 days?", pen="Your longest single run of the last 30 days, in minutes?")
    continuous: Duration | None = row(DURATION_OR_ZERO, "12 min", "longest run without a walk", usual="longest", asks="And the longest without a walk?", pen="And the longest without a walk?")
    runs: int | None = row(whole(0, 14, "runs a week, a whole number"), "3", "runs a week", needs="needed where week is over 0 min", asks="How many runs a week?", pen="How many runs a week?")
    race: Race | None = row(Race, "{distance: 5 km, time: 31:20}", "a race that was run; tempo and interval paces come from it")
    stands_in: bool | None = row(YES_NO, "yes", "yes: these numbers only stand in, and nothing is planned on them")


class Event(Record):
    """Something to be ready for."""

    on: date = row(DATE, "2027-05-16", "day of the event", needed=True, asks="Is there an event? On which day?", pen="An event you have in mind: on which day?")
    distance: Distance = row(DISTANCE, "10 km", "how long it is", needed=True, asks="How long is the event?", pen="How long is it?")
    name: str | None = row(TEXT, "Harbour Ten", "what it is called", asks="What is the event called?", pen="What is it called?")


class Goal(Record):
    """What the client wants, in words, and perhaps an event."""

    text: str | None = row(TEXT, "run 5 km without a walk", "the client's own words", asks="What does {called} want, in the client's own words?", pen="What would you like from running, in your own words?")
    event: Event | None = row(Event, "{on: 2027-05-16, distance: 10 km}", "something to be ready for; the plan freshens up before it")


class Day(Record):
    """What a weekday offers."""

    at: time | None = row(CLOCK, "18:30", "time of day at which the session starts")
    up_to: Duration | None = row(DURATION, "45 min", "longest that a session may take in all")
    uses: list[str] = row(choice("run", "strength"), "[run, strength]", "what the day is for", default=["run"], many="one or list", key="for")


def offer_words(value: object) -> object:
    """``rest`` and ``no`` offer nothing; ``yes`` offers a run with no limit."""
    if isinstance(value, str) and value.strip().lower() in {"rest", "no"}:
        return None
    if isinstance(value, str) and value.strip().lower() == "yes":
        return {}
    return value


class WeekDays(Record):
    """The days that a client has. A day left out is rest."""

    mon: Day | None = row(Day, "{at: 18:30, up_to: 45 min}", "what Monday offers; left out is rest", words=offer_words)
    tue: Day | None = row(Day, "{at: 18:30, up_to: 45 min}", "what Tuesday offers; left out is rest", words=offer_words)
    wed: Day | None = row(Day, "{at: 18:30, up_to: 45 min}", "what Wednesday offers; left out is rest", words=offer_words)
    thu: Day | None = row(Day, "{at: 18:30, up_to: 45 min}", "what Thursday offers; left out is rest", words=offer_words)
    fri: Day | None = row(Day, "{at: 18:30, up_to: 45 min}", "what Friday offers; left out is rest", words=offer_words)
    sat: Day | None = row(Day, "{at: 18:30, up_to: 45 min}", "what Saturday offers; left out is rest", words=offer_words)
    sun: Day | None = row(Day, "{at: 18:30, up_to: 45 min}", "what Sunday offers; left out is rest", words=offer_words)
    long: str | None = row(choice(*DAYS), "mon", "wanted day of the long run", asks="On which day should the long run be?", pen="On which day would a longer run suit you best?")

    def offered(self) -> tuple[Day | None, ...]:
        """Seven days, Monday first; None is rest."""
        return (self.mon, self.tue, self.wed, self.thu, self.fri, self.sat, self.sun)


class Ease(Record):
    """How often a week is made easy, and by how much."""

    every: int | None = row(whole(2, 8, "weeks, a whole number"), "4", "every so many weeks")
    by: Percent | None = row(percent(10, 50), "30 %", "how much less an easy week is")


class Hard(Record):
    """Hard sessions: none unless the coach asks for them."""

    from_week: int | None = row(whole(1, 52, "a week's number"), "5", "first week that may hold one")
    per_week: int | None = row(whole(0, 2, "sessions a week, a whole number"), "1", "how many a week")


class PlanSettings(Record):
    """Length and growth of the plan."""

    from_: date = row(DATE, "2027-01-18", "first day; weeks start on its Monday", needed=True, key="from", asks="On which day does the plan begin? (weeks start on the Monday of it)", pen="When would you like to begin?")
    weeks: int = row(whole(1, MAX_WEEKS, "weeks, a whole number"), "16", "length of the plan", needed=True, asks="How many weeks does it have?")
    growth: Percent | None = row(percent(0, 30), "8 %", "most that a building week grows", usual="10 %", asks="By how much may a building week grow, at most?")
    enough: Duration | None = row(DURATION, "180 min", "running a week at which growth ends, or the baseline where larger", usual="150 min, or what an event needs")
    runs: int | None = row(whole(1, 14, "runs a week, a whole number"), "3", "runs a week", usual="as the days allow")
    ease: Ease = row(Ease, "{every: 4, by: 30 %}", "how often a week is made easy, and by how much", default=Ease)
    hard: Hard | None = row(Hard, "{from_week: 5, per_week: 1}", "hard sessions; left out is none")


class CadenceSettings(Record):
    """Where the step rate should go, and how slowly."""

    aim: Cadence | str | None = row(AIM, "168 spm", "steps a minute to go towards, or keep", usual="by the cadence rule", asks="Where should the step rate go?")
    step: Percent | None = row(percent(0, 5, above_low=True), "3 %", "most that the aim rises at once, as a share of the baseline")
    hold: int | None = row(whole(1, 8, "weeks, a whole number"), "2", "weeks for which the aim then stays")


class Fuel(Record):
    """Collagen with vitamin C before a run. Absent is off."""

    collagen: Mass = row(mass(5000, 20000, "15 g"), "15 g", "how much collagen", default=Mass(15000), asks="How much collagen?")
    vitamin_c: Mass = row(mass(0, 1000, "50 mg"), "50 mg", "how much vitamin C with it; over 200 mg warns", default=Mass(50), asks="How much vitamin C?", how="about 50 mg is usual, and over 200 mg warns")
    before: Duration | None = row(duration_between(30, 60, "fuel-before"), "45 min", "how long before the run", usual="45 min", asks="How long before the run?")
    asked_on: date | None = row(DATE, "2027-01-18", "day on which the cautions were gone through with the client", needs="needed in fuel", in_schema=True)


class Note(Record):
    """A word to the client for one week."""

    week: int = row(whole(1, 52, "a week's number"), "3", "the plan's week in which the client reads it", needed=True)
    text: str = row(PROSE, "Go easy on the hills.", "the words; Markdown, if you like", needed=True)
    read: list[str] = row(TEXT_ID, "[shoes]", "texts of yours that go with it, by id: files in `texts/`", many="one or list")


class Change(Record):
    """The coach's own decision about a day or a week. Obeyed last."""

    on: date | None = row(DATE, "2027-01-18", "the day that is changed", needs="needed: on or week, one of the two*; *with move_to, on")
    week: int | None = row(whole(1, 52, "a week's number"), "6", "or the plan's week that is changed", needs="needed: on or week, one of the two")
    rest: bool | None = row(YES_NO, "yes", "yes: nothing on that day or week; no: lifts a pause from that day on", needs="needed: one of rest, minutes, move_to, kind and cadence")
    minutes: Duration | None = row(DURATION_OR_ZERO, "20 min", "running minutes of that session or week", needs="needed: one of rest, minutes, move_to, kind and cadence")
    move_to: date | None = row(DATE, "2027-01-18", "the day to which that day's session moves", needs="needed: one of rest, minutes, move_to, kind and cadence")
    kind: str | None = row(choice(*SESSION_KINDS, *WEEK_KINDS), "easy", "what the session, or the week, becomes", needs="needed: one of rest, minutes, move_to, kind and cadence")
    cadence: Cadence | None = row(CADENCE, "158 spm", "the aim for that day or week", needs="needed: one of rest, minutes, move_to, kind and cadence")
    session: str | None = row(SESSION_ID, "hills-short", "a session of the library, or your own")
    lifts: Lift | None = row(LIFT, "bone_point_pain 2027-01-05", "the sign that is looked into, and the day on which it was told")
    seen_by: str | None = row(TEXT, "a physiotherapist", "who looked into the sign")
    false_alarm: bool | None = row(YES_NO, "yes", "with lifts: the sign was not meant, or not there; its stop ends without the weeks of coming back")
    because: str = row(TEXT, "travels", "your reason; the client reads it, too", needed=True)


class Away(Record):
    """Days on which the client does not run, known beforehand."""

    from_: date = row(DATE, "2027-02-15", "first day away", needed=True, key="from")
    to: date = row(DATE, "2027-02-21", "last day away", needed=True)
    because: str = row(TEXT, "skiing", "your reason; the client reads it, too", needed=True)


class Return(Record):
    """A way back to running, step by step, after an illness, an injury, a birth or a long rest."""

    after: str = row(RETURN_ID, "long-absence", "what the client comes back from: a return's name", needed=True)
    cleared_on: date | None = row(DATE, "2027-01-18", "day of a clinician's word on it")
    by: str | None = row(TEXT, "the family doctor", "who gave it")


class History(Record):
    """What the first talk found out about health. Each may be left out; nothing is guessed."""

    on: date | None = row(DATE, "2027-01-18", "day of the talk")
    pain_now: str | None = row(TEXT, "right heel in the morning", "pain at present, where, and how much of 10; from 6 on a clinician comes first", asks="Is there pain at present? What, where, and how much of 10?", pen="Do you have pain at present? What, where, and how much of 10?")
    injury: str | None = row(TEXT, "left shin in autumn", "injury of the last 12 months, and where", asks="An injury in the last 12 months? What, and where?", pen="Were you injured in the last 12 months? What, and where?")
    bone_stress: date | int | None = row(BORN, "1984", "year or day of a stress injury of a bone, ever", asks="A stress injury of a bone, ever? In what year?", pen="Did you ever have a stress injury of a bone? In what year?")
    surgery: date | None = row(DATE, "2027-01-18", "day of the last operation", asks="An operation in the last six months? On which day?", pen="An operation in the last six months: on which day?")
    concussion: date | None = row(DATE, "2027-01-18", "day of the last concussion", asks="A concussion in the last six months? On which day?", pen="A concussion in the last six months: on which day?")
    pregnant: bool | None = row(YES_NO, "yes", "whether the client is pregnant", asks="Is {called} pregnant?", pen="Are you pregnant?")
    gave_birth: date | None = row(DATE, "2027-01-18", "day of the last birth", asks="Did {called} give birth? On which day was the last birth?", pen="If you gave birth: on which day, the last time?")
    missed_periods: bool | None = row(YES_NO, "yes", "whether periods have stayed away", asks="Have periods stayed away?", pen="Have your periods stayed away?")
    weight_loss: bool | None = row(YES_NO, "yes", "weight lost without meaning to", asks="Was weight lost without meaning to?", pen="Did you lose weight without meaning to?")
    low_energy: bool | None = row(YES_NO, "yes", "tired for weeks, or eating little", asks="Tired for weeks, or eating little?", pen="Are you tired for weeks, or do you eat little?")
    medicines: list[str] = row(choice(*MEDICINES), "[blood_pressure]", "medicines that matter for running", many="one or list", asks="Any of these medicines?", pen="Do you take medicine for blood pressure or heart rate, a blood thinner, insulin, steroids or antibiotics? Which?")
    fainted: bool | None = row(YES_NO, "yes", "whether the client ever fainted in effort", asks="Did {called} ever faint in effort?", pen="Did you ever faint in effort?")
    sudden_death_in_family: bool | None = row(YES_NO, "yes", "a sudden death in the family under 50", asks="A sudden death in the family under 50?", pen="Did anybody in your family die suddenly under 50?")
    other_sport: str | None = row(TEXT, "swims on Mondays", "other sport and lifting", asks="Other sport and lifting: what, and how often?", pen="Other sport and lifting: what, and how often?")
    heat: str | None = row(TEXT, "none known", "how heat is borne, and any heat illness", asks="How is heat borne, and was there ever a heat illness?", pen="How do you bear heat, and were you ever ill from it?")


class Client(Record):
    """One client, as the coach wrote the file."""

    name: str = row(TEXT, "Mara Quist", "the client's name", needed=True, asks="What is the client's name?", pen="Your name")
    called: str | None = row(TEXT, "Mara", "how the portal greets", usual="the first word of name", asks="How shall the portal greet?", pen="How would you like to be called?")
    status: str = row(choice("active", "paused", "ended"), "active", "paused: the portal shows the pause and no sessions; ended: portal and feed go at the next publish", default="active")
    group: str | None = row(TEXT, "beginners", "a group of practice.yaml, whose settings hold where this file is silent")
    timezone: str | None = row(TIMEZONE, "Europe/Lisbon", "where the client is", usual="the practice's")
    units: str | None = row(choice(*UNITS), "km", "what distances and paces are shown in", usual="the practice's")
    language: str | None = row(LANGUAGE, "en", "the language of the portal", usual="the practice's", asks="In which language does {called} read the plan?")
    born: date | int | None = row(BORN, "1984", "year or date of birth", asks="When was {called} born?", pen="When were you born? (the year will do)")
    height: Length | None = row(LENGTH, "171 cm", "body height", asks="How tall is {called}?", pen="How tall are you?")
    screening: Screening = row(Screening, "{on: 2027-01-04, regular_exercise: yes, known_disease: no, symptoms: no}", "the three questions before anything else", needed=True)
    baseline: Baseline = row(Baseline, "{on: 2027-01-11, cadence: 158 spm, week: 0 min}", "where the client starts from", needed=True)
    goal: Goal = row(Goal, "{text: run 5 km without a walk}", "what the client wants, and perhaps an event", default=Goal)
    rota: list[WeekDays] = row(WeekDays, "{tue: {at: 18:30, up_to: 45 min}, thu: yes, sun: yes}", "the days that the client has; others are rest. A list is weeks in rotation, the plan's first week first", default=(), many="one or list", key="week", needs="needed: one day for running at least")
    plan: PlanSettings = row(PlanSettings, "{from: 2027-01-18, weeks: 16}", "first day, length and growth of the plan", needed=True)
    cadence: CadenceSettings = row(CadenceSettings, "{aim: 168 spm, step: 3 %, hold: 2}", "where the step rate should go, and how slowly", default=CadenceSettings)
    fuel: Fuel | None = row(Fuel, "{collagen: 15 g, vitamin_c: 50 mg, asked_on: 2027-01-11}", "collagen with vitamin C before a run; left out is off")
    drills: list[str] = row(DRILL_ID, "[quiet-landing, tall-posture]", "drills by id", usual="chosen by the plan's stage", many="list")
    away: list[Away] = row(Away, "[{from: 2027-02-15, to: 2027-02-21, because: skiing}]", "holidays, known beforehand", many="list")
    weeks_on: dict[date, WeekDays] = row(WeekDays, "{2027-03-01: {tue: yes, sat: yes}}", "the days of one odd week, by its Monday", many="by name", names=DATE)
    history: History | None = row(History, "{on: 2027-01-04, injury: left shin in autumn}", "what the first talk found out about health")
    return_: Return | None = row(Return, "{after: long-absence, cleared_on: 2027-01-08, by: the family doctor}", "a way back to running, step by step", key="return")
    emergency: str | None = row(TEXT, "'112'", "the emergency number where the client lives", usual="the practice's")
    private: str | None = row(PROSE, "Ask about work before the first long run.", "your own notes; never shown to the client, in no file that is published", private=True, asks="A note for yourself alone?", how="never shown to the client")
    checkins: str | None = row(choice(*CHECKINS), "expected", "expected; or none, agreed with who never logs", usual="the practice's")
    privacy: str | None = row(choice(*PRIVACY), "sealed", "sealed: only the private link opens the portal; open: anyone can", usual="the practice's")
    calendar: str | None = row(choice(*CALENDAR), "discreet", "discreet: the feed says only Run, 35 min; full: parts and beat too; off: none", usual="the practice's")
    rules: dict[str, Any] = row(None, "{volume: {growth: 8 %}}", "values of rule parameters for this client", many="by name")
    notes: list[Note] = row(Note, "[{week: 3, text: Go easy on the hills.}]", "words to the client, by week", many="list")
    changes: list[Change] = row(Change, "[{on: 2027-02-09, rest: yes, because: travels}]", "the coach's own decisions; obeyed last", many="list")

    @property
    def week(self) -> WeekDays:
        """The days of a usual week: the first of those in rotation."""
        return self.rota[0] if self.rota else WeekDays()

    @property
    def greeting(self) -> str:
        """How the portal speaks to the client."""
        return self.called or self.name.split()[0]

    @property
    def unasked(self) -> bool:
        """Whether no check-in is expected: by agreement, or in the coach's pause."""
        return self.checkins == "none" or self.status != "active"
