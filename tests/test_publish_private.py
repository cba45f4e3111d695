"""A page or a calendar that lay closed on a host is not opened there without a yes that says so."""

from __future__ import annotations

import base64
import json
from pathlib import Path

import pytest

from commands import PAGES, Done, sitegen
from sitegen.publish.closed import LESS_PRIVATE, lock_of
from sitegen.publish.known import PUBLISHED_FILE
from sitegen.seal.keys import with_passphrase
from sitegen.seal.keys_file import load_keys, update_keys
from sitegen.seal.sealing import NEEDS_PASSPHRASE
from sitegen.world import draw_bytes
from test_ledger_files import CLIENT, PRACTICE, Coach

BO = CLIENT.replace("Ada Holm", "Bo Lind")


@pytest.fixture
def coach(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Coach:
    """Ada's page asks for a passphrase, Bo's does not; both are published."""
    found = Coach(tmp_path / "home", monkeypatch)
    found.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    found.write("bo.yaml", BO)
    found.run("build")
    keys = found.clients / ".keys.yaml"
    update_keys(keys, lambda now: with_passphrase(now, "ada", "lane four, quiet", draw_bytes))
    found.run("build")
    found.run("publish")
    return found


def publish(coach: Coach, *words: str, typed: str = "") -> Done:
    coach.run("build")
    places = ("--clients", str(coach.clients), "--out", str(coach.out))
    return sitegen("publish", *words, *places, cwd=coach.home, typed=typed)


def host(coach: Coach) -> dict[str, bytes]:
    top = coach.home / "host"
    return {
        p.relative_to(top).as_posix(): p.read_bytes()
        for p in top.rglob("*")
        if p.is_file() and not p.name.startswith(".")
    }


def lock(coach: Coach, id: str) -> str:
    """How a client's page lies on the host, read from its bytes."""
    keys, _ = load_keys(coach.clients / ".keys.yaml")
    assert keys is not None
    page = host(coach)[f"{keys.links[id].portal}/index.html"]
    flags = lock_of(page)
    if not flags:
        assert b"portal-data" in page
        return "open"
    return "passphrase" if flags[0] & NEEDS_PASSPHRASE else "sealed"


def closed_again(coach: Coach) -> None:
    coach.run("link", "ada", "--no-passphrase")


def sealed_off(coach: Coach) -> None:
    coach.write("bo.yaml", f"{BO}privacy: open\n")


def house_opened(coach: Coach) -> None:
    coach.write("practice.yaml", coach.read("practice.yaml") + "privacy: open\n")


def said_more(coach: Coach) -> None:
    coach.write("bo.yaml", f"{BO}calendar: full\n")


def keys_lost(coach: Coach) -> None:
    (coach.clients / ".keys.yaml").unlink()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (closed_again, "ada (no passphrase any more)"),
        (sealed_off, "bo (no seal: who reaches the host reads all of it)"),
        (house_opened, "ada and bo (no seal: who reaches the host reads all of it)"),
        (said_more, "bo (the calendar says all)"),
    ],
)  # fmt: skip
def test_what_would_open_a_page_or_a_calendar_is_asked_by_name(
    coach: Coach, change: object, says: str
) -> None:
    before = host(coach)
    assert callable(change)
    change(coach)
    done = publish(coach)

    assert done.returncode == 1
    assert f"this would leave less private: {says}; nothing was sent (if" in done.stderr
    assert "Type open to do so" in done.stdout and host(coach) == before
    assert publish(coach, typed="yes\n").returncode == 1 and host(coach) == before
    assert publish(coach, typed="open\n").returncode == 0 and host(coach) != before
    coach.write("bo.yaml", coach.read("bo.yaml") + "drills: [quiet-landing]\n")
    assert publish(coach).returncode == 0, "asked once"


def test_a_flag_says_it_and_json_and_a_dry_run_tell_it(coach: Coach) -> None:
    closed_again(coach)
    told = json.loads(publish(coach, "--json", typed="open\n").stdout)
    dry = publish(coach, "--dry-run", typed="open\n")

    assert [p["code"] for p in told["problems"]] == [LESS_PRIVATE]
    assert dry.returncode == 1 and "ada (no passphrase any more)" in dry.stderr
    assert lock(coach, "ada") == "passphrase"
    assert publish(coach, "--less-private").returncode == 0 and lock(coach, "ada") == "sealed"


def test_what_gets_more_private_asks_nothing(coach: Coach) -> None:
    said_more(coach)
    assert publish(coach, "--less-private").returncode == 0
    coach.write("bo.yaml", f"{BO}calendar: off\n")
    keys = coach.clients / ".keys.yaml"
    update_keys(keys, lambda now: with_passphrase(now, "bo", "lane four, quiet", draw_bytes))

    assert publish(coach).returncode == 0 and lock(coach, "bo") == "passphrase"
    coach.write("bo.yaml", BO)
    done = publish(coach)
    assert "less private: bo (a calendar, which can't be sealed)" in done.stderr


def test_who_comes_back_after_an_end_has_the_lock_of_before_or_the_coach_is_asked(
    coach: Coach,
) -> None:
    coach.write("ada.yaml", f"{CLIENT}status: ended\n")
    assert publish(coach).returncode == 0
    coach.write("ada.yaml", CLIENT)

    assert "ada (no passphrase any more)" in publish(coach).stderr


def test_an_open_page_is_asked_for_at_each_host_that_has_none_yet(coach: Coach) -> None:
    """Only the coach knows whether a host has a login of its own."""
    sealed_off(coach)
    assert publish(coach, typed="open\n").returncode == 0
    elsewhere = publish(coach, str(coach.home / "other"))

    assert elsewhere.returncode == 1 and "bo (no seal" in elsewhere.stderr
    assert not list((coach.home / "other").glob(PAGES))


def test_a_stop_is_not_held_up(coach: Coach) -> None:
    closed_again(coach)
    coach.write("bo.log.yaml", "- {on: 2027-01-04, signs: [limp]}\n")
    before = host(coach)
    done = publish(coach)

    assert "ada (no passphrase any more); nothing was sent but what stops bo (" in done.stderr
    keys, _ = load_keys(coach.clients / ".keys.yaml")
    assert keys is not None
    pages = {id: f"{link.portal}/index.html" for id, link in keys.links.items()}
    assert host(coach)[pages["bo"]] != before[pages["bo"]]
    assert host(coach)[pages["ada"]] == before[pages["ada"]]


def test_what_is_noted_of_it_goes_with_the_client_and_may_be_damaged(coach: Coach) -> None:
    note = coach.clients / PUBLISHED_FILE
    (one,) = json.loads(note.read_text()).values()
    assert one["closed"] == {"ada": ["passphrase", "discreet"], "bo": ["sealed", "discreet"]}
    note.write_text(note.read_text().replace('"passphrase"', '"?"'))
    assert publish(coach).returncode == 0
    coach.run("erase", "bo", "--yes")
    assert '"bo"' not in note.read_text()


def test_a_lock_is_read_where_the_page_has_one() -> None:
    head = base64.b64encode(b"SEAL\x01\x01" + b"\x00\x09\x27\xc0" + b"s" * 17)

    assert lock_of(b'<p id="sealed" hidden>' + head)[:1] == b"\x01"
    assert lock_of(b"<p>open</p>") == b""


def test_where_all_links_are_others_than_there_the_coach_is_asked(coach: Coach) -> None:
    """All at once without `link --renew`: the file of links is lost, and every client's ends."""
    links = coach.read(".keys.yaml")
    keys_lost(coach)
    before = host(coach)
    done = publish(coach)

    assert "2 of the 2 portals there would go: ada and bo; nothing was sent" in done.stderr
    assert ".keys.yaml was lost" in done.stderr and host(coach) == before
    told = publish(coach, "--withdraw-many").stderr
    assert "ada (no passphrase any more)" in told and host(coach) == before
    coach.write(".keys.yaml", links)
    for id in ("ada", "bo"):
        coach.run("link", id, "--renew")
    assert publish(coach).returncode == 0 and not before.keys() <= host(coach).keys()
