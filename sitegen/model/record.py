"""Records: frozen values that are read from a coach's file, and the table of their fields.

A record's body is its part of the table, one entry a field: what kind of value it holds, an
example, what it means, what it is when left out. Reader, schema, field book, intake, hints and
completion all read this table, so a field is told of in one place.

    class Race(Record):
        distance: Distance = row(DISTANCE, "5 km", "how long the race was", needed=True)

Reading goes from the text of a file to a record, or to every slip in it: `Record.of_tree`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, ClassVar, NamedTuple, TypeVar

from sitegen.model.kinds import Kind, Unfit

Path = tuple[str | int, ...]
Self = TypeVar("Self", bound="Record")


class Row(NamedTuple):
    """One field of the table.

    Args:
        kind: What a value is; a record where it is a map; None for anything at all.
        example: What a coach may write, as hints, schema, field book and intake show it.
        meaning: One sentence for coaches.
        default: The value where nothing is written; unset, an empty list or map, or None.
        usual: What holds where nothing is written, in words, where no value says it.
        needed: True where the map around it is not whole without it.
        needs: Words on what else asks for it, where the map alone does not.
        in_schema: True where the schema asks for it too, though a check tells it in its own words.
        many: One value, a list of them, either, or a map by names of the coach's own.
        words: What short words mean in place of a map, as ``rest`` for a day.
        names: The kind of the names, where ``many`` is ``by name``.
        private: True where no client ever sees it.
        asks: How intake asks a coach for it, ``{called}`` for the client; empty: it does not.
        how: What intake says of an answer beside kind, example and bounds.
        pen: The same question for the client's own pen; empty: not on the question sheet.
        key: How the field is written; else its name in Python.
        name: Its name in Python.
    """

    kind: Kind | type[Record] | None
    example: str = ""
    meaning: str = ""
    default: Any = ...
    usual: str = ""
    needed: bool = False
    needs: str = ""
    in_schema: bool = False
    many: str = ""
    words: Callable[[object], object] | None = None
    names: Kind | None = None
    private: bool = False
    asks: str = ""
    how: str = ""
    pen: str = ""
    key: str = ""
    name: str = ""

    @property
    def record(self) -> type[Record] | None:
        """The record of a map; None for a value."""
        return self.kind if isinstance(self.kind, type) else None

    @property
    def value(self) -> Kind | None:
        """The kind of a value; None for a map."""
        return self.kind if isinstance(self.kind, Kind) else None

    @property
    def told(self) -> str:
        """What the field means, and what holds where it is left out."""
        return f"{self.meaning}; default: {self.usual}" if self.usual else self.meaning

    @property
    def is_made_afresh(self) -> bool:
        """Whether each record has a default of its own."""
        return bool(self.many) or isinstance(self.default, type)

    def fresh(self) -> Any:
        """The default; a list or a map of its own each time."""
        if self.default is ...:
            return {"list": list, "one or list": list, "by name": dict}.get(self.many, _none)()
        if isinstance(self.default, (list, tuple)) and self.many:
            return list(self.default)
        return self.default() if isinstance(self.default, type) else self.default


def _none() -> None:
    return None


def row(kind: Kind | type[Record] | None, example: str = "", meaning: str = "", **more: Any) -> Any:
    """An entry of the table; see `Row`. Typed as anything, so that the field has its own type."""
    return Row(kind, example, meaning, **more)


class FieldError(NamedTuple):
    """What is wrong with one field.

    ``code`` is a kind's own, with ``message`` and ``hint``; or ``missing``, ``unknown``, ``map``,
    ``list`` for what the table itself sees. ``input`` is what stands there.
    """

    code: str
    path: Path
    input: Any
    message: str = ""
    hint: str = ""


class NotRead(Exception):
    """A map that is no such record, with everything that is wrong in it."""

    def __init__(self, errors: list[FieldError]) -> None:
        super().__init__("; ".join(f"{e.path}: {e.message or e.code}" for e in errors[:20]))
        self.errors = errors


class Record:
    """A map in a coach's file: frozen, and a key that it does not know is a slip.

    ``ROWS`` are its fields in the order of the body, by the name in the file.
    """

    ROWS: ClassVar[Mapping[str, Row]] = {}
    EXAMPLE: ClassVar[str] = ""  # of the whole map, where no field above it shows one
    _names: ClassVar[tuple[str, ...]] = ()
    _needed: ClassVar[frozenset[str]] = frozenset()
    _usual: ClassVar[Mapping[str, Any]] = {}  # every field, with the default that all may share
    _fresh: ClassVar[tuple[Row, ...]] = ()  # fields with a default of its own each time

    def __init_subclass__(cls) -> None:
        rows = dict(cls.ROWS)
        for name, found in list(vars(cls).items()):
            if isinstance(found, Row):
                key = found.key or name
                rows[key] = found._replace(key=key, name=name)
                delattr(cls, name)
        for name, kind in vars(cls).get("__annotations__", {}).items():
            if "ClassVar" not in str(kind) and not any(r.name == name for r in rows.values()):
                raise TypeError(f"{cls.__name__}.{name} has no row")
        cls.ROWS = rows
        cls._names = tuple(one.name for one in rows.values())
        cls._needed = frozenset(one.name for one in rows.values() if one.needed)
        cls._fresh = tuple(one for one in rows.values() if not one.needed and one.is_made_afresh)
        cls._usual = {
            one.name: None if one.needed or one.is_made_afresh else one.fresh()
            for one in rows.values()
        }

    def __init__(self, **values: Any) -> None:
        here = self.__dict__
        here.update(self._usual)
        here.update(values)
        for one in self._fresh:
            if one.name not in values:
                here[one.name] = one.fresh()
        for name in self._needed:
            if name not in values:
                raise TypeError(f"{type(self).__name__} needs {name}")
        if len(here) > len(self._names):
            unknown = values.keys() - set(self._names)
            raise TypeError(f"{type(self).__name__} has no {', '.join(sorted(unknown))}")
        here["_written"] = frozenset(values)

    @property
    def written(self) -> frozenset[str]:
        """Names of the fields that were given, others have their default."""
        found: frozenset[str] = self.__dict__["_written"]
        return found

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"{type(self).__name__} is frozen")

    __delattr__ = __setattr__  # type: ignore[assignment]

    def __eq__(self, other: object) -> bool:
        if type(other) is not type(self):
            return NotImplemented
        return all(getattr(self, name) == getattr(other, name) for name in self._names)

    def __repr__(self) -> str:
        told = (f"{n}={getattr(self, n)!r}" for n in self._names if n in self.written)
        return f"{type(self).__name__}({', '.join(told)})"

    def but(self: Self, **values: Any) -> Self:
        """The same with other values."""
        return type(self)(**{name: getattr(self, name) for name in self.written} | values)

    @classmethod
    def of_tree(cls: type[Self], tree: object) -> Self:
        """The record that a map of texts makes.

        Args:
            tree: The map as it was read from YAML: its scalars are text.

        Raises:
            NotRead: with every slip, in the order of the table; unknown keys last.
        """
        errors: list[FieldError] = []
        found = _record(cls, tree, (), errors)
        if errors:
            raise NotRead(errors)
        assert found is not None
        return found


def _record(kind: type[Self], tree: object, path: Path, errors: list[FieldError]) -> Self | None:
    if isinstance(tree, kind):
        return tree
    if not isinstance(tree, dict):
        errors.append(FieldError("map", path, tree))
        return None
    before = len(errors)
    values: dict[str, Any] = {}
    for key, one in kind.ROWS.items():
        if key in tree:
            values[one.name] = _field(one, tree[key], (*path, key), errors)
        elif one.needed:
            errors.append(FieldError("missing", (*path, key), tree))
    if len(values) < len(tree):
        for key, value in tree.items():
            if key not in kind.ROWS:
                errors.append(FieldError("unknown", (*path, key), value))
    return kind(**values) if len(errors) == before else None


def _field(one: Row, value: object, path: Path, errors: list[FieldError]) -> Any:
    if one.many == "":
        return _one(one, value, path, errors)
    if one.many == "by name":
        return _by_name(one, value, path, errors)
    if one.many == "one or list" and not isinstance(value, (list, tuple)):
        lone = isinstance(value, str) if one.record is None else isinstance(value, dict)
        if lone and value != "":
            return [_one(one, value, path, errors)]
    if not isinstance(value, (list, tuple)):
        errors.append(FieldError("list", path, value))
        return None
    return [_one(one, entry, (*path, number), errors) for number, entry in enumerate(value)]


def _by_name(one: Row, value: object, path: Path, errors: list[FieldError]) -> Any:
    if not isinstance(value, dict):
        errors.append(FieldError("map", path, value))
        return None
    found: dict[Any, Any] = {}
    for key, entry in value.items():
        at = (*path, key)
        name: Any = key if one.names is None else _value(one.names, key, at, errors)
        found[name] = _one(one, entry, at, errors)
    return found


def _one(one: Row, value: object, path: Path, errors: list[FieldError]) -> Any:
    if one.words is not None:
        value = one.words(value)
    if value is None or one.kind is None:
        return value
    if isinstance(one.kind, type):
        return _record(one.kind, value, path, errors)
    return _value(one.kind, value, path, errors)


def _value(kind: Kind, value: object, path: Path, errors: list[FieldError]) -> Any:
    try:
        return kind.validate(value)
    except Unfit as unfit:
        errors.append(FieldError(unfit.code, path, value, unfit.message, unfit.hint))
        return None


# --- finding the way in the table -------------------------------------------------------------


def row_at(record: type[Record], path: Path) -> Row | None:
    """The row of the field at ``path``; numbers of list entries, and names of the coach's own,
    lead nowhere of their own.
    """
    here: type[Record] | None = record
    found: Row | None = None
    name_next = False
    for step in path:
        if name_next:
            name_next = False
            continue
        if isinstance(step, int):
            continue
        found = here.ROWS.get(step) if here is not None else None
        if found is None:
            return None
        here, name_next = found.record, found.many == "by name"
    return found


def record_at(record: type[Record], path: Path) -> type[Record] | None:
    """The record of the map at ``path``, where ``path`` leads to one."""
    if not [step for step in path if isinstance(step, str)]:
        return record
    found = row_at(record, path)
    return found.record if found is not None else None


def example(record: type[Record], path: Path) -> str:
    """What to write at ``path``; empty where the table has no example."""
    if not [step for step in path if isinstance(step, str)]:
        return record.EXAMPLE
    found = row_at(record, path)
    return found.example if found is not None else ""


def is_needed(record: type[Record], path: Path) -> bool:
    """True where a map is not whole without the field at ``path``."""
    found = row_at(record, path) if path and isinstance(path[-1], str) else None
    return found is not None and found.needed


def root_of(record: type[Record], path: Path) -> tuple[type[Record], Path]:
    """The table that the field at ``path`` stands in, and its path there.

    A map by names of the coach's own begins a table of its own in each of them.
    """
    for end in range(len(path) - 1, 0, -1):
        found = row_at(record, path[:end])
        if found is not None and found.many == "by name" and found.record is not None:
            below = row_at(record, path[: end - 1]) if end > 1 else None
            if below is None or below.many != "by name":
                return found.record, path[end + 1 :]
    return record, path


def all_rows(
    record: type[Record], above: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], Row]]:
    """Every field with its path, in the order of the table, each map before what is in it.

    Maps by names of the coach's own, as groups are, are tables of their own.
    """
    for key, one in record.ROWS.items():
        path = (*above, key)
        yield path, one
        if one.record is not None and one.many != "by name":
            yield from all_rows(one.record, path)
