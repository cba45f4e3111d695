"""A folder reached over WebDAV (RFC 4918), ``webdav+https://``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import PurePosixPath
from typing import Any
from urllib.parse import quote

from sitegen.practice.address import Address
from sitegen.publish.credentials import login_for
from sitegen.publish.fault import refusal
from sitegen.publish.report import PublishProblem
from sitegen.publish.store import HostFile, all_below
from sitegen.publish.stores import back_end

WAIT_S = 30.0
THIS_MACHINE = frozenset({"127.0.0.1", "localhost", "::1"})


def open_store(address: Address, environ: Mapping[str, str]) -> WebdavStore:
    return WebdavStore(address, environ)


class WebdavStore:
    """Uses the client below the fsspec layer, whose renaming copies and then deletes."""

    replaces_whole = False

    def __init__(self, address: Address, environ: Mapping[str, str]) -> None:
        self._client_module = back_end("webdav4.client", "webdav")
        self._folders: set[str] = set()
        user, password = login_for(address, environ)
        web = address.scheme.partition("+")[2]
        if web == "http" and password and address.host not in THIS_MACHINE:
            raise refusal(
                PublishProblem(
                    "over plain http the password could be read on the way",
                    "write webdav+https:// instead of webdav+http://",
                    "target-plain",
                )
            )
        host = f"[{address.host}]" if ":" in address.host else address.host
        port = f":{address.port}" if address.port else ""
        self.client = self._client_module.Client(
            f"{web}://{host}{port}{quote(address.path)}",
            auth=(user or "", password) if password else None,
            retry=False,
            timeout=WAIT_S,
        )

    def top(self) -> tuple[Mapping[str, HostFile], frozenset[str]]:
        return self._list("")

    def files(self) -> Mapping[str, HostFile]:
        return all_below(self._list)

    def _list(self, folder: str) -> tuple[Mapping[str, HostFile], frozenset[str]]:
        files: dict[str, HostFile] = {}
        folders = set()
        try:
            found = self.client.ls(folder, detail=True)
        except self._client_module.ResourceNotFound:
            return files, frozenset()
        for about in found:
            name = PurePosixPath(str(about["name"])).name
            if about.get("type") == "directory":
                folders.add(name)
            else:
                files[name] = _entry(about)
        return files, frozenset(folders)

    def read(self, path: str) -> bytes | None:
        try:
            content: bytes = self.client.request("GET", path).content
        except self._client_module.ResourceNotFound:
            return None
        return content

    def write(self, path: str, data: bytes) -> None:
        self._make_folders(PurePosixPath(path).parent)
        self.client.request("PUT", path, content=data)

    def _make_folders(self, folder: PurePosixPath) -> None:
        path = "" if str(folder) == "." else str(folder)
        if path in self._folders:
            return
        if not self.client.exists(path):
            if path:
                self._make_folders(folder.parent)
            self.client.mkdir(path)
        self._folders.add(path)

    def rename(self, old: str, new: str) -> None:
        self.client.move(old, new, overwrite=True)

    def level(self, paths: Sequence[str]) -> None:
        """Times are the server's own (RFC 4918 section 15.7: they should be protected)."""

    def remove(self, path: str) -> None:
        try:
            self.client.remove(path)
        except self._client_module.ResourceNotFound:
            return

    def remove_folder(self, path: str) -> None:
        """DELETE takes all that is in a folder (RFC 4918 section 9.6.1), so look first."""
        self._folders.discard(path)
        try:
            if not self.client.ls(path, detail=False):
                self.client.remove(path)
        except self._client_module.ResourceNotFound:
            return

    def close(self) -> None:
        self.client.http.close()


def _entry(about: Mapping[str, Any]) -> HostFile:
    size, modified = about.get("content_length"), about.get("modified")
    return HostFile(
        int(size) if size is not None else None,
        modified.timestamp() if modified is not None else None,
    )
