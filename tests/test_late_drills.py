"""What a sealed portal draws late: shipped drills, one file for all; weeks that are folded."""

from __future__ import annotations

import ast
import base64
import hashlib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from markupsafe import Markup
from playwright.sync_api import expect

from engines import until
from language_builder import languages
from portal_builder import (
    KEY_TEXT,
    make_case,
    make_drills,
    make_plan,
    make_renderer,
    write_sealed_site,
)
from sitegen.portal.shelf import shelf
from sitegen.portal.words import tied
from test_offline import Host, host, kept, page, visit  # noqa: F401

END = f"#k={KEY_TEXT}"


def document(drills: Any, are_apart: bool) -> str:
    return make_renderer().document(
        make_case(), make_plan(), drills, feed_url=None, code="K7", are_apart=are_apart
    )


def the_file(folder: Path) -> Path:
    [found] = (folder / "assets").glob("drills-en.*.js")
    return found


def test_a_file_is_named_and_vouched_for_by_what_it_holds():
    """W3C, Subresource Integrity, section 3.1: sha256- and the digest in base64."""
    said = """<p class="x">Un 'puente' \\n \u2028\n</p>"""
    begun = '<div class="figure"><svg aria-label="A > B">'
    drawing = f'{begun}<path d="m1 2"/>\n</svg></div>'
    made = shelf("es-MX", {"bridge": Markup(f"{said}{drawing}"), "calf": Markup("<p>Sin</p>")})

    digest = hashlib.sha256(made.content)
    assert made.name == f"assets/drills-es-mx.{digest.hexdigest()[:10]}.js"
    assert made.integrity == "sha256-" + base64.b64encode(digest.digest()).decode()
    text = made.content.decode().removeprefix("self.portalDrills=").rstrip().removesuffix(";")
    words = {"bridge": f"{said}{begun}</svg></div>", "calf": "<p>Sin</p>"}
    figures = ['<path d="m1 2"/>\n', ""]
    assert ast.literal_eval(text) == {"marks": {}, "words": words, "figures": figures}


def test_markup_that_comes_often_is_one_sign_and_every_drill_comes_back_whole():
    drawn = {
        f"drill-{n}": Markup(f'<p class="purpose">{n} & {"!#$"[n % 3]}</p><ul><li>a</li></ul>')
        for n in range(9)
    }
    text = shelf("en", drawn).content.decode().removeprefix("self.portalDrills=")
    held = ast.literal_eval(text.rstrip().removesuffix(";"))

    marks = held["marks"]
    assert '<p class="purpose">' in marks.values() and not {*marks} & {*"".join(drawn.values())}
    whole = {
        id: "".join(marks.get(sign, sign) for sign in words) for id, words in held["words"].items()
    }
    assert whole == drawn
    assert sum(map(len, held["words"].values())) < sum(map(len, drawn.values())) / 2


def test_a_page_leaves_out_the_inside_of_shipped_drills_and_keeps_the_coachs_own():
    first, second, *_ = make_drills()
    own = second._replace(own=True, figure="")

    apart = document([first._replace(own=False), own], are_apart=True)
    whole = document([first._replace(own=False), own], are_apart=False)

    assert first.purpose in whole and own.purpose in whole
    assert first.purpose not in apart and own.purpose in apart
    assert first.title in apart and tied(first.dose) in apart


def test_the_file_holds_no_drill_of_the_coachs_own():
    first, second, *_ = make_drills()
    renderer = replace(make_renderer(), languages=languages())
    files = renderer.shelves([first._replace(own=False), second._replace(own=True)])

    assert any(name.startswith("assets/drills-es.") for name in files)
    for name, content in files.items():
        assert f'"{first.id}"'.encode() in content, name
        assert f'"{second.id}"'.encode() not in content, name


def test_drills_come_after_now_and_look_like_those_of_an_open_page(page: Any, host: Host):  # noqa: F811
    write_sealed_site(host.folder)
    visit(page, host, END)
    page.wait_for_selector(".drill:not([data-late])", state="attached")

    assert page.locator(".drill[data-late]").count() == 0
    assert make_drills()[0].purpose in page.locator(".drill").first.text_content()
    assert page.locator(".drill-inside *").count() == 0, "folded, and one text for a search"
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    shown = page.locator(".drill").evaluate_all("all => all.map(a => a.innerHTML.trim())")
    assert len(shown) == len(make_drills())
    other = page.context.new_page()
    other.set_content(document(make_drills(), are_apart=False))
    whole = other.locator(".drill").evaluate_all("all => all.map(a => a.innerHTML.trim())")
    assert shown == whole


def test_drills_are_there_without_a_connection(page: Any, host: Host):  # noqa: F811
    write_sealed_site(host.folder)
    kept(page, host, END)
    host.stop()

    visit(page, host, END + "&v=drills")

    page.wait_for_selector(".drill:not([data-late])")
    assert page.locator(".drill[data-late]").count() == 0


def test_a_page_opened_from_disk_shows_its_drills(page: Any, host: Host):  # noqa: F811
    file = write_sealed_site(host.folder)

    page.goto(file.as_uri() + END + "&v=drills")

    page.wait_for_selector(".drill:not([data-late])")
    assert page.locator(".drill[data-late]").count() == 0


@pytest.mark.parametrize("fault", ["another", "gone"])
def test_a_file_that_is_not_the_one_named_is_not_taken_and_that_is_said(
    page: Any,  # noqa: F811
    host: Host,  # noqa: F811
    fault: str,
):
    write_sealed_site(host.folder)
    file = the_file(host.folder)
    right = file.read_bytes()
    if fault == "gone":
        file.unlink()
    else:
        file.write_bytes(b"self.portalDrills=new Proxy({},{get:()=>'another'});")

    visit(page, host, END + "&v=drills")

    page.wait_for_selector("[data-drills-missing]", state="visible")
    assert page.locator(".drill[data-late]").count() == len(make_drills())
    assert "another" not in page.locator("#drills").inner_text()
    expect(page.locator(".drill h4").first).to_be_visible()

    asked = "async a => Boolean(await caches.match(a))"
    assert not page.evaluate(asked, f"{host.address}/assets/{file.name}")
    if fault == "gone":
        file.write_bytes(right)
        page.evaluate("portal.go('now')")
        page.wait_for_selector(".drill:not([data-late])", state="attached")
        expect(page.locator("[data-drills-missing]")).to_be_hidden()


def test_views_alike_for_all_clients_stand_in_a_file_and_are_there_where_they_were_asked_for(
    page: Any,  # noqa: F811
    host: Host,  # noqa: F811
):
    write_sealed_site(host.folder)
    sealed, whole = (document(make_drills(), are_apart=apart) for apart in (True, False))
    assert "data-checkin" in whole and "data-beat" in whole
    assert "data-checkin" not in sealed and "data-beat" not in sealed

    visit(page, host, END + "&v=checkin")

    expect(page.locator("#checkin [data-checkin][data-ready] [data-c-form]")).to_be_visible()
    page.evaluate("portal.go('beat')")
    expect(page.locator("#beat [data-b-start]")).to_be_visible()
    expect(page.locator("[data-alike]")).to_have_count(0)


def test_a_folded_week_is_one_text_and_is_drawn_when_opened_found_or_printed(page: Any, host: Host):  # noqa: F811
    write_sealed_site(host.folder)
    visit(page, host, END)
    page.wait_for_selector("html[data-ready]", state="attached")
    folded = page.locator(".week > script[data-folded]")
    weeks = page.locator(".week").count()
    last, other_week = f"#weeks-{weeks}", f"#weeks-{weeks - 1}"
    until(lambda: page.text_content(f"{last} .inside"))
    before = folded.count()

    assert 0 < before < weeks
    assert page.locator(f"{last} .inside *").count() == 0
    text = page.locator(f"{last} .inside").text_content()
    assert "Long run" in text and "<" not in text and "&amp;" not in text

    page.evaluate("week => { document.querySelector(week).open = true; }", last)
    page.wait_for_selector(f"{last} .session", state="attached")
    session = page.evaluate("portal.data.weeks.at(-2).sessions[0].id")
    page.evaluate("place => portal.go(place)", f"weeks/s-{session}")
    page.wait_for_selector(f"{other_week} #weeks-s-{session}", state="attached")
    assert page.locator(f"{last} [data-print]").is_visible()
    assert folded.count() == before - 2

    # At once, as the browser prints when the event is over: what is opened is drawn a moment later.
    left = "document.querySelectorAll('script[data-folded]').length"
    assert page.evaluate(f"dispatchEvent(new Event('beforeprint')), {left}") == 0
    other = page.context.new_page()
    other.set_content(document(make_drills(), are_apart=False))
    ids = "all => all.map(one => one.id)"
    drawn = page.locator(".week .session").evaluate_all(ids)
    assert drawn == other.locator(".week .session").evaluate_all(ids) != []
