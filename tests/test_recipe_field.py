"""The recipe of DEVELOPERS.md for a field of a client's file, followed in a copy of the project."""

from __future__ import annotations

import json
from pathlib import Path

from recipe import Copy

ABOVE = "    height: "
ROW = """\
    shoes: Duration | None = row(DURATION, "90 min", "how long a pair lasts at most in one go")
"""
ASKS = """\
import json
from sitegen.coach.fieldbook import field_book
from sitegen.practice.records import read_client
from sitegen.practice.schema import client_schema

GOOD = (
    "name: Rosa\\n"
    "screening: {on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}\\n"
    "baseline: {on: 2027-01-02, cadence: 156 spm, week: 0 min}\\n"
    "week: {tue: yes, sun: yes}\\n"
    "plan: {from: 2027-01-04, weeks: 6}\\n"
)

def says(line):
    return [str(p) for p in read_client((GOOD + line).encode(), "rosa.yaml").problems]

print(json.dumps({
    "value": read_client((GOOD + "shoes: 2 h").encode(), "f").value.shoes.minutes,
    "wrong": says("shoes: 25 h"),
    "minutes": says("shoes: 90 minutes"),
    "misspelt": says("shoess: 90 min"),
    "schema": client_schema()["properties"]["shoes"],
    "book": [line for line in field_book().splitlines() if "`shoes`" in line],
}))
"""


def test_a_field_is_one_line(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    copy.replace("sitegen/model/client.py", ABOVE, ROW + ABOVE)
    by_hand = copy.touched()
    ran = copy.run("-c", ASKS)
    assert ran.returncode == 0, ran.stderr
    told = json.loads(ran.stdout)

    assert by_hand == ["sitegen/model/client.py"]
    assert told["value"] == 120
    assert told["wrong"] == [
        'rosa.yaml:6:8: error: "25 h" is out of range '
        "(a duration is over 0 and at most 24 h) [duration-range]"
    ]
    assert "(write 90 min)" in told["minutes"][0]
    assert told["misspelt"] == [
        'rosa.yaml:6:1: error: unknown key "shoess" (did you mean shoes?) [unknown-key]'
    ]
    assert told["schema"]["description"] == "how long a pair lasts at most in one go"
    assert told["schema"]["examples"] == ["90 min"]
    assert told["book"] == [
        "| `shoes` | how long a pair lasts at most in one go | a duration |  | `90 min` |"
    ]
