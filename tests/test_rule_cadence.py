"""A slightly quicker step rate, in small steps of the runner's own baseline."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest

from generated import runner
from support import plan_of


def aims(own: int, cadence: str = "", more: str = "", weeks: int = 24) -> list[int]:
    """The aim of each week where minutes hardly rise: growth of 5 %, 150 min a week."""
    text = runner(
        baseline=f"{{on: 2027-01-04, cadence: {own} spm, pace: 6:30 /km, week: 150 min, "
        "longest: 50 min, runs: 4}",
        plan=f"{{from: 2027-01-04, weeks: {weeks}, growth: 5 %}}",
        more=(f"cadence: {{{cadence}}}\n" if cadence else "") + more,
    )
    return [w.cadence.aim for w in plan_of(text).weeks]


def rises(found: list[int]) -> list[int]:
    return [above - below for below, above in pairwise(found) if above != below]


def test_without_an_aim_towards_170() -> None:
    found = aims(160)

    assert found[0] == 160
    assert found[-1] == 170
    assert set(rises(found)) <= {4, 2}  # 3 % of 160 is 4.8


@pytest.mark.parametrize("own", [170, 171, 185])
def test_from_170_on_the_step_rate_stays(own: int) -> None:
    assert set(aims(own)) == {own}


@pytest.mark.parametrize(("own", "top"), [(150, 165), (154, 169), (155, 170), (148, 162)])
def test_never_over_a_tenth_above_baseline(own: int, top: int) -> None:
    assert aims(own)[-1] == top


def test_the_coachs_aim_is_never_passed() -> None:
    assert aims(160, "aim: 166 spm")[-1] == 166


def test_nor_is_the_ceiling_for_the_coachs_aim() -> None:
    assert aims(160, "aim: 190 spm")[-1] == 176


def test_keep_keeps() -> None:
    assert set(aims(150, "aim: keep")) == {150}


@pytest.mark.parametrize(("step", "most"), [("1 %", 1), ("2 %", 3), ("5 %", 8)])
def test_the_aim_rises_by_a_step_of_baseline(step: str, most: int) -> None:
    assert max(rises(aims(160, f"step: {step}"))) == most


def test_a_step_under_one_whole_step_never_becomes_more_than_the_file_says() -> None:
    """0.5 % of 160 is 0.8 spm: the aim may rise by a whole step only once it is due."""
    found = aims(160, "step: 0.5 %", weeks=24)
    climbed = found[-1] - 160
    weeks_with_a_rise = max(24 // 3, 1)

    assert climbed <= weeks_with_a_rise * 0.8


@pytest.mark.parametrize("hold", [1, 2, 4, 8])
def test_then_it_is_held(hold: int) -> None:
    found = aims(150, f"hold: {hold}")
    rose = [i for i, (a, b) in enumerate(pairwise(found)) if b > a]

    assert rose
    assert all(b - a > hold for a, b in pairwise(rose))


@pytest.mark.parametrize("minutes", ["{during: 4}", "{during: 6}"])
def test_it_does_not_rise_while_pain_holds(minutes: str) -> None:
    log = f"[{{on: 2027-01-05, ran: 40 min, pain: {minutes}}}]"
    plan = plan_of(runner(), log, "2027-01-06")

    assert {w.cadence.aim for w in plan.weeks} == {160}


def test_it_does_not_rise_in_a_week_that_grows_by_more_than_a_tenth() -> None:
    text = runner(plan="{from: 2027-01-04, weeks: 12, growth: 30 %}")
    weeks = plan_of(text).weeks
    for before, week in pairwise(weeks):
        if week.cadence.aim > before.cadence.aim:
            assert week.run_minutes <= before.run_minutes * 1.10


def test_it_never_falls_while_a_client_is_back_from_illness() -> None:
    log = "[{on: 2027-01-05, ran: 40 min}]"
    found = [w.cadence.aim for w in plan_of(runner(), log, "2027-02-15").weeks]

    assert found == sorted(found)


def test_the_band_is_told_around_the_aim() -> None:
    for week in plan_of(runner()).weeks:
        assert week.cadence.low < week.cadence.aim < week.cadence.high


def test_beat_minutes_begin_as_short_repeats_and_grow() -> None:
    text = runner(
        baseline="{on: 2027-01-04, cadence: 150 spm, pace: 6:30 /km, week: 200 min, "
        "longest: 60 min, runs: 4}",
        plan="{from: 2027-01-04, weeks: 12, growth: 5 %}",
        more="cadence: {hold: 8}",
    )
    beats = [
        (w.number, p.minutes, p.repeat)
        for w in plan_of(text).weeks
        for s in w.sessions
        for p in s.parts
        if p.kind == "beat"
    ]

    assert beats[0][1] == 1 and beats[0][2] > 1
    assert max(m for _, m, _ in beats) > 1
    assert all(
        p.cadence_spm == w.cadence.aim
        for w in plan_of(text).weeks
        for s in w.sessions
        for p in s.parts
        if p.kind == "beat"
    )


def test_beat_minutes_fade_as_the_log_shows_that_the_aim_is_held() -> None:
    text = runner(
        baseline="{on: 2027-01-04, cadence: 150 spm, pace: 6:30 /km, week: 200 min, "
        "longest: 60 min, runs: 4}",
        plan="{from: 2027-01-04, weeks: 12, growth: 5 %}",
        more="cadence: {hold: 8}",
    )
    planned = plan_of(text)

    def beat_minutes(held: int) -> float:
        """In week 5, after ``held`` runs at the aim, those before them slower."""
        runs = [s for s in planned.sessions if s.is_run and s.on.isoformat() < "2027-02-01"]
        log = [
            {
                "on": s.on.isoformat(),
                "ran": f"{s.run_minutes:g} min",
                "cadence": f"{planned.weeks[3].cadence.aim if i >= len(runs) - held else 140} spm",
            }
            for i, s in enumerate(runs)
        ]
        week = plan_of(text, log, "2027-02-01").weeks[4]
        return sum(p.total_minutes for s in week.sessions for p in s.parts if p.kind == "beat")

    assert planned.weeks[3].cadence.aim > 150
    assert beat_minutes(0) == beat_minutes(2) > 0
    assert 0 < beat_minutes(4) <= beat_minutes(0) / 2
    assert beat_minutes(16) == 0


def test_standing_still_does_not_count_as_holding_the_aim() -> None:
    """Logged at the own 150 spm throughout: the beat minutes stay what they are without a log."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 150 spm, pace: 6:30 /km, week: 200 min, "
        "longest: 60 min, runs: 4}",
        plan="{from: 2027-01-04, weeks: 6, growth: 5 %}",
        more="cadence: {hold: 8}",
    )
    log = [
        {"on": s.on.isoformat(), "ran": f"{s.run_minutes:g} min", "cadence": "150 spm"}
        for s in plan_of(text).sessions
        if s.is_run and s.on.isoformat() < "2027-02-01"
    ]
    beats = [
        sum(p.total_minutes for s in plan.weeks[4].sessions for p in s.parts if p.kind == "beat")
        for plan in (plan_of(text), plan_of(text, log, "2027-02-01"))
    ]

    assert beats[1] >= beats[0] > 0


@pytest.mark.parametrize(
    "site", ["left hamstring", "hip flexor", "left calf", "Achilles", "gemelo derecho", "ingle"]
)
def test_recent_trouble_where_quicker_steps_load_more_holds_with_a_reason(site: str) -> None:
    log = f"[{{on: 2027-01-05, ran: 40 min, pain: {{during: 2, site: {site}}}}}]"
    quiet = "[{on: 2027-01-05, ran: 40 min, pain: {during: 2, site: left knee}}]"
    baseline = (
        "{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 150 min, "
        "longest: 50 min, runs: 4}"
    )
    text = runner(baseline=baseline, plan="{from: 2027-01-04, weeks: 4, growth: 5 %}")
    weeks = plan_of(text, log, "2027-01-06").weeks

    assert {w.cadence.aim for w in weeks[:3]} == {160}
    assert plan_of(text, quiet, "2027-01-06").weeks[2].cadence.aim > 160


@pytest.mark.parametrize("way", ["calf", "achilles", "kneecap-pain"])
def test_after_a_calf_or_an_achilles_the_rate_stays_unless_the_coach_writes_an_aim(
    way: str,
) -> None:
    """It rose in the first building week after the last step of coming back from a torn calf."""
    back = f"return: {{after: {way}, cleared_on: 2027-01-03, by: the physiotherapist}}"
    week, day = "{{ran: {m} min, effort: 2, cadence: 160 spm, pain: {{during: 0}}, on: {on}}}", 2
    log = ", ".join(
        week.format(m=20, on=(date(2027, 1, 5) + timedelta(day * n)).isoformat()) for n in range(30)
    )

    def highest(more: str) -> int:
        plan = plan_of(
            runner(more=more, plan="{from: 2027-01-04, weeks: 20}"), f"[{log}]", "2027-03-06"
        )
        return max(w.cadence.aim for w in plan.weeks)

    assert (highest(back) == 160) == (way != "kneecap-pain")
    assert highest(f"{back}\ncadence: {{aim: 166 spm}}") > 160


def test_a_tall_runner_at_an_ordinary_rate_keeps_it() -> None:
    assert set(aims(155, more="height: 195 cm")) == {155}
    assert aims(155, more="height: 170 cm")[-1] == 170


def test_steps_of_a_week_are_counted_at_the_rate_of_each_part() -> None:
    for week in plan_of(runner()).weeks:
        running = [p for s in week.sessions for p in s.parts if p.kind in ("run", "beat")]

        assert week.steps == round(sum(p.total_minutes * (p.cadence_spm or 160) for p in running))


def test_a_week_that_days_hold_is_not_said_to_rise_and_the_step_rate_does() -> None:
    """ "Minutes rise by more than a tenth" stood over 54 min after 54: it is the room that is more,
    in 141 of 312 weeks of 200 drawn plans; and the step rate waited for it all plan long."""
    days = "{mon: {}, tue: {up_to: 30 min}, fri: {up_to: 90 min}, sun: {}, long: tue}"
    weeks = plan_of(runner(week=days, plan="{from: 2027-01-04, weeks: 8}")).weeks
    for before, week in pairwise(weeks):
        says = " ".join(str(d.says) for d in week.decisions if d.rule == "cadence")
        assert ("Minutes rise" in says) <= (week.run_minutes > before.run_minutes * 1.10)

    assert weeks[1].run_minutes == weeks[2].run_minutes
    assert weeks[1].cadence.aim > weeks[0].cadence.aim


@pytest.mark.parametrize("cadence", [150, 160, 172])
@pytest.mark.parametrize("more", ["", "height: 195 cm", "cadence: {aim: 166 spm}"])
def test_a_client_reads_steps_a_minute_and_no_spm(cadence: int, more: str) -> None:
    """As in every other part of the page: who is new to running knows no "spm"."""
    baseline = (
        f"{{on: 2027-01-04, cadence: {cadence} spm, pace: 6:30 /km, week: 120 min, "
        "longest: 45 min, runs: 3}"
    )
    log = "[{on: 2027-01-05, ran: 40 min, cadence: 160 spm}]"
    plan = plan_of(runner(baseline=baseline, more=more), log, "2027-01-20")
    read = [str(d.says) for w in plan.weeks for d in w.decisions if d.rule == "cadence"]

    assert any("steps a minute" in said for said in read)
    assert not any("spm" in said for said in read)
