"""What one room asks of another says what it is: a docstring, the unit of each number, the errors.

House rule. A unit is in the name (`patience_s`), or in the text. Errors are those that the
function's own lines raise; what it passes on, its text may say.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "sitegen"

UNITS = re.compile(
    r"\b(seconds?|minutes|hours|days?|weeks?|months?|years?|bytes|MiB|km|metres|spm|steps|percent"
    r"|pixels|columns|lines|characters|share|how many|how often|number|count|status|permissions"
    r"|contrast|times)\b|%"
)
UNIT_IN_NAME = re.compile(
    r"(_s|_min|_km|_ms|_percent|_px|_spm|seconds|minutes|days|weeks?|months?|years?|bytes|spm"
    r"|status|width|columns|count|number|total|done|n)$"
)
NUMBER = re.compile(r"(int|float)( \| None)?")


def module_of(path: Path) -> str:
    parts = list(path.relative_to(ROOT).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def trees() -> dict[str, ast.Module]:
    """Every module read; not as this file is, which is done by each worker."""
    return {module_of(p): ast.parse(p.read_text("utf-8")) for p in sorted(PACKAGE.rglob("*.py"))}


def room_of(module: str) -> str:
    return [*module.split("."), ""][1]


def asked() -> Iterator[tuple[str, str]]:
    """Modules, and the names in them that another room imports, or takes from the module."""
    for module, tree in trees().items():
        for node in ast.walk(tree):
            if not isinstance(node, ast.ImportFrom) or not node.module:
                continue
            for alias in node.names:
                if node.module in trees() and room_of(node.module) != room_of(module):
                    yield node.module, alias.name
                within = f"{node.module}.{alias.name}"
                if within in trees() and room_of(within) != room_of(module):
                    called = alias.asname or alias.name
                    yield from ((within, name) for name in attributes(tree, called))


def attributes(tree: ast.Module, of: str) -> Iterator[str]:
    for node in ast.walk(tree):
        match node:
            case ast.Attribute(value=ast.Name(id=name), attr=attr) if name == of:
                yield attr


Defined = ast.FunctionDef | ast.ClassDef


@cache
def public() -> dict[str, Defined]:
    found: dict[str, Defined] = {}
    for module, name in sorted(set(asked())):
        for node in trees()[module].body:
            if isinstance(node, Defined) and node.name == name:
                found[f"{module}.{name}"] = node
    return found


def functions() -> dict[str, ast.FunctionDef]:
    return {name: one for name, one in public().items() if isinstance(one, ast.FunctionDef)}


def told(node: ast.AST) -> str:
    assert isinstance(node, Defined)
    return ast.get_docstring(node) or ""


def test_something_is_asked_for() -> None:
    assert len(public()) > 200 and len(functions()) > 100


def test_what_other_rooms_use_has_a_docstring() -> None:
    assert [name for name, node in public().items() if not told(node)] == []


def test_each_number_has_its_unit() -> None:
    bare = [
        f"{name}({arg.arg})"
        for name, node in functions().items()
        for arg in [*node.args.args, *node.args.kwonlyargs]
        if arg.annotation is not None
        and NUMBER.fullmatch(ast.unparse(arg.annotation))
        and not UNIT_IN_NAME.search(arg.arg)
        and not UNITS.search(told(node))
    ]
    assert bare == []


def own_raises(node: ast.FunctionDef) -> Iterator[str]:
    """Errors that a function's own lines raise and do not catch again."""
    caught: set[str] = set()
    for within in ast.walk(node):
        if isinstance(within, ast.ExceptHandler) and within.type is not None:
            caught |= set(re.findall(r"\w+", ast.unparse(within.type)))
    for within in ast.walk(node):
        if isinstance(within, ast.Raise) and isinstance(within.exc, ast.Call):
            name = ast.unparse(within.exc.func).rpartition(".")[2]
            if name[0].isupper() and name not in caught:
                yield name


def test_each_error_that_is_raised_is_told() -> None:
    untold = {
        f"{name}: {error}"
        for name, node in functions().items()
        for error in own_raises(node)
        if error not in told(node)
    }
    assert sorted(untold) == []


def test_no_docstring_sends_the_reader_away_for_all_it_says() -> None:
    riddles = re.compile(r"\bwhich see\b|^As `\w+`\.?$", re.IGNORECASE)
    found = [
        f"{module}:{getattr(node, 'lineno', 1)}"
        for module, tree in trees().items()
        for node in ast.walk(tree)
        if isinstance(node, (ast.Module, *Defined.__args__)) and riddles.search(docstring(node))
    ]
    assert found == []


def docstring(node: ast.AST) -> str:
    assert isinstance(node, (ast.Module, ast.FunctionDef, ast.ClassDef))
    return ast.get_docstring(node) or ""
