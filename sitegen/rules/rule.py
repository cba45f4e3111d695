"""What a rule is: a promise, a reason with its source, parameters, and pure functions.

A rule brings all that is its own: what it reads in the log, what stops the plan in its eyes, what
it remembers from week to week, whom its warnings reach, which rules it needs before it. The fold
(`sitegen.plan.fold`) asks every rule alike and knows none by name.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from datetime import date
from types import MappingProxyType
from typing import Any, Literal, NamedTuple

from sitegen.model.case import Case
from sitegen.model.plan import Week
from sitegen.model.problem import Origin
from sitegen.model.record import Path, Record
from sitegen.rules.draft import Draft, Past, Stop
from sitegen.rules.log import Log, Logged
from sitegen.rules.told import ToldRun

Evidence = Literal["published", "weak", "judgement", "arithmetic"]
Audience = Literal["both", "coach"]


HEARD = object()  # stands where a rule does not say what it knows of who has told of nothing


class Parameters(Record):
    """Base of every rule's parameters; a subclass names them with kind, default and meaning."""


class NoParameters(Parameters):
    """For a rule that leaves nothing to choose."""


class Morning(NamedTuple):
    """The morning of a day in the week that starts on ``week_start``.

    Only what was logged before ``day`` is known. ``memory`` is what every rule remembers of the
    weeks before.
    """

    day: date
    week_start: date
    memory: Mapping[str, Any]


class Lived(NamedTuple):
    """A week as it came out, for what a rule remembers of it.

    ``runs`` says what became of each run that was told, ``on_monday`` of those that were told on
    its Monday, where something changed the week since. ``logged`` are the sessions logged in the
    week. ``backs`` counts the steps back that it brought (see `Rule.backs`). ``memory`` is what
    every rule remembered before the week. ``training`` are the week's running minutes as told,
    the event itself not counted.
    """

    case: Case
    week: Week
    runs: tuple[ToldRun, ...]
    on_monday: tuple[ToldRun, ...]
    logged: tuple[Logged, ...]
    backs: int
    back_because: Origin | None
    memory: Mapping[str, Any]
    read: Mapping[str, Any]
    training: float

    @property
    def all_done(self) -> bool:
        """True where every run was done, or may still be: its day is not over."""
        return all(run.fate in ("done", "ahead") for run in self.runs)

    @property
    def ran_minutes(self) -> float:
        """Minutes run, each run counted up to what was told; one still ahead counts as told."""
        return sum(
            run.counted if run.fate == "done" else run.minutes
            for run in self.runs
            if run.fate in ("done", "ahead")
        )

    @property
    def any_done(self) -> bool:
        return any(run.fate in ("done", "ahead") for run in self.runs)


class Back(NamedTuple):
    """How many steps back a week brought, and what the last of them came from."""

    times: int = 0
    because: Origin | None = None


class Memory(NamedTuple):
    """What a rule remembers from week to week.

    ``start(case, monday, number, before)`` is where the baseline puts the runner, for week
    ``number`` that begins on ``monday``; ``before`` is what was remembered so far where the
    baseline is a new one inside the plan, else None. ``after(before, lived)`` is what a week
    leaves behind.
    """

    start: Callable[[Case, date, int, Any], Any]
    after: Callable[[Any, Lived], Any]


@dataclass(frozen=True, slots=True)
class Rule:
    """One progression rule.

    ``apply`` takes the week as the rules before it left it, and what came before that week; it
    gives the week back, changed or not, with its decisions noted. It knows no clock and no files.

    ``evidence`` says how strong the ground under the numbers is: ``published`` (a study or a
    guideline says so), ``weak`` (studies, but few, small or indirect), ``judgement`` (common
    practice, no source), ``arithmetic`` (nothing to believe: it only counts).

    ``client_fields`` maps a parameter to the path of the client's own field that sets it.

    What else a rule may bring:
        audience: Whom a warning of it reaches, ``both`` client and coach, or the ``coach`` alone.
        moves_minutes: False where no run is longer, shorter or on another day for it. Weeks of
            which only the minutes are asked (a held one as if nothing had been told, plans to
            later dates) are drawn without it.
        needs: Names of rules that have to act before it, as it builds on what they did.
        opens: Lays what it remembers into the week, before any rule acts.
        memory: What it remembers; `remembered` gives it back.
        sees: The case as it may be planned on, where that is not as it is written.
        reads: What it lays out of a client's file and log, once a plan; `Past.read` holds it.
            Nothing of the event's date: the same serves for plans to later dates.
        knows: What it knows on the morning of a day; equal values lead to the same week.
        untold: What it knows where no pain, sign or illness was told; only from a rule that hears
            of these. No session of a held week is longer than it would be then.
        stops: Why it lets nothing be planned on ``day``, by what was logged before the day
            ``before``: ``stops(log, before, day)``. None where it lets the plan go on.
        may_stop: Asked once a plan: False where nothing in file and log ever lets it stop this one.
        backs: How many steps back the log before a day asks for in the week that starts on
            another: ``backs(log, before, week_start)``.
        review: How a coach or a reviewer sees on a plan that the rule did what it promises.
    """

    name: str
    promise: str
    reason: str
    source: str
    evidence: Evidence
    apply: Callable[[Draft, Past, Case], Draft]
    parameters: type[Parameters] = NoParameters
    client_fields: Mapping[str, Path] = field(default_factory=lambda: MappingProxyType({}))
    audience: Audience = "both"
    moves_minutes: bool = True
    needs: tuple[str, ...] = ()
    opens: Callable[[Draft, Past, Case], Draft] | None = None
    memory: Memory | None = None
    sees: Callable[[Case], Case] | None = None
    reads: Callable[[Case, Log], Any] | None = None
    knows: Callable[[Log, Morning], Hashable] | None = None
    untold: object = HEARD
    stops: Callable[[Log, date, date], Stop | None] | None = None
    may_stop: Callable[[Log], bool] | None = None
    backs: Callable[[Log, date, date], Back] | None = None
    review: str = ""

    def values(self, case: Case) -> Any:
        """This client's values of the rule's parameters; the defaults where none were merged."""
        return case.settings.get(self.name) or self.parameters()

    def remembered(self, past: Past) -> Any:
        """What the rule remembers of the weeks before.

        Raises:
            KeyError: The rule has no memory.
        """
        return past.memory[self.name]
