"""What can be read is read, whatever stands beside it: a stop does not wait for a slip's mend.

Where a client's files have errors there is no plan. But a sign, an urgent word or a pain of 8 in
what can be read stops that client all the same; this makes a case of it that is good enough for a
page without sessions, and for nothing else.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from sitegen.care.named import kept_words, signs_in
from sitegen.model.case import Case, Origins
from sitegen.model.checkin import SIGNS, CheckIn
from sitegen.model.client import Change, Client, Screening
from sitegen.model.practice import NO_CONTACT, NO_NAME, Practice
from sitegen.model.problem import Origin, Problem
from sitegen.model.record import NotRead, Record
from sitegen.practice.address import target_problem
from sitegen.practice.answers import read_answers
from sitegen.practice.case import with_group
from sitegen.practice.house import House, Texts, read_house
from sitegen.practice.yaml_text import Tree, read_yaml
from sitegen.rules.lifts import names_nobody_else

# Stands in for what can't be read; nothing is planned on it.
_CLIENT: Mapping[str, Any] = {
    "screening": {
        "on": "2000-01-01", "regular_exercise": "yes", "known_disease": "no", "symptoms": "no",
    },
    "baseline": {"on": "2000-01-01", "cadence": "160 spm", "week": "0 min"},
    "plan": {"from": "2000-01-03", "weeks": "1"},
}  # fmt: skip
_OWN = (
    "called", "group", "status", "timezone", "units", "language", "privacy", "calendar",
    "emergency", "screening", "baseline", "plan",
)  # fmt: skip
_ON = re.compile(r"\bon:\s*(\d{4}-\d{2}-\d{2})")
MOST_UNREAD = 2000  # letters of what can't be read
_LIFT = re.compile(r"\blifts:\s*[\"']?([a-z_]+) (\d{4}-\d{2}-\d{2})")
_CLEARED = re.compile(r"\bcleared_on:\s*\S")
_BLOCK = re.compile(rb"^(?=\w+:)", re.MULTILINE)
_ITEM = re.compile(rb"^(?=[ \t]*- )", re.MULTILINE)
_ENTRY = re.compile(rb"^(?=- +(?:\{\s*)?on:)", re.MULTILINE)
_MERGE = re.compile(rb"^(?:<{7}|>{7})", re.MULTILINE)  # two versions of a file: nobody knows which
_SCORES = ("before", "during", "after", "next_morning", "walking")


def lenient_case(
    id: str,
    client: bytes,
    log: bytes | None,
    answers: bytes | None,
    practice: Practice,
    folder: str,
    strays: Iterable[tuple[str, bytes]] = (),
) -> Case:
    """As much of a client as can be read, the entries of the log that are sound and those that
    are not.

    Args:
        id: The client's id.
        client: What ``ID.yaml`` holds.
        log: What ``ID.log.yaml`` holds.
        answers: What ``ID.alarms.yaml`` holds.
        practice: The practice, read without an error.
        folder: Its folder, for places.
        strays: Logs under a wrong name, each with that name: what stops is no less told there.
    """
    file, log_file = f"{folder}/{id}.yaml", f"{folder}/{id}.log.yaml"
    found = _client(id, client, file)
    group = practice.groups.get(found.group) if found.group else None
    own = practice.urgent_words
    entries, origins = lenient_log(log or b"", log_file, own)
    for name, data in strays:
        more, places = lenient_log(data, f"{folder}/{name}", own)
        if not entries:
            origins = places
        entries += tuple(entry for entry in more if entry not in entries)
    case = Case(
        id=id,
        client=with_group(found, group) if group is not None else found,
        practice=practice,
        log=entries,
        answers=read_answers(answers or b"", f"{folder}/{id}.alarms.yaml")[0],
        origins=read_yaml(client, file).origins,
        log_origins=origins,
    )
    return case if _is_read(found.screening) else _without_own_lifts(case)


def _is_read(screening: Screening) -> bool:
    return screening.on != date.fromisoformat(_CLIENT["screening"]["on"])


def _without_own_lifts(case: Case) -> Case:
    """Where nobody knows of a disease, a lift counts as with one: a clinician's alone."""
    kept = [
        change
        for change in case.client.changes
        if change.lifts is None or not names_nobody_else(case, change.seen_by or "")
    ]
    return replace(case, client=case.client.but(changes=kept))


def unread_lifts(case: Case, client: bytes, file: str) -> Iterator[Problem]:
    """Each lift, and a clearance, that stands in the file and can't be read: its stop is back."""
    lifts = {(each.lifts.sign, str(each.lifts.on)) for each in case.client.changes if each.lifts}
    is_cleared = case.client.screening.cleared_on is not None
    for number, line in enumerate(client.decode("utf-8", "replace").splitlines(), start=1):
        told = line.partition("#")[0]
        lift = _LIFT.search(told)
        if lift and lift.groups() not in lifts:
            what = f"this lift of {lift[1]} can't be read"
        elif not is_cleared and _CLEARED.search(told):
            what = "this clearance can't be read"
        else:
            continue
        yield Problem(
            Origin(file, number),
            f"{what} for the errors of this file, so what it ended stops the plan again, and the "
            "page says so",
            "mend the errors, and build",
            "lift-unread",
            "warning",
        )


def _client(id: str, data: bytes, file: str) -> Client:
    """The client's file field by field: what can't be read is left out."""
    tree = read_yaml(data, file).tree
    raw = tree if isinstance(tree, dict) else _by_blocks(data)
    name = raw.get("name")
    kept: dict[str, Any] = {**_CLIENT, "name": name if isinstance(name, str) and name else id}
    for key in _OWN:
        if key in raw and (value := _fitting(kept, key, raw[key])) is not None:
            kept[key] = value
    changes = raw.get("changes")
    if isinstance(changes, list):
        kept["changes"] = [each for each in changes if _reads(Change, each)]
    return Client.of_tree(kept)


def _by_blocks(data: bytes) -> dict[str, Tree]:
    """What the blocks of a client's file say that is no YAML as a whole, each read by itself."""
    found: dict[str, Tree] = {}
    for block in [] if _MERGE.search(data) else _BLOCK.split(data):
        one = read_yaml(block, "").tree
        if not isinstance(one, dict) and block.startswith(b"changes:"):
            one = {"changes": list(_items(_ITEM.split(block)[1:]))}
        if isinstance(one, dict):
            found = one | found
    return found


def _items(parts: Iterable[bytes]) -> Iterator[Tree]:
    """The items of the parts of a list that can be read."""
    for part in parts:
        read = read_yaml(part, "").tree
        if isinstance(read, list):
            yield from read


def _fitting(kept: Mapping[str, Any], key: str, value: Tree) -> Tree | None:
    if key == "screening" and not _reads(Screening, value):
        return None
    return value if _reads(Client, {**kept, key: value}) else None


def _reads(model: type[Record], tree: object) -> bool:
    try:
        model.of_tree(tree)
    except NotRead:
        return False
    return True


def lenient_log(
    data: bytes, file: str, own: Sequence[str] = ()
) -> tuple[tuple[CheckIn, ...], Origins]:
    """Every entry of a log: a sound one as it is, of another its date, signs, scores and words.

    A log that can't be read as a list is read part by part; a part that can't be is one entry
    with the signs of which its text tells. ``own`` are the coach's urgent words.
    """
    read = read_yaml(data, file)
    if isinstance(read.tree, list):
        return _entries(read.tree, own), read.origins
    found: list[CheckIn] = []
    newest = _newest(data)
    for part in _ENTRY.split(data):
        one = read_yaml(part, file).tree
        found += _entries(one, own) if isinstance(one, list) else _of_text(part, newest, own)
    return tuple(found), Origins(file)


def _newest(text: bytes) -> date | None:
    """The latest day that a text gives."""
    days = [day for found in _ON.findall(text.decode("utf-8", "replace")) if (day := _date(found))]
    return max(days, default=None)


def _of_text(part: bytes, newest: date | None, own: Sequence[str]) -> Iterator[CheckIn]:
    """An entry with the signs of a text that is no YAML; without a day it may be the latest."""
    text = part.decode("utf-8", "replace").replace("}", ".")  # which ends the words as well
    if signs := signs_in(text, own):
        yield _entry(_newest(part) or newest, text, signs, {}, own)


def _entries(trees: Iterable[Tree], own: Sequence[str]) -> tuple[CheckIn, ...]:
    found: list[CheckIn] = []
    latest: date | None = None
    for tree in trees:
        try:
            entry = CheckIn.of_tree(tree)
        except NotRead:
            entry = _salvaged(tree, latest, own)
        latest = max(latest, entry.on) if latest else entry.on
        found.append(entry)
    return tuple(found)


def _salvaged(tree: Tree, latest: date | None, own: Sequence[str]) -> CheckIn:
    """What an entry with a slip tells. A date that can't be read is that of the entries above."""
    text = "\n".join(_texts(tree))
    scores: dict[str, int] = {}
    on = latest
    if isinstance(tree, dict):
        pain = tree.get("pain")
        told = pain if isinstance(pain, dict) else {"during": pain} if pain else {}
        for name in _SCORES:
            number = re.match(r"\s*(\d{1,2})", str(told.get(name, "")))
            if number:
                scores[name] = min(int(number[1]), 10)
        on = _date(str(tree.get("on", ""))) or latest
    return _entry(on, text, signs_in(text, own), scores, own)


def _date(text: str) -> date | None:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        return None


def _texts(tree: Tree, key: str = "") -> Iterator[str]:
    """Every value with its key, a line each; a sign's name stands in a list under ``signs``."""
    if isinstance(tree, dict):
        for name, value in tree.items():
            yield from _texts(value, name)
    elif isinstance(tree, list):
        for value in tree:
            yield from _texts(value, key)
    else:
        yield f"{key}: {tree}" if key in ("signs", "sign") else f"{tree}."


def _entry(
    on: date | None,
    text: str,
    signs: tuple[str, ...],
    scores: Mapping[str, int],
    own: Sequence[str],
) -> CheckIn:
    ticked = [sign for sign in signs if sign in SIGNS]
    raw: dict[str, Any] = {
        "on": (on or date(2000, 1, 1)).isoformat(),
        "signs": ticked,
        # only words tell of the others
        "said": kept_words(text, MOST_UNREAD, own) if len(ticked) < len(signs) else "",
    }
    if scores:
        raw["pain"] = {name: str(score) for name, score in scores.items()}
    kept = {key: value for key, value in raw.items() if value}
    try:
        return CheckIn.of_tree(kept)
    except NotRead:
        return CheckIn.of_tree({"on": raw["on"], "signs": ticked})


_PRACTICE: Mapping[str, Any] = {"name": NO_NAME, "contact": NO_CONTACT, "timezone": "UTC"}
_SHARED = ("name", "coach", "contact", "timezone", "units", "language", "emergency", "accent",
           "address", "own_host", "privacy", "calendar", "checkins", "urgent_words",
           "targets")  # fmt: skip
_NOWHERE = Origin("practice.yaml")


def lenient_practice(data: bytes) -> Practice:
    """As much of ``practice.yaml`` as can be read."""
    return Practice.of_tree(_practice(data))


def house_for_stops(texts: Texts) -> tuple[House | None, Texts]:
    """As much of what all clients share as can be read, and texts that give it without an error.

    Where an error is in the coach's drills, texts or sessions there are none of these: a page
    that stops somebody shows nothing of them.
    """
    practice = json.dumps(_practice(texts.practice or b"")).encode("utf-8")  # JSON is YAML
    texts = texts._replace(practice=practice)
    house = read_house(texts)[0]
    if house is None:
        texts = texts._replace(drills={}, handouts={}, sessions={}, unreadable=frozenset())
        house = read_house(texts)[0]
    return house, texts


def _practice(data: bytes) -> dict[str, Any]:
    tree = read_yaml(data, "practice.yaml").tree
    if not isinstance(tree, dict):
        tree = _by_lines(data)
    kept: dict[str, Any] = dict(_PRACTICE)
    for key in _SHARED:
        if key in tree and _reads(Practice, {**kept, key: tree[key]}):
            kept[key] = tree[key]
    targets = kept.get("targets", {})
    kept["targets"] = {n: to for n, to in targets.items() if target_problem(to, _NOWHERE) is None}
    return kept


def _by_lines(data: bytes) -> dict[str, Tree]:
    """What single lines of a file say that is no YAML as a whole."""
    found: dict[str, Tree] = {}
    for line in data.splitlines():
        one = read_yaml(line, "practice.yaml").tree if re.match(rb"\w+:[ \t]*\S", line) else None
        found |= one if isinstance(one, dict) else {}
    return found
