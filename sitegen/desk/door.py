"""Who may come in: a one-time token for the address, exchanged for one that each request carries.

No cookie: another port of 127.0.0.1 would get it too. Pure: chance and the clock are handed in.
"""

from __future__ import annotations

import hmac
from collections.abc import Callable

ONCE_SECONDS = 30.0
TOKEN_BYTES = 32


class Door:
    """Holds the tokens of one run of the desk."""

    def __init__(self, draw: Callable[[int], bytes], clock: Callable[[], float]) -> None:
        """Open for nobody.

        Args:
            draw: Gives so many bytes that nobody can guess.
            clock: Seconds that never go back.
        """
        self._draw, self._clock = draw, clock
        self._once: dict[str, float] = {}  # when it ends, by token
        self._inside: list[str] = []

    def new_once(self) -> str:
        """A token for one entry, within `ONCE_SECONDS`."""
        token = self._draw(TOKEN_BYTES).hex()
        self._once[token] = self._clock() + ONCE_SECONDS
        return token

    def enter(self, once: str) -> str | None:
        """The token for each request, for one that was given out; None where it was not, was used
        or is too old."""
        now = self._clock()
        self._once = {token: end for token, end in self._once.items() if end > now}
        sent = once.encode("utf-8", "replace")  # a header may hold any bytes
        for token in self._once:
            if hmac.compare_digest(token.encode(), sent):
                del self._once[token]
                self._inside.append(self._draw(TOKEN_BYTES).hex())
                return self._inside[-1]
        return None

    def knows(self, token: str) -> bool:
        """Whether a request with this token comes from a page that was let in."""
        sent = token.encode("utf-8", "replace")  # a header may hold any bytes
        known = [hmac.compare_digest(one.encode(), sent) for one in self._inside]
        return any(known)
