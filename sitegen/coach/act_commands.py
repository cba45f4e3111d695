"""The acts as commands: each shows what the week becomes, and writes after a yes."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from sitegen.terminal.command import (
    as_of_option,
    clients_option,
    command,
    fail,
    json_option,
    progress,
)
from sitegen.terminal.completion import client_ids
from sitegen.terminal.output import ask, echo, say_json, telling_of, warn, warn_of

if TYPE_CHECKING:
    from sitegen.coach.acting import CarriedOut
    from sitegen.model.problem import Problem

Decorated = TypeVar("Decorated", bound=Callable[..., Any])
stopped_act = "the file is whole, as it was or as it shall be; see sitegen undo --list"
WHY = "Why? Your client reads it"
NOBODY_ASKED = "Nothing was written: no yes was typed. With --yes it does not ask."
UNSAID = "(your reason)"  # where it is only shown


def nothing_done(**_: Any) -> dict[str, Any]:
    return {"done": False, "acts": [], "problems": []}


def act_options(work: Decorated) -> Decorated:
    """What every act has: whose, where, which day, and whether it is asked for a yes."""
    for option in (
        json_option,
        as_of_option,
        clients_option,
        click.option("--dry-run", is_flag=True, help="Only show what it would do."),
        click.option("--yes", is_flag=True, help="Don't ask: write it."),
    ):
        work = option(work)
    return work


def _because(work: Decorated) -> Decorated:
    return click.option("--because", help="Your reason; the client reads it, too.")(work)


def _week(work: Decorated) -> Decorated:
    return click.option(
        "--week", help="Its number, or a date in it; default: the one that begins next."
    )(work)


_whose = click.argument("whose", metavar="ID", shell_complete=client_ids)


def reason(because: str | None, how: Mapping[str, Any], like: str = "you travel that day") -> str:
    """The reason, asked for where somebody sits at a terminal; ``like`` is one that fits.

    Raises:
        UsageError: There is none, and one is needed.
    """
    if because is None and how["dry_run"]:
        return UNSAID
    if because is None and not how["yes"] and not how["as_json"] and _is_terminal():
        try:
            because = ask(WHY, default="", show_default=False)
        except EOFError:
            because = None
    if not because or not because.strip():
        raise click.UsageError(f'say why, like --because "{like}"')
    return because.strip()


def _is_terminal() -> bool:
    return sys.stdin is not None and sys.stdin.isatty()


def do_act(
    name: str,
    whose: str,
    *args: Any,
    clients: Path,
    as_of: date | None,
    yes: bool,
    dry_run: bool,
    as_json: bool,
) -> int:
    """Show what an act would do, ask, and do it; ``args`` are what the act takes."""
    from sitegen.acts import ACTS
    from sitegen.coach import acting
    from sitegen.practice.opening import list_practice

    listed = list_practice(clients)
    ids = acting.clients_meant(listed, whose)
    found = acting.propose(listed, ids, lambda known: ACTS[name](known, *args), as_of)
    if not as_json:
        for proposal in found.proposals:
            for line in acting.shown_lines(proposal):
                echo(line)
        warn_of(found.problems)
    writes = bool(found.proposals) and not dry_run and (yes or (not as_json and _is_yes()))
    done = acting.CarriedOut()
    if writes:
        done = acting.carry_out(clients, name, found.proposals)
    problems = _changed_since(clients, done)
    with telling_of("yet it was written" if done.ids else ""):
        if as_json:
            say_json(acting.proposed_json(bool(done.ids), found, problems))
        else:
            _tell_done(done, problems, dry_run, bool(found.proposals))
    refused = bool(found.problems or problems)
    return 1 if refused or not (done.ids or dry_run or as_json) else 0


def _changed_since(clients: Path, done: CarriedOut) -> list[Problem]:
    from sitegen.model.problem import Origin, Problem

    wrong = "this file was changed since it was shown, so nothing was written"
    hint = "look at both versions, and run this again"
    return [
        Problem(Origin((clients / one.name).as_posix()), wrong, hint, "act") for one in done.differs
    ]


def _tell_done(
    done: CarriedOut, problems: list[Problem], dry_run: bool, was_shown: bool = True
) -> None:
    """What was written, or why nothing was."""
    from sitegen.coach.acting import both_versions

    warn_of(problems)
    for differs in done.differs:
        warn("\n".join(both_versions(differs.name, differs.left, differs.now)))
    if done.ids:
        echo("Written. Build and publish to show it; sitegen undo takes it back.")
    elif was_shown and dry_run:
        echo("Only shown: nothing was written. Without --dry-run it asks, and writes after a yes.")
    elif was_shown:
        echo("Nothing was written." if _is_terminal() else NOBODY_ASKED)


def _is_yes(question: str = "Write it? [y/N]") -> bool:
    try:
        return ask(question, default="", show_default=False).strip().lower() in ("y", "yes")
    except EOFError:
        return False


@command(
    examples='sitegen keep mara --because "it goes well as it is"',
    stopped=stopped_act,
    nothing=nothing_done,
)
@_whose
@_week
@_because
@act_options
def keep(whose: str, week: str | None, because: str | None, **how: Any) -> int:
    """Keep a week at the minutes that the client last saw.

    ID is a client, or group:NAME for all of a group.
    """
    why = reason(because, how)
    return do_act("keep", whose, week, why, **how)


@command(
    examples='sitegen lighter mara --because "a hard week at work"\n'
    'sitegen lighter group:beginners --by 20 --because "heat"',
    stopped=stopped_act,
    nothing=nothing_done,
)
@_whose
@_week
@click.option("--by", help="How much less, like 20 %; default: as an easy week.")
@_because
@act_options
def lighter(whose: str, week: str | None, by: str | None, because: str | None, **how: Any) -> int:
    """Make a week lighter.

    ID is a client, or group:NAME for all of a group.
    """
    why = reason(because, how)
    return do_act("lighter", whose, week, why, by, **how)


@command(
    examples='sitegen same mara --because "once more before it grows"',
    stopped=stopped_act,
    nothing=nothing_done,
)
@_whose
@_week
@_because
@act_options
def same(whose: str, week: str | None, because: str | None, **how: Any) -> int:
    """Give a week the minutes of the one before it.

    ID is a client, or group:NAME for all of a group.
    """
    why = reason(because, how)
    return do_act("same", whose, week, why, **how)


@command(
    examples='sitegen move mara sun sat --because "the family comes on Sunday"',
    stopped=stopped_act,
    nothing=nothing_done,
)
@_whose
@click.argument("day")
@click.argument("to")
@_because
@act_options
def move(whose: str, day: str, to: str, because: str | None, **how: Any) -> int:
    """Move a day's session to another day.

    A day is a weekday like tue, the next one from tomorrow on, or a date.
    """
    why = reason(because, how)
    return do_act("move", whose, day, to, why, **how)


@command(
    examples='sitegen swap mara tue thu --because "the track is free on Thursday"',
    stopped=stopped_act,
    nothing=nothing_done,
)
@_whose
@click.argument("day")
@click.argument("other")
@_because
@act_options
def swap(whose: str, day: str, other: str, because: str | None, **how: Any) -> int:
    """Let two days change places.

    A day is a weekday like tue, the next one from tomorrow on, or a date.
    """
    why = reason(because, how)
    return do_act("swap", whose, day, other, why, **how)


@command(
    examples='sitegen rest mara tue --because "you travel that day"\n'
    'sitegen rest mara --week 7 --because "exams"',
    stopped=stopped_act,
    nothing=nothing_done,
)
@_whose
@click.argument("day", required=False)
@_week
@_because
@act_options
def rest(whose: str, day: str | None, week: str | None, because: str | None, **how: Any) -> int:
    """Make a day, or a week, one of rest.

    ID is a client, or group:NAME for all of a group. A day is a weekday like
    tue, the next one from tomorrow on, or a date.
    """
    if (day is None) == (week is None):
        raise click.UsageError("name a day, like tue, or --week with its number")
    why = reason(because, how)
    return do_act("rest", whose, day, why, week, **how)


@command(
    examples='sitegen put mara sat hills-short --because "a taste of hills"',
    stopped=stopped_act,
    nothing=nothing_done,
)
@_whose
@click.argument("day")
@click.argument("session")
@click.option("--minutes", help="Running in it, like 35 min; default: as the day holds.")
@_because
@act_options
def put(
    whose: str, day: str, session: str, minutes: str | None, because: str | None, **how: Any
) -> int:
    """Put a session of the library, or your own, on a day.

    ID is a client, or group:NAME for all of a group. A day is a weekday like
    tue, the next one from tomorrow on, or a date.
    """
    why = reason(because, how)
    return do_act("put", whose, day, session, why, minutes, **how)


@command(
    examples='sitegen word mara "Keep the hills easy."',
    stopped=stopped_act,
    nothing=nothing_done,
)
@_whose
@click.argument("text")
@_week
@act_options
def word(whose: str, text: str, week: str | None, **how: Any) -> int:
    """Add a word to the client, which stands in a week.

    ID is a client, or group:NAME for all of a group.
    """
    return do_act("word", whose, text, week, **how)


@command(
    examples='sitegen lift mara 2 --seen-by "a physiotherapist" --because "seen on Thursday"',
    stopped=stopped_act,
    nothing=nothing_done,
)
@_whose
@click.argument("number", type=click.IntRange(1))
@click.argument("matter", required=False)
@click.option("--seen-by", required=True, help="Who saw the client, or spoke with them.")
@click.option("--false-alarm", is_flag=True, help="It was not meant, or not there.")
@_because
@act_options
def lift(
    whose: str,
    number: int,
    matter: str | None,
    seen_by: str,
    false_alarm: bool,
    because: str | None,
    **how: Any,
) -> int:
    """End the stop behind an alarm, once somebody has seen the client.

    NUMBER is the alarm's, as sitegen alarms shows it; with a MATTER, like limp, nothing is done if
    the alarm is about another. The first weeks after it are those of a
    return, unless it was a false alarm.
    """
    if not seen_by.strip():
        raise click.UsageError("--seen-by: say who saw the client")
    why = reason(because, how, "seen by her doctor on Thursday")
    return do_act("lift", whose, number, seen_by.strip(), why, false_alarm, matter, **how)


@command(
    examples="sitegen away mara 2027-03-01 2027-03-07 --because skiing\n"
    'sitegen away group:beginners 2027-03-01 2027-03-07 --because "club trip"',
    stopped=stopped_act,
    nothing=nothing_done,
)
@_whose
@click.argument("from_", metavar="FROM")
@click.argument("to")
@_because
@act_options
def away(whose: str, from_: str, to: str, because: str | None, **how: Any) -> int:
    """Note a holiday: the first and the last day away.

    ID is a client, or group:NAME for all of a group.
    """
    why = reason(because, how)
    return do_act("away", whose, from_, to, why, **how)


@command(
    examples='sitegen set mara "growth: 8 %"\n'
    'sitegen set mara "tue: {at: 18:30, up_to: 45 min}" "long: sun"\n'
    'sitegen set mara "cleared_on: 2027-02-12" "cleared_by: a GP"\n'
    'sitegen set mara "status: paused"',
    stopped=stopped_act,
    nothing=nothing_done,
)
@_whose
@click.argument("settings", nargs=-1, required=True)
@act_options
def set(whose: str, settings: tuple[str, ...], **how: Any) -> int:
    """Change settings: of the plan, a weekday, the event, a race, the step rate, a
    clearance, the status, whether check-ins are expected, the emergency number.

    Look first with --dry-run, or beside the plan as it is with sitegen compare.
    ID is a client, or group:NAME for all of a group.
    """
    return do_act("set", whose, *settings, **how)


def _no_house(**_: Any) -> dict[str, Any]:
    from sitegen.coach.bulk import house_json

    return dict(house_json(False, None))


@command(
    examples='sitegen house "volume: {growth: 8 %}"\n'
    'sitegen house "plan: {growth: 6 %}" --group coming-back',
    stopped=stopped_act,
    nothing=_no_house,
)
@click.argument("settings", nargs=-1, required=True)
@click.option("--group", help="Only for the clients of this group.")
@act_options
def house(
    settings: tuple[str, ...],
    group: str | None,
    clients: Path,
    as_of: date | None,
    yes: bool,
    dry_run: bool,
    as_json: bool,
) -> int:
    """Change a house rule in practice.yaml: shown for each client first.

    A setting is a rule with its values, as docs/rules.md has them. A client's
    own file still wins.
    """
    from sitegen.coach import bulk
    from sitegen.coach.acting import CarriedOut
    from sitegen.practice.opening import list_practice

    with progress() as show:
        found = bulk.propose_house(list_practice(clients), settings, group, as_of, show)
    if not isinstance(found, bulk.HouseProposal):
        return fail(found, as_json, _no_house())
    if not as_json:
        for line in bulk.house_lines(found):
            echo(line)
    writes = not dry_run and (yes or (not as_json and _is_yes()))
    done = bulk.write_house(clients, found) if writes else CarriedOut()
    problems = _changed_since(clients, done)
    with telling_of("yet it was written" if done.ids else ""):
        if as_json:
            say_json(bulk.house_json(bool(done.ids), found, problems))
        else:
            _tell_done(done, problems, dry_run)
    return 1 if problems or not (done.ids or dry_run or as_json) else 0


# --- undo -------------------------------------------------------------------------------------


def _nothing_undone(**_: Any) -> dict[str, Any]:
    from sitegen.coach.undoing import undone_json

    return undone_json(None)


@command(
    examples="sitegen undo             says what it would take back, and asks\n"
    "sitegen undo --list      what was done, newest first",
    stopped="each file is whole; run sitegen undo again",
    nothing=_nothing_undone,
)
@click.option("--list", "listing", is_flag=True, help="Only list what was done.")
@click.option("--yes", is_flag=True, help="Don't ask: take it back.")
@click.option("--dry-run", is_flag=True, help="Only show what it would do.")
@clients_option
@as_of_option
@json_option
def undo(
    listing: bool,
    yes: bool,
    dry_run: bool,
    clients: Path,
    as_of: date | None,
    as_json: bool,
) -> int:
    """Take back the last act that changed files of the practice; publishing is none."""
    from sitegen.coach import undoing

    if listing:
        acts = undoing.listed(clients)
        if as_json:
            say_json([undoing.act_json(act) for act in acts])
        else:
            for line in undoing.list_lines(acts, undoing.zone_of(clients)):
                echo(line)
        return 0
    found = undoing.ready(clients)
    if not as_json:
        for line in undoing.ready_lines(found):
            echo(line)
    done = False
    if found.can and not dry_run and (yes or (not as_json and _is_yes("Take it back? [y/N]"))):
        found = undoing.undo(clients, found, as_of)
        done = not found.differs
        if found.differs and not as_json:
            warn("\n".join(undoing.refused_lines(found)))
    if as_json:
        say_json(undoing.undone_json(found, done))
    elif done:
        echo("Taken back. Build and publish to show it.")
    elif found.can:
        echo("Nothing was changed.")
    return 0 if done or (found.can and (dry_run or as_json)) else 1
