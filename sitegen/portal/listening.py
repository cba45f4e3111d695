"""What the listening check says to a client; docs/listening.md has how it hears.

Studies are told with their own numbers and conditions: Tate and Milner 2017 (J Orthop Sports Phys
Ther 47(8):565-569) and Phan and others 2017 (J Sports Sci, doi 10.1080/02640414.2016.1227466), both
as their abstracts have them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from sitegen.model.sentence import N_

LISTEN_PAGE: Mapping[str, str] = {
    "title": N_("Listen to your steps"),
    "intro": N_(
        "Your phone can listen while you run: four parts, about five minutes. The sound stays in "
        "this phone and is not recorded; only numbers are left of it."
    ),
    "where": N_("Where the phone is"),
    "start": N_("Listen"),
    "again": N_("Listen again"),
    "stop": N_("Stop listening"),
    "asks": N_("Your phone asks whether this page may use the microphone."),
    "filtered": N_("This phone filters what it hears. Steps may be lost by that."),
    "busy": N_("Stop the session above first: its clicks would be taken for steps."),
    "done": N_("Done. The microphone is off."),
    "stopped": N_("Stopped. The microphone is off."),
    "left": N_(
        "This page was left, or the screen went dark, so the microphone is off. Begin again when "
        "you are ready."
    ),
    "taken": N_("The phone took the microphone away, so listening ended."),
    "not-given": N_("The microphone is not open to this page. There is a way without it:"),
    "from-file": N_("A page opened from a file does not listen. There is a way without it:"),
    "shared": N_(
        "Other people's pages share this address, and would get the microphone along with it. So "
        "this page does not listen. There is a way without it:"
    ),
    "old": N_("This browser can't listen. There is a way without it:"),
    "ear": N_("By your own ear"),
    "no-stretch": N_(
        "This takes five minutes of running without a break, and no session in your next seven "
        "days has that much. Don't run longer for it."
    ),
    "first-on": N_("The first that is long enough: {date}. It shows here from a week before."),
    "no-run": N_(
        "No running is planned for you in the next seven days, so this waits until it is."
    ),
    "deaf": N_(
        "Ended after the first part, as the others would not be heard either. The microphone is "
        "off."
    ),
    "ear-within": N_("Stay within your own session's running; don't run longer for this."),
    "ear-usual": N_("Run a minute as usual. Are your steps quiet, loud, or something between?"),
    "ear-quieter": N_("Run a minute more quietly, at the same speed, and listen again."),
    "ear-count": N_("In each of them, count your steps for 30 seconds with the button above."),
    "ear-tell": N_("Tell in the check-in how your feet sounded."),
    "ready": N_("Begins in {s} s"),
    "beat": N_("The beat: {s} s"),
    "hear": N_("Listening: {s} s"),
    "heard": N_("What was heard"),
    "rate": N_("steps a minute, give or take 2"),
    "sure": N_("{steps} steps heard, {db} dB above the noise around."),
    "with-motion": N_("By the phone's motion: {spm}."),
    "own": N_("The phone's motion agrees, so these are your own steps."),
    "unknown": N_(
        "The phone's motion could not be compared everywhere. By sound alone, your feet can't be "
        "told from a drummer, from somebody who claps in time, or from a second runner."
    ),
    "bounds": N_(
        "Compare the parts of one check only. Two days, two phones, two people, or left and right "
        "can't be compared."
    ),
    "use": N_("Put these numbers into the check-in"),
    "used": N_("They are in the check-in now."),
    "to-checkin": N_("To the check-in"),
    "to-cadence": N_("To Cadence"),
    "tried": N_(
        "Tried on made-up sound only, not yet by a runner with a real phone. It changes nothing in "
        "your plan."
    ),
}
"""What stands around the numbers."""

BEFORE: Mapping[str, str] = {
    "quiet": N_("Go where it is quiet and even, out of the wind, and run easily and steadily."),
    "phone": N_(
        "No headphones. Turn the phone's volume up, keep the screen on and the phone in one place. "
        "It hisses before and after each part to test itself."
    ),
    "alone": N_("No music, and nobody running beside you."),
    "calf": N_("Not today if a calf or an Achilles tendon hurts."),
}

PHONE_PLACES: Mapping[str, str] = {
    "hand": N_("in my hand"),
    "arm": N_("on my arm"),
    "belt": N_("in a belt or a pocket"),
    "beside": N_("beside the treadmill"),
}

LISTEN_PARTS: Mapping[str, str] = {
    "usual": N_("As usual"),
    "quieter": N_("Quieter"),
    "beat": N_("After the beat"),
    "usual_again": N_("As usual, again"),
}

DOES: Mapping[str, str] = {
    "usual": N_("Run as you always do."),
    "quieter": N_("Now land more quietly, at the same speed."),
    "beat": N_("Now run to the beat. When it stops, run on in its time."),
    "silence": N_("Run on in its time."),
    "usual_again": N_("Now as you always do, once more."),
}

REFUSED: Mapping[str, str] = {
    "low-rate": N_("This phone hands on too little of the sound. Count by tapping instead."),
    "short": N_("It ended too early. Run until the part is over."),
    "too-noisy": N_(
        "Your steps did not stand out of the noise. Look for a quieter place, out of the wind, and "
        "take the phone out of the pocket."
    ),
    "too-few": N_("Fewer than 60 steps were heard. Run the whole part."),
    "no-steps": N_("No steady steps were heard. Run evenly, and talk afterwards."),
    "too-even": N_("Too even to be feet. Switch off music and machines near you."),
    "tones": N_("Music was heard. Switch it off."),
    "not-yours": N_(
        "By sound {spm} steps a minute, by the phone's motion {motion}: perhaps somebody else's "
        "steps. Run where nobody else does."
    ),
}
"""Why a part gives no number, and what to do."""

NOT_COMPARED: Mapping[str, str] = {
    "usual-not-heard": N_(
        "How much quieter you ran can't be said: both usual parts are needed for it."
    ),
    "gain-unheard": N_(
        "How much quieter you ran can't be said: the phone did not hear its own hiss. Turn its "
        "volume up, without headphones."
    ),
    "gain-moves": N_(
        "How much quieter you ran can't be said: this phone turns its hearing up and down. Its "
        "step rates count."
    ),
    "usual-differs": N_(
        "How much quieter you ran can't be said: your two usual parts differ by {db} dB. Again, on "
        "the same ground and with the phone held alike?"
    ),
}
"""Why loudness is not compared."""

LOUDNESS: Mapping[str, str] = {
    "softer": N_("{part}: {db} dB quieter than as usual, give or take 1.5."),
    "louder": N_("{part}: {db} dB louder than as usual, give or take 1.5."),
    "same": N_("{part}: as loud as usual, as far as this can hear (within 1.5 dB)."),
    "agree": N_("Your two usual parts agree within {db} dB."),
}

STUDY: Mapping[str, str] = {
    "softer": N_(
        "14 healthy runners who ran more quietly on a treadmill, by a meter, landed more softly "
        "afterwards: the first peak of force fell from 1.56 to 1.13 times their weight."
    ),
    "softer-source": N_("Tate and Milner 2017, one session of 15 minutes"),
    "quieter": N_(
        "When 26 men were told to run quietly, the sound and the force of their steps fell, mostly "
        "because they landed further forward. Between people, sound told nothing about force."
    ),
    "quieter-source": N_("Phan and others 2017, one session"),
    "limits": N_("None of this shows that it lasts, or that it prevents or heals an injury."),
    "load": N_(
        "Running more quietly moves work to calves and Achilles tendons. If they hurt, stop, and "
        "tell your coach; if it stays, see a licensed clinician."
    ),
    "beat": N_("What a quicker step rate did in studies stands under Cadence."),
}


def listen_words(gettext: Callable[[str], str]) -> dict[str, dict[str, str]]:
    """What the check says in one language, ``portalListen`` for ``views/beat/listen.js``.

    ``logged`` is where the phone was as the coach's log has it: in English, whatever is read.
    """
    groups = {
        "page": LISTEN_PAGE,
        "before": BEFORE,
        "places": PHONE_PLACES,
        "parts": LISTEN_PARTS,
        "does": DOES,
        "refused": REFUSED,
        "why": NOT_COMPARED,
        "claims": LOUDNESS,
        "study": STUDY,
    }
    said = {
        group: {name: gettext(text) for name, text in words.items()}
        for group, words in groups.items()
    }
    return {**said, "logged": dict(PHONE_PLACES)}


__all__ = ["LISTEN_PARTS", "PHONE_PLACES", "REFUSED", "NOT_COMPARED", "listen_words"]
