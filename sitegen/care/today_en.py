"""English words of signs that are *today*: see `words_en`."""

from __future__ import annotations

from sitegen.care.parts_en import AND_IT, CANT, HARD, JOINT, SORE, SWOLLEN, TOUCH, W3, W6
from sitegen.care.sign_pattern import SignPattern

_RATE = r"(?:heart rate|hr|pulse)"
_FAST = r"(?:1[5-9]|2\d)\d"
_BREW = r"(?:like|colou?r of) (?:\w+ )?(?:tea|coffee|wine|rust|beer|whisky|treacle|cola|coke)"
_BONY = r"(?:shins?|foot|heel|ankle|hip|tibia|instep|\w*bone)"

SIGN_PATTERNS: tuple[SignPattern, ...] = (
    SignPattern(
        "palpitations",
        (
            r"palp[ai]tations?",
            r"arrhythmia",
            r"(?:a ?fib|atrial fibrillation)",
            rf"heart(?! (?:rate|attack|broken)) {W6}(?:racing|raced|races|pounding|pounded|"
            r"skip\w*|flutter\w*|irregular\w*|jumping|stumbl\w*|thumping|fast|mad|crazy|clappers|"
            r"somersaults|out of my chest|wont (?:slow|calm)|"
            r"miss(?:ed|es|ing) (?:a )?beats?|all over the place|out of rhythm)",
            r"(?:racing|pounding|fluttering|irregular|skipping|thumping) (?:heart(?! rate)|pulse|"
            r"heart ?beat)",
            r"(?:pulse|heart ?beat) (?:\w+ ){0,3}(?:irregular|all over the place|skipp\w+|racing)",
            rf"{_RATE} (?:\S+ ){{0,8}}?(?:for no reason|out of nowhere|"
            r"(?:wo|would|did|does|do|could)(?:nt| not) (?:come (?:back )?(?:down|up)|go down))",
            rf"{_RATE} (?:\w+ ){{0,3}}{_FAST} (?:\w+ ){{0,2}}(?:just walking|walking up|sitting|"
            r"lying|in bed)",
            rf"resting {_RATE} (?:\w+ ){{0,2}}1[1-9]\d",
        ),
        explains=rf"{HARD}|when i (?:saw|heard|read)|nerves|nervous|excite\w*|start line|"
        r"no coffee|romance|novel|warm ?up|strap|sensor",
        beyond_device=(
            r"(?:weird|extra) heart ?beats?",
            r"heart(?! rate) (?:\w+ ){0,2}(?:stops|pauses|twitch\w*|jolts|wobbl\w*)(?! (?:for|at|"
            r"when)(?!\S))",
            r"heart(?! (?:rate|attack)) (?:\w+ ){0,3}(?:somersault|cartwheel|(?:back )?flip)\w*",
            rf"{_RATE} (?:\w+ ){{0,5}}{_FAST} (?:\w+ ){{0,2}}(?:sitting|sat|lying|in bed|at rest|"
            rf"resting|"
            r"on the (?:sofa|couch|settee)|at my desk|standing still|doing nothing)",
        ),
    ),
    SignPattern(
        "calf_swelling",
        (
            rf"(?:calfs?|calves) {W6}(?:swol\w+|swell\w*|puffy|hot|red|warm to|bigger than (?:the|"
            rf"my)|"
            r"twice the size)",
            rf"calf {W3}(?:(?:hard|firm|tight|stiff) and )?{W3}(?:warm(?! up)|hot|red|swol\w+)",
            r"warm (?:\w+ )?calf",
            rf"leg {W6}swol\w+",
            rf"(?:swollen|swelling|hot|red|puffy) (?:\w+ )?{W3}(?:calf|calves)(?! sleeves?)",
            r"(?:blood clot|thrombosis|dvt)",
        ),
        r"(?:calf|calves) (?:sleeves?|raises?)|hot (?:bath|tub|water|day|weather|pack|stone)",
        beyond_device=(
            r"calf (?:\w+ ){0,3}(?:tight|hard|sore|firm|stiff|tender|red) (?:, |and )+(?:\w+ "
            r")?(?:hot|red|"
            r"swollen|warm|puffy)(?! (?:up|bath|day))",
            rf"leg {W6}(?:puffy|warm to)",
            rf"(?:calf|calves) {AND_IT}(?:{SWOLLEN}|{TOUCH})",
            r"(?:leg|calf) (?:\w+ ){0,3}(?:thick|fatt?|bigg?|larg|round)er (?:\w+ )?than (?:the|"
            r"my) other",
        ),
    ),
    SignPattern(
        "dark_urine",
        (
            rf"(?:urine|pee|wee|piss) {W6}(?:colou?r of )?(?:dark(?! yellow)|brown|black|red|"
            rf"pink|bloody|cola|coke|"
            r"coca cola|tea)",
            r"(?:dark(?! yellow)|brown|red|cola|coke|tea) (?:colou?red )?(?:brown )?(?:urine|pee|"
            r"wee)",
            r"blood in (?:my |the )?(?:urine|pee|wee)",
            rf"(?:pee|piss)\w* {W3}(?:blood|brown|cola|coke|coca)",
        ),
        beyond_device=(
            rf"(?:urine|pee|wee|piss) {W6}(?:(?:out|out like) )?(?:dark(?! yellow)|brown|black|"
            rf"red|rust\w*|{_BREW})",
            rf"(?:pee|piss|urinat|wee)\w* {W3}(?:{_BREW}|rust)",
            r"rust (?:colou?red )?(?:urine|pee|wee)",
        ),
    ),
    SignPattern(
        "cannot_bear_weight",
        (
            rf"{CANT} (?:even |really )?(?:put|bear|take|carry) (?:\w+ ){{0,3}}weight(?: \w+)?",
            rf"{CANT} (?:even |really )?(?:stand|step|walk|hop) on "
            r"(?:it|my|the left|the right|that|one) ?(?:\w+)?",
            rf"{CANT} (?:even )?(?:walk|take (?:a|four|two) steps?) (?:at all|without|unaided)",
            rf"{CANT} weight ?bear",
            r"wont take (?:my |any )?weight",
            rf"{CANT} (?:even )?take (?:a|one|four|two|three) steps?",
        ),
        r"weights? (?:room|vest)",
        "calories",
        beyond_device=(
            rf"{CANT} (?:even )?(?:take|manage) (?:a |one )?(?:single|few|more) steps?(?! (?:back|"
            rf"more|further))",
        ),
    ),
    SignPattern(
        "cannot_bear_weight",
        (r"c(?:an|ould) (?:barely|hardly) (?:walk|stand)", rf"{CANT} put my foot down"),
        explains=r"doms|quads?|thighs|stairs|tired",
        beyond_device=(
            r"(?:hurts? too much|too (?:painful|sore)) to (?:even )?(?:stand|walk|step|put (?:any "
            r"|my )?(?:weight|foot))",
        ),
    ),
    SignPattern(
        "hot_joint",
        (
            rf"{JOINT} {W6}(?:hot|red|inflamed)",
            rf"(?:hot|red|inflamed) (?:and \w+ )?{W3}{JOINT}",
            rf"{JOINT} (?:\S+ ){{0,8}}?(?:fever|got a temperature)",
            rf"fever (?:\S+ ){{0,8}}?(?:swollen|painful|sore|stiff) {JOINT}",
        ),
        r"hot (?:bath|tub|water|day|weather|pack|shower|stone)|(?:red|hot) (?:socks|shoes|tape|"
        r"sand|tarmac)",
        "in the heat",
        (rf"{JOINT} {AND_IT}{TOUCH}",),
    ),
    SignPattern(
        "saddle_numbness",
        (
            rf"(?:numb|numbness|tingling) {W6}(?:down there|groin|saddle area|between my legs|"
            r"genitals|crotch|buttocks|bottom|bum|private parts)",
            rf"(?:groin|saddle area|genitals|crotch|buttocks) {W3}numb",
        ),
        explains=r"(?:bike|cycling|bicycle) (?:saddle|seat)",
        beyond_device=(
            r"numb down below",
            rf"{CANT} (?:(?:tell|know) (?:when|if|that)|feel) (?:\w+ ){{0,2}}(?:bladder|bowels?)",
            rf"(?:no|los\w+|lack of) (?:all )?(?:the )?(?:feeling|sensation) {W3}(?:down there|"
            rf"saddle area|"
            r"between (?:my|the) legs|genitals|crotch|bottom|private parts)",
            rf"(?:numb|numbness|tingling) {W6}between the legs",
            rf"(?:{CANT} feel|feel|felt|numb) (?:\w+ )?(?:when|after) i wipe",
        ),
    ),
    SignPattern(
        "saddle_numbness",
        (
            r"(?:lost|losing|no|lose|cant) control (?:of |over )?(?:my )?(?:bladder|bowels?)",
            rf"{CANT} (?:pee|urinate|empty my bladder|hold my (?:pee|urine|bladder|bowels?))",
            rf"{CANT} (?:feel|tell) when i need (?:to|a) (?:pee|wee|go)",
            r"(?<!nearly )(?<!almost )wet myself(?! laughing)",
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
            r"(?:want\w*|wish|going|like) i (?:was|were) dead",
            r"wish i (?:wasnt|werent|was not) (?:here|alive|born)",
            r"(?:rather|sooner) be dead",
            r"(?<!this )(?<!it )cant go on(?=$| [,)]| any ?more| like this| living)",
            r"think\w* (?:about|of) ending (?:it|things)",
            r"(?:end|ending) (?:it all|my life)",
            r"(?:hurt|hurting) myself on purpose",
            r"suicid(?:e|al)(?! (?:runs?|sprints?|drills?|hill|shuttles?|intervals?|"
            r"prevention))",
            r"(?:(?:no|(?:dont|do not|cant) see (?:the|any|a)|whats the) point (?:in |of )?"
            r"(?:(?:going on )?living|life|being alive|"
            r"(?:anything|it all)(?=$| [,)]| any ?more))|"
            r"nothing to live for|life (?:is|isnt) (?:not )?worth living)",
            r"(?:dont|do not|didnt) want to (?:be here|live|be alive|wake up|exist)(?: any ?more)?"
            r"(?! in (?:the |this )?(?:winter|summer|rain|cold|heat))",
            r"better off (?:dead|without me)",
            r"better if i (?:was|were) (?:dead|gone|not here)",
            r"(?:better|off|easier|simpler|happier|notice|care) (?:for \w+ )?if i (?:\w+ )?"
            r"(?:(?:was|were) (?:dead|gone|not here)|died|disappeared|(?:wasnt|werent|didnt) "
            r"(?:here|alive|born|exist|wake up|around)(?=$| [,)]| any ?more))",
            r"(?:(?:easier|simpler|better|best) (?:not to|to not)|(?:rather|prefer|wish|hope|want|"
            r"would like|"
            r"id like|sleep and) (?:(?!,)\S+ ){0,4}?(?:not|never|didnt|dont|wont)) (?:to )?"
            r"(?:exist|wake up|be alive|be here)(?: again| any ?more| ever| tomorrow)?(?=$| [,)])",
            r"(?:cut|cuts|slit|slitting|cutting) my wrists?",
            r"(?:do|did|doing) something (?:\w+ )?to myself",
            r"(?:tired|sick|weary|done) (?:of|with) (?:living|life|being alive|existing)"
            r"(?=$| [,)]| any ?more)",
        ),
        beyond_device=(
            r"(?:no|(?:dont|do not|cant) see (?:the|any|a)|whats the) point (?:in |of )?"
            r"(?:waking up|being here)(?=$| [,)]| any ?more)",
            r"(?:pictur\w+|imagin\w+|think\w*|dream\w*) (?:about |of )?(?:myself |me )?"
            r"(?:not being (?:here|around|alive)|being (?:dead|gone)(?! last)|dying(?! (?:of|for|"
            r"my)(?!\S))|"
            r"my own death)",
            r"(?:stop|quit|stopped) existing(?=$| [,)]| any ?more)",
            r"(?:dont|do not) want to do (?:this )?life(?=$| [,)]| any ?more)",
            r"cant (?:keep|carry on) living",
            r"(?:everyone|everybody|the world|my (?:family|kids|wife|husband|partner)) (?:\w+ "
            r"){0,3}"
            r"(?:fine|happier|okay) without me(?=$| [,)]| any ?more)",
            r"(?:im|i am|feel like|being) (?:just |such )?a burden(?=$| [,)]| (?:and|(?:to|on) "
            r"(?:every|my|them)))",
            r"i just want out(?=$| [,)]| of (?:life|it all))",
            r"(?:happier|easier) dead",
            r"(?:theres|there is|see) no way out(?: for me)?(?=$| [,)]| but)",
            r"cut myself again(?! (?:shaving|on|with|while|when|peeling)(?!\S))",
            r"life (?:isnt|is not) worth it",
            r"(?:think\w*|thought\w*|plan\w*|want\w*) (?:of |about |to )(?:tak|swallow)\w* (?:all|"
            r"every)"
            r"(?: of)? (?:the|my) (?:\w+ )?(?:pills|tablets|painkillers)(?! (?:with|before|"
            r"after)(?!\S))",
            r"(?:dont|do not) deserve to (?:live|be alive|exist)",
            r"(?:cant|dont|do not|cannot) see (?:a|any|my) future(?: for me(?:self)?)?(?=$| [,)]| "
            r"any ?more)",
            r"(?:goodbye|farewell) (?:letter|note)s?(?! (?:to|for|from)(?!\S))",
            r"want to (?:go to |fall )?(?:sleep|asleep) for ?ever(?=$| [,)])",
            r"(?:arms?|wrists?|legs?|skin|myself) until (?:they|it|i) (?:bled|bleeds?)",
            r"whats the (?:use|point|sense) (?:of|in) (?:going on|carrying on|being here)"
            r"(?=$| [,)]| any ?more)",
            r"thought (?:about|of) ending (?:it|things)",
            r"i (?:just |only )?want (?:it all|everything) to (?:stop|end|be over)(?=$| [,)])",
            r"no reasons? (?:left )?to (?:keep (?:on )?|carry on |go on )?"
            r"(?:live|living|(?:be|being) (?:here|alive))(?! in)",
            r"wish i(?:d| had| could)? (?:just )?(?:died?|(?:never|not) been born|hadnt been born)",
            r"(?:burn|cut|hit|scratch|hurt)\w* my(?:self| (?:arms?|legs?|wrists?|thighs?|skin|"
            r"hands?|head|face|"
            r"body))(?: (?!,)\S+){0,5}? (?:on purpose(?! built)|deliberately|(?:because )?i "
            r"deserve|"
            r"to (?:punish|feel something(?=$| [,)])))",
            r"(?:been|start\w*|stop|keep|kept|back to|think of|thought of|urge to|want to) "
            r"cut(?:ting)? my "
            r"(?:arms?|legs?|thighs?|skin)(?! (?:on|against|in|off)(?!\S))",
            r"(?:think\w*|thought\w*|want\w*|feel|felt|urge) (?:like |about |of |to )?"
            r"(?:jump|throw|step|driv|walk)\w* (?:myself )?(?:\w+ )?(?:off|in front of|into) "
            r"(?:the |a |my )?"
            r"(?:bridge|trains?|train tracks|rails|roof|cliff|cars?|lorry|truck|bus|traffic|"
            r"building|edge|"
            r"balcony|platform|tree)",
            r"(?:bridge|roof|platform|cliff|balcony|train) (?:(?!,)\S+ ){0,4}?(?:think|thought|"
            r"thinking) "
            r"(?:about|of) jumping(?! (?:jacks|rope))",
            r"(?:tak(?:e|en|ing)|took|swallow\w*) (?:too many|a handful of|all my|all the) (?:\w+ "
            r")?"
            r"(?:pills|tablets|painkillers) (?:on purpose|at once|and (?:be|not)|to)",
            r"(?:take|took|taking|think of|thought of) an overdose",
        ),
    ),
    SignPattern(
        "self_harm",
        (r"(?:want\w*|wish|going|like) to die",),
        explains=r"to die (?:\S+ ){0,6}?(?:hills?|km|k|miles?|climb|intervals?|"
        r"reps?|laps?|stairs|heat|finish|laughing)|"
        r"(?:hills?|km|mile|climb|intervals?|reps?|lap) (?:\S+ ){0,5}?to die",
    ),
    SignPattern(
        "head_injury",
        (
            r"(?<!nearly )(?:bang\w*|bump\w*|hit|knock\w*|smack\w*|crack\w*|whack\w*|landed|fell)"
            r"(?: (?:me|on|in|to|the|back|side|of)){0,4} (?:my|the) (?:head|forehead)"
            r"(?! (?:wind|torch|of|to|down))",
            r"my (?:head|forehead) (?:\w+ )?hit(?! the pillow)",
            r"concuss(?:ion|ed)(?! (?:course|test|protocol))",
            r"head(?:aches?| hurts| aches) (?:\w+ )?(?:since|after|from) (?:(?:the|my|a|that|i) )?"
            r"(?:fall|fell|crash\w*|knock|bang|tumble)",
        ),
    ),
    SignPattern(
        "severe_pain",
        (
            rf"{SORE} {W6}(?:a |at |about |of )?(?:8|9|10)(?:·\d)?(?: ?/ ?10| out of (?:10|ten)| "
            r"of 10)",
            r"(?:8|9|10)(?: ?/ ?10| out of (?:10|ten)) (?:pain|for pain|on the pain scale)",
            r"pain (?:was |is )?(?:about |around |like )?(?:an? )?(?:8|9|10)(?=$| [,)])",
            r"(?:unbearable|excruciating|agoni[sz]ing) (?:\w+ )?(?:pain|ache)",
            rf"pain {W6}(?:unbearable|unreal|excruciating|agoni[sz]ing)",
            r"worst pain (?:ever|of my life|imaginable|i(?:ve| have) (?:ever )?(?:had|felt))",
            r"screaming (?:in|with) pain",
        ),
    ),
    SignPattern("severe_pain", (r"agony",), explains=rf"{HARD}|doms|quads?|laugh\w*|hill"),
    SignPattern(
        "bone_point_pain",
        (
            rf"{SORE} (?:to (?:the )?touch )?{W6}(?:bone|shin ?bone|hip ?bone|tail ?bone|"
            rf"sacrum|metatarsals?|"
            r"groin|one (?:exact |single |small |tiny )?(?:spot|point)|"
            r"(?:a|the) (?:single|exact|tiny) (?:spot|point))",
            r"bone (?:in my \w+ )?(?:pain|hurts?|aches?|is (?:sore|tender))",
            rf"{SORE} (?:when|if|as) (?:i |you )?(?:press|push|touch|poke|prod)\w* "
            r"(?:\S+ ){0,5}?(?:\w*bone|spot|point)",
            rf"(?:shin ?bone|hip ?bone|metatarsal|groin|sacrum) {W6}{SORE}",
            rf"one (?:exact |single |small |tiny )?(?:spot|point) (?:\S+ ){{0,6}}?"
            rf"(?:{SORE}|press\w*|touch\w*)",
            r"(?:pin ?point|point) (?:pain|tenderness|tender)",
            rf"{SORE} (?:\w+ )?(?:spot|point|patch|place) (?:\w+ ){{0,5}}{_BONY}",
            rf"{_BONY} (?:\w+ ){{0,4}}{SORE} (?:to|on) (?:the )?touch\w*",
            rf"{SORE} (?:\w+ ){{0,4}}with (?:one|a|my) finger\w*",
            r"(?:broke|broken|fractured|cracked) (?:my |a |the )?(?:\w+ )?(?:bone|foot|ankle|leg|"
            r"shin|hip|toe|rib)",
        ),
        r"sore (?:losers?|throat)",
        beyond_device=(
            rf"{SORE} (?:\w+ ){{0,3}}on (?:the|my) (?:\w+ )?bone",
            rf"{SORE} (?:\w+ ){{0,3}}?(?:when|if|to|every time) (?:i )?hop\w*",
            rf"(?:spot|point|patch) (?:\w+ ){{0,3}}{_BONY} (?:\S+ ){{0,6}}?(?:finger\w*|thumb|"
            rf"coin)",
            rf"finger (?:\S+ ){{0,3}}?(?:on|where) (?:\w+ ){{0,4}}(?:bone(?! of)|{SORE})",
        ),
    ),
    SignPattern(
        "bone_point_pain",
        (r"stress (?:fracture|reaction)",),
        explains=r"(?:old|previous|past|healed|back in|since 20\d\d|"
        r"about|bakery|prevent|avoid|risk of) (?:\S+ ){0,4}?"
        r"stress (?:fracture|reaction)|stress (?:fracture|reaction) (?:\S+ ){0,6}?healed",
    ),
    SignPattern(
        "night_pain",
        (
            rf"{SORE} {W6}(?:at night|in bed|all night|in the night|during the night|overnight|"
            r"when i lie(?: down)?|lying down)",
            rf"(?:woke|wakes|waking|woken|kept|keeps) (?:me|by|up)(?: \S+){{0,8}}? {SORE}",
            rf"{SORE} (?:\S+ ){{0,6}}?(?:woke|wakes|keeps|kept|waking) me(?: up| awake)?",
            r"night pain",
            rf"{CANT} sleep (?:\S+ ){{0,4}}?{SORE}",
            rf"at night (?:\S+ ){{0,4}}?{SORE}",
        ),
        r"sore throat|(?:woke up|waking up) (?:with|feeling) (?:\w+ )?sore|"
        r"(?:night|evening) (?:run|runs|shift|out)",
        r"tooth\w*",
        beyond_device=(
            rf"{SORE} (?:\w+ ){{0,3}}?(?:through the night|every night|most nights|half the night)",
            rf"{SORE} (?:\w+ ){{0,5}}?(?:when|while|whenever|once) (?:i |im |i am )?(?:\w+ )?"
            r"(?:in bed|lying|lie|asleep|at night)",
        ),
    ),
    SignPattern(
        "limp",
        (
            r"(?:limped|limping|hobbled|hobbling)",
            r"(?:a|my|the|bad|slight|little|with) limp(?! (?:handshake|lettuce|wrist\w*))",
            r"i limp",
        ),
        r"(?:battery|phone|wifi|watch|car) (?:\S+ ){0,3}?limp\w*|nobody limp\w*|limp\w* my",
    ),
    SignPattern(
        "locking",
        (
            rf"(?:knee|ankle|joint|hip) {W6}(?:lock(?:s|ed|ing)(?! (?:eyes|in|door))|jammed|"
            r"stuck)(?: up)?",
            r"locked knee",
            rf"{CANT} (?:fully )?(?:straighten|bend|unlock) (?:my |the )?(?:\w+ )?knee",
        ),
        r"lock(?:ed|ing)? (?:out )?(?:the|my|your) knees?",
        beyond_device=(
            r"knee (?:wont|wouldnt|doesnt|will not) (?:fully |quite )?(?:straighten|bend(?! the)|"
            r"unlock|extend)",
            rf"(?:knee|joint|hip) {W6}(?:jams|jamming)",
            r"knee (?:\w+ ){0,2}(?:catch(?:es|ing)|caught) (?:and|then|,)",
        ),
    ),
    SignPattern(
        "giving_way",
        (
            rf"(?:knee|ankle|hip|leg) {W6}(?:gave|gives|giving|give|given) (?:way|out)"
            r"(?: under me)?",
            rf"(?:knee|ankle|hip|leg) {W6}buckl\w+",
            r"(?:gave|giving|gives) way under me",
        ),
        beyond_device=(
            r"(?:knee|ankle|hip|leg) (?:just |suddenly |sometimes )*(?:goes|went|slips|drops) "
            r"(?:out )?(?:from (?:under|beneath)(?: me)?|(?:under|beneath) me)",
            rf"(?:knee|ankle|hip|leg) {W6}(?:fold|collaps)\w+(?= under| beneath| without|$| [,)])",
        ),
    ),
    SignPattern(
        "swelling",
        (
            rf"(?:{JOINT}|shin|achilles|heel) {W6}(?:swol+\w*|swell\w*|puffy|ballooned|"
            rf"bl(?:own|ew) up|"
            r"like a balloon|size of an?|doubled in size)",
            rf"(?:swol\w+|swelling|puffy) (?:\w+ )?{W3}(?:{JOINT}|shin|achilles|heel)",
        ),
        r"no longer swollen|swelling (?:is|has) gone|(?:was|were) swollen (?:last|as a)|"
        r"swell(?:ed|ing)? with pride",
        beyond_device=(rf"(?:{JOINT}|shin|achilles|heel) {AND_IT}{SWOLLEN}",),
    ),
)
