"""One client's file in many hands: the same facts with other spacing, quotes, comments and styles.

Drawn with a seeded generator, so the same number gives the same bytes.
"""

from __future__ import annotations

from random import Random
from typing import NamedTuple

LISTS = ("changes", "notes", "away")
ENTRIES = {
    "changes": [
        {"on": "2027-02-16", "rest": "yes", "because": "travels"},
        {"week": "7", "minutes": "90 min", "because": "a steady week: after the journey"},
        {"on": "2027-02-21", "move_to": "2027-02-20", "because": "it's the family's day"},
    ],
    "notes": [
        {"week": "3", "text": "Go easy on the hills, and *walk down* the steep one."},
        {"week": "6", "text": "# no comment, this"},
    ],
    "away": [{"from": "2027-03-01", "to": "2027-03-07", "because": "skiing"}],
}
FIELDS = {
    "name": "Mara Quist",
    "screening": {
        "on": "2027-01-04", "regular_exercise": "yes", "known_disease": "no", "symptoms": "no",
    },
    "baseline": {
        "on": "2027-01-11", "cadence": "158 spm", "pace": "6:45 /km", "week": "60 min",
        "longest": "25 min", "runs": "3",
    },
    "goal": {"text": "run 5 km, without a walk"},
    "week": {
        "tue": {"at": "18:30", "up_to": "45 min"}, "thu": {"at": "18:30", "up_to": "45 min"},
        "sun": {"at": "9:00", "up_to": "1 h 30 min"}, "long": "sun",
    },
    "plan": {"from": "2027-01-18", "weeks": "16", "growth": "8 %"},
    "private": "Ask about work: before the first long run.",
}  # fmt: skip
COMMENTS = (
    "# a word", "#\ttabs\tin it", "# {not: yaml, [at all", "#", "# - week: 1", "#changes: no",
)  # fmt: skip


class OddFile(NamedTuple):
    """The bytes, and the list that it leaves out or open, by how."""

    data: bytes
    how: dict[str, str]


def odd_file(number: int) -> OddFile:
    """The file of that number."""
    draw = Random(number)
    pen = _Pen(draw)
    how = {key: draw.choice(_HOWS) for key in LISTS}
    parts = [pen.field(key, value) for key, value in FIELDS.items()]
    parts += [pen.list(key, ENTRIES[key], how[key]) for key in LISTS if how[key] != "absent"]
    draw.shuffle(parts)
    lines: list[str] = []
    for part in parts:
        lines += pen.noise()
        lines += part
    lines += pen.noise()
    if draw.random() < 0.15:
        lines = [f"  {line}" if line else "" for line in lines]
    if draw.random() < 0.15:
        lines = ["---", *lines]
    if draw.random() < 0.1:
        lines = [*lines, "..."]
    end = draw.choice(["\n", "\n", "\n", "\r\n", "\r\n", "\r"])
    text = end.join(lines)
    text += draw.choice([end, end, end, "", end * 3])
    mark = b"\xef\xbb\xbf" if draw.random() < 0.1 else b""
    return OddFile(mark + text.encode(), how)


_HOWS = (
    "absent", "open", "null", "tilde", "empty", "flow", "flow lines", "flow comma",
    "block", "block", "block", "block maps", "block maps", "last text",
)  # fmt: skip


class _Pen:
    """Writes fields and lists, each time in another way."""

    def __init__(self, draw: Random) -> None:
        self.draw = draw

    def noise(self) -> list[str]:
        """Blank lines and comments, as they stand between fields."""
        return [
            self.draw.choice(["", "", *COMMENTS, f"    {self.draw.choice(COMMENTS)}"])
            for _ in range(self.draw.choice([0, 0, 0, 1, 2]))
        ]

    def behind(self) -> str:
        """Space, or a comment, behind a value."""
        return self.draw.choice(["", "", "", "  ", f"   {self.draw.choice(COMMENTS)}"])

    def scalar(self, text: str, in_flow: bool = False) -> str:
        ways = [f'"{text}"', "'" + text.replace("'", "''") + "'"]
        is_plain = not set(text) & set(",:[]{}#'*\"") or (":" in text and ": " not in text)
        if is_plain and not (in_flow and "," in text) and text[0] not in "#*":
            ways += [text, text, text]
        return self.draw.choice(ways)

    def flow(self, value: object) -> str:
        gap = self.draw.choice(["", "", " "])
        if isinstance(value, dict):
            comma = self.draw.choice([", ", ", ", ",  ", " , "])
            inside = comma.join(
                f"{key}:{self.draw.choice([' ', '  '])}{self.flow(one)}"
                for key, one in value.items()
            )
            return f"{{{gap}{inside}{gap}}}"
        return self.scalar(str(value), True)

    def field(self, key: str, value: object) -> list[str]:
        gap = self.draw.choice([" ", " ", "   "])
        if not isinstance(value, dict):
            if key == "private":
                style = self.draw.choice(["|", "|-", "|+", ">", ""])
                if style:
                    return [f"{key}: {style}", f"    {value}", *self.draw.choice([[], ["", ""]])]
            return [f"{key}:{gap}{self.scalar(str(value))}{self.behind()}"]
        if self.draw.random() < 0.3:
            return [f"{key}:{gap}{self.flow(value)}{self.behind()}"]
        indent = " " * self.draw.choice([1, 2, 2, 2, 4])
        lines = [f"{key}:{self.behind()}"]
        for name, one in value.items():
            if isinstance(one, dict) and self.draw.random() < 0.4:
                lines.append(f"{indent}{name}:{self.behind()}")
                lines += [
                    f"{indent * 2}{k}: {self.scalar(v)}{self.behind()}" for k, v in one.items()
                ]
            else:
                lines.append(f"{indent}{name}:{gap}{self.flow(one)}{self.behind()}")
            lines += [f"{indent}{line}" for line in self.noise() if line.startswith("#")]
        return lines

    def list(self, key: str, entries: list[dict[str, str]], how: str) -> list[str]:
        none = self.draw.choice([" []", " [ ]"])
        bare = {"open": "", "null": " null", "tilde": " ~", "empty": none}
        if how in bare:
            return [f"{key}:{bare[how]}{self.behind()}"]
        if how == "flow":
            inside = ", ".join(map(self.flow, entries))
            return [f"{key}: [{inside}]{self.behind()}"]
        if how in ("flow lines", "flow comma"):
            comma = "," if how == "flow comma" else ""
            lines = [f"{key}: [{self.behind()}"]
            for at, entry in enumerate(entries):
                last = at == len(entries) - 1
                lines.append(f"   {self.flow(entry)}{comma if last else ','}{self.behind()}")
            return [*lines, self.draw.choice([" ]", "  ]"]) + self.behind()]
        indent = " " * self.draw.choice([0, 2, 2, 4])
        lines = [f"{key}:{self.behind()}"]
        for entry in entries:
            lines += self.entry(entry, indent, how)
            lines += [f"{indent}{line}" for line in self.noise() if line.startswith("#")]
        return lines

    def entry(self, entry: dict[str, str], indent: str, how: str) -> list[str]:
        if how == "block":
            gap = self.draw.choice([" ", " ", "   "])
            return [f"{indent}-{gap}{self.flow(entry)}{self.behind()}"]
        gap = self.draw.choice([" ", " ", "   "])
        lines = []
        for at, (name, text) in enumerate(entry.items()):
            begin = f"{indent}-{gap}" if at == 0 else f"{indent} {' ' * len(gap)}"
            if how == "last text" and at == len(entry) - 1:
                style = self.draw.choice(["|", "|-", ">-"])
                lines += [f"{begin}{name}: {style}", f"{indent}      {text}"]
            elif at == len(entry) - 1 and " " in text and self.draw.random() < 0.2:
                first, _, rest = text.partition(" ")
                lines += [f'{begin}{name}: "{first}', f'{indent}     {rest}"{self.behind()}']
            else:
                lines.append(f"{begin}{name}: {self.scalar(text)}{self.behind()}")
        return lines
