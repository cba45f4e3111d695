"""English words of danger that are rarer still, heard on the coach's side alone: see `words_en`.

And what helps to hear the others: misspellings, and how a second sentence goes on about the first.
"""

from __future__ import annotations

from sitegen.care.parts_en import CANT, SORE
from sitegen.care.sign_pattern import SignPattern

# A word between, but none that denies what comes after it.
_NN = (
    r"(?:(?!(?:not|no|never|without|isnt|wasnt|hasnt|didnt|doesnt|dont|nor|or|hardly|longer)"
    r"(?!\S))\w+ )"
)
_LIMB = (
    r"(?:wrists?|hands?|fingers?|thumb|shoulder|collar ?bone|arms?|elbows?|legs?|foot|feet|toes?|"
    r"ankles?|knees?|kneecap|shin)"
)
_ODD = r"(?:funny|weird|odd|strange|wrong|unnatural|horrible)"
_HOT = r"(?:heat|hot|sun|boiling|degrees|scorching|roasting|sweltering)"
THINNER = (
    r"(?:blood thinn\w+|anticoagulants?|warfarin|apixaban|eliquis|rivaroxaban|xarelto|dabigatran|"
    r"edoxaban|heparin)"
)
BRUISE = (
    r"(?:(?:huge|massive|big|large|enormous|giant|nasty|spreading|growing) (?:\w+ )?bruis\w+|"
    r"bruis\w+ (?:\S+ ){0,6}?(?:huge|massive|big(?! toe)|bigger|enormous|spread\w*|grow\w*|"
    r"all over|(?:doesnt|wont|not|isnt) (?:go\w*|fad\w*|heal\w*))|"
    r"(?:nose ?)?bleed\w* (?:\S+ ){0,4}?(?:half an hour|an hour|hours|(?:[2-9]0|1[05]) min\w*)|"
    r"bleed\w* (?:\S+ ){0,4}?(?:wont|wouldnt|didnt|doesnt|not|hasnt) stop\w*|black and blue|"
    r"(?:leg|arm|hip|thigh|side) (?:\w+ ){0,3}(?:purple|black) (?:all|down|right))"
)

SIGN_PATTERNS: tuple[SignPattern, ...] = (
    SignPattern(
        "chest_pain",
        (),
        beyond_device=(
            r"(?:indigestion|heartburn|burning)(?: \S+){0,8}? (?:run\w*|hills?|climb\w*|effort)"
            r"(?: \S+){0,6}? (?:gone|goes|stops?|settles?|eases?|went)(?: \S+){0,3}? "
            r"(?:rest|stop\w*|walk\w*)",
        ),
    ),
    SignPattern(
        "fainting",
        (),
        beyond_device=(
            r"woke (?:up )?on (?:the|a) (?:\w+ )?(?:floor|ground|path|road|track|grass)",
            r"(?:fell|was|went) unconscious",
        ),
    ),
    SignPattern(
        "breathless_at_rest",
        (),
        beyond_device=(
            r"inhaler (?:\w+ ){0,3}(?:not|isnt|didnt|doesnt|wont|no longer) (?:work|help|touch)\w*",
        ),
    ),
    SignPattern(
        "breathless_out_of_proportion",
        (),
        explains=r"hills?|intervals?|reps?|repeats?|tempo|race|sprint\w*|climb|hard|fast\w*|swim\w*",
        beyond_device=(
            rf"{CANT} (?:fill my lungs|(?:get|take|draw) (?:in )?(?:a |any )?(?:\w+ )?breath)",
            r"(?:so|too|very|really) (?:out of breath|breathless|short of breath|puffed) "
            r"(?:\S+ ){0,5}?(?:easy (?:run|jog|pace)|warm ?up|walk\w*|slow\w*|stroll\w*)",
        ),
    ),
    SignPattern(
        "one_sided_weakness",
        (),
        beyond_device=(
            r"(?:blurr\w*|black|dark|grey|curtain|blind\w*) (?:\w+ ){0,3}(?:in|over|across) "
            r"(?:one|my left|my right) eye",
            r"lost (?:all |the )?(?:feeling|use|strength|power) (?:\w+ ){0,4}(?:left|right|one) "
            r"(?:side|arm|leg|hand)",
        ),
    ),
    SignPattern(
        "worst_headache",
        (),
        beyond_device=(
            r"head (?:\w+ ){0,2}(?:exploded|exploding|splitting) (?:\S+ ){0,8}?(?:worst|sudden\w*|"
            r"sick|vomit\w*|never)",
            r"(?:splitting|blinding|massive|terrible|horrific|unbearable|brutal) headache "
            r"(?:\S+ ){0,6}?(?:at once|sudden\w*|never|seconds|instantly|stiff|sick|vomit\w*)",
            r"(?:stiff neck|neck (?:is|was|so|really) (?:\w+ )?stiff) (?:\S+ ){0,6}?"
            r"(?:headache|light hurts)",
        ),
    ),
    SignPattern(
        "heat_confusion",
        (),
        beyond_device=(
            rf"{_HOT} (?:\S+ ){{0,12}}?(?:muddled|gibberish|incoherent|seeing things|"
            r"hallucinat\w+|zig ?zag\w*|staggering|swaying)",
        ),
    ),
    SignPattern(
        "coughing_blood",
        (),
        r"blood (?:pressure|test\w*|donation|sugar|orange)",
        r"nose ?bleed\w*|bit my (?:tongue|lip|cheek)|gums?|dentist",
        beyond_device=(
            r"cough\w* (?:(?!no)\S+ ){0,14}?blood",
            r"(?:red|pink|bloody|rusty) (?:\w+ )?(?:phlegm|mucus|sputum|spit)",
        ),
    ),
    SignPattern(
        "cold_limb",
        (),
        beyond_device=(
            rf"{_LIMB} {_NN}{{0,5}}(?:bent|pointing|facing|sticking out) (?:\w+ ){{0,2}}"
            rf"(?:the wrong way|at an? \w+ angle|wrong|backwards|{_ODD})",
            rf"{_LIMB} {_NN}{{0,5}}{_ODD} (?:shape|angle)",
            rf"{_LIMB} {_NN}{{0,4}}(?:pale|white|blue|cold|numb|grey|tingling)(?: \S+){{0,8}}? "
            r"(?:since|after|when) (?:\w+ ){0,3}(?:fell|fall|landed|crash\w*|roll\w*|twist\w*)",
            rf"(?:wrists?|shoulder|fingers?|thumb|collar ?bone) {_NN}{{0,4}}(?:deformed|crooked|"
            r"dislocated|popped out|came out|out of (?:its |the )?(?:place|joint|socket))",
        ),
    ),
    SignPattern(
        "calf_swelling",
        (),
        r"(?:calf|calves) (?:sleeves?|raises?|guards?)",
        beyond_device=(
            rf"(?:lower leg|calfs?|calves) {_NN}{{0,6}}(?:swell\w*|swol\w*|puffy|blew up|"
            r"ballooned|bigger than (?:the|my))",
            r"(?:lower leg|calfs?|calves) (?:\S+ ){0,8}?(?:hot|warm|red) (?:and|,) (?:\w+ )?"
            r"(?:hot|warm|red|tight|sore|hard|swollen)",
        ),
    ),
    SignPattern(
        "dark_urine",
        (),
        r"(?:drank|had|for) (?:a |some )?(?:coke|cola|tea|coffee)",
        beyond_device=(
            r"(?:loo|toilet|peed|wee|weed|urinat\w+) (?:\S+ ){0,8}?(?:(?:almost|nearly) black|"
            r"like (?:coke|cola|tea|coffee)|dark brown|(?:cola|coke|tea) colou?red)",
        ),
    ),
    SignPattern(
        "cannot_bear_weight",
        (),
        beyond_device=(r"(?:on|using|need\w*|borrow\w*) (?:\w+ ){0,2}crutches(?! of)",),
    ),
    SignPattern(
        "limp",
        (),
        beyond_device=(
            rf"{SORE} (?:\S+ ){{0,8}}?walk\w* (?:\w+ )?(?:funny|weird\w*|odd\w*|strange\w*|"
            r"lopsided)",
        ),
    ),
    SignPattern(
        "bone_point_pain",
        (),
        r"sore (?:losers?|throat)",
        r"blisters?|calluses|verrucas?",
        beyond_device=(
            rf"{SORE} (?:\S+ ){{0,8}}?size of (?:a |an |my )?(?:\w+ )?(?:coin|penny|pea|thumb\w*|"
            r"dime|quarter|pence|cent|finger\w*)",
            rf"{SORE} (?:\S+ ){{0,6}}?squeez\w*",
            r"(?:press\w*|push\w*|touch\w*|pok\w+|tap\w*) (?:\w+ ){0,5}(?:bone|shin|foot|heel)"
            r"(?: \S+){0,4}? (?:roof|jumped|yelp\w*|scream\w*|ceiling)",
            rf"groin (?:\w+ )?, (?:and |it |its |really |so )*{_NN}{{0,2}}{SORE}",
            rf"{SORE} {_NN}{{0,5}}(?:stand\w*|hop\w*) on (?:one|that|the \w+) leg",
        ),
    ),
    SignPattern(
        "night_pain",
        (),
        r"sore throat|(?:night|evening) (?:run|runs|shift|out)",
        r"tooth\w*|sunburn\w*|blisters?",
        beyond_device=(
            rf"{SORE} (?:\S+ ){{0,8}}?(?:keep(?:s|ing)?|kept) (?:me )?(?:up|awake)",
            rf"{SORE} (?:\S+ ){{0,6}}?(?:rest\w*|sitting|doing nothing) (?:\S+ ){{0,4}}?"
            r"(?:at night|in bed|every night)",
        ),
    ),
    SignPattern(
        "giving_way",
        (),
        explains=r"but no pain|no pain|just a click|balloon|popcorn",
        beyond_device=(
            r"(?:heard|felt) (?:a |it |something )?(?:\w+ )?(?:pop|snap|popped|snapped)"
            r"(?:ping)? (?:\w+ ){0,3}(?:calf|achilles|knee|ankle|hamstring)",
        ),
    ),
    SignPattern(
        "saddle_numbness",
        (),
        explains=r"portaloo|queue|toilet|race",
        beyond_device=(
            rf"{CANT} (?:pee|wee|urinate) properly",
            r"(?:lost|losing|no) (?:all )?(?:bladder|bowel) control",
        ),
    ),
    SignPattern(
        "self_harm",
        (),
        beyond_device=(
            r"(?:cant|cannot|dont|do not|no longer|couldnt) see (?:a|any|the|much) "
            r"(?:reason|point|purpose) (?:to|in|of|for) (?:go|going|carry|carrying|keep|keeping|"
            r"being|be|live|living)(?: (?:on|alive|here))?(?: (?:living|any ?more))?(?=$| [,)])",
            r"(?:want|wants?|wanted|going|urge|tempted|thinking|thoughts) (?:to|of|about) "
            r"(?:hurt|hurting|harm|harming|cut|cutting) myself(?! (?:shaving|on)(?!\S))",
            r"unaliv\w+|(?:end|off|top) myself(?=$| [,)]| (?:soon|tonight|today|now))",
            r"(?:had|ive) (?:had )?enough of (?:life|living)|keep myself safe(?! (?:on|from|in)"
            r"(?!\S))",
        ),
    ),
    SignPattern(
        "head_injury",
        (),
        beyond_device=(
            r"head (?:\w+ ){0,2}(?:hit|smack\w*|struck|slam\w*|bounced) (?:\w+ ){0,3}(?:ground|"
            r"floor|kerb|curb|pavement|rock|tree|wall|door|road|tarmac)",
            r"(?:was|got|been) knocked out(?! (?:of|in the))",
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
        explains=r"clench\w*|dentist|tooth|teeth|braces|carr(?:y|ied|ying)|bottle|vaccin\w*|jab",
        beyond_device=(
            r"left arm (?:\w+ ){0,3}(?:heavy|ach\w+|pain\w*|hurt\w*) (?:\S+ ){0,5}?"
            r"(?:cold sweat\w*|sweat\w* cold|clammy)",
            r"jaw (?:\w+ ){0,2}?(?:ach\w+|hurt\w*|pain\w*) "
            r"(?:\S+ ){0,8}?(?:hills?|climb\w*|uphill) "
            r"(?:\S+ ){0,6}?(?:gone|went|goes|stop\w*|settl\w+|eas\w+) (?:\w+ ){0,2}?"
            r"(?:when i (?:stop|rest|walk)\w*|at rest)",
        ),
    ),
    SignPattern(
        "fainting",
        (),
        beyond_device=(
            r"i (?:\w+ ){0,2}?had (?:a|an|another) (?:\w+ )?seizure",
            r"i (?:\w+ ){0,2}?had an epileptic fit",
        ),
    ),
    SignPattern(
        "heat_confusion",
        (),
        r"confused (?:about|by|which|whether|with)",
        r"route|plan|map|watch|app|signs?",
        beyond_device=(
            r"(?:threw up|throwing up|vomit\w*) (?:\S+ ){0,8}?(?:felt|was|got|feeling) (?:\w+ )?"
            r"(?:confused|disorient\w+|muddled)",
            r"(?:hot|shiver\w*|goosebumps) (?:\S+ ){0,10}?(?:stopped making sense|"
            r"(?:wasnt|was not|not) making (?:any |much )?sense)",
        ),
    ),
    SignPattern(
        "calf_swelling",
        (),
        beyond_device=(
            rf"(?:calf|calves) {_NN}{{0,3}}(?:fat|fatter|thick|thicker|bigger) (?:and|,) (?:\w+ )?"
            r"(?:warm|hot|red)",
            rf"(?:calf|calves) {_NN}{{0,4}}(?:fat|fatter|thicker|bigger|warm|hot) (?:\S+ ){{0,3}}?"
            r"since (?:the|my) (?:flight|bus|drive|journey)",
        ),
    ),
)

# What begins the second of two sentences that are one: "My calf. It is swollen since the flight."
# The weather is no part of a body: "Rested my knee. It was hot today."
GOES_ON = (
    r"(?!(?:it (?:was|is)|its) (?:\w+ )?(?:hot|cold|warm)(?! (?:to the|and|,)))"
    r"(?:its?|is|was|they|theyre|looks?|feels?|felt|got|gets|has|swollen|swelling|hot|red|warm|"
    r"puffy|numb|hurts?|painful|sore|tender|locks?|locked|gives?|gave|keeps?|really|very|so|all|"
    r"cant|couldnt|im|i (?:cant|couldnt|started|take|got)|taking|on|when i|(?:wakes?|woke) me)"
)
MISSPELT = """
preassure presure pressre: pressure
tigth tighness tightnes: tight
cheast chets: chest
brething breatheing: breathing
breth: breath
diziness dizzyness dizzness dizines: dizziness
dizy dissy: dizzy
concious: conscious
headake headach hedache headeache: headache
couging coughin caughing coffing: coughing
sweling: swelling
suiside suicde sucide: suicide
suicidle sucidal suiciadal: suicidal
slured: slurred
anckle ankel: ankle
limpin limpping: limping
tempreture temprature tempature: temperature
feaver fevor: fever
carnt: cant
coudnt cudnt couldt: couldnt
agany: agony
bruze: bruise
"""
KEYS = """
chest_pain: indigest, heartburn, burning, left arm, jaw
fainting: woke, uncon, seizure, epilep
breathless_at_rest: inhaler
breathless_out_of_proportion: lungs, breath, puffed
one_sided_weakness: eye, lost
worst_headache: head, stiff
heat_confusion: heat, hot, sun, boil, degree, scorch, roast, swelter, threw, throw, vomit, shiver,
  goosebump
coughing_blood: cough, phlegm, mucus, sputum, spit
cold_limb: wrist, hand, finger, thumb, shoulder, collar, arm, elbow, leg, foot, feet, toe, ankle,
  knee, shin
calf_swelling: calf, calv, leg
dark_urine: loo, toilet, peed, wee, urin
cannot_bear_weight: crutch
limp: walk
bone_point_pain: size of, squeez, press, push, touch, pok, tap, groin, leg
night_pain: keep, kept, rest, sitting, doing nothing
giving_way: heard, felt
saddle_numbness: properly, bladder, bowel
self_harm: see a, see m, see t, myself, unaliv, enough of
head_injury: head, knocked out
bleeding: thinn, coagul, warf, apix, eliq, rivar, xarel, dabig, edox, hepar
"""
