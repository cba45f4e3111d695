"""English words of danger, each with its body part or subject. Patterns of plain text.

The text has small letters, no accents, no apostrophes ("cant"), and one space between words;
punctuation stands alone. Rows: `sign_pattern`. Common practice, no source.
"""

from __future__ import annotations

from sitegen.care.sign_pattern import SignPattern

# Words that may stand between a pain and its place. A list, so that "heavy legs, chest fine" or
# "chest fine and hamstring tight" joins nothing.
_W = (
    r"(?:(?:in|across|on|over|around|round|of|to|behind|under|from|through|my|the|a|an|left|right|"
    r"side|middle|center|centre|was|were|is|are|bit|felt|feels|feel|feeling|like|upper|lower|it|"
    r"came|went|goes|go|going|down|got|gets|into|up|down|inside|deep|whole|very|really|so|quite|slightly|"
    r"little|has|had|have|been|being|became|started|starts|began|kept|keeps|all|again|still|"
    r"suddenly|that|this|which|and|both|one|his|her|day|today|looks|looked|turned|some|sort|kind|"
    r"lot|much|getting|just|even|now|while|during|running|after|run|with|also|almost|completely|"
    r"severe|sudden|strong|sharp|dull|terrible|bad|awful) )"
)
_W3, _W6 = rf"{_W}{{0,3}}", rf"{_W}{{0,6}}"
_PAIN = (
    r"(?:pains?|painful|hurts?|hurting|aches?|aching|ached|pressure|tight|tightness|tightening|"
    r"tightened|squeez\w+|crush\w+|heavy|heaviness|burn\w*|discomfort|stabb\w+|weight|stabs?)"
)
_SORE = r"(?:pains?|painful|hurts?|hurting|aches?|aching|ached|sore|tender|throb\w*|stabb\w+)"
_NOT_THING = (
    r"(?! (?:strap|straps|press|presses|monitor|belt|fly|flies|pocket|freezer|hair|day|of drawers|"
    r"opener|openers|expander|pass|infection|workout)(?!\S))"
)
_CANT = (
    r"(?:cant|cannot|can not|couldnt|could not|unable to|not able to|wasnt able to|"
    r"am not able to|im not able to)"
)
_JOINT = r"(?:knees?|ankles?|joints?|hips?|toes?|foot|elbows?)"
_LIMB = r"(?:legs?|foot|feet|arm|arms|limb|ankle|calf|lower leg)"
_HARD = (
    r"(?:hills?|sprints?|sprinting|intervals?|reps?|repeats?|tempo|race|(?<!heart )raced|"
    r"(?<!heart )(?<!heart was )(?<!heart is )racing the|climb|"
    r"climbing|strides?|hard (?:run|session|effort|part|bit)|final|last (?:km|k|mile|lap|one|rep|"
    r"minute|metres)|finish|fast|faster|pushed|pushing|steep)"
)
_BREATHLESS = (
    r"(?:breathless|breathlessness|short of breath|shortness of breath|out of breath|"
    r"gasping|cant breathe|cannot breathe|couldnt breathe|could not breathe|"
    r"(?:trouble|difficulty|struggl\w+|hard|problems?) (?:to breathe|breathing|with breathing|"
    r"with my breathing))"
)
_RESTING = (
    r"(?:at rest|resting|sitting|sat|seated|lying|lay|in bed|on the (?:sofa|couch|stairs)|"
    r"walking|standing still|doing nothing|at night|just talking|talking|climbing stairs|"
    r"when i (?:sit|lie|rest)|tying my shoes|without moving|getting dressed)"
)
# What is told of such a moment, or lasts, is not explained by a hill elsewhere in the sentence.
CALM_MOMENT = (
    r"(?:at rest|resting|sitting|sat|seated|lying|in bed|on the (?:sofa|couch|flat)|at home|"
    r"at my desk|standing still|doing nothing|at night|just talking|without moving|"
    r"on (?:an|my|the) easy run|at (?:an )?easy pace|for no reason|out of nowhere)"
)

LASTING = (
    r"(?:all (?:day|evening|night|afternoon)|since (?:yesterday|\w+day|last night)|last night|"
    r"hours?|than (?:usual|normal)|the whole way|walking (?:home|to))"
)
_FROST = (
    r"snow|snowy|frost|winter|icy|ice|freezing|ice bath|"
    r"cold (?:morning|weather|day|water|wind)|minus"
)

# A sentence without any of these can't speak of the sign: most are passed over quickly.
KEYS = """
chest_pain: chest, heart, angina, breastbone, sternum, left arm
fainting: faint, passed out, black, keeled, conscious, syncop, collapsed, came to, woke up, came
  round
near_fainting: faint, pass, black, collaps, conscious, dizz, headed, woozy, saw stars, tunnel,
  everything, it all, vision, sight
breathless_at_rest: breath, gasp
breathless_out_of_proportion: breath, gasp, air
palpitations: palpit, arrhythm, fib, heart, pulse
one_sided_weakness: face, mouth, smile, eyelid, slur, speech, speak, talk, words, my own name,
  side, half, arm, stroke, vision, sight, double
worst_headache: headache, thunderclap
heat_confusion: confus, disorient, deliri, sweating, babbl, stagger, no sense, know, heat, sun
coughing_blood: blood, cough
cold_limb: leg, foot, feet, arm, limb, ankle, calf, knee, joint, hip, toe, elbow, bone
calf_swelling: calf, calves, clot, thrombosis, dvt
dark_urine: urine, pee, wee
cannot_bear_weight: weight, stand on, step, walk, hop on
hot_joint: hot, red, inflamed, fever
saddle_numbness: numb, tingling, control, pee, urinate, bladder, incontinen
self_harm: myself, self harm, to die, dead, end, suicid, point, nothing to live, life, want to,
  better
severe_pain: 8, 9, 10, unbearable, excruciat, agoni, worst pain, screaming
bone_point_pain: bone, sacrum, metatars, groin, spot, point, stress, broke, fractur, crack
night_pain: night, bed, lie, lying, woke, wak, kept, keeps, sleep
limp: limp, hobbl
locking: lock, jam, stuck, straighten, bend
giving_way: way, out, buckl
swelling: swoll, swell, puffy, balloon, blown
"""

SIGN_PATTERNS: tuple[SignPattern, ...] = (
    SignPattern(
        "chest_pain",
        (
            rf"{_PAIN} {_W6}chest{_NOT_THING}",
            rf"chest{_NOT_THING} {_W6}{_PAIN}",
            r"chest (?:pains?|tightness|pressure)",
            r"heart attack(?! hill)",
            r"angina",
            rf"{_PAIN} {_W6}(?:heart|breastbone|sternum|left arm)",
            r"(?:heart|breastbone|sternum) (?:hurts?|hurting|aches?|aching|pains?)",
        ),
        r"heart attack hill|chest (?:strap|press|presses|flies|belt)",
    ),
    SignPattern(
        "fainting",
        (
            r"(?:i )?(?:fainted|passed out|blacked out|blackout|keeled over)"
            r"(?! (?:flyers|leaflets|water|bananas|cups|bibs|medals|curtains?|blinds?)(?!\S))",
            r"fainting",
            r"lost consciousness",
            r"(?:was|found|lay|went) unconscious",
            r"syncope",
            r"i (?:\w+ ){0,2}collapsed",
            r"collapsed (?:on|at|in|during|after|near|just|and) (?:the )?(?:\w+ )?"
            r"(?:run|finish|track|road|path|ground|floor|street|grass|line|heat|shower|stairs)",
            r"(?:came to|woke up|came round) (?:on|lying on) the (?:ground|floor|path|road|grass)",
        ),
        r"(?:arch|form|posture|deal|plan|fainting goats?) collapsed|fainting goats?",
    ),
    SignPattern(
        "near_fainting",
        (
            r"(?:nearly|almost|about to|going to|gonna|close to|thought id|thought i would|"
            r"think i might|might) (?:\w+ )?(?:faint\w*|pass out|passed out|black out|blacked out|"
            r"passing out|blacking out|collapse|collapsed|lose consciousness)",
            r"(?:feel|felt|feeling|bit|quite|really|very|so|a little|going|went|i was) faint"
            r"(?! (?:pain|ache|line|twinge|soreness|pull|niggle|hope|trace|hint)(?!\S))",
            r"dizz(?:y|iness)(?! with (?:joy|happiness|excitement|success)(?!\S))",
            r"light ?headed(?:ness)?",
            r"woozy",
            r"saw stars",
            r"tunnel vision",
            r"(?:everything|it all|vision|sight) (?:\w+ )?(?:went|going|turned) "
            r"(?:black|dark|grey|gray|white|blurry)",
        ),
    ),
    SignPattern(
        "breathless_at_rest",
        (
            rf"{_BREATHLESS} (?:\S+ ){{0,5}}?{_RESTING}",
            rf"{_RESTING} (?:\S+ ){{0,4}}?{_BREATHLESS}",
        ),
        r"while talking on(?! the phone)|walking breaks?",
        r"(?:needed|took|had) (?:a|some) rest",
    ),
    SignPattern(
        "breathless_out_of_proportion",
        (
            rf"(?:much|far|way|a lot|unusually|strangely|oddly|more|weirdly|extremely|suddenly|"
            rf"terribly|badly) (?:more )?{_BREATHLESS}",
            rf"{_BREATHLESS} (?:\S+ ){{0,4}}?(?:than usual|than normal|than ever|for no reason|"
            r"on the flat|so easily|out of nowhere|after (?:a few|two|ten|some) (?:steps|metres|"
            r"seconds)|on an easy run|at easy pace)",
            r"short of breath",
            r"shortness of breath",
            rf"{_CANT} (?:catch my breath|get my breath(?: back)?|get (?:any|enough) air|"
            r"breathe(?! through my nose)(?! for laughing)(?! from laughing))",
            r"(?:gasping|gasped|fighting|struggling) for (?:air|breath)",
        ),
        explains=rf"{_HARD}|laugh\w*|giggl\w*|through my nose|under ?water|swim\w*|mask",
    ),
    SignPattern(
        "palpitations",
        (
            r"palpitations?",
            r"arrhythmia",
            r"(?:a ?fib|atrial fibrillation)",
            rf"heart(?! (?:rate|attack|broken)) {_W6}(?:racing|raced|races|pounding|pounded|"
            r"skip\w*|flutter\w*|irregular\w*|jumping|stumbl\w*|thumping|"
            r"miss(?:ed|es|ing) (?:a )?beats?|all over the place|out of rhythm)",
            r"(?:racing|pounding|fluttering|irregular|skipping|thumping) (?:heart(?! rate)|pulse|"
            r"heart ?beat)",
            r"(?:pulse|heart ?beat) (?:\w+ ){0,3}(?:irregular|all over the place|skipp\w+|racing)",
        ),
        explains=rf"{_HARD}|when i (?:saw|heard|read)|nerves|nervous|excite\w*|start line|"
        r"no coffee|romance|novel",
    ),
    SignPattern(
        "one_sided_weakness",
        (
            rf"(?:face|mouth|smile|eyelid) {_W6}(?:droop\w*|hanging|lopsided|numb|fell|sagg\w*)",
            r"(?:droop\w*|sagging|numb) (?:face|mouth)",
            r"slurr(?:ed|ing)(?: \w+)?",
            rf"speech {_W3}slurred",
            rf"{_CANT} (?:speak|talk|get (?:my|the) words out|find (?:my|the) words|"
            r"say my own name)(?! (?:german|spanish|english|french|highly|enough|and run|while)"
            r"(?!\S))",
            rf"(?:one|left|right) (?:side|half) (?:of my (?:body|face) )?{_W3}(?:\w+ )?"
            r"(?:numb|weak|paralysed|paralyzed|dead)",
            rf"(?:numb|weak|numbness|weakness|paralysed|paralyzed) {_W3}(?:down |on |in )?"
            r"(?:one|my left|my right|the left|the right|my whole left|my whole right) "
            r"(?:side|half|arm)",
            rf"(?:left|right|one|my) arm {_W3}(?:numb|weak|dead|paralysed|paralyzed|limp|"
            r"would not move|wouldnt move)",
            r"(?:had|having|have|suffered|be) a (?:mini )?stroke",
            r"(?:lost|losing) (?:my )?(?:vision|sight) (?:in|on|of) (?:one|my left|my right)",
            r"(?:double vision|seeing double)",
        ),
        r"(?:swim|swam|pool|breast|back) ?stroke",
    ),
    SignPattern(
        "worst_headache",
        (
            r"worst headache (?:\S+ ){0,3}?(?:ever|of my life|in my life|imaginable|"
            r"ive (?:ever )?had|i have (?:ever )?had)",
            r"thunderclap(?: headache)?",
            r"(?:sudden|exploding|explosive) (?:\w+ )?headache",
            r"headache (?:came )?(?:out of nowhere|like never before|like an explosion|"
            r"like a blow)",
            r"headache (?:\S+ ){0,5}?(?:confus\w+|stiff neck|slurr\w+|throwing up|vomit\w*)",
            r"(?:confused|confusion) (?:\S+ ){0,4}?headache",
        ),
    ),
    SignPattern(
        "heat_confusion",
        (
            r"(?:heat|hot|sun|boiling|overheat\w*|degrees) (?:\S+ ){0,10}?(?:confus\w+|"
            r"disorient\w+|delirious|stopped sweating|babbling|stagger\w+|made no sense|"
            r"didnt know (?:where i was|my name|who))",
            r"(?:confus\w+|disorient\w+|delirious|stopped sweating|babbling|stagger\w+|"
            r"didnt know where i was) (?:\S+ ){0,10}?(?:heat|hot|sun|boiling|overheat\w*|degrees)",
            r"(?:heat ?stroke|sun ?stroke)",
        ),
        r"(?:avoid|against|prevent|read|about|risk of) (?:a )?(?:heat ?stroke|sun ?stroke)",
        r"confus\w+ (?:about|by|which|whether|with)",
    ),
    SignPattern(
        "coughing_blood",
        (
            r"cough\w* (?:up )?(?:\w+ ){0,2}blood",
            r"blood (?:\w+ ){0,4}(?:when i cough\w*|cough\w*|phlegm|sputum)",
            r"cough\w* (?:up )?(?:\w+ ){0,2}(?:pink|bloody|rust\w*)(?: \w+)?",
        ),
        r"blood (?:pressure|test\w*|donation)",
    ),
    SignPattern(
        "coughing_blood",
        (
            r"(?:spit|spat|spitting) (?:out )?(?:\w+ ){0,2}blood",
            r"blood (?:\w+ ){0,4}spit",
        ),
        r"blood (?:pressure|test\w*|donation)",
        r"bit my (?:tongue|lip|cheek)",
    ),
    SignPattern(
        "cold_limb",
        (
            rf"{_LIMB} {_W3}(?:deformed|crooked|misshapen|dislocated|out of shape|"
            r"bent the wrong way)",
            rf"(?:deformed|crooked|misshapen|dislocated) (?:\w+ )?(?:{_LIMB}|{_JOINT}|kneecap)",
            rf"(?:kneecap|{_JOINT}) {_W3}(?:dislocated|out of (?:place|shape|joint)|deformed)",
            r"bone (?:is |was )?(?:sticking|poking|showing|visible)(?: out)?",
        ),
    ),
    SignPattern(
        "cold_limb",
        (
            rf"{_LIMB} {_W3}(?:cold|numb) (?:and|,) (?:\w+ )?(?:pale|white|blue)",
            rf"{_LIMB} {_W3}white (?:and|,) (?:\w+ )?(?:cold|pale|blue|numb)",
            rf"{_LIMB} {_W3}(?:pale|blue)",
        ),
        r"(?:pale|white|blue) (?:\w+ )?(?:laces?|socks?|gloves?|shoes?|tape|sleeves?|tights)",
        _FROST,
    ),
    SignPattern(
        "cold_limb",
        (
            rf"{_LIMB} {_W3}(?:cold|numb) (?:and|,) (?:\w+ )?(?:cold|numb)",
            rf"{_CANT} feel my (?:\w+ )?(?:leg|foot|arm)",
            rf"(?:no feeling|lost (?:all )?feeling) in my (?:\w+ )?(?:{_LIMB})",
            r"(?:leg|foot) (?:is|has been|was|went|stays|stayed|still) (?:completely |all |still )?"
            r"numb",
        ),
        explains=rf"{_FROST}|laces?|socks?|gloves?|shoes? (?:was|were|too)",
    ),
    SignPattern(
        "calf_swelling",
        (
            rf"(?:calf|calves) {_W6}(?:swollen|swell\w*|swelled|puffy|hot|red|warm to|"
            r"bigger than)",
            rf"(?:swollen|swelling|hot|red|puffy) (?:\w+ )?{_W3}(?:calf|calves)(?! sleeves?)",
            r"(?:blood clot|thrombosis|dvt)",
        ),
        r"(?:calf|calves) (?:sleeves?|raises?)|hot (?:bath|tub|water|day|weather|pack|stone)",
    ),
    SignPattern(
        "dark_urine",
        (
            rf"(?:urine|pee|wee) {_W6}(?:dark(?! yellow)|brown|black|red|pink|bloody|cola|coke|"
            r"coca cola|tea)",
            r"(?:dark(?! yellow)|brown|cola|coke|tea) (?:colou?red )?(?:brown )?(?:urine|pee|wee)",
            r"blood in (?:my |the )?(?:urine|pee|wee)",
            r"pee\w* (?:blood|brown|cola)",
        ),
    ),
    SignPattern(
        "cannot_bear_weight",
        (
            rf"{_CANT} (?:even |really )?(?:put|bear|take|carry) (?:\w+ ){{0,3}}weight(?: \w+)?",
            rf"{_CANT} (?:even |really )?(?:stand|step|walk|hop) on "
            r"(?:it|my|the left|the right|that|one) ?(?:\w+)?",
            rf"{_CANT} (?:even )?(?:walk|take (?:a|four|two) steps?) (?:at all|without|unaided)",
            rf"{_CANT} (?:even )?take (?:a|one|four|two|three) steps?",
        ),
        r"weights? (?:room|vest)",
        "calories",
    ),
    SignPattern(
        "hot_joint",
        (
            rf"{_JOINT} {_W6}(?:hot|red|inflamed)",
            rf"(?:hot|red|inflamed) (?:and \w+ )?{_W3}{_JOINT}",
            rf"{_JOINT} (?:\S+ ){{0,8}}?fever",
            rf"fever (?:\S+ ){{0,8}}?(?:swollen|painful|sore|stiff) {_JOINT}",
        ),
        r"hot (?:bath|tub|water|day|weather|pack|shower|stone)|(?:red|hot) (?:socks|shoes|tape|"
        r"sand|tarmac)",
        "in the heat",
    ),
    SignPattern(
        "saddle_numbness",
        (
            rf"(?:numb|numbness|tingling) {_W6}(?:down there|groin|saddle area|between my legs|"
            r"genitals|crotch|buttocks|bottom|private parts)",
            rf"(?:groin|saddle area|genitals|crotch|buttocks) {_W3}numb",
        ),
        explains=r"(?:bike|cycling|bicycle) (?:saddle|seat)",
    ),
    SignPattern(
        "saddle_numbness",
        (
            r"(?:lost|losing|no|lose) control (?:of|over) (?:my )?(?:bladder|bowels?)",
            rf"{_CANT} (?:pee|urinate|empty my bladder|hold my (?:pee|urine|bladder|bowels?))",
            r"incontinen\w+",
        ),
        explains=r"portaloo|queue|(?:no|next|(?:find|reach|for) (?:a|the)) toilet",
    ),
    SignPattern(
        "self_harm",
        (
            r"(?:kill|killing|harm|harming|cut|cutting) myself(?! (?:shaving|on a|on the|with the|"
            r"laughing|peeling|opening|a|some|off|on that|on this|up that))",
            r"self harm\w*",
            r"(?:want|wanted|wish|wanting|going|like) i (?:was|were) dead",
            r"i wish i (?:was|were) dead",
            r"(?:end|ending) (?:it all|my life)",
            r"suicid(?:e|al)(?! (?:runs?|sprints?|drills?|hill|shuttles?|intervals?))",
            r"(?:(?:no|(?:dont|do not|cant) see (?:the|any|a)) point (?:in |of )?"
            r"(?:living|being alive|going on living)|"
            r"nothing to live for|life (?:is|isnt) (?:not )?worth living)",
            r"(?:dont|do not|didnt) want to (?:be here|live|be alive|wake up|exist)(?: any ?more)?",
            r"better off (?:dead|without me)",
            r"better if i (?:was|were) (?:dead|gone|not here)",
        ),
    ),
    SignPattern(
        "self_harm",
        (r"(?:want|wanted|wish|wanting|going|like) to die",),
        explains=r"(?:wanted|want) to die (?:\S+ ){0,6}?(?:hills?|km|k|mile|miles|climb|interval|"
        r"intervals|reps?|lap|laps|stairs|heat|finish|embarrassment|laughing)|"
        r"(?:hills?|km|mile|climb|intervals?|reps?|lap) (?:\S+ ){0,5}?want(?:ed)? to die",
    ),
    SignPattern(
        "severe_pain",
        (
            rf"{_SORE} {_W6}(?:a |at |about |of )?(?:8|9|10)(?:·\d)?(?: ?/ ?10| out of (?:10|ten)| "
            r"of 10)",
            r"(?:8|9|10)(?: ?/ ?10| out of (?:10|ten)) (?:pain|for pain|on the pain scale)",
            r"(?:unbearable|excruciating|agonising|agonizing) (?:\w+ )?(?:pain|ache)",
            rf"pain {_W6}(?:unbearable|excruciating|agonising|agonizing)",
            r"worst pain (?:ever|of my life|imaginable|i(?:ve| have) (?:ever )?(?:had|felt))",
            r"screaming (?:in|with) pain",
        ),
    ),
    SignPattern(
        "bone_point_pain",
        (
            rf"{_SORE} {_W6}(?:bone|shin ?bone|shinbone|hip ?bone|tail ?bone|sacrum|metatarsals?|"
            r"groin|one (?:exact |single |small |tiny )?(?:spot|point)|"
            r"(?:a|the) (?:single|exact|tiny) (?:spot|point))",
            r"bone (?:pain|hurts?|aches?|is (?:sore|tender))",
            rf"{_SORE} (?:when|if|as) (?:i |you )?(?:press|push|touch|poke|prod)\w* "
            r"(?:\S+ ){0,5}?(?:bone|shinbone|spot|point)",
            rf"(?:shin ?bone|hip ?bone|metatarsal|groin|sacrum) {_W6}{_SORE}",
            rf"one (?:exact |single |small |tiny )?(?:spot|point) (?:\S+ ){{0,6}}?"
            rf"(?:{_SORE}|press\w*|touch\w*)",
            r"(?:pin ?point|point) (?:pain|tenderness|tender)",
            r"(?:broke|broken|fractured|cracked) (?:my |a |the )?(?:\w+ )?(?:bone|foot|ankle|leg|"
            r"shin|hip|toe|rib)",
        ),
        r"sore (?:losers?|throat)",
    ),
    SignPattern(
        "bone_point_pain",
        (r"stress (?:fracture|reaction)",),
        explains=r"(?:old|previous|past|years? ago|last year|healed|back in|in 20\d\d|since 20\d\d|"
        r"when i was|about|bakery|prevent|avoid|risk of) (?:\S+ ){0,4}?"
        r"stress (?:fracture|reaction)|"
        r"stress (?:fracture|reaction) (?:\S+ ){0,6}?(?:years? ago|last year|healed|in 20\d\d)",
    ),
    SignPattern(
        "night_pain",
        (
            rf"{_SORE} {_W6}(?:at night|in bed|all night|in the night|during the night|overnight|"
            r"when i lie(?: down)?|lying down)",
            rf"(?:woke|wakes|waking|woken|kept|keeps) (?:me|by|up)(?: \S+){{0,8}}? {_SORE}",
            rf"{_SORE} (?:\S+ ){{0,6}}?(?:woke|wakes|keeps|kept|waking) me(?: up| awake)?",
            r"night pain",
            rf"{_CANT} sleep (?:\S+ ){{0,4}}?{_SORE}",
            rf"at night (?:\S+ ){{0,4}}?{_SORE}",
        ),
        r"sore throat|(?:woke up|waking up) (?:with|feeling) (?:\w+ )?sore|"
        r"(?:night|evening) (?:run|runs|shift|out)",
        r"tooth\w*",
    ),
    SignPattern(
        "limp",
        (
            r"(?:limped|limping|hobbled|hobbling)",
            r"(?:a|my|the|bad|slight|little|with) limp(?! (?:handshake|lettuce|wrist\w*))",
            r"i limp",
        ),
        r"(?:battery|phone|wifi|watch|car) (?:\S+ ){0,3}?limp\w*|nobody limp\w*",
    ),
    SignPattern(
        "locking",
        (
            rf"(?:knee|ankle|joint|hip) {_W6}(?:lock(?:s|ed|ing)(?! (?:eyes|in|door))|jammed|"
            r"stuck)(?: up)?",
            r"locked knee",
            rf"{_CANT} (?:straighten|bend|unlock) (?:my |the )?(?:\w+ )?knee",
        ),
        r"lock(?:ed|ing)? (?:out )?(?:the|my|your) knees?",
    ),
    SignPattern(
        "giving_way",
        (
            rf"(?:knee|ankle|hip|leg) {_W6}(?:gave|gives|giving|give|given) (?:way|out)"
            r"(?: under me)?",
            rf"(?:knee|ankle|hip|leg) {_W6}buckl\w+",
            r"(?:gave|giving|gives) way under me",
        ),
    ),
    SignPattern(
        "swelling",
        (
            rf"(?:{_JOINT}|shin|achilles|heel) {_W6}(?:swollen|swelling|swell(?:s|ed)?|swelled up|"
            r"puffy|ballooned|blown up|like a balloon)",
            rf"(?:swollen|swelling|puffy) (?:\w+ )?{_W3}(?:{_JOINT}|shin|achilles|heel)",
        ),
        r"no longer swollen|swelling (?:is|has) gone|(?:was|were) swollen (?:last|as a)|"
        r"swell(?:ed|ing)? with pride",
    ),
)

# "no chest pain", "without any", "didn't feel": only these, and only with such words between.
DENIES_BEFORE = (
    r"(?:^|\s)(?:no|without|never|not|nor|neither|zero|havent|hasnt|hadnt|didnt|dont|doesnt|wasnt|"
    r"isnt|arent|werent|free of|denies|nothing like|have not|has not|had not|did not|do not|"
    r"does not|was not|is not|are not) "
    r"(?:(?:any|a|an|the|my|real|more|signs?|sign|of|feeling|feel|felt|have|had|having|get|got|"
    r"getting|at|all|sort|kind|trace|hint|new|further|such|actual|actually|ever|been|really|yet|"
    r"even|nearly|almost|bit|being|longer|was|there|sense) )*$"
)
# "chest pain: none", "dizziness no".
DENIES_AFTER = (
    r" (?:(?:: |= |, |\( )?(?:none|no|nope|nil|never|zero|0(?: ?/ ?10)?|not at all|nothing)"
    r"(?= [,.)]|$)|(?:is|was|has|had) (?:all )?(?:gone|not there|absent)(?!\S))"
)
# Between two that are denied together: "no chest pain, dizziness or fainting".
JOINS = r" (?:(?:,|or|nor|and|any|no|/|&) )*"
LISTS = r"(?:^|\s)(?:or|nor|no|any|/)(?!\S)"
# Somebody else, unless the writer comes in again.
OTHERS = (
    r"(?:^|\s)(?:(?:my|his|her|our|a|the|their) (?:\w+ ){0,1}(?:father|mother|dad|mum|mom|"
    r"wife|husband|"
    r"partner|brother|sister|son|daughter|friend|friends|neighbou?r|colleague|boss|uncle|aunt|"
    r"cousin|grandfather|grandmother|grandad|grandma|gran|dog|cat|kid|kids|child|teammate|runner|"
    r"man|woman|guy|spectator|marshal|character|lady)|someone|somebody|another runner|"
    r"(?:article|podcast|book|film|movie|talk|course|story|programme|documentary|video|lecture|"
    r"chapter|series|leaflet|page|poster) (?:\w+ )?(?:on|about|of)|read (?:\w+ )?(?:about|on)|"
    r"first aid (?:course|training) (?:on|about|for)) "
)
SELF = (
    r"(?:^|\s)(?:i|im|ive|id|my|mine|myself)(?!\S)|"
    r"(?:^|(?<! of)(?<! to)(?<! beside)(?<! behind)(?<! with)\s)me(?!\S)"
)
