"""How large a sealed page is tells little: few steps, whatever the plan's state and length."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path

import pytest

from sitegen.seal.keys_file import load_keys
from sitegen.site.building import build_site
from test_seen import CLIENT, PRACTICE

STEP = 16 * 1024
FIRST = date(2027, 1, 4)
TODAY = FIRST + timedelta(weeks=14)
LIBRARY = Path(__file__).parent.parent / "sitegen/library/drills"
STATES = {
    "week-1": ("weeks: 8", 0, ""),
    "plain": ("weeks: 16", 13, ""),
    "year": ("weeks: 52", 13, ""),
    "paused": ("weeks: 16", 13, "status: paused"),
    "stopped": ("weeks: 16", 13, ""),
    "drills": ("weeks: 16", 13, "drills: [own-a, own-b, own-c, bridge, quiet-landing]"),
    "spanish": ("weeks: 16", 13, "language: es"),
}
"""The plan's length, weeks of runs in the log, and more."""


@pytest.fixture(scope="module")
def steps(tmp_path_factory: pytest.TempPathFactory) -> dict[str, int]:
    """Steps of each page, by state."""
    clients = tmp_path_factory.mktemp("sizes") / "clients"
    (clients / "drills").mkdir(parents=True)
    practice = PRACTICE.replace("privacy: open", "privacy: sealed")
    (clients / "practice.yaml").write_text(practice, encoding="utf-8")
    for name, like in (("own-a", "bridge"), ("own-b", "beat-runs"), ("own-c", "quiet-landing")):
        for end in (".md", ".svg"):
            data = (LIBRARY / f"{like}{end}").read_bytes()
            (clients / f"drills/{name}{end}").write_bytes(data)
    for id, (weeks, logged, more) in STATES.items():
        begins = FIRST if logged else TODAY
        text = CLIENT.replace("Ada Holm", f"Ada {id.title()}").replace("weeks: 8", weeks)
        text = text.replace("from: 2027-01-04", f"from: {begins}")
        (clients / f"{id}.yaml").write_text(f"{text}\n{more}\n", encoding="utf-8")
        days = (
            FIRST + timedelta(days=7 * week + day) for week in range(logged) for day in (1, 3, 6)
        )
        lines = [f"- {{on: {day}, ran: 32 min, effort: 3, said: as told}}" for day in days]
        if id == "stopped":
            lines.append(f"- {{on: {TODAY - timedelta(days=1)}, ran: 20 min, signs: [chest_pain]}}")
        (clients / f"{id}.log.yaml").write_text("\n".join(lines), encoding="utf-8")
    public = clients.parent / "public"
    result = build_site(clients, public, as_of=TODAY)
    assert result.done and not result.held, result.problems
    keys, _ = load_keys(clients / ".keys.yaml")
    assert keys is not None
    found = {}
    for id, link in keys.links.items():
        page = (public / link.portal / "index.html").read_text(encoding="utf-8")
        block = re.search(r'id="sealed"[^>]*>([^<]*)<', page)
        assert block and len(block[1]) % STEP == 0
        found[id] = len(block[1]) // STEP
    return found


def test_a_page_looks_like_any_other_in_any_state(steps: dict[str, int]) -> None:
    assert steps.keys() == STATES.keys()
    assert {steps[id] for id in steps if id != "year"} == {2}
    assert steps["year"] in (2, 3)
