"""Spanish words of signs that are *today*: see `words_es`."""

from __future__ import annotations

from sitegen.care.parts_es import AND_IT, CANT, HARD, JOINT, NUMB, SO, SORE, W6
from sitegen.care.sign_pattern import SignPattern

_RACING = (
    r"(?:aceler\w+|dispar\w+|irregular\w*|salt\w+|desboc\w+|raro|tropiez\w+|vuelcos?|golpe\w+|"
    r"a mil|"
    r"muy (?:fuerte|rapido|deprisa))"
)

_RATE = r"(?:pulso|pulsaciones|frecuencia cardiaca)"
_FAST = r"(?:1[5-9]|2\d)\d"
_BONY = r"(?:tibia|espinilla|pie|hueso|empeine|talon|cadera)"

SIGN_PATTERNS: tuple[SignPattern, ...] = (
    SignPattern(
        "palpitations",
        (
            r"palpita[cs]ion(?:es)?",
            r"arritmias?",
            r"fibrilacion(?: auricular)?",
            r"taquicardias?",
            rf"corazon (?:\w+ ){{0,4}}?(?:{_RACING}|latidos? raros)",
            rf"{_RACING} {W6}corazon",
            r"me palpita(?:ba)? (?:\S+ ){0,2}?corazon",
            r"(?:pulso|latidos?|pulsaciones) (?:\w+ ){0,3}(?:irregular(?:es)?|disparad\w+|"
            r"acelerad\w+|rar[oa]s?)",
            r"puls\w+ en reposo (?:\w+ ){0,2}1\d\d",
            rf"{_RATE} (?:\S+ ){{0,8}}?no (?:me |se )?(?:baj\w+|"
            r"sub\w+(?! (?:de|mas|mucho|tanto|por|demasiado)(?!\S)))",
            rf"no (?:me )?baj\w+ (?:el |las |la )?{_RATE}",
            rf"{_RATE} (?:\w+ ){{0,3}}(?:(?:clavad|pegad)\w+ (?:en|a) {_FAST}|"
            rf"{_FAST} (?:\w+ ){{0,2}}(?:sentad[oa]|tumbad[oa]|en la cama|solo (?:and|camin)ando))",
            r"(?:se me sal(?:ia|e) el corazon|corazon se me (?:\w+ )?sal\w+)",
        ),
        explains=rf"{HARD}|nervios|emocion|ilusion|salida|calentamiento|calentando|"
        rf"cuando (?:vi|lei|oi|la vi|lo vi)",
        beyond_device=(
            r"corazon (?:\w+ ){0,2}(?:se (?:me )?(?:para|detiene)(?! (?:ante|con|al)(?!\S))|"
            r"alete\w+|tembl\w+)",
            rf"{_RATE} (?:\w+ ){{0,6}}{_FAST} (?:\w+ ){{0,2}}(?:sentad[oa]|tumbad[oa]|acostad[oa]|"
            r"en (?:la cama|el sofa|reposo)|sin hacer nada)",
        ),
    ),
    SignPattern(
        "calf_swelling",
        (
            r"(?:pantorrillas?|gemelos?) (?:\w+ ){0,6}?(?:h?inch\w+|inflam\w+|calientes?|roj[oa]s?|"
            r"mas (?:gord|grand)\w+(?! que (?:el ano|hace|antes)(?!\S)))",
            r"(?:h?inch\w+|inflam\w+|calor|enrojec\w+) (?:\w+ ){0,3}?(?:pantorrillas?|gemelos?)",
            r"pierna (?:\w+ ){0,4}?h?inchad\w+",
            r"h?inchad[oa] (?:la|una|mi) pierna",
            r"tromb(?:osis|os?)",
            r"coagulos?",
        ),
        r"(?:elevaciones|medias?) de (?:gemelos?|pantorrillas?)|(?:agua|bano|ducha|crema) caliente|"
        r"(?:ya )?no (?:\w+ ){0,2}(?:h?inchad|caliente)\w*|sin hinch\w+|hinchad\w+ de orgullo",
        beyond_device=(
            r"(?:gemelo|pantorrilla) (?:\w+ ){0,3}(?:dur[oa]|tens[oa]|rigid[oa]|sensible) (?:, |y "
            r")+(?:\w+ )?"
            r"(?:caliente|roj[oa]|hinchad[oa])",
            rf"(?:pantorrillas?|gemelos?) {AND_IT}(?:h?inchad\w+|inflamad\w+|"
            rf"(?:caliente|roj[oa])s?{SO})",
            r"(?:pierna|pantorrilla) (?:\w+ ){0,3}(?:mas (?:gord|grues|anch|grand)\w+|el doble)",
        ),
    ),
    SignPattern(
        "dark_urine",
        (
            r"(?:orin\w*|pis|pipi|meo|meado) (?:\w+ ){0,4}?(?:oscur\w+|marron|negr\w+|roj\w+|"
            r"(?:color|como) (?:la |el )?(?:coca cola|cola|te)|sangre)",
            r"sangre en (?:la )?(?:orina|el pis)",
            r"(?:me[eo]|mead[oa]|meando|orin[eo]) (?:como )?(?:coca|cola)(?: cola)?",
        ),
        r"amarill\w+",
        beyond_device=(
            r"(?:orin\w*|pis|pipi|me[ao]\w*|mead[oa]) (?:\w+ ){0,4}?(?:color|como) (?:del? |a "
            r")?(?:la |el )?"
            r"(?:coca|cola|te|cafe|vino|cerveza|oxido|whisky)",
        ),
    ),
    SignPattern(
        "cannot_bear_weight",
        (
            rf"(?:{CANT}|imposible) (?:\w+ )?(?:apoyar|pisar)(?:me|l[ao])?(?: \w+){{0,4}}",
            r"no (?:me )?aguant\w+ (?:el |mi )?peso",
            rf"{CANT} (?:ni )?(?:andar|caminar)(?! (?:mucho|tanto|por\w*|con|hoy|manana|el|al|a|"
            r"rapido)(?!\S))",
            rf"{CANT} (?:cargar|poner|echar) (?:el )?(?:peso|la pierna)(?: \w+){{0,3}}",
            rf"{CANT} (?:dar|ni dar|andar|caminar) (?:\w+ ){{0,2}}(?:pasos?|sin ayuda|"
            r"sin muletas|nada)",
        ),
        r"(?:apoyar|pisar) (?:a (?:mi|mis|la|los|las)|al (?:equipo|club|grupo)|la (?:causa|bici|"
        r"pista)|"
        r"el (?:equipo|circuito|gimnasio))",
        beyond_device=(
            r"duele (?:demasiado|tanto) (?:para|que no puedo) (?:apoyar|pisar|andar|caminar|estar "
            r"de pie)\w*",
        ),
    ),
    SignPattern(
        "hot_joint",
        (
            rf"{JOINT} {W6}(?:calientes?|roj[oa]s?|enrojecid[oa]s?|inflamad[oa]s?|ard\w+)",
            rf"{JOINT} (?:\S+ ){{0,8}}?fiebre",
            rf"fiebre (?:\S+ ){{0,8}}?{JOINT} (?:\w+ ){{0,2}}(?:hinchad\w+|dolorid\w+|"
            rf"inflamad\w+)",
        ),
        r"(?:agua|bano|ducha|dia|arena|rodillas|pies|tobillos) calientes?",
        beyond_device=(
            rf"{JOINT} {AND_IT}(?:(?:caliente|(?:en)?roj(?:ecid)?[oa])s?{SO}|inflamad[oa]s?)",
        ),
    ),
    SignPattern(
        "saddle_numbness",
        (
            rf"{NUMB} (?:\w+ ){{0,5}}?(?:ingle|entre las piernas|genitales|entrepierna|perine|"
            r"gluteos|silla|zona intima|ahi abajo)",
            r"no (?:siento|sentia|noto|notaba) nada (?:\w+ ){0,4}?ahi abajo",
            r"no (?:siento|sentia|noto|notaba) (?:\w+ ){0,5}?(?:orinar|pis)",
        ),
        explains=r"bici|bicicleta|sillin",
        beyond_device=(
            r"no (?:(?:se|noto) (?:cuando|si)|siento|noto) (?:\w+ ){0,2}vejiga",
            r"no (?:siento|sentia|noto|notaba) (?:\w+ ){0,3}(?:me limpi\w+|limpiarme)",
            r"(?:perd\w+|sin) (?:la |toda la )?sensibilidad (?:\w+ ){0,3}?(?:entre las piernas|"
            r"genitales|"
            r"entrepierna|ahi abajo|ingle)",
        ),
    ),
    SignPattern(
        "saddle_numbness",
        (
            r"(?:perdi|perdido|pierdo|sin) (?:el )?control (?:de|sobre) (?:la |los )?"
            r"(?:vejiga|esfinteres|intestinos?)",
            r"se me escap\w+ (?:el pis|la orina) (?:\S+ ){0,3}?(?:sin darme cuenta|no me entero)",
            rf"{CANT} (?:orinar|hacer pis|aguantar (?:el|la) (?:pis|orina))",
            r"incontinencia",
        ),
        explains=r"cola (?:del|para el)|"
        r"(?:sin|busc\w+|encontr\w+|hay|habia) (?:un |ningun )?bano",
    ),
    SignPattern(
        "self_harm",
        (
            r"(?:quiero|queria|quisiera|ganas de|preferiria) (?:matarme|estar muert[oa])",
            r"(?:matarme|(?<!prevencion del )suicid(?:arme|arse|io|arte)|autolesion\w*|"
            r"autolesionarme|cortarme las venas)",
            r"(?:hacerme|hacerme a mi mism[oa]|me hago|me hice) dano a (?:mi mism[oa]|posta|"
            r"proposito)",
            r"quitarme la vida",
            r"acabar con (?:mi vida|todo)",
            r"(?:pens\w+|piens\w+|ganas|ideas?) (?:en |de )hacerme dano",
            r"me (?:he cortado|corte|corto) (?:\w+ ){0,5}?(?:a proposito|adrede)",
            r"quitarme de en medio",
            r"(?:mejor no estar(?=$| [,)]| aqui| viv\w+)|que se acabe todo)",
            r"(?:ganas de|quiero|quisiera) desaparecer",
            r"de menos si (?:me muero|no estoy|no estuviera)",
            r"no (?:quiero|queria) (?:seguir )?(?:vivir|viviendo|estar aqui|existir|despertar\w*)"
            r"(?! (?:con (?:prisas?|este frio)|pendiente|en (?:la ciudad|un|una)))",
            r"(?:mejor|estarian mejor) (?:muert[oa]|sin mi)",
            r"(?:la vida )?no merece la pena (?:vivir|seguir viviendo)",
            r"(?:no (?:le )?(?:veo|encuentro|hallo)(?: el| ningun)?|no tiene) sentido "
            r"(?:a |el |en )?(?:la vida|vivir|estar viv[oa]|seguir viviendo|"
            r"nada(?=$| [,)]| (?:ya|desde|ultimamente)(?!\S)))",
            r"no puedo mas con (?:la|mi) vida",
            r"nada tiene sentido(?=$| [,)]| (?:ya|para mi|desde|ultimamente)(?!\S))",
            r"para que (?:vivir|vivo|seguir viv\w+)",
            r"(?:prefiero|preferiria|quisiera|ojala|deseo|mejor|facil|sencillo|ganas de) "
            r"(?:(?!,)\S+ ){0,5}?no "
            r"(?:\w+ )?(?:despert\w+|exist\w+|estar|estuviera)(?: mas| nunca| jamas| manana| aqui|"
            r" viv[oa])*"
            r"(?=$| [,)])",
            r"cortarme (?:los |las |la )?(?:brazos?|munecas?|muslos?|piernas?|piel)",
            r"no quiero seguir(?: aqui| con (?:esto|todo|mi vida))(?=$| [,)])",
            r"(?:cansad|hart)[oa] de (?:vivir|la vida|existir|seguir viv\w+)(?=$| [,)]| asi)",
        ),
        r"acabar con todo lo|matarme (?:a|en|con)",
        beyond_device=(
            r"(?:imagin\w+|piens\w+|pens\w+|suen\w+) (?:\w+ ){0,3}(?:que )?(?:ya no estoy|estoy "
            r"muert[oa]|no existo)",
            r"dejar de existir(?=$| [,)])",
            r"me gustaria (?:morir(?:me)?|desaparecer|no existir|no despertar\w*)"
            r"(?: mas| nunca)?(?=$| [,)])",
            r"no puedo seguir viv\w+",
            r"(?:soy|siento como|sentirme) una carga(?=$| [,)]| (?:y|para (?:todos|mi|los|ellos)))",
            r"(?:todos|todo el mundo|mi familia|mis hijos) (?:\w+ )?(?:estari?an?|seri?an?) "
            r"(?:bien|mas (?:felices|feliz|tranquil\w+)) sin mi(?=$| [,)])",
            r"quiero que (?:se )?acabe todo esto(?=$| [,)])",
            r"quiero irme para siempre(?=$| [,)])",
            r"mas feliz muert[oa]",
            r"(?:no hay salida para mi|no (?:le )?veo (?:otra )?salida)(?=$| [,)])",
            r"(?:vuelto|volvi) a cortarme(?=$| [,)])",
            r"mi vida no (?:vale|sirve|tiene) (?:para )?(?:nada|la pena|sentido)",
            r"(?:pens|piens)\w+ en (?:tomarme|tragarme) (?:todas|un monton|un punado)(?: de)? "
            r"(?:las |mis )?pastillas",
            r"no merezco (?:vivir|estar viv[oa]|existir)(?=$| [,)])",
            r"ojala no (?:hubiera|hubiese) nacido",
            r"no (?:le )?veo (?:ningun )?futuro(?: para mi)?(?=$| [,)])",
            r"cartas? de despedida",
            r"quiero dormir(?:me)? (?:y no despertar|para siempre)(?: mas| nunca)?(?=$| [,)])",
            r"(?:miedo de|ganas de|acabe|acabar) (?:por )?(?:hacerme|haciendome) algo(?=$| [,)]| "
            r"malo)",
            r"(?:brazos?|piernas?|munecas?|piel) hasta (?:que )?(?:sangr\w+|me sangr\w+)",
            r"para que seguir(?: asi| adelante| viv\w+| aqui)?(?=$| [,)])",
            r"mas (?:felices|tranquilos) si (?:yo )?estuviera muert[oa]",
            r"no (?:me )?despert\w+ (?:nunca )?(?:mas|jamas)(?=$| [,)])",
            r"(?:mejor|mas (?:facil|sencillo|felices)) si (?:yo )?"
            r"(?:no (?:estuviera|existiera)|me muriera|desapareciera)(?=$| [,)]| aqui)",
            r"(?:alguien|nadie) (?:me )?(?:\w+ )?(?:notaria|echaria de menos|daria cuenta|"
            r"importaria) "
            r"(?:\w+ ){0,2}(?:ya no (?:estoy|estuviera)|si (?:me muero|desaparezco|no estoy|"
            r"falto))(?=$| [,)])",
            r"(?:sin|no (?:tengo|encuentro|veo|hay|me quedan)) (?:motivos?|razon(?:es)?|ganas) "
            r"(?:para|de) "
            r"(?:seguir )?(?:vivir|viviendo|viv[oa])(?=$| [,)]| asi| mas)",
            r"me (?:he )?(?:quem|cort|golpe|aran|pegu)\w* (?:los|las|el|la|un) (?:\w+ "
            r")?(?:brazos?|piernas?|munecas?|"
            r"muslos?|manos?|piel|cara|cabeza) (?:\w+ )?(?:a proposito|adrede)",
            r"(?:vias?|puente|anden|balcon|azotea|ventana) (?:\S+ ){0,3}?(?:pens|piens)\w+ en "
            r"(?:saltar|tirarme)",
            r"ojala (?:\w+ )?(?:estuviera muert[oa]|me muriera)",
            r"no (?:aguanto|soporto) mas (?:la|esta|mi) vida",
            r"(?:tir|lanz|arroj|ech)arme (?:a|al|desde|por|debajo|bajo) (?:\w+ ){0,2}(?:metro|"
            r"tren|vias?|"
            r"puente|ventana|balcon|vacio|coches?|camion|azotea|acantilado)",
            r"(?:pens\w+|piens\w+|ganas|quiero) (?:en |de )?saltar (?:del|desde|por) (?:\w+ )?"
            r"(?:puente|ventana|balcon|azotea|acantilado|tejado)",
            r"(?:tomarme|tragarme|me (?:he )?tom(?:e|ado)) (?:todas las|demasiadas|un monton de) "
            r"(?:pastillas|pildoras) (?:de golpe|a proposito|adrede|y)",
        ),
    ),
    SignPattern(
        "self_harm",
        (r"(?:quiero|queria|quisiera|ganas de|preferiria) morir(?:me)?",),
        explains=r"(?:queria|quiero|ganas de) morir(?:me)? (?:\S+ ){0,6}?(?:cuestas?|km|kilometro|"
        r"series?|vuelta|calor|meta|verguenza|risa|subida)|(?:cuestas?|km|kilometro|series?|"
        r"subida) (?:\S+ ){0,5}?morir(?:me)?",
    ),
    SignPattern(
        "head_injury",
        (
            r"(?:golp\w+|porrazo|me di|me (?:he )?dado|me peg(?:ue|o)) (?:\w+ ){0,2}"
            r"(?:en|con|contra|de) la cabeza",
            r"me (?:golpe[eo]|he golpeado|abri|pegue) la cabeza",
            r"cabezazo|cai de cabeza|conmocion(?: cerebral)?",
            r"(?:dolor de|duele la) cabeza (?:\w+ )?(?:desde|tras|por|despues de) "
            r"(?:que )?(?:la |el |me |mi )?(?:caida|cai|golpe)",
        ),
        beyond_device=(
            r"(?:golp\w+|me di|me (?:he )?dado|me peg(?:ue|o)) (?:\w+ ){0,2}(?:en|con|contra|de) "
            r"la "
            r"(?:frente|nuca|sien)",
            r"me (?:golpe[eo]|he golpeado|abri|pegue) la (?:frente|nuca|sien)",
        ),
    ),
    SignPattern(
        "severe_pain",
        (
            rf"{SORE} {W6}(?:a |un |de )?(?:8|9|10)(?: ?/ ?10| (?:de|sobre) (?:10|diez))",
            r"(?:8|9|10)(?: ?/ ?10| (?:de|sobre) (?:10|diez)) (?:de )?dolor",
            r"(?:dolor|duele|dolia) (?:de )?(?:un )?(?:8|9|10)(?=$| [,)]| (?:en|al)(?!\S))",
            rf"{SORE} (?:\w+ ){{0,3}}(?:insoportable|inaguantable|insufrible|atroz|terrible|"
            rf"horrible)",
            r"no (?:soport|aguant)\w+ (?:\w+ )?dolor",
            r"m[ou]e?r[io]\w* de(?:l)? dolor",
            r"(?:el )?peor dolor de mi vida",
        ),
    ),
    SignPattern(
        "bone_point_pain",
        (
            rf"{SORE} {W6}(?:hueso|tibia|metatarsianos?|sacro|ingle|ingles|coxis|"
            r"(?:un )?(?:solo )?punt(?:o|ito)(?: concreto| exacto| fijo)?)",
            rf"(?:hueso|tibia|metatarsiano|ingle|sacro|coxis) {W6}{SORE}",
            r"punto muy concreto",
            rf"(?:punt\w+|zona) (?:\w+ )?(?:sensible|dolor\w+) (?:\w+ ){{0,3}}{_BONY}",
            rf"{_BONY} {W6}sensible (?:\w+ )?(?:tacto|tocar\w*|apretar\w*)",
            rf"(?:senal\w+|toc\w+|pon\w+) (?:\w+ ){{0,3}}dedo (?:\w+ ){{0,4}}{SORE}",
            rf"{SORE} (?:\w+ ){{0,5}}con (?:un|el) dedo",
            r"fisura (?:\w+ ){0,2}(?:hueso|metatarsiano|tibia|perone|costilla|osea)",
            r"un (?:solo )?punto (?:\S+ ){0,6}?(?:duele|apretar|presionar|tocar)",
            rf"{SORE} (?:al|cuando(?: me)?|si(?: me)?) (?:lo |la )?"
            r"(?:apret|aprieto|presion|toco|tocar|pulso|pulsar)\w* (?:\S+ ){0,5}?"
            r"(?:hueso|espinilla|tibia|punto)",
        ),
        r"a punto de",
        beyond_device=(
            rf"{SORE} (?:profund|agud|intens|sord|constant|fuert|repentin)\w+ (?:\w+ "
            rf"){{0,3}}(?:ingle|hueso|"
            r"tibia|sacro|coxis)",
            rf"{SORE} (?:\w+ ){{0,3}}en el hueso",
            rf"{SORE} (?:\w+ ){{0,2}}(?:al|cuando|si) (?:saltar|salto|dar saltos) (?:a|con|sobre|"
            rf"en) (?:la pata|un|una)",
            rf"punt\w+ (?:\w+ ){{0,3}}{_BONY} (?:\S+ ){{0,6}}?(?:dedo|yema|pulgar|moneda)",
            rf"dedo (?:\w+ ){{0,3}}donde (?:\w+ )?{SORE}",
        ),
    ),
    SignPattern(
        "bone_point_pain",
        (
            r"fractura(?:s)? (?:de|por) (?:estres|fatiga|sobrecarga)",
            r"(?:me rompi|roto|fracturad[oa]|me fracture) (?:el|la|un|una) (?:\w+ )?(?:hueso|pie|"
            r"tobillo|pierna|tibia|cadera|dedo|costilla)",
        ),
        explains=r"curad[oa]",
    ),
    SignPattern(
        "night_pain",
        (
            rf"{SORE} (?:\w+ ){{0,4}}?(?:por la noche|de noche|en la cama|toda la noche|"
            r"durante la noche|al acostarme|tumbad[oa])",
            rf"(?:me desp[ie]+rt\w+|desvel\w+|no duermo) (?:\w+ ){{0,5}}?{SORE}",
            rf"{SORE} (?:\w+ ){{0,4}}?(?:me despierta|me desperto|me desvela|no me deja dormir|"
            r"no me dejo dormir)",
            rf"(?:no (?:pude|puedo) dormir|por la noche) (?:\w+ ){{0,4}}?{SORE}",
            r"dolor nocturno",
        ),
        r"(?:dolor de|duele la) (?:garganta|muelas?|tripa)",
        "agujetas",
        beyond_device=(
            rf"{SORE} (?:\w+ ){{0,3}}?(?:cada noche|todas las noches|media noche)",
            r"toda la noche (?:de |con )dolor",
        ),
    ),
    SignPattern(
        "limp",
        (r"coje\w+", r"renque\w+", r"coj[oa](?! de(?!\S))"),
        r"(?:banco|mesa|silla) coj[oa]|coj[oa] (?:el|la|un|una|las|los|mi|aire|ritmo|autobus|tren|"
        r"bici)",
    ),
    SignPattern(
        "locking",
        (
            rf"(?:rodilla|tobillo|cadera|articulacion) {W6}(?:bloque\w+|se traba|trabada|"
            r"atascada|enganchada)",
            r"se me (?:ha )?(?:bloque\w+|trab[oa]) (?:la |el )?(?:rodilla|cadera|tobillo)",
            rf"{CANT} (?:estirar|doblar|extender|flexionar) (?:la|mi) rodilla",
        ),
        beyond_device=(
            r"rodilla no (?:se |me )?(?:estira|dobla(?! ante)|extiende)",
            r"rodilla se (?:me )?(?:engancha|atasca)(?! en)",
        ),
    ),
    SignPattern(
        "giving_way",
        (
            r"(?:rodilla|tobillo|pierna|cadera) (?:\w+ ){0,4}?(?:falla|fallo|fallaba|fallado|"
            r"cede|cedio|cedia|se me va|se me fue|se dobla|se doblo)",
            r"(?:me |se me )(?:ha )?(?:falla|fallo|cede|cedio|fallado|va|fue|dobla|doblo) (?:la|"
            r"el) "
            r"(?:rodilla|tobillo|pierna|cadera)",
            r"rodilla no me aguanta",
        ),
        beyond_device=(
            r"se me doblaron las piernas(?! de)",
            r"(?:rodilla|tobillo|pierna|cadera) se me (?:va|dobla) (?:en|al|por) (?:\w+ "
            r")?(?:escal|baj|sub)\w+",
            r"(?:rodilla|tobillo|pierna|cadera) se me (?:dobla|va|tuerce) (?:sol[oa]|sin avisar)",
        ),
    ),
    SignPattern(
        "swelling",
        (
            rf"(?:{JOINT}|espinilla|aquiles|talon) (?:\w+ ){{0,4}}?(?:h?inch\w+|inflamo|"
            r"(?:como|es|parece) una? (?:globo|bota|pelota|melon|balon))",
            rf"h?inch\w+ (?:\w+ ){{0,4}}?(?:{JOINT}|espinilla|aquiles|talon)",
            rf"se me (?:ha )?inflam\w+ (?:\w+ ){{0,2}}(?:{JOINT})",
        ),
        r"ya no (?:esta )?hinchad\w+|sin hinchaz\w+|hinch\w+ de orgullo|"
        r"hinch\w+ (?:las? |mis? )?(?:ruedas?|balon)",
        beyond_device=(rf"(?:{JOINT}|espinilla|aquiles|talon) {AND_IT}h?inchad\w+",),
    ),
)
