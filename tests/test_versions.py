"""What an act changed is taken back: the old bytes, unless something else changed them since."""

from __future__ import annotations

import json
import os
import re
import shutil
import stat
from pathlib import Path

import pytest

from commands import sitegen
from sitegen import versions
from sitegen.seal.addresses import checkin_code
from sitegen.seal.keys import Keys, renew
from sitegen.seal.keys_file import load_keys, update_keys
from sitegen.versions import VERSIONS, kept_acts, last_act, recording, take_act_back

ROOT = Path(__file__).resolve().parent.parent
DAY = ("--as-of", "2027-02-14")
NOT_OURS = (".keys.yaml", ".schema.json")


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "clients", tmp_path / "clients")
    return tmp_path


def files(home: Path) -> dict[str, bytes]:
    """Every file of the practice but versions, links and the schema, by its name."""
    top = home / "clients"
    found = {p.relative_to(top).as_posix(): p for p in top.rglob("*") if p.is_file()}
    return {
        name: path.read_bytes()
        for name, path in found.items()
        if not name.startswith((VERSIONS, *NOT_OURS))
    }


def letter(home: Path) -> None:
    sitegen("link", "tomas", cwd=home)
    sitegen("link", "nia", cwd=home)
    keys, _ = load_keys(home / "clients" / ".keys.yaml")
    assert keys is not None
    text = "".join(
        f"Check-in {checkin_code(keys.links[id])}\n- on: 2027-02-13\n  ran: 31 min\n"
        for id in ("tomas", "nia")
    )
    (home / "note.txt").write_text(text)
    (home / "stranger.txt").write_text("Check-in AAAA-BBBB\n- on: 2027-02-13\n  ran: 31 min\n")


def form(home: Path) -> None:
    page = (ROOT / "docs" / "first-client.md").read_text(encoding="utf-8")
    answers = page.split("`form.yaml`", 1)[1].split("```yaml\n", 1)[1].split("```", 1)[0]
    (home / "form.yaml").write_text(answers)


def limping(home: Path) -> None:
    with (home / "clients" / "nia.log.yaml").open("a", encoding="utf-8") as log:
        log.write("- {on: 2027-02-12, signs: [limp]}\n")


def nothing(home: Path) -> None:
    """As it lies there."""


@pytest.mark.parametrize(
    ("before", "words"),
    [
        (nothing, ("lighter", "bram", "--because", "x", "--yes", *DAY)),
        (nothing, ("set", "bram", "growth: 5 %", "runs: 4", "--yes", *DAY)),
        (nothing, ("word", "group:coming-back", "Well done.", "--yes", *DAY)),
        (limping, ("answer", "nia", "1", "--because", "x", *DAY)),
        (letter, ("receive", "note.txt", *DAY)),
        (letter, ("receive", "stranger.txt", *DAY)),
        (form, ("intake", "newcomer", "--answers", "form.yaml")),
    ],
)
def test_undo_gives_the_old_bytes_back(practice: Path, before, words: tuple[str, ...]) -> None:
    before(practice)
    old = files(practice)
    sitegen(*words, cwd=practice)
    changed = {name for name, data in files(practice).items() if old.get(name) != data}
    shown = sitegen("undo", "--dry-run", cwd=practice)
    assert files(practice) != old
    done = sitegen("undo", "--yes", cwd=practice)

    assert done.returncode == 0, done.stderr
    assert changed and all(f"  {name}: " in shown.stdout for name in changed)
    assert files(practice) == old
    assert f"This takes back: {words[0]}, " in done.stdout
    assert sitegen("undo", "--yes", cwd=practice).returncode == 1
    assert files(practice) == old


def keys_of(home: Path) -> Keys:
    keys, _ = load_keys(home / "clients" / ".keys.yaml")
    assert keys is not None
    return keys


@pytest.mark.parametrize("words", [("--renew",), ("--passphrase",)])
def test_a_link_comes_back_and_the_one_in_its_place_ends(
    practice: Path, words: tuple[str, ...]
) -> None:
    typed = "four loose words here\n" * 2
    sitegen("link", "nia", cwd=practice)
    old = keys_of(practice)
    sitegen("link", "nia", *words, cwd=practice, typed=typed)
    new = keys_of(practice)
    sitegen("link", "ayla", cwd=practice)  # a newcomer's link changes the file, and no link
    shown = sitegen("undo", "--dry-run", cwd=practice)
    done = sitegen("undo", "--yes", cwd=practice)
    now = keys_of(practice)

    assert done.returncode == 0, done.stderr
    assert new.links["nia"] != old.links["nia"] == now.links["nia"]
    assert "ayla" in now.links
    gone = {one.portal for one in now.retired}
    assert gone == ({new.links["nia"].portal} if "--renew" in words else set())
    for link in (old.links["nia"], new.links["nia"]):
        assert link.key_text not in shown.stdout + done.stdout, "a key is not for the screen"
    assert "nia.link: " in shown.stdout


def test_a_link_changed_since_is_left_alone_and_no_key_is_shown(practice: Path) -> None:
    sitegen("link", "nia", cwd=practice)
    sitegen("link", "nia", "--renew", cwd=practice)
    first = keys_of(practice).links["nia"]
    update_keys(practice / "clients" / ".keys.yaml", lambda keys: renew(keys, "nia", os.urandom))
    second = keys_of(practice)
    done = sitegen("undo", "--yes", cwd=practice)

    assert done.returncode == 1 and keys_of(practice) == second
    assert "nia.link: changed again since" in done.stdout
    assert first.key_text not in done.stdout and second.links["nia"].key_text not in done.stdout


def test_with_the_client_the_versions_of_the_link_go(practice: Path) -> None:
    sitegen("link", "nia", cwd=practice)
    key = keys_of(practice).links["nia"].key_text.encode()
    sitegen("link", "nia", "--renew", cwd=practice)
    kept = [p for p in (practice / "clients" / VERSIONS).rglob("*") if p.is_file()]
    assert any(key in path.read_bytes() for path in kept)
    assert sitegen("erase", "nia", "--yes", cwd=practice).returncode == 0
    left = [p for p in (practice / "clients").rglob("*") if p.is_file()]
    assert not any(key in path.read_bytes() for path in left)


def test_acts_are_taken_back_one_after_the_other(practice: Path) -> None:
    states = [files(practice)]
    for id in ("bram", "ayla", "bram"):
        sitegen("lighter", id, "--because", "x", "--yes", *DAY, cwd=practice)
        states.append(files(practice))
    listed = sitegen("undo", "--list", cwd=practice).stdout
    assert [line.strip().partition(":")[0] for line in listed.splitlines()[1::2]] == [
        "bram.yaml", "ayla.yaml", "bram.yaml",
    ]  # fmt: skip
    for before in reversed(states[:-1]):
        sitegen("undo", "--yes", cwd=practice)
        assert files(practice) == before
    assert "(taken back)" in sitegen("undo", "--list", cwd=practice).stdout


def test_when_it_was_done_is_told_in_the_time_zone_of_the_practice(practice: Path) -> None:
    """UTC where its file can't say: an act of Sunday evening stood under Sunday noon."""
    sitegen("lighter", "bram", "--because", "x", "--yes", *DAY, cwd=practice)
    (note,) = (practice / "clients" / VERSIONS).rglob("*.json")
    told = json.loads(note.read_text()) | {"at": "2027-02-14T18:30:00Z"}
    note.write_text(json.dumps(told))
    house = practice / "clients" / "practice.yaml"
    text = house.read_text()
    for written, shown in (
        ("timezone: Asia/Kolkata", "lighter, 2027-02-15 00:00 (Asia/Kolkata)"),
        ("timezone: Nowhere/At_All", "lighter, 2027-02-14 18:30 (UTC)"),
    ):
        house.write_text(re.sub(r"timezone: \S+", written, text))
        assert sitegen("undo", "--list", cwd=practice).stdout.splitlines()[0] == shown
        shows = sitegen("undo", "--dry-run", cwd=practice).stdout
        assert shows.startswith(f"This takes back: {shown}\n")


def test_a_file_changed_since_is_left_alone_and_both_versions_are_shown(practice: Path) -> None:
    sitegen("set", "bram", "growth: 5 %", "--yes", *DAY, cwd=practice)
    path = practice / "clients" / "bram.yaml"
    path.write_text(path.read_text().replace("growth: 5 %", "growth: 6 %"))
    mine = files(practice)
    done = sitegen("undo", "--yes", cwd=practice)

    assert done.returncode == 1 and files(practice) == mine
    assert "-  growth: 5 %" in done.stdout and "+  growth: 6 %" in done.stdout
    assert "what it left was changed since" in done.stdout


def test_a_disk_that_takes_no_file_is_said_in_words_and_the_same_again_takes_back(
    practice: Path,
) -> None:
    old = sitegen("link", "bram", "--json", cwd=practice).stdout
    sitegen("link", "bram", "--renew", cwd=practice)
    in_the_way = practice / "clients" / ".keys.yaml.new"
    in_the_way.mkdir()
    done = sitegen("undo", "--yes", cwd=practice)
    assert done.returncode == 1 and "not all of it could be taken back: " in done.stderr
    in_the_way.rmdir()
    assert sitegen("undo", "--yes", cwd=practice).returncode == 0
    assert sitegen("link", "bram", "--json", cwd=practice).stdout == old


@pytest.mark.parametrize(("typed", "is_back"), [("y\n", True), ("\n", False)])
def test_it_asks_before_it_takes_back(practice: Path, typed: str, is_back: bool) -> None:
    old = files(practice)
    sitegen("set", "bram", "growth: 5 %", "--yes", *DAY, cwd=practice)
    done = sitegen("undo", cwd=practice, typed=typed)

    assert "    -  growth: 5 %" in done.stdout and "Take it back?" in done.stdout
    assert (files(practice) == old) is is_back


def test_an_act_that_was_cut_off_is_taken_back_as_far_as_it_went(tmp_path: Path) -> None:
    one, two = tmp_path / "a.yaml", tmp_path / "b.yaml"
    one.write_bytes(b"1")
    two.write_bytes(b"2")
    with recording(tmp_path, "lighter") as record:
        record.keep(one, b"11", "first")
        record.keep(two, b"22", "second")
        one.write_bytes(b"11")  # and here the light went out
    act = last_act(tmp_path)

    assert act is not None and take_act_back(tmp_path, act) == ()
    assert (one.read_bytes(), two.read_bytes()) == (b"1", b"2")


@pytest.mark.skipif(os.name != "posix", reason="modes are POSIX's")
def test_versions_are_closed_to_others(practice: Path) -> None:
    old = os.umask(0)
    try:
        sitegen("lighter", "bram", "--because", "x", "--yes", *DAY, cwd=practice)
    finally:
        os.umask(old)
    top = practice / "clients" / VERSIONS
    found = [top, *top.rglob("*")]
    assert len(found) == 8
    for path in found:
        assert stat.S_IMODE(path.stat().st_mode) == (0o700 if path.is_dir() else 0o600), path
    assert (top / ".gitignore").read_text() == "*\n"


def test_only_so_many_are_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(versions, "MOST_ACTS", 5)
    file = tmp_path / "a.yaml"
    for count in range(9):
        with recording(tmp_path, "word") as record:
            record.keep(file, b"%d" % count, "")
            file.write_bytes(b"%d" % count)
    assert [act.number for act in kept_acts(tmp_path)] == [9, 8, 7, 6, 5]
    monkeypatch.setattr(versions, "MOST_KEPT_BYTES", 1)
    with recording(tmp_path, "word") as record:
        record.keep(file, b"x", "")
    assert [act.number for act in kept_acts(tmp_path)] == [10]


def test_erase_takes_a_clients_versions_and_leaves_those_of_others(practice: Path) -> None:
    letter(practice)
    sitegen("receive", "note.txt", *DAY, cwd=practice)
    sitegen("receive", "stranger.txt", *DAY, cwd=practice)
    sitegen("lighter", "tomas", "--because", "a secret reason", "--yes", *DAY, cwd=practice)
    top = practice / "clients" / VERSIONS
    told = b"".join(p.read_bytes() for p in top.rglob("*") if p.is_file())
    assert b"a secret reason" in told and b"tomas" in told
    done = sitegen("erase", "tomas", "--yes", cwd=practice)

    assert done.returncode == 0, done.stderr
    told = b"".join(p.read_bytes() for p in top.rglob("*") if p.is_file())
    assert b"secret" not in told and b"tomas" not in told and b"AAAA-BBBB" not in told
    (act,) = kept_acts(practice / "clients")
    assert [version.name for version in act.versions] == ["nia.log.yaml"]


def test_versions_of_a_client_whose_file_is_gone_are_told_and_can_be_erased(
    practice: Path,
) -> None:
    sitegen("word", "bram", "Well done.", "--yes", *DAY, cwd=practice)
    for name in ("bram.yaml", "bram.log.yaml"):
        (practice / "clients" / name).unlink()
    told = sitegen("check", *DAY, cwd=practice).stderr

    assert ".versions still holds something of bram, who has no file" in told
    assert sitegen("erase", "bram", "--yes", cwd=practice).returncode == 0
    assert kept_acts(practice / "clients") == ()


def test_what_can_t_be_told_is_not_taken_and_leaves_no_act(practice: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    import subprocess
    import sys

    letter(practice)
    old = files(practice)
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "sitegen", "receive", "note.txt", *DAY],
            cwd=practice, stdout=full, stderr=subprocess.PIPE, check=False,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )  # fmt: skip
    assert done.returncode == 74
    kept = {name: data for name, data in files(practice).items() if ".aside/" not in name}
    assert kept == old
    names = {one.name for act in kept_acts(practice / "clients") for one in act.versions}
    assert names == files(practice).keys() - old.keys(), "what waits aside can go back, too"


def test_the_list_as_json(practice: Path) -> None:
    sitegen("set", "bram", "growth: 5 %", "--yes", *DAY, cwd=practice)
    (act,) = json.loads(sitegen("undo", "--list", "--json", cwd=practice).stdout)
    assert act["command"] == "set" and act["undone"] is False
    assert act["files"] == [{"name": "bram.yaml", "says": "plan.growth: 5 %"}]
