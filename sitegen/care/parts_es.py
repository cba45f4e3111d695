"""What the rows of Spanish words of danger have in common: see `words_es`."""

from __future__ import annotations

W = (
    r"(?:(?:en|el|la|los|las|un|una|mi|mis|de|del|al|a|por|sobre|bajo|detras|lado|centro|medio|"
    r"izquierdo|izquierda|derecho|derecha|esta|estaba|es|era|fue|se|me|ha|han|muy|tan|bastante|"
    r"algo|poco|como|y|que|parte|alta|baja|todo|toda|puso|pone|quedo|queda|noto|note|notaba|"
    r"siento|senti|sentia|tengo|tuve|tenia|hoy|luego|despues|mientras|al|correr|corria|corriendo|"
    r"otra|vez|fuerte|fuertes|raro|rara|mucho|mucha|bien|completamente|casi|dio|da|empezo|mas|"
    r"misma|mismo|donde|cuando|este|esa|ese|justo|ve|mandibula|aqui) )"
)
W3, W6 = rf"{W}{{0,3}}", rf"{W}{{0,6}}"
SORE = r"(?:dol[eio]\w*|duel\w+|pinch\w+|pun[tz]ad\w+|molest\w+)"
# "Me duele la pantorrilla, está hinchada": what is said of a place behind a comma or an "y".
AND_IT = (
    r"(?:(?!ard|calient|roj)\w+ ){0,6}?(?:, |y |pero )+"
    r"(?:(?:la|lo|las|los|esta|estan|estaba|tengo|noto|notaba|se|me|"
    r"ha|ve|veo|puesto|pone|muy|algo|un|una|poco|bastante|ademas|tambien|mas|ahora|toda|todo) "
    r"){0,5}"
)
SO = r"(?= (?:,|y|al tacto)(?!\S)|$)"  # nothing else is what is red or hot
CANT = (
    r"(?:no (?:puedo|pude|podia|he podido|logro|logre|consigo|consegui|soy capaz de|fui capaz de))"
)
NUMB = (
    r"(?:dormid\w+|se me (?:ha )?d[uo]e?rm\w+|adorm\w+|entumec\w+|hormigue\w+|acorchad\w+|"
    r"sin sensibilidad)"
)
JOINT = r"(?:rodillas?|tobillos?|articulacion|articulaciones|caderas?|dedos?|codos?|pie)"
HARD = (
    r"(?:(?<!me )cuestas?|sprints?|series?|repeticion(?:es)?|tempo|carrera|subida|"
    r"subiendo(?! (?:\w+ )?escal)|rectas?|"
    r"ultim[oa]s? (?:km|kilometros?|vuelta|serie|cuesta|minutos?|metros)|meta|rapido|"
    r"apretando|apreto|a tope|progresivos?)"
)
