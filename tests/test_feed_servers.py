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
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.error import URLError
from urllib.request import ProxyHandler, Request, build_opener

import pytest
from feed.plans import FEED_ID, SECOND_BUILD, built, habit, plan_of
from icalendar import Calendar

from sitegen.portal.feed import lasting_uid


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
    before = built(habit(2))
    (host[0] / "feed.ics").write_bytes(before)
    at_first = subscriber.events()

    moved = replace(first, on=first.on + timedelta(days=1), at=time(6, 30))
    after = built(plan_of(moved, *others), before=before, stamp=SECOND_BUILD)
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
        process.wait(10)
        log.close()


def put(address: str, text: bytes) -> int:
    """Send the feed as a whole calendar; the server's answer."""
    request = Request(address, text, {"Content-Type": "text/calendar; charset=utf-8"}, method="PUT")
    request.add_header(
        "Authorization", "Basic bWFyYTptYXJh"
    )  # any user: the test's server takes it
    try:
        with build_opener(ProxyHandler({})).open(request, timeout=60) as answer:
            return int(answer.status)
    except URLError as error:
        pytest.fail(f"the server refused the feed: {error}")


@needs("radicale", "caldav")
@pytest.mark.parametrize("mode", ["discreet", "full"])
def test_a_caldav_server_takes_the_feed_whole_and_finds_each_session_by_its_time(
    server: str, mode: str
):
    """Sixteen weeks over the end of summer time; the server does the searching."""
    import caldav

    before = built(habit(16), mode=mode)
    assert put(f"{server}/mara/plan/", before) == 201

    with caldav.DAVClient(server, username="mara", password="mara") as client:
        calendar = client.calendar(url=f"{server}/mara/plan/")
        assert len(calendar.events()) == 80
        # The Thursdays at 18:30 before and after 25 October 2026, to the minute
        for start in (
            datetime(2026, 10, 22, 17, 30, tzinfo=UTC),
            datetime(2026, 10, 29, 18, 30, tzinfo=UTC),
        ):
            minute = timedelta(minutes=1)
            for begin, count in ((start, 1), (start - minute, 0)):
                found = calendar.search(start=begin, end=begin + minute, event=True, expand=False)
                assert len(found) == count

        first, *others = habit(16).sessions
        moved = replace(first, on=first.on + timedelta(days=1), at=time(6, 30))
        after = built(plan_of(moved, *others), mode=mode, before=before, stamp=SECOND_BUILD)
        assert put(f"{server}/mara/plan/", after) in (200, 201, 204)
        assert len(calendar.events()) == 80
        kept = calendar.event_by_uid(lasting_uid(FEED_ID, first.id)).icalendar_component
        assert kept["SEQUENCE"] == 1
        assert kept["DTSTART"].dt.astimezone(UTC) == datetime(2026, 10, 6, 5, 30, tzinfo=UTC)
