"""From points to a run's numbers, and what a step rate in a file means. Pure.

The coach's half of ``views/checkin/run_sum.js``, step by step; `LIMITS` is one source for both.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from sitegen.portal.run_file import LIMITS

RunNote = Mapping[str, Any]
"""A sentence's ``code``, and the values that stand in it."""


class RunUnread(Exception):
    """Nothing can be read of a file. ``told`` says why."""

    def __init__(self, code: str, **values: object) -> None:
        super().__init__(code)
        self.told: RunNote = {"code": code, **values}


class Position(NamedTuple):
    """Degrees of the World Geodetic System, north and east."""

    lat: float
    lon: float


class RunRead(NamedTuple):
    """One run of a file: whole seconds, metres, seconds a km, steps a minute of both feet.

    ``start`` is the local date and time, or the date alone, or None. ``steps`` is ``both``,
    ``doubled``, ``unclear`` or ``none``, ``steps_raw`` what the file has. ``running_s`` is None
    where walking can't be told from running. ``asks`` says why it is asked about and not taken.
    """

    start: str | None
    moving_s: int
    elapsed_s: int
    metres: int | None
    pace_s: int | None
    spm: int | None
    steps: str
    steps_raw: int
    running_s: int | None
    notes: tuple[RunNote, ...]
    asks: RunNote | None


@dataclass(slots=True)
class TrackPiece:
    """What lies between two breaks of a recording. Times in ms and seconds, ways in metres."""

    start: int
    end: int
    moving: float = 0.0
    metres: float = 0.0
    leaps: int = 0
    fast: float = 0.0
    gaps: float = 0.0
    rates: dict[int, float] = field(default_factory=dict)


def rounded(number: float) -> int:
    """To the nearest whole number, halves up."""
    return math.floor(number + 0.5)


def metres_between(one: Position, other: Position) -> float:
    """Along the great circle, by the haversine formula."""
    turn = math.pi / 180
    up = math.sin((other.lat - one.lat) * turn / 2)
    along = math.sin((other.lon - one.lon) * turn / 2)
    share = up * up + math.cos(one.lat * turn) * math.cos(other.lat * turn) * along * along
    return 2 * LIMITS["earth_m"] * math.asin(min(1.0, math.sqrt(share)))


@dataclass(slots=True)
class _Window:
    """What is not judged yet: metres and seconds since ``begun``, and step rates with theirs."""

    begun: Position | None
    path: float = 0.0
    seconds: float = 0.0
    rates: list[tuple[int, float]] = field(default_factory=list)


class Points:
    """Points of one recording, in pieces; nothing of a place is kept but the last ones."""

    def __init__(self) -> None:
        self.pieces: list[TrackPiece] = []
        self.left_out = 0
        self._piece: TrackPiece | None = None
        self._last: tuple[int, Position | None, float] = (0, None, 0.0)
        self._window = _Window(None)

    def add(self, ms: int, place: Position | None, metres: float, rate: float | None) -> None:
        """A point at a time, with its place, or with metres counted from the start.

        Raises:
            RunUnread: The recording is in too many pieces.
        """
        if self._piece is None:
            if len(self.pieces) >= LIMITS["most_pieces"]:
                raise RunUnread("pieces", most=LIMITS["most_pieces"])
            self._piece = TrackPiece(ms, ms)
            self.pieces.append(self._piece)
            self._begin(ms, place, metres)
            return
        then, before, counted = self._last
        seconds = (ms - then) / 1000
        path = metres_between(before, place) if before and place else metres - counted
        if seconds <= 0 or path < 0:
            self.left_out += 1
            return
        self._piece.end = ms
        if path > LIMITS["leap_speed"] * seconds:  # no runner: the place leapt, or somebody rode
            self._judge(self._piece)
            self._piece.leaps += 1
            self._piece.fast += seconds
            self._begin(ms, place, metres)
            return
        if seconds >= LIMITS["window_s"]:  # a long step is judged by itself
            self._judge(self._piece)
            self._begin(*self._last)
        window = self._window
        window.path += path
        window.seconds += seconds
        if rate is not None:
            window.rates.append((rounded(rate), seconds))
        self._last = ms, place, metres
        if window.seconds >= LIMITS["window_s"]:
            self._judge(self._piece)
            self._begin(ms, place, metres)

    def cut(self) -> None:
        """A break, as between two segments of a track: neither time nor way counts across it."""
        if self._piece is not None:
            self._judge(self._piece)
        self._piece = None

    def is_forward(self) -> bool:
        """Whether any time follows on another."""
        return any(piece.end > piece.start for piece in self.pieces)

    def _begin(self, ms: int, place: Position | None, metres: float) -> None:
        self._last = ms, place, metres
        self._window = _Window(place)

    def _judge(self, piece: TrackPiece) -> None:
        window, place = self._window, self._last[1]
        if not window.seconds:
            return
        way = metres_between(window.begun, place) if window.begun and place else window.path
        if way < LIMITS["still_speed"] * window.seconds:
            return
        piece.moving += window.seconds
        piece.metres += window.path
        if window.path > LIMITS["fast_speed"] * window.seconds:
            piece.fast += window.seconds
        if window.seconds >= LIMITS["gap_s"]:
            piece.gaps += window.seconds
        for rate, seconds in window.rates:
            piece.rates[rate] = piece.rates.get(rate, 0.0) + seconds


class StepRate(NamedTuple):
    """How a file counts steps, and steps a minute of both feet while running, in seconds."""

    steps: str
    raw: int = 0
    spm: int | None = None
    running: float | None = None


def step_rate(rates: Mapping[int, float], speed: float) -> StepRate:
    """Whether a file counts one foot or both, by where running and walking lie.

    Args:
        rates: Seconds by step rate, as the file has it.
        speed: Metres a second while moving; 0 where it is not known.
    """
    told = sorted((rate, seconds) for rate, seconds in rates.items() if rate > 0)
    if not told:
        return StepRate("none")
    raw = _rate_at(told, LIMITS["high_share"])
    times = 0
    if LIMITS["run_spm"] <= raw <= LIMITS["most_spm"]:
        times = 1
    elif 2 * raw >= LIMITS["run_spm"] and raw <= LIMITS["one_foot_spm"]:
        times = 0 if raw >= LIMITS["walk_spm"] and speed < LIMITS["sure_speed"] else 2
    low, high = LIMITS["run_spm"], LIMITS["most_spm"]
    kept = [(times * rate, seconds) for rate, seconds in told if low <= times * rate <= high]
    running = sum(seconds for _, seconds in kept)
    if not times or not running:
        return StepRate("unclear", raw)
    steps = sum(rate * seconds for rate, seconds in kept)
    return StepRate("doubled" if times == 2 else "both", raw, rounded(steps / running), running)


def _rate_at(told: Sequence[tuple[int, float]], share: float) -> int:
    all_of_it = sum(seconds for _, seconds in told)
    passed = 0.0
    for rate, seconds in told:
        passed += seconds
        if passed >= share * all_of_it:
            return rate
    return 0


def asked_of(moving: float, elapsed: float, metres: float | None, fast: float) -> RunNote | None:
    """Why a run's numbers, in seconds and metres, are asked about; None where nothing is odd."""
    if moving < LIMITS["least_s"]:
        return {"code": "short"}
    if elapsed > LIMITS["most_s"] or (metres or 0) > LIMITS["most_m"]:
        hours, km = LIMITS["most_s"] // 3600, LIMITS["most_m"] // 1000
        return {"code": "long", "hours": hours, "km": km}
    if fast >= LIMITS["fast_s"]:
        return {"code": "part-ride", "minutes": rounded(fast / 60)}
    if not metres:
        return None
    pace = moving / (metres / 1000)
    if pace < LIMITS["ride_pace"]:
        return {"code": "ride", "pace": rounded(pace)}
    return {"code": "slow", "pace": rounded(pace)} if pace > LIMITS["swim_pace"] else None


def run_of(
    start: str | None,
    moving: float,
    elapsed: float,
    metres: float | None,
    rates: Mapping[int, float],
    fast: float,
    notes: Sequence[RunNote],
) -> RunRead:
    """One run as both readers give it, from seconds, metres and seconds by step rate."""
    rate = step_rate(rates, metres / moving if metres else 0.0)
    is_sure = rate.running is not None and (sum(rates.values()) >= LIMITS["rated_share"] * moving)
    far = rounded(metres) if metres else None
    return RunRead(
        start, rounded(moving), rounded(elapsed), far,
        rounded(moving / (metres / 1000)) if metres and far and moving else None,
        rate.spm, rate.steps, rate.raw,
        rounded(rate.running) if rate.running is not None and is_sure else None,
        tuple(notes), asked_of(moving, elapsed, metres, fast),
    )  # fmt: skip


def runs_of(
    points: Points,
    start_of: Callable[[int], str | None],
    more: Sequence[RunNote],
    bad: int = 0,
) -> list[RunRead]:
    """A recording's runs: pieces in the order of time, a new run after a long pause.

    Args:
        points: Of the recording.
        start_of: The local date and time of milliseconds; None where the file says no day.
        more: Notes on the whole file.
        bad: The count of points that could not be read.

    Raises:
        RunUnread: There are too many runs.
    """
    points.cut()
    groups: list[list[TrackPiece]] = []
    end: int | None = None
    twice = False
    for piece in sorted(points.pieces, key=lambda one: (one.start, -one.end)):
        if end is not None and piece.start < end:
            twice = True
            continue
        if end is None or piece.start - end > LIMITS["apart_s"] * 1000:
            groups.append([])
        groups[-1].append(piece)
        end = piece.end
    if len(groups) > LIMITS["most_runs"]:
        raise RunUnread("many-runs", most=LIMITS["most_runs"])
    left_out = points.left_out + bad
    found = []
    for group in groups:
        rates: dict[int, float] = {}
        for piece in group:
            for rate, seconds in piece.rates.items():
                rates[rate] = rates.get(rate, 0.0) + seconds
        leaps = sum(piece.leaps for piece in group)
        gaps = sum(piece.gaps for piece in group)
        notes = [
            *more,
            *([{"code": "left-out", "count": left_out}] if left_out else []),
            *([{"code": "overlap"}] if twice else []),
            *([{"code": "leaps", "count": leaps}] if leaps else []),
            *([{"code": "gaps", "minutes": rounded(gaps / 60)}] if gaps else []),
        ]
        found.append(
            run_of(
                start_of(group[0].start),
                sum(piece.moving for piece in group),
                (group[-1].end - group[0].start) / 1000,
                sum(piece.metres for piece in group),
                rates,
                sum(piece.fast for piece in group),
                notes,
            )
        )
    return found
