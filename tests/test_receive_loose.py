"""Messages without a check-in: which are kept and asked about, and which are plainly nobody's."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from receive_case_files import CODES, TODAY, practice_with_mail
from sitegen.checkins.aside import read_aside
from sitegen.checkins.receive import Received, receive
from sitegen.coach.alarms import PRACTICE, alarm_lines, alarms_told
from sitegen.practice.opening import open_practice

FROM = "From: somebody <s@example.org>\n"
KEPT = {
    "a knee, no sign": "Subject: hi\n\nMy knee is bad again, cannot bend it.",
    "a score": "Subject: hi\n\nIt hurts 6 out of 10 since Tuesday, what do I do?",
    "in Spanish": "Subject: hola\n\nMe duele la rodilla al bajar escaleras.",
    "her first name": "Subject: next week\n\nMara here, can we move Thursday?",
    "her id in the sender": "From: Theo B. <x@example.org>\nSubject: next week\n\nCan we talk?",
    "a page's own subject, and nothing to read": "Subject: Check-in EATH-A7JZ\n\n",
    "a name in a mail to many": "List-Unsubscribe: <mailto:x@example.org>\n\nMara: see you.",
}
NOBODYS = {
    "a newsletter": "List-Unsubscribe: <mailto:x@example.org>\nSubject: For your knees\n\nShoes.",
    "an answer to a page's mail": "Subject: Check-in EATH-A7JZ\n\nThanks, see you.",
    "lunch": "Subject: lunch on Friday?\n\nSee you at one.",
}


@pytest.fixture
def clients(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return practice_with_mail(tmp_path, monkeypatch)


def folder_with(clients: Path, text: str) -> Received:
    Path("mail/a.eml").write_text(text if text.startswith("From:") else FROM + text)
    return receive([Path("mail")], None, clients, TODAY)


@pytest.mark.parametrize("name", KEPT)
def test_of_a_folder_what_may_be_a_client_s_is_kept_and_asked_about(
    clients: Path, name: str
) -> None:
    result = folder_with(clients, KEPT[name])

    (kept,) = (clients / ".aside").iterdir()
    body = KEPT[name].partition("\n\n")[2]
    text = kept.read_text("utf-8")
    assert body in text and "@example.org>" in text, "what it says, and who wrote it"
    (problem,) = result.problems
    assert (problem.level, result.status) == ("error", 1)
    assert problem.hint.startswith("it is kept aside")
    assert [one.signs for one in read_aside(clients, {}, ())] == [()], "an alarm, of no sign"


def test_a_message_of_danger_tells_by_what_it_stops_a_plan_and_whose_it_may_be(
    clients: Path,
) -> None:
    """By the whole name of one client; the coach makes sure, and nothing is placed by itself."""
    mail = "From: Mara Quist <m@example.org>\nSubject: hi\n\nI had chest pain on the run."
    lines = folder_with(clients, mail).lines
    (kept,) = (clients / ".aside").iterdir()

    assert lines[0].startswith("URGENT: a message without a check-in speaks of chest pain")
    assert lines[1] == (
        f"it stops no plan yet; if you know whose it is: sitegen receive --for mara {kept} "
        "(it names mara: make sure that it is theirs)"
    )
    log = clients / "mara.log.yaml"
    assert not log.exists() or b"chest" not in log.read_bytes(), "nobody said that it is hers"
    opened = open_practice(clients, (), TODAY)
    assert "stops no plan: if you know whose" in alarm_lines(alarms_told(opened))[-1]


@pytest.mark.parametrize(
    ("text", "does"),
    [
        ("Mara Quist and Theo Aldana fainted.", "--for ID"),  # of two, none
        ("Mara fainted.", "--for ID"),  # a first name is many people's
        ("I fainted. Theo Aldana", "--for theo"),
        ("I fainted.\n\nTheo", "--for theo"),  # who signs so is one of the practice
    ],
)
def test_only_the_whole_name_of_one_client_is_taken_for_a_hint(
    clients: Path, text: str, does: str
) -> None:
    (hint,) = [line for line in folder_with(clients, text).lines if "it stops no plan yet" in line]
    assert f" {does} " in hint


ANOTHERS = {
    "sent": "From: Theo Aldana <t@example.org>\nSubject: hi\n\nI fainted on the run.",
    "signed": "Subject: hi\n\nI fainted on the run.\n\nTheo Aldana\nSent from my phone\n",
    "signed by first name": "Subject: hi\n\nI fainted on the run.\n\nTheo\n",
    "a check-in": "From: Theo <t@example.org>\n\n- on: 2027-02-09\n  signs: [fainting]\n",
}


@pytest.mark.parametrize("name", ANOTHERS)
def test_a_letter_of_another_client_is_not_filed_under_the_wrong_one(
    clients: Path, name: str
) -> None:
    """Said again knowingly, of the file kept aside, it is."""
    text = ANOTHERS[name]
    Path("a.eml").write_text(text if text.startswith("From:") else FROM + text)
    log = clients / "mara.log.yaml"
    before = log.read_bytes()

    done = receive([Path("a.eml")], None, clients, TODAY, "mara")

    assert log.read_bytes() == before and done.status == 1
    assert [p.message for p in done.problems if p.code == "letter-anothers"] == [
        "theo seems to have written this, and you said that it is from mara"
    ]
    (kept,) = (clients / ".aside").iterdir()
    receive([kept], None, clients, TODAY, "mara")
    assert b"faint" in log.read_bytes().removeprefix(before)


def test_a_letter_of_her_own_or_of_nobody_known_is_filed_as_said(clients: Path) -> None:
    log = clients / "mara.log.yaml"
    for number, text in enumerate(("I fainted.\n\nMara", "I had chest pain.\n\nHer brother")):
        Path(f"{number}.txt").write_text(text)
        receive([Path(f"{number}.txt")], None, clients, TODAY, "mara")

    assert b"I fainted." in log.read_bytes() and b"I had chest pain." in log.read_bytes()
    assert not (clients / ".aside").exists()


@pytest.mark.parametrize("name", NOBODYS)
def test_what_is_plainly_nobodys_is_a_warning_that_quotes_its_subject(
    clients: Path, name: str
) -> None:
    result = folder_with(clients, NOBODYS[name])

    assert not (clients / ".aside").exists()
    (problem,) = result.problems
    subject = NOBODYS[name].partition("Subject: ")[2].partition("\n")[0]
    assert problem.level == "warning" and subject in problem.message


@pytest.mark.parametrize(
    ("name", "kept", "nobodys"),
    [
        ("Will Marsh", "Thanks, Will.", "Will you come? You will, a will of iron.\n\nWill is all."),
        ("Rose Marsh", "see you, Rose", "Pink as a rose.\n\nRose petals, half price."),
        ("Sol Marín", "hola soy Sol", "El sol sale.\n\nSol y playa."),
        ("Will Marsh", "your plan, will marsh", "Where there is a will"),
    ],
)
def test_a_name_that_is_an_everyday_word_keeps_no_mail_by_that_word(
    clients: Path, name: str, kept: str, nobodys: str
) -> None:
    mara = clients / "mara.yaml"
    mara.rename(clients / f"{name.split()[0].lower()}.yaml")
    (clients / "mara.log.yaml").unlink()
    client = clients / f"{name.split()[0].lower()}.yaml"
    client.write_text(re.sub("(?m)^name: .*$", f"name: {name}", client.read_text("utf-8")), "utf-8")
    many = "List-Unsubscribe: <mailto:x@example.org>\n\n"

    folder_with(clients, many + nobodys)
    assert not (clients / ".aside").exists()
    folder_with(clients, many + kept)
    assert len([*(clients / ".aside").iterdir()]) == 1


def test_a_newsletter_that_speaks_of_danger_is_kept_all_the_same(clients: Path) -> None:
    folder_with(clients, "List-Unsubscribe: <mailto:x@example.org>\n\nI had chest pain.")
    assert read_aside(clients, {}, ())[0].signs == ("chest_pain",)


def test_a_photograph_is_kept_of_no_folder_and_goes_into_no_log(clients: Path) -> None:
    Path("mail/photo.jpg").write_bytes(b"\xff\xd8\xff\xe0 knee hurts \x00\x01\x02" * 100)
    receive([Path("mail")], None, clients, TODAY)
    assert not (clients / ".aside").exists()

    log = (clients / "mara.log.yaml").read_bytes()
    receive([Path("mail/photo.jpg")], None, clients, TODAY, "mara")
    assert (clients / "mara.log.yaml").read_bytes() == log


def test_a_message_whose_client_the_coach_names_is_that_clients(clients: Path) -> None:
    Path("m.txt").write_text("Saw the doctor, all fine. Shall I start again?\n")
    result = receive([Path("m.txt")], None, clients, TODAY, "mara")

    assert (result.status, result.problems) == (0, ())
    log = (clients / "mara.log.yaml").read_text("utf-8")
    assert log.endswith('  said: "Saw the doctor, all fine. Shall I start again?"\n')
    assert not (clients / ".aside").exists()


def test_what_the_log_has_no_room_for_is_kept_whole(clients: Path) -> None:
    text = "All went well. " * 60 + "And what about Sunday?\n"
    receive([], text, clients, TODAY, "mara")

    assert "All went well." in (clients / "mara.log.yaml").read_text("utf-8")
    (kept,) = (clients / ".aside").iterdir()
    assert "And what about Sunday?" in kept.read_text("utf-8")


# --- of nobody, with a pain that would stop a plan --------------------------------------------


@pytest.mark.parametrize(
    "pain", ["{during: 8, after: 2}", "{after: '9'}", "\n    walking: 10", "{next_morning:8, x: 1}"]
)
def test_a_severe_pain_under_a_code_of_nobody_is_an_alarm_of_today_that_says_so(
    clients: Path, pain: str
) -> None:
    text = f"Check-in CZOA-2222\n- on: 2027-02-09\n  ran: 5 min\n  pain: {pain}\n"
    result = receive([], text, clients, TODAY)

    assert result.told["urgent"][0].startswith(
        "TODAY: a check-in kept aside tells of pain of 8 or more: read it now, clients/.aside/"
    )
    found = alarms_told(open_practice(clients, (), TODAY)).alarms[PRACTICE]
    assert [(one.kind, one.signs) for one in found] == [("today", ("severe_pain",))]
    assert "tells of pain of 8 or more" in found[0].says


def test_a_milder_pain_of_nobody_is_asked_about(clients: Path) -> None:
    text = "Check-in CZOA-2222\n- on: 2027-02-09\n  ran: 10 min\n  pain: {during: 7}\n"
    receive([], text, clients, TODAY)
    found = alarms_told(open_practice(clients, (), TODAY)).alarms[PRACTICE]
    assert [(one.kind, one.signs) for one in found] == [("ask", ())]


# --- around a check-in ------------------------------------------------------------------------

SISTER = "By the way, my mother had a heart attack last year, does it matter?"
CHECK_IN = f"Check-in {CODES['mara']}\n- on: 2027-02-09\n  ran: 31 min\n"
ADDED = """\
On Mon, Ines wrote:
> How does your knee feel, and will you run on Sunday with the others from the club?
--\x20
Mara, of the knee clinic at the end of the long street, second floor, ring twice
"""


def test_what_is_written_around_a_check_in_goes_into_the_log_as_said(clients: Path) -> None:
    text = f"Hi Ines,\n\n{CHECK_IN}\n{SISTER}\n{ADDED}"
    Path("mail/1.eml").write_text(f"{FROM}Subject: Check-in\n\n{text}")
    result = receive([Path("mail")], None, clients, TODAY)

    log = (clients / "mara.log.yaml").read_text("utf-8")
    assert log.endswith(f'- on: 2027-02-10\n  signed: no\n  said: "Hi Ines, {SISTER}"\n')
    assert sum(SISTER in line for line in result.lines) == 1 and result.status == 0
    receive([Path("mail")], None, clients, TODAY)
    assert (clients / "mara.log.yaml").read_text("utf-8") == log, "received again it is nothing new"


@pytest.mark.parametrize("around", ["Hi Ines, all well here. Best wishes, Mara", ADDED])
def test_a_greeting_and_what_programs_add_are_left_out(clients: Path, around: str) -> None:
    receive([], f"{CHECK_IN}\n{around}\n", clients, TODAY)
    assert "said: " not in (clients / "mara.log.yaml").read_text("utf-8").partition("31 min")[2]
    assert not (clients / ".aside").exists()


@pytest.mark.parametrize("slip", ["ABCD-EFGH", f"{CODES['mara']}\n- on: 2027-02-08\n  ran: 3 cows"])
def test_what_is_around_one_that_waits_is_kept_aside_and_told(clients: Path, slip: str) -> None:
    text = CHECK_IN.replace(CODES["mara"], slip) + f"\n{SISTER}\n"
    result = receive([], text, clients, TODAY)

    assert SISTER not in (clients / "mara.log.yaml").read_text("utf-8")
    assert [SISTER in p.read_text("utf-8") for p in (clients / ".aside").iterdir()].count(True) == 1
    (told,) = [line for line in result.lines if line.startswith("READ: ")]
    who = "" if slip == "ABCD-EFGH" else "mara: "
    assert told.startswith(f'READ: {who}the words around a check-in are kept aside: "By the way')
