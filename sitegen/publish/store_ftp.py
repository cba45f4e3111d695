"""A folder reached over FTP, or FTP inside TLS (``ftps://``). Needs nothing installed."""

from __future__ import annotations

import calendar
import ftplib
import io
import ssl
import time
from collections.abc import Mapping, Sequence
from pathlib import PurePosixPath
from typing import Any

from sitegen.practice.address import Address
from sitegen.publish.credentials import login_for
from sitegen.publish.store import FEW, HostFile, all_below

WAIT_S = 30.0
UNKNOWN_COMMAND = ("500", "501", "502", "504")  # RFC 959 section 4.2


def open_store(address: Address, environ: Mapping[str, str]) -> FtpStore:
    return FtpStore(address, environ)


class _TlsFtp(ftplib.FTP_TLS):
    """FTP in TLS whose data connections go on with the control connection's TLS session.

    Many servers ask for that, so that nobody else can take a data connection over.
    """

    def ntransfercmd(self, cmd: str, rest: int | str | None = None) -> tuple[Any, int | None]:
        connection, size = ftplib.FTP.ntransfercmd(self, cmd, rest)
        if isinstance(self.sock, ssl.SSLSocket):
            connection = self.context.wrap_socket(
                connection, server_hostname=self.host, session=self.sock.session
            )
        return connection, size


class FtpStore:
    """Speaks to the server by itself rather than through fsspec, whose FTP takes every refusal for
    "not found" and checks no certificate."""

    replaces_whole = False

    def __init__(self, address: Address, environ: Mapping[str, str]) -> None:
        self.root = PurePosixPath(address.path or "/")
        self._folders: set[str] = set()
        self._opened = time.strftime("%Y%m%d%H%M%S", time.gmtime())
        self._sets_times = True  # until the server says that it can't
        user, password = login_for(address, environ)
        if address.scheme == "ftps":
            self.ftp: ftplib.FTP = _TlsFtp(context=ssl.create_default_context(), timeout=WAIT_S)
        else:
            self.ftp = ftplib.FTP(timeout=WAIT_S)
        try:
            self.ftp.connect(address.host, address.port or 21)
            self.ftp.login(user or "", password or "")
            if isinstance(self.ftp, ftplib.FTP_TLS):
                self.ftp.prot_p()
            self.ftp.voidcmd("TYPE I")
        except BaseException:
            self.ftp.close()
            raise

    def _at(self, path: str) -> str:
        return str(self.root / path)

    def top(self) -> tuple[Mapping[str, HostFile], frozenset[str]]:
        return self._list("")

    def files(self) -> Mapping[str, HostFile]:
        return all_below(self._list)

    def _list(self, folder: str) -> tuple[Mapping[str, HostFile], frozenset[str]]:
        path = self._at(folder)
        try:
            facts = list(self.ftp.mlsd(path, ["type", "size", "modify"]))
        except ftplib.error_perm as error:
            if str(error)[:3] in UNKNOWN_COMMAND:
                return self._list_as_shown(path)
            if not self._is_folder(path):
                return {}, frozenset()
            raise
        files: dict[str, HostFile] = {}
        folders = set()
        for name, about in facts:
            match about.get("type", "").lower():
                case "dir":
                    folders.add(name)
                case "cdir" | "pdir":
                    continue
                case _:
                    files[name] = _entry(about)
        return files, frozenset(folders)

    def _list_as_shown(self, path: str) -> tuple[Mapping[str, HostFile], frozenset[str]]:
        """Read a listing made for eyes, on servers that have no MLSD (RFC 3659)."""
        if not self._is_folder(path):
            return {}, frozenset()
        lines: list[str] = []
        self.ftp.retrlines("LIST -a", lines.append)  # of the folder just entered
        files: dict[str, HostFile] = {}
        folders = set()
        for line in lines:
            words = line.split(maxsplit=8)
            if len(words) < 9 or words[8] in (".", ".."):
                continue
            if words[0].startswith("d"):
                folders.add(words[8])
            else:
                size = int(words[4]) if words[4].isdecimal() else None
                files[words[8].partition(" -> ")[0]] = HostFile(size)
        return files, frozenset(folders)

    def _is_folder(self, path: str) -> bool:
        try:
            self.ftp.cwd(path)
        except ftplib.error_perm as error:
            if str(error).startswith("550"):
                return False
            raise
        return True

    def read(self, path: str) -> bytes | None:
        content = io.BytesIO()
        try:
            self.ftp.retrbinary(f"RETR {self._at(path)}", content.write)
        except ftplib.error_perm as error:
            if not str(error).startswith("550"):
                raise
            name = PurePosixPath(path).name
            folder = str(PurePosixPath(path).parent)
            if name in self._list("" if folder == "." else folder)[0]:
                raise  # it is there, but may not be read
            return None
        return content.getvalue()

    def write(self, path: str, data: bytes) -> None:
        self._make_folders(PurePosixPath(self._at(path)).parent)
        self.ftp.storbinary(f"STOR {self._at(path)}", io.BytesIO(data))

    def _make_folders(self, folder: PurePosixPath) -> None:
        path = str(folder)
        if path in self._folders or path in ("/", "."):
            return
        if not self._is_folder(path):
            self._make_folders(folder.parent)
            self.ftp.mkd(path)
        self._folders.add(path)

    def rename(self, old: str, new: str) -> None:
        self._set_time(old)
        try:
            self.ftp.rename(self._at(old), self._at(new))
        except ftplib.error_perm:
            # Some servers never rename over a file. There, the file is gone for a moment.
            if self.read(new) is None:
                raise
            self.ftp.delete(self._at(new))
            self.ftp.rename(self._at(old), self._at(new))

    def _set_time(self, path: str) -> None:
        """By MFMT, as many servers know it (an Internet-Draft, draft-somers-ftp-mfxx-04)."""
        if not self._sets_times:
            return
        try:
            self.ftp.voidcmd(f"MFMT {self._opened} {self._at(path)}")
        except ftplib.error_perm as error:  # an unknown command, or a file that is another's
            self._sets_times = str(error)[:3] not in UNKNOWN_COMMAND

    def level(self, paths: Sequence[str]) -> None:
        for path in paths if len(paths) <= FEW else ():
            self._set_time(path)

    def remove(self, path: str) -> None:
        try:
            self.ftp.delete(self._at(path))
        except ftplib.error_perm:
            if self.read(path) is not None:
                raise

    def remove_folder(self, path: str) -> None:
        self._folders.discard(self._at(path))
        try:
            self.ftp.rmd(self._at(path))
        except ftplib.error_perm:
            return  # not empty or not there: both are fine

    def close(self) -> None:
        self.ftp.close()


def _entry(about: Mapping[str, str]) -> HostFile:
    size = about.get("size", "")
    modified = about.get("modify", "")[:14]  # UTC, RFC 3659 section 7.5.3
    changed = None
    if len(modified) == 14 and modified.isdecimal():
        changed = float(calendar.timegm(time.strptime(modified, "%Y%m%d%H%M%S")))
    return HostFile(int(size) if size.isdecimal() else None, changed)
