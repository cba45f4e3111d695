"""Words of danger of who is pregnant: what the first talk tells the coach of, in what comes back.

Bleeding, contractions, waters that break or leak, a baby that moves less, a headache with spots
before the eyes, swollen hands or face. Looked for with those alone of whom the file says
`pregnant`, so the words may be plain ones: a false alarm costs a call. That each is for whoever
looks after the birth at once: the usual advice to pregnant women (from memory); *now*, as the page
knows no number but the emergency one: the safer reading. A search for words, no diagnosis.

Pure: text in, yes or no out.
"""

from __future__ import annotations

from functools import lru_cache

from sitegen.care.illness import tells_of

_GAP = r"(?:\w+ ){0,4}?"
_BELLY = r"(?:belly|bump|tummy|stomach|womb|abdomen)"
_NO_THING = r"(?<!bottle )(?<!flask )(?<!pack )(?<!roof )(?<!shoe )(?<!shoes )(?<!tap )"
_MOVES = r"(?:mov\w+|kick\w*)"
_LESS = r"(?:less|fewer|no|little|hardly|barely|reduced|stopped|quiet\w*|havent|hasnt|isnt|not)"
_TRIPA = r"(?:barriga|tripa|vientre|utero|abdomen)"
_MUEVE = r"(?:muev\w+|movid\w+|movim\w+|mover\w*|patad\w+|patea\w*)"
_MENOS = r"(?:menos|apenas|casi no|no|pocos?|dejado de)"
PREGNANCY_WORDS = {
    "en": r"(?:bled|bleed\w*)(?! (?:toe|nose|blister|heel|nipple|knee|gums?|shin|finger))"
    r"|spotting|contractions?"
    rf"|waters? {_GAP}(?:broke\w*|break\w*|gone|going)|(?:broke|break\w*) my waters?"
    rf"|{_NO_THING}leak\w*(?! (?:bottle|pack|roof|shoes?|tap))"
    r"|(?:gush|trickle) of (?:fluid|water|liquid)"
    rf"|baby {_GAP}{_LESS} {_GAP}{_MOVES}|baby {_GAP}{_MOVES} {_GAP}(?:less|little|fewer)"
    rf"|{_LESS} {_GAP}(?:baby {_GAP}{_MOVES}|{_MOVES} {_GAP}baby)|(?:less|fewer|reduced) {_MOVES}"
    rf"|(?:bad|severe|terrible|splitting|awful|strong) headache|headache {_GAP}(?:eyes|spots|stars)"
    r"|(?:see|seeing|saw) (?:\w+ )?(?:spots|stars|flashes|lights)|(?:blurr\w+|double) vision"
    rf"|(?:swollen|puffy) {_GAP}(?:hands?|face|fingers|eyes)"
    rf"|(?:hands?|face|fingers|eyes) {_GAP}(?:swollen|swelling|swelled|puffy)"
    rf"|{_BELLY} {_GAP}(?:tight\w*|hard|cramp\w*|pains?)"
    rf"|(?:tighten\w*|tight|hard|cramp\w*) {_GAP}{_BELLY}",
    "es": r"sangr\w+(?! (?:el dedo|la nariz|la ampolla|el talon|la rodilla))|manchad[oa]|mancho"
    r"|contraccion\w*"
    rf"|(?:roto|rompi\w*) {_GAP}(?:aguas|bolsa)|pierdo {_GAP}(?:liquido|aguas?)|perdida de liquido"
    rf"|(?:bebe|nino|nina) {_GAP}{_MENOS} {_GAP}{_MUEVE}|(?:bebe|nino|nina) {_GAP}{_MUEVE} menos"
    rf"|{_MENOS} {_GAP}{_MUEVE} {_GAP}(?:bebe|nino|nina)|{_MUEVE} {_GAP}menos"
    rf"|(?:fuerte|mucho) dolor de cabeza|dolor de cabeza {_GAP}(?:fuerte|luces|manchas)"
    r"|veo (?:\w+ )?(?:luces|manchas|puntos|estrellas|borroso|doble)|vision borrosa"
    rf"|(?:manos?|cara|dedos|ojos) {_GAP}hinchad\w+|hinchad\w+ {_GAP}(?:manos?|cara|dedos|ojos)"
    rf"|{_TRIPA} {_GAP}(?:dur[ao]|tensa|se (?:me )?pone)|dolor {_GAP}{_TRIPA}",
}


@lru_cache(maxsize=1024)  # the same check-ins are read again with each look at a plan
def pregnancy_said(text: str) -> bool:
    """Whether a text tells of it, neither denied, past, nor somebody else's."""
    return bool(text) and tells_of(PREGNANCY_WORDS, text)
