"""A run's own file as a letter: its runs become the entries of a check-in that nobody signed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sitegen.checkins.letters import Letter
from sitegen.checkins.limits import limited, why_unread
from sitegen.checkins.run_file import (
    Slice,
    entry_text,
    read_run_file,
    run_json,
    run_words,
    words_for,
)
from sitegen.checkins.run_gpx import Local
from sitegen.checkins.run_sum import RunNote, RunRead
from sitegen.model.problem import Origin, Problem

RUN_SECONDS = 60.0  # of processor time for one file; 50 MB of GPX take about 4
BY_HAND = "ask; if it is right, write it into the log yourself"


def run_letter(
    name: str, size: int, slice: Slice, local: Local | None, problems: list[Problem]
) -> Letter | None:
    """The letter that a run's file becomes; what is wrong with it goes to ``problems``.

    Args:
        name: The file's.
        size: Bytes.
        slice: Its bytes.
        local: The clock where the client is; None where nobody said whose the file is.
        problems: Those of all files.
    """
    origin = Origin(name)
    if local is None:
        wrong, hint = "a run's file doesn't say whose it is", "receive it with --for and that id"
        problems.append(Problem(origin, wrong, hint, "checkin-foreign"))
        return None
    try:
        with limited(RUN_SECONDS):
            runs, told = read_run_file(size, slice, local)
    except Exception as error:  # whatever a reader makes of what strangers send
        wrong = f"this file can't be read: {why_unread(error)}"
        problems.append(Problem(origin, wrong, "export it again", "checkin-run"))
        return None
    if told is not None:
        problems.append(_problem(name, told, ""))
    problems += [_problem(name, run.asks, _day_of(run)) for run in runs if run.asks]
    sure = [run for run in runs if run.asks is None]
    dayless = "the file doesn't say which day it was"
    problems += [Problem(origin, dayless, BY_HAND, "checkin-run") for run in sure if not run.start]
    entries = [entry_text(run) for run in sure if run.start]
    if not runs:
        return None
    text = "\n".join(["Check-in ?", *entries, ""]) if entries else ""
    return Letter(name, text, runs=tuple(runs))


def _day_of(run: RunRead) -> str:
    return f"the run of {run.start[:10]}: " if run.start else ""


def _problem(name: str, told: RunNote, before: str) -> Problem:
    """A sentence of the page's as a problem: what is wrong, then what to do."""
    first, _, rest = words_for(told).rstrip(".").partition(". ")
    wrong, hint = (f"{text[:1].lower()}{text[1:]}" for text in (first, rest))
    hint = BY_HAND if before else hint
    return Problem(Origin(name, told.get("line", 1)), f"{before}{wrong}", hint, "checkin-run")


def run_lines(letters: Sequence[Letter], id: str) -> list[str]:
    """What runs' files tell, a line each for the coach, and what no file tells."""
    told = [f"{letter.name}: {run_words(run)}" for letter in letters for run in letter.runs]
    silent = f"{id}: no file tells of pain, effort or signs: ask {id}"
    return [*told, *([silent] if told else [])]


def runs_json(letters: Sequence[Letter]) -> list[Mapping[str, Any]]:
    """The same for ``receive --json``."""
    return [run_json(run, letter.name) for letter in letters for run in letter.runs]
