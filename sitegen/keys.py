"""The private links of a practice: who lies where, under which key.

Pure: text in, links out; chance comes in as ``draw_bytes``. `sitegen.keys_file` reads and
writes the file. A damaged file is a list of problems, and never mended by guessing: a new key
would silently kill a link that a client has in his bookmarks.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import NamedTuple

import yaml

from sitegen.model.problem import Origin, Problem
from sitegen.portal.seal import (
    ROUNDS_BOUNDS,
    Passphrase,
    from_base64url,
    plain_words,
    stretch,
    to_base64url,
)

DrawBytes = Callable[[int], bytes]

VERSION = "1"
ID_BYTES = 16
KEY_BYTES = 32
LEAST_PASSPHRASE = 12
"""Characters. Common practice, no source: whoever holds the link may guess at leisure."""

_CLIENT = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")

_HEADER = """\
# Private links and keys of this practice, made by sitegen. Whoever reads this file can open
# every portal: keep it out of git, mail and shared folders, and keep a copy in a safe place.
# Without it every client needs a new link.
"""


@dataclass(frozen=True, slots=True)
class Link:
    """One client's private link. Two ids that share nothing, so that neither tells the other."""

    portal: str  # folder of the portal: 128 random bits in base64url
    key: bytes = field(repr=False)  # 256 bits; travels in the link's fragment only
    feed: str  # name of the calendar feed: 128 random bits of its own
    passphrase: Passphrase | None = None

    @property
    def key_text(self) -> str:
        """The key as the link's fragment carries it, 43 characters."""
        return to_base64url(self.key)


class Retired(NamedTuple):
    """A portal and a feed that must go from the hosts; their key is forgotten already."""

    portal: str
    feed: str


@dataclass(frozen=True, slots=True)
class Keys:
    """All links by client id, and what still has to be removed."""

    links: Mapping[str, Link] = field(default_factory=lambda: MappingProxyType({}))
    retired: tuple[Retired, ...] = ()


def ensure(keys: Keys, clients: Iterable[str], draw_bytes: DrawBytes) -> Keys:
    """Draw a link for each client who has none; the others' stay as they are.

    Raises:
        ValueError: The random source repeats itself, so nothing drawn from it is secret.
    """
    missing = sorted(set(clients) - set(keys.links))
    if not missing:
        return keys
    links = dict(keys.links)
    drawn = _all_drawn(keys)
    for client in missing:
        links[client] = _draw_link(drawn, draw_bytes)
    return replace(keys, links=_sorted(links))


def renew(keys: Keys, client: str, draw_bytes: DrawBytes) -> Keys:
    """A new link for one client; the old one is retired. A passphrase stays, as the client
    knows it, and as a renewed link must not be weaker than the old one.

    Raises:
        KeyError: The client has no link yet.
        ValueError: The random source repeats itself.
    """
    old = keys.links[client]
    drawn = _draw_link(_all_drawn(keys), draw_bytes)
    link = replace(drawn, passphrase=old.passphrase)
    return Keys(
        _sorted({**keys.links, client: link}), (*keys.retired, Retired(old.portal, old.feed))
    )


def retire(keys: Keys, client: str) -> Keys:
    """Take a client's link away for good; without a link, nothing changes."""
    if client not in keys.links:
        return keys
    old = keys.links[client]
    others = {name: link for name, link in keys.links.items() if name != client}
    return Keys(_sorted(others), (*keys.retired, Retired(old.portal, old.feed)))


def forget(keys: Keys, removed: Iterable[Retired]) -> Keys:
    """Drop retired ids, once a publish has removed them from every host."""
    gone = frozenset(removed)
    return replace(keys, retired=tuple(old for old in keys.retired if old not in gone))


def with_passphrase(
    keys: Keys, client: str, words: str | None, draw_bytes: DrawBytes
) -> Keys | Problem:
    """Ask for a passphrase on top of a client's link; None takes it off again.

    Only what the words become is kept, so that builds can be repeated: it opens this portal,
    and does not tell the words, which the client may use elsewhere.

    Raises:
        KeyError: The client has no link yet.
    """
    link = keys.links[client]
    if words is None:
        return replace(keys, links=_sorted({**keys.links, client: replace(link, passphrase=None)}))
    if len(plain_words(words)) < LEAST_PASSPHRASE:
        return Problem(
            Origin("passphrase"),
            f"a passphrase needs at least {LEAST_PASSPHRASE} characters",
            "four or five words that do not belong together are easy to say and hard to guess",
            "passphrase-short",
        )
    try:
        passphrase = stretch(words, draw_bytes(16))
    except UnicodeEncodeError:
        return Problem(
            Origin("passphrase"),
            "the passphrase holds something that is not a character",
            "type it again, with letters, digits and spaces",
            "passphrase-form",
        )
    secret = replace(link, passphrase=passphrase)
    return replace(keys, links=_sorted({**keys.links, client: secret}))


def keys_text(keys: Keys) -> str:
    """The file's text; equal keys give equal text, and `read_keys` gives the keys back."""
    lines = [_HEADER, f"version: {VERSION}\n", "clients:\n" if keys.links else "clients: {}\n"]
    for client, link in sorted(keys.links.items()):
        lines.append(
            f"  {client}:\n"
            f'    portal: "{link.portal}"\n'
            f'    key: "{link.key_text}"\n'
            f'    feed: "{link.feed}"\n'
        )
        if link.passphrase:
            lines.append(
                "    passphrase:\n"
                f'      key: "{to_base64url(link.passphrase.key)}"\n'
                f'      salt: "{to_base64url(link.passphrase.salt)}"\n'
                f"      rounds: {link.passphrase.rounds}\n"
            )
    lines.append("retired:\n" if keys.retired else "retired: []\n")
    for old in keys.retired:
        lines.append(f'  - portal: "{old.portal}"\n    feed: "{old.feed}"\n')
    return "".join(lines)


def read_keys(text: str, file: str) -> Keys | tuple[Problem, ...]:
    """Read the file's text.

    Args:
        text: What the file holds.
        file: Its name, for the problems' places.

    Returns:
        The keys, or every problem found; no message quotes a secret.
    """
    return _Reader(file).read(text)


# Drawing


def _draw_link(drawn: set[str], draw_bytes: DrawBytes) -> Link:
    portal, key, feed = (draw_bytes(size) for size in (ID_BYTES, KEY_BYTES, ID_BYTES))
    for raw in (portal, key, feed):
        if to_base64url(raw) in drawn:
            raise ValueError("the random source repeats itself; no link is safe with it")
        drawn.add(to_base64url(raw))
    return Link(to_base64url(portal), key, to_base64url(feed))


def _all_drawn(keys: Keys) -> set[str]:
    now = (text for link in keys.links.values() for text in (link.portal, link.key_text, link.feed))
    before = (text for old in keys.retired for text in (old.portal, old.feed))
    return {*now, *before}


def _sorted(links: Mapping[str, Link]) -> Mapping[str, Link]:
    return MappingProxyType(dict(sorted(links.items())))


# Reading

_MEND = (
    "put back the last good copy of this file; without one, delete it, "
    "and every client gets a new link"
)


class _Reader:
    """Walks the YAML nodes once and notes every problem on the way."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []
        self.seen: dict[str, Origin] = {}

    def read(self, text: str) -> Keys | tuple[Problem, ...]:
        root = self._compose(text)
        if root is None:
            return tuple(self.problems)
        parts = self._map(root, "the file", ("version", "clients", "retired"))
        version = self._text(parts.get("version"), "version")
        if version is not None and version != VERSION:
            self._note(
                parts["version"],
                "this file was written by another version of sitegen",
                "use the version that wrote it, or a newer one",
                "keys-version",
            )
            return tuple(self.problems)
        links = self._links(parts.get("clients"))
        retired = self._retired(parts.get("retired"))
        if self.problems:
            return tuple(sorted(self.problems))
        return Keys(_sorted(links), retired)

    def _compose(self, text: str) -> yaml.Node | None:
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
        try:
            root = yaml.compose(text, Loader=loader)
        except yaml.MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            self._damaged(Origin(self.file, mark.line + 1, mark.column + 1) if mark else None)
            return None
        except (yaml.YAMLError, RecursionError):
            self._damaged(None)
            return None
        if root is None:
            self._damaged(None)
        return root

    def _links(self, node: yaml.Node | None) -> dict[str, Link]:
        links = {}
        for client, (key_node, value) in self._pairs(node, "clients").items():
            if not _CLIENT.fullmatch(client):
                self._note(key_node, "this is not a client's id", _MEND, "keys-form")
                continue
            parts = self._map(value, "a client", ("portal", "key", "feed"), ("passphrase",))
            portal = self._bytes(parts.get("portal"), "portal", ID_BYTES, unique=True)
            key = self._bytes(parts.get("key"), "key", KEY_BYTES, unique=True)
            feed = self._bytes(parts.get("feed"), "feed", ID_BYTES, unique=True)
            passphrase = self._passphrase(parts["passphrase"]) if "passphrase" in parts else None
            if portal and key and feed:
                links[client] = Link(to_base64url(portal), key, to_base64url(feed), passphrase)
        return links

    def _passphrase(self, node: yaml.Node) -> Passphrase | None:
        parts = self._map(node, "a passphrase", ("key", "salt", "rounds"))
        key = self._bytes(parts.get("key"), "key", KEY_BYTES)
        salt = self._bytes(parts.get("salt"), "salt", 16)
        text = self._text(parts.get("rounds"), "rounds")
        if text is None:
            return None
        rounds = int(text) if re.fullmatch(r"[1-9][0-9]{0,8}", text) else 0
        if rounds not in ROUNDS_BOUNDS:
            self._note(parts["rounds"], "these rounds are out of bounds", _MEND, "keys-form")
            return None
        return Passphrase(key, salt, rounds) if key and salt else None

    def _retired(self, node: yaml.Node | None) -> tuple[Retired, ...]:
        if node is None:
            return ()
        if not isinstance(node, yaml.SequenceNode):
            self._note(node, '"retired" has to be a list', _MEND, "keys-form")
            return ()
        retired = []
        for entry in node.value:
            parts = self._map(entry, "a retired link", ("portal", "feed"))
            portal = self._bytes(parts.get("portal"), "portal", ID_BYTES, unique=True)
            feed = self._bytes(parts.get("feed"), "feed", ID_BYTES, unique=True)
            if portal and feed:
                retired.append(Retired(to_base64url(portal), to_base64url(feed)))
        return tuple(retired)

    def _pairs(self, node: yaml.Node | None, name: str) -> dict[str, tuple[yaml.Node, yaml.Node]]:
        """The entries of a map by key; a key given twice is a problem."""
        if node is None:
            return {}
        if not isinstance(node, yaml.MappingNode):
            self._note(node, f"{name} has to be a map", _MEND, "keys-form")
            return {}
        pairs: dict[str, tuple[yaml.Node, yaml.Node]] = {}
        for key, value in node.value:
            if not isinstance(key, yaml.ScalarNode):
                self._note(key, "a plain word is needed here", _MEND, "keys-form")
            elif key.value in pairs:
                self._note(key, "this is written twice", _MEND, "keys-twice")
            else:
                pairs[key.value] = (key, value)
        return pairs

    def _map(
        self, node: yaml.Node, name: str, needed: tuple[str, ...], also: tuple[str, ...] = ()
    ) -> dict[str, yaml.Node]:
        """The values of a map that has just these keys."""
        before = len(self.problems)
        pairs = self._pairs(node, name)
        if len(self.problems) > before and not pairs:
            return {}
        for key, (key_node, _) in pairs.items():
            if key not in needed + also:
                self._note(key_node, f"{name} has nothing of this name", _MEND, "keys-form")
        for key in needed:
            if key not in pairs:
                self._note(node, f'{name} lacks its "{key}"', _MEND, "keys-missing")
        return {key: value for key, (_, value) in pairs.items()}

    def _text(self, node: yaml.Node | None, name: str) -> str | None:
        if node is None:
            return None
        if not isinstance(node, yaml.ScalarNode):
            self._note(node, f'"{name}" has to be one value', _MEND, "keys-form")
            return None
        return str(node.value)

    def _bytes(
        self, node: yaml.Node | None, name: str, size: int, *, unique: bool = False
    ) -> bytes | None:
        text = self._text(node, name)
        if node is None or text is None:
            return None
        raw = from_base64url(text, size)
        if raw is None:
            self._note(node, f'"{name}" is cut short or garbled', _MEND, "keys-form")
            return None
        if unique and text in self.seen:
            self._note(
                node,
                f'this "{name}" is also the one in line {self.seen[text].line}',
                "each client needs a link of their own; " + _MEND,
                "keys-shared",
            )
            return None
        self.seen[text] = self._origin(node)
        return raw

    def _origin(self, node: yaml.Node) -> Origin:
        return Origin(self.file, node.start_mark.line + 1, node.start_mark.column + 1)

    def _note(self, node: yaml.Node, message: str, hint: str, code: str) -> None:
        self.problems.append(Problem(self._origin(node), message, hint, code))

    def _damaged(self, origin: Origin | None) -> None:
        self.problems.append(
            Problem(origin or Origin(self.file), "this file is damaged", _MEND, "keys-damaged")
        )
