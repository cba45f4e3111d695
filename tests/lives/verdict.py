"""What a check of a promise found."""

from __future__ import annotations

from typing import NamedTuple


class Verdict(NamedTuple):
    """``breaches`` name each case in which the promise was broken; ``figure`` is what was seen."""

    breaches: tuple[str, ...]
    figure: str

    @property
    def holds(self) -> bool:
        return not self.breaches
