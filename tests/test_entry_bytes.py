"""An entry goes into a coach's file and every other byte stays, whatever the file looks like."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
import yaml

from nightly import IS_NIGHTLY
from odd_files import LISTS, OddFile, odd_file
from sitegen.model.problem import Problem
from sitegen.practice.entry import Entry, with_entries
from sitegen.practice.yaml_text import read_yaml

FILES = 500 if IS_NIGHTLY else 60
ADDED: Mapping[str, dict[str, Any]] = {
    "changes": {"week": "6", "minutes": "43 min", "because": "a hard week: at work"},
    "notes": {"week": "6", "text": "Walk down, please.\nAnd smile."},
    "away": {"from": "2027-04-01", "to": "2027-04-05", "because": "Easter"},
}
SET = (
    Entry(("plan", "growth"), "5 %"),
    Entry(("plan", "runs"), "3"),
    Entry(("week", "tue"), {"at": "19:00"}),
    Entry(("week", "sat"), {"at": "9:00", "up_to": "1 h"}),
    Entry(("goal", "event"), {"on": "2027-05-02", "distance": "10 km"}),
    Entry(("cadence", "aim"), "168 spm"),
    Entry(("rules", "volume", "growth"), "5 %"),
    Entry(("groups", "beginners", "plan", "growth"), "6 %"),
)


def plain(data: bytes) -> Any:
    """What another reader makes of it: texts, without a last line break, lists and maps."""
    return stripped(yaml.load(data.decode("utf-8-sig"), yaml.BaseLoader))


def stripped(tree: Any) -> Any:
    if isinstance(tree, dict):
        return {key: stripped(value) for key, value in tree.items()}
    return [*map(stripped, tree)] if isinstance(tree, list) else tree.rstrip("\n")


def kept(old: bytes, new: bytes) -> bytes:
    """What of the old file gave way: all between the first and the last byte that differ."""
    start = 0
    while start < min(len(old), len(new)) and old[start] == new[start]:
        start += 1
    end = 0
    while end < min(len(old), len(new)) - start and old[-1 - end] == new[-1 - end]:
        end += 1
    return old[start : len(old) - end]


@pytest.mark.parametrize("start", range(4))
def test_a_further_entry_leaves_all_other_bytes_as_they_were(start: int) -> None:
    seen = set()
    for number in range(start, FILES, 4):
        file = odd_file(number)
        for key in LISTS:
            entry = Entry((key,), ADDED[key], adds=True)
            done = with_entries(file.data, "clients/mara.yaml", (entry,))
            assert not isinstance(done, Problem), (number, key, file.how[key], str(done))
            seen.add(file.how[key])
            gone = kept(file.data, done.data)
            # A comma goes before a comment, and the entry behind it; a word for nothing gives way.
            is_behind = gone.strip() == b"" or gone.strip().startswith(b"#")
            assert gone in (b"~", b"null") or is_behind, (number, gone)
            assert not (gone and is_behind) or b"," + gone in done.data
            before, after = plain(file.data), plain(done.data)
            there = before.get(key)
            assert after.pop(key) == [*(there if isinstance(there, list) else []), ADDED[key]]
            before.pop(key, None)
            assert after == before, (number, key)
            at = done.places[0]
            line = done.data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").split(b"\n")[at.line - 1]
            assert next(iter(ADDED[key].values())).encode() in line, (number, key, line)
    assert len(seen) >= 10


@pytest.mark.parametrize("start", range(2))
def test_a_setting_changes_its_own_value_alone(start: int) -> None:
    for number in range(start, FILES, 2):
        file = odd_file(number)
        for entry in SET:
            done = with_entries(file.data, "clients/mara.yaml", (entry,))
            assert not isinstance(done, Problem), (number, str(done))
            before, after = plain(file.data), plain(done.data)
            *tops, name = entry.path
            there = before
            for top in tops:
                there = there.setdefault(top, {})
            if isinstance(entry.value, dict) and isinstance(there.get(name), dict):
                there[name] |= entry.value
            else:
                there[name] = entry.value
            assert after == before, (number, entry)
            gone = kept(file.data, done.data)
            assert len(gone) <= len(b'"18:30"'), (number, entry, gone)


def test_five_entries_one_after_the_other_are_five_entries() -> None:
    for number in range(0, FILES, 10):
        data = odd_file(number).data
        weeks = [{"week": str(n), "rest": "yes", "because": "x"} for n in range(1, 6)]
        entries = [Entry(("changes",), {**week}, adds=True) for week in weeks]
        done = with_entries(data, "m.yaml", entries)
        assert not isinstance(done, Problem)
        before = plain(data).get("changes")
        there = before if isinstance(before, list) else []
        assert plain(done.data)["changes"] == [*there, *weeks]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("name: Mara\nchanges: &mine\n- {week: 1, rest: yes, because: x}\n", "names this part"),
        ("name: Mara\nchanges: none\n", "can't be put in here"),
        ("name: Mara\nchanges: {week: 1}\n", "can't be put in here"),
        ("- a\n- b\n", "can't be put in here"),
        ("", "can't be put in here"),
        ("name: [Mara\n", "never closed"),
        ("name: Mara\n---\nname: Theo\n", "a second document"),
    ],
)
def test_what_is_not_safe_is_refused_with_what_to_write_by_hand(text: str, says: str) -> None:
    entry = Entry(("changes",), ADDED["changes"], adds=True)
    done = with_entries(text.encode(), "clients/mara.yaml", (entry,))
    assert isinstance(done, Problem) and says in done.message
    if "can't be put in" in says:
        assert done.hint == f"write it by hand: {entry}"


def test_of_several_settings_one_that_stands_already_keeps_none_of_the_others_out() -> None:
    data = b"screening: {on: 2026-11-30, cleared_on: 2026-11-30}\n"
    on, by = (
        Entry(("screening", name), value)
        for name, value in (("cleared_on", "2026-11-30"), ("cleared_by", "his GP"))
    )

    done = with_entries(data, "m.yaml", (on, by))
    assert not isinstance(done, Problem) and len(done.places) == 2
    assert b"cleared_by: his GP" in done.data and done.data.count(b"cleared_on") == 1
    assert isinstance(with_entries(data, "m.yaml", (on, on)), Problem), "nothing was to be done"


def test_a_value_that_stands_there_already_is_told() -> None:
    done = with_entries(b"plan: {growth: 8 %}\n", "m.yaml", (Entry(("plan", "growth"), "8 %"),))
    assert isinstance(done, Problem) and done.message == "plan.growth: 8 % stands here already"


@pytest.mark.parametrize("moved", ["2027-05-09", "2027-05-02"])
@pytest.mark.parametrize("far", ["12 km", "10 km"])
def test_an_event_that_is_moved_is_one_entry_at_one_place(moved: str, far: str) -> None:
    """A new day with the old distance was refused, with another one it was a traceback."""
    text = b"goal:\n  event: {on: 2027-05-02, distance: 10 km, name: Ten}  # flat\n"
    entry = Entry(("goal", "event"), {"on": moved, "distance": far})
    done = with_entries(text, "m.yaml", (entry,))
    if (moved, far) == ("2027-05-02", "10 km"):
        assert isinstance(done, Problem) and "stands here already" in done.message
        return
    assert not isinstance(done, Problem)
    event = f"on: {moved}, distance: {far}, name: Ten"
    assert done.data.decode() == f"goal:\n  event: {{{event}}}  # flat\n"
    assert [place.line for place in done.places] == [2]


def test_a_block_that_would_be_replaced_whole_is_refused() -> None:
    text = b"week:\n  tue:\n    at: 18:30  # after work\n"
    done = with_entries(text, "m.yaml", (Entry(("week", "tue"), "rest"),))
    assert isinstance(done, Problem) and done.hint == "write it by hand: week.tue: rest"


def test_the_odd_files_are_what_the_reader_takes() -> None:
    for number in range(0, FILES, 5):
        read = read_yaml(odd_file(number).data, "m.yaml")
        assert read.problems == () and isinstance(read.tree, dict)
        assert isinstance(odd_file(number), OddFile)
