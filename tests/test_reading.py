"""A coach's files: what is written is what is read, and each thing knows its place."""

from __future__ import annotations

import re
from datetime import date, time
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from reading_case_files import CASES
from reading_rules import DRILL_IDS, RULES
from sitegen.model.case import Case
from sitegen.model.client import Client, Day
from sitegen.model.drill import STAGES
from sitegen.model.practice import Practice
from sitegen.model.problem import Origin
from sitegen.model.values import Cadence, Distance, Duration, Length, Mass, Pace, Percent
from sitegen.portal.contact import contact
from sitegen.practice.case import is_client_id, read_case
from sitegen.practice.drills import read_drill
from sitegen.practice.records import Reading, read_client, read_log, read_practice
from sitegen.practice.schema import DIALECT, client_schema, practice_schema
from sitegen.practice.settings import merge
from sitegen.practice.yaml_text import MAX_BYTES, read_yaml

GOOD = CASES / "good"
CLIENTS = [
    path
    for path in (Path(__file__).parent.parent / "clients").glob("[!.]*.yaml")
    if path.name != "practice.yaml" and not path.name.endswith(".log.yaml")
]
LIBRARY = Path(__file__).parent.parent / "sitegen/library/drills"

BEGINNER = """\
name: Théo Brandão
screening: {on: 2027-03-01, regular_exercise: no, known_disease: no, symptoms: no}
baseline: {on: 2027-03-06, cadence: 152 spm, week: 0 min}
week: {tue: yes, thu: yes, sun: yes}
plan: {from: 2027-03-08, weeks: 12}
"""


def good(name: str) -> bytes:
    return (GOOD / name).read_bytes()


def client(text: str) -> Client:
    reading = read_client(text.encode(), "clients/theo.yaml")
    assert [p for p in reading.problems if p.code != "history"] == []  # as below
    assert reading.value is not None
    return reading.value


def practice() -> Reading[Practice]:
    return read_practice(good("practice.yaml"), "clients/practice.yaml", RULES)


def said(data: bytes) -> list[str]:
    return [str(p) for p in read_client(data, "clients/theo.yaml").problems]


# --- what is written is what is read ----------------------------------------------------------


def test_a_runners_file_is_read_whole() -> None:
    mara = read_client(good("mara.yaml"), "clients/mara.yaml", DRILL_IDS, RULES)

    assert mara.problems == ()
    assert mara.value is not None
    assert mara.value.greeting == "Mara"
    assert mara.value.born == 1984
    assert mara.value.height == Length(171)
    assert mara.value.baseline.pace == Pace(405)
    assert mara.value.baseline.week == Duration(70 * 60)
    assert mara.value.baseline.race is not None
    assert mara.value.baseline.race.time == Duration(31 * 60 + 20)
    assert mara.value.goal.event is not None
    assert mara.value.goal.event.distance == Distance(10_000)
    assert mara.value.plan.from_ == date(2027, 1, 18)
    assert mara.value.plan.growth == Percent(8)
    assert mara.value.cadence.aim == Cadence(168)
    assert mara.value.fuel is not None
    assert mara.value.fuel.collagen == Mass(15_000)
    assert mara.value.notes[0].text.startswith("Keep it **easy**: talk")
    assert mara.value.notes[1].text == "It's the hilly week: walk the steep bits."
    assert mara.value.changes[1].move_to == date(2027, 2, 12)


def test_clock_pace_and_no_mean_what_was_written() -> None:
    """A plain reader of YAML 1.1 makes 1110, 405 and false of these."""
    plain = yaml.safe_load("{at: 18:30, pace: 6:45, tue: no}")
    mara = read_client(good("mara.yaml"), "clients/mara.yaml").value

    assert plain == {"at": 1110, "pace": 405, "tue": False}
    assert mara is not None
    assert mara.week.mon is None
    assert mara.week.tue == Day(at=time(18, 30), up_to=Duration(45 * 60))
    assert mara.baseline.pace == Pace(405)


@pytest.mark.parametrize(
    ("written", "day"),
    [
        ("rest", None),
        ("no", None),
        ("yes", Day()),
        ("{}", Day()),
        ("{at: 7:05}", Day(at=time(7, 5))),
        ("{for: strength}", Day(uses=["strength"])),
        ("{for: [run, strength]}", Day(uses=["run", "strength"])),
    ],
)
def test_a_day_is_a_word_or_what_it_offers(written: str, day: Day | None) -> None:
    assert client(BEGINNER.replace("tue: yes", f"tue: {written}")).week.tue == day


def test_a_beginner_in_miles_and_feet_needs_no_longest_run() -> None:
    theo = read_client(good("theo.yaml"), "clients/theo.yaml")

    assert theo.problems == ()
    assert theo.value is not None
    assert theo.value.name == "Théo Brandão 🏃"
    assert theo.value.height == Length(170.2)
    assert theo.value.born == date(1991, 5, 20)
    assert theo.value.baseline.week == Duration(0)
    assert theo.value.cadence.aim == "keep"


def test_a_log_is_read_in_the_order_of_the_file() -> None:
    log = read_log(good("mara.log.yaml"), "clients/mara.log.yaml")

    assert log.problems == ()
    assert log.value is not None
    assert [entry.on.day for entry in log.value] == [19, 21, 24, 24]
    assert log.value[1].skipped == "ill"
    assert log.value[2].signs == ["swelling", "limp"]
    assert log.value[2].pain is not None
    assert log.value[2].pain.worse_next_morning


def test_one_bad_check_in_loses_none_of_the_others() -> None:
    log = read_log(
        b"- {on: 2027-01-19, ran: 24 min}\n"
        b"- {on: 2027-01-20, ran: 24}\n"
        b"- {on: 2027-01-21, ran: 25 min}\n",
        "clients/mara.log.yaml",
    )

    assert log.value is not None
    assert [entry.on.day for entry in log.value] == [19, 21]
    assert [str(p) for p in log.problems] == [
        'clients/mara.log.yaml:2:25: error: "24" is not a duration '
        "(write the unit too, like 24 min) [duration-form]"
    ]


@pytest.mark.parametrize("text", ["", "# newest last\n", "---\n", "[]\n", "\ufeff"])
def test_a_log_with_nothing_in_it_is_an_empty_log(text: str) -> None:
    log = read_log(text.encode(), "clients/mara.log.yaml")

    assert log.value == ()
    assert log.problems == ()


# --- the file itself --------------------------------------------------------------------------


def test_a_byte_order_mark_and_windows_line_ends_change_nothing() -> None:
    text = BEGINNER.replace("152 spm", "152")
    plain = said(text.encode())
    windows = said(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())

    assert plain == [
        'clients/theo.yaml:3:37: error: "152" is not a cadence '
        "(write the unit too, like 152 spm) [cadence-form]"
    ]
    assert windows == plain


def test_columns_count_characters_not_bytes() -> None:
    text = BEGINNER.replace(
        "name: Théo Brandão", "goal: {text: 🏃 até à praia, event: soon}\nname: Théo Brandão"
    )

    assert said(text.encode()) == [
        'clients/theo.yaml:1:36: error: "soon" stands where a map belongs '
        "(write event: {on: 2027-05-16, distance: 10 km}) [shape]"
    ]


def test_a_letter_of_an_old_encoding_is_shown_by_its_place() -> None:
    assert said(BEGINNER.encode("latin-1")) == [
        "clients/theo.yaml:1:9: error: byte 0xe9 is not UTF-8 "
        "(save the file as UTF-8, or type this character again) [encoding]"
    ]


def test_utf_16_is_told_by_name() -> None:
    assert said(BEGINNER.encode("utf-16")) == [
        "clients/theo.yaml:1:1: error: the file is saved as UTF-16 "
        "(save it as UTF-8; your editor's Save As offers the encoding) [encoding]"
    ]


def test_a_file_may_have_one_mebibyte_and_no_more() -> None:
    padding = b"#" * (MAX_BYTES - len(BEGINNER.encode()) - 1) + b"\n"

    assert said(padding + BEGINNER.encode()) == []
    assert said(b"#" + padding + BEGINNER.encode()) == [
        "clients/theo.yaml:1:1: error: the file has 1.0 MiB "
        "(a file may have at most 1 MiB; is this the right file?) [file-size]"
    ]


def test_twenty_levels_are_read_and_twenty_one_are_not() -> None:
    assert read_yaml(b"[" * 20 + b"]" * 20, "f").problems == ()
    assert [p.code for p in read_yaml(b"[" * 21 + b"]" * 21, "f").problems] == ["too-deep"]
    assert [p.code for p in read_yaml(b"- " * 400_000, "f").problems] == ["too-deep"]


@pytest.mark.parametrize("character", ["\x00", "\x07", "\x1b", "\x85", "\u2028", "\ufeff"])
def test_an_invisible_character_keeps_its_line_and_hides_no_other_problem(character: str) -> None:
    """libyaml ends a line at U+0085 and U+2028, editors do not: the place is the editor's."""
    text = BEGINNER.replace("Théo", f"Th{character}o").replace("12}", "120}")

    found = read_client(text.encode(), "clients/theo.yaml").problems

    assert [(p.origin.line, p.origin.column, p.code) for p in found] == [
        (1, 9, "invisible"),
        (5, 33, "whole-range"),
    ]


def test_the_tree_holds_only_text_and_remembers_where_it_stood() -> None:
    read = read_yaml(b"a: no\nb:\n  - 010\n  - {c: ~, d: }\n", "f.yaml")

    assert read.tree == {"a": "no", "b": ["010", {"c": "~", "d": ""}]}
    assert read.origins.at("b") == Origin("f.yaml", 2, 1)
    assert read.origins.value("b", 0) == Origin("f.yaml", 3, 5)
    assert read.origins.at("b", 1, "c") == Origin("f.yaml", 4, 6)
    assert read.origins.value("b", 1, "c") == Origin("f.yaml", 4, 9)
    assert read.origins.at("b", 1, "zz") == Origin("f.yaml", 4, 5)


def test_an_alias_is_told_once_and_not_again_by_its_field() -> None:
    text = BEGINNER.replace("cadence: 152 spm", "cadence: *own")

    assert [p.code for p in read_client(text.encode(), "f").problems] == ["alias"]


def test_thousands_of_unknown_keys_are_cut_short() -> None:
    found = read_client(b"".join(b"k%d: x\n" % n for n in range(3000)), "f").problems

    assert len(found) < 600
    assert "more-problems" in {p.code for p in found}


def test_a_log_full_of_wrong_check_ins_is_told_in_short_and_loses_no_sound_one() -> None:
    """One of 1 MiB gave 20,000 errors and took 24 s."""
    wrong = "- {on: 2027-03-01, ran: 5 min, pain: {during: 99}}\n" * 3000
    read = read_log(f"{wrong}- {{on: 2027-03-02, ran: 6 min}}\n".encode(), "mara.log.yaml")

    assert len(read.problems) == 501
    (rest,) = (p.message for p in read.problems if p.code == "more-problems")
    assert rest == "2500 more problems are not listed"
    assert read.value is not None and len(read.value) == 1


# --- rules' parameters ------------------------------------------------------------------------


def test_the_clients_own_field_wins_over_her_rules_the_practice_and_the_default() -> None:
    house = practice()
    assert house.value is not None

    def growth(text: str) -> Any:
        assert house.value is not None
        theo = read_client(text.encode(), "clients/theo.yaml", rules=RULES)
        assert theo.value is not None
        settings, _ = merge(RULES, house.value, theo.value, house.origins, theo.origins)
        return settings["volume"].growth

    plain = BEGINNER
    own = BEGINNER + "rules: {volume: {growth: 12 %}}\n"
    assert growth(plain) == Percent(8)  # the practice's
    assert growth(own) == Percent(12)
    assert growth(own.replace("weeks: 12", "weeks: 12, growth: 5 %")) == Percent(5)


def test_a_default_of_the_client_file_does_not_hide_the_practices_value() -> None:
    """Only what the coach wrote in the client's file counts over the practice."""
    house = read_practice(
        good("practice.yaml").replace(b"volume: {growth: 8 %}", b"ease: {every: 3}"), "p"
    )
    theo = read_client(BEGINNER.encode(), "c")
    assert house.value is not None
    assert theo.value is not None

    settings, problems = merge(RULES, house.value, theo.value, house.origins, theo.origins)

    assert problems == ()
    assert settings["ease"].every == 3
    assert settings["ease"].by == Percent(30)
    assert settings["pain"].profile == "standard"
    assert set(settings) == {rule.name for rule in RULES}


# --- one client's files together --------------------------------------------------------------


def case_of(id: str, client_bytes: bytes, log: bytes | None) -> tuple[Case | None, list[str]]:
    house = practice()
    assert house.value is not None
    file, log_file = f"clients/{id}.yaml", f"clients/{id}.log.yaml"
    case, problems = read_case(
        id, client_bytes, file, log, log_file, house.value, house.origins, RULES, DRILL_IDS
    )
    return case, [str(p) for p in problems]


def test_a_case_holds_the_file_the_log_and_the_settings() -> None:
    case, problems = case_of("mara", good("mara.yaml"), good("mara.log.yaml"))

    assert problems == []
    assert case is not None
    assert len(case.log) == 4
    assert case.settings["pain"].profile == "knee"
    assert case.timezone == "Europe/Lisbon"
    assert case.first_monday == date(2027, 1, 18)
    assert str(case.setting_origin("volume", "growth", "plan", "growth")) == (
        "clients/mara.yaml:40:3"
    )
    assert str(case.setting_origin("pain", "profile")) == "clients/mara.yaml:59:10"


def test_a_client_without_a_log_yet_is_fine() -> None:
    abroad = good("theo.yaml") + b"emergency: '911'\n"
    case, problems = case_of("theo", abroad, None)

    assert problems == []
    assert case is not None
    assert case.log == ()


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("1.30", "if hours and minutes are meant, write 1 h 30 min"),
        ("1:05", "if hours and minutes are meant, write 1 h 5 min"),
        ("1,30 h", "if hours and minutes are meant, write 1 h 30 min"),
        ("9.00", "write the unit too, like 9.00 min"),
        ("45", "write the unit too, like 45 min"),
        ("1,5 h", "use a point for decimals"),
    ],
)
def test_hours_and_minutes_are_not_led_to_be_seconds(text: str, hint: str) -> None:
    log = f'- {{on: 2027-01-20, ran: "{text}"}}\n'.encode()
    (problem,) = case_of("mara", good("mara.yaml"), log)[1]

    assert f"is not a duration ({hint}" in problem


def test_a_check_in_that_came_as_one_line_is_put_on_lines_again() -> None:
    log = b'- on: 2027-01-20 ran: 23 min effort: 3 said: "All well"\n'
    (problem,) = case_of("mara", good("mara.yaml"), log)[1]

    assert "(begin a line of its own with each of ran:, effort:, said:)" in problem


def test_slips_of_the_file_and_the_log_are_told_together() -> None:
    case, problems = case_of("mara", good("mara.yaml").replace(b"16\n", b"61\n"), b"- {ran: 5}\n")

    assert case is None
    assert problems == [
        'clients/mara.log.yaml:1:3: error: required "on" is missing (add on: 2027-01-19) [missing]',
        'clients/mara.log.yaml:1:9: error: "5" is not a duration '
        "(write the unit too, like 5 min) [duration-form]",
        'clients/mara.yaml:39:10: error: "61" is out of range '
        "(write weeks, a whole number from 1 to 52) [whole-range]",
    ]


@pytest.mark.parametrize("id", ["a", "0", "mara", "mara-q", "2nd", "a" * 40])
def test_these_are_client_ids(id: str) -> None:
    assert is_client_id(id)


@pytest.mark.parametrize("id", ["", "-a", "Mara", "mara_q", "mara.log", "é", "a" * 41, "practice"])
def test_these_are_no_client_ids(id: str) -> None:
    assert not is_client_id(id)
    case, problems = case_of(id, good("theo.yaml"), None)
    assert case is None
    assert problems[0].endswith("[client-id]")


# --- drills -----------------------------------------------------------------------------------


def test_a_coachs_own_drill_needs_only_a_title() -> None:
    drill, problems = read_drill("jog", b"---\ntitle: Jog\n---\n", "drills/jog.md", own=True)

    assert problems == ()
    assert drill is not None
    assert (drill.id, drill.title, drill.own, drill.where, drill.text) == (
        "jog", "Jog", True, "warm_up", "",
    )  # fmt: skip


def test_a_coachs_own_drill_may_be_plain_markdown_under_a_heading() -> None:
    page = "\n# Hill: walk #\n\n## How\nUp, \x07 slowly.\n"
    drill, problems = read_drill("jog", page.replace("\x07", "and").encode(), "f.md", own=True)
    refused = read_drill("jog", page.encode(), "f.md", own=True)[1]

    assert (drill and (drill.title, drill.text), problems) == (
        ("Hill: walk", "## How\nUp, and slowly."),
        (),
    )
    assert [p.origin.line for p in refused] == [5]
    assert read_drill("jog", b"# Jog\n", "f.md", own=False)[0] is None


def test_an_own_drill_keeps_its_text_and_takes_the_place_of_a_shipped_one() -> None:
    shipped, _ = read_drill(
        "hill-walk",
        b"---\ntitle: Old\nstages: [building]\nwhere: after\ncues: [Old cue]\n---\nOld.",
        "hill-walk.md",
        own=False,
    )
    drill, problems = read_drill(
        "hill-walk",
        good("drills/hill-walk.md"),
        "clients/drills/hill-walk.md",
        own=True,
        instead_of=shipped,
    )

    assert problems == ()
    assert drill is not None
    assert drill.title == "Mara's hill walk"
    assert drill.text == "Walk up, *stroll* down."
    assert drill.cues == ("Lean in", "Short steps")
    assert (drill.stages, drill.where, drill.minutes) == (("building",), "after", 10)


def test_windows_line_ends_in_a_drill() -> None:
    data = good("drills/hill-walk.md").replace(b"\n", b"\r\n")

    drill, problems = read_drill("hill-walk", data, "f.md", own=True)

    assert problems == ()
    assert drill is not None
    assert drill.text == "Walk up, *stroll* down."


def test_every_shipped_drill_is_read_and_whole() -> None:
    paths = sorted(LIBRARY.glob("*.md"))

    assert len(paths) >= 16
    for path in paths:
        drill, problems = read_drill(path.stem, path.read_bytes(), path.name, own=False)
        assert problems == ()
        assert drill is not None
        assert drill.purpose and drill.dose and drill.source and drill.text
        assert drill.cues and drill.slips and drill.stop
        assert drill.stages and set(drill.stages) <= set(STAGES)


# --- schema -----------------------------------------------------------------------------------


class EditorLoader(yaml.CSafeLoader):
    """YAML 1.2's core types, as editors read: whole numbers, true and false; the rest is text."""


EditorLoader.yaml_implicit_resolvers = {}
EditorLoader.add_implicit_resolver(
    "tag:yaml.org,2002:int", re.compile(r"[-+]?[0-9]+$"), list("-+0123456789")
)
EditorLoader.add_implicit_resolver(
    "tag:yaml.org,2002:bool", re.compile(r"true$|false$"), ["t", "f"]
)


def an_editor_says(schema: dict[str, Any], text: str) -> list[str]:
    """Paths at which jsonschema, an independent reader of schemas, finds a fault."""
    validator = Draft202012Validator(schema)
    errors = validator.iter_errors(yaml.load(text, Loader=EditorLoader))
    return sorted(".".join(map(str, error.absolute_path)) for error in errors)


def test_the_schemas_hold_to_the_standard() -> None:
    Draft202012Validator.check_schema(client_schema())
    Draft202012Validator.check_schema(practice_schema())


@pytest.mark.parametrize("path", [*GOOD.glob("[mt]*[!g].yaml"), *CLIENTS], ids=lambda p: p.name)
def test_the_schema_takes_what_the_reader_takes(path: Path) -> None:
    assert an_editor_says(client_schema(), path.read_text("utf-8")) == []


def test_the_schema_takes_the_practices_file() -> None:
    assert an_editor_says(practice_schema(), good("practice.yaml").decode()) == []


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ("158 spm", "158", "baseline.cadence"),
        ("weeks: 16", "weeks: 61", "plan.weeks"),
        ("sat: yes", "sat: maybe", "week.sat"),
        ("for: strength", "for: swim", "week.wed"),
        ("6:45 /km", "6:45", "baseline.pace"),
        ("calendar: full", "calender: full", ""),
        ("symptoms: no", "symptoms: perhaps", "screening.symptoms"),
        ("drills: [quiet-landing, tall-posture]", "drills:", "drills"),
    ],
)
def test_the_schema_shows_a_slip_while_it_is_written(old: str, new: str, place: str) -> None:
    text = good("mara.yaml").decode()
    assert text.count(old) == 1

    assert an_editor_says(client_schema(), text.replace(old, new)) == [place]


ELSEWHERE = {"return", "changes"}  # their examples name what a practice has


def test_every_example_of_the_schema_can_be_read() -> None:
    """Hints and the editor offer these, so each has to be right where it stands."""
    text = "\n".join(
        f"{key}: {row.example}" for key, row in Client.ROWS.items() if key not in ELSEWHERE
    )
    found = read_client(text.encode(), "f", {"quiet-landing", "tall-posture"}, RULES)

    # What a history asks of a coach is told, and is no slip.
    assert [p for p in found.problems if p.code != "history"] == []


def test_the_schema_names_every_field_with_its_meaning() -> None:
    schema = client_schema()

    assert schema["$schema"] == DIALECT
    assert set(schema["required"]) == {"name", "screening", "baseline", "plan"}
    assert all("description" in field for field in schema["properties"].values())
    assert set(schema["$defs"]["Day"]["properties"]) == {"at", "up_to", "for"}
    assert an_editor_says(schema, BEGINNER.replace("symptoms: no", "symptoms: ")) != []
    assert practice_schema()["required"] == ["name", "contact", "timezone"]


@pytest.mark.parametrize(
    ("written", "dialled"),
    [("(555) 010-0199", "tel:5550100199"), ("+351 210 000 000", "tel:+351210000000")],
)
def test_a_telephone_is_taken_as_people_write_it_and_can_be_dialled(
    written: str, dialled: str
) -> None:
    text = f"{{name: P, contact: {written}, timezone: UTC, emergency: '112'}}"
    read = read_practice(text.encode(), "practice.yaml", RULES)

    assert read.problems == () and read.value is not None
    assert contact(read.value.contact).href == dialled
    assert an_editor_says(practice_schema(), text) == []
