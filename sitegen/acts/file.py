"""Acts on the rest of a client's file: a word, a lift, days away, a setting."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sitegen.acts.act import (
    Act,
    ClientNow,
    Refusal,
    change,
    outside,
    settings_named,
    week_named,
    week_words,
)
from sitegen.care.signs import LIFTED
from sitegen.model.alarm import weekday_words
from sitegen.model.client import (
    DAYS,
    Baseline,
    CadenceSettings,
    Client,
    Goal,
    History,
    PlanSettings,
    Screening,
)
from sitegen.model.kinds import Unfit, nearest, parse_date, quoted
from sitegen.model.plan import Plan
from sitegen.plan.joined_alarms import some_keys
from sitegen.practice.entry import Entry
from sitegen.practice.yaml_text import Tree, one_line
from sitegen.rules.lifts import ONLY_A_CLINICIAN, names_nobody_else, needs_clinician


def add_word(known: ClientNow, text: str, week: str | None = None) -> Act | Refusal:
    """A word to the client, which stands in a week."""
    found = week_named(week, known.plan)
    if isinstance(found, Refusal):
        return found
    if not text.strip():
        return Refusal("no word was written", 'put it in quotes, like "Go easy on the hills."')
    value: Tree = {"week": str(found.number), "text": text.strip()}
    entry = Entry(("notes",), value, adds=True)
    where = week_words(found)
    shows = f"in {where} the client reads: {one_line(text)}"
    return Act(f"a word in {where}", (entry,), (found.number,), shows)


def lift_stop(
    known: ClientNow,
    number: int,
    seen_by: str,
    because: str,
    false_alarm: bool = False,
    matter: str | None = None,
) -> Act | Refusal:
    """The stop behind an alarm, or all of a joined one, ends: somebody has seen the client.

    With ``false_alarm`` the sign was not meant, or not there. A ``matter`` has to be the alarm's.
    """
    plan = known.plan
    one = next((alarm for alarm in plan.alarms if alarm.number == number), None)
    if one is None:
        numbers = [str(alarm.number) for alarm in plan.alarms if alarm.is_standing]
        there = ", ".join(numbers) or "none"
        return Refusal(
            f"{plan.client} has no alarm {number}", f"those that stand: {there}; see sitegen alarms"
        )
    if not one.is_about(matter):
        return Refusal(
            f"alarm {number} is {some_keys(one.keys)}, not {matter}", "look again: sitegen alarms"
        )
    if one.kind not in ("now", "today") or one.matter not in LIFTED:
        how = f'sitegen answer {plan.client} {number} --because "what you did"'
        return Refusal(f"alarm {number} stops nothing that a lift would end", how)
    if false_alarm and one.matter == "pain":
        return Refusal(
            "scores of pain that sent the plan back are no false alarm",
            "correct the scores in the log, or lift it without --false-alarm",
        )
    if not one.is_standing:
        return Refusal(f"{one.says}: that is lifted already", "see sitegen alarms --all")
    if plan.as_of <= max(each.since for each in one.all):
        return Refusal(
            f"{one.says}, and that is today",
            "lift it tomorrow: told again today, the same sign would be lifted with it",
        )
    grave = any(needs_clinician(known.case, each.matter) for each in one.all)
    if grave and not false_alarm and names_nobody_else(known.case, seen_by):
        return Refusal(
            f"seen by {quoted(one_line(seen_by))} lifts nothing here: {ONLY_A_CLINICIAN}",
            'name that clinician, and when: --seen-by "a cardiologist, on Monday"; was the sign '
            "not meant or not there, lift it as a false alarm (--false-alarm)",
        )
    week = plan.week_of(plan.as_of)
    if week is None:
        return outside(plan, plan.as_of)
    here = tuple(n for n in (week.number, week.number + 1) if n <= len(plan.weeks))
    more = {"false_alarm": "yes"} if false_alarm else {}
    entries = tuple(
        change(because, on=str(plan.as_of), lifts=key, seen_by=seen_by, **more) for key in one.keys
    )
    what = ", as a false alarm" if false_alarm else ""
    signs = some_keys(one.keys).replace("_", " ")
    return Act(f"the stop for {signs} is lifted{what}", entries, here, lifts=True)


def go_away(known: ClientNow, from_: str, to: str, because: str) -> Act | Refusal:
    """A holiday, known beforehand."""
    try:
        first, last = parse_date(from_.strip()), parse_date(to.strip())
    except Unfit as unfit:
        return Refusal(unfit.message, unfit.hint)
    if last < first:
        return Refusal(f"{last} is before {first}", "name the first day away, then the last")
    if last < known.plan.as_of:
        return Refusal(f"{weekday_words(last)} is over", "what was run stays as it was told")
    touched = _weeks_between(known.plan, first, last)
    if not touched:
        return outside(known.plan, first)
    value: Tree = {"from": str(first), "to": str(last), "because": one_line(because)}
    says = f"away from {weekday_words(first)} to {weekday_words(last)}"
    return Act(says, (Entry(("away",), value, adds=True),), touched)


def _weeks_between(plan: Plan, first: date, last: date) -> tuple[int, ...]:
    return tuple(w.number for w in plan.weeks if w.start <= last and (first - w.start).days < 7)


def change_settings(known: ClientNow, *settings: str) -> Act | Refusal:
    """Settings of the plan, a weekday, the event and others of `setting_path`: ``growth: 8 %``."""
    found = settings_named(settings, "growth: 8 %")
    if isinstance(found, Refusal):
        return found
    entries: list[Entry] = []
    for key, value in found:
        path = _path_of(known, key)
        if isinstance(path, Refusal):
            return path
        entries.append(Entry(path, value))
    return Act(", ".join(map(str, entries)), tuple(entries))


def setting_path(key: str) -> tuple[str, ...] | None:
    """Where a setting stands in a client's file; None where it can't be set."""
    if key in DAYS or key == "long":
        return ("week", key)
    return dict(_homes()).get(key)


def no_setting(key: str) -> Refusal:
    """That there is no such setting, and which there are."""
    names = [name for name, _ in _homes()]
    return Refusal(
        f"{quoted(key)} is no setting that can be set here",
        f"{nearest(key, tuple(names))}write one of {', '.join(names)}, or a weekday like tue",
    )


def _path_of(known: ClientNow, key: str) -> tuple[str, ...] | Refusal:
    path = setting_path(key)
    if path is not None and path[0] == "week" and known.case.origins.wrote("week", 0):
        return Refusal(
            "this client's weeks go in rotation", f"write {key} into the week that is meant"
        )
    if path is not None:
        return path
    if key in Client.ROWS and key not in {"week", *(home for _, (home, *_) in _homes())}:
        hint = f"write {key} into {known.case.id}.yaml; docs/fields.md tells what can stand there"
        return Refusal(f"{quoted(key)} is set in the file, by hand", hint)
    if key in History.ROWS:
        hint = f"write it under history: in {known.case.id}.yaml, as docs/fields.md tells"
        return Refusal(f"{quoted(key)} is set in the file, by hand", hint)
    return no_setting(key)


def _homes() -> Iterator[tuple[str, tuple[str, ...]]]:
    for key in PlanSettings.ROWS:
        yield key, ("plan", key)
    for key in ("aim", "step", "hold"):
        assert key in CadenceSettings.ROWS
        yield key, ("cadence", key)
    for key in ("cleared_on", "cleared_by", "cleared_for"):
        assert key in Screening.ROWS
        yield key, ("screening", key)
    assert "event" in Goal.ROWS and "race" in Baseline.ROWS
    yield "event", ("goal", "event")
    yield "race", ("baseline", "race")
    for key in ("status", "checkins", "emergency"):
        assert key in Client.ROWS
        yield key, (key,)
