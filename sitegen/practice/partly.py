"""A file of which some fields could not be read, so that all others can still be judged.

It looks like the file's model. Asking it for a field that could not be read raises `NotKnown`,
which ends the check that asked. So no check needs a list of the fields that it looks at, and none
can speak of a value that nobody wrote.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from copy import deepcopy
from inspect import getattr_static
from typing import Any, NamedTuple, TypeVar, cast

from sitegen.model.nearest import nearest_of
from sitegen.model.problem import Problem
from sitegen.model.record import NotRead, Path, Record, Row, example, is_needed, record_at, root_of
from sitegen.practice.translate import MAX_TOLD, names
from sitegen.practice.yaml_text import Tree, YamlText

WrittenRecord = TypeVar("WrittenRecord", bound=Record)
Item = TypeVar("Item")

MAX_ROUNDS = 100  # each leaves something out, and what is left out may lay bare what is missing
HIDES_KEYS = frozenset({"merge", "key-shape"})  # what these slips say of keys can't be known


class NotKnown(Exception):
    """A check asked for a field that could not be read.

    ``is_given`` is true where something stands there, if not what belongs there.
    """

    def __init__(self, is_given: bool) -> None:
        super().__init__()
        self.is_given = is_given


def as_far_as_known(told: Iterable[Problem]) -> Iterator[Problem]:
    """What a check tells until it asks for a field that could not be read."""
    try:
        yield from told
    except NotKnown:
        return


def known(part: Record, name: str) -> Any:
    """A field's value; None where it was left out, or could not be read."""
    try:
        return getattr(part, name)
    except NotKnown:
        return None


def lacks(part: Record, name: str) -> bool:
    """True where a field was left out for sure."""
    try:
        return getattr(part, name) is None
    except NotKnown:
        return False


def gives(part: Record, name: str) -> bool:
    """True where a field was written for sure, even if it could not be read."""
    try:
        return getattr(part, name) is not None
    except NotKnown as unread:
        return unread.is_given


def numbered(entries: Sequence[Item]) -> Iterator[tuple[int, Item]]:
    """The entries of a list with their numbers in the file, without those that can't be read."""
    if isinstance(entries, _Entries):
        return entries.known()
    return enumerate(entries)


def partly(
    model: type[WrittenRecord],
    tree: Tree | None,
    read: YamlText,
    prefix: Path = (),
) -> WrittenRecord | None:
    """What could be read of a map with errors; None where no map stands there.

    It is no model, and looks like one: a check can be typed as if all had been read.

    Args:
        model: The map's model.
        tree: The map.
        read: The file.
        prefix: Where in the file the map stands.
    """
    if not isinstance(tree, dict):
        return None
    spoiled = {path[len(prefix) :] for path in read.spoiled if path[: len(prefix)] == prefix}
    doubt = any(problem.code in HIDES_KEYS for problem in read.problems)
    return cast(WrittenRecord, _Pruner(model, deepcopy(tree), spoiled, doubt).known())


class _Unread(NamedTuple):
    """What could not be read: paths, and keys that may be what an unknown key was meant for."""

    paths: Collection[Path]
    given: Collection[Path]  # those of the paths where something is written
    keys: Collection[str]
    any_key: bool  # every key that is left out may have been written

    def ask(self, path: Path, is_written: bool) -> None:
        """Raises NotKnown where ``path`` could not be read."""
        if path in self.paths:
            raise NotKnown(path in self.given)
        if not is_written and (self.any_key or path[-1] in self.keys):
            raise NotKnown(False)


class _Pruner:
    """Leaves out of a tree what its model refuses, round by round, until it makes a model."""

    def __init__(
        self,
        model: type[Record],
        tree: dict[str, Tree],
        spoiled: set[Path],
        doubt: bool,
    ) -> None:
        self.model, self.tree = model, tree
        self.paths, self.keys, self.doubt = set(spoiled), set[str](), doubt
        self.given: set[Path] = set()
        self.stand_ins: set[Path] = set()

    def known(self) -> _Part | None:
        for _ in range(MAX_ROUNDS):
            try:
                of = self.model.of_tree(self.tree)
            except NotRead as error:
                if len(error.errors) > MAX_TOLD:
                    return None
                for one in error.errors:
                    if not self._mend(one.code, one.path):
                        return None
            else:
                return _Part(of, (), _Unread(self.paths, self.given, self.keys, self.doubt))
        return None

    def _mend(self, kind: str, loc: Path) -> bool:
        """Leave out what an error is about; False where nothing helps."""
        here: Any = self.tree
        for end, step in enumerate(loc):
            if not isinstance(here, (dict, list)):
                return self._leave_out(loc[:end])
            if isinstance(here, dict) and step not in here:
                is_missing = kind == "missing" and end == len(loc) - 1
                return self._leave_out(loc) if is_missing else True  # left out with another
            here = self._map_at(loc[: end + 1])
        if kind == "unknown":
            self._unknown_key(loc)
            return True
        return self._leave_out(loc)

    def _map_at(self, path: Path) -> Any:
        here: Any = self.tree
        for step in path:
            here = here[step]
        return here

    def _unknown_key(self, loc: Path) -> None:
        """Take it out. One of the fields left out was meant, here or where it belongs."""
        here, key = self._map_at(loc[:-1]), str(loc[-1])
        here.pop(key)
        model, within = root_of(self.model, loc)
        found = record_at(model, within[:-1])
        absent = [name for name in names(found) if name not in here] if found else []
        near = nearest_of(key, absent)
        self.paths |= {(*loc[:-1], name) for name in ([near] if near else absent)}
        self.given |= {(*loc[:-1], near)} if near else set()
        self.keys.add(key)

    def _leave_out(self, path: Path) -> bool:
        """Take out what stands at ``path``, or put a stand-in there; False where nothing helps."""
        if not path:
            return False
        here, step = self._map_at(path[:-1]), path[-1]
        if path not in self.paths and isinstance(here, dict) and here.get(step):
            self.given.add(path)
        self.paths.add(path)
        model, within = root_of(self.model, path)
        if isinstance(here, dict) and not is_needed(model, within):
            return here.pop(step, None) is not None or self._leave_out(path[:-1])
        stand_in: Any = {} if record_at(model, within) else example(model, within) or None
        if isinstance(here, list) and isinstance(stand_in, str):
            stand_in = stand_in.strip("[]").split(",")[0]
        if stand_in is None or path in self.stand_ins:
            return self._leave_out(path[:-1])
        self.stand_ins.add(path)
        here[step] = stand_in
        return True


# --- what checks see --------------------------------------------------------------------------


class _Part:
    """A model of which some fields could not be read. Its properties ask it, not the model."""

    __slots__ = ("_of", "_path", "_unread")

    def __init__(self, of: Record, path: Path, unread: _Unread) -> None:
        self._of, self._path, self._unread = of, path, unread

    def __getattr__(self, name: str) -> Any:
        model = type(self._of)
        key = next((key for key, one in model.ROWS.items() if one.name == name), None)
        if key is None:
            return getattr_static(model, name).__get__(self, model)
        path = (*self._path, key)
        self._unread.ask(path, name in self._of.written)
        value = getattr(self._of, name)
        if self._is_lone(model.ROWS[key], value, path):
            return [_seen(value[0], path, self._unread)]
        return _seen(value, path, self._unread)

    def _is_lone(self, row: Row, value: Any, path: Path) -> bool:
        """True for one map that was written where a list may stand: it has no number."""
        if row.many != "one or list" or row.record is None or len(value) != 1:
            return False
        return not any(unread[: len(path) + 1] == (*path, 0) for unread in self._unread.paths)


class _Entries(list[Any]):
    """A list of which some entries could not be read; `numbered` leaves those out."""

    def __init__(self, entries: Sequence[Any], path: Path, unread: _Unread) -> None:
        super().__init__(_seen(entry, (*path, n), unread) for n, entry in enumerate(entries))
        self.unread = {n for n in range(len(entries)) if (*path, n) in unread.paths}

    def known(self) -> Iterator[tuple[int, Any]]:
        return ((n, entry) for n, entry in enumerate(self) if n not in self.unread)


def _seen(value: Any, path: Path, unread: _Unread) -> Any:
    if isinstance(value, Record):
        return _Part(value, path, unread)
    if isinstance(value, list):
        return _Entries(value, path, unread)
    if isinstance(value, dict):
        parts = {key: (*path, key) for key in value}
        return {
            key: _seen(value[key], at, unread)
            for key, at in parts.items()
            if at not in unread.paths
        }
    return value
