"""The desk that is served: what it answers, that acts are shown before they are written, and that
a file changed meanwhile is left as it is."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from desk_served import Visitor, lay_practice, served
from sitegen import world
from sitegen.desk.panels import PANELS
from sitegen.desk.watching import concerns
from sitegen.versions import kept_acts


@pytest.fixture
def clients(tmp_path: Path) -> Path:
    return lay_practice(tmp_path)


@pytest.fixture
def visitor(clients: Path) -> Iterator[Visitor]:
    with served(clients) as desk:
        yield Visitor(desk)


def bytes_of(clients: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in clients.glob("*.yaml")}


def test_every_panel_has_a_template_and_a_name_of_its_own() -> None:
    texts = world.read_desk_templates()
    assert len({panel.name for panel in PANELS}) == len(PANELS) >= 4
    assert [panel.name for panel in PANELS if f"{panel.name}.html" not in texts] == []
    assert all(panel.at_once <= panel.acts.keys() for panel in PANELS)


def test_the_shell_holds_nothing_of_anybody_and_no_template_of_the_desk_goes_into_a_site(
    visitor: Visitor, clients: Path
) -> None:
    shell = visitor.get("/").text
    for path in clients.glob("*.yaml"):
        assert path.stem.partition(".")[0] not in shell
    assert not [name for name in world.read_templates() if name.startswith("desk/")]


def test_alarms_and_rows_are_told_with_their_words_harmless(visitor: Visitor) -> None:
    alarms, sheet = visitor.get("/panel/alarms").text, visitor.get("/panel/sheet").text
    assert "chest pain was told on 2027-03-17" in alarms and "Lift the stop" in alarms
    assert sheet.index("Nia Sandoval") < sheet.index("Ayla Verne") and "<script>" not in sheet
    assert "pain in the last runs: " in sheet and "Tue tempo! 59" in sheet
    only = visitor.get("/panel/sheet?alarm=yes").text
    assert "Nia Sandoval" in only and "Ayla Verne" not in only
    group = visitor.get("/panel/sheet?group=coming-back").text
    assert "Tomas Brandt" in group and "Nia Sandoval" not in group


def test_an_act_is_shown_then_written_then_taken_back(visitor: Visitor, clients: Path) -> None:
    before = bytes_of(clients)
    shown = visitor.show("sheet/lighter", whose="mirela", week="8", because="work").json
    assert "105 → 73 min" in shown["html"] and "{week: 8, minutes: 73 min" in shown["html"]
    assert bytes_of(clients) == before, "it was only shown"

    done = visitor.post("/act/sheet/lighter", {"ticket": shown["ticket"]}).json
    now = bytes_of(clients)
    assert done["done"] and now["mirela.yaml"].startswith(before["mirela.yaml"])
    assert {name for name in now if now[name] != before.get(name)} == {"mirela.yaml"}
    again = visitor.post("/act/sheet/lighter", {"ticket": shown["ticket"]})
    assert again.status == 409 and bytes_of(clients) == now, "a ticket is good for one time"

    assert "lighter" in visitor.get("/panel/back").text
    assert visitor.do("back/undo").json["done"]
    assert bytes_of(clients) == before


def test_a_file_that_changed_since_it_was_shown_is_refused_with_both_versions(
    visitor: Visitor, clients: Path
) -> None:
    shown = visitor.show("sheet/rest", whose="ayla", day="tue", because="travel").json
    file = clients / "ayla.yaml"
    file.write_text(file.read_text() + "# written meanwhile\n")
    mine = file.read_bytes()

    done = visitor.post("/act/sheet/rest", {"ticket": shown["ticket"]}).json
    assert not done["done"] and "+ # written meanwhile" in done["html"]
    assert file.read_bytes() == mine and kept_acts(clients) == ()


@pytest.mark.parametrize(
    ("act", "given", "says"),
    [
        ("sheet/rest", {"whose": "ayla", "because": "x"}, "name a day, like tue, or a week"),
        ("sheet/move", {"whose": "ayla", "day": "tue"}, "name the other day"),
        ("sheet/lighter", {"whose": "ayla"}, "say why"),
        ("sheet/set", {"whose": "ayla", "setting": "growth: much"}, "is not a percent"),
        ("alarms/answer", {"whose": "nia", "number": "1"}, "say what you did"),
        ("alarms/answer", {"whose": "nia", "number": "9", "because": "x"}, "this alarm is gone"),
        ("alarms/lift", {"whose": "nia", "number": "x", "seen_by": "a", "because": "b"}, "alarm 0"),
    ],
)
def test_what_is_missing_is_said_and_nothing_can_be_written(
    visitor: Visitor, act: str, given: dict[str, str], says: str
) -> None:
    shown = visitor.show(act, **given).json
    assert says in shown["html"] and shown["ticket"] is None


def test_who_is_not_there_is_told(visitor: Visitor) -> None:
    answer = visitor.show("sheet/rest", whose="ayle", day="tue", because="x")
    assert (answer.status, answer.text[-22:]) == (409, "t there. Did you mean ayla?"[-22:])
    assert visitor.get("/panel/decide?whose=group:nobody").status == 409
    assert visitor.get("/panel/nothing").status == visitor.show("sheet/nothing").status == 404


def test_a_group_is_shown_client_by_client_and_taken_back_as_one(
    visitor: Visitor, clients: Path
) -> None:
    before = bytes_of(clients)
    given = {"from": "2027-04-05", "until": "2027-04-11", "because": "club trip"}
    done = visitor.do("sheet/away", whose="group:coming-back", **given).json
    assert done["done"] and b"club trip" in (clients / "tomas.yaml").read_bytes()
    assert visitor.do("back/undo").json["done"] and bytes_of(clients) == before


def test_an_alarm_is_answered_and_then_lifted(visitor: Visitor, clients: Path) -> None:
    answered = visitor.do("alarms/answer", whose="nia", number="1", because="rang her").json
    assert answered["done"] and "the plan stays stopped" in answered["html"]
    assert "rang her" in (clients / "nia.alarms.yaml").read_text()
    assert "alarm to answer" not in visitor.get("/panel/alarms").text


def test_a_change_from_outside_is_news_at_once(clients: Path) -> None:
    with served(clients, watches=True) as desk:
        visitor = Visitor(desk)
        version = visitor.get("/panel/sheet").headers["X-Desk-Version"]
        (clients / "ayla.yaml").write_text((clients / "ayla.yaml").read_text() + "group: x\n")
        told = visitor.get(f"/news?since={version}").json["version"]
        assert str(told) != version


@pytest.mark.parametrize(
    ("name", "is_news"),
    [
        ("mara.yaml", True), ("mara.log.yaml", True), ("texts/a.md", True), (".aside/a.txt", True),
        (".sheet.json", False), (".versions/000001/act.json", False), ("mara.yaml.new", False),
        (".keys.yaml", False),
    ],
)  # fmt: skip
def test_the_tools_own_notes_are_no_news(name: str, is_news: bool) -> None:
    assert concerns(Path("/p/clients"), f"/p/clients/{name}") == is_news
