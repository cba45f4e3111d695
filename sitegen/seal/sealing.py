"""Seal a portal, so that the host which keeps it cannot read it.

One document in, one block of bytes out, and the same bytes for the same document. The format
is written down byte by byte in ``docs/sealing.md``, with its reasons and test vectors; the
browser's half is ``templates/door/seal.js``.

Sources: AES-GCM, NIST SP 800-38D; HKDF, RFC 5869; PBKDF2, RFC 8018; the synthetic tag follows
the idea of SIV (Rogaway and Shrimpton 2006; RFC 5297), with a key of its own for each document.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import re
import struct
import unicodedata
from dataclasses import dataclass, field

import deflate

MAGIC = b"SEAL"
SEAL_VERSION = 1
NEEDS_PASSPHRASE = 0x01
HEAD_FORM = struct.Struct(">4sBBI16s16s")  # magic, version, flags, rounds, salt, link check
TAG_BYTES = 32  # the synthetic tag, right after the head
GCM_TAG_BYTES = 16
DIGEST_BYTES = 32
AROUND = HEAD_FORM.size + TAG_BYTES + GCM_TAG_BYTES + DIGEST_BYTES
LENGTH_FORM = struct.Struct(">I")  # in front of the compressed document, inside the padding

STEP = 12 * 1024
"""Bytes. 12 KiB sealed are 16 KiB of base64, which is what the host stores and can measure."""

DOCUMENT_LIMIT = 8 * 1024 * 1024
"""Bytes. No reader unpacks more than this."""

# Of libdeflate: portals of 0.3 MB come out 0.4 % smaller than by zlib's level 8, in 2.0 ms instead
# of 4.6; level 8 takes 2.8 ms for 1.4 % less.
COMPRESSION_LEVEL = 7
# What lies so little over a step is pressed harder (2.2 % less, in half as long again): a client is
# spared the whole step.
HARDER_LEVEL = 9
LITTLE_OVER = 0.03
ROUNDS = 600_000  # PBKDF2-HMAC-SHA-256; OWASP Password Storage Cheat Sheet
ROUNDS_BOUNDS = range(100_000, 10_000_001)  # a reader refuses others, and never hangs
NO_SALT = bytes(16)


@dataclass(frozen=True, slots=True)
class Passphrase:
    """What a passphrase leaves behind: enough to seal again, not the words themselves."""

    key: bytes = field(repr=False)
    salt: bytes
    rounds: int = ROUNDS

    def __post_init__(self) -> None:
        if len(self.key) != 32 or len(self.salt) != 16 or self.rounds not in ROUNDS_BOUNDS:
            raise ValueError("a passphrase needs a 32-byte key, a 16-byte salt, sane rounds")


def stretch(words: str, salt: bytes, rounds: int = ROUNDS) -> Passphrase:
    """Turn the words of a passphrase into key material. Takes about 0.2 s, on purpose.

    Args:
        words: As typed; how spaces and accents were typed makes no difference.
        salt: 16 random bytes.
        rounds: Within `ROUNDS_BOUNDS`.

    Raises:
        ValueError: Empty words, or words that are not valid Unicode.
    """
    plain = plain_words(words)
    if not plain:
        raise ValueError("an empty passphrase protects nothing")
    secret = hashlib.pbkdf2_hmac("sha256", plain.encode(), salt, rounds, 32)
    return Passphrase(secret, salt, rounds)


_SPACES = re.compile("[\t\n\r \u00a0\u1680\u2000-\u200a\u202f\u205f\u3000]+")


def plain_words(words: str) -> str:
    """A passphrase in the one form that is stretched: NFC, single spaces, none at the ends.

    Phones add a space after a word, and systems differ in how they compose an accent.
    """
    return _SPACES.sub(" ", unicodedata.normalize("NFC", words)).strip(" ")


def seal(
    document: bytes,
    *,
    portal: str,
    key: bytes,
    passphrase: Passphrase | None = None,
    step: int = STEP,
    least: int = 1,
) -> bytes:
    """Seal a document under a link's key.

    Args:
        document: The portal's text in UTF-8, at most `DOCUMENT_LIMIT` bytes.
        portal: Its id: 16 bytes as 22 characters of base64url.
        key: The link's key, 32 bytes.
        passphrase: Asked for on top of the link, if given.
        step: The sealed size in bytes is a multiple of this.
        least: The sealed size in steps is at least this.

    Returns:
        The sealed bytes; equal inputs give equal bytes.

    Raises:
        ValueError: An id, key or document of the wrong form or size; a developer's slip.
    """
    if len(document) > DOCUMENT_LIMIT:
        raise ValueError(f"a portal of {len(document)} bytes is over the limit")
    return seal_compressed(
        _compressed(document, step),
        portal=portal,
        key=key,
        passphrase=passphrase,
        step=step,
        least=least,
    )


def seal_compressed(
    compressed: bytes,
    *,
    portal: str,
    key: bytes,
    passphrase: Passphrase | None,
    step: int,
    least: int = 1,
) -> bytes:
    """The part of `seal` after compression; apart, as libraries may compress differently."""
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM

    place = _portal_bytes(portal)
    check = link_check(key, portal)
    if passphrase is None:
        head = HEAD_FORM.pack(MAGIC, SEAL_VERSION, 0, 0, NO_SALT, check)
    else:
        head = HEAD_FORM.pack(
            MAGIC, SEAL_VERSION, NEEDS_PASSPHRASE, passphrase.rounds, passphrase.salt, check
        )
    padded = _pad(compressed, step, least)
    secret = _secret(key, passphrase)
    tag = synthetic_tag(secret, portal, head + place + padded)
    document_key, nonce = document_key_and_nonce(secret, portal, tag)
    ciphertext = AESGCM(document_key).encrypt(nonce, padded, head + tag + place)
    whole = head + tag + ciphertext
    return whole + hashlib.sha256(whole).digest()


def sealed_text(sealed: bytes) -> str:
    """Sealed bytes as base64, to lie in a page: letters, digits, ``+`` and ``/``, no padding."""
    return base64.b64encode(sealed).decode("ascii")


def to_base64url(raw: bytes) -> str:
    """Bytes as base64url without padding (RFC 4648, section 5): how ids and keys are written."""
    return base64.urlsafe_b64encode(raw).rstrip(b"=").decode("ascii")


def from_base64url(text: str, size: int) -> bytes | None:
    """``size`` bytes from base64url without padding, or None; stray bits are refused too."""
    try:
        raw = base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)
    except (binascii.Error, ValueError):
        return None
    return raw if len(raw) == size and to_base64url(raw) == text else None


# Keys: one secret, one label for each use.


def link_check(key: bytes, portal: str) -> bytes:
    """16 bytes that tell a link of another portal from a damaged page, and nothing else."""
    return _derive(_secret(key, None), "link check", portal, b"", 16)


def checkin_key(key: bytes, passphrase: Passphrase | None, portal: str) -> bytes:
    """32 bytes with which a portal's page signs check-ins; they open nothing."""
    return _derive(_secret(key, passphrase), "check-in", portal, b"", 32)


def device_key(key: bytes, passphrase: Passphrase | None, portal: str) -> bytes:
    """32 bytes under which a reader's device keeps what was told; they open no page."""
    return _derive(_secret(key, passphrase), "device", portal, b"", 32)


def synthetic_tag(secret: bytes, portal: str, message: bytes) -> bytes:
    """32 bytes that stand for this very message under this secret.

    ``message`` is head, portal id and padded text: the first two have one fixed length, so no
    two different triples give the same message.
    """
    return hmac.digest(_derive(secret, "tag", portal, b"", 32), message, "sha256")


def document_key_and_nonce(secret: bytes, portal: str, tag: bytes) -> tuple[bytes, bytes]:
    """The AES key (32 bytes) and nonce (12 bytes) of the one document with this tag."""
    both = _derive(secret, "document", portal, tag, 44)
    return both[:32], both[32:]


def _secret(key: bytes, passphrase: Passphrase | None) -> bytes:
    if len(key) != 32:
        raise ValueError("a link's key has 32 bytes")
    return key if passphrase is None else key + passphrase.key


def _derive(secret: bytes, purpose: str, portal: str, more: bytes, size: int) -> bytes:
    from cryptography.hazmat.primitives.hashes import SHA256
    from cryptography.hazmat.primitives.kdf.hkdf import HKDF

    info = f"sitegen seal 1 {purpose} ".encode() + _portal_bytes(portal) + more
    return HKDF(SHA256(), size, salt=bytes(32), info=info).derive(secret)


def _portal_bytes(portal: str) -> bytes:
    if from_base64url(portal, 16) is None:
        raise ValueError("a portal's id is 16 bytes in 22 characters of base64url")
    return portal.encode("ascii")


# Form: head, padding, compression.


def _compressed(document: bytes, step: int) -> bytes:
    """The document at the usual level, or at a harder one where that may save a step."""
    found = bytes(deflate.zlib_compress(document, COMPRESSION_LEVEL))
    over = (AROUND + LENGTH_FORM.size + len(found)) % step
    if len(found) > step and over < LITTLE_OVER * len(found):
        return bytes(deflate.zlib_compress(document, HARDER_LEVEL))
    return found


def _pad(compressed: bytes, step: int, least: int) -> bytes:
    content = LENGTH_FORM.pack(len(compressed)) + compressed
    whole = max(least, -(-(AROUND + len(content)) // step)) * step
    return content.ljust(whole - AROUND, b"\0")
