"""No time of a file, on a host or here, says which portal and feed are one client's."""

from __future__ import annotations

import os
from contextlib import ExitStack
from pathlib import Path

import pytest

from hosts import ftp, sftp
from hosts.sites import a_site, on_disk, portal
from sitegen.site.folder import write_site
from test_publish_hosts import quickly


def times(root: Path) -> set[int]:
    """Seconds at which portals and feeds were written."""
    names = [n for n in on_disk(root) if n.startswith("feeds/") or n.endswith("/index.html")]
    assert len(names) == 16
    return {(root / name).stat().st_mtime_ns for name in names}


def test_all_files_of_a_build_have_one_time(tmp_path: Path) -> None:
    site = a_site("v1", "abcdefgh")

    write_site(site, tmp_path / "public")
    assert len(times(tmp_path / "public")) == 1
    new = a_site("v2", "abcdefgh")
    write_site(new, tmp_path / "public", exchange=False)
    assert len(times(tmp_path / "public")) == 1


SERVERS = {"sftp": sftp.serve, "ftp": ftp.serve}


@pytest.mark.parametrize("kind", ["folder", *SERVERS])
def test_all_files_of_a_publish_have_one_time(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where a single client was published: the times of the others go along."""
    site = a_site("v1", "abcdefgh")
    only_a = {**site, portal("a"): b"changed", f"feeds/{'a' * 32}.ics": b"changed"}
    with ExitStack() as held:
        if kind == "folder":
            root, address = tmp_path / "host", str(tmp_path / "host")
        else:
            monkeypatch.setenv("HOME", str(tmp_path))
            host = held.enter_context(SERVERS[kind](tmp_path))
            for name, value in host.environ.items():
                monkeypatch.setenv(name, value)
            root, address = host.root, host.address
        assert not quickly(site, address).problems
        for path in root.rglob("*.*"):
            os.utime(path, (1_000_000_000, 1_000_000_000))  # it lay there for long
        report = quickly(only_a, address)

        assert set(report.uploaded) == {portal("a"), f"feeds/{'a' * 32}.ics"}
        found = times(root)
        assert len(found) == 1 and min(found) > 1_700_000_000 * 10**9


def test_a_server_that_sets_no_times_gets_all_files_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with ftp.serve(tmp_path, old=True) as host:
        for name, value in host.environ.items():
            monkeypatch.setenv(name, value)
        assert not quickly(a_site("v1"), host.address).problems
        assert not quickly(a_site("v2"), host.address).problems
