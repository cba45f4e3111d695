"""One name, one meaning: a function, a class, a type or a constant stands in one module.

A name may come again in three shapes: a command beside what does its work; a contract (the same
parameters, in modules of one room: what each rule, view or host brings; `CONTRACTS` lists the
constants of that kind); the very same definition.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

import sitegen

PACKAGE = Path(sitegen.__file__).parent
CONTRACTS = {
    ("care", "DENIES_AFTER"), ("care", "DENIES_BEFORE"), ("care", "JOINS"), ("care", "KEYS"),
    ("care", "CALM_MOMENT"), ("care", "LASTING"), ("care", "LISTS"), ("care", "OTHERS"),
    ("care", "SELF"), ("care", "SIGN_PATTERNS"), ("care", "W"), ("care", "SORE"),
    ("care", "AND_IT"), ("care", "CANT"), ("care", "JOINT"), ("care", "HARD"),
    ("care", "ABOUT_HEALTH"), ("care", "WORD_MODULES"), ("care", "RARER_KEYS"),
    ("care", "MISSPELT"), ("care", "GOES_ON"), ("care", "BRUISE"), ("care", "THINNER"),
    ("desk/panels", "PANEL"),
    ("portal/views", "VIEW"), ("practice/checks", "CHECKS"), ("publish", "WAIT_S"),
    ("rules", "RULE"), ("rules", "SOURCE"),
}  # fmt: skip
"""Constants that each module of a room brings for itself, by room."""


class Definition(NamedTuple):
    """``shape``: the room and the parameters of a function; the whole text of anything else."""

    place: str
    shape: tuple[str, str]


def definitions(source: str, module: str) -> dict[str, Definition]:
    """What others may import from a module, by name; no commands.

    A package counts as a module of the room that it stands in: a view beside other views.
    """
    room = module.removesuffix("/__init__.py").rpartition("/")[0]
    found = {}
    for node in ast.parse(source).body:
        match node:
            case ast.FunctionDef(name=name):
                if any("command" in ast.unparse(by) for by in node.decorator_list):
                    continue
                shape = (
                    room,
                    " ".join(arg.arg for arg in ast.walk(node.args) if isinstance(arg, ast.arg)),
                )
            case ast.ClassDef(name=name):
                shape = "", ast.unparse(node)
            case ast.Assign(targets=[ast.Name(id=name)]) | ast.AnnAssign(target=ast.Name(id=name)):
                shape = (room, "") if (room, name) in CONTRACTS else ("", ast.unparse(node))
            case ast.Assign(targets=[ast.Tuple(elts=names)]):
                for one in names:
                    found[ast.unparse(one)] = Definition(
                        f"{module}:{node.lineno}", ("", ast.unparse(node))
                    )
                continue
            case _:
                continue
        found[name] = Definition(f"{module}:{node.lineno}", shape)
    return {name: one for name, one in found.items() if not name.startswith("_")}


def shared_names(sources: Mapping[str, str]) -> dict[str, list[str]]:
    """Names with more than one meaning, and where each stands."""
    named: dict[str, list[Definition]] = defaultdict(list)
    for module, source in sorted(sources.items()):
        for name, one in definitions(source, module).items():
            named[name].append(one)
    return {
        name: [one.place for one in several]
        for name, several in sorted(named.items())
        if len({one.shape for one in several}) > 1
    }


def test_a_name_has_one_meaning() -> None:
    sources = {
        path.relative_to(PACKAGE).as_posix(): path.read_text() for path in PACKAGE.rglob("*.py")
    }

    assert len(sources) > 200
    assert shared_names(sources) == {}


def test_two_meanings_are_seen_and_the_three_shapes_are_not() -> None:
    sources = {
        "rules/pace.py": "T = TypeVar('T')\ndef apply(draft, past): ...\ndef held(run): ...\n",
        "rules/hills.py": "T = TypeVar('T')\ndef apply(draft, past): ...\ndef held(week): ...\n",
        "portal/views/map/__init__.py": "LIMIT = 3\ndef build(scene): ...\nclass Route: ...\n",
        "portal/views/log/__init__.py": "LIMIT = 4\ndef build(scene): ...\n_Row = list[int]\n",
        "site/building.py": "def draw(clients): ...\n_Row = list[str]\n",
        "site/commands.py": "@command(json=True)\ndef draw(clients, as_json): ...\n",
        "seal/ways.py": "Route = list[str]\ndef build(scene): ...\n",
    }

    sources["rules/pace.py"] += "RULE = 1\nNEAR, FAR = 2, 3\n"
    sources["rules/hills.py"] += "RULE = 2\nNEAR = 4\n"

    assert shared_names(sources) == {
        "LIMIT": ["portal/views/log/__init__.py:1", "portal/views/map/__init__.py:1"],
        "NEAR": ["rules/hills.py:5", "rules/pace.py:5"],
        "Route": ["portal/views/map/__init__.py:3", "seal/ways.py:1"],
        "build": [
            "portal/views/log/__init__.py:2", "portal/views/map/__init__.py:2", "seal/ways.py:2",
        ],
        "held": ["rules/hills.py:3", "rules/pace.py:3"],
    }  # fmt: skip
