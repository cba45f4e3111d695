"""A client who asks for their data, and one whose data shall go.

``export`` lays down all that the practice's folder holds of one client. ``erase`` takes it away,
and says what a program on this computer can't reach.
"""

from __future__ import annotations

import io
import json
import re
import shutil
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from sitegen import world
from sitegen.checkins.aside import ASIDE, Waiting, codes_of, read_aside
from sitegen.coach.link_versions import LINK_END
from sitegen.coach.words import session_lines, weeks_table
from sitegen.locking import writing
from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn
from sitegen.model.plan import Plan
from sitegen.model.problem import Origin, Problem
from sitegen.plan.week_names import enumerated
from sitegen.portal.handed import handed
from sitegen.practice.house import House
from sitegen.practice.opening import BESIDE, CLIENT, ClientFiles, NotThere, Progress
from sitegen.publish.known import forget_published
from sitegen.seal.keys import Keys, retire
from sitegen.seal.keys_file import KEYS_FILE, load_keys, update_keys
from sitegen.site import left_over, notes
from sitegen.site.owned import refuse_in_site
from sitegen.site.plans import Planned, open_plans
from sitegen.terminal.as_json import plan_json
from sitegen.terminal.stopping import past_return
from sitegen.versions import forget_versions

_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")

EARLIEST = date(1980, 1, 1)  # a zip file knows no earlier day

LINK = "the private link"
NOTED = "what was noted of builds"  # named where nothing else is left
UNLIKE = "Nothing was removed: that was not the client's id."

HANDED_OVER = """\
It holds health data in clear. Give it to {id} in a way that only they can open, then delete it."""

NOT_REACHED = """\
What this does not reach, and you may have to see to:
- the site: the old portal and feed go with the next build and publish, at each target, and so
  does what is kept of both beside the site, in .sitegen-cache
- copies of the practice's folder: backups, other computers, synced folders, a git history
- the pages in desk/ (desk --page, sheet --print, links), until made anew, and pictures of QR codes
- what was sent: e-mails, chats, check-ins in them, exports, printed weeks
- messages saved elsewhere, as in an inbox folder, and intake forms: delete those of this client
- the client's side: their calendar, which keeps what it has fetched, their browser's history,
  and a plan kept on their phone until it is opened once with a connection
- a page of the host's that someone saved, and the host's own backups: sealed portals stay
  closed to whoever has no link"""


@dataclass(frozen=True, slots=True)
class Exported:
    """What ``export`` did. ``to`` is None where nothing was written."""

    to: Path | None
    text: str = ""
    problems: tuple[Problem, ...] = ()
    files: tuple[str, ...] = ()

    def as_json(self, id: str) -> dict[str, Any]:
        """What ``sitegen export --json`` prints."""
        return {
            "done": self.to is not None,
            "client": id,
            "to": self.to.as_posix() if self.to else None,
            "files": list(self.files),
            "problems": [problem.as_json() for problem in self.problems],
        }


@dataclass(frozen=True, slots=True)
class Erased:
    """What ``erase`` did. ``done`` is False where nothing was removed."""

    done: bool
    text: str = ""
    problems: tuple[Problem, ...] = ()
    removed: tuple[str, ...] = ()
    left: tuple[str, ...] = ()  # there still: copies of an editor's, messages aside, an export

    def as_json(self, id: str) -> dict[str, Any]:
        """What ``sitegen erase --json`` prints."""
        problems = self.problems
        if not self.done and not problems:
            problems = (_problem(Path(id), self.text, "erase-unlike"),)
        return {
            "done": self.done,
            "client": id,
            "removed": list(self.removed),
            "left": list(self.left),
            "problems": [problem.as_json() for problem in problems],
        }


def export(
    clients: Path,
    id: str,
    to: Path | None = None,
    as_of: date | None = None,
    progress: Progress | None = None,
) -> Exported:
    """All that is kept of one client: the coach's file, the log, what waits to be taken in, the
    plan, and a text to read. What waits and is not surely theirs is only named.

    A file with errors in it is handed over as it is; only the plan is missing then.

    Args:
        clients: The practice's folder.
        id: The client.
        to: A name ending in ``.zip``, else a folder; ``ID-data.zip`` here if None. It must not
            be there yet.
        as_of: The day of the plan; None for today, where the client is.
        progress: Told what is being done.
    """
    to = to or _usual_place(id)
    try:
        opened = open_plans(clients, (id,), as_of, progress)
        folder = world.read_folder(clients, listed=[f"{id}{end}" for end in (CLIENT, *BESIDE)])
        if id not in folder.clients:
            return Exported(None, problems=opened.problems)
        _check_place(to)
        client, log, answers, told = (f.get(id) for f in _kinds(folder))
        mine = ClientFiles(id, client, log, answers, told)
        waiting = _waiting(clients, id)
        files = _files(opened, mine, {
            f"waiting-{one.name}": (clients / ASIDE / one.name).read_bytes()
            for one in waiting if one.id == id
        })  # fmt: skip
        if to.suffix.lower() == ".zip":
            world.write_bytes_atomic(to, _zip(files, as_of or EARLIEST), mode=0o600)
        else:
            _write_folder(to, files)
    except NotThere as error:
        return Exported(None, problems=(_problem(clients, str(error), "no-client"),))
    except world.Refused as error:
        return Exported(None, problems=(_problem(to, str(error), "export-write"),))
    except OSError as error:
        why = f"{to} can't be written: {error.strerror}"
        return Exported(None, problems=(_problem(to, why, "export-write"),))
    text = f"{', '.join(files)} written into {to}\n{HANDED_OVER.format(id=id)}"
    if perhaps := _perhaps_theirs(waiting, id):
        text += f"\nNot in it, whole or in part perhaps of {id}: {', '.join(perhaps)}"
    return Exported(to, text, opened.problems, tuple(files))


def _usual_place(id: str) -> Path:
    """Where `export` writes to, if nobody says."""
    return Path(f"{id}-data.zip")


def _write_folder(to: Path, files: Mapping[str, bytes]) -> None:
    """All files in a new folder, or no folder."""
    beside = to.with_name(f".{to.name}.{world.draw_bytes(4).hex()}.new")
    try:
        beside.mkdir(mode=0o700)
        for name, data in files.items():
            world.write_bytes_atomic(beside / name, data, mode=0o600)
        beside.rename(to)
    except BaseException:
        shutil.rmtree(beside, ignore_errors=True)
        raise


def _check_place(to: Path) -> None:
    """Never over a file that is there, and never into the site, from where it would be published.

    Raises:
        Refused: It is.
    """
    if to.exists() or to.is_symlink():
        raise world.Refused(f"{to} is there already; name another file with --to")
    refuse_in_site(to, "--to")


def _kinds(folder: world.Folder) -> tuple[Mapping[str, bytes], ...]:
    """Of each kind of a client's files those that are there, in the order of `ClientFiles`."""
    return folder.clients, folder.logs, folder.answers, folder.told


def _waiting(clients: Path, id: str) -> tuple[Waiting, ...]:
    """What waits aside, and whether it is this client's."""
    return read_aside(clients, codes_of(load_keys(clients / KEYS_FILE)[0]), {id})


def _perhaps_theirs(waiting: Iterable[Waiting], id: str) -> list[str]:
    return [f"{ASIDE}/{one.name}" for one in waiting if one.ids & {id, ""} and one.id != id]


def _files(opened: Planned, mine: ClientFiles, waiting: Mapping[str, bytes]) -> dict[str, bytes]:
    id, *contents = mine[:5]
    names = [f"{id}{end}" for end in (CLIENT, *BESIDE)]
    files = {name: data for name, data in zip(names, contents, strict=True) if data is not None}
    files |= waiting
    plan = opened.plan(id)
    if plan is not None:
        told = json.dumps(plan_json(plan, opened.done(id)), ensure_ascii=False, indent=1)
        files["plan.json"] = f"{told}\n".encode()
    case = opened.cases.get(id)
    entries = case.log if case else ()
    given = tuple(_given(case, opened.house)) if case and opened.house else ()
    files["read-me.txt"] = ("\n".join(_lines(id, files, plan, entries, given)) + "\n").encode()
    return files


def _lines(
    id: str,
    files: Mapping[str, bytes],
    plan: Plan | None,
    log: tuple[CheckIn, ...],
    given: Sequence[str] = (),
) -> Iterator[str]:
    """The text for a person, within 80 columns but for what they said themselves."""
    what = {
        f"{id}.yaml": "what your coach wrote down about you, notes to self included",
        f"{id}.log.yaml": "your check-ins",
        f"{id}.alarms.yaml": "what your coach answered where a check-in rang an alarm",
        f"{id}.told.yaml": "what your page showed you, day by day",
        "plan.json": "the plan that was made of them, for programs",
    }
    yield f"What is kept about you under the name {id}"
    yield ""
    for name in files:
        yield f"{name}: {what.get(name, 'what you sent that is in no log yet, and why it waits')}"
    yield "All are plain text in UTF-8; any text editor opens them. Older versions of these files,"
    yield "which your coach's tool keeps for a while to take a slip back, are not among them."
    yield ""
    yield "Your check-ins"
    yield ""
    for entry in sorted(log, key=lambda e: e.on):
        yield f"{entry.on}  {', '.join(_told(entry)) or 'nothing noted'}"
        for line in (entry.said or "").splitlines():
            yield f"            {line}"
    if not log:
        yield "None that could be read."
    yield ""
    if given:
        yield "What your coach's practice adds to your file"
        yield ""
        yield from given
        yield ""
    if plan is None:
        yield "Your plan could not be made from these files: there are errors in them."
        return
    yield "Your plan"
    yield ""
    yield weeks_table(plan)
    for week in plan.weeks:
        yield ""
        yield f"Week {week.number}, from {week.start}: {week.kind}"
        yield from (f"  {line}" for line in session_lines(week))
        yield from (f"  {decision.rule}: {decision.says}" for decision in week.decisions)


def _given(case: Case, house: House) -> Iterator[str]:
    """The group, words to all, and texts: what a client was told that stands in other files."""
    if case.client.group:
        yield f"Group: {case.client.group}"
    for notice in case.notices:
        yield f"{notice.from_} to {notice.until}"
        yield from (f"    {line}" for line in notice.text.splitlines())
    for handout in handed(case, house.handouts)[0]:
        yield f"To read: {handout.title}"
        yield from (f"    {line}".rstrip() for line in handout.text.splitlines())


def _told(entry: CheckIn) -> Iterator[str]:
    """What a check-in tells, in words."""
    if entry.skipped:
        yield f"skipped: {entry.skipped}"
    if entry.well_again:
        yield "well again"
    if entry.ran:
        yield f"ran {entry.ran.minutes:g} min"
    if entry.walked:
        yield f"walked {entry.walked.minutes:g} min"
    if entry.distance:
        yield f"{entry.distance.metres / 1000:g} km"
    if entry.cadence:
        yield f"{entry.cadence.spm} spm"
    if entry.effort is not None:
        yield f"effort {entry.effort}"
    if entry.pain:
        pain = entry.pain
        for words, score in (
            ("before", pain.before), ("during", pain.during), ("after", pain.after),
            ("next morning", pain.next_morning), ("in walking", pain.walking),
        ):  # fmt: skip
            if score is not None:
                yield f"pain {words} {score}"
        if pain.site:
            yield f"pain in: {pain.site}"
    if entry.landing:
        yield f"landing {entry.landing}"
    yield from (sign.replace("_", " ") for sign in entry.signs)
    yield from (f"heard: {one.says}" for one in entry.heard)


def _zip(files: Mapping[str, bytes], day: date) -> bytes:
    """The same files and day give the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            info = zipfile.ZipInfo(name, (day.year, day.month, day.day, 0, 0, 0))
            info.compress_type = zipfile.ZIP_DEFLATED
            info.external_attr = 0o600 << 16
            archive.writestr(info, data)
    return out.getvalue()


def erase(clients: Path, id: str, ask: Callable[[str], str]) -> Erased:
    """Remove a client's file and log, and end the link. Only after the id was typed once more.

    What waits aside goes too where all of it has the client's code; the rest of it is named.

    A run that is cut off is finished by the next one, or by the next build, which ends the link
    of whoever has no file.

    Args:
        clients: The practice's folder.
        id: The client.
        ask: Puts a question to the coach and gives what was typed.
    """
    try:
        listed = world.list_folder(clients)
    except world.Refused as error:
        return Erased(False, problems=(_problem(clients, str(error), "refused"),))
    names = [f"{id}{end}" for end in (CLIENT, *BESIDE)]
    mine = [name for name in names if name in listed]
    keys, problems = load_keys(clients / KEYS_FILE)
    if keys is None:
        return Erased(False, problems=problems)
    is_known = mine or id in keys.links or id in left_over.noted(clients, waits=True)
    if not _ID.fullmatch(id) or id == "practice" or not is_known:
        others = {*keys.links, *(n[:-5] for n in listed if n.endswith(".yaml"))} - {"practice"}
        close = get_close_matches(id, [n for n in others if "." not in n and "/" not in n], n=1)
        mean = f". Did you mean {close[0]}?" if close else ""
        message = f"there is no client {id!r} in {clients}: neither a file nor a link{mean}"
        return Erased(False, problems=(_problem(clients, message, "no-client"),))
    waiting = _waiting(clients, id)  # before the code is gone
    mine += [f"{ASIDE}/{one.name}" for one in waiting if one.id == id]
    parts = [*mine, *([LINK] if id in keys.links else [])] or [NOTED]
    question = (
        f"This removes {enumerated(parts)} of {id} for good. "
        f"Export first if {id} may want the data.\n"
        f"Type {id} to go on"
    )
    if ask(question).strip() != id:
        return Erased(False, UNLIKE)
    try:
        with ExitStack() as removing:
            removing.enter_context(writing(clients))
            if set(names) & set(world.list_folder(clients)) - set(mine):
                message = f"a file of {id} came while you were asked; nothing was removed"
                return Erased(False, problems=(_problem(clients, message, "erase"),))

            def end_link(keys: Keys) -> Keys:
                removing.enter_context(past_return())  # the keys are ours: now all of it goes
                return retire(keys, id)

            _, problems = update_keys(clients / KEYS_FILE, end_link)
            if any(problem.level == "error" for problem in problems):
                return Erased(False, problems=problems)
            for name in mine:
                (clients / name).unlink(missing_ok=True)
            forget_versions(clients, lambda name: _may_be_theirs(name, id))
            problems += notes.forget_notes(clients, id)
            forget_published(clients, id)
    except (OSError, world.Refused) as error:
        why = f"not all could be removed: {error}; mend that, and erase again"
        return Erased(False, problems=(_problem(clients, why, "erase"),))
    copies = _look_alikes(clients, id)
    aside = _perhaps_theirs(waiting, id)
    lines = [
        f"Removed: {enumerated(parts)} of {id}.",
        "Now run: sitegen build, then sitegen publish.",
    ]
    if copies:
        lines.append(f"Still in {clients}, perhaps copies that an editor made: {', '.join(copies)}")
    if aside:
        lines.append(f"Still in {clients}, whole or in part perhaps of {id}: {', '.join(aside)}")
    exported = [place.as_posix() for place in (_usual_place(id),) if place.is_file()]
    if exported:
        lines.append(f"Still here, as export wrote it: {exported[0]}; delete it when it is sent")
    text = "\n".join([*lines, "", NOT_REACHED])
    return Erased(True, text, problems, tuple(parts), (*copies, *aside, *exported))


def _may_be_theirs(name: str, id: str) -> bool:
    """Whether a file that an act changed is this client's, or waited aside, perhaps with theirs."""
    return name in {f"{id}{end}" for end in (CLIENT, *BESIDE, LINK_END)} or name.startswith(
        f"{ASIDE}/"
    )


def _look_alikes(clients: Path, id: str) -> list[str]:
    """Files whose names begin like the client's: what editors leave behind."""
    ends = (*(f"{id}{end}" for end in (CLIENT, *BESIDE)), f"{id}.yml")
    return sorted(
        p.name for p in clients.iterdir() if p.is_file() and p.name.lstrip(".#~").startswith(ends)
    )


def _problem(where: Path, message: str, code: str) -> Problem:
    return Problem(Origin(where.as_posix()), message, "", code)
