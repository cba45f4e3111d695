"""How numbers, dates and effort are said to a client, in the client's language.

Every string passes through ``gettext``; without a catalogue, English comes out. `N_` marks a
string for the catalogue where it is written down but not yet said.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from functools import cached_property
from typing import Any

from sitegen.model.languages import ENGLISH, fitting
from sitegen.model.sentence import N_, Sentence
from sitegen.model.values import METRES_PER_MILE, Distance, Pace, Percent
from sitegen.portal.cldr import DATE_WORDS, DateWords

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip

# Our own plain English: the day before the month, no comma.
ENGLISH_DATES = DateWords(
    days=WEEKDAYS,
    days_short=tuple(day[:3] for day in WEEKDAYS),
    months=MONTHS,
    months_short=tuple(month[:3] for month in MONTHS),
    long_date="{weekday} {day} {month} {year}",
    decimal=".",
)

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

MOST_KEPT = 4096  # sentences, and days
_UNIT = re.compile(r"(?<=\d) (?=%|(?:min|s|h|km|mi|m|spm|g|mg)\b)")


def tied(text: str) -> str:
    """A number keeps its unit on its line: the space between them does not break."""
    return _UNIT.sub("\N{NO-BREAK SPACE}", text)


def _finished(said: str) -> str:
    return tied(said[:1].upper() + said[1:])


def one_or_many(one: str, many: str, count: int) -> str:
    """English: one for a single thing, many for any other number."""
    return one if count == 1 else many


def _keep(kept: dict[Any, str], key: Hashable, said: str) -> None:
    if len(kept) >= MOST_KEPT:
        kept.clear()
    kept[key] = said


@dataclass(frozen=True)
class Words:
    """A language and units. Dates and numbers follow the language alone.

    What was said is kept, since a plan says few things often; so clients share their words.
    """

    language: str = ENGLISH
    units: str = "km"
    gettext: Callable[[str], str] = N_
    ngettext: Callable[[str, str, int], str] = one_or_many
    _said: dict[Hashable, str] = field(default_factory=dict, compare=False, repr=False)
    _days: dict[date, str] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def _dates(self) -> DateWords:
        found = fitting(self.language, DATE_WORDS)
        return DATE_WORDS[found] if found else ENGLISH_DATES

    def number(self, value: float, places: int = 1) -> str:
        """A number without idle zeros, with the decimal sign of the language."""
        text = f"{value:.{places}f}"
        if "." in text:
            text = text.rstrip("0").rstrip(".")
        text = "0" if text == "-0" else text
        return text.replace(".", self._dates.decimal)

    def percent(self, value: float) -> str:
        """``7.5 %``."""
        return tied(f"{self.number(value, 2)} %")

    def day(self, day: date) -> str:
        """``Tue 9 Feb``."""
        said = self._days.get(day)
        if said is None:
            said = f"{self._dates.days_short[day.weekday()]} {self.day_month(day)}"
            _keep(self._days, day, said)
        return said

    def day_month(self, day: date) -> str:
        """``9 Feb``."""
        return f"{day.day} {self._dates.months_short[day.month - 1]}"

    def long_date(self, day: date) -> str:
        """``Tuesday 9 February 2027``."""
        return self._dates.long_date.format(
            weekday=self._dates.days[day.weekday()],
            day=day.day,
            month=self._dates.months[day.month - 1],
            year=day.year,
        )

    def span(self, first: date, days: int) -> str:
        """``8 to 14 Feb``, or ``29 Mar to 4 Apr``."""
        last = first + timedelta(days=days - 1)
        start = str(first.day) if first.month == last.month else self.day_month(first)
        return self.gettext("{start} to {end}").format(start=start, end=self.day_month(last))

    def clock(self, at: time) -> str:
        """``18:30``."""
        return at.isoformat("minutes")

    def minutes(self, minutes: float) -> str:
        """A length as said aloud: ``30 s``, ``1 min 30 s``, ``45 min``."""
        said = self._said.get(minutes)
        if said is None:
            whole, seconds = divmod(round(minutes * 60), 60)
            if not seconds:
                form = self.gettext("{minutes} min")
            elif whole:
                form = self.gettext("{minutes} min {seconds} s")
            else:
                form = self.gettext("{seconds} s")
            said = tied(form.format(minutes=whole, seconds=seconds))
            _keep(self._said, minutes, said)
        return said

    def distance(self, distance: Distance) -> str:
        """``5 km`` or ``3.1 mi``; what would be none of these, ``40 m`` or ``0.02 mi``."""
        if self.units == "mi":
            return tied(f"{self.number(distance.miles, 1 if distance.miles >= 0.1 else 2)} mi")
        if distance.km < 0.1:
            return tied(f"{self.number(distance.metres, 0)} m")
        return tied(f"{self.number(distance.km)} km")

    def pace(self, pace: Pace) -> str:
        """``6:45 /km`` or ``10:52 /mi``."""
        per_unit = METRES_PER_MILE / 1000 if self.units == "mi" else 1.0
        whole, seconds = divmod(round(pace.seconds_per_km * per_unit), 60)
        return f"{whole}:{seconds:02d} /{self.units}"

    def effort(self, low: int, high: int) -> str:
        """The words of an effort range; empty where the scale has none."""
        words = [self.gettext(EFFORT_WORDS[n]) for n in (low, high) if n in EFFORT_WORDS]
        if low == high or len(words) < 2:
            return "".join(words[:1])
        return self.gettext("{low} to {high}").format(low=words[0], high=words[1])

    def effort_number(self, low: int, high: int) -> str:
        """``3`` or ``2–3``."""
        return str(low) if low == high else f"{low}–{high}"

    def talk(self, high: int) -> str:
        """What the breath allows at this effort."""
        return self.gettext(next(words for most, words in TALK_TEST if high <= most))

    def say(self, sentence: Sentence) -> str:
        """A sentence in the client's language: its template is translated, then filled in."""
        key = (sentence.template, *sentence.values.values())
        said = self._said.get(key)
        if said is None:
            said = _finished(self._filled(sentence))
            _keep(self._said, key, said)
        return said

    def _filled(self, sentence: Sentence) -> str:
        count = sentence.values.get("count")
        if not sentence.template:
            return ""
        if sentence.many and isinstance(count, int):
            template = self.ngettext(sentence.template, sentence.many, count)
        else:
            template = self.gettext(sentence.template)
        return template.format(**{name: self._value(v) for name, v in sentence.values.items()})

    def _value(self, value: object) -> object:
        match value:
            case float():
                return self.number(value)
            case date():
                return self.day(value)
            case time():
                return self.clock(value)
            case Percent():
                return self.percent(value.percent)
            case Sentence():
                return self._filled(value)
        return value
