"""Every sentence on danger, pain and stops that a client reads, in one file for a clinician's eye.

Here in English; each language's own words stand beside them in docs/care-sentences.md, which is
made from this file. What they follow: first what to do now, then whom to call, that nobody is
angry, and that the plan waits. Never a diagnosis, a clearance or a promise.

A licensed clinician and a native speaker have not read them yet; both are asked to.

Sources: Riebe D et al. 2015 (heart; wording ours, from memory); ACSM position stand on exertional
heat illness 2007; Knobloch AC et al. 2025 and Kahanov L et al. 2015 (bone); a regional knee
referral pathway with the Ottawa knee rule (Stiell IG et al. 1996); face, arm and speech as
public stroke campaigns say it (from memory). Which sign stands under which heading is judgement.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from sitegen.care.own_lines import CARE_PREGNANT_NOW, CARE_THINNER_NOW, CARE_THINNER_TODAY
from sitegen.model.sentence import N_

StopKind = Literal[
    "now", "today", "self_harm", "pain", "rest", "rest_told", "ill", "over", "ran", "screening",
    "file",
]  # fmt: skip


class StopWords(NamedTuple):
    """What stands at the top of a stopped portal: a title, what to do, and that the plan waits.

    ``calls`` is True where the emergency number stands before everything.
    """

    title: str
    do: tuple[str, ...]
    calls: bool = False


# What every stop ends with.
WAITS = N_("Nobody is angry, and nothing is lost: your plan waits for you.")
THEN_COACH = N_("Then tell your coach:")
THEN_YOUR_COACH = N_("Then tell your coach.")  # where nothing of the practice can be read

# Before the emergency number of a stop that asks for no call by itself: for what it is there.
CALL_IF = N_("If you feel faint or have chest pain, call:")

TWO_DAYS = N_("Two days without running")
IF_WORSE = N_("If you can't put weight on the leg, or it gets worse, see a clinician today.")
STOPS: dict[StopKind, StopWords] = {
    "now": StopWords(
        N_("Stop. Call for help now."),
        (
            N_(
                "What you describe can be a sign of something serious. If it is there now, or "
                "comes again, call the emergency number at once. If it has gone, see a "
                "doctor today all the same."
            ),
            N_("Do not drive yourself, and do not wait for your coach to answer."),
        ),
        calls=True,
    ),
    "today": StopWords(
        N_("Stop running. See a clinician today."),
        (
            N_(
                "What you describe has to be looked at by a licensed clinician today, before you "
                "run again. If you can't reach one, call your local medical helpline."
            ),
            N_("If it gets worse, or you feel faint or have chest pain, call:"),
        ),
    ),
    "self_harm": StopWords(
        N_("Talk to somebody today."),
        (
            N_(
                "What you wrote sounds very hard. Please talk to somebody now: a crisis line where "
                "you live, your doctor, or somebody you trust. If you could hurt yourself, call "
                "the emergency number."
            ),
        ),
        calls=True,
    ),
    "pain": StopWords(
        N_("Stop running for now."),
        (
            N_(
                "Pain has come back more than once. Please see a licensed clinician before you run "
                "again; make an appointment this week."
            ),
            N_("If it gets worse, or you can't put weight on the leg, call:"),
        ),
    ),
    "rest": StopWords(
        TWO_DAYS,
        (
            N_(
                "Your pain was 6 or more. Rest from running for two days; walk as it allows. Then "
                "send a check-in: how the morning was, and whether walking hurts."
            ),
            IF_WORSE,
            CALL_IF,
        ),
    ),
    # Where the morning and walking are told, and the two days are not over.
    "rest_told": StopWords(
        TWO_DAYS,
        (
            N_(
                "Your pain was 6 or more. Rest from running for two days; walk as it allows. After "
                "them half comes back, run and walk in turn."
            ),
            IF_WORSE,
            CALL_IF,
        ),
    ),
    "ill": StopWords(
        N_("Rest while you are ill"),
        (
            N_(
                "With a fever, or an illness of the chest or the gut, nobody runs. Rest, drink, "
                "and send a check-in when it is over; a day after that the plan goes on, easy."
            ),
            N_(
                "If it gets worse or does not settle, ask a doctor. With chest pain, fainting, "
                "a racing heart or no breath at rest, call:"
            ),
        ),
    ),
    "over": StopWords(
        N_("One more day of rest"),
        (
            N_(
                "Good to hear that it is over. Do not run for one more day; after that the plan "
                "goes on, easy, as soon as your coach brings this page up to date."
            ),
            N_(
                "If it comes back, rest and say so. With chest pain, fainting, a racing heart or "
                "no breath at rest, call:"
            ),
        ),
    ),
    "ran": StopWords(
        N_("Talk with your coach first"),
        (
            N_(
                "You ran while your plan was stopped. Nothing is planned until your coach has "
                "spoken with you."
            ),
            CALL_IF,
        ),
    ),
    "screening": StopWords(
        N_("First see a clinician"),
        (
            N_(
                "What you told of your health asks for a clinician's word before you train. Until "
                "your coach has noted that word, this plan holds no sessions."
            ),
            CALL_IF,
        ),
    ),
    "file": StopWords(
        N_("No sessions for now"),
        (
            N_(
                "Your plan can't be shown in full today, and something that you told has to be "
                "looked at first. Do not run until you have heard from your coach."
            ),
            CALL_IF,
        ),
    ),
}

# What a device says of pain that holds, before the coach has seen it. "A fifth less" is what the
# engine takes in a step back (`sitegen.rules.draft.BACK_SHARE`).
DEVICE_HOLDS = {
    "hold": N_(
        "The pain that you told of holds your plan. Until your coach has taken it in, whatever "
        "the plan below says: run no longer than last time, nothing hard, and stop if it grows."
    ),
    "back": N_(
        "Pain in two sessions in a row takes your plan a step back. Until your coach has taken it "
        "in, whatever the plan below says: run a fifth less than last time, nothing hard, and stop "
        "if it grows."
    ),
}

# The one line that the weeks, the reasons and other programs carry, by kind of sign.
LINE_NOW = N_(
    "Stop. {sign}: do not run. Call the emergency number now if it is there or comes again, else "
    "see a doctor today; then tell your coach. The plan waits."
)
LINE_TODAY = N_(
    "Stop running. {sign}: see a licensed clinician today, and tell your coach. The plan waits "
    "until your coach has noted who saw you."
)
LINE_SELF_HARM = N_(
    "Please talk to somebody today: a crisis line, your doctor, or the emergency number. The plan "
    "waits."
)
LINE_PAIN = N_(
    "Stop running for now: pain came back more than once. See a licensed clinician; the plan waits "
    "until your coach has noted who saw you."
)

LINE_REST = N_(
    "Pain of {score}/10 was logged: no running for two days, nor before you have told how the "
    "morning was and how walking is. After a morning at 0 to 2 and walking without pain half comes "
    "back, run and walk in turn; on the lowest rung it is walking alone."
)
LINE_REST_TOLD = N_(
    "Pain of {score}/10 was logged: two days without running. The morning was at 0 to 2 and "
    "walking without pain, as you told: after the two days half comes back, run and walk in turn; "
    "on the lowest rung it is walking alone."
)
LINE_REST_MORNING_TOLD = N_(
    "Pain of {score}/10 was logged: no running for two days, nor before you have told how walking "
    "is. The morning was at 0 to 2, as you told: after walking without pain half comes back, run "
    "and walk in turn; on the lowest rung it is walking alone."
)
LINE_REST_WALKING_TOLD = N_(
    "Pain of {score}/10 was logged: no running for two days, nor before you have told how the "
    "morning was. Walking was without pain, as you told: after a morning at 0 to 2 half comes "
    "back, run and walk in turn; on the lowest rung it is walking alone."
)
# By what is told of the rest, and well: the morning, and walking.
RESTS = {
    (False, False): LINE_REST,
    (True, False): LINE_REST_MORNING_TOLD,
    (False, True): LINE_REST_WALKING_TOLD,
    (True, True): LINE_REST_TOLD,
}
LINE_REST_AHEAD = N_(
    "For now pain of {score}/10 leaves this week without running: tell what is not told yet of the "
    "morning and of walking. After a morning at 0 to 2 and walking without pain half comes back, "
    "run and walk in turn; on the lowest rung it is walking alone."
)
LINE_HALVED_AHEAD = N_(
    "For now this week is at half, run and walk in turn: tell of two sessions in a row at 0 to 2, "
    "and weeks grow again."
)
LINE_HALVED = N_("Back at half, run and walk in turn, until two sessions in a row are at 0 to 2.")
LINE_WALKS = N_(
    "Pain of {score}/10 was logged, and this is the lowest rung: walking until two sessions in a "
    "row are at 0 to 2, then running again."
)
LINE_WALKS_UNTOLD = N_(
    "A run was left out for pain, and this is the lowest rung: walking until two sessions in a row "
    "are at 0 to 2, then running again."
)
LINE_ILL = N_(
    "Ill: nothing is planned until you say that it is over, and one day more. Send a check-in "
    "then. If it gets worse or does not settle, ask a doctor."
)
LINE_ILL_OVER = N_("Good to hear that it is over. One more day of rest, then easy running.")
LINE_ILL_EASY = N_(
    "After an illness: easy only, for as many days as it lasted, at most seven. If your heart "
    "races or skips, or you have chest pain or no breath, stop and call for help."
)
LINE_ILL_BACK = N_(
    "First week after an illness: no more running than before it, and easy. If your heart races or "
    "skips, or you have chest pain or no breath, stop and call for help."
)
LINE_ILL_BY_FEEL = N_(
    "You told that you are ill. Without fever, and nothing on the chest or the gut: easy, by feel, "
    "or not at all. With any of these don't run, and say so."
)
LINE_EVENT_WAITS = N_("While the plan waits, do not start there: decide that with your coach.")
LINE_EVENT_HELD = N_(
    "Your event, but something holds your plan: ask your coach whether you start. If you do, run "
    "it easily: you can speak in whole sentences."
)
LINE_RETURN = N_(
    "Coming back, step {step} of {steps}. The next step waits for {sessions} sessions in your "
    "check-ins, each with pain of {most} at most that is down again by the next morning."
)
LINE_RETURN_FIRST = N_(
    "First a clinician: your way back begins on the day that your coach has noted a clinician's "
    "word. Until then nothing is planned."
)
LINE_HISTORY = N_(
    "What you told of your health asks for a clinician's word before you train. Until your coach "
    "has noted it, nothing is planned."
)
# A stop that is over, for as long as it explains a week.
LINE_FREED = N_(
    "{sign}: your plan was stopped from {since} to {until}. Who has seen you since: {by}. Sessions "
    "stand again."
)
LINE_FREED_UNNAMED = N_(
    "Your plan was stopped from {since} to {until}. Who has seen you since: {by}. Sessions stand "
    "again."
)
LINE_FREED_FALSE = N_(
    "Your plan was stopped from {since} to {until}: it was a false alarm. Who looked into it: {by}."
    " Sessions stand again."
)
# The weeks after such a stop.
LINE_AFTER_STOP = N_(
    "Back after a stop: {share} % of the last building week at most, and easy. Weeks grow again "
    "after it."
)
LINE_NOT_HARD_YET = N_(
    "Easy running only: nothing hard until your coach has noted a clinician's word on that, too."
)
LINE_RAN = N_(
    "You ran while your plan was stopped. Nobody is angry: talk with your coach, who answers "
    "before anything is planned again."
)

# How a sign begins one of those lines.
SIGN_WORDS: dict[str, str] = {
    "chest_pain": N_("Chest pain"),
    "fainting": N_("Fainting"),
    "near_fainting": N_("Nearly fainting"),
    "breathless_at_rest": N_("Breathless at rest"),
    "breathless_out_of_proportion": N_("More breathless than the effort explains"),
    "one_sided_weakness": N_("Weakness or numbness on one side"),
    "worst_headache": N_("A sudden or worst headache"),
    "heat_confusion": N_("Confusion in heat"),
    "coughing_blood": N_("Coughing blood"),
    "cold_limb": N_("An arm or leg that is out of shape, cold, pale or numb"),
    "implant_shock": N_("A shock from an implanted device"),
    "pregnancy_sign": N_("A sign that can't wait in pregnancy"),
    "urgent_word": N_("Something that you wrote"),
    "calf_swelling": N_("A calf swollen or hot on one side"),
    "palpitations": N_("A heart that races or skips"),
    "dark_urine": N_("Dark urine"),
    "cannot_bear_weight": N_("A leg that can't bear your weight"),
    "hot_joint": N_("A joint that is hot or red"),
    "saddle_numbness": N_("Numbness between the legs, or trouble with bladder or bowels"),
    "self_harm": N_("What you wrote"),
    "head_injury": N_("A knock to the head"),
    "bleeding": N_("A large bruise or a bleed, with a blood thinner"),
    "severe_pain": N_("Pain of 8 or more"),
    "bone_point_pain": N_("Pain on one spot of a bone, or in the groin"),
    "night_pain": N_("Pain at night"),
    "limp": N_("A limp"),
    "locking": N_("A joint that locks"),
    "giving_way": N_("A joint that gives way"),
    "swelling": N_("A swollen joint"),
    "fever": N_("Fever"),
    "chest_cold": N_("A cold on the chest"),
    "upset_stomach": N_("Stomach or bowels upset"),
}

# In the form of the check-in, before it is sent.
FORM_NOW = (
    N_("Stop now. Before you send this, call the emergency number:"),
    N_(
        "If it has passed: see a doctor today all the same, and do not run until a doctor has "
        "seen you. This message is not read at once and does not replace the call."
    ),
)
FORM_TODAY = (
    N_("Stop running, and see a licensed clinician today."),
    N_("Your plan waits until your coach has noted who saw you."),
)
FORM_ILL = (
    N_("Don't run while it lasts."),
    N_("Send a check-in when it is over. A day after that your plan goes on, easy."),
)
# Where words of danger were found in what was written.
FORM_FOUND = N_(
    "This page looks for words that can't wait, and found: “{words}”. It can be wrong. If you "
    "meant something else, write it in other words."
)
FORM_STAYS = N_(
    "What you told before stays. Was it a mistake? Write so in a few words, and send it."
)
FORM_REST = N_(
    "Over 5 is too much. Two days without running; then tell how the morning was, and whether "
    "walking hurts. If you can't put weight on the leg, see a clinician today."
)
FORM_SEVERE = N_("8 and more: stop running, and see a licensed clinician today.")

# The page Care, in its order.
CALL_NOW = (
    N_("pain, pressure or tightness in the chest, with or without running"),
    N_("fainting, or nearly, during or after effort"),
    N_("short of breath at rest, or far more than the effort explains"),
    N_("a heart that races or skips, together with one of these"),
    N_("a face that droops, an arm or a leg that is suddenly weak or numb, speech that fails"),
    N_("a headache like a blow, or the worst you ever had"),
    N_("coughing up blood"),
    N_(
        "in heat: confusion, collapse, odd behaviour. Cool with water and ice at once, and keep "
        "cooling until help is there; a clear moment does not mean it is over"
    ),
    N_("confusion with headache or being sick, after hours of running and much water"),
    N_("an arm or a leg that is out of shape, or cold, pale and numb"),
)
TODAY_LINES = (
    N_("a calf that is swollen or hot on one side; a sore calf alone is not meant"),
    N_("a joint that is hot, red and swollen, above all with fever"),
    N_("a leg that you can't put weight on, four steps that you can't take, or a limp"),
    N_(
        "a knee that locks, gives way or can't bend to a right angle, or that swelled within two "
        "hours of a knock or twist"
    ),
    N_("pain on one spot of a bone that a finger can find, or in the groin: it may be the bone"),
    N_("pain at night or at rest, or pain of 8 and more"),
    N_("urine as dark as cola after a hard session"),
    N_("numbness between the legs, or trouble with bladder or bowels"),
    N_("a heart that races or skips, by itself"),
    N_(
        "thoughts of hurting yourself: talk to somebody today, a crisis line, your doctor, or the "
        "emergency number"
    ),
)
ASK_COACH = (
    N_("pain of 3 and more, or pain that is not down again the next morning"),
    N_("the same sore place week after week"),
    N_("fever, a cold on the chest or an upset stomach: don't run, and say so"),
    N_("a new illness, a new medicine, a pregnancy, the first months after a birth"),
    N_("losing weight without meaning to, missed periods, bone injuries that come again"),
    N_("anything that feels wrong"),
)
NOT_COMPLETE = N_("The list is not complete. If something feels wrong, stop and ask.")

PAIN_STANDARD = N_(
    "0 to 2 that is down again by the next morning: go on. 3 to 5, or not down by the morning: "
    "finish gently or walk home; the plan holds. 6 or 7: stop, two days without running. 8 and "
    "more: stop, and see a clinician today."
)
PAIN_KNEE = N_(
    "For your knee: 0 to 2 in the run, back to where it was within an hour, and no more the next "
    "morning: go on. More than that holds the plan. 6 or 7: stop, two days without running. 8 and "
    "more: stop, and see a clinician today."
)
PAIN_WEAK = N_(
    "Such limits come from small studies of patients under supervision, and the studies disagree. "
    "They are a way of talking, not a test."
)
NOT_A_CLINIC = N_(
    "It is a plan, written by your coach with a tool that counts. It does not examine you, it does "
    "not diagnose, and no number in it is a promise that you will not get hurt. What a licensed "
    "clinician tells you comes first. Nobody watches your check-ins in real time."
)

HEADINGS = (
    N_("Call now"),
    N_("Stop, and see a clinician today"),
    N_("Before the next run, ask your coach"),
    N_("Pain, from 0 to 10"),
    N_("What this page is not"),
)

SECTIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("At the top of a stopped portal", tuple(s for w in STOPS.values() for s in (w.title, *w.do))),
    ("Below each of them", (THEN_COACH, THEN_YOUR_COACH, WAITS)),
    ("On the client's own device, before the coach has seen it", tuple(DEVICE_HOLDS.values())),
    (
        "In the weeks and the reasons",
        (
            LINE_NOW,
            LINE_TODAY,
            LINE_SELF_HARM,
            LINE_PAIN,
            *RESTS.values(),
            LINE_REST_AHEAD,
            LINE_HALVED,
            LINE_HALVED_AHEAD,
            LINE_WALKS,
            LINE_WALKS_UNTOLD,
            LINE_ILL,
            LINE_ILL_OVER,
            LINE_ILL_EASY,
            LINE_ILL_BACK,
            LINE_ILL_BY_FEEL,
            LINE_EVENT_WAITS,
            LINE_EVENT_HELD,
            LINE_RETURN,
            LINE_RETURN_FIRST,
            LINE_HISTORY,
            LINE_FREED,
            LINE_FREED_UNNAMED,
            LINE_FREED_FALSE,
            LINE_AFTER_STOP,
            LINE_NOT_HARD_YET,
            LINE_RAN,
        ),
    ),
    ("A sign, at the place of {sign} in these lines", tuple(SIGN_WORDS.values())),
    (
        "In the check-in",
        (*FORM_NOW, *FORM_TODAY, *FORM_ILL, FORM_FOUND, FORM_STAYS, FORM_REST, FORM_SEVERE),
    ),
    ("Care: call now", (HEADINGS[0], CARE_PREGNANT_NOW, CARE_THINNER_NOW, *CALL_NOW)),
    ("Care: a clinician today", (HEADINGS[1], CARE_THINNER_TODAY, *TODAY_LINES)),
    ("Care: ask the coach", (HEADINGS[2], *ASK_COACH, NOT_COMPLETE)),
    ("Care: pain", (HEADINGS[3], PAIN_STANDARD, PAIN_KNEE, PAIN_WEAK)),
    ("Care: what the page is not", (HEADINGS[4], NOT_A_CLINIC)),
)
"""All of them by where they stand, for the page that a clinician reviews."""
