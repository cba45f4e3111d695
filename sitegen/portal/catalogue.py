"""The languages that come with the tool: their sentences and their drills.

Catalogues come in as the bytes of compiled gettext files, which the standard library reads; Babel
is needed only to make them. English is what stands in the code and needs neither.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from gettext import GNUTranslations, NullTranslations
from hashlib import blake2b
from types import MappingProxyType
from typing import NamedTuple

from sitegen.model.drill import Drill
from sitegen.model.languages import ENGLISH, fitting
from sitegen.practice.drills import read_drill

# By BCP 47 tag: the compiled catalogue, and the translated drills' files by their ids.
Shipped = Mapping[str, tuple[bytes, Mapping[str, bytes]]]


@dataclass(frozen=True)
class Languages:
    """Every language beside English."""

    shipped: Shipped = field(default_factory=lambda: MappingProxyType({}))
    _catalogues: dict[str, NullTranslations] = field(
        default_factory=dict, compare=False, repr=False
    )
    _drills: dict[tuple[str, Drill], Drill] = field(default_factory=dict, compare=False, repr=False)

    def spoken(self, language: str) -> str:
        """The language of a page for who asked for ``language``.

        That is the language asked for, with its region, which numbers and dates follow; English
        where there is no catalogue for it.
        """
        return language if fitting(language, (ENGLISH, *self.shipped)) else ENGLISH

    def said(self, language: str) -> str:
        """The language that is really said for ``language``: one of ours, without its region."""
        return fitting(language, self.shipped) or ENGLISH

    def catalogue(self, language: str) -> NullTranslations:
        """What is said in ``language``; English where there is no catalogue for it."""
        found = self.said(language)
        if found not in self._catalogues:
            self._catalogues[found] = (
                GNUTranslations(_Held(self.shipped[found][0]))
                if found in self.shipped
                else NullTranslations()
            )
        return self._catalogues[found]

    def edition(self, language: str) -> str:
        """Another name for each catalogue: the tag, and a hash of what it says."""
        found = self.said(language)
        words = self.shipped[found][0] if found in self.shipped else b""
        return f"{found}-{blake2b(words, digest_size=8).hexdigest()}"

    def drills(self, drills: Iterable[Drill], language: str) -> tuple[Drill, ...]:
        """The same drills; shipped ones in ``language`` as far as they are translated."""
        found = fitting(language, self.shipped)
        return tuple(drills if found is None else (self._drill(drill, found) for drill in drills))

    def _drill(self, drill: Drill, language: str) -> Drill:
        """A shipped drill with its words replaced; when and where it is practised stays.

        Raises:
            ValueError: The translation can't be read; a developer's slip.
        """
        data = self.shipped[language][1].get(drill.id)
        if drill.own or data is None:
            return drill
        if (language, drill) not in self._drills:
            file = f"library/drills/{language}/{drill.id}.md"
            said, problems = read_drill(drill.id, data, file, own=False, instead_of=drill)
            if said is None:
                raise ValueError("; ".join(str(problem) for problem in problems))
            self._drills[language, drill] = said._replace(figure=drill.figure)
        return self._drills[language, drill]


class _Held(NamedTuple):
    """Bytes at hand, read as `GNUTranslations` reads a file."""

    held: bytes

    def read(self) -> bytes:
        return self.held
