"""What all commands have in common: options, refusals in words or JSON, the exit status.

A command is a function beside what it does, under `command` and its options; it returns its exit
status. `sitegen.cli` finds it by name.
"""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from sitegen import locking
from sitegen.terminal.output import say_json, say_waiting, telling, warn, warn_of

if TYPE_CHECKING:
    from sitegen.model.problem import Problem
    from sitegen.terminal.progress import Show

Decorated = TypeVar("Decorated", bound=Callable[..., Any])
Nothing = Callable[..., Mapping[str, Any]]


class Command(click.Command):
    """A command, and what is so once it was stopped; empty where it only reads."""

    stopped = ""

    def make_context(self, *given: Any, **how: Any) -> click.Context:
        with telling():  # its help is printed by click
            return super().make_context(*given, **how)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        given = list(args)
        try:
            return super().parse_args(ctx, args)
        except click.NoSuchOption as slip:
            text = next((one for one in given if one.startswith(slip.option_name)), "")
            takes_text = any(param.name == "text" for param in self.params)
            if not (any(map(str.isspace, text)) or (takes_text and not slip.possibilities)):
                raise
            hint = f'A text that begins with a dash stands last, after --: -- "{text}"'
            raise click.UsageError(f"{slip.format_message()} {hint}", ctx) from None


def command(
    *, examples: str, stopped: str = "", nothing: Nothing | None = None
) -> Callable[[Callable[..., int | None]], Command]:
    """Make a function a command: its result is the status, 0 for None.

    Each takes the practice's folder, the site's and the day; where one has no meaning it is no
    error, and its help is silent on it. It ends with a sentence where the world refuses, and as
    wrong usage (`click.UsageError`) where somebody or something was named that is not there.

    Args:
        examples: Lines for the end of its help.
        stopped: What is so after Ctrl-C.
        nothing: Gives what it prints with ``--json`` where it did nothing, from the same
            arguments; the problems are put in. Without it the list of problems is all.
    """

    def made(work: Callable[..., int | None]) -> Command:
        own = {param.name for param in getattr(work, "__click_params__", ())}
        spare = [name for name in EVERYWHERE if name not in own]

        @functools.wraps(work)
        def run(**given: Any) -> None:
            from sitegen.practice.opening import NotThere
            from sitegen.world import Refused

            for name in spare:
                del given[name]
            locking.tell_waiting = say_waiting
            try:
                status = work(**given)
            except NotThere as error:
                raise click.UsageError(str(error)) from None
            except Refused as error:
                status = 1
                if given.get("as_json"):
                    refused = problem(given["clients"], str(error))
                    say_json_or_warn(with_problems([refused], nothing and nothing(**given)), True)
                else:
                    warn(f"sitegen: {error}")
            sys.exit(status or 0)

        for name in spare:
            EVERYWHERE[name](run)
        # With \b before it, the help keeps lines and columns as they are here.
        found: Command = click.command(cls=Command, epilog=f"\b\n{examples}")(run)
        found.stopped = stopped
        for param in found.params:
            if isinstance(param, click.Option) and param.name in spare:
                param.hidden = True
        return found

    return made


def problem(where: Path, message: str, code: str = "refused") -> Problem:
    """A problem of a whole file or folder, at its first line."""
    from sitegen.model.problem import Origin, Problem

    return Problem(Origin(where.as_posix()), message, "", code)


def with_problems(problems: Iterable[Problem], nothing: Mapping[str, Any] | None = None) -> Any:
    """The JSON of a command that could not do its work."""
    listed = [p.as_json() for p in problems]
    return listed if nothing is None else {**nothing, "done": False, "problems": listed}


def say_json_or_warn(value: Any, as_json: bool) -> None:
    """Print JSON, or problems as lines."""
    if as_json:
        say_json(value)
    else:
        warn_of(value)


def fail(
    problems: Iterable[Problem], as_json: bool, nothing: Mapping[str, Any] | None = None
) -> int:
    """Say what is wrong. Returns the exit status."""
    say_json_or_warn(with_problems(problems, nothing) if as_json else problems, as_json)
    return 1


def usage_if_nobody(problems: Iterable[Problem]) -> None:
    """A client who is not there was named: that is wrong usage, in every command.

    Raises:
        UsageError: as said.
    """
    for found in problems:
        if found.code == "no-client":
            raise click.UsageError(found.message)


@contextmanager
def progress() -> Iterator[Show]:
    """What is being done, on a terminal; the line is gone when it is done."""
    from sitegen.terminal import progress as shown

    with shown.progress_line(sys.stderr) as show:
        yield show


# --- options ----------------------------------------------------------------------------------


class DateParam(click.ParamType):  # type: ignore[type-arg]  # no type before click 8.4 takes one
    """A date on the command line."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        if isinstance(value, date):
            return value
        try:
            if len(value) != len("2027-01-18") or "W" in value.upper():  # other ways to write ISO
                raise ValueError
            found = date.fromisoformat(value)
        except ValueError:
            self.fail(f"{value!r} is not a date; write year-month-day, like 2027-01-18", param, ctx)
        from sitegen.model.kinds.days import YEARS

        first, last = YEARS
        if not first <= found.year <= last:
            self.fail(f"{value} is out of range; years go from {first} to {last}", param, ctx)
        return found


def clients_option(work: Decorated) -> Decorated:
    """``--clients``: the practice's folder."""
    return click.option(
        "--clients",
        type=click.Path(file_okay=False, path_type=Path),
        default=Path("clients"),
        show_default=True,
        help="The practice's folder.",
    )(work)


def out_option(work: Decorated) -> Decorated:
    """``--out``: the folder of the built site."""
    return click.option(
        "--out",
        type=click.Path(file_okay=False, path_type=Path),
        default=Path("public"),
        show_default=True,
        help="The folder of the built site.",
    )(work)


def as_of_option(work: Decorated) -> Decorated:
    """``--as-of``: the day that plans are as of; None for today."""
    return click.option(
        "--as-of",
        type=DateParam(),
        help="Plan as of this day; default: today, where the client is.",
    )(work)


def json_option(work: Decorated) -> Decorated:
    """``--json``: one JSON value in place of text."""
    return click.option("--json", "as_json", is_flag=True, help="Print JSON.")(work)


EVERYWHERE = {"clients": clients_option, "out": out_option, "as_of": as_of_option}
