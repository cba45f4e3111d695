"""Build on a cluster: an address becomes an executor, by the engine dask.distributed.

The engine sends tasks, and sends them again where a worker is lost. Here stands what it can't know:
who may read what is sent; and that every worker must have this same tool (`same_tool`).
"""

from __future__ import annotations

import asyncio
import logging
import socket
import warnings
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager, suppress
from threading import Event, Thread
from typing import TYPE_CHECKING, Any

from sitegen.site.same_tool import workers_alike
from sitegen.world import Refused

if TYPE_CHECKING:
    from distributed import Client

ANSWER_S = 8  # seconds within which a scheduler has to answer
ALONE = 60  # seconds without a single worker, after which the rest is built here
LOOK = 5  # seconds between two looks at that
SAFE = ("tls", "wss")


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
        workers = workers_alike(client, address)
        _warn_of_listeners([client.scheduler.address, *workers], say)
        with Watched(client, workers) as executor:
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
        (await connect(address, timeout=ANSWER_S, **way)).abort()

    try:
        asyncio.run(knock())
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of versions, which are compared below
            return Client(address, timeout=ANSWER_S, set_as_default=False, name="sitegen")
    except Exception as error:  # of the address's form, the network, TLS, another protocol
        raise Refused(f"no cluster answers at {address} ({_why(error, address)})") from None


def _why(error: Exception, address: str) -> str:
    if isinstance(error, (MemoryError, OverflowError)):  # bytes taken for a length
        return "what answers there is not a scheduler"
    if isinstance(error, TypeError) and address.startswith(SAFE):
        return "this computer has no certificate for it; docs/building.md says how to set it up"
    return (str(error) or type(error).__name__).splitlines()[0][:200]


class Watched(Executor):
    """The engine's executor, on workers that were compared; one that joins later gets no task.

    Counts what is lost, and gives up when all these workers are gone.
    """

    def __init__(self, client: Client, workers: tuple[str, ...]) -> None:
        self._client, self._workers = client, frozenset(workers)
        # Not pure: the cluster keeps no result under a name made of a client's data.
        self._engine = client.get_executor(pure=False, workers=workers)
        self._is_over = Event()
        self._waiting: set[Future[Any]] = set()
        self.lost = 0
        Thread(target=self._watch, daemon=True).start()

    def submit(self, function: Callable[..., Any], /, *given: Any, **named: Any) -> Future[Any]:
        try:
            future: Future[Any] = self._engine.submit(function, *given, **named)
        except Exception:
            self.lost += 1
            raise
        self._waiting.add(future)
        future.add_done_callback(self._note)
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Ends at once: whoever wants results has them by now."""
        self._is_over.set()
        with suppress(Exception):  # the scheduler may be gone
            self._engine.shutdown(wait=False)

    def _note(self, future: Future[Any]) -> None:
        self._waiting.discard(future)
        if not self._is_over.is_set():
            self.lost += future.cancelled() or future.exception() is not None

    def _watch(self) -> None:
        alone = 0.0
        while not self._is_over.wait(LOOK):
            there = False
            with suppress(Exception):  # the scheduler may be gone, too
                there = bool(self._workers & set(self._client.nthreads()))
            alone = 0.0 if there else alone + LOOK
            if alone >= ALONE:
                self._give_up()

    def _give_up(self) -> None:
        """Let nobody wait any longer. The engine itself may wait for an answer to a cancelling."""
        for future in tuple(self._waiting):
            Thread(target=future.cancel, daemon=True).start()


# Who may listen -----------------------------------------------------------------------------


def _warn_of_listeners(addresses: Iterable[str], say: Callable[[str], None]) -> None:
    open_to = [a for a in addresses if a.split("://")[0] not in SAFE and not is_here(a)]
    if open_to:
        say(
            f"private links and clients' files go to {open_to[0]} unencrypted; whoever listens "
            "there can read them; docs/building.md says how to use tls://"
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
