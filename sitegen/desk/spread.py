"""Build many clients: here, in processes of this machine, or on whatever executor is given.

An executor is anything with the interface of `concurrent.futures`. Tasks are big and carry all
they need, so processes may be forked, started afresh (macOS, Windows) or run elsewhere.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor, Executor, Future
from contextlib import AbstractContextManager, nullcontext
from itertools import chain, islice

from sitegen.build import Done, Job, Kit, build_clients
from sitegen.desk.remember import processors

POOL_FROM = 16  # clients: about half a second of work, of which starting processes takes a tenth
CHUNK = 16  # clients a task: long beside what sending it costs, short beside the whole
AHEAD = 2  # tasks for each process that wait, so that none stands idle
ELSEWHERE = 32  # tasks on the way where it is not known how many processes there are


def build_all(kit: Kit, jobs: Iterator[Job], executor: Executor | None) -> Iterator[Done]:
    """Build clients as they come; the order of what comes back may be another."""
    first = list(islice(jobs, 1))
    if not first:
        return
    yield from build_clients(kit, first)  # compiles the templates, for all the others
    some = list(islice(jobs, POOL_FROM))
    jobs = chain(some, jobs)
    if executor is None and (len(some) < POOL_FROM or processors() < 2):
        while chunk := list(islice(jobs, CHUNK)):
            yield from build_clients(kit, chunk)
        return
    owned: AbstractContextManager[Executor] = _pool() if executor is None else nullcontext(executor)
    with owned as chosen:
        try:
            yield from _spread(kit, jobs, chosen, ELSEWHERE if executor else AHEAD * processors())
        except BaseException:
            if executor is None:
                chosen.shutdown(wait=False, cancel_futures=True)
            raise


def _spread(kit: Kit, jobs: Iterator[Job], executor: Executor, most: int) -> Iterator[Done]:
    """Keep ``most`` tasks on the way, and give back each as it is done, the oldest first."""
    waiting: deque[tuple[Future[list[Done]] | None, list[Job]]] = deque()

    def send() -> None:
        if chunk := list(islice(jobs, CHUNK)):
            try:
                waiting.append((executor.submit(build_clients, kit, chunk), chunk))
            except BrokenExecutor:
                waiting.append((None, chunk))

    for _ in range(most):
        send()
    while waiting:
        future, chunk = waiting.popleft()
        try:
            done = None if future is None else future.result()
        except BrokenExecutor:  # a process was killed: what it had is built here
            done = None
        send()
        yield from build_clients(kit, chunk) if done is None else done


def _pool() -> Executor:
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # A fork copies only the thread that asks for it, and locks that others held stay locked.
    way = get_context("spawn") if threading.active_count() > 1 else None
    return ProcessPoolExecutor(processors(), mp_context=way)
