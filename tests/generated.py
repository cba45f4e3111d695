"""Invented clients and logs, written as a coach would write them: text in YAML's shapes.

Every client drawn here is one that a coach may write: the reader accepts it without an error
(`test_promises.test_generated_clients_are_what_a_coach_may_write` holds that).
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property, lru_cache
from typing import Any

from hypothesis import strategies as st

from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn
from sitegen.model.client import DAYS, Client
from sitegen.model.plan import Plan, Session, Week
from sitegen.plan.fold import expand
from support import case_of

MONDAY = date(2027, 1, 4)
DAY = timedelta(days=1)
WEEK = timedelta(days=7)
URGENT = ("chest_pain", "fainting", "breathless_at_rest", "near_fainting")
OTHER = (
    "swelling", "limp", "night_pain", "locking", "giving_way", "bone_point_pain", "calf_swelling",
)  # fmt: skip


@dataclass(frozen=True)
class Life:
    """A client's file, the log, and the day on which the plan is looked at."""

    client_json: str
    log_json: str
    as_of: date

    @cached_property
    def raw(self) -> dict[str, Any]:
        return dict(json.loads(self.client_json))

    @cached_property
    def entries(self) -> list[dict[str, Any]]:
        return list(json.loads(self.log_json))

    @cached_property
    def case(self) -> Case:
        return case_of(self.raw, self.entries)

    @property
    def client(self) -> Client:
        return self.case.client

    @cached_property
    def log(self) -> tuple[CheckIn, ...]:
        """Check-ins up to the day of looking, oldest first."""
        return tuple(sorted((e for e in self.case.log if e.on <= self.as_of), key=lambda e: e.on))

    @cached_property
    def plan(self) -> Plan:
        return expand(self.case, self.as_of)

    @property
    def first_monday(self) -> date:
        return self.client.plan.from_ - DAY * self.client.plan.from_.weekday()

    @property
    def growth(self) -> float:
        return self.client.plan.growth.fraction if self.client.plan.growth is not None else 0.10

    @property
    def continuous(self) -> float:
        """Minutes run without a walk, as the file says."""
        base = self.client.baseline
        longest = base.longest.minutes if base.longest else 0.0
        return base.continuous.minutes if base.continuous else longest

    def week_of(self, day: date) -> int:
        return (day - self.first_monday).days // 7 + 1

    def checked_in_during(self, week: Week) -> bool:
        return any(week.start <= e.on < week.start + WEEK for e in self.log)

    def was_redrawn(self, week: Week) -> bool:
        """True where the week's days may stem from several drafts.

        After a check-in; or where a run missed until today, or two silent weeks, makes what is left
        of the week shorter, while what was stays as it was; or where a stop came into it, as one
        that is dated ahead does.
        """
        is_cut = week.kind in ("return", "hold") and week.start < self.as_of < week.start + WEEK
        is_stopped = week.kind == "pause" != week.began
        return is_cut or is_stopped or self.checked_in_during(week)

    def __repr__(self) -> str:
        return (
            f"\nclient: {self.client_json}\nlog: {self.log_json}\nas of: {self.as_of.isoformat()}\n"
        )


@lru_cache(maxsize=2048)
def _life(client_json: str, log_json: str, as_of: date) -> Life:
    return Life(client_json, log_json, as_of)


def life_of(
    client: dict[str, Any], log: list[Any] | None = None, as_of: str = "2026-12-31"
) -> Life:
    """The same client, log and day give the same Life, so that its plan is expanded once."""
    return _life(
        json.dumps(client, sort_keys=True), json.dumps(log or []), date.fromisoformat(as_of)
    )


def training(week: Week) -> float:
    """Running minutes of a week, the event itself not counted."""
    return sum(s.run_minutes for s in week.sessions if s.kind != "event")


def runs_of(week: Week) -> list[Session]:
    """The week's runs, the event not among them."""
    return [s for s in week.sessions if s.kind not in ("strength", "event")]


# --- clients ----------------------------------------------------------------------------------

CLOCKS = ("06:30", "12:15", "18:30")
LIMITS = ("25 min", "30 min", "40 min", "45 min", "1 h", "1 h 30 min", "2 h", "3 h")


@st.composite
def days(draw: st.DrawFn, most_runs: int = 7) -> dict[str, Any]:
    """The week's days: some rest, some with a limit, at least one for running."""
    found: dict[str, Any] = {}
    running = draw(
        st.lists(st.sampled_from(DAYS), min_size=1, max_size=most_runs, unique=True)
        | st.permutations(DAYS).map(lambda d: d[:5])
    )
    for day in DAYS:
        uses = ["run"] if day in running else []
        if draw(st.booleans()):
            uses.append("strength")
        if not uses:
            continue
        written: dict[str, Any] = {"for": uses}
        if draw(st.booleans()):
            written["at"] = draw(st.sampled_from(CLOCKS))
        if draw(st.integers(0, 2)) == 0:
            written["up_to"] = draw(st.sampled_from(LIMITS))
        found[day] = written
    if draw(st.booleans()):
        found["long"] = draw(st.sampled_from(sorted(running)))
    return found


@st.composite
def baselines(draw: st.DrawFn) -> dict[str, Any]:
    """From nothing, on the ladder, or already running."""
    found = {
        "on": (MONDAY - DAY * draw(st.integers(0, 20))).isoformat(),
        "cadence": f"{draw(st.integers(140, 190))} spm",
    }
    start = draw(st.sampled_from(("nothing", "ladder", "running", "running", "running")))
    if start == "nothing":
        found["week"] = "0 min"
        if draw(st.booleans()):
            found["runs"] = str(draw(st.integers(0, 7)))
        return found
    runs = draw(st.integers(1, 7))
    longest = draw(st.integers(5, 60) if start == "ladder" else st.integers(30, 150))
    # Between a week of nothing but the longest run, and one of runs that are all as long.
    week = max(longest * draw(st.integers(30, 100)) * runs // 100, longest // 2, 5)
    found |= {
        "week": f"{week} min",
        "longest": f"{longest} min",
        "runs": str(runs),
        "pace": draw(st.sampled_from(("5:30 /km", "6:45 /km", "8:00 /km"))),
    }
    if start == "ladder":
        found["continuous"] = f"{draw(st.integers(1, min(longest, 29)))} min"
    return found


@st.composite
def clients(draw: st.DrawFn) -> dict[str, Any]:
    """One client's file, without changes."""
    weeks = draw(st.integers(1, 20))
    start = MONDAY + DAY * draw(st.sampled_from((0, 0, 0, 0, 2, 5)))
    plan: dict[str, Any] = {"from": start.isoformat(), "weeks": str(weeks)}
    if draw(st.booleans()):
        plan["growth"] = f"{draw(st.sampled_from((0, 3, 5, 10, 15, 30)))} %"
    if draw(st.booleans()):
        plan["ease"] = {
            "every": str(draw(st.integers(2, 8))),
            "by": f"{draw(st.sampled_from((10, 20, 30, 50)))} %",
        }
    if draw(st.booleans()):
        plan["hard"] = {
            "from_week": str(draw(st.integers(1, 10))),
            "per_week": str(draw(st.integers(0, 2))),
        }
    found: dict[str, Any] = {
        "name": "Sam Vale",
        "screening": draw(screenings()),
        "baseline": draw(baselines()),
        "week": draw(days()),
        "plan": plan,
    }
    if draw(st.booleans()):
        found["cadence"] = draw(cadences(int(found["baseline"]["cadence"].split()[0])))
    if draw(st.integers(0, 3)) == 0:
        last = MONDAY + WEEK * weeks - DAY
        on = start + DAY * draw(st.integers(0, (last - start).days))
        distance = draw(st.sampled_from(("5 km", "10 km", "half marathon", "marathon")))
        found["goal"] = {"event": {"on": on.isoformat(), "distance": distance}}
    if draw(st.integers(0, 4)) == 0:
        found["fuel"] = {
            "asked_on": "2027-01-01",
            "before": draw(st.sampled_from(("30 min", "1 h"))),
        }
    if draw(st.integers(0, 4)) == 0:
        found["height"] = f"{draw(st.integers(150, 205))} cm"
    if draw(st.integers(0, 2)) == 0:
        found["rules"] = {"pain": {"profile": "knee"}}
    return found


@st.composite
def screenings(draw: st.DrawFn) -> dict[str, Any]:
    asked = draw(st.sampled_from(("fit", "fit", "fit", "fit", "new", "new", "disease", "symptoms")))
    found = {
        "on": "2026-12-01",
        "regular_exercise": "no" if asked == "new" else draw(st.sampled_from(("yes", "yes", "no"))),
        "known_disease": "yes" if asked == "disease" else "no",
        "symptoms": "yes" if asked == "symptoms" else "no",
    }
    if draw(st.integers(0, 3)) == 0:
        found["cleared_on"] = draw(st.sampled_from(("2026-12-20", "2027-01-20")))
        found["cleared_by"] = "the family doctor"
        if draw(st.booleans()):
            found["cleared_for"] = "all"
    return found


@st.composite
def cadences(draw: st.DrawFn, own: int) -> dict[str, Any]:
    found: dict[str, Any] = {}
    if draw(st.booleans()):
        found["aim"] = draw(
            st.just("keep") | st.integers(own, min(own + 30, 240)).map(lambda n: f"{n} spm")
        )
    if draw(st.booleans()):
        found["step"] = f"{draw(st.sampled_from(('1', '2', '2.5', '4', '5')))} %"
    if draw(st.booleans()):
        found["hold"] = str(draw(st.integers(1, 8)))
    return found


# --- logs -------------------------------------------------------------------------------------

SCORES = st.sampled_from((0, 0, 1, 2, 2, 3, 3, 4, 5, 5, 6, 8))


@st.composite
def pains(draw: st.DrawFn) -> dict[str, str]:
    told = draw(st.sampled_from(("during", "during after", "during next_morning", "after")))
    return {when: str(draw(SCORES)) for when in told.split()}


@st.composite
def entries(draw: st.DrawFn, first: date, last: date) -> dict[str, Any]:
    """One check-in somewhere between two days."""
    found: dict[str, Any] = {
        "on": (first + DAY * draw(st.integers(0, max((last - first).days, 0)))).isoformat()
    }
    what = draw(st.sampled_from(("ran", "ran", "ran", "ran", "distance", "skipped", "said")))
    if what == "ran":
        found["ran"] = f"{draw(st.integers(3, 150))} min"
    elif what == "distance":
        found["distance"] = f"{draw(st.integers(1, 20))} km"
    elif what == "skipped":
        found["skipped"] = draw(st.sampled_from(("ill", "travel", "pain", "time")))
    else:
        found["said"] = "A quiet week."
    if draw(st.integers(0, 2)) == 0:
        found["pain"] = draw(pains())
    if draw(st.integers(0, 2)) == 0:
        found["effort"] = str(draw(st.integers(0, 10)))
    if draw(st.integers(0, 2)) == 0:
        found["cadence"] = f"{draw(st.integers(140, 195))} spm"
    if draw(st.integers(0, 24)) == 0:
        found["signs"] = [draw(st.sampled_from(URGENT + OTHER))]
    return found


def as_followed(
    client: dict[str, Any], as_of: date, shares: list[int], pain: list[int]
) -> list[Any]:
    """A log of the plan's own runs before ``as_of``, each at a share of its minutes.

    A share of 0 is a run that was skipped, -1 one that nothing was told of.
    """
    found = []
    planned = [s for s in life_of(client).plan.sessions if s.is_run and s.on < as_of]
    for i, session in enumerate(planned):
        share = shares[i % len(shares)]
        if share < 0:
            continue
        minutes = max(round(session.run_minutes * share / 100), 1)
        entry: dict[str, Any] = {"on": session.on.isoformat()}
        entry |= {"ran": f"{minutes} min"} if share else {"skipped": "time"}
        entry["pain"] = {"during": str(pain[i % len(pain)])}
        found.append(entry)
    return found


@st.composite
def lives(draw: st.DrawFn) -> Life:
    """A client, a log that is empty, as planned, or anything, and a day of looking."""
    client = draw(clients())
    weeks = int(client["plan"]["weeks"])
    how = draw(st.sampled_from(("nothing", "followed", "followed", "anything")))
    if how == "nothing":
        day = MONDAY + DAY * draw(st.integers(-10, 7 * weeks + 10) | st.just(-4))
        return life_of(client, [], day.isoformat())
    day = MONDAY + DAY * draw(st.integers(1, 7 * weeks + 10))
    if how == "followed":
        share = st.sampled_from((100, 100, 100, 100, 90, 120, 50, 0, -1))
        shares = draw(st.lists(share, min_size=1, max_size=9))
        pain = draw(st.lists(SCORES, min_size=1, max_size=9) | st.just([0]))
        return life_of(client, as_followed(client, day, shares, pain), day.isoformat())
    log = draw(st.lists(entries(MONDAY - DAY * 20, MONDAY + DAY * (7 * weeks + 10)), max_size=25))
    return life_of(client, log, day.isoformat())


# --- one runner, in a coach's words, for examples ----------------------------------------------


def runner(
    *,
    baseline: str = (
        "{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 120 min, "
        "longest: 45 min, runs: 3}"
    ),
    week: str = "{tue: {at: '18:30'}, thu: {}, sat: {}, sun: {}}",
    plan: str = "{from: 2027-01-04, weeks: 8, enough: 5 h}",
    screening: str = ("{on: 2026-12-01, regular_exercise: yes, known_disease: no, symptoms: no}"),
    more: str = "",
) -> str:
    """A client's file: a regular runner of 120 min a week, unless it says otherwise."""
    return (
        f"name: Sam Vale\nscreening: {screening}\nbaseline: {baseline}\nweek: {week}\n"
        f"plan: {plan}\n{more}\n"
    )


NOTHING = "{on: 2027-01-04, cadence: 160 spm, week: 0 min}"
NEW_TO_EXERCISE = "{on: 2026-12-01, regular_exercise: no, known_disease: no, symptoms: no}"
