"""A slightly quicker step rate, in small steps of the runner's own baseline."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from functools import lru_cache
from itertools import islice
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.kinds import AIM, percent, whole
from sitegen.model.plan import Band
from sitegen.model.record import row
from sitegen.model.sentence import N_, Sentence, say, say_count
from sitegen.model.values import Cadence, Percent
from sitegen.rules import returning
from sitegen.rules.draft import EPSILON, Beat, Draft, Past, whole_minutes
from sitegen.rules.log import Log, Logged
from sitegen.rules.precedence import sets_rate
from sitegen.rules.rate_line import PUBLISHED, Line, Lines, Rated
from sitegen.rules.rule import Lived, Memory, Parameters, Rule
from sitegen.rules.volume import level

SOURCE = (
    "direction: Heiderscheit BC et al., Med Sci Sports Exerc 2011;43(2):296-302; outdoors: Willy "
    "RW et al., Scand J Med Sci Sports 2016;26(2):197-205; step and hold: common practice, no "
    "source; changes mechanics, not shown to prevent injury (Anderson LM et al., Sports Med Open "
    "2022;8:112); with softer steps load moved to calf and Achilles: Chan ZYS et al., Am J Sports "
    "Med 2018;46(2):388-395 (read second-hand)"
)
CEILING_PERCENT = 110  # of baseline
BAND = 0.03
KEEP_FROM_SPM = 170
VOLUME_RISE = 1.10
# An aim is held where so many of so many runs in a row lie so near to it. Common practice, no
# source.
HELD_OF_LAST = (3, 4)
HELD_WITHIN = 0.02
ASK_AFTER_WEEKS = 6  # that an aim is not held; common practice, no source
WEEK = timedelta(days=7)
SITE_DAYS = 28
STEADY_WEEKS = 4  # a new baseline is held this long
SORE_SITES = (
    *("hamstring", "hip flexor", "hip-flexor", "front of the hip", "groin", "isquio", "ingle"),
    *("calf", "achilles", "gemelo", "pantorrilla", "aquiles"),  # quicker steps load them more
)
BACK_FROM = ("calf", "achilles")  # ways back after which no aim is set but the coach's own
TALL_CM = 188.0
USUAL_SPM = 165.0  # de Ruiter CJ et al., Eur J Sport Sci 2020;20(2):182-190
USUAL_HEIGHT_CM = 175.0  # common practice, no source
SPM_PER_CM = -1.231  # Burns GT et al. 2019: -123.1 spm per metre of stature
# Minutes to the beat, week by week after a rise: short repeats that grow into one stretch.
# Common practice, no source.
LEAST_BEAT_MIN = 2
BEATS = (Beat(1, 4), Beat(1, 6), Beat(2, 4), Beat(4, 3), Beat(12, 1))

NONE_TOLD = N_(
    "The step rate waits: none was told at {aim} steps a minute yet. It rises once three of four "
    "runs in a row were within 2 %."
)


class CadenceParameters(Parameters):
    """Where the aim goes, and how slowly."""

    aim: Cadence | str | None = row(AIM, "", "where the step rate should go, or keep")
    step: Percent = row(
        percent(0, 5, above_low=True),
        "",
        "most that the aim rises at once, of the baseline",
        default=Percent(3),
    )
    hold: int = row(
        whole(1, 8, "weeks, a whole number"),
        "",
        "weeks that an aim is held before the next rise",
        default=2,
    )


class Held(NamedTuple):
    """How well the aim was met: ``within`` of the last ``counted`` logged step rates.

    ``times`` is how many fours of sessions in a row, counted back from the last, held it.
    """

    within: int
    counted: int
    times: int


class Aim(NamedTuple):
    """The aim, the week in which it last rose, the week before which it stays; and a rate that was
    told for a runner's own until their own was known."""

    spm: int
    last_rise: int | None = None
    steady_until: int = 0
    stood_in: int = 0


def _start(case: Case, monday: date, number: int, before: Aim | None) -> Aim:
    own = case.client.baseline.cadence.spm
    return Aim(own, None, number + STEADY_WEEKS if before is not None else 0)


def _after(before: Aim, lived: Lived) -> Aim:
    aim = lived.week.cadence.aim
    if aim <= max(before.spm, before.stood_in):
        return before
    number = lived.week.number
    is_set = any(c.week == number and c.cadence for c in lived.case.client.changes)
    if number == 1 and not is_set:  # it is run at the own rate, so what was told for it was a guess
        return before._replace(stood_in=aim)
    return before._replace(spm=aim, last_rise=lived.week.number)


def _opens(draft: Draft, past: Past, case: Case) -> Draft:
    return draft.but(band=band(RULE.remembered(past).spm))


def band(aim: int) -> Band:
    """The aim and 3 % to either side of it."""
    return Band(round(aim * (1 - BAND)), aim, round(aim * (1 + BAND)))


def ceiling(baseline: int) -> int:
    """Ten per cent over baseline, downwards to whole steps."""
    return baseline * CEILING_PERCENT // 100


def goal(case: Case) -> tuple[int, Sentence]:
    """Where the aim may go in the end, and why."""
    values = RULE.values(case)
    own = case.client.baseline.cadence.spm
    top = ceiling(own)
    if values.aim == "keep":
        return own, say("Your step rate stays as it is: your coach wants it so.")
    if isinstance(values.aim, Cadence):
        if values.aim.spm > top:
            return top, say("Never more than a tenth over your own {own} steps a minute.", own=own)
        return max(values.aim.spm, own), say(
            "Your coach's aim is {aim} steps a minute.", aim=values.aim.spm
        )
    if own >= KEEP_FROM_SPM:
        return own, say("At {own} steps a minute there is nothing to change.", own=own)
    if _is_ordinary_for_height(case, own):
        return own, say(
            "Taller people step slower; for your height {own} steps a minute is ordinary, so it "
            "stays.",
            own=own,
        )
    return min(KEEP_FROM_SPM, top), say(
        "Towards {aim} steps a minute.", aim=min(KEEP_FROM_SPM, top)
    )


def _is_ordinary_for_height(case: Case, own: int) -> bool:
    height = case.client.height
    if height is None or height.cm < TALL_CM:
        return False
    return own >= USUAL_SPM + SPM_PER_CM * (height.cm - USUAL_HEIGHT_CM)


def lines(case: Case, log: Log) -> Lines:
    """The client's own line of step rate on speed, for any morning of the log."""
    return Lines(
        Rated(s.on, s.entry.distance.metres / s.entry.ran.seconds, float(s.entry.cadence.spm))
        for s in log.logged
        if s.entry.cadence and s.entry.distance and s.entry.ran
    )


def at_baseline_speed(
    session: Logged, case: Case, line: Line = PUBLISHED
) -> tuple[float, float] | None:
    """The logged step rate in spm, and the same put on the baseline's speed by ``line``.

    None where no rate is logged. Only as good as the logged distance and time.
    """
    entry = session.entry
    if entry.cadence is None:
        return None
    logged = float(entry.cadence.spm)
    pace = case.client.baseline.pace
    if pace is None or entry.distance is None or entry.ran is None:
        return logged, logged
    speed = entry.distance.metres / entry.ran.seconds
    return logged, line.at(logged, speed, pace.metres_per_second)


def _flags(case: Case, sessions: Sequence[Logged], aim: int, line: Line) -> Iterator[bool]:
    """For each logged step rate, newest first: whether it lies within 2 % of the aim.

    And nearer to it than to the step below: with a step of 2 % or less, standing still would count
    as held otherwise.
    """
    low = max(aim * (1 - HELD_WITHIN), aim - step_spm(case) / 2)
    high = aim * (1 + HELD_WITHIN)
    rates = (at_baseline_speed(session, case, line) for session in reversed(sessions))
    return (low - EPSILON <= rate[1] <= high + EPSILON for rate in rates if rate is not None)


def held(case: Case, recent: Sequence[Logged], aim: int, line: Line) -> Held:
    """How the last step rates of the sessions ``recent`` compare with the aim (spm)."""
    need, of = HELD_OF_LAST
    met = _flags(case, recent, aim, line)
    last = four = tuple(islice(met, of))
    times = 0
    while len(four) == of and sum(four) >= need:
        times += 1
        four = tuple(islice(met, of))
    return Held(sum(last), len(last), times)


def _waits(past: Past, case: Case, now: Aim) -> Sentence | None:
    """Why the aim waits for the step before it to be held; None where that is held.

    The first rise is from the runner's own rate, which was measured. Runs that still lie ahead
    are taken as run at the aim, as the whole plan ahead takes them as run.
    """
    if now.last_rise is None:
        return None
    need, of = HELD_OF_LAST
    since = past.start - WEEK * (past.number - now.last_rise)
    logged = past.recent[bisect_left(past.recent, (since,)) :]
    flags = [*islice(_flags(case, logged, now.spm, past.read[RULE.name].before(past.start)), of)]
    ahead = 0
    if past.start > past.as_of:
        ran_on = {s.on for s in logged}
        first = max(since, past.as_of)
        ahead = sum([run.on >= first and run.on not in ran_on for run in past.runs])
    if sum([*[True] * ahead, *flags][:of]) >= need:
        return None
    if not flags:
        return say(NONE_TOLD, aim=now.spm)
    return say_count(
        "The step rate waits: one run was told since it rose. It rises again once three of four "
        "in a row were within 2 % of {aim} steps a minute.",
        "The step rate waits: {near} of the last {count} runs were within 2 % of {aim} steps a "
        "minute. It rises again once three of four in a row were.",
        count=len(flags),
        near=sum(flags),
        aim=now.spm,
    )


def step_spm(case: Case) -> int:
    """One rise of the aim in steps per minute, at least 1."""
    own = case.client.baseline.cadence.spm
    return max(int(own * RULE.values(case).step.fraction + EPSILON), 1)


def _sore(past: Past) -> bool:
    """Trouble at hamstring, hip flexor, calf or Achilles in the last four weeks of the log."""
    day = min(past.as_of, past.start)
    for session in past.recent:
        pain = session.pain
        if pain is None or not pain.site or not pain.worst or (day - session.on).days > SITE_DAYS:
            continue
        if any(site in pain.site.lower() for site in SORE_SITES):
            return True
    return False


def _comes_back(case: Case, monday: date) -> bool:
    """Whether calf or Achilles come back, and the coach wrote no aim."""
    asked = case.client.return_
    if asked is None or asked.after not in BACK_FROM or RULE.values(case).aim is not None:
        return False
    return returning.begins(case) < monday + timedelta(7)


def _why_not(draft: Draft, past: Past, case: Case, now: Aim, hold: int) -> Sentence | None:
    """The reason why the aim does not rise this week, or None."""
    if past.number == 1:
        return say("The first week is run at your own step rate.")
    if case.client.history is not None and case.client.history.pregnant:
        return say("What you told of your health asks for patience: your step rate stays as it is.")
    if past.number < now.steady_until:
        return say("A new baseline is held for four weeks before the step rate rises again.")
    if draft.minutes <= 0:
        return say("The step rate does not rise in a week without a run.")
    if not draft.may_grow or draft.kind not in ("build", "ease", "hold"):
        return say("The step rate does not rise while something else holds the plan.")
    if _is_held(past, now, hold):
        return say_count(
            "The new step rate is held for {count} week before the next.",
            "The new step rate is held for {count} weeks before the next.",
            count=hold,
        )
    whole = level(past)
    previous = past.previous.run_minutes if past.previous else whole
    if draft.minutes > min(whole, previous) * VOLUME_RISE + EPSILON:
        return say("Minutes rise by more than a tenth this week, so the step rate does not.")
    if _comes_back(case, past.start):
        return say(
            "Your step rate stays as it is: quicker steps ask more of calf and Achilles tendon, "
            "and yours is coming back."
        )
    if _sore(past):
        return say(
            "The calf, the back of the thigh or the front of the hip spoke up: the step rate waits."
        )
    return _waits(past, case, now)


def _is_held(past: Past, now: Aim, hold: int) -> bool:
    return now.last_rise is not None and past.number - now.last_rise <= hold


def beats(weeks_since_rise: int, times_held: int) -> Beat | None:
    """Minutes to the beat this week; half of them each time the aim was held, then none."""
    found = BEATS[min(weeks_since_rise, len(BEATS) - 1)]
    share = 2**times_held
    if found.minutes * found.repeats // share < LEAST_BEAT_MIN:
        return None
    if found.repeats == 1:
        return found._replace(minutes=found.minutes // share)
    return found._replace(repeats=max(found.repeats // share, 1))


def _raised(draft: Draft, past: Past, case: Case) -> Draft:
    """Raise the aim by a small step where nothing speaks against it; else hold it."""
    values = RULE.values(case)
    own = case.client.baseline.cadence.spm
    line: Line = past.read[RULE.name].before(past.start)
    end, why = goal(case)
    because = case.setting_origin(RULE.name, "aim", "cadence", "aim")
    before: Aim = RULE.remembered(past)
    aim, says, rose = before.spm, why, False
    if aim < end:
        reason = _why_not(draft, past, case, before, values.hold)
        if reason is None:
            aim, rose = min(aim + step_spm(case), end), True
            says = say(
                "{aim} steps a minute to the beat, {more} more than before; your own were {own}.",
                aim=aim,
                more=aim - before.spm,
                own=own,
            )
        else:
            says = reason
    if because is None and (rose or _is_held(past, before, values.hold)):
        parameter = "step" if rose else "hold"
        because = case.setting_origin(RULE.name, parameter, "cadence", parameter)
    because = because or case.origins.at("baseline", "cadence")
    now = band(aim)
    last_rise = before.last_rise
    beat: Beat | None = None
    is_easy = draft.rests or draft.climbs_back
    if aim > own and draft.kind not in ("back", "return", "pause", "event") and not is_easy:
        since = 0 if rose or last_rise is None else past.number - last_rise
        met = held(case, past.recent, now.aim, line)
        beat = beats(since, met.times)
        if not rose and met.counted and past.start <= past.as_of:
            says = say_count(
                "{aim} steps a minute, held in {within} of the one logged run (rates put on the "
                "speed of your baseline).",
                "{aim} steps a minute, held in {within} of the last {count} logged runs (rates put "
                "on the speed of your baseline).",
                count=met.counted,
                aim=aim,
                within=met.within,
            )
    draft = draft.decide(
        RULE.name,
        says,
        because=because,
        source=f"{SOURCE}; {_line_words(line)}",
        before=float(before.spm),
        after=float(aim),
        band=now,
        beat=beat,
    )
    return _asked(draft, past, case, before)


@lru_cache(maxsize=64)  # one line serves until the next run with a rate is told
def _line_words(line: Line) -> str:
    """How logged rates were put on the baseline's speed, for whoever asks for sources."""
    if line.runs == 0:
        return (
            f"rates are put on the baseline's speed by {line.slope:g} spm per m/s, the slope "
            "within elite racers (Burns GT et al., J Appl Physiol 2019;126(2):462-468), weak for "
            "others"
        )
    return (
        f"rates are put on the baseline's speed by the client's own {line.slope:.1f} spm per m/s "
        f"(standard error {line.error or 0:.1f}, from {line.runs} runs)"
    )


def _asked(draft: Draft, past: Past, case: Case, now: Aim) -> Draft:
    """Ask the coach about an aim that was not held for six weeks; by what is known, not ahead."""
    if now.last_rise is None or past.start > past.as_of + WEEK:
        return draft
    weeks = past.number - now.last_rise
    waits = _waits(past, case, now) if weeks >= ASK_AFTER_WEEKS else None
    if waits is None:
        return draft
    says = say(
        "{aim} spm is not held after {weeks} weeks: ask how it feels; a lower aim, or keep, "
        "can be written under cadence.",
        aim=now.spm,
        weeks=weeks,
    )
    if waits.template == NONE_TOLD:
        says = say(
            "No step rate was told in {weeks} weeks at {aim} spm: ask for one with the next "
            "check-in, or write keep under cadence.",
            aim=now.spm,
            weeks=weeks,
        )
    return draft.decide(
        RULE.name,
        says,
        because=case.origins.at("baseline", "cadence"),
        source="common practice, no source",
        warns=True,
    )


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """The aim that follows from the plan, or the coach's own for this week."""
    if draft.stop is not None:
        return draft
    return _as_written(_raised(draft, past, case), case)


def as_placed(draft: Draft, past: Past, case: Case, minutes: int) -> Draft:
    """The week's aim by the minutes that its days hold, where they hold less than it has room for:
    a week that stays as it was is no reason for the step rate to wait."""
    if minutes >= whole_minutes(draft.minutes) or draft.stop is not None:
        return draft
    kept = tuple(d for d in draft.decisions if d.rule != RULE.name and not sets_rate(d))
    found = apply(draft.but(minutes=float(minutes), decisions=kept), past, case)
    return found.but(minutes=draft.minutes)


def _as_written(draft: Draft, case: Case) -> Draft:
    """A week's aim as the coach wrote it among the changes."""
    own = case.client.baseline.cadence.spm
    for index, change in enumerate(case.client.changes):
        if change.week == draft.number and change.cadence is not None:
            aim = change.cadence.spm
            draft = draft.decide(
                "changes",
                say("Your coach set {aim} steps a minute: {why}", aim=aim, why=change.because),
                because=case.origins.at("changes", index),
                source="the coach's decision",
                before=float(draft.band.aim),
                after=float(aim),
                warns=not own <= aim <= ceiling(own),
                band=band(aim),
            )
    return draft


RULE = Rule(
    name="cadence",
    promise=(
        "The aim rises by at most `step` of baseline, then holds `hold` weeks; never above "
        "baseline + 10 %, never above the coach's aim, never down; not before the step before was "
        "held (three of the last four logged runs within 2 % of it, put on the baseline's speed by "
        "the client's own line of rate on speed), not in a week in which volume rose over 10 %, "
        "nor while pain holds, nor for four weeks after pain of calf, Achilles, hamstring, hip or "
        "groin. On a way back after calf or Achilles it stays, unless the coach writes an aim; in "
        "a pregnancy it stays (common practice, no source). Not held after six weeks: the coach is "
        "asked."
    ),
    reason="At the same speed, quicker and shorter steps load the knee less per step.",
    source=SOURCE,
    evidence="weak",
    apply=apply,
    moves_minutes=False,
    parameters=CadenceParameters,
    audience="coach",
    needs=("volume", "pain", "taper"),
    reads=lines,
    opens=_opens,
    memory=Memory(_start, _after),
    review="The aim never falls; after a rise it stays `hold` weeks; see it in `sitegen weeks`.",
    client_fields={
        "aim": ("cadence", "aim"),
        "step": ("cadence", "step"),
        "hold": ("cadence", "hold"),
    },
)
