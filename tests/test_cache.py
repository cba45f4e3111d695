"""What a build remembers: equal back from its text, and nothing from a text that is not whole."""

from __future__ import annotations

import random
from hashlib import blake2b

import pytest

from sitegen.model.problem import Origin, Problem
from sitegen.site.memory import (
    CACHE_FORMAT,
    BuildCache,
    ClientEntries,
    ClientEntry,
    HouseEntry,
    Made,
    empty_cache,
    hash_of,
    hash_of_all,
    lasting,
    packed,
    read_cache,
    unpacked,
    written,
)

SECOND = 1_000_000_000
WARNING = Problem(Origin("clients/mara.yaml", 12, 9), "is high", "write less", "high", "warning")
ENTRY = ClientEntry(
    made_of="m" * 32,
    client="c" * 32,
    log="",
    client_stamp=(812, 1_800_000_000_123_456_789, 99),
    log_stamp=None,
    zone="Europe/Lisbon",
    zone_state="/usr/share/zoneinfo 1 2",
    privacy="sealed",
    is_ended=False,
    is_stopped=False,
    feed_of="f" * 32,
    history="e" * 32,
    files={"p/index.html": Made(None, "a"), "feeds/f.ics": Made((1, 2, 3), "b")},
    problems=(WARNING,),
    has_log=True,
)


def entries(**known: ClientEntry) -> ClientEntries:
    found = ClientEntries()
    for id, entry in known.items():
        found.put(id, entry)
    return found


MEMORY = BuildCache(
    HouseEntry("h" * 32, "https://plans.example/", {"robots.txt": Made((26, 7, 8), "r")}, ()),
    entries(mara=ENTRY, tom=ENTRY._replace(log_stamp=(4, 5, 6), is_ended=True)),
)


def test_a_client_is_remembered_field_by_field():
    assert MEMORY.clients["mara"] == ENTRY
    assert MEMORY.clients["tom"].log_stamp == (4, 5, 6)
    assert MEMORY.clients.get("nia") is None
    assert list(MEMORY.clients) == ["mara", "tom"]


def test_stamps_are_compared_without_reading_the_entry():
    client, log = ENTRY.client_stamp, ENTRY.log_stamp
    assert MEMORY.clients.has_stamps("mara", client, log)
    assert not MEMORY.clients.has_stamps("mara", client, (1, 2, 3))
    assert not MEMORY.clients.has_stamps("mara", None, log)
    assert not MEMORY.clients.has_stamps("tom", client, (4, 5, 61)), "the start of another number"
    assert not MEMORY.clients.has_stamps("nia", client, log)


def test_who_is_taken_over_is_remembered_as_before():
    after = ClientEntries()
    after.take("mara", MEMORY.clients)
    assert after == entries(mara=ENTRY)


def test_a_memory_is_read_back_as_it_was_written():
    assert read_cache(b"".join(written(MEMORY, "tool")), "tool") == MEMORY
    assert read_cache(b"".join(written(empty_cache(), "tool")), "tool") == empty_cache()


def test_without_a_memory_nothing_is_remembered():
    assert read_cache(None, "tool") == empty_cache()
    assert read_cache(b"", "tool") == empty_cache()


def test_another_tools_memory_counts_for_nothing():
    assert read_cache(b"".join(written(MEMORY, "tool")), "a newer tool") == empty_cache()


def test_a_memory_with_any_byte_wrong_counts_for_nothing():
    whole = b"".join(written(MEMORY, "tool"))
    for at in range(len(whole)):
        for flip in (0x01, 0x80):
            damaged = whole[:at] + bytes([whole[at] ^ flip]) + whole[at + 1 :]
            assert read_cache(damaged, "tool") == empty_cache(), at


def test_a_memory_cut_short_anywhere_counts_for_nothing():
    whole = b"".join(written(MEMORY, "tool"))
    assert all(read_cache(whole[:end], "tool") == empty_cache() for end in range(len(whole)))
    assert read_cache(whole + b"\n", "tool") == empty_cache()


def with_head(body: bytes) -> bytes:
    digest = blake2b(hash_of("tool").encode() + body, digest_size=16).hexdigest()
    return f"sitegen memory {CACHE_FORMAT} {digest}\n".encode() + body


def test_the_first_line_is_a_hash_over_the_rest_and_the_tools_name():
    head, *rest = b"".join(written(MEMORY, "tool")).splitlines(keepends=True)
    assert with_head(b"".join(rest)) == head + b"".join(rest)


def test_stamps_that_come_later_are_in_every_line_that_is_read():
    after = entries(mara=ENTRY, tom=ENTRY)
    made = Made((9, 8, 7), "a")
    after.stamp({"mara"}, lambda files: dict.fromkeys(files, made))
    assert dict(after["mara"].files) == {"p/index.html": made, "feeds/f.ics": made}
    assert after["tom"] == ENTRY
    again = read_cache(b"".join(written(BuildCache(None, after), "tool")), "tool")
    assert again.clients == after and again.clients["mara"] == after["mara"]


def test_a_memory_of_another_shape_counts_for_nothing():
    """A slip of ours: the same tool's name over fields that have moved."""
    for house, line in (("[1]", ""), ("null", '["mara",1]'), ("null", '["mara"'), ("null", "{}")):
        body = f"{house}\n{line}".encode()
        assert read_cache(with_head(body), "tool").clients.get("mara") is None
        assert read_cache(with_head(body), "tool").house is None


def test_parts_that_join_to_the_same_text_have_hashes_of_their_own():
    told = [("ab", "c"), ("a", "bc"), ("abc",), ("abc", ""), ("abc", None), (b"abc", b"", b"")]
    assert len({hash_of(*parts) for parts in told}) == len(told)
    assert hash_of("ab", b"c") == hash_of(b"ab", "c")


def test_named_contents_hash_the_same_in_any_order_and_differ_by_name():
    assert hash_of_all({"a": b"1", "b": b"2"}) == hash_of_all({"b": b"2", "a": b"1"})
    assert hash_of_all({"a": b"1", "b": b"2"}) != hash_of_all({"a": b"2", "b": b"1"})


@pytest.mark.parametrize(
    ("changed_ns", "noted_ns", "lasts"),
    [
        (100 * SECOND + 5, 101 * SECOND, True),  # a second ago, on a file system with fine ticks
        (100 * SECOND + 5, 100 * SECOND + 9_000_000, False),  # 9 ms ago
        (100 * SECOND, 101 * SECOND, False),  # whole seconds: may count in steps of two
        (100 * SECOND, 103 * SECOND, True),
        (200 * SECOND + 5, 100 * SECOND, False),  # a clock that runs ahead
    ],
)
def test_a_stamp_lasts_once_a_later_change_has_to_show(changed_ns, noted_ns, lasts):
    stamp = (812, changed_ns, 7)
    assert lasting(stamp, noted_ns) == (stamp if lasts else None)


def test_compiled_templates_are_unpacked_only_where_every_byte_is_right():
    chance = random.Random(7)
    codes = {hash_of(str(i)): chance.randbytes(200 + i) for i in range(5)}
    whole = packed(codes, "tool")
    assert unpacked(whole, "tool") == codes
    assert unpacked(whole, "a newer tool") == {}
    assert unpacked(None, "tool") == {}
    for at in range(len(whole)):
        damaged = whole[:at] + bytes([whole[at] ^ 0x10]) + whole[at + 1 :]
        assert unpacked(damaged, "tool") == {}, at
        assert unpacked(whole[:at], "tool") == {}
