"""A sentence that can still be translated: a template and the values that go into it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Sentence:
    """``Sentence("{minutes} min this week", {"minutes": 72})``.

    ``str()`` gives the English; a catalogue translates ``template`` and fills in ``values``
    itself. Values are numbers, dates or words, never finished sentences.
    """

    template: str
    values: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))

    def __hash__(self) -> int:
        return hash(self.template)

    def __str__(self) -> str:
        return self.template.format(**{k: _plain(v) for k, v in self.values.items()})


def say(template: str, /, **values: object) -> Sentence:
    """A sentence for the client or the coach, with its values kept apart."""
    return Sentence(template, values)


def _plain(value: object) -> object:
    """Whole floats lose their ``.0``; other floats keep one decimal."""
    if isinstance(value, float):
        return int(value) if value.is_integer() else round(value, 1)
    return value
