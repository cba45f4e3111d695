"""The file of private links on disk: read it, guard it, replace it whole.

World: files, locks and git. What the text means is `sitegen.seal.keys_yaml`.
"""

from __future__ import annotations

import contextlib
import os
import stat
from collections.abc import Callable, Iterator
from pathlib import Path

from sitegen.locking import writing
from sitegen.model.problem import Origin, Problem
from sitegen.seal.keys import Keys, keys_as_written, keys_text
from sitegen.world import flush_folder, replace_file

KEYS_FILE = ".keys.yaml"
HALF_WRITTEN = ".new"  # added to the name while writing; at most one such file is ever left

GIT_IGNORE = ".gitignore"
GIT_SECONDS = 10


def update_keys(
    path: Path, change: Callable[[Keys], Keys | Problem]
) -> tuple[Keys | None, tuple[Problem, ...]]:
    """Read the keys, change them, and write them if that made a difference.

    Holds a lock, so that of two commands at once neither loses the other's new link.

    Args:
        path: The practice's ``.keys.yaml``; it need not be there yet.
        change: Pure; `sitegen.seal.keys.ensure` and its like.

    Returns:
        The keys as they now lie on disk, or None with at least one error; warnings either way.

    Raises:
        OSError: The folder can't be written.
        Refused: Another process writes there and does not end.
    """
    with writing(path.parent):
        with contextlib.suppress(FileNotFoundError):
            _half_written(path).unlink()  # a run was killed here once; its links were never used
        before, problems = load_keys(path)
        if before is None:
            return None, problems
        after = change(before)
        if isinstance(after, Problem):
            return None, (*problems, after)
        if after != before:
            _keep_from_git(path)
            write_keys(path, after)
        return after, problems


def load_keys(path: Path) -> tuple[Keys | None, tuple[Problem, ...]]:
    """The practice's keys, none if there is no file yet; or None and why not.

    Refuses a file that git tracks or that others may read: what is in it is no secret any more.
    """
    problems = guard_problems(path)
    if any(problem.level == "error" for problem in problems):
        return None, problems
    try:
        text = path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        return Keys(), problems
    except UnicodeDecodeError:
        text = "\0"  # no YAML: reported as damaged, like any other garbled file
    except OSError as error:
        why = f"this file can't be read: {error.strerror}"
        return None, (*problems, Problem(Origin(str(path)), why, "", "keys-unreadable"))
    keys: Keys | tuple[Problem, ...] | None = keys_as_written(text)
    if keys is None:  # edited, with a passphrase, or damaged: read with care
        from sitegen.seal.keys_yaml import read_keys

        keys = read_keys(text, str(path))
    if isinstance(keys, Keys):
        return keys, problems
    return None, (*problems, *keys)


def write_keys(path: Path, keys: Keys) -> None:
    """Replace the file whole, readable by its owner alone.

    Killed at any moment, the old file or the new one is there, never a part: written beside it,
    flushed to the disk, then renamed over it, and the folder flushed as well.

    Raises:
        OSError: The folder can't be written; the old file is untouched.
    """
    text = keys_text(keys).encode("utf-8")
    beside = _half_written(path)
    with contextlib.suppress(FileNotFoundError):
        beside.unlink()
    descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        if hasattr(os, "fchmod"):
            os.fchmod(descriptor, 0o600)  # whatever the umask says
        with open(descriptor, "wb", closefd=False) as file:
            file.write(text)
        os.fsync(descriptor)
    except BaseException:
        os.close(descriptor)
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
    os.close(descriptor)
    replace_file(beside, path)
    flush_folder(path.parent)


def _keep_from_git(path: Path) -> None:
    """Have git ignore the first keys, where it would take them along and nothing is ignored yet.

    A list of what is ignored that lies there is the coach's own, and stays as it is.
    """
    if not path.exists() and _is_in_repository(path.parent.absolute()):
        with contextlib.suppress(FileExistsError), path.with_name(GIT_IGNORE).open("x") as file:
            file.write(f"{path.name}*\n")


def _is_in_repository(folder: Path) -> bool:
    return folder.is_dir() and any((up / ".git").exists() for up in (folder, *folder.parents))


def guard_problems(path: Path) -> tuple[Problem, ...]:
    """What is wrong with how the file is kept: who may read it, and whether git does."""
    return (*_access_problems(path), *_git_problems(path))


def _access_problems(path: Path) -> Iterator[Problem]:
    try:
        mode = path.lstat().st_mode
    except FileNotFoundError:
        return
    where = Origin(str(path))
    if not stat.S_ISREG(mode):
        yield Problem(
            where,
            "the private keys have to be a plain file, not a link or a folder",
            "put the file itself here",
            "keys-not-a-file",
        )
    elif os.name == "posix" and mode & 0o077:
        yield Problem(
            where,
            "other people on this computer may read the private keys",
            f"run: chmod 600 {path}",
            "keys-readable",
        )


def _git_problems(path: Path) -> Iterator[Problem]:
    folder = path.parent.absolute()
    if not _is_in_repository(folder):
        return
    import subprocess  # only where there is a repository: its import costs a rebuild time

    where = Origin(str(path))
    names = (path.name, _half_written(path).name)
    # A hook sets GIT_DIR and its like for the repository that it runs in, not for this folder.
    environment = {name: value for name, value in os.environ.items() if name[:4] != "GIT_"}
    command = ["git", "-c", "core.fsmonitor=false", "-C", str(folder)]
    try:
        tracked = subprocess.run(
            [*command, "ls-files", "--cached", "--", *names],
            capture_output=True,
            env=environment,
            timeout=GIT_SECONDS,
            check=False,
        )
        ignored = subprocess.run(
            [*command, "check-ignore", "--no-index", "--", *names],
            capture_output=True,
            env=environment,
            timeout=GIT_SECONDS,
            check=False,
        )
    except FileNotFoundError:
        yield Problem(
            where,
            "this folder belongs to a git repository, but git is not installed here",
            "make sure that the private keys are not in the repository",
            "keys-git-unknown",
            "warning",
        )
        return
    except subprocess.TimeoutExpired:
        tracked = None
    if tracked is None or tracked.returncode or ignored.returncode > 1:
        yield Problem(
            where,
            "git does not say whether it tracks the private keys",
            f"mend what this says: git -C {folder} ls-files",
            "keys-git-unknown",
        )
    elif tracked.stdout:
        yield Problem(
            where,
            "git tracks the private keys, so whoever has the repository can open every portal",
            f"run: git rm --cached {' '.join(names[:1])}; add {path.name}* to .gitignore; "
            "then renew each link, since git keeps what was committed",
            "keys-tracked",
        )
    elif len(ignored.stdout.split()) < len(names) and (
        path.exists() or path.with_name(GIT_IGNORE).exists()  # else the first keys bring one along
    ):
        yield Problem(
            where,
            "git does not ignore the private keys yet, so the next commit may take them along",
            f"add this line to .gitignore: {path.name}*",
            "keys-not-ignored",
            "warning",
        )


def _half_written(path: Path) -> Path:
    return path.with_name(path.name + HALF_WRITTEN)
