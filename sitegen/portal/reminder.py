"""What a coach may send to who was not heard from lately: one short text in the client's language.

It goes by whatever way the two write to each other, so it holds nothing of anyone's health or plan,
and no link.
"""

from __future__ import annotations

from datetime import date

from sitegen.model.sentence import say
from sitegen.portal.words import Words


def reminder(called: str, heard: date | None, coach: str, words: Words) -> str:
    """The text to copy.

    Args:
        called: How the client is greeted.
        heard: The day of their last check-in; None where there is none.
        coach: Whose name stands below; empty for none.
        words: The client's language.
    """
    since = (
        say("Hello {called}, I have not had a check-in from you yet.", called=called)
        if heard is None
        else say("Hello {called}, the last I have from you is of {day}.", called=called, day=heard)
    )
    asks = say(
        "How is it going? A check-in from your page, however short, or a line to me, and I can "
        "plan your next week. Nobody minds the gap."
    )
    return " ".join((words.say(since), words.say(asks))) + (f"\n{coach}" if coach else "")
