"""A client asks for their data, and a client's data goes: what is written, what is left."""

from __future__ import annotations

import json
import os
import re
import shutil
import stat
import zipfile
from datetime import date
from pathlib import Path

import pytest

from sitegen.coach.leaving import NOT_REACHED, Exported, erase, export
from sitegen.seal.addresses import checkin_code
from sitegen.seal.keys import Keys, retire
from sitegen.seal.keys_file import load_keys, update_keys
from sitegen.site.building import build_site
from sitegen.site.checking import check
from sitegen.versions import kept_names, recording

ROOT = Path(__file__).resolve().parents[1]
DAY = date(2027, 3, 18)


@pytest.fixture
def clients(tmp_path: Path) -> Path:
    """A copy of the demo practice, without links."""
    copied = tmp_path / "clients"
    shutil.copytree(ROOT / "clients", copied, ignore=shutil.ignore_patterns(".keys.yaml*"))
    return copied


class Types:
    """A coach who types these, one after the other; notes what she was asked."""

    def __init__(self, *words: str) -> None:
        self.asked: list[str] = []
        self.answers = iter(words)

    def __call__(self, question: str) -> str:
        self.asked.append(question)
        return next(self.answers)


def place(done: Exported) -> Path:
    assert done.to is not None, done.problems
    return done.to


def links(clients: Path) -> Keys:
    keys, problems = load_keys(clients / ".keys.yaml")
    assert keys is not None, problems
    return keys


def text_of(files: dict[str, bytes]) -> str:
    return b"\n".join(files.values()).decode()


# Export


def test_a_client_gets_all_that_is_kept_of_them_and_nothing_of_others(
    clients: Path, tmp_path: Path
) -> None:
    done = export(clients, "tomas", tmp_path / "for-tomas.zip", DAY)
    assert [p for p in done.problems if p.level == "error"] == []
    with zipfile.ZipFile(place(done)) as archive:
        assert archive.testzip() is None
        files = {name: archive.read(name) for name in archive.namelist()}
    assert list(files) == ["tomas.yaml", "tomas.log.yaml", "plan.json", "read-me.txt"]
    assert files["tomas.yaml"] == (clients / "tomas.yaml").read_bytes()
    assert files["tomas.log.yaml"] == (clients / "tomas.log.yaml").read_bytes()
    plan = json.loads(files["plan.json"])
    assert plan["client"] == "tomas" and len(plan["weeks"]) == 16
    for other in ("Mirela", "mirela", "ayla", "bram", "jonas", "nia.yaml"):
        assert other not in text_of(files)
    assert "health data in clear" in done.text


def test_the_text_can_be_read_by_a_person(clients: Path, tmp_path: Path) -> None:
    with (clients / "tomas.log.yaml").open("a", encoding="utf-8") as log:
        log.write("- on: 2027-03-01\n  walked: 20 min\n  pain: {before: 2, walking: 4}\n")
    done = export(clients, "tomas", tmp_path / "out", DAY)
    text = (place(done) / "read-me.txt").read_text(encoding="utf-8")
    assert "2027-03-01  walked 20 min, pain before 2, pain in walking 4\n" in text
    assert text.startswith("What is kept about you under the name tomas\n")
    assert "notes to self included" in text
    assert "pain in: left knee" in text
    assert "The knee spoke up on the way down to the harbour." in text
    assert "Week 16, from 2027-04-26" in text
    assert text.count("\nWeek ") == 16


def test_a_folder_or_a_zip_file_is_closed_to_others(clients: Path, tmp_path: Path) -> None:
    folder = place(export(clients, "nia", tmp_path / "data", DAY))
    file = place(export(clients, "nia", tmp_path / "data.zip", DAY))
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    for path in [file, *folder.iterdir()]:
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_the_same_day_gives_the_same_bytes(clients: Path, tmp_path: Path) -> None:
    one = place(export(clients, "nia", tmp_path / "one.zip", DAY))
    two = place(export(clients, "nia", tmp_path / "two.zip", DAY))
    assert one.read_bytes() == two.read_bytes()


def test_a_file_with_an_error_is_handed_over_all_the_same(clients: Path, tmp_path: Path) -> None:
    file = clients / "nia.yaml"
    file.write_text(file.read_text().replace("152 spm", "152 km"))
    done = export(clients, "nia", tmp_path / "data", DAY)
    assert {p.name for p in place(done).iterdir()} == {"nia.yaml", "nia.log.yaml", "read-me.txt"}
    assert "could not be made" in (place(done) / "read-me.txt").read_text()
    assert any(p.code == "cadence-form" for p in done.problems)


def test_nothing_that_is_there_is_written_over(clients: Path, tmp_path: Path) -> None:
    before = (clients / "tomas.yaml").read_bytes()
    for to in (clients / "tomas.yaml", clients):
        done = export(clients, "tomas", to, DAY)
        assert done.to is None
        assert "is there already" in done.problems[0].message
    assert (clients / "tomas.yaml").read_bytes() == before


def test_an_export_into_the_built_site_is_refused(clients: Path, tmp_path: Path) -> None:
    public = tmp_path / "public"
    assert build_site(clients, public, as_of=DAY).done
    done = export(clients, "tomas", public / "assets" / "tomas.zip", DAY)
    assert done.to is None and "be published" in done.problems[0].message
    assert not (public / "assets" / "tomas.zip").exists()


def test_an_unknown_client_is_told_with_the_nearest_name(clients: Path, tmp_path: Path) -> None:
    done = export(clients, "tomaz", tmp_path / "x.zip", DAY)
    assert done.to is None and "Did you mean tomas?" in done.problems[0].message
    assert not (tmp_path / "x.zip").exists()


def test_a_folder_that_cannot_be_written_is_a_problem(clients: Path, tmp_path: Path) -> None:
    done = export(clients, "tomas", tmp_path / "no" / "such" / "x.zip", DAY)
    assert done.to is None and done.problems[0].code == "export-write"


# Erase


def test_a_client_s_data_goes_and_the_next_build_takes_portal_and_feed(
    clients: Path, tmp_path: Path
) -> None:
    public = tmp_path / "public"
    assert build_site(clients, public, as_of=DAY).done
    keys = links(clients)
    link = keys.links["tomas"]
    others = {p.name: p.read_bytes() for p in clients.glob("[!.]*.yaml") if "tomas" not in p.name}
    assert (public / link.portal).is_dir()

    ask = Types("tomas")
    done = erase(clients, "tomas", ask)

    assert done.done and done.problems == ()
    assert "tomas.yaml, tomas.log.yaml and the private link" in ask.asked[0]
    assert not (clients / "tomas.yaml").exists() and not (clients / "tomas.log.yaml").exists()
    keys = links(clients)
    assert "tomas" not in keys.links
    assert [(old.portal, old.feed) for old in keys.retired] == [(link.portal, link.feed)]
    assert link.key_text not in (clients / ".keys.yaml").read_text()
    assert {p.name: p.read_bytes() for p in clients.glob("[!.]*.yaml")} == others

    assert build_site(clients, public, as_of=DAY).done
    assert not (public / link.portal).exists()
    assert not (public / "feeds" / f"{link.feed}.ics").exists()
    left = b"".join(
        re.sub(
            rb"[A-Za-z0-9_+/-]{200,}", b"", p.read_bytes()
        )  # sealed noise, in which any word may be
        for p in tmp_path.rglob("*")
        if p.is_file()
    )
    assert b"tomas" not in left.lower() and b"Brandt" not in left


def test_it_says_what_it_does_not_reach(clients: Path) -> None:
    text = erase(clients, "tomas", Types("tomas")).text
    for word in (
        "build",
        "publish",
        "backups",
        "git",
        "e-mails",
        "inbox",
        "intake forms",
        "calendar",
        "history",
    ):
        assert word in text
    assert text.endswith(NOT_REACHED)


@pytest.mark.parametrize("typed", ["", "y", "yes", "Tomas", "toma", "nia"])
def test_anything_but_the_id_removes_nothing(clients: Path, typed: str) -> None:
    before = {p.name: p.read_bytes() for p in clients.iterdir() if p.is_file()}
    done = erase(clients, "tomas", Types(typed))
    assert not done.done and "Nothing was removed" in done.text
    assert {p.name: p.read_bytes() for p in clients.iterdir() if p.is_file()} == before


@pytest.mark.parametrize("id", ["nobody", "practice", "../tomas", "", ".keys", "tomas.log"])
def test_who_is_no_client_is_not_even_asked_about(clients: Path, id: str) -> None:
    ask = Types()
    done = erase(clients, id, ask)
    assert not done.done and done.problems[0].code == "no-client"
    assert ask.asked == []
    assert (clients / "practice.yaml").exists() and (clients / "tomas.yaml").exists()


def test_a_client_whose_file_is_gone_already_can_be_erased(clients: Path, tmp_path: Path) -> None:
    assert build_site(clients, tmp_path / "public", as_of=DAY).done
    (clients / "tomas.yaml").unlink()
    done = erase(clients, "tomas", Types("tomas"))
    assert done.done and not (clients / "tomas.log.yaml").exists()
    keys = links(clients)
    assert "tomas" not in keys.links


@pytest.mark.parametrize("is_there", [True, False])
def test_erase_names_what_export_left_in_its_usual_place(
    clients: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, is_there: bool
) -> None:
    monkeypatch.chdir(tmp_path)
    export(clients, "nia", None if is_there else tmp_path / "elsewhere.zip", DAY)
    done = erase(clients, "nia", lambda _: "nia")

    assert ("nia-data.zip" in done.left) is is_there
    assert ("delete it when it is sent" in done.text) is is_there
    assert (tmp_path / "nia-data.zip").exists() is is_there, "the coach asked to have it"


def test_what_is_left_of_a_file_deleted_by_hand_is_named_and_can_be_erased(
    clients: Path, tmp_path: Path
) -> None:
    def said() -> set[tuple[str, str, str]]:
        found = check(clients, (), DAY, lambda *_: None).problems
        hers = [p for p in found if "tomas" in f"{p}"]
        return {(p.origin.file.rpartition("/")[2], p.code, p.level) for p in hers}

    public = tmp_path / "public"
    assert build_site(clients, public, as_of=DAY, tells=True).done
    with recording(clients, "note") as act:
        act.keep(clients / "tomas.yaml", b"x", "a note")
    (clients / "tomas.yaml").unlink()
    (clients / "tomas.alarms.yaml").write_text("[]\n")
    assert said() == {
        ("tomas.log.yaml", "log-alone", "warning"),
        ("tomas.alarms.yaml", "log-alone", "warning"),
        (".seen.db", "left-over", "warning"),
    }
    for name in ("tomas.log.yaml", "tomas.alarms.yaml"):
        (clients / name).unlink()
    update_keys(clients / ".keys.yaml", lambda keys: retire(keys, "tomas"))
    (left,) = [p for p in check(clients, (), DAY, lambda *_: None).problems if "tomas" in f"{p}"]
    assert left.hint == "take it away with sitegen erase tomas, or write tomas.yaml"

    ask = Types("tomas")
    assert erase(clients, "tomas", ask).done
    assert "removes what was noted of builds of tomas" in ask.asked[0]
    assert said() == set()
    assert not any(b"tomas" in file.read_bytes() for file in clients.glob(".*.json"))
    assert not kept_names(clients)


def test_a_file_under_a_wrong_name_is_not_told_to_be_erased(clients: Path) -> None:
    (clients / "tomas.yaml").rename(clients / "tomas.yml")
    found = check(clients, (), DAY, lambda *_: None).problems
    hints = [p.hint for p in found if "tomas" in p.origin.file]
    assert sorted(hints) == ["rename it to tomas.yaml", "write tomas.yaml"]


def test_a_file_with_errors_can_be_erased(clients: Path) -> None:
    (clients / "tomas.yaml").write_text("name: [")
    (clients / "practice.yaml").write_text("{")
    assert erase(clients, "tomas", Types("tomas")).done
    assert not (clients / "tomas.yaml").exists()


def test_copies_that_an_editor_left_are_named(clients: Path) -> None:
    for name in ("tomas.yaml~", ".tomas.yaml.swp", "tomas.log.yaml.bak", "tomasina.yaml.bak"):
        (clients / name).write_text("x")
    text = erase(clients, "tomas", Types("tomas")).text
    assert ".tomas.yaml.swp, tomas.log.yaml.bak, tomas.yaml~" in text
    assert "tomasina" not in text


def test_check_ins_aside_are_given_and_go_where_surely_the_client_s_and_are_named_where_not(
    clients: Path, tmp_path: Path
) -> None:
    assert build_site(clients, tmp_path / "public", as_of=DAY).done
    hers, other = (checkin_code(links(clients).links[id]) for id in ("tomas", "nia"))
    aside = clients / ".aside"
    aside.mkdir()
    entry = "- on: 2027-03-01\n  ran: 5 miles\n"
    for name, codes in {
        "hers": [hers], "by-id": ["tomas"], "mixed": [hers, other], "nia": [other],
        "nobody": ["AAAA-BBBB"],
    }.items():  # fmt: skip
        text = "# Kept aside\n\n" + "\n".join(f"Check-in {code}\n{entry}" for code in codes)
        (aside / f"{name}.txt").write_text(text)

    given = export(clients, "tomas", tmp_path / "data", DAY)
    waits = [name for name in given.files if name.startswith("waiting-")]
    assert waits == ["waiting-by-id.txt", "waiting-hers.txt"]
    told = (place(given) / "waiting-hers.txt").read_bytes()
    assert told == (aside / "hers.txt").read_bytes()
    assert "perhaps of tomas: .aside/mixed.txt, .aside/nobody.txt" in given.text

    ask = Types("tomas")
    done = erase(clients, "tomas", ask)

    assert ".aside/by-id.txt, .aside/hers.txt and the private link" in ask.asked[0]
    assert sorted(p.name for p in aside.iterdir()) == ["mixed.txt", "nia.txt", "nobody.txt"]
    assert {".aside/by-id.txt", ".aside/hers.txt"} <= {*done.as_json("tomas")["removed"]}
    assert done.as_json("tomas")["left"] == [".aside/mixed.txt", ".aside/nobody.txt"]
    assert "perhaps of tomas: .aside/mixed.txt, .aside/nobody.txt" in done.text


@pytest.mark.skipif(os.name != "posix", reason="modes are POSIX's")
def test_keys_that_others_may_read_stop_it(clients: Path, tmp_path: Path) -> None:
    assert build_site(clients, tmp_path / "public", as_of=DAY).done
    (clients / ".keys.yaml").chmod(0o644)
    ask = Types()
    done = erase(clients, "tomas", ask)
    assert not done.done and done.problems[0].code == "keys-readable"
    assert ask.asked == [] and (clients / "tomas.yaml").exists()
