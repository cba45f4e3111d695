"""A folder behind nginx."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

from hosts import LOOPBACK, Host, free_port, need, running


@contextlib.contextmanager
def serve(place: Path) -> Iterator[Host]:
    nginx = need("nginx", "nginx-light")
    port = free_port()
    root = place / "root"
    root.mkdir(parents=True)
    config = place / "nginx.conf"
    spare = "".join(
        f"{kind}_temp_path {place}/{kind};"
        for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    # The folders that pytest makes are closed to others, so nginx has to run as we do.
    user = "user root;" if os.geteuid() == 0 else ""
    config.write_text(
        f"{user} daemon off; pid {place}/pid; error_log {place}/error.log; events {{}}\n"
        f"http {{ access_log off; {spare} types {{ text/html html; text/calendar ics; }}\n"
        f" server {{ listen {LOOPBACK}:{port}; root {root};\n"
        "  location ~ /\\. { return 404; } } }\n"
    )
    words = [nginx, "-p", str(place), "-c", str(config), "-e", str(place / "error.log")]
    with running(words, port, place / "log"):
        yield Host(f"http://{LOOPBACK}:{port}", port, root)
