"""Who needs the coach first, and why: one row a client, most urgent first.

What is known comes from the clients' files, their logs and their plans, as of one day; and a row
of its own tells of check-ins that wait aside, the only thing here that is looked up anew. Not
known is whether a link was ever opened: the site has no server that could tell, so nothing is
said about it.

The order of reasons and the limits below are common practice, no source, but where one is named.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from sitegen.care.sentences import LINE_ILL_OVER
from sitegen.care.signs import sign_words
from sitegen.coach.adherence import Runs, much_shorter, runs_lately
from sitegen.model.case import Case
from sitegen.model.plan import Plan, Week
from sitegen.plan.condition import log_with_readings, stop_now
from sitegen.portal.words import Words
from sitegen.rules import cadence, pain, signs
from sitegen.rules.lifts import lift_days
from sitegen.rules.log import Log
from sitegen.site.plans import Planned

DAY = timedelta(days=1)
WEEK = timedelta(days=7)

# What may stand in a row, most urgent first. A client's most urgent reason sets the place.
REASON_ORDER = (
    "urgent",  # a sign that calls for help now; one in a check-in aside comes before all
    "sign",  # another sign, not lifted yet
    "referred",  # pain sent the plan back again
    "ran-stopped",  # a run while the plan was stopped; within a row it comes first
    "ask",  # another alarm that waits for an answer
    "ill",  # stopped until the client says that it is over
    "file",  # a file that can't be read
    "aside",  # check-ins in no log
    "screening",  # the intake answers ask for a clinician first
    "pain-back",  # pain sent the plan back a step
    "pain-hold",  # pain holds the plan
    "pain-skip",  # a run left out for pain
    "baseline",  # eight weeks without a run: a new baseline
    "notice",  # pain at one place that comes back
    "longer",  # a run far longer than those before it
    "silence",  # no check-in while sessions went by
    "away",  # check-ins, but no run
    "adherence",  # fewer runs than planned, or much shorter ones
    "event",  # near, or just past
    "plan-end",  # ended, or soon
    "cadence",  # the step rate is not held
    "not-begun",  # the plan begins later
    "paused",  # by the coach
    "ended",  # by the coach
    "as-planned",  # nothing to say
)

SILENT_DAYS = 7
AWAY_DAYS = 7
# The best known sign of trouble ahead in a runner's log: one run over 110 % of the longest of
# the 30 days before. Source: Frandsen JSB et al., Br J Sports Med 2025;59(17):1203-1210
# (observational; the runners chose their own runs).
LONGER_SHARE = 1.10
LONGER_WITHIN = 30
LONGER_TOLD_DAYS = 7
SKIP_TOLD_DAYS = 7
EVENT_AHEAD = 14
EVENT_BEHIND = 7
PLAN_AHEAD = 14
CADENCE_DAYS = 70  # how far back logged step rates count, as in the plan
ENDED_URGENT_DAYS = 28
AFTER_TICKED = 1e7  # days, more than any date has: a sign by words alone comes after ticked ones

WORDS = Words()


@dataclass(frozen=True, slots=True)
class Concern:
    """Why a client stands where it stands. ``weight`` orders reasons of one kind, larger first."""

    kind: str
    says: str
    since: date | None = None
    weight: float = 0.0


@dataclass(frozen=True, slots=True)
class Rate:
    """The step rate aimed at, and how many of the last ``counted`` logged ones held it."""

    aim: int
    within: int
    counted: int


@dataclass(frozen=True, slots=True)
class RosterRow:
    """One client. ``reasons`` has at least one, most urgent first.

    ``weeks_untold`` counts whole weeks in a row, back from the last one, that had sessions and
    no check-in. Of a client whose file can't be read nothing else is known.
    """

    id: str
    name: str
    as_of: date | None
    status: str
    reasons: tuple[Concern, ...]
    last_check_in: date | None = None
    weeks_untold: int = 0
    runs: Runs | None = None
    rate: Rate | None = None
    event_on: date | None = None
    plan_ends: date | None = None
    group: str | None = None

    @property
    def days_since(self) -> int | None:
        """Days since the last check-in; None where there was none."""
        if self.last_check_in is None or self.as_of is None:
            return None
        return (self.as_of - self.last_check_in).days

    @property
    def place(self) -> tuple[int, float, str]:
        """Sorts rows: kind of the most urgent reason, its weight, then the id. No two are alike."""
        return (*min(map(_urgency, self.reasons)), self.id)


def _urgency(reason: Concern) -> tuple[int, float]:
    return REASON_ORDER.index(reason.kind), -reason.weight


def roster(opened: Planned) -> tuple[RosterRow, ...]:
    """All clients of a practice, most urgent first; where its own file has an error, who is
    stopped all the same.
    """
    from sitegen.coach.rows_beside import (
        aside_rows,
        rows_alone,
        stopped_rows,
        unread_ids,
        unreadable_row,
    )

    if opened.house is None:
        return tuple(sorted(stopped_rows(opened), key=lambda row: row.place))
    rows = [row_of(case, opened.plans[id]) for id, case in opened.cases.items()]
    rows += [unreadable_row(opened, id) for id in unread_ids(opened)]
    rows += aside_rows(opened.clients, opened.all_ids)
    if set(opened.ids) == set(opened.all_ids):
        rows += rows_alone(opened)
    return tuple(sorted(rows, key=lambda row: row.place))


def row_of(case: Case, plan: Plan) -> RosterRow:
    """One client's row, as of the plan's day."""
    known = _Known(case, plan, log_with_readings(case, plan.as_of))
    found = sorted(_reasons(known), key=lambda r: (r.kind != "ran-stopped", *_urgency(r)))
    event = case.client.goal.event
    return RosterRow(
        id=case.id,
        name=case.client.name,
        as_of=plan.as_of,
        status=plan.status,
        reasons=tuple(found) or (_as_planned(known),),
        last_check_in=known.last,
        weeks_untold=known.weeks_untold,
        runs=known.runs,
        rate=known.rate,
        event_on=event.on if event else None,
        plan_ends=known.ends,
        group=case.client.group,
    )


class _Known:
    """What the reasons of one client are made from."""

    def __init__(self, case: Case, plan: Plan, past: Log) -> None:
        self.case, self.plan, self.past = case, plan, past
        self.as_of = plan.as_of
        self.last = past.days[-1] if past.days else None
        self.begins = max(case.client.plan.from_, plan.weeks[0].start)
        self.ends = plan.weeks[-1].start + WEEK - DAY
        self.is_running = plan.status == "active"

    @property
    def week(self) -> Week | None:
        """The week that holds ``as_of``."""
        return self.plan.week_of(self.as_of)

    @property
    def weeks_untold(self) -> int:
        if self.plan.unasked:
            return 0
        count = 0
        for week in reversed([w for w in self.plan.weeks if w.start <= self.as_of]):
            if self.past.between(week.start, week.start + WEEK):
                break
            count += bool(week.sessions) and week.start + WEEK <= self.as_of
        return count

    @property
    def runs(self) -> Runs:
        return runs_lately(self.plan, self.past)

    @property
    def rate(self) -> Rate | None:
        """None where nothing is asked of the step rate."""
        week = self.week
        if week is None or week.cadence.aim <= self.case.client.baseline.cadence.spm:
            return None
        recent = self.past.between(self.as_of - DAY * CADENCE_DAYS, self.as_of + DAY)
        line = cadence.lines(self.case, self.past).before(self.as_of + DAY)
        met = cadence.held(self.case, recent, week.cadence.aim, line)
        return Rate(week.cadence.aim, met.within, met.counted)

    def ago(self, day: date) -> str:
        """``2 Mar, 16 days ago``."""
        return f"{WORDS.day_month(day)}, {ago((self.as_of - day).days)}"


def _reasons(known: _Known) -> Iterator[Concern]:
    if known.plan.status == "ended":
        yield from _urgent(known, ENDED_URGENT_DAYS)
        yield Concern("ended", "ended by you: the portal goes at the next publish")
        return
    yield from _alarms(known)
    yield from _urgent(known)
    yield from _stopped(known)
    if known.case.client.status == "paused":
        yield Concern("paused", "paused by you")
        return
    yield from _pain(known)
    if known.is_running:
        yield from _rhythm(known)
        yield from _rate(known)
    elif known.last is not None and not _is_stopped_by_silence(known):
        yield from _silence(known)  # who is ill or was sent to a doctor is asked after, too
    yield from _dates(known)


def _alarms(known: _Known) -> Iterator[Concern]:
    """Alarms that the reasons below don't tell: what the coach is asked, and notices."""
    for one in known.plan.alarms:
        weight = float(one.since.toordinal())
        if one.kind == "notice":
            yield Concern("notice", one.says, one.since, weight)
        elif one.kind == "ask" and one.is_open:
            kind = "ran-stopped" if one.matter == "ran_while_stopped" else "ask"
            yield Concern(kind, f"alarm {one.number}: {one.says}", one.since, weight)


def _urgent(known: _Known, within_days: int | None = None) -> Iterator[Concern]:
    """Urgent signs that no clearance stands against; of an ended client only fresh ones."""
    as_of = known.as_of
    first = date.min if within_days is None else as_of - DAY * within_days
    told = [
        one
        for one in signs.standing(known.past, as_of + DAY, as_of)
        if one.since >= first and one.kind == "now"
    ]
    if not told:
        return
    since = told[-1].since
    names = " and ".join(dict.fromkeys(sign_words(t.sign) for t in told if t.since == since))
    ends = [freed for one, freed in signs.read(known.past) if one in told and freed is not None]
    ahead = f"lifted from {WORDS.day_month(max(ends))}" if len(ends) == len(told) else ""
    says = f"urgent: {names} on {known.ago(since)}; {ahead or 'no lift or clearance since'}"
    after = AFTER_TICKED if all(t.is_doubtful for t in told) else 0.0
    weight = since.toordinal() - after
    yield Concern("urgent", says, since, weight)


def _stopped(known: _Known) -> Iterator[Concern]:
    """Whatever else keeps the plan from going on, but for the coach's own pause."""
    found = stop_now(known.past)
    if found is None or found.reason in ("urgent", "rest", "ask"):
        return  # told with signs, with pain, or as an alarm
    if found.reason == "silent":
        yield Concern("silence", "no word for four weeks: nothing is planned until one comes")
    elif found.reason == "screening":
        says = "what was told of health asks for a clinician's word before any run"
        yield Concern("screening", says)
    elif found.since is not None and found.reason == "pain":
        says = f"pain sent the plan back twice, last on {known.ago(found.since)}: referred"
        yield Concern("referred", says, found.since, weight=float(found.since.toordinal()))
    elif found.since is not None and found.reason == "ill":
        ill = "stopped until they say it is over, by a run or `well_again: yes`"
        if found.says.template == LINE_ILL_OVER:
            ill = "over, with a day more of rest"
        says = f"ill on {known.ago(found.since)}: {ill}"
        yield Concern("ill", says, found.since, weight=float(found.since.toordinal()))
    elif found.since is not None:
        says = f"{sign_words(found.word)} on {known.ago(found.since)}: stopped until you lift it"
        yield Concern("sign", says, found.since, weight=float(found.since.toordinal()))


def _pain(known: _Known) -> Iterator[Concern]:
    state = pain.state_before(known.past, known.as_of + DAY, known.as_of)
    because = next(
        (
            s
            for s in reversed(known.past.logged)
            if s.origin == state.because and s.pain and s.pain.worst == state.score
        ),
        None,
    )
    if state.level in ("hold", "rest") and because is not None:
        monday = known.as_of - DAY * known.as_of.weekday()
        is_back = bool(state.backs) and state.backs[-1] >= monday - WEEK
        where = f" ({because.pain.site})" if because.pain and because.pain.site else ""
        later = because.pain is not None and because.pain.worse_next_morning
        morning = ", worse next morning" if later else ""
        does = ": the plan is back a step" if is_back else ": nothing grows"
        found = stop_now(known.past)
        if found is not None:
            does = f": {_rest_words(known, state.since)}" if found.reason == "rest" else ""
        says = f"pain {state.score}/10{where} on {known.ago(because.on)}{morning}{does}"
        kind = "pain-back" if is_back or state.halved else "pain-hold"
        yield Concern(kind, says, because.on, weight=float(state.score or 0))
    held = state.because if state.level != "go" else None
    skipped = [
        s for s in known.past.logged
        if s.entry.skipped == "pain"
        and ((known.as_of - s.on).days < SKIP_TOLD_DAYS or s.origin == held)
    ]  # fmt: skip
    if skipped:
        on = skipped[-1].on
        says = f"a session left out for pain on {known.ago(on)}"
        yield Concern("pain-skip", says, on, weight=float(on.toordinal()))


def _rest_words(known: _Known, since: date | None) -> str:
    if since is not None and (known.as_of - since).days <= pain.REST_HOURS_DAYS:
        return "two days without running"
    return "no running until a morning at 0 to 2 and walking without pain are told"


def _rhythm(known: _Known) -> Iterator[Concern]:
    """Runs and check-ins that came, or did not."""
    week = known.week
    if week and any(d.rule == "absence" and d.warns for d in week.decisions):
        last = known.past.last_run_before(known.as_of + DAY)
        when = f", none since {WORDS.day_month(last)}" if last else ""
        says = f"eight weeks without a run{when}: a new baseline is asked for"
        yield Concern(
            "baseline", says, last, weight=float((known.as_of - last).days if last else 0)
        )
        return
    yield from _longer(known)
    if known.plan.unasked:
        return  # by agreement: who never logs is neither silent nor away
    silent = _silence(known)
    yield from silent
    if not silent:
        yield from _away(known)
    runs = known.runs
    if runs.are_few and not silent:  # of runs that nobody told of, nothing is known
        yield Concern("adherence", runs.says, weight=1 - runs.logged / runs.planned)
    shorter = much_shorter(known.plan, known.past)
    if shorter is not None:
        yield Concern("adherence", shorter[0], weight=shorter[1])


def _longer(known: _Known) -> Iterator[Concern]:
    """A run of this last week far over the longest before it, and not planned so.

    Only for who runs without walking: a beginner's repeats grow by their own ladder.
    """
    week, as_of = known.week, known.as_of
    if week is None or week.rung is not None:
        return
    planned: dict[date, float] = {}
    for session in known.plan.sessions:
        planned[session.on] = planned.get(session.on, 0.0) + session.run_minutes
    baseline = known.case.client.baseline
    raced = {s.on for s in known.plan.sessions if s.kind == "event"}
    for run in known.past.between(as_of - DAY * LONGER_TOLD_DAYS, as_of + DAY):
        if run.on in raced:
            continue  # it takes as long as it takes
        first = run.on - DAY * LONGER_WITHIN
        before = [s.minutes for s in known.past.between(first, run.on) if s.is_run]
        if baseline.longest and first <= baseline.on < run.on:
            before.append(baseline.longest.minutes)
        longest = max(before, default=0.0)
        allowed = max(longest * LONGER_SHARE, planned.get(run.on, 0.0) + 1)
        if longest > 0 and run.is_run and run.minutes > allowed:
            ran = f"ran {run.minutes:.0f} min on {WORDS.day_month(run.on)}"
            before_it = f"the longest of the {LONGER_WITHIN} days before was {longest:.0f}"
            is_told = any(str(one.says).startswith(f"{ran},") for one in known.plan.alarms)
            says = before_it if is_told else f"{ran}; {before_it}"
            yield Concern("longer", says, run.on, weight=run.minutes / longest)


def _silence(known: _Known) -> tuple[Concern, ...]:
    """Sessions went by, a week or more, and nobody told of them."""
    since = known.last or known.begins - DAY
    days = (known.as_of - since).days
    # the coach knows of the client until she lifted a stop, and no run was to be told before it
    spoken = max([since, *(day for day in lift_days(known.case) if day <= known.as_of)])
    passed = [s for s in known.plan.sessions if spoken < s.on < known.as_of]
    is_soon = (known.as_of - spoken).days < SILENT_DAYS
    if is_soon or known.plan.unasked or (known.is_running and not passed):
        return ()
    untold = known.weeks_untold
    weeks = f" ({untold} whole week{'' if untold == 1 else 's'})" if untold else ""
    if known.last is None:
        says = f"no check-in since the plan began, {days - 1} days ago{weeks}"
    else:
        says = f"{days} days without a check-in{weeks}"
    return (Concern("silence", says, known.last, weight=float(days)),)


def _is_stopped_by_silence(known: _Known) -> bool:
    found = stop_now(known.past)
    return found is not None and found.reason == "silent"


def _away(known: _Known) -> Iterator[Concern]:
    if known.past.last_run_before(known.as_of + DAY) is None:
        return
    last = max(s.on for s in known.past.logged if s.entry.is_run_or_walk)
    days = (known.as_of - last).days
    missed = any(last < s.on < known.as_of for s in known.plan.sessions if s.is_run)
    if days < AWAY_DAYS or not missed:
        return
    told = [s.entry.skipped for s in known.past.logged if s.on > last and s.entry.skipped]
    why = f" (last told: {told[-1]})" if told else ""
    yield Concern("away", f"{days} days without a run{why}", last, weight=float(days))


def _rate(known: _Known) -> Iterator[Concern]:
    need, of = cadence.HELD_OF_LAST
    rate = known.rate
    if rate is not None and rate.counted >= of and rate.within < need:
        yield Concern("cadence", _rate_words(rate), weight=float(rate.counted - rate.within))


def _rate_words(rate: Rate) -> str:
    if rate.counted == 1:
        return f"step rate {rate.aim} {'held' if rate.within else 'not held'} in the one run told"
    return f"step rate {rate.aim} held in {rate.within} of the last {rate.counted} told"


def _as_planned(known: _Known) -> Concern:
    """Nothing to say, and what that rests on."""
    if known.plan.unasked and not known.runs.logged:
        return Concern("as-planned", "no check-in is expected, as agreed")
    said = [known.runs.says] if known.runs.planned or known.runs.logged else []
    said += [_rate_words(known.rate)] if known.rate and known.rate.counted else []
    begins = [] if known.runs.logged < known.runs.planned else ["as planned"]
    return Concern("as-planned", ": ".join([*begins, "; ".join(said)]) if said else "as planned")


def _dates(known: _Known) -> Iterator[Concern]:
    as_of, event = known.as_of, known.case.client.goal.event
    if event is not None and -EVENT_BEHIND <= (event.on - as_of).days <= EVENT_AHEAD:
        left = (event.on - as_of).days
        name = event.name or "the event"
        says = f"{name} {in_days(left)}" if left >= 0 else f"{name} was {ago(-left)}"
        yield Concern("event", says, event.on, weight=float(-abs(left)))
        yield from _reach(known, float(-abs(left)))
    left = (known.ends - as_of).days
    if left < 0:
        says = f"the plan ended on {known.ago(known.ends)}"
        yield Concern("plan-end", says, known.ends, weight=float(-left))
    elif left <= PLAN_AHEAD and known.begins <= as_of and not _ends_with_event(known):
        says = f"the plan ends {in_days(left)}"
        yield Concern("plan-end", says, known.ends, weight=float(-left))
    if known.begins > as_of:
        says = f"begins {in_days((known.begins - as_of).days)}"
        yield Concern("not-begun", says, known.begins, weight=float(as_of.toordinal()))


def _reach(known: _Known, weight: float) -> Iterator[Concern]:
    """What has to be said of an event so near that is out of reach."""
    for one in known.plan.problems:
        if one.code == "event-reach":
            yield Concern("event", one.message.partition(": ")[0], None, weight)


def _ends_with_event(known: _Known) -> bool:
    """True where the plan ends in the week of an event still ahead, which says it all."""
    event = known.case.client.goal.event
    return event is not None and event.on >= known.as_of and known.ends - WEEK < event.on


def ago(days: int) -> str:
    """``today``, ``yesterday``, ``9 days ago``."""
    return {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")


def in_days(days: int) -> str:
    """``today``, ``tomorrow``, ``in 9 days``."""
    return {0: "today", 1: "tomorrow"}.get(days, f"in {days} days")
