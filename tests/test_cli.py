"""Commands, as a coach types them: what is printed, where, and with which exit status."""

from __future__ import annotations

import json
import re
import shutil
from datetime import date, timedelta
from pathlib import Path

import click
import pytest

from commands import PAGES, process, sitegen
from sitegen import world
from sitegen.cli import COMMANDS, LISTED_UNDER, main
from sitegen.site.built import other_day

ROOT = Path(__file__).resolve().parent.parent
DAY = "2027-03-18"
CLIENTS = ("ayla", "bram", "jonas", "mirela", "nia", "tomas")


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    """A copy of the demo practice, without links."""
    copied = tmp_path / "clients"
    shutil.copytree(ROOT / "clients", copied, ignore=shutil.ignore_patterns(".keys.yaml*"))
    return tmp_path


def tree(folder: Path) -> dict[str, bytes]:
    """All files but the memory of the last build, which notes the times of files, too."""
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and ".sitegen-cache" not in p.parts
    }


@pytest.mark.parametrize(
    "words",
    [
        ("check", "--as-of", DAY),
        ("check", "nobody"),
        ("chek",),
        ("weeks", "tomas", "--json", "--as-of", DAY),
        ("weeks", "--help"),
        ("build", "--as-of", DAY),
        ("roster", "--as-of", DAY),
        ("--help",),
    ],
    ids=" ".join,
)
def test_a_process_of_its_own_says_and_does_the_same(practice, words):
    there = process(*words, cwd=practice)
    made = set(tree(practice / "public"))
    here = sitegen(*words, cwd=practice)
    if words[0] == "build":
        assert len(made) > len(CLIENTS) and "0 files written, 0 removed" in here.stdout
        return
    assert (here.returncode, here.stdout, here.stderr) == (
        there.returncode,
        there.stdout,
        there.stderr,
    )


def test_check_ends_with_a_summary(practice):
    done = sitegen("check", "--as-of", DAY, cwd=practice)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1].startswith("6 clients checked: 0 errors, ")


def test_a_bad_file_is_told_with_its_place_and_its_mend(practice):
    file = practice / "clients" / "nia.yaml"
    file.write_text(file.read_text().replace("152 spm", "152 km"))
    done = sitegen("check", "nia", cwd=practice)
    assert done.returncode == 1
    line = next(i for i, t in enumerate(file.read_text().splitlines(), 1) if "152 km" in t)
    assert done.stderr.splitlines()[0] == (
        f'clients/nia.yaml:{line}:12: error: "152 km" is not a cadence '
        "(write steps per minute, both feet, like 164 spm) [cadence-form]"
    )
    as_json = sitegen("check", "nia", "--json", cwd=practice)
    told = json.loads(as_json.stdout)
    assert told[0] == {
        "file": "clients/nia.yaml",
        "line": line,
        "column": 12,
        "level": "error",
        "code": "cadence-form",
        "message": '"152 km" is not a cadence',
        "hint": "write steps per minute, both feet, like 164 spm",
    }


def test_a_bad_client_stops_the_build_and_changes_nothing(practice):
    first = sitegen("build", "--as-of", DAY, cwd=practice)
    assert first.returncode == 0, first.stderr
    before = tree(practice)
    file = practice / "clients" / "tomas.yaml"
    good = file.read_bytes()
    file.write_bytes(good.replace(b"growth: 8 %", b"growth: 80 %"))
    done = sitegen("build", "--as-of", DAY, cwd=practice)
    assert done.returncode == 1
    assert "clients/tomas.yaml" in done.stderr and "[percent-range]" in done.stderr
    file.write_bytes(good)
    assert tree(practice) == before
    alone = sitegen("build", "nia", "--as-of", DAY, cwd=practice)
    assert alone.returncode == 0, alone.stderr


def test_a_build_of_another_day_says_so(practice):
    today = world.now_utc().astimezone().date()
    told = {n: other_day(today + timedelta(n), today) for n in (-3, -2, -1, 0, 1, 2)}
    assert [n for n, line in told.items() if line] == [-3, -2, 1, 2]

    def says(*day: str) -> list[str]:
        lines = sitegen("build", "nia", *day, cwd=practice).stderr.splitlines()
        return [line for line in lines if "build again before you publish" in line]

    assert says("--as-of", DAY) == [other_day(date.fromisoformat(DAY), today)]
    assert says() == []


def test_the_same_input_gives_the_same_bytes(practice):
    sitegen("build", "--as-of", DAY, cwd=practice)
    before = tree(practice / "public")
    assert sum(1 for name in before if Path(name).match(PAGES)) == len(CLIENTS)
    again = sitegen("build", "--as-of", DAY, cwd=practice)
    assert again.returncode == 0
    assert "0 files written, 0 removed" in again.stdout
    assert tree(practice / "public") == before


def test_weeks_as_json_has_the_contracts_shape(practice):
    done = sitegen("weeks", "tomas", "--json", "--as-of", DAY, cwd=practice)
    told = json.loads(done.stdout)
    assert {"client", "as_of", "status", "problems", "weeks"} <= set(told)
    assert told["client"] == "tomas" and told["as_of"] == DAY and told["status"] == "active"
    assert len(told["weeks"]) == 16
    for week in told["weeks"]:
        assert set(week) == {
            "number", "start", "kind", "run_minutes", "longest_minutes", "steps", "cadence_spm",
            "sessions", "decisions",
        }  # fmt: skip
        assert week["run_minutes"] == sum(s["run_minutes"] for s in week["sessions"])
        for session in week["sessions"]:
            assert set(session) == {
                "id", "on", "at", "kind", "session", "title", "purpose", "hard", "hard_minutes",
                "run_minutes", "total_minutes", "effort", "parts", "drills", "fuel_at",
                "moved_from", "told", "done",
            }  # fmt: skip
            for part in session["parts"]:
                assert set(part) == {
                    "kind", "minutes", "repeat", "cadence_spm", "text", "effort", "hard_minutes",
                }  # fmt: skip
        for decision in week["decisions"]:
            assert {"rule", "says", "because", "source", "from", "to"} <= set(decision)


def test_why_leads_from_a_number_to_the_line_behind_it(practice):
    done = sitegen("why", "tomas", "--week", "6", "--as-of", DAY, cwd=practice)
    assert done.returncode == 0
    assert "Week 6" in done.stdout and "Week 7" not in done.stdout
    assert "pain: Pain of 4/10 was logged" in done.stdout
    place = done.stdout.split("[clients/tomas.log.yaml:")[1]
    line = int(place.split(":")[0])
    text = (practice / "clients" / "tomas.log.yaml").read_text().splitlines()
    assert text[line - 1].startswith("- on: 2027-02-1")
    assert max(len(line) for line in done.stdout.splitlines()) <= 80


def test_tables_fit_eighty_columns(practice):
    for id in CLIENTS:
        done = sitegen("weeks", id, "--as-of", DAY, cwd=practice)
        assert done.returncode == 0
        assert max(len(line) for line in done.stdout.splitlines()) <= 80


def test_a_link_is_told_whole(practice):
    sitegen("build", "--as-of", DAY, cwd=practice)
    told = json.loads(sitegen("link", "nia", "--json", cwd=practice).stdout)
    assert set(told) == {"url", "portal", "key", "feed_url", "feed"}
    assert (practice / "public" / told["portal"]).is_file()
    assert (practice / "public" / told["feed"]).is_file()
    assert told["key"] in told["url"]


def test_a_renewed_link_ends_the_old_one(practice):
    sitegen("build", "--as-of", DAY, cwd=practice)
    old = json.loads(sitegen("link", "nia", "--json", cwd=practice).stdout)
    new = json.loads(sitegen("link", "nia", "--renew", "--json", cwd=practice).stdout)
    assert new["portal"] != old["portal"] and new["key"] != old["key"]
    sitegen("build", "--as-of", DAY, cwd=practice)
    assert not (practice / "public" / old["portal"]).exists()
    assert not (practice / "public" / old["feed"]).exists()
    assert (practice / "public" / new["portal"]).is_file()


def test_an_ended_client_is_gone_from_the_site(practice):
    sitegen("build", "--as-of", DAY, cwd=practice)
    told = json.loads(sitegen("link", "nia", "--json", cwd=practice).stdout)
    file = practice / "clients" / "nia.yaml"
    file.write_text(file.read_text() + "status: ended\n")
    done = sitegen("build", "--as-of", DAY, cwd=practice)
    assert done.returncode == 0, done.stderr
    assert not (practice / "public" / told["portal"]).exists()
    assert not (practice / "public" / told["feed"]).exists()


def test_wrong_usage_exits_2_with_the_nearest_word(practice):
    done = sitegen("chek", cwd=practice)
    assert done.returncode == 2
    assert "Did you mean check?" in done.stderr
    nobody = sitegen("weeks", "tomaz", cwd=practice)
    assert nobody.returncode == 2
    assert "Did you mean tomas?" in nobody.stderr
    own = sitegen("check", "practice", cwd=practice)
    assert (own.returncode, "practice.yaml holds your own settings" in own.stderr) == (2, True)
    day = sitegen("check", "--as-of", "18.3.2027", cwd=practice)
    assert day.returncode == 2 and "year-month-day" in day.stderr


@pytest.mark.parametrize("command", sorted(main.commands))
def test_each_command_has_help_with_an_example(command, practice):
    done = sitegen(command, "--help", cwd=practice)
    assert done.returncode == 0
    usage, rest = done.stdout.split("Options:", 1)
    assert f"sitegen {command}" in usage
    assert f"sitegen {command}" in rest.split("--help", 1)[1], "an example at the end"
    assert max(len(line) for line in done.stdout.splitlines()) <= 80


def test_each_command_stands_once_in_the_list_of_all(practice):
    named = [name for names in LISTED_UNDER.values() for name in names]
    told = sitegen("--help", cwd=practice).stdout

    assert sorted(named) == sorted(COMMANDS)
    assert [name for name in named if told.count(f"\n  {name} ") != 1] == []


def test_help_tells_what_each_exit_status_means(practice):
    told = sitegen("--help", cwd=practice).stdout
    statuses = re.findall(r"^  +(\d+)  ", told.split("Exit status:")[1], re.MULTILINE)
    assert statuses == ["0", "1", "2", "3", "70", "74", "130"]


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        (["rostr"], "roster"),
        (["publisch"], "publish"),
        (["build", "--link"], "--links"),
        (["check", "--clint", "x"], "--clients"),
        (["weeks", "tomaz"], "tomas"),
        (["why", "tomaz"], "tomas"),
        (["check", "tomaz"], "tomas"),
        (["build", "tomaz"], "tomas"),
        (["link", "tomaz"], "tomas"),
        (["export", "tomaz"], "tomas"),
        (["erase", "tomaz"], "tomas"),
        (["receive", "--for", "tomaz", "x.txt"], "tomas"),
    ],
)
def test_a_slip_is_told_with_what_was_meant(practice, words, meant):
    done = sitegen(*words, cwd=practice)
    assert done.returncode == 2
    assert re.search(rf"(Did you mean|Possible options).*{meant}", done.stderr), done.stderr
    assert not (practice / "public").exists()


def test_a_missing_practice_is_told_in_a_sentence(tmp_path):
    done = sitegen("check", cwd=tmp_path)
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    assert "there is no folder clients" in done.stderr


def test_the_rule_book_names_every_rule_with_its_source(practice):
    from sitegen.rules import RULES

    book = sitegen("rules", cwd=practice).stdout
    assert len(RULES) > 1
    for rule in RULES:
        assert f"## {rule.name}\n" in book
        assert rule.source in book
    assert (ROOT / "docs" / "rules.md").read_text(encoding="utf-8") == book


def test_a_check_in_is_received_and_told(practice):
    sitegen("build", "--as-of", DAY, cwd=practice)
    from sitegen.seal.addresses import checkin_code
    from sitegen.seal.keys_file import load_keys

    keys, _ = load_keys(practice / "clients" / ".keys.yaml")
    assert keys is not None
    code = checkin_code(keys.links["tomas"])
    text = f"Check-in {code}\n- on: 2027-03-16\n  ran: 31 min\n  pain: {{during: 6}}\n"
    (practice / "note.txt").write_text(text)
    done = sitegen("receive", "note.txt", "--as-of", DAY, cwd=practice)
    assert done.returncode == 0, done.stderr
    assert "tomas" in done.stdout and "Pain of 6/10" in done.stdout
    before = (practice / "clients" / "tomas.log.yaml").read_bytes()
    again = sitegen("receive", "note.txt", "--as-of", DAY, cwd=practice)
    assert again.returncode == 0
    assert (practice / "clients" / "tomas.log.yaml").read_bytes() == before


def test_an_interview_without_answers_writes_nothing(practice):
    # In a process: an input that has ended is never told by the runner of click 8.1.
    done = process("intake", "newcomer", cwd=practice)
    assert done.returncode == 1
    assert not (practice / "clients" / "newcomer.yaml").exists()
    assert "Traceback" not in done.stderr


def test_publishing_to_a_folder_sends_only_what_changed(practice):
    sitegen("build", "--as-of", DAY, cwd=practice)
    first = sitegen("publish", "./host", cwd=practice)
    assert first.returncode == 0, first.stderr
    assert "0 removed" in first.stdout
    again = sitegen("publish", "./host", cwd=practice)
    assert again.stdout.startswith("0 files sent")
    assert not (practice / "host" / ".sitegen-files").exists()
    nothing = sitegen("publish", cwd=practice)
    assert nothing.returncode == 2 and "targets:" in nothing.stderr


def test_the_roster_has_one_line_a_client_and_the_same_as_json(practice):
    done = sitegen("roster", "--as-of", DAY, cwd=practice)
    assert done.returncode == 0, done.stderr
    lines = [line for line in done.stdout.splitlines() if line.strip()]
    assert all(any(line.startswith(id) for line in lines) for id in CLIENTS)
    told = json.loads(sitegen("roster", "--json", "--as-of", DAY, cwd=practice).stdout)
    assert sorted(row["client"] for row in told) == sorted(CLIENTS)


def test_the_desk_page_is_written_beside_the_site_and_never_into_it(practice):
    sitegen("build", "--as-of", DAY, cwd=practice)
    done = sitegen("desk", "--page", "desk/index.html", "--as-of", DAY, cwd=practice)
    assert done.returncode == 0, done.stderr
    page = practice / "desk" / "index.html"
    assert page.is_file() and page.stat().st_mode & 0o077 == 0
    inside = sitegen("desk", "--to", "public/desk", cwd=practice)
    assert inside.returncode == 1
    other = sitegen("desk", "--page", "desk/evening.html", "--as-of", DAY, cwd=practice)
    assert other.returncode == 0 and (practice / "desk" / "evening.html").is_file(), other.stderr
    for words in (("--page", "desk"), ("--page", "desk/index.html", "--to", "desk")):
        assert sitegen("desk", *words, cwd=practice).returncode == 2
    assert not (practice / "public" / "desk").exists()


def test_a_check_in_with_a_slip_of_the_year_is_told(practice):
    """A sign that would be overlooked until next year has its own warning."""
    log = practice / "clients" / "nia.log.yaml"
    log.write_text(log.read_text() + "- on: 2028-03-16\n  signs: [chest_pain]\n")
    done = sitegen("check", "nia", "--as-of", DAY, cwd=practice)
    assert done.returncode == 0
    line = len(log.read_text().splitlines()) - 1
    assert f"clients/nia.log.yaml:{line}:3: warning: Stop. Chest pain" in done.stderr
    assert f"is dated 2028-03-16, after {DAY}" in done.stderr
    assert "a sign counts at once" in done.stderr


def test_a_failed_screening_is_told_by_check(practice):
    file = practice / "clients" / "nia.yaml"
    file.write_text(file.read_text().replace("symptoms: no", "symptoms: yes"))
    done = sitegen("check", "nia", "--as-of", DAY, cwd=practice)
    assert "[stopped-screening]" in done.stderr


def test_every_limit_that_a_coach_s_week_breaks_is_named(practice):
    file = practice / "clients" / "tomas.yaml"
    file.write_text(
        file.read_text() + "changes:\n  - {week: 11, minutes: 300 min, because: She wants it.}\n"
    )
    done = sitegen("check", "tomas", "--as-of", DAY, cwd=practice)
    told = [line for line in done.stderr.splitlines() if "[plan-changes]" in line]
    assert any("300 min is more than this week's" in line for line in told)
    assert any("over a tenth more than the longest run" in line for line in told)
    assert any("more than the day's" in line for line in told)


@pytest.mark.parametrize("command", ["weeks", "why"])
@pytest.mark.parametrize("json_too", [(), ("--json",)])
def test_a_week_that_the_plan_does_not_have_is_wrong_usage(practice, command, json_too):
    done = sitegen(command, "nia", "--week", "40", "--as-of", DAY, *json_too, cwd=practice)
    assert done.returncode == 2 and done.stdout == ""
    assert re.search(r"Error: the plan has \d\d weeks\n$", done.stderr)


def test_the_help_keeps_the_lines_of_its_examples(practice):
    lines = sitegen("check", "--help", cwd=practice).stdout.splitlines()
    assert [line.split()[2:] for line in lines[-2:]] == [
        ["every", "client"],
        ["mara", "one", "client"],
    ]


def test_what_is_done_in_turn_is_told_in_turn(practice):
    """A hard part is told apart from the easy one that follows it."""
    hard = sitegen("weeks", "ayla", "--week", "9", "--as-of", DAY, cwd=practice).stdout
    assert "5 times (4 min run quickly, 2 min run very easily), 7 min run" in " ".join(hard.split())
    easy = sitegen("weeks", "nia", "--week", "1", "--as-of", DAY, cwd=practice).stdout
    assert re.search(r"\d times \(\d min run, \d min walk\), \d min run", " ".join(easy.split()))


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_each_command_takes_the_practice_the_site_and_the_day(name):
    """And is silent in its help on those that have no meaning for it."""
    found = main.get_command(click.Context(main), name)
    there = ("--clients", "elsewhere", "--out", "site", "--as-of", DAY)
    found.make_context(name, [*there], resilient_parsing=True)  # without what else it needs
    assert {"--clients", "--out", "--as-of"} <= {o for p in found.params for o in p.opts}


def test_a_day_without_a_meaning_is_no_error(practice):
    told = sitegen("sessions", "--out", "elsewhere", "--as-of", DAY, cwd=practice)
    assert told.returncode == 0, told.stderr
    assert "--out" not in sitegen("sessions", "--help", cwd=practice).stdout
