"""Publishing to real servers on loopback: each kind of host, in good and in bad hours."""

from __future__ import annotations

import contextlib
import itertools
import logging
import os
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any
from urllib.request import urlopen

import pytest

from hosts import Host, ftp, nginx, s3, sftp, webdav
from hosts.cutter import Cutter, breaking_line
from hosts.sites import Site, a_site, broken_portals, on_disk, portal, seen
from nightly import IS_NIGHTLY, some_of
from sitegen.practice.address import read_address
from sitegen.publish import Report, publish
from sitegen.publish.manifest import MANIFEST
from sitegen.publish.store import DEEPEST, HostFile, all_below
from sitegen.publish.stores import open_store
from sitegen.site.folder import write_site

Serve = Callable[[Path], AbstractContextManager[Host]]


@contextlib.contextmanager
def folder(place: Path, *, read_only: bool = False) -> Iterator[Host]:
    root = place / "root"
    root.mkdir(parents=True)
    yield Host(str(root), 0, root)


@contextlib.contextmanager
def ftps(place: Path) -> Iterator[Host]:
    with ftp.serve(place, tls=True) as host:
        yield host


@contextlib.contextmanager
def old_ftp(place: Path) -> Iterator[Host]:
    with ftp.serve(place, old=True) as host:
        yield host


KINDS: dict[str, Serve] = {
    "folder": folder,
    "sftp": sftp.serve,
    "s3": s3.serve,
    "webdav": webdav.serve,
    "ftp": ftp.serve,
    "old-ftp": old_ftp,
    "ftps": ftps,
}
REMOTE = ["sftp", "s3", "webdav", "ftp"]
BY_DAY = some_of(REMOTE, "sftp", "webdav", "ftp")  # S3's library is slow to begin


@contextlib.contextmanager
def started(kind: str, place: Path, patch: pytest.MonkeyPatch) -> Iterator[Host]:
    patch.setenv("HOME", str(place))  # nothing of the person who runs the tests takes part
    patch.delenv("SITEGEN_PASSWORD", raising=False)
    with KINDS[kind](place) as host:
        for name, value in host.environ.items():
            patch.setenv(name, value)
        yield host


def quickly(site: Site, target: str, **more: Any) -> Report:
    """Publish without waiting between tries."""
    return publish(site, target, sleep=lambda seconds: None, **more)


@pytest.mark.parametrize("kind", KINDS)
def test_a_host_ends_up_holding_the_site_and_only_what_changed_travels(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = a_site("v1"), a_site("v1", "abce") | {"index.html": b"changed"}
    with started(kind, tmp_path, monkeypatch) as host:
        target = f"{host.address}/site"
        tried = quickly(first, target, dry_run=True)
        assert (set(tried.uploaded), on_disk(host.root)) == (set(first), {})

        sent = quickly(first, target)
        assert (sent.problems, set(sent.uploaded)) == ((), set(first))
        assert seen(on_disk(host.root / "site")) == first

        again = quickly(first, target)
        assert (again.problems, again.uploaded, again.removed) == ((), (), ())
        assert set(again.unchanged) == set(first)

        changed = quickly(second, target)
        assert changed.problems == ()
        assert changed.uploaded == (portal("e"), f"feeds/{'e' * 32}.ics", "index.html")
        assert set(changed.removed) == {portal("d"), f"feeds/{'d' * 32}.ics"}
        assert seen(on_disk(host.root / "site")) == second
        assert [p for p in on_disk(host.root / "site") if ".sitegen-" in p] == [MANIFEST]
        assert not (host.root / "site" / portal("d")).parent.exists()


@pytest.mark.parametrize("kind", KINDS)
def test_other_peoples_files_stay_and_a_foreign_folder_is_refused(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    theirs = {"holiday.txt": b"mine", "blog/index.html": b"mine too", "index.html": b"my page"}
    with started(kind, tmp_path, monkeypatch) as host:
        for path, data in theirs.items():
            (host.root / path).parent.mkdir(parents=True, exist_ok=True)
            (host.root / path).write_bytes(data)

        refused = quickly(a_site("v1"), host.address)
        assert [problem.code for problem in refused.problems] == ["target-foreign"]
        assert on_disk(host.root) == theirs

        adopted = quickly(a_site("v1"), host.address, adopt=True)
        emptied = quickly(a_site("v2", ""), host.address)
        assert (adopted.problems, emptied.problems) == ((), ())
        expected = theirs | a_site("v2", "")
        assert seen(on_disk(host.root)) == expected
        assert set(emptied.kept) == {"holiday.txt", "blog/index.html"}


@pytest.mark.parametrize("kind", REMOTE)
def test_a_wrong_secret_is_told_and_no_secret_is_printed(
    kind: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
    caplog: pytest.LogCaptureFixture,
) -> None:
    caplog.set_level(logging.DEBUG)
    with started(kind, tmp_path, monkeypatch) as host:
        for name, value in host.wrong.items():
            monkeypatch.setenv(name, value)
        report = quickly(a_site("v1"), host.address)

    assert [problem.code for problem in report.problems] in (["publish-secret"], ["publish-denied"])
    assert report.problems[0].hint
    told = repr(report) + "".join(map(str, report.problems)) + "".join(capfd.readouterr())
    told += caplog.text
    secrets = {host.secret, *(v for k, v in host.wrong.items() if "SECRET" in k or "PASS" in k)}
    assert [secret for secret in secrets if secret and secret in told] == []
    assert "Traceback" not in told
    assert on_disk(host.root) == {}


@pytest.mark.parametrize("kind", ["sftp", "webdav", "ftp"])  # rclone's S3 only stalls
def test_a_read_only_target_is_told_and_keeps_what_it_has(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    servers = {"sftp": sftp.serve, "webdav": webdav.serve, "ftp": ftp.serve}
    old = a_site("v1")
    monkeypatch.setenv("HOME", str(tmp_path))
    with servers[kind](tmp_path, read_only=True) as host:
        for name, value in host.environ.items():
            monkeypatch.setenv(name, value)
        quickly(old, str(host.root))
        before = on_disk(host.root)
        report = quickly(a_site("v2"), host.address)

        assert len(report.problems) == 1
        assert report.problems[0].message.startswith("writing to the host: ")
        assert set(report.skipped) == {p for p in a_site("v2") if a_site("v2")[p] != old.get(p)} | {
            p for p in old if p not in a_site("v2")
        }
        assert on_disk(host.root) == before


def through(line: Cutter, host: Host, patch: pytest.MonkeyPatch) -> str:
    """The host's address by way of a line that can be cut."""
    if "AWS_ENDPOINT_URL" in host.environ:
        patch.setenv("AWS_ENDPOINT_URL", f"http://127.0.0.1:{line.port}")
        return host.address
    known = Path(host.environ.get("HOME", "/nowhere")) / ".ssh/known_hosts"
    if known.exists():
        key = known.read_text().splitlines()[0].split(" ", 1)[1]
        known.write_text(f"{known.read_text().strip()}\n[127.0.0.1]:{line.port} {key}\n")
    return host.address.replace(f":{host.port}", f":{line.port}")


def torn(files: Site, old: Site, new: Site) -> list[str]:
    """Files that are neither the old one nor the new one, whole."""
    return sorted(p for p, data in seen(files).items() if data not in (old.get(p), new.get(p)))


# test_publish_faults.py cuts at every step; here it is real servers that count.
CUTS = 5 if IS_NIGHTLY else 3


@pytest.mark.parametrize("kind", BY_DAY)
def test_a_cut_line_leaves_whole_portals_and_the_next_run_finishes(
    kind: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
    record_property: Callable[[str, object], None],
) -> None:
    """Cut after each third of what the client sends, by night each fifth. FTP's files go on lines
    of their own."""
    old, new = a_site("v1", "abc"), a_site("v2", "abd")
    record_property("trials", CUTS)
    stopped = 0
    with started(kind, tmp_path, monkeypatch) as host, breaking_line(host.port) as line:
        target = through(line, host, monkeypatch)
        line.allow(None)
        assert quickly(old, f"{target}/whole").ok
        line.allow(None)
        assert quickly(new, f"{target}/whole").ok
        whole_run = line.carried
        for number in range(CUTS):
            place = f"run{number}"
            line.allow(None)
            assert quickly(old, f"{target}/{place}").ok
            line.allow(whole_run * number // CUTS)
            cut = quickly(new, f"{target}/{place}", retries=0)
            stopped += not cut.ok
            files = on_disk(host.root / place)
            assert (number, broken_portals(files, old, new)) == (number, [])
            assert (number, torn(files, old, new)) == (number, [])

            line.allow(None)
            finished = quickly(new, f"{target}/{place}")
            assert (number, finished.problems) == (number, ())
            assert seen(on_disk(host.root / place)) == new
            assert [p for p in on_disk(host.root / place) if ".sitegen-" in p] == [MANIFEST]
    assert stopped >= CUTS - 1  # the last cut may come when all is done
    assert "Traceback" not in "".join(capfd.readouterr())


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks for workers in /proc")
# Not SFTP: stopped while it holds a lock, its library at times never closes. docs/publishing.md
# says so; what a cut line leaves on such a host is tested above.
@pytest.mark.parametrize(
    ("kind", "part"),
    some_of(
        list(itertools.product(("s3", "webdav", "ftp", "ftps"), (0, 2))),
        ("ftp", 2),
    ),
)  # fmt: skip
def test_ctrl_c_leaves_every_file_whole_and_the_next_run_finishes(
    kind: str, part: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A real signal to a real publish: as it begins, or after half of the files; by night both."""
    from test_stopping import PRACTICE, Command

    letters = "abcdefghijklmnopqrstuvwxyz"
    old, new = a_site("v1", letters), a_site("v2", letters[:-1] + "0")
    home = tmp_path / "coach"
    (home / "clients").mkdir(parents=True)
    (home / "clients" / "practice.yaml").write_text(PRACTICE)
    with started(kind, tmp_path / "host", monkeypatch) as host:
        target = f"{host.address}/site"
        write_site(new, home / "public")
        fresh = {path: data for path, data in new.items() if old.get(path) != data}

        def come() -> int:
            with contextlib.suppress(FileNotFoundError):  # renamed while we look
                there = on_disk(host.root / "site")
                return sum(there.get(path) == data for path, data in fresh.items())
            return 0

        status, out, last = 0, "", ""
        tries = 0
        while status == 0 and (tries := tries + 1) <= 5:  # it may be done before the signal comes
            assert quickly(old, target).ok
            command = Command(home, "publish", target, "--replace-newer")
            while command.process.poll() is None and come() < max(len(fresh) * part // 4, 1):
                time.sleep(0.002)
            running = command.process.poll() is None
            status, out, last = command.stops() if running else command.ends()

        assert (status, out) == (130, "")
        assert last == (
            "sitegen: stopped; every portal on the host is whole, old or new; publish again to "
            "finish\n"
        )
        there = on_disk(host.root / "site")
        assert torn(there, old, new) == [] and broken_portals(there, old, new) == []
        assert seen(there) not in (old, new), "it was stopped in the middle"
        assert [p for p in there if ".sitegen-" in p] == [MANIFEST], "no half file, no lock"

        assert Command(home, "publish", target).ends()[0] == 0
        assert seen(on_disk(host.root / "site")) == new


@pytest.mark.parametrize("kind", BY_DAY)
def test_a_line_that_breaks_once_is_taken_up_again(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pauses: list[float] = []
    with started(kind, tmp_path, monkeypatch) as host, breaking_line(host.port) as line:
        target = through(line, host, monkeypatch)
        line.allow(None)
        assert publish(a_site("v1"), f"{target}/a", sleep=pauses.append).ok
        assert pauses == []
        line.allow(line.carried // 2, heals=True)
        report = publish(a_site("v1"), f"{target}/b", sleep=pauses.append, chance=lambda: 0.0)

        assert (report.problems, line.cuts) == ((), 1)
        # An HTTP client may take a broken idle line up again by itself, without a pause.
        assert pauses in ([0.5], [] if kind in ("s3", "webdav") else [0.5])
        assert seen(on_disk(host.root / "b")) == a_site("v1")


@pytest.mark.parametrize("kind", ["folder", *BY_DAY])
def test_two_publishes_at_once_leave_one_of_the_two_sites(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old, ours, theirs = a_site("v0", "abc"), a_site("v1", "abcd"), a_site("v2", "abce")
    with started(kind, tmp_path, monkeypatch) as host:
        target = f"{host.address}/site"
        assert quickly(old, target).ok
        gate = threading.Barrier(2)
        reports: dict[str, Report] = {}

        def run(name: str, site: Site, skew_s: float) -> None:
            gate.wait()
            reports[name] = publish(site, target, now=lambda: 1_000_000.0 + skew_s)

        threads = [
            threading.Thread(target=run, args=("ours", ours, 0.0)),
            threading.Thread(target=run, args=("theirs", theirs, 400_000.0)),
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(60)

        codes = {problem.code for report in reports.values() for problem in report.problems}
        assert len(reports) == 2
        assert codes <= {"publish-locked"}
        files = on_disk(host.root / "site")
        assert seen(files) in (ours, theirs)
        last = quickly(ours, target)
        assert last.problems == ()
        assert seen(on_disk(host.root / "site")) == ours


def test_a_folder_that_another_publish_took_meanwhile_is_made_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with started("sftp", tmp_path, monkeypatch) as host:
        store = open_store(read_address(f"{host.address}/site"), os.environ)
        store.write("a/one", b"1")
        (host.root / "site/a/one").unlink()
        (host.root / "site/a").rmdir()
        store.write("a/two", b"2")
        store.close()
        assert (host.root / "site/a/two").read_bytes() == b"2"


def test_an_unknown_ssh_host_is_not_trusted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with started("sftp", tmp_path, monkeypatch) as host:
        (Path(host.environ["HOME"]) / ".ssh/known_hosts").write_text("")
        report = quickly(a_site("v1"), host.address)

    assert [problem.code for problem in report.problems] == ["publish-stranger"]
    assert "compare the fingerprint" in report.problems[0].hint


def test_ssh_settings_are_taken_from_the_usual_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with started("sftp", tmp_path, monkeypatch) as host:
        home = Path(host.environ["HOME"])
        user = host.address.removeprefix("sftp://").partition("@")[0]
        (home / ".ssh/config").write_text(
            f"Host track\n HostName 127.0.0.1\n Port {host.port}\n User {user}\n"
        )
        report = quickly(a_site("v1"), f"sftp://track{host.root}/by-name")

        assert report.problems == ()
        assert seen(on_disk(host.root / "by-name")) == a_site("v1")


def test_an_ftps_certificate_that_nobody_vouches_for_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with started("ftps", tmp_path, monkeypatch) as host:
        monkeypatch.delenv("SSL_CERT_FILE")
        report = quickly(a_site("v1"), host.address)

    assert [problem.code for problem in report.problems] == ["publish-stranger"]


def test_a_password_can_come_from_the_netrc_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with started("ftp", tmp_path, monkeypatch) as host:
        monkeypatch.delenv("SITEGEN_PASSWORD")
        netrc = tmp_path / ".netrc"
        netrc.write_text(f"machine 127.0.0.1 login {ftp.USER} password {ftp.SECRET}\n")
        netrc.chmod(0o644)
        refused = quickly(a_site("v1"), host.address)
        netrc.chmod(0o600)
        report = quickly(a_site("v1"), host.address)

    assert [problem.code for problem in refused.problems] == ["publish-netrc"]
    assert report.problems == ()


def test_a_missing_bucket_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with started("s3", tmp_path, monkeypatch):
        report = quickly(a_site("v1"), "s3://no-such-bucket/site")

    assert [problem.code for problem in report.problems] == ["publish-missing"]


def test_a_host_that_does_not_answer_is_told_after_growing_pauses() -> None:
    pauses: list[float] = []
    report = publish(
        a_site("v1"), "ftp://127.0.0.1:1/site", sleep=pauses.append, chance=lambda: 0.0
    )

    assert pauses == [0.5, 1.0, 2.0, 4.0]
    assert [problem.code for problem in report.problems] == ["publish-cut"]


@pytest.mark.parametrize("kind", REMOTE)
def test_a_host_that_takes_the_call_and_never_speaks_is_given_up(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from sitegen.publish import store_fsspec, store_ftp, store_sftp, store_webdav

    for module in (store_fsspec, store_ftp, store_sftp, store_webdav):
        monkeypatch.setattr(module, "WAIT_S", 0.3)
    with started(kind, tmp_path, monkeypatch) as host, breaking_line(host.port) as line:
        target = through(line, host, monkeypatch)
        line.hold = True
        report = quickly(a_site("v1"), target, retries=1)

    assert [problem.code for problem in report.problems] == ["publish-cut"]


def test_objects_in_a_bucket_carry_their_type_and_how_long_they_keep(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from sitegen.publish.store_fsspec import content_type

    with started("s3", tmp_path, monkeypatch) as host:
        assert quickly(a_site("v1"), host.address).ok
        import s3fs

        system = s3fs.S3FileSystem(skip_instance_cache=True)
        bucket = host.address.removeprefix("s3://")
        page = system.call_s3("head_object", Bucket=bucket, Key=portal("a"))
        style = system.call_s3("head_object", Bucket=bucket, Key="assets/page.v1.css")

    assert page["ContentType"] == "text/html; charset=utf-8"
    assert style["ContentType"] == "text/css"
    assert content_type("feeds/x.ics") == "text/calendar; charset=utf-8"
    assert content_type("assets/x.js") == "text/javascript"


def test_a_folder_behind_a_web_server_serves_whole_pages_while_it_is_published(
    tmp_path: Path,
) -> None:
    old, new = a_site("v1"), a_site("v2")
    with nginx.serve(tmp_path) as host:
        target = str(host.root)
        assert quickly(old, target).ok
        wrong: list[bytes] = []
        count = 0

        def fetch(path: str) -> bytes:
            with urlopen(f"{host.address}/{path}", timeout=60) as answer:
                return bytes(answer.read())

        def look(step: object) -> None:
            nonlocal count
            for client in "abcd":
                count += 1
                page = fetch(portal(client))
                if page not in (old[portal(client)], new[portal(client)]):
                    wrong.append(page)
                version = "v1" if page == old[portal(client)] else "v2"
                fetch(f"assets/page.{version}.js")  # an error if the page's asset is not there

        assert quickly(new, target, progress=look).ok
        assert wrong == []
        assert count > 40
        assert fetch("index.html") == new["index.html"]
        assert fetch(f"feeds/{'a' * 32}.ics") == new[f"feeds/{'a' * 32}.ics"]
        with pytest.raises(OSError, match="404"):
            fetch(MANIFEST)


def test_a_folder_that_leads_to_itself_has_an_end() -> None:
    """As a server may show a link: FTP went down in it without one."""
    found = all_below(lambda folder: ({"a.html": HostFile(1)}, frozenset({"again"})))

    assert len(found) == DEEPEST + 1 > 3
    assert f"{'again/' * DEEPEST}a.html" in found
