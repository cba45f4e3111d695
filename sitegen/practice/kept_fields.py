"""The fields of the files that sitegen keeps itself, ``ID.told.yaml`` and ``ID.alarms.yaml``.

They are written by commands, and read by `sitegen.practice.told` and `sitegen.practice.answers`;
this table tells a coach, and an editor, what stands in them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple, get_args

from sitegen.model.kinds import DATE
from sitegen.model.plan import PartKind, SessionKind, WeekKind

Schema = dict[str, Any]
DIALECT = "https://json-schema.org/draft/2020-12/schema"


class KeptField(NamedTuple):
    """One field: its name, what it means, how it is written, an example, whether it is needed."""

    name: str
    meaning: str
    written: str
    example: str
    schema: Schema
    needed: bool = False


def _text(pattern: str) -> Schema:
    return {"type": "string", "pattern": pattern}


def _whole(low: int, high: int) -> Schema:
    return {"type": "integer", "minimum": low, "maximum": high}


def _word(kind: Any) -> Schema:
    return {"enum": list(get_args(kind))}


_DATE_PATTERN = str(DATE.schema["pattern"])
_DATE = _text(_DATE_PATTERN)
# An editor with YAML 1.1 reads an unquoted time of day as a number of minutes; ours has quotes.
_CLOCK = _text(r"^([01]?[0-9]|2[0-3]):[0-5][0-9]$")
_YES = {"enum": ["yes", True]}
_ID = _text(r"^[a-z0-9]+(-[a-z0-9]+)*$")
_MINUTES = r"[0-9]{1,4}(\.[0-9]{1,9})? min"
_PART = (
    rf"({'|'.join(get_args(PartKind))}) {_MINUTES}( x [0-9]{{1,3}})?( at [0-9]{{2,3}} spm)?"
    rf"( effort [0-9]{{1,2}})?( hard {_MINUTES})?"
)
_ANY: Schema = {"type": "string"}

TOLD_KEPT = KeptField(
    "told", "the day on which this was shown", "a date", "2027-01-04", _DATE, True
)
WEEK_KEPT: tuple[KeptField, ...] = (
    KeptField("week", "the week's number", "1 to 52", "3", _whole(1, 52), True),
    KeptField("from", "its Monday", "a date", "2027-01-18", _DATE, True),
    KeptField("kind", "what kind of week it is", "a word", "build", _word(WeekKind), True),
    KeptField(
        "cadence", "the step rate aimed at", "a rate", "162 spm", _text("^[0-9]{2,3} spm$"), True
    ),
    KeptField("steps", "steps of running", "a whole number", "24960", _whole(0, 999_999), True),
    KeptField(
        "worth", "the level that it earns once its runs are done; 0 for none", "minutes",
        "132 min", _text(r"^[0-9]{1,5}(\.[0-9]{1,9})? min$"), True,
    ),
    KeptField("runs", "runs that count for a habit", "0 to 14", "3", _whole(0, 14), True),
    KeptField("rung", "rung of the run/walk ladder", "1 to 99", "2", _whole(1, 99)),
    KeptField("coach", "the coach made it lighter or heavier", "yes", "yes", _YES),
    KeptField("began", "its kind on its Monday, where that was another", "a word", "build",
              _word(WeekKind)),
    KeptField("checkins", "no check-in was expected: by agreement, or in a pause", "none", "none",
              _text("^none$")),
)  # fmt: skip
SESSION_KEPT: tuple[KeptField, ...] = (
    KeptField("on", "its day", "a date", "2027-01-19", _DATE, True),
    KeptField("session", "its lasting id", "an id", "w03-run-1", _ID, True),
    KeptField("kind", "what kind of session it is", "a word", "easy", _word(SessionKind), True),
    KeptField("at", "when it begins", "a time of day", '"18:30"', _CLOCK),
    KeptField("effort", "from and to, of 10", "two numbers", "2-3", _text("^[0-9]+-[0-9]+$"), True),
    KeptField("hard", "a hard one", "yes", "yes", _YES),
    KeptField("fuel", "when to be reminded of the drink", "a time of day", '"17:45"', _CLOCK),
    KeptField("moved_from", "the day that it stood on", "a date", "2027-01-18", _DATE),
    KeptField("drills", "its drills", "names with spaces", "bridge calf-raise-straight", _ANY),
    KeptField("workout", "the file that it was made from", "an id", "easy", _ID),
    KeptField("title", "its title", "a text", '"Easy run"', _ANY),
    KeptField("purpose", "what it is for", "a text", '"Easy minutes."', _ANY),
    KeptField(
        "parts", "its parts in turn; may be empty", "parts with commas",
        '"warm_up 5 min, run 30 min"', _text(rf"^({_PART}(, {_PART})*)?$"), True,
    ),
    KeptField("says", "words of each part, where they are not the usual ones", "a list of texts",
              '["", "Run easily."]', {"type": "array", "items": _ANY}),
)  # fmt: skip
ANSWER_KEPT: tuple[KeptField, ...] = (
    KeptField(
        "alarm", "the alarm's matter and its day", "a word and a date", "chest_pain 2027-02-09",
        _text(rf"^\S.* +{_DATE_PATTERN.strip('^$')}$"), True,
    ),
    KeptField("on", "the day of the answer", "a date", "2027-02-10", _DATE, True),
    KeptField("because", "what was done", "a text", "Saw her doctor; all clear.", _ANY, True),
    KeptField("seen_by", "who saw the client", "a text", "the family doctor", _ANY),
    KeptField(
        "not_client", "yes: somebody else wrote it; for 14 days check-ins that are not signed stop "
        "nothing by their signs", "yes", "yes", _YES,
    ),
    KeptField(
        "tellings", "how many check-ins had told this sign of this day by then: one more opens an "
        "alarm anew", "a whole number from 1", "1", _text(r"^[1-9]\d*$"),
    ),
)  # fmt: skip


def told_schema() -> Schema:
    """The schema of ``ID.told.yaml``: what was shown, by the day on which it was."""
    lines = {"type": "array", "items": {"anyOf": [_map(WEEK_KEPT), _map(SESSION_KEPT)]}}
    entry = _map((TOLD_KEPT,))
    entry["properties"]["weeks"] = {
        **lines, "description": "weeks, each followed by its sessions",
    }  # fmt: skip
    entry["required"].append("weeks")
    return _list_of(entry, "what a client was shown")


def alarms_schema() -> Schema:
    """The schema of ``ID.alarms.yaml``: what a coach answered to alarms."""
    return _list_of(_map(ANSWER_KEPT), "what was answered to alarms")


def _list_of(entry: Schema, title: str) -> Schema:
    return {"$schema": DIALECT, "title": title, "type": ["array", "null"], "items": entry}


def _map(fields: Sequence[KeptField]) -> Schema:
    """A map of these fields. An editor with YAML 1.1 reads the key ``on`` as true."""
    properties = {one.name: {**one.schema, "description": one.meaning} for one in fields}
    needed = [one.name for one in fields if one.needed]
    found: Schema = {
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
        "required": [name for name in needed if name != "on"],
    }
    if "on" in properties:
        found["patternProperties"] = {"^true$": properties["on"]}
        found["anyOf"] = [{"required": ["on"]}, {"required": ["true"]}]
    return found
