"""Prints the figures of simulated lives; `python -m tests.lives --help`."""

from __future__ import annotations

import argparse
import json
import os
from pathlib import Path

os.environ["PROMISES"] = "nightly"  # before the sweeps are read: all of them are asked for

from . import figures


def main() -> None:
    parser = argparse.ArgumentParser(description="Figures of simulated lives.")
    parser.add_argument("what", choices=("figures", "sweeps", "promises"))
    parser.add_argument("--lives", type=int, default=20, help="lives for each figure")
    parser.add_argument("--only", default="", help="promises or sweeps whose name has this")
    parser.add_argument("--json", type=Path, help="write them to this file, too")
    chosen = parser.parse_args()
    if chosen.what == "figures":
        found = figures.as_json(figures.table(chosen.lives, print))
    elif chosen.what == "sweeps":
        from . import sweeps

        found = sweeps.everything(chosen.lives, chosen.only, print)
    else:
        from . import promises

        found = promises.everything(chosen.lives, chosen.only, print)
    if chosen.json:
        chosen.json.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")


main()
