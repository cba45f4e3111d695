"""The first talk with a client, as data: what is asked, how an answer is written, where it goes.

Each question names the field of the client's file that it fills; how the answer is read, and what
is said to a slip, comes from that field's own kind. The order is that of a real talk. Questions
that have no single field (days, the event, the cautions) bring a reader of their own.

The symptoms are those of Riebe D et al., Med Sci Sports Exerc 2015;47(11):2473-2479, quoted from
memory of the paper, in our words. The cautions about collagen are general knowledge, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from sitegen.model.client import DAYS, Client
from sitegen.model.kinds import (
    Kind,
    Unfit,
    choice,
    one_of,
    parse_clock,
    parse_duration,
    parse_yes_no,
    slip,
)
from sitegen.model.record import row_at
from sitegen.model.values import Cadence, Duration

DAY_NAMES = dict(zip(DAYS, ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday",
                            "Sunday"), strict=True))  # fmt: skip
USUAL_WEEKS = 16
MAX_WEEKS = 52
_UNKNOWN = re.compile(r"(?:i )?(?:don.?t|do not) know|not known|unknown|dunno|\?|-|", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Answer:
    """What was answered: as it was written, and what it means. None is "don't know".

    ``is_usual`` where nothing was typed and the usual answer was taken.
    """

    text: str
    value: Any = None
    is_usual: bool = field(default=False, compare=False)

    @property
    def known(self) -> bool:
        return self.value is not None


Answers = Mapping[str, Answer]


@dataclass(frozen=True, slots=True)
class Slip:
    """Why an answer can't be taken, and what to write instead."""

    message: str
    hint: str
    code: str

    def __str__(self) -> str:
        return f"{self.message} ({self.hint})" if self.hint else self.message


def always(answers: Answers) -> bool:
    return True


def fits(value: Any, answers: Answers, today: date) -> Slip | None:
    return None


def nothing(answers: Answers, today: date) -> str:
    return ""


@dataclass(frozen=True, slots=True)
class Question:
    """One question.

    Args:
        key: Its name in a file of answers.
        section: The part of the talk.
        asks: The question; ``{called}`` is the client.
        how: Unit, example and bounds of an answer.
        example: An answer that is taken.
        field: Dotted path in the client's file; empty where the answer goes in another way.
        reads: Text to value, in place of the field's own kind.
        assumed: What is taken where nobody knows; empty: the answer is needed.
        usual: The answer that is taken where none is given, written as a coach would.
        when: Whether it is asked, after these answers.
        check: What the answer says together with those before it.
        needs: Keys that ``when`` and ``check`` look at.
        later: Not asked of who is referred, as it is of use once there is a clearance.
        sheet: The same for the client's own pen; empty: not on the sheet.
    """

    key: str
    section: str
    asks: str
    how: str
    example: str
    field: str = ""
    reads: Callable[[str], Any] | None = None
    assumed: str = ""
    usual: Callable[[Answers, date], str] = nothing
    when: Callable[[Answers], bool] = always
    check: Callable[[Any, Answers, date], Slip | None] = fits
    needs: tuple[str, ...] = ()
    later: bool = False
    sheet: str = ""

    def read(
        self, text: str, answers: Answers, today: date, *, alone: bool = False
    ) -> Answer | Slip:
        """An answer, or what is wrong with it. ``alone`` leaves earlier answers out of it."""
        text = text.strip()
        is_usual = _UNKNOWN.fullmatch(text) is not None
        if is_usual:
            text = self.usual(answers, today) if not alone else ""
            if not text and self.assumed:
                return Answer("")
            if not text:
                return Slip("this answer is needed", self.how, "answer-needed")
        try:
            value = self.reads(text) if self.reads else kind_at(self.field).validate(text)
        except Unfit as unfit:
            return Slip(unfit.message, unfit.hint, unfit.code)
        wrong = None if alone else self.check(value, answers, today)
        return wrong or Answer(text, value, is_usual)


# --- the kinds of the file's fields -----------------------------------------------------------


def kind_at(path: str) -> Kind:
    """The kind of a field of the client's file, by its dotted path.

    Raises:
        KeyError: The table has no such field, or it is a map.
    """
    found = row_at(Client, tuple(path.split(".")))
    if found is None or found.value is None:
        raise KeyError(path)
    return found.value


def described(path: str) -> str:
    """What the table says of a field."""
    found = row_at(Client, tuple(path.split(".")))
    return found.told if found is not None else ""


# --- answers with a reader of their own -------------------------------------------------------

_CLOCK_FIRST = re.compile(r"(?:from\s+)?(?P<at>[0-9]{1,2}:[0-9]{2})\b")
_USE_LAST = re.compile(r"\b(?P<use>strength|run|both)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class DayOffer:
    """What a weekday offers; ``at`` and ``up_to`` as they were written, empty for any."""

    at: str = ""
    up_to: str = ""
    strength_alone: bool = False


REST = DayOffer(at="rest")


def read_day(text: str) -> DayOffer:
    """``18:30, 45 min``, either alone, ``yes``, ``rest``; with ``strength`` for that alone."""
    low = text.strip().lower()
    if low in ("rest", "no", "none"):
        return REST
    if low in ("yes", "run", "any time"):
        return DayOffer()
    rest, at, alone = text.strip(), "", False
    if found := _USE_LAST.search(rest):
        if found["use"].lower() == "both":
            raise slip("day-form", "both is not written here",
                       "days that take strength work too are asked for after Sunday")  # fmt: skip
        alone = found["use"].lower() == "strength"
        rest = rest[: found.start()].strip(" ,;")
    if found := _CLOCK_FIRST.match(rest):
        at = found["at"]
        parse_clock(at)
        rest = rest[found.end() :].strip(" ,;")
    rest = re.sub(r"^up to\s+", "", rest, flags=re.IGNORECASE)
    if rest:
        parse_duration(rest)
    return DayOffer(at, rest, alone)


def read_weekday(text: str) -> str:
    """A weekday, by its name or its first three letters."""
    low = text.strip().lower()
    short = next((d for d, name in DAY_NAMES.items() if low in (d, name.lower())), low)
    found: str = choice(*DAYS).parse(short)
    return found


def read_weekdays(text: str) -> tuple[str, ...]:
    """Several, in any order; ``none`` is none."""
    low = text.strip().lower()
    if low in ("none", "no", "rest"):
        return ()
    found = {read_weekday(word) for word in re.split(r"[,;\s]+(?:and\s+)?", low) if word}
    return tuple(d for d in DAYS if d in found)


# --- what answers say together ----------------------------------------------------------------


def value(answers: Answers, key: str) -> Any:
    """An answer's value; None where it is not known or was not asked."""
    found = answers.get(key)
    return found.value if found else None


def run_days(answers: Answers) -> tuple[str, ...]:
    """Weekdays on which a run can be."""
    offers = {d: value(answers, d) for d in DAYS}
    return tuple(
        d for d, o in offers.items() if o is not None and o != REST and not o.strength_alone
    )


def _runs_already(answers: Answers) -> bool:
    week = value(answers, "week")
    return isinstance(week, Duration) and week.seconds > 0


def _event_ahead(day: date, answers: Answers, today: date) -> Slip | None:
    if day >= today:
        return None
    return Slip(f"{day} is past", "write a date from today on, or press Enter", "event-past")


def _over_zero(length: Duration, answers: Answers, today: date) -> Slip | None:
    if length.seconds:
        return None
    return Slip("somebody who runs has a longest run", "write it, like 25 min", "baseline-longest")


def _within_longest(length: Duration, answers: Answers, today: date) -> Slip | None:
    longest = value(answers, "longest")
    if longest is None or length <= longest:
        return None
    wrong = f"{length} is over the longest run, {longest}"
    return Slip(wrong, "the longest run without a walk is at most that", "baseline-continuous")


def _some_runs(count: int, answers: Answers, today: date) -> Slip | None:
    return None if count else Slip("somebody who runs has runs", "write 1 to 14", "baseline-runs")


def _not_born_later(born: date | int, answers: Answers, today: date) -> Slip | None:
    late = born > today if isinstance(born, date) else born > today.year
    return Slip("this is still to come", "write it like 1984", "born-late") if late else None


def _not_ahead(day: date, answers: Answers, today: date) -> Slip | None:
    if day <= today:
        return None
    return Slip(f"{day} has not come yet", "write today's date or an earlier one", "date-ahead")


def _some_run_day(offer: DayOffer, answers: Answers, today: date) -> Slip | None:
    runs_then = offer != REST and not offer.strength_alone
    if runs_then or run_days(answers):
        return None
    hint = "offer Sunday, or type back for the days before it"
    return Slip("no day of the week is for running", hint, "no-run-day")


def _among_run_days(day: str, answers: Answers, today: date) -> Slip | None:
    days = run_days(answers)
    if day in days or not days:
        return None
    return Slip(f"no run can be on {DAY_NAMES[day]}", f"write {one_of(days)}", "long-day")


def _all_run_days(found: tuple[str, ...], answers: Answers, today: date) -> Slip | None:
    days = run_days(answers)
    other = [d for d in found if d not in days]
    if not other or not days:
        return None
    hint = f"write days out of {', '.join(days)}, or none"
    return Slip(f"{DAY_NAMES[other[0]]} is no running day", hint, "strength-day")


def _before_event(start: date, answers: Answers, today: date) -> Slip | None:
    event = value(answers, "event_on")
    if event is None or start <= event:
        return None
    return Slip(
        f"the event is before that, on {event}", "write an earlier date", "event-before-plan"
    )


def _not_below_own(aim: Cadence | str, answers: Answers, today: date) -> Slip | None:
    own = value(answers, "cadence")
    if not isinstance(aim, Cadence) or own is None or aim >= own:
        return None
    wrong = f"{aim} is below the client's own, {own}; a plan never lowers a step rate"
    return Slip(wrong, f"write keep, or {own} or more", "aim-below-baseline")


def _fuel_lead(length: Duration, answers: Answers, today: date) -> Slip | None:
    if 30 <= length.minutes <= 60:
        return None
    return Slip(f"{length} is out of range", "write 30 to 60 min", "fuel-before")


def _today(answers: Answers, today: date) -> str:
    return today.isoformat()


def _next_monday(answers: Answers, today: date) -> str:
    return (today + timedelta(days=-today.weekday() % 7)).isoformat()


def _weeks(answers: Answers, today: date) -> str:
    start, event = value(answers, "from"), value(answers, "event_on")
    if start is None or event is None:
        return str(USUAL_WEEKS)
    monday = start - timedelta(days=start.weekday())
    return str(max(1, min(MAX_WEEKS, (event - monday).days // 7 + 1)))


def _no(answers: Answers, today: date) -> str:
    return "no"


def _rest(answers: Answers, today: date) -> str:
    return "rest"


def _has(key: str) -> Callable[[Answers], bool]:
    return lambda answers: value(answers, key) not in (None, False)


def _to_clear(answers: Answers) -> bool:
    return bool(value(answers, "symptoms") or value(answers, "known_disease"))


def _cleared(answers: Answers) -> bool:
    return value(answers, "cleared_on") is not None


# --- the questions ----------------------------------------------------------------------------

PERSON = "Who it is"
WISH = "What it is for"
HEALTH = "Before anything else: health"
START = "Where it starts"
WEEK = "The week"
PLAN = "The plan"
FUEL = "Collagen before a run: only if it is wanted"

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
CAUTIONS = (
    "Weak evidence: 8 men and a blood marker that doubled, then 10 men and nothing sure. No trial",
    "showed less pain or fewer injuries. It is common practice; a coach is no dietitian.",
    "Leave it off, and let a doctor or dietitian decide, with any of these:",
    "  - kidney stones or kidney disease; too much iron (haemochromatosis)",
    "  - pregnant or breastfeeding; under 18",
    "  - blood thinners, or other medicine that vitamin C could bear on",
    "  - allergy to, or a no to, beef, pork, fish or fowl, which collagen is made of",
    "  - a diet low in protein, such as for phenylketonuria",
    "  - tested sport: a supplement can hold what its label does not say",
)

_DATE = "year-month-day, like 2027-01-18"


_DAY_HOW = (
    "like 18:30, 45 min, or one of the two; yes for any time; rest. With strength behind it: for "
    "strength alone. The clock has 24 hours; the length takes in the warm-up, at most 24 h"
)


def _day_question(day: str) -> Question:
    return Question(
        key=day,
        section=WEEK,
        asks=f"{DAY_NAMES[day]}: from what time, and how long at most?",
        how=_DAY_HOW if day == DAYS[0] else "like 18:30, 45 min; or yes, or rest",
        example="18:30, 45 min",
        reads=read_day,
        usual=_rest,
        assumed="rest",
        check=_some_run_day if day == DAYS[-1] else fits,
        needs=DAYS[:-1] if day == DAYS[-1] else (),
    )


QUESTIONS: tuple[Question, ...] = (
    Question(
        "name", PERSON, "What is the client's name?",
        "on one line, like Mara Quist; at most 200 characters", "Mara Quist", "name",
        sheet="Your name",
    ),
    Question(
        "called", PERSON, "How shall the portal greet?",
        "like Mara; at most 200 characters", "Mara", "called",
        assumed="the first word of the name", sheet="How would you like to be called?",
    ),
    Question(
        "goal", WISH, "What does {called} want, in the client's own words?",
        "on one line, like: run 10 km without a walk; at most 200 characters",
        "run 10 km without a walk", "goal.text",
        assumed="no goal is shown", sheet="What would you like from running, in your own words?",
    ),
    Question(
        "event_on", WISH, "Is there an event? On which day?",
        f"{_DATE}; from today on", "2027-05-16", "goal.event.on",
        assumed="no event", check=_event_ahead, sheet="An event you have in mind: on which day?",
    ),
    Question(
        "event_distance", WISH, "How long is the event?",
        "with km, m or mi, like 10 km; or half marathon, or marathon; over 0, at most 200 km",
        "10 km", "goal.event.distance",
        when=_has("event_on"), needs=("event_on",), sheet="How long is it?",
    ),
    Question(
        "event_name", WISH, "What is the event called?",
        "on one line, like the harbour run; at most 200 characters", "the harbour run",
        "goal.event.name", assumed="no name", when=_has("event_on"), needs=("event_on",),
        sheet="What is it called?",
    ),
    Question(
        "born", HEALTH, "When was {called} born?",
        "a year or a date, like 1984 or 1984-05-20; from 1900 on", "1984", "born",
        assumed="not known", check=_not_born_later, sheet="When were you born? (the year will do)",
    ),
    Question(
        "height", HEALTH, "How tall is {called}?",
        "like 171 cm or 5 ft 7 in; 100 to 230 cm", "171 cm", "height",
        assumed="not known; tall people step slower, so it helps to judge a step rate",
        sheet="How tall are you?",
    ),
    Question(
        "screened_on", HEALTH, "On which day are the next three questions answered?",
        f"{_DATE}; not after today", "2027-01-04", "screening.on",
        usual=_today, check=_not_ahead,
    ),
    Question(
        "regular_exercise", HEALTH,
        "Over the last 3 months: planned exercise, at least moderate, for 30 min or more on 3 "
        "days a week or more?",
        "yes or no; in doubt, no", "yes", "screening.regular_exercise",
        sheet="Over the last 3 months: planned exercise that makes you breathe harder, for 30 "
        "minutes or more, on 3 days a week or more?",
    ),
    Question(
        "known_disease", HEALTH,
        "A known disease of heart or vessels, of metabolism (diabetes is one), or of the kidneys?",
        "yes or no; in doubt, yes", "no", "screening.known_disease",
        sheet="Has a doctor ever found a disease of your heart or vessels, of your metabolism "
        "(diabetes is one) or of your kidneys?",
    ),
    Question(
        "symptoms", HEALTH,
        "\n".join(("Any of these, now or lately?", *(f"  - {one}" for one in SYMPTOMS))),
        "yes or no; in doubt, yes", "no", "screening.symptoms",
        sheet=f"Any of these, now or lately: {'; '.join(SYMPTOMS)}?",
    ),
    Question(
        "cleared_on", HEALTH, "Has a clinician since said that {called} may run? On which day?",
        f"{_DATE}; not after today", "2027-01-08", "screening.cleared_on",
        assumed="not cleared yet", when=_to_clear, check=_not_ahead,
        needs=("symptoms", "known_disease"),
        sheet="If you said yes to one of the last two: has a doctor since said that you may run? "
        "On which day?",
    ),
    Question(
        "cleared_by", HEALTH, "Who said so?",
        "like the family doctor; without it the clearance does not count", "the family doctor",
        "screening.cleared_by", assumed="not told: the clearance does not count", when=_cleared,
        needs=("cleared_on",), sheet="Who said so?",
    ),
    Question(
        "cleared_for", HEALTH, "For easy running alone, or for all, hard sessions too?",
        "easy or all", "easy", "screening.cleared_for", assumed="easy", when=_cleared,
        needs=("cleared_on",), sheet="For easy running alone, or for hard running too?",
    ),
    Question(
        "knee", HEALTH,
        "Does a clinician look after a knee of {called}'s, and want pain in it read more strictly?",
        "yes or no; yes holds the plan from pain of 3 on, and if the next morning is worse", "no",
        reads=parse_yes_no, usual=_no, assumed="no",
    ),
    Question(
        "counted_on", START, "On which day were the numbers below taken down?",
        f"{_DATE}; not after today", "2027-01-11", "baseline.on", usual=_today, check=_not_ahead,
        later=True,
    ),
    Question(
        "cadence", START, "What is the step rate of an easy run, both feet?",
        "steps a minute, like 158 spm; 100 to 240. Count one foot for 30 s of easy running and "
        "take it times 4", "158 spm", "baseline.cadence", later=True,
        sheet="Run easily and count how often one foot lands in 30 seconds. How often?",
    ),
    Question(
        "week", START, "How much did {called} run in a week, as the mean of the last four?",
        "hours and minutes, like 1 h 10 min; 0 min to 24 h. 0 min is a real starting point",
        "1 h 10 min", "baseline.week", later=True,
        sheet="How many minutes did you run in each of the last four weeks? (0 is fine)",
    ),
    Question(
        "pace", START, "At what pace was the easy run in which the steps were counted?",
        "minutes and seconds, like 6:45 /km or 10:50 /mi; 2:30 to 20:00 per km", "6:45 /km",
        "baseline.pace", when=_runs_already, needs=("week",),
        sheet="If you run: how long do you take for an easy kilometre or mile?",
    ),
    Question(
        "longest", START, "What was the longest single run of the last 30 days?",
        "like 32 min or 1 h 5 min; over 0, at most 24 h", "32 min", "baseline.longest",
        when=_runs_already, check=_over_zero, needs=("week",),
        sheet="Your longest single run of the last 30 days, in minutes?",
    ),
    Question(
        "continuous", START, "And the longest without a walk?",
        "like 25 min; 0 min up to the longest run", "25 min", "baseline.continuous",
        assumed="the longest run had no walk in it", when=_runs_already, check=_within_longest,
        needs=("week", "longest"), sheet="And the longest without a walk?",
    ),
    Question(
        "runs", START, "How many runs a week?",
        "a whole number, like 3; 1 to 14", "3", "baseline.runs",
        when=_runs_already, check=_some_runs, needs=("week",), sheet="How many runs a week?",
    ),
    Question(
        "race_distance", START, "A race of the last months: over what distance?",
        "with km, m or mi, like 5 km; over 0, at most 200 km", "5 km", "baseline.race.distance",
        assumed="no race", when=_runs_already, needs=("week",),
        sheet="A race of the last months: how long was it?",
    ),
    Question(
        "race_time", START, "In what time?",
        "minutes and seconds like 31:20, or hours too, like 1:52:08; at most 24 h", "31:20",
        "baseline.race.time", when=_has("race_distance"), needs=("race_distance",),
        sheet="In what time?",
    ),
    Question(
        "race_on", START, "On which day?",
        f"{_DATE}; not after today", "2026-10-11", "baseline.race.on",
        assumed="not known", when=_has("race_distance"), check=_not_ahead,
        needs=("race_distance",), sheet="On which day?",
    ),
    *(_day_question(day) for day in DAYS),
    Question(
        "strength", WEEK, "Which of the running days can take strength work as well?",
        "days like tue, thu; or none. Two a week are planned where days allow", "tue, thu",
        reads=read_weekdays, assumed="none", check=_all_run_days, needs=DAYS,
        sheet="On which of these days could you do 20 to 30 minutes of strength work as well?",
    ),
    Question(
        "long", WEEK, "On which day should the long run be?",
        "a running day, like sun", "sun", reads=read_weekday,
        assumed="the plan chooses", check=_among_run_days, needs=DAYS,
        sheet="On which day would a longer run suit you best?",
    ),
    Question(
        "from", PLAN, "On which day does the plan begin? (weeks start on the Monday of it)",
        f"{_DATE}; not after the event", "2027-01-18", "plan.from",
        usual=_next_monday, check=_before_event, needs=("event_on",),
        sheet="When would you like to begin?",
    ),
    Question(
        "weeks", PLAN, "How many weeks does it have?",
        f"a whole number, like 16; 1 to {MAX_WEEKS}", "16", "plan.weeks",
        usual=_weeks, needs=("from", "event_on"),
    ),
    Question(
        "growth", PLAN, "By how much may a building week grow, at most?",
        "a percentage, like 8 %; 0 to 30 %", "8 %", "plan.growth",
        assumed="the practice's own, or else 10 %", later=True,
    ),
    Question(
        "aim", PLAN, "Where should the step rate go?",
        "steps a minute, like 168 spm, 100 to 240; or keep", "168 spm", "cadence.aim",
        assumed="towards 170 spm, at most 10 % over the client's own; 170 or more is kept",
        check=_not_below_own, needs=("cadence",), later=True,
    ),
    Question(
        "fuel", FUEL, "Does {called} ask for a reminder to take collagen with vitamin C?",
        "yes or no; off unless it was asked for", "no", reads=parse_yes_no, usual=_no,
        assumed="no", later=True,
    ),
    Question(
        "fuel_cautions", FUEL,
        "\n".join((*CAUTIONS, "Gone through with {called}, one by one, and none of them holds?")),
        "yes or no; no leaves it off", "yes", reads=parse_yes_no,
        when=_has("fuel"), needs=("fuel",),
    ),
    Question(
        "collagen", FUEL, "How much collagen?",
        "grams, like 15 g; 5 to 20 g", "15 g", "fuel.collagen", assumed="15 g",
        when=_has("fuel_cautions"), needs=("fuel", "fuel_cautions"),
    ),
    Question(
        "vitamin_c", FUEL, "How much vitamin C?",
        "milligrams, like 50 mg; 0 to 1000 mg, with a warning over 200 mg", "50 mg",
        "fuel.vitamin_c", assumed="50 mg",
        when=_has("fuel_cautions"), needs=("fuel", "fuel_cautions"),
    ),
    Question(
        "before", FUEL, "How long before the run?",
        "minutes, like 45 min; 30 to 60 min", "45 min", "fuel.before", assumed="45 min",
        when=_has("fuel_cautions"), check=_fuel_lead, needs=("fuel", "fuel_cautions"),
    ),
)  # fmt: skip

GROUP = Question(
    "group", WISH, "Which group of the practice is {called} in?", "", "",
    assumed="no group",
)  # fmt: skip


def questions_for(groups: Sequence[str]) -> tuple[Question, ...]:
    """The questions of a practice with these groups; without any, none is asked for."""
    if not groups:
        return QUESTIONS
    names = tuple(groups)
    mine = replace(GROUP, how=one_of(names), example=names[0], reads=choice(*names).parse)
    first = next(i for i, q in enumerate(QUESTIONS) if q.section == HEALTH)
    return (*QUESTIONS[:first], mine, *QUESTIONS[first:])


def unknown_key_hint(key: str, questions: Sequence[Question] = QUESTIONS) -> str:
    """The nearest key, or all of them."""
    import difflib

    keys = [q.key for q in questions]
    found = difflib.get_close_matches(key.lower(), keys, n=1, cutoff=0.6)
    return f"did you mean {found[0]}?" if found else f"known here: {', '.join(keys)}"
