"""A run's own file: the limits by which it is read, and what is said of it.

One source for both readers: the device's (``views/checkin/run_*.js``, as ``portalParts.runFile``)
and the coach's (`sitegen.checkins.run_file`). docs/run-files.md tells what is read.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypedDict

from sitegen.model.sentence import N_


class Limits(TypedDict):
    """Seconds, metres, metres a second, steps a minute, seconds a km, bytes, shares, counts."""

    earth_m: float
    window_s: int
    still_speed: float
    gap_s: int
    leap_speed: float
    fast_speed: float
    fast_s: int
    apart_s: int
    least_s: int
    most_s: int
    most_m: int
    ride_pace: int
    swim_pace: int
    run_spm: int
    walk_spm: int
    one_foot_spm: int
    most_spm: int
    sure_speed: float
    high_share: float
    rated_share: float
    most_runs: int
    most_pieces: int
    most_bytes: int
    slice_bytes: int


LIMITS: Limits = {
    # Mean radius R1 of the Geodetic Reference System 1980, Moritz, Journal of Geodesy 2000;74:128.
    "earth_m": 6371008.7714,
    # Common practice, no source, for all times and speeds of this group. Moving is judged in
    # windows, as a place that stands still wanders by a metre or two.
    "window_s": 5,
    "still_speed": 0.5,
    "gap_s": 120,
    "leap_speed": 12.5,  # faster than anybody has run 100 m
    "fast_speed": 8.0,
    "fast_s": 60,
    "apart_s": 3 * 3600,  # between two runs of one file
    "least_s": 60,
    "most_s": 24 * 3600,  # the bounds of a duration, a distance and a pace in any file of a coach's
    "most_m": 200_000,
    "ride_pace": 150,
    "swim_pace": 1200,
    # Running begins near 140 steps a minute: study of preferred transition cadence, 2021. Where one
    # foot and both overlap is our judgement.
    "run_spm": 140,
    "walk_spm": 100,
    "one_foot_spm": 120,
    "most_spm": 240,
    "sure_speed": 2.5,
    "high_share": 0.9,
    "rated_share": 0.8,
    "most_runs": 400,
    "most_pieces": 10_000,
    "most_bytes": 64 * 1024 * 1024,
    "slice_bytes": 64 * 1024,
}

WRONG: Mapping[str, str] = {
    "empty": N_("The file is empty."),
    "large": N_("The file is larger than {most} MB."),
    "unreadable": N_("The file can't be opened. Choose it once more."),
    "encoding": N_("The file's letters can't be read here. Save it as UTF-8."),
    "packed": N_("This is a packed file. Unpack it, and choose the GPX or CSV file in it."),
    "web": N_("This is a web page, not the file itself. Download the file."),
    "other": N_("This is a recording in another form. Export the run as GPX or CSV."),
    "gpx-version": N_("This calls itself GPX, but it isn't GPX 1.1. Export it as GPX 1.1."),
    "doctype": N_(
        "The file carries declarations that no run needs, so it isn't read. Export it again."
    ),
    "broken": N_("The file is broken at line {line}, perhaps cut off. Export it again."),
    "no-track": N_("There is no track in this file, only places or a route drawn beforehand."),
    "no-times": N_("The track has no times. Export the run that was recorded, not its route."),
    "no-places": N_("No point of the track has a place that can be read."),
    "backwards": N_("The times in this file don't go forwards."),
    "pieces": N_("The recording is in more than {most} pieces."),
    "many-runs": N_("The file holds more than {most} runs. Choose one with fewer."),
    "csv-head": N_("The first line has to name the columns, like date;minutes;km."),
    "csv-columns": N_(
        "Columns are missing: a day and minutes, or times with places or a distance."
    ),
    "csv-twice": N_("The column “{text}” tells what another column tells too."),
    "csv-rows": N_("There is no run below the names of the columns."),
    "csv-quote": N_("Line {line}: a quotation mark doesn't fit."),
    "csv-day": N_("Line {line}: “{text}” is no day. Write it like 2027-02-10."),
    "csv-day-month": N_("Line {line}: “{text}” can be two days. Write it like 2027-02-10."),
    "csv-time": N_("Line {line}: “{text}” is no time. Write it like 18:30."),
    "csv-minutes": N_("Line {line}: “{text}” is no duration. Write it like 31:20 or 31 min."),
    "csv-minutes-unit": N_("Say what the duration is counted in, like “duration (min)”."),
    "csv-distance": N_("Line {line}: “{text}” is no distance. Write it like 5.2 km."),
    "csv-distance-unit": N_("Say what the distance is counted in, like “distance (km)”."),
    "csv-rate": N_("Line {line}: “{text}” is no step rate. Write it like 164."),
    "csv-place": N_("Line {line}: the place can't be read."),
}
"""Why nothing could be read of a file."""

RUN_ASKED: Mapping[str, str] = {
    "short": N_(
        "Less than a minute of moving. Indoors a device sees no way: write the minutes yourself."
    ),
    "long": N_("More than {hours} hours or {km} km in one go. Is the file of one run?"),
    "ride": N_("{pace} a km is the speed of a ride. If you ran it, write the numbers yourself."),
    "part-ride": N_(
        "For {minutes} min it has the speed of a ride, as in a car. Write yourself what you ran."
    ),
    "slow": N_("{pace} a km is slower than a walk. If you ran it, write the numbers yourself."),
}
"""Why a run's numbers are shown and not taken."""

NOTES: Mapping[str, str] = {
    "no-zone": N_("The file names no time zone: its clock is taken for yours."),
    "no-day": N_("The file doesn't say which day it was."),
    "left-out": N_("Points left out, as they don't fit in time or place: {count}."),
    "overlap": N_("A second recording of the same time was left out."),
    "leaps": N_("Leaps of the place that were left out: {count}."),
    "gaps": N_("For {minutes} min nothing was recorded: the straight way is counted."),
}
"""What there is to know about a run's numbers."""

RUN_STEPS: Mapping[str, str] = {
    "both": N_("The step rate counts both feet."),
    "doubled": N_("The file counts one foot ({raw} a minute), so the step rate is doubled."),
    "unclear": N_(
        "{raw} a minute may be one foot of a run or both of a walk: no step rate is taken."
    ),
}
"""How it was decided whether a file counts the steps of one foot or of both."""

RUN_PAGE: Mapping[str, str] = {
    "day": N_("{day}, {clock}"),
    "numbers": N_("{moving} min moving, {elapsed} min in all"),
    "way": N_("{km} {unit}, {pace} a {unit}"),
    "rate": N_("{spm} steps a minute"),
    "reading": N_("Reading …"),
    "filled": N_("Filled in under “{session}”. Change what isn't so."),
    "walks": N_(
        "The file can't tell running from walking: write the minutes that you ran yourself."
    ),
    "running": N_("By its steps, {minutes} min of it were running."),
    "far": N_("A check-in is for the last four weeks; this was on {date}."),
    "choose": N_("The file holds several runs. Which one?"),
    "warm": N_("Walking before and after counts in the minutes: take it off."),
    "gone": N_("Neither the file nor where you ran is kept."),
}
"""What the page says around a run's numbers."""


def words_of(gettext: Callable[[str], str]) -> dict[str, dict[str, str]]:
    """What the page's scripts say of a run's file, ``portalWords.runFile``, in one language."""
    groups = {
        "wrong": WRONG,
        "asks": RUN_ASKED,
        "notes": NOTES,
        "steps": RUN_STEPS,
        "page": RUN_PAGE,
    }
    return {
        group: {code: gettext(text) for code, text in words.items()}
        for group, words in groups.items()
    }


__all__ = ["LIMITS", "NOTES", "RUN_ASKED", "RUN_PAGE", "RUN_STEPS", "WRONG", "Limits", "words_of"]
