"""The first talk with a client: in which order it asks, and what is asked after which answers.

What a field asks, and how an answer is written, stands in the table of fields. A field with a
question that is not named here is asked at the end of its section, so a new one is one line
there. Questions that have no single field (days, the cautions) are written out here.

The cautions about collagen are general knowledge, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from sitegen.coach.day_answers import (
    DAY_NAMES,
    REST,
    DayOffer,
    read_day,
    read_weekday,
    read_weekdays,
)
from sitegen.coach.question import (
    Answers,
    NoAnswer,
    Question,
    always_asked,
    anything_fits,
    asked,
    field_row,
    typed_list,
)
from sitegen.model.case import Case
from sitegen.model.client import DAYS, MAX_WEEKS, Client
from sitegen.model.kinds import choice, one_of, parse_yes_no, quoted
from sitegen.model.nearest import nearest_of
from sitegen.model.practice import Practice
from sitegen.model.record import all_rows
from sitegen.model.values import Cadence, Duration
from sitegen.rules import history

USUAL_PLAN_WEEKS = 16
CHILDBEARING_YEARS = 60
"""Age from which pregnancy, birth and periods are not asked about; common practice, no source."""

# --- what answers say together ----------------------------------------------------------------


def value(answers: Answers, key: str) -> Any:
    """An answer's value; None where it is not known or was not asked."""
    found = answers.get(key)
    return found.value if found else None


def running_days(answers: Answers) -> tuple[str, ...]:
    """Weekdays on which a run can be."""
    offers = {d: value(answers, d) for d in DAYS}
    return tuple(
        d for d, o in offers.items() if o is not None and o != REST and not o.strength_alone
    )


def _runs_already(answers: Answers) -> bool:
    week = value(answers, "week")
    return isinstance(week, Duration) and week.seconds > 0


def _event_ahead(day: date, answers: Answers, today: date) -> NoAnswer | None:
    if day >= today:
        return None
    return NoAnswer(f"{day} is past", "write a date from today on, or press Enter", "event-past")


def _never_ran(answers: Answers) -> bool:
    return not _runs_already(answers)


def _knows_cadence(answers: Answers) -> bool:
    return "cadence" not in answers or answers["cadence"].known


def _may_bear(answers: Answers) -> bool:
    born, on = value(answers, "born"), value(answers, "screened_on")
    if born is None or on is None:
        return True
    return int(on.year) - int(born.year if isinstance(born, date) else born) < CHILDBEARING_YEARS


def _a_name(name: str, answers: Answers, today: date) -> NoAnswer | None:
    if any(one.isalpha() for one in name):
        return None
    return NoAnswer(
        f"{quoted(name)} is no name", "write it with letters, like Mara", "name-letters"
    )


def _over_zero(length: Duration, answers: Answers, today: date) -> NoAnswer | None:
    if length.seconds:
        return None
    return NoAnswer(
        "somebody who runs has a longest run", "write it, like 25 min", "baseline-longest"
    )


def _within_longest(length: Duration, answers: Answers, today: date) -> NoAnswer | None:
    longest = value(answers, "longest")
    if longest is None or length <= longest:
        return None
    wrong = f"{length} is over the longest run, {longest}"
    return NoAnswer(wrong, "the longest run without a walk is at most that", "baseline-continuous")


def _some_runs(count: int, answers: Answers, today: date) -> NoAnswer | None:
    return (
        None if count else NoAnswer("somebody who runs has runs", "write 1 to 14", "baseline-runs")
    )


def _not_born_later(born: date | int, answers: Answers, today: date) -> NoAnswer | None:
    late = born > today if isinstance(born, date) else born > today.year
    return NoAnswer("this is still to come", "write it like 1984", "born-late") if late else None


def _not_ahead(day: date, answers: Answers, today: date) -> NoAnswer | None:
    if day <= today:
        return None
    return NoAnswer(f"{day} has not come yet", "write today's date or an earlier one", "date-ahead")


def _some_run_day(offer: DayOffer, answers: Answers, today: date) -> NoAnswer | None:
    runs_then = offer != REST and not offer.strength_alone
    if runs_then or running_days(answers):
        return None
    hint = "offer Sunday, or go back to a day before it"
    return NoAnswer("no day of the week is for running", hint, "no-run-day")


def _among_run_days(day: str, answers: Answers, today: date) -> NoAnswer | None:
    days = running_days(answers)
    if day in days or not days:
        return None
    return NoAnswer(f"no run can be on {DAY_NAMES[day]}", f"write {one_of(days)}", "long-day")


def _all_run_days(found: tuple[str, ...], answers: Answers, today: date) -> NoAnswer | None:
    days = running_days(answers)
    other = [d for d in found if d not in days]
    if not other or not days:
        return None
    hint = f"write days out of {', '.join(days)}, or none"
    return NoAnswer(f"{DAY_NAMES[other[0]]} is no running day", hint, "strength-day")


def _before_event(start: date, answers: Answers, today: date) -> NoAnswer | None:
    event = value(answers, "event_on")
    if event is None or start <= event:
        return None
    return NoAnswer(
        f"the event is before that, on {event}", "write an earlier date", "event-before-plan"
    )


def _not_below_own(aim: Cadence | str, answers: Answers, today: date) -> NoAnswer | None:
    own = value(answers, "cadence")
    if not isinstance(aim, Cadence) or own is None or aim >= own:
        return None
    wrong = f"{aim} is below the client's own, {own}; a plan never lowers a step rate"
    return NoAnswer(wrong, f"write keep, or {own} or more", "aim-below-baseline")


def _today(answers: Answers, today: date) -> str:
    return today.isoformat()


def _next_monday(answers: Answers, today: date) -> str:
    return (today + timedelta(days=-today.weekday() % 7)).isoformat()


def _weeks(answers: Answers, today: date) -> str:
    start, event = value(answers, "from"), value(answers, "event_on")
    if start is None or event is None:
        return str(USUAL_PLAN_WEEKS)
    monday = start - timedelta(days=start.weekday())
    return str(max(1, min(MAX_WEEKS, (event - monday).days // 7 + 1)))


def _no(answers: Answers, today: date) -> str:
    return "no"


def _rest(answers: Answers, today: date) -> str:
    return "rest"


def _has(key: str) -> Callable[[Answers], bool]:
    return lambda answers: value(answers, key) not in (None, False)


def to_clear(answers: Answers) -> bool:
    """Whether a clinician's clearance is asked for: by the screening, or by what came before."""
    unclear = value(answers, "symptoms") or value(answers, "known_disease")
    return bool(unclear) or _history_asks(answers)


def _history_asks(answers: Answers) -> bool:
    """Whether what came before, such as a birth, asks for a clinician's word by the plan's rule."""
    if "screened_on" not in answers:
        return False
    case = screened(answers)
    return any(True for _ in history.asked_for(case.client, history.talked_on(case.client)))


def screened(answers: Answers) -> Case:
    """A case that holds the answers about health, and nothing else of meaning."""
    told: dict[str, dict[str, Any]] = {"screening": {}, "history": {}}
    for question in QUESTIONS:
        record, _, name = question.field.partition(".")
        answer = answers.get(question.key)
        if record in told and answer is not None and answer.known:
            many = field_row(question.field).many
            told[record][name] = typed_list(answer.text) if many else answer.text
    on = told["screening"]["on"]
    client = Client.of_tree(
        {
            "name": "Stand In",
            **told,
            "baseline": {"on": on, "cadence": "158 spm", "week": "0 min"},
            "plan": {"from": on, "weeks": "1"},
        }
    )
    house = {"name": "Stand In", "contact": "coach@example.org", "timezone": "UTC"}
    return Case("stand-in", client, Practice.of_tree(house))


def _cleared(answers: Answers) -> bool:
    return value(answers, "cleared_on") is not None


# --- the questions ----------------------------------------------------------------------------

PERSON = "Who it is"
WISH = "What it is for"
HEALTH = "Before anything else: health"
BACKGROUND = "What came before"
START = "Where it starts"
THE_WEEK = "The week"
PLAN = "The plan"
FUEL = "Collagen before a run: only if it is wanted"
QUESTION_SECTIONS = (PERSON, WISH, HEALTH, BACKGROUND, START, THE_WEEK, PLAN, FUEL)

MATTERS = ("born", "pregnant", "fainted", "sudden_death_in_family")
"""Keys of answers that decide who is seen first, or is no adult: never passed over in silence."""

SECTION_OF = {
    "goal": WISH, "screening": HEALTH, "history": BACKGROUND, "baseline": START, "week": THE_WEEK,
    "plan": PLAN, "cadence": PLAN, "fuel": FUEL, "private": PLAN,
}  # fmt: skip
"""Where a field's question belongs, by the first step of its path; others are about the person."""

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

_DAY_HOW = (
    "like 18:30, 45 min, or one of the two; yes for any time; rest. With strength behind it: for "
    "strength alone. The clock has 24 hours; the length takes in the warm-up, at most 24 h"
)


def _day_question(day: str) -> Question:
    return Question(
        key=day,
        section=THE_WEEK,
        asks=f"{DAY_NAMES[day]}: from what time, and how long at most?",
        how=_DAY_HOW if day == DAYS[0] else "like 18:30, 45 min; or yes, or rest",
        example="18:30, 45 min",
        reads=read_day,
        usual=_rest,
        assumed="rest",
        check=_some_run_day if day == DAYS[-1] else anything_fits,
        needs=DAYS[:-1] if day == DAYS[-1] else (),
    )


IN_ORDER: tuple[Question, ...] = (
    asked("name", PERSON, check=_a_name),
    asked("called", PERSON, check=_a_name),
    asked("language", PERSON),
    asked("goal.text", WISH, "goal", assumed="no goal is shown", may_be_none=True),
    asked("goal.event.on", WISH, "event_on", "from today on", assumed="no event",
          check=_event_ahead, may_be_none=True),
    asked("goal.event.distance", WISH, "event_distance", when=_has("event_on"),
          needs=("event_on",)),
    asked("goal.event.name", WISH, "event_name", assumed="no name", when=_has("event_on"),
          needs=("event_on",), may_be_none=True),
    asked("history.pain_now", HEALTH, may_be_none=True),
    asked("born", HEALTH, check=_not_born_later),
    asked("height", HEALTH,
          assumed="not known; tall people step slower, so it helps to judge a step rate"),
    asked("screening.on", HEALTH, "screened_on", "not after today", usual=_today,
          check=_not_ahead),
    asked("screening.regular_exercise", HEALTH),
    asked("screening.known_disease", HEALTH),
    asked("screening.symptoms", HEALTH),
    asked("screening.cleared_on", HEALTH, bounds="not after today", assumed="not cleared yet",
          when=to_clear, check=_not_ahead, needs=("symptoms", "known_disease"),
          may_be_none=True),
    asked("screening.cleared_by", HEALTH, assumed="not told: the clearance does not count",
          when=_cleared, needs=("cleared_on",)),
    asked("screening.cleared_for", HEALTH, assumed="easy", when=_cleared,
          needs=("cleared_on",)),
    Question(
        "knee", HEALTH,
        "Does a clinician look after a knee of {called}'s, and want pain in it read more strictly?",
        "yes or no; yes holds the plan from pain of 3 on, and if the next morning is worse", "no",
        reads=parse_yes_no, usual=_no, assumed="no",
    ),
    asked("baseline.on", START, "counted_on", "not after today", usual=_today, check=_not_ahead,
          later=True),
    asked("baseline.week", START, later=True, unit="min"),
    asked("baseline.cadence", START, later=True, unit="spm", optional=_never_ran, needs=("week",),
          assumed="not counted: 160 spm stands in, and is kept"),
    asked("baseline.pace", START, when=_runs_already, needs=("week",)),
    asked("baseline.longest", START, bounds="over 0, at most 24 h", when=_runs_already,
          check=_over_zero, needs=("week",)),
    asked("baseline.continuous", START, bounds="0 min up to the longest run",
          assumed="the longest run had no walk in it", when=_runs_already, check=_within_longest,
          needs=("week", "longest")),
    asked("baseline.runs", START, bounds="from 1 to 14", when=_runs_already, check=_some_runs,
          needs=("week",)),
    asked("baseline.race.distance", START, "race_distance", assumed="no race",
          when=_runs_already, needs=("week",), may_be_none=True),
    asked("baseline.race.time", START, "race_time", when=_has("race_distance"),
          needs=("race_distance",)),
    asked("baseline.race.on", START, "race_on", "not after today", when=_has("race_distance"),
          check=_not_ahead, needs=("race_distance",)),
    *(_day_question(day) for day in DAYS),
    Question(
        "strength", THE_WEEK, "Which of the running days can take strength work as well?",
        "days like tue, thu; or none. Two a week are planned where days allow", "tue, thu",
        reads=read_weekdays, assumed="none", check=_all_run_days, needs=DAYS,
        sheet="On which of these days could you do 20 to 30 minutes of strength work as well?",
    ),
    asked("week.long", THE_WEEK, reads=read_weekday, assumed="the plan chooses",
          check=_among_run_days, needs=DAYS),
    asked("plan.from", PLAN, bounds="not after the event", usual=_next_monday,
          check=_before_event, needs=("event_on",)),
    asked("plan.weeks", PLAN, usual=_weeks, needs=("from", "event_on")),
    asked("plan.growth", PLAN, assumed="the practice's own, or else 10 %", later=True, unit="%"),
    asked("cadence.aim", PLAN, later=True, check=_not_below_own, needs=("cadence",),
          when=_knows_cadence, unit="spm",
          assumed="towards 170 spm, at most 10 % over the client's own; 170 or more is kept"),
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
    *(
        asked(f"fuel.{name}", FUEL, assumed=usual, when=_has("fuel_cautions"),
              needs=("fuel", "fuel_cautions"))
        for name, usual in (("collagen", "15 g"), ("vitamin_c", "50 mg"), ("before", "45 min"))
    ),
)  # fmt: skip
"""What has a place of its own in the talk, or is asked only after some answers."""


ASKED_AFTER = dict.fromkeys(
    ("history.pregnant", "history.gave_birth", "history.missed_periods"), (_may_bear, ("born",))
)
"""Of a field that stands in the table alone: after which answers it is asked."""


def _others(named: Sequence[Question]) -> Iterator[Question]:
    """A question for each field of the table that has one, and is not named above."""
    fields, keys = {q.field for q in named}, {q.key for q in named}
    lists: set[tuple[str, ...]] = set()
    for path, row in all_rows(Client):
        if row.many and row.record is not None:
            lists.add(path)  # entries of a list come later, by hand
        dotted = ".".join(path)
        if not row.asks or dotted in fields or any(path[: len(at)] == at for at in lists):
            continue
        key = "_".join(path) if path[-1] in keys else path[-1]
        section = SECTION_OF.get(path[0], PERSON)
        is_word = row.value is not None and row.value.noun != "yes or no"
        when, needs = ASKED_AFTER.get(dotted, (always_asked, ()))
        is_optional = is_word and not row.needed
        yield asked(dotted, section, key, may_be_none=is_optional, when=when, needs=needs)


QUESTIONS: tuple[Question, ...] = tuple(
    sorted((*IN_ORDER, *_others(IN_ORDER)), key=lambda q: QUESTION_SECTIONS.index(q.section))
)

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
    keys = [q.key for q in questions]
    found = nearest_of(key, keys)
    return f"did you mean {found}?" if found else f"known here: {', '.join(keys)}"
