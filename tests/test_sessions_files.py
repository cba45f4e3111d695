"""Session files: read with places and mends, shipped ones sound, a coach's own in a plan."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
import yaml

from sitegen import world
from sitegen.model.record import all_rows
from sitegen.model.workout import HARD_KINDS, PHASES, WorkoutFile
from sitegen.practice.schema import session_schema
from sitegen.practice.workouts import read_workout, workouts_of
from support import WORKOUTS

SOUND = """\
title: Stairs
purpose: Strong legs without the hurry of the flat.
kind: intervals
parts:
  - {run: 1 min, effort: 7}
  - {walk: 1 min}
repeat: 4
grows: {by: 1, to: 8}
"""


def told(text: str, drills: tuple[str, ...] | None = None) -> list[str]:
    data = text.encode()
    read = read_workout("stairs", data, "sessions/stairs.yaml", own=True, drill_ids=drills)
    return [str(p) for p in read.problems]


def changed(old: str, new: str) -> str:
    assert SOUND.count(old) == 1
    return SOUND.replace(old, new)


def test_a_sound_file_is_a_workout() -> None:
    found = read_workout("stairs", SOUND.encode(), "sessions/stairs.yaml", own=True)

    assert found.problems == ()
    assert found.workout is not None
    assert (found.workout.kind, found.workout.hard, found.workout.own) == ("intervals", True, True)
    assert (found.workout.lap, found.workout.lap_hard, found.workout.lap_walk) == (1, 1, 1)


def test_every_shipped_file_is_sound() -> None:
    found, problems = workouts_of(world.read_sessions(), {}, "clients")

    assert problems == []
    assert len(found) == len(world.read_sessions()) >= 16


def test_something_suits_each_part_of_the_way_to_each_event() -> None:
    """Two hard kinds, two long ones and three easy ones at least, so that weeks can differ."""
    for metres in (None, 5_000.0, 10_000.0, 21_097.5, 42_195.0):
        for phase in PHASES:
            suiting = [w for w in WORKOUTS.values() if w.suits(phase, metres)]
            assert sum(w.kind in HARD_KINDS for w in suiting) >= 2, (metres, phase)
            assert sum(w.kind == "long" for w in suiting) >= 2, (metres, phase)
            assert sum(w.kind == "easy" for w in suiting) >= 3, (metres, phase)


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        (
            "kind: intervals",
            "kind: easy",
            "sessions/stairs.yaml:5:26: error: easy is easy running, and this part has an effort "
            "of 7 (write at most 4, or kind: intervals) [session-contradicts]",
        ),
        (
            "effort: 7",
            "effort: 3",
            "sessions/stairs.yaml:3:7: error: intervals is hard, and no part has an effort of 5 or "
            "more (give a part its effort, like effort: 6, or write kind: easy) "
            "[session-contradicts]",
        ),
        (
            "to: 8",
            "to: 3",
            "sessions/stairs.yaml:8:20: error: it begins at 4 repeats and grows to 3 (write 4 or "
            "more, or a smaller repeat) [session-contradicts]",
        ),
        (
            "{walk: 1 min}",
            "{walk: 1 min, run: 2 min}",
            "sessions/stairs.yaml:6:12: error: this part is run and walked (make two parts of it) "
            "[session-contradicts]",
        ),
        (
            "{walk: 1 min}",
            "{effort: 2}",
            "sessions/stairs.yaml:6:5: error: this part says neither run nor walk (add run: and "
            "how long, like run: 2 min) [session-contradicts]",
        ),
        (
            "{walk: 1 min}",
            "{walk: 1 min, beat: yes}",
            "sessions/stairs.yaml:6:25: error: this part is walked, yet to the beat (write run in "
            "place of walk) [session-contradicts]",
        ),
        (
            "effort: 7",
            "effort: 7, quick: 2 min",
            "sessions/stairs.yaml:5:36: error: 2 min of 1 min can't be quick (write at most the "
            "part's length) [session-contradicts]",
        ),
        (
            "kind: intervals",
            "kind: beat",
            "sessions/stairs.yaml:3:7: error: no part is run to the beat (add beat: yes to one, or "
            "kind: easy) [session-contradicts]",
        ),
        (
            "repeat: 4",
            "event: {from: marathon, to: 5 km}",
            "sessions/stairs.yaml:7:29: error: the longest event is shorter than the shortest "
            "(swap from and to) [session-contradicts]",
        ),
    ],
)
def test_a_file_that_contradicts_itself(old: str, new: str, line: str) -> None:
    assert line in told(changed(old, new))


def test_every_slip_is_told_at_once() -> None:
    text = changed("kind: intervals", "kind: interval").replace("repeat: 4", "repeet: 4")
    lines = told(text.replace("effort: 7", "effort: 17"))

    assert [line.split(":")[1] for line in lines] == ["3", "5", "7"]


def test_a_drill_that_is_not_there() -> None:
    (line,) = told(SOUND + "drills: [quiet-landin]\n", ("quiet-landing",))

    assert line.startswith("sessions/stairs.yaml:9:10: error: there is no drill")
    assert "quiet-landing" in line


@pytest.mark.parametrize("text", ["", "[]", "just words", "title: [", "\x00"])
def test_no_session_at_all_is_told_without_a_traceback(text: str) -> None:
    assert told(text)


def test_a_file_of_the_coachs_own_takes_the_place_of_a_shipped_one() -> None:
    own = {"strides": SOUND.encode()}
    found, problems = workouts_of(world.read_sessions(), own, "clients")

    assert problems == []
    assert found["strides"].own and str(found["strides"].title) == "Stairs"


def test_words_with_braces_stay_words() -> None:
    found = read_workout(
        "a", changed("Stairs", "Stairs {6}").encode(), "sessions/a.yaml", own=True
    ).workout

    assert found is not None and str(found.title) == "Stairs {6}"


def test_the_schema_takes_every_shipped_file_and_knows_each_field() -> None:
    jsonschema = pytest.importorskip("jsonschema")
    schema = session_schema()
    for name, data in world.read_sessions().items():
        jsonschema.validate(yaml.safe_load(data), schema), name
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(yaml.safe_load(SOUND.replace("repeat: 4", "repeat: many")), schema)
    assert set(schema["properties"]) == {path[0] for path, _ in all_rows(WorkoutFile)}


# --- in a practice's folder ---------------------------------------------------------------------

CLIENT = """\
name: Sam Vale
screening: {on: 2026-12-01, regular_exercise: yes, known_disease: no, symptoms: no}
baseline:
  {on: 2027-01-04, cadence: 172 spm, pace: 6:00 /km, week: 160 min, longest: 60 min, runs: 3}
week: {tue: {}, thu: {}, sun: {}, long: sun}
plan: {from: 2027-01-04, weeks: 8}
changes:
  - {on: 2027-01-19, session: NAME, because: to try it}
"""


def opened(folder: Path, name: str, files: dict[str, str]):  # type: ignore[no-untyped-def]
    from sitegen.site.plans import open_plans

    text = "name: Harbour Running\ncontact: coach@example.org\ntimezone: Europe/Lisbon\n"
    (folder / "practice.yaml").write_text(text)
    (folder / "sam.yaml").write_text(CLIENT.replace("NAME", name))
    (folder / "sessions").mkdir()
    for file, text in files.items():
        (folder / "sessions" / file).write_text(text)
    return open_plans(folder, (), date(2027, 1, 4))


def test_a_change_puts_a_session_of_ones_own_on_a_day(tmp_path: Path) -> None:
    found = opened(tmp_path, "stairs", {"stairs.yaml": SOUND})
    (session,) = (s for s in found.plans["sam"].sessions if s.on == date(2027, 1, 19))

    assert not found.has_errors
    assert (session.workout, session.kind, session.hard) == ("stairs", "intervals", True)
    assert str(session.title) == "Stairs"
    assert session.hard_minutes == 4


def test_a_session_of_ones_own_to_the_beat_names_the_beat_wherever_it_stands(
    tmp_path: Path,
) -> None:
    """Chosen by the plan, not by a change: "step to the beat" without one helps nobody."""
    quick = (
        "title: Quick feet\npurpose: Quick feet, a minute at a time.\nkind: easy\n"
        "parts:\n  - {run: 1 min, beat: yes}\n  - {run: 1 min}\nrepeat: 4\n"
    )
    plan = opened(tmp_path, "stairs", {"stairs.yaml": SOUND, "quick-feet.yaml": quick}).plans["sam"]
    parts = [(part.kind, part.cadence_spm) for s in plan.sessions for part in s.parts]
    chosen = [s for s in plan.sessions if s.workout == "quick-feet"]

    assert chosen and ("beat", 172) in parts and ("beat", None) not in parts


def test_a_change_that_names_no_session_is_told_the_nearest(tmp_path: Path) -> None:
    problems = [str(p) for p in opened(tmp_path, "stair", {"stairs.yaml": SOUND}).problems]
    (line,) = (p for p in problems if "session-unknown" in p)

    assert ":8:" in line and "stairs" in line


def test_a_session_with_an_error_holds_pages_and_says_where(tmp_path: Path) -> None:
    found = opened(tmp_path, "stairs", {"stairs.yaml": changed("repeat: 4", "repeat: x")})

    assert any("sessions/stairs.yaml:7:9" in str(p) for p in found.problems)
    assert not any("session-unknown" in str(p) for p in found.problems)


def test_a_name_that_is_none_is_told(tmp_path: Path) -> None:
    found = opened(tmp_path, "strides", {"My Stairs.yaml": SOUND, "hops.yml": SOUND})

    assert sum("session" in p.code for p in found.problems) == 2


def test_the_example_of_the_docs_is_a_sound_file() -> None:
    page = (Path(__file__).resolve().parent.parent / "docs" / "sessions.md").read_text("utf-8")
    example = next(block for block in page.split("```") if block.startswith("\ntitle:"))

    read = read_workout("stairs", example.encode(), "sessions/stairs.yaml", own=True)
    assert read.problems == ()
    assert read.workout is not None and read.workout.lap_hard == 1


def test_each_part_that_is_too_hard_for_an_easy_run_is_told() -> None:
    parts = b"parts:\n- {run: 10 min, effort: 9}\n- {run: 5 min, effort: 8}\n"
    file = b"title: T\nkind: easy\npurpose: x\n" + parts
    found = read_workout("t", file, "sessions/t.yaml", own=True).problems

    assert [(p.origin.line, p.code) for p in found] == [(n, "session-contradicts") for n in (5, 6)]
