"""Regular expressions of numbers within bounds, for the schema of a coach's files.

An editor can't calculate: what a value may be has to stand in its pattern. Patterns are ECMA-262
without look-behind, as JSON Schema asks for (draft 2020-12, 6.4), and are held against the reader
by a test over values on either side of each bound.
"""

from __future__ import annotations


def whole_pattern(low: int, high: int) -> str:
    """Whole numbers from ``low`` to ``high``, leading zeros left out."""
    return f"(?:{'|'.join(_whole(low, high))})"


def _whole(low: int, high: int) -> list[str]:
    """Alternatives, by number of digits and then by the digits that two numbers share."""
    if low > high:
        return []
    if len(str(low)) < len(str(high)):
        end = 10 ** len(str(low)) - 1
        return [*_whole(low, end), *_whole(end + 1, high)]
    if low == high:
        return [str(low)]
    first, last = str(low), str(high)
    if len(first) == 1:
        return [f"[{first}-{last}]"]
    tail = len(first) - 1
    if first[0] == last[0]:
        rest = _same_width(first[1:], last[1:])
        return [f"{first[0]}{rest}"]
    return [_same_width(first, last)] if tail else []


def _same_width(low: str, high: str) -> str:
    """A pattern of all numbers of one width between two of that width, zeros in front kept."""
    if low == high:
        return low
    if len(low) == 1:
        return f"[{low}-{high}]"
    rest = len(low) - 1
    if low[0] == high[0]:
        return f"{low[0]}{_same_width(low[1:], high[1:])}"
    found: list[str] = []
    start, stop = int(low[0]), int(high[0])
    if low[1:] != "0" * rest:
        found.append(f"{low[0]}{_same_width(low[1:], '9' * rest)}")
        start += 1
    if high[1:] != "9" * rest:
        stop -= 1
    if start <= stop:
        digit = str(start) if start == stop else f"[{start}-{stop}]"
        found.append(f"{digit}{'[0-9]' * rest}")
    if high[1:] != "9" * rest:
        found.append(f"{high[0]}{_same_width('0' * rest, high[1:])}")
    return f"(?:{'|'.join(found)})"


def number_pattern(low: float, high: float, *, above_low: bool = False) -> str:
    """Numbers from ``low`` to ``high``, decimals too. Bounds have at most one decimal.

    With ``above_low`` the number ``low`` itself is left out.
    """
    first, last = int(low), int(high)
    zeros = r"(?:\.0{1,4})?"
    any_after, some_after = r"(?:\.[0-9]{1,4})?", r"\.[0-9]{0,3}[1-9][0-9]{0,3}"
    found: list[str] = []
    if low == first and above_low:
        found.append(f"0*{first}{some_after}")
        first += 1
    elif low != first:
        tenth = round((low - first) * 10)
        found.append(rf"0*{first}\.[{tenth}-9][0-9]{{0,3}}")
        first += 1
    if first <= last - 1:
        found.append(f"0*{whole_pattern(first, last - 1)}{any_after}")
    if high == last:
        found.append(f"0*{last}{zeros}")
    elif last >= first or last == int(low):
        tenth = round((high - last) * 10)
        found.append(rf"0*{last}(?:\.(?:[0-{tenth - 1}][0-9]{{0,3}}|{tenth}0{{0,3}}))?")
    return f"(?:{'|'.join(found)})"
