"""The coach's roster: who needs her first, and why, in one line a client."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from sitegen.coach.desk_page import page
from sitegen.coach.roster import REASON_ORDER, Concern, RosterRow, roster, row_of
from sitegen.coach.roster_shown import roster_json, roster_lines
from sitegen.plan.fold import expand
from sitegen.site.plans import open_plans
from sitegen.world import read_templates
from support import case_of, tree

ROOT = Path(__file__).resolve().parent.parent

CLIENT = """
name: Ada Holm
screening: {on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}
baseline: {on: 2027-01-02, cadence: 160 spm, week: 120 min, longest: 45 min, runs: 3}
week: {tue: {}, thu: {}, sun: {}}
plan: {from: 2027-01-04, weeks: 12}
"""
START = date(2027, 1, 4)


def faithful(
    until: str, *extra: str, cadence: int | None = None, without: Sequence[str] = ()
) -> str:
    """A log of calm runs on every Tuesday, Thursday and Sunday before a day, and more entries."""
    end = date.fromisoformat(until)
    entries = []
    for day in (START + timedelta(days=n) for n in range((end - START).days)):
        if day.weekday() in (1, 3, 6) and day.isoformat() not in without:
            rate = f", cadence: {cadence} spm" if cadence else ""
            entries.append(
                f"{{on: {day}, ran: 38 min, effort: 3, pain: {{during: 0, after: 0}}{rate}}}"
            )
    return f"[{', '.join([*entries, *extra])}]"


def row(log: str = "[]", as_of: str = "2027-02-01", id: str = "ada", **fields: str) -> RosterRow:
    """The row of a client; ``fields`` replace parts of the file."""
    raw = tree(CLIENT) | {name: tree(text) for name, text in fields.items()}
    case = replace(case_of(raw, log), id=id)
    return row_of(case, expand(case, date.fromisoformat(as_of)))


def first(*args: str, **fields: str) -> tuple[str, str]:
    found = row(*args, **fields).reasons[0]
    return found.kind, found.says


def test_a_client_with_nothing_to_say_is_as_planned():
    kind, says = first(faithful("2027-02-01"))
    assert kind == "as-planned"
    assert says.startswith("as planned: 12 of 12 runs logged in 4 weeks")


def test_an_urgent_sign_stands_until_a_clearance():
    log = faithful("2027-01-30", "{on: 2027-01-30, signs: [chest_pain, limp, fainting]}")
    assert first(log) == (
        "urgent",
        "urgent: chest pain and fainting on 30 Jan, 2 days ago; no lift or clearance since",
    )
    asked = "on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no"
    by = "cleared_by: a doctor, cleared_for: easy"
    ahead = first(log, screening=f"{{{asked}, cleared_on: 2027-02-02, {by}}}")
    assert ahead == (
        "urgent",
        "urgent: chest pain and fainting on 30 Jan, 2 days ago; lifted from 2 Feb",
    )
    cleared = row(log, screening=f"{{{asked}, cleared_on: 2027-02-01, {by}}}")
    assert "urgent" not in {r.kind for r in cleared.reasons}


def test_a_run_while_the_plan_is_stopped_comes_first():
    log = faithful("2027-02-01", "{on: 2027-01-30, signs: [limp]}")
    kinds = [reason.kind for reason in row(log).reasons]
    assert kinds[:2] == ["ran-stopped", "sign"]


def test_a_run_through_a_stop_stands_before_nobody_who_is_more_urgent():
    signs = ("fainting", "limp")
    ran = row(faithful("2027-02-01", "{on: 2027-01-30, signs: [limp]}"))
    now, today = (row(f"[{{on: 2027-01-31, signs: [{sign}]}}]") for sign in signs)
    assert [one.reasons[0].kind for one in (now, ran, today)] == ["urgent", "ran-stopped", "sign"]
    asks = replace(today, reasons=(Concern("ask", "x"),))
    alone = replace(ran, reasons=ran.reasons[:1])
    assert now.place < today.place < ran.place < alone.place < asks.place, "the older limp later"


def test_an_urgent_sign_is_told_of_a_paused_client_too():
    log = faithful("2027-02-01", "{on: 2027-01-31, signs: [fainting]}")
    assert [r.kind for r in row(log, status="paused").reasons] == ["urgent", "paused"]


def test_an_ended_client_is_urgent_only_while_the_sign_is_fresh():
    log = "[{on: 2027-01-10, signs: [fainting]}]"
    assert first(log, "2027-01-12", status="ended")[0] == "urgent"
    assert first(log, "2027-03-01", status="ended")[0] == "ended"


def test_another_sign_waits_for_the_coach():
    log = faithful("2027-02-01", "{on: 2027-01-31, signs: [night_pain]}")
    assert first(log) == ("sign", "pain at night on 31 Jan, yesterday: stopped until you lift it")
    lifted = "[{on: 2027-02-01, lifts: night_pain 2027-01-31, seen_by: her doctor, because: seen}]"
    assert first(log, changes=lifted)[0] == "as-planned"


def test_a_run_of_the_evening_itself_counts_once_logged_and_weeks_are_those_since_the_start():
    sunday = "2027-01-10"  # of the first week, with a run on it
    after, before = faithful("2027-01-11"), faithful(sunday)
    assert first(after, sunday)[1].startswith("as planned: 3 of 3 runs logged in 1 week")
    assert first(before, sunday)[1].startswith(
        "as planned: 2 of 2 runs logged before today, in 1 week"
    )
    assert first(faithful("2027-01-18"), "2027-01-17")[1].startswith("as planned: 6 of 6 runs")


def test_an_illness_waits_for_the_clients_word_and_not_for_a_lift():
    ill = "{on: 2027-01-30, skipped: ill, signs: [fever]}"
    waits = "ill on 30 Jan, 2 days ago: stopped until they say it is over, by a run or "
    waits += "`well_again: yes`"
    assert first(f"[{ill}]") == ("ill", waits)
    over = f"[{ill}, {{on: 2027-02-01, well_again: yes}}]"
    assert first(over) == ("ill", "ill on 30 Jan, 2 days ago: over, with a day more of rest")


def test_pain_that_holds_the_plan_is_told_with_score_place_and_day():
    log = faithful(
        "2027-01-31", "{on: 2027-01-31, ran: 40 min, pain: {during: 4, site: left shin}}"
    )
    assert first(log) == ("pain-hold", "pain 4/10 (left shin) on 31 Jan, yesterday: nothing grows")


def test_pain_over_five_puts_the_plan_back_and_comes_before_a_hold():
    log = faithful("2027-01-31", "{on: 2027-01-31, ran: 40 min, pain: {during: 6}}")
    assert first(log) == ("pain-back", "pain 6/10 on 31 Jan, yesterday: two days without running")
    assert max(map(REASON_ORDER.index, ("urgent", "sign", "ask"))) < REASON_ORDER.index("ill")
    assert REASON_ORDER.index("pain-back") < REASON_ORDER.index("pain-hold")


def test_a_worse_next_morning_is_named():
    log = faithful(
        "2027-01-31",
        "{on: 2027-01-31, ran: 40 min, pain: {during: 1, after: 1}}",
        "{on: 2027-01-31, pain: {next_morning: 3}}",
    )
    assert first(log)[1] == ("pain 3/10 on 31 Jan, yesterday, worse next morning: nothing grows")


def test_two_steps_back_within_two_weeks_are_referred():
    log = faithful(
        "2027-01-24",
        "{on: 2027-01-24, ran: 40 min, pain: {during: 6}}",
        "{on: 2027-01-28, ran: 30 min, pain: {during: 7}}",
    )
    assert first(log) == (
        "referred", "pain sent the plan back twice, last on 28 Jan, 4 days ago: referred",
    )  # fmt: skip


def test_a_session_left_out_for_pain_is_told_though_it_has_no_score():
    log = faithful("2027-01-31", "{on: 2027-01-31, skipped: pain}")
    assert first(log) == ("pain-skip", "a session left out for pain on 31 Jan, yesterday")


def test_pain_and_then_silence_stays_in_sight():
    log = faithful("2027-01-18", "{on: 2027-01-18, skipped: pain}")
    for as_of in ("2027-01-24", "2027-02-20", "2027-04-20"):
        assert "pain-skip" in {r.kind for r in row(log, as_of).reasons}, as_of

    log = faithful("2027-01-18", "{on: 2027-01-18, ran: 20 min, pain: {during: 6}}")
    told = [r.says for r in row(log, "2027-03-20").reasons]
    assert told[0] == "alarm 1: nothing was heard since pain 6/10 on 2027-01-18"
    assert "no running until a morning at 0 to 2 and walking without pain are told" in told[1]


def test_screening_refused_is_told():
    asked = "{on: 2027-01-01, regular_exercise: no, known_disease: no, symptoms: yes}"
    assert first(screening=asked)[0] == "screening"


def test_eight_weeks_without_a_run_ask_for_a_new_baseline():
    entries = [f"{{on: {START + timedelta(weeks=n)}, skipped: ill}}" for n in range(1, 10)]
    log = f"[{{on: 2027-01-05, ran: 30 min}}, {', '.join(entries)}]"
    assert first(log, "2027-03-09")[0] == "baseline"
    assert first(log, "2027-02-23")[0] == "away"


def test_silence_counts_days_and_whole_weeks():
    log = faithful("2027-01-18")
    assert first(log, "2027-02-02") == (
        "silence", "16 days without a check-in (2 whole weeks)",
    )  # fmt: skip
    assert row(log, "2027-02-02").weeks_untold == 2
    assert first(log, "2027-01-23")[0] == "as-planned"  # six days


def test_silence_from_the_start_is_told():
    assert first("[]", "2027-01-12") == (
        "silence", "no check-in since the plan began, 8 days ago (1 whole week)",
    )  # fmt: skip


def test_who_had_nothing_planned_is_not_silent():
    """A pause by the coach's change: nobody has to tell of a week of rest."""
    rest = "[{week: 4, rest: yes, because: holidays}]"
    assert row(faithful("2027-01-25"), "2027-02-01", changes=rest).reasons[0].kind != "silence"


def test_check_ins_without_a_run_are_not_silence_but_absence():
    log = faithful("2027-01-22", "{on: 2027-01-26, skipped: ill}", "{on: 2027-01-31, skipped: ill}")
    assert first(log) == ("away", "11 days without a run (last told: ill)")


def test_few_of_the_planned_runs_are_told():
    missed = ["2027-01-12", "2027-01-17", "2027-01-21", "2027-01-26"]
    assert first(faithful("2027-02-01", without=missed)) == (
        "adherence", "8 of 12 runs logged in 4 weeks",
    )  # fmt: skip
    kind, says = first(faithful("2027-02-01", without=missed[:3]))
    assert kind == "as-planned" and says.startswith("9 of 12 runs logged"), "not called as planned"


def test_runs_far_shorter_than_told_are_not_as_planned():
    log = faithful("2027-02-01").replace("ran: 38 min", "ran: 15 min")
    kind, says = first(log)
    assert kind == "adherence" and says.startswith("3 runs logged in 7 days, with 45 of the ")


def test_one_run_far_longer_than_those_before_it_is_told():
    """Frandsen et al. 2025: over 110 % of the longest run in the 30 days before."""
    log = faithful("2027-01-31", "{on: 2027-01-31, ran: 80 min, pain: {during: 0}}")
    told = [(reason.kind, reason.says) for reason in row(log).reasons]
    assert told[0][0] == "notice" and told[0][1].startswith("ran 80 min on 31 Jan, where ")
    assert told[1] == ("longer", "the longest of the 30 days before was 45")  # said once
    near = faithful("2027-01-31", "{on: 2027-01-31, ran: 49 min, pain: {during: 0}}")
    assert "longer" not in {reason.kind for reason in row(near).reasons}  # the week is told as over


def test_an_event_is_no_run_far_longer_than_those_before_it():
    """It takes as long as it takes."""
    log = faithful("2027-01-31", "{on: 2027-01-31, ran: 105 min, pain: {during: 0}}")
    event = "{event: {on: 2027-01-31, distance: 10 km}}"
    asked = {one.kind for one in row(log, "2027-01-31", goal=event).reasons}

    assert "longer" in {one.kind for one in row(log, "2027-01-31").reasons}
    assert "event" in asked and "longer" not in asked


def test_a_step_rate_that_is_not_held_is_told():
    held = row(faithful("2027-02-01", cadence=164))
    assert (
        held.reasons[0].kind == "as-planned" and "held in 4 of the last 4" in held.reasons[0].says
    )
    kind, says = first(faithful("2027-02-01", cadence=156))
    assert (kind, says) == ("cadence", "step rate 164 held in 0 of the last 4 told")


def test_a_near_event_that_is_out_of_reach_says_so_where_it_is_told():
    """A 10 km in two weeks after runs of 8 min stood in the sheet as "in 7 days" and no more."""
    goal = "{event: {on: 2027-02-14, distance: half marathon}}"
    says = [one.says for one in row(faithful("2027-02-01"), goal=goal).reasons]
    assert any(re.fullmatch(
        r"the longest run before this event will be \d+ min, and the event asks for about \d+ min",
        one) for one in says)  # fmt: skip


def test_who_is_ill_and_sends_no_word_is_silent_too():
    """For months the sheet said "ill on 5 Jan", and no message was offered to send."""
    ill = "[{on: 2027-01-05, skipped: ill, signs: [fever]}]"
    kinds = {one.kind: one.says for one in row(ill, "2027-02-25").reasons}
    assert kinds["silence"].startswith("51 days without a check-in")
    assert "silence" not in {one.kind for one in row(ill, "2027-01-11").reasons}


def test_who_was_stopped_until_the_coach_lifted_it_is_not_asked_why_nothing_came():
    """Told of a knock on the 20th, seen, lifted on the 31st: "nobody minds the gap" is no word."""
    told = "{on: 2027-01-20, ran: 20 min, signs: [limp]}"
    log = f"[{{on: 2027-01-19, ran: 38 min}}, {told}]"
    seen = "{on: 2027-01-31, lifts: limp 2027-01-20, seen_by: a physio, because: Seen.}"

    def silent(as_of: str, *changes: str) -> list[str]:
        found = row(log, as_of, changes=f"[{', '.join(changes)}]").reasons
        return [one.says for one in found if one.kind == "silence"]

    assert silent("2027-01-31", seen) == silent("2027-02-06", seen) == []
    assert silent("2027-02-08", seen)[0].startswith("19 days without a check-in")
    assert silent("2027-01-31")[0].startswith("11 days"), "who is stopped is asked after"


def test_a_near_event_and_a_past_one():
    goal = "{event: {on: 2027-02-14, distance: 10 km, name: Quay Ten}}"
    says = [r.says for r in row(faithful("2027-02-01"), goal=goal).reasons]
    assert says[0] == "Quay Ten in 13 days"
    after = row(faithful("2027-02-16"), "2027-02-16", goal=goal)
    assert "Quay Ten was 2 days ago" in [r.says for r in after.reasons]


def test_a_plan_that_ends_soon_has_ended_or_has_not_begun():
    short = "{from: 2027-01-04, weeks: 4}"
    assert first(faithful("2027-01-25"), "2027-01-25", plan=short) == (
        "plan-end", "the plan ends in 6 days",
    )  # fmt: skip
    assert first(faithful("2027-02-02"), "2027-02-03", plan=short) == (
        "plan-end", "the plan ended on 31 Jan, 3 days ago",
    )  # fmt: skip
    assert first("[]", "2026-12-30") == ("not-begun", "begins in 5 days")


def test_paused_and_ended_are_the_coachs_own_words():
    log = faithful("2027-01-10")
    assert [r.says for r in row(log, status="paused").reasons] == ["paused by you"]
    assert [r.kind for r in row(log, status="ended").reasons] == ["ended"]


def test_nothing_is_said_about_an_opened_link():
    told = json.dumps(roster_json([row(faithful("2027-02-01"))]))
    assert "open" not in told and "seen" not in told


# --- the order ---------------------------------------------------------------------------------


def test_the_order_is_total_and_the_same_from_any_start():
    calm, sign = faithful("2027-02-01"), faithful("2027-02-01", "{on: 2027-01-31, signs: [limp]}")
    rows = [
        row(calm, id="zoe"),
        row(calm, id="abe"),
        row(sign, id="lou"),
        row(faithful("2027-01-18"), "2027-02-01", id="ned"),
        row(faithful("2027-01-11"), "2027-02-01", id="mia"),
    ]
    there = [r.id for r in sorted(rows, key=lambda r: r.place)]
    assert there == ["lou", "mia", "ned", "abe", "zoe"]
    assert there == [
        r.id for r in sorted([rows[n] for n in (3, 0, 4, 2, 1)], key=lambda r: r.place)
    ]
    assert len({r.place for r in rows}) == len(rows)


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    copied = tmp_path / "clients"
    shutil.copytree(ROOT / "clients", copied, ignore=shutil.ignore_patterns(".keys.yaml*"))
    return copied


def test_the_demo_practice_on_a_thursday_in_march(practice):
    rows = roster(open_plans(practice, (), date(2027, 3, 18)))
    assert [r.id for r in rows] == ["jonas", "ayla", "bram", "mirela", "nia", "tomas"]
    assert [r.reasons[0].kind for r in rows] == ["paused"] + ["as-planned"] * 5


def test_a_client_whose_file_is_broken_is_not_forgotten(practice):
    """What she logged is not known, so she comes before all that is known to be well."""
    file = practice / "nia.yaml"
    file.write_text(file.read_text().replace("152 spm", "152 km"))
    found = roster(open_plans(practice, (), date(2027, 3, 18)))[0]
    assert (found.id, found.status) == ("nia", "unreadable")
    assert found.reasons[0].says == "1 error in its files: nothing is known; see sitegen check nia"


def test_a_file_that_is_no_file_is_not_forgotten(practice):
    (practice / "nia.yaml").unlink()
    (practice / "nia.yaml").symlink_to(practice / "ayla.yaml")
    found = roster(open_plans(practice, (), date(2027, 3, 18)))[0]
    assert (found.id, found.reasons[0].kind) == ("nia", "file")


def test_without_the_practices_own_file_there_is_no_roster(practice):
    (practice / "practice.yaml").unlink()
    assert roster(open_plans(practice, (), date(2027, 3, 18))) == ()


# --- what waits aside ---------------------------------------------------------------------------


def test_what_waits_aside_is_one_line_and_comes_first_where_it_is_urgent(practice):
    opened = open_plans(practice, (), date(2027, 3, 18))
    assert not [r for r in roster(opened) if r.status == "aside"], "nothing waits, nothing is said"

    aside = practice / ".aside"
    aside.mkdir()
    entry = "- on: 2027-03-01\n  ran: 5 miles\n"
    (aside / "1.txt").write_text(f"# Line 1: did you mean chest_pain?\n\nCheck-in X2\n{entry}")
    (calm,) = [r for r in roster(opened) if r.status == "aside"]
    assert calm.reasons[0].says == "1 file waits in .aside, of somebody unknown"

    (aside / "2.txt").write_text(f"\nCheck-in nia\n{entry}  signs: [chestpain]\n")
    found = roster(opened)
    says = "URGENT: chest pain (nia); 2 files wait in .aside, of nia and somebody unknown"
    assert (found[0].status, found[0].reasons[0].says) == ("aside", says)
    assert roster_lines(found, None)[0].endswith(f"  {says}")
    assert roster_json(found)[0]["client"] is None, "it is no client"
    assert says in page(opened, read_templates())


# --- lines and JSON ----------------------------------------------------------------------------


def test_each_client_is_one_line_within_eighty_columns():
    goal = "{event: {on: 2027-02-14, distance: 10 km, name: The Long Quay And Harbour Wall Ten}}"
    log = faithful("2027-01-18", "{on: 2027-01-18, skipped: pain}")
    rows = [
        row(log, "2027-02-02", id="a" * 40, goal=goal),
        row(faithful("2027-02-01"), id="ada"),
    ]
    lines = roster_lines(rows)
    assert len(lines) == 2 and all(len(line) <= 80 and "\n" not in line for line in lines)
    assert lines[0].startswith("a" * 40) and "nothing was heard since" in lines[0]
    assert all(line.isprintable() for line in lines)


def test_what_does_not_fit_is_counted():
    goal = "{event: {on: 2027-02-14, distance: 10 km, name: The Long Quay And Harbour Wall Ten}}"
    found = row(faithful("2027-01-18"), "2027-02-02", goal=goal)
    assert roster_lines([found])[0] == "ada  16 days without a check-in (2 whole weeks); and 2 more"
    assert "Harbour Wall Ten in 12 days; the longest run before" in roster_lines([found], None)[0]


def test_a_clients_group_stands_beside_the_id_where_anybody_is_in_one():
    log = faithful("2027-02-01")
    spring, alone = row(log, id="ada", group="spring-half"), row(log, id="mo")
    in_a_pipe = roster_lines([spring, alone], None)

    assert in_a_pipe[0].startswith("ada  spring-half  as planned")
    assert in_a_pipe[1].startswith("mo                as planned"), "in the same column"
    assert roster_lines([alone], None)[0].startswith("mo  as planned")
    assert [r["group"] for r in roster_json([spring, alone])] == ["spring-half", None]


def test_a_long_groups_name_leaves_room_for_the_reason():
    log = faithful("2027-01-18")
    rows = [row(log, "2027-02-02", id="a" * 40, group="b" * 40), row(log, id="mo")]
    lines = roster_lines(rows)

    assert all(len(line) <= 80 for line in lines)
    assert "b…  16 days" in lines[0]


def test_json_tells_all_reasons_and_what_they_rest_on():
    found = roster_json([row(faithful("2027-02-01", cadence=156))])[0]
    assert json.loads(json.dumps(found)) == found
    assert found["client"] == "ada" and found["as_of"] == "2027-02-01"
    assert [r["kind"] for r in found["reasons"]] == ["cadence"]
    assert found["last_check_in"] == "2027-01-31" and found["days_since_check_in"] == 1
    assert found["runs"] == {"logged": 12, "planned": 12, "days": 28}
    assert found["cadence_spm"] == {"aim": 164, "within": 0, "counted": 4}
    assert found["event_on"] is None and found["plan_ends"] == "2027-03-28"


@pytest.mark.parametrize("sign", ["chest_pain", "limp"])
def test_of_a_plan_that_is_stopped_nobody_says_that_it_is_back_a_step(sign: str) -> None:
    log = faithful(
        "2027-01-31", f"{{on: 2027-01-31, ran: 40 min, pain: {{during: 6}}, signs: [{sign}]}}"
    )
    found = row(log).reasons
    assert found[0].kind in ("urgent", "sign")
    assert sign.replace("_", " ") in found[0].says
    assert "pain 6/10 on 31 Jan, yesterday" in [r.says for r in found], "the score is told still"
    assert not [r for r in found if "back a step" in r.says or "nothing grows" in r.says]
