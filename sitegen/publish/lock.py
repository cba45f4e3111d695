"""One publish at a time, on hosts that have no locks.

Each publish writes a ticket of its own and then looks who else has one. Whoever sees another's
live ticket takes its own back and waits. Since everyone writes before looking, two can never both
go on; at worst both step back and try again after pauses of different length. This needs nothing
but write, list and remove, so it works the same on every kind of host.

A ticket's age is told by the host's clock alone, its change time against that of the ticket just
written, so a wrong clock on the coach's machine does no harm. A publish renews its ticket while it
works. One that was not renewed for ``STALE_S`` is taken over; so is one at once whose owner ran on
this machine and is gone.
"""

from __future__ import annotations

import getpass
import hashlib
import json
import os
import platform
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from sitegen.publish.fault import delay_s, refusal
from sitegen.publish.report import PublishProblem
from sitegen.publish.retrying import RetryingConnection
from sitegen.publish.store import HostFile

TICKET = ".sitegen-lock-"
PART = ".sitegen-part-"
STALE_S = 300.0  # not renewed for this long: nobody's. Common practice, no source
RENEW_S = 30.0

_running: set[str] = set()  # tokens of publishes in this very process


def owner_mark() -> str:
    """Says "the same person on the same machine" without saying who or which."""
    try:
        user = getpass.getuser()
    except (OSError, KeyError):  # no such user on this machine, as in some containers
        user = ""
    return hashlib.sha256(f"sitegen owner\0{platform.node()}\0{user}".encode()).hexdigest()[:16]


def is_running(process: int) -> bool:
    """True if a process of that number runs here, or if this system can't tell."""
    if os.name != "posix":
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


@dataclass
class Lock:
    """This publish's ticket. Take it before the first write, renew it, give it back."""

    line: RetryingConnection
    now: Callable[[], float]
    token: str = field(default_factory=lambda: secrets.token_hex(8))
    notes: list[str] = field(default_factory=list)
    renewed: float = 0.0
    _held: bool = False

    @property
    def path(self) -> str:
        return TICKET + self.token

    @property
    def part(self) -> str:
        """The name for files on their way, so that two publishes never share one."""
        return PART + self.token

    def take(self) -> None:
        """Take the lock, waiting as often as the line may retry.

        Raises:
            PublishError: Another publish is at work, or the host can't be written to.
        """
        _running.add(self.token)
        for attempt in range(self.line.retries + 1):
            self._write()
            if not self._others():
                return
            self.give_back()
            _running.add(self.token)
            if attempt < self.line.retries:
                self.line.sleep(2.0 * delay_s(attempt, self.line.chance()))
        _running.discard(self.token)
        raise refusal(
            PublishProblem(
                "another publish to this target is at work",
                "wait until it has ended, then publish again; if none is, its lock is taken over "
                f"{STALE_S / 60:.0f} minutes after it last showed life",
                "publish-locked",
            )
        )

    def renew(self) -> None:
        """Show life from time to time.

        Raises:
            PublishError: Another publish took the lock over, so this one has to stop.
        """
        if 0.0 <= self.now() - self.renewed < RENEW_S:
            return
        self.confirm()
        self._write()

    def confirm(self) -> None:
        """Make sure that the lock is still ours.

        Raises:
            PublishError: Another publish took it over, so this one has to stop.
        """
        if self.line.read(self.path) is None:
            self._held = False
            raise refusal(
                PublishProblem(
                    "another publish took over while this one stood still",
                    "wait until it has ended, then publish again",
                    "publish-overtaken",
                )
            )

    def give_back(self) -> None:
        """Remove the ticket if it was written."""
        _running.discard(self.token)
        if self._held:
            self._held = False
            self.line.remove(self.path)

    def _write(self) -> None:
        self.renewed = self.now()
        ticket = {"owner": owner_mark(), "process": os.getpid(), "seen": round(self.renewed)}
        data = json.dumps(ticket).encode()
        self._held = True  # before the write: a cut may come after the host has the file
        self.line.put(self.path, data, self.part)

    def _others(self) -> bool:
        """True if another's live ticket is there. Dead ones are removed."""
        entries, _ = self.line.top()
        mine = entries.get(self.path)
        if mine is None:
            self.notes.append(
                "this host hides files whose names begin with a dot, so the tool can't see whether "
                "someone else publishes at the same time; see to it that nobody does"
            )
        alive = False
        for name, entry in entries.items():
            if name.startswith(TICKET) and name != self.path:
                if self._is_dead(name, entry, mine):
                    self.line.remove(name)
                    self.notes.append("took over the lock of a publish that was cut off earlier")
                else:
                    alive = True
        return alive

    def _is_dead(self, name: str, entry: HostFile, mine: HostFile | None) -> bool:
        data = self.line.read(name)
        if data is None:
            return True  # given back in this moment
        ticket = _read_ticket(data)
        token = name.removeprefix(TICKET)
        if ticket.get("owner") == owner_mark():
            process = ticket.get("process")
            if process == os.getpid():
                return token not in _running
            if isinstance(process, int) and not is_running(process):
                return True
        if mine is not None and mine.changed is not None and entry.changed is not None:
            return mine.changed - entry.changed >= STALE_S
        seen = ticket.get("seen")
        return isinstance(seen, int | float) and self.now() - seen >= STALE_S


def _read_ticket(data: bytes) -> Mapping[str, object]:
    try:
        ticket = json.loads(data)
    except ValueError:
        return {}
    return ticket if isinstance(ticket, dict) else {}


def is_own_leftover(name: str) -> bool:
    """True for the last part of a path that a cut-off publish may have left behind."""
    for prefix in (PART, TICKET):
        if name.startswith(prefix):
            token = name.removeprefix(prefix)
            return len(token) == 16 and all(letter in "0123456789abcdef" for letter in token)
    return False
