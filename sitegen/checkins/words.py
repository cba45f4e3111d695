"""Check-ins and what they change, in words for the coach: one line each, to read and to search.

Pure: plans in, lines out.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from sitegen.care.sentences import LINE_REST_TOLD, RESTS
from sitegen.care.signs import sign_words, urgency
from sitegen.care.words import BY_WORDS, said, spoken
from sitegen.checkins.posting import Taken
from sitegen.checkins.said_lines import SaidLine
from sitegen.checkins.signing import ABOUT_CHANGED, SIGNED_WORDS, how_signed
from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn
from sitegen.model.plan import Decision, Plan, Session
from sitegen.portal.changed import NOT_OF_SESSIONS
from sitegen.portal.words import MONTHS, WEEKDAYS
from sitegen.practice.opening import LOG
from sitegen.practice.yaml_text import one_line
from sitegen.rules.pain import REST_HOURS_DAYS
from sitegen.rules.precedence import winner
from sitegen.rules.signs import signs_told

URGENCY_WORDS = {"now": "URGENT", "today": "TODAY", "ask": "ILL"}
"""How a line about a sign begins."""
SPEAK = {
    "now": "speak to this client now; emergency help comes before any plan",
    "today": "speak to this client today; a licensed clinician sees them before they run again",
    "ask": "nobody runs while ill; the plan waits until they say that it is over, and a day more",
}


def day_words(day: date, near: date | None = None) -> str:
    """``Thursday 18 March``; with its year where that is not the year of ``near``."""
    year = f" {day.year}" if near and day.year != near.year else ""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}{year}"


_PAIN_WORDS = {
    "before": "before the run",
    "during": "in the run",
    "after": "after",
    "next_morning": "next morning",
    "walking": "in walking",
}


def entry_words(entry: CheckIn) -> str:
    """What a check-in tells, on one line."""
    told: list[str] = []
    if entry.skipped:
        told.append(f"skipped, {entry.skipped}")
    if entry.ran:
        told.append(f"ran {entry.ran}")
    if entry.walked:
        told.append(f"walked {entry.walked}")
    if entry.distance:
        told.append(f"{round(entry.distance.km, 3):g} km")
    if entry.cadence:
        told.append(str(entry.cadence))
    if entry.effort is not None:
        told.append(f"effort {entry.effort}")
    if entry.pain is not None:
        scores = [
            f"{score}/10 {words}"
            for name, words in _PAIN_WORDS.items()
            if (score := getattr(entry.pain, name)) is not None
        ]
        told += [f"pain {', '.join(scores)}"] if scores else []
        told += [on_one_line(entry.pain.site)] if entry.pain.site else []
    told += [f"{entry.landing} landing"] if entry.landing else []
    told += [f"SIGN: {sign_words(s)}" for s in entry.signs]
    told += ["well again"] if entry.well_again else []
    told += [f"heard: {'; '.join(one.says for one in entry.heard)}"] if entry.heard else []
    told += [f'"{on_one_line(entry.said)}"'] if entry.said else []
    return ", ".join(told) or "nothing but the date"


def on_one_line(text: str, most: int = 200) -> str:
    """A client's words on one line, at most ``most`` characters, without what a terminal obeys."""
    plain = one_line(text)
    return plain if len(plain) <= most else plain[:most] + "…"


def taken_lines(id: str, taken: Iterable[Taken], day: date) -> list[SaidLine]:
    """What was taken, one by one, and how each was signed."""
    lines: list[SaidLine] = []
    for one in taken:
        note = ""
        if one.new.adds:
            note = " (added to that day's session)"
        elif one.new.second:
            note = " (a second session of that day: if it corrects the first, take one out)"
        words = entry_words(one.entry)
        how = how_signed(one.entry)
        lines.append(
            SaidLine(
                f"{id}: taken, {SIGNED_WORDS[how]}: {day_words(one.entry.on, day)}: {words}{note}",
                f"{id}: COUNT taken, {SIGNED_WORDS[how]}; they stand in {id}{LOG}"
                if how != "yes"
                else "",
            )
        )
        lines += doubtful_lines(id, one.entry, day)
        if how == "changed":
            why = f"was {ABOUT_CHANGED}"
            lines.append(SaidLine(f"{id}: that one {why}", f"{id}: each of those {why}"))
    return lines


def status_lines(
    before: Plan, after: Plan, taken: Sequence[CheckIn], case: Case, own: Sequence[str] = ()
) -> Iterator[SaidLine]:
    """What must not be overlooked: signs, and a plan that stops."""
    id = after.client
    yield from sign_lines(case, taken, after.as_of, own)
    if after.status != before.status:
        yield SaidLine(f"{id}: {_turn(before, after, taken)}")
        for decision in after.decisions[:1] if after.status != "active" else ():
            yield SaidLine(f"{id}: the portal will say: {decision.says}")
    kinds = _how_urgent(case, taken, after.as_of)
    told = {kinds[sign, entry.on] for entry in taken for sign in entry.signs}
    if told:
        yield SaidLine(f"{id}: {SPEAK[min(told, key=list(SPEAK).index)]}")


def _turn(before: Plan, after: Plan, taken: Sequence[CheckIn]) -> str:
    """That a plan stops, or goes on, and from which day there is something in it."""
    ran = {entry.on for entry in taken if entry.is_run_or_walk}
    ahead = [session.on for session in _ahead(after, after.as_of, ran).values()]
    first = f"the next session is on {day_words(min(ahead))}" if ahead else ""
    if after.status == "active":
        return f"the plan goes on (was {before.status}); {first or 'no session is planned yet'}"
    stops = "STOPS" if before.status == "active" else "stays stopped"
    return f"the plan {stops} ({after.status}); {first or 'no session is planned'}"


def _how_urgent(case: Case, taken: Iterable[CheckIn], day: date) -> dict[tuple[str, date], str]:
    """How urgent each sign of a day is, as its alarm has it: what a client takes, or an infection
    before, can make one graver."""
    found = {(sign, one.on): str(urgency(sign)) for one in taken for sign in one.signs}
    return found | {(one.sign, one.on): one.kind for one in signs_told(case, day)}


def sign_lines(
    case: Case, taken: Sequence[CheckIn], today: date, own: Sequence[str] = ()
) -> Iterator[SaidLine]:
    """Each sign that check-ins tell, loudly; also where only their words speak of one.

    ``case`` has them in its log; ``own`` are the coach's urgent words.
    """
    id, kinds = case.id, _how_urgent(case, taken, today)
    for entry in taken:
        on = day_words(entry.on, today)
        is_signed = entry.signed == "yes"
        for sign in entry.signs:
            begins = f"{URGENCY_WORDS[kinds[sign, entry.on]]}: {id}:"
            yield SaidLine(
                f"{begins} {sign_words(sign)} was told on {on}",
                "" if is_signed else f"{begins} SIGNS: told COUNT times; they stand in {id}{LOG}",
                (sign,),
            )
        found = [sign for sign in said(_words_of(entry), own) if sign not in entry.signs]
        if found:
            loud = {kinds.get((sign, entry.on), urgency(sign)) for sign in found}
            begins = f"{URGENCY_WORDS[min(loud, key=list(SPEAK).index)]}: {id}:"
            told = ", ".join(map(sign_words, found))
            yield SaidLine(
                f"{begins} the words of {on} speak of {told}: read them now ({BY_WORDS})",
                ""
                if is_signed
                else f"{begins} COUNT check-ins speak of SIGNS: read them now ({BY_WORDS})",
                tuple(found),
            )


def doubtful_lines(id: str, entry: CheckIn, today: date) -> Iterator[SaidLine]:
    """What a check-in's words may tell, where something in the same sentence may explain it."""
    doubtful = [one.sign for one in spoken(_words_of(entry)) if one.is_doubtful]
    if doubtful:
        told = ", ".join(map(sign_words, doubtful))
        yield SaidLine(
            f"READ: {id}: the words of {day_words(entry.on, today)} may speak of {told}, and also "
            "of what may explain it; nothing was stopped for it",
            "" if entry.signed == "yes" else f"READ: {id}: COUNT check-ins may speak of SIGNS",
            tuple(doubtful),
        )


def _words_of(entry: CheckIn) -> str:
    return f"{entry.said or ''}. {(entry.pain.site if entry.pain else None) or ''}"


def differences(
    before: Plan, after: Plan, log: Sequence[CheckIn], log_lines: Mapping[int, int]
) -> Iterator[str]:
    """What changes in the sessions still ahead, a line for each reason; later weeks in one line.

    Args:
        before: The plan as it was.
        after: The plan with the check-ins.
        log: The log's entries, with them.
        log_lines: Number of an entry by the line on which it begins.
    """
    today = after.as_of
    ran = {entry.on for entry in log if entry.is_run_or_walk}
    old, new = (_ahead(plan, today, ran) for plan in (before, after))
    if old != new and old and not any(s.on > today for s in new.values()):
        first = min(s.on for s in old.values())
        if rest := _rest_words(after, old.values(), log, log_lines):
            yield f"{after.client}: nothing is planned from {day_words(first)} on; {rest}"
            return
        noun = "session" if len(old) == 1 else "sessions"
        out = f"nothing is planned from {day_words(first)} on; {len(old)} {noun} out"
        reason = _reason(before, after, max(first, today + timedelta(1)), log, log_lines)
        yield f"{after.client}: {out}{f': {reason}' if reason else ''}"
        return
    last = today + timedelta(days=13 - today.weekday())
    near = [id for id in {*old, *new} if min(_days(id, old, new)) <= last]
    changes: dict[str, list[str]] = {}
    for id in sorted(near, key=lambda id: (min(_days(id, old, new)), id)):
        words = _change(old.get(id), new.get(id))
        if words:
            day = min(_days(id, old, new))
            reason = _reason(before, after, day, log, log_lines, _growth(old.get(id), new.get(id)))
            changes.setdefault(reason, []).append(words)
    for reason, each in changes.items():
        yield f"{after.client}: {'; '.join(each)}{f': {reason}' if reason else ''}"
    yield from _later(before, after, last)


def _rest_words(
    after: Plan, out: Collection[Session], log: Sequence[CheckIn], log_lines: Mapping[int, int]
) -> str:
    """What a rest of two days after pain takes out, and what the sessions after it wait for."""
    for decision in after.decisions:
        entry = _entry_behind(decision, log, log_lines)
        if decision.says.template not in RESTS.values() or entry is None:
            continue
        until = entry.on + timedelta(REST_HOURS_DAYS)
        rest = sum(session.on <= until for session in out)
        later = len(out) - rest
        noun = "session" if later == 1 else "sessions"
        waits = (
            f"; the {later} {noun} after that wait for a check-in with a morning at 0 to 2 and "
            "walking without pain"
        )
        waits_on = later > 0 and decision.says.template != LINE_REST_TOLD
        told = str(decision.says).split(":")[0].replace(" was logged", "")
        return (
            f"{told[:1].lower()}{told[1:]} on {WEEKDAYS[entry.on.weekday()]}: "
            f"no running up to and with {day_words(until)}, "
            f"{rest or 'no'} session{'' if rest == 1 else 's'} out{waits if waits_on else ''}"
        )
    return ""


def _ahead(plan: Plan, today: date, ran: set[date]) -> dict[str, Session]:
    """Sessions still to come; today's is past once a run was logged today."""
    return {
        s.id: s
        for s in plan.sessions
        if s.on > today or (s.on == today and (today not in ran or not s.is_run))
    }


def _days(id: str, *plans: Mapping[str, Session]) -> list[date]:
    return [plan[id].on for plan in plans if id in plan]


_KIND_WORDS = {"run_walk": "run and walk", "easy": "easy run", "long": "long run",
               "beat": "run to the beat", "tempo": "steady hard run", "intervals": "repeats",
               "strides": "strides"}  # fmt: skip


def _change(old: Session | None, new: Session | None) -> str:
    """``Thursday 18 March 35 -> 28 min``; nothing where the two are the same to the client."""
    if new is None:
        return f"{day_words(old.on)} out: {_named(old)}" if old else ""
    if old is None:
        return f"{day_words(new.on)} new: {_named(new)}"
    told: list[str] = []
    if _minutes(old) != _minutes(new):
        told.append(f"{_minutes(old)} -> {_minutes(new)} {_unit(new)}")
    if old.on != new.on:
        told.append(f"now on {day_words(new.on)}")
    if old.kind != new.kind:
        told.append(f"{_kind(old)} -> {_kind(new)}")
    if not told and _beats(old) != _beats(new) and _beats(new):
        told.append(f"beat {_beats(old) or 'none'} -> {_beats(new)}")
    if not told and _shape(old) != _shape(new):
        told.append(f"in other parts, {_named(new)}")
    return f"{day_words(old.on)} {', '.join(told)}" if told else ""


def _named(session: Session) -> str:
    """``easy run, 22 min of running``; where one walks in turn, in how many minutes."""
    said = f"{_kind(session)}, {_minutes(session)} {_unit(session)}"
    if session.read_as == "run_walk":
        return f"{said} in {session.run_minutes + session.walk_minutes:.0f}"
    return said


def _unit(session: Session) -> str:
    if not session.is_run:
        return f"min of {session.kind}"
    return "min of walking" if session.is_walk else "min of running"


def _minutes(session: Session) -> str:
    if session.is_walk:
        return f"{session.walk_minutes:.0f}"
    return f"{session.run_minutes if session.is_run else session.total_minutes:.0f}"


def _kind(session: Session) -> str:
    return _KIND_WORDS.get(session.read_as, session.read_as)


def _beats(session: Session) -> str:
    found = sorted({p.cadence_spm for p in session.parts if p.cadence_spm})
    return ", ".join(f"{spm} spm" for spm in found)


def _shape(session: Session) -> list[tuple[str, int, int]]:
    return [(p.kind, round(p.minutes), p.repeat) for p in session.parts]


def _later(before: Plan, after: Plan, last: date) -> Iterator[str]:
    """Weeks beyond the next one, in one line."""
    old, new = ([w for w in plan.weeks if w.start > last] for plan in (before, after))
    one, other = (round(sum(w.run_minutes for w in weeks)) for weeks in (old, new))
    if one != other and new:
        numbers = f"weeks {new[0].number} to {new[-1].number}"
        span = numbers if len(new) > 1 else f"week {new[0].number}"
        first = new[0]
        is_held = other < one and first.kind in ("hold", "back")
        held = winner(first.kind, first.decisions) if is_held else None
        why = f", as long as this holds: {held.decision.says}" if held else ""
        yield f"{after.client}: {span}: {one} -> {other} min of running in all{why}"


def _growth(old: Session | None, new: Session | None) -> float:
    """Minutes of running that a session gains; it loses them where this is under 0."""
    was, now = (session.run_minutes if session else 0.0 for session in (old, new))
    return now - was


def _reason(
    before: Plan,
    after: Plan,
    day: date,
    log: Sequence[CheckIn],
    log_lines: Mapping[int, int],
    growth: float = 0.0,
) -> str:
    """Why a week changed: the decision of it that is new, and the day that is behind it.

    What gives more is no reason for less, nor a limit for more; a step rate is none for either.
    """
    old, new = (next((w for w in p.weeks if w.start <= day < w.start + timedelta(7)), None)
                for p in (before, after))  # fmt: skip
    if new is None:
        return ""
    known = {(d.rule, str(d.says)) for d in old.decisions} if old else set()
    fresh = [
        d
        for d in new.decisions
        if (d.rule, str(d.says)) not in known
        if not growth or d.rule not in NOT_OF_SESSIONS
        if growth * ((d.after or 0.0) - (d.before or 0.0)) >= 0
    ]
    logged = [d for d in fresh if _entry_behind(d, log, log_lines)]
    for decision in [
        *(d for d in fresh if _stops(d)),  # with it, nothing else matters
        *(d for d in logged if d.warns or d.rule in ("pain", "signs")),
        *logged,
        *fresh,
    ]:
        return _clause(decision, _entry_behind(decision, log, log_lines))
    return ""


def _stops(decision: Decision) -> bool:
    """Whether the decision is that nothing may be planned."""
    return (
        decision.rule in ("pain", "signs", "screening") and decision.warns and decision.after == 0
    )


def _entry_behind(
    decision: Decision, log: Sequence[CheckIn], log_lines: Mapping[int, int]
) -> CheckIn | None:
    because = decision.because
    if because is None or not because.file.endswith(".log.yaml"):
        return None
    number = log_lines.get(because.line)
    return log[number] if number is not None else None


def _clause(decision: Decision, entry: CheckIn | None) -> str:
    """A decision as the end of a line: its first clause, and the day of the check-in behind it."""
    text = str(decision.says).rstrip(".")
    clauses = re.split(r"[:.] ", text)
    if _stops(decision):  # "Stop." and "Paused:" come before what is meant
        clauses = clauses[1:] or clauses
    first = clauses[0] if entry else text
    if decision.rule == "signs" and entry:
        return f"{first[:1].lower()}{first[1:]} was told on {WEEKDAYS[entry.on.weekday()]}"
    if "was logged" in first and entry:
        first = f"{first} on {WEEKDAYS[entry.on.weekday()]}"
    elif entry:  # of a week that may be another than this one
        day = WEEKDAYS[entry.on.weekday()]
        first = re.sub(r" (holds|keeps?) this week", rf" on {day} \1 the week", first)
    return first[:1].lower() + first[1:]
