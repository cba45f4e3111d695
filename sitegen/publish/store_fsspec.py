"""Any other host that fsspec has a back end for: object stores (``s3://bucket/prefix``), memory.

Object stores swap a whole object when it is put, so files need no second name there. How another
back end renames is its own affair: only those tested are promised to leave every portal whole.
"""

from __future__ import annotations

import mimetypes
from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import datetime
from typing import Any

from sitegen.practice.address import Address, no_such_kind
from sitegen.publish.fault import FaultKind, PublishError, refusal
from sitegen.publish.report import publish_problem
from sitegen.publish.store import HostFile
from sitegen.publish.stores import back_end

WAIT_S = 30
KEEP_FOR_EVER = "public, max-age=31536000, immutable"
ASK_FIRST = "no-cache"
SWAPPING = frozenset({"s3", "s3a", "gs", "gcs", "abfs", "az", "memory"})  # a put is one step
OWN_TYPES = {
    ".ics": "text/calendar; charset=utf-8",
    ".js": "text/javascript",
    ".svg": "image/svg+xml",
}


def open_store(address: Address, environ: Mapping[str, str]) -> FsspecStore:
    return FsspecStore(address)


class FsspecStore:
    """A folder in a bucket, or whatever a back end calls one."""

    def __init__(self, address: Address) -> None:
        self.replaces_whole = address.scheme in SWAPPING
        # The S3 client's own limits do not cover a server that takes a request and never answers.
        self.limit: dict[str, Any] = {}
        fsspec = back_end("fsspec", "s3" if address.scheme in ("s3", "s3a") else "hosts")
        self.is_s3 = address.scheme in ("s3", "s3a")
        try:
            system = fsspec.get_filesystem_class(address.scheme)
        except ImportError as error:
            raise PublishError(FaultKind.EXTRA, extra="s3" if self.is_s3 else "hosts") from error
        except ValueError:
            raise refusal(publish_problem(no_such_kind(address.scheme))) from None
        options: dict[str, Any] = {"skip_instance_cache": True, "use_listings_cache": False}
        if self.is_s3:
            options["config_kwargs"] = {
                "connect_timeout": WAIT_S,
                "read_timeout": WAIT_S,
                "retries": {"max_attempts": 0},
            }
        elif address.user is not None:
            options["username"] = address.user
        self.system = system(**options)
        if self.is_s3:
            self.system.retries = 1  # trying again is the caller's
            self.limit = {"timeout": 2 * WAIT_S}
        place = f"{address.host}{address.path}" if address.host else address.path
        self.root = str(self.system._strip_protocol(place)).rstrip("/")

    def _at(self, path: str) -> str:
        return f"{self.root}/{path}"

    def top(self) -> tuple[Mapping[str, HostFile], frozenset[str]]:
        self.system.invalidate_cache()
        files: dict[str, HostFile] = {}
        folders = set()
        with suppress(FileNotFoundError):
            for about in self.system.ls(self.root, detail=True, **self.limit):
                name = str(about["name"]).rstrip("/").rpartition("/")[2]
                if about["type"] == "directory":
                    folders.add(name)
                elif str(about["name"]).rstrip("/") != self.root:
                    files[name] = _entry(about)
        return files, frozenset(folders)

    def files(self) -> Mapping[str, HostFile]:
        self.system.invalidate_cache()
        try:
            found = self.system.find(self.root, detail=True, **self.limit)
        except FileNotFoundError:
            return {}
        before = len(f"{self.root}/")
        return {
            str(name)[before:]: _entry(about) for name, about in found.items() if name != self.root
        }

    def read(self, path: str) -> bytes | None:
        try:
            content: bytes = self.system.cat_file(self._at(path), **self.limit)
        except FileNotFoundError:
            return None
        return content

    def write(self, path: str, data: bytes) -> None:
        if self.is_s3:
            self.system.pipe_file(
                self._at(path),
                data,
                ContentType=content_type(path),
                CacheControl=KEEP_FOR_EVER if path.startswith("assets/") else ASK_FIRST,
                **self.limit,
            )
        else:
            self.system.makedirs(self._at(path).rpartition("/")[0], exist_ok=True)
            self.system.pipe_file(self._at(path), data)

    def rename(self, old: str, new: str) -> None:
        self.system.mv(self._at(old), self._at(new))

    def level(self, paths: Sequence[str]) -> None:
        """A bucket keeps the time at which an object was put, and putting it anew costs money."""

    def remove(self, path: str) -> None:
        with suppress(FileNotFoundError):
            self.system.rm_file(self._at(path), **self.limit)

    def remove_folder(self, path: str) -> None:
        if not self.is_s3:
            with suppress(OSError, NotImplementedError):
                self.system.rmdir(self._at(path))

    def close(self) -> None:
        return


def content_type(path: str) -> str:
    """What a browser should take a file for; object stores don't guess."""
    suffix = f".{path.rpartition('.')[2]}"
    found = OWN_TYPES.get(suffix) or mimetypes.guess_type(path)[0] or "application/octet-stream"
    return f"{found}; charset=utf-8" if found in ("text/html", "text/plain") else found


def _entry(about: Mapping[str, Any]) -> HostFile:
    changed = about.get("LastModified") or about.get("mtime") or about.get("created")
    if isinstance(changed, datetime):
        changed = changed.timestamp()
    size = about.get("size")
    return HostFile(
        int(size) if size is not None else None,
        float(changed) if isinstance(changed, int | float) else None,
    )
