"""A log saved under another name, or lost, frees nobody: what it told stops the plan, or did."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from commands import sitegen
from sitegen.coach.alarms import ToldAlarms, alarms_told
from sitegen.coach.sheet import evening_sheet
from sitegen.practice.naming import right_name
from sitegen.practice.opening import open_practice
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
    (feed,) = (clients.parent / "public" / "feeds").glob("*.ics")
    return feed.read_text().count("BEGIN:VEVENT") > 20


def alarms_of(clients: Path) -> ToldAlarms:
    return alarms_told(open_practice(clients, (), DAY))


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


def test_a_log_without_a_client_that_can_be_read_rings_and_stops_the_page(clients: Path) -> None:
    log = clients / "mara.log.yaml"
    log.write_text(RAN)
    assert told(clients) == (set(), (), ()) and is_planned(clients)

    log.write_text(RAN + SIGN)
    (clients / "mara.yaml").rename(clients / "mara.txt")

    assert told(clients) == ({"client-id"}, ("mara",), ("mara",))
    assert not is_planned(clients)
    line = "NOW mara 1: chest pain was told on 2027-01-11"
    day = ("--as-of", str(DAY))
    assert sitegen("alarms", *day, cwd=clients.parent).stdout.splitlines()[0] == line
    checked = sitegen("check", *day, cwd=clients.parent).stderr
    assert "mara.log.yaml:2:3: warning: alarm 1, now: chest pain" in checked
    roster = sitegen("roster", *day, cwd=clients.parent).stdout
    assert roster.startswith("mara  urgent: chest pain was told on 2027-01-11")
    (row,) = evening_sheet(clients, DAY, only=("alarm",)).rows
    assert (row.id, row.asks[0].says) == ("mara", "urgent: chest pain was told on 2027-01-11")
    answer = ("answer", "mara", "1", "chest_pain", "--because", "rang her", *day)
    assert sitegen(*answer, cwd=clients.parent).returncode == 0
    assert sitegen("alarms", *day, cwd=clients.parent).returncode == 0


def test_a_log_whose_client_is_gone_rings_too(clients: Path) -> None:
    (clients / "mara.yaml").unlink()
    (clients / "mara.log.yaml").write_text(RAN)
    assert [one.open for one in (alarms_of(clients),)] == [()]
    (clients / "mara.log.yaml").write_text(RAN + SIGN)
    assert [(id, one.kind) for id, one in alarms_of(clients).open] == [("mara", "now")]


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
