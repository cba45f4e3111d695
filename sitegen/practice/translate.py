"""Errors of fields, as problems in a coach's words with their place.

Each kind of value brings its own message and mend (`model/kinds/`). What the table of fields
sees (a key left out, a key unknown, a map where a list belongs) is told here.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from sitegen.model.case import Origins
from sitegen.model.checkin import Pain
from sitegen.model.client import Day
from sitegen.model.kinds import DISTANCE, DURATION, Kind, Unfit, nearest, one_of, quoted
from sitegen.model.nearest import nearest_of
from sitegen.model.practice import Group
from sitegen.model.problem import Origin, Problem
from sitegen.model.record import (
    FieldError,
    Path,
    Record,
    example,
    is_needed,
    record_at,
    root_of,
    row_at,
)
from sitegen.practice.mend import mended
from sitegen.practice.yaml_text import YamlText

SURELY_MEANT = 0.7  # likeness from which a key is read as the one that it resembles
MAX_TOLD = 500  # of one file's map or of one check-in; more is another kind of file
CURLY_QUOTES = "“”„‟«»‘’‚‛"
_KEY_AND_REST = re.compile(r"(?P<key>[A-Za-z_]+):?\s?(?P<rest>.*)", re.DOTALL)
_CLOCK = re.compile(r"[0-9]{1,2}:[0-9]{2}")
_OTHER_WORDS = {
    "age": "born", "birthday": "born", "dob": "born", "until": "to", "end": "to",
    "reason": "because", "why": "because", "start": "from", "time": "at",
}  # fmt: skip
"""What else a key is called; the most like of the right ones would mislead."""
_WORDS = re.compile(r"[\w-]+(?:, ?[\w-]+)*")
_BARE = re.compile(r"[^\s,{}\[\]#'\"]+")  # stands within braces without quotes
_TIME = re.compile(r"[0-9.]+\s*(?:h|min|s)\b.*")


def problems_of(
    errors: Sequence[FieldError],
    model: type[Record],
    read: YamlText,
    prefix: Path = (),
) -> list[Problem]:
    """Problems behind ``errors`` of ``model``, whose tree stands at ``prefix`` of the file.

    Those within a map by names of the coach's own are told as of a file of their own.
    """
    told: list[Problem] = []
    for error in errors:
        path = (*prefix, *error.path)
        if any(path[:end] in read.spoiled for end in range(len(path) + 1)):
            continue
        if len(told) == MAX_TOLD:
            told.append(unlisted(len(errors) - MAX_TOLD, read.origins.file))
            break
        root, within = root_of(model, error.path)
        if _told_with_its_half(error, read, prefix):
            continue
        told.append(_problem(error._replace(path=within), root, read, path))
    return told


def unlisted(count: int, file: str) -> Problem:
    """The problem that stands for ``count`` others of a file."""
    return Problem(
        Origin(file),
        f"{count} more problems are not listed",
        "mend those listed first; is this the right file?",
        "more-problems",
    )


def curly_warnings(read: YamlText, problems: Sequence[Problem]) -> list[Problem]:
    """A warning for each value in curly quotes of which nothing else was said."""
    told = {p.origin for p in problems}
    return [
        Problem(
            origin,
            "the curly quotes are read as part of the text",
            "take them off, or write straight quotes",
            "curly-quotes",
            "warning",
        )
        for path in sorted(read.curly, key=str)
        if (origin := read.origins.value(*path)) not in told
    ]


def _problem(
    error: FieldError,
    model: type[Record],
    read: YamlText,
    path: Path,
) -> Problem:
    within = error.path
    if error.code == "missing":
        return _missing(model, within, read.origins, path)
    if error.code == "unknown":
        return _unknown_key(model, within, read, path)
    if error.message:
        return _kind_slip(error, model, read, path)
    shown, wanted = error.input, error.code
    if shown == "":
        return _empty(model, within, read.origins, path)
    found = "a list" if isinstance(shown, list) else "a map" if isinstance(shown, dict) else None
    found = found or _shown(str(shown))
    key = next((step for step in reversed(path) if isinstance(step, str)), "")
    field_model = record_at(model, within)
    begins = shown if isinstance(shown, dict) else [shown]
    if wanted == "list" and any(str(text).startswith("-") for text in begins):
        hint = "begin each entry with - and a space"
    elif wanted == "list" and isinstance(shown, dict) and not any(shown.values()):
        hint = _pair(key, f"[{', '.join(shown)}]")
    elif wanted == "list" and isinstance(shown, dict):
        hint = "begin each entry with -"
    elif wanted == "list" and isinstance(shown, str) and _WORDS.fullmatch(shown):
        hint = _pair(key, f"[{shown}]")
    elif field_model is Day:
        hint = _day_hint(key, shown)
    elif wanted == "map" and (named := _named(model, within, shown)):
        hint = _pair(key, named)
    elif field_model is Pain and isinstance(shown, str) and (score := _score(shown)) is not None:
        hint = f"say when, like {key}: {{during: {score}}}"
    elif written := example(model, within):
        hint = f"write {written}" if isinstance(path[-1], int) else _pair(key, written)
    else:
        hint = f"write a {wanted}{f' of {_names(field_model)}' if field_model else ''}"
    return Problem(
        value_place(read.origins, path), f"{found} stands where a {wanted} belongs", hint, "shape"
    )


def _shown(text: str) -> str:
    """A text as it stands there; not an address with what may be a password in it."""
    if "://" in text:
        from sitegen.practice.address import AddressError, refuse_secrets

        try:
            refuse_secrets(text)
        except AddressError:
            return "an address with a password"
    return quoted(text)


def _named(model: type[Record], within: Path, shown: object) -> str:
    """A value that lacks a name of the coach's own, with the example's: ``{site: ../site}``."""
    row = row_at(model, within)
    if row is None or row.many != "by name" or row.value is None or not isinstance(shown, str):
        return ""
    if _shown(shown) != quoted(shown) or not _BARE.fullmatch(shown):
        return ""
    return f"{row.example.partition(':')[0]}: {shown}}}"


def _kind_slip(error: FieldError, model: type[Record], read: YamlText, path: Path) -> Problem:
    hint, text = error.hint, error.input
    row = row_at(model, error.path)
    if isinstance(text, str) and row is not None and row.value is not None:
        hint = _for_another(model, error.path, read, path, text) or _meant_hint(
            row.value, text, hint
        )
    if isinstance(text, str) and text[:1] in CURLY_QUOTES and text:
        hint = f"take the curly quotes off; {hint}"
    if isinstance(text, str) and any(unicodedata.category(c) == "Cf" for c in text):
        hint = f"an invisible character stands in it, so type it anew; {hint}"
    if error.code == "empty":
        origin = _key_place(read.origins, path)
        if is_needed(model, error.path):
            hint = hint.removesuffix(", or take the line out")
    else:
        origin = value_place(read.origins, path)
    return Problem(origin, error.message, hint, error.code)


def _for_another(model: type[Record], within: Path, read: YamlText, path: Path, text: str) -> str:
    """Where a length stands for a time, or a time for a length: which field beside it is meant."""
    here, own = record_at(model, within[:-1]), row_at(model, within)
    tree: Any = read.tree
    for step in path[:-1]:
        tree = tree[step] if isinstance(tree, (dict, list)) else None  # type: ignore[index]
    if here is None or not isinstance(tree, dict):
        return ""
    for key, row in here.ROWS.items():
        is_other = own is None or row.value is not own.value
        if key not in tree and is_other and row.value in (DURATION, DISTANCE):
            right = mended(row.value, text) or text
            try:
                row.value.validate(right)
            except Unfit:
                continue
            return f"write {key}: {right}"
    return ""


def _meant_hint(kind: Kind, text: str, hint: str) -> str:
    """The value that was surely meant in place of the general hint."""
    if kind.noun in ("a text", "one word") or (right := mended(kind, text)) is None:
        return hint
    if "#" in text:
        return f"write {right}; a comment needs a space before its #"
    if "," in text.rstrip(",;") and ":" not in right:
        return f"use a point for decimals; write {right}"
    return f"write {right}"


def _missing(
    model: type[Record],
    loc: Path,
    origins: Origins,
    path: Path,
) -> Problem:
    key = str(path[-1])
    parent = next((step for step in reversed(path[:-1]) if isinstance(step, str)), "")
    where = f" in {parent}" if parent else ""
    written = example(model, loc)
    if key == "screening":  # here and below an example would answer in the client's place
        hint = (
            "ask its questions, then add screening: with on, regular_exercise, known_disease and "
            "symptoms as they were answered"
        )
    elif written in ("yes", "no"):
        hint = f"add {key}: yes, or {key}: no, as it was answered"
    else:
        hint = f"add {key}: {written}" if written else f"add {key}: and {_described(model, loc)}"
    return Problem(
        origins.at(*path[:-1]), f"required {quoted(key)} is missing{where}", hint, "missing"
    )


def _empty(
    model: type[Record],
    loc: Path,
    origins: Origins,
    path: Path,
) -> Problem:
    written = example(model, loc)
    if path and isinstance(path[-1], int):
        hint = "write the entry, or take the - out"
        return Problem(value_place(origins, path), "nothing is written after this -", hint, "empty")
    key = str(path[-1]) if path else ""
    out = "" if is_needed(model, loc) else ", or take the line out"
    if record_at(model, loc) is Day:
        hint = _day_hint(key, "")
    else:
        hint = f"{_pair(key, written) if written else f'write {_described(model, loc)}'}{out}"
    return Problem(
        _key_place(origins, path), f"nothing is written under {quoted(key)}", hint, "empty"
    )


MOST_HOMES = 2  # places of an unknown key that one sentence can name


def _unknown_key(model: type[Record], loc: Path, read: YamlText, path: Path) -> Problem:
    key = str(path[-1])
    here = record_at(model, loc[:-1])
    known = names(here) if here else ()
    if key.strip() != key:  # YAML strips its own spaces
        from sitegen.practice.syntax import ODD_SPACE_HINT, ODD_SPACE_SAYS  # who has a slip only

        return Problem(read.origins.at(*path), ODD_SPACE_SAYS, ODD_SPACE_HINT, "odd-space")
    if half := _half(read.tree, path):
        before, text = half
        hint = f'a comma ends a text within braces: put it in quotes, like {before}: "{text}"'
        if _NUMBER_THEN_NUMBER.search(text):
            row = row_at(model, (*loc[:-1], before))
            right = mended(row.value, text) if row is not None and row.value else None
            hint = f"use a point for decimals, like {before}: {text.replace(',', '.')}"
            if right is not None and ":" in right:  # of a pace or a clock a comma is none
                hint = f"write {before}: {right}"
        return Problem(read.origins.at(*path), f"unknown key {quoted(key)}", hint, "unknown-key")
    plain = key.strip(CURLY_QUOTES + "\"'")
    glued = _KEY_AND_REST.fullmatch(plain)
    homes = _homes(model, key)
    if plain != key and plain in known:
        hint = f"take the quotes off: {plain}"
    elif len(several := re.split(r"\s*,\s*", plain)) > 1 and {*several} <= {*known}:
        hint = f"give each a line of its own: {': and '.join(several)}:"
    elif glued and glued["key"] in known and glued["rest"]:
        hint = f"write a colon and a space, like {glued['key']}: {glued['rest']}"
    elif key.startswith("-") and key[1:] in known:
        hint = f"write a space after the -, like - {key[1:]}"
    elif key == "weeks" and isinstance(_value_at(read.tree, path), (dict, list)):
        hint = "weeks in rotation are a list under week; one odd week stands under weeks_on"
    elif 1 <= len(homes) <= MOST_HOMES:
        hint = f"it belongs under {' or '.join(homes)}"
    elif len(path) > 1 and key in model.ROWS:
        hint = f"it belongs at the top of the file, not under {path[0]}"
    elif (meant := _OTHER_WORDS.get(plain.lower())) in known:
        hint = f"did you mean {meant}?"
    elif near := nearest(plain, known).strip():
        hint = near
    elif longer := [name for name in known if len(name) > 2 and plain.lower().startswith(name)]:
        hint = f"did you mean {longer[0]}?"
    elif rest := _rest_of_a_text(model, loc, read, path):
        hint = f"a comma ends a text within braces: put the whole text in quotes, like {rest}"
    else:
        hint = f"known here: {', '.join(known)}" if known else "nothing can be set here"
    return Problem(read.origins.at(*path), f"unknown key {quoted(key)}", hint, "unknown-key")


def _value_at(tree: object, path: Path) -> object:
    for step in path if tree is not None else ():
        tree = tree[step]  # type: ignore[index]
    return tree


_NUMBER_THEN_NUMBER = re.compile(r"\d,\d")


def _half(tree: object, path: Path) -> tuple[str, str] | None:
    """The key before an unknown one, and both halves of the text that a comma cut in two.

    Within braces ``because: tired, then ill`` is two keys, the second without a value.
    """
    if tree is None:
        return None
    for step in path[:-1]:
        tree = tree[step]  # type: ignore[index]
    if not isinstance(tree, dict) or tree.get(str(path[-1])) != "":
        return None
    keys = list(tree)
    number = keys.index(path[-1])
    before = tree[keys[number - 1]] if number else None
    if not isinstance(before, str) or not before or ":" in str(path[-1]):
        return None
    digits = before[-1].isdigit() and str(path[-1])[:1].isdigit()
    return str(keys[number - 1]), f"{before},{'' if digits else ' '}{path[-1]}"


def _rest_of_a_text(model: type[Record], loc: Path, read: YamlText, path: Path) -> str:
    """What to write where an unknown key stands behind a text and a comma, in one line with it."""
    tree: Any = read.tree
    if tree is None:
        return ""
    for step in path[:-1]:
        tree = tree[step]
    keys = list(tree)
    number = keys.index(path[-1])
    if number == 0:
        return ""
    before = keys[number - 1]
    row = row_at(model, (*loc[:-1], before))
    lines = {read.origins.at(*path[:-1], key).line for key in (before, path[-1])}
    if row is None or row.value is None or row.value.noun != "a text" or len(lines) > 1:
        return ""
    after = f"{path[-1]}: {tree[path[-1]]}" if isinstance(tree[path[-1]], str) else f"{path[-1]}: …"
    return f'{before}: "{tree[before]}, {after}"'


def _told_with_its_half(error: FieldError, read: YamlText, prefix: Path) -> bool:
    """True for a number whose decimals a comma within braces cut off: the key is told of."""
    if not error.message or not isinstance(error.input, str) or read.tree is None:
        return False
    tree: object = read.tree
    path = (*prefix, *error.path)
    for step in path[:-1]:
        tree = tree[step] if isinstance(tree, (dict, list)) else None  # type: ignore[index]
    keys = list(tree) if isinstance(tree, dict) else []
    if path[-1] not in keys[:-1]:
        return False
    after = (*path[:-1], keys[keys.index(path[-1]) + 1])
    half = _half(read.tree, after)
    return half is not None and _NUMBER_THEN_NUMBER.search(half[1]) is not None


def meant_key(model: type[Record], loc: Path, written: Collection[str]) -> str | None:
    """The key that the unknown one at ``loc`` surely stands for; None where there is none.

    ``written`` are the keys beside it: none of them can be meant.
    """
    model, loc = root_of(model, loc)
    here = record_at(model, loc[:-1])
    plain = str(loc[-1]).strip(CURLY_QUOTES + "\"'")
    if here is None or _homes(model, plain):
        return None
    known = names(here)
    near = plain if plain in known else nearest_of(plain, known, SURELY_MEANT)
    return None if near in written else near


def _day_hint(key: str, shown: object) -> str:
    """A bare time, length or use of a day: what the coach meant, as a map."""
    text = shown.strip() if isinstance(shown, str) else ""
    if _CLOCK.fullmatch(text):
        return f"write {key}: {{at: {text}}}"
    if _TIME.fullmatch(text):
        return f"write {key}: {{up_to: {text}}}"
    uses = [shown] if isinstance(shown, str) else shown if isinstance(shown, list) else []
    if uses and all(use in ("run", "strength") for use in uses):
        return f"write {key}: {{for: [{', '.join(uses)}]}}"
    return f"write rest, yes or what the day offers, like {key}: {{at: 18:30, up_to: 45 min}}"


def _score(shown: str) -> int | None:
    """A bare score of pain, or a word that there was none."""
    if shown.strip().lower() in ("no", "none", "nothing"):
        return 0
    return int(shown) if re.fullmatch("[0-9]|10", shown) else None


def _pair(key: str, written: str) -> str:
    return f"write {key}: {written}"


def _names(model: type[Record]) -> str:
    return one_of(names(model)).replace(" or ", " and ")


# --- places -----------------------------------------------------------------------------------


def value_place(origins: Origins, path: Path) -> Origin:
    """Where the value of ``path`` stands, or else the value around it."""
    for end in range(len(path), -1, -1):
        if path[:end] in origins.values:
            return origins.value(*path[:end])
    return Origin(origins.file)


def _key_place(origins: Origins, path: Path) -> Origin:
    return origins.at(*path) if path in origins.keys else value_place(origins, path)


# --- what the table knows ---------------------------------------------------------------------


def names(model: type[Record]) -> tuple[str, ...]:
    """Keys that a map may have, as they are written."""
    return tuple(model.ROWS)


def _described(model: type[Record], path: Path) -> str:
    """``a duration, like 45 min``: what the kind of the field says of itself."""
    found = row_at(model, path)
    kind = found.value if found is not None else None
    return f"{kind.noun}, {kind.example}" if kind else "its value"


_PARTS: Mapping[type[Record], str] = {Day: "a day of week", Group: "a group's name"}


def _homes(model: type[Record], key: str) -> list[str]:
    """Where else ``key`` is known, as the names of the maps around it; days count once."""
    homes: list[str] = []

    def look(here: type[Record], path: tuple[str, ...]) -> None:
        for name, one in here.ROWS.items():
            nested = one.record
            if nested is None:
                continue
            if key in nested.ROWS:
                home = _PARTS.get(nested, ".".join((*path, name)))
                if home not in homes:
                    homes.append(home)
            if one.many != "by name":
                look(nested, (*path, name))

    look(model, ())
    return homes
