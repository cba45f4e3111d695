"""The private links of a practice: who lies where, under which key.

Pure; chance comes in as ``draw_bytes``. `sitegen.seal.keys_yaml` reads the file's text, and
`sitegen.seal.keys_file` reads and writes the file.
"""

from __future__ import annotations

import re
from base64 import urlsafe_b64decode
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import NamedTuple

from sitegen.model.problem import Origin, Problem
from sitegen.seal.sealing import (
    Passphrase,
    device_key,
    plain_words,
    stretch,
    to_base64url,
)

DrawBytes = Callable[[int], bytes]

KEYS_VERSION = "1"
ID_BYTES = 16
KEY_BYTES = 32
LEAST_PASSPHRASE = 12
"""Characters. Common practice, no source: whoever holds the link may guess at leisure."""

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
    kept_under: tuple[bytes, ...] = field(default=(), repr=False)
    """Under which a device may hold what was told before the passphrase was changed."""

    @property
    def key_text(self) -> str:
        """The key as the link's fragment carries it, 43 characters."""
        return to_base64url(self.key)


class Retired(NamedTuple):
    """A portal and a feed that must go from the hosts. Their key stands here no more; of a renewed
    link `undo` has it still (`sitegen.coach.link_versions`)."""

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
    return replace(keys, links=sorted_links(links))


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
        sorted_links({**keys.links, client: link}), (*keys.retired, Retired(old.portal, old.feed))
    )


def retire(keys: Keys, client: str) -> Keys:
    """Take a client's link away for good; without a link, nothing changes."""
    if client not in keys.links:
        return keys
    old = keys.links[client]
    others = {name: link for name, link in keys.links.items() if name != client}
    return Keys(sorted_links(others), (*keys.retired, Retired(old.portal, old.feed)))


def put_link_back(keys: Keys, client: str, link: Link) -> Keys:
    """A client's link as it was before; the one in its place is retired, if it is another."""
    now = keys.links.get(client)
    retired = tuple(old for old in keys.retired if old.portal != link.portal)
    if now is not None and now.portal != link.portal:
        retired = (*retired, Retired(now.portal, now.feed))
    return Keys(sorted_links({**keys.links, client: link}), retired)


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
        return replace(keys, links=sorted_links({**keys.links, client: _under(link, None)}))
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
    return replace(keys, links=sorted_links({**keys.links, client: _under(link, passphrase)}))


def _under(link: Link, passphrase: Passphrase | None) -> Link:
    """The link under another passphrase. A check-in that was begun under the one before is no less
    the client's own: the next page opens it."""
    if link.passphrase is None:
        return replace(link, passphrase=passphrase)
    before = device_key(link.key, link.passphrase, link.portal)
    return replace(link, passphrase=passphrase, kept_under=(*link.kept_under, before))


def keys_text(keys: Keys) -> str:
    """The file's text; equal keys give equal text, and `sitegen.seal.keys_yaml.read_keys` gives
    the keys back."""
    lines = [_HEADER, f"version: {KEYS_VERSION}\n", "clients:\n" if keys.links else "clients: {}\n"]
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
        if link.kept_under:
            lines.append("    kept_under:\n")
        lines += (f'      - "{to_base64url(key)}"\n' for key in link.kept_under)
    lines.append("retired:\n" if keys.retired else "retired: []\n")
    for old in keys.retired:
        lines.append(f'  - portal: "{old.portal}"\n    feed: "{old.feed}"\n')
    return "".join(lines)


# Base64url of 16 and of 32 bytes; the last letter has no stray bits.
_ID, _KEY = r"[A-Za-z0-9_-]{21}[AQgw]", r"[A-Za-z0-9_-]{42}[AEIMQUYcgkosw048]"
_LINK = re.compile(
    r"  ([a-z0-9][a-z0-9-]{0,39}):\n"
    rf'    portal: "({_ID})"\n    key: "({_KEY})"\n    feed: "({_ID})"\n'
)
_RETIRED = re.compile(rf'  - portal: "({_ID})"\n    feed: "({_ID})"\n')


def keys_as_written(text: str) -> Keys | None:
    """What `keys_text` made this text of, where it did and none has a passphrase; else None.

    Quicker than reading YAML: 3 ms for 1,000 clients, where `sitegen.seal.keys_yaml` takes 80.
    What was found is written again for comparison, so nothing but such a text is taken.
    """
    found, gone = _LINK.findall(text), _RETIRED.findall(text)
    secrets = [secret for _, *row in found for secret in row]
    secrets += [secret for row in gone for secret in row]
    if len({*secrets}) != len(secrets):
        return None
    links = {
        id: Link(portal, urlsafe_b64decode(f"{key}="), feed) for id, portal, key, feed in found
    }
    keys = Keys(MappingProxyType(links), tuple(Retired(*row) for row in gone))
    return keys if keys_text(keys) == text else None


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


def sorted_links(links: Mapping[str, Link]) -> Mapping[str, Link]:
    """In the order of ids, as the file has them."""
    return MappingProxyType(dict(sorted(links.items())))
