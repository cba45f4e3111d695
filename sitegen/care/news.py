"""Words of a pregnancy, or of a medicine that somebody has begun.

The page asks clients to tell of both, so the coach has to hear of them. They stop nobody, and are
for the coach to ask about. A search for words, no diagnosis: each may mean something else. Which
words: common practice, no source.

Pure: text in, names out, those of `sitegen.care.history.HISTORY`.
"""

from __future__ import annotations

from functools import lru_cache

from sitegen.care.illness import tells_of

_SO = r"(?:(?!(?:not|never|no|isnt|wasnt) )\w+ ){0,4}?"
_SI = r"(?:(?!(?:no|nunca) )\w+ ){0,3}?"
_MEDICINE = (
    r"(?:medicines?|medication|meds|tablets?|pills|antibiotics?|ciprofloxacin|levofloxacin|"
    r"steroids?|prednisolone|cortisone|insulin|beta blockers?|statins?|antidepressants?|"
    r"blood thinners?|anticoagulants?|warfarin|apixaban|eliquis|rivaroxaban|xarelto|metformin|"
    r"thyroxine|levothyroxine)"
)
# What may stand between: salt, magnesium or vitamins are no medicine that matters here.
_A_NEW = (
    r"(?:(?:me|on|to|taking|a|an|my|the|some|new|another|course|of|those|with|stronger|"
    r"different|other|two|three|daily|blood|pressure|heart|thyroid|asthma|prescription) ){0,6}?"
)
_MEDICINA = (
    r"(?:medicinas?|medicamentos?|medicacion|pastillas?|antibiotic\w+|ciprofloxacin\w+|"
    r"levofloxacin\w+|corticoides?|cortisona|insulina|betabloqueantes?|estatinas?|"
    r"antidepresivos?|anticoagulantes?|sintrom|warfarina|apixaban|levotiroxina|metformina)"
    r"(?! (?:de |para )?(?:sal|magnesio|vitaminas?|hierro|cafeina|glucosa))"
)
_UNA_NUEVA = (
    r"(?:(?:con|a|de|tomar|tomando|un|una|unos|unas|el|la|los|las|mi|mis|nuev[oa]s?|otr[oa]s?|mas) "
    r"){0,5}?"
)

NEWS: dict[str, dict[str, str]] = {
    "pregnant": {
        "en": rf"(?:i am|im|(?:i )?(?:might|may|could) be) {_SO}pregnant"
        r"|pregnancy test (?:(?:was|is|came|back|out|up|again) ){0,3}positive"
        r"|positive pregnancy test|(?:i am|im|we are|were) expecting (?:a|our|another|my) "
        r"(?:\w+ )?(?:baby|child)",
        "es": rf"(?:estoy|este|he quedado|hemos quedado) {_SI}embarazada"
        r"|me he quedado embarazada|(?:test|prueba) de embarazo (?:(?:ha|me|dado|dio|dio|salio|"
        r"salido|es|fue) ){0,3}positiv[oa]|(?:espero|esperamos) (?:un|otro) (?:bebe|hijo)",
    },
    "medicines": {
        "en": rf"(?:started|starting|begun|began|prescribed|given|gave me|put me|been put|am|im|"
        rf"switched|changed) (?!(?:not|off) ){_A_NEW}{_MEDICINE}"
        rf"|new (?:blood pressure |heart |thyroid |asthma )?{_MEDICINE}",
        "es": r"(?:empec\w+|empez\w+|comenc\w+|comenzad\w+|me (?:ha|han) (?:recetad|dad|puest|"
        r"mandad|cambiad)o|me (?:receto|dio|puso|mando|recetaron|dieron|pusieron|mandaron|"
        rf"cambiaron)|estoy tomando|ahora tomo) {_UNA_NUEVA}{_MEDICINA}"
        r"|(?:medicinas?|medicamentos?|medicacion|pastillas?) nuev[oa]s?",
    },
}


@lru_cache(maxsize=4096)  # the same check-ins are read again with each look at a plan
def news_said(text: str) -> tuple[str, ...]:
    """Names of what a text tells of, without what it denies, is past, or is somebody else's."""
    return tuple(name for name, words in NEWS.items() if tells_of(words, text)) if text else ()
