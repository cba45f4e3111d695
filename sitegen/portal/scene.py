"""What every view is made from, and what a view is."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from types import MappingProxyType
from typing import Any, NamedTuple, Protocol, TypeVar

from markupsafe import Markup

from sitegen.model.case import Case
from sitegen.model.drill import Drill
from sitegen.model.handout import Handout
from sitegen.model.plan import Decision, Plan, Week
from sitegen.model.problem import Origin
from sitegen.portal.changed import Seen
from sitegen.portal.words import Words
from sitegen.rules import RULES

AUDIENCE = {rule.name: rule.audience for rule in RULES}


def for_client(decision: Decision) -> bool:
    """False for what only warns the coach: a rule says so itself (`Rule.audience`)."""
    return not decision.warns or AUDIENCE.get(decision.rule) == "both"


Key = TypeVar("Key", bound=Hashable)


class Pens(Protocol):
    """Gives pens: each draws one template, and what it has drawn once it hands out again."""

    def __call__(self, template: str, in_words: Callable[[Key], object]) -> Callable[[Key], Markup]:
        """A pen that draws ``template`` with a thing as ``in_words`` tells it."""


def _no_pens(template: str, in_words: Callable[[Key], object]) -> Callable[[Key], Markup]:
    return lambda _: Markup()


@dataclass(frozen=True)
class Scene:
    """One client's portal before it is drawn. No clock: the browser picks today.

    ``link`` is the private link where it is known whole, ``before`` the plan that changes are told
    from. ``evidence`` maps a rule's name to how firm the ground under its numbers is. ``code``
    tells the coach's tool whose check-in it takes in, ``signing`` is the key that signs them.
    ``shared_markdown`` draws what many clients
    read alike, and ``pens`` draw parts of a view that come again and again; ``handouts`` are the
    coach's texts for this one. ``are_apart``: shipped drills come as a file of their own.
    ``edition`` counts the plans of this day (`sitegen.portal.edition`).
    """

    case: Case
    plan: Plan
    drills: tuple[Drill, ...]
    words: Words
    markdown: Callable[[str], Markup]
    drawn_drill: Callable[[Drill], Markup]
    feed_url: str | None = None
    code: str = ""
    link: str = ""
    before: Seen | None = None
    evidence: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    shared_markdown: Callable[[str], Markup] = Markup
    pens: Pens = _no_pens
    handouts: tuple[Handout, ...] = ()
    are_apart: bool = False
    signing: str = ""
    edition: int = 0

    @cached_property
    def titles(self) -> dict[str, str]:
        """The titles of the client's texts, by id."""
        return {handout.id: handout.title for handout in self.handouts}

    @cached_property
    def sources(self) -> dict[str, int]:
        """Every source behind a decision, numbered in the order of its first use."""
        numbered: dict[str, int] = {}
        decisions = [*self.plan.decisions, *(d for w in self.plan.weeks for d in w.decisions)]
        for decision in decisions:
            if decision.source and for_client(decision):
                numbered.setdefault(decision.source, len(numbered) + 1)
        return numbered

    @cached_property
    def told_at(self) -> dict[Origin | None, date]:
        """The day of each check-in by where it stands in the log."""
        case = self.case
        return {case.log_origins.value(at): entry.on for at, entry in enumerate(case.log)}

    def week_of(self, iso_day: str) -> Week | None:
        """The planned week that holds a day written ``2027-02-09``."""
        at = bisect_right(self._starts, iso_day)
        return self.plan.weeks[at - 1] if at else None

    @cached_property
    def _starts(self) -> list[str]:
        return [week.start.isoformat() for week in self.plan.weeks]


def always(scene: Scene) -> bool:
    """For a view that every client has."""
    return True


class View(NamedTuple):
    """One view of the portal.

    It is a folder in ``sitegen/portal/views``, named as the view: its ``VIEW``, ``view.html``, and
    the scripts and styles that only it needs. ``name`` is what stands in the address, ``label``
    what the navigation says, ``build`` makes what ``view.html`` reads as ``view``. A ``shared``
    view has nothing in it but that and the language, so clients with the same can be given the
    same. What is ``alike`` for all clients of a language (its ``build`` is asked without a scene)
    comes to sealed pages in a file for all of them. ``shows`` says
    whether this client has the view at all. A view that ``has_number`` shows the emergency number
    by itself where it has to be called; on all others it stands on top.
    """

    name: str
    label: str
    title: str
    build: Callable[[Any], object]
    shared: bool = False
    shows: Callable[[Scene], bool] = always
    has_number: bool = False
    alike: bool = False

    @property
    def template(self) -> str:
        return f"views/{self.name}/view.html"


def nothing(scene: Scene) -> object:
    """For a view whose script reads the portal's data block itself."""
    return None
