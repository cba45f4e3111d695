"""`alarms` and `answer`, as a coach and a script meet them, also beside files with errors."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from sitegen.cli import main
from sitegen.practice.waits import alarm_number
from sitegen.seal.addresses import checkin_code
from sitegen.seal.keys import Keys, ensure
from sitegen.seal.keys_file import KEYS_FILE, write_keys

ROOT = Path(__file__).resolve().parent.parent
DAY = ("--as-of", "2027-02-15")


@pytest.fixture
def clients(tmp_path: Path) -> Path:
    folder = tmp_path / "clients"
    shutil.copytree(ROOT / "clients", folder)
    return folder


def run(clients: Path, *words: str, status: int = 0) -> Result:
    found = CliRunner().invoke(main, [*words, "--clients", str(clients)])
    assert found.exit_code == status, found.output
    return found


def log(clients: Path, id: str, line: str) -> None:
    path = clients / f"{id}.log.yaml"
    path.write_text(path.read_text("utf-8") + line + "\n", "utf-8")


def test_without_an_alarm_the_status_is_0(clients: Path) -> None:
    assert run(clients, "alarms", *DAY).output == "no alarm is open\n"


def test_an_alarm_is_listed_answered_and_gone(clients: Path) -> None:
    log(clients, "nia", "- {on: 2027-02-14, signs: [limp]}")
    listed = run(clients, "alarms", *DAY, status=3).output.splitlines()
    assert listed[0] == "TODAY nia 1: limp was told on 2027-02-14"

    words = ("answer", "nia", "1", "--because", "spoke with her", "--yes")
    told = run(clients, *words, *DAY).output
    assert "answered: TODAY nia 1" in told
    assert "lifts: limp 2027-02-14" in told, "an answer lifts no stop, and says what does"
    kept = (clients / "nia.alarms.yaml").read_text("utf-8")
    assert kept.endswith('because: "spoke with her"\n  tellings: 1\n')
    assert run(clients, "alarms", *DAY).output == "no alarm is open\n"
    weeks = json.loads(run(clients, "weeks", "nia", "--json", *DAY).output)
    assert weeks["status"] == "referred"
    assert [a["open"] for a in weeks["alarms"]] == [False]

    log(clients, "nia", "- {on: 2027-02-14, said: Still limping tonight}")
    again = run(clients, "alarms", *DAY, status=3).output.splitlines()
    assert again[0].startswith("TODAY nia 2: limp was told on 2027-02-14"), "that is news"
    run(clients, "answer", "nia", "2", "--because", "rang her again", *DAY)
    assert run(clients, "alarms", *DAY).output == "no alarm is open\n"


def test_an_answer_to_a_question_does_not_call_a_stopped_plan_one_that_goes_on(
    clients: Path,
) -> None:
    """A run through a stop is asked about; the limp behind it still stops the plan."""
    log(clients, "nia", "- {on: 2027-02-11, signs: [limp]}\n- {on: 2027-02-13, ran: 20 min}")
    assert "ASK nia 2: a run was logged" in run(clients, "alarms", *DAY, status=3).output

    told = run(clients, "answer", "nia", "2", "--because", "spoke with her", *DAY).output
    assert "the plan stays stopped all the same, by alarm 1" in told
    assert "goes on" not in told


@pytest.mark.parametrize("id", ["nia", "tomas"])
def test_a_sign_beside_a_slip_in_the_log_is_listed_all_the_same(clients: Path, id: str) -> None:
    log(clients, id, "- {on: 2027-02-14, ran: 3 parsecs, signs: [chest_pain]}")
    listed = run(clients, "alarms", *DAY, status=3).output.splitlines()

    assert listed[0].startswith(f"NOW {id} 1: chest pain was told on 2027-02-14")
    assert any(
        row.startswith(id) for row in run(clients, "roster", *DAY, status=1).output.splitlines()
    )


def test_a_practice_file_with_an_error_hides_no_alarm(clients: Path) -> None:
    log(clients, "nia", "- {on: 2027-02-14, said: I fainted.}")
    practice = clients / "practice.yaml"
    practice.write_text(practice.read_text("utf-8") + "nonsense: 1\n", "utf-8")

    assert "NOW nia 1: fainting" in run(clients, "alarms", *DAY, status=3).output


def test_a_message_that_nobody_can_place_is_an_alarm_of_the_practice(clients: Path) -> None:
    letter = clients.parent / "letter.txt"
    letter.write_text("Hello Ines, I had chest pain on Sunday. Bo\n", "utf-8")
    run(clients, "receive", str(letter), *DAY, status=1)
    listed = run(clients, "alarms", *DAY, status=3).output

    (kept,) = (clients / ".aside").iterdir()
    number = alarm_number(kept.name)
    assert listed.startswith(f"NOW practice {number}: a message waits in .aside/2027-02-15-")
    said = run(clients, "answer", "practice", str(number), "--because", "phoned Bo", *DAY)
    assert "no log holds it: if a client wrote it" in said.output
    assert run(clients, "alarms", *DAY).output == "no alarm is open\n"


@pytest.mark.parametrize("owner", ["practice", "nia"])
def test_the_number_of_a_message_stays_when_others_come_and_go(clients: Path, owner: str) -> None:
    """Of another kind, of the same kind, of the same day, and signs in the log."""
    drawn = iter(range(100))
    keys = ensure(Keys(), ["nia"], lambda size: bytes([next(drawn)]) * size)
    write_keys(clients / KEYS_FILE, keys)
    code = checkin_code(keys.links["nia"]) if owner == "nia" else "ABCD-EFGH"
    entry = f"Check-in {code}\n- on: 2027-02-1X\n  signs: [fainting]\n"
    folder = clients / ".aside"
    folder.mkdir()
    (folder / "2027-02-14-55555555.txt").write_text(entry)
    number = alarm_number("2027-02-14-55555555.txt")
    start = f"NOW {owner} {number}: "
    assert run(clients, "alarms", *DAY, status=3).output.startswith(start)

    for at, name in enumerate(
        ("2027-02-13-77777777", "2027-02-14-11111111", "2027-02-14-99999999")
    ):
        milder = entry.replace("fainting", "limp") if at % 2 else entry
        (folder / f"{name}.txt").write_text(milder)
        log(clients, "nia", f"- {{on: 2027-02-1{at}, signs: [limp]}}")
    run(clients, "answer", owner, str(number), "--because", "rang", *DAY)
    told = (clients / ("nia.alarms.yaml" if owner == "nia" else ".alarms.yaml")).read_text()
    assert "alarm: aside-55555555 2027-02-14" in told
    assert "aside-11111111" not in told, "of another kind, so it is another alarm"
    (folder / "2027-02-13-77777777.txt").unlink()
    run(clients, "answer", owner, str(number), "--because", "rang", *DAY, status=1)


def test_open_alarms_change_no_status_of_check_or_build(clients: Path) -> None:
    log(clients, "nia", "- {on: 2027-02-14, signs: [limp]}")

    assert "alarm 1, today: limp" in run(clients, "check", *DAY).output
    run(clients, "build", "--out", str(clients.parent / "public"), *DAY)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("answer", "nia", "7", "--because", "x"), "nia has no alarm 7"),
        (("answer", "practice", "1", "--because", "x"), "practice has no alarm 1"),
    ],
)
def test_what_is_not_there_can_not_be_answered(
    clients: Path, words: tuple[str, ...], says: str
) -> None:
    assert says in run(clients, *words, *DAY, status=1).output


def test_a_check_in_of_an_earlier_day_takes_no_number_away(clients: Path) -> None:
    log(clients, "nia", "- {on: 2027-02-13, ran: 20 min}")
    log(clients, "nia", "- {on: 2027-02-14, signs: [limp]}")
    log(clients, "nia", "- {on: 2027-02-12, signs: [chest_pain]}")  # and the run was run through it

    listed = run(clients, "alarms", *DAY, status=3).output.splitlines()
    assert listed[0].startswith("ASK nia 3: a run was logged on 2027-02-13")
    assert listed[1:3] == [
        "NOW nia 2: chest pain was told on 2027-02-12",
        "TODAY nia 1: limp was told on 2027-02-14",
    ]


def test_a_run_through_a_stop_stands_before_no_other_client_who_is_more_urgent(
    clients: Path,
) -> None:
    log(clients, "bram", "- {on: 2027-02-11, signs: [limp]}")  # with runs after it
    log(clients, "nia", "- {on: 2027-02-14, signs: [fainting]}")
    listed = run(clients, "alarms", *DAY, status=3).output.splitlines()
    first = [
        line.split(":")[0].rpartition(" ")[0] for line in listed if line[:3] in "NOW TODAY ASK"
    ]
    assert first[:2] == ["NOW nia", "ASK bram"] and first[-1] == "TODAY bram"
    rows = json.loads(run(clients, "sheet", "--json", *DAY).output)
    assert [row["client"] for row in rows[:2]] == ["nia", "bram"]
    told = json.loads(run(clients, "alarms", "--json", *DAY, status=3).output)
    assert [one["client"] for one in told if one["open"]][:2] == ["nia", "bram"]


def test_an_alarm_that_is_about_another_matter_is_neither_answered_nor_lifted(
    clients: Path,
) -> None:
    log(clients, "nia", "- {on: 2027-02-14, signs: [limp]}")
    wrong = "alarm 1 of nia is limp 2027-02-14, not chest_pain"
    words = ("nia", "1", "chest_pain", "--because", "spoke with her")
    assert wrong in run(clients, "answer", *words, *DAY, status=1).output
    lift = ("lift", *words, "--seen-by", "a physio", "--yes")
    assert "not chest_pain" in run(clients, *lift, *DAY, status=1).output

    hint = json.loads(run(clients, "check", "--json", *DAY).output)[0]["hint"]
    assert hint.endswith("sitegen answer nia 1 limp --because WHAT")
    for matter in ("limp 2027-02-14", "limp"):
        (clients / "nia.alarms.yaml").unlink(missing_ok=True)
        run(clients, "answer", "nia", "1", matter, "--because", "spoke with her", *DAY)


def test_json_lists_open_ones_first(clients: Path) -> None:
    log(clients, "nia", "- {on: 2027-02-14, signs: [limp, chest_pain]}")
    found = json.loads(run(clients, "alarms", "--json", *DAY, status=3).output)

    assert [(a["client"], a["kind"], a["matter"], a["open"]) for a in found[:2]] == [
        ("nia", "now", "chest_pain", True),
        ("nia", "today", "limp", True),
    ]


def test_check_tells_open_alarms_first_the_most_urgent_before_all(clients: Path) -> None:
    """By file ayla's limp would come before nia's chest pain, and an error before both."""
    log(clients, "ayla", "- {on: 2027-02-14, signs: [limp]}")
    log(clients, "nia", "- {on: 2027-02-14, signs: [chest_pain]}")
    log(clients, "bram", "- {on: 2027-02-14, mood: low}")
    told = json.loads(run(clients, "check", "--json", *DAY, status=1).output)

    alarms = [p["message"] for p in told if p["code"] == "alarm"]
    assert [message.split(":")[0].split(", ")[1] for message in alarms] == ["now", "today"]
    assert [p["code"] for p in told[:2]] == ["alarm", "alarm"]
    assert any(p["level"] == "error" for p in told[2:])


def test_a_run_far_over_what_was_told_is_a_notice_in_every_list_and_asks_nothing(
    clients: Path,
) -> None:
    weeks = json.loads(run(clients, "weeks", "nia", "--json", *DAY).output)["weeks"]
    runs = [s["on"] for week in weeks for s in week["sessions"] if s["kind"] != "strength"]
    last = max(on for on in runs if on < DAY[1])
    log(clients, "nia", f"- {{on: {last}, ran: 2 h 30 min, effort: 3, pain: {{during: 0}}}}")

    told = json.loads(run(clients, "alarms", "nia", "--json", *DAY).output)
    (notice,) = [one for one in told if one["matter"] == "over_minutes"]
    assert (notice["kind"], notice["open"], notice["number"]) == ("notice", False, 0)
    says = notice["says"]
    assert says.startswith("ran ") and "min on 13 Feb, where" in says, "a day as the roster has it"
    assert f"notice nia: {says}" in run(clients, "alarms", "--all", *DAY).output
    assert says in run(clients, "roster", *DAY).output
    assert says not in run(clients, "alarms", *DAY).output, "it waits for no answer"


def test_what_was_ticked_comes_before_words_alone_in_every_list(clients: Path) -> None:
    """Within one kind, whatever came first."""
    log(clients, "ayla", '- {on: 2027-02-14, said: "I fainted on the stairs."}')
    log(clients, "nia", "- {on: 2027-02-15, signs: [chest_pain]}")
    log(clients, "tomas", '- {on: 2027-02-15, said: "I fainted, too."}')

    lines = run(clients, "alarms", *DAY, status=3).output.splitlines()
    assert [line.split()[1] for line in lines[:3]] == ["nia", "ayla", "tomas"]
    rows = run(clients, "roster", *DAY).output.splitlines()
    assert rows[0].startswith("nia") and "urgent" in rows[0]


def test_a_message_that_waits_is_named_before_any_client_until_it_is_answered(
    clients: Path, tmp_path: Path
) -> None:
    (clients / ".aside").mkdir()
    (clients / ".aside" / "2027-02-14-0a1b2c3d.txt").write_text("I had chest pain.\n")
    out, host = tmp_path / "public", tmp_path / "host"
    at = ("--out", str(out))
    says = "alarm of the practice: a message waits that is in no log"

    assert says in run(clients, "build", "nia", *at, *DAY).output.splitlines()[0]
    assert says in run(clients, "check", *DAY).output.splitlines()[0]
    told = run(clients, "publish", str(host), *at).output
    assert "an alarm of the practice is open" in told
    number = alarm_number("2027-02-14-0a1b2c3d.txt")
    words = ("answer", "practice", str(number), "--because", "spoke with her", "--yes")
    run(clients, *words, *DAY)
    assert says not in run(clients, "build", *at, *DAY).output
    assert "of the practice" not in run(clients, "publish", str(host), *at).output


def test_a_lift_without_a_reason_gets_an_example_that_fits(clients: Path) -> None:
    words = ("lift", "nia", "1", "--seen-by", "a doctor", "--yes")

    assert (
        'like --because "seen by her doctor on Thursday"' in run(clients, *words, status=2).output
    )


def test_the_order_in_which_receive_adds_raises_no_warning(clients: Path) -> None:
    (clients / "nia.log.yaml").write_text("- {on: 2027-02-14, ran: 20 min}\n")
    log(clients, "nia", "- {on: 2027-02-12, ran: 9 min, signed: no}")
    assert "log-order" not in run(clients, "check", "nia", *DAY).output
    log(clients, "nia", "- {on: 2027-02-13, ran: 9 min}")
    assert "log-order" in run(clients, "check", "nia", *DAY).output
