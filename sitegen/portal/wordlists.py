"""The words of danger as a client's device reads them: one source with the coach's side.

``views/checkin/words.js`` searches with them; `sitegen.care.words` and `sitegen.care.illness` say
what each part is for.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sitegen.care import illness, words
from sitegen.care.signs import BY_THE_FILE, NOW

PART_SIGNS = (
    "ABCDEFGHIJKLMNOPQRSTUVWXYZ"  # the longest fragments; a short one is cheaper written out
)
EVERY_PAGE = frozenset({*NOW, "self_harm"} - {"cold_limb"} - BY_THE_FILE)
"""Signs that a device looks for in each language: where minutes count. For the others, and for an
illness, it looks in its page's own alone, which keeps the offline copy within its weight. The
coach's side looks for all in every language."""


def word_lists(page: str = "") -> dict[str, Any]:
    """Patterns by language, each list in the order of its signs; what stands in many of them
    once, in ``parts``. A part may hold earlier ones; "@D" is the fourth of them.

    ``\\w`` is "%", groups are written without ``?:``, and like beside like, since that packs
    better. Nothing asks for a group, so that each is remembered does no harm.

    Args:
        page: The page's language, BCP 47. Of other languages only `EVERY_PAGE` is given, unless
            this one has no list.
    """
    tag = page.lower().partition("-")[0]
    has_own = tag in {language.tag for language in words.WORD_LISTS}
    signs = {
        language.tag: [
            sign
            for sign in language.keys
            if any(row.said for row in language.rows[sign])
            if not has_own or language.tag == tag or sign in EVERY_PAGE
        ]
        for language in words.WORD_LISTS
    }

    def ill(told: Mapping[str, str]) -> str:
        return "|".join(told[one] for one in told if not has_own or one == tag)

    used = "\n".join(
        "\n".join((*row.said, row.is_thing, row.explains))
        for language in words.WORD_LISTS
        for sign in signs[language.tag]
        for row in language.rows[sign]
        if row.said
    )
    fragments = sorted(
        {
            text
            for language in words.WORD_LISTS
            for module in language.words.WORD_MODULES
            for name, text in vars(module).items()
            if name.strip("_").isupper() and isinstance(text, str)
            if text in used
        },
        key=lambda text: (len(text), text),
    )[-len(PART_SIGNS) :]

    def packed(text: str, upto: int) -> str:
        for at in range(upto - 1, -1, -1):
            text = text.replace(fragments[at], f"@{PART_SIGNS[at]}")
        return text.replace("(?:", "(").replace(r"\w", "%")

    def pack(text: str) -> str:
        return packed(text, len(fragments))

    return {
        "parts": [packed(text, at) for at, text in enumerate(fragments)],
        "languages": [
            {
                "signs": signs[language.tag],
                "rows": [
                    [
                        [pack("|".join(r.said)), pack(r.is_thing), pack(r.explains)]
                        for r in rows
                        if r.said
                    ]
                    for rows in (language.rows[sign] for sign in signs[language.tag])
                ],
                "before": pack(language.words.DENIES_BEFORE),
                "after": pack(language.words.DENIES_AFTER),
                "joins": pack(language.words.JOINS),
                "lists": pack(language.words.LISTS),
                "calm": pack(language.words.CALM_MOMENT),
                "lasting": pack(language.words.LASTING),
                "others": pack(language.words.OTHERS),
                "self": pack(language.words.SELF),
            }
            for language in words.WORD_LISTS
        ],
        "parted": words.PARTED_BY,
        "past": pack(words.PAST),
        "so": pack(words.STILL_SO),
        "twice": [sorted(pair) for pair in words.SAID_TWICE],
        "ill": {
            "always": pack(ill(illness.ALWAYS)),
            "whenIll": pack(ill(illness.WHEN_ILL)),
            "over": pack(illness.OVER),
            "gone": pack(illness.GONE),
            "longAgo": pack(illness.LONG_AGO),
            "still": pack(illness.STILL),
        },
    }
