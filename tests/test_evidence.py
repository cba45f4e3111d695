"""Numbers that others published, or that arithmetic gives, against what the engine makes of them.

Each check names its source. "computed here" is arithmetic that no publication prints; "quoted from
memory" was not seen while this was written.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from generated import NEW_TO_EXERCISE, NOTHING, runner, training
from sitegen.model.checkin import Pain
from sitegen.model.colour import contrast
from sitegen.model.plan import Part, Session
from sitegen.model.record import NotRead
from sitegen.plan.changes import steps
from sitegen.rules import cadence, longest, pain, rate_line, run_walk
from sitegen.rules.log import sessions as logged_sessions
from sitegen.rules.power_law import predict_seconds
from sitegen.rules.taper import TaperParameters
from support import case_of, plan_of, tree

# --- ISO 8601: weeks start on Monday; week 1 holds the first Thursday ---------------------------


@pytest.mark.parametrize(
    ("day", "year", "week", "weekday"),
    [
        ("2005-01-01", 2004, 53, 6),
        ("2007-01-01", 2007, 1, 1),
        ("2008-12-29", 2009, 1, 1),
        ("2010-01-03", 2009, 53, 7),
        ("2020-12-28", 2020, 53, 1),
        ("2020-12-31", 2020, 53, 4),
        ("2021-01-01", 2020, 53, 5),
        ("2021-01-03", 2020, 53, 7),
        ("2021-01-04", 2021, 1, 1),
        ("2024-12-30", 2025, 1, 1),
        ("2026-12-31", 2026, 53, 4),
        ("2027-01-03", 2026, 53, 7),
    ],
)
def test_a_plan_starts_on_the_monday_of_its_iso_week(
    day: str, year: int, week: int, weekday: int
) -> None:
    """ISO 8601, week dates; values computed here."""
    on = (date.fromisoformat(day) - timedelta(days=1)).isoformat()
    text = runner(
        baseline=f"{{on: {on}, cadence: 160 spm, pace: 6:30 /km, week: 120 min, longest: 45 min, "
        "runs: 3}",
        plan=f"{{from: {day}, weeks: 2}}",
    )
    first, second = plan_of(text, as_of=day).weeks

    assert first.start == date.fromisocalendar(year, week, 1)
    assert (date.fromisoformat(day) - first.start).days == weekday - 1
    assert (second.start - first.start).days == 7


# --- steps and step length ---------------------------------------------------------------------


def running(minutes: float, spm: int | None = None) -> Session:
    part = Part("run", minutes, cadence_spm=spm)
    return Session("run", date(2027, 1, 4), None, "easy", (part,))


@pytest.mark.parametrize(
    ("spm", "km_per_hour", "expected"),
    # 60 x cadence / speed, computed here; 165 spm is the mean of de Ruiter CJ et al., Eur J Sport
    # Sci 2020;20(2):182-190.
    [(165, 10.0, 990), (180, 12.0, 900), (150, 7.5, 1200)],
)
def test_steps_in_a_kilometre(spm: int, km_per_hour: float, expected: int) -> None:
    assert steps((running(60 / km_per_hour),), spm) == expected


def test_steps_in_a_kilometre_at_the_speed_of_a_treadmill_study() -> None:
    """172.6 spm at 2.9 m/s is 992 steps/km (computed here; preferred rate of Heiderscheit BC et
    al. 2011, quoted from memory). The engine counts whole steps a minute: 172 and 173 span it."""
    minutes = 1000 / 2.9 / 60

    assert steps((running(minutes),), 172) < 992 < steps((running(minutes),), 173)
    assert round(172.6 * minutes) == 992


@pytest.mark.parametrize(
    ("faster", "length"),
    # At one speed, step length is 1 / cadence factor; computed here.
    [(1.05, 0.9524), (1.075, 0.9302), (1.10, 0.9091)],
)
def test_a_quicker_step_at_the_same_speed_is_a_shorter_one(faster: float, length: float) -> None:
    """The same kilometre in the same time: steps rise by the factor, so each is shorter by it."""
    slow, quick = steps((running(60.0),), 1000), steps((running(60.0),), round(1000 * faster))

    assert slow / quick == pytest.approx(length, abs=5e-5)


# --- cadence and speed -------------------------------------------------------------------------


@pytest.mark.parametrize(("metres_per_second", "more"), [(1.0, 5.6), (0.5, 2.8), (-0.5, -2.8)])
def test_a_logged_step_rate_is_put_on_the_baseline_speed(
    metres_per_second: float, more: float
) -> None:
    """+5.6 spm per m/s: Burns GT, Zendler JM, Zernicke RF. J Appl Physiol 2019;126(2):462-468."""
    metres = (2.5 + metres_per_second) * 1800  # baseline 6:40 /km is 2.5 m/s
    text = runner().replace("6:30 /km", "6:40 /km")
    entry = {"on": "2027-01-05", "ran": "30 min", "distance": f"{metres:g} m", "cadence": "170 spm"}
    case = case_of(text, [entry])
    (session,) = logged_sessions(case, date(2027, 1, 6))

    found = cadence.at_baseline_speed(session, case)
    assert found is not None
    assert found[0] == 170
    assert found[1] == pytest.approx(170 - more)


def test_the_slope_per_kilometre_an_hour() -> None:
    """+1.56 spm per km/h, computed here from the same slope."""
    assert pytest.approx(1.56, abs=0.005) == rate_line.PUBLISHED_SPM_PER_MPS / 3.6


@pytest.mark.parametrize(("own", "ceiling"), [(150, 165), (165, 181), (160, 176)])
def test_the_ceiling_is_the_largest_rate_that_was_studied(own: int, ceiling: int) -> None:
    """+10 % is the most in Heiderscheit BC et al., Med Sci Sports Exerc 2011;43(2):296-302."""
    assert cadence.ceiling(own) == ceiling


# --- the power law -----------------------------------------------------------------------------
# Riegel PS, American Scientist 1981;69(3):285-290 (formula and range read second-hand); the values
# are computed here with its exponent of 1.06.


@pytest.mark.parametrize(
    ("metres", "seconds", "target", "expected"),
    [
        (5_000, 1_200, 10_000, 2_501.918),
        (10_000, 2_400, 21_097.5, 5_295.367),
        (21_097.5, 5_400, 42_195, 11_258.630),
    ],
)
def test_race_times_grow_with_distance(
    metres: float, seconds: float, target: float, expected: float
) -> None:
    assert predict_seconds(metres, seconds, target) == pytest.approx(expected, abs=0.0006)


def test_doubling_the_distance() -> None:
    """2 to the power of 1.06 is 2.084932."""
    found = predict_seconds(5_000, 1_000, 10_000)

    assert found is not None
    assert found / 1_000 == pytest.approx(2.084932, abs=5e-7)


def test_there_and_back_returns_the_start_and_speed_falls_with_distance() -> None:
    there = predict_seconds(5_000, 1_200, 21_097.5)
    assert there is not None

    assert predict_seconds(21_097.5, there, 5_000) == pytest.approx(1_200)
    assert predict_seconds(5_000, 1_200, 5_000) == pytest.approx(1_200)
    assert 21_097.5 / there < 5_000 / 1_200


@pytest.mark.parametrize(
    ("metres", "seconds", "target", "inside"),
    [
        (1_000, 209, 5_000, False),
        (1_000, 210, 5_000, True),
        (5_000, 1_200, 400, False),
        (42_195, 13_801, 10_000, False),
        (42_195, 13_800, 10_000, True),
        (21_097.5, 7_200, 42_195, False),  # 250 min
        (21_097.5, 6_600, 42_195, True),  # 229.3 min
    ],
)
def test_refused_outside_its_range_of_three_and_a_half_to_230_minutes(
    metres: float, seconds: float, target: float, inside: bool
) -> None:
    assert (predict_seconds(metres, seconds, target) is not None) is inside


# --- run and walk ------------------------------------------------------------------------------
# Table 1 of the protocol of a randomised trial of remote gait retraining for overuse knee injuries
# in soldiers, Trials 2023;24 (doi 10.1186/s13063-023-07502-x): standard care. At least one day off
# between runs, each phase at least twice.

SIX_PHASES = """
- {effort: 3, walk: 2 min, run: 3 min, distance: 1 mi}
- {effort: 3, walk: 2 min, run: 3 min, distance: 1.5 mi}
- {effort: 4, walk: 2 min, run: 4 min, distance: 1.5 mi}
- {effort: 4, walk: 2 min, run: 4 min, distance: 2 mi}
- {effort: 5, walk: 1 min, run: 4 min, distance: 2 mi}
- {effort: 5, walk: 0 min, distance: 2 mi}
"""


def six_phases() -> run_walk.RunWalkParameters:
    return run_walk.RunWalkParameters.of_tree(
        {"ladder": tree(SIX_PHASES), "sessions": "2", "rest_days": "1"}
    )


def test_the_published_table_can_be_written_as_a_ladder() -> None:
    ladder = run_walk.rungs(six_phases())

    assert [(r.run, r.walk) for r in ladder[:5]] == [(3, 2), (3, 2), (4, 2), (4, 2), (4, 1)]
    assert ladder[5].walk == 0
    assert [r.distance.miles for r in six_phases().ladder if r.distance] == pytest.approx(
        [1, 1.5, 1.5, 2, 2, 2]
    )


def test_the_published_table_is_expanded_into_a_plan() -> None:
    rungs = ", ".join(line[2:] for line in SIX_PHASES.strip().splitlines())
    text = runner(
        baseline=NOTHING,
        screening=NEW_TO_EXERCISE,
        week="{mon: {}, wed: {}, fri: {}}",
        plan="{from: 2027-01-04, weeks: 16}",
        more=f"rules: {{run_walk: {{ladder: [{rungs}], sessions: 2, rest_days: 1}}}}",
    )
    weeks = plan_of(text).weeks
    stretches = [
        (p.minutes, q.minutes)
        for w in weeks
        for s in w.sessions
        for p, q in zip(s.parts, s.parts[1:], strict=False)
        if p.kind == "run" and q.kind == "walk"
    ]

    assert set(stretches) <= {(3, 2), (4, 2), (4, 1)}
    assert {(4, 1)} <= set(stretches)
    assert weeks[0].rung == 1
    assert max(w.rung or 7 for w in weeks) >= 6


def test_its_jumps_in_distance_are_why_run_and_walk_has_a_rule_of_its_own() -> None:
    """+50 % and +33 % from phase to phase, computed here."""
    miles = [r.distance.miles for r in six_phases().ladder if r.distance]

    assert miles[1] / miles[0] == pytest.approx(1.5)
    assert miles[3] / miles[2] == pytest.approx(4 / 3)


# --- a single long run -------------------------------------------------------------------------
# Frandsen JSB et al., Br J Sports Med 2025;59(17):1203-1210: up to +10 % over the longest run of
# the last 30 days is the reference; over 10, 30 and 100 % go with more overuse injuries.


@pytest.mark.parametrize(
    ("known", "minutes", "within"),
    [
        (60, 66, True),
        (60, 67, False),
        (60, 78, False),
        (60, 120, False),
        (50, 55, True),
        (50, 56, False),
        (45, 49, True),
        (45, 50, False),
    ],
)
def test_up_to_a_tenth_over_the_longest_of_thirty_days(
    known: int, minutes: int, within: bool
) -> None:
    assert (minutes <= longest.most_after(known)) is within


@pytest.mark.parametrize(
    ("share", "warns"), [(1.10, False), (1.12, True), (1.30, True), (2.00, True)]
)
def test_a_coach_who_goes_over_the_class_is_warned(share: float, warns: bool) -> None:
    """The long run of week 1 after a longest of 50 min, made 55, 56, 65 and 100 min long."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 175 spm, pace: 6:30 /km, week: 200 min, "
        "longest: 50 min, runs: 4}",
        week="{tue: {}, thu: {}, sat: {}, sun: {}, long: sun}",
        more=f"changes: [{{on: 2027-01-10, minutes: {50 * share:.0f} min, because: a test}}]",
    )
    plan = plan_of(text)
    told = [p.message for p in plan.problems if p.code == "plan-changes" and "tenth" in p.message]

    assert bool(told) is warns


# --- pain --------------------------------------------------------------------------------------
# After Silbernagel KG et al., Am J Sports Med 2007;35(6):897-906 (limits quoted from memory: up to
# 2 safe, up to 5 acceptable, over 5 too much, settled by the next morning), Thomeé R, Phys Ther
# 1997;77(12):1690-1703 (from memory); `knee` after Esculier JF et al., Br J Sports Med
# 2018;52(10):659-666 (at most 2, no more the next morning; read second-hand). How much more counts
# as not settled, and the rest of 48 h from 6 on, are common practice, no source.


@pytest.mark.parametrize(
    ("during", "next_morning", "standard", "knee"),
    [
        (0, 0, "calm", "calm"),
        (2, 2, "hold", "hold"),  # two points over what it was before the run, 0 if not told
        (2, 0, "calm", "calm"),
        (3, 0, "hold", "hold"),
        (5, 5, "hold", "hold"),
        (6, 0, "rest", "rest"),
        (10, 0, "rest", "rest"),
        (0, 1, "calm", "calm"),
        (2, 3, "hold", "hold"),
        (5, 6, "rest", "rest"),
    ],
)
def test_pain_bands(during: int, next_morning: int, standard: str, knee: str) -> None:
    told = Pain.of_tree({"during": str(during), "next_morning": str(next_morning)})

    assert (pain.pain_grade(told, "standard"), pain.pain_grade(told, "knee")) == (standard, knee)


# --- taper -------------------------------------------------------------------------------------


def test_a_usual_week_is_cut_by_forty_to_sixty_per_cent() -> None:
    """Bosquet L et al., Med Sci Sports Exerc 2007;39(8):1358-1365: 41 to 60 % less; a usual 50 km
    week is then 29.5 down to 20.0 km (computed here). Here in minutes, 300 at 6:00 /km."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 175 spm, pace: 6:00 /km, week: 300 min, "
        "longest: 100 min, runs: 5}",
        week="{mon: {}, tue: {}, wed: {}, thu: {}, fri: {}, sat: {}, sun: {}}",
        plan="{from: 2027-01-04, weeks: 6, growth: 0 %}",
        more="goal: {event: {on: 2027-02-14, distance: half marathon}}",
    )
    weeks = plan_of(text).weeks
    kilometres = training(weeks[5]) / 6

    assert training(weeks[2]) / 6 == pytest.approx(50, abs=1)
    assert 20.0 - 1 <= kilometres <= 29.5


def test_the_share_left_cannot_be_set_outside_what_was_studied() -> None:
    for share in ("39 %", "61 %"):
        with pytest.raises(NotRead, match="out of range"):
            TaperParameters.of_tree({"last": share})
    assert TaperParameters.of_tree({"last": "40 %"}).last.percent == 40


# --- contrast ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("colour", "ratio"),
    [
        ("#000000", 21.0),
        ("#595959", 7.0047),
        ("#5a5a5a", 6.8969),
        ("#0000ff", 8.5925),
        ("#008000", 5.1374),
        ("#767676", 4.5422),
        ("#777777", 4.4781),
        ("#ff0000", 3.9985),
        ("#888888", 3.5449),
        ("#949494", 3.0335),
        ("#959595", 2.9953),
        ("#999999", 2.8490),
        ("#ffff00", 1.0738),
    ],
)
def test_contrast_on_white(colour: str, ratio: float) -> None:
    """WCAG 2.2, definitions of contrast ratio and relative luminance; values computed here."""
    assert contrast(colour, "#ffffff") == pytest.approx(ratio, abs=5e-5)
    assert contrast("#fff", colour) == contrast(colour, "#ffffff")
    assert (contrast(colour, "#ffffff") >= 4.5) is (ratio >= 4.5)
