"""A cluster builds the same site as this computer, whatever dies meanwhile, or says why not.

Schedulers and workers are real processes of dask.distributed, as docs/building.md starts them.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError, Future
from contextlib import ExitStack
from datetime import UTC, date, datetime
from pathlib import Path
from threading import Thread

import pytest
from click.testing import CliRunner, Result

from engines import until
from nightly import by_night
from sitegen import world
from sitegen.cli import main
from sitegen.site import cluster, same_tool, spread
from sitegen.site.building import build_site
from sitegen.site.built import other_day

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))

import practice

ROOT = Path(__file__).resolve().parents[1]
DAY = date(2027, 2, 10)  # in the sixth of eight weeks
CHUNK = 2  # clients a task
COUNT = 13  # clients: one is built here, six tasks there
FEW = 20  # clients of a build that chooses its tasks itself: two of them
DOCS = ROOT / "docs" / "building.md"
HERE = "127.0.0.1"
GIVEN_UP = re.compile(
    r"[1-6] tasks? could not be done on the cluster; built on this computer instead"
)


# --- machines ---------------------------------------------------------------------------------


class Machines:
    """A scheduler and its workers, each a process of its own, without anybody to restart them."""

    def __init__(self, stack: ExitStack, home: Path, **settings: str) -> None:
        self.stack, self.home = stack, home
        self.env = {**os.environ, "PYTHONPATH": str(ROOT), "DASK_CONFIG": str(home), **settings}
        self.port = free_port()
        self.workers: list[subprocess.Popen[bytes]] = []
        self.scheduler = self.start(f"dask scheduler --host {HERE} --port {self.port}")

    @property
    def address(self) -> str:
        return f"tcp://{HERE}:{self.port}"

    def add_worker(self, path: Path = ROOT) -> None:
        """A worker whose Python finds packages in ``path`` first."""
        command = f"dask worker {self.address} --nthreads 1 --no-nanny"
        self.workers.append(self.start(command, PYTHONPATH=str(path)))

    def start(self, command: str, **settings: str) -> subprocess.Popen[bytes]:
        log = self.stack.enter_context((self.home / "log.txt").open("ab"))
        words = [sys.executable, "-m", *shlex.split(command), "--no-dashboard"]
        process = subprocess.Popen(
            words, cwd=self.home, env=self.env | settings, stdout=log, stderr=log
        )
        self.stack.callback(process.wait)
        self.stack.callback(process.kill)
        return process

    def wait_for(self, workers: int) -> None:
        from distributed import Client

        with Client(self.address, timeout=60, set_as_default=False) as client:
            client.wait_for_workers(workers, timeout=60)

    def kill_at_work(self) -> None:
        """Freeze the first worker, and kill it once the scheduler has given it a task."""
        self.workers[0].send_signal(signal.SIGSTOP)
        Thread(target=self._kill_with_a_task, daemon=True).start()

    def _kill_with_a_task(self) -> None:
        from distributed import Client

        def busy(dask_scheduler: object) -> dict[int, int]:
            states = dask_scheduler.workers.values()  # type: ignore[attr-defined]
            return {state.pid: len(state.processing) for state in states}

        with Client(self.address, timeout=60, set_as_default=False) as client:
            until(lambda: client.run_on_scheduler(busy).get(self.workers[0].pid))
        self.workers[0].kill()

    def tasks(self) -> list[str]:
        """The names of what the scheduler still knows of."""
        from distributed import Client

        def names(dask_scheduler: object) -> list[str]:
            return sorted(str(key) for key in dask_scheduler.tasks)  # type: ignore[attr-defined]

        with Client(self.address, timeout=60, set_as_default=False) as client:
            found: list[str] = client.run_on_scheduler(names)
            return found


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind((HERE, 0))
        port: int = probe.getsockname()[1]
        return port


@pytest.fixture
def machines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., Machines]]:
    """Starts a scheduler and as many workers as asked for; all are gone after the test.

    A coach waits for some seconds; a test waits for as long as a busy machine needs.
    """
    monkeypatch.setattr(cluster, "ANSWER_S", 120)
    with ExitStack() as stack:

        def start(workers: int, **settings: str) -> Machines:
            home = tmp_path / "machines"
            home.mkdir()
            started = Machines(stack, home, **settings)
            for _ in range(workers):
                started.add_worker()
            if workers:
                started.wait_for(workers)
            return started

        yield start


# --- the practice -----------------------------------------------------------------------------


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, dict[str, bytes]]]:
    """A practice, and its site as this computer builds it at a moment that stays."""
    home = tmp_path_factory.mktemp("practice")
    practice.write(home / "clients", COUNT, weeks=8, logged=20)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(home / "user"))
        patch.setattr(world, "now_utc", lambda: datetime(2027, 2, 10, 8, tzinfo=UTC))
        assert build_site(home / "clients", home / "public", (), DAY, remembers=False).done
        yield home / "clients", tree(home / "public")


def tree(out: Path) -> dict[str, bytes]:
    return {p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*") if p.is_file()}


def pages(out: Path) -> dict[str, bytes]:
    return {name: page for name, page in tree(out).items() if name.endswith("/index.html")}


def build_there(
    clients: Path,
    out: Path,
    address: str,
    progress: Callable[[int, int, str], None],
    ahead: int = spread.ELSEWHERE,
) -> list[str]:
    """Build on a cluster, ``ahead`` tasks on their way; gives back what the coach is told."""
    said: list[str] = []
    with pytest.MonkeyPatch.context() as patch, cluster.connected(address, said.append) as executor:
        patch.setattr(spread, "CHUNK", CHUNK)
        patch.setattr(spread, "ELSEWHERE", ahead)
        done = build_site(clients, out, (), DAY, progress, executor=executor, remembers=False)
    assert done.done, [str(p) for p in done.problems]
    return said


class After:
    """Does something when so many clients are done, once, and notes that others were not."""

    def __init__(self, count: int, action: Callable[[], None]) -> None:
        self.count, self.action = count, action
        self.left = 0

    def __call__(self, done: int, total: int, what: str) -> None:
        if done >= self.count and not self.left:
            self.left = total - done
            self.action()


# --- the same bytes ---------------------------------------------------------------------------


def test_two_workers_build_the_same_site_and_keep_nothing_of_it(built, machines, tmp_path):
    clients, site = built
    two = machines(2)
    names: list[str] = []
    watch = After(2, lambda: names.extend(two.tasks()))

    said = build_there(clients, tmp_path / "public", two.address, watch)

    assert tree(tmp_path / "public") == site
    assert said == []
    assert names and all(re.fullmatch(r"build_clients-[0-9a-f-]{36}", name) for name in names)
    assert two.tasks() == []


def test_a_worker_killed_at_its_work_costs_time_and_nothing_else(built, machines, tmp_path):
    clients, site = built
    two = machines(2)
    watch = After(1, two.kill_at_work)

    said = build_there(clients, tmp_path / "public", two.address, watch)

    assert two.workers[0].wait() == -9
    assert tree(tmp_path / "public") == site
    assert said == [], "the other worker did it all"


@by_night
def test_a_worker_that_joins_later_was_not_compared_and_gets_nothing(built, machines, tmp_path):
    """A careless one, which would end at its first task, as it has nothing of sitegen, and would
    write the task into its log."""
    clients, site = built
    one = machines(1)
    (tmp_path / "other" / "sitegen").mkdir(parents=True)
    (tmp_path / "other" / "sitegen" / "__init__.py").touch()

    def join() -> None:
        one.add_worker(tmp_path / "other")
        one.wait_for(2)

    watch = After(1 + CHUNK, join)  # most tasks are sent after it has joined
    said = build_there(clients, tmp_path / "public", one.address, watch, ahead=2)

    assert watch.left >= COUNT // 2
    assert tree(tmp_path / "public") == site
    assert said == []
    assert one.workers[1].poll() is None, "it waits for the next build"
    # A closed connection may leave a traceback of the engine's own there; a task, never.
    told = (one.home / "log.txt").read_text()
    assert "deserialize" not in told and "No module named 'sitegen" not in told


@by_night
def test_a_task_that_the_cluster_gives_up_is_built_here(built, machines, tmp_path):
    """Here a task counts as deadly as soon as one worker has died of it."""
    clients, site = built
    two = machines(2, DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES="0")
    watch = After(1, two.kill_at_work)

    said = build_there(clients, tmp_path / "public", two.address, watch)

    assert tree(tmp_path / "public") == site
    assert len(said) == 1 and GIVEN_UP.fullmatch(said[0])


@by_night
@pytest.mark.parametrize("who", ["the scheduler", "all workers"])
def test_with_the_cluster_gone_this_computer_goes_on(built, machines, tmp_path, monkeypatch, who):
    clients, site = built
    monkeypatch.setattr(cluster, "ALONE", 1)
    monkeypatch.setattr(cluster, "LOOK", 0.5)
    monkeypatch.setattr(cluster, "ANSWER_S", 3)
    one = machines(1)
    gone = one.scheduler if who == "the scheduler" else one.workers[0]
    watch = After(1 + CHUNK, gone.kill)  # most tasks are still to be sent

    said = build_there(clients, tmp_path / "public", one.address, watch, ahead=2)

    assert watch.left >= COUNT // 2
    assert tree(tmp_path / "public") == site
    assert len(said) == 1 and GIVEN_UP.fullmatch(said[0])


def test_nobody_waits_for_a_scheduler_that_does_not_answer(monkeypatch):
    """A task that was sent as the scheduler went is never answered, and never said to be lost."""

    class Gone:
        def get_executor(self, **about: object) -> Gone:
            return self

        def submit(self, function: Callable[..., object], *given: object) -> Future[object]:
            return Future()

        def shutdown(self, wait: bool) -> None:
            raise OSError

        def nthreads(self) -> dict[str, int]:
            raise OSError

    monkeypatch.setattr(cluster, "ALONE", 0.02)
    monkeypatch.setattr(cluster, "LOOK", 0.01)
    executor = cluster.Watched(Gone(), ("tcp://127.0.0.1:1",))
    sent = [executor.submit(len, "abc") for _ in range(3)]

    for future in sent:
        with pytest.raises(CancelledError):
            future.result(60)
    until(lambda: executor.lost == 3)
    assert all(future.cancelled() for future in sent)
    executor.shutdown()


# --- why not ----------------------------------------------------------------------------------


def refused(clients: Path, out: Path, address: str) -> str:
    """What `sitegen build` says when it does not build there: a sentence, and nothing written."""
    before = tree(clients)
    words = ["build", "--clients", str(clients), "--out", str(out), "--cluster", address]
    result: Result = CliRunner().invoke(main, words)

    assert result.exit_code == 1, result.output
    assert isinstance(result.exception, SystemExit) and "Traceback" not in result.output
    assert result.output.startswith("sitegen: ") and result.output.count("\n") == 1
    assert not out.exists() and tree(clients) == before
    return result.output.strip()


def test_an_address_that_nobody_answers(built, tmp_path, monkeypatch):
    assert cluster.ANSWER_S <= 10, "seconds that a coach waits"
    monkeypatch.setattr(cluster, "ANSWER_S", 2)
    address = f"tcp://{HERE}:{free_port()}"

    told = refused(built[0], tmp_path / "public", address)

    assert told.startswith(f"sitegen: no cluster answers at {address} (")


@pytest.mark.parametrize(
    ("address", "why"),
    [
        ("nonsense", "missing port number"),
        ("carrier-pigeon://desk:8786", "unknown address scheme"),
        ("tls://desk:8786", "no certificate"),
    ],
)
def test_an_address_that_is_none(built, tmp_path, address, why):
    assert why in refused(built[0], tmp_path / "public", address)


def test_who_answers_there_is_no_scheduler(built, tmp_path, monkeypatch):
    """A server that sends text, as a web server does."""
    monkeypatch.setattr(cluster, "ANSWER_S", 2)
    with socket.create_server((HERE, 0)) as server:

        def greet() -> None:
            with server.accept()[0] as caller:
                caller.sendall(b"HTTP/1.1 400 Bad Request\r\n\r\n")

        Thread(target=greet, daemon=True).start()
        address = f"tcp://{HERE}:{server.getsockname()[1]}"
        assert "no cluster answers at" in refused(built[0], tmp_path / "public", address)


def test_a_cluster_without_a_worker_or_with_one_of_another_version(built, machines, tmp_path):
    one = machines(0)

    told = refused(built[0], tmp_path / "public", one.address)
    assert told == f"sitegen: no worker has joined the cluster at {one.address} yet"

    other = tmp_path / "other"
    (other / "sitegen").mkdir(parents=True)
    (other / "sitegen" / "__init__.py").write_text('__version__ = "9.9"\n')
    (other / "sitegen-9.9.dist-info").mkdir()
    metadata = "Metadata-Version: 2.1\nName: sitegen\nVersion: 9.9\n"
    (other / "sitegen-9.9.dist-info" / "METADATA").write_text(metadata)
    one.add_worker(other)
    one.wait_for(1)

    told = refused(built[0], tmp_path / "public", one.address)
    assert re.search(r"Tcp://127\.0\.0\.1:\d+: sitegen is 9\.9 there, \S+ here\. Install", told)


def test_a_worker_of_the_same_version_with_other_code(built, machines, tmp_path):
    one = machines(1)
    shutil.copytree(ROOT / "sitegen", tmp_path / "other" / "sitegen")
    with (tmp_path / "other" / "sitegen" / "rules" / "cadence.py").open("a") as file:
        file.write("# mended by hand\n")
    one.add_worker(tmp_path / "other")
    one.wait_for(2)

    told = refused(built[0], tmp_path / "public", one.address)

    assert "the code of sitegen is another" in told


def test_differences_are_told_in_words_and_not_all():
    here = {"python": "3.11.7", "sitegen": "0.1.0", "jinja2": "3.1.6", "icalendar": None, "a": "1"}

    assert same_tool.unlike(here, dict(here)) == ""
    assert same_tool.unlike(here, here | {"python": "3.12.1"}) == (
        "python is 3.12.1 there, 3.11.7 here"
    )
    assert same_tool.unlike(here, {"sitegen": "0.1.0"}) == (
        "python is missing there, 3.11.7 here; jinja2 is missing there, 3.1.6 here; "
        "a is missing there, 1 here"
    )
    assert same_tool.unlike(here, {}).endswith("; and 1 more")


def test_without_the_engine_the_coach_is_told_what_to_install(built, tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)

    told = refused(built[0], tmp_path / "public", "tls://desk:8786")

    assert told.endswith("write: pip install 'sitegen[cluster]'")


# --- who may listen ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("address", "is_here"),
    [
        ("tcp://127.0.0.1:8786", True),
        ("localhost:8786", True),
        ("tcp://192.0.2.7:8786", False),  # RFC 5737: an address for documentation, nobody's own
        ("tcp://[2001:db8::7]:8786", False),  # RFC 3849, the same
    ],
)
def test_an_address_of_this_computer_is_known(address, is_here):
    assert cluster.is_here(address) is is_here


@pytest.mark.parametrize(
    ("addresses", "warned_of"),
    [
        (["tcp://127.0.0.1:8786", "tcp://127.0.0.1:4000"], None),
        (["tls://192.0.2.7:8786", "tls://192.0.2.8:4000"], None),
        (["tcp://192.0.2.7:8786", "tcp://192.0.2.8:4000"], "tcp://192.0.2.7:8786"),
        (["tcp://127.0.0.1:8786", "tcp://192.0.2.8:4000"], "tcp://192.0.2.8:4000"),
    ],
    ids=["all on this machine", "encrypted", "another machine", "a worker on another machine"],
)
def test_the_coach_is_warned_once_where_others_can_listen(addresses, warned_of):
    said: list[str] = []
    cluster._warn_of_listeners(addresses, said.append)

    assert len(said) == (warned_of is not None)
    assert all(f"files go to {warned_of} unencrypted" in told for told in said)


# --- what the docs say ------------------------------------------------------------------------


@by_night
def test_the_commands_of_the_docs_build_over_tls(tmp_path):
    """The certificate, the settings, the scheduler, the workers, the build: as they stand there."""
    practice.write(tmp_path / "clients", FEW, weeks=8, logged=20)
    text = DOCS.read_text(encoding="utf-8").split("## Many machines")[1].split("\n## ")[0]
    home, port = tmp_path / "home", free_port()
    home.mkdir()
    text = text.replace("/home/ines/.config/dask", str(home)).replace("8786", str(port))
    text = text.replace("tls://desk:", f"tls://{HERE}:")
    lines = [line[4:].split("  #")[0].strip() for line in text.splitlines() if line[:4] == "    "]
    openssl, scheduler, worker, build = (
        next(line for line in lines if line.startswith(begin))
        for begin in ("openssl ", "dask scheduler ", "dask worker ", "sitegen build ")
    )
    settings = re.search(r"^    distributed:\n(?:      .*\n)+", text, re.MULTILINE)
    assert settings
    (home / "tls.yaml").write_text("".join(f"{x[4:]}\n" for x in settings[0].splitlines()))
    env = {**os.environ, "PYTHONPATH": str(ROOT), "DASK_CONFIG": str(home)}
    subprocess.run(shlex.split(openssl), cwd=home, check=True, capture_output=True)
    with ExitStack() as stack:
        for command in (f"{scheduler} --host {HERE}", worker):
            log = stack.enter_context((home / "log.txt").open("ab"))
            words = [sys.executable, "-m", *shlex.split(command)]
            process = subprocess.Popen(words, cwd=home, env=env, stdout=log, stderr=log)
            stack.callback(process.wait)
            stack.callback(process.terminate)
        words = [sys.executable, "-m", *shlex.split(build), "--clients", str(tmp_path / "clients")]
        words += ["--out", str(tmp_path / "public"), "--as-of", DAY.isoformat()]
        until(lambda: "Registered to" in (home / "log.txt").read_text())
        done = subprocess.run(words, env=env, capture_output=True, text=True, check=False)

    quiet = (": warning: ", other_day(DAY, world.now_utc().astimezone().date()))
    told = [x for x in done.stderr.splitlines() if not any(known in x for known in quiet)]
    assert (done.returncode, told) == (0, [])  # no word of a line that others can read
    assert done.stdout.startswith(f"{FEW} clients built into ")
    there = pages(tmp_path / "public")  # a feed tells the moment of its build as well
    assert len(there) == FEW + 1  # and the one that keeps feeds/ from being listed
    assert build_site(tmp_path / "clients", tmp_path / "home" / "public", (), DAY).done
    assert pages(tmp_path / "home" / "public") == there
