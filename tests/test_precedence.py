"""Who wins where several rules claim one week: each neighbouring pair of the table meets.

The order is written out here once more from the promise (stop, return, ill, pain, away, the coach,
race week, ease, silence, guard, floor, growth), so that no line of the table moves unseen.
"""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from typing import NamedTuple

import pytest

from generated import runner, training
from sitegen.coach.words import why
from sitegen.model.plan import Plan, Week
from sitegen.rules import RULES, volume
from sitegen.rules.draft import Draft, Past
from sitegen.rules.precedence import CLAIMS, ORDER, claims, winner
from sitegen.rules.volume import Level
from support import case_of, plan_of

AWAY = "away: [{from: 2027-01-23, to: 2027-01-24, because: a wedding}]"
RACE = "goal: {event: {on: 2027-01-31, distance: 10 km}}"


def ran(*days: str, minutes: int = 40, more: str = "") -> str:
    return "\n".join(f"- {{on: 2027-{day}, ran: {minutes} min{more}}}" for day in days)


def made(what: str) -> str:
    return f"changes: [{{{what}, because: she asked}}]"


FIRST = ran("01-05", "01-07", "01-09", "01-10")
ILL = "- {on: 2027-01-17, skipped: ill}"
ILL_LONG = f"{ran('01-05')}\n" + "\n".join(
    f"- {{on: 2027-01-{day}, skipped: ill}}" for day in ("07", "14", "16")
)
SORE = ran("01-16", more=", pain: {during: 4, after: 4}")
VERY_SORE = ran("01-16", "01-17", more=", pain: {during: 4, after: 4}")
SIGN = "- {on: 2027-01-17, signs: [chest_pain]}"
SHORT = ran(
    "01-05", "01-07", "01-09", "01-10", "01-12", "01-14", "01-16", "01-17", "01-19", "01-21",
    "01-23", "01-24", "01-26", "01-28", "01-30", "01-31", minutes=9,
)  # fmt: skip
ASKED = "- {on: 2027-01-16, ran: 30 min, said: No period for three months.}"
WORD = "- {on: 2027-02-10, said: Busy weeks.}"


class Told(NamedTuple):
    """A client's text and log, as of a day."""

    more: str = ""
    log: str = "[]"
    as_of: str = "2027-01-18"

    def plan(self) -> Plan:
        return plan_of(runner(more=self.more), self.log, self.as_of)

    def week(self, number: int) -> Week:
        return self.plan().weeks[number - 1]


class Meeting(NamedTuple):
    """Two claims on one week: both, the stronger alone, the weaker alone."""

    stronger: str
    weaker: str
    week: int
    both: Told
    strong: Told
    weak: Told


MEETINGS = (
    Meeting(
        "stop", "return", 3,
        Told(log=f"{ILL_LONG}\n{SIGN}"), Told(log=f"{FIRST}\n{SIGN}"), Told(log=ILL_LONG),
    ),
    # Days without a run because of an illness: both in one log; a pause of the legs, and a cold.
    Meeting(
        "return", "ill", 3,
        Told(log=ILL_LONG), Told(log=f"{ran('01-05')}\n- {{on: 2027-01-17, skipped: travel}}"),
        Told(log=f"{FIRST}\n{ILL}"),
    ),
    Meeting(
        "ill", "pain", 3,
        Told(log=f"{FIRST}\n{SORE}\n{ILL}"), Told(log=f"{FIRST}\n{ran('01-16')}\n{ILL}"),
        Told(log=f"{FIRST}\n{SORE}"),
    ),
    Meeting(
        "pain", "question", 3,
        Told(log=f"{FIRST}\n{VERY_SORE}\n{ASKED}"), Told(log=f"{FIRST}\n{VERY_SORE}"),
        Told(log=f"{FIRST}\n{ASKED}"),
    ),
    Meeting(
        "question", "away", 3,
        Told(AWAY, f"{FIRST}\n{ASKED}"), Told(log=f"{FIRST}\n{ASKED}"), Told(AWAY, FIRST),
    ),
    Meeting(
        "away", "coach", 3,
        Told(f"{AWAY}\n{made('week: 3, kind: build')}", FIRST), Told(AWAY, FIRST),
        Told(made("week: 3, kind: build"), FIRST),
    ),
    Meeting(
        "coach", "race week", 4,
        Told(f"{RACE}\n{made('week: 4, kind: hold')}", FIRST), Told(made("week: 4, kind: hold")),
        Told(RACE),
    ),
    Meeting("race week", "ease", 4, Told(RACE), Told(f"{RACE}\nrules: {{ease: {{every: 5}}}}"),
            Told()),
    Meeting(
        "ease", "silence", 4,
        Told(log=FIRST, as_of="2027-01-25"), Told(log=f"{FIRST}\n{ran('01-23')}"),
        Told("rules: {ease: {every: 5}}", FIRST, "2027-01-25"),
    ),
    # The guard bounds building weeks alone; a word makes the seventh one again.
    Meeting(
        "silence", "guard", 7,
        Told(log=SHORT, as_of="2027-02-15"), Told(log=SHORT, as_of="2027-02-15"),
        Told(log=f"{SHORT}\n{WORD}", as_of="2027-02-15"),
    ),
)  # fmt: skip


def test_the_table_is_the_promise():
    assert ORDER == (
        "stop", "return", "ill", "pain", "question", "away", "coach", "race week", "ease",
        "silence", "guard", "floor", "growth",
    )  # fmt: skip
    assert {rule for claim in CLAIMS for rule in claim.rules} - {"status"} <= {
        r.name for r in RULES
    }


@pytest.mark.parametrize("meeting", MEETINGS, ids=lambda m: f"{m.stronger} and {m.weaker}")
def test_the_stronger_of_two_that_meet_wins(meeting: Meeting):
    both, strong = meeting.both.week(meeting.week), meeting.strong.week(meeting.week)
    weak = meeting.weak.week(meeting.week)
    found = winner(both.kind, both.decisions)

    assert meeting.weaker in {c.claim for c in claims(weak.kind, weak.decisions)}, "never met"
    assert meeting.stronger in {c.claim for c in claims(strong.kind, strong.decisions)}
    assert found is not None and found.claim == meeting.stronger
    assert both.kind == strong.kind
    assert training(both) <= training(strong)


@pytest.mark.parametrize("meeting", MEETINGS, ids=lambda m: f"{m.stronger} and {m.weaker}")
def test_why_names_the_one_that_won(meeting: Meeting):
    text = why(meeting.both.plan(), meeting.week)

    assert f"decided by: {meeting.stronger}" in text


def test_every_pair_of_neighbours_meets():
    meets = [(m.stronger, m.weaker) for m in MEETINGS]
    assert [*meets, ("guard", "floor"), ("floor", "growth")] == list(pairwise(ORDER))


def test_the_guard_wins_over_the_floor():
    """The level is 120 min, and no week would be under it; the guard cuts what is shown."""
    week = Told(log=SHORT, as_of="2027-02-01").week(5)
    found = winner(week.kind, week.decisions)

    assert week.kind == "build" and found is not None and found.claim == "guard"
    assert training(week) < 0.9 * 120


def test_the_floor_wins_over_where_growth_ends():
    case = case_of(runner(plan="{from: 2027-01-04, weeks: 8}"))
    past = Past(3, date(2027, 1, 18), date(2027, 1, 18), memory={"volume": Level(220.0, None)})
    draft = volume.apply(Draft(3, date(2027, 1, 18)), past, case)
    found = winner(draft.kind, draft.decisions)

    assert volume.most(case) == 150 and draft.minutes == 220
    assert found is not None and found.claim == "floor"


@pytest.mark.parametrize(
    ("log", "more", "says"),
    [
        (ILL_LONG, "", "Coming back goes before"),
        (f"{FIRST}\n{ran('01-16')}\n{ILL}", "", "An illness goes before"),
        (f"{FIRST}\n{SORE}", "", "Pain goes before"),
        (f"{FIRST}\n{ASKED}", "", "A question to settle goes before"),
        (FIRST, AWAY, "Days away go before"),
    ],
)
@pytest.mark.parametrize("change", ["week: 3, kind: build", "week: 3, minutes: 200 min"])
def test_the_coachs_words_for_a_week_yield_and_say_to_what(log, more, says, change):
    plain = Told(more, log).week(3)
    plan = Told(f"{more}\n{made(change)}", log).plan()
    week = plan.weeks[2]

    assert (week.kind, week.run_minutes) == (plain.kind, plain.run_minutes)
    assert any(says in p.message for p in plan.problems if p.code == "plan-changes")


def test_easy_runs_that_felt_hard_are_the_coachs_to_judge():
    """They hold the next week, unless she makes it one to build."""
    log = ran("01-05", more=", effort: 3") + "\n" + ran("01-07", "01-10", more=", effort: 6")
    held = Told(log=log, as_of="2027-01-11").week(2)
    built = Told(made("week: 2, kind: build"), log, "2027-01-11").week(2)

    assert held.kind == "hold" and any(d.rule == "overdone" for d in held.decisions)
    assert built.kind == "build" and training(built) > training(held)


@pytest.mark.parametrize("change", ["week: 3, kind: ease", "week: 3, minutes: 20 min"])
def test_a_smaller_week_is_the_coachs_to_give_also_where_something_holds(change):
    sore = f"{FIRST}\n{SORE}"
    assert training(Told(made(change), sore).week(3)) < training(Told(log=sore).week(3))


def test_a_smaller_week_stays_smaller_where_an_illness_takes_days_out_of_it():
    """Two runs of four were left, fewer minutes than she wrote for all: each stood at full length,
    50 min of Sunday's run were 70 again once the client told of being ill."""
    well = f"{FIRST}\n{ran('01-12', '01-14', '01-17')}"
    ill = f"{well}\n{ran('01-19', more=', said: A chest infection.')}\n{ran('01-21', minutes=20)}"
    lighter = made("week: 3, minutes: 60 min")

    def sunday(log: str, more: str = "") -> float:
        week = Told(more, log, "2027-01-24").week(3)
        return next(s.run_minutes for s in week.sessions if s.on == date(2027, 1, 24))

    assert sunday(ill) > sunday(well, lighter)
    assert sunday(ill, lighter) <= sunday(well, lighter)


def test_no_change_plans_inside_a_stop():
    for change in (
        "week: 3, kind: build",
        "week: 3, minutes: 90 min",
        "on: 2027-01-21, minutes: 30 min",
    ):
        week = Told(made(change), f"{FIRST}\n{SIGN}").week(3)
        assert not [s for s in week.sessions if s.on > date(2027, 1, 17)]
        found = winner(week.kind, week.decisions)
        assert found is not None and found.claim == "stop"


def test_a_step_rate_of_the_coachs_own_lays_no_claim_on_the_minutes():
    week = Told(made("week: 3, cadence: 166 spm"), FIRST).week(3)
    plain = Told("", FIRST).week(3)
    mine, usual = (winner(w.kind, w.decisions) for w in (week, plain))

    assert week.cadence.aim == 166 and week.run_minutes == plain.run_minutes
    assert mine is not None and usual is not None and mine.claim == usual.claim != "coach"
    assert mine.decision == usual.decision


def test_a_session_that_the_coach_changed_leaves_the_reason_of_its_week():
    """The minutes of one run are no size of a week, so the room for it is told still."""
    week = Told(made("on: 2027-01-21, minutes: 20 min"), FIRST).week(3)
    found = winner(week.kind, week.decisions)

    assert found is not None and found.decision.rule == "volume"


def test_a_day_of_rest_is_told_with_the_minutes_of_its_week():
    week, plain = (Told(more, FIRST).week(3) for more in (made("on: 2027-01-21, rest: yes"), ""))
    found = winner(week.kind, week.decisions)

    assert found is not None and found.claim == "coach"
    assert (found.decision.before, found.decision.after) == (plain.run_minutes, week.run_minutes)
