"""What a client is given beside the plan: the coach's texts, and drills that her words lead to."""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.model.case import Case
from sitegen.model.client import Note
from sitegen.model.handout import Handout
from sitegen.model.practice import Notice
from sitegen.practice.links import DRILLS, TEXTS, place_links


def handed(case: Case, handouts: Sequence[Handout]) -> tuple[tuple[Handout, ...], frozenset[str]]:
    """The texts that notes name or lead to, and those that these lead to in turn; drills likewise.

    Args:
        handouts: All texts of the practice, in the order in which a portal shows them.

    Returns:
        The client's texts, and the ids of the drills that are linked from notes and texts.
    """
    notes: list[Note | Notice] = [*case.client.notes, *case.notices]
    if not notes:
        return (), frozenset()
    by_id = {handout.id: handout for handout in handouts}
    wanted = [id for note in notes for id in note.read]
    links = [link for note in notes for link in place_links(note.text)]
    drills = {link.id for link in links if link.view == DRILLS}
    wanted += [link.id for link in links if link.view == TEXTS]
    found: set[str] = set()
    while wanted:
        id = wanted.pop()
        if id in found or id not in by_id:
            continue
        found.add(id)
        links = list(place_links(by_id[id].text))
        drills |= {link.id for link in links if link.view == DRILLS}
        wanted += [link.id for link in links if link.view == TEXTS]
    return tuple(h for h in handouts if h.id in found), frozenset(drills)
