"""Energy cost and the two-trial model, against printed examples and tables."""

from __future__ import annotations

import pytest

from sitegen.coach.equations import mets, run_mets, run_vo2, two_trials

METRES_PER_MINUTE_PER_MPH = 26.8


def test_eight_mets_on_the_level_is_the_printed_speed():
    """Teaching sheet on the ACSM running equation: 8 METs is 122.5 m/min, 4.57 mph."""
    speed = 122.5
    assert mets(run_vo2(speed)) == pytest.approx(8.0)
    assert speed / METRES_PER_MINUTE_PER_MPH == pytest.approx(4.57, abs=0.005)


# Ainsworth BE et al. 2011 and Herrmann SD et al. 2024 (read second-hand): mph, METs of each.
COMPENDIUM = (
    (5, 8.3, 8.5), (6, 9.8, 9.3), (6.7, 10.5, 10.5), (7, 11.0, 11.0), (7.5, 11.5, 11.8),
    (8, 11.8, 12.0), (8.6, 12.3, 12.5), (9, 12.8, 13.0), (10, 14.5, 14.8), (11, 16.0, 16.8),
    (12, 19.0, 18.5),
)  # fmt: skip


@pytest.mark.parametrize(("mph", "in_2011", "in_2024"), COMPENDIUM)
def test_the_equation_lies_a_little_over_the_tables(mph, in_2011, in_2024):
    """Equation and tables disagree by up to 16 %; the equation is the higher one."""
    found = mets(run_vo2(mph * METRES_PER_MINUTE_PER_MPH))
    for table in (in_2011, in_2024):
        assert 1.0 <= found / table <= 1.16


def test_a_pace_becomes_mets_where_the_equation_holds():
    assert run_mets(360) == pytest.approx(mets(run_vo2(166.667)), rel=1e-4)
    assert run_mets(20 * 60) is None
    with pytest.raises(ValueError, match="80 m/min"):
        run_vo2(60)


def test_two_trials_give_speed_and_reserve():
    """1600 m in 360 s and 3200 m in 780 s: 3.8095 m/s, 228.571 m, 5000 m in 1252.5 s (computed
    for the evidence table; rounding the speed first would give 1252.3)."""
    found = two_trials((1600, 360), (3200, 780))
    assert found is not None
    assert found.critical_speed == pytest.approx(3.8095, abs=5e-5)
    assert found.reserve_m == pytest.approx(228.571, abs=5e-4)
    assert (5000 - found.reserve_m) / found.critical_speed == pytest.approx(1252.5)


def test_the_published_means_come_back():
    """Kordi M et al. 2019: 4.94 m/s and 123.3 m over 3600, 2400 and 1200 m."""
    times = {m: (m - 123.3) / 4.94 for m in (3600, 2400, 1200)}
    assert times[3600] == pytest.approx(703.785, abs=5e-4)
    found = two_trials((3600, times[3600]), (1200, times[1200]))
    assert found is not None
    assert found.critical_speed == pytest.approx(4.94)
    assert found.reserve_m == pytest.approx(123.3)
    assert (2400 - found.reserve_m) / found.critical_speed == pytest.approx(460.870, abs=5e-4)


def test_trials_that_the_model_does_not_hold_for_are_refused():
    assert two_trials((400, 70), (3200, 780)) is None
    assert two_trials((3200, 780), (10_000, 3000)) is None
    assert two_trials((3200, 360), (1600, 780)) is None


def test_the_desk_page_cites_them_with_their_caveats():
    from datetime import date

    from sitegen.coach.desk_page import _physiology
    from sitegen.rules.log import sessions
    from support import case_of

    client = """
    name: Ada Trial
    screening: {on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}
    baseline:
      {on: 2027-01-02, cadence: 164 spm, pace: 6:00 /km, week: 120 min, longest: 45 min, runs: 3}
    week: {tue: {}, thu: {}, sun: {}}
    plan: {from: 2027-01-04, weeks: 8}
    """
    log = """
    - {on: 2027-01-12, ran: 6 min, distance: 1600 m, effort: 10}
    - {on: 2027-01-14, ran: 13 min, distance: 3200 m, effort: 10}
    """
    case = case_of(client, log)
    said = list(_physiology(case, sessions(case, date(2027, 1, 20))))
    assert said[0].startswith("At the baseline's pace running costs about 11 times rest")
    assert "critical speed of 3.81 m/s and a reserve of 229 m" in said[1]
    assert "noisy" in said[1]
