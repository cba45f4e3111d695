"""English words of signs that are *now*: see `words_en`."""

from __future__ import annotations

from sitegen.care.parts_en import CANT, HARD, JOINT, SORE, W3, W6
from sitegen.care.sign_pattern import SignPattern

_PAIN = (
    rf"(?:{SORE}|pressure|tight(?:ness|en\w+)?|squeez\w+|crush\w+|heav(?:y|iness)|burn\w*|"
    r"discomfort|weight)"
)
_NOT_THING = (
    r"(?! (?:straps?|press|presses|monitor|belt|fly|flies|pocket|day|infection|workout)(?!\S))"
)
_LIMB = r"(?:legs?|foot|feet|arm|arms|limb|ankle|calf|lower leg)"
_AIRLESS = (
    rf"(?:(?:{CANT}|hardly|barely|struggl\w+ to) (?:breathe?|(?:catch|get) my breath)"
    r"(?! through my nose)(?! (?:for|from) laughing)|short(?:ness)? of breath|(?:i was|im|like|"
    r"felt) suffocat\w+)"
)
_BREATHLESS = (
    rf"(?:{_AIRLESS}|breathless|breathlessness|out of breath|gasping|puffed|"
    r"(?:trouble|difficulty|struggl\w+|hard|problems?) (?:to breathe|breathing|with breathing|"
    r"with my breathing))"
)
_RESTING = (
    r"(?:at rest|resting|sitting|sat|seated|lying|lay|in bed|on the (?:sofa|couch|stairs)|"
    r"woke up|up the stairs|walking|standing still|doing nothing|at night|just talking|talking|"
    r"climbing stairs|"
    r"when i (?:sit|lie|rest)|tying my shoes|without moving|getting dressed)"
)
_FROST = (
    r"snow|snowy|frost|winter|icy|ice|freezing|ice bath|"
    r"cold (?:morning|weather|day|water|wind)|minus"
)

SIGN_PATTERNS: tuple[SignPattern, ...] = (
    SignPattern(
        "chest_pain",
        (
            rf"{_PAIN} {W6}chest{_NOT_THING}",
            rf"chest{_NOT_THING} {W6}{_PAIN}",
            r"chest ?pains?",
            rf"(?:weird|funny|odd|brick|elephant|rock|boulder|anvil) {W6}chest{_NOT_THING}",
            r"chest (?:was |is )?killing",
            r"tight chested",
            r"(?:sitting|standing|stood) on my chest",
            r"chest felt like",
            r"heart attack(?! hill)",
            r"angina(?! de(?!\S))",
            rf"{_PAIN} {W6}(?:heart|breast ?bone|sternum|left arm)",
            rf"(?:heart|breast ?bone|sternum) {SORE}",
        ),
        r"heart attack hill|chest (?:strap|press|presses|flies|belt)",
        r"(?:after|from) (?:the |all the )?(?:press ?ups|push ?ups|bench)",
    ),
    SignPattern(
        "fainting",
        (
            r"(?:i )?(?:f[ae]inted|passed out|blacked out|blackout|keeled over)"
            r"(?! (?:the )?(?:flyers|leaflets|water|bananas|cups|bibs|medals|curtains?|"
            r"blinds?)(?!\S))",
            r"fainting",
            r"lost consciousness",
            r"(?:was|found|lay|went) uncon[sc]+ious",
            r"(?:went out cold|conked out)",
            r"was out for (?:a|few|some) (?:\w+ )?sec\w*",
            r"dropped to the (?:floor|ground)",
            r"next thing i k\w+ (?:\S+ ){0,3}?(?:floor|ground)",
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
            r"passing out|blacking out|collapse|collapsed|lose consciousness|keeled over)",
            r"(?:feel|felt|feeling|bit|quite|really|very|so|a little|going|went|i was|came over|"
            r"all) faint"
            r"(?! (?:pain|ache|line|twinge|soreness|pull|niggle|hope|trace|hint)(?!\S))",
            r"dizz(?:y|iness)(?! with (?:joy|happiness|excitement|success)(?!\S))(?! heights)",
            r"light ?headed(?:ness)?",
            r"woozy",
            r"saw (?:stars|spots)",
            r"(?:black|dark|gr[ea]y|white|blurry|spots|stars) (?:before|in front of) my eyes",
            r"(?:had|have|got|of|some) vertigo",
            r"vertigo (?:again|today|attack|since)",
            r"(?:head|room|everything) (?:was |is |kept |felt )?spinning",
            r"tunnel vision",
            r"(?:everything|it all|vision|sight) (?:\w+ )?(?:went|going|turned) "
            r"(?:black|dark|gr[ea]y|white|blurry|funny)",
        ),
    ),
    SignPattern(
        "breathless_at_rest",
        (
            rf"{_BREATHLESS} (?:\S+ ){{0,5}}?{_RESTING}",
            rf"{_RESTING} (?:\S+ ){{0,4}}?{_BREATHLESS}",
            r"(?:puff\w+|breathing heavily) just (?:walking|sitting|standing|climbing)",
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
            rf"{_AIRLESS}",
            rf"(?:{CANT}|hardly) get (?:a |any |enough )?(?:\w+ )?(?:air|breath)",
            r"breathing (?:is|was) not (?:right|normal)",
            r"breathing (?:\w+ ){0,2}(?:hard|difficult) (?:\S+ ){0,2}?(?:on the flat|since)",
            r"(?:gasping|gasped|fighting|struggling) for (?:air|breath)",
        ),
        explains=rf"{HARD}|laugh\w*|giggl\w*|through my nose|under ?water|swim\w*|mask",
    ),
    SignPattern(
        "one_sided_weakness",
        (
            rf"(?:face|mouth|smile|eyelid) {W6}(?:droop\w*|hanging|lopsided|numb|fell|sagg\w*)",
            r"(?:droop\w*|sagging|numb) (?:face|mouth)",
            r"slurr(?:ed|ing)(?: \w+)?",
            rf"(?:speech|words) {W3}(?:out )?(?:jumbled|muddled|funny|wrong)",
            rf"{CANT} (?:lift|move|raise) (?:my|the) (?:left |right )?(?:arm|hand)",
            rf"{CANT} (?:speak|talk|get (?:my|the) words out|find (?:my|the) words|"
            r"say my own name)(?! (?:german|spanish|english|french|highly|enough|much|and run|"
            r"while)(?!\S))",
            rf"(?:one|left|right) (?:side|half) (?:of my (?:body|face) )?{W3}(?:\w+ )?"
            r"(?:numb|weak|paraly[sz]ed|dead)",
            rf"(?:numb|weak|numbness|weakness|paraly[sz]ed|pins and needles) {W3}"
            r"(?:one|(?:my|the) (?:whole )?(?:left|right)) (?:side|half|arm)",
            rf"(?:left|right|one|my) arm (?:and leg )?{W3}(?:numb|weak|dead|paraly[sz]ed|"
            r"limp|would not move|wouldnt move)",
            r"(?:had|having|have|suffered|be) a (?:mini )?stroke",
            r"(?:lost|losing) (?:my )?(?:vision|sight) (?:in|on|of) (?:one|my left|my right)",
            r"(?:double vision|seeing double)",
        ),
        r"(?:swim|swam|pool|breast|back) ?stroke",
    ),
    SignPattern(
        "one_sided_weakness",
        (rf"arm {W3}numb",),
        explains=rf"{_FROST}|sle(?:pt|ep\w*)|lay on|gloves?|carrying",
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
            r"headache (?:\S+ ){0,5}?(?:confus\w+|stiff neck|slurr\w+|throwing up|vomit\w*|"
            r"suddenly|(?:was|being) sick|being hit)",
            r"(?:confused|confusion) (?:\S+ ){0,4}?headache",
        ),
    ),
    SignPattern(
        "heat_confusion",
        (
            r"(?:heat|hot|sun|boiling|overheat\w*|degrees) (?:\S+ ){0,10}?(?:confus\w+|"
            r"disorient\w+|delirious|stopped sweating|babbling|nonsense|like (?:a )?drunk|"
            r"stagger\w+|made no sense|"
            r"didnt know (?:where i was|my name|who))",
            r"(?:confus\w+|disorient\w+|delirious|stopped sweating|babbling|nonsense|"
            r"like (?:a )?drunk|stagger\w+|"
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
            r"cough\w* (?:up )?(?:\w+ ){0,2}(?:pink\w*|bloody|rust\w*)(?: \w+)?",
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
            rf"{_LIMB} {W3}(?:deformed|crooked|misshapen|dislocated|out of shape|"
            r"bent (?:the wrong way|at an? \w+ angle))",
            rf"(?:deformed|crooked|misshapen|dislocated) (?:\w+ )?(?:{_LIMB}|{JOINT}|kneecap)",
            rf"(?:kneecap|{JOINT}) {W3}(?:dislocated|out of (?:place|shape|joint)|deformed)",
            r"bone (?:is |was )?(?:sticking|poking|showing|visible)(?: out)?",
        ),
    ),
    SignPattern(
        "cold_limb",
        (
            rf"{_LIMB} {W3}(?:cold|numb) (?:and|,) (?:\w+ )?(?:pale|white|blue)",
            rf"{_LIMB} {W3}white (?:and|,) (?:\w+ )?(?:cold|pale|blue|numb|dead|lost)",
            rf"(?:leg|foot|arm) {W3}dead (?:and|,) (?:\w+ )?(?:cold|pale|white|blu\w+)",
            rf"(?:{_LIMB}|toes) {W3}(?:pale|blue)",
        ),
        r"(?:pale|white|blue) (?:\w+ )?(?:laces?|socks?|gloves?|shoes?|tape|sleeves?|tights)",
        _FROST,
    ),
    SignPattern(
        "cold_limb",
        (
            rf"{_LIMB} {W3}(?:cold|numb) (?:and|,) (?:\w+ )?(?:cold|numb)",
            rf"{CANT} feel my (?:\w+ )?(?:leg|foot|arm)",
            rf"(?:no feeling|lost (?:all )?feeling) in my (?:\w+ )?(?:{_LIMB})",
            r"(?:leg|foot) (?:is|has been|was|went|stays|stayed|still) (?:completely |all |still )?"
            r"numb",
        ),
        explains=rf"{_FROST}|laces?|socks?|gloves?|shoes? (?:was|were|too)",
    ),
)
