"""In: messages, files and runs are dropped or pasted; each lands in a log or waits aside."""

from __future__ import annotations

import base64
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sitegen import world
from sitegen.checkins.aside import ASIDE, PASTED, codes_of, read_aside
from sitegen.desk.apart import Landed, receive_apart
from sitegen.desk.panel import DeskPanel, Outcome, Sent, Shown
from sitegen.desk.warm import Warm
from sitegen.desk.wording import by_name
from sitegen.locking import writing
from sitegen.model.problem import Origin, Problem
from sitegen.seal.keys_file import KEYS_FILE, load_keys
from sitegen.versions import recording

WHOSE = "It still waits. If you know whose it is, choose the client beside it, then take it."


def _view(warm: Warm, _given: Sent) -> Mapping[str, Any]:
    listed = warm.listed()
    keys, _ = load_keys(warm.clients / KEYS_FILE)
    waiting = read_aside(warm.clients, codes_of(keys), listed.all_ids)
    return {
        "waiting": [(one, *_reason(warm.clients / ASIDE / one.name)) for one in waiting],
        "clients": [(id, case.client.name) for id, case in warm.cases().items()],
    }


def _reason(path: Path) -> tuple[tuple[str, ...], str]:
    """Why a file waits, and what stands in it."""
    try:
        text = path.read_text("utf-8", "replace")
    except OSError as error:
        return (f"it can't be read: {error.strerror}",), ""
    lines = text.splitlines()
    reasons = tuple(line.removeprefix("# ") for line in lines if line.startswith("# "))
    told = tuple(one for one in reasons if "sitegen receive" not in one)
    return told, "\n".join(line for line in lines if not line.startswith("# ")).strip()


def _receive(warm: Warm, given: Sent) -> Shown:
    """What came in, taken at once: `undo` takes it back, and nothing is taken twice."""
    text = str(given.get("text") or "")
    files = given.get("files") or ()
    whose = str(given.get("whose") or "") or None
    if not text.strip() and not files:
        hint = "paste a message, or choose files"
        wrong = Problem(Origin(warm.clients.as_posix()), "nothing came in", hint, "checkin-none")
        return Shown("In", problems=(wrong,))

    def do() -> Outcome:
        with _unpacked(text, files) as folder:
            names = sorted(path.name for path in folder.iterdir())
            return _told(_take(folder, names, warm, whose), warm)

    return Shown("In", do=do)


def _take_one(warm: Warm, given: Sent) -> Shown:
    """A file that waits aside, taken as a client's because the coach says so."""
    path = _waiting_file(warm, given)
    whose = str(given.get("whose") or "") or None
    text = given.get("text")
    if whose is not None:
        warm.files(whose)

    def do() -> Outcome:
        if text is not None:
            _mend(path, str(text))
        told = _told(_take(path.parent, (path.name,), warm, whose), warm)
        if not path.exists():  # it is in a log now, whose line tells the same
            loose = f"read it now, {path.name}"
            return told._replace(lines=tuple(one for one in told.lines if loose not in one))
        return told._replace(lines=(*told.lines, WHOSE)) if whose is None else told

    return Shown("In", do=do)


def _mend(path: Path, text: str) -> None:
    """What she mended, under the reasons that stand on top."""
    told, old = _reason(path)
    if told and text.replace("\r\n", "\n").strip() != old:
        head = [line for line in path.read_text("utf-8", "replace").splitlines()
                if line.startswith("# ")]  # fmt: skip
        world.write_text_atomic(path, "\n".join([*head, "", text.strip(), ""]), mode=0o600)


def _put_away(warm: Warm, given: Sent) -> Shown:
    """A file that waits is taken away, once its alarm is answered."""
    path = _waiting_file(warm, given)
    name = f"{ASIDE}/{path.name}"
    says = f"Put {path.name} away"
    signs = next((one.signs for one, *_ in _view(warm, {})["waiting"] if one.name == path.name), ())
    if signs and any(
        each.because is not None and each.because.file == name
        for _, one in warm.alarms().open
        for each in one.all
    ):
        wrong = "it tells of danger, and its alarm is open"
        hint = "answer the alarm first; then it can be put away"
        return Shown(says, problems=(Problem(Origin(name), wrong, hint, "checkin-aside"),))
    before = path.read_bytes()

    def do() -> Outcome:
        with recording(warm.clients, "put away") as record:
            if path.read_bytes() != before:
                return Outcome("It was changed meanwhile, so it stays.")
            record.keep(path, None, "put away")
            path.unlink()
        return Outcome("Put away; Back brings it again.")

    lines = ("It goes, and is in no log.",)
    return Shown(says, lines, do=do, yes="Put it away")


def _waiting_file(warm: Warm, given: Sent) -> Path:
    """The file that waits under a name.

    Raises:
        Refused: None does; a name with a folder in it is none.
    """
    name = str(given.get("name", ""))
    folder = warm.clients / ASIDE
    there = (
        {path.name: path for path in folder.iterdir() if path.is_file()} if folder.is_dir() else {}
    )
    if name not in there or name.startswith("."):
        raise world.Refused("this waits no longer")
    return there[name]


@contextmanager
def _unpacked(text: str, files: Sequence[Mapping[str, str]]) -> Iterator[Path]:
    """A folder with what came in, which nobody else may read, gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="sitegen-in-") as folder:
        top = Path(folder)
        if text.strip():
            (top / PASTED).write_text(text, "utf-8")
        for number, file in enumerate(files, 1):
            name = _plain_name(str(file.get("name", "")))
            if (top / name).exists():
                name = f"{number}-{name}"
            (top / name).write_bytes(base64.b64decode(str(file.get("data", ""))))
        yield top


def _plain_name(name: str) -> str:
    """A file's own name without any folder, by which it is known what kind it is."""
    last = name.replace("\\", "/").rpartition("/")[2]
    kept = "".join(c for c in last if c.isalnum() or c in " -_.").strip(" .")
    return kept[-80:] or "message"


def _take(folder: Path, names: Sequence[str], warm: Warm, whose: str | None) -> Landed:
    with writing(warm.clients):
        pass  # whoever else writes is waited for here
    return receive_apart(folder, names, warm.clients, warm.as_of, whose)


def _told(landed: Landed, warm: Warm) -> Outcome:
    names = {id: case.client.name for id, case in warm.cases().items()}
    says = landed.lines[-1] if landed.lines else "Nothing was taken."
    lines = (*landed.lines[:-1], *dict.fromkeys(map(_named, landed.problems)))
    return Outcome(says, lines=tuple(by_name(line, names) for line in lines))


def _named(one: Problem) -> str:
    """A problem with the file that it is about; of what was pasted there is one alone."""
    file = Path(one.origin.file).name
    about = "" if file in (PASTED, "") else f"{file}: "
    return f"{about}{one.message}{f' ({one.hint})' if one.hint else ''}"


PANEL = DeskPanel(
    "taking",
    "In",
    _view,
    {"receive": _receive, "take": _take_one, "away": _put_away},
    at_once=frozenset({"receive", "take"}),
)
