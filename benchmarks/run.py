"""Time the whole tool over practices of growing size, against floors taken in the same run.

    python benchmarks/run.py [--sizes 1,100,1000] [--keep FOLDER]

Writes ``results/times.json``, ``results/times.md`` and ``results/times.svg`` beside this file.
Wall time says what a coach waits; processor time (user and system, children with it) says what
the work costs, also on a machine that has other work. Each is the best of a few runs.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import deflate

import practice
from sitegen import world
from sitegen.feed.feed import feed
from sitegen.plan.drilling import used
from sitegen.plan.fold import expand
from sitegen.practice.house import Texts, case_of, read_house
from sitegen.seal import keys
from sitegen.seal.addresses import feed_name, portal_name
from sitegen.seal.sealing import COMPRESSION_LEVEL, seal, sealed_text
from sitegen.site import client as build
from sitegen.site import memory as cache
from sitegen.site.folder import write_site
from sitegen.site.notes import CHECK_FILE
from sitegen.site.plans import plan_of

HERE = Path(__file__).resolve().parent
DAY = practice.AS_OF
PHASE_CLIENTS = 24  # phases are timed on so many; they do not depend on each other
SAME_IMPORTS = (
    "import click, sitegen.site.client, sitegen.site.building, sitegen.site.spread,"
    " sitegen.seal.keys_file, sitegen.seal.sealing, markdown_it,"
    " cryptography.hazmat.primitives.ciphers.aead"
)

BELOW = {  # what no phase can be quicker than
    "validate": "floor: the same YAML as events",
    "render": "floor: the same template bare",
    "seal": "floor: the same document compressed",
    "write": "floor: the same bytes written",
}
WHOLE = (  # a command, of how many clients, its aim in seconds, and whether the imports bound it
    ("build, one client's words edited", 1000, 0.30, True),
    ("build, one client's plan edited", 1000, 0.30, True),
    ("build, nothing changed", 1000, 0.2, False),
    ("check, nothing remembered", 1000, 3.0, True),
    ("check, one client's plan edited", 1000, 3.0, True),
    ("--version", 1000, 0.06, False),
)

Row = dict[str, Any]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", default="1,100,1000")
    parser.add_argument("--keep", type=Path, help="keep the practices and sites here")
    chosen = parser.parse_args()
    sizes = [int(size) for size in chosen.sizes.split(",")]
    top = chosen.keep or Path(tempfile.mkdtemp(prefix="sitegen-bench-"))
    try:
        result: dict[str, Any] = {
            "machine": machine(),
            "load_before": load(),
            "floors": floors(),
            "phases": phases(),
            "whole": [row for size in sizes for row in whole(top / str(size), size)],
            "load_after": load(),
        }
    finally:
        if not chosen.keep:
            shutil.rmtree(top, ignore_errors=True)
    results = HERE / "results"
    results.mkdir(exist_ok=True)
    (results / "times.json").write_text(json.dumps(result, indent=1), encoding="utf-8")
    text = table(result)
    (results / "times.md").write_text(text, encoding="utf-8")
    (results / "times.svg").write_text(plot(result["whole"]), encoding="utf-8")
    print(text)


def machine() -> str:
    return (
        f"{platform.system()} {platform.machine()}, {os.cpu_count()} processors, "
        f"Python {platform.python_version()}"
    )


def load() -> float:
    return os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")


# --- phases and their floors -------------------------------------------------------------------


def best_ms(work: Callable[[], object], rounds: int = 3) -> float:
    """Milliseconds of processor time, the best of a few."""
    times = []
    for _ in range(rounds):
        forget()
        start = time.process_time()
        work()
        times.append((time.process_time() - start) * 1000)
    return min(times)


def forget() -> None:
    """Let go of all that a process keeps from one client for the next: each round begins anew."""
    for name, module in list(sys.modules.items()):
        if name.startswith("sitegen."):
            for made in list(vars(module).values()):
                if hasattr(made, "cache_clear") and made.__module__ == name:
                    made.cache_clear()


def phases() -> dict[str, float]:
    """Milliseconds of processor time a client, phase by phase; and what bounds them from below."""
    with tempfile.TemporaryDirectory() as folder:
        top = Path(folder)
        practice.write(top / "clients", PHASE_CLIENTS)
        found = world.read_folder(top / "clients")
        name = "clients"
        texts = Texts(
            found.practice, f"{name}/practice.yaml", found.clients, found.logs, name,
            shipped_drills=world.read_library(), shipped_sessions=world.read_sessions(),
        )  # fmt: skip
        house, problems = read_house(texts)
        assert house is not None, problems
        ids = sorted(found.clients)
        cases = [case for id in ids if (case := case_of(texts, house, id)[0])]
        assert len(cases) == PHASE_CLIENTS
        plans = [plan_of(case, house, DAY) for case in cases]
        known = keys.ensure(keys.Keys(), ids, world.draw_bytes)
        links = [known.links[id] for id in ids]
        renderer = build.renderer_of(world.read_templates(), {}, world.read_languages())
        drills = [used(p, house.drills, c.client.drills) for c, p in zip(cases, plans, strict=True)]

        def documents() -> list[str]:
            renderer._pieces.clear()
            return [
                renderer.document(c, p, d, feed_url=f"../{feed_name(k)}", code="AAAA-AAAA")
                for c, p, d, k in zip(cases, plans, drills, links, strict=True)
            ]

        def sealed() -> list[str]:
            return [
                sealed_text(seal(doc, portal=link.portal, key=link.key))
                for doc, link in zip(raw, links, strict=True)
            ]

        def feeds() -> list[bytes]:
            return [
                feed(c, p, feed_id=k.feed, mode=c.calendar).text
                for c, p, k in zip(cases, plans, links, strict=True)
            ]

        def write(files: dict[str, bytes]) -> None:
            write_site(files, top / "out" / str(next(turns)))

        def write_bare(files: dict[str, bytes]) -> None:
            to = top / "bare" / str(next(turns))
            for name, data in files.items():
                (to / name).parent.mkdir(parents=True, exist_ok=True)
                (to / name).write_bytes(data)

        turns = iter(range(1000))
        raw = [doc.encode() for doc in documents()]
        files = {portal_name(k): text.encode() for k, text in zip(links, sealed(), strict=True)}
        files |= {feed_name(k): data for k, data in zip(links, feeds(), strict=True)}
        bare = bare_template()
        yaml = [*found.clients.values(), *found.logs.values()]
        took = {
            "read": best_ms(lambda: world.read_folder(top / "clients")),
            "validate": best_ms(lambda: [case_of(texts, house, id) for id in ids]),
            "expand": best_ms(lambda: [expand(case, DAY) for case in cases]),
            "render": best_ms(documents),
            "seal": best_ms(sealed),
            "feed": best_ms(feeds),
            "write": best_ms(lambda: write(files)),
            "floor: the same template bare": best_ms(lambda: [bare(p) for p in plans]),
            "floor: the same YAML as events": best_ms(lambda: [parse(data) for data in yaml]),
            "floor: the same document compressed": best_ms(
                lambda: [deflate.zlib_compress(doc, COMPRESSION_LEVEL) for doc in raw]
            ),
            "floor: the same bytes written": best_ms(lambda: write_bare(files)),
            "floor: the same bytes hashed": best_ms(
                lambda: [cache.hash_of(data) for data in files.values()]
            ),
        }
        return {phase: ms / PHASE_CLIENTS for phase, ms in took.items()}


def parse(data: bytes) -> int:
    """What libyaml needs to tell a file's pieces and their places apart."""
    from yaml.cyaml import CParser

    parser = CParser(data)
    count = 0
    while parser.check_event():  # type: ignore[no-untyped-call]
        parser.get_event()  # type: ignore[no-untyped-call]
        count += 1
    return count


def bare_template() -> Callable[[Any], str]:
    """A template that puts the numbers of the same sessions into the same kind of markup."""
    from jinja2 import Environment

    template = Environment(autoescape=True).from_string(
        "{% for week in plan.weeks %}<section><h2>{{ week.number }}</h2>"
        "{% for s in week.sessions %}<article><h3>{{ s.kind }}</h3><p>{{ s.on }} {{ s.at }}</p>"
        "<ol>{% for p in s.parts %}<li>{{ p.kind }} {{ p.minutes }} {{ p.cadence_spm }}</li>"
        "{% endfor %}</ol></article>{% endfor %}"
        "{% for d in week.decisions %}<p>{{ d.says }}</p>{% endfor %}</section>{% endfor %}"
    )
    return lambda plan: template.render(plan=plan)


def floors() -> dict[str, Row]:
    """What no command can be quicker than."""
    return {
        "Python alone": best_run([sys.executable, "-c", "pass"]),
        "Python with the same imports": best_run([sys.executable, "-c", SAME_IMPORTS]),
    }


# --- whole commands ----------------------------------------------------------------------------


def whole(top: Path, size: int) -> list[Row]:
    """Commands as a coach types them, on a practice of ``size`` clients."""
    shutil.rmtree(top, ignore_errors=True)
    practice.write(top / "clients", size)
    one = top / "clients" / f"runner-{size // 2:05}.yaml"
    turn = iter(range(1, 1000))

    def sitegen(*words: str) -> list[str]:
        return [sys.executable, "-m", "sitegen", *words, "--as-of", DAY.isoformat()]

    def afresh() -> None:
        for name in ("public", ".sitegen-cache"):
            shutil.rmtree(top / name, ignore_errors=True)

    def unremembered() -> None:
        (top / "clients" / CHECK_FILE).unlink(missing_ok=True)

    def words_edited() -> None:
        lines = one.read_text(encoding="utf-8").splitlines()
        kept = [line for line in lines if not line.startswith("called:")]
        one.write_text("\n".join([*kept, f"called: Turn {next(turn)}", ""]), encoding="utf-8")

    def plan_edited() -> None:
        text = one.read_text(encoding="utf-8")
        head, _, tail = text.partition("  weeks: 16\n")
        tail = "\n".join(line for line in tail.split("\n") if "growth:" not in line)
        growth = 5 + next(turn) % 8
        one.write_text(f"{head}  weeks: 16\n  growth: {growth} %\n{tail}", encoding="utf-8")

    few, once = (5, 1) if size >= 1000 else (5, 3)
    build_words = sitegen("build")
    steps: list[tuple[str, list[str], int, Callable[[], None]]] = [
        ("check, nothing remembered", sitegen("check"), once, unremembered),
        ("check, one client's plan edited", sitegen("check"), few, plan_edited),
        ("build, from nothing", build_words, once, afresh),
        ("build, nothing changed", build_words, few, lambda: None),
        ("build, one client's words edited", build_words, few, words_edited),
        ("build, one client's plan edited", build_words, few, plan_edited),
        ("--version", [sys.executable, "-m", "sitegen", "--version"], few, lambda: None),
    ]
    return [
        {"clients": size, "what": what, **best_run(words, top, rounds, before)}
        for what, words, rounds, before in steps
    ]


def best_run(
    words: list[str],
    folder: Path | None = None,
    rounds: int = 7,
    before: Callable[[], None] = lambda: None,
) -> Row:
    """Best wall and processor time of a command in seconds, and the most memory of a process."""
    script = (
        "import json, resource, subprocess, sys, time\n"
        "start = time.perf_counter()\n"
        "done = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)\n"
        "wall = time.perf_counter() - start\n"
        "used = resource.getrusage(resource.RUSAGE_CHILDREN)\n"
        "assert done.returncode == 0, done.stderr.decode()\n"
        "print(json.dumps([wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024]))\n"
    )
    path = {"PYTHONPATH": os.pathsep.join([str(HERE.parent), os.environ.get("PYTHONPATH", "")])}
    # An installed tool lies there compiled; it is here from the second run on.
    env = {name: text for name, text in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    found = []
    for _ in range(rounds):
        before()
        done = subprocess.run(
            [sys.executable, "-c", script, *words],
            cwd=folder, env=env | path, capture_output=True, text=True, check=False,
        )  # fmt: skip
        if done.returncode:
            raise SystemExit(done.stderr)
        found.append(json.loads(done.stdout))
    walls, processors, memories = zip(*found, strict=True)
    return {
        "wall_s": min(walls),
        "cpu_s": min(processors),
        "peak_mb": max(memories),
        "load": load(),
    }


# --- table and plot ----------------------------------------------------------------------------


def table(result: dict[str, Any]) -> str:
    floor = result["floors"]["Python with the same imports"]
    lines = [
        f"{result['machine']}; load {result['load_before']:.1f} before, "
        f"{result['load_after']:.1f} after. Best of a few runs each.",
        "",
        "| clients | what | wall, s | processor, s | times the imports' floor | peak MB |",
        "|---:|---|---:|---:|---:|---:|",
    ]
    rows = [{"clients": "", "what": f"floor: {n}", **row} for n, row in result["floors"].items()]
    for row in [*rows, *result["whole"]]:
        ratio = row["cpu_s"] / floor["cpu_s"]
        lines.append(
            f"| {row['clients']} | {row['what']} | {row['wall_s']:.2f} | {row['cpu_s']:.2f} "
            f"| {ratio:.1f} | {row['peak_mb']:.0f} |"
        )
    phases = result["phases"]
    lines += ["", "| phase | processor, ms a client | times its floor |", "|---|---:|---:|"]
    for phase, ms in phases.items():
        ratio = f"{ms / phases[BELOW[phase]]:.1f}" if phase in BELOW else ""
        lines.append(f"| {phase} | {ms:.2f} | {ratio} |")
    lines += ["", "| aim | found | times its floor | |", "|---|---:|---:|---|"]
    lines += [aim.line for aim in aims(result)]
    return "\n".join(lines) + "\n"


class Aim(NamedTuple):
    """What should be reached, what was found, in one unit, and how often its floor that is."""

    what: str
    most: float
    found: float
    unit: str
    floor: float = 0.0

    @property
    def line(self) -> str:
        times = f"{self.found / self.floor:.1f}" if self.floor else ""
        is_reached = "reached" if self.found <= self.most else "**missed**"
        aim = f"{self.what}: {self.most:g} {self.unit}"
        return f"| {aim} | {self.found:.3g} {self.unit} | {times} | {is_reached} |"


def aims(result: dict[str, Any]) -> Iterator[Aim]:
    """Every aim of which this run has the figure; those of whole commands by processor time, but
    for the one that says how long a coach waits."""
    phases, floors = result["phases"], result["floors"]
    bare, imports = (
        floors[name]["cpu_s"] for name in ("Python alone", "Python with the same imports")
    )
    floor = sum(ms for name, ms in phases.items() if name in BELOW.values())
    spent = sum(ms for name, ms in phases.items() if not name.startswith("floor"))
    yield Aim("a client from nothing, all phases", 12, spent, "ms", floor)
    yield Aim("imports of a rebuild", 0.18, imports, "s", bare)
    found = {(row["clients"], row["what"]): row for row in result["whole"]}
    for what, at, most, below in WHOLE:
        if row := found.get((at, what)):
            yield Aim(f"{what}, {at:,}", most, row["cpu_s"], "s", imports if below else bare)
    if row := found.get((1000, "build, from nothing")):
        yield Aim("1,000 from nothing, by the clock", 8, row["wall_s"], "s")
        if more := found.get((10_000, "build, from nothing")):
            ratio = more["cpu_s"] / row["cpu_s"]
            yield Aim("10,000 in times 1,000, by processor", 10.5, ratio, "times", 10)
    if result["whole"]:
        yield Aim("a process", 120, max(row["peak_mb"] for row in result["whole"]), "MB")


def plot(rows: list[Row]) -> str:
    """Seconds against clients, both in steps of ten."""
    from math import log10

    left, bottom, unit_x, unit_y = 70, 330, 130, 75
    series: dict[str, list[tuple[float, float]]] = {}
    for row in rows:
        x = left + log10(max(row["clients"], 1)) * unit_x
        y = bottom - (log10(max(row["wall_s"], 0.01)) + 2) * unit_y
        series.setdefault(row["what"], []).append((x, y))
    parts = [
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 -24 910 414" '
        'font-family="sans-serif" font-size="13">'
        "<title>Wall time in seconds against the number of clients</title>"
        '<rect y="-24" width="910" height="414" fill="#fff"/>'
    ]
    for power in range(5):
        x, y = left + power * unit_x, bottom - power * unit_y
        parts.append(
            f'<path d="M{x} {bottom}v-300M{left} {y}h520" stroke="#ccc" fill="none"/>'
            f'<text x="{x}" y="{bottom + 20}" text-anchor="middle">{10**power:,}</text>'
            f'<text x="{left - 8}" y="{y + 4}" text-anchor="end">{10 ** (power - 2):g} s</text>'
        )
    for number, (what, points) in enumerate(series.items()):
        dash = ("", "7 4", "2 4", "10 3 2 3", "1 6", "14 5", "4 2")[number % 7]
        line = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        x, y = points[-1]
        parts.append(
            f'<polyline points="{line}" fill="none" stroke="#222" stroke-width="1.6" '
            f'stroke-dasharray="{dash}"/><circle cx="{x:.1f}" cy="{y:.1f}" r="3"/>'
            f'<path d="M610 {60 + number * 26}h34" stroke="#222" stroke-width="1.6" '
            f'stroke-dasharray="{dash}"/><text x="652" y="{64 + number * 26}">{what}</text>'
        )
    parts.append(f'<text x="{left + 250}" y="{bottom + 45}">clients</text></svg>\n')
    return "".join(parts)


if __name__ == "__main__":
    main()
