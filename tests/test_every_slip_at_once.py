"""Whatever else is wrong, each slip is told in the same round: one slip never hides another.

A sound practice is given some slips at a time, in different places of different files. What
`sitegen check` says of all of them together has to be what it says of each alone: nothing less,
so that nobody mends a file and then reads of the next line, and nothing more, so that no problem
is only the shadow of another.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import combinations
from pathlib import Path

import pytest

from nightly import IS_NIGHTLY
from sitegen.model.problem import Problem
from sitegen.site.building import build_site, quiet
from sitegen.site.checking import check

DEMO = Path(__file__).resolve().parent.parent / "clients"
AS_OF = date(2027, 3, 18)
ROUNDS, TOGETHER = (80, 24) if IS_NIGHTLY else (24, 48)

Told = frozenset[tuple[str, int, str, str]]  # file, line, code, message


@dataclass(frozen=True)
class Slip:
    """A line of a sound file, and what a hurried coach wrote instead, in as many lines."""

    file: str
    sound: str
    wrong: str
    code: str  # of a problem that has to be among those told


# --- a sound practice ---------------------------------------------------------------------------

DRILL = """\
---
title: Hill walk
purpose: To feel the push of the foot.
stages: [building]
where: warm_up
minutes: 4
cues:
  - Tall, and unhurried
---

Walk up a gentle slope, and roll down again in [quiet steps](#drills/quiet-landing).

Then read [about dark evenings](#texts/light-evenings).
"""
FIGURE = """\
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20">
  <path d="M2 18 L38 6"/>
  <circle cx="20" cy="8" r="3"/>
</svg>
"""
MORE = {
    "practice.yaml": """\
    drills: [quiet-landing, bridge]
    notes:
      - {from: 2027-03-01, until: 2027-03-31, text: Welcome back.}
  summer: {units: km}
rules:
  volume: {growth: 8 %}
  pain: {profile: standard}
targets: {site: ../site}
""",
    "mirela.yaml": """\
group: coming-back
timezone: Europe/Lisbon
rules:
  volume: {most: 300 min}
  pain: {profile: knee}
fuel:
  collagen: 15 g
  vitamin_c: 50 mg
  before: 45 min
  asked_on: 2027-01-27
notes:
  - week: 3
    text: Go easy on the hills.
    read: light-evenings
  - week: 9
    text: Your [bridge](#drills/bridge) may get longer.
changes:
  - on: 2027-03-23
    rest: yes
    because: travels
  - week: 9
    minutes: 120 min
    because: school holidays
""",
}


def sound_practice() -> dict[str, str]:
    files = {path.name: path.read_text("utf-8") for path in DEMO.glob("*.yaml")}
    kept = {"practice", "mirela", "nia"}
    files = {name: text for name, text in files.items() if name.partition(".")[0] in kept}
    for name, more in MORE.items():
        files[name] += more
    files["texts/light-evenings.md"] = (DEMO / "texts" / "light-evenings.md").read_text("utf-8")
    files["drills/hill-walk.md"] = DRILL
    files["drills/hill-walk.svg"] = FIGURE
    return files


GOOD = sound_practice()

# --- slips --------------------------------------------------------------------------------------

HOUSE, HERS, NIAS, LOG = "practice.yaml", "mirela.yaml", "nia.yaml", "mirela.log.yaml"
HILL, EVENINGS = "drills/hill-walk.md", "texts/light-evenings.md"

SLIPS = (
    # the practice
    Slip(HOUSE, "contact: ines@tidewrack.example", "contact: ines", "contact"),
    Slip(HOUSE, "timezone: Europe/Lisbon", "timezone: Lisboa", "timezone"),
    Slip(HOUSE, "coach: Ines", "coahc: Ines", "unknown-key"),
    Slip(HOUSE, "units: km\nlang", "units: kilometres\nlang", "choice"),
    Slip(HOUSE, "language: en", "language: xx", "language-unknown"),
    Slip(HOUSE, 'accent: "#1f5f6b"', 'accent: "#f5f5f5"', "accent-contrast"),
    Slip(HOUSE, "logo: logo.png", "logo: lago.png", "logo-missing"),
    Slip(HOUSE, "until: 2027-03-28", "until: 2027-03-08", "note-dates"),
    Slip(HOUSE, "    read: light-evenings", "    read: dark-evenings", "text-unknown"),
    Slip(HOUSE, "cadence: {step: 3 %, hold: 2}", "cadence: {step: 3, hold: 2}", "percent-form"),
    Slip(HOUSE, "drills: [quiet-landing, bridge]", "drills: [bridge, quite-landing]",
         "drill-unknown"),
    Slip(HOUSE, "until: 2027-03-31", "until: 31.03.2027", "date-form"),
    Slip(HOUSE, "text: Welcome back.", "text: '[Back](#drills/brigde)'", "link-unknown"),
    Slip(HOUSE, "  summer: {units: km}", "  Summer: {units: km}", "group-name"),
    Slip(HOUSE, "volume: {growth: 8 %}", "volume: {growth: 80 %}", "percent-range"),
    Slip(HOUSE, "  pain: {profile: standard}", "  pian: {profile: standard}", "unknown-rule"),
    Slip(HOUSE, "targets: {site: ../site}", "targets: {site: 'gopher://x.example'}",
         "target-scheme"),
    Slip(HOUSE, "name: Tidewrack Running", "nome: Tidewrack Running", "unknown-key"),
    Slip(HOUSE, 'emergency: "112"', "emergency: [112]", "one-value"),
    Slip(HOUSE, "  - from: 2027-03-15", "  - form: 2027-03-15", "unknown-key"),
    Slip(HOUSE, "groups:\n", "gruops:\n", "unknown-key"),
    Slip(HOUSE, "  summer: {units: km}", "  summer: km", "shape"),
    Slip(HOUSE, "rules:\n  volume: {growth: 8 %}", "rules:\n  volume:", "empty"),
    # a client
    Slip(HERS, "name: Mirela Castell", "name:", "empty"),
    Slip(HERS, "born: 1988", "born: 2029", "born-late"),
    Slip(HERS, "height: 170 cm", "height: 170", "length-form"),
    Slip(HERS, "known_disease: no", "known_disease: none", "yes-no-form"),
    Slip(HERS, "  on: 2027-01-20", "  on: 2027-02-20", "screening-after-plan"),
    Slip(HERS, "  cadence: 160 spm", "  cadence: 160", "cadence-form"),
    Slip(HERS, "  pace: 6:05 /km", "  pace: 6.05 /km", "pace-form"),
    Slip(HERS, "  longest: 55 min", "  longst: 55 min", "unknown-key"),
    Slip(HERS, "  runs: 4", "  race: {distance: 5 km, time: 1:10}", "race-pace"),
    Slip(HERS, "wed: {at: 6:45, up_to: 50 min", "wed: {at: 645, up_to: 50 min", "clock-form"),
    Slip(HERS, "  long: sun", "  long: sat", "long-day"),
    Slip(HERS, "  weeks: 12", "  weeks: twelve", "whole-form"),
    Slip(HERS, "  growth: 0 %", "  grow: 0 %", "unknown-key"),
    Slip(HERS, "  aim: 170 spm", "  aim: 150 spm", "aim-below-baseline"),
    Slip(HERS, "  hold: 2", "  hold: two", "whole-form"),
    Slip(HERS, "drills: [quiet-landing, listening-check", "drills: [quiet-landing, listen-chek",
         "drill-unknown"),
    Slip(HERS, "calf-raise-straight, bridge", "calf-raise-straight, The Bridge", "id-form"),
    Slip(HERS, "group: coming-back", "group: comming-back", "group-unknown"),
    Slip(HERS, "timezone: Europe/Lisbon", "timezone: Europe/Lisboa", "timezone"),
    Slip(HERS, "volume: {most: 300 min}", "volume: {most: 300}", "duration-form"),
    Slip(HERS, "  pain: {profile: knee}", "  pian: {profile: knee}", "unknown-rule"),
    Slip(HERS, "  vitamin_c: 50 mg", "  vitamin_c: 500 mg", "fuel-vitamin-c"),
    Slip(HERS, "  before: 45 min", "  before: 5 min", "fuel-before"),
    Slip(HERS, "  asked_on: 2027-01-27", "  collagn: 15 g", "unknown-key"),
    Slip(HERS, "  - week: 3\n", "  - week: 33\n", "outside-plan"),
    Slip(HERS, "    read: light-evenings", "    read: light-mornings", "text-unknown"),
    Slip(HERS, "text: Your [bridge](#drills/bridge)", "text: Your [bridge](#drills/brige)",
         "link-unknown"),
    Slip(HERS, "    because: travels", "    kind: easy", "change-rest"),
    Slip(HERS, "  - week: 9\n    minutes", "  - wek: 9\n    minutes", "unknown-key"),
    Slip(HERS, "    minutes: 120 min", "    kind: tempo", "change-kind"),
    Slip(HERS, "height: 170 cm", "born: 1989", "duplicate-key"),
    Slip(HERS, "screening:\n  on: 2027-01-20", "screening:\n  onn: 2027-01-20", "unknown-key"),
    Slip(HERS, "  symptoms: no", "  symptoms:", "empty"),
    Slip(HERS, "  tue: {at: 6:45, up_to: 1 h}", "  tue: [6:45, 1 h]", "shape"),
    Slip(HERS, "1 h, for: [run, strength]}", "1 h, for: [run, strenght]}", "choice"),
    Slip(HERS, "  from: 2027-02-01", "  from: 2027-02-31", "date-range"),
    Slip(HERS, "  text: Land", "  - Land", "shape"),
    Slip(HERS, "  collagen: 15 g", "  colagen: 15 g", "unknown-key"),
    Slip(HERS, "fuel:\n", "feul:\n", "unknown-key"),
    Slip(HERS, "    rest: yes", "    rest: yess", "yes-no-form"),
    Slip(HERS, "  - on: 2027-03-23", "  - on: 2029-03-23", "outside-plan"),
    Slip(HERS, "    because: school", "    becuase: school", "unknown-key"),
    Slip(HERS, "  - week: 9\n    text", "  - week: nine\n    text", "whole-form"),
    Slip(HERS, "changes:\n", "cahnges:\n", "unknown-key"),
    Slip(HERS, "rules:\n", "rulse:\n", "unknown-key"),
    # another client
    Slip(NIAS, "  cadence: 152 spm     #", "  cadence: 104 spm     #", "cadence-one-foot"),
    Slip(NIAS, "  week: 0 min", "  week: 20 min", "baseline-incomplete"),
    Slip(NIAS, "  from: 2027-01-11", "  from: 2027-01-04", "plan-before-baseline"),
    Slip(NIAS, "  regular_exercise: no", "  regular_exercise: &x no", "anchor"),
    Slip(NIAS, "  tue: {at: 18:30, up_to: 50 min}", "  tue: *tuesday", "alias"),
    Slip(NIAS, "name: Nia Sandoval", "nam: Nia Sandoval", "unknown-key"),
    # the log
    Slip(LOG, "  ran: 52 min\n  distance: 8.7 km", "  ran: 52\n  distance: 8.7 km",
         "duration-form"),
    Slip(LOG, "- on: 2027-02-05", "- on: 2027-02-35", "date-range"),
    Slip(LOG, "- on: 2027-02-14", "- on: 2027-01-14", "log-order"),
    Slip(LOG, "  ran: 52 min\n  distance: 8.7 km", "  ran: 52 min\n  distance: 87 km", "log-pace"),
    Slip(LOG, "  distance: 5.3 km\n  cadence: 155 spm", "  skipped: time\n  cadence: 155 spm",
         "log-skipped-ran"),
    Slip(LOG, "  distance: 5.5 km\n  cadence: 160 spm", "  signs: [sweling]\n  cadence: 160 spm",
         "choice"),
    Slip(LOG, "- on: 2027-02-02\n  ran: 33 min", "- on: 2027-02-02\n  rann: 33 min", "unknown-key"),
    Slip(LOG, "- on: 2027-02-16", "- onn: 2027-02-16", "unknown-key"),
    # a drill, its drawing, a text
    Slip(HILL, "title: Hill walk", "titel: Hill walk", "unknown-key"),
    Slip(HILL, "stages: [building]", "stages: [bilding]", "choice"),
    Slip(HILL, "(#drills/quiet-landing)", "(#drills/quiet-lading)", "link-unknown"),
    Slip(HILL, "(#texts/light-evenings)", "(#texts/evenings)", "link-unknown"),
    Slip(HILL, "cues:\n  - Tall, and", "cues:\n  Tall, and", "shape"),
    Slip(HILL, "minutes: 4", "minutes: four", "whole-form"),
    Slip("drills/hill-walk.svg", "</svg>", "</g>", "figure-form"),
    Slip("drills/hill-walk.svg", "<path d=", "<script/><path d=", "figure-runs"),
    Slip("drills/hill-walk.svg", "<circle cx=", "<circle onclick='x()' cx=", "figure-runs"),
    Slip(EVENINGS, "# Running when", "Running when", "text-title"),
    Slip(EVENINGS, "(#drills/quiet-landing)", "(#drills/quiet-lading)", "link-unknown"),
)  # fmt: skip


# What one slip leaves open, the other can't be told by: its number, date or answer is not known.
NOT_TOGETHER = (
    ("  cadence: 160", "  aim: 150 spm"),
    ("  weeks: twelve", "  - week: 33\n"),
    ("  weeks: twelve", "  - on: 2029-03-23"),
    ("  from: 2027-02-31", "  - on: 2029-03-23"),
    ("  from: 2027-02-31", "  on: 2027-02-20"),
    ("    rest: yess", "    kind: easy"),
)


def with_slips(slips: Iterable[Slip]) -> tuple[dict[str, str], list[Slip]]:
    """The sound practice with some of these slips, and those that could stand beside the others."""
    files, taken = dict(GOOD), list[Slip]()
    for slip in slips:
        text, so_far = files[slip.file], {other.wrong for other in taken}
        if any(slip.wrong in two and so_far & set(two) for two in NOT_TOGETHER):
            continue
        if text.count(slip.sound) == 1 and slip.sound.count("\n") == slip.wrong.count("\n"):
            files[slip.file] = text.replace(slip.sound, slip.wrong)
            taken.append(slip)
    return files, taken


def written(folder: Path, files: Mapping[str, str]) -> Path:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    (folder / "logo.png").write_bytes((DEMO / "logo.png").read_bytes())
    return folder


def told(problems: Iterable[Problem], folder: Path) -> Told:
    return frozenset(
        (p.origin.file.removeprefix(f"{folder.as_posix()}/"), p.origin.line, p.code, p.message)
        for p in problems
        if p.code != "plan-cadence"  # of a whole plan: told only where one can be drawn
    )


def checked(folder: Path) -> Told:
    return told(check(folder, (), AS_OF, quiet).problems, folder)


@pytest.fixture(scope="module")
def alone(tmp_path_factory: pytest.TempPathFactory) -> dict[Slip, Told]:
    """What is said of each slip where it is the only one."""
    folder = tmp_path_factory.mktemp("alone")
    return {slip: checked(written(folder, with_slips([slip])[0])) for slip in SLIPS}


def test_the_practice_is_sound_without_slips(tmp_path: Path) -> None:
    assert checked(written(tmp_path, GOOD)) == frozenset()


def test_every_slip_is_told_where_it_is_the_only_one(alone: Mapping[Slip, Told]) -> None:
    for slip, problems in alone.items():
        assert slip.code in {code for file, _, code, _ in problems if file == slip.file}, slip


def test_no_slip_hides_another_or_casts_a_shadow(
    alone: Mapping[Slip, Told], tmp_path: Path
) -> None:
    """Many at a time, by night fewer in more rounds; nearly every two of them meet."""
    chance = random.Random("a hurried coach")
    met = set()
    for _ in range(ROUNDS):
        files, slips = with_slips(chance.sample(SLIPS, TOGETHER))
        said, expected = checked(written(tmp_path, files)), {p for s in slips for p in alone[s]}
        assert expected - said == set(), [slip.wrong for slip in slips]
        assert said - expected == set(), [slip.wrong for slip in slips]
        met |= {frozenset(two) for two in combinations(slips, 2)}
    assert len(met) > 0.9 * len(SLIPS) * (len(SLIPS) - 1) / 2


# --- where the house is not known ---------------------------------------------------------------

CLIENTS = tuple(slip for slip in SLIPS if slip.file in (HERS, NIAS, LOG))


def of_clients(problems: Iterable[tuple[str, int, str, str]]) -> set[tuple[str, int, str, str]]:
    return {problem for problem in problems if problem[0] in (HERS, NIAS, LOG)}


@pytest.mark.parametrize(
    "practice",
    [
        None,
        "name: [Tidewrack\n",
        "name: Tidewrack\ngroups: {<<: *groups}\n",
        "- Tidewrack\n",
        "",
    ],
    ids=["missing", "no YAML", "groups from elsewhere", "a list", "empty"],
)
def test_clients_are_judged_without_a_practice_but_not_by_its_groups(
    practice: str | None, alone: Mapping[Slip, Told], tmp_path: Path
) -> None:
    """Whether there is such a group is not known; everything else of a client is."""
    files, slips = with_slips(CLIENTS)
    written(tmp_path, {**files, HOUSE: practice or ""})
    if practice is None:
        (tmp_path / HOUSE).unlink()

    said = checked(tmp_path)

    expected = of_clients(problem for slip in slips for problem in alone[slip])
    assert of_clients(said) == {p for p in expected if p[2] != "group-unknown"}
    assert {file for file, *_ in said if file not in files} == set()
    assert any(file == HOUSE for file, *_ in said)


def test_a_group_with_a_slip_in_it_is_there_all_the_same(tmp_path: Path) -> None:
    wrong = GOOD[HOUSE].replace("cadence: {step: 3 %, hold: 2}", "cadence: fast")
    said = checked(written(tmp_path, {**GOOD, HOUSE: wrong}))
    assert [code for _, _, code, _ in said] == ["shape"]


def test_a_drill_that_cannot_be_read_is_there_all_the_same(tmp_path: Path) -> None:
    """It is told once, where it lies, and not again to each client who practises it."""
    hers = GOOD[HERS].replace("drills: [", "drills: [hill-walk, ")
    folder = written(tmp_path, {**GOOD, HERS: hers})
    (folder / HILL).unlink()
    (folder / HILL).symlink_to(folder / EVENINGS)

    assert {(file, code) for file, _, code, _ in checked(folder)} == {(HILL, "unreadable")}


def test_a_build_tells_what_a_check_tells(tmp_path: Path) -> None:
    """An error of the house stops a build; those of clients are told with it."""
    targets = "targets: {site: 'gopher://x.example'}"  # a build goes nowhere, and does not ask
    some = [slip for slip in random.Random(7).sample(SLIPS, 40) if slip.wrong != targets]
    files, slips = with_slips(some)
    folder = written(tmp_path / "clients", files)
    assert {slip.file for slip in slips} >= {HOUSE, HERS, NIAS, LOG, HILL}

    built = build_site(folder, tmp_path / "public", as_of=AS_OF)

    assert not built.done
    assert told(built.problems, folder) == checked(folder)
    assert not (tmp_path / "public").exists()


def test_links_that_cannot_be_read_hide_nothing(tmp_path: Path) -> None:
    files, _ = with_slips([SLIPS[0], CLIENTS[0]])
    folder = written(tmp_path / "clients", files)
    (folder / ".keys.yaml").write_text("{", "utf-8")
    (folder / ".keys.yaml").chmod(0o600)

    built = build_site(folder, tmp_path / "public", as_of=AS_OF)

    assert told(built.problems, folder) == checked(folder) and not built.done
    assert any(p.origin.file.endswith(".keys.yaml") for p in built.problems)
