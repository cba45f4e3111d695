"""What a page notices of its host: an older plan than before, an origin shared with strangers."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
NODE = shutil.which("node")
pytestmark = pytest.mark.skipif(NODE is None, reason="Node runs the script's pure parts")
SCRIPT = """
require(process.argv[1] + "/templates/app/text.js");
require(process.argv[1] + "/templates/app/host.js");
const { stampOf } = globalThis.portalParts.text;
const { isOlder, isShared } = globalThis.portalParts.host;
const kept = {};
const keep = { get: (name) => kept[name] || null, set: (name, value) => { kept[name] = value; } };
const at = (address) => isShared(new URL(address), "ID");
console.log(JSON.stringify({
  days: [["2027-02-09"], ["2027-02-09"], ["2027-02-16"], ["2027-02-09", 9], ["2027-02-16"],
    ["2027-02-16", 1], ["2027-02-16", 0], ["2027-02-16", 12], ["2027-02-16", 2], ["2027-03-01", 0]]
    .map(([as_of, edition]) => isOlder(keep, stampOf({ as_of, edition }))),
  kept,
  shared: ["https://plans.example/ID/", "https://plans.example/ID/index.html",
    "https://host.example/coach/ID/", "http://127.0.0.1:8000/ID/", "file:///home/ada/public/ID/",
    "https://plans.example/saved.html"].map(at),
}));
"""


@pytest.fixture(scope="module")
def found() -> dict[str, object]:
    run = subprocess.run(
        [str(NODE), "-e", SCRIPT, str(ROOT)], capture_output=True, text=True, timeout=60, check=True
    )
    read: dict[str, object] = json.loads(run.stdout)
    return read


def test_a_plan_older_than_the_newest_is_noticed_each_time(found: dict[str, object]) -> None:
    days = [False, False, False, True, False, False, True, False, True, False]
    assert found["days"] == days, "also of two plans of one day"
    assert found["kept"] == {"newest": "2027-03-01 0000"}


def test_a_site_below_a_path_of_its_host_is_shared(found: dict[str, object]) -> None:
    assert found["shared"] == [False, False, True, False, False, False]
