"""What must not be published, or not there: before a host is emptied or a key given away."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from commands import Done, sitegen
from sitegen.practice.address import AddressError, read_branch
from sitegen.publish import publish
from sitegen.site.folder import write_site

PORTALS = {f"{letter * 22}/index.html": b"sealed" for letter in "ab"}
SITE = {"index.html": b"front", "robots.txt": b"none", **PORTALS}
HOUSE = "name: Harbour\ncontact: coach@example.org\ntimezone: Europe/Lisbon\n"
is_root = os.name != "posix" or os.geteuid() == 0


@pytest.fixture
def work(tmp_path: Path) -> Path:
    (tmp_path / "clients").mkdir()
    (tmp_path / "clients/practice.yaml").write_text(HOUSE)
    write_site(SITE, tmp_path / "public")
    assert published(tmp_path).returncode == 0
    return tmp_path


def published(work: Path, *words: str, target: str = "./host") -> Done:
    return sitegen("publish", target, *words, cwd=work)


def on_host(work: Path) -> set[str]:
    return {p.name for p in (work / "host").iterdir() if p.is_dir()}


def test_a_portal_that_is_gone_here_stays_there(work: Path) -> None:
    (work / "public" / ("a" * 22) / "index.html").unlink()
    done = published(work)

    assert done.returncode == 1
    assert "1 file or folder of the built site in public can't be found or read" in done.stderr
    assert on_host(work) == {"a" * 22, "b" * 22}
    assert published(work, "--dry-run").returncode == 1
    assert published(work, "--withdraw-missing").returncode == 0
    assert on_host(work) == {"b" * 22}


@pytest.mark.skipif(is_root, reason="who may do all can read all")
def test_a_folder_that_may_not_be_read_withdraws_nothing(work: Path) -> None:
    closed = work / "public" / ("a" * 22)
    closed.chmod(0)
    done = published(work)
    closed.chmod(0o755)

    assert done.returncode == 1 and on_host(work) == {"a" * 22, "b" * 22}


def test_a_site_that_was_built_smaller_withdraws_what_it_left_out(work: Path) -> None:
    write_site({n: d for n, d in SITE.items() if not n.startswith("a")}, work / "public")

    assert published(work, "--withdraw-many").returncode == 0
    assert on_host(work) == {"b" * 22}


@pytest.mark.parametrize("target", ["./public", "./public/deeper", "../{name}/public"])
def test_the_site_itself_is_no_target(work: Path, target: str) -> None:
    before = sorted((work / "public").rglob("*"))
    done = published(work, target=target.format(name=work.name))

    assert done.returncode == 1 and "is the built site itself" in done.stderr
    assert sorted((work / "public").rglob("*")) == before


def test_what_keeps_nothing_is_no_target(work: Path) -> None:
    done = published(work, target="memory://site")
    assert done.returncode == 1 and "kept by nobody" in done.stderr


@pytest.mark.parametrize("remote", ["fd::17", "ext::sh -c true", "http::x"])
def test_a_git_target_names_no_helper(remote: str) -> None:
    with pytest.raises(AddressError, match="names a helper of git"):
        read_branch(f"git+{remote}#pages")
    assert not publish(SITE, f"git+{remote}#pages").ok


@pytest.mark.skipif(os.name != "posix", reason="modes are of POSIX")
def test_who_keeps_files_to_themselves_publishes_for_all(work: Path) -> None:
    """Else a host's server could not read what lies in the folder."""
    before = os.umask(0o077)
    try:
        assert published(work, target="./open").returncode == 0
    finally:
        os.umask(before)
    made = work / "open" / ("a" * 22)
    assert stat.S_IMODE(made.stat().st_mode) == 0o755
    assert stat.S_IMODE((made / "index.html").stat().st_mode) == 0o644


def test_a_picture_of_a_key_does_not_go_into_the_site(work: Path) -> None:
    (work / "clients/practice.yaml").write_text(f"{HOUSE}address: https://plans.example/\n")
    mara = Path(__file__).parent / "cases/receive/clients/mara.yaml"
    (work / "clients/mara.yaml").write_bytes(mara.read_bytes())
    done = sitegen("link", "mara", "--png", "public/mara.png", cwd=work)

    assert done.returncode == 1 and "would lie in the built site" in done.stderr
    assert not (work / "public/mara.png").exists()


def test_a_link_that_can_t_be_renewed_stays(work: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    mara = Path(__file__).parent / "cases/receive/clients/mara.yaml"
    (work / "clients/mara.yaml").write_bytes(mara.read_bytes())
    assert sitegen("link", "mara", cwd=work).returncode == 0
    before = (work / "clients/.keys.yaml").read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("sitegen.seal.keys_file.os.fsync", full)
    done = sitegen("link", "mara", "--renew", cwd=work)

    assert done.returncode == 1 and "so the link is as it was: " in done.stderr
    assert "No space left on device" in done.stderr
    assert (work / "clients/.keys.yaml").read_bytes() == before
