"""Spanish words of danger, each with its body part or subject. Patterns of plain text.

As `words_en`: small letters, no accents ("pantorrilla esta hinchada"), one space between words.
Common practice, no source; a native speaker has not read the list yet.
"""

from __future__ import annotations

from sitegen.care import now_es, parts_es, rarer_es, today_es

WORD_MODULES = (parts_es, now_es, today_es)
SIGN_PATTERNS = (*now_es.SIGN_PATTERNS, *today_es.SIGN_PATTERNS, *rarer_es.SIGN_PATTERNS)
RARER_KEYS = rarer_es.KEYS
MISSPELT = rarer_es.MISSPELT
GOES_ON = rarer_es.GOES_ON
BRUISE = rarer_es.BRUISE
THINNER = rarer_es.THINNER

CALM_MOMENT = (
    r"(?:en reposo|sentad[oa]|tumbad[oa]|acostad[oa]|en la cama|en el sofa|en casa|sin moverme|"
    r"sin hacer nada|por la noche|a ritmo (?:muy )?suave|en llano|sin motivo|sin razon)"
)
LASTING = (
    r"(?:tod[oa] (?:el dia|el rato|la (?:tarde|noche|manana|salida))|desde (?:ayer|anoche|el \w+)|"
    r"anoche|sin parar|(?:durante|una) horas?|de lo normal|de lo habitual|que nunca|andando|"
    r"a un ritmo (?:muy )?suave)"
)

ABOUT_HEALTH = (
    rf"{parts_es.SORE}|hinch\w+|inflam\w+|rigid\w+|lesi\w+|esguince\w*|torced\w+|torci\w*|coj\w+|"
    r"dormid\w+|mare\w+|desma\w+|respir\w+|ahog\w+|sangr\w+|fiebre|enferm\w*|gripe|tos|peor|"
    r"medic[oa]s?|fisio\w*|clinic\w+|hospital|urgencias|oper\w+|fractur\w*|rot[oa]|cai|caida|"
    r"embaraz\w*|pastillas?|pildoras?|medicinas?|medicacion|antibioticos?|diabet\w*|asma|infartos?|"
    r"ictus|corazon|pecho|rodillas?|tobillos?|gemelos?|pantorrillas?|tibias?|espinillas?|aquiles|"
    r"talon(?:es)?|pies?|dedos?|caderas?|ingles?|isquios?|muslos?|articulacion(?:es)?|huesos?|"
    r"tendon(?:es)?"
)

# A sentence without any of these, or any of those behind an &, can't speak of the sign: most are
# passed over quickly, and what is never searched for need not be compiled.
KEYS = """
chest_pain: pecho, opresion, torax, esternon, corazon, infarto, angina, brazo izquierdo, mandibula,
  garganta, izquierdo, ardor
fainting: desma, desvanec, sincope, perdi, perder, inconsciente, desplome, desperte, recobre,
  despertado, en el suelo, redond, lipotim, lo siguiente, no recuerdo, sin sentido, escurri,
  con gente, con desconocidos, con alguien, unos segundos, unos minutos
near_fainting: desma, desvanec, imiento, sentido, redond, mare, vertig, vista, vision, todo,
  aturdid, estrellitas, borroso, cabeza, desfallec, desplom, vahid, vaid, negro
breathless_at_rest: alient, aire, resuello, fuelle, respir, ahog, agit, fatig, asfixi, pulmon, jade,
  escalera, despiert, despert
breathless_out_of_proportion: alient, aire, respir, ahog, agit, asfixi, pulmon
implant_shock: aparato, desfibril, dai, marcapasos, implante
palpitations: palpit, arritm, fibril, taquicard, corazon, puls, latido, frecuencia
one_sided_weakness: cara, boca, labio, parpado, sonrisa, habla, lengua, articular, palabras, lado,
  mitad, brazo, mano, ictus, derrame, vision, vista, doble, traba, cuerpo, ojo, raro, borrach
worst_headache: cabeza
heat_confusion: calor, sol, grados, bochorno, insolacion
coughing_blood: sangre, esputo, flema
cold_limb: pierna, pie, brazo, tobillo, pantorrilla, rodilla, articula, cadera, dedo, codo, rotula,
  hombro, hueso & deform, torcid, dislocad, fuera de, sali, hueso, fri, helad, dorm, durm, duerm,
  entumec, tacto, palid, blanc, azul, morad, muert, hormigue, acorchad, sensib, no siento,
  no sentia, no me sien, no me sentia
calf_swelling: pantorrilla, gemelo, pierna, trombo, coagulo & inch, inflam, calient, roj, mas,
  calor, tromb, coagul, doble
dark_urine: orin, pis, pipi, meo, mea, mee & oscur, marron, negr, roj, color, como, sangre, coca,
  cola
cannot_bear_weight: apoyar, duele demasiado, duele tanto, cargar, peso, paso, ayuda, muletas, nada,
  pisar, caminar, andar & no puedo, no pude, no podia, no he podido, no logr, no cons, capaz,
  imposible, aguant, duele
hot_joint: calient, roj, inflam, ard, fiebre & rodilla, tobillo, articulacion, cadera, dedo, codo,
  pie
saddle_numbness: dorm, durm, duerm, entumec, hormigue, sensibilidad, acorchad, control, orin, abajo,
  pis, aguantar, incontinencia, limpi, vejiga
self_harm: morir, matarme, muert, suicid, autoles, venas, dano, vida, acab, quiero, queria, sin mi,
  pena, vivi, medio, no estar, desaparecer, muero, proposito, adrede, sentido, cortarme, tirarme,
  lanzarme, arrojarme, echarme, despert, exist, ojala, nacido, seguir viv, ya no estoy, notaria,
  echaria, daria cuenta, importaria, motivo, razon, me gustaria, carga, irme para, salida para,
  veo salida, veo otra salida, merezco, futuro, despedida, saltar, pastillas, pildoras, estuviera,
  muriera, desapareciera, hacerme algo, haciendome, sangr, para que seguir, para que viv, dormir
head_injury: cabez, frente, nuca, sien, conmocion
severe_pain: 8, 9, 10, insoport, inaguant, insufri, atroz, dolor
bone_point_pain: hueso, tibia, metatars, sacro, ingle, coxis, salt, punt, dedo, sensible, fractur,
  rompi, roto, fisura
night_pain: noche, cama, acostar, tumbad, despert, despiert, desvel, dormir, nocturno, duermo & dol,
  duel, pinch, punt, punz, molest
limp: coj, renq
locking: bloque, trab, atasca, engancha, estira, dobla, extender, extien, flexionar & rodilla,
  tobillo, cadera, articulacion
giving_way: fall, tuerce, ced, se me va, se me fue, dobl, aguanta & rodilla, tobillo, pierna, cadera
swelling: inch, inflam, como un, es un, parece un
"""

DENIES_BEFORE = (
    r"(?:^|\s)(?:no|sin|nunca|jamas|ni|tampoco|ninguna?|nada de|cero) "
    r"(?:(?:he|ha|ten\w+|tuve|s[ei]+nt\w+|not\w+|hay|"
    r"habia|hubo|ninguna?|nada|de|el|la|los|las|una?|mas|signos?|sensacion|rastro|me|se|"
    r"ni|mi|casi|sufrido|apenas|volvi|vuelto|a|esta|estaba|estoy|fue|es) )*$"
)
DENIES_AFTER = (
    r" (?:(?:: |= |, |\( )?(?:ninguno|ninguna|no|nada|nunca|cero|0(?: ?/ ?10)?)"
    r"(?= [,.)]|$)|(?:ya )?(?:se )?(?:ha |me )?(?:desaparecido|desaparecio|paso del todo))"
)
JOINS = r" (?:(?:,|o|u|ni|y|no|/|e) )*"
LISTS = r"(?:^|\s)(?:o|u|ni|no|/)(?!\S)"
OTHERS = (
    r"(?:(?:^|(?<!(?<!\S)con)\s)(?=\S)|(?<=(?<!\S)con )(?=(?:\S+ ){2,6}?(?:se|le|que) ))"
    r"(?:(?:mis?|sus?|tu|una?|el|al|l[ao]s?) (?:\w+ )?(?:padre|madre|papa|mama|mujer|"
    r"marido|esposa|esposo|pareja|herman[oa]|hij[oa]|amig[oa]s?|vecin[oa]|companer[oa]|jef[ea]|"
    r"ti[oa]|prim[oa]|abuel[oa]|perr[oa]|gato|nin[oa]|corredora?|senora?|chic[oa]|hombre|"
    r"protagonista|suegr[oa])|alguien|"
    r"(?:articulo|podcast|libro|pelicula|charla|curso|documental|video|reportaje) "
    r"(?:sobre|de|del)|(?:lei|leido|leyendo) (?:\w+ )?(?:sobre|acerca)) (?!, (?!que|quien|se |le ))"
)
SELF = (
    r"(?:^|\s)(?:yo|me|mi|conmigo|tengo|tuve|tenia|siento|senti|sentia|estoy|estaba|estuve|noto|"
    r"note|notaba|he|iba|fui|voy|puedo|pude|podia|perdi|cai|volvi|llegue|termine|acabe|pare|sigo|"
    r"camino|tosi|vi|orin[eo]|cojeo)(?!\S)"
)
