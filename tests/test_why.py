"""What `why` and `weeks` tell a coach: short first, sources on request, what the ledger lacks."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from commands import sitegen
from generated import runner
from sitegen.coach.words import weeks_table, why
from sitegen.plan import ledger
from sitegen.plan.fold import expand
from sitegen.plan.ledger import in_ledger
from support import case_of

ROOT = Path(__file__).resolve().parent.parent
DAY = "2027-03-18"


def test_why_is_short_first_and_has_its_sources_on_request():
    """What, because of which line, how strong the evidence is; a source is asked for."""
    told = ("why", "bram", "--as-of", DAY)
    short = sitegen(*told, cwd=ROOT).stdout
    long = sitegen(*told, "--sources", cwd=ROOT).stdout
    week = sitegen(*told, "--week", "9", cwd=ROOT).stdout

    assert "Buist" in long and "Buist" not in short
    assert "source:" not in short and long.count("source:") > 20
    assert all(f"{words}]" in short for words in ("judgement", "weak evidence", "published"))
    assert "clients/bram.yaml:14:3; judgement]" in short
    assert short.count("fuel:") == 1 and "fuel:" in week, "what is the same is said once"
    assert "min warm-up" in week and "min warm-up" not in short
    assert max(len(line) for line in (short + long + week).splitlines()) <= 80


def test_a_past_that_no_ledger_tells_is_said_to_be_worked_out():
    for command in ("why", "weeks"):
        told = " ".join(sitegen(command, "bram", "--as-of", DAY, cwd=ROOT).stdout.split())
        assert "Weeks 1 to 10 are not in bram.told.yaml" in told
        assert "worked out from today's files" in told


def test_a_told_week_says_on_which_day_it_was_told():
    """Published two days before the plan begins, and on its second Monday; seen in week 3."""
    case = case_of(runner())
    for day in (date(2027, 1, 2), date(2027, 1, 11)):
        new = ledger.new_in(ledger.shown(expand(case, day)), case.told, day)
        assert new is not None
        case = replace(case, told=(*case.told, new))
    plan = expand(case, date(2027, 1, 19))
    found = in_ledger(case, plan.weeks, plan.as_of)
    text = why(plan, ledger=found)

    assert found.missing == () and ".told.yaml" not in text + weeks_table(plan, ledger=found)
    assert "Week 1, from 2027-01-04: build; told on 2027-01-02\n" in text
    assert "Week 2, from 2027-01-11: build; told on 2027-01-11\n" in text
    assert "Week 4, from 2027-01-25: ease; decided by: ease\n" in text


def test_weeks_before_the_first_word_of_a_ledger_are_named():
    case = case_of(runner())
    day = date(2027, 1, 12)
    new = ledger.new_in(ledger.shown(expand(case, day)), (), day)
    assert new is not None
    case = replace(case, told=(new,))
    plan = expand(case, date(2027, 1, 19))
    found = in_ledger(case, plan.weeks, plan.as_of)

    assert found.missing == (1, 2)  # of week 2 Monday was not told
    assert "Weeks 1, 2 are not in runner.told.yaml" in why(plan, ledger=found)
    assert "Week 2 is not in runner.told.yaml" in why(plan, 2, ledger=found)
    assert ".told.yaml" not in why(plan, 3, ledger=found)
