"""Practices for the benchmarks: invented runners, the same for the same seed.

Each has a plan of 16 weeks and 60 check-ins, with days offered, scores and gaps drawn by chance
within what a coach could well write, so that rules act and no two plans are the same.
"""

from __future__ import annotations

import random
import sys
from datetime import date, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # the tool beside this folder

WEEKS = 16
CHECK_INS = 60
FIRST = date(2027, 1, 4)  # a Monday
AS_OF = date(2027, 3, 30)  # in the thirteenth week

PRACTICE = """\
name: Benchmark Running
coach: Ines
contact: coach@bench.example
timezone: Europe/Lisbon
emergency: "112"
accent: "#1f5f6b"
"""

SHAPES = (
    ("tue", "thu", "sun"),
    ("mon", "wed", "fri", "sun"),
    ("tue", "wed", "fri", "sat"),
    ("mon", "tue", "thu", "sat", "sun"),
)
SAID = (
    "Felt light today.",
    "Windy along the water, the beat was hard to hold.",
    "Legs heavy after a long day on my feet.",
    "Kept to the click the whole way.",
)


def write(
    folder: Path, count: int, seed: int = 1, weeks: int = WEEKS, logged: int = CHECK_INS
) -> None:
    """Write a practice of ``count`` clients."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "practice.yaml").write_text(PRACTICE, encoding="utf-8")
    for number in range(count):
        client, log = texts(random.Random(f"{seed}-{number}"), number, weeks, logged)
        (folder / f"runner-{number:05}.yaml").write_text(client, encoding="utf-8")
        (folder / f"runner-{number:05}.log.yaml").write_text(log, encoding="utf-8")


def texts(
    chance: random.Random, number: int, weeks: int = WEEKS, logged: int = CHECK_INS
) -> tuple[str, str]:
    """One client's file and log."""
    days = chance.choice(SHAPES)
    longest = chance.randint(32, 75)
    lines = [
        f"name: Runner {number}",
        f"born: {chance.randint(1955, 2004)}",
        "screening: {on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}",
        "baseline:",
        "  on: 2027-01-02",
        f"  cadence: {chance.randint(148, 172)} spm",
        f"  pace: {chance.randint(5, 7)}:{chance.randint(0, 59):02} /km",
        f"  week: {longest * len(days) * chance.randint(5, 8) // 10} min",
        f"  longest: {longest} min",
        f"  runs: {len(days)}",
        "goal:",
        "  text: Run the loop round the bay without a break.",
    ]
    if chance.random() < 0.5:
        on = FIRST + timedelta(weeks=weeks, days=-1)
        lines.append(f"  event: {{on: {on}, distance: 10 km, name: Bay loop}}")
    lines.append("week:")
    for day in days:
        clock = f"{chance.choice((7, 12, 18, 19))}:{chance.choice(('00', '15', '30'))}"
        use = ", for: [run, strength]" if chance.random() < 0.5 else ""
        room = "2 h 30 min" if day == days[-1] else "1 h 15 min"
        lines.append(f'  {day}: {{at: "{clock}", up_to: {room}{use}}}')
    lines += [f"  long: {days[-1]}", "plan:", f"  from: {FIRST}", f"  weeks: {weeks}"]
    if chance.random() < 0.6:
        lines.append(f"  hard: {{from_week: {chance.randint(5, 8)}, per_week: 1}}")
    if chance.random() < 0.2:
        lines += ["fuel: {collagen: 15 g, vitamin_c: 50 mg, asked_on: 2027-01-01}"]
    if chance.random() < 0.7:
        lines += [
            "notes:",
            f"  - week: {chance.randint(1, weeks)}",
            "    text: Look *far ahead*, and let the arms hang. The rest comes by itself.",
        ]
    return "\n".join(lines) + "\n", _log(chance, logged)


def _log(chance: random.Random, logged: int) -> str:
    """Check-ins between one and two days apart, so that 60 of them reach into the 12th week."""
    lines: list[str] = []
    on = FIRST
    for number in range(logged):
        lines.append(f"- on: {on}")
        if chance.random() < 0.06:
            lines.append(f"  skipped: {chance.choice(('ill', 'travel', 'time'))}")
        else:
            lines.append(f"  ran: {chance.randint(20, 60)} min")
            if chance.random() < 0.5:
                lines.append(f"  distance: {chance.randint(30, 99) / 10} km")
            lines.append(f"  cadence: {chance.randint(150, 176)} spm")
            lines.append(f"  effort: {chance.randint(2, 5)}")
            worst = chance.choice((0, 0, 0, 0, 1, 1, 2, 3))
            lines.append(f"  pain: {{during: {worst}, after: {max(worst - 1, 0)}}}")
            lines.append(f"  landing: {chance.choice(('quiet', 'mixed', 'loud'))}")
            if number % 8 == 0:
                lines.append(f"  said: {chance.choice(SAID)}")
        on += timedelta(days=1 if number % 5 < 3 else 2)
    return "\n".join(lines) + "\n"
