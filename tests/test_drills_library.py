"""The shipped drills: every file whole, every figure plain, and no promise anywhere.

Read with a YAML loader and an XML parser alone, so that it holds whatever reads them later.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
import yaml

DRILLS = Path(__file__).resolve().parent.parent / "sitegen" / "library" / "drills"
PAGES = sorted(DRILLS.glob("*.md"))
FIGURES = sorted(DRILLS.glob("*.svg"))

KEYS = {"title", "purpose", "stages", "where", "minutes", "dose", "cues", "slips", "stop", "source"}
STAGES = {"first_steps", "building", "step_rate", "sharpening", "easing", "strength"}
WHERE = {"warm_up", "on_the_run", "after", "strength"}
ID = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
CUE_LETTERS = 32  # one line of a small phone in large type; our judgement

# A citation: a surname with initials, then a year before its volume. Or the honest alternative.
CITATION = re.compile(r"[A-Z][\w'’-]+ [A-Z]{1,4}\b.*\b(?:19|20)\d\d;\d")
NO_SOURCE = "common practice, no source"

PROMISE = re.compile(
    r"""\b(?: cur(?:e|es|ed|ing) | guarant\w+ | heal(?:s|ed|ing)? | prevent\w* | proven | proves?
        | (?:injury|pain|bullet)[- ]?(?:proof|free) | fix(?:es|ed)? | protect\w* | avoids?\ injur\w+
        | eliminat\w+ | never\ (?:hurt|injured)\w* | reduc\w+\ (?:your\ )?(?:risk|injur\w+)
        | treatment | remed(?:y|ies) | shield\w* | promis\w+ )\b""",
    re.VERBOSE | re.IGNORECASE,
)
# The honest sentences that may carry such a word. Anything new is added here by hand, or reworded.
HONEST = (
    "is not shown to prevent injury",
    "and not shown to prevent injury",
    "is not shown to prevent running injuries",
    "is no treatment",
    "not a shield against injury",
    "it is control, not protection",
    "promises nothing about injuries",
    "no promise beyond the practice itself",
)

SVG = "{http://www.w3.org/2000/svg}"
VIEW_BOX = "0 0 240 160"
GROUND_Y = 142
SHAPES = {"path": {"d"}, "circle": {"cx", "cy", "r"}}
STROKES = {"body": "4", "ground": "2", "move": "2", "mark": "2", "number": "2", "sign": "3"}
MOST_POSES = 3
ROOT = {"class", "viewBox", "role", "aria-label", "stroke-linecap", "stroke-linejoin"}
PATH_WORDS = re.compile(r"[mlhvqa]|-?\d+(?:\.\d+)?")
TAKES = {"m": 2, "l": 2, "h": 1, "v": 1, "q": 4, "a": 7}


def parts(page: Path) -> tuple[dict[str, Any], str]:
    """Front matter and prose of one drill."""
    opening, head, prose = page.read_text(encoding="utf-8").split("---\n", 2)
    assert opening == "", "a drill begins with its front matter"
    fields = yaml.load(head, Loader=yaml.CSafeLoader)
    assert isinstance(fields, dict)
    return fields, prose.strip()


def promises(text: str) -> list[str]:
    """Words that promise too much, once the honest sentences are taken out."""
    plain = " ".join(text.split())
    for phrase in HONEST:
        plain = plain.replace(phrase, "")
    return PROMISE.findall(plain)


def points(path: str) -> list[tuple[float, float]]:
    """Every point a path names, control points too; only relative commands are understood."""
    words = PATH_WORDS.findall(path)
    assert "".join(words) == re.sub(r"[\s,]", "", path), f"only m l h v q a here: {path}"
    found: list[tuple[float, float]] = []
    x = y = 0.0
    command = ""
    while words:
        if words[0] in TAKES:
            command = words.pop(0)
        numbers = [float(words.pop(0)) for _ in range(TAKES[command])]
        if command == "q":
            found.append((x + numbers[0], y + numbers[1]))
        x += 0 if command == "v" else numbers[0] if command == "h" else numbers[-2]
        y += 0 if command == "h" else numbers[-1]
        command = "l" if command == "m" else command  # as SVG 2 has it, section 9.3.3
        found.append((x, y))
    return found


def edges(shape: ElementTree.Element) -> list[tuple[float, float]]:
    """Outermost points of a shape, without the width of its stroke."""
    if shape.tag == f"{SVG}circle":
        x, y, r = (float(shape.get(name, "nan")) for name in ("cx", "cy", "r"))
        return [(x - r, y - r), (x + r, y + r)]
    return points(shape.get("d", ""))


def figure_faults(text: str) -> list[str]:
    """What keeps a figure from going inline into a page with a strict policy; empty when fit."""
    root = ElementTree.fromstring(text)
    faults = []
    if root.tag != f"{SVG}svg" or root.get("viewBox") != VIEW_BOX or root.get("class") != "fig":
        faults.append("the root is not our svg")
    if root.get("role") != "img" or not (root.get("aria-label") or "").endswith("."):
        faults.append("no role or no sentence for those who cannot see it")
    faults += [f"svg {name}" for name in root.attrib.keys() - ROOT]
    poses: Counter[str] = Counter()
    for shape in list(root.iter())[1:]:
        tag = shape.tag.removeprefix(SVG)
        kind = shape.get("class", "")
        if tag not in SHAPES or kind not in STROKES:
            faults.append(f"{tag} {kind}".strip())
            continue
        dashes = {"stroke-dasharray"} if kind == "move" else set()
        extra = shape.attrib.keys() - SHAPES[tag] - {"class", "stroke-width"} - dashes
        faults += [f"{tag} {name}" for name in sorted(extra)]
        if shape.get("stroke-width") != STROKES[kind]:
            faults.append(f"{kind} {shape.get('stroke-width')} wide")
        if any(not (0 <= x <= 240 and 0 <= y <= 160) for x, y in edges(shape)):
            faults.append(f"{kind} leaves the picture")
        poses[kind] += tag == "circle"
    if not 1 <= poses["body"] <= MOST_POSES:
        faults.append("one person, in three poses at most")
    return faults


def lowest(root: ElementTree.Element, kinds: Iterable[str]) -> float:
    return max(y for shape in root if shape.get("class", "") in kinds for _, y in edges(shape))


def test_there_are_enough_drills_for_a_season() -> None:
    """At least 16, each with one figure, and no figure without a drill."""
    assert len(PAGES) >= 16
    assert [page.stem for page in PAGES] == [figure.stem for figure in FIGURES]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_drill_is_whole(page: Path) -> None:
    """All fields, each of its kind, in a length that fits a phone."""
    fields, prose = parts(page)

    assert ID.fullmatch(page.stem)
    assert set(fields) - {"timer"} == KEYS
    assert len(fields.get("timer", [1, 2, 3])) == 3
    for name in ("title", "purpose", "where", "dose", "source"):
        assert isinstance(fields[name], str) and fields[name].strip(), name
    for name in ("stages", "cues", "slips", "stop"):
        assert all(isinstance(line, str) and line.strip() for line in fields[name]), name
        assert len(set(fields[name])) == len(fields[name]), name
    assert fields["stages"] and set(fields["stages"]) <= STAGES
    assert fields["where"] in WHERE
    assert type(fields["minutes"]) is int and 1 <= fields["minutes"] <= 15
    assert 2 <= len(fields["cues"]) <= 4
    assert max(map(len, fields["cues"])) <= CUE_LETTERS
    assert not any(cue.endswith((".", "!")) for cue in fields["cues"])
    assert 2 <= len(fields["slips"]) <= 4
    assert all(slip.count(". ") >= 1 for slip in fields["slips"]), "the slip. Then the mend."
    assert 1 <= len(fields["stop"]) <= 3
    assert 2 <= len(prose.split("\n\n")) <= 4


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_drill_says_when_to_stop_and_where_to_turn(page: Path) -> None:
    """Pain or a limp ends it, and somebody who may judge is named."""
    stop = " ".join(parts(page)[0]["stop"])

    assert re.search(r"\b(pain|limp)\b", stop, re.IGNORECASE)
    assert "licensed clinician" in stop


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_drill_names_its_source_or_says_that_it_has_none(page: Path) -> None:
    """Authors, journal and year; the rest is called common practice."""
    source = parts(page)[0]["source"]

    assert source == NO_SOURCE or (CITATION.search(source) and f"{NO_SOURCE}." in source)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_drill_promises_nothing_and_shouts_nothing(page: Path) -> None:
    """No cure, no prevention, no raw HTML, no exclamation mark, no other word for the beat."""
    text = page.read_text(encoding="utf-8")

    assert promises(text) == []
    assert not re.search(r"[<>!]|&\w+;|metronome", text, re.IGNORECASE)


@pytest.mark.parametrize("stage", sorted(STAGES))
def test_every_stage_has_drills(stage: str) -> None:
    """Whoever is at this stage finds at least two."""
    assert sum(stage in parts(page)[0]["stages"] for page in PAGES) >= 2


@pytest.mark.parametrize("where", sorted(WHERE))
def test_every_part_of_a_session_has_drills(where: str) -> None:
    """Warm-up, run, afterwards and strength have at least two each."""
    assert sum(parts(page)[0]["where"] == where for page in PAGES) >= 2


def test_hops_are_kept_for_later() -> None:
    """A beginner, or anyone on a strength day, is not offered hops."""
    assert parts(DRILLS / "soft-hops.md")[0]["stages"] == ["sharpening"]


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.stem)
def test_a_figure_may_stand_in_any_page(figure: Path) -> None:
    """No style, script, id or link; known classes and widths; inside its frame."""
    assert figure_faults(figure.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.stem)
def test_the_person_in_a_figure_is_on_the_ground(figure: Path) -> None:
    """The lowest stroke of the person rests on the ground line, neither above nor below it."""
    root = ElementTree.parse(figure).getroot()
    feet = lowest(root, {"body"})

    assert any(GROUND_Y in {y for _, y in edges(s)} for s in root if s.get("class") == "ground")
    assert GROUND_Y - 4 <= feet <= GROUND_Y - 2


@pytest.mark.parametrize(
    "sentence",
    [
        "It cures a sore knee.",
        "Strong hips prevent injury.",
        "This fixes your stride, guaranteed.",
        "A proven way to injury-proof calves.",
        "It heals tendons and protects the knee.",
        "It is not shown that it cannot prevent injury.",
    ],
)
def test_a_promise_would_be_noticed(sentence: str) -> None:
    """The check above can fail."""
    assert promises(sentence)


@pytest.mark.parametrize(
    "sentence", ["It is not shown to prevent injury.", "Let the heel kiss the floor; stay healthy."]
)
def test_an_honest_sentence_passes(sentence: str) -> None:
    """A denial is no promise, and a heel does not heal."""
    assert promises(sentence) == []


@pytest.mark.parametrize("phrase", HONEST)
def test_no_excuse_outlives_its_sentence(phrase: str) -> None:
    """Each allowed phrase still stands in some drill, and would be caught without the list."""
    assert PROMISE.search(phrase)
    assert any(phrase in page.read_text(encoding="utf-8") for page in PAGES)


@pytest.mark.parametrize(
    ("before", "after", "fault"),
    [
        ('class="ground" ', 'class="ground" style="x" ', "path style"),
        ('class="ground" ', 'class="ground" id="x" ', "path id"),
        ('class="ground" ', 'class="ground" fill="red" ', "path fill"),
        ('class="ground" ', 'class="road" ', "path road"),
        ("</svg>", "<script/></svg>", "script"),
        ("</svg>", '<a href="x"/></svg>', "a"),
        ('role="img"', 'role="img" onload="x"', "svg onload"),
        ('stroke-width="4"', 'stroke-width="9"', "body 9 wide"),
        ('d="m14 142', 'd="m-14 142', "ground leaves the picture"),
    ],
)
def test_an_unfit_figure_would_be_noticed(before: str, after: str, fault: str) -> None:
    """The figure check can fail as well, for each of its reasons."""
    fit = (DRILLS / "warm-up-walk.svg").read_text(encoding="utf-8")
    assert before in fit

    assert fault in figure_faults(fit.replace(before, after, 1))
