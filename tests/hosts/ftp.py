"""An FTP server (pyftpdlib), also inside TLS with a certificate made for the test."""

from __future__ import annotations

import contextlib
import datetime
import ipaddress
import logging
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from hosts import LOOPBACK, Host, wait_for

USER, SECRET = "coach", "thistle-secret-99"
READ_ONLY, ALL = "elr", "elradfmwMT"


@contextlib.contextmanager
def serve(
    place: Path, *, read_only: bool = False, tls: bool = False, old: bool = False
) -> Iterator[Host]:
    """``old``: no MLSD and no MFMT, hides no file, and refuses to rename over one."""
    pytest.importorskip("pyftpdlib", reason="pyftpdlib is missing: install it from PyPI")
    from pyftpdlib.authorizers import DummyAuthorizer
    from pyftpdlib.filesystems import AbstractedFS, FilesystemError
    from pyftpdlib.handlers import FTPHandler
    from pyftpdlib.servers import FTPServer

    logging.getLogger("pyftpdlib").setLevel(logging.CRITICAL)
    root = place / "root"
    root.mkdir(parents=True)
    people = DummyAuthorizer()
    people.add_user(USER, SECRET, str(root), perm=READ_ONLY if read_only else ALL)

    kind: Any = FTPHandler
    if tls:
        pytest.importorskip("OpenSSL", reason="pyOpenSSL is missing: install it from PyPI")
        from pyftpdlib.handlers import TLS_FTPHandler

        kind = TLS_FTPHandler

    class Handler(kind):  # type: ignore[misc]
        authorizer = people
        auth_failed_timeout = 0
        use_sendfile = False

    environ = {"SITEGEN_PASSWORD": SECRET}
    if tls:
        certificate = _certificate(place)
        Handler.certfile = str(certificate)
        Handler.tls_control_required = Handler.tls_data_required = True
        environ["SSL_CERT_FILE"] = str(certificate)
    if old:

        class Strict(AbstractedFS):  # type: ignore[misc]
            def rename(self, src: str, dst: str) -> None:
                if Path(dst).exists():
                    raise FilesystemError("file exists")
                super().rename(src, dst)

        Handler.abstracted_fs = Strict
        new = ("MLSD", "MFMT")
        Handler.proto_cmds = {k: v for k, v in FTPHandler.proto_cmds.items() if k not in new}
    server = FTPServer((LOOPBACK, 0), Handler)
    port = server.socket.getsockname()[1]
    ending = threading.Event()

    def loop() -> None:
        while not ending.is_set():
            server.serve_forever(timeout=0.02, blocking=False, handle_exit=False)

    thread = threading.Thread(target=loop, daemon=True)
    thread.start()
    try:
        wait_for(port)
        yield Host(
            f"{'ftps' if tls else 'ftp'}://{USER}@{LOOPBACK}:{port}",
            port,
            root,
            environ=environ,
            wrong=environ | {"SITEGEN_PASSWORD": "nettle-wrong-11"},
            secret=SECRET,
        )
    finally:
        ending.set()
        thread.join(5)
        server.close_all()


def _certificate(place: Path) -> Path:
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec

    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "loopback")])
    today = datetime.datetime.now(datetime.UTC)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(today - datetime.timedelta(days=1))
        .not_valid_after(today + datetime.timedelta(days=1))
        .add_extension(
            x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address(LOOPBACK))]), False
        )
        .sign(key, hashes.SHA256())
    )
    path = place / "host.pem"
    path.write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
        + certificate.public_bytes(serialization.Encoding.PEM)
    )
    return path
