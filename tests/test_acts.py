"""What a coach does on a Sunday evening, by its commands: shown first, one entry, and told."""

from __future__ import annotations

import json
import re
import shutil
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml

from commands import Done, sitegen
from sitegen.acts import ACTS
from sitegen.acts.act import ClientNow, Refusal, day_named
from sitegen.coach import acting
from sitegen.plan.fold import expand
from sitegen.practice.opening import list_practice
from support import case_of
from test_entry_bytes import kept

ROOT = Path(__file__).resolve().parent.parent
DAY = "2027-02-14"  # a Sunday; Bram's sixth week begins on Monday
SAID = ("--because", "a hard week: at work", "--yes", "--as-of", DAY)


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "clients", tmp_path / "clients")
    return tmp_path


def file_of(home: Path, id: str = "bram") -> bytes:
    return (home / "clients" / f"{id}.yaml").read_bytes()


def weeks_of(home: Path, id: str = "bram") -> list[dict[str, Any]]:
    done = sitegen("weeks", id, "--json", "--as-of", DAY, cwd=home)
    return list(json.loads(done.stdout)["weeks"])


def minutes(home: Path, number: int, id: str = "bram") -> float:
    return float(weeks_of(home, id)[number - 1]["run_minutes"])


def on(home: Path, day: str, id: str = "bram") -> list[str]:
    sessions = [s for w in weeks_of(home, id) for s in w["sessions"]]
    return [s["id"] for s in sessions if s["on"] == day]


def acted(home: Path, *words: str) -> Done:
    done = sitegen(*words, *SAID, cwd=home)
    assert done.returncode == 0, done.stdout + done.stderr
    return done


def last_change(home: Path, id: str = "bram") -> dict[str, str]:
    found: list[dict[str, str]] = yaml.load(file_of(home, id), yaml.BaseLoader)["changes"]
    return found[-1]


# --- each act ---------------------------------------------------------------------------------


def test_a_lighter_week_is_lighter_by_as_much_as_an_easy_one(practice: Path) -> None:
    before, old = minutes(practice, 6), file_of(practice)
    done = acted(practice, "lighter", "bram")

    assert minutes(practice, 6) == round(before * 0.75), "25 % is what Bram's file says"
    assert kept(old, file_of(practice)) == b""
    assert last_change(practice)["because"] == "a hard week: at work"
    assert done.stdout.startswith(
        f"bram: week 6 (15 to 21 Feb) {before:.0f} → {round(before * 0.75)} min running; with "
        "walking and all: Tue "
    )
    assert "clients/bram.yaml, line 39: changes: - {week: 6, minutes: " in done.stdout
    assert "sitegen undo takes it back" in done.stdout


def test_it_is_lighter_by_what_is_asked_and_in_the_week_that_is_named(practice: Path) -> None:
    before = minutes(practice, 8)
    acted(practice, "lighter", "bram", "--by", "10", "--week", "2027-03-03")

    assert minutes(practice, 8) == round(before * 0.9)


def test_the_same_week_again(practice: Path) -> None:
    acted(practice, "same", "bram", "--week", "8")

    assert minutes(practice, 8) == minutes(practice, 7)


def test_a_week_is_kept_as_the_client_last_saw_it(practice: Path) -> None:
    week = "{week: 6, from: 2027-02-15, kind: build, cadence: 168 spm, steps: 9, worth: 99 min"
    run = "{on: 2027-02-16, session: w06-run-1, kind: easy, effort: 2-3"
    text = f"- told: 2027-02-13\n  weeks:\n  - {week}, runs: 1}}\n"
    text += f'  - {run}, parts: "run 99 min"}}\n'
    (practice / "clients" / "bram.told.yaml").write_text(text)
    acted(practice, "keep", "bram")

    assert last_change(practice)["minutes"] == "99 min"


def test_a_session_moves(practice: Path) -> None:
    sunday = on(practice, "2027-02-21")
    acted(practice, "move", "bram", "sun", "mon")

    assert on(practice, "2027-02-21") == []
    assert set(sunday) <= set(on(practice, "2027-02-15"))


def test_two_days_change_places(practice: Path) -> None:
    tuesday, thursday = on(practice, "2027-02-16"), on(practice, "2027-02-18")
    acted(practice, "swap", "bram", "tue", "thu")

    assert tuesday and thursday
    assert (on(practice, "2027-02-16"), on(practice, "2027-02-18")) == (thursday, tuesday)


def test_a_day_and_a_week_of_rest(practice: Path) -> None:
    acted(practice, "rest", "bram", "tue")
    acted(practice, "rest", "bram", "--week", "7")

    assert on(practice, "2027-02-16") == [] and minutes(practice, 7) == 0


def test_a_session_of_the_library_stands_on_a_day(practice: Path) -> None:
    acted(practice, "put", "bram", "2027-02-18", "easy-quiet", "--minutes", "40")
    (session,) = (s for w in weeks_of(practice) for s in w["sessions"] if s["on"] == "2027-02-18")

    assert (session["session"], session["run_minutes"]) == ("easy-quiet", 40)


def test_a_word_stands_in_its_week(practice: Path) -> None:
    done = sitegen("word", "bram", "Walk down,\nplease.", "--yes", "--as-of", DAY, cwd=practice)
    notes = yaml.load(file_of(practice), yaml.BaseLoader)["notes"]

    assert done.returncode == 0
    assert notes == [{"week": "6", "text": "Walk down,\nplease."}]


def test_a_group_goes_away_and_each_is_shown(practice: Path) -> None:
    for id in ("mirela", "ayla"):
        path = practice / "clients" / f"{id}.yaml"
        path.write_text(path.read_text() + "group: coming-back\n")
    done = acted(practice, "away", "group:coming-back", "2027-02-22", "2027-02-28")

    shown = [line.partition(":")[0] for line in done.stdout.splitlines() if line[0] != " "]
    assert shown[:3] == ["ayla", "mirela", "tomas"]
    for id in shown[:3]:
        assert not [d for d in range(22, 29) if on(practice, f"2027-02-{d}", id)]
    assert file_of(practice) == (ROOT / "clients" / "bram.yaml").read_bytes()


def test_settings_change_their_own_line_alone(practice: Path) -> None:
    old = file_of(practice).decode().splitlines()
    words = ("growth: 5 %", "tue: {at: 19:00}", "event: {on: 2027-04-11}", "aim: 170 spm")
    done = sitegen("set", "bram", *words, "--yes", "--as-of", DAY, cwd=practice)
    new = file_of(practice).decode().splitlines()

    assert done.returncode == 0, done.stderr
    assert [line for line in new if line not in old] == [
        "  event: {on: 2027-04-11, distance: half marathon, name: Lagoon Half}",
        "  tue: {at: 19:00, up_to: 1 h 10 min}",
        "  growth: 5 %",
        "cadence: {aim: 170 spm}",
    ]


def test_a_stop_ends_by_a_lift_from_its_alarms_number(practice: Path) -> None:
    log = practice / "clients" / "bram.log.yaml"
    before, _, _ = log.read_text().partition("- on: 2027-02-13")
    log.write_text(before + "- {on: 2027-02-12, signs: [limp]}\n")
    assert minutes(practice, 6) == 0
    acted(practice, "lift", "bram", "1", "--seen-by", "a physio")

    assert last_change(practice)["lifts"] == "limp 2027-02-12"
    assert minutes(practice, 6) > 0


def test_a_false_alarm_is_written_beside_its_lift_and_leaves_nothing_to_come_back_from(
    practice: Path,
) -> None:
    log = practice / "clients" / "bram.log.yaml"
    before, _, _ = log.read_text().partition("- on: 2027-02-13")
    log.write_text(before + "- {on: 2027-02-12, signs: [limp]}\n")
    lift = ("lift", "bram", "1", "--seen-by", "me, by phone")
    shown = sitegen(*lift, "--because", "x", "--dry-run", "--as-of", DAY, cwd=practice).stdout
    done = acted(practice, *lift, "--false-alarm")

    back, whole = (int(re.findall(r"→ (\d+) min", text)[0]) for text in (shown, done.stdout))
    assert back < whole, "no weeks of coming back"
    assert last_change(practice)["false_alarm"] == "yes"
    told = sitegen("alarms", "bram", "--all", "--as-of", DAY, cwd=practice).stdout
    assert "seen by me, by phone: a false alarm" in told


def test_a_false_alarm_says_which_question_is_still_to_be_answered(practice: Path) -> None:
    """Who ran had read the stop: the lift doesn't answer that."""
    log = practice / "clients" / "bram.log.yaml"
    before, _, _ = log.read_text().partition("- on: 2027-02-13")
    log.write_text(
        f"{before}- {{on: 2027-02-11, signs: [limp]}}\n- {{on: 2027-02-12, ran: 20 min}}\n"
    )
    lifted = acted(
        practice, "lift", "bram", "1", "--seen-by", "me, by phone", "--false-alarm"
    ).stdout
    left = "alarm 2 is still to be answered: a run was logged on 2027-02-12, while the plan was"
    assert left in lifted
    assert left not in acted(practice, "rest", "bram", "--week", "8").stdout


def test_a_coach_alone_ends_no_emergency_and_no_stop_of_a_known_disease(practice: Path) -> None:
    log, client = practice / "clients" / "bram.log.yaml", practice / "clients" / "bram.yaml"
    before, _, _ = log.read_text().partition("- on: 2027-02-13")
    bram, because = client.read_text(), ("--because", "fine again", "--as-of", DAY, "--yes")

    def lifted(sign: str, by: str) -> Done:
        log.write_text(f"{before}- {{on: 2027-02-12, signs: [{sign}]}}\n")
        return sitegen("lift", "bram", "1", "--seen-by", by, *because, cwd=practice)

    refused = lifted("chest_pain", "me")
    assert refused.returncode == 1 and client.read_text() == bram
    assert 'seen by "me" lifts nothing here: a sign that may be an emergency' in refused.stderr
    assert '--seen-by "a cardiologist, on Monday"' in refused.stderr
    assert "(--false-alarm)" in refused.stderr
    assert lifted("limp", "me").returncode == 0, "no emergency, and no known disease"
    client.write_text(bram.replace("known_disease: no", "known_disease: yes"))
    assert client.read_text() != bram
    assert lifted("limp", "myself, by phone").returncode == 1
    assert lifted("limp", "a physio").returncode == 0
    client.write_text(bram)
    assert lifted("chest_pain", "a cardiologist").returncode == 0
    assert minutes(practice, 6) > 0
    client.write_text(client.read_text().replace("a cardiologist", "me"))
    checked = sitegen("check", "--as-of", DAY, cwd=practice)
    assert minutes(practice, 6) == 0 and checked.returncode == 0
    assert "warning: this lifts nothing, and the stop stands: a sign that" in checked.stderr
    told = sitegen("weeks", "bram", "--as-of", DAY, "--json", cwd=practice).stdout
    assert "lifted the stop" not in told


def test_a_lift_of_alarms_that_were_joined_names_each(practice: Path) -> None:
    log = practice / "clients" / "bram.log.yaml"
    before, _, _ = log.read_text().partition("- on: 2027-02-13")
    unsigned = ("- {on: 2027-02-11, signs: [limp], signed: no}\n"
                "- {on: 2027-02-12, signs: [swelling], signed: no}\n")  # fmt: skip
    log.write_text(before + unsigned)
    acted(practice, "lift", "bram", "1", "--seen-by", "a physio")

    changes = yaml.load(file_of(practice), yaml.BaseLoader)["changes"]
    assert [c.get("lifts") for c in changes[-2:]] == ["limp 2027-02-11", "swelling 2027-02-12"]
    assert minutes(practice, 6) > 0


def test_a_reason_of_several_lines_is_put_on_one(practice: Path) -> None:
    words = ("--because", "you travel,\n  and it rains ", "--yes", "--as-of", DAY)
    for act in (("rest", "bram", "tue"), ("away", "bram", "2027-03-01", "2027-03-02")):
        assert sitegen(*act, *words, cwd=practice).returncode == 0
    whole = yaml.load(file_of(practice), yaml.BaseLoader)

    assert whole["changes"][-1]["because"] == "you travel, and it rains"
    assert whole["away"][-1]["because"] == "you travel, and it rains"


def test_what_still_stands_after_a_lift_is_told(practice: Path) -> None:
    log = practice / "clients" / "bram.log.yaml"  # with runs on the two days after it
    log.write_text(log.read_text() + "- {on: 2027-02-12, signs: [limp]}\n")
    done = acted(practice, "lift", "bram", "1", "--seen-by", "a physio")

    assert "the plan is paused, and was referred" in done.stdout
    assert "You ran while your plan was stopped." in done.stdout


@pytest.mark.parametrize("begun", ["changes:", "changes: ~", "changes:  # none yet", "changes: []"])
def test_a_list_that_is_left_empty_is_filled(practice: Path, begun: str) -> None:
    path = practice / "clients" / "ayla.yaml"
    old = path.read_text()
    path.write_text(f"{begun}\n{old}")
    done = sitegen("rest", "ayla", "tue", *SAID, cwd=practice)

    assert done.returncode == 0, done.stderr
    assert last_change(practice, "ayla")["on"] == "2027-02-16"
    assert path.read_text().endswith(old) and sitegen("check", cwd=practice).returncode == 0


def test_errors_of_a_file_are_told_with_the_lines_that_it_has(practice: Path) -> None:
    path = practice / "clients" / "ayla.yaml"
    path.write_text(f"changes:\n{path.read_text()}notes: ~\n")
    old = path.read_text()
    done = sitegen("rest", "ayla", "tue", *SAID, cwd=practice)

    assert done.returncode == 1 and path.read_text() == old
    assert f'clients/ayla.yaml:{len(old.splitlines())}:8: error: "~" stands where' in done.stderr


# --- what it tells ----------------------------------------------------------------------------


def test_what_becomes_of_later_weeks_is_told(practice: Path) -> None:
    before = weeks_of(practice)
    done = sitegen("set", "bram", "growth: 2 %", "--yes", "--as-of", DAY, cwd=practice)
    after = weeks_of(practice)
    ahead = [*zip(before, after, strict=True)][4:]  # weeks 1 to 4 are over, and count for nothing
    more = sum(b["run_minutes"] - a["run_minutes"] for a, b in ahead)
    largest = [max(w["run_minutes"] for w in weeks) for weeks in (before, after)]

    assert f"{more:+.0f} min in all, the largest week {largest[0]:.0f} → " in done.stdout
    assert f"→ {largest[1]:.0f} min" in done.stdout


def test_a_limit_that_is_broken_is_told_before_it_is_written(practice: Path) -> None:
    done = sitegen("move", "bram", "sun", "sat", "--dry-run", *SAID, cwd=practice)

    assert "warning: two runs stand on 2027-02-20" in done.stdout
    assert "nothing was written." in done.stdout
    assert file_of(practice) == (ROOT / "clients" / "bram.yaml").read_bytes()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("move", "bram", "fri", "sat"), "nothing stands on Fri 19 Feb"),
        (("move", "bram", "soon", "sat"), '"soon" is no day (write a weekday like tue'),
        (("rest", "bram", "2027-02-02"), "Tue 2 Feb is over"),
        (("rest", "bram", "2029-02-02"), "2029-02-02 lies outside the plan of bram"),
        (("lighter", "bram", "--week", "99"), "there is no week 99 (the plan has 14 weeks)"),
        (("lighter", "bram", "--week", "5"), None),
        (("lighter", "bram", "--week", "4"), "week 4 is over"),
        (("lighter", "bram", "--by", "much"), '--by: "much %" is not a percentage'),
        (("same", "jonas"), "holds no run to make longer or shorter"),
        (("put", "bram", "tue", "tempo-lang"), "did you mean tempo-long?"),
        (("set", "bram", "grow: 5 %"), "did you mean growth?"),
        (("set", "bram", "privacy: open"), "(write privacy into bram.yaml; docs/fields.md tells"),
        (("set", "bram", "status: stopped"), "(write active, paused or ended)"),
        (("set", "bram", "cadence: keep"), "write one of from, weeks"),
        (("set", "bram", "growth: 99 %"), "write 0 to 30 %"),
        (("set", "bram", "pregnant: yes"), "(write it under history: in bram.yaml,"),
        (("set", "bram", "tue: rest: no"), "is no setting (write it like growth: 8 %)"),
        (("lift", "bram", "1", "--seen-by", "x"), "bram has no alarm 1"),
        (("away", "bram", "2027-02-28", "2027-02-22"), "2027-02-22 is before 2027-02-28"),
    ],
)
def test_what_can_t_be_done_is_told_with_what_to_do(
    practice: Path, words: tuple[str, ...], says: str | None
) -> None:
    wanted = [word for word in SAID if words[0] != "set" or word not in SAID[:2]]
    done = sitegen(*words, *wanted, cwd=practice)

    assert done.returncode == (says is not None), done.stdout
    assert says is None or says in done.stderr
    assert (file_of(practice) == (ROOT / "clients" / "bram.yaml").read_bytes()) is bool(says)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("rest", "nobody", "tue"), "there is no client 'nobody'"),
        (("rest", "barm", "tue"), "Did you mean bram?"),
        (("rest", "group:none", "tue"), "there is no group 'none'; there are coming-back"),
        (("rest", "bram"), "name a day, like tue, or --week with its number"),
    ],
)
def test_who_is_not_there_is_wrong_usage(practice: Path, words: tuple[str, ...], says: str) -> None:
    done = sitegen(*words, *SAID, cwd=practice)

    assert done.returncode == 2 and says in done.stderr


# --- a yes, and a file that changed -------------------------------------------------------------


def test_without_a_reason_nothing_is_done(practice: Path) -> None:
    done = sitegen("rest", "bram", "tue", "--yes", "--as-of", DAY, cwd=practice)

    assert done.returncode == 2 and 'say why, like --because "you travel' in done.stderr


def test_json_without_yes_only_shows(practice: Path) -> None:
    words = [word for word in SAID if word != "--yes"]
    done = sitegen("rest", "bram", "tue", "--json", *words, cwd=practice)
    told = json.loads(done.stdout)

    assert done.returncode == 0 and told["done"] is False
    (act,) = told["acts"]
    assert act["lines"] == [39] and act["weeks"][0]["number"] == 6
    assert file_of(practice) == (ROOT / "clients" / "bram.yaml").read_bytes()


def test_a_file_that_changed_since_it_was_shown_is_left_alone_with_both_versions(
    practice: Path,
) -> None:
    clients = practice / "clients"
    listed = list_practice(clients)
    found = acting.propose(
        listed,
        ("ayla", "bram"),
        lambda now: ACTS["lighter"](now, None, "x"),
        date.fromisoformat(DAY),
    )
    path = clients / "bram.yaml"
    path.write_text(path.read_text().replace("weeks: 14", "weeks: 13"))
    done = acting.carry_out(clients, "lighter", found.proposals)

    assert len(found.proposals) == 2 and done.ids == ()
    (differs,) = done.differs
    lines = list(acting.both_versions(differs.name, differs.left, differs.now))
    assert "-  weeks: 14" in lines and "+  weeks: 13" in lines
    assert file_of(practice, "ayla") == (ROOT / "clients" / "ayla.yaml").read_bytes()


# --- days as a coach names them -----------------------------------------------------------------


def test_a_weekday_is_the_next_one_after_today() -> None:
    client = {
        "name": "Ada", "screening": {"on": "2027-01-01", "regular_exercise": "yes",
        "known_disease": "no", "symptoms": "no"},
        "baseline": {"on": "2027-01-04", "cadence": "160 spm", "week": "0 min"},
        "week": {"tue": "yes"}, "plan": {"from": "2027-02-15", "weeks": "4"},
    }  # fmt: skip
    case = case_of(client)
    for ahead in range(7):
        today = date(2027, 2, 14) + timedelta(days=ahead)
        plan = ClientNow(case, expand(case, today)).plan
        for name in ("mon", "Tuesday", "wednes", "sun"):
            day = day_named(name, plan)
            assert not isinstance(day, Refusal)
            assert 1 <= (day - today).days <= 7
            assert day.strftime("%A").lower().startswith(name.lower())
        assert isinstance(day_named("tu", plan), Refusal)
        assert isinstance(day_named("tuex", plan), Refusal)


def test_every_act_has_its_command(practice: Path) -> None:
    told = sitegen("--help", cwd=practice).stdout
    assert all(f"\n  {name} " in told for name in ACTS)


def test_a_text_that_can_not_be_read_stops_an_act_with_a_word(practice: Path) -> None:
    [text] = (practice / "clients/texts").glob("*.md")
    text.unlink()
    text.mkdir()
    done = sitegen("rest", "bram", "--week", "2027-02-22", *SAID, cwd=practice)
    assert done.returncode == 1 and f"{text.name}:1:1: error: this is not a plain" in done.stderr
