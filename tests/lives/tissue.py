"""An invented body: load, repair, a threshold. It makes check-ins differ, and claims nothing.

No number here comes from a study, and none is fitted to anybody. A run adds strain, a night takes
some away, and over a threshold it hurts; what is done often is borne better. That is enough to
give a plan something to answer to: people who hurt when they do far more than they are used to.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

REPAIR = 0.72  # of the strain that is left after a night
ADAPTS = 0.03  # of the way from what is borne to twice what was run, after a run that did not hurt
HARD = 1.3  # how much a hard minute strains, an easy one being 1
TWINGE = 0.04  # chance of a harmless 1 of 10 after any run
OVER = 12.0  # points of pain for each whole of strain over the threshold


@dataclass
class Tissue:
    """``bears`` is a run in minutes, three times a week, that does not hurt; ``strain`` is 0 to 1
    where nothing hurts."""

    bears: float
    strain: float = 0.0

    def sleep(self) -> None:
        self.strain *= REPAIR

    def run(self, minutes: float, hard: bool, chance: random.Random) -> int:
        """Take a run in; gives pain in the session, 0 to 10."""
        self.strain += minutes * (HARD if hard else 1.0) / self.bears
        over = max(self.strain - 1.0, 0.0)
        if over == 0.0:
            self.bears += max(2 * minutes - self.bears, 0.0) * ADAPTS
            return 1 if chance.random() < TWINGE else 0
        return min(round(over * OVER), 10)
