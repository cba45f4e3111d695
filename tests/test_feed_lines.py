"""A feed's lines, read back by icalendar: RFC 5545 from another hand."""

from __future__ import annotations

from datetime import timedelta

from icalendar import Event
from icalendar.prop import vDuration, vUTCOffset

from sitegen.feed.lines import duration, line, offset, text


def test_every_length_is_read_as_it_was_meant():
    for minutes in range(-3000, 3000):
        length = timedelta(minutes=minutes)
        assert vDuration.from_ical(duration(length)) == length
        assert duration(length).encode() == vDuration(length).to_ical()


def test_every_offset_is_read_as_it_was_meant():
    """Seconds too: Amsterdam was 19 min 32 s ahead of Greenwich until 1937, from memory."""
    for seconds in (*range(-50_400, 50_401, 900), 1172, -2670):
        length = timedelta(seconds=seconds)
        assert vUTCOffset.from_ical(offset(length)) == length


def test_a_folded_line_parts_no_character_and_no_escaped_one():
    """RFC 5545 sections 3.1 and 3.3.11."""
    for at in range(40, 90):
        words = "a" * at + "\\;,\n🏃–" * 20
        written = line("SUMMARY", text(words))

        pieces = written.removesuffix(b"\r\n").split(b"\r\n ")
        assert len(pieces) > 1 and all(len(piece) <= 74 for piece in pieces)
        for piece in pieces:
            said = piece.decode().removeprefix("SUMMARY:").replace("\\\\", "")
            assert not said.endswith("\\")
        event = Event.from_ical(b"BEGIN:VEVENT\r\n" + written + b"END:VEVENT\r\n")
        assert event["SUMMARY"] == words
