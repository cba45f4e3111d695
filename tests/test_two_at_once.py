"""Two commands at once on one practice lose nothing of what each said it had taken.

By night a thousand pairs: `make nightly`.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import pytest

from commands import process, sitegen
from nightly import IS_NIGHTLY
from noted import note, noted
from receive_case_files import CODES, practice
from sitegen import locking, world
from sitegen.checkins.receive import receive
from sitegen.checkins.taking import Shelf
from sitegen.coach.leaving import erase
from sitegen.site.notes import SEEN_FILE, SHOWN_FILE, Notes

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="processes are forked")
PAIRS = 1000 if IS_NIGHTLY else 25
ROOT = Path(__file__).resolve().parent.parent
TODAY = date(2027, 2, 10)
LOG = Path("clients/mara.log.yaml")

# Halts between reading the log and writing it, until a line comes in.
HALTED = """
import sys
from sitegen import world
from sitegen.cli import main
write = world.write_text_atomic
def halted(path, *rest, **how):
    print("about to write", path.name, flush=True)
    sys.stdin.readline()
    return write(path, *rest, **how)
world.write_text_atomic = halted
main(sys.argv[1:])
"""

# Forks pairs; the two of a pair begin when the pipe is written to. Prints how many lost something.
PAIRED = """
import os, sys
from datetime import date
from pathlib import Path
from sitegen.checkins.receive import receive
code, pairs = sys.argv[1], int(sys.argv[2])
clients, log = Path("clients"), Path("clients/mara.log.yaml")
text = f"Check-in {code}\\n- on: 2027-02-%02d\\n  ran: 31 min\\n"
lost = 0
for _ in range(pairs):
    log.unlink(missing_ok=True)
    gate, opens = os.pipe()
    children = []
    for day in (8, 9):
        child = os.fork()
        if not child:
            os.read(gate, 1)
            os._exit(receive([], text % day, clients, date(2027, 2, 10), "mara").status)
        children.append(child)
    os.write(opens, b"go")
    ended = [os.waitpid(child, 0)[1] for child in children]
    os.close(gate), os.close(opens)
    found = log.read_text("utf-8")
    lost += ended != [0, 0] or "2027-02-08" not in found or "2027-02-09" not in found
print(lost)
"""


@pytest.fixture
def clients(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PYTHONPATH", str(ROOT))
    practice(tmp_path)
    LOG.unlink()
    return Path("clients")


def check_in(day: int) -> str:
    return f"Check-in {CODES['mara']}\n- on: 2027-02-{day:02d}\n  ran: 31 min\n"


@contextmanager
def halted(*words: str) -> Iterator[subprocess.Popen[str]]:
    """A command that has read, and waits before it writes."""
    with subprocess.Popen(
        [sys.executable, "-c", HALTED, *words],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as found:  # fmt: skip
        assert found.stdout is not None
        assert found.stdout.readline().startswith("about to write")
        yield found
        found.kill()


@contextmanager
def holder(clients: Path) -> Iterator[None]:
    """Another process that writes into the practice and does not end."""
    script = (
        "import sys; from pathlib import Path; from sitegen.locking import writing\n"
        "with writing(Path(sys.argv[1])): print('held', flush=True); sys.stdin.read()"
    )
    with subprocess.Popen(
        [sys.executable, "-c", script, str(clients)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as found:  # fmt: skip
        assert found.stdout is not None and found.stdout.readline() == "held\n"
        yield
        found.kill()


def test_who_comes_between_reading_and_writing_waits_and_says_so(clients: Path) -> None:
    Path("a.txt").write_text(check_in(8))
    Path("b.txt").write_text(check_in(9))
    with halted("receive", "a.txt", "--for", "mara", "--as-of", "2027-02-10") as first:
        second = subprocess.Popen(
            [sys.executable, "-m", "sitegen", "receive", "b.txt", "--for", "mara",
             "--as-of", "2027-02-10"],
            stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        with second:
            assert second.stderr is not None
            said = second.stderr.readline()
            first.communicate("\n" * 9)
            second.wait()
        assert (first.returncode, second.returncode) == (0, 0)
    assert said == "sitegen: another sitegen writes into clients; waiting until it has ended\n"
    assert LOG.read_text("utf-8").count("ran: 31 min") == 2


def test_no_pair_of_receives_loses_a_check_in(
    clients: Path, record_property: Callable[[str, object], None]
) -> None:
    record_property("trials", PAIRS)
    words = [sys.executable, "-c", PAIRED, CODES["mara"], str(PAIRS)]
    done = subprocess.run(words, capture_output=True, text=True, check=False)

    assert (done.stdout, done.returncode) == ("0\n", 0), done.stderr[-500:]


def test_what_waits_too_long_gives_up_in_words(
    clients: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sitegen.checkins.taking.PATIENCE_S", 0.0)
    with holder(clients):
        result = receive([], check_in(8), clients, TODAY, "mara")
        with pytest.raises(world.Refused, match="nothing was done: run this again"):
            locking.writing(clients, 0).__enter__()

    (problem,) = result.problems
    assert problem.code == "log-busy" and result.status == 1
    assert "another sitegen writes into clients" in problem.message
    assert not LOG.exists()
    assert [p.name for p in (clients / ".aside").iterdir()]  # and it waits there for another run


@pytest.mark.parametrize(
    "words",
    [
        ("answer", "mara", "1", "--because", "spoke with her"),
        ("link", "mara", "--renew"),
    ],
)
def test_every_command_that_writes_gives_up_in_words(
    clients: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    before = {p: p.read_bytes() for p in clients.iterdir() if p.is_file()}
    monkeypatch.setattr("sitegen.locking.writing.__wrapped__.__defaults__", (0.0,))
    with holder(clients):
        done = sitegen(*words, cwd=Path.cwd())

    assert done.returncode == 1
    assert "another sitegen writes into clients" in done.stderr
    assert {p: p.read_bytes() for p in clients.iterdir() if p.is_file()} == before


def test_who_holds_the_lock_may_receive_within(clients: Path) -> None:
    with locking.writing(clients, 0), locking.writing(clients, 0):
        assert receive([], check_in(8), clients, TODAY, "mara").status == 0
    with holder(clients):  # and it was let go of
        pass


def test_a_file_that_came_during_the_question_stops_an_erasure(clients: Path) -> None:
    def typed(_question: str) -> str:
        receive([], check_in(8), clients, TODAY, "mara")
        return "mara"

    erased = erase(clients, "mara", typed)

    assert not erased.done and "came while you were asked" in erased.problems[0].message
    assert LOG.exists() and (clients / "mara.yaml").exists()


def test_what_another_wrote_meanwhile_stays_in_what_is_remembered(clients: Path) -> None:
    both = ("mara", "theo")
    with Notes(clients, SEEN_FILE) as first:
        first.note("mara", "told now")
        note(clients, SEEN_FILE, {"theo": "told by another"}, both)
        first.keep(both)
    assert noted(clients, SEEN_FILE) == {
        "mara": "told now",
        "theo": "told by another",
    }

    for site in ("one", "two"):
        note(clients, SHOWN_FILE, {"mara": site}, part=site)
    assert [noted(clients, SHOWN_FILE, site) for site in ("one", "two")] == [
        {"mara": "one"},
        {"mara": "two"},
    ]


def test_a_check_in_that_was_taken_meanwhile_is_known(clients: Path) -> None:
    """The practice was read before; the log is read when it is its turn."""
    assert process(
        "receive", "--for", "mara", "--as-of", "2027-02-10", cwd=Path.cwd(), typed=check_in(8)
    ).stdout
    from sitegen.checkins.letters import Letter
    from sitegen.checkins.posting import post
    from sitegen.practice.opening import list_practice

    letters = [Letter("mail.txt", check_in(9) + check_in(8))]
    posted = post(letters, {CODES["mara"]: "mara"}, ["mara"])
    shelf = Shelf(list_practice(clients), TODAY, posted, vouched="mara")
    LOG.write_text(LOG.read_text() + "- {on: 2027-02-10, ran: 5 min}\n")
    shelf.take_all()

    assert (shelf.again, len(shelf.taken["mara"])) == (1, 1)
    assert LOG.read_text().count("on: 2027-02-") == 3
