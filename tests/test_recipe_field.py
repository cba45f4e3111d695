"""The recipe of DEVELOPERS.md for a field of a client's file, followed in a copy of the project.

One line reaches the reader, what rules are given, the schema that an editor completes by, the
field book, hints, and the first talk: asked, read from a form, written, and on the sheet.
"""

from __future__ import annotations

import json
from pathlib import Path

from recipe import Copy

ABOVE = "    height: "
ROW = (
    '    shoes: Duration | None = row(DURATION, "90 min", "how long a pair lasts at most at once",'
    ' asks="How long does a pair of {called}\'s last?", how="of the newest pair", '
    'pen="How long do your shoes last?")\n'
)
ASKS = """\
import json
from datetime import date
from sitegen import world
from sitegen.coach.client_file import client_text
from sitegen.coach.fieldbook import field_book
from sitegen.coach.form import read_form
from sitegen.coach.interview import interview
from sitegen.coach.question_sheet import sheet
from sitegen.coach.questions import QUESTIONS
from sitegen.model.case import Case
from sitegen.model.practice import Practice
from sitegen.plan.fold import expand
from sitegen.practice.records import read_client
from sitegen.practice.schema import client_schema

GOOD = (
    "name: Rosa\\n"
    "screening: {on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}\\n"
    "baseline: {on: 2027-01-02, cadence: 156 spm, week: 0 min}\\n"
    "week: {tue: yes, sun: yes}\\n"
    "plan: {from: 2027-01-04, weeks: 6}\\n"
)

DAY = date(2027, 1, 2)
FORM = (
    "name: Rosa\\nregular_exercise: yes\\nknown_disease: no\\nsymptoms: no\\n"
    "cadence: 156 spm\\nweek: 0 min\\ntue: yes\\nsun: yes\\n"
)
HOUSE = Practice.of_tree({"name": "N", "contact": "c@example.org", "timezone": "UTC"})

def asked():  # what is shown where the new question is asked
    typed = dict(line.split(": ") for line in FORM.splitlines())
    talk = interview(DAY)
    ask = next(talk)
    while ask.key != "shoes":
        ask = talk.send(typed.get(ask.key, ""))
    return list(ask.lines)

def given():  # what a rule is given: the client of the case that it looks at
    case = Case("rosa", read_client((GOOD + "shoes: 2 h").encode(), "f").value, HOUSE)
    assert expand(case, DAY).weeks
    return case.client.shoes.minutes

def written(line):
    answers = read_form((FORM + line).encode(), "form.yaml", DAY)
    if isinstance(answers, tuple):
        return [str(p) for p in answers]
    return [row for row in client_text("rosa", answers, DAY).splitlines() if "shoes" in row]

def says(line):
    return [str(p) for p in read_client((GOOD + line).encode(), "rosa.yaml").problems]

print(json.dumps({
    "asked": asked(),
    "given": given(),
    "written": written("shoes: 90 min"),
    "open": written(""),
    "unfit": written("shoes: 90"),
    "sheet": "How long do your shoes last?" in sheet(HOUSE, world.read_templates()),
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
    assert told["value"] == told["given"] == 120
    assert told["asked"] == [
        "",
        "How long does a pair of Rosa's last?",
        "  a duration, like 90 min; over 0 and at most 24 h; of the newest pair",
        "  [not known]",
    ]
    assert told["written"] == [
        "shoes: 90 min                     # how long a pair lasts at most at once"
    ]
    (left_open,) = told["open"]
    assert left_open.startswith("# Left open: called, language, shoes, ")
    assert told["unfit"] == [
        'form.yaml:9:8: error: "90" is not a duration (write the unit too, like 90 min) '
        "[duration-form]"
    ]
    assert told["sheet"]
    assert told["wrong"] == [
        'rosa.yaml:6:8: error: "25 h" is out of range '
        "(a duration is over 0 and at most 24 h) [duration-range]"
    ]
    assert "(write 90 min)" in told["minutes"][0]
    assert told["misspelt"] == [
        'rosa.yaml:6:1: error: unknown key "shoess" (did you mean shoes?) [unknown-key]'
    ]
    assert told["schema"]["description"] == "how long a pair lasts at most at once"
    assert told["schema"]["examples"] == ["90 min"]
    assert told["book"] == [
        "| `shoes` | how long a pair lasts at most at once | a duration |  | `90 min` |"
    ]
