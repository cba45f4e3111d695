"""No time of a file, on a host or here, says which portal and feed are one client's."""

from __future__ import annotations

from pathlib import Path

import pytest

from hosts import sftp
from hosts.sites import a_site, on_disk
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


@pytest.mark.parametrize("kind", ["folder", "sftp"])
def test_all_files_of_a_publish_have_one_time(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    site = a_site("v1", "abcdefgh")
    if kind == "folder":
        quickly(site, str(tmp_path / "host"))
        assert len(times(tmp_path / "host")) == 1
        return
    monkeypatch.setenv("HOME", str(tmp_path))
    with sftp.serve(tmp_path) as host:
        for name, value in host.environ.items():
            monkeypatch.setenv(name, value)
        assert not quickly(site, host.address).problems
        assert len(times(host.root)) == 1
