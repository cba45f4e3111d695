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
_IMPLANT = r"(?:defib\w*|icd|implant|pacemaker)"
_FROST = (
    r"snow|snowy|frost|winter|icy|(?<!like )ice|freezing|ice bath|"
    r"cold (?:morning|weather|day|water|wind)|minus"
)

SIGN_PATTERNS: tuple[SignPattern, ...] = (
    SignPattern(
        "implant_shock",
        (
            rf"(?:my device|{_IMPLANT}) (?:\w+ ){{0,3}}(?:shock(?:ed)?|jolt\w*|fired|went off)",
            rf"(?:shock|jolt) from (?:my|the) (?:device|{_IMPLANT})",
        ),
        beyond_device=(
            rf"{_IMPLANT} (?:\w+ ){{0,3}}(?:shocks|zapped|kicked|discharged)",
            rf"(?:shocks|shock|shocked|zapped|kicked|jolt|jolted) (?:from|by) (?:my|the) "
            rf"{_IMPLANT}",
        ),
    ),
    SignPattern(
        "chest_pain",
        (
            rf"{_PAIN} {W6}chest{_NOT_THING}",
            rf"chest{_NOT_THING} {W6}{_PAIN}",
            r"chest ?pains?",
            rf"(?:weird|funny|odd|brick|elephant|rock|boulder|anvil) {W6}chest{_NOT_THING}",
            r"chest (?:was |is )?killing",
            r"(?:sitting|standing|stood) on my chest",
            r"chest felt like",
            r"heart attack(?! hill)",
            r"angina(?! de(?!\S))",
            rf"{_PAIN} {W6}(?:heart|breast ?bone|sternum|left arm)",
            rf"(?:heart|breast ?bone|sternum) {SORE}",
            rf"(?:tighter|squash\w+|constrict\w+|gripp\w+|clamp\w*) {W6}chest{_NOT_THING}",
            r"(?:like|as if) (?:(?!,|cat|dog|strap|number|bib|belt|pack|vest)\S+ ){1,6}?"
            r"(?:on|across|round|around) my chest",
        ),
        r"heart attack hill|chest (?:strap|press|presses|flies|belt)",
        r"(?:after|from) (?:the |all the )?(?:press ?ups|push ?ups|bench)",
        beyond_device=(
            r"tight chested",
            r"(?:something|someone|somebody) (?:\w+ ){0,3}"
            r"(?:sat|parked|kneeling|pressing|pushing|leaning) (?:\w+ )?on my chest",
            rf"chest{_NOT_THING} (?:\w+ ){{0,4}}(?:solid|concrete|cement|seiz\w+|cramp\w*|"
            rf"spasm\w*|knot\w*|fire)",
            r"(?:fist|knife|hand|rope|belt|stone) (?:\w+ ){0,4}(?:clos|clench|pull|tight|squeez|"
            r"press|stuck)\w* "
            r"(?:\w+ ){0,2}(?:inside|in|round|around|across|on) my chest",
            r"(?:heaviness|pressure|tightness) (?:\w+ ){0,3}left (?:side|shoulder)",
            r"my chest (?:feels|felt|is|was) (?:full|blocked|trapped|wrong)(?=$| [,)]| and)",
            r"my chest (?:feels|felt|is|was) like (?:\w+ ){0,3}(?:elephant|anvil|rock|"
            r"vi[cs]e)",
            r"(?:indigestion|heartburn|burning)(?: like)? (?:\S+ ){0,6}?(?:climb|run|push|uphill|"
            r"effort) "
            r"(?:\S+ ){0,4}?(?:gone|goes|stops|settles) (?:\w+ )?(?:at rest|when i (?:stop|rest))",
            rf"(?:squeez\w+|crush\w+|band|vice|clamp\w*) {W6}ribs",
            rf"(?:pressure|squeez\w+|constrict\w+) {W3}(?:throat|jaw)",
            rf"jaw (?:and|or|,) (?:\w+ )?(?:left )?(?:arm|shoulder) {W3}{_PAIN}",
            rf"left arm {W3}{_PAIN} (?:when|whenever|every|each|as|while)",
        ),
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
            r"dropped to the (?:floor|ground)",
            r"next thing i k\w+ (?:\S+ ){0,3}?(?:floor|ground)",
            r"syncope",
            r"i (?:\w+ ){0,2}collapsed",
            r"collapsed (?:on|at|in|during|after|near|just|and) (?:the )?(?:\w+ )?"
            r"(?:run|finish|track|road|path|ground|floor|street|grass|line|heat|shower|stairs)",
            r"(?:came to|woke up|came round) (?:on|lying on) the (?:ground|floor|path|road|grass)",
        ),
        r"(?:arch|form|posture|deal|plan|fainting goats?) collapsed|fainting goats?",
        beyond_device=(
            r"(?:went out cold|conked out)",
            r"was out for (?:a|few|some) (?:\w+ )?sec\w*",
            r"found myself (?:lying )?on the (?:floor|ground|pavement)(?! (?:doing|stretch|laugh))",
            r"(?:fell|fall|went down) (?:\S+ ){0,5}?(?:dont|cant|cannot|no) (?:remember|recall|"
            r"memory)(?: of)? "
            r"(?:falling|the fall|going down|hitting the ground)",
            r"(?:was|been|lay|went) out cold(?=$| [,)]| for| on)",
            r"woke (?:up )?with (?:\w+ )?(?:people|strangers|someone|faces) (?:over|round|around|"
            r"above)",
            r"lost (?:a few|some) (?:seconds|minutes) (?:\S+ ){0,2}?(?:next|then|and) i was (?:on|"
            r"lying)",
            r"next thing i (?:k\w+|remember\w*) (?:\S+ ){0,5}?(?:lying|my back|grass|people|"
            r"ambulance)",
            r"(?:came to|woke up|came round) (?:on|lying on) (?:the|a) (?:\w+ )?(?:pavement|"
            r"sidewalk|tarmac|"
            r"track|trail|kerb|grass|gravel)",
        ),
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
            r"(?:head|room|everything) (?:was |is |kept |felt )?spinning",
            r"tunnel vision",
            r"(?:everything|it all|vision|sight) (?:\w+ )?(?:went|going|turned) "
            r"(?:black|dark|gr[ea]y|white|blurry|funny)",
        ),
        beyond_device=(
            r"(?:had|have|got|of|some) vertigo",
            r"vertigo (?:again|today|attack|since)",
            r"world went (?:gr[ea]y|black|dark|white)(?! with)",
            r"white as a sheet and (?:i |had to )?(?:slid|sat|sit|fell|lay|lie)",
            r"(?:vision|sight) (?:\w+ ){0,2}(?:narrow\w*|clos\w+ in|fad\w+|blurr\w*|dark\w*|"
            r"black\w*)",
        ),
    ),
    SignPattern(
        "breathless_at_rest",
        (
            rf"{_BREATHLESS} (?:\S+ ){{0,5}}?{_RESTING}",
            rf"{_RESTING} (?:\S+ ){{0,4}}?{_BREATHLESS}",
            r"(?:puff\w+|breathing heavily) just (?:walking|sitting|standing|climbing)",
            rf"(?:out|short) of puff (?:\S+ ){{0,4}}?{_RESTING}",
            rf"(?:gasps?|puffing) (?:\S+ ){{0,5}}?{_RESTING}",
        ),
        r"while talking on(?! the phone)|walking breaks?",
        r"(?:needed|took|had) (?:a|some) rest",
        beyond_device=(
            rf"(?:{_BREATHLESS}|puffing) (?:\S+ ){{0,5}}?(?:mak\w+ the bed|(?:in|having) (?:the|"
            rf"a) shower|"
            r"(?:to|in) the (?:kitchen|bathroom)|hoover\w+|dishes)",
            r"(?:sit|sat|sitting|prop\w*|pillows?) (?:up )?(?:\w+ ){0,3}(?:to|so i can) breathe",
            r"(?:wake|woke|waking) (?:up )?(?:gasping|panting|fighting for breath)(?! at)",
            rf"pant(?:ing|ed)? (?:\S+ ){{0,5}}?{_RESTING}",
            r"stairs (?:\w+ ){0,4}(?:get|catch|for) my breath",
            r"winded (?:\w+ ){0,2}(?:putting|walking|tying|dressing|talking|standing)",
            r"lying (?:flat|down) (?:\S+ ){0,4}?(?:drown|suffocat|smother)\w*",
            r"breath is (?:\w+ )?short (?:all the time|at rest|even)",
            r"sob (?:at rest|on exertion|lying flat|(?:when |just )?(?:walking|climbing))",
        ),
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
        beyond_device=(r"gasps? for (?:air|breath)",),
    ),
    SignPattern(
        "breathless_out_of_proportion",
        (),
        explains=r"hills?|intervals?|reps?|repeats?|tempo|race|sprint\w*|climb|hard|fast\w*|laugh\w*",
        beyond_device=(
            rf"{CANT} (?:\w+ ){{1,3}}sentence (?:\S+ ){{0,4}}?(?:air|breath\w*|gasping)",
        ),
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
            r"(?:speech|words) (?:\w+ ){0,3}(?:jumbled|muddled)",
        ),
        r"(?:swim|swam|pool|breast|back) ?stroke",
        beyond_device=(
            rf"(?:face|mouth|smile|eyelid) {W6}(?:paraly[sz]ed|(?:wouldnt|wont|didnt|doesnt|"
            rf"couldnt) move)",
            rf"arm {W3}(?:floppy|useless)",
            rf"leg and (?:\w+ )?arm {W3}(?:numb|weak|dead|paraly[sz]ed|limp|floppy|useless)",
            r"(?:face|mouth|eyelid|eye) (?:\w+ ){0,3}(?:wouldnt|wont|couldnt|cant) (?:smile|"
            r"close|open)",
            rf"{CANT} (?:get|find|say) (?:the |my )?(?:right words|words out)",
            r"(?:lost|losing) the (?:vision|sight) (?:in|on|of) (?:one|my left|my right)",
            rf"(?:{CANT} see|blind) (?:out of|with|from|in) (?:one|my left|my right)(?: eye)?",
        ),
    ),
    SignPattern(
        "one_sided_weakness",
        (rf"arm {W3}numb",),
        explains=rf"{_FROST}|sle(?:pt|ep\w*)|lay on|gloves?|carrying",
        beyond_device=(
            r"(?:left|right|one) hand (?:just )?(?:wouldnt|would not|wont|stopped) "
            r"(?:grip|close|work|move|obey)\w*",
        ),
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
        beyond_device=(
            r"headache (?:\S+ ){0,4}?(?:like a (?:hammer|bolt|bat|brick|shot)|from one (?:second|"
            r"moment)|"
            r"in an instant)",
            r"(?:worst|most \w+) headache (?:\S+ ){0,3}?(?:ever|of my life|in my life|known|ive "
            r"had)",
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
        beyond_device=(
            r"red (?:\w+ )?in (?:what|the \w+) i (?:\w+ )?cough\w*",
            r"cough\w* up (?:\w+ ){0,2}red(?: \w+)?",
        ),
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
        beyond_device=(
            rf"{_LIMB} {W3}(?:ice|stone|freezing) cold (?:and|,) (?:\w+ )?(?:pale|white|blue|numb)",
        ),
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
