"""Real programs on loopback: a subscriber over http, and a CalDAV server that keeps the feed."""

from __future__ import annotations

import importlib.util
import os
import socket
import subprocess
import sys
import threading
import time as clock
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.error import URLError
from urllib.request import ProxyHandler, Request, build_opener
from xml.etree import ElementTree

import pytest
from icalendar import Calendar, Event

from feed.plans import FEED_ID, SECOND_DAY, built, habit, made, plan_of
from sitegen.feed.feed import lasting_uid


def needs(*modules: str) -> pytest.MarkDecorator:
    missing = [m for m in modules if importlib.util.find_spec(m) is None]
    return pytest.mark.skipif(bool(missing), reason=f"not installed: {', '.join(missing)}")


# A subscriber


class Quiet(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        pass


@pytest.fixture
def host(tmp_path: Path) -> Iterator[tuple[Path, str]]:
    """A folder, and the address under which it is served."""
    folder = tmp_path / "public"
    folder.mkdir()
    with ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(folder))) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield folder, f"http://127.0.0.1:{server.server_port}"
        server.shutdown()


@pytest.fixture
def subscriber(tmp_path: Path, host: tuple[Path, str]) -> Subscriber:
    return Subscriber(tmp_path, f"{host[1]}/feed.ics")


class Subscriber:
    """vdirsyncer: fetches an address over http and keeps each event as a file."""

    def __init__(self, folder: Path, address: str) -> None:
        self.kept = folder / "kept"
        self.config = folder / "config"
        self.config.write_text(
            f"""[general]
status_path = "{folder}/status/"
[pair plan]
a = "far"
b = "near"
collections = null
conflict_resolution = "a wins"
partial_sync = "ignore"
[storage far]
type = "http"
url = "{address}"
[storage near]
type = "filesystem"
path = "{self.kept}/"
fileext = ".ics"
"""
        )
        self.kept.mkdir()
        self.run("discover")

    def run(self, *words: str) -> None:
        environment = {k: v for k, v in os.environ.items() if not k.lower().endswith("_proxy")}
        done = subprocess.run(
            [sys.executable, "-m", "vdirsyncer", "-c", str(self.config), *words],
            capture_output=True,
            text=True,
            timeout=60,
            env=environment,
            input="y\n",
        )
        assert done.returncode == 0, done.stderr

    def events(self) -> dict[datetime | date, int]:
        """Each event's sequence by its start in UTC.

        By its start, as this subscriber gives every event of a feed a UID of its own.
        """
        self.run("sync", "--force-delete")
        found = [
            event
            for file in self.kept.iterdir()
            for event in Calendar.from_ical(file.read_bytes()).events
        ]
        starts = {in_utc(event["DTSTART"].dt): int(event["SEQUENCE"]) for event in found}
        assert len(starts) == len(found), "a session is there twice"
        return starts


def in_utc(start: datetime | date) -> datetime | date:
    return start.astimezone(UTC) if isinstance(start, datetime) else start


@needs("vdirsyncer")
def test_a_subscriber_sees_a_moved_session_once_and_a_cancelled_one_no_more(
    subscriber: Subscriber, host: tuple[Path, str]
):
    first, _strength, *others = habit(2).sessions
    before = made(habit(2))
    (host[0] / "feed.ics").write_bytes(before.text)
    at_first = subscriber.events()

    moved = first._replace(on=first.on + timedelta(days=1), at=time(6, 30))
    after = built(plan_of(moved, *others), after=before, day=SECOND_DAY)
    (host[0] / "feed.ics").write_bytes(after)
    later = subscriber.events()

    monday, strength = utc(2026, 10, 5, 17, 30), utc(2026, 10, 6, 6, 0)
    assert len(at_first) == 10 and set(at_first.values()) == {0}
    assert monday in at_first and strength in at_first
    del at_first[monday], at_first[strength]
    assert later == at_first | {utc(2026, 10, 6, 5, 30): 1}


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[misc, arg-type]


# A CalDAV server


CALDAV = "urn:ietf:params:xml:ns:caldav"


@pytest.fixture
def server(tmp_path: Path) -> Iterator[str]:
    """Radicale on a free port, with an empty store. Gives its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    config = tmp_path / "radicale.conf"
    config.write_text(
        f"[server]\nhosts = 127.0.0.1:{port}\n[auth]\ntype = none\n[rights]\ntype = authenticated\n"
        f"[storage]\nfilesystem_folder = {tmp_path}/store\n"
    )
    log = (tmp_path / "radicale.log").open("w")
    process = subprocess.Popen(
        [sys.executable, "-m", "radicale", "--config", str(config)], stdout=log, stderr=log
    )
    try:
        for _ in range(100):
            try:
                socket.create_connection(("127.0.0.1", port), 0.2).close()
                break
            except OSError:
                clock.sleep(0.1)
        yield f"http://127.0.0.1:{port}"
    finally:
        process.terminate()
        process.wait(60)
        log.close()


USER = "Basic bWFyYTptYXJh"  # any user will do: the test's server asks nobody for a password


def ask(method: str, address: str, body: bytes, content: str, **headers: str) -> tuple[int, bytes]:
    """The server's answer: status and body."""
    headers |= {"Content-Type": f"{content}; charset=utf-8", "Authorization": USER}
    request = Request(address, body, headers, method=method)
    try:
        with build_opener(ProxyHandler({})).open(request, timeout=60) as answer:
            return answer.status, answer.read()
    except URLError as error:
        pytest.fail(f"the server refused: {error}")


def found_between(address: str, start: datetime, end: datetime) -> list[Event]:
    """What the server itself finds in that time. Source of the query: RFC 4791 section 7.8."""
    begin, stop = (moment.strftime("%Y%m%dT%H%M%SZ") for moment in (start, end))
    query = f"""<c:calendar-query xmlns:d="DAV:" xmlns:c="{CALDAV}">
<d:prop><c:calendar-data/></d:prop>
<c:filter><c:comp-filter name="VCALENDAR"><c:comp-filter name="VEVENT">
<c:time-range start="{begin}" end="{stop}"/>
</c:comp-filter></c:comp-filter></c:filter></c:calendar-query>"""
    status, answer = ask("REPORT", address, query.encode(), "application/xml", Depth="1")
    assert status == 207
    data = ElementTree.fromstring(answer).iter(f"{{{CALDAV}}}calendar-data")
    return [event for each in data for event in Calendar.from_ical(each.text or "").events]


@needs("radicale")
def test_a_caldav_server_takes_the_feed_whole_and_finds_each_session_by_its_time(server: str):
    """Eight weeks over the end of summer time. The server places the times by itself."""
    address = f"{server}/mara/plan/"
    before = made(habit(8), mode="full")
    assert ask("PUT", address, before.text, "text/calendar")[0] == 201

    whole = datetime(2026, 1, 1, tzinfo=UTC), datetime(2028, 1, 1, tzinfo=UTC)
    assert len(found_between(address, *whole)) == 40
    minute = timedelta(minutes=1)
    # The Thursdays at 18:30 before and after 25 October 2026, 30 minutes each
    for start in (utc(2026, 10, 22, 17, 30), utc(2026, 10, 29, 18, 30)):
        end = start + timedelta(minutes=30)
        assert found_between(address, start - minute, start) == []
        assert len(found_between(address, start, start + minute)) == 1
        assert len(found_between(address, end - minute, end)) == 1
        assert found_between(address, end, end + minute) == []

    first, *others = habit(8).sessions
    moved = first._replace(on=first.on + timedelta(days=1), at=time(6, 30))
    after = built(plan_of(moved, *others), mode="full", after=before, day=SECOND_DAY)
    assert ask("PUT", address, after, "text/calendar")[0] in (200, 201, 204)

    kept = {str(event["UID"]): event for event in found_between(address, *whole)}
    event = kept[lasting_uid(FEED_ID, first.id)]
    assert len(kept) == 40
    assert event["SEQUENCE"] == 1
    assert in_utc(event["DTSTART"].dt) == utc(2026, 10, 6, 5, 30)
