"""The line to a host: one open store, tried again with growing pauses when it breaks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import PurePosixPath
from typing import TypeVar

from sitegen.publish.fault import AGAIN, Chance, FaultKind, PublishError, delay_s, is_slip, kind_of
from sitegen.publish.manifest import digest_of
from sitegen.publish.store import HostFile, Store

T = TypeVar("T")


class RetryingConnection:
    """Carries out work on a host's store; opens it when needed and anew after a cut.

    Args:
        connect: Opens the store.
        retries: How often a piece of work is tried again; 0 tries once.
        sleep: Waits that many seconds.
        chance: A number between 0 and 1, to spread the pauses.
    """

    def __init__(
        self,
        connect: Callable[[], Store],
        *,
        retries: int,
        sleep: Callable[[float], None],
        chance: Chance,
    ) -> None:
        self._connect = connect
        self._store: Store | None = None
        self._half = ""  # a file on its way, under the name that it has until it is whole
        self.retries = retries
        self.sleep = sleep
        self.chance = chance

    def do(self, work: Callable[[Store], T]) -> T:
        """Carry out ``work``, which must do no harm when it is done twice.

        Raises:
            PublishError: It failed for good, or as often as it was worth trying; or the store
                refuses the target.
            Exception: A programming error of this package, as it is.
        """
        attempt = 0
        while True:
            try:
                if self._store is None:
                    self._store = self._connect()
                return work(self._store)
            except Exception as error:
                if is_slip(error):
                    raise
                kind = kind_of(error)
                if kind in AGAIN:
                    self.hang_up()
                if kind not in AGAIN or attempt >= self.retries:
                    if isinstance(error, PublishError):
                        raise
                    raise PublishError(kind, str(error) or type(error).__name__) from error
            self.sleep(delay_s(attempt, self.chance()))
            attempt += 1

    def top(self) -> tuple[Mapping[str, HostFile], frozenset[str]]:
        return self.do(lambda store: store.top())

    def files(self) -> Mapping[str, HostFile]:
        return self.do(lambda store: store.files())

    def read(self, path: str) -> bytes | None:
        return self.do(lambda store: store.read(path))

    def put(self, path: str, data: bytes, part: str) -> None:
        """Put a whole file; ``part`` is the file name to write it under until it is whole."""
        self._half = str(PurePosixPath(path).with_name(part))
        self.do(lambda store: put(store, path, data, self._half))
        self._half = ""

    def remove(self, path: str) -> None:
        self.do(lambda store: store.remove(path))

    def break_off(self) -> None:
        """After an interrupt: take away the half file, over a line of its own, if that goes."""
        self.hang_up()  # an answer may still be on its way on the old one
        self.retries = 0
        half, self._half = self._half, ""
        if half:
            with suppress(PublishError):
                self.do(lambda store: _remove_half(store, half))

    def hang_up(self) -> None:
        store, self._store = self._store, None
        if store is not None:
            try:
                store.close()
            except Exception as error:  # the line may be dead already: nothing is left to close
                if is_slip(error):
                    raise


def _remove_half(store: Store, half: str) -> None:
    store.remove(half)
    for folder in PurePosixPath(half).parents:
        if str(folder) != ".":
            store.remove_folder(str(folder))  # if it was made for this file


def put(store: Store, path: str, data: bytes, part: str) -> None:
    """Put a whole file on a host and read it back before it takes the old one's place.

    Args:
        part: The path to write it under until it is whole. Not used where the host itself swaps
            files in one step.

    Raises:
        PublishError: What came back differs from what was sent, or somebody took it away.
    """
    written = path if store.replaces_whole else part
    store.write(written, data)
    back = store.read(written)
    if back is None or digest_of(path, back) != digest_of(path, data):
        raise PublishError(FaultKind.ALTERED, path)
    if written != path:
        try:
            store.rename(written, path)
        except Exception as error:
            if kind_of(error) is not FaultKind.MISSING:
                raise
            # Another publish, as it began, took it for the half file of one that was cut off.
            raise PublishError(FaultKind.ALTERED, path) from error
