"""A small plan, written by hand: six weeks' worth of habits in as many weeks as a test wants."""

from __future__ import annotations

from datetime import date, time, timedelta

from sitegen.feed.feed import Feed, feed
from sitegen.model.case import Case
from sitegen.model.client import Baseline, Client, PlanSettings, Screening
from sitegen.model.plan import Band, Part, Plan, Session, Week
from sitegen.model.practice import Practice
from sitegen.model.sentence import say
from sitegen.model.values import Cadence, Duration

FEED_ID = "mFq0b0oW1c3xq8l2vXk0Zg"
MONDAY = date(2026, 10, 5)
FIRST_DAY, SECOND_DAY = date(2026, 10, 1), date(2026, 10, 8)

WARM_UP = Part("warm_up", 5, text=say("Walk briskly, Mara"))
COOL_DOWN = Part("cool_down", 5)
EASY = (WARM_UP, Part("run", 25, cadence_spm=161), COOL_DOWN)
RUN_WALK = (WARM_UP, Part("run", 2, 6, 161), Part("walk", 1, 6), COOL_DOWN)
BEAT = (WARM_UP, Part("run", 10), Part("beat", 1.5, 4, 166), Part("walk", 1, 4), COOL_DOWN)
LONG = (WARM_UP, Part("run", 50, cadence_spm=161), COOL_DOWN)
STRENGTH = (Part("strength", 25, text=say("Easy on the sore knee")),)

HABIT = (
    # day, at, kind, parts, fuel_at
    (0, time(18, 30), "easy", EASY, time(17, 45)),
    (1, time(7, 0), "strength", STRENGTH, None),
    (3, time(18, 30), "beat", BEAT, time(17, 45)),
    (5, None, "run_walk", RUN_WALK, None),
    (6, time(9, 0), "long", LONG, time(8, 15)),
)


def case_in(timezone: str, start: date = MONDAY, weeks: int = 6) -> Case:
    """Mara, in a practice of that time zone."""
    client = Client(
        name="Mara Quill",
        timezone=timezone,
        screening=Screening(on=start, regular_exercise=True, known_disease=False, symptoms=False),
        baseline=Baseline(on=start, cadence=Cadence(158), week=Duration(5400)),
        plan=PlanSettings(from_=start, weeks=weeks),
    )
    practice = Practice(name="Low Bridge Running", contact="coach@example.org", timezone="UTC")
    return Case("mara", client, practice)


def plan_of(*sessions: Session, start: date = MONDAY) -> Plan:
    """A plan with all of these sessions in one week: the feed does not look at weeks."""
    week = Week(1, start, "build", Band(156, 161, 166), sessions)
    return Plan("mara", start, "active", (week,))


def habit(weeks: int = 6, start: date = MONDAY) -> Plan:
    """Five sessions a week, each week the same."""
    return plan_of()._replace(
        weeks=tuple(
            Week(
                number + 1,
                monday := start + timedelta(weeks=number),
                "build",
                Band(156, 161, 166),
                tuple(
                    Session(
                        f"w{number + 1}-{day}", monday + timedelta(days=day), at, kind, parts,
                        fuel_at=fuel_at, drills=("quiet-landing",),
                    )
                    for day, at, kind, parts, fuel_at in HABIT
                ),
            )
            for number in range(weeks)
        ),
    )  # fmt: skip


def run_at(
    on: date, at: time | None, minutes: float = 35, id: str = "one", fuel_at: time | None = None
) -> Session:
    """A single run of so many minutes."""
    return Session(id, on, at, "easy", (Part("run", minutes),), fuel_at=fuel_at)


def made(
    plan: Plan,
    timezone: str = "Europe/Lisbon",
    *,
    mode: str = "discreet",
    after: Feed | None = None,
    day: date = FIRST_DAY,
    feed_id: str = FEED_ID,
    **more: object,
) -> Feed:
    """The feed of ``plan`` for Mara, built on ``day`` after the one given."""
    case, plan = case_in(timezone, plan.as_of), plan._replace(as_of=day)
    history = after.history if after else ""
    return feed(case, plan, feed_id=feed_id, mode=mode, history=history, **more)  # type: ignore[arg-type]


def built(plan: Plan, timezone: str = "Europe/Lisbon", **more: object) -> bytes:
    """The text of a feed that `made` makes."""
    return made(plan, timezone, **more).text  # type: ignore[arg-type]
