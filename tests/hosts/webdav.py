"""A WebDAV server (wsgidav on cheroot) that asks for a password."""

from __future__ import annotations

import contextlib
import logging
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from hosts import LOOPBACK, Host, wait_for

USER, SECRET = "coach", "bramble-secret-55"


@contextlib.contextmanager
def serve(place: Path, *, read_only: bool = False) -> Iterator[Host]:
    pytest.importorskip("wsgidav", reason="wsgidav is missing: install it from PyPI")
    pytest.importorskip("cheroot", reason="cheroot is missing: install it from PyPI")
    from cheroot.wsgi import Server
    from wsgidav.fs_dav_provider import FilesystemProvider
    from wsgidav.wsgidav_app import WsgiDAVApp

    root = place / "root"
    root.mkdir(parents=True)
    logging.getLogger("wsgidav").setLevel(logging.CRITICAL)
    app = WsgiDAVApp(
        {
            "provider_mapping": {"/": FilesystemProvider(str(root), readonly=read_only)},
            "simple_dc": {"user_mapping": {"*": {USER: {"password": SECRET}}}},
            "http_authenticator": {"accept_basic": True, "accept_digest": False,
                                   "default_to_digest": False},
            "verbose": 0,
            "logging": {"enable_loggers": []},
        }
    )  # fmt: skip
    server = Server((LOOPBACK, 0), app, numthreads=4, server_name="loopback")
    server.shutdown_timeout = 1
    server.prepare()
    port = int(server.bind_addr[1])
    thread = threading.Thread(target=server.serve, daemon=True)
    thread.start()
    try:
        wait_for(port)
        yield Host(
            f"webdav+http://{USER}@{LOOPBACK}:{port}",
            port,
            root,
            environ={"SITEGEN_PASSWORD": SECRET},
            wrong={"SITEGEN_PASSWORD": "nettle-wrong-22"},
            secret=SECRET,
        )
    finally:
        server.stop()
        thread.join(5)
