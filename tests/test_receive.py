"""Receiving on disk: what changes in the plan, what is kept aside and mended, what goes wrong."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from receive_case_files import CODES, TODAY, practice
from sitegen import world
from sitegen.care.named import signs_in
from sitegen.care.sentences import SIGN_WORDS
from sitegen.care.signs import ILL, sign_words, urgency
from sitegen.care.words import said
from sitegen.checkins.aside import read_aside
from sitegen.checkins.letters import Letter
from sitegen.checkins.posting import post
from sitegen.checkins.receive import Received, receive
from sitegen.checkins.taking import Shelf
from sitegen.checkins.words import day_words, differences, entry_words, on_one_line
from sitegen.model.checkin import SIGNS, CheckIn
from sitegen.plan.fold import expand
from sitegen.practice.opening import NotThere, list_practice
from support import case_of

MARA = (Path(__file__).parent / "cases/receive/clients/mara.yaml").read_text("utf-8")


LOG = """\
- {on: 2027-01-19, ran: 26 min}
- {on: 2027-01-21, ran: 26 min}
- {on: 2027-01-24, ran: 32 min}
- {on: 2027-01-26, ran: 28 min}
- {on: 2027-01-28, ran: 28 min}
- {on: 2027-01-31, ran: 32 min}
- {on: 2027-02-02, ran: 28 min}
- {on: 2027-02-04, ran: 28 min}
- {on: 2027-02-07, ran: 32 min, pain: {during: 0, after: 1}}
"""
NEWCOMER = "baseline: {on: 2027-01-06, cadence: 150 spm, week: 0 min}"
PAIN = "- {on: 2027-02-09, ran: 31 min, pain: {after: 4}}"


@pytest.fixture
def clients(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Mara's and Theo's practice; the day is Wednesday 10 February 2027."""
    monkeypatch.chdir(tmp_path)
    practice(tmp_path)
    (Path("clients") / "mara.log.yaml").write_text(LOG)
    return Path("clients")


def check_in(client: str, *lines: str) -> str:
    return "\n".join([f"Check-in {CODES[client]}", *lines]) + "\n"


def sent(text: str, as_of: date = TODAY) -> Received:
    return receive([], text, Path("clients"), as_of)


def tree(folder: Path) -> dict[str, bytes]:
    return {p.as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


# --- what changes in the plan -----------------------------------------------------------------


def test_pain_on_tuesday_changes_thursday_and_says_why(clients: Path) -> None:
    first = "- {on: 2027-02-08, ran: 9 min, pain: {after: 3}}"
    result = sent(
        check_in("mara", first, "- on: 2027-02-09", "  ran: 31 min", "  pain: {after: 4}")
    )

    thursday = next(line for line in result.lines if "Thursday 11 February" in line)
    logs = (LOG, f"{LOG}\n{first}\n{PAIN}")
    before, after = (minutes_on(date(2027, 2, 11), log) for log in logs)
    assert after < before
    assert thursday.startswith(f"mara: Thursday 11 February {before:.0f} -> {after:.0f} min")
    assert thursday.endswith(": pain of 4/10 was logged on Tuesday")


def minutes_on(day: date, log: str) -> float:
    plan = expand(case_of(MARA, log), TODAY)
    return sum(s.run_minutes for s in plan.sessions if s.on == day)


def test_each_line_is_what_the_two_plans_differ_in(clients: Path) -> None:
    """Up to the Sunday of next week each session, a line for a reason; beyond it all running."""
    old, new = (expand(case_of(MARA, log), TODAY) for log in (LOG, f"{LOG}\n{PAIN}"))
    result = sent(check_in("mara", "- on: 2027-02-09", "  ran: 31 min", "  pain: {after: 4}"))

    last = date(2027, 2, 21)
    minutes = [{s.id: round(s.run_minutes) for s in p.sessions if s.is_run} for p in (old, new)]
    days = {s.id: s.on for s in (*old.sessions, *new.sessions)}
    expected = {
        f"{day_words(days[id])} {minutes[0][id]} -> {minutes[1][id]} min of running"
        for id in minutes[0]
        if TODAY <= days[id] <= last and minutes[0][id] != minutes[1].get(id, 0)
    }
    (told,) = [line.split(": ") for line in result.lines if " -> " in line and "February" in line]
    assert expected and {part.split(", ")[0] for part in told[1].split("; ")} == expected
    assert told[2] == "for now pain of 4/10 on Tuesday holds the week"
    later = [round(sum(w.run_minutes for w in p.weeks if w.start > last)) for p in (old, new)]
    (further,) = [line for line in result.lines if line.startswith("mara: weeks 6 to 12: ")]
    assert further.startswith(
        f"mara: weeks 6 to 12: {later[0]} -> {later[1]} min of running in all"
    )
    assert ", as long as this holds: For now pain of 4/10" in further, "nobody lost those for good"


def test_runs_left_out_for_pain_say_of_which_day_they_hold_a_week_ahead(clients: Path) -> None:
    before = "- {on: 2027-02-08, skipped: pain}\n"
    (clients / "mara.log.yaml").write_text(LOG + before)
    result = sent(check_in("mara", "- on: 2027-02-09", "  skipped: pain"))

    (ahead,) = [line for line in result.lines if "Sunday 21 February" in line]
    assert ahead.endswith(": for now runs left out for pain on Tuesday keep the week a step back")


def test_a_calm_run_as_planned_changes_nothing_near(clients: Path) -> None:
    planned = minutes_on(date(2027, 2, 9), LOG)
    result = sent(check_in("mara", "- on: 2027-02-09", f"  ran: {planned:.0f} min"))

    assert not [line for line in result.lines if "->" in line and "February" in line]


def test_an_urgent_sign_comes_before_everything_else(clients: Path) -> None:
    text = check_in("mara", "- on: 2027-02-09", "  ran: 31 min")
    text += check_in("theo", "- on: 2027-02-09", "  ran: 5 min", "  signs: [chest_pain]")
    result = sent(text)

    assert result.lines[0] == "URGENT: theo: chest pain was told on Tuesday 9 February"
    assert result.lines[1] == "theo: the plan STOPS (referred); no session is planned"
    assert result.lines[2].startswith("theo: the portal will say: Stop. Chest pain: do not run.")
    assert "emergency help" in result.lines[3]
    assert any(line.startswith("theo: nothing is planned from") for line in result.lines)


@pytest.mark.parametrize(
    ("history", "before", "told", "begins"),
    [
        (
            "medicines: [blood_thinner]",
            "",
            '  said: "Banged my head."',
            "URGENT: mara: the words of",
        ),
        ("medicines: [steroids]", "", '  said: "Banged my head."', "TODAY: mara: the words of"),
        (
            "injury: shin",
            "- on: 2027-02-08\n  signs: [fever]\n",
            "  signs: [palpitations]",
            "URGENT:",
        ),
        ("injury: shin", "", "  signs: [palpitations]", "TODAY:"),
    ],
)
def test_a_sign_is_as_loud_as_its_alarm_is_for_this_client(
    clients: Path, history: str, before: str, told: str, begins: str
) -> None:
    """Source: NICE guideline NG232, head injury, 2023 (from memory); the heart: judgement."""
    (clients / "mara.yaml").write_text(f"{MARA}\nhistory: {{on: 2027-01-04, {history}}}\n")
    (clients / "mara.log.yaml").write_text(f"{LOG}\n{before}")
    lines = sent(check_in("mara", "- on: 2027-02-09", "  ran: 31 min", told)).lines

    assert lines[0].startswith(begins), lines
    if "signs" in told:
        assert ("emergency help" in "".join(lines)) == begins.startswith("URGENT")


def test_well_again_says_that_the_plan_goes_on_and_from_when(clients: Path) -> None:
    ill = "- {on: 2027-02-05, skipped: ill, signs: [fever]}\n"
    (clients / "mara.log.yaml").write_text(LOG.replace("- {on: 2027-02-07", f"{ill}#"))
    text = check_in("mara", "- on: 2027-02-08", "  well_again: yes")
    result = receive([], text, Path("clients"), TODAY, "mara")

    first = "the next session is on Thursday 11 February"
    assert result.lines[0] == f"mara: the plan goes on (was paused); {first}"
    assert not [line for line in result.lines if "no session is planned" in line]
    assert any(
        re.match(r"mara: Thursday 11 February new: easy run, \d+ min of running; ", line)
        for line in result.lines
    )


def test_a_run_in_turn_with_walking_is_told_with_its_whole_length(clients: Path) -> None:
    """One minute of running alone would read as a session of one minute."""
    newcomer = re.sub(r"baseline:.*?(?=\n\w)", NEWCOMER, MARA, flags=re.DOTALL)
    (clients / "mara.yaml").write_text(newcomer)
    (clients / "mara.log.yaml").write_text("- {on: 2027-01-19, ran: 10 min}\n")
    lines = sent(check_in("mara", "- on: 2027-02-09", "  signs: [fever]")).lines
    lines += receive(
        [], check_in("mara", "- on: 2027-02-10", "  well_again: yes"), clients, TODAY, "mara"
    ).lines

    (told,) = [line for line in lines if " new: run and walk" in line][:1]
    running, whole = map(int, re.findall(r"run and walk, (\d+) min of running in (\d+)", told)[0])
    assert 0 < running < whole


def test_neither_a_limit_nor_a_step_rate_is_a_reason_for_a_longer_run() -> None:
    """Both rise with the week, whose growth is the reason; where that is old, none is told."""
    today, entries = date(2027, 2, 7), LOG.splitlines(keepends=True)
    told: list[str] = []
    for known in (3, 5):
        old, new = (expand(case_of(MARA, log), today) for log in ("".join(entries[:known]), LOG))
        told += [
            one for one in differences(old, new, [], {}) if "Sunday 14 February 23 -> 24" in one
        ]

    assert len(told) == 2
    assert all(one.endswith("Sunday 14 February 23 -> 24 min of running") for one in told), told


@pytest.mark.parametrize("sign", SIGNS)
def test_no_sign_is_taken_in_quietly(clients: Path, sign: str) -> None:
    result = sent(check_in("mara", "- on: 2027-02-09", "  ran: 31 min", f"  signs: [{sign}]"))

    loud = {"now": "URGENT", "today": "TODAY", "ask": "ILL"}[urgency(sign)]
    words = sign_words(sign)
    assert result.lines[0] == f"{loud}: mara: {words} was told on Tuesday 9 February"
    assert any("mara: the plan STOPS (" in line for line in result.lines)


def test_a_sign_is_told_even_where_the_plan_cannot_be_drawn(clients: Path) -> None:
    (clients / "mara.yaml").write_text("name: [\n")
    result = sent(check_in("mara", "- on: 2027-02-09", "  ran: 31 min", "  signs: [limp]"))

    assert result.lines[0] == "TODAY: mara: limp was told on Tuesday 9 February"
    assert "mara: the plan can't be drawn; see sitegen check mara" in result.lines
    assert b"signs: [limp]" in (clients / "mara.log.yaml").read_bytes(), "taken in all the same"


def test_todays_run_is_past_once_it_is_logged() -> None:
    """What was planned for today is no session ahead any more; tomorrow's is."""
    today = date(2027, 2, 11)
    old = expand(case_of(MARA, LOG), today)
    new = expand(case_of(MARA, f"{LOG}- {{on: 2027-02-11, ran: 9 min, signs: [limp]}}"), today)
    log = [CheckIn.of_tree({"on": "2027-02-11", "ran": "9 min"})]

    (line,) = differences(old, new, log, {})
    first = min(s.on for s in old.sessions if s.on > today)
    assert first > today + timedelta(days=1)
    assert line.startswith(f"runner: nothing is planned from {day_words(first)} on; ")


def test_on_the_last_day_with_a_session_that_run_does_not_go_where_nothing_changed() -> None:
    """A morning's word on the plan's last day told the coach that "1 session" was out."""
    plan = expand(case_of(MARA, LOG), date(2027, 2, 11))
    last = max(s.on for s in plan.sessions)
    (kept,) = [s for s in plan.sessions if s.on == last]
    ending = plan._replace(as_of=last)

    assert list(differences(ending, ending, [], {})) == []
    weeks = tuple(
        w._replace(sessions=tuple(s for s in w.sessions if s != kept)) for w in ending.weeks
    )
    (line,) = differences(ending, ending._replace(weeks=weeks), [], {})
    assert line == f"runner: nothing is planned from {day_words(last)} on; 1 session out"


# --- words ------------------------------------------------------------------------------------


def test_a_clients_words_can_not_steer_the_terminal() -> None:
    assert on_one_line("a\x1b[2Jb\r\nc\u202ed") == "a [2Jb c d"
    assert on_one_line("x" * 300) == "x" * 200 + "…"


def test_all_that_a_check_in_tells_is_on_its_line() -> None:
    entry = CheckIn.of_tree(
        {"on": "2027-02-09", "ran": "31 min", "distance": "4.6 km", "cadence": "160 spm",
         "effort": "3", "pain": {"during": "1", "next_morning": "0", "site": "left shin"},
         "landing": "loud", "signs": ["limp"], "said": "Mud."}
    )  # fmt: skip
    assert entry_words(entry) == (
        "ran 31 min, 4.6 km, 160 spm, effort 3, pain 1/10 in the run, 0/10 next morning, "
        'left shin, loud landing, SIGN: limp, "Mud."'
    )


# --- kept aside, and mended -------------------------------------------------------------------

FOREIGN = "Check-in AAAA-BBBB\n- on: 2027-02-09\n  ran: 31 min\n"


def aside(clients: Path) -> Path:
    (path,) = (clients / ".aside").iterdir()
    return path


def test_what_is_kept_aside_says_why_and_holds_the_whole_text(clients: Path) -> None:
    sent(f"Hello\n\n{FOREIGN}\nMara\n")

    text = aside(clients).read_text("utf-8")
    assert text.startswith("# Kept aside on 2027-02-10, from standard input; it is in no log.\n")
    assert '# Line 5: no client here has the code "AAAA-BBBB"' in text
    assert text.splitlines()[4:] == FOREIGN.splitlines()
    assert aside(clients).stat().st_mode & 0o077 == 0, "health is nobody else's"


@pytest.mark.parametrize("name", ["mara", CODES["mara"]])
def test_a_mended_one_is_taken_and_waits_no_longer(clients: Path, name: str) -> None:
    """In a file that was kept aside, the coach may write whose it is."""
    sent(FOREIGN)
    path = aside(clients)
    path.write_text(path.read_text("utf-8").replace("AAAA-BBBB", name), "utf-8")

    result = receive([path], None, clients, TODAY)

    assert result.status == 0, result.problems
    assert (
        (clients / "mara.log.yaml")
        .read_text()
        .endswith("- on: 2027-02-09\n  ran: 31 min\n  signed: no\n")
    )
    assert not path.exists()


def test_one_that_is_still_wrong_stays_where_it_is(clients: Path) -> None:
    sent(FOREIGN)
    path = aside(clients)
    text = path.read_text("utf-8").replace("AAAA-BBBB", "mara").replace("31 min", "31")
    path.write_text(text, "utf-8")
    before = tree(clients)

    result = receive([path], None, clients, TODAY)

    assert tree(clients) == before
    assert [str(p).split(" error")[0] for p in result.problems] == [f"{path.as_posix()}:7:8:"]


def test_a_name_in_place_of_a_code_is_not_enough_in_a_mail(clients: Path) -> None:
    result = sent("Check-in mara\n- on: 2027-02-09\n  ran: 31 min\n")

    assert [p.code for p in result.problems] == ["checkin-foreign"]
    assert b"2027-02-09" not in (clients / "mara.log.yaml").read_bytes()


def test_a_log_with_a_slip_keeps_the_check_in_aside_and_says_where(clients: Path) -> None:
    log = clients / "mara.log.yaml"
    log.write_text("- on: 2027-02-01\n\tran: 20 min\n")
    before = log.read_bytes()

    result = sent(check_in("mara", "- on: 2027-02-09", "  ran: 31 min"))

    assert log.read_bytes() == before
    assert "clients/mara.log.yaml:2:1: a tab stands at the start of this line" in str(
        result.problems[0]
    )
    assert "ran: 31 min" in aside(clients).read_text("utf-8")


def test_a_renewed_link_makes_the_old_code_foreign(clients: Path) -> None:
    from sitegen.seal.keys import renew
    from sitegen.seal.keys_file import KEYS_FILE, update_keys

    update_keys(clients / KEYS_FILE, lambda keys: renew(keys, "mara", world.draw_bytes))
    result = sent(check_in("mara", "- on: 2027-02-09", "  ran: 31 min"))

    assert [p.code for p in result.problems] == ["checkin-foreign"]
    assert "a renewed link has a new code" in result.problems[0].hint


def test_without_the_keys_nothing_is_lost(clients: Path) -> None:
    (clients / ".keys.yaml").write_text("version: [\n")
    result = sent(check_in("mara", "- on: 2027-02-09", "  ran: 31 min"))

    assert result.status == 1
    assert "ran: 31 min" in aside(clients).read_text("utf-8")


def test_a_client_whose_file_is_gone_is_told(clients: Path) -> None:
    (clients / "theo.yaml").unlink()
    result = sent(check_in("theo", "- on: 2027-02-09", "  ran: 5 min"))

    assert [p.message for p in result.problems] == ["theo has no file here"]
    assert not (clients / "theo.log.yaml").exists()


@pytest.mark.parametrize(
    ("text", "tells"),
    [
        ("signs: [chest_pain]", ["chest_pain"]),
        ("I had CHEST  PAIN and a limp", ["chest_pain", "limp"]),
        ("giving-way", ["giving_way"]),
        ("signs: [calf_swelling]", ["calf_swelling"]),
        ("signs: [swelling, calf_swelling]", ["calf_swelling", "swelling"]),
        ("signs: [chestpain, nightpain]", ["chest_pain", "night_pain"]),
        ("signs:\n  - faintin\n  - limping\n  said: fine", ["fainting", "limp"]),
        ("all fine", []),
    ],
)
def test_signs_are_seen_in_a_text_that_can_not_be_read(text: str, tells: list[str]) -> None:
    assert list(signs_in(text)) == tells


@pytest.mark.parametrize(
    ("text", "tells"),
    [
        (
            "I had chest pain yesterday while running and almost fainted.",
            "chest_pain near_fainting",
        ),
        ("My CHEST felt tight", "chest_pain"),
        ("i passed out after the last repeat", "fainting"),
        ("I can\u2019t breathe when I sit", "breathless_at_rest"),
        ("short of\nbreath all evening", "breathless_out_of_proportion"),
        ("my left calf is hot and red", "calf_swelling"),
        ("a swollen calf since Sunday", "calf_swelling"),
        ("Me duele el PECHO y casi me desmay\u00e9", "chest_pain near_fainting"),
        ("perd\u00ed el conocimiento", "fainting"),
        ("me falta el aire sin moverme", "breathless_at_rest"),
        ("I had trouble breathing in bed", "breathless_at_rest"),
        ("cant breathe", "breathless_out_of_proportion"),
        ("los gemelos muy hinchados", "calf_swelling"),
        ("Calves tight after the warm-up, then fine", ""),
        ("no puedo respirar bien", "breathless_out_of_proportion"),
        ("tengo la pantorrilla hinchada y caliente", "calf_swelling"),
        ("Calves fine; I took a photo, then a shot", ""),
        ("All fine, see you on Thursday. Todo bien, un poco de agujetas.", ""),
    ],
)
def test_plain_words_of_danger_are_seen_in_both_languages(text: str, tells: str) -> None:
    assert " ".join(said(text)) == tells


# --- nothing urgent is told mildly ------------------------------------------------------------

PLAIN = "I had chest pain yesterday while running and almost fainted. Should I run tomorrow? Bo\n"


def test_a_plain_message_with_an_emergency_in_it_comes_first(clients: Path) -> None:
    inbox = Path("inbox")
    inbox.mkdir()
    (inbox / "1.txt").write_text(check_in("mara", "- on: 2027-02-09", "  signs: [fainting]"))
    (inbox / "6.txt").write_text(PLAIN)

    result = receive([inbox], None, clients, TODAY)

    loud = (
        "URGENT: a message without a check-in speaks of chest pain, nearly fainting: read it now, "
    )
    assert result.lines[0].startswith(f"{loud}inbox/6.txt (found by its words alone")
    assert result.told["urgent"][0] == result.lines[0]
    assert result.status == 1, "a script must notice"


def test_the_subject_of_a_mail_is_read_too(clients: Path) -> None:
    Path("7.eml").write_text("From: bo@example.org\nSubject: I fainted\n\nPlease call me. Bo\n")

    result = receive([Path("7.eml")], None, clients, TODAY)

    assert result.lines[0].startswith("URGENT: a message without a check-in speaks of fainting")


def test_words_around_a_good_check_in_are_looked_at_too(clients: Path) -> None:
    result = sent(PLAIN + "\n" + check_in("mara", "- on: 2027-02-09", "  ran: 9 min"))

    assert result.lines[0].startswith("URGENT: the words around a check-in speak of chest pain")
    assert len(result.told["taken"]) == 1


def test_an_emergency_in_a_good_check_ins_own_words_is_told(clients: Path) -> None:
    result = sent(check_in("mara", "- on: 2027-02-09", "  ran: 9 min", "  said: I passed out."))

    assert result.lines[0].startswith(
        "URGENT: mara: the words of Tuesday 9 February speak of fainting: read them now"
    )


OWN = "She says that I had blue lips at the end.\n"


def test_the_coachs_own_words_are_urgent_wherever_they_are_written(clients: Path) -> None:
    """Around a check-in, without one, in one with a slip, and in a log that she names."""
    house = clients / "practice.yaml"
    house.write_text(house.read_text() + "urgent_words: [blue lips]\n")
    slip = check_in("theo", "- on: 2027-02-09", "  ran: 5 miles", f"  said: {OWN.strip()}")

    for text in (OWN, OWN + check_in("mara", "- on: 2027-02-09", "  ran: 9 min"), slip):
        assert sent(text).lines[0].startswith("URGENT: "), text
    assert "blue lips" in (clients / "theo.log.yaml").read_text("utf-8")
    waiting = read_aside(clients, {}, ("mara", "theo"))
    assert [one.signs for one in waiting] == [("urgent_word",)] * 2  # of the first two the same

    long = "All went well and I was glad of it. " * 30 + OWN
    assert receive([], long, clients, TODAY, "mara").lines[0].startswith("URGENT: ")
    log = (clients / "mara.log.yaml").read_text("utf-8")
    assert len(log) < 2000
    assert "blue lips" in log


def test_words_that_may_be_explained_are_for_the_coach_to_read(clients: Path) -> None:
    told = "  said: Foot went numb, laces too tight."
    result = sent(check_in("mara", "- on: 2027-02-09", "  ran: 9 min", told))

    assert result.lines[1] == (
        "READ: mara: the words of Tuesday 9 February may speak of a limb that is cold, pale, numb "
        "or deformed, and also of what may explain it; nothing was stopped for it"
    )
    assert not result.told["urgent"]


@pytest.mark.parametrize("sign", ["chest_pain", "chestpain"])
def test_one_set_aside_names_its_client_and_the_plan_is_not_called_settled(
    clients: Path, sign: str
) -> None:
    good = check_in("mara", "- on: 2027-02-09", "  ran: 28 min")
    bad = check_in("mara", "- on: 2027-02-10", "  ran: 3 miles", f"  signs: [{sign}]")
    result = sent(good + bad)

    where = aside(clients).as_posix()
    assert result.lines[0] == (
        f"URGENT: mara: a check-in kept aside tells of chest pain: read it now, {where}"
    )
    assert result.lines[1].startswith("mara: speak to this client now")
    assert any("a check-in that waits aside is not in it" in line for line in result.lines)
    assert not any(line.endswith("stays as it was") for line in result.lines)


def test_one_that_waits_since_an_earlier_day_is_remembered_until_it_is_mended(
    clients: Path,
) -> None:
    bad = check_in("theo", "- on: 2027-02-08", "  ran: 5 miles")
    sent(bad)
    later = sent(check_in("theo", "- on: 2027-02-09", "  pain: {after: 4}"))
    assert any("waits aside is not in it" in line for line in later.lines)

    path = aside(clients)
    path.write_text(path.read_text("utf-8").replace("5 miles", "5 min"), "utf-8")
    mended = receive([path], None, clients, TODAY)
    assert not any("waits aside" in line for line in mended.lines)


# --- files and folders ------------------------------------------------------------------------


def test_a_whole_folder_is_read_once_and_hidden_files_are_left_out(clients: Path) -> None:
    inbox = Path("inbox")
    inbox.mkdir()
    (inbox / "1.txt").write_text(check_in("mara", "- on: 2027-02-09", "  ran: 31 min"))
    (inbox / "2.txt").write_text(check_in("theo", "- on: 2027-02-09", "  pain: {after: 4}"))
    (inbox / "photo.jpg").write_bytes(b"\xff\xd8\xff\xe0" * 100)
    (inbox / ".draft.txt").write_text(check_in("theo", "- on: 2027-02-06", "  ran: 5 min"))

    result = receive([inbox], None, clients, TODAY)

    assert [one["client"] for one in result.told["taken"]] == ["mara", "theo"]
    assert [str(p) for p in result.problems] == [
        "inbox/photo.jpg:1:1: warning: no check-in stands here (a check-in begins with a line "
        "like Check-in ABCD-EFGH) [checkin-none]"
    ]
    assert result.status == 0, "a photograph among them is no error"
    assert len(list(inbox.iterdir())) == 4, "what came in stays"


def test_a_file_that_is_not_there_is_told_and_the_others_are_taken(clients: Path) -> None:
    Path("1.txt").write_text(check_in("mara", "- on: 2027-02-09", "  ran: 31 min"))

    result = receive([Path("none.txt"), Path("1.txt")], None, clients, TODAY)

    assert result.status == 1
    assert result.problems[0].message == "this file can't be read: No such file or directory"
    assert len(result.told["taken"]) == 1


def test_without_a_practice_that_is_said(tmp_path: Path) -> None:
    result = receive([], FOREIGN, tmp_path / "nowhere", TODAY)

    assert result.status == 1
    assert any("there is no folder" in p.message for p in result.problems)


def test_a_log_changed_at_the_same_time_is_left_alone(
    clients: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Her editor saves between our reading and our writing."""
    letter = Letter("mail.txt", check_in("mara", "- on: 2027-02-09", "  ran: 31 min"))
    shelf = Shelf(list_practice(clients), TODAY, post([letter], {CODES["mara"]: "mara"}, ["mara"]))
    tell = shelf._tell

    def save(*words: Any) -> Any:
        (clients / "mara.log.yaml").write_text("# hers\n")
        return tell(*words)

    monkeypatch.setattr(shelf, "_tell", save)
    shelf.take_all()

    assert (clients / "mara.log.yaml").read_text() == "# hers\n"
    assert [p.code for p in shelf.problems] == ["log-changed"]
    assert "ran: 31 min" in aside(clients).read_text("utf-8")


def test_what_is_told_for_a_program_holds_every_entry(clients: Path) -> None:
    result = sent(check_in("mara", "- on: 2027-02-09", "  ran: 31 min") + FOREIGN)

    told: Mapping[str, object] = result.told
    assert told["taken"] == [
        {
            "client": "mara",
            "on": "2027-02-09",
            "entry": {"on": "2027-02-09", "ran": "31 min", "signed": "no"},
            "signed": "no",
        }
    ]
    assert told["aside"] == [aside(clients).as_posix()]


def test_sixty_check_ins_of_one_client_are_all_taken(clients: Path) -> None:
    days = [date(2026, 11, 1) + timedelta(days=n) for n in range(60)]
    text = "".join(check_in("mara", f"- on: {day}", "  ran: 20 min") for day in days)

    result = sent(text)

    assert len(result.told["taken"]) == 60 and result.status == 0


# --- whose it is, as the coach says -----------------------------------------------------------


def said_to_be(whose: str, text: str) -> Received:
    return receive([], text, Path("clients"), TODAY, whose)


@pytest.mark.parametrize("head", ["Check-in AAAA-BBBB\n", ""])
def test_a_check_in_of_nobody_is_whose_the_coach_says(clients: Path, head: str) -> None:
    result = said_to_be("mara", f"{head}- on: 2027-02-09\n  ran: 31 min\n")

    assert result.status == 0, result.problems
    assert (
        (clients / "mara.log.yaml")
        .read_text()
        .endswith("- on: 2027-02-09\n  ran: 31 min\n  signed: no\n")
    )


def test_a_copy_that_waited_aside_goes_with_it(clients: Path) -> None:
    sent(FOREIGN)
    assert aside(clients).exists()

    said_to_be("mara", FOREIGN)

    assert list((clients / ".aside").iterdir()) == []


def test_a_message_alone_is_said_by_whom_the_coach_says_and_stops_the_plan(clients: Path) -> None:
    result = said_to_be("mara", "Hola, tengo dolor en el pecho\n")

    assert result.status == 0, result.problems
    assert (clients / "mara.log.yaml").read_text("utf-8") == (
        f'{LOG}- on: {TODAY}\n  said: "Hola, tengo dolor en el pecho"\n'
    )
    assert not (clients / ".aside").exists()
    assert any(line.startswith("mara: nothing is planned from") for line in result.lines)


def test_a_sign_far_down_a_message_is_ticked_in_the_log(clients: Path) -> None:
    said_to_be("mara", "It was a long week. " * 60 + "I had chest pain on the run.\n")

    assert "signs: [chest_pain]" in (clients / "mara.log.yaml").read_text("utf-8")


def test_a_message_that_waits_aside_goes_into_the_log_of_whom_the_coach_says(
    clients: Path,
) -> None:
    sent("I fainted on the run.\n")
    path = aside(clients)

    result = receive([path], None, clients, TODAY, "mara")

    assert result.status == 0 and not path.exists()
    log = (clients / "mara.log.yaml").read_text("utf-8")
    assert log.endswith("  said: I fainted on the run.\n")
    again = said_to_be("mara", "I fainted on the run.\n")
    assert (clients / "mara.log.yaml").read_text("utf-8") == log, again.lines


def test_two_days_of_rest_are_two_days_and_the_others_wait(clients: Path) -> None:
    """After pain of 6 nothing is planned until a check-in tells of a morning and of walking."""
    text = check_in("mara", "- on: 2027-02-09", "  ran: 31 min", "  pain: {during: 6}")

    (line,) = [line for line in sent(text).lines if "nothing is planned" in line]

    assert "pain of 6/10 on Tuesday: no running up to and with Thursday 11 February, 1 " in line
    assert line.endswith("wait for a check-in with a morning at 0 to 2 and walking without pain")


def test_a_copy_that_the_coach_has_worked_on_stays(clients: Path) -> None:
    sent(FOREIGN)
    path = aside(clients)
    path.write_text(path.read_text("utf-8") + "  said: and more\n", "utf-8")

    said_to_be("mara", FOREIGN)

    assert path.exists()


def test_the_hint_is_a_command_that_works(clients: Path) -> None:
    (problem,) = sent(FOREIGN).problems
    assert problem.hint.endswith("receive this file with --for and that client's id")

    result = receive([Path(problem.origin.file)], None, clients, TODAY, "mara")

    assert result.status == 0 and not Path(problem.origin.file).exists()


def test_another_clients_own_code_is_never_overruled(clients: Path) -> None:
    before = (clients / "mara.log.yaml").read_bytes()
    result = said_to_be("mara", check_in("theo", "- on: 2027-02-09", "  ran: 5 min"))

    assert [p.code for p in result.problems] == ["checkin-other"]
    assert "the code of theo, and you said that it is from mara" in result.problems[0].message
    assert (clients / "mara.log.yaml").read_bytes() == before
    assert "ran: 5 min" in aside(clients).read_text("utf-8"), "nothing is lost"


def test_who_is_not_there_can_not_be_meant(clients: Path) -> None:
    before = tree(clients)
    with pytest.raises(NotThere, match="Did you mean mara"):
        said_to_be("marra", FOREIGN)
    assert tree(clients) == before


# --- a sign beside pain -----------------------------------------------------------------------


@pytest.mark.parametrize("sign", [sign for sign in SIGNS if sign not in ILL])
@pytest.mark.parametrize("day", ["2027-02-09", "2027-02-10"])
def test_a_sign_is_the_reason_also_where_pain_was_logged(
    clients: Path, sign: str, day: str
) -> None:
    result = sent(check_in("mara", f"- on: {day}", "  ran: 31 min",
                           "  pain: {during: 6, after: 7}", f"  signs: [{sign}]"))  # fmt: skip

    (out,) = [line for line in result.lines if "nothing is planned from" in line]
    weekday = "Tuesday" if day.endswith("09") else "Wednesday"
    words = SIGN_WORDS[sign].lower()
    assert out.lower().endswith(f": {words} was told on {weekday.lower()}")
    assert not [
        line for line in result.lines if "pain of" in line or ("->" in line and "min" in line)
    ]


def test_pain_that_refers_is_the_reason_of_what_it_drops(clients: Path) -> None:
    text = check_in("mara", "- on: 2027-02-04", "  ran: 28 min", "  pain: {during: 6}",
                    "- on: 2027-02-09", "  ran: 31 min", "  pain: {during: 7}")  # fmt: skip
    (out,) = [line for line in sent(text).lines if "nothing is planned from" in line]
    assert out.endswith(": pain came back more than once")
