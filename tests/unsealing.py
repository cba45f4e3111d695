"""Sealed portals opened in Python, for tests alone: a page opens them by its own script."""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import zlib
from typing import Literal

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from sitegen.seal.sealing import (
    DIGEST_BYTES,
    DOCUMENT_LIMIT,
    GCM_TAG_BYTES,
    HEAD_FORM,
    LENGTH_FORM,
    MAGIC,
    NEEDS_PASSPHRASE,
    ROUNDS_BOUNDS,
    SEAL_VERSION,
    TAG_BYTES,
    Passphrase,
    document_key_and_nonce,
    link_check,
    plain_words,
    stretch,
)  # fmt: skip

SealFault = Literal[
    "damaged", "unknown-version", "wrong-key", "needs-passphrase", "wrong-passphrase"
]


class SealError(Exception):
    """A sealed document that does not open. ``fault`` is one of `SealFault`."""

    def __init__(self, fault: SealFault) -> None:
        super().__init__(fault)
        self.fault: SealFault = fault


def unseal(
    sealed: bytes, *, portal: str, key: bytes, passphrase: str | Passphrase | None = None
) -> bytes:
    """Open what `seal` made.

    Raises:
        SealError: It does not open; nothing of the document is given away then.
        ValueError: An id or key of the wrong form.
    """
    place = portal.encode("ascii")
    flags, rounds, salt, check = _fields_of_head(sealed)
    whole, digest = sealed[:-DIGEST_BYTES], sealed[-DIGEST_BYTES:]
    least = HEAD_FORM.size + TAG_BYTES + LENGTH_FORM.size + GCM_TAG_BYTES
    if len(whole) < least or hashlib.sha256(whole).digest() != digest:
        raise SealError("damaged")
    if flags & ~NEEDS_PASSPHRASE:
        raise SealError("unknown-version")
    if not hmac.compare_digest(check, link_check(key, portal)):
        raise SealError("wrong-key")
    stretched = None
    if flags & NEEDS_PASSPHRASE:
        if rounds not in ROUNDS_BOUNDS:
            raise SealError("damaged")
        if passphrase is None or (isinstance(passphrase, str) and not plain_words(passphrase)):
            raise SealError("needs-passphrase")
        stretched = stretch(passphrase, salt, rounds) if isinstance(passphrase, str) else passphrase
    head, tag = whole[: HEAD_FORM.size], whole[HEAD_FORM.size : HEAD_FORM.size + TAG_BYTES]
    secret = key + stretched.key if stretched else key
    document_key, nonce = document_key_and_nonce(secret, portal, tag)
    try:
        padded = AESGCM(document_key).decrypt(
            nonce, whole[HEAD_FORM.size + TAG_BYTES :], head + tag + place
        )
    except InvalidTag:
        raise SealError("damaged" if stretched is None else "wrong-passphrase") from None
    return _inflate(padded)


def needs_passphrase(sealed: bytes) -> bool:
    """Whether a passphrase is asked for; written in clear.

    Raises:
        SealError: Not a sealed document, or of a version that we do not know.
    """
    return bool(_fields_of_head(sealed)[0] & NEEDS_PASSPHRASE)


def sealed_from_text(text: str) -> bytes:
    """Read `sealed_text` back; white space around it does not matter.

    Raises:
        SealError: Not base64.
    """
    try:
        return base64.b64decode(text.strip(" \t\r\n"), validate=True)
    except (binascii.Error, ValueError):
        raise SealError("damaged") from None


def _fields_of_head(sealed: bytes) -> tuple[int, int, bytes, bytes]:
    if len(sealed) < HEAD_FORM.size:
        raise SealError("damaged")
    magic, version, flags, rounds, salt, check = HEAD_FORM.unpack_from(sealed)
    if magic != MAGIC:
        raise SealError("damaged")
    if version != SEAL_VERSION:  # before all else: another version may have another form
        raise SealError("unknown-version")
    return flags, rounds, salt, check


def _inflate(padded: bytes) -> bytes:
    (size,) = LENGTH_FORM.unpack_from(padded)
    compressed = padded[LENGTH_FORM.size : LENGTH_FORM.size + size]
    unpacker = zlib.decompressobj()
    try:
        document = unpacker.decompress(compressed, DOCUMENT_LIMIT + 1)
    except zlib.error:
        raise SealError("damaged") from None
    whole = len(compressed) == size and unpacker.eof and not unpacker.unused_data
    if not whole or len(document) > DOCUMENT_LIMIT:
        raise SealError("damaged")
    return document
