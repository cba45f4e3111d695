"""What pain in a session and on its next morning does to the plan."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal, NamedTuple

from sitegen.care import sentences
from sitegen.model.case import Case
from sitegen.model.checkin import Pain
from sitegen.model.kinds import choice
from sitegen.model.problem import Origin
from sitegen.model.record import row
from sitegen.model.sentence import Sentence, say
from sitegen.rules import pain_words
from sitegen.rules.draft import BACK_SHARE, Draft, Past, Stop, whole_minutes
from sitegen.rules.lifts import lifted_on
from sitegen.rules.log import Log, Logged
from sitegen.rules.rule import Back, Morning, Parameters, Rule
from sitegen.rules.volume import level, of_return

SOURCE = (
    "after Silbernagel KG et al., Am J Sports Med 2007;35(6):897-906 (limits quoted from memory; "
    "supervised patients with a diagnosis); knee profile after Esculier JF et al., Br J Sports "
    "Med 2018;52(10):659-666 (rule read second-hand)"
)
CALM_UP_TO = 2
HOLD_UP_TO = 5
CALM_SESSIONS = 2
HOLD_SESSIONS = 2  # in a row: a step back
KNEE_START = 1  # taken for pain before a run that nobody told of; common practice, no source
REFER_WITHIN_DAYS = 14  # two steps back
REST_HOURS_DAYS = 2  # 48 h without running after 6 or 7
REST_AGAIN_DAYS = 28  # a second 6 or 7
HALF = 0.5  # of the minutes, run and walk, after such a rest; common practice, no source
RUNGS_BACK = 3  # below the last, from which who ran without a walk runs and walks again
WALK_MIN = 20  # the rung below the first: walking alone; common practice, no source

Grade = Literal["calm", "hold", "rest"]
PainLevel = Literal["go", "hold", "rest", "refer"]
DAY = timedelta(days=1)
WEEK = timedelta(days=7)


class PainParameters(Parameters):
    """Which profile a client's pain is read by."""

    profile: str = row(
        choice("standard", "knee"),
        "",
        "how scores are read; choose knee together with a clinician",
        default="standard",
    )


class PainState(NamedTuple):
    """Where the scores so far have led.

    ``backs`` are the days on which the plan went back, ``rests`` those of 6 and more. Of steps back
    only those after ``counts_from`` count, as what was before a lift is looked into.
    ``halved`` is True after a rest until the scores are calm; ``eased`` where a morning at 0 to 2
    and walking without pain were told since. ``since`` is the day of a referral or a rest.
    """

    level: PainLevel = "go"
    calm: int = 0
    held_in_a_row: int = 0
    backs: tuple[date, ...] = ()
    rests: tuple[date, ...] = ()
    counts_from: date = date.min
    halved: bool = False
    calm_morning: bool = False
    walks_free: bool = False
    since: date | None = None
    because: Origin | None = None
    score: int | None = None

    @property
    def eased(self) -> bool:
        return self.calm_morning and self.walks_free

    def rests_on(self, day: date) -> bool:
        """Whether 48 h are not over, or nobody has told that a morning and walking are well."""
        if self.level != "rest" or self.since is None:
            return False
        return day <= self.since + REST_HOURS_DAYS * DAY or not self.eased


NOTHING_TOLD = PainState()


@dataclass(frozen=True, slots=True)
class PainKnown:
    """What the log says of pain on a morning.

    ``backs`` counts the days of this week on which pain sent the plan back, ``recent_back`` is
    True where that happened in the seven days before the week. Which entry of several held it is
    not compared; the first is told. ``is_calmed``: the scores are calm again since the week's
    Monday. Such a week is held to its end: two short calm runs would else make room for a longer
    one than that which hurt, in the same week. ``is_old``: the rest that halved the plan lies
    before the last week, which was half from its Monday on already.
    """

    level: PainLevel = "go"
    because: Origin | None = field(default=None, compare=False)
    score: int | None = field(default=None, compare=False)
    backs: int = 0
    recent_back: bool = False
    halved: bool = False
    is_calmed: bool = False
    is_old: bool = False


CALM = PainKnown()


def pain_known(past: Past) -> PainKnown:
    """What is known of pain on the morning that the week is drawn for."""
    found = past.condition.known[RULE.name]
    assert isinstance(found, PainKnown)
    return found


def is_settled(pain: Pain, profile: str) -> bool:
    """Whether the pain was down again: the next morning at 2 or less, and at most one point over
    what it was before the run (0 if not told).

    ``knee`` asks for more: after the run and the next morning no more than before it (1 where that
    is not told).
    """
    morning = pain.next_morning
    if profile == "knee":
        start = KNEE_START if pain.before is None else min(pain.before, CALM_UP_TO)
        return all(score <= start for score in (pain.after, morning) if score is not None)
    before = pain.before or 0
    return morning is None or morning <= min(CALM_UP_TO, before + 1)


def pain_grade(pain: Pain, profile: str) -> Grade | None:
    """What the highest of one session's scores calls for, by the strictest row that fits: go on,
    hold, or rest. None where no score was told."""
    worst = pain.worst
    if worst is None:
        return None
    if worst > HOLD_UP_TO:
        return "rest"
    return "calm" if worst <= CALM_UP_TO and is_settled(pain, profile) else "hold"


def was_left_out(session: Logged) -> bool:
    """Whether a session was left out for pain: that is pain, also where nobody told its score."""
    return session.entry.skipped == "pain"


def session_grade(session: Logged, profile: str) -> Grade | None:
    """What one session calls for; left out for pain, it holds; a calm morning alone is none."""
    told = session.pain or Pain()
    found = pain_grade(told, profile)
    if was_left_out(session):
        return found if found == "rest" else "hold"
    is_morning = told.session_worst is None and not session.entry.is_run_or_walk
    return None if found == "calm" and is_morning else found


def states(case: Case, logged: Sequence[Logged], profile: str) -> tuple[PainState, ...]:
    """Where the scores have led after each session, oldest first."""
    now = PainState()
    found = []
    for session in logged:
        now = lifted(case, now, session.on)
        if session.pain is not None:
            now = _told(now, session, session.pain)
        read = session_grade(session, profile)
        if read is not None:
            now = _after(now, read, session, session.pain or Pain())
        found.append(now)
    return tuple(found)


def _told(now: PainState, session: Logged, pain: Pain) -> PainState:
    """A morning and walking, told since a rest."""
    if now.level != "rest" or now.since is None:
        return now
    mornings = [pain.next_morning, pain.before if session.on > now.since else None]
    calm = any(score is not None and score <= CALM_UP_TO for score in mornings)
    return now._replace(
        calm_morning=now.calm_morning or calm, walks_free=now.walks_free or pain.walking == 0
    )


def _after(now: PainState, found: Grade, session: Logged, pain: Pain) -> PainState:
    if found == "calm":
        return _calmer(now, session)
    # Where the run left out is what holds, no calm score is named for it.
    is_calm = was_left_out(session) and (pain.worst or 0) <= CALM_UP_TO
    base = now._replace(because=session.origin, score=None if is_calm else pain.worst, calm=0)
    if found == "rest":
        # Also where the first one was looked into: severe again after that is for a clinician.
        refer = bool(now.rests) and (session.on - now.rests[-1]).days <= REST_AGAIN_DAYS
        refer = refer or _went_back_lately(now, session.on)
        return base._replace(
            level="refer" if refer or now.level == "refer" else "rest",
            rests=(*now.rests, session.on),
            halved=True,
            held_in_a_row=0,
            since=session.on,
            calm_morning=pain.next_morning is not None and pain.next_morning <= CALM_UP_TO,
            walks_free=pain.walking == 0,
        )
    in_a_row = now.held_in_a_row + 1
    if in_a_row < HOLD_SESSIONS:
        level: PainLevel = now.level if now.level in ("refer", "rest") else "hold"
        return base._replace(level=level, held_in_a_row=in_a_row)
    refer = _went_back_lately(now, session.on)
    base = base._replace(backs=(*now.backs, session.on), held_in_a_row=0)
    if refer or now.level == "refer":
        return base._replace(level="refer", since=session.on if refer else now.since)
    return base if now.level == "rest" else base._replace(level="hold")


def _went_back_lately(now: PainState, day: date) -> bool:
    """Whether there was a step back within 14 days; a rest of 48 h and half after it is one."""
    earlier = [on for on in (*now.backs, *now.rests) if on >= now.counts_from]
    return bool(earlier) and (day - max(earlier)).days <= REFER_WITHIN_DAYS


def _calmer(now: PainState, session: Logged) -> PainState:
    calm = now.calm + 1
    level = now.level
    since = now.since or session.on
    if level == "rest" and session.is_run and session.on > since + REST_HOURS_DAYS * DAY:
        return now._replace(level="hold", calm=1, held_in_a_row=0)  # run, and calm
    if level == "rest" and now.eased and session.on > since + REST_HOURS_DAYS * DAY:
        level = "hold"
    if level == "hold" and calm >= CALM_SESSIONS:
        return PainState("go", calm, 0, now.backs, now.rests, now.counts_from)
    if level == "go":
        return now
    return now._replace(level=level, calm=calm, held_in_a_row=0)


def lifted(case: Case, now: PainState, day: date) -> PainState:
    """The state on ``day`` where the coach has lifted a referral by then: it holds, at half."""
    if now.level != "refer" or now.since is None:
        return now
    on = lifted_on(case, "pain", now.since, now.since)
    if on is None or on > day:
        return now
    return now._replace(
        level="hold", calm=0, held_in_a_row=0, counts_from=on, since=None, halved=True
    )


def _read(case: Case, log: Log) -> tuple[PainState, ...]:
    return states(case, log.logged, RULE.values(case).profile)


def state_before(log: Log, day: date, lifted_by: date | None = None) -> PainState:
    """Where the scores before ``day`` have led, lifts up to ``lifted_by`` (or it) counted."""
    count = log.known_before(day)
    if not count:
        return NOTHING_TOLD
    now: PainState = log.read[RULE.name][count - 1]
    return lifted(log.case, now, lifted_by or day) if now.level == "refer" else now


def referrals(log: Log) -> Iterator[tuple[date, Origin | None, date | None]]:
    """Each day on which pain stopped the plan, where it stands, and when it was lifted."""
    told: set[date] = set()
    for state in log.read[RULE.name]:
        if state.level == "refer" and state.since is not None and state.since not in told:
            told.add(state.since)
            on = lifted_on(log.case, "pain", state.since, state.since)
            yield state.since, state.because, on


def _backs_in(state: PainState, week_start: date) -> int:
    return sum([week_start <= day < week_start + WEEK for day in state.backs])


def _knows(log: Log, morning: Morning) -> PainKnown:
    state = state_before(log, morning.day)
    on_monday = state_before(log, morning.week_start)
    if state.level == "go" and on_monday.level != "go":
        backs = _backs_in(state, morning.week_start)
        return PainKnown("hold", on_monday.because, on_monday.score, backs, is_calmed=True)
    if state.level == "go" and not state.backs:
        return CALM
    recent = state.level != "go" and _backs_in(state, morning.week_start - WEEK) > 0
    level: PainLevel = "hold" if state.level == "rest" else state.level
    return PainKnown(
        level,
        state.because,
        state.score,
        _backs_in(state, morning.week_start),
        recent,
        state.halved,
        is_old=state.halved and max(state.rests, default=date.max) < morning.week_start - WEEK,
    )


def _may_stop(log: Log) -> bool:
    return any(state.level in ("refer", "rest") for state in log.read[RULE.name])


def _stops(log: Log, before: date, day: date) -> Stop | None:
    state = state_before(log, before, day)
    if state.level == "refer":
        return Stop(
            "pain", state.since, state.because, "pain", RULE.name, say(sentences.LINE_PAIN),
            RULE.source, refers=True,
        )  # fmt: skip
    if state.rests_on(day):
        says = pain_words.rests(state.score, state.calm_morning, state.walks_free)
        return Stop("rest", state.since, state.because, "rest", RULE.name, says, RULE.source)
    return None


def _backs(log: Log, before: date, week_start: date) -> Back:
    state = state_before(log, before)
    if not state.backs and not state.rests:
        return Back()
    rests = sum([week_start <= day < week_start + WEEK for day in state.rests])
    return Back(_backs_in(state, week_start) + rests, state.because)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Hold, or step back, or plan nothing, or leave as it is."""
    draft = _held(draft, past, case)
    stop = past.stop
    if draft.stop is not None or stop is None or stop.rule != RULE.name:
        return draft
    return draft.stopped(pain_words.waits_ahead(stop) if _is_ahead(draft, past) else stop)


def _whole(draft: Draft, past: Past) -> float:
    """The minutes of a week that does not grow.

    On the ladder it is last week's, as planned, for who starts from nothing.
    """
    whole = level(past)
    if draft.rung is not None and not whole:
        whole = past.previous.run_minutes if past.previous else draft.minutes
    return min(draft.minutes, whole)


def _held(draft: Draft, past: Past, case: Case) -> Draft:
    if draft.stop is not None:
        return draft
    now = pain_known(past)
    if now.level == "go" and not now.backs:
        return draft
    whole = _whole(draft, past)
    longest = min(draft.longest, past.longest_before(past.start) or draft.longest)
    if now.halved:
        return _halved(draft, past, now, whole, longest)
    if now.backs or now.recent_back:
        return _back(draft, past, now, whole, longest)
    if now.is_calmed:
        return _calmed(draft, now, whole, longest)
    if draft.rung == 0 and whole <= 0:  # who had to walk walks on until it is calm
        return _walking(draft, now)
    is_ahead = _is_ahead(draft, past)
    holds = pain_words.holds_for_now if is_ahead else pain_words.holds
    return _repeated(draft, now, holds(now.score, CALM_UP_TO), whole, longest)


def _is_ahead(draft: Draft, past: Past) -> bool:
    """True of weeks after this one; on Sunday, which says what Monday does, after the next one."""
    return draft.start > past.as_of + DAY


def _repeated(draft: Draft, now: PainKnown, says: Sentence, whole: float, longest: float) -> Draft:
    """The week as large as the one before, and nothing earned by it."""
    return draft.decide(
        RULE.name,
        says,
        because=now.because,
        source=SOURCE,
        before=draft.minutes,
        after=whole,
        minutes=whole,
        longest=longest,
        kind="hold" if draft.kind == "build" else draft.kind,
        may_grow=False,
        worth=of_return(draft),
    )


def _calmed(draft: Draft, now: PainKnown, whole: float, longest: float) -> Draft:
    """The rest of a week that pain held on its Monday; who has nothing behind goes on."""
    if whole <= 0:
        return draft
    return _repeated(draft, now, pain_words.calm_again(now.score), whole, longest)


def _halved(draft: Draft, past: Past, now: PainKnown, whole: float, longest: float) -> Draft:
    """Half, run and walk: who runs without a walk goes onto the ladder for a while.

    Halved once: until something is told later weeks stay there, and a return has the smaller dose.
    """
    if draft.rung == 0:
        return _walking(draft, now)
    last = past.previous if now.is_old else None
    is_once = last is not None or draft.kind == "return"
    half = min(level(past) * HALF, whole) if is_once else whole * HALF
    run = min(past.longest_before(past.start) * HALF, longest) if is_once else longest * HALF
    minutes = float(whole_minutes(max(half, min(last.run_minutes, whole) if last else 0.0)))
    most = max(run, min(last.longest_minutes, longest) if last else 0.0)
    rung = draft.rung - 1 if draft.rung and not last else draft.rung
    if rung is None:
        rung = max(len(draft.ladder) - RUNGS_BACK, 0)
    return draft.decide(
        RULE.name,
        pain_words.halves(is_ahead=_is_ahead(draft, past)),
        because=now.because,
        source=SOURCE,
        before=draft.minutes,
        after=minutes,
        minutes=minutes,
        longest=most,
        rung=rung if draft.ladder else draft.rung,
        kind="back",
        may_grow=False,
        worth=of_return(draft),
    )


def _back(draft: Draft, past: Past, now: PainKnown, whole: float, longest: float) -> Draft:
    """A step back: four fifths of the minutes, or a rung, or walking below the lowest."""
    if draft.rung == 0:
        return _walking(draft, now)
    share = BACK_SHARE**now.backs
    longest *= BACK_SHARE if now.recent_back else 1.0
    minutes = float(whole_minutes(whole * share))
    rung = draft.rung if draft.rung is None else max(draft.rung - now.backs, 0)
    is_ahead = _is_ahead(draft, past)
    stays = pain_words.stays_back_for_now if is_ahead else pain_words.stays_back
    return draft.decide(
        RULE.name,
        (pain_words.goes_back if now.backs else stays)(now.score),
        because=now.because,
        source=SOURCE,
        before=draft.minutes,
        after=minutes,
        minutes=minutes,
        longest=longest * share,
        rung=rung,
        kind=draft.kind if draft.kind in ("ease", "return") and not now.backs else "back",
        may_grow=False,
        worth=of_return(draft),
    )


def _walking(draft: Draft, now: PainKnown) -> Draft:
    """The rung below the first."""
    return draft.decide(
        RULE.name,
        pain_words.walks(now.score),
        because=now.because,
        source=SOURCE,
        before=draft.minutes,
        after=0.0,
        minutes=draft.minutes or float(WALK_MIN),  # by which days are chosen; none of it is run
        walks=WALK_MIN,
        kind="back",
        may_grow=False,
        worth=of_return(draft),
    )


RULE = Rule(
    name="pain",
    promise=(
        "The highest of during, after, next morning and in walking counts. 0-2, down again by the "
        "next morning: go on. 3-5, or not down again: nothing grows until two sessions in a row "
        "at 0-2 (a morning alone is none), nor before the Monday after them; two in a row: a step "
        "back, by 20 % or a rung (below the lowest: walking); two steps back within 14 days: "
        "stop, see a clinician. 6-7: 48 h without running, then, after a morning at 0-2 and "
        "walking without pain (`pain: {walking: 0}`), half, run and walk in turn; a second within "
        "28 days: stop, see a clinician. 8 and more: see `signs`. A run left out for pain "
        "(`skipped: pain`) counts as 3-5 at the least. Profile `knee`: also back to where it was "
        "within the hour, and no more next morning."
    ),
    reason="Some pain may be acceptable; more tomorrow than today was too much.",
    source=SOURCE,
    evidence="weak",
    apply=apply,
    parameters=PainParameters,
    needs=("volume",),
    reads=_read,
    knows=_knows,
    untold=CALM,
    stops=_stops,
    may_stop=_may_stop,
    backs=_backs,
    review="Read the log's scores downwards, and say for each: on, hold, or back; then the weeks.",
)
