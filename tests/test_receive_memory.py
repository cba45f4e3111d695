"""A message that would take too much memory, or has too many bytes, stops no other."""

from __future__ import annotations

import resource
import sys
from pathlib import Path

import pytest

from receive_case_files import TODAY
from sitegen.checkins import limits
from sitegen.checkins.inbox import MOST_BYTES
from sitegen.checkins.receive import receive
from test_receive_strangers import HEAD, SIGN, clients

__all__ = ["clients"]  # a fixture
pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="/proc says what is taken")
PLAIN = HEAD + b"Content-Type: text/plain\n\n" + SIGN


def test_memory_is_held_within_the_limit_and_free_again_after_it() -> None:
    before = resource.getrlimit(resource.RLIMIT_AS)
    with pytest.raises(MemoryError), limits.limited():
        bytearray(2 * limits.MEMORY)

    assert resource.getrlimit(resource.RLIMIT_AS) == before
    with limits.limited():
        assert len(bytearray(limits.MEMORY // 2))


@pytest.mark.parametrize(
    ("size", "why"),
    [(2**23, "reading it takes over 8 MiB of memory"), (MOST_BYTES, "it has over 32 MiB")],
)
def test_a_large_message_is_kept_aside_with_its_words_searched(
    clients: Path, monkeypatch: pytest.MonkeyPatch, size: int, why: str
) -> None:
    monkeypatch.setattr(limits, "MEMORY", 2**23)
    Path("mail/a.eml").write_bytes(PLAIN + b"0123456789 " * (size // 11 + 2))
    result = receive([Path("mail")], None, clients, TODAY)

    assert "mara: taken, not signed: Tuesday 9 February: ran 31 min" in result.lines
    [problem] = result.problems
    assert (problem.origin.file, problem.code) == ("mail/a.eml", "checkin-unread")
    assert problem.message == f"this message can't be read: {why}"
    assert any("chest pain" in line and "mail/a.eml" in line for line in result.lines)
