"""Publish to a branch of a git repository: ``git+REMOTE#BRANCH``.

A git branch remembers everything, and a portal that was withdrawn must be forgotten. So the site
is always one commit: each publish makes a fresh one and puts it in place of the last, with a push
that only succeeds if the branch is still where it was seen (``--force-with-lease``). If the branch
held other people's commits before the first publish, ours stands on the last of those, and they
keep their history. Their files are kept in any case. Where stops have to go out, a commit with
them alone goes before, as a whole site can take minutes to travel; the next takes its place.

Git itself does the rest: it sends only objects that the other side lacks, checks each by its hash,
and moves the branch in one step. All is done in a temporary bare repository; there is no work tree.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import subprocess
import tempfile
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

from sitegen.practice import address
from sitegen.practice.address import GIT as PREFIX
from sitegen.publish.fault import FaultKind, PublishError, delay_s, refusal, told_as
from sitegen.publish.look import HostLook
from sitegen.publish.manifest import MANIFEST, Manifest, digest_of, read_manifest
from sitegen.publish.order import ASSETS, removal_order, sending_of, sending_order
from sitegen.publish.redact import redact
from sitegen.publish.report import PublishProblem, Report, TransferStep
from sitegen.publish.say import changed_there, conflict, short_list, site_moved
from sitegen.publish.settings import Settings

HELD_REF = "refs/heads/held"
FILE_MODE = "100644"
PUBLISHING = "publishing to the branch"
OWN_MAIL = "sitegen@localhost"
GIT_WAIT_S = 600
# Variables that say how to reach a remote, not which repository to work in
PASSED_ON = frozenset({"GIT_SSH", "GIT_SSH_COMMAND", "GIT_SSH_VARIANT", "GIT_ASKPASS",
                       "GIT_SSL_CAINFO", "GIT_SSL_CAPATH", "GIT_CONFIG_GLOBAL",
                       "GIT_CONFIG_SYSTEM", "GIT_CONFIG_NOSYSTEM", "GIT_CONFIG_COUNT",
                       "GIT_PROXY_COMMAND", "GIT_EXEC_PATH"})  # fmt: skip
_COMMIT_ID = re.compile(r"[0-9a-f]{40}|[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Branch:
    remote: str
    name: str

    @property
    def ref(self) -> str:
        return f"refs/heads/{self.name}"


def branch_of(target: str) -> Branch:
    """Take ``git+REMOTE#BRANCH`` apart.

    Raises:
        AddressError: It can't be read, or it carries a secret.
    """
    remote, name = address.read_branch(target)
    if "://" not in remote and Path(remote).expanduser().is_dir():
        remote = str(Path(remote).expanduser().resolve())
    return Branch(remote, name)


def publish_to(site: Mapping[str, bytes], target: str, settings: Settings) -> Report:
    """Put ``site`` on a branch in one commit, beside other people's files.

    Raises:
        AddressError: The target can't be read.
        PublishError: The site must not be published to.
    """
    branch = branch_of(target)
    shown = f"{PREFIX}{redact(branch.remote)}#{branch.name}"
    if shutil.which("git") is None:
        raise refusal(PublishProblem("git is not installed", "install git", "publish-extra"))
    attempt = 0
    hash_name = "sha1"  # of an empty repository, until it objects
    while True:
        try:
            return _publish(site, branch, shown, settings, hash_name)
        except PublishError as failed:
            if failed.kind is FaultKind.REFUSED:
                raise
            if hash_name == "sha1" and "hash algorithm" in str(failed):
                hash_name = "sha256"
                continue
            trouble, again = _tell(failed, settings)
            if not again or attempt >= settings.retries:
                return Report(shown, problems=(trouble,), dry_run=settings.dry_run)
        settings.sleep(delay_s(attempt, settings.chance()))
        attempt += 1


def _publish(
    site: Mapping[str, bytes], branch: Branch, shown: str, settings: Settings, hash_name: str
) -> Report:
    """One commit; where stops are not there yet, one with them before it."""
    with tempfile.TemporaryDirectory(prefix="sitegen-") as place:
        git = Git(Path(place), settings)
        held = _fetch(branch, git, hash_name)
        stops = Report(shown)
        if settings.first and held.manifest is not None and not settings.dry_run:
            stops = _publish_once(site, branch, shown, settings, held, git, settings.first)
        if not stops.uploaded:
            return _publish_once(site, branch, shown, settings, held, git)
    with tempfile.TemporaryDirectory(prefix="sitegen-") as place:
        git = Git(Path(place), settings)
        held = _fetch(branch, git, hash_name)
        whole = _publish_once(site, branch, shown, settings, held, git)
    return replace(
        whole,
        uploaded=(*stops.uploaded, *whole.uploaded),
        unchanged=tuple(path for path in whole.unchanged if path not in stops.uploaded),
        notes=(*stops.notes, *whole.notes),
    )


class Git:
    """Runs git in a bare repository of its own, with the user's keys and credential helpers."""

    def __init__(self, place: Path, settings: Settings) -> None:
        self.place = place
        self.folder = place / "git"
        when = f"{int(settings.now())} +0000"
        mine = {
            "GIT_CEILING_DIRECTORIES": str(place.parent),
            "GIT_INDEX_FILE": str(place / "index"),
            "GIT_TERMINAL_PROMPT": "0",  # a publish that waits for a password would wait for ever
            "LC_ALL": "C",
            "GIT_AUTHOR_NAME": "sitegen",
            "GIT_AUTHOR_EMAIL": OWN_MAIL,  # the coach's own name stays at home
            "GIT_COMMITTER_NAME": "sitegen",
            "GIT_COMMITTER_EMAIL": OWN_MAIL,
            "GIT_AUTHOR_DATE": when,
            "GIT_COMMITTER_DATE": when,
        }
        theirs = {
            name: value
            for name, value in settings.environ.items()
            if not name.startswith("GIT_") or name in PASSED_ON
        }
        if "GIT_SSH" not in theirs:
            theirs.setdefault("GIT_SSH_COMMAND", "ssh -o BatchMode=yes")
        self.environ = theirs | mine

    def start(self, hash_name: str) -> None:
        self("init", "--quiet", "--bare", f"--object-format={hash_name}", str(self.folder))
        self.environ["GIT_DIR"] = str(self.folder)

    def __call__(self, *words: str, given: bytes = b"") -> bytes:
        """Run one git command and return what it printed.

        Raises:
            PublishError: It ended with an error or took over ten minutes.
        """
        try:
            done = subprocess.run(
                ["git", "-c", "gc.auto=0", "-c", f"core.hooksPath={os.devnull}", *words],
                input=given,
                capture_output=True,
                env=self.environ,
                cwd=self.place,
                timeout=GIT_WAIT_S,
                check=False,
            )
        except subprocess.TimeoutExpired:
            raise PublishError(FaultKind.OTHER, "timed out") from None
        if done.returncode != 0:
            raise PublishError(FaultKind.OTHER, done.stderr.decode("utf-8", "replace"))
        return done.stdout


@dataclass(frozen=True, slots=True)
class BranchContent:
    """What the branch holds: its commit (empty: there is no branch), path → (mode, object id)."""

    commit: str = ""
    by: str = ""
    hash_name: str = "sha1"
    files: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    manifest: Manifest | None = None
    is_damaged: bool = False

    def holds(self, path: str, data: bytes) -> bool:
        """True if the branch has this very file."""
        head = f"blob {len(data)}\0".encode()
        return self.files.get(path) == (
            FILE_MODE,
            hashlib.new(self.hash_name, head + data).hexdigest(),
        )


def _fetch(branch: Branch, git: Git, hash_name: str) -> BranchContent:
    ids = {
        name: commit
        for commit, _, name in (
            line.partition("\t")
            for line in git("ls-remote", "--", branch.remote).decode().splitlines()
        )
    }
    if any(len(commit) == 64 for commit in ids.values()):
        hash_name = "sha256"
    git.start(hash_name)
    if branch.ref not in ids:
        return BranchContent(hash_name=hash_name)
    fetch = ("fetch", "--quiet", "--no-tags", "--no-recurse-submodules")
    git(*fetch, "--depth=1", "--", branch.remote, f"+{branch.ref}:{HELD_REF}")
    files: dict[str, tuple[str, str]] = {}
    for line in git("ls-tree", "-r", "-z", HELD_REF).split(b"\0"):
        if line:
            about, _, path = line.partition(b"\t")
            mode, _, name = about.decode().split()
            files[os.fsdecode(path)] = (mode, name)
    manifest = read_manifest(git("cat-file", "blob", f"{HELD_REF}:{MANIFEST}")) if (
        MANIFEST in files
    ) else None  # fmt: skip
    if manifest is not None and manifest.base is not None:
        git(*fetch, "--unshallow", "--", branch.remote, f"+{branch.ref}:{HELD_REF}")
    commit, by = git("log", "-1", "--format=%H %ce", HELD_REF).decode().strip().split(" ", 1)
    return BranchContent(
        commit, by, hash_name, files, manifest, MANIFEST in files and manifest is None
    )


def _own_manifest(held: BranchContent, site: Mapping[str, bytes], adopt: bool) -> Manifest:
    """What is ours on the branch.

    Raises:
        PublishError: The branch holds something else, and ``adopt`` is off.
    """
    if held.manifest is not None:
        return held.manifest
    if held.files and not adopt:
        tops = sorted({path.partition("/")[0] for path in held.files} - {MANIFEST})
        what = "the branch already holds something else" if not held.is_damaged else (
            "the list of our files on the branch is damaged, or a newer version wrote it"
        )  # fmt: skip
        alike = sorted(path for path in held.files if path in site)
        replaced = f", replaces {short_list(alike)}," if alike else ""
        raise refusal(
            PublishProblem(
                f"{what}: {short_list(tops)}",
                "name a branch of its own; or, if this is the right one, publish with --adopt, "
                f"which adds the site{replaced} and keeps all other files",
                "target-manifest" if held.is_damaged else "target-foreign",
            )
        )
    return Manifest(base=held.commit or None)


def _publish_once(
    site: Mapping[str, bytes],
    branch: Branch,
    shown: str,
    settings: Settings,
    held: BranchContent,
    git: Git,
    only: Collection[str] = (),
) -> Report:
    """Bring the branch to ``site``; with ``only`` no more than these files, and what they load."""
    manifest = _own_manifest(held, site, settings.adopt)
    send, unchanged, conflicts = [], [], []
    for path in sending_order(site):
        if held.holds(path, site[path]):
            unchanged.append(path)
        elif path not in held.files or manifest.owns(path) or settings.adopt:
            send.append(path)
        else:
            conflicts.append(path)
    others = [path for path in held.files if path not in site and path != MANIFEST]
    ours = [] if only else removal_order(path for path in others if manifest.owns(path))
    if only:
        is_new = any(path in only for path in send)
        send = [p for p in send if p in only or sending_of(p) == ASSETS] if is_new else []
    remove = [path for path in ours if _is_as_sent(path, held, manifest, git)]
    changed = [path for path in ours if path not in remove]
    kept = tuple(sorted(path for path in others if not manifest.owns(path)))
    there = {path: digest_of(path, site[path]) for path in (*send, *unchanged)}
    left = [path for path in held.files if manifest.owns(path)] if only else changed
    after = manifest.settled(there, left)
    problems = [conflict(path) for path in conflicts] + [changed_there(path) for path in changed]
    notes = [f"left other people's files alone: {short_list(kept)}"] if kept else []
    report = Report(
        shown,
        uploaded=tuple(send),
        unchanged=tuple(unchanged),
        removed=tuple(remove),
        skipped=(*conflicts, *changed),
        kept=kept,
        problems=tuple(problems),
        notes=tuple(notes),
        dry_run=settings.dry_run,
    )
    look = HostLook(manifest, there, tuple(send), tuple(remove), tuple(unchanged))
    objections = () if only else settings.objections(look)
    if objections:
        problems += objections
        if settings.dry_run:
            return replace(report, problems=tuple(problems))
        skipped = (*report.skipped, *send, *remove)
        return Report(shown, (), report.unchanged, (), skipped, kept, tuple(problems))
    if settings.dry_run or (not send and not remove and (only or after == held.manifest)):
        return report
    if held.manifest is not None and held.by != OWN_MAIL:
        notes.append("newer commits of other people became part of ours; their files are kept")
    settings.show(TransferStep("send", "", 0, len(send) + len(remove)))
    commit = _commit(site, there, send, remove, after, held, git)
    git("push", "--quiet", "--no-verify", "--no-follow-tags",
        f"--force-with-lease={branch.ref}:{held.commit}",
        "--", branch.remote, f"{commit}:{branch.ref}")  # fmt: skip
    now_there = git("ls-remote", "--", branch.remote, branch.ref).decode().split()
    if commit not in now_there:
        notes.append("someone else published to this branch right after; publish again")
    for done, path in enumerate((*send, *remove), 1):
        doing: Literal["send", "remove"] = "send" if done <= len(send) else "remove"
        settings.show(TransferStep(doing, path, done, len(send) + len(remove)))
    return replace(report, notes=tuple(notes))


def _is_as_sent(path: str, held: BranchContent, manifest: Manifest, git: Git) -> bool:
    mode, name = held.files[path]
    if mode != FILE_MODE:
        return False
    return digest_of(path, git("cat-file", "blob", name)) in manifest.digests(path)


def _commit(
    site: Mapping[str, bytes],
    digests: Mapping[str, str],
    send: Sequence[str],
    remove: Sequence[str],
    after: Manifest,
    held: BranchContent,
    git: Git,
) -> str:
    """Make the commit in the temporary repository and return its id.

    Raises:
        PublishError: The site was built anew meanwhile.
    """
    files = git.place / "files"
    files.mkdir()
    written: dict[str, Path] = {}
    for path in (*send, MANIFEST):
        data = after.as_bytes() if path == MANIFEST else site[path]
        if path != MANIFEST and digest_of(path, data) != digests[path]:
            raise refusal(site_moved())
        written[path] = files / str(len(written))
        written[path].write_bytes(data)
    names = "".join(f"{file}\n" for file in written.values())
    ids = git("hash-object", "-w", "--no-filters", "--stdin-paths", given=names.encode())
    if held.commit:
        git("read-tree", held.commit)
    nothing = "0" * (64 if held.hash_name == "sha256" else 40)
    lines = [
        f"{FILE_MODE} {name}\t{path}\0"
        for path, name in zip(written, ids.decode().split(), strict=True)
    ]
    lines += [f"0 {nothing}\t{path}\0" for path in remove]
    git("update-index", "-z", "--index-info", given=os.fsencode("".join(lines)))
    tree = git("write-tree").decode().strip()
    parent = ("-p", after.base) if after.base and _is_known(after.base, git) else ()
    return git("commit-tree", tree, *parent, "-m", "Publish site").decode().strip()


def _is_known(commit: str, git: Git) -> bool:
    """True if the commit under ours is there still; others may have rewritten the branch."""
    if not _COMMIT_ID.fullmatch(commit):
        return False
    try:
        return git("cat-file", "-t", commit).strip() == b"commit"
    except PublishError:
        return False


# What git says, in the C locale → kind of fault, whether to try again. First match counts.
_SAID: tuple[tuple[str, FaultKind, bool], ...] = (
    (r"stale info|fetch first|cannot lock ref|failed to update ref|incorrect old value",
     FaultKind.CUT, True),
    (r"Host key verification failed|certificate", FaultKind.STRANGER, False),
    (r"Authentication failed|could not read (Username|Password)|Permission denied \(|"
     r"terminal prompts disabled|error: 401|error: 403", FaultKind.SECRET, False),
    (r"No space left|quota|unpack-objects abnormal exit.*space", FaultKind.FULL, False),
    (r"not found|does not appear to be a git repository|does not exist", FaultKind.MISSING, False),
    (r"insufficient permission|unable to create temporary|Permission denied|Read-only",
     FaultKind.DENIED, False),
)  # fmt: skip
_REFUSED = re.compile(r"remote rejected|protected|declined|denying non-fast-forward|prohibited")


def _tell(failed: PublishError, settings: Settings) -> tuple[PublishProblem, bool]:
    """The sentence for a failed git command, and whether trying again may help."""
    said = _last_words(str(failed))
    for pattern, kind, again in _SAID:
        if re.search(pattern, str(failed), re.IGNORECASE):
            trouble = told_as(PublishError(kind, said), PUBLISHING, settings.secrets)
            return trouble, again
    if _REFUSED.search(str(failed)):
        refused = PublishProblem(
            "the repository does not let this branch be replaced; it said: "
            f'"{redact(said, settings.secrets)}"',
            "allow force pushes to this one branch, or publish to another; the site never keeps "
            "old commits, as withdrawn portals would live on in them",
            "publish-protected",
        )
        return refused, False
    return told_as(PublishError(FaultKind.CUT, said), PUBLISHING, settings.secrets), True


def _last_words(said: str) -> str:
    """The lines of an error that say why; git puts progress and advice around them."""
    lines = [line.strip() for line in said.splitlines() if line.strip()]
    telling = [line for line in lines if re.match(r"(fatal|error|remote|!|ssh)", line)]
    return " ".join(telling or lines) or "nothing"
