"""All private links on one page to print, and messages to those who were not heard from."""

from __future__ import annotations

import io
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
from sitegen import world
from sitegen.coach.links_page import LinkOnPaper, links_page
from sitegen.portal.catalogue import Languages
from sitegen.portal.qr import drawing
from sitegen.portal.reminder import reminder
from sitegen.portal.words import Words

ROOT = Path(__file__).resolve().parent.parent
ADDRESS = "address: https://plans.tidewrack.example/\n"


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "clients", tmp_path / "clients")
    with (tmp_path / "clients" / "practice.yaml").open("a") as file:
        file.write(ADDRESS)
    return tmp_path


# --- links on paper ------------------------------------------------------------------------------


def test_the_page_has_each_link_once_and_is_closed_to_others(practice: Path) -> None:
    jonas = practice / "clients" / "jonas.yaml"
    jonas.write_text(re.sub("(?m)^status:.*", "status: ended", jonas.read_text()))
    done = sitegen("links", cwd=practice)
    page = practice / "desk" / "links.html"
    text = page.read_text()
    ids = ("ayla", "bram", "mirela", "nia", "tomas")
    urls = [json.loads(sitegen("link", id, "--json", cwd=practice).stdout)["url"] for id in ids]

    assert done.returncode == 0 and "5 links" in done.stdout
    assert "delete it once it is printed" in done.stdout
    assert re.findall(r'class="link">(https:[^<]*#k=[^<]*)<', text) == urls
    assert text.count("<svg") == 5 and "<script" not in text and "default-src 'none'" in text
    assert "These are keys." in text and "Jonas" not in text
    if os.name == "posix":
        assert stat.S_IMODE(page.stat().st_mode) == 0o600
        assert stat.S_IMODE(page.parent.stat().st_mode) == 0o700


def test_keys_that_cannot_be_written_are_said_in_words(practice: Path) -> None:
    (practice / "clients" / ".keys.yaml.new").mkdir()
    done = sitegen("links", cwd=practice)
    assert done.returncode == 1 and ".keys.yaml can't be written: " in done.stderr


def test_it_never_lies_in_the_site_and_needs_an_address(practice: Path) -> None:
    assert sitegen("build", "--as-of", "2027-03-18", cwd=practice).returncode == 0
    inside = sitegen("links", "--to", "public/desk", cwd=practice)
    assert inside.returncode == 1 and "belongs to the built site" in inside.stderr
    assert not (practice / "public" / "desk").exists()
    house = practice / "clients" / "practice.yaml"
    house.write_text(house.read_text().replace(ADDRESS, ""))
    half = sitegen("links", cwd=practice)
    assert half.returncode == 1 and "each link would be half of one" in half.stderr
    assert not (practice / "desk").exists()


def test_a_group_and_a_passphrase_are_told(practice: Path) -> None:
    typed = "four loose words here\n" * 2
    assert sitegen("link", "tomas", "--passphrase", cwd=practice, typed=typed).returncode == 0
    told = json.loads(sitegen("links", "--group", "coming-back", "--json", cwd=practice).stdout)
    text = (practice / "desk" / "links.html").read_text()

    assert told["done"] and told["clients"] == 1
    assert "Tomas Brandt" in text and "It asks for the passphrase as well." in text


@needs_chromium
def test_every_printed_code_reads_back_as_its_link(browser: Any) -> None:
    """By the reader of others, zxing-cpp, of the page as it is printed."""
    zxing = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed")
    image = pytest.importorskip("PIL.Image", reason="Pillow is not installed")
    urls = [f"https://plans.tidewrack.example/{n:022}/#k={n:043}" for n in range(24)]
    links = [
        LinkOnPaper(f"c{n}", f"Client {n}", "", url, "", False, drawing(url, "Code"))
        for n, url in enumerate(urls)
    ]
    page = browser.new_page(viewport={"width": 1000, "height": 800})
    page.set_content(links_page(links, "Tidewrack", world.read_templates()))
    page.emulate_media(media="print")
    picture = image.open(io.BytesIO(page.screenshot(full_page=True)))
    page.close()

    found = zxing.read_barcodes(picture.resize((picture.width * 2, picture.height * 2)))
    assert sorted(code.text for code in found) == urls


# --- messages to copy ----------------------------------------------------------------------------


def test_who_was_not_heard_of_gets_a_message_and_others_none(practice: Path) -> None:
    done = sitegen("remind", "--as-of", "2027-03-25", "--json", cwd=practice)
    silent = {one["client"]: one for one in json.loads(done.stdout)}

    assert done.returncode == 0 and "nia" in silent and "jonas" not in silent
    assert silent["nia"]["last_check_in"] == "2027-03-16"
    assert silent["nia"]["text"].startswith(
        "Hello Nia, the last I have from you is of Tue 16 Mar. How is it going?"
    )
    assert silent["nia"]["text"].endswith("\nInes")
    lines = sitegen("remind", "--as-of", "2027-03-25", cwd=practice).stdout
    assert "nia (Nia Sandoval): " in lines and "last heard from Tue 16 Mar" in lines
    assert "No message is due" in sitegen("remind", "--as-of", "2027-03-17",
                                                cwd=practice).stdout  # fmt: skip


def test_who_never_logs_by_agreement_is_asked_for_no_word(practice: Path) -> None:
    """Week after week a message would ask for what was agreed that nobody sends."""
    with (practice / "clients" / "nia.yaml").open("a") as file:
        file.write("checkins: none\n")
    day = ("--as-of", "2027-04-25")
    sheet = json.loads(sitegen("sheet", *day, "--json", cwd=practice).stdout)
    row = next(one for one in sheet if one["client"] == "nia")

    assert "nia" not in sitegen("remind", *day, cwd=practice).stdout
    assert row["behind"] is None and not row["silent"]
    assert not {one["kind"] for one in row["asks"]} & {"silence", "away", "adherence"}
    assert "[unheard]" not in sitegen("check", "nia", *day, cwd=practice).stderr


def test_it_is_in_the_clients_language(practice: Path) -> None:
    with (practice / "clients" / "nia.yaml").open("a") as file:
        file.write("language: es\n")
    done = sitegen("remind", "--as-of", "2027-03-25", cwd=practice)

    assert "Hola, Nia: lo último que tengo de ti es del mar 16 mar." in done.stdout


def test_with_an_alarm_open_there_is_no_message_but_a_word_to_the_coach(practice: Path) -> None:
    with (practice / "clients" / "nia.log.yaml").open("a") as log:
        log.write("- {on: 2027-03-16, signs: [chest_pain]}\n")
    done = sitegen("remind", "--as-of", "2027-03-25", cwd=practice)
    told = {one["client"]: one["text"] for one in json.loads(
        sitegen("remind", "--as-of", "2027-03-25", "--json", cwd=practice).stdout)}  # fmt: skip

    assert "nia (Nia Sandoval): urgent: chest pain on 16 Mar" in done.stdout
    assert "An alarm is open: speak to them, rather than send this." in done.stdout
    assert told["nia"] is None and "Hello Nia" not in done.stdout


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("heard", [None, date(2027, 3, 16)])
def test_a_message_holds_nothing_of_health_and_no_link(language: str, heard: date | None) -> None:
    languages = Languages(world.read_languages())
    catalogue = languages.catalogue(language)
    words = Words(language, "km", catalogue.gettext, catalogue.ngettext)
    text = reminder("Mara", heard, "Ines", words)

    assert text.count("Mara") == 1 and ("16" in text) is (heard is not None)
    assert not re.search(r"https?:|pain|dolor|injur|lesi|sick|enferm|sign|alarm|min\b|km", text)
