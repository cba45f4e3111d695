"""The recipe of DEVELOPERS.md for a drill, followed in a copy: a page and its drawing, no line."""

from __future__ import annotations

from pathlib import Path

from commands import PAGES
from recipe import Copy

DRILLS = "sitegen/library/drills"


def test_a_drill_is_a_page_and_a_drawing(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    page = (copy.root / DRILLS / "quick-feet.md").read_text(encoding="utf-8")
    figure = (copy.root / DRILLS / "quick-feet.svg").read_text(encoding="utf-8")
    copy.write(f"{DRILLS}/slow-stairs.md", page.replace("Quick feet on the spot", "Slow stairs"))
    copy.write(f"{DRILLS}/slow-stairs.svg", figure)
    by_hand = copy.touched()

    client = (copy.root / "clients/nia.yaml").read_text(encoding="utf-8")
    assert "\ndrills:" not in client
    copy.write("clients/nia.yaml", f"{client}drills: [slow-stairs]\nprivacy: open\n")
    built = copy.run("-m", "sitegen", "build", "--as-of", "2027-03-18", "nia")
    assert built.returncode == 0, built.stderr
    (portal,) = (p for p in (copy.root / "public").glob(PAGES))
    assert "Slow stairs" in portal.read_text(encoding="utf-8")
    assert by_hand == [f"{DRILLS}/slow-stairs.md", f"{DRILLS}/slow-stairs.svg"]
