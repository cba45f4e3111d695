"""Generated logs in which one entry carries a sign and another a slip: the sign is never lost.

The log is damaged as people damage files; what is left of it must stop the plan, open the alarm,
and say so in the same words.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

import pytest

from nightly import IS_NIGHTLY
from sitegen.care.signs import ALL, BY_WORDS_ONLY, urgency
from sitegen.model.practice import Practice
from sitegen.plan.fold import expand
from sitegen.practice.lenient import lenient_case
from support import PRACTICE, tree
from test_lenient import GOOD
from test_urgent_words import ALARMING

HOUSE = Practice.of_tree(tree(PRACTICE))
TODAY = date(2027, 1, 20)
TICKED = sorted({*ALL} - BY_WORDS_ONLY)
CALM = (
    "ran: 25 min, effort: 3", "ran: 30 min, pain: {during: 1}", "skipped: travel",
    "distance: 5 km, ran: 32 min, said: Lovely.", "landing: quiet, ran: 20 min",
)  # fmt: skip
SLIPS = (
    "- {on: 2027-01-08, ran: 5 parsecs}",
    "- {on: 2027-02-31, ran: 20 min}",
    "- {on: 8 January, ran: 20 min}",
    "- {on: 2027-01-08, ran: 20 min, runn: 30 min}",
    "- {on: 2027-01-08, pain: {during: eleven}}",
    "- {on: 2027-01-08, effort: 3",  # never closed
    "- {on: 2027-01-08, said: \"so 'so}",
    "\t- {on: 2027-01-08, ran: 20 min}",
    "on: 2027-01-08",
    "-",
    "ran 20 min today",
)
LOGS = 400 if IS_NIGHTLY else 100


def damaged(chance: Random) -> tuple[str, str]:
    """A log with calm entries, one that carries a sign, and one or two slips; and the sign."""
    days = [TODAY - timedelta(days=n) for n in range(1, 15)]
    lines = [f"- {{on: {chance.choice(days)}, {chance.choice(CALM)}}}" for _ in range(5)]
    if chance.random() < 0.5:
        sign = chance.choice(TICKED)
        carrier = f"- {{on: {chance.choice(days)}, ran: 20 min, signs: [{sign}]}}"
    else:
        sign, text = chance.choice(ALARMING)
        carrier = f'- {{on: {chance.choice(days)}, ran: 20 min, said: "{text}"}}'
    for line in (carrier, *chance.sample(SLIPS, chance.randrange(1, 3))):
        lines.insert(chance.randrange(len(lines) + 1), line)
    return "\n".join(lines) + "\n", sign


@pytest.mark.parametrize("seed", range(LOGS))
def test_a_sign_is_heard_through_every_slip_beside_it(seed: int) -> None:
    log, sign = damaged(Random(seed))
    case = lenient_case("mara", GOOD, log.encode(), None, HOUSE, "clients")
    plan = expand(case, TODAY)

    assert plan.status == "referred" and plan.decisions, log
    assert [s for s in plan.sessions if s.on >= TODAY] == [], log
    kinds = {a.matter: a.kind for a in plan.alarms if a.is_open}
    assert sign in kinds, log
    assert urgency(sign) == "today" or "now" in kinds.values(), log


def test_what_is_damaged_really_is() -> None:
    """The fuzz sees both kinds of carriers, and logs that no strict reader takes."""
    from sitegen.practice.records import read_log

    logs = [damaged(Random(seed))[0] for seed in range(100)]
    assert 25 < sum("signs: [" in log for log in logs) < 75
    assert all(read_log(log.encode(), "mara.log.yaml").problems for log in logs)
