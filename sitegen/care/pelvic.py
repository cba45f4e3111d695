"""Words of the pelvic floor from who has given birth: heaviness, leaking, bleeding.

What the first talk tells the coach of a birth, "leaking, heaviness or bleeding in a run: stop", is
looked for in what comes back. A search for words, no diagnosis; which words: common practice, no
source. They stop nobody, and are for the coach to ask about.

Pure: text in, yes or no out.
"""

from __future__ import annotations

from functools import lru_cache

from sitegen.care.illness import tells_of

_DOWN = r"(?:down (?:below|there)|in my pelvi\w+|pelvi\w+|vagina\w*|perineum|between (?:my )?legs)"
_ABAJO = r"(?:(?:ahi|por|alla) abajo|la pelvis|pelvic\w+|vagin\w+|(?:el )?perine)"
PELVIC_WORDS = {
    "en": rf"(?:heav(?:y|iness)|dragging|bulg\w+|pressure|weight|something coming) (?:\w+ ){{0,4}}?"
    rf"{_DOWN}|(?:something|everything) (?:is |was |were |might |would )?(?:coming|falling|dropping"
    r"|fall|drop) out|(?:pelvic|vaginal) (?:heaviness|pressure|pain|bulge|bleeding)|prolapse"
    r"|(?:leak\w*|lost|losing|dribbl\w*) (?:\w+ ){0,4}?(?:urine|pee|wee)"
    r"|i (?:\w+ )?leak\w*|leaking (?:again|when|while|during)"
    r"|(?:bit of|some|slight|a little) leak(?:age|ing|s)?\b(?! (?:bottle|pack|roof|shoe|tap))"
    r"|(?:felt|feel\w*|was|is|little|bit|and|so|very) heav(?:y|iness) (?:down )?below"
    r"|wet myself|(?:some|light|heavy|more) bleeding(?! (?:toe|nose|blister|heel|nipple))"
    r"|bleeding (?:\w+ )?(?:again|since the|after the|during the|in the) ?(?:run|birth)?|spotting",
    "es": rf"(?:peso|pesadez|presion|bulto|tiron) (?:\w+ ){{0,4}}?{_ABAJO}|prolapso"
    r"|(?:peso|pesadez|presion) (?:\w+ ){0,2}?(?<!cuesta )abajo(?! de)"
    r"|como si (?:algo )?se me (?:saliera|cayera|bajara)|me hago (?:un poco de )?pis"
    r"|(?:escap\w+|pierdo|perdi|perdido) (?:\w+ ){0,4}?(?:orina|pis)|perdidas de (?:orina|sangre)"
    r"|sangrad\w+ (?:\w+ )?(?:vaginal|despues|al correr|otra vez)|he manchado",
}


@lru_cache(maxsize=1024)  # the same check-ins are read again with each look at a plan
def pelvic_said(text: str) -> bool:
    """Whether a text tells of it, neither denied, past, nor somebody else's."""
    return bool(text) and tells_of(PELVIC_WORDS, text)
