"""What the coach is asked about: until it is answered nothing grows, and nothing is hard.

Where a stop was run through, all runs wait for the answer.
"""

from __future__ import annotations

import hashlib
import re
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import NamedTuple

from sitegen.care import sentences
from sitegen.care.efforts import VERY_HARD, VERY_HARD_WEEKS, Effort, very_hard_weeks
from sitegen.care.trends import AGAIN_WITHIN_WEEKS, ASK_FROM, ASK_RISE, Score, Trend, trends
from sitegen.care.words import plain
from sitegen.model.alarm import AlarmAnswer
from sitegen.model.case import Case
from sitegen.model.problem import Origin
from sitegen.model.sentence import N_, say
from sitegen.model.workout import HARD_KINDS
from sitegen.rules import hard, history, illness, pain, returning, screening, signs
from sitegen.rules.asked_words import words_asked
from sitegen.rules.draft import Draft, Past, Stop
from sitegen.rules.lifts import holds_not, lift_days
from sitegen.rules.log import Log, Logged
from sitegen.rules.rule import Back, Morning, Rule
from sitegen.rules.volume import hold_at_level

SOURCE = "judgement; common practice, no source"
DAY = timedelta(days=1)
REST_DAYS = pain.REST_HOURS_DAYS
PREGNANT_DAYS = 42  # that a clinician's word in a pregnancy holds; common practice, no source
SILENT_AFTER_STOP_DAYS = 7  # after a stop, or pain that holds; common practice, no source
OF_PAIN = "pain_"  # begins the matters of its trends
OF_EFFORT = "easy_runs_very_hard"
MOST_OF_PLACE = 40  # letters of a place in such a matter
SEEN_TO = (signs.RULE, pain.RULE, screening.RULE)  # their stops wait for somebody to look
# So do theirs, but nobody wrote down since when: what was run before may be why there is a stop.
UNDATED = (history.RULE, returning.RULE)

# A question about pain that nobody has answered for so long, while it goes on hurting, is a step
# back, and after as long again another, up to so many. Common practice, no source.
UNANSWERED_DAYS = 14
MOST_BACKS = 3
ASKED = N_("Your coach has a question to settle first, so nothing grows this week.")
STILL_HURTS = N_(
    "It goes on hurting, so the plan went back a step; nothing grows until your coach has settled "
    "what to do."
)


class Ask(NamedTuple):
    """One matter for the coach, from the day ``since``; ``says`` is for the coach alone.

    Where it ``withholds``, no run is planned until it is answered. ``at`` is the entry behind it.
    It ``went_back`` where it has waited so long that the plan did. An answer to ``was``, the matter
    without its place, counts too, as older ones are written.
    """

    matter: str
    since: date
    says: str
    because: Origin | None
    at: int = -1
    withholds: bool = False
    went_back: bool = False
    stop: Origin | None = None  # what was run through
    through: str = ""  # the rule that stopped, and since when
    was: str = ""
    came: Origin | None = None  # a later entry that made it one


class Matters(NamedTuple):
    """Every matter that was ever to be answered, by the day on which it showed; all trends.

    ``answered`` has for each matter the day of the coach's answer, None where she gave none;
    ``hurt`` are the days of which pain that is not calm was told, in order.
    """

    asks: tuple[Ask, ...]
    answered: tuple[date | None, ...]
    trends: tuple[Trend, ...]
    hurt: tuple[date, ...]


def _read(case: Case, log: Log) -> Matters:
    scores = tuple(scores_of(log))
    seen = trends(scores)
    hurt = {score.on for score in scores if score.score > pain.CALM_UP_TO}
    hurt.update(session.on for session in log.logged if pain.was_left_out(session))
    dated = [*_ran_through(log)]
    days = {ask.since for ask in dated}
    found = [
        *dated,
        *(ask for ask in _ran_through_undated(log) if ask.since not in days),
        *_of_trends(log, seen),
        *_of_effort(case, log),
        *(Ask(*one) for one in words_asked(case, log.as_of)),
        *_clearance(case, log),
        *_in_pregnancy(case, log),
        *_gravest_silence(case, log),
    ]
    asks = tuple(sorted(found, key=lambda ask: (ask.since, ask.matter, ask.at)))
    answers = (answer_to(case, ask.matter, ask.since, ask.was) for ask in asks)
    answered = tuple(answer.on if answer else None for answer in answers)
    return Matters(asks, answered, seen, tuple(sorted(hurt)))


def matters(log: Log) -> Matters:
    """What the rule read in the log."""
    found: Matters = log.read[RULE.name]
    return found


def stopped_before(log: Log, rules: Iterable[Rule], day: date) -> Stop | None:
    """What one of the ``rules`` stopped on ``day``, known the day before: until somebody sees the
    client, or for the 48 h after pain of 6 and more."""
    asked = (rule.stops(log, day, day) for rule in rules if rule.stops)
    found = (stop for stop in asked if stop is not None)
    return next((stop for stop in found if stop.refers or _is_rest(stop, day)), None)


def _is_rest(stop: Stop, day: date) -> bool:
    """On the last of its days the 48 h may be over by the evening."""
    since = stop.since
    return stop.reason == "rest" and since is not None and (day - since).days < REST_DAYS


def _ran_through(log: Log) -> Iterator[Ask]:
    told: set[date] = set()
    rules = [rule for rule in SEEN_TO if rule.may_stop is None or rule.may_stop(log)]
    for session in log.logged if rules else ():
        if not session.is_run or session.on in told:
            continue
        stop = stopped_before(log, rules, session.on)
        if stop is not None:
            told.add(session.on)
            yield _ran(session, stop)


def _ran_through_undated(log: Log) -> Iterator[Ask]:
    """The last run, where the plan waits for a clinician, and the run was not told to the client.

    One question, not one for each run of a year: the day on which the stop began is not known.
    Earlier ones stay where they were answered.
    """
    rules = [r for r in UNDATED if r.may_stop is None or r.may_stop(log)]
    if not rules or stopped_before(log, rules, log.as_of) is None:
        return
    told: set[date] = set()
    for session in reversed(log.logged):
        if not session.is_run or session.on in told:
            continue
        is_asked = not told or answer_to(log.case, "ran_while_stopped", session.on)
        told.add(session.on)
        stop = stopped_before(log, rules, session.on)
        if not is_asked or stop is None or _was_told(log.case, session.on):
            continue
        if stop.rule == returning.RULE.name or session.on > history.talked_on(log.case.client):
            yield _ran(session, stop)


def _was_told(case: Case, day: date) -> bool:
    """Whether the client was shown a run on ``day``, as was known on the day before."""
    told = (telling.weeks for telling in case.told if telling.on < day)
    weeks = [w for some in told for w in some if w.start <= day < w.start + 7 * DAY]
    return any(s.on == day and s.is_run for s in weeks[-1].sessions) if weeks else False


def _ran(session: Logged, stop: Stop) -> Ask:
    says = f"a run was logged on {session.on}, while the plan was stopped"
    through = f"{stop.rule} {stop.since}"
    return Ask(
        "ran_while_stopped",
        session.on,
        says,
        session.origin,
        withholds=True,
        stop=stop.because,
        through=through,
    )


def scores_of(log: Log) -> Iterator[Score]:
    """The worst score of each session with its place."""
    for at, session in enumerate(log.logged):
        told = session.pain
        if told is not None and told.worst is not None:
            yield Score(session.on, told.worst, told.site or "", at)


def _of_trends(log: Log, seen: Iterable[Trend]) -> Iterator[Ask]:
    asked = [trend for trend in seen if trend.kind == "ask"]
    of_no_place = {(trend.how, trend.since) for trend in asked if not trend.site}
    for trend in asked:
        bare = f"{OF_PAIN}{trend.how}"
        yield Ask(
            f"{bare}_{_place_key(trend.site)}" if trend.site else bare,
            trend.since,
            trend_words(trend),
            log.logged[trend.at].origin,
            was="" if (trend.how, trend.since) in of_no_place else bare,
            came=_made_by(log.logged[trend.at], trend),
        )


def _made_by(session: Logged, trend: Trend) -> Origin | None:
    """The next morning's answer that made a trend's last score high enough, where one did."""
    least = ASK_FROM if trend.how == "weeks" else max(ASK_RISE, trend.scores[-2] + 1)
    lower = [where for before, where in session.raised if before < least]
    return lower[-1] if lower else None


def _place_key(site: str) -> str:
    """A place as one word of an answer, ``left_shin``: an answer about it is about no other."""
    words = "_".join(plain(site).split())
    if re.fullmatch(rf"\w{{1,{MOST_OF_PLACE}}}", words):
        return words
    short = re.sub(r"[\W_]+", "_", words)[:MOST_OF_PLACE].strip("_")
    told_apart = hashlib.sha256(words.encode("utf-8")).hexdigest()[:6]
    return f"{short}_{told_apart}".lstrip("_")


def trend_words(trend: Trend) -> str:
    """``pain at the left shin in three weeks in a row, last on 2027-03-01: 3, 3, 4 of 10``."""
    told = ", ".join(map(str, trend.scores))
    where = f" at {trend.site}" if trend.site else ""
    how = {
        "weeks": "in three weeks in a row",
        "again": f"in three weeks of {AGAIN_WITHIN_WEEKS}",
        "rise": "rose over three check-ins in a row",
    }[trend.how]
    return f"pain{where} {how}, last on {trend.since}: {told} of 10"


def _of_effort(case: Case, log: Log) -> Iterator[Ask]:
    for one in very_hard_weeks(_efforts(case, log), _meant_hard(case)):
        says = (
            f"easy runs felt very hard in {VERY_HARD_WEEKS} weeks in a row, last on {one.since}: "
            f"{one.hard} of {one.runs} at {VERY_HARD} or more of 10; ask whether they are too "
            "fast, or there is illness, too little food or sleep, or heat; where slower running "
            "and rest change nothing, send to a clinician (common practice, no source)"
        )
        yield Ask(OF_EFFORT, one.since, says, log.logged[one.at].origin)


def _efforts(case: Case, log: Log) -> Iterator[Effort]:
    """Of each run but the event, and those that the coach made hard, or chose the session of."""
    event = case.client.goal.event
    chosen = {
        change.move_to or change.on
        for change in case.client.changes
        if change.session or change.kind in HARD_KINDS or change.kind == "event"
    }
    for at, session in enumerate(log.logged):
        is_meant = session.on in chosen or (event is not None and session.on == event.on)
        if session.is_run and session.entry.effort is not None and not is_meant:
            yield Effort(session.on, session.entry.effort, at)


def _meant_hard(case: Case) -> int:
    """How many hard sessions a week the coach asked for."""
    return hard.RULE.values(case).per_week if hard.is_asked_for(case) else 0


def _clearance(case: Case, log: Log) -> Iterator[Ask]:
    why = holds_not(case)
    asked = case.client.screening
    if why and asked.cleared_on is not None:
        because = case.origins.value("screening", "cleared_on")
        if asked.cleared_on <= log.as_of:
            yield Ask("clearance", asked.cleared_on, why, because)


def _in_pregnancy(case: Case, log: Log) -> Iterator[Ask]:
    """What a clinician allows in a pregnancy is of its weeks: it is asked for again."""
    told = case.client.history
    words = [on for on in history.words_given(case) if on <= log.as_of]
    if told is None or not told.pregnant or not words:
        return
    since = max(words) + PREGNANT_DAYS * DAY
    while since <= log.as_of:
        says = (
            f"the clinician's word on running in the pregnancy is of {max(words)}: ask what holds "
            "now, and write its day anew; is the pregnancy over, write gave_birth in its place "
            "(common practice, no source)"
        )
        yield Ask("pregnancy", since, says, case.origins.value("history", "pregnant"))
        answer = answer_to(case, "pregnancy", since)
        if answer is None:
            return
        since = max(since, answer.on) + PREGNANT_DAYS * DAY


def _gravest_silence(case: Case, log: Log) -> list[Ask]:
    """The gravest silence alone: one call answers all of them."""
    silences = (_silent, _silent_since_illness, _silent_since_pain)
    return next((found for of in silences if (found := [*of(case, log)])), [])


def _silent(case: Case, log: Log) -> Iterator[Ask]:
    """Nothing heard since a stop: somebody has to ask how it went."""
    for one in signs.standing(log, log.as_of + DAY, log.as_of):
        later = [s for s in log.logged if s.on > one.since]
        due = one.since + SILENT_AFTER_STOP_DAYS * DAY
        if not later and due <= log.as_of:
            says = f"nothing was heard since the plan was stopped on {one.since}"
            yield Ask("silent_since_stop", due, says, one.origin)
            return


def _silent_since_pain(case: Case, log: Log) -> Iterator[Ask]:
    """Nothing heard since pain that holds or stops the plan: it may be worse by now.

    A word of any kind takes it back, but a run without a score: that says nothing of the pain.
    """
    state = pain.state_before(log, log.as_of + DAY, log.as_of)
    if state.level == "go" or not log.days or case.client.status == "ended":
        return
    if state.score is not None and state.score <= pain.CALM_UP_TO:
        return
    last = max(s.on for s in log.logged if s.pain or not s.is_run)
    due = _silent_from(case, log, last)
    if due <= log.as_of:
        hurts = (s for s in reversed(log.logged) if s.pain or pain.was_left_out(s))
        hurt = next(s.on for s in hurts if s.origin == state.because)
        what = "a session left out for pain" if state.score is None else f"pain {state.score}/10"
        heard = "nothing was heard" if log.days[-1] <= last else "runs were logged without a score"
        after = f"{last}, after " if last > hurt else ""
        says = f"{heard} since {after}{what} on {hurt}"
        yield Ask("silent_since_pain", due, says, state.because)


def _silent_since_illness(case: Case, log: Log) -> Iterator[Ask]:
    """Nothing heard since an illness that stopped the plan: only a word ends it."""
    ills = illness.courses(log).before(log.as_of + DAY)
    if not ills or case.client.status == "ended" or not (ills[-1].is_grave and log.days):
        return
    due = _silent_from(case, log, log.days[-1])
    if ills[-1].over is None and due <= log.as_of:
        last = f"{log.days[-1]}, after " if log.days[-1] > ills[-1].since else ""
        says = f"nothing was heard since {last}an illness that was told on {ills[-1].since}"
        yield Ask("silent_since_illness", due, says, ills[-1].because)


def _silent_from(case: Case, log: Log, last: date) -> date:
    """The day from which a silence since ``last`` is asked about: a week after it, or after days
    away, or after the coach's last word with the client."""
    away = [one.to for one in case.client.away if one.from_ <= log.as_of]
    spoken = [day for day in lift_days(case) if day <= log.as_of]
    return max([last, *away, *spoken]) + SILENT_AFTER_STOP_DAYS * DAY


def answer_to(case: Case, matter: str, since: date, was: str = "") -> AlarmAnswer | None:
    """What the coach answered, if she did; to the matter, or to what it ``was`` called before."""
    answers = [a for a in case.answers if a.since == since and a.matter in (matter, was)]
    return min(answers, key=lambda answer: answer.matter != matter, default=None)


def open_asks(log: Log, before: date, day: date) -> Iterator[Ask]:
    """Matters that were known before ``before`` and are not answered by ``day``, oldest first."""
    known = matters(log)
    for ask, answered_on in zip(known.asks, known.answered, strict=True):
        if ask.since >= before:
            break  # they are in the order of their days
        if answered_on is None or answered_on > day:
            yield ask


def _knows(log: Log, morning: Morning) -> Ask | None:
    """The oldest open matter: the others lead to the same week."""
    found = next(open_asks(log, morning.day, morning.day), None)
    if found is None or not _times_back(log, min(morning.week_start, log.as_of + DAY)):
        return found
    return found._replace(went_back=True)


def _times_back(log: Log, day: date) -> int:
    """Steps back by ``day`` for a question about pain: one for each `UNANSWERED_DAYS` that it has
    waited and in which it went on hurting, where pain still holds the plan when that week ends.

    Of a time in which nobody told of pain, nothing is known.
    """
    found = (ask.since for ask in open_asks(log, day, day) if ask.matter.startswith(OF_PAIN))
    since = next(found, day)  # the oldest comes first
    waited = min((day - since).days // UNANSWERED_DAYS, MOST_BACKS)
    times = (since + UNANSWERED_DAYS * n * DAY for n in range(waited))
    return sum(_hurt_from(log, on) and _holds_at(log, on + UNANSWERED_DAYS * DAY) for on in times)


def _holds_at(log: Log, day: date) -> bool:
    """Whether pain holds the plan on the first Monday from ``day`` on."""
    monday = day + (-day.weekday()) % 7 * DAY
    return pain.state_before(log, min(monday, log.as_of + DAY)).level != "go"


def _hurt_from(log: Log, day: date) -> bool:
    """Whether pain that is not calm was told of ``day`` or of the two weeks from it."""
    hurt = matters(log).hurt
    at = bisect_left(hurt, day)
    return at < len(hurt) and hurt[at] < day + UNANSWERED_DAYS * DAY


def _backs(log: Log, before: date, week_start: date) -> Back:
    """A step back in the week in which such a time is over, where it hurts on; none foretold."""
    until = min(before, log.as_of + DAY)
    if not matters(log).asks:
        return Back()
    times = _times_back(log, until) - _times_back(log, week_start) if until > week_start else 0
    if times <= 0:
        return Back()
    return Back(times, next(open_asks(log, until, until)).because)


def _may_stop(log: Log) -> bool:
    return any(ask.withholds for ask in matters(log).asks)


def _stops(log: Log, before: date, day: date) -> Stop | None:
    for ask in open_asks(log, before, day):
        if ask.withholds:
            return Stop(
                "ask",
                ask.since,
                ask.because,
                ask.matter,
                RULE.name,
                say(sentences.LINE_RAN),
                SOURCE,
            )
    return None


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Let nothing grow while a question is open; plan nothing where a stop was run through."""
    stop = past.stop
    if draft.stop is None and stop is not None and stop.rule == RULE.name:
        return draft.stopped(stop)
    known = past.condition.known[RULE.name]
    if draft.stop is not None or not isinstance(known, Ask):
        return draft
    says = say(STILL_HURTS if known.went_back else ASKED)
    return hold_at_level(draft, past, RULE.name, says, SOURCE, known.because)


RULE = Rule(
    name="asks",
    promise=(
        "A trend of pain at one place, easy runs of which half or more felt very hard in three "
        "weeks in a row, words of missed periods, of weeks without energy, of eating little or of "
        "weight lost, of a pregnancy or a new medicine, after a birth of heaviness, leaking or "
        "bleeding, a clearance that does not hold, a word in a pregnancy that is six "
        "weeks old, silence after a stop, an illness with fever or "
        "pain that holds, of which runs without a score say nothing: nothing grows and nothing is "
        "hard until the coach has answered (`sitegen answer`); one about pain "
        "that goes on: a step back, by 20 %, for each two weeks that it waits, at most "
        "three. A run while the plan was stopped: no run at all until then."
    ),
    reason="A question that nobody answers is told once and forgotten.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume", "pain", "signs", "illness"),
    reads=_read,
    knows=_knows,
    untold=None,
    stops=_stops,
    may_stop=_may_stop,
    backs=_backs,
    review="From the day of an open question on no week is larger than the last building week.",
)
