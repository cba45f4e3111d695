"""Which place a target means, and that the coach is told which."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from sitegen import world
from sitegen.desk.publishing import NoTarget, home_of, resolved, target_of
from sitegen.model.practice import Practice
from test_cli import sitegen

SITE = {"index.html": b"front", "robots.txt": b"none"}
HOUSE = "name: Harbour\ncontact: coach@example.org\ntimezone: Europe/Lisbon\ntargets:\n"


@pytest.fixture
def work(tmp_path: Path) -> Path:
    """A coach's folder with `clients` and a built site in it."""
    home = tmp_path / "work"
    (home / "clients").mkdir(parents=True)
    (home / "clients" / "practice.yaml").write_text(f"{HOUSE}  home: ../site\n")
    world.write_site(SITE, home / "public")
    return home


@pytest.mark.parametrize("stands", [".", "clients", "..", "elsewhere"])
def test_a_folder_in_the_practice_is_the_same_wherever_the_coach_stands(
    work: Path, stands: str
) -> None:
    place = (work / stands).resolve()
    place.mkdir(exist_ok=True)
    clients = Path("../work/clients") if stands == "." else work / "clients"
    done = sitegen("publish", "home", "--clients", str(clients), "--out", str(work / "public"),
                   cwd=place)  # fmt: skip

    assert done.returncode == 0, done.stderr
    site = work.parent / "site"
    assert (site / "index.html").read_bytes() == b"front"
    assert done.stdout.startswith("2 files sent") and done.stdout.splitlines()[0].endswith(
        f", at {site}"
    )


def test_a_folder_that_is_typed_begins_where_the_coach_stands(work: Path) -> None:
    place = work / "elsewhere"
    place.mkdir()
    words = ("--clients", str(work / "clients"), "--out", str(work / "public"))
    done = sitegen("publish", "./host", "--dry-run", *words, cwd=place)
    assert f", at {place / 'host'}\n" in done.stdout
    assert not (place / "host").exists()
    assert sitegen("publish", "./host", *words, cwd=place).returncode == 0
    assert (place / "host" / "index.html").exists()


@pytest.mark.parametrize(
    "address",
    ["sftp://coach@host.example/www", "s3://bucket/site", "file:///srv/www", "memory://x",
     "git+ssh://git@host/site.git#pages", "git+git@host:site.git#pages"],
)  # fmt: skip
def test_an_address_stays_as_it_is(address: str) -> None:
    assert resolved(address, Path("/work")) == address


def test_folders_are_written_out_in_full(tmp_path: Path) -> None:
    assert resolved("../site", tmp_path / "a") == str(tmp_path / "site")
    assert resolved("/srv/site", tmp_path) == "/srv/site"
    assert resolved("~/site", tmp_path) == str(Path("~/site").expanduser())
    assert home_of(Path("clients")) == Path.cwd()
    assert home_of(tmp_path / "a" / ".." / "clients") == tmp_path


def test_a_git_folder_begins_there_too(tmp_path: Path) -> None:
    subprocess.run(["git", "init", "--quiet", "--bare", str(tmp_path / "far.git")], check=True)
    assert resolved("git+far.git#pages", tmp_path) == f"git+{tmp_path / 'far.git'}#pages"


def test_the_desk_page_never_lands_in_a_folder_that_is_published_to(work: Path) -> None:
    """Also where the coach stands somewhere else than the target is told from."""
    place = work / "elsewhere"
    place.mkdir()
    done = sitegen("desk", "--clients", str(work / "clients"), "--to", "../../site/desk", cwd=place)
    assert done.returncode == 1 and "published to" in done.stderr


def test_a_slip_in_a_targets_name_is_told_with_the_nearest() -> None:
    practice = Practice.model_validate(
        {"name": "H", "contact": "a@example.org", "timezone": "UTC", "targets": {"home": "../site"}}
    )
    with pytest.raises(NoTarget, match="did you mean home"):
        target_of(practice, "hom", Path("clients"))
