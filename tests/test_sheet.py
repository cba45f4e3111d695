"""The sheet: one row a client, for the week behind and the week ahead."""

from __future__ import annotations

import json
import os
import re
import shutil
import stat
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from chromium import needs_chromium
from commands import sitegen
from noted import note, noted
from sitegen import world
from sitegen.coach.sheet import Asked, Said, SheetRow, WeekAhead, WeekBehind, evening_sheet
from sitegen.coach.sheet_page import sheet_page
from sitegen.coach.sheet_shown import behind_words, said_words, sheet_lines
from sitegen.portal.edition import Edition, with_edition
from sitegen.site.change_words import change_words
from sitegen.site.notes import SEEN_FILE, SHEET_FILE

ROOT = Path(__file__).resolve().parent.parent
DAY = date(2027, 2, 14)
AS_OF = ("--as-of", "2027-02-14")


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "clients", tmp_path / "clients")
    return tmp_path


@pytest.fixture(scope="module")
def rows(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    """Of a practice that no test changes: Bram is told a lighter week, Nia limps, Tomas is odd."""
    home = tmp_path_factory.mktemp("sheet")
    shutil.copytree(ROOT / "clients", home / "clients")
    clients = home / "clients"
    week = "{week: 6, from: 2027-02-15, kind: build, cadence: 168 spm, steps: 9, worth: 99 min"
    run = "{on: 2027-02-16, session: w06-run-1, kind: easy, effort: 2-3"
    told = f"- told: 2027-02-12\n  weeks:\n  - {week}, runs: 1}}\n"
    (clients / "bram.told.yaml").write_text(told + f'  - {run}, parts: "run 99 min"}}\n')
    with (clients / "nia.log.yaml").open("a") as log:
        log.write("- {on: 2027-02-13, signs: [limp]}\n")
    (clients / "tomas.yaml").write_text("name: [")
    with (clients / "tomas.log.yaml").open("a") as log:
        log.write("- {on: 2027-02-13, signs: [chest_pain]}\n")
    with (clients / "mirela.yaml").open("a") as file:
        file.write("private: Ask about <work>.\n")
    done = sitegen("sheet", *AS_OF, "--json", cwd=home)
    assert done.returncode == 1 and "clients/tomas.yaml:1:7: error: " in done.stderr
    return {row["client"]: row for row in json.loads(done.stdout)}


def test_told_and_done_of_the_week_behind_are_those_of_plan_and_log(
    practice: Path, rows: dict[str, dict[str, Any]]
) -> None:
    weeks = json.loads(sitegen("weeks", "ayla", *AS_OF, "--json", cwd=practice).stdout)["weeks"]
    log = (practice / "clients" / "ayla.log.yaml").read_text()
    ran = re.findall(r"- on: 2027-02-(?:0[89]|1[0-4])\n  ran: (\d+) min", log)
    behind = rows["ayla"]["behind"]

    assert behind["told_minutes"] == weeks[4]["run_minutes"]
    assert behind["told_runs"] == sum(s["kind"] != "strength" for s in weeks[4]["sessions"])
    assert behind["done_minutes"] == sum(map(int, ran)) and behind["done_runs"] == len(ran) > 0
    assert behind["start"] == "2027-02-08" and 0 < behind["effort"] < 10
    ahead = rows["ayla"]["ahead"]
    assert (ahead["start"], ahead["run_minutes"]) == ("2027-02-15", weeks[5]["run_minutes"])
    assert [(s["on"], s["minutes"]) for s in ahead["sessions"]] == [
        (s["on"], s["total_minutes"]) for s in weeks[5]["sessions"]
    ]


def test_what_changed_since_the_client_saw_it_is_told(rows: dict[str, dict[str, Any]]) -> None:
    bram = rows["bram"]

    assert bram["seen_on"] == "2027-02-12"
    assert any("Tue 16 Feb" in line and "(was easy 99 min)" in line for line in bram["changed"])
    assert rows["ayla"]["changed"] == [] and rows["ayla"]["seen_on"] is None


def test_a_reason_that_the_client_saw_already_is_no_news(practice: Path) -> None:
    """What a build of the day itself notes begins with the edition of its page."""
    clients = practice / "clients"
    week = "{week: 6, from: 2027-02-15, kind: build, cadence: 168 spm, steps: 9, worth: 99 min"
    run = "{on: 2027-02-16, session: w06-run-1, kind: easy, effort: 2-3"
    told = f"- told: 2027-02-12\n  weeks:\n  - {week}, runs: 1}}\n"
    (clients / "bram.told.yaml").write_text(told + f'  - {run}, parts: "run 99 min"}}\n')
    assert sitegen("build", "--as-of", "2027-02-12", cwd=practice).returncode == 0

    def changed() -> Any:
        (clients / SHEET_FILE).unlink(missing_ok=True)
        shown = json.loads(sitegen("sheet", "--json", *AS_OF, cwd=practice).stdout)
        return next(row["changed"] for row in shown if row["client"] == "bram")

    plain = changed()
    seen = noted(clients, SEEN_FILE)
    seen["bram"] = with_edition(Edition(date(2027, 2, 12), 1, "cafe"), seen["bram"])
    note(clients, SEEN_FILE, seen)
    assert changed() == plain
    (clients / SEEN_FILE).unlink()
    assert changed() != plain, "the notes say which reasons are old"


def test_the_latest_words_of_a_client_stand_in_each_form_of_the_sheet(practice: Path) -> None:
    first, *_ = (practice / "clients" / "bram.log.yaml").read_text().partition("- on: 2027-02-08")
    words = ("Felt light.", "Headache since the fall", "Long " * 50, "Wind,\n and <rain>")
    told = [
        f"- {{on: 2027-02-{day:02}, ran: 30 min, said: {json.dumps(text)}}}\n"
        for day, text in zip((7, 13, 9, 10), words, strict=True)
    ]
    (practice / "clients" / "bram.log.yaml").write_text(first + "".join(told))
    shown = sitegen("sheet", "--json", "--print", *AS_OF, cwd=practice).stdout
    (row,) = (row for row in json.loads(shown) if row["client"] == "bram")
    assert [(one["on"], one["says"]) for one in row["said"][:2]] == [
        ("2027-02-13", "Headache since the fall"), ("2027-02-10", "Wind, and <rain>")
    ]  # fmt: skip
    assert len(row["said"]) == 3, "of the week behind alone"
    cut = row["said"][2]["says"]
    assert cut.endswith("…") and len(cut) == 121
    line = f'Sat "Headache since the fall"; Wed "Wind, and <rain>"; Tue "{cut}"'
    assert f"  said    {line}" in sitegen("sheet", *AS_OF, cwd=practice).stdout
    page = (practice / "desk" / "sheet.html").read_text()
    assert "Sat &#34;Headache since the fall&#34;; Wed &#34;Wind, and &lt;rain&gt;&#34;" in page


def test_many_words_are_counted_beyond_the_latest_three() -> None:
    said = [Said(f"2027-02-{day}", f"word {day}") for day in (14, 13, 12, 11, 10)]
    assert said_words(said) == 'Sun "word 14"; Sat "word 13"; Fri "word 12"; 2 more in the log'


def test_a_stop_is_a_change_while_the_client_still_sees_runs(practice: Path) -> None:
    clients = practice / "clients"
    runs = "".join(
        f"  - {{on: 2027-02-{day}, session: w06-run-{n}, kind: easy, effort: 2-3, "
        'parts: "run 30 min"}\n'
        for n, day in enumerate((16, 17, 18, 20), 1)
    )
    week = "{week: 6, from: 2027-02-15, kind: build, cadence: 168 spm, steps: 9, worth: 120 min"
    told = f"- told: 2027-02-12\n  weeks:\n  - {week}, runs: 4}}\n{runs}"
    (clients / "bram.told.yaml").write_text(told)
    with (clients / "bram.log.yaml").open("a") as log:
        log.write("- {on: 2027-02-14, signs: [fainting]}\n")
    found = sitegen("sheet", "--only", "changed", *AS_OF, "--json", cwd=practice).stdout
    (row,) = json.loads(found)
    assert row["client"] == "bram" and row["status"] == "referred"
    line = row["changed"][-1]
    assert line.startswith("Stop. Fainting")
    assert line.endswith(": 4 sessions from Tue 16 Feb to Sat 20 Feb are gone")


def test_who_needs_the_coach_stands_first_also_where_a_file_has_errors(
    rows: dict[str, dict[str, Any]],
) -> None:
    assert list(rows)[:2] == ["tomas", "nia"]
    assert rows["tomas"]["asks"][0]["says"].startswith("urgent: chest pain")
    assert [id for id, row in rows.items() if row["alarm"]] == ["tomas", "nia"]
    assert rows["tomas"]["behind"] is rows["tomas"]["ahead"] is None


def test_changes_of_one_reason_are_one_sentence_and_the_reason_comes_first() -> None:
    def once(on: str, minutes: int) -> dict[str, Any]:
        return {"on": on, "kind": "easy", "minutes": minutes}

    told = [
        {"before": None, "after": once("2027-02-15", 20), "why": []},
        {"before": once("2027-02-16", 30), "after": None, "why": ["Away until Sunday."]},
        {"before": once("2027-02-18", 30), "after": once("2027-02-19", 30), "why": ["Ill."]},
        {"before": once("2027-02-21", 30), "after": once("2027-02-21", 20),
         "why": ["Away until Sunday."]},
    ]  # fmt: skip
    assert change_words(told) == (
        "Away until Sunday: Tue 16 Feb easy 30 min is gone, Sun 21 Feb easy 20 min (was 30 min)",
        "Ill: Fri 19 Feb easy 30 min (was Thu 18 Feb easy 30 min)",
        "no single rule: Mon 15 Feb easy 20 min is new",
    )
    assert change_words(told[:1]) == ("Mon 15 Feb easy 20 min is new",)


def test_less_running_in_more_minutes_is_told_as_less_running() -> None:
    """A lower rung walks more: an easier week read as a longer one."""
    was, now = (
        {"on": "2027-02-16", "kind": "run_walk", "minutes": minutes, "run": run}
        for minutes, run in ((16, 4), (17, 3))
    )
    assert change_words([{"before": was, "after": now, "why": []}]) == (
        "Tue 16 Feb run/walk 17 min with 3 of running (was 16 min with 4 of running)",
    )


def test_it_can_be_narrowed(practice: Path) -> None:
    with (practice / "clients" / "nia.log.yaml").open("a") as log:
        log.write("- {on: 2027-02-13, signs: [limp]}\n")
    clients = practice / "clients"
    shutil.copy(clients / "ayla.yaml", clients / "quiet.yaml")

    def ids(*only: str, group: str | None = None) -> list[str]:
        return [row.id for row in evening_sheet(clients, DAY, group, only).rows]

    assert ids("alarm") == ["nia"]
    assert ids("silent") == ["quiet"]
    assert ids("silent", "alarm") == ["nia", "quiet"]
    assert ids("changed") == [] and ids(group="coming-back") == ["tomas"]
    assert "nobody" in sitegen("sheet", "--only", "changed", *AS_OF, cwd=practice).stdout


# --- remembered ---------------------------------------------------------------------------------


def rename(clients: Path) -> None:
    """In what is remembered, one client has another name."""
    rows = noted(clients, SHEET_FILE)
    rows["bram"] = rows["bram"].replace("Bram Okonjo", "Bram Remembered")
    note(clients, SHEET_FILE, rows)


def test_a_day_of_walking_alone_is_called_a_walk(practice: Path) -> None:
    """The first weeks of a way back stood there as "run/walk 40", with 0 min running."""
    with (practice / "clients" / "nia.yaml").open("a") as file:
        file.write("return: {after: bone-stress, cleared_on: 2027-03-20, by: a doctor}\n")
    rows = json.loads(sitegen("sheet", "--as-of", "2027-03-21", "--json", cwd=practice).stdout)
    ahead = next(row["ahead"] for row in rows if row["client"] == "nia")

    assert ahead["run_minutes"] == 0
    assert {one["kind"] for one in ahead["sessions"]} - {"strength"} == {"walk"}


def test_what_did_not_change_is_remembered_and_what_did_is_drawn_anew(practice: Path) -> None:
    clients = practice / "clients"
    first = evening_sheet(clients, DAY)
    rename(clients)
    again = {row.id: row for row in evening_sheet(clients, DAY).rows}

    assert again["bram"].name == "Bram Remembered", "it was not worked out once more"
    assert [row for row in first.rows if row.id != "bram"] == [
        row for row in again.values() if row.id != "bram"
    ]
    with (clients / "bram.yaml").open("a") as file:
        file.write("private: x\n")
    assert next(r for r in evening_sheet(clients, DAY).rows if r.id == "bram").name == "Bram Okonjo"
    rename(clients)
    later = next(r for r in evening_sheet(clients, date(2027, 2, 15)).rows if r.id == "bram")
    assert (later.name, later.as_of) == ("Bram Okonjo", "2027-02-15")


@pytest.mark.parametrize("text", ["", "{", "[1]", "3"])
def test_a_memory_that_is_lost_or_damaged_is_made_again(practice: Path, text: str) -> None:
    clients = practice / "clients"
    first = evening_sheet(clients, DAY)
    note(clients, SHEET_FILE, {"bram": text or "gone"})
    if not text:
        (clients / SHEET_FILE).write_text("lost")

    assert evening_sheet(clients, DAY) == first


def test_erase_takes_what_is_remembered_of_a_client(practice: Path) -> None:
    evening_sheet(practice / "clients", DAY)
    assert b"Tomas Brandt" in (practice / "clients" / SHEET_FILE).read_bytes()
    sitegen("erase", "tomas", "--yes", cwd=practice)

    assert b"Tomas" not in (practice / "clients" / SHEET_FILE).read_bytes()


# --- shown --------------------------------------------------------------------------------------


def test_a_terminal_gets_lines_of_eighty_columns(practice: Path) -> None:
    found = evening_sheet(practice / "clients", DAY).rows
    lines = list(sheet_lines(found))

    assert max(map(len, lines)) <= 80
    assert [line for line in lines if line.startswith("bram")] == ["bram  Bram Okonjo"]
    whole = list(sheet_lines(found, None))
    assert len(whole) < len(lines) and sum("  ahead   week" in line for line in whole) == 6


def test_the_coachs_own_note_is_in_the_sheet_and_in_no_portal(practice: Path) -> None:
    with (practice / "clients" / "bram.yaml").open("a") as file:
        file.write("privacy: open\nprivate: Ask about <work>.\n")
    assert sitegen("build", *AS_OF, cwd=practice).returncode == 0
    shown = sitegen("sheet", "--print", *AS_OF, cwd=practice)
    page = (practice / "desk" / "sheet.html").read_text()

    assert shown.returncode == 0 and "Ask about &lt;work&gt;." in page
    assert "Ask about <work>." in sitegen("sheet", *AS_OF, cwd=practice).stdout
    for path in (practice / "public").rglob("*"):
        assert not path.is_file() or b"Ask about" not in path.read_bytes(), path


def test_the_page_is_closed_to_others_and_never_in_the_site(practice: Path) -> None:
    sitegen("build", *AS_OF, cwd=practice)
    inside = sitegen("sheet", "--print", "--to", "public/desk", *AS_OF, cwd=practice)
    assert inside.returncode == 1 and "belongs to the built site" in inside.stderr
    done = sitegen("sheet", "--print", *AS_OF, cwd=practice)
    assert done.returncode == 0
    assert sitegen("desk", "--to", "desk", *AS_OF, cwd=practice).returncode == 0, (
        "both lie in one folder"
    )
    page = practice / "desk" / "sheet.html"
    if os.name == "posix":
        assert stat.S_IMODE(page.stat().st_mode) == 0o600
        assert stat.S_IMODE(page.parent.stat().st_mode) == 0o700
    text = page.read_text()
    assert "<script" not in text and "default-src 'none'" in text


@needs_chromium
def test_twenty_clients_with_much_to_say_are_one_sheet_of_paper(browser, tmp_path: Path) -> None:
    much = "pain 7 of 10 (left shin above the ankle) on 17 March, yesterday: nothing grows; " * 4
    behind = WeekBehind(5, "2027-02-08", 240.0, 260.0, 5, 6, 7, "left shin", 4.5, 168, 170)
    row = SheetRow(
        "x", "Somebody with a Long Name", "coming-back", "2027-02-14", "active", (0, 0.0), behind,
        WeekAhead(6, "2027-02-15", "build", 250.0, ()), "2027-02-12", (much,), (Asked("x", much),),
        True, True, much, (Said("2027-02-13", much[:120]),) * 4,
    )  # fmt: skip
    sheets = {}
    for count, most in ((4, 0), (10, 6), (20, 3), (45, 3)):
        path = tmp_path / f"{count}.html"
        path.write_text(sheet_page([row] * count, world.read_templates()))
        page = browser.new_page()
        page.goto(path.as_uri())
        page.emulate_media(media="print")
        cells = page.locator("tbody tr:first-child :is(td, th) > div")
        lines = cells.evaluate_all(
            "all => all.map(one => one.clientHeight / parseFloat(getComputedStyle(one).lineHeight))"
        )
        cut = cells.evaluate_all(
            "all => all.filter(one => one.scrollHeight > one.clientHeight + 1).length"
        )
        assert (cut == 0) is (count == 4), "of four nothing is cut"
        if count > 4:
            assert most - 0.05 < max(lines) < most + 0.05, "whole lines, and no part of one more"
        data = page.pdf(prefer_css_page_size=True)
        sheets[count] = len(re.findall(rb"/Type\s*/Page\b", data))
        page.close()
    assert sheets == {4: 1, 10: 1, 20: 1, 45: 3}


@pytest.mark.parametrize(
    ("told", "done", "says"),
    [
        ((0.0, 0), (31.0, 1), "week 3: 31 min, 1 run, where none was planned"),
        ((0.0, 0), (0.0, 0), "week 3: no run was planned"),
        ((30.0, 3), (0.0, 0), "week 3: 0 of 30 min, 0 of 3 runs"),
    ],
)
def test_a_week_in_which_nothing_was_planned_is_told_as_such(
    told: tuple[float, int], done: tuple[float, int], says: str
) -> None:
    week = WeekBehind(3, "2027-03-08", told[0], done[0], told[1], done[1], None, "", None, None, 0)
    assert behind_words(week) == says
