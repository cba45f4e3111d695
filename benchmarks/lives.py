"""What plans are worth to invented, imperfect runners: figures, plots and docs/lives.md.

    python benchmarks/lives.py [--lives 20] [--workers 2] [--out docs]

The runners and what hurts them are made up (`tests/lives`). The same number of lives gives the
same bytes, however many processes work at them.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from html import escape
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
os.environ["PROMISES"] = "nightly"  # the whole sweep of event plans

from tests.lives import figures, promises, sweeps  # noqa: E402
from tests.lives.living import live, training  # noqa: E402
from tests.lives.runners import RUNNERS  # noqa: E402

STYLE = (
    "<style>svg{color-scheme:light dark;background:#fff;color:#222}"
    "text{fill:currentColor;font:13px sans-serif}path,polyline{stroke:currentColor;fill:none}"
    ".grid{opacity:.2}.bar{fill:#1f5f6b}.pale{fill:#8fb9c2}"
    "@media(prefers-color-scheme:dark){svg{background:#15191c;color:#e4e8ea}"
    ".bar{fill:#7fc4d1}.pale{fill:#3d6a74}}</style>"
)
DASHES = ("", "9 4", "5 4", "2 4", "9 4 2 4")
WEEKS = 15
# The widest takes long; the page names its command.
SWEPT = tuple(name for name in sweeps.SWEEPS if name != "widely")
MORE = 10  # times as many lives where one figure comes out of all


def course(does: float, lives: int) -> list[float]:
    """Median told minutes of weeks 1 to 15, where so many of the runs are done."""
    runner = replace(sweeps.ORDINARY, does=does)
    lived = [live(runner, seed, until=WEEKS) for seed in range(lives)]
    return [statistics.median(training(x.weeks[n].week) for x in lived) for n in range(WEEKS)]


def _kind(number: int, lives: int) -> figures.Figures:
    return figures.figures(RUNNERS[number], lives)


def _sweep(name: str, lives: int) -> dict[str, float]:
    return sweeps.SWEEPS[name](lives)


def _promises(names: Sequence[str], lives: int) -> list[tuple[str, str, str]]:
    """What each says, whether it holds and since when the tests hold it, and what was seen."""
    found = []
    for name in names:
        promise = promises.PROMISES[name]
        verdict = promise.judge(lives)
        kept = f"since {promise.since}" if promise.since else "not held by a test"
        holds = "holds" if verdict.holds else "**broken**"
        found.append((promise.says, f"{holds}; {kept}", verdict.figure))
    return found


def lines(found: dict[str, list[float]]) -> str:
    """Told minutes a week against weeks; a dash for each share, named at its end."""
    left, right, top, bottom = 60, 560, 30, 300

    def x(week: int) -> float:
        return left + (right - left) * week / (WEEKS - 1)

    def y(minutes: float) -> float:
        return bottom - (bottom - top) * minutes / 300

    parts = [_head(700, 350, "Told minutes a week by the share of runs done, median of the lives")]
    for minutes in (0, 100, 200, 300):
        parts.append(f'<path class="grid" d="M{left} {y(minutes):.1f}H{right}"/>')
        parts.append(
            f'<text x="{left - 8}" y="{y(minutes) + 4:.1f}" text-anchor="end">{minutes}</text>'
        )
    for week in range(0, WEEKS, 2):
        parts.append(
            f'<text x="{x(week):.1f}" y="{bottom + 20}" text-anchor="middle">{week + 1}</text>'
        )
    for minutes, dash in zip(found.values(), DASHES, strict=True):
        points = " ".join(f"{x(n):.1f},{y(m):.1f}" for n, m in enumerate(minutes))
        parts.append(f'<polyline points="{points}" stroke-width="1.8" stroke-dasharray="{dash}"/>')
    ends = sorted(((y(m[-1]), name) for name, m in found.items()), reverse=True)
    at = bottom + 16.0
    for end, name in ends:  # from below, with room between the words
        at = min(end + 4, at - 15)
        parts.append(f'<text x="{right + 10}" y="{at:.1f}">{name} of runs done</text>')
    parts.append(
        f'<text x="{(left + right) / 2}" y="{bottom + 42}" text-anchor="middle">week</text>'
    )
    parts.append(f'<text x="{left - 8}" y="18" text-anchor="end">min</text>')
    return "".join(parts) + "</svg>\n"


def bars(found: Sequence[figures.Figures]) -> str:
    """For each kind: last building week over the undisturbed one; who ran the event's long run."""
    left, width, row = 130, 440, 34
    height = 60 + row * len(found)
    parts = [_head(730, height, "Last building week, and who ran the long run of the event")]
    for part in (0, 0.25, 0.5, 0.75, 1):
        at = left + width * part
        parts.append(f'<path class="grid" d="M{at:.0f} 30V{height - 30}"/>')
        parts.append(f'<text x="{at:.0f}" y="{height - 12}" text-anchor="middle">{part:.0%}</text>')
    for n, one in enumerate(found):
        y = 38 + row * n
        parts.append(
            f'<text x="{left - 8}" y="{y + 15}" text-anchor="end">{escape(one.name)}</text>'
        )
        for at, share, mark in ((y, one.of_undisturbed, "bar"), (y + 12, one.ran or 0.0, "pale")):
            length = width * min(share, 1.1)
            parts.append(
                f'<rect class="{mark}" x="{left}" y="{at}" width="{length:.0f}" height="10"/>'
            )
        parts.append(
            f'<text x="{left + width + 55}" y="{y + 15}">{one.of_undisturbed:.0%}'
            f" · {'no event' if one.ran is None else f'{one.ran:.0%}'}</text>"
        )
    parts.append(f'<rect class="bar" x="{left}" y="8" width="12" height="10"/>')
    parts.append(f'<text x="{left + 18}" y="18">last building week of the undisturbed</text>')
    parts.append(f'<rect class="pale" x="{left + 270}" y="8" width="12" height="10"/>')
    parts.append(f'<text x="{left + 288}" y="18">lives that ran the long run</text>')
    return "".join(parts) + "</svg>\n"


def _head(width: int, height: int, title: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img">'
        f"<title>{escape(title)}</title>{STYLE}"
    )


PAGE = """\
# Simulated lives

Made by `python benchmarks/lives.py --lives {lives}`; do not edit.

What is a plan worth to people who miss runs, forget to log, fall ill, hurt, overdo it, or answer
late? Invented runners live through their plans: each Monday the plan is worked out from file and
log, as a coach would see it, and then the week happens. A handful of lives shows how plans answer;
it is no statistic.

**All of it is made up.** The runners stand for nobody, and their shares are no survey. What hurts
them is an invented tissue of a load, a repair and a threshold (`tests/lives/tissue.py`), fitted to
nothing. It makes check-ins differ; it says nothing about injuries. What is measured here is the
plan: how it answers.

## Kinds of runners

{lives} lives each.

{kinds}

*told*, *ran*: lives in which the long run that the event asks for was told, and run. *steps*: each
told week over the one before it. *dry*: longest stretch of weeks without a new high (median).
*flips*: changes between building and not, in ten weeks. *of undist.*: last building week over that
of the same file, all told and done. *twinge*: what a pain of 1 of 10 in week 4 changes in the
fortnight after it. *one miss*: last building week after one run missed in week 6. *hurt*: runs that
hurt 3 or more in the invented tissue. *empty*: weeks in which nothing was told.

{words}

![Last building week and long run by kind](lives-kinds.svg)

## Misses at random

From 120 min a week, three runs, growth 10 %, `enough: 300 min`; every miss is told. Median of
{more} lives.

![Told minutes a week by the share of runs done](lives-shares.svg)

## Sweeps

{sweeps}

The first is of {more} lives for each share; by runs a week and growth it is
`python -m tests.lives sweeps --only widely`.

## Promises

Each is a check in `tests/lives` that can fail. Those kept are held by the tests with 300 lives, and
by `make nightly` with 10,000; here with {lives}. `python -m tests.lives promises` looks at all.

{promises}
"""


def page(
    lives: int,
    kinds: Sequence[figures.Figures],
    swept: Mapping[str, Mapping[str, float]],
    judged: Sequence[tuple[str, str, str]],
) -> str:
    table = ["| " + " | ".join(figures.HEAD) + " |", "|" + " --- |" * len(figures.HEAD)]
    table += [figures.row(one) for one in kinds]
    words = "\n".join(f"- *{r.name}*: {r.words}" for r in RUNNERS)
    sections = []
    for name, found in swept.items():
        told = (sweeps.SWEEPS[name].__doc__ or "").splitlines()[0]
        rows = "".join(f"\n| {what} | {figure:.4g} |" for what, figure in found.items())
        sections.append(f"**{told}**\n\n| what | figure |\n| --- | --- |{rows}")
    lines = ["| promise | kept | seen |", "| --- | --- | --- |"]
    lines += [f"| {says} | {kept} | {seen} |" for says, kept, seen in judged]
    return PAGE.format(
        lives=lives, more=MORE * lives, kinds="\n".join(table), words=words,
        sweeps="\n\n".join(sections), promises="\n".join(lines),
    )  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--lives", type=int, default=20)
    parser.add_argument("--workers", type=int, default=os.cpu_count())
    parser.add_argument("--out", type=Path, default=ROOT / "docs")
    chosen = parser.parse_args()
    lives = chosen.lives
    chosen.out.mkdir(parents=True, exist_ok=True)
    with ProcessPoolExecutor(chosen.workers) as pool:
        of_events, others = _by_subject()
        first = pool.submit(_promises, of_events, lives)
        of = {name: MORE * lives if name == "shares" else lives for name in SWEPT}
        tasks = {name: pool.submit(_sweep, name, of[name]) for name in SWEPT}
        kinds = [pool.submit(_kind, n, lives) for n in range(len(RUNNERS))]
        ran = {d: pool.submit(course, d, MORE * lives) for d in sweeps.SHARES}
        judged = [pool.submit(_promises, (name,), lives) for name in others]
        found = [task.result() for task in kinds]
        verdicts = [one for task in (*judged, first) for one in task.result()]
        swept = {name: task.result() for name, task in tasks.items()}
        shares = {f"{does:.0%}": task.result() for does, task in ran.items()}
    files = {
        "lives-kinds.svg": bars(found),
        "lives-shares.svg": lines(shares),
        "lives.md": page(lives, found, swept, verdicts),
    }
    for name, text in files.items():
        (chosen.out / name).write_text(text, encoding="utf-8")


def _by_subject() -> tuple[list[str], list[str]]:
    """Promises on plans for events, which one process had better judge, and all others."""
    of_events = [
        n for n, p in promises.PROMISES.items() if p.judge.__module__.endswith("of_events")
    ]
    return of_events, [name for name in promises.PROMISES if name not in of_events]


if __name__ == "__main__":
    main()
