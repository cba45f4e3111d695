"""Words in a check-in or a message that speak of danger: found, never understood.

A search for words, no diagnosis. A word counts with its body part or its subject ("tight across
the chest", not "a tight hamstring"); one that is denied ("no chest pain"), that is about somebody
else, or that something beside it may explain ("foot went numb, laces too tight"), is for the
coach's eye and stops nobody. Which words: common practice, no source.
`docs/urgent-words.md` shows the list and its limits. Each language's stands in
`words_TAG`, its rows in `now_TAG` and `today_TAG`.

Pure: text in, signs out.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from functools import cache, lru_cache
from itertools import pairwise
from typing import Any, Literal, NamedTuple

from sitegen.care import words_en, words_es
from sitegen.care.sign_pattern import SignPattern
from sitegen.care.signs import most_urgent_first

PARTED_BY = r"(?<!\S)(?:[,:()]|but|and now|pero|y ahora)(?!\S)"
# What was years ago is over, and for the coach's eye, unless the same part of the sentence says
# that it goes on ("since", "again", "hace años que"). Months are not long enough to be sure.
PAST = (
    r"last year|years? ago|(?:in|en) (?:19|20[01]|202(?=[0-5]))\d+|hace (?:\w+ )?anos?(?! que)|"
    r"ano pasado|as a (?:kid|child)|de pequen[oa]"
)
STILL_SO = r"since|desde|again|otra|still|sigue|now|ahora|today|hoy|yesterday|ayer|like|como|than"
MOST_TEXT = 1_000_000  # characters looked at: a photograph has more, and no words
# What denies or explains a word is looked for in its whole sentence, so the work grows by the
# square of its length. A longer one is searched in pieces that share so many characters, which no
# phrase exceeds; what denies one may stay behind in the piece before, and then it counts.
MOST_OF_SENTENCE, SHARED = 2_000, 400
BY_WORDS = "found by its words alone, so it may be a false alarm"


class Spoken(NamedTuple):
    """One sign of which a text speaks.

    ``words`` are the text's own, plain; ``is_denied`` is True where they deny it, are about
    somebody else, or may be explained: then they are for the coach to read, and nothing stops.
    ``is_doubtful``: what may explain it stands further off in the sentence.
    """

    sign: str
    words: str
    is_denied: bool = False
    is_doubtful: bool = False


class _Found(NamedTuple):
    """Where a sentence speaks of a sign, and how near something stands that may explain it."""

    start: int
    end: int
    sign: str
    explained: Literal["", "beside", "further_off"]
    words: str


@cache
def _pattern(text: str) -> re.Pattern[str]:
    return re.compile(text)


def _whole(words: str) -> re.Pattern[str]:
    return _pattern(rf"(?<!\S)(?:{words})(?!\S)")


def _spans(words: str, clause: str) -> list[tuple[int, int]]:
    return [match.span() for match in _whole(words).finditer(clause)] if words else []


def part_of(clause: str, start: int, end: int) -> tuple[int, int]:
    """Where the part of a sentence begins and ends, between commas or a "but", with these words."""
    marks = [mark.span() for mark in _pattern(PARTED_BY).finditer(clause)]
    return (
        max((last for _, last in marks if last <= start), default=0),
        min((first for first, _ in marks if first >= end), default=len(clause)),
    )


class _Language:
    """One language's list. A pattern is compiled when a text first needs it."""

    def __init__(self, tag: str, words: Any) -> None:
        self.tag = tag
        rows = f"{words.KEYS.strip()}{words.RARER_KEYS}".replace("\n  ", " ").strip().splitlines()
        self.keys: dict[str, list[tuple[tuple[str, ...], ...]]] = {}
        for sign, _, keys in (row.partition(": ") for row in rows):
            looks = tuple(tuple(some.split(", ")) for some in keys.split(" & "))
            self.keys.setdefault(sign, []).append(looks)
        self.rows: dict[str, list[SignPattern]] = {}
        for row in words.SIGN_PATTERNS:
            self.rows.setdefault(row.sign, []).append(row)
        self.words = words
        self.misspelt = {
            wrong: right
            for row in words.MISSPELT.strip().splitlines()
            for wrongs, _, right in [row.partition(": ")]
            for wrong in wrongs.split()
        }

    def could_be(self, clause: str) -> Iterator[str]:
        """The signs that a sentence may speak of, by a quick look."""
        for sign, looks in self.keys.items():
            if any(all(any(key in clause for key in some) for some in keys) for keys in looks):
                yield sign

    def found(self, sign: str, clause: str, beyond: bool = False) -> Iterator[_Found]:
        """The places where a sentence speaks of a sign; none where its words are another thing.

        With ``beyond`` those that a client's device does not look for, without it the others.
        """
        for row in self.rows[sign]:
            forms = row.beyond_device if beyond else row.said
            if not forms:
                continue
            things = _spans(row.is_thing, clause)
            explains = _spans(row.explains, clause)
            for match in _whole("|".join(forms)).finditer(clause):
                start, end = match.span()
                if not any(first < end and start < last for first, last in things):
                    how = self._explained(explains, clause, start, end)
                    yield _Found(start, end, sign, how, match[0])

    def _explained(
        self, explains: Sequence[tuple[int, int]], clause: str, start: int, end: int
    ) -> Literal["", "beside", "further_off"]:
        """A hill explains a racing heart, but not one "while sitting at home, the race is soon"."""
        if not explains:
            return ""
        first, last = part_of(clause, start, end)
        if any(first <= at < last for at, _ in explains):
            return "beside"
        since = max((e for _, e in explains if e <= first), default=0)
        is_calm = _whole(self.words.CALM_MOMENT).search(clause[since:last])
        lasts = _whole(self.words.LASTING).search(clause[first:last])
        return "" if is_calm or lasts else "further_off"

    def mended(self, clause: str) -> str:
        """With common misspellings of words of danger put right."""
        words = clause.split(" ")
        if self.misspelt.keys().isdisjoint(words):
            return clause
        return " ".join(self.misspelt.get(word, word) for word in words)

    @property
    def goes_on(self) -> re.Pattern[str]:
        return _pattern(rf"(?:{self.words.GOES_ON})(?!\S)")

    @property
    def denies_before(self) -> re.Pattern[str]:
        return _pattern(self.words.DENIES_BEFORE)

    @property
    def denies_after(self) -> re.Pattern[str]:
        return _pattern(self.words.DENIES_AFTER)

    @property
    def joins(self) -> re.Pattern[str]:
        return _pattern(self.words.JOINS)

    @property
    def lists(self) -> re.Pattern[str]:
        return _pattern(self.words.LISTS)

    @property
    def others(self) -> re.Pattern[str]:
        return _pattern(self.words.OTHERS)

    @property
    def self_(self) -> re.Pattern[str]:
        return _pattern(self.words.SELF)


WORD_LISTS = (_Language("en", words_en), _Language("es", words_es))
_SENTENCE = re.compile(r" (?:[.;!?]+ )+")


def spoken(text: str, own: Sequence[str] = (), rarer: bool = True) -> tuple[Spoken, ...]:
    """Every sign of which a text speaks, in English and Spanish, most urgent first.

    Args:
        text: What somebody wrote, in any language.
        own: The coach's own urgent words or phrases; ``*`` at the end of one stands for any ending.
        rarer: Whether to search for what a client's device does not, too.

    Returns:
        One for each sign; said wins over doubtful, and that over denied, where a text does both.
    """
    found: dict[str, Spoken] = {}
    each = clauses(text)
    ones = [one for c in each for one in (*_in_clause(c, rarer), *_own_in(c, own))]
    if rarer:
        ones += [one for pair in pairwise(each) for one in _across(*pair)]
    for one in ones:
        if one.sign not in found or _weight(one) > _weight(found[one.sign]):
            found[one.sign] = one
    return tuple(found[sign] for sign in most_urgent_first(found))


def _weight(one: Spoken) -> int:
    return 2 if not one.is_denied else int(one.is_doubtful)


def said(text: str, own: Sequence[str] = ()) -> tuple[str, ...]:
    """Names of the signs that a text tells of, without those that it denies."""
    return _said(text, tuple(own))


@lru_cache(maxsize=4096)  # the same check-ins are read again with each look at a plan
def _said(text: str, own: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(one.sign for one in spoken(text, own) if not one.is_denied)


@lru_cache(maxsize=4096)  # as `said`
def is_bruised(text: str) -> bool:
    """Whether a text tells of a large bruise or a bleed that does not stop."""
    return _tells("|".join(one.words.BRUISE for one in WORD_LISTS), text)


@lru_cache(maxsize=4096)  # as `said`
def takes_thinner(text: str) -> bool:
    """Whether a text says of the writer that a medicine against clotting is taken."""
    return _tells("|".join(one.words.THINNER for one in WORD_LISTS), text)


def _tells(words: str, text: str) -> bool:
    """Whether a text has any of the ``words``, not denied, of the writer and not of years ago."""
    return any(
        not any(
            one.denies_before.search(clause[: match.start()])
            or one.denies_after.match(clause[match.end() :])
            or is_of_another(one, clause[: match.start()], match[0])
            for one in WORD_LISTS
        )
        and not _whole(PAST).search(clause)
        for clause in clauses(text)
        for match in _whole(words).finditer(clause)
    )


def is_of_health(text: str) -> bool:
    """Whether a text has a word of health or of a body that runs, in any language of the list."""
    low = f" {' '.join(re.findall(r'[a-z]+', plain(text)))} "
    return any(_whole(language.words.ABOUT_HEALTH).search(low) for language in WORD_LISTS)


def clauses(text: str) -> tuple[str, ...]:
    """A text's sentences in small letters, without accents; words and commas one space apart."""
    low = plain(text)
    spaced = re.sub(r"([,.;!?:()])", r" \1 ", low)
    whole = (c.strip() for c in _SENTENCE.split(f" {' '.join(spaced.split())} "))
    return tuple(piece for sentence in whole if sentence for piece in _pieces(sentence))


def _pieces(sentence: str) -> Iterator[str]:
    while len(sentence) > MOST_OF_SENTENCE:
        end = sentence.rfind(" ", 2 * SHARED, MOST_OF_SENTENCE + 1)
        if end < 0:  # no words
            yield sentence[:MOST_OF_SENTENCE]
            sentence = sentence[MOST_OF_SENTENCE:]
        else:
            yield sentence[:end]
            back = sentence.rfind(" ", 0, end - SHARED)
            if back < 0:  # it begins with one long word, which need not be shared
                back = sentence.find(" ", end - SHARED)
            sentence = sentence[back + 1 :]
    yield sentence


def plain(text: str) -> str:
    """Small letters without accents; "can't" is "cant", hyphens part words, an empty line ends."""
    spelt = unicodedata.normalize("NFKD", text[:MOST_TEXT])
    bare = "".join(c for c in spelt if not unicodedata.combining(c)).lower()
    bare = re.sub(r"['’‘`´]", "", bare)
    bare = re.sub(r"\n[\s>]*\n", " . ", bare)
    bare = re.sub(r"(?<=\d)[.,](?=\d)", "·", bare)
    return re.sub(r"[\s_>*\"“”«»…/|–—-]+", _gap, bare)


def _gap(found: re.Match[str]) -> str:
    marks = found[0]
    if "…" in marks or "—" in marks or "–" in marks:
        return " , "
    return "/" if marks == "/" else " "


def _in_clause(clause: str, rarer: bool) -> Iterable[Spoken]:
    for language in WORD_LISTS:
        signs = (*language.could_be(clause),)
        found = [one for sign in signs for one in language.found(sign, clause)]
        yield from _judged(language, clause, found)
        if not rarer:
            continue
        more = [one for sign in signs for one in language.found(sign, clause, beyond=True)]
        if more:  # judged apart, so that what a device hears is heard here whatever lies over it
            yield from _judged(language, clause, found + more)
        mended = language.mended(clause)
        if mended != clause:
            both = [
                one
                for sign in language.could_be(mended)
                for beyond in (False, True)
                for one in language.found(sign, mended, beyond)
            ]
            yield from _judged(language, mended, both)


# So many words of a sentence before may belong to the next one: "My calf. It is swollen."
MOST_BEFORE = 14


def _across(before: str, after: str) -> Iterator[Spoken]:
    """What two sentences tell together, where the second goes on about the first."""
    for language in WORD_LISTS:
        before, after = language.mended(before), language.mended(after)
        words = before.split()
        if len(words) > MOST_BEFORE or not language.goes_on.match(after):
            continue
        for link in (" , ", " ") if len(words) <= MOST_BEFORE // 2 else (" , ",):
            whole = f"{before}{link}{after}"
            both = [
                one
                for sign in language.could_be(whole)
                for beyond in (False, True)
                for one in language.found(sign, whole, beyond)
                if one.start < len(before) < one.end - len(link)
            ]
            yield from _judged(language, whole, both)


def _judged(language: _Language, clause: str, found: list[_Found]) -> Iterator[Spoken]:
    ordered = _without_milder(sorted(found))
    denied = _denied(language, clause, ordered)
    for one, is_denied in zip(ordered, denied, strict=True):
        is_of_other = is_of_another(language, clause[: one.start], one.words)
        is_no = is_denied or is_of_other or _is_past(clause, one)
        is_doubtful = not is_no and one.explained == "further_off"
        yield Spoken(one.sign, one.words.strip(" ,"), is_no or bool(one.explained), is_doubtful)


def _is_past(clause: str, one: _Found) -> bool:
    """Whether it is told of years ago; who thought of death then is asked about it now."""
    if one.sign == "self_harm":
        return False
    first, last = part_of(clause, one.start, one.end)
    part = clause[first:last]
    return bool(_whole(PAST).search(part)) and not _whole(STILL_SO).search(part)


SAID_TWICE = (
    {"fainting", "near_fainting"},
    {"breathless_at_rest", "breathless_out_of_proportion"},
)


def _without_milder(matches: list[_Found]) -> list[_Found]:
    """ "Almost fainted" is nearly fainting, and not fainting too: the longer words count."""
    return [
        one
        for one in matches
        if not any(
            {one.sign, other.sign} in SAID_TWICE
            and other.start < one.end
            and one.start < other.end
            and other.end - other.start > one.end - one.start
            for other in matches
        )
    ]


def _denied(language: _Language, clause: str, matches: Sequence[_Found]) -> list[bool]:
    """For each match whether the sentence denies it, by itself or in a list.

    "No chest pain, dizziness or fainting" denies all three; "no fainting, chest pain all day"
    denies the first alone, for only "or" makes a list of what is not there.
    """
    found: list[bool] = []
    for at, one in enumerate(matches):
        alone = language.denies_before.search(clause[: one.start]) or language.denies_after.match(
            clause[one.end :]
        )
        found.append(bool(alone) or _in_denied_list(language, clause, matches, found, at))
    return found


def _in_denied_list(
    language: _Language, clause: str, matches: Sequence[_Found], found: Sequence[bool], at: int
) -> bool:
    start = matches[at].start
    before = max((one.end for one, no in zip(matches, found, strict=False) if no), default=0)
    if not before:
        return False
    if start < before:
        return True  # other words for what is denied already
    is_list = False
    for (_, end), (next_, _) in pairwise([(0, before), *((m.start, m.end) for m in matches[at:])]):
        link = clause[end:next_]
        if next_ < end:
            continue
        if not language.joins.fullmatch(link):
            return is_list if end != before else False
        is_list = is_list or bool(language.lists.search(link))
    return is_list


def is_of_another(language: _Language, before: str, words: str = "") -> bool:
    """Whether somebody else is spoken of before these words, and not the writer as well."""
    named = list(language.others.finditer(before))
    return bool(named) and not language.self_.search(f" {before[named[-1].end() :]}{words}")


def _own_in(clause: str, own: Sequence[str]) -> Iterable[Spoken]:
    for phrase in own:
        wanted = " ".join(re.sub(r"([,.;!?:()])", r" \1 ", plain(phrase.rstrip("*"))).split())
        if not wanted:
            continue
        end = r"\S*" if phrase.rstrip().endswith("*") else r"(?!\S)"
        found = re.search(rf"(?<!\S){re.escape(wanted)}{end}", clause)
        if found:
            yield Spoken("urgent_word", found[0], _denies(clause[: found.start()]))


def _denies(before: str) -> bool:
    return any(language.denies_before.search(before) for language in WORD_LISTS)
