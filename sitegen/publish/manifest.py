"""What we put on a host, written down there so that the next run knows what is ours.

The file lies where anyone may fetch it, and a portal's random name is its first lock. So the
manifest holds no name: a path is kept as its hash, and a file's hash takes in its path. Who does
not know a path learns nothing but how many files there are. Whoever does know it can check it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

MANIFEST = ".sitegen-manifest.json"
MANIFEST_FORMAT = 1
ABSENT = ""  # stands in a list of digests for "there may be no file yet"


def name_of(path: str) -> str:
    """The hash that stands for a path: 128 bits, so that no two paths share one."""
    return hashlib.sha256(b"sitegen path\0" + _bytes(path)).hexdigest()[:32]


def digest_of(path: str, data: bytes) -> str:
    """SHA-256 over path and content, so that equal files at two paths do not look equal."""
    head = hashlib.sha256(b"sitegen file\0" + _bytes(path) + b"\0")
    head.update(data)
    return head.hexdigest()


def _bytes(path: str) -> bytes:
    return path.encode("utf-8", "surrogateescape")


@dataclass(frozen=True, slots=True)
class Manifest:
    """Hashed path → digests the file may have. More than one: a run was cut off while it changed.

    ``base`` is used by git targets only: the last commit that was not ours.
    """

    files: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    base: str | None = None

    def owns(self, path: str) -> bool:
        return name_of(path) in self.files

    def digests(self, path: str) -> tuple[str, ...]:
        return self.files.get(name_of(path), ())

    def is_settled(self, path: str, digest: str) -> bool:
        """True if the file was read back with just this digest when it was put there."""
        return self.digests(path) == (digest,)

    def expecting(self, digests: Mapping[str, str]) -> Manifest:
        """The manifest to write before a run: each file may be the old or the new one."""
        files = dict(self.files)
        for path, digest in digests.items():
            before = self.digests(path) or (ABSENT,)
            files[name_of(path)] = tuple(dict.fromkeys((*before, digest)))
        return replace(self, files=files)

    def settled(self, there: Mapping[str, str], left: Iterable[str]) -> Manifest:
        """The manifest to write after a run: what is there for certain, and what was left."""
        files = {name_of(path): self.digests(path) for path in left if self.owns(path)}
        files |= {name_of(path): (digest,) for path, digest in there.items()}
        return replace(self, files=files)

    def as_bytes(self) -> bytes:
        document: dict[str, object] = {
            "about": "made by sitegen; do not edit: it says which files here are sitegen's own",
            "format": MANIFEST_FORMAT,
            "files": {name: list(self.files[name]) for name in sorted(self.files)},
        }
        if self.base is not None:
            document["base"] = self.base
        return json.dumps(document, indent=0).encode("ascii") + b"\n"


def read_manifest(data: bytes) -> Manifest | None:
    """The manifest in ``data``, or None if it isn't one of ours, whole and of a known format."""
    try:
        document = json.loads(data)
    except (ValueError, RecursionError):
        return None
    match document:
        case {"format": int(number), "files": dict(files)} if number == MANIFEST_FORMAT:
            read: dict[str, tuple[str, ...]] = {}
            for name, digests in files.items():
                if not isinstance(digests, list) or not digests:
                    return None
                if not all(isinstance(digest, str) for digest in digests):
                    return None
                read[name] = tuple(digests)
            base = document.get("base")
            return Manifest(read, base if isinstance(base, str) else None)
    return None
