"""What a coach does on a Sunday evening, each act as a pure function.

An act is given a client's files and plan as they are, and what is wanted; it gives the entries
that a coach could have written by hand, or says why there is nothing to write. `ACTS` lists them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from sitegen.acts.act import Act, Refusal
from sitegen.acts.days import move_session, put_session, rest_days, swap_days
from sitegen.acts.file import add_word, change_settings, go_away, lift_stop
from sitegen.acts.templates import copy_weeks
from sitegen.acts.weeks import keep_week, lighter_week, same_week

ACTS: Mapping[str, Callable[..., Act | Refusal]] = MappingProxyType(
    {
        "keep": keep_week,
        "lighter": lighter_week,
        "same": same_week,
        "move": move_session,
        "swap": swap_days,
        "rest": rest_days,
        "put": put_session,
        "word": add_word,
        "lift": lift_stop,
        "away": go_away,
        "set": change_settings,
        "copy": copy_weeks,
    }
)
"""Every act by the command that does it."""
