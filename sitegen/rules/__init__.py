"""Progression rules, one a file. `RULES` lists them in the order in which they act, limits last.

Files that hold no rule: `rule` (what a rule is), `draft` (a week at work), `log` (check-ins),
`days` (what weekdays offer), `told` (what became of a told run), `precedence` (who wins where
several rules claim a week), `pacing` and `power_law` (paces from a race).
"""

from sitegen.rules import (
    absence,
    after_stop,
    age,
    asks,
    away,
    beyond,
    cadence,
    coach_week,
    ease,
    event_days,
    feasible,
    fewer_days,
    fuel,
    guard,
    hard,
    history,
    illness,
    long_run,
    longest,
    overdone,
    pain,
    returning,
    run_walk,
    screening,
    sessions,
    signs,
    silence,
    spacing,
    stand_in,
    strength,
    taper,
    volume,
)
from sitegen.rules.rule import Rule

# What a week is, and how much running it may hold.
SIZING: tuple[Rule, ...] = (
    screening.RULE,
    age.RULE,
    volume.RULE,
    ease.RULE,
    silence.RULE,
    absence.RULE,
    illness.RULE,
    pain.RULE,
    signs.RULE,
    asks.RULE,
    stand_in.RULE,
    history.RULE,
    returning.RULE,
    after_stop.RULE,
    overdone.RULE,
    away.RULE,
    taper.RULE,
    event_days.RULE,
    fewer_days.RULE,
    guard.RULE,
    coach_week.RULE,
)
# What fills it: no rule from here on changes its kind, or stops it.
FILLING: tuple[Rule, ...] = (
    feasible.RULE,
    beyond.RULE,
    run_walk.RULE,
    spacing.RULE,
    long_run.RULE,
    longest.RULE,
    cadence.RULE,
    hard.RULE,
    sessions.RULE,
    strength.RULE,
    fuel.RULE,
)
RULES: tuple[Rule, ...] = (*SIZING, *FILLING)

__all__ = ["FILLING", "RULES", "SIZING", "Rule"]
