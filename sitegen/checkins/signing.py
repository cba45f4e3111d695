"""Whether a check-in was written on the page that its private link opens.

The page adds ``signed: LETTERS``, a MAC over the check-in's values; ``views/checkin/signing.js`` is
its half. It proves the link, not the person. Mail wraps text, curls quotes and composes accents
anew, so the values are taken in a form in which such things make no difference.

Sources: HMAC, RFC 2104; SHA-256, FIPS 180-4; base32, RFC 4648; NFC, Unicode Standard Annex 15.
Pure: values in, values out.
"""

from __future__ import annotations

import base64
import hmac
import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Literal

from sitegen.checkins.letters import Sound
from sitegen.checkins.posting import Posted
from sitegen.model.checkin import CheckIn
from sitegen.practice.yaml_text import Tree
from sitegen.seal.keys import Link
from sitegen.seal.sealing import checkin_key

Signed = Literal["yes", "no", "changed"]
FIELD = "signed"
LETTERS = 20
"""100 of the 256 bits, as base32: one line of a text message."""

SIGNED_WORDS: Mapping[Signed, str] = {
    "yes": "signed",
    "no": "not signed",
    "changed": "changed, so not signed",
}
ABOUT_CHANGED = (
    "changed since the page signed it: where you have not mended it yourself, somebody or a "
    "program has written into it; ask before you rely on it"
)

_HEADER = "sitegen check-in 1\n"
_TOLD_APART = frozenset({FIELD, "received"})  # `receive` writes these
_PROOF = re.compile(f"[a-z2-7]{{{LETTERS}}}")
# What mail and phones add, drop or exchange; the same lists as in signing.js.
_UNSEEN = re.compile(
    "[\t\n\v\f\r \u0085\u00a0\u00ad\u1680\u180e\u2000-\u200f\u2028-\u202f\u205f-\u2064\u3000"
    "\ufe0e\ufe0f\ufeff\"'`\u00b4\u2018-\u201f\u00ab\u00bb]"
)
_DASHES = re.compile("[-\u2010-\u2015\u2212]+")


def canonical(tree: Mapping[str, Tree]) -> bytes:
    """A check-in's values in the one form that is signed: a line ``name=value`` each, by name."""
    lines = sorted(f"{name}={value}\n" for name, value in _values(tree) if value)
    return (_HEADER + "".join(lines)).encode("utf-8")


def proof(key: bytes, tree: Mapping[str, Tree]) -> str:
    """The letters that a page writes after ``signed:``, under the key of `checkin_key`."""
    tag = hmac.digest(key, canonical(tree), "sha256")
    return base64.b32encode(tag).decode("ascii").lower()[:LETTERS]


def signed(link: Link | None, tree: Mapping[str, Tree]) -> Signed:
    """Whether these values are those that this link's page signed."""
    told = tree.get(FIELD)
    letters = "".join(told.lower().split()) if isinstance(told, str) else ""
    if link is None or letters in ("", *SIGNED_WORDS):  # such a word in a message proves nothing
        return "no"
    key = checkin_key(link.key, link.passphrase, link.portal)
    right = _PROOF.fullmatch(letters) and hmac.compare_digest(letters, proof(key, tree))
    return "yes" if right else "changed"


def with_signed(posted: Sequence[Posted], links: Mapping[str, Link]) -> list[Posted]:
    """The same, with what was found in place of what each entry says of itself."""
    return [replace(one, read=replace(one.read, sound=tuple(
        _judged(sound, links.get(one.id)) for sound in one.read.sound
    ))) for one in posted]  # fmt: skip


def _judged(sound: Sound, link: Link | None) -> Sound:
    tree = {**sound.tree, FIELD: signed(link, sound.tree)}
    return Sound(CheckIn.of_tree(tree), tree)


def how_signed(entry: CheckIn) -> Signed:
    """What `with_signed` found."""
    return "yes" if entry.signed == "yes" else "changed" if entry.signed == "changed" else "no"


def _values(tree: Mapping[str, Tree], at: str = "") -> Iterator[tuple[str, str]]:
    for name, value in tree.items():
        if not at and name in _TOLD_APART:
            continue
        if isinstance(value, dict):
            yield from _values(value, f"{at}{name}.")
        elif isinstance(value, list):
            yield f"{at}{name}", _in_line(value)
        else:
            yield f"{at}{name}", _plain(value)


def _in_line(value: Sequence[Tree]) -> str:
    """A list as the page has it on one line: maps in braces, and brackets round a list of them."""
    maps = [
        "{" + ",".join(f"{name}:{_plain(v)}" for name, v in one.items() if isinstance(v, str)) + "}"
        for one in value
        if isinstance(one, dict)
    ]
    texts = [_plain(one) for one in value if isinstance(one, str)]
    return f"[{','.join(maps)}]" if maps else ",".join(texts)


def _plain(text: str) -> str:
    """Without white space, quotes and what nobody sees; one form of dashes, dots and accents."""
    bare = _UNSEEN.sub("", unicodedata.normalize("NFC", text))
    return _DASHES.sub("-", bare).replace("\u2026", "...")
