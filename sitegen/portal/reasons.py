"""Decisions in the client's words: what was decided, and how firm its ground is."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import NamedTuple

from markupsafe import Markup

from sitegen.model.plan import Decision, Session, WeekKind
from sitegen.model.sentence import N_
from sitegen.portal.answered import is_freed
from sitegen.portal.scene import Scene, for_client
from sitegen.rules.precedence import winner

EVIDENCE_WORDS = {
    "weak": N_("The evidence behind this is weak."),
    "judgement": N_("Common practice; no study stands behind the number."),
}

# How we know a source, and what was worked out by it, is for the coach, who can look it up: `why`,
# docs/rules.md.
HOW_WE_KNOW = re.compile(
    r" \((?:from memory|(?:rule )?read second-hand)\)|, (?:quoted )?from memory(?: of the paper)?|"
    r"limits quoted from memory; |; rates are put on the baseline's speed by .*|"
    r"; see sitegen/library/returns|; use it with pain profile knee"
)
_PARTS = re.compile(r"; (?![^(]*\))")
CHANGED_BY_TELLING = frozenset({"absence", "illness", "overdone", "pain", "returning", "signs"})


class Reason(NamedTuple):
    """One decision in the client's words.

    ``ground`` says how weak its evidence is, or nothing; ``source`` is its number, 0 for none.
    ``told`` is the day of the check-in that led to it, empty where none did. ``freed``: it tells of
    a stop that is over.
    """

    says: str
    source: int
    ground: str
    warns: bool
    about: str
    told: str = ""
    freed: bool = False


def reasons(decisions: Iterable[Decision], scene: Scene, sessions: dict[str, Session]) -> Markup:
    """Decisions in the client's words, drawn."""
    words, draw = scene.words, scene.pens("reasons.html", _same)
    return Markup("").join(
        draw(
            Reason(
                says=words.say(d.says),
                source=scene.sources.get(d.source, 0),
                ground=_ground(d, scene),
                warns=d.warns,
                about=words.day(sessions[d.session].on) if d.session in sessions else "",
                told=_told(d, scene),
                freed=is_freed(d),
            )
        )
        for d in decisions
        if for_client(d)
    )


def deciding_first(kind: WeekKind, decisions: Iterable[Decision]) -> list[Decision]:
    """A week's decisions, the one first that its minutes are as they are for: Now says that one."""
    all_of_them = list(decisions)
    won = winner(kind, [d for d in all_of_them if for_client(d)])
    return sorted(all_of_them, key=lambda d: won is None or d is not won.decision)


def _same(reason: Reason) -> Reason:
    return reason


class Source(NamedTuple):
    """A source as a client reads it; works are named as they are printed, in any language."""

    says: str
    is_english: bool


def source_parts(source: str) -> tuple[str, ...]:
    """What a client reads of a source, by its parts: without a word of how we know it."""
    return tuple(_PARTS.split(HOW_WE_KNOW.sub("", source)))


def source_as_read(source: str, gettext: Callable[[str], str] = str) -> Source:
    """A source in the client's language; in English where the catalogue has none of its parts."""
    parts = source_parts(source)
    said = tuple(map(gettext, parts))
    plain = "; ".join(said)
    return Source(plain[:1].upper() + plain[1:], said == parts)


def _told(decision: Decision, scene: Scene) -> str:
    """The day of the check-in that changed the plan; that a week went well is no news."""
    on = scene.told_at.get(decision.because) if decision.rule in CHANGED_BY_TELLING else None
    return scene.words.day(on) if on else ""


def _ground(decision: Decision, scene: Scene) -> str:
    """How firm the number is; nothing under a stop, where there is no number to doubt."""
    if decision.rule in ("signs", "screening"):
        return ""
    if decision.rule == "pain" and scene.plan.status in ("referred", "paused"):
        return ""
    by_rule = scene.evidence.get(decision.rule, "")
    said = EVIDENCE_WORDS.get("judgement" if by_rule and decision.is_judgement else by_rule)
    return scene.words.gettext(said) if said else ""
