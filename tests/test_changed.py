"""What changed since the client's last plan, and why: compared, remembered, and said."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from datetime import date, timedelta

import pytest

from portal_builder import AS_OF, MONDAY, make_case, make_drills, make_plan, make_renderer
from sitegen.model.plan import Decision, Part, Plan, Session, Week
from sitegen.model.sentence import say
from sitegen.portal.changed import (
    Difference,
    Kept,
    Once,
    as_once,
    changes,
    compared_with,
    kept_text,
    read_kept,
    remember,
    seen_of,
)
from sitegen.rules.overdone import FELT_HARD

# AS_OF is the Sunday of the fourth week; the fifth runs from 15 to 21 February.
THEN = AS_OF - timedelta(days=3)
PAIN = Decision(
    "pain",
    say("Pain of {score} of 10 was logged on {day}.", score=4, day=date(2027, 2, 9)),
    warns=True,
)  # fmt: skip


def plan_then() -> Plan:
    return make_plan(as_of=THEN)


def with_session(
    plan: Plan, id: str, change: Callable[[Session], Session | None], *new: Decision
) -> Plan:
    """The plan with one session changed or taken out, and new decisions in its week."""

    def week(week: Week) -> Week:
        if not any(s.id == id for s in week.sessions):
            return week
        changed = (change(s) if s.id == id else s for s in week.sessions)
        kept = tuple(s for s in changed if s is not None)
        return week._replace(sessions=kept, decisions=(*new, *week.decisions))

    return plan._replace(weeks=tuple(map(week, plan.weeks)))


def shorter(session: Session) -> Session:
    parts = (Part("warm_up", 5), Part("run", 14), Part("cool_down", 4))
    return session._replace(parts=parts)


def lines(before: Plan, after: Plan) -> list[str]:
    """What Now says, line by line, as plain text."""
    document = make_renderer().document(
        make_case(), after, make_drills(), feed_url=None, code="K7Q2", before=seen_of(before)
    )
    found = re.search(r'<div class="block since">(.*?)</div>', document, re.DOTALL)
    if found is None:
        return []
    texts = re.findall(r"<(?:h3|li|p)[^>]*>(.*?)</(?:h3|li|p)>", found[1], re.DOTALL)
    return [" ".join(html.unescape(text).split()) for text in texts]


def test_a_week_that_something_holds_says_what_holds_it():
    """Such a decision moves no minutes of its own: growth that was told is what went."""
    held = Decision("overdone", say(FELT_HARD), before=14.0, after=14.0)
    grown = Decision("volume", say("Room for 14 min."), before=10.0, after=14.0)

    told = lines(plan_then(), with_session(make_plan(), "w5d3", shorter, held))
    assert FELT_HARD in told and "No single rule stands behind" not in " ".join(told)
    told = lines(plan_then(), with_session(make_plan(), "w5d3", shorter, grown, held))
    assert f"{FELT_HARD} Room for 14 min." in told, "what holds it is what made it smaller"


def test_a_bound_is_no_reason_where_something_holds_a_week_before():
    """After a run that hurt, "no session has more than 5 min" was all that stood under shorter
    runs of the easier week behind the held one."""
    bound = Decision("longest", say("No session has more than 14 min."), before=20.0, after=14.0)
    pain = Decision("pain", say("For now pain of 3/10 holds this week."), before=10.0, after=10.0)
    room = Decision("volume", say("Room for 10 min."), before=0.0, after=10.0)

    alone = with_session(make_plan(), "w6d1", shorter, bound)
    assert "No session has more than 14 min." in lines(plan_then(), alone)
    roomy = with_session(alone, "w5d3", lambda session: session, room)
    assert "No session has more than 14 min." in lines(plan_then(), roomy)
    held = with_session(alone, "w5d3", lambda session: session, room, pain)
    assert lines(plan_then(), held)[-1] == "For now pain of 3/10 holds this week."


def test_a_shorter_run_is_told_with_the_reason_that_is_new():
    after = with_session(make_plan(), "w5d3", shorter, PAIN)

    assert lines(plan_then(), after) == [
        "Since your plan of Thu 11 Feb",
        "Thu 18 Feb, Easy run: 23 min instead of 33 min",
        "Pain of 4 of 10 was logged on Tue 9 Feb.",
    ]


def test_less_running_in_as_many_minutes_is_told():
    """A rung lower there is more walking: the minutes in all say nothing of it."""

    def in_turn(run: int) -> Callable[[Session], Session]:
        parts = (Part("warm_up", 5), Part("run", run), Part("walk", 18 - run), Part("cool_down", 5))
        return lambda session: session._replace(kind="run_walk", parts=parts)

    before = with_session(plan_then(), "w5d3", in_turn(12))
    assert lines(before, with_session(make_plan(), "w5d3", in_turn(8), PAIN))[1] == (
        "Thu 18 Feb, Run and walk: 28 min (8 min of it running) instead of 28 min (12 min of it "
        "running)"
    )


def test_moved_turned_into_another_taken_out_and_new_each_have_their_words():
    def one(change: Callable[[Session], Session | None]) -> str:
        return lines(plan_then(), with_session(make_plan(), "w5d6", change, PAIN))[1]

    assert one(lambda s: s._replace(on=s.on - timedelta(days=1))) == (
        "Long run, 42 min: Sat 20 Feb instead of Sun 21 Feb"
    )
    assert one(lambda s: s._replace(kind="easy")) == (
        "Sun 21 Feb, 42 min: Easy run instead of Long run"
    )
    assert one(lambda s: None) == "Sun 21 Feb, Long run, 42 min: taken out"
    fewer = with_session(plan_then(), "w5d6", lambda s: None)
    assert lines(fewer, make_plan())[1] == "Sun 21 Feb, Long run, 42 min: new"


def test_a_run_that_falls_away_is_told_by_its_day_and_not_by_the_names_of_those_left():
    """A name goes by the day that a session was first planned for: the next one may take it."""

    def tue_to_thu(week: Week) -> Week:
        tue, thu, *rest = (s for s in week.sessions if s.is_run)
        return week._replace(sessions=(shorter(thu)._replace(id=tue.id), *rest))

    plan = make_plan()
    weeks = tuple(tue_to_thu(w) if w.number == 5 else w for w in plan.weeks)
    told = lines(plan_then(), plan._replace(weeks=weeks))

    assert told[1:3] == [
        "Tue 16 Feb, Run to the beat, 33 min: taken out",
        "Thu 18 Feb, Easy run: 23 min instead of 33 min",
    ]


def test_a_reason_that_stood_before_its_week_came_into_sight_is_no_news():
    """An easier week was planned all along: what made it shorter is the lighter one before it."""
    ease = Decision("ease", say("An easier week."), before=60.0, after=40.0)
    coachs = Decision("changes", say("Your coach set 20 min."), before=60.0, after=20.0)
    plan = make_plan()
    planned = with_session(plan, "w6d3", lambda s: s, ease)
    early = seen_of(planned._replace(as_of=AS_OF - timedelta(days=7)))
    sessions = tuple(as_once(s) for w in planned.weeks for s in w.sessions if w.number in (4, 5, 6))
    seen = early._replace(sessions=sessions, until=date(2027, 3, 1))
    after = with_session(with_session(planned, "w6d3", shorter), "w5d3", shorter, coachs)

    found = {one.after.id: one.because for one in changes(seen, after) if one.after}
    assert found == {"w5d3": (coachs,), "w6d3": (coachs,)}


def test_a_reason_about_the_session_itself_comes_before_one_about_its_week():
    own = Decision("moved", say("Moved by your coach."), session="w5d3")
    after = with_session(make_plan(), "w5d3", shorter, PAIN, own)

    assert lines(plan_then(), after)[-1] == "Moved by your coach."


def test_reasons_side_by_side_are_sentences_each():
    own = Decision("moved", say("Your coach moved it: the club trip"), session="w5d3")
    also = Decision("pain", say("Pain went down."), session="w5d3")
    after = with_session(make_plan(), "w5d3", shorter, own, also)

    assert lines(plan_then(), after)[-1] == "Your coach moved it: the club trip. Pain went down."


def test_a_reason_that_stood_there_before_is_not_given_again():
    """Week 5 holds for pain in both plans; that does not explain what is new."""
    after = with_session(make_plan(), "w5d3", shorter)

    assert lines(plan_then(), after)[-1] == (
        "No single rule stands behind this; your coach can tell you more."
    )


def test_a_reason_of_the_week_before_is_news_where_it_holds_for_this_one_now():
    """A week that is run once more says what the last one said; a bound was told in its place."""
    room = Decision("volume", say("Room for 14 min."), before=10.0, after=14.0)
    bound = Decision("longest", say("No run is over 6 min."), before=7.0, after=6.0)
    before = with_session(plan_then(), "w4d3", lambda s: s, room)
    after = with_session(make_plan(), "w5d3", shorter, room, bound)

    [change] = changes(seen_of(before), after)
    assert change.because[0] == room


def test_a_reason_of_this_week_explains_the_next():
    after = with_session(make_plan(as_of=MONDAY + timedelta(days=28)), "w5d1", lambda s: s, PAIN)
    after = with_session(after, "w6d1", shorter)

    [change] = changes(seen_of(plan_then()), after)

    assert change.after is not None and change.after.id == "w6d1"
    assert change.because == (PAIN,)


def test_the_same_plan_says_nothing_and_days_gone_by_are_no_change():
    assert changes(seen_of(plan_then()), make_plan()) == ()
    past = with_session(make_plan(), "w4d3", lambda s: None)  # Thursday 11 February

    assert changes(seen_of(plan_then()), past) == ()


def test_weeks_that_only_come_into_sight_are_not_new():
    """Two weeks and a day are noted, that from a Sunday to the second one, as long runs are on
    Sundays: of each ten changed weeks one named no reason else. Three days later three more days
    are in sight."""
    seen = seen_of(plan_then())
    assert max(s.on for s in seen.sessions) == THEN + timedelta(days=14)

    assert changes(seen, make_plan(as_of=THEN + timedelta(days=7))) == ()


@pytest.mark.parametrize("status", ["paused", "referred", "ended"])
def test_a_plan_that_is_not_active_has_its_own_words_instead(status: str):
    assert changes(seen_of(plan_then()), make_plan(status=status, weeks=())) == ()


def test_more_than_five_changes_are_cut_short():
    after = make_plan()
    for week in (5, 6):
        for day in (1, 3, 4, 6):
            after = with_session(after, f"w{week}d{day}", shorter)
    after = with_session(after, "w4d6", shorter)
    told = lines(plan_then(), after)

    assert len([line for line in told if "instead of" in line]) == 5
    assert told[-1] == "More sessions changed; they stand under Weeks."


# Remembered from build to build


def test_building_twice_on_a_day_tells_the_same():
    after = with_session(make_plan(), "w5d3", shorter, PAIN)
    once = remember(remember(None, plan_then()), after)

    assert once.earlier == seen_of(plan_then())
    assert remember(once, after) == once
    assert compared_with(remember(None, plan_then()), after) == compared_with(once, after)


def test_a_change_is_told_until_the_next_one_comes():
    changed = with_session(make_plan(), "w5d3", shorter, PAIN)
    kept = remember(remember(None, plan_then()), changed)
    later = changed._replace(as_of=AS_OF + timedelta(days=1))
    assert compared_with(kept, later) == seen_of(plan_then())
    kept = remember(kept, later)

    again = with_session(later._replace(as_of=AS_OF + timedelta(days=2)), "w5d6", shorter)

    assert compared_with(kept, again) == seen_of(later)


def test_a_change_is_no_news_after_two_weeks():
    changed = with_session(make_plan(), "w5d3", shorter, PAIN)
    kept = remember(remember(None, plan_then()), changed)

    assert compared_with(kept, changed._replace(as_of=THEN + timedelta(days=14))) is not None
    assert compared_with(kept, changed._replace(as_of=THEN + timedelta(days=15))) is None


def test_a_look_at_another_day_is_put_right_by_the_next_build():
    """A coach builds for next week to see it, then for today."""
    kept = remember(None, plan_then())
    ahead = with_session(make_plan(as_of=AS_OF + timedelta(days=7)), "w6d3", shorter, PAIN)
    kept = remember(kept, ahead)
    today = make_plan()

    assert changes(compared_with(kept, today) or seen_of(today), today) == ()
    kept = remember(kept, today)
    assert kept.last == seen_of(today)
    assert compared_with(kept, plan_then()) is None


def test_what_is_remembered_comes_back_from_its_file_as_it_was():
    kept = Kept(seen_of(make_plan()), seen_of(plan_then()))

    assert read_kept(kept_text(kept)) == kept
    assert read_kept(kept_text(Kept(kept.last))) == Kept(kept.last)


@pytest.mark.parametrize("text", [None, "", "x", "2027-02-14", "2027-02-30\n", "2027-02-14\na b\n"])
def test_a_damaged_memory_is_no_memory(text: str | None):
    assert read_kept(text) is None


def test_what_is_remembered_holds_no_sentence_and_no_name():
    text = kept_text(Kept(seen_of(with_session(make_plan(), "w5d3", shorter, PAIN))))

    assert "w5d3 2027-02-18 easy 23" in text
    assert not re.search(r"[Pp]ain|[Kk]nee|Mara", text)


def test_a_change_is_compared_whole():
    [change] = changes(seen_of(plan_then()), with_session(make_plan(), "w5d3", shorter, PAIN))

    day = date(2027, 2, 18)
    assert change == Difference(
        Once("w5d3", day, "easy", 33), Once("w5d3", day, "easy", 23), (PAIN,)
    )


def test_a_move_that_took_no_minutes_is_no_reason_for_fewer():
    """Two days swapped long ago; pain makes the run shorter, and pain is what is named."""
    moved = Decision("changes", say("Late shift."), None, "", 30.0, 30.0, "w5d3")
    after = with_session(make_plan(), "w5d3", shorter, moved, PAIN)
    (told,) = changes(seen_of(plan_then()), after)
    assert told.because == (PAIN,)


def test_a_bound_is_no_reason_for_a_longer_run():
    """That no run is over 49 min stood as the reason for one that had grown to 49."""

    def longer(session: Session) -> Session:
        return session._replace(parts=(*session.parts, Part("run", 16)))

    bound = Decision("longest", say("No run is over 49 min."), None, "", 45.0, 49.0)
    room = Decision("volume", say("Room for 132 min."), None, "", 120.0, 132.0)
    for change, new, because in (
        (longer, (bound, room), (room,)),
        (longer, (bound,), ()),
        (shorter, (bound,), (bound,)),
    ):
        after = with_session(make_plan(), "w5d3", change, *new)
        (told,) = changes(seen_of(plan_then()), after)
        assert told.because == because


def test_what_holds_a_week_is_no_reason_for_a_longer_run():
    """Of two runs one is left, 45 min in place of 27: "pain of 3/10 was logged" stood as why."""

    def longer(session: Session) -> Session:
        return session._replace(parts=(*session.parts, Part("run", 18)))

    room = Decision("volume", say("Room for 45 min."), None, "", 54.0, 45.0)
    for change, because in ((longer, (room,)), (shorter, (PAIN, room))):
        after = with_session(make_plan(), "w5d3", change, PAIN, room)
        (told,) = changes(seen_of(plan_then()), after)
        assert told.because == because


def test_a_run_that_takes_the_day_of_one_that_moved_on_is_told_as_one_that_moved():
    """Of Tuesday, Thursday and Sunday were left Wednesday and Sunday: "Wed instead of Sun, Sun
    instead of Tue" was told, and Sunday's run had not changed."""

    def moved(week: Week) -> Week:
        tue, _thu, long = (s for s in week.sessions if s.is_run)
        wed = tue._replace(id=long.id, on=tue.on + timedelta(days=1))
        return week._replace(sessions=(wed, long._replace(id=tue.id)))

    plan = make_plan()
    weeks = tuple(moved(w) if w.number == 5 else w for w in plan.weeks)
    told = lines(plan_then(), plan._replace(weeks=weeks))

    assert told[1:3] == [
        "Run to the beat, 33 min: Wed 17 Feb instead of Tue 16 Feb",
        "Thu 18 Feb, Easy run, 33 min: taken out",
    ]


@pytest.mark.parametrize("rule", ["longest", "run_walk"])
def test_what_runs_are_like_is_a_reason_though_no_minutes_moved_by_it(rule: str):
    """A long run of 62 min was one of 58, as nothing was heard of the last: nothing said why."""
    held = Decision(rule, say("No run is over 48 min, as before."), before=48.0, after=48.0)

    told = lines(plan_then(), with_session(make_plan(), "w5d3", shorter, held))
    assert "No run is over 48 min, as before." in told
