"""Progression rules, one a file. `RULES` lists them in the order in which they act, limits last."""

from sitegen.rules import (
    absence,
    cadence,
    ease,
    feasible,
    fuel,
    hard,
    longest,
    pain,
    run_walk,
    screening,
    signs,
    silence,
    spacing,
    strength,
    taper,
    volume,
)
from sitegen.rules.rule import Rule

RULES: tuple[Rule, ...] = (
    screening.RULE,
    volume.RULE,
    ease.RULE,
    silence.RULE,
    absence.RULE,
    pain.RULE,
    signs.RULE,
    taper.RULE,
    feasible.RULE,
    run_walk.RULE,
    spacing.RULE,
    longest.RULE,
    cadence.RULE,
    hard.RULE,
    strength.RULE,
    fuel.RULE,
)

__all__ = ["RULES", "Rule"]
