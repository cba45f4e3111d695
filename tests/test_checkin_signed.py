"""A check-in's signature: the page writes it, the coach's tool finds it right, mail or no mail."""

from __future__ import annotations

import hmac
import json
import random
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from sitegen.checkins.letters import Letter, Sound, blocks, read_block
from sitegen.checkins.signing import FIELD, LETTERS, canonical, proof, signed
from sitegen.seal.keys import Keys, Link, ensure, with_passphrase
from sitegen.seal.sealing import checkin_key, to_base64url

HERE = Path(__file__).parent
NODE = shutil.which("node")
needs_node = pytest.mark.skipif(NODE is None, reason="Node runs the page's script")
VECTORS = [
    ("0b" * 20, b"Hi There".hex(),
     "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"),
    (b"Jefe".hex(), b"what do ya want for nothing?".hex(),
     "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"),
    ("aa" * 20, "dd" * 50,
     "773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe"),
]  # fmt: skip
"""RFC 4231, test cases 1 to 3: key, data, HMAC-SHA-256; quoted from memory, and recomputed here by
the library. HKDF's own, RFC 5869, stand in test_seal.py: the key comes from the same function."""


def a_link(seed: int = 1) -> Link:
    chance = random.Random(seed)
    return ensure(Keys(), ["mara"], chance.randbytes).links["mara"]


LINK = a_link()
KEY = checkin_key(LINK.key, None, LINK.portal)
ENTRY = {
    "on": "2027-02-09", "ran": 31, "distance": {"amount": "4.6", "unit": "km"}, "cadence": 160,
    "effort": 3, "pain": {"during": 1, "after": 0, "site": "left shin"}, "landing": "mixed",
    "signs": ["limp", "swelling"], "id": "kqvbnrtwzd",
    "said": 'Felt "springy" - even so… It\'s\na café, 2 \u2013 3.\n\nThen \U0001f327\ufe0f rain.',
}  # fmt: skip


def by_page(given: dict[str, Any]) -> dict[str, Any]:
    run = subprocess.run(
        [str(NODE), str(HERE / "js/signing.js")], input=json.dumps(given),
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    found: dict[str, Any] = json.loads(run.stdout)
    return found


def sound_of(text: str) -> Sound:
    (block,) = blocks(Letter("message", text))
    read = read_block(block, "message")
    assert not [p for p in read.problems if p.level == "error"]
    return read.sound[0]


@pytest.fixture(scope="module")
def page() -> dict[str, Any]:
    plain = [
        {"on": "2027-02-09", "pain": {"next_morning": 0, "walking": 0}, "id": "bcdfghjkmn"},
        {"on": "2027-02-09", "skipped": "ill", "id": "bcdfghjkmn"},
        {"on": "2027-02-09", "well_again": True, "id": "bcdfghjkmn"},
    ]
    hashes = [list(each[:2]) for each in VECTORS]
    return by_page({"key": to_base64url(KEY), "entries": [ENTRY, *plain], "hmac": hashes})


@needs_node
def test_both_sides_have_the_same_hmac(page: dict[str, Any]) -> None:
    """RFC 4231."""
    for (key, data, tag), theirs in zip(VECTORS, page["tags"], strict=True):
        assert hmac.digest(bytes.fromhex(key), bytes.fromhex(data), "sha256").hex() == tag
        assert theirs == tag


@needs_node
def test_what_the_page_signed_is_signed(page: dict[str, Any]) -> None:
    for text in page["texts"]:
        assert signed(LINK, sound_of(text).tree) == "yes"
        assert all(len(line) < 40 for line in text.splitlines() if "signed:" in line)


WAYS = {
    "quoted": lambda text: "".join(f"> {line}\n" for line in text.splitlines()),
    "indents lost": lambda text: "\n".join(line.strip() for line in text.splitlines()),
    "curly": lambda text: text.replace(" - ", " \u2014 ").replace("'", "\u2019"),
    "accents composed apart": lambda text: text.replace("é", "e\u0301"),
    "hard spaces": lambda text: text.replace(" ", "\u00a0"),
    "a greeting and a signature": lambda text: f"Dear coach,\n\n{text}\n-- \nMara\n",
    "capitals": lambda text: text.replace("  signed:", "  Signed:"),
    "wrapped": lambda text: text.replace(" rain", "\n  rain").replace("even so", "even\n  so"),
}


@needs_node
@pytest.mark.parametrize("way", WAYS)
def test_what_mail_does_to_it_changes_nothing(page: dict[str, Any], way: str) -> None:
    sent = page["texts"][0]
    text = WAYS[way](sent)

    assert text != sent
    assert signed(LINK, sound_of(text).tree) == "yes"


@needs_node
@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("during: 1", "during: 0"),
        ("ran: 31 min", "ran: 13 min"),
        ("on: 2027-02-09", "on: 2027-02-08"),
        ("[limp, swelling]", "[limp]"),
        ("  signs: [limp, swelling]\n", ""),
        ("id: kqvbnrtwzd", "id: kqvbnrtwzx"),
        ("springy", "springs"),
        ("  landing: mixed\n", "  landing: mixed\n  well_again: yes\n"),
    ],
)
def test_a_value_that_is_another_is_seen(page: dict[str, Any], old: str, new: str) -> None:
    text = page["texts"][0]

    assert old in text
    assert signed(LINK, sound_of(text.replace(old, new)).tree) == "changed"


@needs_node
def test_another_link_or_passphrase_signs_otherwise(page: dict[str, Any]) -> None:
    tree = sound_of(page["texts"][0]).tree
    keys = with_passphrase(Keys({"mara": LINK}), "mara", "four or five words", bytes)
    assert isinstance(keys, Keys)

    assert signed(a_link(2), tree) == "changed"
    assert signed(keys.links["mara"], tree) == "changed"
    assert signed(None, tree) == "no"


@pytest.mark.parametrize("word", ["", "yes", "YES", "no", "changed"])
def test_a_word_in_a_message_proves_nothing(word: str) -> None:
    assert signed(LINK, {"on": "2027-02-09", FIELD: word}) == "no"


@pytest.mark.parametrize("letters", ["a" * LETTERS, "a", "é" * LETTERS])
def test_wrong_letters_prove_nothing(letters: str) -> None:
    assert signed(LINK, {"on": "2027-02-09", FIELD: letters}) == "changed"


def test_no_two_check_ins_have_one_form() -> None:
    """A value can't pose as another field: what separates fields is never within one."""
    one = {"on": "2027-02-09", "said": "a\nran=31min"}
    other = {"on": "2027-02-09", "said": "a", "ran": "31 min"}

    assert canonical(one) != canonical(other)
    assert proof(KEY, one) != proof(KEY, other)


def test_the_letters_are_a_hundred_bits() -> None:
    assert len(proof(KEY, {"on": "2027-02-09"})) == LETTERS and LETTERS * 5 >= 80
