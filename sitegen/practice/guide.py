"""What to write in each field of a file: the examples of hints, of the schema and of the docs.

A path is written without the numbers of list entries: ``notes.week``. Fields that are not here
are explained by their kind. All of it is invented. ``ABOUT_…`` says what a field means where its
model has no line for it, or a short one.
"""

from __future__ import annotations

from collections.abc import Mapping

_DAY = "{at: 18:30, up_to: 45 min}"
_NOTICE: Mapping[str, str] = {
    "": "[{from: 2027-03-15, until: 2027-03-21, text: The track is closed this week.}]",
    ".from": "2027-03-15",
    ".until": "2027-03-21",
    ".text": "The track is closed this week.",
    ".read": "[shoes]",
}

CLIENT: Mapping[str, str] = {
    "name": "Mara Quist",
    "called": "Mara",
    "group": "beginners",
    "timezone": "Europe/Lisbon",
    "screening": ("{on: 2027-01-04, regular_exercise: yes, known_disease: no, symptoms: no}"),
    "screening.on": "2027-01-04",
    "screening.regular_exercise": "yes",
    "screening.known_disease": "no",
    "screening.symptoms": "no",
    "baseline": "{on: 2027-01-11, cadence: 158 spm, week: 0 min}",
    "baseline.on": "2027-01-11",
    "baseline.cadence": "158 spm",
    "baseline.pace": "6:45 /km",
    "baseline.week": "60 min",
    "baseline.longest": "25 min",
    "baseline.continuous": "12 min",
    "baseline.runs": "3",
    "baseline.race": "{distance: 5 km, time: 31:20}",
    "baseline.race.distance": "5 km",
    "baseline.race.time": "31:20",
    "goal": "{text: run 5 km without a walk}",
    "goal.text": "run 5 km without a walk",
    "goal.event": "{on: 2027-05-16, distance: 10 km}",
    "goal.event.on": "2027-05-16",
    "goal.event.distance": "10 km",
    "goal.event.name": "Harbour Ten",
    "week": f"{{tue: {_DAY}, thu: yes, sun: yes}}",
    **{f"week.{day}": _DAY for day in ("mon", "tue", "wed", "thu", "fri", "sat", "sun")},
    "week.tue.for": "[run, strength]",
    "plan": "{from: 2027-01-18, weeks: 16}",
    "plan.from": "2027-01-18",
    "plan.weeks": "16",
    "plan.growth": "8 %",
    "plan.ease": "{every: 4, by: 30 %}",
    "plan.ease.every": "4",
    "plan.ease.by": "30 %",
    "plan.hard": "{from_week: 5, per_week: 1}",
    "plan.hard.from_week": "5",
    "plan.hard.per_week": "1",
    "cadence": "{aim: 168 spm, step: 3 %, hold: 2}",
    "cadence.step": "3 %",
    "cadence.hold": "2",
    "fuel": "{collagen: 15 g, vitamin_c: 50 mg, asked_on: 2027-01-11}",
    "fuel.before": "45 min",
    "drills": "[quiet-landing, tall-posture]",
    "rules": "{volume: {growth: 8 %}}",
    "notes": "[{week: 3, text: Go easy on the hills.}]",
    "notes.week": "3",
    "notes.text": "Go easy on the hills.",
    "notes.read": "[shoes]",
    "changes": "[{on: 2027-02-09, rest: yes, because: travels}]",
    "changes.week": "6",
    "changes.rest": "yes",
    "changes.minutes": "20 min",
    "changes.because": "travels",
    "changes.session": "hills-short",
    "changes.lifts": "bone_point_pain 2027-01-05",
    "changes.seen_by": "a physiotherapist",
    "screening.cleared_for": "easy",
    "screening.cleared_by": "the family doctor",
    "baseline.stands_in": "yes",
    "plan.enough": "180 min",
    "plan.runs": "3",
    "away": "[{from: 2027-02-15, to: 2027-02-21, because: skiing}]",
    "away.from": "2027-02-15",
    "away.to": "2027-02-21",
    "away.because": "skiing",
    "weeks_on": "{2027-03-01: {tue: yes, sat: yes}}",
    "history": "{on: 2027-01-04, injury: left shin in autumn}",
    "history.pain_now": "right heel in the morning",
    "history.injury": "left shin in autumn",
    "history.medicines": "[blood_pressure]",
    "history.other_sport": "swims on Mondays",
    "history.heat": "none known",
    "return": "{after: long-absence, cleared_on: 2027-01-08, by: the family doctor}",
    "return.after": "long-absence",
    "return.by": "the family doctor",
    "emergency": "'112'",
    "private": "Ask about work before the first long run.",
}

CHECK_IN: Mapping[str, str] = {
    "on": "2027-01-19",
    "": "{on: 2027-01-19, ran: 24 min}",
    "ran": "24 min",
    "distance": "3.8 km",
    "effort": "3",
    "pain": "{during: 2, after: 1, next_morning: 1}",
    "pain.during": "2",
    "pain.after": "1",
    "pain.next_morning": "1",
    "pain.site": "left shin",
    "pain.before": "1",
    "pain.walking": "0",
    "well_again": "yes",
    "heard": "[{part: quieter, spm: 162 spm, steps: 162, difference_db: -3.5, snr_db: 12}]",
    "heard.part": "quieter",
    "heard.steps": "162",
    "heard.difference_db": "-3.5",
    "heard.snr_db": "12",
    "heard.place": "on the floor beside the treadmill",
    "received": "2027-01-20",
    "said": "Felt light. The wind was cold.",
    "signs": "[swelling]",
}

PRACTICE: Mapping[str, str] = {
    "name": "Lane Four Running",
    "coach": "Ines",
    "emergency": "'112'",
    "accent": "'#9c3d1e'",
    "contact": "coach@example.org",
    "timezone": "Europe/Lisbon",
    "rules": "{volume: {growth: 8 %}}",
    "targets": "{site: ../site}",
    "urgent_words": "[my heart device]",
    "logo": "logo.png",
    **{f"notes{name}": written for name, written in _NOTICE.items()},
    "groups": "{beginners: {plan: {growth: 8 %}}}",
}

GROUP: Mapping[str, str] = {
    "": "{plan: {growth: 8 %}}",
    "rules": "{pain: {profile: knee}}",
    "timezone": "Europe/Lisbon",
    "drills": "[quiet-landing, tall-posture]",
    "plan": "{growth: 8 %, ease: {every: 3, by: 25 %}}",
    "plan.growth": "8 %",
    "plan.ease": "{every: 3, by: 25 %}",
    "plan.ease.every": "3",
    "plan.ease.by": "25 %",
    "plan.hard": "{from_week: 5, per_week: 1}",
    "plan.hard.from_week": "5",
    "plan.hard.per_week": "1",
    "cadence": "{step: 2 %, hold: 3}",
    "cadence.step": "2 %",
    "cadence.hold": "3",
    **{f"notes{name}": written for name, written in _NOTICE.items()},
}

DRILL: Mapping[str, str] = {
    "title": "Quiet landing",
    "stages": "[building, step_rate]",
    "cues": "[Land softly]",
    "slips": "[Stamping]",
    "stop": "[Pain that rises]",
}

ABOUT_CLIENT: Mapping[str, str] = {
    "timezone": "where the client is; default: the practice's",
    "units": "what distances and paces are shown in; default: the practice's",
    "language": "the language of the portal; default: the practice's",
    "privacy": "sealed: only the private link opens the portal; open: anyone can; "
    "default: the practice's",
    "calendar": "discreet: the feed says only Run, 35 min; full: parts and beat too; off: none; "
    "default: the practice's",
    "baseline.race": "a race that was run; tempo and interval paces come from it",
    "baseline.race.distance": "how long the race was",
    "baseline.race.time": "the time it took",
    "baseline.race.on": "day of the race",
    "goal.text": "the client's own words",
    "goal.event": "something to be ready for; the plan freshens up before it",
    "goal.event.on": "day of the event",
    "goal.event.distance": "how long it is",
    "goal.event.name": "what it is called",
    "week.long": "wanted day of the long run",
    "plan.ease": "how often a week is made easy, and by how much",
    "plan.ease.every": "every so many weeks",
    "plan.ease.by": "how much less an easy week is",
    "plan.hard": "hard sessions; left out is none",
    "plan.hard.from_week": "first week that may hold one",
    "plan.hard.per_week": "how many a week",
    "cadence.aim": "steps a minute to go towards, or keep; default: by the cadence rule",
    "cadence.step": "most that the aim rises at once, as a share of the baseline",
    "cadence.hold": "weeks for which the aim then stays",
    "fuel.collagen": "how much collagen",
    "fuel.vitamin_c": "how much vitamin C with it; over 200 mg warns",
    "notes.week": "the plan's week in which the client reads it",
    "notes.text": "the words; Markdown, if you like",
    "notes.read": "texts of yours that go with it, by id: files in `texts/`",
    "changes.on": "the day that is changed",
    "changes.week": "or the plan's week that is changed",
    "changes.minutes": "running minutes of that session or week",
    "changes.move_to": "the day to which that day's session moves",
    "changes.kind": "what the session, or the week, becomes",
    "changes.cadence": "the aim for that day or week",
    "changes.because": "your reason; the client reads it, too",
    **{
        f"week.{day}": f"what {name} offers; left out is rest"
        for day, name in (
            ("mon", "Monday"), ("tue", "Tuesday"), ("wed", "Wednesday"), ("thu", "Thursday"),
            ("fri", "Friday"), ("sat", "Saturday"), ("sun", "Sunday"),
        )
    },
}  # fmt: skip

_ABOUT_NOTICE: Mapping[str, str] = {
    "": "words to every client, by date",
    ".from": "first day on which it is shown",
    ".until": "last day on which it is shown",
    ".text": "the words; Markdown, if you like",
    ".read": "texts of yours that go with it, by id: files in `texts/`",
}

ABOUT_CHECK_IN: Mapping[str, str] = {
    "on": "day of the session",
    "ran": "how long the run was",
    "distance": "how far",
    "cadence": "step rate that was counted or shown, both feet",
    "effort": "how hard it felt, 0 to 10",
    "pain": "pain from 0, none, to 10, worst imaginable",
    "pain.during": "worst while running",
    "pain.after": "worst in the hours after",
    "pain.next_morning": "worst the next morning",
    "pain.site": "where it hurts",
    "pain.before": "in the hours before the run",
    "pain.walking": "in walking",
    "well_again": "yes: the illness is over",
    "heard": "numbers of a listening check, made on the client's own device; they move no plan",
    "heard.part": "which part of the check",
    "heard.spm": "steps a minute that were heard",
    "heard.steps": "steps that were heard",
    "heard.difference_db": "how much louder than the usual part; below 0 is quieter",
    "heard.snr_db": "how far the steps stood out of the noise",
    "heard.place": "where the device was",
    "received": "day on which the check-in came in; `sitegen receive` writes it",
    "landing": "how the feet sounded",
    "signs": "signs that stop or pause the plan",
    "skipped": "why the session was not done",
    "said": "anything the client wants to tell you",
}

ABOUT_PRACTICE: Mapping[str, str] = {
    "name": "your practice's name",
    "coach": "your own name, as clients read it",
    "contact": "where check-ins and questions go: e-mail or telephone",
    "timezone": "where your clients are, unless a client's file says otherwise",
    "units": "what distances and paces are shown in",
    "language": "the language of the portals",
    "accent": "colour of links and buttons; it has to be readable on the page",
    "address": "the https address at which the built site is served; links and feeds need it",
    "privacy": "sealed: only the private link opens a portal; open: anyone can",
    "calendar": "discreet: feeds say only Run, 35 min; full: parts and beat too; off: none",
    "checkins": "expected; or none, agreed with clients who never log",
    "logo": "your logo, a PNG, JPEG or WebP file beside practice.yaml; at most 12 kB, and 512 "
    "pixels a side",
    **{f"notes{name}": about for name, about in _ABOUT_NOTICE.items()},
    "targets": "where publish can bring the site: a name, and a folder or an address",
}


ABOUT_GROUP: Mapping[str, str] = {
    "rules": "values of rule parameters for the group",
    "units": "what distances and paces are shown in",
    "language": "the language of the portals",
    "timezone": "where the clients are",
    "privacy": ABOUT_PRACTICE["privacy"],
    "calendar": ABOUT_PRACTICE["calendar"],
    "drills": "drills by id, for clients whose file names none",
    "plan": "growth, easy weeks and hard sessions",
    "plan.growth": "most that a building week grows",
    "cadence": "how slowly the step rate rises",
    **{
        name: ABOUT_CLIENT[name]
        for name in (
            "plan.ease", "plan.ease.every", "plan.ease.by", "plan.hard", "plan.hard.from_week",
            "plan.hard.per_week", "cadence.step", "cadence.hold",
        )
    },
    "notes": "words to every client of the group, by date",
    **{f"notes{name}": about for name, about in _ABOUT_NOTICE.items() if name},
}  # fmt: skip


def example(guide: Mapping[str, str], path: tuple[str | int, ...]) -> str | None:
    """What to write at ``path``, or None where the guide has no example."""
    return guide.get(".".join(step for step in path if isinstance(step, str)))
