"""What the rows of English words of danger have in common: see `words_en`."""

from __future__ import annotations

# Words that may stand between a pain and its place. A list, so that "heavy legs, chest fine" or
# "chest fine and hamstring tight" joins nothing.
W = (
    r"(?:(?:in|ac+ross|on|over|around|round|of|to|behind|under|from|through|my|the|a|an|left|right|"
    r"side|middle|center|centre|was|were|is|are|bit|felt|feels|feel|feeling|like|upper|lower|it|"
    r"came|went|goes|go|going|down|got|gets|into|up|inside|deep|whole|very|really|quite|slightly|"
    r"little|has|had|have|been|being|became|started|starts|began|kept|keeps|all|again|still|"
    r"suddenly|that|this|which|and|both|one|his|her|day|today|looks|looked|turned|some|sort|kind|"
    r"lot|much|getting|just|even|now|while|during|running|after|run|with|also|almost|completely|"
    r"severe|sudden|strong|sharp|dull|terrible|bad|awful|bright|gone|doing|beating|shooting|jaw|"
    r"so) )"
)
W3, W6 = rf"{W}{{0,3}}", rf"{W}{{0,6}}"
SORE = r"(?:pains?|painful|hurt(?:s|ing)?|ach(?:es?|ing|ed)|sore|tender|throb\w*|stab\w*|twinges?)"
# "My calf hurts, it is swollen": what is said of a place behind a comma or an "and".
AND_IT = (
    r"(?:(?!hot|red)\w+ ){0,6}?(?:, |and |but )+"
    r"(?:(?:it|its|theyre|they|is|are|was|were|has|looks?|looked|"
    r"feels?|felt|got|gets|getting|become|also|now|a|bit|little|very|quite|really|slightly|still|"
    r"all|rather|somewhat|so|too) ){0,4}"
)
SWOLLEN = r"(?:swol+\w*|swelling|puffy)(?! (?!and|since|to)\w)"  # and nothing else that is
TOUCH = (
    r"(?:(?:hot|warm|red) (?:, |and )+swol\w+|(?:hot|warm) to (?:the )?touch|red and hot|"
    r"hot and red)"
)
CANT = (
    r"(?:cant|cannot|can not|couldnt|could not|unable to|not able to|wasnt able to|"
    r"am not able to|im not able to)"
)
JOINT = r"(?:knees?|ankles?|joints?|hips?|toes?|foot|elbows?)"
HARD = (
    r"(?:hills?|sprints?|sprinting|intervals?|reps?|repeats?|tempo|race|(?<!heart )raced|"
    r"(?<!heart )(?<!heart was )(?<!heart is )racing the|climb|"
    r"climbing(?! (?:the )?stairs)|strides?|hard (?:run|session|effort|part|bit)|final|"
    r"last (?:km|k|mile|lap|one|rep|"
    r"minute|metres)|finish|fast (?:finish|run|pace|bit|one|reps?|km|k|mile)|"
    r"(?:ran|run|running|too|went) fast|faster|pushed|pushing|steep)"
)
