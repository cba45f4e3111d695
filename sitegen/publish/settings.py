"""How a publish runs: what the caller decides, and the clock, chance and pauses it is given."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sitegen.publish.look import Consider, HostLook
from sitegen.publish.redact import secrets_in
from sitegen.publish.report import PublishProblem, TransferProgress, TransferStep


@dataclass(frozen=True, slots=True)
class Settings:
    """What :func:`sitegen.publish.publish` was asked for; its docstring says what each means."""

    adopt: bool
    dry_run: bool
    retries: int
    sleep: Callable[[float], None]
    now: Callable[[], float]
    chance: Callable[[], float]
    environ: Mapping[str, str]
    progress: TransferProgress | None = None
    first: frozenset[str] = frozenset()
    consider: Consider | None = None

    @property
    def secrets(self) -> tuple[str, ...]:
        return secrets_in(self.environ)

    def objections(self, look: HostLook) -> tuple[PublishProblem, ...]:
        """Why this publish may not go on."""
        return self.consider(look) if self.consider is not None else ()

    def show(self, step: TransferStep) -> None:
        if self.progress is not None:
            self.progress(step)
