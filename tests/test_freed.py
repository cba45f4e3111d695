"""A stop that was lifted is told as past, and explains the sessions that stand again."""

from __future__ import annotations

from datetime import date

import pytest

from generated import runner
from sitegen.model.plan import Plan
from sitegen.portal.changed import Seen, changes
from support import plan_of
from test_rule_signs import lift

TOLD = "[{on: 2027-01-05, ran: 10 min, signs: [%s]}]"


def words_of_signs(plan: Plan) -> list[str]:
    return [str(d.says) for w in plan.weeks for d in w.decisions if d.rule == "signs"]


@pytest.mark.parametrize(
    ("lifted", "weeks"),
    [("2027-01-13", [1, 2]), ("2027-01-07", [1])],  # in the next week; in the sign's own
)
def test_a_lifted_stop_is_told_as_past_wherever_it_stood(lifted: str, weeks: list[int]) -> None:
    more = lift("chest_pain", on=lifted, by="Dr Elm")
    plan = plan_of(runner(more=more), TOLD % "chest_pain", "2027-01-13")
    told = [w.number for w in plan.weeks for d in w.decisions if d.rule == "signs"]

    assert set(words_of_signs(plan)) == {
        f"Chest pain: your plan was stopped from 2027-01-05 to {lifted}. Who has seen you "
        "since: Dr Elm. Sessions stand again."
    }
    assert set(told) <= set(weeks) and weeks[-1] in told
    assert not any("Stop" in p.message for p in plan.problems)


def test_sessions_that_stand_again_are_explained_by_the_lift() -> None:
    plan = plan_of(runner(more=lift("chest_pain")), TOLD % "chest_pain", "2027-01-13")
    stopped = Seen(date(2027, 1, 5), (), frozenset(), date(2027, 1, 27))
    found = changes(stopped, plan)

    assert len(found) > 2 and all(one.before is None for one in found)
    assert all("was stopped from" in str(one.because[0].says) for one in found)
    assert not any(d.warns for one in found for d in one.because)


def test_a_stop_that_is_open_is_told_as_it_stands() -> None:
    """The day before the lift, though it is written already, and where another sign stands."""
    more = lift("chest_pain")
    early = plan_of(runner(more=more), TOLD % "chest_pain", "2027-01-12")
    both = plan_of(runner(more=more), TOLD % "chest_pain, fainting", "2027-01-13")

    for plan in (early, both):
        assert plan.status == "referred"
        assert words_of_signs(plan)
        assert all(w.startswith("Stop. ") for w in words_of_signs(plan))


def test_what_was_written_in_distress_is_not_named_again() -> None:
    log = '[{on: 2027-01-05, ran: 10 min, said: "I want to die"}]'
    plan = plan_of(runner(more=lift("self_harm")), log, "2027-01-13")

    assert plan.status == "active"
    assert {w.split(".")[0] for w in words_of_signs(plan)} == {
        "Your plan was stopped from 2027-01-05 to 2027-01-13"
    }
