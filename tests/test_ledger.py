"""What was told stays told: the ledger, read, merged, added to, and started from."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, time, timedelta

import pytest
import yaml

from generated import runner
from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn
from sitegen.model.plan import Part, Plan, Session
from sitegen.model.told import Telling, ToldWeek, as_told
from sitegen.plan import ledger, mornings
from sitegen.plan.fold import expand
from sitegen.practice.told import read_told
from sitegen.rules.volume import RULE as VOLUME
from support import case_of

MONDAY = date(2027, 1, 4)
DAY = timedelta(days=1)
HARD = "{from: 2027-01-04, weeks: 12, hard: {from_week: 2, per_week: 1}}"
CLIENTS = {
    "plain": runner(plan="{from: 2027-01-04, weeks: 12}"),
    "hard": runner(plan=HARD, more="goal: {event: {on: 2027-03-21, distance: 10 km}}"),
    "ladder": runner(
        baseline="{on: 2027-01-03, cadence: 160 spm, week: 40 min, longest: 15 min, "
        "continuous: 3 min, runs: 3}",
        plan="{from: 2027-01-04, weeks: 12}",
    ),
}


def entry(session: Session, rng: random.Random) -> list[CheckIn]:
    """What is logged of a run: mostly done, some left out, some not told, some with pain."""
    chance, on = rng.random(), session.on.isoformat()
    if not session.is_run or chance < 0.1:
        return []
    if chance < 0.2:
        return [CheckIn.of_tree({"on": on, "skipped": rng.choice(["time", "ill"])})]
    pain = {"during": str(rng.choice([0] * 20 + [1, 2, 3, 4, 6]))}
    ran = f"{max(round(session.run_minutes), 1)} min"
    return [CheckIn.of_tree({"on": on, "ran": ran, "pain": pain})]


def added(plan: Plan, case: Case) -> Telling | None:
    """What the ledger gets where the plan is built and published on one day."""
    return ledger.new_in(ledger.shown(plan), case.told, plan.as_of)


def published(case: Case, plan: Plan) -> Case:
    """The case after the plan was published: its text added to the file, and read again."""
    new = added(plan, case)
    if new is None:
        return case
    text = "".join(ledger.text_of(one) for one in (*case.told, new))
    read = read_told((ledger.LEDGER_HEAD + text).encode(), "x.told.yaml")
    assert read.problems == () and read.tellings == (*case.told, new)
    return replace(case, told=read.tellings)


def lived(name: str, seed: int, weeks: int, every: int = 7) -> tuple[Case, dict[date, list[str]]]:
    """Published every ``every`` days; the second value is what each day was told as when over."""
    rng = random.Random(f"{name}-{seed}")
    case, shown = case_of(CLIENTS[name]), {}
    for day in (MONDAY + DAY * n for n in range(7 * weeks)):
        if (day - MONDAY).days % every == 0:
            plan = expand(case, day)
            case = published(case, plan)
            seen = plan
        shown[day] = lines(seen, day)
        for session in [s for s in seen.sessions if s.on == day]:
            case = replace(case, log=(*case.log, *entry(session, rng)))
    return case, shown


def lines(plan: Plan, day: date) -> list[str]:
    return [plain(s) for s in plan.sessions if s.on == day]


def plain(session: Session) -> str:
    """All that a session is, its words as they are read."""
    words = [str(part.text) for part in session.parts]
    parts = tuple(part._replace(text=None) for part in session.parts)
    bare = session._replace(parts=parts, title=None, purpose=None)
    return f"{bare} {words} {session.title} {session.purpose}"


@pytest.mark.parametrize("name", CLIENTS)
@pytest.mark.parametrize("every", [7, 3])
def test_a_day_that_is_over_is_what_was_told(name, every):
    """Whatever changes later: settings, a late check-in, a new baseline."""
    for seed in range(3):
        case, shown = lived(name, seed, 6, every)
        as_of = MONDAY + DAY * 7 * 6
        plan = case.client.plan
        slower = without_growth(case)
        late = replace(
            case, log=(*case.log, CheckIn.of_tree({"on": "2027-01-06", "pain": {"during": "8"}}))
        )
        assert plan.weeks == 12
        for changed in (case, slower, late):
            found = expand(changed, as_of)
            for day, told in shown.items():
                assert lines(found, day) == told, (name, seed, day)


def test_weeks_that_were_told_are_not_placed_anew(monkeypatch):
    """The work of a build does not grow with the weeks behind: none of their days is chosen."""
    case, _ = lived("plain", 1, 6)
    placed = set()
    place_week = mornings.place_week

    def counted(case, draft, *more):
        placed.add(draft.number)
        return place_week(case, draft, *more)

    monkeypatch.setattr(mornings, "place_week", counted)
    expand(case, MONDAY + DAY * 7 * 6)
    assert placed == {7, 8, 9, 10, 11, 12}
    placed.clear()
    expand(replace(case, told=()), MONDAY + DAY * 7 * 6)
    assert placed == set(range(1, 13))


def without_growth(case: Case) -> Case:
    still = VOLUME.parameters.of_tree({"growth": "0 %"})
    return replace(case, settings={**case.settings, "volume": still})


@pytest.mark.parametrize("name", CLIENTS)
def test_the_weeks_ahead_follow_from_what_was_told_and_what_came_of_it(name):
    """Where the past worked out from week 1 is what was told, so are the weeks ahead."""
    compared = 0
    for seed in range(4):
        case, _ = lived(name, seed, 5, every=1)
        as_of = MONDAY + DAY * 7 * 5
        whole, anew = expand(case, as_of), expand(replace(case, told=()), as_of)
        if [(w.kind, w.sessions) for w in whole.weeks[:5]] != [
            (w.kind, w.sessions) for w in anew.weeks[:5]
        ]:
            continue  # days away are counted to today while they last, and to a Monday later
        compared += 1
        for one, other in zip(whole.weeks[5:], anew.weeks[5:], strict=True):
            assert one.sessions == other.sessions
            assert one.kind == other.kind and one.cadence == other.cadence
    assert compared


@pytest.mark.parametrize("name", CLIENTS)
def test_what_sunday_publishes_monday_says(name):
    for seed in range(3):
        case, _ = lived(name, seed, 3)
        sunday = MONDAY + DAY * 20
        case = replace(case, log=tuple(e for e in case.log if e.on <= sunday))
        told = published(case, expand(case, sunday))
        monday = expand(told, sunday + DAY)
        late = [s for s in monday.sessions if s.on == sunday and s.is_run]
        if late and not any(e.on == sunday for e in case.log):
            continue  # a day that passed unheard is something new
        assert expand(case, sunday).weeks[3:] == monday.weeks[3:]
        new = added(monday, told)
        assert new is None or not [w for w in new.weeks if w.number < 7]


def test_less_growth_written_on_a_sunday_takes_nothing_from_the_week_that_is_done():
    """Of a week of 159 min whose Sunday alone was to come, 145 were the level for good."""

    def with_growth(growth: str) -> Case:
        return case_of(
            runner(plan=f"{{from: 2027-01-04, weeks: 8, enough: 300 min, growth: {growth}}}")
        )

    def ran(sessions: list[Session]) -> tuple[CheckIn, ...]:
        tree = [{"on": f"{s.on}", "ran": f"{s.run_minutes:.0f} min"} for s in sessions if s.is_run]
        return tuple(map(CheckIn.of_tree, tree))

    case, sunday = with_growth("10 %"), MONDAY + DAY * 20
    for week in range(3):
        plan = expand(case, MONDAY + DAY * 7 * week)
        case = published(case, plan)
        case = replace(case, log=(*case.log, *ran(plan.weeks[week].sessions)))
    log = tuple(e for e in case.log if e.on < sunday)
    case = replace(with_growth("0 %"), told=case.told, log=log)
    changed = expand(case, sunday)
    case = published(case, changed)
    monday = expand(replace(case, log=(*log, *ran(changed.weeks[2].sessions[-1:]))), sunday + DAY)

    assert monday.weeks[4].kind == "build"
    assert monday.weeks[4].run_minutes >= plan.weeks[2].run_minutes - 5
    assert [w.run_minutes for w in monday.weeks[3:]] == [w.run_minutes for w in changed.weeks[3:]]


@pytest.mark.parametrize("name", CLIENTS)
def test_what_is_told_on_a_day_changes_nothing_that_is_drawn_on_it(name):
    """After a pause taken back on a Saturday, a second build made 45 min of the day's 39."""
    case = case_of(CLIENTS[name])
    case = published(case, expand(case, MONDAY))
    halted = replace(case, client=case.client.but(status="paused"))
    halted = published(halted, expand(halted, MONDAY + DAY * 5))
    for day in (MONDAY + DAY * n for n in range(7, 14)):
        paused = published(halted, expand(halted, day - DAY))
        goes_on = replace(paused, client=case.client)
        first = expand(goes_on, day)
        again = expand(published(goes_on, first), day)
        assert [plain(s) for s in again.sessions] == [plain(s) for s in first.sessions], day


def test_a_build_adds_only_what_differs():
    case = case_of(CLIENTS["plain"])
    plan = expand(case, MONDAY)
    first = added(plan, case)
    assert first is not None and [w.number for w in first.weeks] == [1, 2, 3, 4]
    case = published(case, plan)
    assert added(expand(case, MONDAY), case) is None
    early = added(expand(case, MONDAY - DAY), case)  # the entry above is of a day to come then
    assert early is not None and early.on == MONDAY - DAY
    later = added(expand(case, MONDAY + DAY), case)
    assert later is None or 1 not in [w.number for w in later.weeks]


def test_a_third_of_a_minute_is_told_once():
    """A stride's 20 s have more digits than the ledger: each build had told them anew."""
    strides = "changes: [{on: 2027-01-05, session: strides, because: the next step}]"
    case = case_of(runner(plan=HARD, more=strides))
    plan = expand(case, MONDAY)
    assert 1 / 3 in {part.hard_minutes for s in plan.sessions for part in s.parts}
    case = published(case, plan)
    assert added(expand(case, MONDAY), case) is None

    short = plan.sessions[0]._replace(parts=(Part("run", 20 / 60, 3, effort=7),))
    week = plan.weeks[0]._replace(sessions=(short,))
    told = ledger.shown(plan._replace(weeks=(week,)))
    assert read_told(ledger.text_of(told).encode(), "x.told.yaml").tellings == (told,)


@pytest.mark.parametrize("unasked", ["checkins: none", "status: paused"])
def test_silence_counts_from_the_end_of_what_expected_no_word(unasked):
    """Six weeks of silence by agreement, or in a pause, had stopped the plan on the day after."""
    plan = "{from: 2027-01-04, weeks: 16}"
    case = case_of(runner(plan=plan, more=unasked))
    for monday in (MONDAY + 7 * week * DAY for week in range(6)):
        case = published(case, expand(case, monday))
    end = MONDAY + 42 * DAY
    case = replace(case_of(runner(plan=plan)), told=case.told)
    before = expand(case, end)
    case = published(case, before)

    def found(after: int) -> tuple[str, bool]:
        plan = expand(case, end + after * DAY)
        week = plan.week_of(plan.as_of)
        return plan.status, any(decision.rule == "silence" for decision in week.decisions)

    assert before.status == "active" and before.week_of(end).run_minutes >= 100
    assert [found(n) for n in (1, 13, 14, 27, 28)] == [
        ("active", False), ("active", False), ("active", True), ("active", True), ("paused", True)
    ]  # fmt: skip


def test_after_a_week_of_rest_that_was_told_the_plan_goes_on_from_the_level_before():
    """It did where the week was worked out; read from the ledger, 159 min were 127 for good."""
    plan = "{from: 2027-01-04, weeks: 8, enough: 300 min, ease: {every: 8}}"
    more = "changes: [{week: 4, rest: yes, because: a week off}]"
    case = case_of(runner(plan=plan, more=more))
    for monday in (MONDAY + 7 * week * DAY for week in range(4)):
        shown = expand(case, monday)
        case = published(case, shown)
        ran = [s for s in shown.week_of(monday).sessions if s.is_run]
        tree = [{"on": f"{s.on}", "ran": f"{s.run_minutes:.0f} min"} for s in ran]
        case = replace(case, log=(*case.log, *map(CheckIn.of_tree, tree)))
    sunday, monday = expand(case, MONDAY + 27 * DAY), expand(case, MONDAY + 28 * DAY)

    assert sunday.weeks[4].kind == "return"
    assert [w.run_minutes for w in monday.weeks[4:]] == [w.run_minutes for w in sunday.weeks[4:]]
    assert monday.weeks[5].run_minutes > monday.weeks[2].run_minutes


def test_a_slip_costs_its_own_line_and_says_what_to_write():
    case = published(case_of(CLIENTS["hard"]), expand(case_of(CLIENTS["hard"]), MONDAY))
    text = ledger.LEDGER_HEAD + ledger.text_of(case.told[0])
    whole = read_told(text.encode(), "sam.told.yaml").tellings
    spoilt = {
        "kind: easy": "kind: eesy",
        "week: 2,": "week: two,",
        "effort: 2-3": "effort: low",
        "run 5 min": "run five",
        "on: 2027-01-": "on: 2027-13-",
        "- told: 2027": "- tolled: 2027",
        "steps: ": "stpes: ",
        "from: ": "form: ",
    }
    for was, now in spoilt.items():
        if was not in text:
            continue
        broken = text.replace(was, now, 1)
        found = read_told(broken.encode(), "sam.told.yaml")
        assert found.problems, was
        for problem in found.problems:
            assert problem.level == "warning" and problem.origin.line > 2
            assert "take the file back from a copy" in (problem.hint or "")
        kept = [w for t in found.tellings for w in t.weeks]
        assert was == "- told: 2027" or len(kept) == len(whole[0].weeks) - 1, was
        assert set(kept) <= set(whole[0].weeks), was
    assert read_told(b"\xff", "x").problems[0].code == "told"
    assert read_told(None, "x").tellings == ()


def test_no_beginning_of_a_ledger_is_a_traceback():
    case = published(case_of(CLIENTS["hard"]), expand(case_of(CLIENTS["hard"]), MONDAY))
    data = ledger.text_of(case.told[0]).encode()
    for end in range(0, len(data), 7):
        found = read_told(data[:end], "x.told.yaml")
        assert len(found.tellings) <= 1 and len(found.problems) <= 1


def test_every_field_of_a_session_comes_back_as_it_was():
    """A field that is new to a session and not in the ledger is told here."""
    part = Part("run", 12.5, 3, 162, as_told('Run {easily}, as "they" say.'), 7, 2.25)
    whole = Session(
        *("w02-run-1", MONDAY, time(18, 30), "intervals", (Part("walk", 5), part)),
        *(True, 5, 7, ("hops", "strides"), time(17, 45), MONDAY + DAY, "short-hills"),
        *(as_told("Short hills"), as_told("Strong legs, it's said.")),
    )
    fresh = Session("", MONDAY, None, "easy", ())
    same = {n for n in Session._fields if getattr(whole, n) == getattr(fresh, n)} - {"on"}
    assert same == set() and all(a != b for a, b in zip(part, Part("walk", 0), strict=True)), (
        "a field of the session here is as it would be by itself"
    )
    week = ToldWeek(2, MONDAY, "build", 162, 9000, 72.6, 3, 4, True, (whole,), "ease", True)
    text = ledger.text_of(Telling(MONDAY, (week,)))
    read = read_told(text.encode(), "x.told.yaml")
    assert read.problems == () and read.tellings == (Telling(MONDAY, (week,)),)
    assert yaml.safe_load(text)[0]["weeks"][1]["says"] == ["", 'Run {easily}, as "they" say.']


def test_it_is_yaml_that_any_reader_reads():
    case = published(case_of(CLIENTS["hard"]), expand(case_of(CLIENTS["hard"]), MONDAY))
    (read,) = yaml.safe_load(ledger.LEDGER_HEAD + ledger.text_of(case.told[0]))
    assert read["told"] == MONDAY
    weeks = [one for one in read["weeks"] if "week" in one]
    assert [one["week"] for one in weeks] == [1, 2, 3, 4]
    sessions = [one for one in read["weeks"] if "session" in one]
    assert len(sessions) == sum(len(w.sessions) for w in case.told[0].weeks)


def test_a_run_that_is_logged_today_stays_as_it_was_told():
    """What comes in after it, of another day, redraws what is ahead and no run that is done."""
    case = case_of(CLIENTS["plain"])
    day = next(s.on for s in expand(case, MONDAY).sessions if s.on > MONDAY + 3 * DAY and s.is_run)
    case = published(case, expand(case, MONDAY))
    told = lines(expand(case, day), day)
    hurt = {"on": (day - DAY).isoformat(), "ran": "30 min", "pain": {"during": "5"}}
    ran = {"on": day.isoformat(), "ran": "40 min"}
    late = replace(case, log=(CheckIn.of_tree(hurt),))
    assert lines(expand(late, day), day) != told
    done = replace(case, log=(CheckIn.of_tree(hurt), CheckIn.of_tree(ran)))
    assert lines(expand(done, day), day) == told


@pytest.mark.parametrize("told", [{"signs": ["chest_pain"]}, {"signs": ["fever"]}])
def test_a_run_logged_today_brings_no_session_into_a_plan_that_was_stopped_before_it(told):
    case = case_of(CLIENTS["plain"])
    day = next(s.on for s in expand(case, MONDAY).sessions if s.on > MONDAY + 3 * DAY and s.is_run)
    case = published(case, expand(case, MONDAY))
    assert lines(expand(case, day), day)
    stop = CheckIn.of_tree({"on": (day - DAY).isoformat(), **told})
    ran = CheckIn.of_tree({"on": day.isoformat(), "ran": "5 min"})
    plan = expand(replace(case, log=(stop, ran)), day)
    assert lines(plan, day) == [] and not plan.told & {s.id for s in plan.sessions if s.on == day}
    told_of_today = replace(case, log=(stop.but(on=day), ran))
    assert lines(expand(told_of_today, day), day)


@pytest.mark.parametrize("moved_on", [MONDAY + 3 * DAY, MONDAY + 7 * DAY])
@pytest.mark.parametrize(
    "told", [{"ran": "30 min", "pain": {"during": "8"}}, {"ran": "30 min", "pain": {"during": "4"}}]
)
def test_a_run_that_the_coach_moves_before_its_own_week_is_told_where_it_went(told, moved_on):
    """It stands once, as it was shown on that day, or not at all where the day was over by then;
    what is heard before its own week and in it redraws it no more than other days."""
    case, second = case_of(CLIENTS["plain"]), MONDAY + 7 * DAY
    first = next(s for s in expand(case, MONDAY).sessions if s.on >= second and s.is_run)
    to = second - 2 * DAY
    change = f"changes: [{{on: {first.on}, move_to: {to}, because: a wedding}}]"
    moved = case_of(CLIENTS["plain"] + change)
    shown: dict[date, list[str]] = {}
    for day in (MONDAY + DAY * n for n in range(14)):
        written = moved if day >= moved_on else case
        log = [CheckIn.of_tree({"on": one.isoformat(), **told}) for one in (to, second + DAY)]
        heard = tuple(one for one in log if one.on is not None and one.on < day)
        now = replace(written, told=case.told, log=heard)
        plan = expand(now, day)
        assert {one: lines(plan, one) for one in shown} == shown, day
        case = replace(case, told=published(now, plan).told)
        shown[day] = lines(plan, day)
    assert [line.count(first.id) for line in shown[to]] == [1] * (moved_on < to)


def test_a_run_of_the_morning_is_none_too_many_where_a_stop_is_told_that_evening():
    """She ran on Sunday what stood there; that evening a limp of Saturday came in with it."""
    text = CLIENTS["plain"]
    plan = expand(case_of(text), MONDAY)
    morning = published(case_of(text), plan)
    runs = [s for s in plan.weeks[0].sessions if s.is_run]
    last = runs[-1].on
    limp = f"{{on: {last - DAY}, signs: [limp]}}"
    log = [f"{{on: {s.on}, ran: {s.run_minutes:.0f} min}}" for s in runs]
    heard = case_of(text, f"[{', '.join([*log[:-1], limp, log[-1]])}]")
    evening = replace(heard, told=morning.told)
    evening = published(evening, expand(evening, last))
    later = expand(evening, last + DAY)

    assert last not in [s.on for s in later.weeks[0].sessions]
    assert "over_week" not in [one.matter for one in later.alarms]
    extra = f"{{on: {MONDAY}, ran: 40 min}}"
    more = case_of(text, f"[{', '.join([extra, *log[:-1], limp, log[-1]])}]")
    matters = [a.matter for a in expand(replace(more, told=evening.told), last + DAY).alarms]
    assert "over_week" in matters, "what was run beside it still is too much"


def test_a_step_rate_that_stood_in_is_no_aim_once_the_own_one_is_counted():
    """160 stood in for who had never run; with 148 counted the plan went on asking for 160."""
    base = "{{on: 2027-01-03, cadence: {} spm, week: 0 min}}"
    guessed, counted = (
        case_of(runner(baseline=base.format(spm), more="cadence: {aim: keep}"))
        for spm in (160, 148)
    )
    for day in (MONDAY, MONDAY + 7 * DAY):
        guessed = published(guessed, expand(guessed, day))
    plan = expand(replace(counted, told=guessed.told), MONDAY + 13 * DAY)

    assert plan.weeks[0].cadence.aim == 160, "as it was told"
    assert {week.cadence.aim for week in plan.weeks[2:]} == {148}
