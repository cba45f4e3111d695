"""How long the desk works: the sheet of 40 and of 150 clients, and an edit to its redrawn portal.

    python benchmarks/desk.py

Processor time of this process in milliseconds, the least of several runs, warm: what the desk's one
thread does for a request. `first` is the first sheet after the desk began, where nothing is
remembered. An edit is one other number in a client's file, each time another.
"""

from __future__ import annotations

import gc
import itertools
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import practice
from practice import AS_OF
from sitegen.desk.page import Pages
from sitegen.desk.panels import PANELS
from sitegen.desk.warm import Warm

RUNS = 7
SIZES = (40, 150)


def least(work: Callable[[], object], runs: int = RUNS) -> float:
    """The least processor time of some runs, in milliseconds."""
    gc.disable()
    found = []
    for _ in range(runs):
        began = time.process_time()
        work()
        found.append(time.process_time() - began)
    gc.enable()
    return min(found) * 1000


def main() -> None:
    panels = {panel.name: panel for panel in PANELS}
    pages = Pages(PANELS, "http://127.0.0.1:1")
    print(f"{'clients':>8}{'first':>8}{'sheet':>8}{'one changed':>13}{'alarms':>8}{'edit':>7}")
    for count in SIZES:
        with tempfile.TemporaryDirectory() as folder:
            clients = Path(folder) / "clients"
            practice.write(clients, count)
            warm = Warm(clients, Path(folder) / "public", AS_OF)
            times = itertools.count()

            def drawn(name: str, warm: Warm = warm, **sent: str) -> str:
                return pages.panel(panels[name], {"portal": "x", **panels[name].view(warm, sent)})

            def changed_then(
                name: str, clients: Path = clients, times: Iterator[int] = times, count: int = count
            ) -> None:
                file = clients / f"runner-{next(times) % count:05}.yaml"
                file.write_text(f"{file.read_text()}# {next(times)}\n")
                drawn(name)

            first = least(lambda: drawn("sheet"), 1)
            sheet = least(lambda: drawn("sheet"))
            changed = least(lambda: changed_then("sheet"))
            alarms = least(lambda: changed_then("alarms"))
            one = (clients / "runner-00003.yaml").read_text()
            drawn("draft", id="runner-00003")

            def edit(one: str = one, times: Iterator[int] = times) -> None:
                text = one.replace("weeks: 16", f"weeks: {10 + next(times) % 20}")
                drawn("draft", id="runner-00003", text=f"{text}# {next(times)}\n")

            figures = (first, sheet, changed, alarms, least(edit))
            print(f"{count:>8}{figures[0]:>8.0f}{figures[1]:>8.0f}{figures[2]:>13.0f}"
                  f"{figures[3]:>8.0f}{figures[4]:>7.0f}")  # fmt: skip


if __name__ == "__main__":
    main()
