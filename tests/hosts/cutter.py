"""A line to a server that breaks: it carries so many bytes from the client, then nothing more."""

from __future__ import annotations

import contextlib
import socket
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field

from hosts import LOOPBACK


@dataclass
class Cutter:
    """Carries at most ``allowance`` bytes to the server, over all connections. None: no limit.

    With ``heals``, the line works again once it was cut.
    """

    server_port: int
    port: int = 0
    allowance: int | None = None
    heals: bool = False
    carried: int = 0
    cuts: int = 0
    hold: bool = False  # take all in, and pass nothing on
    _pairs: list[tuple[socket.socket, socket.socket]] = field(default_factory=list)

    def allow(self, allowance: int | None, *, heals: bool = False) -> None:
        self.allowance, self.heals, self.carried, self.cuts = allowance, heals, 0, 0

    def carry(self, client: socket.socket) -> None:
        try:
            server = socket.create_connection((LOOPBACK, self.server_port), 5)
        except OSError:
            client.close()
            return
        for end in (client, server):
            end.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self._pairs.append((client, server))
        threading.Thread(target=self._back, args=(server, client), daemon=True).start()
        with contextlib.suppress(OSError):
            while data := client.recv(4096):
                if self.hold:
                    continue
                if self.allowance is not None and self.carried + len(data) > self.allowance:
                    server.sendall(data[: max(0, self.allowance - self.carried)])
                    self.carried = self.allowance
                    self.cut()
                    return
                self.carried += len(data)
                server.sendall(data)
        for end in (client, server):
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
            end.close()

    def _back(self, server: socket.socket, client: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while data := server.recv(65536):
                client.sendall(data)
        with contextlib.suppress(OSError):
            client.shutdown(socket.SHUT_RDWR)

    def cut(self) -> None:
        self.cuts += 1
        if self.heals:
            self.allowance = None
        pairs, self._pairs = self._pairs, []
        for pair in pairs:
            for end in pair:
                with contextlib.suppress(OSError):
                    end.shutdown(socket.SHUT_RDWR)
                end.close()


@contextlib.contextmanager
def breaking_line(server_port: int) -> Iterator[Cutter]:
    listener = socket.create_server((LOOPBACK, 0))
    cutter = Cutter(server_port, listener.getsockname()[1])

    def accept() -> None:
        with contextlib.suppress(OSError):
            while True:
                client, _ = listener.accept()
                threading.Thread(target=cutter.carry, args=(client,), daemon=True).start()

    threading.Thread(target=accept, daemon=True).start()
    try:
        yield cutter
    finally:
        with contextlib.suppress(OSError):
            listener.shutdown(socket.SHUT_RDWR)
        listener.close()
        cutter.cut()
