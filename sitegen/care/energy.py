"""Words of too little energy for what is done: periods that stay away, tired for weeks, eating
little, losing weight.

They stop nobody: they are for the coach to ask about, and for a clinician. A search for words, no
diagnosis: each may mean something else. That they go together: the IOC's consensus on relative
energy deficiency, Br J Sports Med 2023 (from memory); which words: common practice, no source.

Pure: text in, names out, those of `sitegen.care.history.LOW_ENERGY`.
"""

from __future__ import annotations

from functools import lru_cache

from sitegen.care.illness import tells_of

_TIRED = r"(?:tired|exhausted|drained|knackered|shattered|worn out|fatigued|run down)"
_FOR_WEEKS = (
    r"(?:for|since|these|over|all|in) (?:the )?(?:last |past )?(?:\w+ ){0,2}?(?:weeks|months?)"
)
_CANSADA = (
    r"(?:cansad[oa]|agotad[oa]|exhaust[oa]|fatigad[oa]|hech[oa] polvo|sin (?:energia|fuerzas))"
)
_REGLA = r"(?:(?:la )?(?:regla|menstruacion)|el periodo(?! de))"

# By what they tell of, and by language.
ENERGY_WORDS: dict[str, dict[str, str]] = {
    "missed_periods": {
        "en": r"(?:missed|missing|skipped|lost) (?:(?:a|my|another|the|last|two|three|\d+) ){1,3}"
        r"periods?(?! (?:of|pains?|cramps?))"
        r"|no periods? (?:(?:at all|again|now) )?(?:for|since|in|this month|again)"
        r"|no periods?(?= [,)]|$)"
        r"|(?:havent|have not|hasnt|didnt|did not) (?:had|have|got|get) (?:my |a |any )?periods?"
        r"|(?:my )?periods? (?:still )?(?:didnt|did not|hasnt|has not|havent|have not|never) "
        r"(?:come|came|arrived|shown up|turned up|returned)"
        r"|(?:my )?periods (?:have |has |are )?(?:all )?(?:stopped|gone|disappeared|stayed away)"
        r"|(?:my )?period (?:has |is )(?:gone|disappeared|stayed away|missing)|amenorrh\w+",
        "es": rf"no me (?:(?:ha|viene|baja) )?(?:vino|bajo|llego|venido|bajado|llegado|toca)? ?"
        rf"(?:todavia |aun )?{_REGLA}"
        rf"|(?:sin|falta de) {_REGLA}|no tengo {_REGLA} (?:desde|hace)"
        rf"|(?:hace|llevo) (?:\w+ ){{1,3}}que no (?:tengo|me viene|veo) {_REGLA}"
        rf"|no he tenido {_REGLA}"
        r"|(?:se me|me) (?:ha )?(?:retirad\w+|retiro|cortado|corto|falta|falto|faltado|ido|fue"
        rf"|desaparecido) {_REGLA}"
        rf"|{_REGLA} (?:(?:no|ya no|sigue sin) (?:me )?(?:ha )?(?:viene|venido|venir|vino|baja"
        r"|bajado|bajar|bajo|aparece)|(?:se me )?(?:ha )?(?:desaparecido|retirado|fue|ido))"
        r"|amenorrea",
    },
    "low_energy": {
        "en": rf"{_TIRED} (?:\w+ ){{0,4}}?{_FOR_WEEKS}|{_TIRED} all the time"
        rf"|(?:always|constantly|permanently) (?:so )?{_TIRED}(?! (?:on|after|by|when|in|at))"
        rf"|{_FOR_WEEKS} (?:(?!(?:not|never|less|no) )\w+ ){{0,5}}?{_TIRED}"
        r"|(?:weeks|months) of (?:exhaustion|tiredness|fatigue|being (?:tired|exhausted))"
        rf"|no energy (?:\w+ ){{0,2}}?{_FOR_WEEKS}"
        r"|(?:not|hardly|barely|scarcely) eating(?! (?:before|during|after|on|meat|out|at "
        r"(?:work|night|lunch)))"
        r"|(?:dont|do not|cant|cannot) eat (?:enough|much|properly)(?! (?:before|during|after|on))"
        r"|eat(?:ing)? (?:far |much )?(?:too|so|very) little|under ?eating|starving myself"
        r"|(?:skip|skipping) meals"
        r"|restricting (?:food|calories|what i eat)|(?:afraid|scared) (?:of|to) (?:eat\w*|food)"
        r"|(?:afraid|scared) of (?:gaining|putting on) weight"
        r"|mak(?:e|ing) myself (?:sick|vomit|throw up)"
        rf"|(?:throw|throwing) up after (?:meals|eating|dinner)|no appetite {_FOR_WEEKS}",
        "es": rf"{_CANSADA} (?:\w+ ){{0,3}}?(?:desde hace|hace|durante) (?:\w+ )?"
        r"(?:semanas|mes(?:es)?)"
        r"|llevo (?:\w+ ){0,3}(?:semanas|mes(?:es)?) (?:\w+ ){0,3}?"
        rf"{_CANSADA}|{_CANSADA} todo el tiempo|(?:siempre|constantemente) (?:tan )?"
        rf"{_CANSADA}(?! (?:los|despues|al|cuando|por|a))"
        r"|(?:semanas|meses) de (?:cansancio|agotamiento|fatiga)"
        r"|no (?:me )?estoy comiendo(?: (?:bien|suficiente|bastante|lo suficiente|casi|nada))?"
        r"(?! (?:carne|antes|fuera))"
        r"|estoy comiendo (?:muy |demasiado |tan )?(?:poco|mal)|(?:apenas|casi no) como"
        r"|como (?:muy|demasiado|tan) poco (?:ultimamente|estos dias|para (?:lo que|todo))"
        r"|no como (?:lo suficiente|suficiente|bastante|casi nada|apenas)(?! (?:antes|durante))"
        r"|(?:me salto|saltandome|me estoy saltando) (?:las )?comidas|pas(?:o|ando) hambre"
        r"|miedo a (?:comer|engordar)|me provoco el vomito",
    },
    "weight_loss": {
        "en": r"(?:lost|losing|lose|dropped|dropping) (?:\w+ ){0,3}?(?:weight|kilos?|kg|pounds|lbs"
        r"|stone) (?:\w+ ){0,3}?(?:without (?:trying|meaning|wanting)|for no reason|"
        r"unintentionally)",
        "es": r"(?:perdi|perdido|perdiendo|pierdo|bajado|bajando) (?:\w+ ){0,3}?(?:peso|kilos?|kg) "
        r"(?:\w+ ){0,3}?sin (?:querer\w*|motivo|proponermelo|intentarlo|buscarlo)",
    },
}  # fmt: skip


@lru_cache(maxsize=4096)  # the same check-ins are read again with each look at a plan
def energy_said(text: str) -> tuple[str, ...]:
    """Names of what a text tells of, without what it denies, is past, or is somebody else's."""
    return (
        tuple(name for name, words in ENERGY_WORDS.items() if tells_of(words, text)) if text else ()
    )
