"""Over generated lives: what was told stays told, and what is published says what comes next.

Each life is published now and then, as a coach would, with the log as it was on that day. The
published text is read back, as the next build does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from generated import Life, lives
from nightly import IS_NIGHTLY
from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn
from sitegen.model.plan import Plan, Session
from sitegen.model.told import as_written
from sitegen.plan import ledger
from sitegen.plan.fold import expand
from sitegen.practice.told import read_told
from sitegen.rules.volume import RULE as VOLUME

DAY = timedelta(days=1)
EXAMPLES = 400 if IS_NIGHTLY else 25
FEW = settings(
    max_examples=EXAMPLES,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def known_on(case: Case, day: date, until: date | None = None) -> Case:
    """The client with the log as it was on the morning of a day."""
    return replace(case, log=tuple(e for e in case.log if e.on < (until or day)))


def published(case: Case, day: date) -> tuple[Case, Plan]:
    """The client after a publish on the morning of ``day``, and the plan that was shown."""
    plan = expand(known_on(case, day), day)
    new = ledger.new_in(ledger.shown(plan), case.told, day)
    if new is None:
        return case, plan
    text = "".join(ledger.text_of(one) for one in (*case.told, new))
    read = read_told((ledger.LEDGER_HEAD + text).encode(), "x.told.yaml")
    assert read.problems == () and read.tellings == (*case.told, new)
    return replace(case, told=read.tellings), plan


def lived(life: Life, every: int) -> tuple[Case, dict[date, list[str]]]:
    """A life published every so many days; and each day as the client saw it when it was over."""
    case, shown = replace(life.case, told=()), {}
    first = min(case.first_monday, life.as_of)
    plan: Plan | None = None
    for day in days(first, life.as_of):
        if (day - first).days % every == 0:
            case, plan = published(case, day)
        assert plan is not None
        if (day - plan.as_of).days < 7 * ledger.AHEAD_WEEKS - 6:
            shown[day] = seen(plan, day)
    return case, shown


def days(first: date, end: date) -> Iterator[date]:
    yield from (first + DAY * n for n in range((end - first).days))


def seen(plan: Plan, day: date) -> list[str]:
    return [plain(s) for s in plan.sessions if s.on == day]


def plain(session: Session) -> str:
    """All that a client sees of it; of a stride's 20 s the nine digits that the ledger has."""
    words = [str(part.text) for part in session.parts]
    parts = tuple(
        part._replace(
            text=None,
            minutes=as_written(part.minutes),
            hard_minutes=as_written(part.hard_minutes),
        )
        for part in session.parts
    )
    bare = session._replace(parts=parts, title=None, purpose=None)
    return f"{bare} {words} {session.title} {session.purpose}"


def otherwise(case: Case, how: int) -> Case:
    """The client with one thing written otherwise, or learnt late."""
    baseline, first = case.client.baseline, case.first_monday
    plan = case.client.plan
    if how == 0:
        still = VOLUME.parameters.of_tree({"growth": "0 %"})
        return replace(case, settings={**case.settings, "volume": still})
    if how == 1:
        late = CheckIn.of_tree({"on": str(first + DAY), "pain": {"during": "7"}})
        return replace(case, log=(*case.log, late))
    if how == 2:
        late = CheckIn.of_tree({"on": str(first + 3 * DAY), "signs": ["limp"]})
        return replace(case, log=(*case.log, late))
    if how == 3:
        return replace(case, client=case.client.but(baseline=baseline.but(on=first + 9 * DAY)))
    if how == 4:
        return replace(case, client=case.client.but(status="paused"))
    if how == 5:
        return replace(case, client=case.client.but(plan=plan.but(runs=2)))
    return replace(case, log=())


STRIDES = """{"name": "Sam Vale", "plan": {"from": "2027-01-04", "weeks": "3", "hard":
 {"from_week": "1", "per_week": "1"}}, "baseline": {"on": "2027-01-04", "cadence": "140 spm",
 "longest": "30 min", "runs": "1", "week": "15 min", "pace": "5:30 /km"}, "screening":
 {"on": "2026-12-01", "regular_exercise": "no", "known_disease": "no", "symptoms": "no"},
 "goal": {"event": {"distance": "half marathon", "on": "2027-01-23"}}, "week":
 {"mon": {"up_to": "25 min"}, "tue": {"up_to": "25 min"}, "wed": {"up_to": "25 min"}}}"""
RAN = """[{"on": "2027-01-04", "ran": "10 min", "pain": {"during": "0"}},
 {"on": "2027-01-06", "ran": "15 min", "pain": {"during": "0"}},
 {"on": "2027-01-11", "ran": "7 min", "pain": {"during": "0"}}]"""


@FEW
@given(life=lives(), every=st.sampled_from([1, 3, 7]), how=st.integers(0, 6))
@example(life=Life(STRIDES, RAN, date(2027, 1, 12)), every=1, how=0)
def test_no_day_that_is_over_is_ever_drawn_otherwise(life: Life, every: int, how: int) -> None:
    case, shown = lived(life, every)
    for changed in (case, otherwise(case, how)):
        plan = expand(changed, life.as_of)
        for day, told in shown.items():
            assert seen(plan, day) == told, (day, how)


@FEW
@given(life=lives(), every=st.sampled_from([3, 7]))
def test_what_is_published_twice_on_a_day_is_the_same(life: Life, every: int) -> None:
    """Else a build would tell a client something new of which nothing is new."""
    case, _ = lived(life, every)
    told, plan = published(case, life.as_of)
    again, after = published(told, life.as_of)
    assert again.told == told.told
    assert [(w.kind, w.worth, w.sessions) for w in after.weeks] == [
        (w.kind, w.worth, w.sessions) for w in plan.weeks
    ]


@FEW
@given(life=lives())
def test_what_sunday_publishes_is_what_monday_says(life: Life) -> None:
    """Unless something new arrives; a day that passed unheard is that, and days of silence are."""
    monday = life.as_of - DAY * life.as_of.weekday()
    sunday = monday - DAY
    case, _ = lived(replace(life, as_of=sunday), 7)
    whole = known_on(case, monday)
    plan = expand(whole, sunday)
    if [s for s in plan.sessions if s.on == sunday and s.is_run] and not any(
        e.on == sunday for e in whole.log
    ):
        return
    new = ledger.new_in(ledger.shown(plan), case.told, sunday)
    told = replace(whole, told=(*case.told, *([new] if new else [])))
    after = expand(told, monday)
    if any(d.rule == "silence" for w in after.weeks if w.start >= monday for d in w.decisions):
        return
    one, other = ([s for s in p.sessions if s.on >= monday] for p in (plan, after))
    assert list(map(plain, one)) == list(map(plain, other))
