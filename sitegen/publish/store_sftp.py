"""A folder reached over SFTP. User, port, keys and known hosts come from the usual SSH files."""

from __future__ import annotations

import getpass
import io
import logging
import stat
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path, PurePosixPath
from typing import Any

from sitegen.practice.address import Address
from sitegen.publish.credentials import login_for
from sitegen.publish.store import DEEPEST, FEW, HostFile
from sitegen.publish.stores import back_end

WAIT_S = 20.0
SHARED_KNOWN_HOSTS = Path("/etc/ssh/ssh_known_hosts")


def open_store(address: Address, environ: Mapping[str, str]) -> SftpStore:
    return SftpStore(address, environ)


class SftpStore:
    """Speaks to the server by itself rather than through fsspec, whose SFTP (2026.9) reads no known
    hosts: by its policy it takes any host key, or refuses every one."""

    replaces_whole = False

    def __init__(self, address: Address, environ: Mapping[str, str]) -> None:
        paramiko = back_end("paramiko", "sftp")
        if not logging.getLogger("paramiko").handlers:  # else it prints tracebacks of cut lines
            logging.getLogger("paramiko").addHandler(logging.NullHandler())
        path = address.path or "/"
        self.root = path.removeprefix("/~/") if path.startswith("/~/") else path
        self._folders: set[str] = set()
        self._opened = int(time.time())
        user, password = login_for(address, environ)
        settings = _ssh_settings(paramiko, address.host)
        host = str(settings.get("hostname", address.host))
        port = address.port or int(settings.get("port", 22))
        self.client = paramiko.SSHClient()
        self.client.load_system_host_keys()
        for known in (SHARED_KNOWN_HOSTS, *_known_hosts(settings)):
            if known.is_file():
                self.client.load_system_host_keys(str(known))
        self.client.set_missing_host_key_policy(paramiko.RejectPolicy())
        command = settings.get("proxycommand")
        if command is None and settings.get("proxyjump", "none") != "none":
            command = f"ssh -W [{host}]:{port} {settings['proxyjump']}"
        try:
            self.client.connect(
                host,
                port=port,
                username=user or settings.get("user") or getpass.getuser(),
                password=password,
                key_filename=settings.get("identityfile"),
                sock=paramiko.ProxyCommand(command) if command else None,
                timeout=WAIT_S,
                banner_timeout=WAIT_S,
                auth_timeout=WAIT_S,
            )
            self.sftp = self.client.open_sftp()
            self.sftp.get_channel().settimeout(WAIT_S)
        except BaseException:
            self.client.close()
            raise

    def _at(self, path: str) -> str:
        return str(PurePosixPath(self.root, path))

    def top(self) -> tuple[Mapping[str, HostFile], frozenset[str]]:
        files: dict[str, HostFile] = {}
        folders = set()
        for about in self._list(""):
            if stat.S_ISDIR(about.st_mode or 0):
                folders.add(about.filename)
            else:
                files[about.filename] = _entry(about)
        return files, frozenset(folders)

    def files(self) -> Mapping[str, HostFile]:
        found: dict[str, HostFile] = {}
        waiting = [""]
        while waiting:
            folder = waiting.pop()
            for about in self._list(folder):
                path = f"{folder}{about.filename}"
                if stat.S_ISDIR(about.st_mode or 0):
                    waiting += [f"{path}/"] if path.count("/") < DEEPEST else []
                else:
                    found[path] = _entry(about)
        return found

    def _list(self, folder: str) -> Iterator[Any]:
        try:
            yield from self.sftp.listdir_iter(self._at(folder))
        except FileNotFoundError:
            return

    def read(self, path: str) -> bytes | None:
        content = io.BytesIO()
        try:
            self.sftp.getfo(self._at(path), content)
        except FileNotFoundError:
            return None
        return content.getvalue()

    def write(self, path: str, data: bytes) -> None:
        folder = str(PurePosixPath(self._at(path)).parent)
        self._make_folders(folder)
        try:
            self.sftp.putfo(io.BytesIO(data), self._at(path), len(data), confirm=True)
        except FileNotFoundError:  # another publish took the empty folder, or this part, meanwhile
            self._folders.clear()
            self._make_folders(folder)
            self.sftp.putfo(io.BytesIO(data), self._at(path), len(data), confirm=True)
        with suppress(PermissionError, OSError):  # a server may not let modes be set
            self.sftp.chmod(self._at(path), 0o644)

    def _make_folders(self, folder: str) -> None:
        if folder in self._folders or folder in ("", ".", "/"):
            return
        try:
            self.sftp.stat(folder)
        except FileNotFoundError:
            self._make_folders(str(PurePosixPath(folder).parent))
            self.sftp.mkdir(folder, 0o755)
            with suppress(PermissionError, OSError):  # the server's umask may have taken some away
                self.sftp.chmod(folder, 0o755)
        self._folders.add(folder)

    def rename(self, old: str, new: str) -> None:
        self._set_time(old)
        self.sftp.posix_rename(self._at(old), self._at(new))

    def _set_time(self, path: str) -> bool:
        """Whether the server let the time be set."""
        try:
            self.sftp.utime(self._at(path), (self._opened, self._opened))
        except OSError:
            return False
        return True

    def level(self, paths: Sequence[str]) -> None:
        if len(paths) <= FEW:
            all(map(self._set_time, paths))  # up to the first that is refused

    def remove(self, path: str) -> None:
        with suppress(FileNotFoundError):
            self.sftp.remove(self._at(path))

    def remove_folder(self, path: str) -> None:
        self._folders.discard(self._at(path))
        try:
            self.sftp.rmdir(self._at(path))
        except (EOFError, ConnectionError):
            raise
        except OSError:
            return  # not empty or not there: both are fine

    def close(self) -> None:
        self.client.close()


def _ssh_settings(paramiko: Any, host: str) -> Mapping[str, Any]:
    path = Path("~/.ssh/config").expanduser()
    if not path.is_file():
        return {}
    found: Mapping[str, Any] = paramiko.SSHConfig.from_path(str(path)).lookup(host)
    return found


def _known_hosts(settings: Mapping[str, Any]) -> Iterator[Path]:
    for word in str(settings.get("userknownhostsfile", "")).split():
        yield Path(word).expanduser()


def _entry(about: Any) -> HostFile:
    return HostFile(about.st_size, about.st_mtime)
