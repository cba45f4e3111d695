"""What a publish says while it runs and when it ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from sitegen.practice.address import AddressError


@dataclass(frozen=True, slots=True)
class PublishProblem:
    """What went wrong on the way to the host, and what to do next.

    The sister of :class:`sitegen.model.problem.Problem` for things that have no line in a coach's
    file. ``path`` is the file on the host that it is about, or empty for the host as a whole.
    ``code`` never changes between versions.
    """

    message: str
    hint: str
    code: str
    path: str = ""

    def __str__(self) -> str:
        where = f"{self.path}: " if self.path else ""
        return f"{where}{self.message} ({self.hint}) [{self.code}]"


def publish_problem(wrong: AddressError) -> PublishProblem:
    """A target that is none, as a publish tells it."""
    return PublishProblem(wrong.message, wrong.hint, wrong.code)


@dataclass(frozen=True, slots=True)
class TransferStep:
    """One thing done: the ``done``-th of ``total``. ``path`` names a file of the site.

    ``done`` 0, with no path, says that it begins. ``share``, from 0 to 1, is how much of the work
    of this kind is done, by bytes and round trips, where that is known: files differ in size.
    """

    doing: Literal["send", "remove", "wait"]
    path: str
    done: int
    total: int
    share: float | None = None


TransferProgress = Callable[[TransferStep], None]


@dataclass(frozen=True, slots=True)
class Report:
    """What a publish did, or in a dry run would do. Paths are relative to the site.

    Attributes:
        target: The address as it may be shown: it holds no secret.
        uploaded: Sent and read back the same.
        unchanged: On the host already.
        removed: Ours, no longer in the site, and gone from the host.
        skipped: Ours to send or remove, but left for the next run; ``problems`` say why.
        kept: Other people's files on the host. They were left alone.
        problems: What went wrong, each with what to do next. Empty: all is well.
        notes: What the coach should know although nothing failed.
        dry_run: Nothing was written.
    """

    target: str
    uploaded: tuple[str, ...] = ()
    unchanged: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()
    skipped: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    problems: tuple[PublishProblem, ...] = ()
    notes: tuple[str, ...] = ()
    dry_run: bool = False

    @property
    def ok(self) -> bool:
        return not self.problems
