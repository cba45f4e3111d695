"""The desk's Out, For many and one line of time: the commands' own functions behind them."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from desk_served import Visitor, lay_practice, served


@pytest.fixture
def clients(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    found = lay_practice(tmp_path)
    with (found / "practice.yaml").open("a") as file:
        file.write("address: https://plans.tidewrack.example/\ntargets:\n  site: host\n")
    monkeypatch.chdir(tmp_path)
    return found


@pytest.fixture
def visitor(clients: Path) -> Iterator[Visitor]:
    with served(clients) as desk:
        yield Visitor(desk)


def shown(visitor: Visitor, act: str, **given: object) -> str:
    return unescape(visitor.show(act, **given).json["html"])


def files(top: Path) -> dict[str, bytes]:
    return {p.relative_to(top).as_posix(): p.read_bytes() for p in top.rglob("*") if p.is_file()}


def test_built_and_published_by_name_and_only_on_a_yes(visitor: Visitor, clients: Path) -> None:
    assert visitor.do("out/build").json["done"]
    host = clients.parent / "host"
    told = shown(visitor, "out/publish", target="site")

    assert "<li>Mirela Castell: a new page" in told and "an alarm is open" in told
    assert "Nia Sandoval: stopped, nothing is to be run" in told
    assert not host.exists(), "it was only shown"
    done = visitor.do("out/publish", target="site").json
    assert done["done"] and "files sent" in done["says"]
    portals = [p for p in host.iterdir() if p.is_dir() and p.name not in ("assets", "feeds")]
    assert len(portals) == 6
    for path, data in files(host).items():
        assert "desk" not in path and b"X-Desk-Token" not in data


def test_a_yes_says_what_goes_and_the_state_before_comes_back(
    visitor: Visitor, clients: Path
) -> None:
    visitor.do("out/build")
    visitor.do("out/publish")
    host = clients.parent / "host"
    first = files(host)
    for id in ("ayla", "bram"):
        for path in clients.glob(f"{id}.*"):
            path.unlink()
    visitor.do("out/build")
    told = shown(visitor, "out/publish")

    assert "2 of the 6 portals there would go: ayla and bram" in told
    assert ">Take those portals away, and publish</button>" in told
    assert files(host).keys() >= first.keys() - {".sitegen-manifest.json"}
    assert visitor.do("out/publish").json["done"]
    left = {p.name for p in host.iterdir() if p.is_dir()} - {"assets", "feeds"}
    assert len(left) == 4
    second = files(host)
    mirela = clients / "mirela.yaml"
    mirela.write_text(mirela.read_text().replace("name: Mirela", "name: Mira"))
    visitor.do("out/build")
    visitor.do("out/publish")
    changed = {name for name, data in files(host).items() if second.get(name) != data}
    done = visitor.do("out/before").json
    assert done["done"] and "the page of before: mirela" in done["html"]
    pages = {name for name in changed if name.endswith("/index.html")}
    assert len(pages) == 1 and all(files(host)[name] == second[name] for name in pages)


def test_a_host_that_another_computer_wrote_to_and_an_open_page_need_a_yes_each(
    visitor: Visitor, clients: Path
) -> None:
    visitor.do("out/build")
    visitor.do("out/publish")
    (clients / ".published.json").unlink()
    mirela = clients / "mirela.yaml"
    mirela.write_text(mirela.read_text().replace("name: Mirela", "name: Mira") + "privacy: open\n")
    visitor.do("out/build")
    told = shown(visitor, "out/publish")

    assert "what this computer did not put there: mirela" in told
    assert "less private: mirela (no seal: who reaches the host reads all of it)" in told
    assert ">Put what was built here in its place; Open what was closed there</button>" in told


def test_out_tells_who_was_not_heard_of_and_writes_links_for_paper(
    visitor: Visitor, clients: Path
) -> None:
    page = unescape(visitor.get("/panel/out").text)
    assert "Who was not heard from" in page and "speak to them" not in page
    log = clients / "ayla.log.yaml"
    log.write_text(log.read_text().partition("- on: 2027-03-")[0])
    page = unescape(visitor.get("/panel/out").text)
    assert "Hello Ayla, the last I have from you is of " in page
    assert "delete it once it is printed" in shown(visitor, "out/links")
    assert not (clients.parent / "desk").exists()
    assert visitor.do("out/links").json["done"]
    assert (clients.parent / "desk" / "links.html").stat().st_size > 10_000


def test_without_a_target_nothing_is_offered_to_publish(visitor: Visitor, clients: Path) -> None:
    house = clients / "practice.yaml"
    house.write_text(house.read_text().partition("address:")[0])
    page = visitor.get("/panel/out").text

    assert "names no targets yet" in page and 'data-show="out/publish"' not in page
    assert visitor.show("out/publish").status == 409
    assert "each link would be half of one" in shown(visitor, "out/links")


def test_a_house_rule_is_shown_for_each_client_and_taken_back(
    visitor: Visitor, clients: Path
) -> None:
    house = clients / "practice.yaml"
    old = house.read_bytes()
    told = shown(visitor, "many/house", setting="volume: {growth: 5 %}", group="")

    assert "Bram Okonjo: weeks " in told and "no change for " in told
    assert "+ rules: {volume: {growth: 5 %}}" in told and house.read_bytes() == old
    assert visitor.do("many/house", setting="volume: {growth: 5 %}", group="").json["done"]
    assert house.read_bytes() == old + b"rules: {volume: {growth: 5 %}}\n"
    assert visitor.do("back/undo").json["done"] and house.read_bytes() == old
    wrong = shown(visitor, "many/house", setting="volum: {growth: 5 %}")
    assert "did you mean volume?" in wrong and "Nothing can be written." in wrong
    assert "write one like volume" in shown(visitor, "many/house", setting="")


def test_weeks_go_from_one_client_to_another(visitor: Visitor, clients: Path) -> None:
    bram = clients / "bram.yaml"
    old = bram.read_bytes()
    given = {"source": "ayla", "weeks": "3", "whose": "bram", "at": "12", "because": "once more"}
    told = shown(visitor, "many/copy", **given)

    assert (
        "Bram Okonjo: week 12 " in told and "Weeks 3 of Ayla" in told and bram.read_bytes() == old
    )
    assert visitor.do("many/copy", **given).json["done"]
    assert b"session: " in bram.read_bytes() and b"ayla" not in bram.read_bytes()
    assert "say why" in shown(visitor, "many/copy", **{**given, "because": ""})
    page = visitor.get("/panel/many").text
    assert 'data-open="decide?whose=group:coming-back"' in page and "1 client<" in page


def test_one_line_of_time_opens_from_the_client_and_is_harmless(
    visitor: Visitor, clients: Path
) -> None:
    assert 'data-open="history?whose=nia"' in visitor.get("/panel/client?id=nia").text
    page = visitor.get("/panel/history?whose=nia").text

    assert "SIGN: chest pain" in page and "<script>" not in page and "&lt;script&gt;" in page
    assert page.index("2027-03-17") < page.index("2027-03-16")
    shutil.copy(clients / "nia.yaml", clients / "odd.yaml")
    (clients / "odd.yaml").write_text("name: [Odd\n")
    assert "Nothing is known, as the files have errors." in visitor.get(
        "/panel/history?whose=odd").text  # fmt: skip
    assert visitor.get("/panel/history?whose=nobody").status == 409


def test_a_stop_that_was_answered_is_lifted_from_its_client(
    visitor: Visitor, clients: Path
) -> None:
    above = unescape(visitor.get("/panel/alarms").text)
    assert "<blockquote>&lt;script&gt;" in visitor.get("/panel/alarms").text
    assert "the plan stays stopped" in above
    visitor.do("alarms/answer", whose="nia", number="1", because="spoke with her")
    assert "Nia" not in visitor.get("/panel/alarms").text

    form = unescape(visitor.get("/panel/decide?whose=nia").text)
    assert "Lift the stop" in form and "chest pain was told" in form
    asked = {"whose": "nia", "number": "1", "seen_by": "her doctor", "because": "fine"}
    plain, false = (
        shown(visitor, "alarms/lift", **asked),
        shown(visitor, "alarms/lift", **asked, false_alarm="yes"),
    )
    assert "licensed clinician should have seen the client before" in plain
    assert "not meant, or was not there" in false
    assert "Lift the stop" not in visitor.get("/panel/decide?whose=ayla").text
