"""What became of each kind of runner: the figures by which a plan's rules are judged."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from functools import lru_cache
from itertools import pairwise

from sitegen.model.case import Case
from sitegen.plan.fold import expand

from .living import WEEK, Life, entry, live, read, runs_of, training
from .runners import RUNNERS, Runner

# Long runs to reach, common practice: of a 5 or 10 km the distance and a half, at most 75 min;
# of a half marathon 80 % of its predicted duration, at most 2 h 15 min; of a marathon 25 km or
# 3 h, whichever is less. At the baseline's easy pace.
SLOW_S_PER_KM = 510.0


def needed_minutes(runner: Runner) -> float | None:
    """The long run that a runner's event asks for; None without an event."""
    case = read(runner.text)
    event = case.client.goal.event
    if event is None:
        return None
    pace = case.client.baseline.pace
    minutes_per_km = (pace.seconds_per_km if pace else SLOW_S_PER_KM) / 60
    km = event.distance.metres / 1000
    if km <= 10:
        return min(1.5 * km * minutes_per_km, 75.0)
    if km < 22:
        return min(0.8 * km * minutes_per_km, 135.0)
    return min(25 * minutes_per_km, 180.0)


@dataclass(frozen=True)
class Figures:
    """One row of the table; shares are 0 to 1, None where a figure does not apply.

    ``told`` and ``ran`` are shares of lives in which a run of the event's length was told, and run.
    ``steps`` are tenth, middle and ninetieth part of each told week over the one before it,
    ``most_step`` the largest. ``dry`` is the longest stretch of weeks without a new high (median).
    ``flips`` are changes between building and not, in ten weeks, easy weeks left out.
    ``of_undisturbed`` is the last building week over that of the same file, all run and told.
    ``twinge`` is what a pain of 1 of 10 in the fourth week changes in the fortnight after it, as a
    share of its minutes. ``one_miss`` is the last building week after one run missed in the sixth
    week, over that of the undisturbed plan. ``hurt`` is the share of runs that hurt 3 or more in
    the invented tissue, ``empty`` of weeks from the second on in which nothing was told.
    """

    name: str
    lives: int
    told: float | None
    ran: float | None
    steps: tuple[float, float, float]
    most_step: float
    dry: float
    flips: float
    of_undisturbed: float
    twinge: float
    one_miss: float
    hurt: float
    empty: float


def figures(runner: Runner, lives: int) -> Figures:
    """Live ``lives`` times."""
    perfect = undisturbed(runner)
    plain = perfect.last_build
    lived = [live(runner, seed) for seed in range(lives)]
    need = needed_minutes(runner)
    steps = sorted(s for life in lived for s in week_steps(life)) or [1.0]
    weeks = [t.week for life in lived for t in life.weeks[1:]]
    pains = [p for life in lived for p in life.pains]
    return Figures(
        name=runner.name,
        lives=lives,
        told=None if need is None else _share(longest_told(x) >= need - 0.5 for x in lived),
        ran=None if need is None else _share(longest_ran(x) >= need - 0.5 for x in lived),
        steps=(_at(steps, 0.1), _at(steps, 0.5), _at(steps, 0.9)),
        most_step=steps[-1],
        dry=statistics.median(weeks_without_a_high(x) for x in lived),
        flips=statistics.mean(flips(x) for x in lived),
        of_undisturbed=statistics.median(x.last_build for x in lived) / plain if plain else 0.0,
        twinge=twinge(perfect),
        one_miss=one_miss(runner) / plain if plain else 0.0,
        hurt=_share(p >= 3 for p in pains),
        empty=_share(training(w) == 0 for w in weeks),
    )


def undisturbed(runner: Runner, missed: Collection[tuple[int, int]] = ()) -> Life:
    """The same file, all told and done but for ``missed``, nothing hurting."""
    perfect = replace(
        runner, does=1.0, tells=1.0, amount=1.0, extra=0.0, late=0, sturdy=1e6, ill=0, away=()
    )
    return _perfect(perfect, frozenset(missed))


@lru_cache(maxsize=256)
def _perfect(runner: Runner, missed: frozenset[tuple[int, int]]) -> Life:
    """Lived once: many a figure is set against it."""
    return live(runner, 0, missed=missed)


def week_steps(life: Life) -> Iterator[float]:
    """Each told week over the one before it, where both hold a run and neither is the event's."""
    for one, other in pairwise(life.weeks):
        before, after = training(one.week), training(other.week)
        if before > 0 and after > 0 and other.week.kind not in ("event", "taper"):
            yield after / before


def weeks_without_a_high(life: Life) -> int:
    """Longest stretch of weeks, up to the taper, in which no week was the largest so far."""
    high, dry, most = 0.0, 0, 0
    for told in life.weeks:
        if told.week.kind in ("event", "taper"):
            break
        minutes = training(told.week)
        dry = 0 if minutes > high else dry + 1
        high, most = max(high, minutes), max(most, dry)
    return most


def flips(life: Life) -> float:
    """Changes between a building week and another, in ten weeks; easy ones are left out."""
    kinds = [t.week.kind for t in life.weeks if t.week.kind not in ("ease", "event", "taper")]
    changes = sum((a == "build") != (b == "build") for a, b in pairwise(kinds))
    return 10 * changes / max(len(life.weeks), 1)


def longest_told(life: Life) -> float:
    return max((s.run_minutes for t in life.weeks for s in runs_of(t.week)), default=0.0)


def longest_ran(life: Life) -> float:
    """Longest run up to the day before the event."""
    event = life.case.client.goal.event
    last = event.on if event else date.max
    return max((m for t in life.weeks for on, m in t.ran if on < last), default=0.0)


def twinge(perfect: Life) -> float:
    """What a pain of 1 of 10 in the fourth week's first run changes in the fortnight after it."""
    if len(perfect.weeks) < 6:
        return 0.0
    monday = perfect.weeks[4].week.start
    calm = perfect.known(monday)
    at = next((e.checkin.on for e in perfect.entries(monday - WEEK, monday)), None)
    if at is None:
        return 0.0
    log = tuple(
        e.but(pain=entry(at, pain={"during": "1", "after": "1"}).pain) if e.on == at else e
        for e in calm.log
    )

    def minutes(case: Case) -> float:
        return sum(
            s.run_minutes
            for s in expand(case, monday).sessions
            if monday <= s.on < monday + 2 * WEEK
        )

    before, after = minutes(calm), minutes(replace(calm, log=log))
    return abs(after - before) / before if before else 0.0


def one_miss(runner: Runner, week: int = 6) -> float:
    """Minutes of the last building week where one run of ``week`` was missed, and told."""
    return undisturbed(runner, missed={(week, 0)}).last_build


def _at(found: Sequence[float], part: float) -> float:
    return found[min(int(part * len(found)), len(found) - 1)]


def _share(found: Iterable[bool]) -> float:
    them = list(found)
    return sum(them) / len(them) if them else 0.0


HEAD = (
    "kind", "told", "ran", "steps 10/50/90 %", "most", "dry", "flips", "of undist.", "twinge",
    "one miss", "hurt", "empty",
)  # fmt: skip


def row(one: Figures) -> str:
    """A line of a table in Markdown."""

    def part(share: float | None) -> str:
        return "–" if share is None else f"{share:.0%}"

    steps = " / ".join(f"{s:.2f}" for s in one.steps)
    cells = (
        one.name, part(one.told), part(one.ran), steps, f"{one.most_step:.2f}", f"{one.dry:.0f}",
        f"{one.flips:.1f}", part(one.of_undisturbed), part(one.twinge), part(one.one_miss),
        part(one.hurt), part(one.empty),
    )  # fmt: skip
    return "| " + " | ".join(cells) + " |"


def table(lives: int, tell: Callable[[str], None]) -> list[Figures]:
    """Figures of every kind of runner, each line told as soon as it is known."""
    tell("| " + " | ".join(HEAD) + " |")
    tell("|" + " --- |" * len(HEAD))
    found = []
    for runner in RUNNERS:
        found.append(figures(runner, lives))
        tell(row(found[-1]))
    return found


def as_json(found: Sequence[Figures]) -> list[dict[str, object]]:
    return [asdict(one) for one in found]
