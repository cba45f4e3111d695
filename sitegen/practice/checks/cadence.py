"""The step rate to run at, beside the one that a runner brought."""

from __future__ import annotations

from collections.abc import Iterator

from sitegen.model.case import Origins
from sitegen.model.client import Client
from sitegen.model.problem import Problem
from sitegen.model.values import Cadence
from sitegen.practice.checks.baseline import ONE_FOOT_BELOW_SPM
from sitegen.practice.checks.telling import Check, error, warning
from sitegen.rules.cadence import ceiling


def _aim(client: Client, origins: Origins) -> Iterator[Problem]:
    aim, base = client.cadence.aim, client.baseline.cadence.spm
    if not isinstance(aim, Cadence):
        return
    origin = origins.value("cadence", "aim")
    top = ceiling(base)
    if aim.spm < base:
        yield error(
            origin,
            "aim-below-baseline",
            f"the aim is below the baseline, {base} spm; a plan never lowers a step rate",
            f"write keep, or {base} to {top} spm",
        )
    elif aim.spm > top and base >= ONE_FOOT_BELOW_SPM:  # below, the baseline is in doubt
        yield warning(
            origin,
            "aim-over-ceiling",
            f"the aim is over baseline + 10 %; the plan stops at {top} spm",
            "aim higher once a new baseline is logged and held for 4 weeks",
        )


CHECKS: tuple[Check, ...] = (_aim,)
