"""Words of an illness: fever, the chest, the gut; and what a check-in tells of one.

With any of these nobody runs until it is over and a day has passed; ill without them is easy
running by feel. A search for words, no diagnosis. Source: judgement; that fever and signs below
the neck keep from training is common practice, no source.

Pure: text in, grades out.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Literal

from sitegen.care.signs import ILL
from sitegen.care.words import WORD_LISTS, clauses, is_of_another, part_of
from sitegen.model.checkin import CheckIn

IllnessGrade = Literal["grave", "mild"]

_DEGREES = r"3[89](?:·\d)?|4[01](?:·\d)?"
# Words that tell of such an illness wherever they stand, by language.
ALWAYS = {
    "en": r"(?<!hay )fever(?:ish)?(?! pitch)|(?:high |a )?temperature of (?:" + _DEGREES + r")"
    r"|(?:flu|influenza|covid)(?! (?:jab|shot|vaccin\w*|booster|test|negativ\w*)\b)"
    r"|positive (?:\w+ )?(?:covid|flu) test|covid test (?:(?:was|is|came|back|up|"
    r"again) ){0,3}positive"
    r"|tested positive|(?:vomit\w*|threw up|throwing up|(?:being|was) sick) all (?:night|day|"
    r"evening)"
    r"|coronavirus|bronchitis|pneumonia|chest infection|pleurisy"
    r"|(?:stomach|tummy|gastric) (?:bug|flu|virus|infection)|gastroenteritis|food poisoning"
    r"|cold (?:on|in) (?:the|my) chest|chest(?:y)? (?:cough|cold)|norovirus",
    "es": r"fiebre|febril|calentura|gripe|bronquitis|neumonia|pulmonia"
    r"|infeccion (?:de pecho|pulmonar)"
    r"|catarro (?:de|en el) pecho|gastroenteritis|intoxicacion alimentaria|virus estomacal"
    r"|(?:di|dado|salido) positivo(?=$| [,)]| (?:hoy|ayer|otra|de nuevo|esta)\b)|(?:test|"
    r"prueba) (?:de )?covid (?:\w+ )?positiv[oa]"
    r"|covid(?! (?:test|negativ\w*)\b)|(?:vomit\w+|diarrea) toda la noche"
    r"|toda la noche (?:vomitando|con (?:vomitos|diarrea))",
}
# So do these, and the coach's side alone looks for them: a device has no room for more.
BEYOND_DEVICE = {
    "en": r"(?:had|have|having|got|run|running|ran|with|spiked|still) (?:got )?a "
    r"(?:high |slight |mild |low |bit of a |raised )?temperature"
    r"(?! (?:of|around|about|above|below|over|under|near|drop|change|rise|in|outside|range))"
    r"|(?:shivers|shivering|chills) (?:in bed|all night|last night|and (?:a )?(?:sweats?|aches?|"
    r"fever|temperature))|(?:aches?|aching|sweats|fever|temperature) and (?:the )?"
    r"(?:shivers|shivering|chills)",
    "es": r"temperatura de (?:" + _DEGREES + r")|(?:tengo|tenia|tuve|sigo con) "
    r"(?:unas |algunas |algo de |un poco de )?(?:decimas(?! de segundo)|temperatura|escalofrios)"
    r"|(?:tiritona|escalofrios) (?:y|toda la noche|en la cama|desde)",
}
# Words that tell of one only from somebody who says to be ill: many a runner is sick after sprints.
WHEN_ILL = {
    "en": r"temperature|cough\w*|phlegm|vomit\w*|threw up|throwing up|being sick|diarrh\w+|the runs"
    r"|stomach\w*|tummy|belly|guts?|bowels?|nausea|chest|lungs?|wheez\w+",
    "es": r"temperatura|tos|toso|flemas?|vomit\w*|vomito\w*|diarrea|estomago|barriga|tripas?"
    r"|intestin\w+|nauseas?|pecho|pulmon\w*|pitos",
}
OVER = (
    r"(?:after|since|post|over|despues de|tras|desde) "
    r"(?:a |an |the |that |my |la |una? |el |mi )?(?:bad |nasty |mala? )?$"
)
GONE = (
    r" (?:is |are |was |has |all |now |finally |ya |se )*(?:gone|over|passed|behind|paso|pasado)\b"
)
LONG_AGO = r"last (?:year|month|winter|autumn|summer|spring)|years ago|months ago|hace (?:un )?ano"
STILL = rf"\b(?:since|desde) (?:{LONG_AGO})"  # "covid since last month" is no matter of the past


def tells_of(words: Mapping[str, str], text: str) -> bool:
    """Whether a sentence has one of the ``words``, a pattern a language, and neither denies it, nor
    tells of the past, nor speaks of somebody else."""
    pattern = "|".join(words.values())
    for clause in clauses(text):
        for match in re.finditer(rf"(?<!\S)(?:{pattern})(?!\S)", clause):
            before, after = clause[: match.start()], clause[match.end() :]
            first, last = part_of(clause, *match.span())
            is_old = re.search(LONG_AGO, clause[first:last]) and not re.search(STILL, after)
            is_past = is_old or re.search(OVER, before) or re.match(GONE, after)
            if not (is_past or _denied(before, after) or _of_another(before)):
                return True
    return False


def _denied(before: str, after: str) -> bool:
    return any(
        language.denies_before.search(before) or language.denies_after.match(after)
        for language in WORD_LISTS
    )


def _of_another(before: str) -> bool:
    """Whether somebody else is spoken of last before these words, and not the writer as well."""
    return any(is_of_another(language, before) for language in WORD_LISTS)


@lru_cache(maxsize=4096)  # as `words.said`
def is_ill(text: str, says_ill: bool = False, rarer: bool = True) -> bool:
    """Whether a text tells of fever, the chest or the gut.

    Args:
        text: What somebody wrote, in English or Spanish.
        says_ill: Whether the same check-in says ``skipped: ill``; then more words count.
        rarer: Whether to search for what a client's device does not, too.
    """
    if not text:
        return False
    told = tells_of(ALWAYS, text) or (rarer and tells_of(BEYOND_DEVICE, text))
    return told or (says_ill and tells_of(WHEN_ILL, text))


def grade(entry: CheckIn) -> IllnessGrade | None:
    """How a check-in tells of an illness; None where it tells of none, or that it is over."""
    says_ill = entry.skipped == "ill"
    if entry.well_again:
        return None
    if {*entry.signs} & {*ILL} or is_ill(entry.said or "", says_ill):
        return "grave"
    return "mild" if says_ill else None
