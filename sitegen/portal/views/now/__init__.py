"""Now: what to do next. Which session that is, the browser decides from its own date.

Here stand only the words for each state that a day can be in. The session itself is copied from
the view Weeks by the page's script, so a page built on Monday is right on Thursday.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import NamedTuple

from markupsafe import Markup

from sitegen.model.plan import Status
from sitegen.model.sentence import N_
from sitegen.portal.answered import coach_answers, is_freed
from sitegen.portal.changed import Difference, Once, changes
from sitegen.portal.contact import coach_of
from sitegen.portal.reasons import reasons
from sitegen.portal.scene import Scene, View, for_client
from sitegen.portal.session import SESSION_WORDS
from sitegen.portal.stopped import StopNotice, stop_notice
from sitegen.portal.views.weeks import NoteView, dated_notes
from sitegen.portal.words import Words

MAX_CHANGES = 5


class ChangesView(NamedTuple):
    """Changes that have their reasons in common; ``because`` are those not told before."""

    lines: tuple[str, ...]
    because: tuple[str, ...]
    has_reason: bool = True


class NowView(NamedTuple):
    """``answered`` is what the coach answered lately; ``asks``: check-ins are expected.

    ``since`` is the day of the plan that ``changes`` are told from; ``more`` were left out.
    """

    status: Status
    stop: StopNotice | None
    answered: tuple[str, ...]
    asks: bool
    first_day: str
    as_of: str
    coach: str
    reasons: Markup
    since: str
    changes: tuple[ChangesView, ...]
    more: int
    notes: tuple[NoteView, ...]


def build(scene: Scene) -> NowView:
    """The words for every state; the browser shows one."""
    case, plan = scene.case, scene.plan
    first = plan.sessions[0].on if plan.sessions else case.client.plan.from_
    changed = changes(scene.before, plan) if scene.before else ()
    return NowView(
        status=plan.status,
        stop=stop_notice(scene),
        answered=coach_answers(scene),
        asks=case.client.checkins != "none",
        first_day=scene.words.long_date(first),
        as_of=scene.words.long_date(plan.as_of),
        coach=coach_of(case.practice).name,
        reasons=reasons(plan.decisions, scene, {}),
        since=scene.words.day(scene.before.as_of) if scene.before else "",
        changes=tuple(_changes(changed[:MAX_CHANGES], scene.words)),
        more=max(0, len(changed) - MAX_CHANGES),
        notes=dated_notes(scene),
    )


def _changes(changed: Iterable[Difference], words: Words) -> Iterator[ChangesView]:
    """Neighbours with the same reasons stand together; what stood above is not told again."""
    told: set[str] = set()
    for because, group in groupby(changed, key=lambda c: c.because):
        says = [_ended(words.say(d.says)) for d in because if for_client(d) and not is_freed(d)]
        yield ChangesView(
            tuple(change_line(change, words) for change in group),
            tuple(one for one in says if one not in told),
            bool(because),
        )
        told.update(says)


def _ended(says: str) -> str:
    """With a full stop: a coach's own words often have none, and another sentence follows."""
    return says if says.endswith((".", "!", "?", "…")) else f"{says}."


def change_line(change: Difference, words: Words) -> str:
    """``Thu 18 Feb, Easy run: 28 min instead of 35 min``."""
    _ = words.gettext
    was, now = change.before, change.after
    if was is None or now is None:
        only = ", ".join(_aspects(now or was, words))
        return (_("{session}: new") if now else _("{session}: taken out")).format(session=only)
    pairs = list(zip(_aspects(was, words), _aspects(now, words), strict=True))
    same = ", ".join(new for old, new in pairs if old == new)
    line = _("{after} instead of {before}").format(
        after=", ".join(new for old, new in pairs if old != new),
        before=", ".join(old for old, new in pairs if old != new),
    )
    return _("{session}: {change}").format(session=same, change=line) if same else line


def _aspects(session: Once | None, words: Words) -> tuple[str, ...]:
    """When, what, how long."""
    if session is None:
        return ()
    _ = words.gettext
    what, long = _(SESSION_WORDS[session.kind]), words.minutes(session.minutes)
    if session.kind == "run_walk":  # more minutes in all can be less running
        of_it = _("{minutes} min of it running").format(minutes=session.run)
        long = f"{long} ({of_it})"
    return words.day(session.on), what, long


VIEW = View("now", N_("Now"), N_("Now"), build, has_number=True)
