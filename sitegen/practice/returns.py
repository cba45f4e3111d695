"""The ways back that are shipped: YAML in, a `Way` out."""

from __future__ import annotations

from collections.abc import Mapping

from sitegen.model.case import Case
from sitegen.model.kinds import nearest, quoted
from sitegen.model.problem import Problem
from sitegen.model.ways import Way
from sitegen.practice.yaml_text import read_yaml


def way_of(name: str, data: bytes) -> Way:
    """One way back.

    Raises:
        NotRead: A shipped file has a slip; a developer's, never a coach's.
    """
    return Way.of_tree(read_yaml(data, f"{name}.yaml").tree)


def way_back(case: Case, shipped: Mapping[str, bytes]) -> Way | Problem | None:
    """The way that a client's file names; a problem where there is none of that name."""
    asked = case.client.return_
    if asked is None:
        return None
    if asked.after in shipped:
        return way_of(asked.after, shipped[asked.after])
    return Problem(
        case.origins.value("return", "after"),
        f"there is no way back called {quoted(asked.after)}",
        f"{nearest(asked.after, sorted(shipped))}write one of {', '.join(sorted(shipped))}",
        "return-unknown",
    )
