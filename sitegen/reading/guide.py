"""What to write in each field of a file: the examples of hints and of the schema.

A path is written without the numbers of list entries: ``notes.week``. Fields that are not here
are explained by their kind. All of it is invented.
"""

from __future__ import annotations

from collections.abc import Mapping

_DAY = "{at: 18:30, up_to: 45 min}"

CLIENT: Mapping[str, str] = {
    "name": "Mara Quist",
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
    "baseline.runs": "3",
    "baseline.race": "{distance: 5 km, time: 31:20}",
    "baseline.race.distance": "5 km",
    "baseline.race.time": "31:20",
    "goal": "{text: run 5 km without a walk}",
    "goal.event": "{on: 2027-05-16, distance: 10 km}",
    "goal.event.on": "2027-05-16",
    "goal.event.distance": "10 km",
    "week": f"{{tue: {_DAY}, thu: yes, sun: yes}}",
    **{f"week.{day}": _DAY for day in ("mon", "tue", "wed", "thu", "fri", "sat", "sun")},
    "week.tue.for": "[run, strength]",
    "plan": "{from: 2027-01-18, weeks: 16}",
    "plan.from": "2027-01-18",
    "plan.weeks": "16",
    "plan.ease": "{every: 4, by: 30 %}",
    "plan.hard": "{from_week: 5, per_week: 1}",
    "cadence": "{aim: 168 spm, step: 3 %, hold: 2}",
    "fuel": "{collagen: 15 g, vitamin_c: 50 mg, asked_on: 2027-01-11}",
    "drills": "[quiet-landing, tall-posture]",
    "rules": "{volume: {growth: 8 %}}",
    "notes": "[{week: 3, text: Go easy on the hills.}]",
    "notes.week": "3",
    "notes.text": "Go easy on the hills.",
    "changes": "[{on: 2027-02-09, rest: yes, because: travels}]",
    "changes.because": "travels",
}

CHECK_IN: Mapping[str, str] = {
    "on": "2027-01-19",
    "": "{on: 2027-01-19, ran: 24 min}",
    "pain": "{during: 2, after: 1, next_morning: 1}",
    "signs": "[swelling]",
}

PRACTICE: Mapping[str, str] = {
    "name": "Lane Four Running",
    "contact": "coach@example.org",
    "timezone": "Europe/Lisbon",
    "rules": "{volume: {growth: 8 %}}",
    "targets": "{site: ../site}",
}

DRILL: Mapping[str, str] = {
    "title": "Quiet landing",
    "stages": "[building, step_rate]",
    "cues": "[Land softly]",
    "slips": "[Stamping]",
    "stop": "[Pain that rises]",
}


def example(guide: Mapping[str, str], path: tuple[str | int, ...]) -> str | None:
    """What to write at ``path``, or None where the guide has no example."""
    return guide.get(".".join(step for step in path if isinstance(step, str)))
