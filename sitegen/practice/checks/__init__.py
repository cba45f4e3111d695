"""What fields of a file say together: each check sees more than one of them.

A topic is a file here with its ``CHECKS``, and a line in `TOPICS`; what it tells is sorted later,
so its place means nothing. An error is what is surely wrong, or what would break a promise of
the plan; what is only odd is a warning. Thresholds are the coach's contract unless a source is
named beside them.

A file may have fields that could not be read: a check ends where it asks for one (`partly`). So
each check is about one thing, and what it needs not it does not ask for.
"""

from __future__ import annotations

from collections.abc import Collection

from sitegen.model.case import Origins
from sitegen.model.client import Client
from sitegen.model.problem import Problem
from sitegen.practice.checks import (
    baseline,
    cadence,
    changes,
    fuel,
    health,
    history,
    plan,
    there,
    week,
)
from sitegen.practice.checks.there import (
    missing_drills,
    missing_group,
    missing_references,
    missing_sessions,
)
from sitegen.practice.partly import as_far_as_known

TOPICS = (there, health, history, baseline, plan, week, cadence, fuel, changes)


def check_client(
    client: Client,
    origins: Origins,
    drill_ids: Collection[str] | None = None,
    text_ids: Collection[str] | None = None,
    groups: Collection[str] | None = None,
    session_names: Collection[str] = (),
    return_names: Collection[str] = (),
) -> list[Problem]:
    """Every problem that no field shows alone.

    Args:
        client: What was read.
        origins: Where it was written.
        drill_ids: Drills that there are; None leaves them unchecked, and links too.
        text_ids: The coach's texts that there are; None leaves them unchecked, and links too.
        groups: The practice's groups; None leaves the client's unchecked.
        session_names: Kinds of session that there are; none leaves them unchecked.
        return_names: Ways back that there are; none leaves them unnamed.
    """
    told: list[Problem] = []
    for topic in TOPICS:
        for check in topic.CHECKS:
            told += as_far_as_known(check(client, origins))
    told += as_far_as_known(history.injury(client, origins, return_names))
    if groups is not None:
        told += as_far_as_known(missing_group(client, origins, groups))
    if session_names:
        told += as_far_as_known(missing_sessions(client, origins, session_names))
    if drill_ids is not None:
        told += as_far_as_known(missing_drills(client, origins, drill_ids))
    told += as_far_as_known(missing_references(client, origins, drill_ids, text_ids))
    return told
