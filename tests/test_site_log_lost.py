"""A log saved under another name, or lost, frees nobody: what it told stops the plan, or did."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from commands import sitegen
from sitegen.practice.naming import right_name
from sitegen.site.building import build_site
from support import PRACTICE
from test_lenient import GOOD as LACKING
from test_lenient import SIGN

GOOD = LACKING.replace(b"longest: 30 min", b"longest: 30 min, runs: 3, pace: 6:50 /km")
DAY = date(2027, 1, 12)
RAN = "- {on: 2027-01-05, ran: 20 min}\n"


@pytest.fixture
def clients(tmp_path: Path) -> Path:
    folder = tmp_path / "clients"
    folder.mkdir()
    (folder / "practice.yaml").write_text(PRACTICE)
    (folder / "mara.yaml").write_bytes(GOOD)
    return folder


def told(clients: Path) -> tuple[set[str], tuple[str, ...], tuple[str, ...]]:
    """Codes of errors, who is held, and who of them is stopped."""
    built = build_site(clients, clients.parent / "public", (), DAY)
    return {p.code for p in built.problems if p.level == "error"}, built.held, built.stopped


def is_planned(clients: Path) -> bool:
    """Whether the feed holds twelve weeks, and not only the days that are over."""
    (feed,) = (clients.parent / "public" / "feeds").iterdir()
    return feed.read_text().count("BEGIN:VEVENT") > 20


@pytest.mark.parametrize("name", ["mara.log.yaml.txt", "mara.log.yml", "mara.log (1).yaml"])
def test_a_log_under_another_name_stops_its_client(clients: Path, name: str) -> None:
    (clients / "mara.log.yaml").write_text(RAN)
    assert told(clients) == (set(), (), ())
    if "(" not in name:  # a copy lies beside the sound log
        (clients / "mara.log.yaml").unlink()
    assert is_planned(clients)

    (clients / name).write_text(RAN + SIGN)

    assert told(clients) == ({"client-id"}, ("mara",), ("mara",))
    assert not is_planned(clients)
    asked = sitegen("alarms", "mara", "--as-of", str(DAY), cwd=clients.parent)
    assert (asked.returncode, asked.stdout.splitlines()[0]) == (
        3,
        "NOW mara 1: chest pain was told on 2027-01-11",
    )
    (clients / name).write_text(RAN)  # what stops nobody holds the page as it lies there
    assert told(clients)[0] == {"client-id"} and not is_planned(clients)


def test_a_stop_outlasts_its_log(clients: Path) -> None:
    log = clients / "mara.log.yaml"
    log.write_text(RAN + SIGN)
    assert told(clients) == (set(), (), ()) and not is_planned(clients)

    log.unlink()
    (clients / "tom.yaml").write_bytes(GOOD.replace(b"Mara", b"Tom"))

    for _ in range(2):  # and the next build knows it still
        assert told(clients) == ({"log-gone"}, ("mara",), ("mara",))
    (clients / "tom.yaml").unlink()
    log.write_text("[]\n")
    assert told(clients) == (set(), (), ()) and is_planned(clients)


def test_a_log_of_a_plan_that_ran_may_go(clients: Path) -> None:
    (clients / "mara.log.yaml").write_text(RAN)
    assert told(clients) == (set(), (), ())
    (clients / "mara.log.yaml").unlink()
    assert told(clients) == (set(), (), ())


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("mara.log (1).yaml", "mara.log.yaml"),
        ("mara.log - Copy.yaml", "mara.log.yaml"),
        ("mara.logs.yaml", "mara-logs.yaml"),
        ("mara (1).yaml", "mara-1.yaml"),  # may be a second Mara
    ],
)
def test_a_copy_of_a_log_is_known_for_one(name: str, meant: str) -> None:
    assert right_name(name) == meant
