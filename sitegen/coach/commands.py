"""The coach's commands: `weeks`, `why`, `roster`, `desk`, `link`, `intake`, `export` and others."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sitegen.terminal.command import (
    as_of_option,
    clients_option,
    command,
    fail,
    json_option,
    out_option,
    problem,
    progress,
    usage_if_nobody,
)
from sitegen.terminal.completion import client_ids
from sitegen.terminal.output import ask, count, echo, say_json, telling_of, warn_of

if TYPE_CHECKING:
    from sitegen.model.plan import Plan


def _usage_if_no_week(plan: Plan, week: int | None) -> None:
    """A week that the plan does not have was named."""
    if week is not None and all(w.number != week for w in plan.weeks):
        raise click.UsageError(f"the plan has {count(len(plan.weeks), 'week')}")


@command(examples="sitegen weeks mara       the plan as a table")
@click.argument("id", shell_complete=client_ids)
@click.option("--week", type=click.IntRange(1, 52), help="Only this week, with its sessions.")
@clients_option
@as_of_option
@json_option
def weeks(id: str, week: int | None, clients: Path, as_of: date | None, as_json: bool) -> int:
    """Show a client's expanded weeks."""
    from sitegen.coach.words import session_lines, weeks_table
    from sitegen.plan.ledger import in_ledger
    from sitegen.site.plans import open_plans
    from sitegen.terminal.as_json import plan_json

    opened = open_plans(clients, (id,), as_of)
    plan = opened.plan(id)
    if plan is None:
        return fail(opened.problems, as_json)
    _usage_if_no_week(plan, week)
    if as_json:
        whole = plan_json(plan, opened.done(id))
        whole["problems"] = [p.as_json() for p in opened.problems_of(id)]
        if week is not None:
            whole["weeks"] = [w for w in whole["weeks"] if w["number"] == week]
        say_json(whole)
        return 0
    echo(weeks_table(plan, week, in_ledger(opened.cases[id], plan.weeks, plan.as_of)))
    for found in (w for w in plan.weeks if w.number == week):
        echo("\n".join(["", *session_lines(found)]))
    return 0


@command(examples="sitegen why mara --week 6")
@click.argument("id", shell_complete=client_ids)
@click.option("--week", type=click.IntRange(1, 52), help="Only this week, with its sessions.")
@click.option("--sources", is_flag=True, help="Say where each number comes from, too.")
@clients_option
@as_of_option
@json_option
def why(
    id: str, week: int | None, sources: bool, clients: Path, as_of: date | None, as_json: bool
) -> int:
    """Tell every decision: what, the line behind it, how strong the evidence is."""
    from sitegen.coach.words import why as words
    from sitegen.plan.ledger import in_ledger
    from sitegen.site.plans import open_plans
    from sitegen.terminal.as_json import plan_json

    opened = open_plans(clients, (id,), as_of)
    plan = opened.plan(id)
    if plan is None:
        return fail(opened.problems, as_json)
    _usage_if_no_week(plan, week)
    if as_json:
        whole = plan_json(plan)
        found = [
            {"week": w["number"], **d}
            for w in whole["weeks"]
            if week in (None, w["number"])
            for d in w["decisions"]
        ]
        say_json(whole["decisions"] + found)
        return 0
    echo(words(plan, week, sources, in_ledger(opened.cases[id], plan.weeks, plan.as_of)))
    return 0


@command(
    examples="sitegen preview          builds, serves on this computer, rebuilds on change",
    stopped="the site is whole, as it was or as it shall be",
)
@clients_option
@out_option
@as_of_option
@click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True)
def preview(clients: Path, out: Path, as_of: date | None, port: int) -> int:
    """Build, serve on this computer only, rebuild and reload on change."""
    from sitegen.coach.previewing import run_preview

    return run_preview(clients, out, as_of, port)


@command(
    examples="sitegen link mara        the private link and a QR code",
    stopped="the links are whole, as they were or as they shall be",
)
@click.argument("id", shell_complete=client_ids)
@clients_option
@click.option("--png", type=click.Path(dir_okay=False, path_type=Path), help="QR code as a file.")
@click.option("--passphrase", is_flag=True, help="Ask for a passphrase on top of the link.")
@click.option("--no-passphrase", is_flag=True, help="Take the passphrase off again.")
@click.option("--renew", is_flag=True, help="A new link; the old one ends at the next publish.")
@json_option
def link(
    id: str,
    clients: Path,
    png: Path | None,
    passphrase: bool,
    no_passphrase: bool,
    renew: bool,
    as_json: bool,
) -> int:
    """Show a client's private link and its QR code."""
    from sitegen.coach import link as links
    from sitegen.locking import writing
    from sitegen.site.plans import open_plans

    opened = open_plans(clients, (id,))
    words: str | None = None
    if passphrase:
        try:
            words = ask("Passphrase", hide_input=True, confirmation_prompt=True, err=as_json)
        except EOFError:
            typed = problem(clients, "no passphrase was typed", "passphrase-none")
            return fail([typed], as_json)
    with writing(opened.clients):
        result = links.show(
            opened, id, renew=renew, passphrase=words, take_off=no_passphrase, png=png
        )
    if result.told is None:
        return fail(result.problems, as_json)
    warn_of(result.problems)
    changed = renew or passphrase or no_passphrase
    with telling_of("yet the link was changed" if changed else ""):
        if as_json:
            say_json(result.told)
        else:
            echo(result.text)
    return 0


@command(
    examples="sitegen intake mara      an interview; sitegen intake --sheet > questions.html",
    stopped="nothing was written",
)
@click.argument("id", required=False)
@clients_option
@click.option(
    "--answers",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Take the answers from a YAML file.",
)
@click.option(
    "--like",
    shell_complete=client_ids,
    help="Take over settings of this client: nothing of their health or days.",
)
@click.option("--sheet", is_flag=True, help="Print a question sheet for the client, as HTML.")
@click.option("--language", help="The sheet's, like es; default: the practice's.")
@as_of_option
@json_option
def intake(
    id: str | None,
    clients: Path,
    as_of: date | None,
    answers: Path | None,
    like: str | None,
    sheet: bool,
    language: str | None,
    as_json: bool,
) -> int:
    """Ask for what a new client's file needs, and write it with a comment beside each field.

    With --like the group, growth, easy and hard weeks, drills and rules of
    another client stand where no answer says otherwise.
    """
    from sitegen.coach import intake as taking

    if as_json and (sheet or answers is None):
        raise click.UsageError("--json goes with --answers FILE: a talk is no JSON")
    if sheet:
        from sitegen.coach.question_sheet import printed_sheet

        echo(printed_sheet(clients, language), end="")
        return 0
    if language is not None:
        raise click.UsageError("--language goes with --sheet: the talk asks for the client's")
    if id is None:
        raise click.UsageError("name the new client, like: sitegen intake mara")
    stopped: list[KeyboardInterrupt] = []

    def typed(text: str) -> str:
        try:
            return ask(text, default="", show_default=False, prompt_suffix="")
        except KeyboardInterrupt as interrupt:
            stopped.append(interrupt)
            raise

    taken = taking.intake(
        id, clients, ask=typed, say=echo, answers_file=answers, like=like, as_of=as_of
    )
    if stopped:
        raise stopped[0]
    if as_json and taken.status != 2:
        say_json(taken.as_json(id))
        return taken.status
    warn_of(taken.problems)
    with telling_of(f"yet {taken.path} was written" if taken.path else ""):
        for line in taken.lines:
            echo(line)
    return taken.status


@command(examples="sitegen roster           most urgent first")
@clients_option
@as_of_option
@json_option
def roster(clients: Path, as_of: date | None, as_json: bool) -> int:
    """One line a client: who needs the coach first, and why."""
    from sitegen.coach import roster as rows
    from sitegen.coach.roster_shown import WIDTH, roster_json, roster_lines
    from sitegen.site.plans import open_plans

    with progress() as show:
        opened = open_plans(clients, (), as_of, show)
        found = rows.roster(opened)
    if opened.house is None and not found:
        return fail(opened.errors, as_json)
    warn_of(opened.errors)
    if as_json:
        say_json(roster_json(found))
    else:
        for line in roster_lines(found, WIDTH if sys.stdout.isatty() else None):
            echo(line)
    return 1 if opened.has_errors else 0


@command(
    examples="sitegen sheet            everybody, most urgent first\n"
    "sitegen sheet --only alarm --only changed\n"
    "sitegen sheet --print    a page for the printer, in desk/",
)
@click.option("--group", help="Only the clients of this group.")
@click.option(
    "--only",
    multiple=True,
    type=click.Choice(["alarm", "changed", "silent"]),
    help="Only those with an alarm, with a change, or not heard from; again for more.",
)
@click.option("--print", "printed", is_flag=True, help="Write a page for the printer.")
@click.option(
    "--to",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path("desk"),
    show_default=True,
    help="The folder of that page; it holds health data in clear.",
)
@clients_option
@out_option
@as_of_option
@json_option
def sheet(
    group: str | None,
    only: tuple[str, ...],
    printed: bool,
    to: Path,
    clients: Path,
    out: Path,
    as_of: date | None,
    as_json: bool,
) -> int:
    """One row a client: the week behind and the week ahead, what changed, what is asked."""
    from sitegen.coach.sheet import evening_sheet

    with progress() as show:
        found = evening_sheet(clients, as_of, group, only, show)
    if not found.is_whole and not found.rows:
        return fail(found.problems, as_json)
    from sitegen.coach import sheet_shown as shown

    page = None
    if printed:
        from sitegen.coach.sheet_page import write_sheet

        page = write_sheet(found, clients, to, out)
    warn_of(found.problems)
    if as_json:
        say_json(shown.sheet_json(found.rows))
    elif page is not None:
        echo(f"{page}: open it in a browser and print it; it is never published")
    else:
        for line in shown.sheet_lines(found.rows, 80 if sys.stdout.isatty() else None):
            echo(line)
        if not found.rows:
            echo("nobody")
    return 1 if found.problems else 0


@command(
    examples="sitegen export mara      writes mara-data.zip",
    stopped="nothing is half written; export again",
)
@click.argument("id", shell_complete=client_ids)
@clients_option
@as_of_option
@click.option("--to", type=click.Path(path_type=Path), help="A .zip or a folder to be made.")
@json_option
def export(id: str, clients: Path, as_of: date | None, to: Path | None, as_json: bool) -> int:
    """Write all that is kept of one client, for a client who asks for it."""
    from sitegen.coach.leaving import export as write

    with progress() as show:
        exported = write(clients, id, to, as_of, show)
    usage_if_nobody(exported.problems)
    if as_json:
        say_json(exported.as_json(id))
        return 0 if exported.to is not None else 1
    warn_of(exported.problems)
    if exported.to is None:
        return 1
    with telling_of(f"yet {exported.to} was written"):
        echo(exported.text)
    return 0


@command(examples="sitegen erase mara", stopped="nothing was removed")
@click.argument("id", shell_complete=client_ids)
@click.option("--yes", is_flag=True, help="Don't ask: for a script that knows.")
@clients_option
@json_option
def erase(id: str, yes: bool, clients: Path, as_json: bool) -> int:
    """Remove a client's file, log and link; asks for the id once more."""
    from sitegen.coach.leaving import erase as remove

    def typed(text: str) -> str:
        try:
            return ask(text, default="", show_default=False, prompt_suffix=" ", err=True)
        except EOFError:
            return ""

    erased = remove(clients, id, (lambda _question: id) if yes else typed)
    usage_if_nobody(erased.problems)
    with telling_of(f"yet {id} was removed" if erased.done else ""):
        if as_json:
            say_json(erased.as_json(id))
        else:
            warn_of(erased.problems)
            if erased.text:
                echo(erased.text)
    return 0 if erased.done else 1


@command(examples="sitegen rules            as docs/rules.md has them")
@json_option
def rules(as_json: bool) -> None:
    """Print the rule book: promises, parameters, sources, strength of evidence."""
    from sitegen.coach.rulebook import rule_book, rule_book_json

    if as_json:
        say_json(rule_book_json())
    else:
        echo(rule_book(), end="")


@command(examples="sitegen schema > clients/.schema.json")
@click.argument(
    "file",
    type=click.Choice(["client", "practice", "log", "session", "told", "alarms"]),
    default="client",
)
def schema(file: str) -> None:
    """Print a JSON Schema for the client file, so that an editor completes and checks it.

    FILE is client (the default), practice, log for a client's check-ins,
    session for a kind of session, or one that sitegen keeps: told for what a
    client was shown, alarms for what was answered.
    """
    from sitegen.practice import kept_fields
    from sitegen.practice import schema as schemas

    made = {
        "client": schemas.client_schema,
        "practice": schemas.practice_schema,
        "log": schemas.log_schema,
        "session": schemas.session_schema,
        "told": kept_fields.told_schema,
        "alarms": kept_fields.alarms_schema,
    }
    say_json(made[file]())
