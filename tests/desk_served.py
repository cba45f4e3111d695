"""A desk that is served in this process, for tests: the demo practice, and requests as a page makes
them, or as somebody makes them who should not."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from http.client import HTTPConnection
from pathlib import Path
from typing import Any, NamedTuple

from sitegen.desk.panels import PANELS
from sitegen.desk.server import ONCE_HEADER, TOKEN_HEADER, Desk
from sitegen.desk.warm import Warm

ROOT = Path(__file__).resolve().parent.parent
DAY = date(2027, 3, 18)


class Answer(NamedTuple):
    status: int
    text: str
    headers: Mapping[str, str]

    @property
    def json(self) -> Any:
        return json.loads(self.text)


def lay_practice(folder: Path) -> Path:
    """The demo's clients, one with an urgent sign and words that carry markup."""
    clients = folder / "clients"
    shutil.copytree(ROOT / "clients", clients, ignore=shutil.ignore_patterns(".*"))
    log = clients / "nia.log.yaml"
    log.write_text(
        log.read_text()
        + "- on: 2027-03-17\n  signs: [chest_pain]\n  said: <script>alert(1)</script> & so on\n"
    )
    return clients


@contextmanager
def served(clients: Path, watches: bool = False, **how: Any) -> Iterator[Desk]:
    """The desk of a practice, until the end of ``with``."""
    with Desk(Warm(clients, clients.parent / "public", DAY), PANELS, 0, watches, **how) as desk:
        yield desk


def raw(
    desk: Desk, path: str, method: str = "GET", body: str = "", port: int = 0, **headers: str
) -> Answer:
    """One request with just these headers; ``_`` in a name stands for ``-``."""
    connection = HTTPConnection("127.0.0.1", port or desk.port, timeout=60)
    connection.putrequest(method, path, skip_host="Host" in headers)
    for name, value in headers.items():
        connection.putheader(name.replace("_", "-"), value)
    if body:
        connection.putheader("Content-Length", str(len(body.encode())))
    connection.endheaders(body.encode() if body else None)
    response = connection.getresponse()
    found = Answer(response.status, response.read().decode(), dict(response.getheaders()))
    connection.close()
    return found


class Visitor:
    """A page that came in."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        once = desk.new_address().partition("#")[2]
        answer = raw(desk, "/enter", "POST", **{ONCE_HEADER: once})
        self.token = answer.json["token"]

    def get(self, path: str) -> Answer:
        return raw(self.desk, path, **{TOKEN_HEADER: self.token})

    def post(self, path: str, sent: object) -> Answer:
        headers = {TOKEN_HEADER: self.token, "Content-Type": "application/json"}
        return raw(self.desk, path, "POST", json.dumps(sent), **headers)

    def show(self, act: str, **given: object) -> Answer:
        """An act shown: JSON with ``html``, and a ``ticket`` where it can be done."""
        return self.post(f"/act/{act}", {"given": given})

    def do(self, act: str, **given: object) -> Answer:
        """An act shown, and done."""
        return self.post(f"/act/{act}", {"ticket": self.show(act, **given).json["ticket"]})
