"""Spanish words of danger that are rarer still, heard on the coach's side alone: see `words_es`.

And what helps to hear the others: misspellings, and how a second sentence goes on about the first.
"""

from __future__ import annotations

from sitegen.care.parts_es import SORE
from sitegen.care.sign_pattern import SignPattern

# A word between, but none that denies what comes after it.
_NN = r"(?:(?!(?:no|ni|sin|nunca|tampoco|nada|ningun|ninguna|o|apenas)(?!\S))\w+ )"
_LIMB = (
    r"(?:munecas?|manos?|dedos?|pulgar|hombro|clavicula|brazos?|codos?|piernas?|pies?|tobillos?|"
    r"rodillas?|rotula|espinilla)"
)
_HOT = r"(?:calor|sol|grados|bochorno)"
THINNER = (
    r"(?:anticoagul\w+|sintrom|acenocumarol|warfarina|apixaban|eliquis|rivaroxaban|xarelto|"
    r"dabigatran|edoxaban|heparina)"
)
BRUISE = (
    r"(?:(?:moraton|moretones?|moratones|hematomas?|cardenal|cardenales) (?:\S+ ){0,5}?"
    r"(?:enorme|grand\w+|gigante|inmenso|crec\w+|extend\w+|extiend\w+|cada vez|"
    r"no se (?:va|quita|cura))|sangr\w+ (?:\S+ ){0,4}?(?:media hora|una hora|horas|"
    r"(?:[2-9]0|1[05]) min\w*)|"
    r"(?:enorme|gran|gigante) (?:moraton|hematoma|cardenal|moreton)|"
    r"(?:no (?:para|paraba|deja|dejaba) de sangrar|sangr\w+ (?:\w+ ){0,3}no (?:para|corta|cesa))|"
    r"(?:pierna|brazo|cadera|muslo) (?:\w+ ){0,2}(?:morad[oa]|negr[oa]) (?:enter[oa]|tod[oa]))"
)

SIGN_PATTERNS: tuple[SignPattern, ...] = (
    SignPattern(
        "chest_pain",
        (),
        beyond_device=(
            r"(?:peso|losa|elefante|piedra|ladrillo|puno|nudo) (?:\w+ ){0,2}(?:encima|sobre|en|"
            r"dentro) (?:de |del |de mi )?(?:el |mi )?pecho",
            r"(?:ardor|acidez|quemazon)(?: \S+){0,8}? (?:corr\w+|cuestas?|subir|subo|esfuerzo)"
            r"(?: \S+){0,6}? (?:pasa|paso|quita|quito|va|fue|desaparece)(?: \S+){0,3}? (?:par\w+|"
            r"reposo|descans\w+|andar)",
        ),
    ),
    SignPattern(
        "fainting",
        (),
        beyond_device=(r"(?:me )?(?:quede|cai) (?:inconsciente|sin conocimiento)",),
    ),
    SignPattern(
        "breathless_at_rest",
        (),
        beyond_device=(r"inhalador (?:\w+ ){0,2}no (?:\w+ )?(?:hace|hizo|funciona|alivia)",),
    ),
    SignPattern(
        "one_sided_weakness",
        (),
        beyond_device=(
            r"perd\w+ (?:la )?(?:fuerza|sensibilidad) (?:\S+ ){0,3}?(?:brazo|pierna|mano|lado|"
            r"mitad)",
            r"(?:veo|veia|vi) (?:\w+ ){0,3}(?:borroso|negro|nada) (?:\w+ ){0,3}(?:de|por|con) "
            r"(?:un|el) ojo",
        ),
    ),
    SignPattern(
        "worst_headache",
        (),
        beyond_device=(
            r"(?:estall\w+|explot\w+|revent\w+) la cabeza (?:\S+ ){0,10}?(?:nunca|jamas|golpe|"
            r"repente|vomit\w+|peor)",
            r"(?:cuello|nuca) rigid[oa] (?:\S+ ){0,6}?cabeza|cabeza (?:\S+ ){0,6}?(?:cuello|nuca) "
            r"rigid[oa]",
        ),
    ),
    SignPattern(
        "heat_confusion",
        (),
        beyond_device=(
            rf"{_HOT} (?:\S+ ){{0,12}}?(?:cosas sin sentido|incoherenc\w+|alucin\w+|viendo cosas|"
            r"desorient\w+|no sabia (?:volver|donde)|en zigzag|dando tumbos|como borrach[oa])",
        ),
    ),
    SignPattern(
        "coughing_blood",
        (),
        r"(?:analisis|donacion|presion|azucar) (?:de|en) sangre",
        r"nariz|encias?|dentista|me mordi",
        beyond_device=(
            r"(?:tos|toso|tosi|toser|tosido|tosiendo) (?:(?!no)\S+ ){0,14}?sangre",
            r"sangre (?:\S+ ){0,5}?(?:panuelo|toser|tos|tosi|toso)",
        ),
    ),
    SignPattern(
        "cold_limb",
        (),
        r"(?:calcetines|guantes|zapatillas|cordones|gafas|reloj) \w+",
        beyond_device=(
            rf"{_LIMB} {_NN}{{0,4}}(?:, )?(?:deformad[oa]s?|deforme|torcid[oa]s? (?:hacia|de)|"
            r"al reves|dislocad[oa]s?|fuera de (?:su )?sitio)",
            rf"{_LIMB} {_NN}{{0,4}}(?:forma|angulo|postura|posicion) (?:muy )?(?:rar[oa]|"
            r"extran[oa]|imposible)",
        ),
    ),
    SignPattern(
        "cannot_bear_weight",
        (),
        r"ejercicios? (?:\w+ )?(?:a|sobre)",
        beyond_device=(
            r"no (?:me )?(?:aguant\w+|sostengo|sostiene|tengo) (?:\w+ )?(?:de pie|en pie)",
            r"(?:con|usando|necesit\w+|llevo) (?:\w+ )?muletas",
        ),
    ),
    SignPattern(
        "bone_point_pain",
        (),
        beyond_device=(
            r"(?:apriet\w+|apret\w+|toc\w+|presion\w+|pulso) (?:\w+ ){0,4}(?:hueso|tibia|pie|"
            r"espinilla|talon|empeine) (?:\S+ ){0,5}?(?:estrellas|salto|grit\w+)",
            r"punto (?:justo|exacto|concreto) (?:de la |del )(?:tibia|espinilla|pie|hueso)",
            r"me pincha (?:la|el|en la|en el) (?:ingle|hueso)",
        ),
    ),
    SignPattern(
        "night_pain",
        (),
        r"(?:dolor de|duele la) (?:garganta|muelas?|tripa|cabeza)",
        "agujetas|ampollas?|quemadura",
        beyond_device=(
            rf"{SORE} (?:\S+ ){{0,8}}?(?:me despierta|me desperto|no me deja (?:dormir|"
            r"pegar ojo)|me quita el sueno)",
            rf"{SORE} (?:\w+ ){{0,5}}(?:por las noches|de madrugada)",
        ),
    ),
    SignPattern(
        "giving_way",
        (),
        beyond_device=(
            r"(?:rodilla|tobillo|pierna) (?:\w+ ){0,2}no me (?:sostiene|sujeta|aguanta|sostuvo)",
            r"(?:oi|senti|note) (?:un |como un )?(?:chasquido|crac|pop|pedrada) "
            r"(?:\w+ ){0,3}(?:gemelo|pantorrilla|aquiles|rodilla|tobillo|isquio\w*)",
            r"(?:rodilla|tobillo) se me va(?=$| [,)]| sin)",
        ),
    ),
    SignPattern(
        "saddle_numbness",
        (),
        explains=r"risa|reir|cola (?:del|para el)",
        beyond_device=(
            r"(?:hice|hecho|hago|meado|mee) (?:\w+ )?(?:pis )?encima (?:\S+ ){0,5}?(?:entere|"
            r"cuenta|sentir|note|espalda)",
            r"no controlo (?:\w+ ){0,2}(?:pis|orina|vejiga|esfinteres)",
        ),
    ),
    SignPattern(
        "self_harm",
        (),
        beyond_device=(
            r"(?:quiero|ganas de|pienso en|pensado en) (?:hacerme dano|cortarme|autolesion\w+)"
            r"(?! (?:el pelo|las unas))",
            r"haci\w+me cortes",
        ),
    ),
    SignPattern(
        "head_injury",
        (),
        beyond_device=(
            r"golpe (?:\w+ )?(?:en|a) la (?:cabeza|frente|nuca|sien)",
            r"cabeza (?:\w+ ){0,2}(?:contra|dio) (?:\w+ ){0,2}(?:suelo|bordillo|arbol|rama|muro|"
            r"puerta|asfalto)",
        ),
    ),
    SignPattern(
        "bleeding",
        (),
        beyond_device=(
            rf"{BRUISE} (?:\S+ ){{0,14}}?{THINNER}",
            rf"{THINNER} (?:\S+ ){{0,14}}?{BRUISE}",
        ),
    ),
    SignPattern(
        "chest_pain",
        (),
        explains=r"apret\w* los dientes|dentista|muelas?|bruxismo|bidon|botella|vacuna\w*",
        beyond_device=(
            r"brazo izquierdo (?:\w+ ){0,3}(?:pesa\w+|dol\w+|duel\w+) (?:\S+ ){0,5}?"
            r"(?:sudor(?:es)? frio\w*|sudando frio|sudaba frio)",
            r"(?:duele|dolio|dolia|dolor) (?:\w+ ){0,3}?mandibula "
            r"(?:\S+ ){0,6}?(?:cuestas?|sub\w+) "
            r"(?:\S+ ){0,4}?se (?:me )?(?:va|fue|pasa|paso|quita|quito) (?:\w+ )?"
            r"(?:al parar|cuando par\w+|en reposo)",
        ),
    ),
    SignPattern(
        "fainting",
        (),
        beyond_device=(
            r"(?:tuve|me dio|he tenido|sufri) (?:una|un) (?:convulsion|crisis epileptica|"
            r"ataque epileptico)",
        ),
    ),
    SignPattern(
        "heat_confusion",
        (),
        r"confus[oa] (?:con|por)",
        beyond_device=(
            r"(?:vomite|vomitando|vomitos) (?:\S+ ){0,8}?(?:me senti|me sentia|estaba|me quede) "
            r"(?:\w+ )?(?:confus[oa]|desorientad[oa]|aturdid[oa])",
            r"(?:calor|tiritand\w+|tiritaba|escalofrios) (?:\S+ ){0,10}?(?:decia cosas sin sentido|"
            r"no (?:decia|hablaba) con sentido)",
        ),
    ),
    SignPattern(
        "calf_swelling",
        (),
        beyond_device=(
            rf"(?:pantorrilla|gemelo) {_NN}{{0,3}}(?:gord[oa]|inflad[oa]) (?:y|,) (?:\w+ )?"
            r"(?:calientes?|roj[oa])",
            rf"(?:pantorrilla|gemelo) {_NN}{{0,4}}(?:gord[oa]|inflad[oa]|calientes?) "
            r"(?:\S+ ){0,3}?desde (?:el|mi) (?:vuelo|viaje)",
        ),
    ),
)

# What begins the second of two sentences that are one: "El gemelo. Se me ha hinchado."
# The weather is no part of a body: "Gemelo cargado. Estaba caliente el día."
GOES_ON = (
    r"(?!estaba? (?:muy )?caliente (?:el|la)(?!\S))"
    r"(?:se|esta|estaba|estan|(?:la|lo) (?:he|tengo|noto|note|tenia)|me (?:duele|dolia|falla|"
    r"despiert\w+|despert\w+)|hinchad\w+|inflamad\w+|roj[oa]s?|calientes?|fri[oa]s?|dormid[oa]s?|"
    r"dolorid\w+|duele|dolia|muy|tod[oa]|no (?:puedo|pude|podia)|desde|tomo|tiene|empece|sigue)"
)
MISSPELT = """
corason corazzon: corazon
oprecion: opresion
precion: presion
pantorilla pantorriya: pantorrilla
jemelo gemello: gemelo
rodiya: rodilla
tovillo: tobillo
fievre: fiebre
cogeando: cojeando
cogeo: cojeo
orinna horina: orina
pecjo pehco: pecho
suisidio: suicidio
"""
KEYS = """
chest_pain: pecho, ardor, acidez, quemazon, brazo izq, mandibula
fainting: incons, sin conoc, convuls, epilep
breathless_at_rest: inhalador
one_sided_weakness: perd, ojo
worst_headache: cabeza
heat_confusion: calor, sol, grados, bochorno, vomit, tirit, escalof
calf_swelling: pantorrilla, gemelo
coughing_blood: sangre
cold_limb: muneca, mano, dedo, pulgar, hombro, clavicula, brazo, codo, pierna, pie, tobillo,
  rodilla, rotula, espinilla
cannot_bear_weight: de pie, en pie, muletas
bone_point_pain: hueso, tibia, pie, espinilla, talon, empeine, pincha
night_pain: despiert, despert, dormir, pegar, sueno, noches, madrugada
giving_way: rodilla, tobillo, pierna, oi, senti, note
saddle_numbness: encima, control
self_harm: hacerme, cortarme, autoles, cortes
head_injury: cabeza, frente, nuca, sien
bleeding: coagul, sintrom, acenoc, warfar, apixa, eliquis, rivarox, xarel, dabig, edoxa, hepar
"""
