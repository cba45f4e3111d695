"""An alarm: something that a person must answer; and the answer that a coach gave."""

from __future__ import annotations

from datetime import date
from typing import Literal, NamedTuple

from sitegen.model.problem import Origin

AlarmKind = Literal["now", "today", "ask", "notice"]
KINDS: tuple[AlarmKind, ...] = ("now", "today", "ask", "notice")


MONTHS_SHORT = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

DAYS_SHORT = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def short_day(day: date) -> str:
    """``31 Jan``, as the roster writes days."""
    return f"{day.day} {MONTHS_SHORT[day.month - 1]}"


def weekday_words(day: date) -> str:
    """``Sat 31 Jan``."""
    return f"{DAYS_SHORT[day.weekday()]} {short_day(day)}"


class AlarmAnswer(NamedTuple):
    """What a coach answered to one alarm, as ``ID.alarms.yaml`` keeps it.

    ``matter`` and ``since`` name the alarm: ``chest_pain 2027-02-09``. ``tellings`` is how many
    check-ins had told that sign of that day by then: one more is news.
    """

    matter: str
    since: date
    on: date
    because: str
    seen_by: str | None = None
    origin: Origin | None = None
    not_client: bool = False  # the check-in behind it was not the client's
    tellings: int | None = None


class Alarm(NamedTuple):
    """One alarm of one client; none of it is stored but the answer.

    ``since`` is the day from which it counts; ``number`` is by what a coach answers it. While it
    ``is_standing`` it acts on the plan: a *now* or a *today* until it is lifted, an *ask* until it
    is answered. A *notice* asks for no answer. ``signs`` are those of which it tells.

    Alarms with the same ``group`` are joined to one, whose ``members`` they are
    (`sitegen.plan.joined_alarms`); a signed check-in's is in none, but a run through
    a stop and a trend of pain.
    """

    kind: AlarmKind
    matter: str
    since: date
    says: str
    number: int = 0
    because: Origin | None = None
    answer: AlarmAnswer | None = None
    is_standing: bool = True
    freed_by: str = ""
    is_unsigned: bool = False  # of a check-in that nobody signed
    signs: tuple[str, ...] = ()
    group: str = ""
    members: tuple[Alarm, ...] = ()
    by_words: bool = False  # found in words alone, where the sign could have been ticked

    @property
    def place(self) -> tuple[bool, int, bool, date]:
        """Sorts alarms wherever they are listed: a run through a stop first, then by kind; within
        one kind what was ticked before what words alone may mean."""
        is_other = self.matter != "ran_while_stopped"
        return is_other, KINDS.index(self.kind), self.by_words, self.since

    @property
    def key(self) -> str:
        return f"{self.matter} {self.since}"

    @property
    def all(self) -> tuple[Alarm, ...]:
        """Its members; itself where it has none."""
        return self.members or (self,)

    @property
    def keys(self) -> tuple[str, ...]:
        """Of all of it, each once."""
        return tuple(dict.fromkeys(one.key for one in self.all))

    def has_number(self, number: int) -> bool:
        """Whether it is listed under a number, or what was is joined to it by now."""
        return any(number == one.number for one in self.all)

    def is_about(self, matter: str | None) -> bool:
        """Whether it is what a coach says that it is: a matter, or one with its day; None: any."""
        return matter is None or any(matter in (one.matter, one.key) for one in self.all)

    @property
    def is_open(self) -> bool:
        """Nobody has answered it, or lifted what it is about."""
        return self.kind != "notice" and self.answer is None and not self.freed_by

    def as_json(self) -> dict[str, object]:
        """What ``weeks --json`` and ``alarms --json`` tell of it."""
        return {
            "number": self.number,
            "kind": self.kind,
            "matter": self.matter,
            "since": self.since.isoformat(),
            "says": self.says,
            "because": str(self.because) if self.because else None,
            "open": self.is_open,
            "stands": self.is_standing,
            "answered_on": self.answer.on.isoformat() if self.answer else None,
            "freed_by": self.freed_by or None,
            "joins": list(self.keys) if self.members else [],
        }
