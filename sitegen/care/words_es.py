"""Spanish words of danger, each with its body part or subject. Patterns of plain text.

As `words_en`: small letters, no accents ("pantorrilla esta hinchada"), one space between words.
Common practice, no source; a native speaker has not read the list yet.
"""

from __future__ import annotations

from sitegen.care.sign_pattern import SignPattern

_W = (
    r"(?:(?:en|el|la|los|las|un|una|mi|mis|de|del|al|a|por|sobre|bajo|detras|lado|centro|medio|"
    r"izquierdo|izquierda|derecho|derecha|esta|estaba|es|era|fue|se|me|ha|han|muy|tan|bastante|"
    r"algo|poco|como|y|que|parte|alta|baja|todo|toda|puso|pone|quedo|queda|noto|note|notaba|"
    r"siento|senti|sentia|tengo|tuve|tenia|hoy|luego|despues|mientras|al|correr|corria|corriendo|"
    r"otra|vez|fuerte|fuertes|raro|rara|mucho|mucha|bien|completamente|casi|dio|da|empezo|mas|"
    r"misma|mismo|donde|cuando|este|esa|ese) )"
)
_W3, _W6 = rf"{_W}{{0,3}}", rf"{_W}{{0,6}}"
_PAIN = (
    r"(?:dolor|dolores|duele|duelen|dolia|dolio|doler|presion|opresion|oprime|oprimia|aprieta|"
    r"apretaba|apreton|pinchazos?|punzadas?|punzante|molestias?|ardor|quemazon|quema|tirantez|"
    r"peso|nudo|rigidez|oprimido|apretado|cargado|tenso)"
)
_SORE = (
    r"(?:dolor|dolores|duele|duelen|dolia|dolio|dolorid[oa]s?|doler|pinchazos?|punzadas?|"
    r"molestias?)"
)
_CHEST = r"(?:pecho|torax|esternon|corazon)"
_CANT = (
    r"(?:no (?:puedo|pude|podia|he podido|logro|logre|consigo|consegui|soy capaz de|fui capaz de))"
)
_JOINT = r"(?:rodillas?|tobillos?|articulacion|articulaciones|caderas?|dedos?|codos?|pie)"
_LIMB = r"(?:pierna|piernas|pie|pies|brazo|brazos|tobillo|pantorrilla)"
_HARD = (
    r"(?:cuestas?|sprints?|series?|repeticion(?:es)?|tempo|carrera|subida|subiendo|rectas?|"
    r"ultim[oa]s? (?:km|kilometros?|vuelta|serie|cuesta|minutos?|metros)|meta|rapido|"
    r"apretando|apreto|a tope|progresivos?)"
)
_BREATHLESS = (
    r"(?:sin aliento|sin aire|sin respiracion|falta de aire|falta de aliento|ahogad[oa]|ahogo|"
    r"ahogos|me ahogo|me ahogaba|me ahogue|me falta(?:ba)? (?:el )?(?:aire|aliento)|"
    r"me falto (?:el )?aire|dificultad (?:para|al) respirar|me cuesta respirar|"
    r"me costaba respirar|me costo respirar|no (?:puedo|pude|podia) respirar)"
)
_RESTING = (
    r"(?:en reposo|sentad[oa]|tumbad[oa]|acostad[oa]|en la cama|en el sofa|de pie|parad[oa]|"
    r"al hablar|hablando|andando|caminando|por la noche|sin moverme|subiendo escaleras|"
    r"al subir (?:las )?escaleras|sin hacer nada)"
)
CALM_MOMENT = (
    r"(?:en reposo|sentad[oa]|tumbad[oa]|acostad[oa]|en la cama|en el sofa|en casa|sin moverme|"
    r"sin hacer nada|por la noche|a ritmo (?:muy )?suave|en llano|sin motivo|sin razon)"
)
LASTING = (
    r"(?:tod[oa] (?:el dia|el rato|la (?:tarde|noche|manana|salida))|desde (?:ayer|anoche|el \w+)|"
    r"anoche|sin parar|(?:durante|una) horas?|de lo normal|de lo habitual|que nunca|andando|"
    r"a un ritmo (?:muy )?suave)"
)
_FROST = r"nieve|helad[oa]|hielo|invierno|escarcha|agua fria"

# A sentence without any of these can't speak of the sign: most are passed over quickly.
KEYS = """
chest_pain: pecho, torax, esternon, corazon, infarto, angina, brazo izquierdo
fainting: desmay, desvanec, sincope, perdi, perder, inconsciente, desplome, desperte, recobre
near_fainting: desmay, desvanec, conocimiento, sentido, redond, mare, vertig, vista, vision, todo,
  aturdid
breathless_at_rest: alient, aire, respir, ahog
breathless_out_of_proportion: alient, aire, respir, ahog
palpitations: palpit, arritm, fibril, taquicard, corazon, pulso, latido
one_sided_weakness: cara, boca, parpado, sonrisa, habla, lengua, articular, palabras, lado, mitad,
  brazo, mano, ictus, derrame, vision, vista, doble, traba
worst_headache: dolor de cabeza
heat_confusion: calor, sol, grados, bochorno, insolacion
coughing_blood: sangre, esputo
cold_limb: pierna, pie, brazo, tobillo, pantorrilla, rodilla, articula, cadera, dedo, codo,
  rotula, hombro, hueso
calf_swelling: pantorrilla, gemelo, trombosis, coagulo
dark_urine: orin, pis, pipi, meo
cannot_bear_weight: apoyar, peso, paso, ayuda, muletas, nada
hot_joint: calient, roj, inflam, enroj, fiebre
saddle_numbness: adormec, dormid, entumec, hormigueo, sensibilidad, acorchad, control, orinar,
  abajo, pis, aguantar, incontinencia
self_harm: morir, matarme, muert, suicid, autoles, venas, dano, vida, acabar, quiero, queria, sin
  mi, pena, vivi
severe_pain: 8, 9, 10, insoport, inaguant, atroz, peor dolor
bone_point_pain: hueso, tibia, metatars, sacro, ingle, coxis, punto, fractur, rompi, roto
night_pain: noche, cama, acostar, tumbad, despert, despiert, desvel, dormir, nocturno
limp: coj, renq
locking: bloque, trab, atascad, enganchad, estirar, doblar, extender, flexionar
giving_way: fall, ced, se me va, se me fue, se dobla, se doblo
swelling: hinch, globo
"""

SIGN_PATTERNS: tuple[SignPattern, ...] = (
    SignPattern(
        "chest_pain",
        (
            rf"{_PAIN} {_W6}{_CHEST}",
            rf"{_CHEST} {_W6}{_PAIN}",
            r"(?:un |de )?infarto",
            r"angina de pecho",
            r"ataque (?:al|de) corazon",
            rf"{_PAIN} {_W6}brazo izquierdo",
        ),
        r"(?:cinta|banda|correa|press|aperturas|ejercicios?|musculos?) (?:de|del) pecho",
        "pectorales",
    ),
    SignPattern(
        "fainting",
        (
            r"(?:me )?(?:he )?desmay(?:e|ado|ada|o|aba|arme)",
            r"desmayos?",
            r"(?:me )?desvaneci(?:do|da|miento)?",
            r"sincope",
            r"(?:perdi|perdia|perdido|perder) (?:el |la )?(?:conocimiento|conciencia|consciencia|"
            r"sentido)",
            r"inconsciente",
            r"me desplome",
            r"(?:me )?(?:desperte|recobre el sentido) en el suelo",
        ),
        r"inconsciente colectivo",
    ),
    SignPattern(
        "near_fainting",
        (
            r"(?:casi|a punto de|por poco|crei que|pense que|iba a) (?:me )?(?:\w+ )?(?:desmay\w+|"
            r"perd\w+ (?:el )?(?:conocimiento|sentido)|desvanec\w+|caer redond[oa])",
            r"mare(?:o|os|ad[oa]|e|aba|aron|ando)",
            r"vertigos?",
            r"(?:se me )?nubl(?:o|aba) la vista",
            r"vision (?:borrosa|de tunel|negra)",
            r"(?:lo )?vi todo (?:negro|oscuro|blanco)",
            r"aturdid[oa]",
        ),
        r"mareo de (?:numeros|cifras|datos)|marea (?:alta|baja)|"
        r"(?:ritmo|velocidad|altura|bajada|paso|final) de vertigo",
    ),
    SignPattern(
        "breathless_at_rest",
        (
            rf"{_BREATHLESS} (?:\S+ ){{0,5}}?{_RESTING}",
            rf"{_RESTING} (?:\S+ ){{0,5}}?{_BREATHLESS}",
        ),
    ),
    SignPattern(
        "breathless_out_of_proportion",
        (_BREATHLESS,),
        explains=rf"{_HARD}|risa|reir|riendo|nariz|nadando|piscina|mascarilla|vistas?|paisaje",
    ),
    SignPattern(
        "palpitations",
        (
            r"palpitacion(?:es)?",
            r"arritmias?",
            r"fibrilacion(?: auricular)?",
            r"taquicardias?",
            rf"corazon {_W6}(?:acelerad\w+|acelero|aceleraba|disparad\w+|disparo|irregular|"
            r"salta\w*|desbocad\w+|latidos? raros|va raro|tropieza|da vuelcos)",
            r"(?:pulso|latidos?) (?:\w+ ){0,3}(?:irregular(?:es)?|disparad\w+|acelerad\w+|"
            r"rar[oa]s?)",
            r"se me sal(?:ia|e) el corazon",
            r"(?:se me (?:acelera|acelero|dispara|disparo)|me palpita(?:ba)?) "
            r"(?:\S+ ){0,2}?corazon",
            r"corazon (?:me )?(?:iba|va|latia|late) (?:\S+ ){0,3}?"
            r"(?:a mil|acelerad\w+|disparad\w+|desbocad\w+|irregular)",
        ),
        explains=rf"{_HARD}|nervios|emocion|ilusion|salida|cuando (?:vi|lei|oi|la vi|lo vi)",
    ),
    SignPattern(
        "one_sided_weakness",
        (
            r"(?:cara|boca|parpado|sonrisa) (?:\w+ ){0,3}(?:torcid[oa]|caid[oa]|dormid[oa]|"
            r"paralizad[oa])",
            r"(?:se me )?torcio la boca",
            r"(?:habla|hablar|hablaba|lengua) (?:\w+ ){0,2}(?:pastos[oa]|trabad[oa]|"
            r"arrastrad[oa])",
            r"(?:se me )?(?:traba|trababa) (?:la lengua|al hablar)",
            rf"{_CANT} (?:hablar|articular|encontrar las palabras)"
            r"(?! (?:ingles|aleman|frances|mucho|mas|y correr|mientras))",
            r"(?:un |el )?(?:ictus|derrame cerebral)",
            r"(?:perdi|perder|perdida de) (?:la )?(?:vision|vista) (?:en|de) (?:un|el) ojo",
            r"vision doble|veo doble|veia doble",
        ),
    ),
    SignPattern(
        "one_sided_weakness",
        (
            rf"(?:lado|mitad|brazo|mano) (?:izquierd[oa]|derech[oa]) {_W6}(?:dormid[oa]|debil|"
            r"sin fuerza|paralizad[oa]|adormecid[oa])",
            rf"(?:debilidad|hormigueo|sin fuerza|adormecimiento|entumecimiento) {_W6}"
            r"(?:un lado|lado|mitad|brazo)(?: izquierd[oa]| derech[oa]| del cuerpo)?",
        ),
        explains=r"dormi sobre|al despertar de la siesta",
    ),
    SignPattern(
        "worst_headache",
        (
            r"(?:el )?peor dolor de cabeza(?: de mi vida)?",
            r"dolor de cabeza (?:\w+ )?(?:subito|repentino|explosivo|como un trueno|brutal|"
            r"como nunca)",
            r"dolor de cabeza (?:\S+ ){0,6}?(?:confus\w+|rigidez|vomit\w+)",
            r"(?:confusion|confus[oa]) (?:\S+ ){0,5}?dolor de cabeza",
        ),
    ),
    SignPattern(
        "heat_confusion",
        (
            r"(?:calor|sol|grados|bochorno) (?:\S+ ){0,10}?(?:confus\w+|desorientad\w+|deliri\w+|"
            r"no sabia donde estaba|dej[eo] de sudar|tambale\w+)",
            r"(?:confus[oa]|confusion|desorientad\w+|deliri\w+|no sabia donde estaba|"
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
            r"(?:toser|tosi|tose|tosiendo|tosido) (?:\w+ ){0,2}sangre",
            r"sangre (?:\w+ ){0,3}(?:al toser|en el esputo|en la flema|en las flemas)",
            r"esputos? (?:\w+ )?(?:con sangre|rosad\w+|sanguinolent\w+)",
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
            rf"{_LIMB} {_W3}(?:deformad[oa]s?|torcid[oa]s?|deforme)",
            rf"(?:{_JOINT}|rotula|hombro) {_W3}(?:dislocad[oa]|deformad[oa]|fuera de (?:su )?sitio|"
            r"deforme)",
            r"se me (?:salio|ha salido) (?:la rotula|el hombro|la rodilla)",
            r"(?:se (?:ve|veia)|asoma|asomaba) el hueso",
        ),
    ),
    SignPattern(
        "cold_limb",
        (
            rf"{_LIMB} {_W3}(?:fri[oa]s?|dormid[oa]s?) (?:y|,) (?:\w+ )?(?:palid[oa]s?|"
            r"blanc[oa]s?|azul(?:es)?)",
            rf"{_LIMB} {_W3}blanc[oa]s? (?:y|,) (?:\w+ )?(?:fri[oa]s?|palid[oa]s?|azul(?:es)?|"
            r"dormid[oa]s?|entumecid[oa]s?)",
            rf"{_LIMB} {_W3}(?:palid[oa]s?|azul(?:es)?)",
        ),
        r"(?:calcetines|guantes|zapatillas|cordones) (?:palid[oa]s|blanc[oa]s|azules)",
        _FROST,
    ),
    SignPattern(
        "cold_limb",
        (
            rf"{_LIMB} {_W3}(?:fri[oa]s?|dormid[oa]s?) (?:y|,) (?:\w+ )?(?:fri[oa]s?|dormid[oa]s?|"
            r"entumecid[oa]s?)",
            r"(?:no siento|no sentia|he perdido la sensibilidad (?:de|en)) (?:la|el|mi) (?:\w+ )?"
            r"(?:pierna|pie|brazo)",
        ),
        explains=rf"{_FROST}|cordon(?:es)?|calcetines|guantes",
    ),
    SignPattern(
        "calf_swelling",
        (
            r"(?:pantorrillas?|gemelos?) (?:\w+ ){0,4}?(?:hinch\w+|inflamad\w+|caliente|calientes|"
            r"roj[oa]s?)",
            r"(?:hinch\w+|inflamacion|calor|enrojec\w+) (?:\w+ ){0,3}?(?:pantorrillas?|gemelos?)",
            r"trombosis",
            r"coagulos?",
        ),
        r"(?:elevaciones|medias?) de (?:gemelos?|pantorrillas?)|(?:agua|bano|ducha) caliente",
    ),
    SignPattern(
        "dark_urine",
        (
            r"(?:orina|orine|pis|pipi) (?:\w+ ){0,4}?(?:oscur\w+|marron|negr\w+|roj\w+|"
            r"de color te|como (?:la )?(?:coca cola|cola|te)|con sangre)",
            r"(?:orina|orine|orino|meo|pis) (?:\w+ )?(?:oscur\w+|marron|sangre|rojo)",
            r"sangre en (?:la )?(?:orina|el pis)",
        ),
        r"amarill\w+",
    ),
    SignPattern(
        "cannot_bear_weight",
        (
            rf"{_CANT} (?:\w+ )?apoyar(?:me)?(?: \w+){{0,4}}",
            rf"{_CANT} (?:cargar|poner|echar) (?:el )?peso(?: \w+){{0,3}}",
            rf"{_CANT} (?:dar|ni dar|andar|caminar) (?:\w+ ){{0,2}}(?:pasos?|sin ayuda|"
            r"sin muletas|nada)",
        ),
        r"apoyar (?:a (?:mi|mis|la|los|las)|al (?:equipo|club|grupo)|la causa|el equipo)",
    ),
    SignPattern(
        "hot_joint",
        (
            rf"{_JOINT} {_W6}(?:calientes?|roj[oa]s?|enrojecid[oa]s?|inflamad[oa]s?)",
            rf"{_JOINT} (?:\S+ ){{0,8}}?fiebre",
            rf"fiebre (?:\S+ ){{0,8}}?{_JOINT} (?:\w+ ){{0,2}}(?:hinchad\w+|dolorid\w+|"
            rf"inflamad\w+)",
        ),
        r"(?:agua|bano|ducha|dia|arena) calientes?",
    ),
    SignPattern(
        "saddle_numbness",
        (
            r"(?:adormecid\w+|dormid\w+|entumecid\w+|hormigueo|sin sensibilidad|acorchad\w+) "
            r"(?:\w+ ){0,5}?(?:ingle|entre las piernas|genitales|entrepierna|perine|gluteos|silla)",
            r"(?:adormecid\w+|dormid\w+|entumecid\w+|entumecimiento|hormigueo|acorchad\w+|"
            r"no (?:siento|sentia|noto|notaba) nada) (?:\w+ ){0,4}?ahi abajo",
        ),
        explains=r"bici|bicicleta|sillin",
    ),
    SignPattern(
        "saddle_numbness",
        (
            r"(?:perdi|perdido|pierdo|sin) (?:el )?control (?:de|sobre) (?:la |los )?"
            r"(?:vejiga|esfinteres|intestinos?)",
            rf"{_CANT} (?:orinar|hacer pis|aguantar (?:el|la) (?:pis|orina))",
            r"incontinencia",
        ),
        explains=r"cola (?:del|para el)|"
        r"(?:sin|buscar|buscando|encontrar|hay|habia) (?:un |ningun )?bano",
    ),
    SignPattern(
        "self_harm",
        (
            r"(?:quiero|queria|quisiera|ganas de|preferiria) (?:matarme|estar muert[oa])",
            r"(?:matarme|suicid(?:arme|arse|io|arte)|autolesion\w*|autolesionarme|"
            r"cortarme las venas)",
            r"(?:hacerme|hacerme a mi mism[oa]|me hago|me hice) dano a (?:mi mism[oa]|posta|"
            r"proposito)",
            r"quitarme la vida",
            r"acabar con (?:mi vida|todo)",
            r"no (?:quiero|queria) (?:seguir )?(?:vivir|viviendo|estar aqui|existir|despertar\w*)",
            r"(?:mejor|estarian mejor) (?:muert[oa]|sin mi)",
            r"(?:la vida )?no merece la pena (?:vivir|seguir viviendo)",
            r"(?:no (?:le )?(?:veo|encuentro|hallo)(?: el| ningun)?|no tiene) sentido "
            r"(?:a |el |en )?(?:la vida|vivir|estar viv[oa]|seguir viviendo)",
        ),
        r"acabar con todo lo",
    ),
    SignPattern(
        "self_harm",
        (r"(?:quiero|queria|quisiera|ganas de|preferiria) morir(?:me)?",),
        explains=r"(?:queria|quiero|ganas de) morir(?:me)? (?:\S+ ){0,6}?(?:cuestas?|km|kilometro|"
        r"series?|vuelta|calor|meta|verguenza|risa|subida)|(?:cuestas?|km|kilometro|series?|"
        r"subida) (?:\S+ ){0,5}?morir(?:me)?",
    ),
    SignPattern(
        "severe_pain",
        (
            rf"{_SORE} {_W6}(?:a |un |de )?(?:8|9|10)(?: ?/ ?10| (?:de|sobre) (?:10|diez))",
            r"(?:8|9|10)(?: ?/ ?10| (?:de|sobre) (?:10|diez)) (?:de )?dolor",
            rf"{_SORE} (?:\w+ ){{0,3}}(?:insoportable|inaguantable|atroz)",
            r"(?:el )?peor dolor de mi vida",
        ),
    ),
    SignPattern(
        "bone_point_pain",
        (
            rf"{_SORE} {_W6}(?:hueso|tibia|metatarsianos?|sacro|ingle|ingles|coxis|"
            r"(?:un )?(?:solo )?punto(?: concreto| exacto| fijo)?)",
            rf"(?:hueso|tibia|metatarsiano|ingle|sacro|coxis) {_W6}{_SORE}",
            r"un (?:solo )?punto (?:\S+ ){0,6}?(?:duele|apretar|presionar|tocar)",
            rf"{_SORE} (?:al|cuando(?: me)?|si(?: me)?) (?:lo |la )?"
            r"(?:apret|aprieto|presion|toco|tocar|pulso|pulsar)\w* (?:\S+ ){0,5}?"
            r"(?:hueso|espinilla|tibia|punto)",
        ),
        r"a punto de",
    ),
    SignPattern(
        "bone_point_pain",
        (
            r"fractura(?:s)? (?:de|por) (?:estres|fatiga|sobrecarga)",
            r"(?:me rompi|roto|fracturad[oa]|me fracture) (?:el|la|un|una) (?:\w+ )?(?:hueso|pie|"
            r"tobillo|pierna|tibia|cadera|dedo|costilla)",
        ),
        explains=r"hace (?:\w+ )?anos|ano pasado|curad[oa]|en 20\d\d|de pequen[oa]",
    ),
    SignPattern(
        "night_pain",
        (
            rf"{_SORE} (?:\w+ ){{0,4}}?(?:por la noche|de noche|en la cama|toda la noche|"
            r"durante la noche|al acostarme|tumbad[oa])",
            rf"(?:me desperto|me despierta|me desperte|desvel\w+) (?:\w+ ){{0,5}}?{_SORE}",
            rf"{_SORE} (?:\w+ ){{0,4}}?(?:me despierta|me desperto|me desvela|no me deja dormir|"
            r"no me dejo dormir)",
            rf"(?:no (?:pude|puedo) dormir|por la noche) (?:\w+ ){{0,4}}?{_SORE}",
            r"dolor nocturno",
        ),
        r"dolor de (?:garganta|muelas|tripa)",
        "agujetas",
    ),
    SignPattern(
        "limp",
        (r"coje(?:o|aba|ando|e|ar|ado)", r"cojera", r"renque(?:o|aba|ando)", r"coj[oa](?! de)"),
        r"coj[oa] (?:el|la|un|una|las|los|mi|aire|ritmo|autobus|tren|bici)",
    ),
    SignPattern(
        "locking",
        (
            rf"(?:rodilla|tobillo|cadera|articulacion) {_W6}(?:bloque\w+|se traba|trabada|"
            r"atascada|enganchada)",
            r"se me (?:ha )?(?:bloque\w+|trab[oa]) (?:la |el )?(?:rodilla|cadera|tobillo)",
            rf"{_CANT} (?:estirar|doblar|extender|flexionar) (?:la|mi) rodilla",
        ),
    ),
    SignPattern(
        "giving_way",
        (
            r"(?:rodilla|tobillo|pierna|cadera) (?:\w+ ){0,4}?(?:falla|fallo|fallaba|fallado|"
            r"cede|cedio|cedia|se me va|se me fue|se dobla|se doblo)",
            r"(?:me |se me )(?:ha )?(?:falla|fallo|cede|cedio|fallado) (?:la|el) (?:rodilla|"
            r"tobillo|"
            r"pierna|cadera)",
        ),
    ),
    SignPattern(
        "swelling",
        (
            rf"(?:{_JOINT}|espinilla|aquiles|talon) (?:\w+ ){{0,4}}?(?:hinch\w+|como un globo)",
            rf"(?:hinchazon|hinchad[oa]s?) (?:\w+ ){{0,4}}?(?:{_JOINT}|espinilla|aquiles|talon)",
            rf"se me (?:ha )?hinch\w+ (?:\w+ ){{0,2}}(?:{_JOINT})",
        ),
        r"ya no (?:esta )?hinchad\w+",
    ),
)

DENIES_BEFORE = (
    r"(?:^|\s)(?:no|sin|nunca|jamas|ni|tampoco|ningun|ninguna|nada de|cero) "
    r"(?:(?:he|ha|tengo|tenia|tuve|tenido|siento|sentia|senti|sentido|noto|notaba|note|notado|hay|"
    r"habia|hubo|ningun|ninguna|nada|de|el|la|los|las|un|una|mas|signos?|sensacion|rastro|me|se|"
    r"ni|mi|casi|sufrido|apenas|esta|estaba|estoy|fue|es) )*$"
)
DENIES_AFTER = (
    r" (?:(?:: |= |, |\( )?(?:ninguno|ninguna|no|nada|nunca|cero|0(?: ?/ ?10)?)"
    r"(?= [,.)]|$)|(?:ya )?(?:se )?(?:ha |me )?(?:desaparecido|desaparecio|paso del todo))"
)
JOINS = r" (?:(?:,|o|u|ni|y|no|/|e) )*"
LISTS = r"(?:^|\s)(?:o|u|ni|no|/)(?!\S)"
OTHERS = (
    r"(?:^|\s)(?:(?:mi|mis|su|sus|tu|una?|el|la|los|las) (?:\w+ )?(?:padre|madre|papa|mama|mujer|"
    r"marido|esposa|esposo|pareja|hermano|hermana|hijo|hija|amigo|amiga|amigos|vecino|vecina|"
    r"companero|companera|jefe|jefa|tio|tia|primo|prima|abuelo|abuela|perro|perra|gato|nino|nina|"
    r"corredor|corredora|senor|senora|chico|chica|hombre|protagonista|suegro|suegra)|alguien|"
    r"(?:articulo|podcast|libro|pelicula|charla|curso|documental|video|reportaje) "
    r"(?:sobre|de|del)|(?:lei|leido|leyendo) (?:\w+ )?(?:sobre|acerca)) "
)
SELF = (
    r"(?:^|\s)(?:yo|me|mi|conmigo|tengo|tuve|tenia|siento|senti|estoy|estaba|noto|note|he|iba|"
    r"perdi)(?!\S)"
)
