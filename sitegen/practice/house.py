"""What all clients of a practice share, and one client's files read with it or without it.

Texts go in, values or problems come out: `sitegen.practice.opening` reads the folder.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import NamedTuple

from sitegen.model.case import Case, Origins
from sitegen.model.drill import Drill
from sitegen.model.handout import Handout
from sitegen.model.kinds import quoted
from sitegen.model.picture import Picture
from sitegen.model.practice import Practice
from sitegen.model.problem import Origin, Problem
from sitegen.model.workout import Workout
from sitegen.practice.case import read_case
from sitegen.practice.drills import below_front, read_drill
from sitegen.practice.links import broken_links_of_file
from sitegen.practice.partly import known
from sitegen.practice.picture import read_picture
from sitegen.practice.records import Reading, group_names, read_practice
from sitegen.practice.returns import way_back
from sitegen.practice.texts import read_text
from sitegen.practice.workouts import workouts_of
from sitegen.rules import RULES
from sitegen.world import composed


class House(NamedTuple):
    """What all clients of a practice share."""

    practice: Practice
    origins: Origins
    drills: tuple[Drill, ...]
    handouts: tuple[Handout, ...] = ()
    logo: Picture | None = None
    workouts: Mapping[str, Workout] = MappingProxyType({})


class Texts(NamedTuple):
    """A practice's files as read, with the names under which a coach knows them.

    ``handouts`` are the coach's texts by id, ``pictures`` those beside ``practice.yaml`` that it
    names: their bytes, or why they can't be read. ``unreadable`` are files that are there and of
    which nothing is known but the name, like ``drills/hops.md``.
    """

    practice: bytes | None
    practice_file: str
    clients: Mapping[str, bytes]
    logs: Mapping[str, bytes]
    folder: str
    drills: Mapping[str, bytes] = MappingProxyType({})
    figures: Mapping[str, bytes] = MappingProxyType({})
    shipped_drills: Mapping[str, tuple[bytes, str]] = MappingProxyType({})
    handouts: Mapping[str, bytes] = MappingProxyType({})
    pictures: Mapping[str, bytes | str] = MappingProxyType({})
    unreadable: frozenset[str] = frozenset()
    answers: Mapping[str, bytes] = MappingProxyType({})
    told: Mapping[str, bytes] = MappingProxyType({})
    sessions: Mapping[str, bytes] = MappingProxyType({})
    shipped_sessions: Mapping[str, bytes] = MappingProxyType({})
    returns: Mapping[str, bytes] = MappingProxyType({})

    @property
    def session_names(self) -> frozenset[str]:
        """Sessions that there are: one with an error is there too."""
        return frozenset({*self.sessions, *self.shipped_sessions, *self._unread("sessions/")})

    @property
    def drill_ids(self) -> frozenset[str]:
        """Drills that there are: one with an error is there too."""
        return frozenset({*self.drills, *self.shipped_drills, *self._unread("drills/")})

    @property
    def text_ids(self) -> frozenset[str]:
        return frozenset({*self.handouts, *self._unread("texts/")})

    def _unread(self, folder: str) -> set[str]:
        names = (name for name in self.unreadable if name.startswith(folder))
        return {
            name.removeprefix(folder).removesuffix(".md").removesuffix(".yaml") for name in names
        }


class KnownNames(NamedTuple):
    """What clients can be judged by where the house has errors: names alone, no setting."""

    drills: frozenset[str]
    handouts: frozenset[str]
    groups: tuple[str, ...] | None = None  # None: not known
    sessions: frozenset[str] = frozenset()


def read_house(texts: Texts) -> tuple[House | None, tuple[Problem, ...]]:
    """What all clients share: settings, logo, drills and texts, or what is wrong with them."""
    drills, problems = _drills(texts)
    handouts, told = _handouts(texts)
    problems += told
    problems += _broken_links(texts, handouts)
    workouts, told_of_sessions = workouts_of(
        texts.shipped_sessions, texts.sessions, texts.folder, texts.drill_ids
    )
    problems += told_of_sessions
    if texts.practice is None:
        if texts.practice_file.rpartition("/")[2] not in texts.unreadable:
            problems.append(_no_practice(texts))
        return None, tuple(sorted(problems))
    found = read_practice(
        texts.practice, texts.practice_file, RULES, texts.drill_ids, texts.text_ids
    )
    problems += found.problems
    problems += _targets(found)
    name = None if found.known is None else known(found.known, "logo")
    if b"logo" not in texts.practice:  # as the key is misspelt, nobody has looked for the picture
        name = None
    logo = None if name is None else _logo(name, texts, found.origins.value("logo"))
    if isinstance(logo, Problem):
        problems.append(logo)
    if (
        found.value is None
        or isinstance(logo, Problem)
        or any(p.level == "error" for p in problems)
    ):
        return None, tuple(sorted(problems))
    house = House(found.value, found.origins, drills, handouts, logo, workouts)
    return house, tuple(sorted(problems))


def _no_practice(texts: Texts) -> Problem:
    return Problem(
        Origin(texts.practice_file),
        "the practice's own file is missing",
        "write name, contact and timezone into it",
        "practice-missing",
    )


def known_of(texts: Texts) -> KnownNames:
    """What is known of a house with errors."""
    if texts.practice is None:
        return KnownNames(texts.drill_ids, texts.text_ids, sessions=texts.session_names)
    found = read_practice(texts.practice, texts.practice_file)
    return KnownNames(texts.drill_ids, texts.text_ids, group_names(found), texts.session_names)


def _targets(found: Reading[Practice]) -> Iterator[Problem]:
    """What no site can be published to, told where it is written."""
    targets = None if found.known is None else known(found.known, "targets")
    if not targets:
        return
    from sitegen.practice.address import target_problem

    for name, target in targets.items():
        if told := target_problem(target, found.origins.value("targets", name)):
            yield told


def _broken_links(texts: Texts, handouts: Sequence[Handout]) -> Iterator[Problem]:
    """Links that lead nowhere in the coach's own drills and texts, those with errors too."""
    drill_ids, text_ids = texts.drill_ids, texts.text_ids
    sound = {handout.id: (handout.text, handout.lines) for handout in handouts}
    for id, data in texts.handouts.items():
        text, lines = sound.get(id) or below_front(data)
        file = f"{texts.folder}/texts/{id}.md"
        yield from broken_links_of_file(text, file, lines, drill_ids, text_ids)
    for id, data in texts.drills.items():
        text, lines = below_front(data)
        file = f"{texts.folder}/drills/{id}.md"
        yield from broken_links_of_file(text, file, lines, drill_ids, text_ids)


def _logo(name: str, texts: Texts, origin: Origin) -> Picture | Problem:
    lie_there = {composed(there): data for there, data in texts.pictures.items()}
    data = lie_there.get(composed(name))
    if isinstance(data, bytes):
        return read_picture(data, name, origin)
    if data is not None:
        return Problem(origin, f"{quoted(name)}: {data}", "a logo is a plain file", "logo-missing")
    return Problem(
        origin,
        f"there is no file {quoted(name)} beside practice.yaml",
        "put it there, or write its name as it is; small and large letters count",
        "logo-missing",
    )


def _handouts(texts: Texts) -> tuple[tuple[Handout, ...], list[Problem]]:
    """The coach's texts for clients, in the order of ids."""
    found: list[Handout] = []
    problems: list[Problem] = []
    for id, data in sorted(texts.handouts.items()):
        handout, told = read_text(id, data, f"{texts.folder}/texts/{id}.md")
        problems += told
        if handout is not None:
            found.append(handout)
    return tuple(found), problems


def _drills(texts: Texts) -> tuple[tuple[Drill, ...], list[Problem]]:
    """Shipped drills, each replaced by the coach's own of the same id, in the order of ids."""
    found: dict[str, Drill] = {}
    problems: list[Problem] = []
    for id, (data, figure) in texts.shipped_drills.items():
        drill, told = read_drill(id, data, f"library/drills/{id}.md", own=False, figure=figure)
        problems += told
        if drill is not None:
            found[id] = drill
    for id, data in texts.drills.items():
        figure = texts.figures.get(id, b"").decode("utf-8", "replace")
        drill, told = read_drill(
            id,
            data,
            f"{texts.folder}/drills/{id}.md",
            own=True,
            figure=figure,
            instead_of=found.get(id),
        )
        problems += told
        if drill is not None:
            found[id] = drill
    return tuple(found[id] for id in sorted(found)), problems


def case_of(texts: Texts, house: House, id: str) -> tuple[Case | None, tuple[Problem, ...]]:
    """One client's case, or what is wrong with its files."""
    drill_ids = frozenset(d.id for d in house.drills)
    text_ids = frozenset(h.id for h in house.handouts)
    if texts.unreadable:  # what can't be read is there all the same
        drill_ids, text_ids = drill_ids | texts.drill_ids, text_ids | texts.text_ids
    known = KnownNames(drill_ids, text_ids, None, texts.session_names)
    case, problems = _read(texts, id, house.practice, house.origins, known)
    if case is None:
        return None, problems
    way = way_back(case, texts.returns)
    if isinstance(way, Problem):
        return None, tuple(sorted((*problems, way)))
    return replace(case, workouts=house.workouts, way_back=way), problems


def client_problems(texts: Texts, known: KnownNames, id: str) -> tuple[Problem, ...]:
    """What is wrong with a client's files, as far as it shows without the house.

    No plan is expanded, and nothing is said that a setting of the practice could change.
    """
    return _read(texts, id, None, Origins(texts.practice_file), known)[1]


def _read(
    texts: Texts, id: str, practice: Practice | None, origins: Origins, known: KnownNames
) -> tuple[Case | None, tuple[Problem, ...]]:
    return read_case(
        id,
        texts.clients[id],
        f"{texts.folder}/{id}.yaml",
        texts.logs.get(id),
        f"{texts.folder}/{id}.log.yaml",
        practice,
        origins,
        RULES,
        known.drills,
        known.handouts,
        known.groups,
        texts.answers.get(id),
        f"{texts.folder}/{id}.alarms.yaml",
        known.sessions,
        texts.told.get(id),
        f"{texts.folder}/{id}.told.yaml",
        texts.returns,
    )
