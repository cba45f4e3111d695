"""How numbers, dates and effort are said to a client, in the client's language.

Every string passes through ``gettext``; until a catalogue is given, English comes out. `N_` marks
a string for the catalogue where it is written down but not yet said.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, time, timedelta

from sitegen.model.sentence import Sentence
from sitegen.model.values import METRES_PER_MILE, Distance, Pace


def N_(text: str) -> str:
    """Mark a string for translation, and give it back as it is."""
    return text


DAYS = (
    N_("Monday"), N_("Tuesday"), N_("Wednesday"), N_("Thursday"), N_("Friday"), N_("Saturday"),
    N_("Sunday"),
)  # fmt: skip
DAYS_SHORT = (N_("Mon"), N_("Tue"), N_("Wed"), N_("Thu"), N_("Fri"), N_("Sat"), N_("Sun"))
MONTHS = (
    N_("January"), N_("February"), N_("March"), N_("April"), N_("May"), N_("June"), N_("July"),
    N_("August"), N_("September"), N_("October"), N_("November"), N_("December"),
)  # fmt: skip
MONTHS_SHORT = (
    N_("Jan"), N_("Feb"), N_("Mar"), N_("Apr"), N_("May"), N_("Jun"), N_("Jul"), N_("Aug"),
    N_("Sep"), N_("Oct"), N_("Nov"), N_("Dec"),
)  # fmt: skip

# The adapted 0-10 category-ratio scale for a whole session; 6, 8 and 9 carry no word.
# Source: Foster et al. 2001, J Strength Cond Res 15(1):109-115, after Borg.
EFFORT_WORDS = {
    0: N_("rest"),
    1: N_("very very easy"),
    2: N_("easy"),
    3: N_("moderate"),
    4: N_("somewhat hard"),
    5: N_("hard"),
    7: N_("very hard"),
    10: N_("maximal"),
}

# Highest effort up to which each holds. Common practice, no source for the borders.
TALK_TEST = (
    (3, N_("You can talk in whole sentences.")),
    (5, N_("You can say a short sentence, then want a breath.")),
    (7, N_("A few words at a time, no more.")),
    (10, N_("You can't talk.")),
)

_UNIT = re.compile(r"(?<=\d) (?=%|(?:min|s|h|km|mi|spm|g|mg)\b)")

DECIMAL_COMMA = frozenset(
    {"cs", "da", "de", "el", "es", "fi", "fr", "hr", "hu", "it", "nb", "nl", "no", "pl", "pt",
     "ro", "ru", "sk", "sl", "sv", "tr", "uk"}
)  # fmt: skip


def tied(text: str) -> str:
    """A number keeps its unit on its line: the space between them does not break."""
    return _UNIT.sub("\N{NO-BREAK SPACE}", text)


def _finished(said: str) -> str:
    return tied(said[:1].upper() + said[1:])


@dataclass(frozen=True)
class Words:
    """One client's language and units."""

    language: str = "en"
    units: str = "km"
    gettext: Callable[[str], str] = N_
    _said: dict[str, str] = field(default_factory=dict, compare=False, repr=False)

    def number(self, value: float, places: int = 1) -> str:
        """A number without idle zeros, with the decimal sign of the language."""
        text = f"{value:.{places}f}"
        if "." in text:
            text = text.rstrip("0").rstrip(".")
        comma = self.language.split("-")[0].lower() in DECIMAL_COMMA
        return text.replace(".", ",") if comma else text

    def day(self, day: date) -> str:
        """``Tue 9 Feb``."""
        return f"{self.gettext(DAYS_SHORT[day.weekday()])} {self.day_month(day)}"

    def day_month(self, day: date) -> str:
        """``9 Feb``."""
        return f"{day.day} {self.gettext(MONTHS_SHORT[day.month - 1])}"

    def long_date(self, day: date) -> str:
        """``Tuesday 9 February 2027``."""
        weekday = self.gettext(DAYS[day.weekday()])
        return f"{weekday} {day.day} {self.gettext(MONTHS[day.month - 1])} {day.year}"

    def span(self, first: date, days: int) -> str:
        """``8 to 14 Feb``, or ``29 Mar to 4 Apr``."""
        last = first + timedelta(days=days - 1)
        start = str(first.day) if first.month == last.month else self.day_month(first)
        return self.gettext("{start} to {end}").format(start=start, end=self.day_month(last))

    def clock(self, at: time) -> str:
        """``18:30``."""
        return f"{at:%H:%M}"

    def minutes(self, minutes: float) -> str:
        """A length as said aloud: ``30 s``, ``1 min 30 s``, ``45 min``."""
        whole, seconds = divmod(round(minutes * 60), 60)
        if not seconds:
            return tied(f"{whole} min")
        return tied(f"{whole} min {seconds} s" if whole else f"{seconds} s")

    def distance(self, distance: Distance) -> str:
        """``5 km`` or ``3.1 mi``."""
        if self.units == "mi":
            return tied(f"{self.number(distance.miles)} mi")
        return tied(f"{self.number(distance.km)} km")

    def pace(self, pace: Pace) -> str:
        """``6:45 /km`` or ``10:52 /mi``."""
        per_unit = METRES_PER_MILE / 1000 if self.units == "mi" else 1.0
        whole, seconds = divmod(round(pace.seconds_per_km * per_unit), 60)
        return f"{whole}:{seconds:02d} /{self.units}"

    def effort(self, low: int, high: int) -> str:
        """The words of an effort range; empty where the scale has none."""
        words = [self.gettext(EFFORT_WORDS[n]) for n in (low, high) if n in EFFORT_WORDS]
        if low == high:
            words = words[:1]
        return self.gettext(" to ").join(words)

    def effort_number(self, low: int, high: int) -> str:
        """``3`` or ``2–3``."""
        return str(low) if low == high else f"{low}–{high}"

    def talk(self, high: int) -> str:
        """What the breath allows at this effort."""
        return self.gettext(next(words for most, words in TALK_TEST if high <= most))

    def say(self, sentence: Sentence) -> str:
        """A sentence in the client's language: its template is translated, then filled in."""
        if not sentence.values:  # most are: a part's own words, the same all over the plan
            said = self._said.get(sentence.template)
            if said is None:
                said = _finished(self.gettext(sentence.template).format())
                self._said[sentence.template] = said
            return said
        values = {name: self._value(value) for name, value in sentence.values.items()}
        return _finished(self.gettext(sentence.template).format(**values))

    def _value(self, value: object) -> object:
        if isinstance(value, float):
            return self.number(value)
        if isinstance(value, date):
            return self.day(value)
        return self.clock(value) if isinstance(value, time) else value
