"""A sentence that can still be translated: a template and the values that go into it."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple


def N_(text: str) -> str:
    """Mark a string for the catalogue where it is written down but not yet said."""
    return text


class Sentence(NamedTuple):
    """``Sentence("{minutes} min this week", {"minutes": 72})``.

    ``str()`` gives the English; a catalogue translates ``template`` and fills in ``values``
    itself. Values are numbers, shares, dates, names, or a word or two that are a sentence of
    their own, so that they are translated as well; never a finished sentence. ``many`` is the
    template for any number in the value ``count`` but one.
    """

    template: str
    values: Mapping[str, object] = MappingProxyType({})
    many: str = ""

    def __hash__(self) -> int:
        return hash(self.template)

    def __str__(self) -> str:
        if not self.values and "{" not in self.template and "}" not in self.template:
            return self.template
        plural = self.many and self.values["count"] != 1
        template = self.many if plural else self.template
        return template.format(**{k: _plain(v) for k, v in self.values.items()})


def say(template: str, /, **values: object) -> Sentence:
    """A sentence for the client or the coach, with its values kept apart."""
    return Sentence(template, values)


def say_count(one: str, many: str, /, *, count: int, **values: object) -> Sentence:
    """A sentence about ``count`` things: ``one`` for a single one, ``many`` for the rest."""
    return Sentence(one, {"count": count, **values}, many)


def _plain(value: object) -> object:
    """Whole floats lose their ``.0``; other floats keep one decimal."""
    if isinstance(value, float):
        return int(value) if value.is_integer() else round(value, 1)
    return value
