"""Finds each command beside its doer, and ends the process: exit status, Ctrl-C, faults.

`COMMANDS` names where each is; nothing of it is loaded before it is asked for. With ``--json``
standard output is one JSON value and nothing else, whether the status is 0 or 1; docs/json.md has
the shapes.
"""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator, Mapping, Sequence
from importlib import import_module
from typing import Any, NamedTuple

import click
from click.shell_completion import CompletionItem

from sitegen import __version__
from sitegen.terminal.output import (
    LOST,
    OutputLost,
    echo,
    give_up,
    harmless,
    open_closed,
    speak_anywhere,
    telling,
    warn,
)


class Place(NamedTuple):
    """Where a command is, and the line about it in the list of all."""

    module: str
    short_help: str


LISTED_UNDER = {
    "Begin": ("intake", "check", "link", "links", "schema"),
    "Take in": ("receive", "alarms", "answer"),
    "Look": (
        "sheet", "remind", "history", "roster", "desk", "weeks", "why", "compare", "sessions",
        "rules",
    ),
    "Decide": (
        "keep", "lighter", "same", "move", "swap", "rest", "put", "word", "lift", "away", "set",
        "copy", "house", "undo",
    ),
    "Out": ("build", "preview", "publish"),
    "Leave": ("export", "erase"),
}  # fmt: skip
"""How the list of all is parted; each command stands in one."""


COMMANDS = {
    "alarms": Place("sitegen.coach.alarm_commands", "What needs your answer, most urgent first."),
    "answer": Place("sitegen.coach.alarm_commands", "Note what you did about an alarm."),
    "away": Place("sitegen.coach.act_commands", "Note a holiday, for one or a group."),
    "build": Place("sitegen.site.commands", "Check everything, then write the site."),
    "check": Place("sitegen.site.commands", "Tell every problem of the practice, or of some."),
    "compare": Place("sitegen.coach.compare_command", "Show two plans side by side."),
    "copy": Place("sitegen.coach.template_commands", "Copy weeks of one client to another."),
    "desk": Place("sitegen.desk.commands", "Do the evening's work on one page, here."),
    "erase": Place("sitegen.coach.commands", "Remove a client's file, log and link."),
    "export": Place("sitegen.coach.commands", "Write all that is kept of one client."),
    "history": Place("sitegen.coach.history_command", "One client on one line of time."),
    "house": Place("sitegen.coach.act_commands", "Change a house rule for all clients."),
    "intake": Place("sitegen.coach.commands", "Ask for what a new client's file needs."),
    "keep": Place("sitegen.coach.act_commands", "Keep a week as the client saw it."),
    "lift": Place("sitegen.coach.act_commands", "End a stop, once the client was seen."),
    "lighter": Place("sitegen.coach.act_commands", "Make a week lighter."),
    "link": Place("sitegen.coach.commands", "Show a client's private link and its QR code."),
    "links": Place("sitegen.coach.out_commands", "All links with their codes, to print."),
    "move": Place("sitegen.coach.act_commands", "Move a session to another day."),
    "preview": Place("sitegen.coach.commands", "Build, serve here, rebuild and reload on change."),
    "publish": Place("sitegen.publish.commands", "Upload what changed, and remove what is gone."),
    "put": Place("sitegen.coach.act_commands", "Put a session of the library on a day."),
    "receive": Place("sitegen.checkins.commands", "Take check-ins into the logs."),
    "remind": Place("sitegen.coach.out_commands", "A message to each who was not heard from."),
    "rest": Place("sitegen.coach.act_commands", "Make a day or a week one of rest."),
    "roster": Place("sitegen.coach.commands", "One line a client: who needs the coach first."),
    "rules": Place("sitegen.coach.commands", "Print the rule book."),
    "same": Place("sitegen.coach.act_commands", "Give a week the minutes of the one before."),
    "schema": Place("sitegen.coach.commands", "Print a JSON Schema, for an editor."),
    "sessions": Place("sitegen.coach.template_commands", "List what can be put on a day."),
    "set": Place("sitegen.coach.act_commands", "Change a setting of a client's file."),
    "sheet": Place("sitegen.coach.commands", "Each client's week behind and week ahead."),
    "swap": Place("sitegen.coach.act_commands", "Let two days change places."),
    "undo": Place("sitegen.coach.act_commands", "Take the last act back."),
    "weeks": Place("sitegen.coach.commands", "Show a client's expanded weeks."),
    "why": Place("sitegen.coach.commands", "Tell every decision and the line behind it."),
    "word": Place("sitegen.coach.act_commands", "Add a word to the client."),
}
FAULT = 70  # EX_SOFTWARE of sysexits.h

STATUSES = """\
\b
Exit status:
  0    all well; there may be warnings
  1    something that you can mend; the message says what
  2    the command was written wrongly, or names a client who is not there
  3    of alarms: one is open
  70   a fault of the tool itself; --debug before the command shows where
  74   what it had to tell could not be written: a full disk, a closed pipe
  130  stopped with Ctrl-C; what is kept is whole
"""


class Beside(Mapping[str, click.Command]):
    """The commands by name; each is loaded when it is asked for."""

    def __getitem__(self, name: str) -> click.Command:
        found: click.Command = getattr(import_module(COMMANDS[name].module), name)
        return found

    def __iter__(self) -> Iterator[str]:
        return iter(COMMANDS)

    def __len__(self) -> int:
        return len(COMMANDS)


class Commands(click.Group):
    """The table of commands; suggests the nearest for a slip of the keyboard."""

    _is_process = False

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        for title, names in LISTED_UNDER.items():
            with formatter.section(title):
                formatter.write_dl(
                    [(name, COMMANDS[name].short_help) for name in names], col_max=10, col_spacing=2
                )

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """The names, from the table: a shell asks at each press of a key."""
        found = [
            CompletionItem(name, help=place.short_help)
            for name, place in COMMANDS.items()
            if name.startswith(incomplete)
        ]
        return found + click.Command.shell_complete(self, ctx, incomplete)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            import difflib

            found = difflib.get_close_matches(args[0], COMMANDS, n=1)
            if found and "Did you mean" not in error.message:
                raise click.UsageError(f"{error.message} Did you mean {found[0]}?", ctx) from None
            raise

    def main(self, args: Sequence[str] | None = None, *rest: Any, **how: Any) -> Any:
        """Without ``args`` the command line of this process is meant, which ends with it."""
        self._is_process = args is None
        if self._is_process:
            _quick_start()
            open_closed()
            speak_anywhere()
        try:
            with telling():
                return super().main(args, *rest, **how)
        except OutputLost as lost:  # help, or the version
            _tell_once(f"sitegen: {lost}" if lost.is_told else "")
        sys.exit(LOST)

    def make_context(self, *given: Any, **how: Any) -> click.Context:
        with telling():  # help and the version are printed by click
            return super().make_context(*given, **how)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command. Ctrl-C ends it with one sentence, once all is tidied up."""
        from sitegen.terminal.stopping import status_of, stoppable

        with stoppable(to_the_end=self._is_process):
            try:
                return super().invoke(ctx)
            except KeyboardInterrupt as interrupt:
                status = status_of(interrupt)
                whole = _stopped(self, ctx)
                told = f"sitegen: stopped{f'; {whole}' if whole else ''}"
            except OutputLost as lost:
                status, told = LOST, f"sitegen: {lost}" if lost.is_told else ""
            except click.ClickException as wrong:
                vars(wrong)["message"] = harmless(wrong.message)  # click prints it
                raise
            except (click.exceptions.Exit, click.Abort):
                raise
            except Exception as fault:
                if ctx.params["debug"]:
                    raise
                status = FAULT
                told = (
                    f"sitegen: a fault of the tool itself ({type(fault).__name__}), none of yours; "
                    f"what is kept is whole. To see where: sitegen --debug {ctx.invoked_subcommand}"
                )
            # Out here the interrupt is let go of, and with it whatever work it broke off.
            _tell_once(told)
        sys.exit(status)


def _tell_once(text: str) -> None:
    """The last word, where it can be told."""
    give_up()
    if text:
        with contextlib.suppress(OutputLost):
            warn(text)
    give_up()


def _stopped(group: Commands, ctx: click.Context) -> str:
    return getattr(group.get_command(ctx, ctx.invoked_subcommand or ""), "stopped", "")


def _quick_start() -> None:
    """Settings of a process that lives for one command."""
    import gc
    import os

    from sitegen.terminal.zones import use_newest_zones

    use_newest_zones()
    # What is loaded stays until the end: looking through it a hundred times finds nothing to free.
    # Five times as much between two looks leaves 26 MB more in each process of a thousand clients.
    gc.set_threshold(10_000, 10, 100)
    # Looking for plugins reads about every installed package; and none may change what we read.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")


def _tell_version(ctx: click.Context, _param: click.Parameter, is_asked: bool) -> None:
    if is_asked and not ctx.resilient_parsing:
        from sitegen.terminal.zones import zones_told

        echo(f"sitegen, version {__version__}; time zones {zones_told()}")
        ctx.exit()


@click.group(
    cls=Commands,
    commands=Beside(),
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
    epilog=STATUSES,
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_tell_version,
    help="Show the version and exit.",
)
@click.option("--debug", is_flag=True, help="Show where a fault of the tool itself came about.")
def main(debug: bool) -> None:
    """Running plans in YAML, expanded by rules into a private site for each client."""
