"""Sealing: what the host keeps is noise to it, and opens for the client alone."""

from __future__ import annotations

import hashlib
import re
import subprocess
import sys
import zlib
from bisect import bisect_left
from pathlib import Path
from typing import Any

import deflate
import pytest
from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from hypothesis import given, settings
from hypothesis import strategies as st

from sitegen.seal import sealing
from sitegen.seal.sealing import (
    COMPRESSION_LEVEL,
    DOCUMENT_LIMIT,
    Passphrase,
    document_key_and_nonce,
    from_base64url,
    link_check,
    plain_words,
    seal,
    seal_compressed,
    sealed_text,
    stretch,
    synthetic_tag,
    to_base64url,
)
from unsealing import SealError, needs_passphrase, sealed_from_text, unseal

KEY = bytes(range(32))
PORTAL = to_base64url(bytes(range(0xA0, 0xB0)))
OTHER_PORTAL = to_base64url(bytes(range(0xB0, 0xC0)))
PLAN = "Run, 35 min. Quiet feet – 161 spm.\n".encode()
WORDS = "lane four, quiet feet"
LOCK = Passphrase(bytes(range(32, 64)), bytes(range(0xF0, 0x100)))

DOCS = (Path(__file__).parents[1] / "docs" / "sealing.md").read_text(encoding="utf-8")


def opened(sealed: bytes, portal: str = PORTAL, key: bytes = KEY, **more: Any) -> bytes:
    return unseal(sealed, portal=portal, key=key, **more)


def fault(sealed: bytes, **more: Any) -> str:
    with pytest.raises(SealError) as caught:
        opened(sealed, **more)
    return caught.value.fault


def with_new_digest(sealed: bytes) -> bytes:
    """As a host would do it that changes bytes on purpose."""
    return sealed[:-32] + hashlib.sha256(sealed[:-32]).digest()


def flipped(sealed: bytes, bit: int) -> bytes:
    changed = bytearray(sealed)
    changed[bit // 8] ^= 1 << bit % 8
    return bytes(changed)


# Published known answers for the parts


@pytest.mark.parametrize(
    ("key", "nonce", "text", "more", "sealed"),
    [
        (bytes(32), bytes(12), b"", b"", "530f8afbc74536b9a963b4f1c4cb738b"),
        (
            bytes(32),
            bytes(12),
            bytes(16),
            b"",
            "cea7403d4d606b6e074ec5d3baf39d18d0d1c8a799996bf0265b98b5d48ab919",
        ),
        (
            bytes.fromhex("feffe9928665731c6d6a8f9467308308" * 2),
            bytes.fromhex("cafebabefacedbaddecaf888"),
            bytes.fromhex(
                "d9313225f88406e5a55909c5aff5269a86a7a9531534f7da2e4c303d8a318a72"
                "1c3c0c95956809532fcf0e2449a6b525b16aedf5aa0de657ba637b39"
            ),
            bytes.fromhex("feedfacedeadbeeffeedfacedeadbeefabaddad2"),
            "522dc1f099567d07f47f37a32a84427d643a8cdcbfe5c0c97598a2bd2555d1aa"
            "8cb08e48590dbb3da7b08b1056828838c5f61e6393ba7a0abcc9f662"
            "76fc6ece0f4e1768cddf8853bb2d551b",
        ),
    ],
    ids=["case 13", "case 14", "case 16"],
)
def test_aes_256_gcm_known_answers(key: bytes, nonce: bytes, text: bytes, more: bytes, sealed: str):
    """McGrew and Viega, GCM submission to NIST, test cases 13, 14 and 16."""
    assert AESGCM(key).encrypt(nonce, text, more).hex() == sealed
    for bit in range(len(sealed) * 4):
        with pytest.raises(InvalidTag):
            AESGCM(key).decrypt(nonce, flipped(bytes.fromhex(sealed), bit), more)


@pytest.mark.parametrize(
    ("secret", "salt", "info", "size", "key"),
    [
        (
            b"\x0b" * 22,
            bytes(range(0x0D)),
            bytes(range(0xF0, 0xFA)),
            42,
            "3cb25f25faacd57a90434f64d0362f2a2d2d0a90cf1a5a4c5db02d56ecc4c5bf34007208d5b887185865",
        ),
        (
            bytes(range(0x50)),
            bytes(range(0x60, 0xB0)),
            bytes(range(0xB0, 0x100)),
            82,
            "b11e398dc80327a1c8e7f78c596a49344f012eda2d4efad8a050cc4c19afa97c"
            "59045a99cac7827271cb41c65e590e09da3275600c2f09b8367793a9aca3db71"
            "cc30c58179ec3e87c14c01d5c1f3434f1d87",
        ),
        (
            b"\x0b" * 22,
            b"",
            b"",
            42,
            "8da4e775a563c18f715f802a063c5a31b8a11f5c5ee1879ec3454e5f3c738d2d9d201395faa4b61a96c8",
        ),
    ],
    ids=["A.1", "A.2", "A.3"],
)
def test_hkdf_known_answers(secret: bytes, salt: bytes, info: bytes, size: int, key: str):
    """RFC 5869, appendix A.1 to A.3. Quoted from memory, and recomputed here by the library."""
    assert HKDF(SHA256(), size, salt=salt, info=info).derive(secret).hex() == key


@pytest.mark.parametrize(
    ("words", "salt", "rounds", "key"),
    [
        (
            b"passwd",
            b"salt",
            1,
            "55ac046e56e3089fec1691c22544b605f94185216dde0465e68b9d57c20dacbc"
            "49ca9cccf179b645991664b39d77ef317c71b845b1e30bd509112041d3a19783",
        ),
        (
            b"Password",
            b"NaCl",
            80000,
            "4ddcd8f60b98be21830cee5ef22701f9641a4418d04c0414aeff08876b34ab56"
            "a1d425a1225833549adb841b51c9b3176a272bdebba1d078478f62b397f33c8d",
        ),
    ],
)
def test_pbkdf2_known_answers(words: bytes, salt: bytes, rounds: int, key: str):
    """RFC 7914, section 11. Quoted from memory, and recomputed here by the library."""
    assert hashlib.pbkdf2_hmac("sha256", words, salt, rounds, 64).hex() == key


def test_base64url_known_answers():
    """RFC 4648, section 10, without the padding."""
    pairs = {b"f": "Zg", b"fo": "Zm8", b"foo": "Zm9v", b"foob": "Zm9vYg", b"\xfb\xff\xbf": "-_-_"}
    for raw, text in pairs.items():
        assert to_base64url(raw) == text
        assert from_base64url(text, len(raw)) == raw


@pytest.mark.parametrize(
    "text", ["Zh", "Zg==", "+/+/", "Zm9", "Zm9vY", "Zm 9", "Zm9v\n", "Zmé", ""]
)
def test_base64url_with_stray_bits_or_another_alphabet_is_refused(text: str):
    assert [from_base64url(text, size) for size in range(1, 5)] == [None] * 4


# Round trip


@given(st.binary(max_size=20_000), st.binary(min_size=32, max_size=32), st.booleans())
def test_what_is_sealed_opens_the_same(document: bytes, key: bytes, locked: bool):
    lock = LOCK if locked else None
    sealed = seal(document, portal=PORTAL, key=key, passphrase=lock)

    assert unseal(sealed, portal=PORTAL, key=key, passphrase=lock) == document
    assert seal(document, portal=PORTAL, key=key, passphrase=lock) == sealed
    assert needs_passphrase(sealed) is locked


@given(st.binary(max_size=40_000))
def test_what_the_host_stores_grows_in_steps_of_16_kib(document: bytes):
    sealed = seal(document, portal=PORTAL, key=KEY)

    assert len(sealed) % 12_288 == 0
    assert len(sealed_text(sealed)) % 16_384 == 0
    assert len(sealed) - len(deflate.zlib_compress(document, COMPRESSION_LEVEL)) <= 12_288 + 126


def test_the_step_changes_exactly_where_the_room_ends():
    """122 bytes around the padded text and 4 for its length: 12,162 fit into one step."""
    sizes = [
        len(seal_compressed(bytes(size), portal=PORTAL, key=KEY, passphrase=None, step=12_288))
        for size in (12_161, 12_162, 12_163)
    ]
    assert sizes == [12_288, 12_288, 24_576]


def test_nothing_readable_is_left():
    sealed = seal(PLAN * 400, portal=PORTAL, key=KEY)

    assert not any(word in sealed for word in (b"Run", b"Quiet", PORTAL.encode(), KEY[:8]))
    assert len(zlib.compress(sealed[74:-32], 9)) > len(sealed) - 120


def test_the_text_in_the_page_reads_back():
    sealed = seal(PLAN, portal=PORTAL, key=KEY)

    assert sealed_from_text(f"\n  {sealed_text(sealed)}\n") == sealed
    for garbled in ("$$$$", "AAA", "A AA", "ÄAAA"):
        with pytest.raises(SealError, match="damaged"):
            sealed_from_text(garbled)


# A passphrase


def test_a_passphrase_opens_however_its_spaces_and_accents_were_typed():
    lock = stretch("Läufer auf Bahn vier", bytes(16))
    sealed = seal(PLAN, portal=PORTAL, key=KEY, passphrase=lock)

    assert opened(sealed, passphrase="  La\u0308ufer\u00a0auf  Bahn vier ") == PLAN
    assert fault(sealed, passphrase="läufer auf Bahn vier") == "wrong-passphrase"
    assert fault(sealed) == fault(sealed, passphrase="  ") == "needs-passphrase"


def test_a_passphrase_needs_words():
    for words in ("", " \t\u3000"):
        assert plain_words(words) == ""
        with pytest.raises(ValueError, match="empty"):
            stretch(words, bytes(16))


def test_the_passphrase_is_no_substitute_for_the_link():
    sealed = seal(PLAN, portal=PORTAL, key=KEY, passphrase=LOCK)

    assert fault(sealed, key=bytes(32), passphrase=LOCK) == "wrong-key"


def test_hiding_that_a_passphrase_is_needed_opens_nothing():
    sealed = bytearray(seal(PLAN, portal=PORTAL, key=KEY, passphrase=LOCK))
    sealed[5] = 0

    assert fault(with_new_digest(bytes(sealed))) == "damaged"


def test_fewer_rounds_written_by_the_host_open_nothing():
    lock = stretch(WORDS, LOCK.salt)
    sealed = seal(PLAN, portal=PORTAL, key=KEY, passphrase=lock)
    for rounds, expected in (
        (100_000, "wrong-passphrase"),
        (99_999, "damaged"),
        (2**32 - 1, "damaged"),
    ):
        changed = sealed[:6] + rounds.to_bytes(4, "big") + sealed[10:]
        assert fault(with_new_digest(changed), passphrase=WORDS) == expected


def test_with_a_passphrase_the_tag_cannot_be_checked_by_the_link_alone():
    """Else a link holder could test guesses of the document without paying for a round."""
    sealed = seal(PLAN, portal=PORTAL, key=KEY, passphrase=LOCK, step=192)
    message = sealed[:42] + PORTAL.encode() + padded_to(192)

    assert synthetic_tag(KEY + LOCK.key, PORTAL, message) == sealed[42:74]
    assert synthetic_tag(KEY, PORTAL, message) != sealed[42:74]


def padded_to(step: int) -> bytes:
    compressed = deflate.zlib_compress(PLAN, COMPRESSION_LEVEL)
    return (len(compressed).to_bytes(4, "big") + compressed).ljust(step - 122, b"\0")


# Fail closed


def test_every_flipped_bit_of_a_200_byte_sample_fails_closed():
    """Once as an accident, once with the digest made right again as a host could."""
    sealed = seal(PLAN, portal=PORTAL, key=KEY, step=200)
    assert len(sealed) == 200 and opened(sealed) == PLAN
    accidents = [fault(flipped(sealed, bit)) for bit in range(1600)]
    attacks = [fault(with_new_digest(flipped(sealed, bit))) for bit in range(8 * 168)]

    assert set(accidents) == {"damaged", "unknown-version"}
    assert set(attacks) == {"damaged", "unknown-version", "wrong-key"}
    assert set(attacks[8 * 42 :]) == {"damaged"}, "beyond the head AES-GCM alone decides"


def test_every_truncation_and_extension_fails_closed():
    sealed = seal(PLAN, portal=PORTAL, key=KEY, step=200)
    for size in range(200):
        assert fault(sealed[:size]) == "damaged"
        assert fault(with_new_digest(sealed[:size])) == "damaged"
    assert fault(sealed + b"\0") == "damaged"
    assert fault(with_new_digest(sealed + bytes(8))) == "damaged"


@settings(max_examples=300)
@given(st.binary(max_size=300))
def test_noise_never_opens_and_never_crashes(noise: bytes):
    with pytest.raises(SealError):
        opened(noise)
    with pytest.raises(SealError):
        opened(with_new_digest(b"SEAL\x01\x00" + noise + bytes(32)))


def test_the_link_of_another_client_does_not_open_it():
    sealed = seal(PLAN, portal=PORTAL, key=KEY)

    assert fault(sealed, key=bytes(32)) == "wrong-key"
    assert fault(sealed, portal=OTHER_PORTAL) == "wrong-key"


def test_a_portal_moved_to_another_s_place_does_not_open_even_with_its_check_forged():
    """As if both had one key: the associated data and the keys still name the portal."""
    sealed = seal(PLAN, portal=PORTAL, key=KEY)
    forged = sealed[:26] + link_check(KEY, OTHER_PORTAL) + sealed[42:]

    assert fault(with_new_digest(forged), portal=OTHER_PORTAL) == "damaged"


def test_a_newer_version_says_so_whatever_follows():
    sealed = seal(PLAN, portal=PORTAL, key=KEY)
    newer = sealed[:4] + b"\x02" + sealed[5:]

    assert fault(newer) == "unknown-version"
    with pytest.raises(SealError, match="unknown-version"):
        needs_passphrase(newer)
    assert fault(with_new_digest(sealed[:5] + b"\x02" + sealed[6:])) == "unknown-version"


def test_no_document_unpacks_beyond_the_limit():
    huge = zlib.compress(bytes(DOCUMENT_LIMIT + 1), 9)
    at_limit = seal(bytes(DOCUMENT_LIMIT), portal=PORTAL, key=KEY)
    bomb = seal_compressed(huge, portal=PORTAL, key=KEY, passphrase=None, step=12_288)

    assert len(bomb) <= 12_288
    assert fault(bomb) == "damaged"
    assert len(opened(at_limit)) == DOCUMENT_LIMIT
    with pytest.raises(ValueError, match="over the limit"):
        seal(bytes(DOCUMENT_LIMIT + 1), portal=PORTAL, key=KEY)


@pytest.mark.parametrize(
    "inside",
    [b"", b"not zlib", zlib.compress(PLAN)[:-1], zlib.compress(PLAN) + b"more"],
    ids=["nothing", "no zlib", "cut", "more behind"],
)
def test_a_genuine_seal_around_garbage_is_damaged(inside: bytes):
    sealed = seal_compressed(inside, portal=PORTAL, key=KEY, passphrase=None, step=192)

    assert fault(sealed) == "damaged"


@pytest.mark.parametrize("key", [b"", bytes(16), bytes(31), bytes(33)])
def test_a_key_of_another_size_is_a_slip_of_ours(key: bytes):
    with pytest.raises(ValueError, match="32 bytes"):
        seal(PLAN, portal=PORTAL, key=key)


@pytest.mark.parametrize("portal", ["", "mara", PORTAL[:-1], PORTAL + "A", PORTAL[:-1] + "B"])
def test_an_id_of_another_form_is_a_slip_of_ours(portal: str):
    with pytest.raises(ValueError, match="22 characters"):
        seal(PLAN, portal=portal, key=KEY)


# Keys and nonces


def test_keys_and_nonces_never_repeat_over_100_000_texts():
    keys, nonces = set(), set()
    for number in range(100_000):
        tag = synthetic_tag(KEY, PORTAL, b"Run, %d min" % number)
        key, nonce = document_key_and_nonce(KEY, PORTAL, tag)
        keys.add(key)
        nonces.add(nonce)

    assert len(keys) == len(nonces) == 100_000
    assert {len(key) for key in keys} == {32} and {len(nonce) for nonce in nonces} == {12}


def test_over_3_000_whole_seals_no_tag_repeats():
    seals = {
        seal(b"Run, %d min" % number, portal=PORTAL, key=KEY, step=192)[42:74]
        for number in range(3_000)
    }
    assert len(seals) == 3_000


def test_each_use_has_a_key_of_its_own():
    tag = bytes(32)
    key, nonce = document_key_and_nonce(KEY, PORTAL, tag)
    derived = [
        KEY,
        key,
        nonce,
        link_check(KEY, PORTAL),
        link_check(KEY, OTHER_PORTAL),
        *document_key_and_nonce(KEY, OTHER_PORTAL, tag),
        *document_key_and_nonce(KEY + LOCK.key, PORTAL, tag),
        *document_key_and_nonce(KEY, PORTAL, tag[:-1] + b"\1"),
        synthetic_tag(KEY, PORTAL, b""),
        synthetic_tag(KEY, OTHER_PORTAL, b""),
    ]
    starts = {value[:12] for value in derived}

    assert len(starts) == len(derived)


# The page in docs/ is true


def vectors() -> list[dict[str, bytes]]:
    found = []
    for block in re.findall(r"```text\nstep = 192\n(.*?)```", DOCS, re.DOTALL):
        joined = re.sub(r"\n {4}", "", block)
        rows = (row.split(" =", 1) for row in joined.strip().splitlines())
        found.append({name: bytes.fromhex(value) for name, value in rows})
    return found


def test_the_vectors_in_the_docs_are_what_the_code_makes():
    plain, locked = vectors()
    assert "passphrase" not in plain and locked["passphrase"].decode() == WORDS
    for vector in (plain, locked):
        lock = None
        if "passphrase" in vector:
            lock = stretch(vector["passphrase"].decode(), vector["head"][10:26])
            assert lock.key == vector["passphrase key"] and lock.rounds == 600_000
        portal, key = vector["portal id"].decode(), vector["link key"]
        secret = key + (lock.key if lock else b"")
        head, padded = vector["head"], vector["padded"]
        made = seal_compressed(
            vector["compressed"], portal=portal, key=key, passphrase=lock, step=192
        )

        assert (portal, key, vector["document"]) == (PORTAL, KEY, PLAN)
        assert vector["secret"] == secret
        assert vector["tag key"] == sealing._derive(secret, "tag", portal, b"", 32)
        assert padded.startswith(
            len(vector["compressed"]).to_bytes(4, "big") + vector["compressed"]
        )
        assert vector["link check"] == link_check(key, portal) == head[26:]
        assert vector["tag"] == synthetic_tag(secret, portal, head + portal.encode() + padded)
        keys = document_key_and_nonce(secret, portal, vector["tag"])
        assert keys == (vector["document key"], vector["nonce"])
        assert made == vector["sealed"] and made[:74] == head + vector["tag"]
        assert unseal(made, portal=portal, key=key, passphrase=lock) == vector["document"]
        true_size = seal_compressed(
            vector["compressed"], portal=portal, key=key, passphrase=lock, step=12_288
        )
        assert hashlib.sha256(true_size).digest() == vector["sha256 of sealed at 12288"]


def test_the_key_and_portal_in_the_docs_text_are_those_of_the_vectors():
    assert f"`{PORTAL}`" in DOCS and f"`{to_base64url(KEY)}`" in DOCS


def test_the_little_reader_in_the_docs_opens_the_vectors(tmp_path: Path):
    """Written after the page alone; it shares no code with the product."""
    (source,) = re.findall(r"```python\n(.*?)```", DOCS, re.DOTALL)
    assert "sitegen." not in source and "import sitegen" not in source
    reader = tmp_path / "open_sealed.py"
    reader.write_text(source, encoding="utf-8")
    for vector in vectors():
        page = tmp_path / "page.txt"
        page.write_text(sealed_text(vector["sealed"]) + "\n", encoding="ascii")
        words = [vector["passphrase"].decode()] if "passphrase" in vector else []
        done = subprocess.run(
            [sys.executable, reader, page, PORTAL, to_base64url(KEY), *words],
            capture_output=True,
            check=True,
        )
        assert done.stdout == PLAN


def test_sealing_is_loaded_only_when_something_is_sealed():
    """A rebuild that changes nothing does not pay for the cryptography."""
    script = (
        "import sys, sitegen.seal.sealing as s; "
        "assert not any(name.startswith('cryptography') for name in sys.modules); "
        "s.seal(b'', portal='A' * 22, key=bytes(32)); "
        "assert 'cryptography' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", script], check=True, cwd=Path(__file__).parents[1])


def test_what_lies_a_little_over_a_step_is_pressed_into_it():
    """Prose of this project, cut where the usual level is some bytes over two steps."""
    docs = sorted((Path(__file__).parents[1] / "docs").glob("*.md"))
    prose = b"".join(path.read_bytes() for path in docs)
    size = bisect_left(
        range(len(prose)),
        2 * 12_288 - 126 + 20,
        key=lambda size: len(deflate.zlib_compress(prose[:size], COMPRESSION_LEVEL)),
    )

    assert len(seal(prose[:size], portal=PORTAL, key=KEY)) == 2 * 12_288
    assert len(seal(prose[: size + 4_000], portal=PORTAL, key=KEY)) == 3 * 12_288
