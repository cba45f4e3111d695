"""The calendar feed: what it says, what it never says, and when an event counts as changed."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar, Event

from feed.plans import (
    BEAT,
    EASY,
    FEED_ID,
    FIRST_DAY,
    MONDAY,
    SECOND_DAY,
    STRENGTH,
    built,
    habit,
    made,
    plan_of,
    run_at,
)
from sitegen.feed.feed import MODES, RUN, STRINGS, Feed, lasting_uid
from sitegen.feed.history import MAX_SEQUENCE
from sitegen.model.plan import Part, Plan, Session
from sitegen.model.sentence import say

LISBON_EVENING = run_at(date(2026, 10, 8), time(18, 30), 35)


def unfolded(text: bytes) -> list[str]:
    """Content lines. RFC 5545 section 3.1: a line break and one space together are nothing."""
    return text.replace(b"\r\n ", b"").decode().removesuffix("\r\n").split("\r\n")


def events(text: bytes) -> list[Event]:
    return Calendar.from_ical(text).events


def event_of(session: Session, **more: object) -> Event:
    [event] = events(built(plan_of(session), **more))  # type: ignore[arg-type]
    return event


def by_uid(text: bytes) -> dict[str, Event]:
    return {str(event["UID"]): event for event in events(text)}


def revision(event: Event) -> tuple[int, datetime, datetime]:
    return int(event["SEQUENCE"]), event["DTSTAMP"].dt, event["LAST-MODIFIED"].dt


# What it says


def test_the_calendar_has_a_neutral_name_and_asks_to_be_looked_at_every_six_hours():
    """RFC 5545 sections 3.7.3 and 3.7.4; RFC 7986 sections 5.1 and 5.7."""
    assert unfolded(built(habit()))[:7] == [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//sitegen//running plan//EN",
        "NAME:Running plan",
        "X-WR-CALNAME:Running plan",
        "REFRESH-INTERVAL;VALUE=DURATION:PT6H",
        "X-PUBLISHED-TTL:PT6H",
    ]


def test_there_is_no_method_so_that_a_calendar_server_may_keep_the_feed():
    """RFC 4791 section 4.1 forbids it in what a server stores."""
    assert "METHOD" not in built(habit(), mode="full").decode()


def test_a_discreet_event_whole():
    session = LISBON_EVENING._replace(parts=EASY, fuel_at=time(17, 45))
    text = unfolded(built(plan_of(session)))

    assert text[text.index("BEGIN:VEVENT") :] == [
        "BEGIN:VEVENT",
        f"UID:{lasting_uid(FEED_ID, 'one')}",
        "SUMMARY:Run\\, 35 min",
        "DTSTART;TZID=Europe/Lisbon:20261008T183000",
        "DTEND;TZID=Europe/Lisbon:20261008T190500",
        "SEQUENCE:0",
        "DTSTAMP:20261001T000000Z",
        "LAST-MODIFIED:20261001T000000Z",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        "DESCRIPTION:45 min to the start",
        "TRIGGER:-PT45M",
        "END:VALARM",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        "DESCRIPTION:Run\\, 35 min",
        "TRIGGER:-PT30M",
        "END:VALARM",
        "END:VEVENT",
        "END:VCALENDAR",
    ]


def test_a_full_event_tells_parts_and_beat():
    event = event_of(LISBON_EVENING._replace(kind="beat", parts=BEAT), mode="full")

    assert event["SUMMARY"] == "Run, 30 min"
    assert event["DESCRIPTION"].split("\n") == [
        "Warm-up 5 min",
        "Run 10 min",
        "4 times: run to the beat 1 min 30 s at 166 steps a minute, walk 1 min",
        "Cool-down 5 min",
    ]


def test_strength_is_called_so():
    event = event_of(LISBON_EVENING._replace(kind="strength", parts=STRENGTH))

    assert event["SUMMARY"] == "Strength, 25 min"


def test_a_walk_is_called_a_walk_in_a_full_feed_alone():
    """A plan of walks in place of runs would tell the host of an injury."""
    walk = LISBON_EVENING._replace(kind="run_walk", parts=(Part("walk", 40),))

    assert event_of(walk)["SUMMARY"] == "Session, 40 min"
    assert event_of(walk, mode="full")["SUMMARY"] == "Walk, 40 min"


def test_a_whole_day_does_not_make_the_client_busy():
    event = event_of(LISBON_EVENING._replace(at=None))

    assert event["SUMMARY"] == "Run, 35 min"
    assert event["TRANSP"] == "TRANSPARENT"
    assert (event["DTSTART"].dt, event["DTEND"].dt) == (date(2026, 10, 8), date(2026, 10, 9))


@pytest.mark.parametrize(
    ("minutes", "summary", "end"),
    [
        (32.4, "Run, 32 min", time(19, 2)),
        (32.5, "Run, 33 min", time(19, 3)),  # a half up: the client is not hurried
        (0.2, "Run, 1 min", time(18, 31)),
        (90, "Run, 90 min", time(20, 0)),
    ],
)
def test_minutes_are_whole(minutes: float, summary: str, end: time):
    event = event_of(run_at(date(2026, 10, 8), time(18, 30), minutes))

    assert event["SUMMARY"] == summary
    assert event["DTEND"].dt.time() == end


def test_a_session_of_unknown_length_has_no_end():
    """RFC 5545 section 3.8.2.2: an end has to be later than its start."""
    event = event_of(LISBON_EVENING._replace(kind="event", parts=()))

    assert event["SUMMARY"] == "Run"
    assert "DTEND" not in event


# Alarms


def alarms(session: Session, **more: object) -> list[tuple[timedelta, str]]:
    found = event_of(session, **more).walk("VALARM")
    return [(alarm["TRIGGER"].dt, str(alarm["DESCRIPTION"])) for alarm in found]


FUELLED = LISBON_EVENING._replace(fuel_at=time(17, 45))


def test_the_session_rings_half_an_hour_before():
    assert alarms(LISBON_EVENING) == [(timedelta(minutes=-30), "Run, 35 min")]


def test_the_lead_of_the_alarm_can_be_chosen():
    assert alarms(LISBON_EVENING, alarm_minutes=90)[0][0] == timedelta(minutes=-90)
    assert alarms(LISBON_EVENING, alarm_minutes=0)[0][0] == timedelta(0)
    assert alarms(LISBON_EVENING, alarm_minutes=None) == []


def test_fuel_rings_at_its_time_and_only_a_full_feed_says_what_for():
    lead = timedelta(minutes=-45)

    assert alarms(FUELLED)[0] == (lead, "45 min to the start")
    full = (lead, "Time for your fuel, 45 min before the start")
    assert alarms(FUELLED, mode="full")[0] == full


def test_fuel_before_midnight_for_a_run_after_it():
    session = run_at(date(2026, 10, 8), time(0, 20), fuel_at=time(23, 35))

    assert alarms(session)[0][0] == timedelta(minutes=-45)


def test_fuel_is_as_long_before_a_run_on_the_night_of_a_change():
    """Lisbon, 25 October 2026: real minutes count, not those on the wall."""
    session = run_at(date(2026, 10, 25), time(2, 15), fuel_at=time(1, 30))
    event = event_of(session)
    ring = event["DTSTART"].dt.astimezone(UTC) + event.walk("VALARM")[0]["TRIGGER"].dt

    assert ring == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)


def test_a_day_without_an_hour_rings_for_fuel_only():
    """The trigger counts from the day's beginning."""
    session = FUELLED._replace(at=None)

    assert alarms(session) == [(timedelta(hours=17, minutes=45), "Reminder")]
    assert alarms(session, mode="full")[0][1] == "Time for your fuel"


# What it never says


WORDS = re.compile(r"[^\W\d_]+")
LENGTH_UNITS = {"h", "min", "s"}


def spoken(text: bytes) -> set[str]:
    """All words of the feed that a person can read."""
    shown = re.compile(r"(?:NAME|X-WR-CALNAME|SUMMARY|DESCRIPTION)[;:]")
    lines = [line for line in unfolded(text) if shown.match(line)]
    said = " ".join(line.partition(":")[2].replace("\\n", " ") for line in lines)
    return {word.lower() for word in WORDS.findall(said)}


@pytest.mark.parametrize("mode", MODES)
def test_every_word_comes_from_the_feeds_own_few(mode: str):
    """Names, the sore knee and the drills are all in this plan, and none is in the feed."""
    told = habit()
    own = {word.lower() for text in STRINGS for word in WORDS.findall(text)} | LENGTH_UNITS
    said = spoken(built(told, mode=mode))

    assert {"run", "strength", "min"} <= said <= own
    whole = built(told, mode=mode).decode().lower()
    for secret in ("mara", "quill", "low bridge", "example.org", "knee", "quiet", "effort"):
        assert secret not in whole


@pytest.mark.parametrize("mode", MODES)
def test_what_a_coach_wrote_into_a_part_or_chose_as_drills_makes_no_difference(mode: str):
    parts = tuple(p._replace(text=say("Pain was 7 of 10, Mara: BEGIN:VEVENT\r\n")) for p in EASY)
    wordy = LISBON_EVENING._replace(
        parts=parts, drills=("maras-achilles",), effort_high=9, hard=True
    )
    quiet = LISBON_EVENING._replace(parts=tuple(p._replace(text=None) for p in EASY))

    assert built(plan_of(wordy), mode=mode) == built(plan_of(quiet), mode=mode)


def test_a_uid_is_a_digest_of_feed_and_session():
    uids = {lasting_uid(f, s) for f in ("feed-a", "feed-b") for s in ("mara-w1-mon", "mara-w1-thu")}

    assert len(uids) == 4
    assert all(re.fullmatch(r"[0-9a-f]{32}", uid) for uid in uids)
    assert FEED_ID not in built(habit()).decode()


def test_discreet_is_the_same_for_every_beat_and_every_order_of_parts():
    walked = LISBON_EVENING._replace(parts=(Part("walk", 35),))

    assert built(plan_of(walked)) == built(plan_of(LISBON_EVENING))


# Revisions


def at_midnight(day: date, seconds: int = 0) -> datetime:
    return datetime.combine(day, time(0, 0, seconds), UTC)


def test_an_unchanged_plan_gives_the_same_bytes_however_late_it_is_built():
    first = made(habit(), mode="full")

    assert made(habit(), mode="full", after=first, day=SECOND_DAY) == first


def test_the_day_alone_stamps_what_is_new():
    [event] = events(built(plan_of(LISBON_EVENING)))

    assert revision(event) == (0, at_midnight(FIRST_DAY), at_midnight(FIRST_DAY))


def test_a_moved_session_keeps_its_uid_and_gets_the_next_sequence():
    before = made(habit())
    [moved, *others] = habit().sessions
    later = moved._replace(on=moved.on + timedelta(days=1), at=time(7, 30), moved_from=moved.on)
    after = made(plan_of(later, *others), after=before, day=SECOND_DAY)

    old, new = by_uid(before.text), by_uid(after.text)
    uid = lasting_uid(FEED_ID, moved.id)
    stamps = at_midnight(FIRST_DAY), at_midnight(SECOND_DAY)
    assert revision(old[uid]) == (0, stamps[0], stamps[0])
    assert revision(new[uid]) == (1, stamps[1], stamps[1])
    assert new[uid]["DTSTART"].dt == datetime(2026, 10, 6, 7, 30, tzinfo=ZoneInfo("Europe/Lisbon"))
    assert {u: e for u, e in old.items() if u != uid} == {u: e for u, e in new.items() if u != uid}


def test_each_change_counts_one_and_comes_after_the_last():
    """On the next day, twice on that day, and as of an earlier one."""
    last, found = None, []
    for minutes, day in ((30, 1), (35, 2), (35, 2), (30, 2), (35, 1)):
        plan = plan_of(run_at(date(2026, 10, 8), time(18, 30), minutes))
        last = made(plan, after=last, day=date(2026, 10, day))
        found.append(revision(events(last.text)[0])[:2])

    second = date(2026, 10, 2)
    assert found == [
        (0, at_midnight(date(2026, 10, 1))),
        (1, at_midnight(second)),
        (1, at_midnight(second)),
        (2, at_midnight(second, 1)),
        (3, at_midnight(second, 2)),
    ]


def test_a_change_of_beat_counts_in_a_full_feed_and_not_in_a_discreet_one():
    quicker = LISBON_EVENING._replace(parts=(Part("run", 35, cadence_spm=164),))
    for mode, sequence in (("discreet", 0), ("full", 1)):
        before = made(plan_of(LISBON_EVENING), mode=mode)
        [event] = events(built(plan_of(quicker), mode=mode, after=before, day=SECOND_DAY))
        assert event["SEQUENCE"] == sequence


def test_a_session_that_is_gone_leaves_and_past_ones_stay():
    first, *others = habit().sessions
    after = built(plan_of(*others[1:]), after=made(habit()), day=date(2030, 1, 1))

    assert by_uid(after).keys() == {lasting_uid(FEED_ID, s.id) for s in others[1:]}
    assert first.on < others[1].on < date(2030, 1, 1)


def test_a_pause_is_no_end_of_what_is_remembered():
    """A session comes back as it was left, and one that comes back otherwise counts on."""
    before = made(habit())
    moved, *others = habit().sessions
    paused = made(plan_of(), after=before, day=SECOND_DAY)
    later = moved._replace(at=time(7, 30))
    back = by_uid(built(plan_of(later, *others), after=paused, day=date(2026, 10, 20)))

    assert not events(paused.text)
    kept = {revision(back[lasting_uid(FEED_ID, s.id)])[:2] for s in others}
    assert kept == {(0, at_midnight(FIRST_DAY))}
    stamp = at_midnight(date(2026, 10, 20))
    assert revision(back[lasting_uid(FEED_ID, moved.id)]) == (1, stamp, stamp)


def test_a_new_session_begins_at_nought_beside_old_ones():
    before = made(plan_of(LISBON_EVENING))
    extra = run_at(date(2026, 10, 9), time(7), id="two")
    found = by_uid(built(plan_of(LISBON_EVENING, extra), after=before, day=SECOND_DAY))

    for id, day in (("one", FIRST_DAY), ("two", SECOND_DAY)):
        stamp = at_midnight(day)
        assert revision(found[lasting_uid(FEED_ID, id)]) == (0, stamp, stamp)


def test_a_renewed_feed_takes_nothing_from_the_old_one():
    before = made(habit())
    after = built(habit(), after=before, day=SECOND_DAY, feed_id="other")

    assert not by_uid(before.text).keys() & by_uid(after).keys()
    stamp = at_midnight(SECOND_DAY)
    assert {revision(e) for e in events(after)} == {(0, stamp, stamp)}


TWO = plan_of(LISBON_EVENING, run_at(date(2026, 10, 9), time(7), id="two"))
GOOD = made(TWO).history


@pytest.mark.parametrize(
    "damaged",
    [
        "",
        "<html>404</html>",
        GOOD[:-1],
        GOOD[: len(GOOD) // 2],
        GOOD + "\n",
        GOOD.replace("\n0 ", "\n-1 "),
        GOOD.replace("\n0 ", f"\n{MAX_SEQUENCE} "),
        GOOD.replace("\n0 ", "\n99999999999 "),
        GOOD.replace("20261001T", "20261301T"),
        GOOD.replace("=", ":", 1),
    ],
)
def test_a_damaged_history_counts_as_none(damaged: str):
    assert damaged != GOOD
    fresh = made(TWO, day=SECOND_DAY)

    assert made(TWO, after=Feed(b"", damaged), day=SECOND_DAY) == fresh
    assert made(TWO, after=Feed(b"", GOOD), day=SECOND_DAY) != fresh


def test_a_developers_slips_are_told():
    with pytest.raises(ValueError, match="mode"):
        built(habit(), mode="off")
    with pytest.raises(ValueError, match="one id"):
        built(plan_of(LISBON_EVENING, LISBON_EVENING))


# Bytes


def test_sessions_stand_in_the_order_of_time_whatever_the_plans_order():
    plan = habit(11)  # by name, week 10 would come before week 2
    backwards = plan_of(*reversed(plan.sessions))

    assert built(backwards) == built(plan)
    days = [e["DTSTART"].dt for e in events(built(plan))]
    assert [d if type(d) is date else d.date() for d in days] == [s.on for s in plan.sessions]


def saying(words: str) -> bytes:
    """The feed in a language where a run is called so."""
    return built(plan_of(LISBON_EVENING), translate=lambda text: words if text == RUN else text)


def assert_well_folded(text: bytes) -> None:
    """RFC 5545 section 3.1: CRLF everywhere, 75 octets at most, no character split."""
    assert text.endswith(b"\r\n")
    lines = text.split(b"\r\n")
    assert not any(b"\r" in line or b"\n" in line for line in lines)
    assert all(len(line) <= 75 for line in lines)
    for line in lines:
        line.decode()  # each by itself


@pytest.mark.parametrize("octets", [73, 74, 75, 76, 77, 149, 150, 151])
@pytest.mark.parametrize("last", ["a", "ä", "–", "🏃", "\\", ","])
def test_long_lines_are_folded_and_unfold_to_the_same(octets: int, last: str):
    """74, 75 and 76 octets, with one to four bytes at the border. RFC 5545 section 3.1."""
    for back in range(6):
        head = "a" * (octets - len("SUMMARY:") - len(last.encode()) - back)
        text = saying(head + last + "b" * back)

        assert_well_folded(text)
        [event] = events(text)
        assert event["SUMMARY"] == head + last + "b" * back


def test_a_line_is_folded_only_where_it_has_to_be():
    """icalendar stops one octet short of what is allowed."""
    assert b"SUMMARY:" + b"a" * 66 + b"\r\n" in saying("a" * 66)
    assert b"SUMMARY:" + b"a" * 66 + b"\r\n aa\r\n" in saying("a" * 68)


def test_text_is_escaped():
    """RFC 5545 section 3.3.11: backslash, semicolon, comma, new line; a colon and quotes stay."""
    text = saying('a\\b;c,d\ne"f":g')

    assert "SUMMARY:" + r'a\\b\;c\,d\ne"f":g' in unfolded(text)
    assert events(text)[0]["SUMMARY"] == 'a\\b;c,d\ne"f":g'


@pytest.mark.parametrize("control", ["\r", "\x00", "\x1b", "\x85", "\u2028", "\u2029", "\ud800"])
def test_control_characters_are_left_out(control: str):
    assert saying(f"Ru{control}n") == saying("Run")


def test_a_second_language_reaches_every_word():
    """Each string in capitals stands for a translation; the braces stay."""

    def loud(text: str) -> str:
        return re.sub(r"(\{\w+\})|(\w)", lambda m: m[1] or m[2].upper(), text)

    everything = plan_of(
        *habit().sessions,
        FUELLED._replace(id="fuel-only", at=None),
        LISBON_EVENING._replace(id="no-parts", parts=(Part("drill", 0.5), Part("strength", 2))),
    )
    for mode in MODES:
        said = spoken(built(everything, mode=mode))
        text = built(everything, mode=mode, translate=loud)
        assert b"SUMMARY:RUN\\, 35 MIN\r\n" in text
        assert spoken(text) == said
        shown = [x for x in unfolded(text) if x.startswith(("NAME", "SUMMARY", "DESCRIPTION"))]
        lower = {w for x in shown for w in re.findall(r"(?<!\\)\b[a-z]+\b", x)}
        assert lower <= LENGTH_UNITS


# Any plan


ZONES = (
    "Europe/Lisbon", "America/New_York", "Asia/Kathmandu", "Australia/Lord_Howe",
    "America/Phoenix", "America/Santiago", "UTC",
)  # fmt: skip
PARTS = st.builds(
    Part,
    kind=st.sampled_from(("warm_up", "run", "walk", "beat", "drill", "strength", "cool_down")),
    minutes=st.floats(0.1, 90),
    repeat=st.integers(1, 8),
    cadence_spm=st.none() | st.integers(100, 240),
    text=st.none() | st.builds(say, st.just("{words}"), words=st.text(max_size=20)),
)
CLOCKS = st.times().map(lambda t: t.replace(second=0, microsecond=0))
SESSIONS = st.builds(
    Session,
    id=st.text(min_size=1, max_size=12),
    on=st.dates(date(2026, 1, 1), date(2028, 12, 31)),
    at=st.none() | CLOCKS,
    kind=st.sampled_from(("easy", "long", "run_walk", "beat", "strength", "event")),
    parts=st.lists(PARTS, max_size=4).map(tuple),
    fuel_at=st.none() | CLOCKS,
)
PLANS = st.lists(SESSIONS, max_size=6, unique_by=lambda s: s.id).map(lambda all_: plan_of(*all_))


@settings(deadline=None)  # a busy machine is no fault of the feed
@given(PLANS, st.sampled_from(ZONES), st.sampled_from(MODES))
def test_any_plan_is_read_back_as_planned(plan: Plan, zone: str, mode: str):
    text = built(plan, zone, mode=mode)
    found = by_uid(text)

    assert_well_folded(text)
    assert len(found) == len(plan.sessions)
    for session in plan.sessions:
        event = found[lasting_uid(FEED_ID, session.id)]
        start = event["DTSTART"].dt
        if session.at is None:
            assert start == session.on
            continue
        planned = datetime.combine(session.on, session.at, ZoneInfo(zone)).astimezone(UTC)
        assert start.astimezone(UTC) == planned
        minutes = session.total_minutes
        if minutes:
            length = event["DTEND"].dt.astimezone(UTC) - planned
            assert abs(length - timedelta(minutes=minutes)) <= timedelta(minutes=1)
        else:
            assert "DTEND" not in event


@settings(deadline=None)
@given(PLANS, st.sampled_from(ZONES), st.sampled_from(MODES))
def test_any_plan_unchanged_gives_unchanged_bytes(plan: Plan, zone: str, mode: str):
    first = made(plan, zone, mode=mode)

    assert first == made(plan, zone, mode=mode)
    assert first == made(plan, zone, mode=mode, after=first, day=SECOND_DAY)


@settings(deadline=None)
@given(PLANS.filter(lambda p: bool(p.sessions)), st.data())
def test_any_one_session_moved_changes_that_event_alone(plan: Plan, data: st.DataObject):
    moved = data.draw(st.sampled_from(plan.sessions))
    elsewhere = moved._replace(on=moved.on + timedelta(days=data.draw(st.integers(1, 20))))
    before = made(plan)
    others = [s for s in plan.sessions if s is not moved]
    after = made(plan_of(*others, elsewhere), after=before, day=SECOND_DAY)

    old, new = by_uid(before.text), by_uid(after.text)
    uid = lasting_uid(FEED_ID, moved.id)
    assert old.keys() == new.keys()
    assert revision(new[uid]) == (1, at_midnight(SECOND_DAY), at_midnight(SECOND_DAY))
    assert all(old[u].to_ical() == new[u].to_ical() for u in old if u != uid)


@settings(deadline=None)
@given(st.integers(0, len(GOOD) - 1), st.characters(), st.booleans())
def test_any_damage_to_the_history_does_no_harm(place: int, sign: str, cut: bool):
    """One letter changed, or all lost from there on: every event is there."""
    damaged = GOOD[:place] if cut else GOOD[:place] + sign + GOOD[place + 1 :]
    text = built(TWO, after=Feed(b"", damaged), day=SECOND_DAY)

    assert len(events(text)) == 2
    assert all(0 <= int(e["SEQUENCE"]) <= MAX_SEQUENCE for e in events(text))


@settings(deadline=None)
@given(st.text(max_size=200))
def test_any_text_in_place_of_the_history_counts_as_none(noise: str):
    assert made(habit(1), after=Feed(b"", noise)) == made(habit(1))


def test_a_feed_without_sessions_defines_its_zone_as_any_other():
    """A paused plan keeps its time zone, and with it its bytes."""
    text = unfolded(built(plan_of()._replace(as_of=MONDAY)))

    assert "TZID:Europe/Lisbon" in text and "DTSTART:20190331T010000" in text
