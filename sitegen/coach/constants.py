"""Every number that acts in rules and plans and that no file sets, for the rule book.

The value is read from the code that uses it; here stands what it does and what it rests on.
`tests/test_constants.py` finds every number with a name of its own in `sitegen.rules`,
`sitegen.plan` and where `sitegen.care` counts scores, and fails on one that is neither here nor in
`NOT_ACTING`.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from importlib import import_module
from typing import Any, NamedTuple

JUDGEMENT = "common practice, no source"
FRANDSEN = "Frandsen JSB et al., Br J Sports Med 2025;59(17):1203-1210 (observational)"
SILBERNAGEL = "after Silbernagel KG et al., Am J Sports Med 2007;35(6):897-906 (from memory)"
BURNS = "Burns GT et al., J Appl Physiol 2019;126(2):462-468 (elite 100 km racers; weak for others)"
RUITER = "de Ruiter CJ et al., Eur J Sport Sci 2020;20(2):182-190"
RIEGEL = "Riegel PS, Am Sci 1981;69(3):285-290"
WHO = (
    "common practice; 150 to 300 min a week of moderate activity is the range of the World Health "
    "Organization (Bull FC et al., Br J Sports Med 2020;54(24):1451-1462)"
)
BOSQUET = (
    "frequency is kept: Bosquet L et al., Med Sci Sports Exerc 2007;39(8):1358-1365; the figure is "
    "common practice, no source"
)


class Number(NamedTuple):
    """One number: the module and name that it has in the code, its unit, what it does."""

    module: str
    name: str
    unit: str
    does: str
    ground: str = JUDGEMENT

    @property
    def value(self) -> Any:
        return getattr(import_module(f"sitegen.{self.module}"), self.name)


def _of(module: str, *rows: tuple[str, ...]) -> Iterator[Number]:
    for row in rows:
        yield Number(module, *row)


NUMBERS: tuple[Number, ...] = (
    *_of(
        "rules.volume",
        ("ENOUGH_MIN", "min", "where growth ends without an event and without `enough`", WHO),
        ("SMALL_STEP_MIN", "min", "most that a small week may grow, where a share would be less"),
        ("SMALL_REFERENCE_MIN", "min", "a week under this is a small one"),
        ("LEAST_RUN_SHARE", "", "of a week's told minutes, to be run for the plan to grow on it"),
        ("OVERRUN_SHARE", "", "of a week's told minutes run, and the plan does not grow on it"),
        ("OVERRUN_MIN", "min", "if it is also so much more than told"),
        ("WHOLE_OVER", "", "of run and walk in turn, and so much of all of it, walks too"),
        ("USUAL_GROWTH", "", "growth under which the step of small weeks shrinks with it"),
    ),
    *_of(
        "rules.event",
        ("SHORT_EVENT_M", "m", "an event up to this is a short one"),
        ("SHORT_OVER", "", "longest run before a short event, of its distance"),
        ("SHORT_MOST_MIN", "min", "most of that run"),
        ("HALF_SHARE", "", "longest run before a half marathon, of the likely time"),
        ("HALF_MOST_MIN", "min", "most of that run"),
        ("FAR_M", "m", "longest run before a longer event, at most"),
        ("FAR_SHARE", "", "that run, of the distance, where that is less"),
        ("FAR_MOST_MIN", "min", "most of that run"),
        ("FULL_WEEK_MIN", "min", "no week grows further for the long run's usual share alone"),
    ),
    *_of(
        "rules.draft",
        ("LONG_SHARES", "", "most of a week that a long run is, by runs a week; more runs: last"),
        ("EVENT_SHARES", "", "the same where the way to an event needs it"),
        ("KEPT_SHARE", "", "the same where the guard cuts a week, if as much is run"),
        ("BACK_SHARE", "", "what a step back after pain leaves of the minutes"),
    ),
    *_of(
        "rules.longest",
        ("OVER_LONGEST", "", "most of a run, of the longest of the days before", FRANDSEN),
        ("WINDOW_DAYS", "days", "how far back that longest run is looked for", FRANDSEN),
        ("FIRST_RUN_MIN", "min", "running of a first session; up to it a run may grow by a minute"),
        ("RUN_WALK_STEP_MIN", "min", "most that the running of a run/walk session grows"),
    ),
    *_of(
        "rules.long_run",
        ("WEEKS_BEFORE", "weeks", "from the longest run to an event up to so many metres"),
        ("QUIET_DAYS", "days", "after pain that called for a hold, without steps ahead of need"),
        ("SPARE_WEEKS", "weeks", "of building by which even steps reach the longest run early"),
        ("THEN", "", "most of a run after the longest one, of it"),
        ("EARLIEST_WEEKS", "weeks", "before a taper, in which a long run counts"),
        ("AGAIN_WEEKS", "weeks", "after two weeks away or more that hold no longest run"),
    ),
    *_of(
        "rules.taper",
        ("LATE_WEEKDAY", "", "weekday, Monday 0, from which an event leaves its week to taper in"),
        ("FULL_DAYS", "days", "days before an earlier event's eve that make a whole week"),
        ("WEEKS_AFTER", "", "weeks after an event up to so many metres, of the peak"),
    ),
    *_of(
        "rules.beyond",
        ("FAR_UNDER", "", "of what an event asks for, under which it is far beyond the runs"),
    ),
    *_of(
        "rules.event_days",
        ("NEAR_DAYS", "days", "so near to an event runs are short"),
        ("NEAR_MOST_MIN", "min", "most of such a run"),
        ("NEAR_SHARE", "", "and of the usual run"),
        ("EARLY_SHARE", "", "earlier in the event's week, of the usual run"),
        ("EVE_DAYS", "days", "nearer still"),
        ("EVE_MOST_MIN", "min", "most of a run then"),
        ("USUAL_WEEKS", "weeks", "building weeks from which the usual run is taken"),
        ("AFTER", "", "after an event up to so many metres: days of rest, last day of short runs"),
    ),
    *_of(
        "rules.guard",
        ("MOST_OVER", "", "most of a building week, of the mean really run"),
        ("MEASURED_WEEKS", "weeks", "over which that mean is taken"),
        ("LARGE_SHARE", "", "of the largest week in rotation, from which others are as large"),
            ("FEWEST_KNOWN", "weeks", "heard of before the guard acts"),
        ("LEAST_MIN", "min", "no week is cut below"),
    ),
    *_of(
        "rules.silence",
        ("ASK_DAYS", "days", "without a word, and the plan asks"),
        ("WAIT_DAYS", "days", "without a word, and it waits"),
        ("SHARE", "", "of the level while it asks"),
    ),
    *_of(
        "rules.absence",
        ("RETURN_SHARES", "", "days without a run, and what is come back to of the level"),
        ("RUNG_DOWN_DAYS", "days", "without a run, and a run/walk plan goes a rung down"),
        ("NEW_BASELINE_DAYS", "days", "without a run, and a new baseline is asked for"),
        ("LONG_SILENCE_DAYS", "days", "without a word in which told runs count as not run"),
        ("LEVEL_STAYS_DAYS", "days", "an easier week and the days round it"),
        ("LEAST_OF_USUAL", "", "of the level within seven days; less in an illness is none"),
    ),
    *_of(
        "rules.after_stop",
        ("LEAST_DAYS_AWAY", "days", "without a run that a stop counts as, at least"),
    ),
    *_of(
        "rules.asked_words",
        ("AGAIN_DAYS", "days", "in which the same words of health are one question"),
    ),
    *_of(
        "rules.asks",
        ("PREGNANT_DAYS", "days", "that a clinician's word in a pregnancy holds; then asked again"),
        ("SILENT_AFTER_STOP_DAYS", "days", "of silence after a stop or pain: the coach is asked"),
        ("UNANSWERED_DAYS", "days", "that a question about lasting pain waits for a step back"),
        ("MOST_BACKS", "steps", "back for it, at most"),
    ),
    *_of(
        "rules.history",
        ("RECENT_DAYS", "days", "after an operation, concussion or bone injury: a clinician first"),
        ("BIRTH_DAYS", "days", "the same after a birth", "advice of experts (from memory)"),
        ("SLOW_DAYS", "days", "after a birth or an operation: weeks grow more slowly"),
        ("SLOWER", "", "growth with an injury and others in the history, of what it would be"),
        ("HELD_AHEAD", "", "weeks that begin by then are held by pain told at the start"),
    ),
    *_of(
        "care.efforts",
        (
            "VERY_HARD",
            "of 10",
            "effort of an easy run that is very hard",
            "the word: Foster C et al., J Strength Cond Res 2001;15(1):109-115; as a bound common "
            "practice, no source",
        ),
        ("VERY_HARD_SHARE", "", "of a week's easy runs that felt so"),
        ("VERY_HARD_WEEKS", "weeks", "in a row with that, and the coach is asked"),
    ),
    *_of(
        "care.history",
        ("MUCH_PAIN", "of 10", "before the first run needs a clinician"),
        (
            "LEAST_TOGETHER",
            "",
            "of low energy, weight loss, missed periods and a stress injury of a bone: a clinician",
            "that they add up: the IOC's consensus on relative energy deficiency, Br J Sports Med "
            "2023 (from memory)",
        ),
    ),
    *_of(
        "care.trends",
        ("NOTICE_FROM", "of 10", "or more at one place in each of the weeks in a row: a notice"),
        ("ASK_FROM", "of 10", "or more in them, and the coach is asked"),
        ("TREND_WEEKS", "weeks", "in a row for that"),
        ("AGAIN_WITHIN_WEEKS", "weeks", "in which so many that are not in a row ask as well"),
        ("NOTICE_RISE", "of 10", "at the end of runs that hurt more each time: a notice"),
        ("ASK_RISE", "of 10", "at their end, and the coach is asked"),
        ("RUNS", "runs", "in a row for that"),
    ),
    *_of(
        "rules.illness",
        ("FREE_DAYS", "days", "without a session after an illness is over"),
        ("MOST_EASY_DAYS", "days", "of easy running after it, at most"),
        ("LONG_DAYS", "days", "an illness from here on is a long one"),
        ("BY_FEEL_DAYS", "days", "ahead that an illness without fever makes runs easy"),
        ("HELD_DAYS", "days", "ill without fever after which the first week back does not grow"),
    ),
    *_of(
        "rules.signs",
        ("SEVERE", "of 10", "pain from which a clinician is asked for the same day"),
        ("SLIP_DAYS", "days", "a date so far from those around it is a slip"),
        ("INFECTION_DAYS", "days", "after an infection in which a racing heart is *now*"),
        ("MUTED_DAYS", "days", "in which unsigned signs stop nothing, after `--not-client`"),
    ),
    *_of(
        "rules.lifts",
        ("HARD_DAYS", "days", "for which a clearance holds for hard running",
         "Riebe D et al., Med Sci Sports Exerc 2015;47(11):2473-2479 (from memory)"),
    ),
    *_of(
        "rules.pain",
        ("CALM_UP_TO", "of 10", "pain with which a plan goes on", SILBERNAGEL),
        ("HOLD_UP_TO", "of 10", "pain with which it holds", SILBERNAGEL),
        ("CALM_SESSIONS", "sessions", "in a row without more, and it goes on again"),
        ("HOLD_SESSIONS", "sessions", "in a row with more, and it steps back"),
        ("KNEE_START", "of 10", "taken for pain before a run that nobody told of, profile knee"),
        ("REFER_WITHIN_DAYS", "days", "two steps back within these: see a clinician"),
        ("REST_HOURS_DAYS", "days", "without running after 6 or 7"),
        ("REST_AGAIN_DAYS", "days", "a second 6 or 7 within these: see a clinician"),
        ("HALF", "", "of the minutes after such a rest"),
        ("RUNGS_BACK", "rungs", "below the last, from which running and walking begins again"),
        ("WALK_MIN", "min", "of walking on the rung below the first"),
    ),
    *_of(
        "rules.overdone",
        ("EFFORT_OVER", "of 10", "effort over what was told that is too much"),
        ("IN_A_ROW", "runs", "with that much, and the week holds"),
        ("MINUTES_OVER", "min", "over what was told that the coach hears of"),
        ("SHARE_OVER", "", "if it is also so much of it"),
        ("FEW_MINUTES_OVER", "min", "of a short run that is enough"),
        ("TWICE_OVER", "", "if it is also so much of it"),
        ("WEEK_MINUTES_OVER", "min", "over what a week was told that the coach hears of"),
        ("WEEK_SHARE_OVER", "", "if it is also so much of it"),
    ),
    *_of(
        "rules.run_walk",
        ("CONTINUOUS_MIN", "min", "without a walk, and the ladder is over"),
        ("DONE_SHARE", "", "of those, run without a walk, that counts as done"),
        ("WALK_S_PER_KM", "s/km", "brisk walking, for ladders written in distances"),
        ("WHOLE_STRETCH_MIN", "min", "up to this stretches are whole ones"),
        ("LEAST_STRETCH_MIN", "min", "of a last stretch that is shorter than the others"),
    ),
    *_of("rules.returning", ("WALKED_AS_MIN", "min", "a walked step of a way back counts as")),
    *_of(
        "rules.spacing",
        ("REGULAR_WEEKS", "weeks", "of running, under which no two days follow each other"),
        ("USUAL_RUNS", "runs", "a week where neither file nor days say"),
        ("LEAST_RUN_MIN", "min", "of a run without walks, for less of which a week has fewer runs"),
        ("LEAST_AFTER_EVENT_MIN", "min", "of it in the weeks after an event"),
        ("RUNS_AFTER_EVENT", "runs", "down to which those weeks have fewer"),
        ("KEPT_RUNS", "", "of the usual number of runs that stay before an event", BOSQUET),
    ),
    *_of(
        "rules.cadence",
        ("CEILING_PERCENT", "%", "of the baseline, over which no aim goes"),
        ("BAND", "", "to either side of the aim, which still is the aim"),
        ("KEEP_FROM_SPM", "spm", "a baseline from which the rate is kept where no aim is written"),
        ("TALL_CM", "cm", "height from which it is kept, too"),
        ("VOLUME_RISE", "", "a week so much over the last does not raise the aim"),
        ("HELD_OF_LAST", "runs", "held, of the last logged, and the aim may rise"),
        ("HELD_WITHIN", "", "of the aim that counts as held"),
        ("ASK_AFTER_WEEKS", "weeks", "not held, and the coach is asked"),
        ("SITE_DAYS", "days", "in which pain of calf, hamstring, hip or groin holds the aim"),
        ("STEADY_WEEKS", "weeks", "that a new baseline is held"),
        ("USUAL_SPM", "spm", "a recreational runner's usual rate", RUITER),
        ("USUAL_HEIGHT_CM", "cm", "at this height"),
        ("SPM_PER_CM", "spm/cm", "by height", BURNS),
        ("LEAST_BEAT_MIN", "min", "to the beat, at least"),
        ("BEATS", "", "week by week after a rise: minutes to the beat, times"),
    ),
    *_of(
        "rules.rate_line",
        ("PUBLISHED_SPM_PER_MPS", "spm per m/s", "until a client's own is known", BURNS),
        ("SPREAD_SPM_PER_MPS", "spm per m/s", "how far a runner's own may lie from it"),
        ("LEAST_RUNS", "runs", "logged before a client's own line is fitted"),
        ("LEAST_RANGE_MPS", "m/s", "of speed that they have to spread over"),
    ),
    *_of(
        "rules.hard",
        ("RUNS_FOR_TWO", "runs", "a week from which two may be"),
        ("SHORTEST_MIN", "min", "of hard running, below which there is none"),
    ),
    *_of("rules.sessions", ("SAME_AGAIN_WEEKS", "weeks", "with the same session, at most")),
    *_of("rules.days", ("NIGHT", "", "between two days' sessions, at least")),
    *_of(
        "rules.log",
        ("SLOW_PACE", "", "of a distance without a time, no pace known"),
        ("TRY_UNDER_MIN", "min", "a run under this is a try, and measures nothing"),
        ("TRY_OF_RUNNERS_FROM_MIN", "min", "of who ran so long at the baseline"),
        ("BELIEVED_SHARE", "", "of the longest run so far, more than which no run counts as"),
        ("BELIEVED_MIN", "min", "over it, where that is more"),
    ),
    *_of(
        "rules.power_law",
        ("EXPONENT", "", "time over distance, between two races", RIEGEL),
        ("RANGE_S", "s", "for which it holds", RIEGEL),
    ),
    *_of("rules.pacing", ("HALF_WIDTH", "", "to either side of a pace that is told")),
    *_of(
        "plan.choosing",
        ("SHARPEN_WEEKS", "weeks", "before the taper with the event's own quality"),
        ("LEAST_OF_ASKED", "", "of the hard minutes asked for, below which `check` says why"),
        ("NEARLY", "", "of the most hard minutes, as good where none has what was asked for"),
        ("FIRST_SHARES", "", "of that in the first weeks with hard running"),
        ("MOST_OVER_LEAST", "", "most hard minutes of those weeks, of their least"),
        ("QUICK_ENOUGH_MIN", "min", "of quick running in a week before an event"),
    ),
    *_of(
        "plan.running_days",
        ("USUAL_RUN_MIN", "min", "mean of a week's runs over which it gets one run more"),
        ("CLEARLY_MORE", "", "of a week without its shortest day, and that one holds no run"),
        ("HARD_FREE_DAYS", "days", "before an event without a hard run"),
    ),
    *_of(
        "plan.drafting",
        ("PETTY_HARD_MIN", "min", "too few of hard running, of which `check` says nothing"),
        ("STRENGTH_LEAST_MIN", "min", "of strength work, below which there is none"),
        ("STRENGTH_FREE_DAYS", "days", "before an event without strength work"),
        ("LEAST_BEAT_RUN_MIN", "min", "a run that may hold a part to the beat"),
        ("LONE_BEAT_PAUSE", "weeks", "between runs to the beat where a week has one midweek run"),
    ),
    *_of("plan.drilling", ("EASY_BEFORE_MIN", "min", "of running at a stretch, for quick drills")),
    *_of(
        "plan.building",
        ("WARM_UP_MIN", "min", "of walking before and after a run"),
        ("SHORT_WARM_UP_MIN", "min", "of it where the day is short"),
        ("ROOM_FOR_WARM_UP_MIN", "min", "a day from which it has its full length"),
        ("SHORT_STRETCH_MIN", "min", "up to such run/walk stretches whole ones go to the beat"),
        ("STRETCHES_ON_BEAT", "", "of those, at most"),
        ("MINUTES_ON_BEAT", "", "single minutes to the beat of a longer one, at most"),
        ("EASY_ROUND_BEAT_MIN", "min", "of easy running round one stretch to the beat"),
        ("EASY_PART", "", "one of so many parts of a session is easy running round it"),
        ("EASY_PART_OF_LONG", "", "of a long run"),
        ("EASY_AROUND_MIN", "min", "of it at least"),
        ("EFFORT", "of 10", "how hard a session is, by its kind"),
        ("EVENT_EFFORTS", "min, of 10", "how hard an event is, by how long it takes at most"),
        ("EVEN_EVENT_EFFORT", "of 10", "at a longer one, and where nothing hard was practised"),
    ),
    *_of("plan.changes", ("USUAL_EASY_MIN", "min", "of easy running round a session asked for")),
    *_of(
        "plan.sharing",
        ("LONGER_BY", "", "the long run, of any other"),
        ("PETTY_SHARE", "", "of a week that does not fit, of which `check` says nothing"),
        ("RUNS_WITH_LONGEST", "runs", "a week from which it is that"),
    ),
    *_of(
        "plan.placing",
        ("FEWEST_APART", "runs", "down to which a new runner drops one to rest"),
        ("STRENGTH_KEEPS_MIN", "min", "of a day that strength work keeps beside a run"),
    ),
    *_of("plan.drilling", ("STRENGTH_DRILLS", "drills", "in a strength session")),
    *_of(
        "plan.habit",
        ("HABIT_WEEKS", "weeks", "in a row with as many runs less, and fewer are proposed"),
        ("FEWEST_LEFT", "runs", "a week, below which nothing is proposed"),
        ("OVER_WEEKS", "weeks", "in a row with far more than was told, and the coach is asked"),
        ("SHORT_SHARE", "", "of each week's told minutes, under which runs end early by habit"),
        ("CUT_SHARE", "", "of a week, to which the guard cuts it, and the coach is asked"),
        ("NONE_WEEKS", "weeks", "in a row with a run left out and no other word: one is asked for"),
        ("LATE_TIMES", "weeks", "repeated for a run told late, and the coach is asked"),
        ("LATE_WITHIN_WEEKS", "weeks", "that are over, in which those are counted"),
    ),
    *_of("plan.alarms", ("NOTICE_DAYS", "days", "that a notice is told")),
    *_of(
        "plan.unheeded",
        ("FROM_WEEKS", "weeks", "in which what was asked for finds no place, and `check` says so"),
        ("FAR_MORE", "", "of a week that the coach made lighter, and the next one is told"),
    ),
    *_of(
        "plan.telling",
        ("STILL_WEEKS", "weeks", "of the same minutes, held by the days, that a coach hears of"),
        ("UNHEARD_WEEKS", "weeks", "without a word that a coach hears of"),
        ("FULL_WITHIN_MIN", "min", "a session so near to a day's limit fills it"),
        ("FEWEST_OF_TWO_HARD", "runs", "a week from which a second hard one is proposed"),
    ),
    *_of("plan.more_runs", ("MOST_RUNS_APART", "runs", "a week of which no two are neighbours")),
    *_of("plan.obstacles", ("FEWEST", "runs", "a week by which an event is out of reach")),
    *_of(
        "plan.reach",
        ("LOOK_AHEAD_WEEKS", "weeks", "searched for an event's first date"),
        ("HELD_WEEKS", "weeks", "ahead that are all held: no later date is searched for"),
    ),
    *_of("plan.ledger", ("AHEAD_WEEKS", "weeks", "ahead that the ledger keeps")),
    *_of(
        "plan.fold",
        ("HEARD_WITHIN", "", "in which the longest run heard of bounds one that was not", FRANDSEN),
    ),
)  # fmt: skip

# Units of time, rounding, places in an order, how far back rules look: no dose depends on them.
NOT_ACTING = frozenset(
    {
        "DAY", "DAY_MIN", "WEEK", "HOUR", "EPSILON", "TOLERANCE_MIN", "DAYS_A_WEEK", "UNLIMITED",
        "NO_DAY", "MONDAY", "SATURDAY", "SUNDAY", "LACKS_STRENGTH", "EACH_STEP_MIN", "RECENT",
        "LAST_WEEKDAY", "LONGEST_AFTER", "MOST_NAMED", "MOST_OF_PLACE",
    }
)  # fmt: skip

NUMBERS_HEAD = """\
## Numbers that no file sets

What acts besides the parameters of each rule. A share is of 1; what a number rests on stands beside
it. To change one is to change the code.

| number | what it does | rests on | in the code |
| --- | --- | --- | --- |
"""


def numbers_table() -> str:
    """Markdown: a line a number, with its value as the code has it."""
    return NUMBERS_HEAD + "\n".join(
        f"| {_shown(one.value)}{' ' if one.unit else ''}{one.unit} | {one.does} | {one.ground} "
        f"| `{one.module}.{one.name}` |"
        for one in NUMBERS
    ) + "\n"  # fmt: skip


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return "; ".join(f"{key}: {_shown(one)}" for key, one in value.items())
    if isinstance(value, tuple):
        inner = [f"({_shown(one)})" if isinstance(one, tuple) else _shown(one) for one in value]
        return ", ".join(inner)
    if isinstance(value, timedelta):
        return f"{value.days} days" if value.days else f"{value.seconds // 3600} h"
    if isinstance(value, float):
        return "any" if value == float("inf") else f"{value:g}"
    return str(value)
