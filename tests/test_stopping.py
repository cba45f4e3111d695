"""Ctrl-C at any moment: one sentence, status 130, nothing half written, and the next run finishes.

Each test sends a real signal to a real process. Where in the work it is, is known, however slow
or busy the machine: it can't end before the signal, since it waits for a lock that the test holds,
for an answer, or for a hook; or it sends the signal to itself, at a chosen line of its progress or
a chosen look at the disk.
"""

from __future__ import annotations

import fcntl
import os
import pty
import re
import shutil
import signal
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Timer

import pytest

from commands import PAGES
from nightly import some_of
from sitegen import world
from sitegen.seal.addresses import checkin_code
from sitegen.seal.keys import Keys, ensure
from sitegen.seal.keys_file import KEYS_FILE, load_keys, write_keys
from sitegen.site.folder import write_site

pytestmark = pytest.mark.skipif(
    not Path("/proc/locks").exists(), reason="looks into /proc to know where the process is"
)

DAY = "2027-02-10"
MANY = 34  # one alone, and two tasks: enough to be spread over processes
PATIENCE_S = 600
PRACTICE = "name: Harbour Running\ncontact: coach@example.org\ntimezone: Europe/Lisbon\n"
CLIENT = """\
name: Runner {number}
screening: {{on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}}
baseline: {{on: 2027-01-02, cadence: 156 spm, pace: "6:30 /km", week: 90 min,
  longest: 40 min, runs: 3}}
week: {{tue: {{}}, thu: {{}}, sun: {{}}}}
plan: {{from: 2027-01-04, weeks: 6}}
"""


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Where a coach stands: a practice of many clients in `clients`."""
    clients = tmp_path / "clients"
    clients.mkdir()
    (clients / "practice.yaml").write_text(PRACTICE)
    for number in range(MANY):
        (clients / f"runner-{number}.yaml").write_text(CLIENT.format(number=number))
        (clients / f"runner-{number}.log.yaml").write_text("- on: 2027-01-05\n  ran: 30 min\n")
    return tmp_path


WAITING = re.compile(r"sitegen: another sitegen [^\n]*; waiting until it has ended\r?\n")


class Command:
    """A command that runs. Its standard error is a terminal, so that it tells how far it is."""

    def __init__(
        self,
        home: Path,
        *words: str,
        typed: str | None = None,
        program: tuple[str, str] = ("-m", "sitegen"),
    ) -> None:
        ours, theirs = pty.openpty()
        self._terminal = ours
        self.process = subprocess.Popen(
            [sys.executable, *program, *words],
            cwd=home,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=theirs,
            start_new_session=True,
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
            env={**os.environ, "XDG_CACHE_HOME": str(home.parent / "compiled"), "COLUMNS": "200"},
        )
        os.close(theirs)
        self._watch = Timer(PATIENCE_S, os.killpg, (self.process.pid, signal.SIGKILL))
        self._watch.start()
        self.told = ""
        if typed is not None:
            self.types(typed)

    def types(self, text: str) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(text.encode())
        self.process.stdin.flush()

    def _hear(self) -> bool:
        try:
            heard = os.read(self._terminal, 65536)
        except OSError:  # the other side is closed
            return False
        self.told += heard.decode("utf-8", "replace")
        return bool(heard)

    def tells(self, what: str, least: int) -> Command:
        """Wait until it says that at least so many are done."""
        while not any(int(n) >= least for n in re.findall(rf"{what}: (\d+) of", self.told)):
            assert self._hear(), self.told
        return self

    def waits(self) -> Command:
        """Wait until it says that it waits for a lock."""
        return self.asks("waiting until it has ended")

    def asks(self, text: str) -> Command:
        """Wait for these words on the terminal."""
        while text not in self.told:
            assert self._hear(), self.told
        return self

    def says(self, text: str) -> Command:
        """Wait for these words on standard output."""
        assert self.process.stdout is not None
        said = b""
        while text.encode() not in said:
            byte = self.process.stdout.read(1)
            assert byte, said
            said += byte
        return self

    def until(self, reached: Callable[[int], bool]) -> Command:
        end = time.monotonic() + PATIENCE_S
        while not reached(self.process.pid):
            assert time.monotonic() < end and self.process.poll() is None, self.told
            time.sleep(0.005)
        return self

    def stops(self, number: int = signal.SIGINT, everyone: bool = True) -> tuple[int, str, str]:
        """The signal, to all its processes as from a terminal; then status, output, last words."""
        if everyone:
            os.killpg(self.process.pid, number)
        else:
            self.process.send_signal(number)
        return self.ends()

    def ends(self) -> tuple[int, str, str]:
        assert self.process.stdin is not None and self.process.stdout is not None
        self.process.stdin.close()
        while self._hear():
            pass
        os.close(self._terminal)
        out = self.process.stdout.read().decode()
        status = self.process.wait(PATIENCE_S)
        self._watch.cancel()
        self.process.stdout.close()
        end = time.monotonic() + PATIENCE_S  # what has ended takes a moment to be gone
        while living(self.process.pid):
            assert time.monotonic() < end, "one of its workers is left"
            time.sleep(0.02)
        assert "Traceback" not in self.told and "Aborted" not in self.told, self.told
        told = WAITING.sub("", self.told.replace("\r\n", "\n"))
        return status, out, told.split("\033[K")[-1]


def living(group: int) -> list[str]:
    """Processes of a group that still do something."""
    found = []
    for about in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _, in_group = about.read_text().rpartition(")")[2].split()[:3]
        except OSError:
            continue
        if int(in_group) == group and state != "Z":
            found.append(about.parent.name)
    return found


def ready(pid: int) -> bool:
    """Python has started, and the command heeds signals: it catches SIGTERM, too."""
    caught = re.search(r"SigCgt:\s*(\w+)", Path(f"/proc/{pid}/status").read_text())
    return bool(caught and int(caught[1], 16) & 1 << (signal.SIGTERM - 1))


@contextmanager
def locked(path: Path) -> Iterator[None]:
    descriptor = os.open(path, os.O_RDONLY)
    fcntl.flock(descriptor, fcntl.LOCK_EX)
    try:
        yield
    finally:
        os.close(descriptor)


def tree(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*")
            if p.is_file()}  # fmt: skip


def litter(home: Path) -> list[str]:
    """Files that something half done leaves behind."""
    names = [p.relative_to(home).as_posix() for p in home.rglob("*")]
    return [n for n in names if re.search(r"\.new$|\.sitegen-(part|lock|next|steps)|/next-", n)]


# The command with a standard error that sends the signal when a line of progress tells enough.
AT_PROGRESS = """
import io, os, re, signal
import sys
from sitegen.cli import main

class Watched(io.TextIOWrapper):
    sent = False

    def write(self, text):
        super().write(text)
        self.flush()
        told = re.search(r"{what}: (\\d+) of", text)
        if told and int(told[1]) >= {least} and not self.sent:
            self.sent = True
            {send}
        return len(text)

sys.stderr = Watched(open(2, "wb", buffering=0, closefd=False), encoding="utf-8")
main(prog_name="sitegen")
"""


def at_progress(
    what: str, least: int, number: int = signal.SIGINT, everyone: bool = True
) -> tuple[str, str]:
    """The program of a command that is sent the signal once it says that so many are done."""
    send = f"os.killpg(0, {number:d})" if everyone else f"os.kill(os.getpid(), {number:d})"
    return "-c", AT_PROGRESS.format(what=what, least=least, send=send)


# The command, sent the signal as it opens, makes, renames or removes a file for the nth time.
AT_A_LOOK = """
import os, signal, sys
from pathlib import Path
from sitegen.cli import main

home, looks = str(Path.cwd()), 0

def look(event, about):
    global looks
    if event in ("open", "os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.scandir"):
        if isinstance(about[0], (str, os.PathLike)) and home in os.path.abspath(about[0]):
            looks += 1
            if looks == {nth}:
                os.kill(os.getpid(), signal.SIGINT)

sys.addaudithook(look)
try:
    main(prog_name="sitegen")
finally:
    Path(home, "looks").write_text(str(looks))
"""


def run(home: Path, *words: str, typed: str = "") -> tuple[int, str, str]:
    return Command(home, *words, typed=typed).ends()


BUILD = ("build", "--as-of", DAY)
BUILT = "sitegen: stopped; the site is whole, as it was or as it shall be; build again\n"


@contextmanager
def kept_from_the_end(home: Path) -> Iterator[None]:
    """A build can't get past its last step before the links are kept, and waits there."""
    with locked(home / "clients"):
        yield


def stopped_in_the_first_clients(home: Path) -> tuple[int, str, str]:
    with kept_from_the_end(home):
        return Command(home, *BUILD).tells("building", 2).stops()


def stopped_in_the_middle(home: Path) -> tuple[int, str, str]:
    with kept_from_the_end(home):
        return Command(home, *BUILD).tells("building", MANY // 2).stops()


def stopped_without_its_workers(home: Path) -> tuple[int, str, str]:
    """As by another program, which sends the signal to one process only."""
    with kept_from_the_end(home):
        return Command(home, *BUILD).tells("building", MANY // 2).stops(everyone=False)


# A second thread, as some environments have: processes are then started afresh, not forked, and
# know nothing of what the first one does on Ctrl-C.
THREADED = (
    "-c",
    "import threading; from sitegen.cli import main; "
    "threading.Thread(target=threading.Event().wait, daemon=True).start(); "
    "main(prog_name='sitegen')",
)


def stopped_while_its_workers_begin(home: Path) -> tuple[int, str, str]:
    with kept_from_the_end(home):
        return Command(home, *BUILD, program=THREADED).tells("building", 1).stops()


def stopped_while_workers_begun_afresh_work(home: Path) -> tuple[int, str, str]:
    with kept_from_the_end(home):
        return Command(home, *BUILD, program=THREADED).tells("building", 17).stops()


def stopped_before_it_reads(home: Path) -> tuple[int, str, str]:
    with locked(home / "clients" / "practice.yaml"):
        return Command(home, *BUILD).waits().stops()


def stopped_before_links_are_kept(home: Path) -> tuple[int, str, str]:
    """All is built, nothing is in its place."""
    with kept_from_the_end(home):
        command = Command(home, *BUILD).tells("building", MANY).waits()
        assert list(home.glob(".sitegen-cache/next-*"))
        return command.stops()


@pytest.mark.parametrize(
    "stopped",
    [
        stopped_before_it_reads,
        stopped_in_the_first_clients,
        stopped_in_the_middle,
        stopped_without_its_workers,
        stopped_while_its_workers_begin,
        stopped_while_workers_begun_afresh_work,
        stopped_before_links_are_kept,
    ],
)
def test_a_build_leaves_no_site_and_the_next_makes_all_of_it(
    home: Path, stopped: Callable[[Path], tuple[int, str, str]]
) -> None:
    clients = tree(home / "clients")

    assert stopped(home) == (130, "", BUILT)
    assert not (home / "public").exists()
    assert litter(home) == []
    assert tree(home / "clients") == clients

    assert run(home, *BUILD)[0] == 0
    assert len(list((home / "public").glob(PAGES))) == MANY


def test_a_build_leaves_the_old_site(home: Path) -> None:
    assert run(home, *BUILD)[0] == 0
    old = tree(home / "public")
    practice = home / "clients" / "practice.yaml"
    practice.write_text(PRACTICE.replace("Harbour", "Lighthouse"))

    assert Command(home, *BUILD, program=at_progress("building", MANY // 2)).ends()[0] == 130

    assert tree(home / "public") == old
    assert litter(home) == []
    practice.write_text(PRACTICE)
    assert "0 files written" in run(home, *BUILD)[1]


def test_a_system_that_asks_for_an_end_is_answered_with_143(home: Path) -> None:
    with kept_from_the_end(home):
        command = Command(home, *BUILD).tells("building", 2)
        assert command.stops(signal.SIGTERM, everyone=False) == (143, "", BUILT)

    assert not (home / "public").exists() and litter(home) == []


def test_a_command_that_only_reads_says_no_more_than_that(home: Path) -> None:
    command = Command(home, "check", "--as-of", DAY, program=at_progress("checking", 0))

    assert command.ends() == (130, "", "sitegen: stopped\n")


def test_with_json_nothing_half_is_printed(home: Path) -> None:
    program = at_progress("drawing up plans", 0)

    assert Command(home, "roster", "--json", "--as-of", DAY, program=program).ends()[:2] == (
        130,
        "",
    )


# --- publish ----------------------------------------------------------------------------------

FILES = 400


def site(size: int) -> dict[str, bytes]:
    portals = {f"{n:032x}/index.html": b"%d" % n * size for n in range(FILES)}
    return {"index.html": b"front", "robots.txt": b"none", **portals}


@pytest.mark.parametrize("scheme", ["", "local://"])
def test_a_publish_leaves_each_file_whole_and_the_next_finishes(home: Path, scheme: str) -> None:
    """To a folder, and to the same by way of fsspec."""
    old, new = site(1000), site(1001)
    target = f"{scheme}{home}/host"
    write_site(old, home / "public")
    assert run(home, "publish", target)[0] == 0
    write_site(new, home / "public")

    program = at_progress("sending", FILES // 4)
    status, out, last = Command(home, "publish", target, program=program).ends()

    assert (status, out) == (130, "")
    assert last == (
        "sitegen: stopped; every portal on the host is whole, old or new; publish again to finish\n"
    )
    there = tree(home / "host")
    there.pop(".sitegen-manifest.json")
    assert set(there) == set(old)
    states = [there[name] == new[name] for name in there if old[name] != new[name]]
    assert any(states) and not all(states)
    assert all(there[name] in (old[name], new[name]) for name in there)
    assert litter(home) == []
    assert run(home, "publish", target)[0] == 0
    assert {n: d for n, d in tree(home / "host").items() if n in new} == new


def test_a_publish_that_waits_for_another_stops_and_takes_its_ticket_back(home: Path) -> None:
    """The other is alive: it is this very process."""
    from sitegen.publish.lock import TICKET, owner_mark

    write_site(site(10), home / "public")
    (home / "host").mkdir()
    other = home / "host" / f"{TICKET}{'0' * 16}"
    other.write_text(f'{{"owner": "{owner_mark()}", "process": {os.getpid()}, "seen": 0}}')

    before = (home / "host").stat().st_mtime_ns

    def came(_: int) -> bool:
        """Its ticket was written, and perhaps taken back: it waits, and looks again."""
        return (home / "host").stat().st_mtime_ns != before

    assert Command(home, "publish", f"{home}/host").until(came).stops()[0] == 130

    assert [p.name for p in (home / "host").iterdir()] == [other.name]


def test_a_publish_to_a_branch_leaves_the_old_commit(home: Path) -> None:
    """Git's hook on the far side says when the push is under way, and holds it there."""
    remote = home / "far.git"
    subprocess.run(["git", "init", "--quiet", "--bare", str(remote)], check=True)
    hook = remote / "hooks" / "pre-receive"
    begun = home / "begun"
    hook.write_text(f"#!/bin/sh\ntouch {begun}\nexec sleep 600\n")
    hook.chmod(0o755)
    write_site(site(10), home / "public")

    command = Command(home, "publish", f"git+{remote}#pages").until(lambda _: begun.exists())
    assert command.stops()[0] == 130

    refs = subprocess.run(
        ["git", "-C", str(remote), "for-each-ref"], capture_output=True, check=True
    )
    assert refs.stdout == b""
    hook.unlink()
    assert run(home, "publish", f"git+{remote}#pages")[0] == 0


# --- receive ----------------------------------------------------------------------------------


@pytest.fixture
def inbox(home: Path) -> Path:
    """A check-in of each client, each with a sign."""
    ids = [f"runner-{n}" for n in range(MANY)]
    keys = ensure(Keys(), ids, world.draw_bytes)
    write_keys(home / "clients" / KEYS_FILE, keys)
    folder = home / "inbox"
    folder.mkdir()
    for id in ids:
        code = checkin_code(keys.links[id])
        text = f"Check-in {code}\n- on: 2027-02-09\n  ran: 31 min\n  signs: [limp]\n"
        (folder / f"{id}.txt").write_text(text)
    return folder


LOGGED = b"- on: 2027-02-09\n  ran: 31 min\n  signs: [limp]\n  signed: no\n"


def test_receiving_leaves_each_log_whole_and_tells_of_all_that_it_took(
    home: Path, inbox: Path
) -> None:
    before = tree(home / "clients")
    words = ("receive", "inbox", "--as-of", DAY)

    program = at_progress("taking check-ins", 5)
    status, out, last = Command(home, *words, program=program).ends()

    assert status == 130 and last.startswith("sitegen: stopped; each log is whole; receive the")
    after = tree(home / "clients")
    changed = [n for n in after if after[n] != before.get(n) and not n.startswith(".versions/")]
    taken = {n.split(".")[0] for n in changed}
    assert 5 <= len(taken) < MANY
    for id in taken:
        name = f"{id}.log.yaml"
        assert after[name] == before[name] + LOGGED
        assert f"TODAY: {id}: limp was told on Tuesday" in out, "no sign is taken in quietly"
    assert out.count(": limp was told") == len(taken)
    assert litter(home) == [] and not (home / "clients" / ".aside").exists()

    rest = run(home, *words)
    assert rest[0] == 0
    assert f"{MANY - len(taken)} check-ins taken" in rest[1]
    assert f"{len(taken)} there already" in rest[1]


def test_receiving_that_waits_for_its_text_can_be_stopped(home: Path) -> None:
    assert Command(home, "receive").until(ready).stops()[:2] == (130, "")


# --- export, erase, intake, link --------------------------------------------------------------


@pytest.mark.parametrize("part", some_of(range(8), 3, 7))
@pytest.mark.parametrize("to", ["all.zip", "all"])
def test_an_export_is_whole_or_not_there(home: Path, to: str, part: int) -> None:
    """Stopped at two moments from its first look at the disk to its last, by night at eight."""
    words = ("export", "runner-1", "--as-of", DAY, "--to", to)
    names = {"runner-1.yaml", "runner-1.log.yaml", "plan.json", "read-me.txt"}
    place = home / to

    def held() -> set[str]:
        return set(zipfile.ZipFile(place).namelist()) if place.is_file() else set(tree(place))

    assert Command(home, *words, program=("-c", AT_A_LOOK.format(nth=0))).ends()[0] == 0
    assert held() == names
    looks = int((home / "looks").read_text())
    assert looks > 8
    shutil.rmtree(place) if place.is_dir() else place.unlink()

    nth = 1 + (looks - 1) * part // 7
    status, _, _ = Command(home, *words, program=("-c", AT_A_LOOK.format(nth=nth))).ends()

    assert status in (0, 130) and litter(home) == []
    if place.exists():
        assert held() == names
    else:
        assert status == 130


def test_an_erasure_that_was_not_confirmed_removes_nothing(home: Path) -> None:
    before = tree(home)
    command = Command(home, "erase", "runner-1").asks("to go on")

    status, _, last = command.stops()
    assert status == 130 and last.endswith("sitegen: stopped; nothing was removed\n")
    assert tree(home / "clients") == {
        n.removeprefix("clients/"): d for n, d in before.items() if n.startswith("clients/")
    }


def test_an_erasure_that_waits_for_the_links_removes_nothing(home: Path, inbox: Path) -> None:
    before = tree(home / "clients")
    with locked(home / "clients"):
        command = Command(home, "erase", "runner-1", typed="runner-1\n").waits()
        status, _, last = command.stops()

    assert status == 130 and last.endswith("sitegen: stopped; nothing was removed\n")
    assert tree(home / "clients") == before
    assert run(home, "erase", "runner-1", typed="runner-1\n")[0] == 0
    keys, _ = load_keys(home / "clients" / KEYS_FILE)
    assert keys is not None and "runner-1" not in keys.links
    assert not (home / "clients" / "runner-1.yaml").exists()


def test_a_talk_that_is_broken_off_writes_nothing(home: Path) -> None:
    before = tree(home / "clients")
    command = Command(home, "intake", "newcomer").says("> ")
    command.types("Ada Holm\n")
    status, _, last = command.says("> ").stops()

    assert status == 130 and last.endswith("sitegen: stopped; nothing was written\n")
    assert tree(home / "clients") == before


def test_answers_that_do_not_come_write_nothing(home: Path) -> None:
    os.mkfifo(home / "form.yaml")
    before = tree(home / "clients")
    pipe = []

    def reads(_: int) -> bool:
        """It has opened the pipe; nothing will come, so it waits there."""
        try:
            pipe.append(os.open(home / "form.yaml", os.O_WRONLY | os.O_NONBLOCK))
        except OSError:  # nobody reads yet
            return False
        return True

    command = Command(home, "intake", "newcomer", "--answers", "form.yaml").until(reads)
    # Between opening and reading Python has a moment in which a signal waits for the reading's end:
    # then, as a person would, once more.
    again = Timer(5, os.killpg, (command.process.pid, signal.SIGINT))
    again.start()
    assert command.stops() == (130, "", "sitegen: stopped; nothing was written\n")
    again.cancel()
    os.close(pipe[0])
    assert tree(home / "clients") == before


def test_a_link_that_waits_is_not_half_renewed(home: Path, inbox: Path) -> None:
    before = tree(home / "clients")
    with locked(home / "clients"):
        command = Command(home, "link", "runner-1", "--renew").waits()
        assert command.stops()[0] == 130
    assert tree(home / "clients") == before


HALF_MADE = """
import os, signal, sys
from sitegen.terminal.stopping import stoppable

# Who runs the tests in the background hands on that Ctrl-C is to be ignored.
signal.signal(signal.SIGINT, signal.default_int_handler)

async def asked():
    pass

class Half:
    def __init__(self):
        self.answer = asked()
        os.kill(os.getpid(), signal.SIGINT)
        self.whole = True
    def __del__(self):
        self.whole

with stoppable(to_the_end=True):
    try:
        Half()
    except KeyboardInterrupt:
        pass
"""


def test_what_is_thrown_away_half_made_is_not_heard_complaining() -> None:
    """A library's file that was being opened when the signal came."""
    quiet = subprocess.run([sys.executable, "-c", HALF_MADE], capture_output=True, check=True)
    assert quiet.stderr == b""

    loud = HALF_MADE.replace("with stoppable(to_the_end=True):", "if True:")
    told = subprocess.run([sys.executable, "-c", loud], capture_output=True, check=True)
    for complaint in (b"AttributeError", b"never awaited"):
        assert complaint in told.stderr, "nothing complains; is the test blind?"
