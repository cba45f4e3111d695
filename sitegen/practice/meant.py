"""A misspelt key, read as the one that was surely meant.

The slip is told; and what stands below the key is judged in the same round, as if it were right.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from sitegen.model.case import Origins
from sitegen.model.problem import Problem
from sitegen.model.record import FieldError, NotRead, Path, Record
from sitegen.practice.translate import MAX_TOLD, meant_key
from sitegen.practice.yaml_text import Tree, YamlText

MAX_LEVELS = 5  # a misspelt key may stand below another; no file goes as deep
Tell = Callable[[list[FieldError], YamlText, Path], list[Problem]]


def as_meant(
    model: type[Record], read: YamlText, tell: Tell, prefixes: Iterable[Path] = ((),)
) -> tuple[YamlText, list[Problem]]:
    """The file with its misspelt keys put right, and a problem for each of them.

    Args:
        model: The model of a map.
        read: The file.
        tell: Puts errors of a map, with the map's place in the file, into a coach's words.
        prefixes: Where in the file such maps stand.
    """
    prefixes = tuple(prefixes)
    told: list[Problem] = []
    for _ in range(MAX_LEVELS):
        right: dict[Path, str] = {}
        for prefix in prefixes:
            errors = _misspelt(model, _at(read.tree, prefix))
            told += tell([error for error, _ in errors], read, prefix)
            right |= {(*prefix, *error.path): name for error, name in errors}
        if not right:
            break
        read = _renamed(read, right)
    return read, told


def _misspelt(model: type[Record], tree: Any) -> list[tuple[FieldError, str]]:
    """Errors of keys that are surely meant for others, each with the right one."""
    try:
        model.of_tree(tree)
    except NotRead as error:
        if len(error.errors) > MAX_TOLD:
            return []
        found: dict[Path, tuple[FieldError, str]] = {}
        for one in error.errors:
            loc = one.path
            if one.code != "unknown":
                continue
            name = meant_key(model, loc, _at(tree, loc[:-1]))
            if name is not None:
                found.setdefault((*loc[:-1], name), (one, name))
        return list(found.values())
    return []


def _at(tree: Any, path: Path) -> Any:
    for step in path:
        tree = tree[step]
    return tree


def _renamed(read: YamlText, meant: Mapping[Path, str]) -> YamlText:
    """The file as if the last step of each path were the one given."""

    def right(path: Path) -> Path:
        return tuple(meant.get(path[: n + 1], step) for n, step in enumerate(path))

    def places(found: Mapping[Path, tuple[int, int]]) -> dict[Path, tuple[int, int]]:
        return {right(path): place for path, place in found.items()}

    def grown(tree: Tree, path: Path) -> Tree:
        if isinstance(tree, dict):
            return {
                meant.get((*path, key), key): grown(value, (*path, key))
                for key, value in tree.items()
            }
        if isinstance(tree, list):
            return [grown(value, (*path, n)) for n, value in enumerate(tree)]
        return tree

    return read._replace(
        tree=None if read.tree is None else grown(read.tree, ()),
        origins=Origins(read.origins.file, places(read.origins.keys), places(read.origins.values)),
        spoiled=frozenset(right(path) for path in read.spoiled),
        curly=frozenset(right(path) for path in read.curly),
    )
