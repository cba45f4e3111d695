"""How long the plan engine takes for one client.

    python benchmarks/engine.py [--json FILE]

Aims: 16 weeks with 60 check-ins in 5 ms, 52 weeks with 300 in 20 ms. Processor time, the best of
many runs with the days' choice remembered ("warm") and the first ("cold"), over a few clients.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import statistics
import time
from datetime import timedelta
from pathlib import Path

import practice
from sitegen.plan import placing
from sitegen.plan.fold import expand
from sitegen.practice.house import Texts, case_of, read_house

CASES = ((16, 60, 5.0), (52, 300, 20.0))  # weeks, check-ins, milliseconds aimed at
CLIENTS, ROUNDS = 8, 9


def measure(weeks: int, logged: int) -> dict[str, float]:
    """Milliseconds of processor time for a client: middle of the clients' bests."""
    texts = Texts(practice.PRACTICE.encode(), "practice.yaml", {}, {}, "clients")
    house, _ = read_house(texts)
    assert house is not None
    warm, cold = [], []
    for number in range(CLIENTS):
        client, log = practice.texts(random.Random(f"engine-{number}"), number, weeks, logged)
        one = Texts(texts.practice, "", {"one": client.encode()}, {"one": log.encode()}, "clients")
        case, problems = case_of(one, house, "one")
        assert case is not None, problems
        as_of = max(entry.on for entry in case.log) + timedelta(days=1)
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
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    print(f"load {load:.1f}")
    print("| weeks | check-ins | warm, ms | cold, ms | aim, ms |\n|---|---|---|---|---|")
    results = []
    for weeks, logged, aim in CASES:
        found = measure(weeks, logged)
        results.append({"weeks": weeks, "logged": logged, "aim_ms": aim, "load": load, **found})
        print(f"| {weeks} | {logged} | {found['warm_ms']:.1f} | {found['cold_ms']:.1f} | {aim:g} |")
    if chosen.json:
        chosen.json.parent.mkdir(parents=True, exist_ok=True)
        chosen.json.write_text(json.dumps(results, indent=1), encoding="utf-8")


if __name__ == "__main__":
    main()
