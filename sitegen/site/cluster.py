"""Build on a cluster: an address becomes an executor, by the engine dask.distributed.

The engine sends tasks, and sends them again where a worker is lost. Here stands what it can't know:
that every worker must have this same tool, and who may read what is sent.
"""

from __future__ import annotations

import asyncio
import logging
import re
import socket
import warnings
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import Executor, Future
from contextlib import contextmanager, suppress
from functools import cache
from importlib import metadata
from pathlib import Path
from threading import Event, Thread
from typing import TYPE_CHECKING, Any

import sitegen
from sitegen.site.memory import hash_of
from sitegen.world import Refused

if TYPE_CHECKING:
    from distributed import Client

ANSWER = 8  # seconds within which a scheduler has to answer
ALONE = 60  # seconds without a single worker, after which the rest is built here
LOOK = 5  # seconds between two looks at that
CODE = "the code of sitegen"
ENGINE = ("dask", "distributed", "cloudpickle", "msgpack")  # who has to understand each other
SAFE = ("tls", "wss")
PACKAGE = Path(sitegen.__file__).resolve().parent


@contextmanager
def connected(address: str, say: Callable[[str], None]) -> Iterator[Executor]:
    """An executor that builds on the cluster whose scheduler has this address.

    Args:
        address: Such as ``tls://scheduler:8786``; without a scheme it is ``tcp``.
        say: Told in a sentence what the coach has to know beside the build.

    Raises:
        Refused: Nobody answers there, or who does has another tool. Nothing was sent.
    """
    client = _client(address)
    try:
        workers = _same_tool(client, address)
        _warn_of_listeners([client.scheduler.address, *workers], say)
        with _Watched(client, workers) as executor:
            yield executor
        if executor.lost:
            count = f"{executor.lost} task" + ("s" if executor.lost > 1 else "")
            say(f"{count} could not be done on the cluster; built on this computer instead")
    finally:
        client.close(timeout=LOOK)


def _client(address: str) -> Client:
    try:
        from distributed import Client, Security
        from distributed.comm import connect
    except ImportError:
        wants = "building on a cluster needs more than is installed"
        raise Refused(f"{wants}; write: pip install 'sitegen[cluster]'") from None
    for name in [n for n in logging.root.manager.loggerDict if n.startswith("distributed")]:
        logging.getLogger(name).setLevel(logging.CRITICAL)  # a coach is told in sentences, below

    async def knock() -> None:
        """A client that fails to connect can't always be closed; a bare connection can."""
        way = Security().get_connection_args("client")
        (await connect(address, timeout=ANSWER, **way)).abort()

    try:
        asyncio.run(knock())
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of versions, which are compared below
            return Client(address, timeout=ANSWER, set_as_default=False, name="sitegen")
    except Exception as error:  # of the address's form, the network, TLS, another protocol
        raise Refused(f"no cluster answers at {address} ({_why(error, address)})") from None


def _why(error: Exception, address: str) -> str:
    if isinstance(error, (MemoryError, OverflowError)):  # bytes taken for a length
        return "what answers there is not a scheduler"
    if isinstance(error, TypeError) and address.startswith(SAFE):
        return "this computer has no certificate for it; docs/speed.md says how to set it up"
    return (str(error) or type(error).__name__).splitlines()[0][:200]


class _Watched(Executor):
    """The engine's executor, on workers that were compared; one that joins later gets no task.

    Counts what is lost, and gives up when all these workers are gone.
    """

    def __init__(self, client: Client, workers: tuple[str, ...]) -> None:
        self._client, self._workers = client, frozenset(workers)
        # Not pure: the cluster keeps no result under a name made of a client's data.
        self._engine = client.get_executor(pure=False, workers=workers)
        self._is_over = Event()
        self.lost = 0
        Thread(target=self._watch, daemon=True).start()

    def submit(self, function: Callable[..., Any], /, *given: Any, **named: Any) -> Future[Any]:
        try:
            future: Future[Any] = self._engine.submit(function, *given, **named)
        except Exception:
            self.lost += 1
            raise
        future.add_done_callback(self._note)
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Ends at once: whoever wants results has them by now."""
        self._is_over.set()
        with suppress(Exception):  # the scheduler may be gone
            self._engine.shutdown(wait=False)

    def _note(self, future: Future[Any]) -> None:
        if not self._is_over.is_set():
            self.lost += future.cancelled() or future.exception() is not None

    def _watch(self) -> None:
        alone = 0
        while not self._is_over.wait(LOOK):
            with suppress(Exception):
                alone = 0 if self._workers & set(self._client.nthreads()) else alone + LOOK
            if alone >= ALONE:
                self._engine.shutdown(wait=False)


# The same tool ------------------------------------------------------------------------------


def _same_tool(client: Client, address: str) -> tuple[str, ...]:
    """The workers' addresses, if all of them build the same bytes as this computer.

    Versions are asked for first: no code runs there before it is known to be the same.
    """
    names = ("python", "sitegen", *ENGINE)
    found: Any = client.get_versions(packages=names[1:])
    if not found["workers"]:
        raise Refused(f"no worker has joined the cluster at {address} yet")
    ours = {name: found["client"]["packages"][name] for name in names}
    for who, other in {"its scheduler": found["scheduler"], **found["workers"]}.items():
        _compare(address, who, ours, other["packages"])
    states: Any = client.run(state, on_error="return")
    for who, told in states.items():
        _compare(address, who, state(), told if isinstance(told, dict) else {})
    return tuple(found["workers"])


def _compare(address: str, who: str, ours: Mapping[str, Any], theirs: Mapping[str, Any]) -> None:
    if told := differences(ours, theirs):
        raise Refused(
            f"the cluster at {address} would build another site than this computer. "
            f"{who[0].upper()}{who[1:]}: {told}. Install the same there and start it again"
        )


def differences(ours: Mapping[str, Any], theirs: Mapping[str, Any]) -> str:
    """What is not the same there as here, in words; the first three are enough."""
    told = [
        f"{CODE} is another"
        if name == CODE
        else f"{name} is {theirs.get(name) or 'missing'} there, {own or 'missing'} here"
        for name, own in ours.items()
        if theirs.get(name) != own
    ]
    more = [f"and {len(told) - 3} more"] if len(told) > 3 else []
    return "; ".join(told[:3] + more)


@cache
def state() -> dict[str, str]:
    """What else decides about the bytes that this process builds. Runs on each worker.

    Looked at once, with the code loaded: a worker that runs on after an update keeps the old one.
    """
    import sitegen.site.client  # noqa: F401

    code: list[str | bytes] = []
    for file in sorted(PACKAGE.rglob("*.py")):
        code += file.relative_to(PACKAGE).as_posix(), file.read_bytes()
    return {
        CODE: hash_of(*code),
        "zlib": zlib.ZLIB_RUNTIME_VERSION,
        "time zone data": _zone_data(),
        **_packages("sitegen"),
    }


def _packages(name: str) -> dict[str, str]:
    """Versions of all that a package needs, and that these need, as far as they are installed."""
    found: dict[str, str] = {}
    todo, seen = [name], {name}
    while todo:
        with suppress(metadata.PackageNotFoundError):
            package = metadata.distribution(todo.pop())
            found[package.metadata["Name"]] = package.version
            needs = [line for line in package.requires or () if "extra ==" not in line]
            names = {re.split(r"[^\w.-]", line, maxsplit=1)[0] for line in needs} - seen
            todo += sorted(names)
            seen |= names
    return dict(sorted(found.items()))


def _zone_data() -> str:
    """The edition of the system's time zone data; packaged data counts as a package."""
    from zoneinfo import TZPATH

    for folder in TZPATH:
        with suppress(OSError), (Path(folder) / "tzdata.zi").open(encoding="ascii") as file:
            return file.readline().removeprefix("# version").strip()
    return "packaged"


# Who may listen -----------------------------------------------------------------------------


def _warn_of_listeners(addresses: Iterable[str], say: Callable[[str], None]) -> None:
    open_to = [a for a in addresses if a.split("://")[0] not in SAFE and not is_here(a)]
    if open_to:
        say(
            f"private links and clients' files go to {open_to[0]} unencrypted; whoever listens "
            "there can read them; docs/speed.md says how to use tls://"
        )


def is_here(address: str) -> bool:
    """Whether an address is this computer's own: only such a one can be bound."""
    host = address.split("://")[-1].rsplit(":", 1)[0].strip("[]")
    try:
        for family, kind, _, _, place in socket.getaddrinfo(host, 0, type=socket.SOCK_DGRAM):
            with socket.socket(family, kind) as probe:
                probe.bind(place)
    except OSError:
        return False
    return True
