"""The desk that is served: what it answers, that acts are shown before they are written, and that
a file changed meanwhile is left as it is."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from desk_served import DAY, Visitor, lay_practice, raw, served
from sitegen import world
from sitegen.coach.sheet import Asked
from sitegen.coach.watching import concerns
from sitegen.desk.frames import MOST_FRAMES
from sitegen.desk.panels import PANELS
from sitegen.desk.panels.client import bytes_of_field, text_for_field, text_mark
from sitegen.desk.panels.sheet import folded
from sitegen.desk.server import MOST_SHOWN
from sitegen.desk.warm import Warm
from sitegen.practice.opening import Listed
from sitegen.practice.waits import alarm_number
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


def test_what_is_no_text_and_no_map_is_refused_in_words(visitor: Visitor, clients: Path) -> None:
    before = bytes_of(clients)
    for cut in ("\ud83d", "run \ud83d on"):
        answer = visitor.show("client/write", id="ayla", mark="x", text=cut)
        assert (answer.status, "half a character" in answer.text) == (400, True)
        assert visitor.post("/view/draft", {"id": "ayla", "text": cut}).status == 400
    whole = visitor.post("/view/draft", {"id": "ayla", "text": "\U0001f3c3 \\ud83d"})
    assert whole.status == 200
    assert visitor.post("/act/client/write", {"given": ["ayla"]}).status == 400
    assert bytes_of(clients) == before


def test_only_so_many_acts_wait_for_a_yes(visitor: Visitor, clients: Path) -> None:
    mark = text_mark((clients / "ayla.yaml").read_bytes())
    tickets = [
        visitor.show("client/write", id="ayla", mark=mark, text=f"name: {n}\n").json["ticket"]
        for n in range(MOST_SHOWN + 1)
    ]
    oldest, last = (visitor.post("/act/client/write", {"ticket": tickets[n]}) for n in (0, -1))
    assert (oldest.status, last.status) == (409, 200)


def test_only_so_many_portals_are_kept_for_the_frame(visitor: Visitor) -> None:
    frames, site = visitor.desk.frames, {f"{'A' * 22}/index.html": b"<p>page"}
    paths = [frames.put(str(n), site).removeprefix(frames.origin) for n in range(MOST_FRAMES + 1)]
    answers = [raw(visitor.desk, paths[n], port=frames.port).status for n in (0, 1, -1)]
    assert answers == [403, 200, 200]


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


def test_a_dialog_speaks_of_clients_by_name_and_of_signs_in_words(
    visitor: Visitor, clients: Path
) -> None:
    lighter = visitor.show("sheet/lighter", whose="mirela", week="8", because="work").json["html"]
    assert ">Lighter week: Mirela Castell</h2>" in lighter and "Mirela Castell: week 8 " in lighter
    given = {"whose": "mirela", "day": "2027-03-20", "session": "easy-breath", "because": "calm"}
    put = visitor.show("sheet/put", **given).json["html"].partition("<details")[0]
    assert "Easy run, calm breath" in put and "easy-" not in put
    answer = visitor.show("alarms/answer", whose="nia", number="1", because="rang").json["html"]
    assert ">Answer to alarm 1: Nia Sandoval</h2>" in answer and "</b> nia:" not in answer
    log = clients / "ayla.log.yaml"
    log.write_text(log.read_text() + "- {on: 2027-03-18, said: chest pain on the stairs}\n")
    given = {"whose": "ayla", "number": "1", "seen_by": "a doctor", "because": "seen"}
    lift = visitor.show("alarms/lift", **given).json["html"]
    assert ">Lift: Ayla Verne</h2>" in lift and "chest pain was told on 2027-03-18" in lift
    assert "lift it tomorrow" in lift and "chest_pain" not in lift and "yaml:1:1" not in lift


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
    assert "Decide… beside the name lifts it" in answered["html"]
    assert "sitegen lift" not in answered["html"], "no command is to be typed at the desk"
    assert "rang her" in (clients / "nia.alarms.yaml").read_text()
    assert "alarm to answer" not in visitor.get("/panel/alarms").text


def test_an_answer_closes_the_alarm_that_was_shown_or_none(visitor: Visitor, clients: Path) -> None:
    shown = visitor.show("alarms/answer", whose="nia", number="1", because="rang her").json
    log = clients / "nia.log.yaml"
    log.write_text("- {on: 2027-01-05, signs: [limp]}\n" + log.read_text())

    done = visitor.post("/act/alarms/answer", {"ticket": shown["ticket"]}).json
    assert "Nothing was noted: alarm 1 of nia is limp 2027-01-05, not" in done["html"]
    assert not (clients / "nia.alarms.yaml").exists()
    given = {"whose": "nia", "number": "1", "because": "rang her", "key": "chest_pain 2027-02-20"}
    for act in ("alarms/answer", "alarms/lift"):
        shown = visitor.show(act, **given, seen_by="a doctor").json
        assert shown["ticket"] is None, act


def test_a_lift_says_who_should_have_seen_the_client_or_that_it_was_a_false_alarm(
    visitor: Visitor, clients: Path
) -> None:
    assert 'name="false_alarm"' in visitor.get("/panel/alarms").text
    given = {"whose": "nia", "number": "1", "seen_by": "a nurse, by phone", "because": "a slip"}
    remark = (
        "seen by a nurse, by phone. After a sign like this a licensed clinician should have seen"
    )
    assert remark in visitor.show("alarms/lift", **given).json["html"]
    given["seen_by"] = "me, by phone"
    mine = visitor.show("alarms/lift", **given).json
    assert mine["ticket"] is None and "name that clinician, and when" in mine["html"]
    assert "--" not in unescape(mine["html"]), "what is typed at a terminal is no help here"
    false = visitor.show("alarms/lift", **given, false_alarm="yes").json
    assert remark not in false["html"] and "false_alarm: yes" in false["html"]
    assert visitor.post("/act/alarms/lift", {"ticket": false["ticket"]}).json["done"]
    assert "false_alarm: yes" in (clients / "nia.yaml").read_text()
    assert "Nia" not in visitor.get("/panel/alarms").text


def test_what_is_shown_beside_a_client_names_the_file_the_kind_and_the_word(
    visitor: Visitor, clients: Path
) -> None:
    shown = visitor.show("sheet/word", whose="ayla", text="Go easy on <the> hills.").json["html"]
    assert "the client reads: Go easy on &lt;the&gt; hills." in shown and "min" not in shown
    marked = visitor.show("sheet/word", whose="ayla", text="Go **easy** <b>now</b>.").json["html"]
    assert "<p>Go <strong>easy</strong> &lt;b&gt;now&lt;/b&gt;.</p>" in marked
    shown = visitor.show("sheet/lighter", whose="mirela", because="x").json["html"]
    assert "min running; with walking and all: " in shown and not re.search(
        r"(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d", shown
    )
    log = clients / "ayla.log.yaml"
    log.write_text(log.read_text() + "- on: never\n")
    line = log.read_text().count("\n")
    assert f"error, ayla.log.yaml, line {line}:" in visitor.get("/panel/draft?id=ayla").text


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
        (".sheet.db", False), (".sheet.db-journal", False), (".versions/000001/act.json", False),
        ("mara.yaml.new", False), (".keys.yaml", False),
    ],
)  # fmt: skip
def test_the_tools_own_notes_are_no_news(name: str, is_news: bool) -> None:
    assert concerns(Path("/p/clients"), f"/p/clients/{name}") == is_news


# --- one client -------------------------------------------------------------------------------


def test_a_client_has_the_file_the_weeks_and_the_private_note(
    visitor: Visitor, clients: Path
) -> None:
    (clients / "ayla.yaml").open("a").write("private: Ask about <shoes>.\n")
    page = visitor.get("/panel/client?id=ayla").text
    assert "# A 10 km race in spring." in page and "Ask about &lt;shoes&gt;." in page
    assert page.count("<th scope=row") + page.count('<th scope="row"') == 16
    assert visitor.get("/panel/client?id=ayle").status == 409


def test_while_she_types_problems_stand_at_their_lines_and_the_portal_is_redrawn(
    visitor: Visitor, clients: Path
) -> None:
    before = bytes_of(clients)
    text = before["ayla.yaml"].decode()
    slip = visitor.post("/view/draft", {"id": "ayla", "text": text + "nam: x\n"}).text
    assert f"error, line {len(text.splitlines()) + 1}:" in slip and "<iframe" not in slip

    other = text + "private: Her mother is ill.\nnotes:\n  - {week: 10, text: Easy on the hills}\n"
    drawn = visitor.post("/view/draft", {"id": "ayla", "text": other}).text
    address = drawn.partition('src="')[2].partition('"')[0].replace("&amp;", "&")
    path, port = address.partition("/")[2][1:].partition("/")[2], int(address.split(":")[2][:5])
    page = raw(visitor.desk, f"/{path}", port=port)
    assert page.status == 200 and "Easy on the hills" in page.text
    assert "mother" not in page.text, "a private note is in no portal"
    assert bytes_of(clients) == before, "nothing is written while she types"


def test_a_file_is_saved_whole_and_comes_back(visitor: Visitor, clients: Path) -> None:
    file = clients / "ayla.yaml"
    before = file.read_bytes().replace(b"\n", b"\r\n")
    file.write_bytes(before)
    page = visitor.get("/panel/client?id=ayla").text
    mark = page.partition('name="mark" value="')[2].partition('"')[0]
    field = before.decode().replace("\r\n", "\n")
    given = {"id": "ayla", "mark": mark, "text": field + "# a word\n"}
    assert "Nothing is otherwise" in visitor.show("client/write", **(given | {"text": field})).text
    assert visitor.do("client/write", **given).json["done"]
    assert file.read_bytes() == before + b"# a word\r\n"

    late = visitor.show("client/write", **given).json
    assert late["ticket"] is None and "changed since you opened it here" in late["html"]
    assert visitor.do("back/undo").json["done"] and file.read_bytes() == before


@pytest.mark.parametrize("data", [b"\xff\xfe", b"a: 1\r\nb: 2\n", b"a: \r1\n", b"a: \x00\n"])
def test_what_a_field_could_not_give_back_is_left_to_an_editor(data: bytes) -> None:
    assert text_for_field(data) is None


@pytest.mark.parametrize("data", [b"", b"a: 1\n\n", b"a: 1", b"\r\na: \xc3\xa9\r\n"])
def test_a_field_gives_the_same_bytes_back(data: bytes) -> None:
    text = text_for_field(data)
    assert text is not None and bytes_of_field(text, data) == data


def test_a_note_of_her_own_changes_that_entry_alone(visitor: Visitor, clients: Path) -> None:
    before = bytes_of(clients)
    assert visitor.do("client/note", id="ayla", private="Ask about shoes.").json["done"]
    assert bytes_of(clients)["ayla.yaml"] == before["ayla.yaml"] + b"private: Ask about shoes.\n"


def test_what_if_shows_both_plans_and_writes_when_it_is_said(
    visitor: Visitor, clients: Path
) -> None:
    before = bytes_of(clients)
    given = {"id": "mirela", "growth": "3 %", "day": "tue", "then": "rest"}
    shown = visitor.post("/view/whatif", given).text
    assert "Largest week" in shown and shown.count("<tr>") > 5
    assert "is not a percent" in visitor.post("/view/whatif", given | {"growth": "much"}).text
    assert bytes_of(clients) == before
    assert visitor.do("whatif/set", **given).json["done"]
    now = bytes_of(clients)["mirela.yaml"].decode()
    assert "growth: 3 %" in now and "tue: rest" in now


def test_why_is_short_first_and_has_its_source(visitor: Visitor) -> None:
    why = visitor.get("/panel/why?id=mirela&week=8").text
    assert "week 8: ease" in why and "<summary>ease, judgement" in why and "Source: " in why
    assert "Why" not in visitor.get("/panel/why?id=mirela").text


def test_the_first_sheet_reads_each_clients_files_once(
    clients: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    judge, read = Listed.judge, []
    monkeypatch.setattr(Listed, "judge", lambda self, f: read.append(f.id) or judge(self, f))
    sheet = Warm(clients, clients.parent / "public", DAY).sheet()
    assert sorted(read) == sorted({row.id for row in sheet.rows}) and len(read) > 1


def test_each_number_of_a_week_opens_its_own_reasons_alone(visitor: Visitor) -> None:
    page = visitor.get("/panel/client?id=mirela").text
    asked = {
        unescape(one) for one in re.findall(r'data-open="(why\?[^"]*week=8&amp;of=[^"]*)"', page)
    }
    assert len(asked) >= 5, "the minutes, the longest run, the step rate, and sessions"
    whole = visitor.get("/panel/why?id=mirela&week=8").text
    for one in asked:
        told = visitor.get(f"/panel/{one}").text
        assert 0 < told.count("<details>") < whole.count("<details>"), one
        assert "Source: " in told and "All of this week" in told
    minutes = visitor.get("/panel/why?id=mirela&week=8&of=minutes").text
    assert minutes.index("<summary>ease") < minutes.index("</li>") and "cadence" not in minutes
    rate = visitor.get("/panel/why?id=mirela&week=8&of=rate").text
    assert "<summary>cadence" in rate and "<summary>ease" not in rate


# --- in ---------------------------------------------------------------------------------------


def test_what_comes_in_lands_or_waits_aside(visitor: Visitor, clients: Path) -> None:
    run = b"time,cadence\n"
    mail = f"Subject: run\n\nCheck-in {'ABCD-EFGH'}\n- on: 2027-03-17\n  ran: 31 min\n".encode()
    files = [
        {"name": "../../note.eml", "data": base64.b64encode(mail).decode()},
        {"name": "run.csv", "data": base64.b64encode(run).decode()},
    ]
    told = visitor.show("taking/receive", files=files).json
    assert told["done"] and "no client here has the code" in told["told"]
    assert "sitegen-in-" not in told["told"], "no place of this computer"
    assert str(clients) not in told["told"]
    (waits,) = (clients / ".aside").glob("*.txt")
    page = visitor.get("/panel/taking").text
    assert "choose the client beside it" in page and "--for" not in page + told["html"]
    assert waits.name in page and "Check-in ABCD-EFGH" in page

    outside = visitor.show("taking/take", name="../ayla.yaml", whose="ayla")
    assert (outside.status, outside.text) == (409, "this waits no longer")
    taken = visitor.show("taking/take", name=waits.name, whose="ayla").json
    assert "1 check-in taken" in taken["says"] and not waits.exists()
    assert "2027-03-17" in (clients / "ayla.log.yaml").read_text()


def test_of_many_files_each_problem_names_its_own(visitor: Visitor) -> None:
    words = base64.b64encode(b"See you on Tuesday.\n").decode()
    told = visitor.show("taking/receive", files=[{"name": "hello.txt", "data": words}]).json
    assert "hello.txt: no check-in stands here" in told["told"]
    pasted = visitor.show("taking/receive", text="See you on Tuesday.\n").json
    assert ": no check-in stands here" not in pasted["told"]


def test_what_tells_of_danger_is_put_away_only_once_it_is_answered(
    visitor: Visitor, clients: Path
) -> None:
    visitor.show("taking/receive", text="I had chest pain on the stairs.\n")
    (waits,) = (clients / ".aside").glob("*.txt")
    assert "its alarm is open" in visitor.show("taking/away", name=waits.name).json["html"]
    number = str(alarm_number(waits.name))
    assert visitor.do("alarms/answer", whose="practice", number=number, because="rang").json["done"]
    data = waits.read_bytes()
    assert visitor.do("taking/away", name=waits.name).json["done"] and not waits.exists()
    assert visitor.do("back/undo").json["done"] and waits.read_bytes() == data
    nothing = visitor.show("taking/receive", text=" ").json
    assert nothing["ticket"] is None and ":1:1" not in nothing["html"]


@pytest.mark.parametrize(
    ("text", "stops"), [("See you on Tuesday.", False), ("My chest hurts. I had chest pain.", True)]
)
def test_a_message_without_a_check_in_waits_and_is_taken_as_what_a_client_said(
    visitor: Visitor, clients: Path, text: str, stops: bool
) -> None:
    came = visitor.show("taking/receive", text=text).json
    assert "1 kept aside" in came["says"]
    (waits,) = (clients / ".aside").glob("*.txt")
    assert text in waits.read_text() and waits.name in visitor.get("/panel/taking").text
    assert "choose the client" in visitor.show("taking/take", name=waits.name).json["told"]
    taken = visitor.show("taking/take", name=waits.name, whose="ayla", text=text).json
    assert not waits.exists(), taken
    assert f"said: {text}" in (clients / "ayla.log.yaml").read_text()
    assert ("chest pain" in taken["told"]) is stops
    assert ("#client?id=ayla" in visitor.get("/panel/alarms").text) is stops


def test_many_asks_that_differ_in_their_day_alone_are_folded() -> None:
    ran = [
        Asked("ran-stopped", f"alarm {n}: a run was logged on 2027-03-{n}, while stopped")
        for n in (17, 16, 15)
    ]
    other = Asked("ask", "alarm 3: a run was logged on 2027-03-02")
    assert folded([*ran, other]) == ((ran[0], (ran[1], ran[2])), (other, ()))
    assert folded(ran[:2]) == ((ran[0], ()), (ran[1], ()))


def test_runs_through_a_stop_stand_on_one_line_of_the_sheet(
    visitor: Visitor, clients: Path
) -> None:
    log = clients / "nia.log.yaml"
    days = "".join(f"- {{on: 2027-03-{day}, ran: 10 min}}\n" for day in range(12, 18))
    log.write_text(f"{log.read_text()}- {{on: 2027-03-11, signs: [fainting]}}\n{days}")
    sheet = visitor.get("/panel/sheet").text
    said = (
        r"alarm \d+: runs were logged on 6 days, the first on 2027-03-12 and the last on 2027-03-17"
    )
    assert len(re.findall(said, sheet)) == 1


def test_a_ticked_sign_stands_before_an_earlier_one_found_in_words(
    visitor: Visitor, clients: Path
) -> None:
    log = clients / "ayla.log.yaml"
    log.write_text(f"{log.read_text()}- {{on: 2027-03-16, said: I had chest pain.}}\n")
    page = visitor.get("/panel/alarms").text
    assert 0 < page.index("#client?id=nia") < page.index("#client?id=ayla")
