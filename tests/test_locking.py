"""A lock is held by one process at a time and goes with it, by ``flock`` and by `filelock`."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from sitegen.locking import locked

HOLDER = """
import sys
from pathlib import Path
from sitegen.locking import locked
with locked(Path(sys.argv[1]), by_library=sys.argv[2] == "True"):
    print("held", flush=True)
    sys.stdin.read()
"""
BOTH = pytest.mark.parametrize("by_library", [False, True])


@pytest.fixture(autouse=True)
def _own_temporary_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "temporary").mkdir()
    monkeypatch.setenv("TMPDIR", str(tmp_path / "temporary"))
    monkeypatch.setattr("tempfile.tempdir", None)


@contextmanager
def holder(path: Path, by_library: bool) -> Iterator[subprocess.Popen[str]]:
    """Another process that holds the lock until its input ends."""
    words = [sys.executable, "-c", HOLDER, str(path), str(by_library)]
    with subprocess.Popen(
        words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "held\n"
        yield process
        process.kill()


@BOTH
@pytest.mark.parametrize("kind", ["file", "folder"])
def test_what_another_process_holds_is_waited_for(
    tmp_path: Path, by_library: bool, kind: str
) -> None:
    path = tmp_path / kind
    path.mkdir() if kind == "folder" else path.touch()
    with holder(path, by_library) as process:
        with pytest.raises(TimeoutError), locked(path, 0, by_library=by_library):
            pytest.fail("two hold it")
        assert process.stdin is not None
        process.stdin.close()
        with locked(path, by_library=by_library):  # waits until the other has let go
            pass


@BOTH
def test_a_killed_process_holds_nothing(tmp_path: Path, by_library: bool) -> None:
    with holder(tmp_path, by_library) as process:
        process.kill()
        process.wait()
        with locked(tmp_path, 0, by_library=by_library):
            pass


@BOTH
def test_an_error_within_lets_go(tmp_path: Path, by_library: bool) -> None:
    for _ in range(2):
        with pytest.raises(KeyError), locked(tmp_path, 0, by_library=by_library):
            raise KeyError
    with pytest.raises(TimeoutError), locked(tmp_path, 0, by_library=by_library):
        raise TimeoutError  # of what is done within, and no matter of the lock


@BOTH
def test_what_is_not_there_has_no_lock(tmp_path: Path, by_library: bool) -> None:
    with pytest.raises(FileNotFoundError), locked(tmp_path / "gone", by_library=by_library):
        pytest.fail("there is nothing to lock")


def test_nothing_is_written_for_a_lock(tmp_path: Path) -> None:
    before = sorted(tmp_path.rglob("*"))
    with locked(tmp_path, by_library=False):
        assert sorted(tmp_path.rglob("*")) == before
