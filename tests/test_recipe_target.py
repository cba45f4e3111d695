"""Adding a target, as DEVELOPERS.md says, in a temporary copy: a file, a line in one other, a test.

Two invented kinds, one of either sort: an archive that is written at once, and a host that files
are sent to one by one. Then `check` accepts them, and `publish` goes there.
"""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

import pytest

from recipe import Copy

ARCHIVE = '''\
"""An invented target: the site as one archive, ``zip:site.zip``."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping

from sitegen.practice.address import read_address
from sitegen.publish.report import Report
from sitegen.publish.settings import Settings


def publish_to(site: Mapping[str, bytes], target: str, settings: Settings) -> Report:
    """Write the archive anew."""
    address = read_address(target)
    if not settings.dry_run:
        with zipfile.ZipFile(address.path, "w") as archive:
            for name in site:
                archive.writestr(name, site[name])
    return Report(address.shown, uploaded=tuple(site), dry_run=settings.dry_run)
'''
HOST = '''\
"""An invented host, ``drawer://NAME``: a folder of this computer that goes by a name."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from sitegen.practice.address import Address
from sitegen.publish.store import FolderStore, Store


def open_store(address: Address, environ: Mapping[str, str]) -> Store:
    return FolderStore(Path(environ["DRAWERS"], address.host))
'''
TEST = """\
from sitegen.publish import publish


def test_the_archive_holds_the_site(tmp_path):
    site = {"index.html": b"<p>", "robots.txt": b""}
    assert publish(site, f"zip:{tmp_path}/site.zip").ok
    assert (tmp_path / "site.zip").stat().st_size > 0
"""
PRACTICE = """\
name: Harbour Running
contact: coach@example.org
timezone: Europe/Lisbon
privacy: open
targets:
  box: "zip:site.zip"
  drawer: drawer://top
"""
LAST = '    TargetKind(("s3", '


@pytest.fixture
def copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Copy:
    """The project with the new kinds in it, and a practice that publishes to both."""
    monkeypatch.setenv("DRAWERS", str(tmp_path))
    copy = Copy(tmp_path / "copy")
    copy.write("sitegen/publish/archive.py", ARCHIVE)
    copy.replace(
        "sitegen/practice/targets.py",
        LAST,
        f'    TargetKind(("zip",), "archive", is_local=True),\n{LAST}',
    )
    copy.write("tests/test_publish_archive.py", TEST)
    return copy


def test_a_target_is_a_file_a_line_and_a_test(copy: Copy) -> None:
    assert copy.touched() == [
        "sitegen/practice/targets.py",
        "sitegen/publish/archive.py",
        "tests/test_publish_archive.py",
    ]
    done = copy.run("-m", "pytest", "-q", "-p", "no:cacheprovider", "tests/test_publish_archive.py")
    assert done.returncode == 0, done.stdout[-2000:]


def test_check_accepts_it_and_publish_goes_there(copy: Copy, tmp_path: Path) -> None:
    copy.write("sitegen/publish/store_drawer.py", HOST)
    copy.replace(
        "sitegen/practice/targets.py",
        LAST,
        f'    TargetKind(("drawer",), "store_drawer"),\n{LAST}',
    )
    home = tmp_path / "home"
    (home / "clients").mkdir(parents=True)
    (home / "clients/practice.yaml").write_text(PRACTICE, encoding="utf-8")
    (home / "clients/rosa.yaml").write_bytes((copy.root / "clients/nia.yaml").read_bytes())
    where = ("--clients", str(home / "clients"))
    site = ("--out", str(home / "public"))

    checked = copy.run("-m", "sitegen", "check", *where, "--json")
    about_targets = [p for p in json.loads(checked.stdout) if "target" in p["code"]]
    assert about_targets == []

    built = copy.run("-m", "sitegen", "build", *where, *site)
    assert built.returncode == 0, built.stderr
    slip = copy.run("-m", "sitegen", "publish", "drawr://top", *where, *site)
    assert "did you mean drawer://?" in slip.stderr
    for name in ("box", "drawer"):
        sent = copy.run("-m", "sitegen", "publish", name, "--less-private", *where, *site)
        assert sent.returncode == 0, sent.stderr
    with zipfile.ZipFile(home / "site.zip") as archive:  # beside the practice, not where we stand
        assert "index.html" in archive.namelist()
    assert (tmp_path / "top/index.html").is_file()
