"""Build or check many clients: here, in this machine's processes, or on an executor that is given.

An executor is anything with the interface of `concurrent.futures`. Tasks are big and carry all
they need, so processes may be forked, started afresh (macOS, Windows) or run elsewhere.
"""

from __future__ import annotations

import signal
import threading
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from itertools import chain, islice
from typing import TYPE_CHECKING, TypeVar

from sitegen.practice.opening import ClientFiles
from sitegen.site.checked import Judged
from sitegen.site.client import Done, Job, Kit, build_clients, check_each
from sitegen.site.remember import processors
from sitegen.site.system import give_back_pieces

if TYPE_CHECKING:
    from concurrent.futures import Executor, Future

POOL_FROM = 16  # clients to build: half a second of work, of which starting processes is a tenth
CHUNK = 16  # clients a task: long beside what sending it costs, short beside the whole
CHECK_POOL_FROM, CHECK_CHUNK = 64, 64  # checking is a quarter of the work of building
AHEAD = 2  # tasks for each process that wait, so that none stands idle
ELSEWHERE = 32  # tasks on the way where it is not known how many processes there are

Given = TypeVar("Given")
Result = TypeVar("Result")
Task = Callable[[Kit, list[Given]], list[Result]]


def build_all(kit: Kit, jobs: Iterator[Job], executor: Executor | None) -> Iterator[Done]:
    """Build clients as they come."""
    first = list(islice(jobs, 1))
    yield from build_clients(kit, first) if first else ()  # compiles the templates, for all others
    yield from _in_chunks(build_clients, kit, jobs, executor, POOL_FROM, CHUNK)


def check_spread(kit: Kit, given: Iterator[ClientFiles]) -> Iterator[Judged]:
    """Each client's problems, in the order given."""
    return _in_chunks(check_each, kit, given, None, CHECK_POOL_FROM, CHECK_CHUNK)


def _in_chunks(
    work: Task[Given, Result],
    kit: Kit,
    given: Iterator[Given],
    executor: Executor | None,
    pool_from: int,
    chunk: int,
) -> Iterator[Result]:
    some = list(islice(given, pool_from))
    given = chain(some, given)
    if executor is None and (len(some) < pool_from or processors() < 2):
        while few := list(islice(given, chunk)):
            yield from work(kit, few)
        return
    give_back_pieces()
    owned: AbstractContextManager[Executor] = _pool() if executor is None else nullcontext(executor)
    with owned as chosen:
        most = ELSEWHERE if executor else AHEAD * processors()
        try:
            yield from _spread(work, kit, given, chosen, most, chunk)
        except BaseException:
            if executor is None:
                chosen.shutdown(wait=False, cancel_futures=True)
            raise


def _spread(
    work: Task[Given, Result],
    kit: Kit,
    given: Iterator[Given],
    executor: Executor,
    most: int,
    chunk: int,
) -> Iterator[Result]:
    """Keep ``most`` tasks on the way, and give back each as it is done, the oldest first.

    What fails there, for whatever reason (a process killed, a network down, a machine without
    memory), is done here; a fault of our own fails here as well, and is seen.
    """
    waiting: deque[tuple[Future[list[Result]] | None, list[Given]]] = deque()

    def send() -> None:
        if few := list(islice(given, chunk)):
            try:
                with _unheard():
                    waiting.append((executor.submit(work, kit, few), few))
            except Exception:
                waiting.append((None, few))

    for _ in range(most):
        send()
    while waiting:
        future, few = waiting.popleft()
        try:
            made = None if future is None else future.result()
        except Exception:
            made = None
        future = None  # lets go of the result, wherever it is kept
        send()
        yield from work(kit, few) if made is None else made


def _pool() -> Executor:
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # A fork copies only the thread that asks for it, and locks that others held stay locked.
    way = get_context("spawn") if threading.active_count() > 1 else None
    return ProcessPoolExecutor(processors(), mp_context=way, initializer=_leave_it_to_the_parent)


def _leave_it_to_the_parent() -> None:
    """Let a process of the pool pass over Ctrl-C: whoever began it tells it when to go."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})


@contextmanager
def _unheard() -> Iterator[None]:
    """Hold Ctrl-C back for a moment. A process begun within this does not hear it either, until
    it can pass over it; without that it would tell of an interrupt in the middle of starting."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
