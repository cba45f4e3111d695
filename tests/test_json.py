"""With --json standard output is one JSON value, whatever happens; shapes as docs/json.md says."""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click
import pytest

from commands import sitegen
from sitegen.cli import main
from sitegen.seal.addresses import checkin_code
from sitegen.seal.keys_file import load_keys
from test_cli import CLIENTS, DAY, ROOT, practice  # noqa: F401, a fixture

PROBLEM = {"file", "line", "column", "level", "code", "message", "hint"}
# Commands without --json, and why.
WITHOUT = {
    "preview": "it serves until it is stopped; what it prints is for eyes",
    "schema": "what it prints is JSON anyway",
}

BUILD = {
    "done",
    "out",
    "clients",
    "written",
    "removed",
    "held",
    "stopped",
    "changes",
    "links",
    "problems",
}
PUBLISH = {
    "done", "target", "dry_run", "sent", "removed", "unchanged", "left", "kept", "send", "remove",
    "clients", "alarms", "notes", "problems",
}  # fmt: skip
RECEIVE = {"taken", "again", "aside", "urgent", "lines", "runs", "problems"}
EXPORT = {"done", "client", "to", "files", "problems"}
ERASE = {"done", "client", "removed", "left", "problems"}
DESK = {"done", "page", "clients", "problems"}
INTAKE = {"done", "client", "file", "says", "problems"}
LINK = {"url", "portal", "key", "feed_url", "feed"}
WEEKS = {"client", "as_of", "status", "problems", "decisions", "weeks", "alarms"}
COMPARE = {"plans", "over", "weeks", "reaches", "problems"}
ANSWERED = {"done", "line", "hint", "problems"}
RULE = {
    "rule", "promise", "reason", "evidence", "source", "warns", "needs", "review", "parameters",
}  # fmt: skip
DECISION = {"rule", "says", "because", "source", "from", "to", "session", "warns"}
ROW = {
    "client", "name", "group", "as_of", "status", "reasons", "last_check_in", "days_since_check_in",
    "weeks_untold", "runs", "cadence_spm", "event_on", "plan_ends",
}  # fmt: skip
ACT = {"done", "acts", "problems"}
ONE_SESSION = {"session", "title", "purpose", "kind", "hard", "own", "chosen"}
LINE = {"on", "kind", "says"}
HOUSE = {*ACT, "same", "outside"}
UNDONE = {"done", "act", "alarms", "problems"}
SHOWN_ACT = {"client", "says", "file", "entries", "lines", "becomes", "weeks", "warnings"}
SHEET = {
    "client", "name", "group", "as_of", "status", "behind", "said", "ahead", "seen_on", "changed",
    "asks", "alarm", "silent", "private",
}  # fmt: skip
BEHIND = {
    "number", "start", "told_minutes", "done_minutes", "told_runs", "done_runs", "pain",
    "pain_site", "effort", "spm", "aim_spm", "minutes",
}  # fmt: skip
LIST_OF_PROBLEMS = "a list of problems"


@dataclass(frozen=True)
class Call:
    """A command as it is typed, what must be so before, and what comes of it."""

    name: str
    words: tuple[str, ...]
    before: Callable[[Path], object]
    status: int
    shape: set[str] | str
    typed: str = ""

    @property
    def id(self) -> str:
        return self.name


def broken_client(home: Path) -> None:
    (home / "clients" / "nia.yaml").write_text("name: [")


def broken_house(home: Path) -> None:
    (home / "clients" / "practice.yaml").write_text("name: [")


def no_folder(home: Path) -> None:
    (home / "clients").rename(home / "elsewhere")


def built(home: Path) -> None:
    assert sitegen("build", "--as-of", DAY, cwd=home).returncode == 0


def lost_keys(home: Path) -> None:
    (home / "clients" / ".keys.yaml").write_text("version: [")


def letter(home: Path) -> None:
    built(home)
    keys, _ = load_keys(home / "clients" / ".keys.yaml")
    assert keys is not None
    text = f"Check-in {checkin_code(keys.links['tomas'])}\n- on: 2027-03-16\n  ran: 31 min\n"
    (home / "note.txt").write_text(text)


def foreign(home: Path) -> None:
    (home / "note.txt").write_text("Check-in AAAA-BBBB\n- on: 2027-03-16\n  ran: 31 min\n")


def limping(home: Path) -> None:
    with (home / "clients" / "nia.log.yaml").open("a", encoding="utf-8") as log:
        log.write("- {on: 2027-03-17, signs: [limp]}\n")


def acted(home: Path) -> None:
    assert sitegen("set", "bram", "growth: 5 %", "--yes", *AS_OF, cwd=home).returncode == 0


def acted_and_edited(home: Path) -> None:
    acted(home)
    with (home / "clients" / "bram.yaml").open("a", encoding="utf-8") as file:
        file.write("# by hand\n")


def there_already(home: Path) -> None:
    (home / "nia-data.zip").write_text("mine")


def form(home: Path) -> None:
    page = (ROOT / "docs" / "first-client.md").read_text(encoding="utf-8")
    answers = page.split("`form.yaml`", 1)[1].split("```yaml\n", 1)[1].split("```", 1)[0]
    (home / "form.yaml").write_text(answers)


def bad_form(home: Path) -> None:
    (home / "form.yaml").write_text("name: [")


def nothing(home: Path) -> None:
    """As it lies there."""


def with_address(home: Path) -> None:
    with (home / "clients" / "practice.yaml").open("a", encoding="utf-8") as file:
        file.write("address: https://plans.tidewrack.example/\n")


def foreign_host(home: Path) -> None:
    built(home)
    (home / "host").mkdir()
    (home / "host" / "other.txt").write_text("somebody else's")


AS_OF = ("--as-of", DAY)
SAID = ("--because", "x", "--yes", *AS_OF)
P = LIST_OF_PROBLEMS
CALLS = [
    Call("check, all well", ("check", *AS_OF), nothing, 0, P),
    Call("check, a bad client", ("check", *AS_OF), broken_client, 1, P),
    Call("check, no folder", ("check",), no_folder, 1, P),
    Call("weeks", ("weeks", "nia", *AS_OF), nothing, 0, WEEKS),
    Call("weeks of a bad client", ("weeks", "nia"), broken_client, 1, P),
    Call("weeks, a bad practice", ("weeks", "nia"), broken_house, 1, P),
    Call("weeks, no folder", ("weeks", "nia"), no_folder, 1, P),
    Call("why", ("why", "nia", *AS_OF), nothing, 0, DECISION),
    Call("why, a bad client", ("why", "nia"), broken_client, 1, P),
    Call("compare", ("compare", "nia", "ayla", *AS_OF), nothing, 0, COMPARE),
    Call("compare, a bad client", ("compare", "nia", "ayla"), broken_client, 1, P),
    Call("alarms", ("alarms", *AS_OF), nothing, 0, P),
    Call("alarms, no folder", ("alarms",), no_folder, 1, P),
    Call("answer", ("answer", "nia", "1", "--because", "x", *AS_OF), limping, 0, ANSWERED),
    Call("answer to nothing", ("answer", "nia", "1", "--because", "x"), nothing, 1, ANSWERED),
    Call("roster", ("roster", *AS_OF), nothing, 0, ROW),
    Call("roster with a bad client", ("roster", *AS_OF), broken_client, 1, ROW),
    Call("roster, a bad practice", ("roster",), broken_house, 1, P),
    Call("roster, no folder", ("roster",), no_folder, 1, P),
    Call("sheet", ("sheet", *AS_OF), nothing, 0, SHEET),
    Call("sheet with a bad client", ("sheet", *AS_OF), broken_client, 1, SHEET),
    Call("sheet, a bad practice", ("sheet",), broken_house, 1, P),
    Call("sheet, no folder", ("sheet",), no_folder, 1, P),
    Call("build", ("build", *AS_OF), nothing, 0, BUILD),
    Call("build with links", ("build", "--links", *AS_OF), nothing, 0, BUILD),
    Call("build, a bad client", ("build", *AS_OF), broken_client, 1, BUILD),
    Call("build, a bad practice", ("build",), broken_house, 1, BUILD),
    Call("build, no folder", ("build",), no_folder, 1, BUILD),
    Call("build, bad keys", ("build",), lost_keys, 1, BUILD),
    Call("link", ("link", "nia"), nothing, 0, LINK),
    Call("link of a bad client", ("link", "nia"), broken_client, 1, P),
    Call("links", ("links",), with_address, 0, DESK),
    Call("links, no address", ("links",), nothing, 1, DESK),
    Call("remind", ("remind", *AS_OF), nothing, 0, P),
    Call("remind, no folder", ("remind",), no_folder, 1, P),
    Call("link, bad keys", ("link", "nia"), lost_keys, 1, P),
    Call("link, no folder", ("link", "nia"), no_folder, 1, P),
    Call("link, a passphrase", ("link", "nia", "--passphrase"), nothing, 0, LINK,
         "four loose words here\nfour loose words here\n"),
    Call("link, no passphrase typed", ("link", "nia", "--passphrase"), nothing, 1, P),
    Call("receive", ("receive", "note.txt", *AS_OF), letter, 0, RECEIVE),
    Call("receive, a foreign one", ("receive", "note.txt", *AS_OF), foreign, 1, RECEIVE),
    Call("receive, no such file", ("receive", "none.txt"), nothing, 1, RECEIVE),
    Call("receive, no folder", ("receive", "none.txt"), no_folder, 1, RECEIVE),
    Call("receive nothing", ("receive",), nothing, 1, RECEIVE),
    Call("publish", ("publish", "./host"), built, 0, PUBLISH),
    Call("publish, dry", ("publish", "./host", "--dry-run"), built, 0, PUBLISH),
    Call("publish what is not built", ("publish", "./host"), nothing, 1, PUBLISH),
    Call("publish to a foreign folder", ("publish", "./host"), foreign_host, 1, PUBLISH),
    Call("publish, a bad practice", ("publish", "./host"), broken_house, 1, PUBLISH),
    Call("publish, no folder", ("publish", "./host"), no_folder, 1, PUBLISH),
    Call("export", ("export", "nia", *AS_OF), nothing, 0, EXPORT),
    Call("export, there already", ("export", "nia"), there_already, 1, EXPORT),
    Call("export, no folder", ("export", "nia"), no_folder, 1, EXPORT),
    Call("erase", ("erase", "nia"), nothing, 0, ERASE, "nia\n"),
    Call("erase, not confirmed", ("erase", "nia"), nothing, 1, ERASE, "no\n"),
    Call("erase, nothing typed", ("erase", "nia"), nothing, 1, ERASE),
    Call("erase, bad keys", ("erase", "nia"), lost_keys, 1, ERASE, "nia\n"),
    Call("erase, no folder", ("erase", "nia"), no_folder, 1, ERASE),
    Call("desk", ("desk", *AS_OF), nothing, 0, DESK),
    Call("desk with a bad client", ("desk", *AS_OF), broken_client, 1, DESK),
    Call("desk into the site", ("desk", "--to", "public/desk"), built, 1, DESK),
    Call("desk, no folder", ("desk",), no_folder, 1, DESK),
    Call("intake", ("intake", "newcomer", "--answers", "form.yaml"), form, 0, INTAKE),
    Call("intake, bad answers", ("intake", "newcomer", "--answers", "form.yaml"), bad_form, 1,
         INTAKE),
    Call("intake, no answers", ("intake", "newcomer", "--answers", "none.yaml"), nothing, 1,
         INTAKE),
    Call("intake, there already", ("intake", "nia", "--answers", "form.yaml"), form, 1, INTAKE),
    Call("intake, no folder", ("intake", "newcomer", "--answers", "form.yaml"), no_folder, 1,
         INTAKE),
    Call("keep", ("keep", "bram", *SAID), nothing, 0, ACT),
    Call("keep, what can't be", ("keep", "jonas", *SAID), nothing, 1, ACT),
    Call("lighter", ("lighter", "bram", *SAID), nothing, 0, ACT),
    Call("lighter, what can't be", ("lighter", "jonas", *SAID), nothing, 1, ACT),
    Call("same", ("same", "bram", *SAID), nothing, 0, ACT),
    Call("same, what can't be", ("same", "jonas", *SAID), nothing, 1, ACT),
    Call("move", ("move", "bram", "sun", "mon", *SAID), nothing, 0, ACT),
    Call("move, what can't be", ("move", "bram", "mon", "mon", *SAID), nothing, 1, ACT),
    Call("swap", ("swap", "bram", "tue", "thu", *SAID), nothing, 0, ACT),
    Call("swap, what can't be", ("swap", "bram", "tue", "tue", *SAID), nothing, 1, ACT),
    Call("rest", ("rest", "bram", "tue", *SAID), nothing, 0, ACT),
    Call("rest, what can't be", ("rest", "bram", "2027-01-12", *SAID), nothing, 1, ACT),
    Call("put", ("put", "bram", "tue", "easy", *SAID), nothing, 0, ACT),
    Call("put, what can't be", ("put", "bram", "tue", "none", *SAID), nothing, 1, ACT),
    Call("away", ("away", "bram", "2027-03-22", "2027-03-24", *SAID), nothing, 0, ACT),
    Call("away, what can't be", ("away", "bram", "2027-03-24", "2027-03-22", *SAID), nothing, 1,
         ACT),
    Call("word", ("word", "bram", "Well done.", "--yes", *AS_OF), nothing, 0, ACT),
    Call("word, a week that is over", ("word", "bram", "x", "--week", "1", *AS_OF), nothing, 1,
         ACT),
    Call("copy", ("copy", "ayla", "bram", "--weeks", "3", "--at", "12", *SAID), nothing, 0, ACT),
    Call("copy, no weeks", ("copy", "ayla", "bram", "--weeks", "99", *SAID), nothing, 1, ACT),
    Call("sessions", ("sessions",), nothing, 0, ONE_SESSION),
    Call("sessions, no folder", ("sessions",), no_folder, 1, P),
    Call("history", ("history", "nia", *AS_OF), nothing, 0, LINE),
    Call("history of a bad client", ("history", "nia"), broken_client, 1, P),
    Call("house", ("house", "volume: {growth: 5 %}", "--yes", *AS_OF), nothing, 0, HOUSE),
    Call("house, no rule", ("house", "volum: {growth: 5 %}", "--yes"), nothing, 1, HOUSE),
    Call("house, no folder", ("house", "volume: {growth: 5 %}"), no_folder, 1, HOUSE),
    Call("set", ("set", "bram", "growth: 5 %", "--yes", *AS_OF), nothing, 0, ACT),
    Call("set, no setting", ("set", "bram", "grow: 5 %", "--yes", *AS_OF), nothing, 1, ACT),
    Call("set, a bad practice", ("set", "bram", "growth: 5 %"), broken_house, 1, ACT),
    Call("set, no folder", ("set", "bram", "growth: 5 %"), no_folder, 1, ACT),
    Call("lift", ("lift", "nia", "1", "--seen-by", "a physio", *SAID), limping, 0, ACT),
    Call("lift of nothing", ("lift", "nia", "1", "--seen-by", "a physio", *SAID), nothing, 1, ACT),
    Call("undo", ("undo", "--yes"), acted, 0, UNDONE),
    Call("undo, nothing done", ("undo", "--yes"), nothing, 1, UNDONE),
    Call("undo, changed since", ("undo", "--yes"), acted_and_edited, 1, UNDONE),
    Call("rules", ("rules",), nothing, 0, RULE),
]  # fmt: skip


def called(call: Call, home: Path) -> tuple[subprocess.CompletedProcess[str], Any]:
    call.before(home)
    done = sitegen(*call.words, "--json", cwd=home, typed=call.typed)
    assert done.returncode == call.status, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    return done, json.loads(done.stdout)


@pytest.mark.parametrize("call", CALLS, ids=lambda call: call.id)
def test_standard_output_is_one_value_of_the_shape_told(call: Call, practice: Path) -> None:  # noqa: F811
    done, told = called(call, practice)
    if call.shape == LIST_OF_PROBLEMS:
        assert isinstance(told, list)
        problems = told
    elif isinstance(told, list):
        assert told and all(set(one) - {"week"} == call.shape for one in told)
        problems = []
    else:
        assert set(told) == call.shape
        problems = told.get("problems", [])
        assert told.get("done", call.status == 0) is (call.status == 0) or call.name.startswith(
            ("receive", "desk with", "build, a bad client")  # the others are built
        )
    assert all(set(problem) == PROBLEM for problem in problems)
    if call.status == 1 and call.shape not in (ROW, SHEET):
        errors = [p for p in problems if p["level"] == "error"]
        assert errors and all(p["code"] and p["message"] and p["file"] for p in errors)
    if call.status == 0:
        assert not [p for p in problems if p["level"] == "error"]
    assert not re.search(r"error: .*\[[a-z-]+\]$", done.stdout, re.MULTILINE)


@pytest.mark.parametrize("name", sorted(set(main.commands) - set(WITHOUT)))
def test_every_command_with_results_has_it_and_is_tried_in_a_good_and_a_bad_case(name: str) -> None:
    options = [o for p in main.commands[name].params for o in p.opts]
    assert "--json" in options
    statuses = {call.status for call in CALLS if call.words[0] == name}
    assert statuses == {0} if name == "rules" else statuses == {0, 1}


def test_the_exceptions_are_commands_that_have_none() -> None:
    for name in WITHOUT:
        assert "--json" not in [o for p in main.commands[name].params for o in p.opts]


def test_wrong_usage_stays_words_on_standard_error(practice: Path) -> None:  # noqa: F811
    for words in (("check", "nobody"), ("build", "nobody"), ("export", "nobody"),
                  ("erase", "nobody"), ("receive", "--for", "nobody", "x.txt"),
                  ("publish",), ("intake", "newcomer"), ("intake", "BAD", "--answers", "x"),
                  ("check", "--as-of", "soon")):  # fmt: skip
        done = sitegen(*words, "--json", cwd=practice)
        assert (done.returncode, done.stdout) == (2, ""), words
        assert done.stderr


def test_a_build_tells_no_link_and_no_key_unless_asked(practice: Path) -> None:  # noqa: F811
    plain = sitegen("build", *AS_OF, "--json", cwd=practice)
    keys, _ = load_keys(practice / "clients" / ".keys.yaml")
    assert keys is not None and len(keys.links) == len(CLIENTS)
    for link in keys.links.values():
        for secret in (link.portal, link.key_text, link.feed):
            assert secret not in plain.stdout + plain.stderr
    assert json.loads(plain.stdout)["links"] is None

    asked = json.loads(sitegen("build", *AS_OF, "--json", "--links", cwd=practice).stdout)
    assert set(asked["links"]) == set(CLIENTS)
    assert all(keys.links[id].key_text in url for id, url in asked["links"].items())


def test_only_a_dry_run_lists_where_portals_lie(practice: Path) -> None:  # noqa: F811
    built(practice)
    dry = json.loads(sitegen("publish", "./host", "--dry-run", "--json", cwd=practice).stdout)
    assert len(dry["send"]) == dry["sent"] > len(CLIENTS) and dry["remove"] == []
    done = json.loads(sitegen("publish", "./host", "--json", cwd=practice).stdout)
    assert done["sent"] == dry["sent"] and done["send"] is None
    keys, _ = load_keys(practice / "clients" / ".keys.yaml")
    assert keys is not None
    assert not [link for link in keys.links.values() if link.portal in json.dumps(done)]


def test_what_is_asked_does_not_mix_with_what_is_told(practice: Path) -> None:  # noqa: F811
    done = sitegen("erase", "nia", "--json", cwd=practice, typed="nia\n")
    assert "Type nia to go on" in done.stderr
    told = json.loads(done.stdout)
    assert told["removed"] == ["nia.yaml", "nia.log.yaml"] and told["done"] is True


def test_the_rule_book_is_the_same_in_both(practice: Path) -> None:  # noqa: F811
    book = sitegen("rules", cwd=practice).stdout
    for rule in json.loads(sitegen("rules", "--json", cwd=practice).stdout):
        assert f"## {rule['rule']}\n" in book and rule["promise"] in book
        for parameter in rule["parameters"]:
            assert f"| `{parameter['name']}` | {parameter['default']} |" in book


def test_the_page_on_json_names_every_key() -> None:
    page = (ROOT / "docs" / "json.md").read_text(encoding="utf-8")
    shapes = (PROBLEM, BUILD, PUBLISH, RECEIVE, EXPORT, ERASE, DESK, INTAKE, LINK, ROW, RULE,
              WEEKS, DECISION, ACT, SHOWN_ACT, UNDONE, SHEET, BEHIND)  # fmt: skip
    for key in sorted(set().union(*shapes)):
        assert f"`{key}`" in page, key
    for name in main.commands:
        assert f"`{name}`" in page, name
    assert isinstance(main, click.Group)
