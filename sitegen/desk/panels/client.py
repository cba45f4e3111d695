"""One client: the file with its problems, the portal as a phone shows it, weeks, and what-if."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

from sitegen.acts.act import Act
from sitegen.coach.acting import propose
from sitegen.coach.words import KIND_WORDS
from sitegen.desk.deciding import DECISIONS, DONE, DONE_WITH_ERROR, proposed_acts, write_file
from sitegen.desk.drawings import BOX_HEIGHT, BOX_WIDTH, checks_heard, drawings
from sitegen.desk.panel import DeskPanel, FileChange, Sent, Shown
from sitegen.desk.warm import Warm
from sitegen.model.problem import Origin, Problem
from sitegen.practice.entry import Entry


def text_mark(data: bytes) -> str:
    """Names what a file held, so that a later one is known to be another."""
    return hashlib.sha256(data).hexdigest()[:24]


def text_for_field(data: bytes) -> str | None:
    """A file's text as a browser's field holds it; None where it could not be given back with the
    same bytes: it is no UTF-8, or its lines end in two ways."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return None
    plain = text.replace("\r\n", "\n")
    is_mixed = "\r\n" in text and text.count("\n") != text.count("\r\n")
    return None if is_mixed or "\r" in plain or "\0" in plain else plain


def bytes_of_field(text: str, before: bytes) -> bytes:
    """What a field holds as the file's bytes, its lines ended as they were."""
    plain = text.replace("\r\n", "\n")
    return (plain.replace("\n", "\r\n") if b"\r\n" in before else plain).encode("utf-8")


def _view(warm: Warm, given: Sent) -> Mapping[str, Any]:
    known = warm.known(str(given.get("id", "")))
    case, plan = known.case, known.plan
    data = known.files.client or b""
    return {
        "id": known.files.id,
        "name": known.name,
        "status": plan.status if plan else "with an error",
        "group": (case.client.group or "") if case else "",
        "goal": (case.client.goal.text or "") if case else "",
        "private": (case.client.private or "") if case else "",
        "text": text_for_field(data),
        "mark": text_mark(data),
        "problems": known.problems,
        "weeks": plan.weeks if plan else (),
        "as_of": plan.as_of if plan else None,
        "kinds": KIND_WORDS,
        "drawings": drawings(case, plan.as_of) if case and plan else (),
        "heard": checks_heard(case, plan.as_of) if case and plan else (),
        "box": (BOX_WIDTH, BOX_HEIGHT),
    }


def _write(warm: Warm, given: Sent) -> Shown:
    """The whole file, as she wrote it in the field."""
    id = str(given.get("id", ""))
    files = warm.files(id)
    before = files.client or b""
    name = f"{id}.yaml"
    where = Origin((warm.clients / name).as_posix())
    after = bytes_of_field(str(given.get("text", "")), before)
    change = FileChange(name, before, after)
    says = f"Save {name}"
    if str(given.get("mark", "")) != text_mark(before):
        wrong = "this file was changed since you opened it here, so it is not saved over"
        hint = "below: - as it is now, + as you have it; open the client anew"
        return Shown(says, files=(change,), problems=(Problem(where, wrong, hint, "act"),))
    if after == before:
        return Shown(says, ("Nothing is otherwise than in the file.",))
    found = warm.judged(files._replace(client=after))
    is_held = found.plan is None
    return Shown(
        says,
        files=(change,),
        problems=found.problems,
        do=lambda: write_file(
            warm, "edit", change, "edited at the desk", DONE_WITH_ERROR if is_held else DONE
        ),
        yes="Save it with the error" if is_held else "Save it",
    )


def _note(warm: Warm, given: Sent) -> Shown:
    """A note of the coach's own, which no portal has."""
    id, text = str(given.get("id", "")), str(given.get("private") or "").strip()
    if not text:
        where = Origin((warm.clients / f"{id}.yaml").as_posix())
        return Shown("Your note", problems=(Problem(where, "write a note", "", "act"),))
    act = Act("your own note", (Entry(("private",), text),))
    listed = warm.listed()
    found = propose(listed, (warm.files(id).id,), lambda _known: act, warm.as_of)
    return proposed_acts(warm, "note", f"Your note on {warm.known(id).name}", found)


PANEL = DeskPanel(
    "client",
    "One client",
    _view,
    {**DECISIONS, "write": _write, "note": _note},
    stands="within",
)
