"""A realistic client and an 8-week plan, made by hand, for the tests of the portal.

No rule of the engine made these numbers: they are written down here, so that a test can say
what must stand on the page. Everyone in them is invented.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, time, timedelta
from pathlib import Path
from typing import Any

from sitegen import world
from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn
from sitegen.model.client import Client
from sitegen.model.drill import Drill
from sitegen.model.plan import Band, Decision, Part, Plan, Session, Week
from sitegen.model.practice import Practice
from sitegen.model.sentence import say
from sitegen.portal.page import INSTALL, Look, Renderer
from sitegen.site.client import Compiled

ROOT = Path(__file__).parents[1]
MONDAY = date(2027, 1, 18)
AS_OF = date(2027, 2, 14)
PORTAL = "AAECAwQFBgcICQoLDA0ODw"
LOOK = Look(version="test", built="test")

TUESDAY, THURSDAY, FRIDAY, SUNDAY = 1, 3, 4, 6

# minutes of the two short runs and the long one, aim of the beat, kind
WEEKS = (
    (20, 26, 158, "build"),
    (22, 28, 158, "build"),
    (24, 30, 162, "build"),
    (18, 22, 162, "ease"),
    (24, 33, 162, "hold"),
    (26, 36, 166, "build"),
    (28, 38, 166, "build"),
    (20, 26, 166, "ease"),
)

CLIENT: dict[str, Any] = {
    "name": "Mara Lindqvist",
    "screening": {
        "on": "2027-01-10", "regular_exercise": "yes", "known_disease": "no", "symptoms": "no",
    },
    "baseline": {
        "on": "2027-01-10", "cadence": "158 spm", "pace": "6:45 /km", "week": "60 min",
        "longest": "26 min", "runs": "3",
    },
    "goal": {
        "text": "Run ten kilometres along the harbour without the knee speaking up",
        "event": {"on": "2027-04-11", "distance": "10 km", "name": "Harbour Ten"},
    },
    "week": {
        "tue": {"at": "18:30", "up_to": "50 min"}, "thu": {"at": "18:30", "up_to": "50 min"},
        "fri": {"for": "strength", "up_to": "30 min"}, "sun": {"at": "09:00"}, "long": "sun",
    },
    "plan": {"from": "2027-01-18", "weeks": "8"},
    "cadence": {"aim": "166 spm"},
    "notes": [
        {"week": "1", "text": "Three runs, all of them **slow enough to chat**. That is the job."},
        {
            "week": "4",
            "text": "An easier week on purpose. Let the knee have it.\n\n"
            "- Tuesday on the flat, please\n- [The park loop](https://example.org/loop) is fine",
        },
        {"week": "5", "text": "Same minutes as before the easier week. Listen to your feet."},
    ],
}  # fmt: skip

PRACTICE: dict[str, Any] = {
    "name": "Stillwater Running",
    "coach": "Ines Carvalho",
    "contact": "ines@example.org",
    "timezone": "Europe/Lisbon",
    "emergency": "112",
}

LOG: list[dict[str, Any]] = [
    {"on": "2027-01-19", "ran": "20 min", "cadence": "157 spm", "effort": "3", "landing": "loud",
     "pain": {"during": "1", "after": "1", "next_morning": "0"}},
    {"on": "2027-01-21", "ran": "20 min", "cadence": "159 spm", "effort": "2", "landing": "mixed",
     "pain": {"during": "0", "after": "0", "next_morning": "0"}},
    {"on": "2027-01-24", "ran": "26 min", "cadence": "158 spm", "effort": "3", "landing": "mixed",
     "said": "Wind all the way. *Knee quiet.*"},
    {"on": "2027-01-26", "ran": "22 min", "cadence": "160 spm", "effort": "2", "landing": "quiet"},
    {"on": "2027-01-28", "skipped": "time"},
    {"on": "2027-01-31", "ran": "28 min", "cadence": "161 spm", "effort": "3", "landing": "mixed",
     "pain": {"during": "2", "after": "2", "next_morning": "1", "site": "left knee"}},
    {"on": "2027-02-02", "ran": "24 min", "cadence": "163 spm", "effort": "3", "landing": "quiet"},
    {"on": "2027-02-04", "ran": "24 min", "cadence": "161 spm", "effort": "4", "landing": "mixed",
     "pain": {"during": "3", "after": "3", "next_morning": "2", "site": "left knee"}},
    {"on": "2027-02-07", "ran": "30 min", "cadence": "164 spm", "effort": "3", "landing": "quiet",
     "pain": {"during": "3", "after": "2", "next_morning": "2", "site": "left knee"}},
    {"on": "2027-02-09", "ran": "18 min", "cadence": "163 spm", "effort": "2", "landing": "quiet",
     "pain": {"during": "1", "after": "1", "next_morning": "0", "site": "left knee"}},
    {"on": "2027-02-11", "ran": "18 min", "cadence": "168 spm", "effort": "2", "landing": "quiet",
     "pain": {"during": "1", "after": "0", "next_morning": "0", "site": "left knee"}},
]  # fmt: skip


def make_case(log: Sequence[dict[str, Any]] = LOG, **client: Any) -> Case:
    """Mara's case; keywords replace fields of her file."""
    return Case(
        "mara",
        Client.of_tree(CLIENT | client),
        Practice.of_tree(PRACTICE),
        tuple(CheckIn.of_tree(entry) for entry in log),
    )


def with_practice(case: Case, **fields: Any) -> Case:
    """The same case under a practice with other settings."""
    return replace(case, practice=Practice.of_tree(PRACTICE | fields))


def make_week(number: int, short: int, long: int, aim: int, kind: Any) -> Week:
    """One week of Mara's: two runs to the beat, strength, a long run."""
    start = MONDAY + timedelta(weeks=number - 1)
    band = Band(aim - 4, aim, aim + 4)

    def session(day: int, minutes: int, kind: Any, parts: tuple[Part, ...], **more: Any) -> Session:
        on = start + timedelta(days=day)
        at = None if kind == "strength" else time(9) if day == SUNDAY else time(18, 30)
        return Session(f"w{number}d{day}", on, at, kind, parts, **more)

    warm = Part("warm_up", 5, text=say("Walk, briskly towards the end."))
    cool = Part("cool_down", 4, text=say("Walk until your breath is calm."))
    on_beat = Part("beat", 1, 4, aim, say("Step to the beat, at the same speed."))
    between = Part("run", (short - 4) / 4, 4, text=say("Run on easily, without the beat."))
    beat = (warm, on_beat, between, cool)
    sessions = (
        session(TUESDAY, short, "beat", beat, drills=("quiet-landing",)),
        session(
            THURSDAY, short, "easy", (warm, Part("run", short), cool),
            drills=("listening-check",), effort_high=2,
        ),
        session(
            FRIDAY, 25, "strength",
            (Part("strength", 25, text=say("Two rounds, slowly.")),),
            drills=("calf-raise-bent", "bridge"), effort_low=3, effort_high=4,
        ),
        session(SUNDAY, long, "long", (warm, Part("run", long), cool), drills=("quiet-landing",)),
    )  # fmt: skip
    return Week(number, start, kind, band, sessions, decisions_of(number, short * 2 + long, aim))


def decisions_of(number: int, minutes: int, aim: int) -> tuple[Decision, ...]:
    """Why the week is as it is."""
    growth = Decision(
        "volume",
        say("{minutes} min of running this week, at most {growth} % more than before.",
            minutes=float(minutes), growth=10.0),
        source="coach's judgement; Buist et al. 2008 found no difference",
    )  # fmt: skip
    ease = Decision(
        "ease",
        say("Every fourth week is easier: {minutes} min, about {by} % less.",
            minutes=float(minutes), by=30.0),
        source="common practice; Bell et al. 2023",
    )  # fmt: skip
    hold = Decision(
        "pain",
        say("Your knee spoke up at {score} of 10 on {day}, so nothing grows until two runs in a "
            "row are at 2 or less.", score=3, day=date(2027, 2, 7)),
        source="Silbernagel et al. 2007",
        warns=True,
    )  # fmt: skip
    step = Decision(
        "cadence",
        say("The beat goes to {aim} steps a minute, two weeks after the last step.", aim=aim),
        source="Heiderscheit et al. 2011; the pace of the steps is coach's judgement",
        session=f"w{number}d{TUESDAY}",
    )
    match number:
        case 4 | 8:
            return (ease,)
        case 5:
            return (hold,)
        case 3 | 6:
            return (growth, step)
    return (growth,)


def make_plan(**fields: Any) -> Plan:
    """Eight weeks from 18 January 2027."""
    weeks = tuple(make_week(n, *week) for n, week in enumerate(WEEKS, 1))
    return Plan("mara", AS_OF, "active", weeks)._replace(**fields)


def figure(name: str) -> str:
    """A shipped figure, or an empty one where there is none."""
    path = ROOT / "sitegen" / "library" / "drills" / f"{name}.svg"
    return path.read_text(encoding="utf-8") if path.exists() else ""


def make_drills() -> tuple[Drill, ...]:
    """Four drills, one for each place."""
    return (
        Drill(
            "quiet-landing", "Quiet landing", "Takes the slap out of the step.",
            ("first_steps", "building"), "on_the_run", 2, "2 times 1 min in an easy run",
            cues=("Land as if someone sleeps next door", "Feet under you, not before you"),
            slips=("Tiptoeing: the heel may touch", "Slowing down to a shuffle"),
            stop=("the calf or the tendon behind the ankle hurts",),
            source="Chan et al. 2018; load moved to calf and Achilles",
            text="Run as you do. For **one minute** make each landing a little quieter than "
            "the one before. Then let go and run on.",
            figure=figure("quiet-landing"),
        ),
        Drill(
            "listening-check", "Two minutes of listening", "Tells you how you land today.",
            ("building",), "on_the_run", 2, "once, 2 min, without headphones",
            cues=("Count the loud ones out of ten",), slips=("Judging instead of listening",),
            source="coach's judgement", text="Say quiet, mixed or loud in the check-in.",
            figure=figure("listening-check"),
        ),
        Drill(
            "calf-raise-bent", "Calf raise, knee bent", "Strength for the deep calf muscle.",
            ("strength",), "strength", 5, "3 times 12 each side, 3 s down",
            cues=("Knee stays bent", "Down slower than up"), slips=("Bouncing at the bottom",),
            stop=("pain over 2 of 10", "it is worse the next morning"),
            source="coach's judgement", figure=figure("calf-raise-bent"),
        ),
        Drill(
            "bridge", "Bridge", "Strength for the back of the hip.", ("strength",), "strength", 4,
            "2 times 10, hold 3 s", cues=("Ribs down, hips up",), slips=("Arching the back",),
            stop=("the back hurts",), source="coach's judgement", figure=figure("bridge"),
        ),
    )  # fmt: skip


def read_templates() -> dict[str, str]:
    """The shipped templates, name to text."""
    return dict(world.read_templates())


EVIDENCE = {"volume": "judgement", "ease": "judgement", "pain": "weak", "cadence": "weak"}


COMPILED = Compiled({})  # templates, once for all tests of a process


def make_renderer() -> Renderer:
    return Renderer(read_templates(), EVIDENCE, COMPILED)


def write_site(
    folder: Path,
    case: Case | None = None,
    plan: Plan | None = None,
    *,
    drills: Sequence[Drill] | None = None,
    feed_url: str | None = "https://plans.example.org/feeds/x.ics",
    look: Look = LOOK,
    **more: Any,
) -> Path:
    """An open portal with its assets, as a build would lay it down; gives its page."""
    renderer = make_renderer()
    content = renderer.document(
        case or make_case(),
        plan or make_plan(),
        make_drills() if drills is None else drills,
        feed_url=feed_url,
        code="K7Q2",
        **more,
    )
    page = renderer.page(
        content=content, sealed=None, language=(case or make_case()).language, portal=PORTAL,
        look=look,
    )  # fmt: skip
    return lay_down(folder, page, renderer.assets(look.accent), renderer.front(look.accent))


KEY = bytes(range(32))
KEY_TEXT = "AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8"


def write_sealed_site(folder: Path, passphrase: str | None = None, *before: str) -> Path:
    """The same portal, sealed under `KEY` and perhaps a passphrase, after those ``before`` it."""
    from sitegen.seal.addresses import kept_under
    from sitegen.seal.keys import Link
    from sitegen.seal.sealing import device_key, seal, sealed_text, stretch

    renderer = make_renderer()
    drills = make_drills()
    locks = [stretch(words, bytes(range(16)), 100_000) for words in (*before, passphrase) if words]
    lock = locks.pop() if passphrase else None
    under = tuple(device_key(KEY, old, PORTAL) for old in locks)
    content = renderer.document(
        make_case(), make_plan(), drills, feed_url=None, code="K7Q2", are_apart=True,
        kept_under=kept_under(Link(PORTAL, KEY, "feed", lock, under)),
    )  # fmt: skip
    sealed = seal(content.encode(), portal=PORTAL, key=KEY, passphrase=lock)
    page = renderer.page(
        content=None,
        sealed=sealed_text(sealed),
        language="en",
        portal=PORTAL,
        look=LOOK,
        drills=drills,
    )
    files = renderer.assets() | renderer.shelves(drills)
    return lay_down(folder, page, files, renderer.front())


def lay_down(folder: Path, page: str, files: dict[str, bytes], front: str) -> Path:
    """Write a site of one portal; gives its page."""
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    (folder / "index.html").write_text(front, encoding="utf-8")
    portal = folder / PORTAL
    portal.mkdir(exist_ok=True)
    (portal / INSTALL).write_text(make_renderer().install("en"), encoding="utf-8")
    (portal / "index.html").write_text(page, encoding="utf-8")
    return portal / "index.html"
