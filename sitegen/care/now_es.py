"""Spanish words of signs that are *now*: see `words_es`."""

from __future__ import annotations

from sitegen.care.parts_es import CANT, HARD, JOINT, NUMB, SORE, W3, W6
from sitegen.care.sign_pattern import SignPattern

_PAIN = (
    rf"(?:{SORE}|presion|opr[ei]\w+|apr(?:ie|e)t\w+|punzante|ard\w+|quem\w+|tirantez|"
    r"pes[oa]d?[oa]?|nudo|rigidez|carg\w+|tenso|piedra|ladrillo|losa|cierr\w+|cerr\w+)"
)
_CHEST = r"(?:pecho|torax|esternon|corazon)"
_LIMB = r"(?:pierna|piernas|pie|pies|brazo|brazos|tobillo|pantorrilla)"
_BREATHLESS = (
    r"(?:sin (?:aliento|aire|respiracion|poder respirar)|falta de (?:aire|aliento)|ahog[aou]\w*|"
    r"me falt\w+ (?:el |la )?(?:aire|aliento|respiracion)|no respir\w+ bien|"
    r"no me entra\w* (?:el )?aire|dificultad (?:para|al) respirar|"
    r"me c[ou]e?st\w+ (?:\w+ )?respirar|me agit[oea]\w*|asfixi(?!ante)\w+|"
    rf"{CANT} (?:\w+ )?(?:respirar|(?:coger|tomar) aire|llenar los pulmones))"
)
_RESTING = (
    r"(?:en reposo|sentad[oa]|tumbad[oa]|acostad[oa]|en la cama|en el sofa|de pie|parad[oa]|"
    r"hablar|hablando|andando|caminando|caminar|por la noche|sin moverme|"
    r"sub(?:iendo|ir|o) (?:\w+ ){0,2}(?:escal\w+|pisos?)|vestirme|atarme|sin hacer nada)"
)
_COLD = r"(?:fri[oa]s?|helad[oa]s?|dormid[oa]s?|entumecid[oa]s?|sin tacto)"
_PALE = r"(?:palid[oa]s?|blanc[oa]s?|azul(?:es)?|morad[oa]s?)"
_IMPLANT = r"(?:desfibrilador|dai|marcapasos|implante)"
_FROST = r"nieve|helada|(?<!como el )hielo|invierno|escarcha|agua fria"

SIGN_PATTERNS: tuple[SignPattern, ...] = (
    SignPattern(
        "implant_shock",
        (
            rf"(?:aparato|{_IMPLANT}) (?:\w+ ){{0,3}}(?:descargas?|calambrazo|chispazo|dispar\w+)",
            rf"(?:descarga|chispazo|salto) (?:d?el |mi )?{_IMPLANT}",
        ),
        beyond_device=(
            rf"{_IMPLANT} (?:\w+ ){{0,3}}(?:sacudida|calambre|salto|saltado)",
            rf"(?:dispar|activ|descarg)(?:o|ado) (?:d?el |mi )?{_IMPLANT}",
            rf"(?:descargas?|calambrazo|(?:ha|habia) saltado) (?:\w+ )?(?:d?el |mi )?{_IMPLANT}",
        ),
    ),
    SignPattern(
        "chest_pain",
        (
            rf"{_PAIN} {W6}{_CHEST}",
            rf"{_CHEST} {W6}{_PAIN}",
            r"(?:un |de )?(?:pre)?infarto(?! de (?:mi|su|un)(?!\S))",
            r"angina de pecho",
            r"ataque (?:al|de) corazon",
            rf"{_PAIN} {W6}brazo izquierdo",
            r"pecho como si",
            r"(?:elefante|elefante sentado|me sent\w+) (?:en|sobre) el pecho",
            r"sensacion de opresion",
            rf"(?:aplast|estruj|comprim|opr|agarrot|atenaz)\w* {W6}{_CHEST}",
            r"como si (?:(?!,|gato|perro|cinta|banda|dorsal|mochila)\S+ ){1,6}?(?:en|sobre|encima "
            r"de) "
            r"(?:el|mi) pecho",
        ),
        r"(?:cinta|banda|correa|press|aperturas|ejercicios?|musculos?) (?:de|del) pecho",
        "pectorales",
        beyond_device=(
            rf"{_CHEST} (?:\w+ ){{0,4}}(?:agarrot|contra[ij]|cemento|hormigon|duro|atenaz)\w*",
            rf"{SORE} (?:sord|profund|agud|fuert|intens|constant|repentin)\w+ {W6}{_CHEST}",
            r"(?:puno|cuchillo|clavo|soga|garra) (?:\w+ ){0,3}(?:dentro del?|en el|en mi|sobre "
            r"el) pecho",
            r"(?:noto|siento|note|senti) (?:un |una )?(?:peso|pesadez|presion) (?:\w+ "
            r"){0,3}(?:lado|hombro) izquierdo",
            r"(?:siento|noto|tengo) el pecho (?:llen|bloquead|encogid|rar)o",
            r"ardor (?:\S+ ){0,6}?(?:subo|corro|aprieto|cuestas?) (?:\S+ ){0,3}?se (?:me )?(?:va|"
            r"pasa|quita) "
            r"(?:en reposo|al parar|cuando paro)",
            r"(?:sentad[oa]|encima|apretando|empujando) (?:de |en |sobre )(?:el|mi) pecho",
            rf"(?:presion|opresion|apr(?:ie|e)t\w+) {W3}(?:garganta|mandibula)",
            rf"mandibula (?:y|o|,) (?:\w+ )?(?:brazo|hombro) {W3}{_PAIN}",
            rf"{SORE} {W3}mandibula y (?:\w+ )?(?:brazo|hombro)",
            rf"brazo izquierdo {W3}{_PAIN} (?:al|cuando|cada vez|mientras)",
        ),
    ),
    SignPattern(
        "fainting",
        (
            r"(?:me )?(?:he )?desma(?:y|ll)\w+",
            r"lipotimias?",
            r"(?:cai|caido|fui) (?:al suelo )?redond[oa]",
            r"(?:me )?desvaneci(?:do|da|miento)?",
            r"sincope",
            r"perd\w+ (?:el |la )?(?:cono[cs]imiento|conciencia|"
            r"consciencia|"
            r"sentido)",
            r"inconsciente",
            r"me desplome",
            r"(?:me )?(?:desperte|recobre el sentido) en el suelo",
        ),
        r"inconsciente colectivo",
        beyond_device=(
            r"me (?:encontre|vi) (?:tirad[oa] |tumbad[oa] )?en el suelo(?! (?:un|el|la|mi)\w*)",
            r"no recuerdo (?:la caida|como (?:me )?cai|haber(?:me)? caido|caerme)",
            r"(?:estuve|quede|estaba) sin sentido(?=$| [,)]| un)",
            r"me escurri al suelo",
            r"desperte con (?:\w+ )?(?:gente|desconocidos|alguien) (?:encima|alrededor)",
            r"perdi unos (?:segundos|minutos) (?:\S+ ){0,4}?(?:estaba|desperte) en el (?:suelo|"
            r"asfalto)",
            r"lo siguiente que (?:recuerdo|se|supe|vi) (?:\S+ ){0,5}?(?:suelo|tumbad[oa]|"
            r"tirad[oa]|hierba|"
            r"gente|ambulancia)",
            r"me (?:he )?despert(?:e|ado) (?:tirad[oa] |tumbad[oa] )?en (?:el|la) (?:asfalto|"
            r"acera|hierba|"
            r"camino|cuneta|pista)",
        ),
    ),
    SignPattern(
        "near_fainting",
        (
            r"(?:casi|a punto de|por poco|crei que|pense que|iba a) (?:me )?(?:\w+ )?(?:desma\w+|"
            r"p[ei]e?rd\w+ (?:el )?(?:cono[cs]imiento|sentido)|desvanec\w+|ca\w+ redond[oa])",
            r"mare(?:[oe]|a[bdrn])\w*",
            r"vertigos?",
            r"(?:se me )?(?:nubl|oscurec)\w+ la vista",
            r"se me (?:puso|pone) (?:todo )?negro",
            r"vah?idos?",
            r"(?:(?:casi|por poco) me desplom[oe]|desplomarme)",
            r"(?:vision|vista) (?:\w+ ){0,3}(?:borrosa|de tunel|negra|nublada)",
            r"(?:lo )?(?:vi|veia) (?:todo )?(?:negro|oscuro|blanco|borroso|estrellitas)",
            r"todo borroso",
            r"me d[ai]\w* vueltas (?:todo|la cabeza)",
            r"todo (?:me )?daba vueltas",
            r"se me (?:fue|va|iba) la (?:cabeza|vista)",
            r"(?:aturdid|desfallec)\w+",
        ),
        r"mareo de (?:numeros|cifras|datos)|marea (?:alta|baja)|"
        r"(?:ritmo|velocidad|altura|bajada|paso|final|vistas?) de vertigo|que vertigo|"
        r"vertigo (?:pensar|ver|la|el)",
        beyond_device=(
            r"todo se (?:me )?(?:puso|volvio|quedo) (?:oscuro|negro|gris|borroso)(?! (?:cuando|"
            r"por|con|"
            r"al)(?!\S))",
            r"(?:vision|vista) se me (?:\w+ )?(?:cerr|cierr|estrech|nubl|oscurec|apag)\w+",
        ),
    ),
    SignPattern(
        "breathless_at_rest",
        (
            rf"{_BREATHLESS} (?:\S+ ){{0,5}}?{_RESTING}",
            rf"{_RESTING} (?:\S+ ){{0,5}}?{_BREATHLESS}",
            rf"me fatig\w+ (?:\S+ ){{0,3}}?{_RESTING}",
            rf"sin (?:resuello|fuelle) (?:\S+ ){{0,4}}?(?:{_RESTING}|andar|caminar)",
        ),
        beyond_device=(
            r"me despiert\w+ (?:\w+ )?(?:jadeando|ahogad[oa]|sin aire)",
            rf"jade[oa]\w* (?:\S+ ){{0,5}}?{_RESTING}",
            r"escaleras? (?:\w+ ){0,2}a (?:recuperar|coger|tomar) (?:el )?(?:aliento|aire|"
            r"resuello)",
            r"(?:sentarme|incorporarme|almohadas?) (?:\w+ ){0,4}para (?:poder )?respirar",
            rf"{_BREATHLESS} (?:\S+ ){{0,5}}?(?:hacer la cama|ducha\w*|ir al bano|barrer|la "
            rf"cocina)",
        ),
    ),
    SignPattern(
        "breathless_out_of_proportion",
        (_BREATHLESS,),
        r"aire (?:libre|de la)|ahog\w+ (?:en|con) (?:\w+ )?(?:trabajo|agua)",
        explains=rf"{HARD}|risa|reir|riendo|nariz|nadando|piscina|mascarilla|vistas?|paisaje",
        beyond_device=(
            rf"{CANT} (?:\w+ ){{1,3}}frase (?:\S+ ){{0,5}}?(?:aire|aliento|respir\w+|ahog\w+)",
        ),
    ),
    SignPattern(
        "one_sided_weakness",
        (
            r"(?:cara|boca|parpado|sonrisa) (?:\w+ ){0,3}(?:torcid[oa]|caid[oa]|dormid[oa]|"
            r"paralizad[oa])",
            r"(?:se me )?(?:torcio|cayo) (?:un lado de )?la (?:boca|cara)",
            r"habl\w+ (?:\w+ )?(?:raro|como borrach[oa])",
            r"(?:habla|hablar|hablaba|lengua) (?:\w+ ){0,2}(?:pastos[oa]|trabad[oa]|"
            r"arrastrad[oa])",
            r"(?:se me )?(?:traba|trababa) (?:la lengua|al hablar)",
            r"no me sal(?:en|ian) las palabras",
            r"arrastr\w+ las palabras",
            rf"(?:{NUMB}|paraliz\w+) {W3}medi[oa] (?:cuerpo|cara)",
            rf"medi[oa] (?:cuerpo|cara) {W3}(?:{NUMB}|paraliz\w+)",
            rf"{CANT} (?:mover|levantar) (?:el|la) (?:brazo|mano)",
            rf"{CANT} (?:hablar|articular|encontrar las palabras)"
            r"(?! (?:ingles|aleman|frances|mucho|mas|y correr|mientras))",
            r"(?:un |el )?(?:ictus|derrame cerebral)",
            r"(?:ver|vision|vista) (?:en|de|por) (?:un|el) ojo",
            r"vision doble|veo doble|veia doble",
        ),
        beyond_device=(
            r"(?:cara|boca|labio|parpado) (?:\w+ ){0,2}no (?:se )?(?:me )?(?:sonreia|cerraba|"
            r"cierra|abria)(?! de)",
            r"no (?:encontraba|encuentro|consigo decir|daba con) las palabras(?! para)",
            r"(?:cara|boca|sonrisa) (?:\w+ ){0,3}no se (?:me )?m(?:ov|uev)\w+",
            r"pierna y (?:el )?brazo (?:\w+ ){0,5}?(?:floj|debil|dormid|muert|paraliz|sin "
            r"fuerza)\w*",
        ),
    ),
    SignPattern(
        "one_sided_weakness",
        (
            rf"(?:lado|mitad|brazo|mano) (?:izquierd[oa]|derech[oa]) {W6}(?:{NUMB}|debil|"
            r"sin fuerza|paralizad[oa])",
            rf"(?:debilidad|{NUMB}|(?:sin|perdi) fuerza|entumecimiento) {W6}(?:mano y el )?"
            r"(?:un lado|lado|mitad|brazo)(?: izquierd[oa]| derech[oa]| del cuerpo)?",
        ),
        explains=r"dormi (?:sobre|de lado)|al despertar de la siesta",
    ),
    SignPattern(
        "worst_headache",
        (
            r"(?:el )?peor dolor de cabeza(?: de mi vida)?",
            r"(?:dolor de|duele la|dolia la|estall\w+ la) cabeza (?:\S+ ){0,6}?(?:subito|repent\w+|"
            r"explosivo|como un trueno|brutal|como nunca|de golpe|de repente|confus\w+|rigidez|"
            r"vomit\w+)",
            r"(?:confusion|confus[oa]) (?:\S+ ){0,5}?dolor de cabeza",
        ),
        beyond_device=(
            r"dolor de cabeza (?:\S+ ){0,4}?(?:martillazo|latigazo|de un segundo|en un instante|"
            r"de pronto)",
            r"dolor de cabeza mas (?:fuerte|intenso|brutal|horrible) (?:de mi vida|que (?:he|"
            r"nunca|jamas))",
            r"dolor de cabeza (?:\S+ ){0,4}?el peor (?:de mi vida|que (?:he|nunca|jamas))",
        ),
    ),
    SignPattern(
        "heat_confusion",
        (
            r"(?:calor|sol|grados|bochorno) (?:\S+ ){0,10}?(?:confus\w+|desorientad\w+|deliri\w+|"
            r"no sabia (?:ni )?donde estaba|dej[eo] de sudar|tambale\w+)",
            r"(?:confus[oa]|confusion|desorientad\w+|deliri\w+|no sabia (?:ni )?donde estaba|"
            r"dej[eo] de sudar|tambale\w+) (?:\S+ ){0,10}?(?:calor|sol|grados|bochorno)",
            r"golpe de calor",
            r"insolacion",
        ),
        r"(?:evitar|prevenir|contra) (?:el |un )?golpe de calor",
        r"confus[oa] (?:con|por) (?:el plan|la ruta|el horario)",
    ),
    SignPattern(
        "coughing_blood",
        (
            r"tos(?:er|i|e|iendo|ido) (?:\w+ ){0,3}sangre",
            r"sangre (?:\w+ ){0,3}(?:al toser|en el esputo|en la flema|en las flemas)",
            r"(?:esputos?|flemas?) (?:\w+ )?(?:con sangre|rosad\w+|sanguinolent\w+)",
        ),
    ),
    SignPattern(
        "coughing_blood",
        (r"(?:escupi|escupo|escupir|escupiendo) (?:\w+ ){0,2}sangre",),
        explains=r"me mordi (?:la lengua|el labio)",
    ),
    SignPattern(
        "cold_limb",
        (
            rf"{_LIMB} {W3}(?:deformad[oa]s?|torcid[oa]s?|deforme)",
            rf"(?:{JOINT}|rotula|hombro) {W3}(?:dislocad[oa]|deformad[oa]|fuera de (?:su )?sitio|"
            r"deforme)",
            r"se me (?:salio|ha salido) (?:la rotula|el hombro|la rodilla)",
            r"(?:se (?:ve|veia)|asoma|asomaba) el hueso",
        ),
    ),
    SignPattern(
        "cold_limb",
        (
            rf"{_LIMB} {W3}{_COLD} (?:y|,) (?:\w+ )?{_PALE}",
            rf"{_LIMB} {W3}{_PALE} (?:y|,) (?:\w+ )?(?:{_COLD}|muert[oa])",
            rf"(?:pierna|pie|brazo) {W3}muert[oa] (?:y|,) (?:\w+ )?(?:{_PALE}|{_COLD})",
            rf"{_LIMB} {W3}(?:palid[oa]s?|azul(?:es)?)",
        ),
        r"(?:calcetines|guantes|zapatillas|cordones) (?:palid[oa]s|blanc[oa]s|azules)",
        _FROST,
    ),
    SignPattern(
        "cold_limb",
        (
            rf"{_LIMB} {W3}{_COLD} (?:y|,) (?:\w+ )?{_COLD}",
            rf"(?:pierna|pie) {W3}dormid[oa]",
            rf"{NUMB} (?:la|el) (?:pierna|pie)",
            r"(?:no (?:me )?(?:siento|sentia)|he perdido la sensibilidad (?:de|en)) (?:l[ao]s?|el|"
            r"mi) "
            r"(?:\w+ )?(?:piernas?|pies?|brazo|dedos del pie)",
        ),
        explains=rf"{_FROST}|cordon(?:es)?|calcetines|guantes|postura|cruzad[oa]s?|bici|coche",
    ),
)
