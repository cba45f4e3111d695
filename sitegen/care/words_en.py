"""English words of danger, each with its body part or subject. Patterns of plain text.

The text has small letters, no accents, no apostrophes ("cant"), and one space between words;
punctuation stands alone. Rows: `sign_pattern`. Common practice, no source.
"""

from __future__ import annotations

from sitegen.care import now_en, parts_en, rarer_en, today_en

WORD_MODULES = (parts_en, now_en, today_en)
SIGN_PATTERNS = (*now_en.SIGN_PATTERNS, *today_en.SIGN_PATTERNS, *rarer_en.SIGN_PATTERNS)
RARER_KEYS = rarer_en.KEYS
MISSPELT = rarer_en.MISSPELT
GOES_ON = rarer_en.GOES_ON
BRUISE = rarer_en.BRUISE
THINNER = rarer_en.THINNER

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

# A message with any of these is about somebody's health or a body that runs: it is for a person to
# read, whether or not it speaks of danger.
ABOUT_HEALTH = (
    rf"{parts_en.SORE}|swell\w*|swollen|stiff\w*|injur\w*|strain\w*|sprain\w*|limp\w*|numb\w*|"
    r"dizz\w*|faint\w*|breath\w*|bleed\w*|blood|fever\w*|ill|illness|sick|unwell|worse|doctors?|"
    r"gp|physio\w*|clinic\w*|hospital|surger\w+|operat\w+|fractur\w*|broke|broken|fell|pregnan\w*|"
    r"pills?|tablets?|medicines?|medication|antibiotics?|diabet\w*|asthma|strokes?|hearts?|chest|"
    r"knees?|ankles?|calf|calves|shins?|achilles|heels?|foot|feet|toes?|hips?|groin|hamstrings?|"
    r"thighs?|joints?|bones?|tendons?"
)

# A sentence without any of these, or any of those behind an &, can't speak of the sign: most are
# passed over quickly, and what is never searched for need not be compiled.
KEYS = """
chest_pain: chest, heart, angina, breast, sternum, left arm, ribs, jaw, throat, heaviness, pressure,
  tightness, indigestion, heartburn, burning
fainting: faint, feint, floor, ground, uncon, conked, cold, out for, passed out, black, keeled,
  conscious, syncop, collapsed, came to, woke up, came round, next thing, found myself, remember,
  recall, memory, woke with, lost a few, lost some
near_fainting: faint, pass, black, collaps, conscious, keel, dizz, headed, spinning, spots, vertigo,
  woozy, saw stars, tunnel, everything, it all, vision, sight, eyes, world went, sheet
breathless_at_rest: breath, gasp, puff, suffocat, sob, panting, panted, winded, drown, smother
breathless_out_of_proportion: breath, gasp,  air, puff, suffocat
implant_shock: device, defib, icd, implant, pacemaker
palpitations: palp, arrhythm, fib, heart, pulse, hr
one_sided_weakness: face, mouth, smile, eyelid,  eye , slur, speech, speak, talk, words,
  my own name, side, half, arm, left hand, right hand, one hand, stroke, vision, sight, double,
  see out, see with, see from, see in, blind
worst_headache: headache, thunderclap
heat_confusion: confus, disorient, deliri, sweating, babbl, nonsense, stagger, drunk, no sense,
  know, heat, sun
coughing_blood: blood, cough
cold_limb: leg, foot, feet, arm, limb, ankle, calf, knee, joint, hip, toe, elbow, bone & deform,
  crooked, misshap, dislocat, out of, bent, sticking, poking, showing, visible, cold, numb, pale,
  white, blu, dead, feel my, feeling
calf_swelling: calf, calves, leg, clot, thrombosis, dvt & swol, swell, puffy, hot, red, warm, bigg,
  twice, clot, thromb, dvt, thick, fat, larg, round
dark_urine: urin, pee, wee, piss & dark, brown, black, red, pink, blood, cola, coke, coca, tea,
  rust, coffee, wine, beer, whisky, treacle
cannot_bear_weight: weight, foot, barely, hardly, stand on, step, walk, hop on, too much, painful,
  sore to & cant, cannot, can not, couldnt, could not, able to, barely, hardly, wont take, too much,
  painful, sore to
hot_joint: hot, red, inflamed, fever, temperature & knee, ankle, joint, hip, toe, foot, elbow
saddle_numbness: numb, tingling, no feeling, lost, lose, losing, lack of, sensation, wipe, control,
  pee, urinate, bladder, bowel, incontinen, wet, need
self_harm: myself, self harm, to die, dying, cant go on, wish, dead, death, end, suicid, point,
  nothing to live, life, want to, better, if i, exist, wake up, waking up, alive, be here,
  being here, not being, being gone, forever, for ever, bled, bleed, going on, carrying on, living,
  everything to, it all to, reason, purpose, deliberately, deserve, feel something, punish, wrist,
  cut my, cutting my, jump, throw, without me, burden, want out, no way out, future, goodbye,
  farewell, step off, step into, stepping, in front of, drive, driving, walk off, walk into,
  walking off, walking into, pills, tablets, painkillers, overdose
head_injury: head, concuss
severe_pain: 8, 9, 10, unbearable, unreal, excruciat, agon, worst pain, screaming
bone_point_pain: bone,  hop, sacrum, metatars, groin, spot, point, touch, finger, place, patch,
  stress, broke, fractur, crack & pain, hurt, ach, sore, tender, throb, stab, twinge, press, touch,
  fractur, stress, broke, crack, finger, thumb, coin
night_pain: night, bed, lie, lying, woke, wak, kept, keeps, sleep & pain, hurt, ach, sore, tender,
  throb, stab, twinge
limp: limp, hobbl
locking: lock, jam, stuck, straighten, bend, extend, catch, caught & knee, ankle, joint, hip
giving_way: way, out, buckl, fold, collaps, from under, under me, beneath & knee, ankle, hip, leg,
  under me
swelling: swol, swell, puffy, balloon, blown, blew, size
"""

# "no chest pain", "without any", "didn't feel": only these, and only with such words between.
DENIES_BEFORE = (
    r"(?:^|\s)(?:no|without|never|not|nor|neither|zero|free of|denies|nothing like|"
    r"(?:have|has|had|did|do|does|was|is|are|were)nt) "
    r"(?:(?:any|a|an|the|my|real|more|signs?|of|feel\w*|felt|had|hav\w+|g[eo]t\w*|at|all|sort|"
    r"kind|trace|hint|new|further|such|actual|actually|ever|been|really|yet|"
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
    r"(?:(?:^|(?<!told)(?<!told my)(?<!with)(?<!with my)\s)(?=\S)|"
    r"(?<=with )(?=(?:\S+ ){2,6}?(?:who|s?he|they) ))"
    r"(?:(?:my|his|her|our|a|the|their) (?:\w+ )?(?:father|mother|partner|son|"
    r"daughter|friends|neighbou?r|colleague|boss|uncle|aunt|cousin|grand\w+|gran|cat|kids?|child|"
    r"teammate|runner|man|woman|guy|spectator|marshal|character|lady|mother in law|father in law)|"
    r"(?:(?:my|his|her|our|a|the|their) (?:\w+ )?)?(?:dad|mum|mom|husband|hubby|wife|brother|"
    r"sister|"
    r"friend|mate|dog)|someone|somebody|another runner|some guy|neighbour|"
    r"(?:article|podcast|book|film|movie|talk|course|story|programme|documentary|video|lecture|"
    r"series|page) (?:\w+ )?(?:on|about|of)|read (?:\w+ )?(?:about|on)|"
    r"first aid (?:course|training) (?:on|about|for)) (?!, (?!wh|s?he|they))"
)
SELF = (
    r"(?:^|\s)(?:i|im|ive|id|my|mine|myself)(?!\S)|"
    r"(?:^|(?<! of)(?<! to)(?<! beside)(?<! behind)(?<! with)\s)me(?!\S)"
)
