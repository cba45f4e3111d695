"""How long the plan engine takes for one client.

    python benchmarks/engine.py [--json FILE]

Aims: 16 weeks with 60 check-ins in 5 ms, 52 weeks with 300 in 20 ms; in 2 and 5 ms with a ledger,
that is where the client was told the plan each Monday. Processor time, the best of many runs with
the days' choice remembered ("warm") and the first ("cold"), over a few clients.
"""

from __future__ import annotations

import argparse
import gc
import json
import os
import random
import statistics
import time
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import practice
from sitegen import world
from sitegen.model.case import Case
from sitegen.plan import ledger, placing
from sitegen.plan.fold import expand
from sitegen.practice.house import Texts, case_of, read_house

# weeks, check-ins, with a ledger, milliseconds aimed at
CASES = ((16, 60, False, 5.0), (16, 60, True, 2.0), (52, 300, False, 20.0), (52, 300, True, 5.0))
CLIENTS, ROUNDS = 8, 9


def told(case: Case, as_of: date) -> Case:
    """The client after a publish each Monday up to ``as_of``, with the log of that day."""
    day = case.first_monday
    while day <= as_of:
        now = replace(case, log=tuple(entry for entry in case.log if entry.on < day))
        new = ledger.new_in(ledger.shown(expand(now, day)), case.told, day)
        if new is not None:
            case = replace(case, told=(*case.told, new))
        day += timedelta(days=7)
    return case


def measure(weeks: int, logged: int, has_ledger: bool) -> dict[str, float]:
    """Milliseconds of processor time for a client: middle of the clients' bests."""
    texts = Texts(
        practice.PRACTICE.encode(), "practice.yaml", {}, {}, "clients",
        shipped_sessions=world.read_sessions(),
    )  # fmt: skip
    house, _ = read_house(texts)
    assert house is not None
    warm, cold = [], []
    for number in range(CLIENTS):
        client, log = practice.texts(random.Random(f"engine-{number}"), number, weeks, logged)
        one = Texts(texts.practice, "", {"one": client.encode()}, {"one": log.encode()}, "clients")
        case, problems = case_of(one, house, "one")
        assert case is not None, problems
        as_of = max(entry.on for entry in case.log) + timedelta(days=1)
        if has_ledger:
            case = told(case, as_of)
        placing.place.cache_clear()
        times = []
        for _ in range(ROUNDS):
            start = time.process_time()
            plan = expand(case, as_of)
            times.append((time.process_time() - start) * 1000)
        assert len(plan.weeks) == weeks
        cold.append(times[0])
        warm.append(min(times))
    return {"warm_ms": statistics.median(warm), "cold_ms": statistics.median(cold)}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--json", type=Path)
    chosen = parser.parse_args()
    gc.set_threshold(10_000, 10, 100)  # as the commands have it
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    print(f"load {load:.1f}")
    print(
        "| weeks | check-ins | ledger | warm, ms | cold, ms | aim, ms |\n|---|---|---|---|---|---|"
    )
    results = []
    for weeks, logged, has_ledger, aim in CASES:
        found = measure(weeks, logged, has_ledger)
        about = {"weeks": weeks, "logged": logged, "ledger": has_ledger}
        results.append({**about, "aim_ms": aim, "load": load, **found})
        times = f"{found['warm_ms']:.1f} | {found['cold_ms']:.1f} | {aim:g}"
        print(f"| {weeks} | {logged} | {'yes' if has_ledger else 'no'} | {times} |")
    if chosen.json:
        chosen.json.parent.mkdir(parents=True, exist_ok=True)
        chosen.json.write_text(json.dumps(results, indent=1), encoding="utf-8")


if __name__ == "__main__":
    main()
