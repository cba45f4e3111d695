"""A coach's mistake, as a value with a place and a mend."""

from __future__ import annotations

from typing import Literal, NamedTuple

Severity = Literal["error", "warning"]


class Origin(NamedTuple):
    """Where in the coach's files something was written. Lines and columns count from 1."""

    file: str
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class Problem(NamedTuple):
    """What is wrong, where, and what to write instead.

    Sorts by file, line and column. ``code`` never changes between versions: tests and help
    pages point at it. An ``error`` stops the client's build, a ``warning`` does not.
    """

    origin: Origin
    message: str
    hint: str
    code: str
    level: Severity = "error"

    def __str__(self) -> str:
        hint = f" ({self.hint})" if self.hint else ""
        return f"{self.origin}: {self.level}: {self.message}{hint} [{self.code}]"

    def as_json(self) -> dict[str, str | int]:
        """The object that ``--json`` prints for this problem."""
        return {
            "file": self.origin.file,
            "line": self.origin.line,
            "column": self.origin.column,
            "level": self.level,
            "code": self.code,
            "message": self.message,
            "hint": self.hint,
        }
