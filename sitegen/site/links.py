"""The private links of one build: read, drawn for new clients, written down when all is built."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

from sitegen import world
from sitegen.model.problem import Origin, Problem
from sitegen.practice.opening import Listed
from sitegen.seal.addresses import feed_name
from sitegen.seal.keys import Keys, Link, ensure, retire
from sitegen.seal.keys_file import KEYS_FILE, load_keys, update_keys
from sitegen.site.notes import SEEN_FILE, Notes

MOST_LINKS_NAMED = 5  # of those whose links were lost
_NONE: Mapping[str, Link] = MappingProxyType({})


@dataclass(slots=True)
class Links:
    """Every client's link.

    Attributes:
        file: Where they are kept.
        there: The clients who have a file, or may have one under a wrong name.
        keys: The file's content; None where it has an error.
        drawn: The links with those of new clients, not yet written down; None with an error.
        problems: What is wrong with the file.
    """

    file: Path
    there: frozenset[str]
    keys: Keys | None
    drawn: Mapping[str, Link] | None
    problems: tuple[Problem, ...]

    @classmethod
    def open(cls, listed: Listed) -> Links:
        """Read the links, and draw those of the clients wanted who have none."""
        file = listed.clients / KEYS_FILE
        keys, told = load_keys(file)
        if not file.exists():
            told += tuple(_lost(listed))
        drawn = None if keys is None else ensure(keys, listed.ids, world.draw_bytes).links
        return cls(file, listed.meant.union(listed.all_ids), keys, drawn, told)

    @property
    def kept(self) -> Mapping[str, Link]:
        """The links that are written down."""
        return _NONE if self.keys is None else self.keys.links

    def of(self, id: str) -> Link:
        assert self.drawn is not None, "without keys nothing is built"
        return self.drawn[id]

    def names_of(self, ids: Iterable[str]) -> frozenset[str]:
        """Folders of portals, and feeds, of those clients who have a link."""
        links = [link for id in ids if (link := self.kept.get(id)) is not None]
        return frozenset(name for link in links for name in (link.portal, feed_name(link)))

    def keep(self, living: Collection[str], ended: Collection[str]) -> tuple[Problem, ...]:
        """Write down the links that were drawn, and retire those of who ended or is gone.

        Raises:
            Refused: A link was changed meanwhile.
        """
        assert self.keys is not None, "without keys nothing is built"
        if set(living) == set(self.keys.links) == self.there:
            return ()  # each has a link, and nobody has one too many

        def change(keys: Keys) -> Keys:
            for id in [id for id in keys.links if id in ended or id not in self.there]:
                keys = retire(keys, id)
            links = {id: self.of(id) for id in living} | dict(keys.links)
            return replace(keys, links=MappingProxyType(dict(sorted(links.items()))))

        if change(self.keys) == self.keys:
            return ()
        try:
            keys, told = update_keys(self.file, change)
        except OSError as error:
            why = error.strerror or str(error)
            origin = Origin(self.file.as_posix())
            return (Problem(origin, f"the links can't be written: {why}", "", "keys-write"),)
        if keys is None:
            return told
        if any(keys.links.get(id) != self.of(id) for id in living):
            raise world.Refused("a private link was changed during this build; build again")
        self.keys = keys
        return told


def _lost(listed: Listed) -> Iterator[Problem]:
    """That the file is gone, where pages were built by it: each of those clients has a new link."""
    with Notes(listed.clients, SEEN_FILE) as seen:
        had = sorted({*seen.ids()}.intersection(listed.all_ids))
    if had:
        named = ", ".join(had[:MOST_LINKS_NAMED])
        more = f" and {len(had) - MOST_LINKS_NAMED} more" if len(had) > MOST_LINKS_NAMED else ""
        yield Problem(
            Origin((listed.clients / KEYS_FILE).as_posix()),
            f"the private keys are lost, so there are new links for {named}{more}, and the old "
            "ones end at the next publish",
            "put your copy of the file back and build again, or send the new links: sitegen links",
            "keys-lost",
            "warning",
        )
