"""The demo practice's plans, as a reviewer reads them: one text file a client in tests/golden/.

After a wanted change: ``GOLDEN=write pytest tests/test_golden.py``, then read the difference.
"""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

import pytest

from sitegen.coach.words import session_lines, weeks_table
from sitegen.site.plans import open_plans

ROOT = Path(__file__).resolve().parent.parent
GOLDEN = Path(__file__).resolve().parent / "golden"
DAY = date(2027, 3, 18)
CLIENTS = ("ayla", "bram", "jonas", "mirela", "nia", "tomas")


def as_text(id: str) -> str:
    plan = open_plans(ROOT / "clients", (id,), DAY).plan(id)
    assert plan is not None
    lines = [weeks_table(plan), ""]
    for week in plan.weeks:
        if week.sessions:
            lines += [f"Week {week.number}, from {week.start}: {week.kind}"]
            lines += [f"  {line}" for line in session_lines(week)]
            lines += [""]
    return "\n".join(lines)


@pytest.mark.parametrize("id", CLIENTS)
def test_the_demo_plans_are_as_they_were_read(id):
    file = GOLDEN / f"{id}.txt"
    found = as_text(id)
    if os.environ.get("GOLDEN") == "write":
        file.write_text(found, encoding="utf-8")
    assert file.read_text(encoding="utf-8") == found


def test_the_demo_shows_what_it_promises():
    """A beginner on run and walk; a knee that held the plan, sent it back and let it go on; a
    10 km; a half marathon with a taper; a step-rate block at steady volume; a paused client."""
    opened = open_plans(ROOT / "clients", (), DAY)
    assert not opened.has_errors
    kinds = {id: [w.kind for w in plan.weeks] for id, plan in opened.plans.items()}
    nia = opened.plans["nia"].weeks
    assert nia[0].sessions[0].kind == "run_walk" and nia[0].run_minutes == 10
    knee = kinds["tomas"]
    assert knee.index("hold") < knee.index("back") < knee.index("build", knee.index("back"))
    assert kinds["ayla"][-1] == "event" and kinds["bram"][-2:] == ["taper", "event"]
    mirela = opened.plans["mirela"].weeks
    assert {w.run_minutes for w in mirela if w.kind == "build"} == {150}
    assert mirela[-1].cadence.aim > mirela[0].cadence.aim
    assert opened.plans["jonas"].status == "paused"
    logged = {id: len(case.log) for id, case in opened.cases.items()}
    assert sum(1 for count in logged.values() if count >= 6 * 3) >= 3
