"""Commands: parse words, call, print, exit code. Everything else is elsewhere.

Exit status: 0 all well, 1 a problem that the coach can mend, 2 a command used wrongly.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from sitegen import __version__
from sitegen.desk.completion import client_ids

if TYPE_CHECKING:
    from sitegen.desk.practice import Opened
    from sitegen.model.plan import Plan
    from sitegen.model.problem import Problem

Command = TypeVar("Command", bound=Callable[..., Any])

EXAMPLES = {
    "check": "sitegen check            every client\n  sitegen check mara       one client",
    "weeks": "sitegen weeks mara       the plan as a table",
    "why": "sitegen why mara --week 6",
    "build": "sitegen build            writes public/",
    "preview": "sitegen preview          builds, serves on this computer, rebuilds on change",
    "link": "sitegen link mara        the private link and a QR code",
    "intake": "sitegen intake mara      an interview; sitegen intake --sheet > questions.html",
    "receive": "sitegen receive mail.eml    or: sitegen receive < message.txt",
    "roster": "sitegen roster           most urgent first",
    "desk": "sitegen desk             writes desk/index.html, for this computer alone",
    "export": "sitegen export mara      writes mara-data.zip",
    "erase": "sitegen erase mara",
    "publish": "sitegen publish --dry-run    what would be sent to the one target there is",
}


class Day(click.ParamType[date]):
    """A date on the command line."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail(f"{value!r} is not a date; write year-month-day, like 2027-01-18", param, ctx)


class NearestGroup(click.Group):
    """Suggests the nearest command for a slip of the keyboard."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            import difflib

            found = difflib.get_close_matches(args[0], self.list_commands(ctx), n=1)
            if found and "Did you mean" not in error.message:
                raise click.UsageError(f"{error.message} Did you mean {found[0]}?", ctx) from None
            raise


def clients_option(command: Command) -> Command:
    return click.option(
        "--clients",
        type=click.Path(file_okay=False, path_type=Path),
        default=Path("clients"),
        show_default=True,
        help="The practice's folder.",
    )(command)


def out_option(command: Command) -> Command:
    return click.option(
        "--out",
        type=click.Path(file_okay=False, path_type=Path),
        default=Path("public"),
        show_default=True,
        help="The folder of the built site.",
    )(command)


def as_of_option(command: Command) -> Command:
    return click.option(
        "--as-of", type=Day(), help="Plan as of this day; default: today, where the client is."
    )(command)


def json_option(command: Command) -> Command:
    return click.option("--json", "as_json", is_flag=True, help="Print JSON.")(command)


@click.group(
    cls=NearestGroup,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
)
@click.version_option(__version__, prog_name="sitegen")
def main() -> None:
    """Running plans in YAML, expanded by rules into a private site for each client."""


def _print_problems(problems: Iterable[Problem], as_json: bool = False) -> None:
    if as_json:
        click.echo(json.dumps([p.as_json() for p in problems], ensure_ascii=False, indent=1))
        return
    for problem in problems:
        click.echo(str(problem), err=True)


def _open(clients: Path, ids: Iterable[str] = (), as_of: date | None = None) -> Opened:
    """The practice, or the words why not, and exit 1."""
    from sitegen.desk.practice import NotThere, open_practice
    from sitegen.world import Refused

    try:
        return open_practice(clients, tuple(ids), as_of)
    except NotThere as error:
        raise click.UsageError(str(error)) from None
    except Refused as error:
        click.echo(f"sitegen: {error}", err=True)
        sys.exit(1)


def _open_plan(id: str, clients: Path, as_of: date | None, as_json: bool) -> tuple[Opened, Plan]:
    """One client's expanded plan, or its problems and exit 1."""
    opened = _open(clients, (id,), as_of)
    plan = opened.plan(id)
    if plan is None:
        _print_problems(opened.problems, as_json)
        sys.exit(1)
    return opened, plan


@main.command(epilog=EXAMPLES["check"])
@click.argument("ids", nargs=-1, metavar="[ID]...", shell_complete=client_ids)
@clients_option
@as_of_option
@json_option
def check(ids: tuple[str, ...], clients: Path, as_of: date | None, as_json: bool) -> None:
    """Tell every problem of the practice, or of the clients named."""
    opened = _open(clients, ids, as_of)
    problems = opened.problems_with_plans()
    _print_problems(problems, as_json)
    errors = sum(1 for p in problems if p.level == "error")
    warnings = len(problems) - errors
    if not as_json:
        click.echo(
            f"{_count(len(opened.ids), 'client')} checked: "
            f"{_count(errors, 'error')}, {_count(warnings, 'warning')}"
        )
    sys.exit(1 if errors else 0)


@main.command(epilog=EXAMPLES["weeks"])
@click.argument("id", shell_complete=client_ids)
@click.option("--week", type=click.IntRange(1, 52), help="Only this week, with its sessions.")
@clients_option
@as_of_option
@json_option
def weeks(id: str, week: int | None, clients: Path, as_of: date | None, as_json: bool) -> None:
    """Show a client's expanded weeks."""
    from sitegen.desk.as_json import plan_json
    from sitegen.desk.words import session_lines, weeks_table

    opened, plan = _open_plan(id, clients, as_of, as_json)
    if as_json:
        whole = plan_json(plan)
        told = [p.as_json() for p in opened.problems_of(id)]
        whole["problems"] = told
        if week is not None:
            whole["weeks"] = [w for w in whole["weeks"] if w["number"] == week]
        click.echo(json.dumps(whole, ensure_ascii=False, indent=1))
        return
    click.echo(weeks_table(plan, week))
    if week is not None:
        for found in (w for w in plan.weeks if w.number == week):
            click.echo()
            for line in session_lines(found):
                click.echo(line)


@main.command(epilog=EXAMPLES["why"])
@click.argument("id", shell_complete=client_ids)
@click.option("--week", type=click.IntRange(1, 52), help="Only this week.")
@clients_option
@as_of_option
@json_option
def why(id: str, week: int | None, clients: Path, as_of: date | None, as_json: bool) -> None:
    """Tell every decision with its reason, rule, source and the line behind it."""
    from sitegen.desk.as_json import plan_json
    from sitegen.desk.words import why as words

    _, plan = _open_plan(id, clients, as_of, as_json)
    if as_json:
        whole = plan_json(plan)
        found = [
            {"week": w["number"], **d}
            for w in whole["weeks"]
            if week in (None, w["number"])
            for d in w["decisions"]
        ]
        click.echo(json.dumps(whole["decisions"] + found, ensure_ascii=False, indent=1))
        return
    click.echo(words(plan, week))


@main.command(epilog=EXAMPLES["build"])
@click.argument("ids", nargs=-1, metavar="[ID]...", shell_complete=client_ids)
@clients_option
@out_option
@as_of_option
@click.option("--links", is_flag=True, help="Print each private link, too.")
def build(ids: tuple[str, ...], clients: Path, out: Path, as_of: date | None, links: bool) -> None:
    """Check everything, then write the site. Nothing is written where there is an error."""
    from sitegen.desk.site import build_site

    built = build_site(clients, out, ids, as_of, _progress)
    for problem in built.problems:
        click.echo(str(problem), err=True)
    if not built.done:
        click.echo(f"nothing was written: {_count(built.errors, 'error')}", err=True)
        sys.exit(1)
    if links:
        for line in built.links:
            click.echo(line)
    click.echo(built.summary)


@main.command(epilog=EXAMPLES["preview"])
@clients_option
@out_option
@as_of_option
@click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True)
def preview(clients: Path, out: Path, as_of: date | None, port: int) -> None:
    """Build, serve on this computer only, rebuild and reload on change."""
    from sitegen.desk.site import run_preview
    from sitegen.world import Refused

    try:
        sys.exit(run_preview(clients, out, as_of, port))
    except Refused as error:
        click.echo(f"sitegen: {error}", err=True)
        sys.exit(1)


@main.command(epilog=EXAMPLES["link"])
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
) -> None:
    """Show a client's private link and its QR code."""
    from sitegen.desk import links

    opened = _open(clients, (id,))
    words: str | None = None
    if passphrase:
        words = click.prompt("Passphrase", hide_input=True, confirmation_prompt=True)
    result = links.show(opened, id, renew=renew, passphrase=words, take_off=no_passphrase, png=png)
    for problem in result.problems:
        click.echo(str(problem), err=True)
    if result.told is None:
        sys.exit(1)
    if as_json:
        click.echo(json.dumps(result.told, ensure_ascii=False, indent=1))
    else:
        click.echo(result.text)


@main.command(epilog=EXAMPLES["intake"])
@click.argument("id", required=False)
@clients_option
@click.option(
    "--answers",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Take the answers from a YAML file.",
)
@click.option("--sheet", is_flag=True, help="Print a question sheet for the client, as HTML.")
def intake(id: str | None, clients: Path, answers: Path | None, sheet: bool) -> None:
    """Ask for what a new client's file needs, and write it with a comment beside each field."""
    from sitegen.desk import intake as taking
    from sitegen.world import Refused

    if sheet:
        try:
            click.echo(taking.sheet_of(clients), nl=False)
        except Refused as error:
            click.echo(f"sitegen: {error}", err=True)
            sys.exit(1)
        return
    if id is None:
        raise click.UsageError("name the new client, like: sitegen intake mara")

    def ask(text: str) -> str:
        return str(click.prompt(text, default="", show_default=False, prompt_suffix=""))

    taken = taking.intake(id, clients, ask=ask, say=click.echo, answers_file=answers)
    _print_problems(taken.problems)
    for line in taken.lines:
        click.echo(line)
    sys.exit(taken.status)


@main.command(epilog=EXAMPLES["receive"])
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE]...")
@clients_option
@as_of_option
@json_option
def receive(files: tuple[Path, ...], clients: Path, as_of: date | None, as_json: bool) -> None:
    """Take check-ins that clients sent into their logs, and tell what they change.

    FILE is a saved text or mail (.eml), or a folder of them; without one, standard input.
    """
    from sitegen.desk import receive as receiving
    from sitegen.world import Refused

    stdin_text = None if files else sys.stdin.read()
    try:
        received = receiving.receive(files, stdin_text, clients, as_of)
    except Refused as error:
        click.echo(f"sitegen: {error}", err=True)
        sys.exit(1)
    if as_json:
        click.echo(json.dumps(received.told, ensure_ascii=False, indent=1))
    else:
        _print_problems(received.problems)
        for line in received.lines:
            click.echo(line)
    sys.exit(received.status)


@main.command(epilog=EXAMPLES["roster"])
@clients_option
@as_of_option
@json_option
def roster(clients: Path, as_of: date | None, as_json: bool) -> None:
    """One line a client: who needs the coach first, and why."""
    from sitegen.desk import roster as rows

    opened = _open(clients, (), as_of)
    _print_problems(p for p in opened.problems if p.level == "error")
    found = rows.roster(opened)
    if as_json:
        click.echo(json.dumps(rows.roster_json(found), ensure_ascii=False, indent=1))
    else:
        for line in rows.roster_lines(found, 80 if sys.stdout.isatty() else None):
            click.echo(line)
    sys.exit(1 if opened.has_errors else 0)


@main.command(epilog=EXAMPLES["desk"])
@clients_option
@out_option
@as_of_option
@click.option(
    "--to",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path("desk"),
    show_default=True,
    help="The folder of the page; it holds health data in clear.",
)
def desk(clients: Path, out: Path, as_of: date | None, to: Path) -> None:
    """Write the coach's own overview as a page for this computer alone."""
    from sitegen.desk.desk_page import write_desk
    from sitegen.world import Refused

    try:
        page, opened = write_desk(clients, to, as_of, out)
    except Refused as error:
        click.echo(f"sitegen: {error}", err=True)
        sys.exit(1)
    _print_problems(p for p in opened.problems if p.level == "error")
    click.echo(f"{page}: open it in a browser; it is never published")
    sys.exit(1 if opened.has_errors else 0)


@main.command(epilog=EXAMPLES["export"])
@click.argument("id", shell_complete=client_ids)
@clients_option
@as_of_option
@click.option("--to", type=click.Path(path_type=Path), help="A .zip or a folder to be made.")
def export(id: str, clients: Path, as_of: date | None, to: Path | None) -> None:
    """Write all that is kept of one client, for a client who asks for it."""
    from sitegen.desk.leaving import export as write

    exported = write(clients, id, to, as_of)
    _print_problems(exported.problems)
    if exported.to is None:
        sys.exit(1)
    click.echo(exported.text)


@main.command(epilog=EXAMPLES["erase"])
@click.argument("id", shell_complete=client_ids)
@clients_option
def erase(id: str, clients: Path) -> None:
    """Remove a client's file, log and link; asks for the id once more."""
    from sitegen.desk.leaving import erase as remove

    def ask(text: str) -> str:
        return str(click.prompt(text, default="", show_default=False, prompt_suffix=" "))

    erased = remove(clients, id, ask)
    _print_problems(erased.problems)
    if erased.text:
        click.echo(erased.text)
    sys.exit(0 if erased.done else 1)


@main.command(epilog=EXAMPLES["publish"])
@click.argument("target", required=False)
@clients_option
@out_option
@click.option("--dry-run", is_flag=True, help="Tell what would be sent and removed; do nothing.")
@click.option("--adopt", is_flag=True, help="Publish beside files that lie there already.")
def publish(target: str | None, clients: Path, out: Path, dry_run: bool, adopt: bool) -> None:
    """Upload what changed in the built site, and remove what is gone.

    TARGET is a name from practice.yaml, a folder, or an address such as sftp://user@host/folder.
    """
    from sitegen.desk import publishing
    from sitegen.world import Refused

    opened = _open(clients)
    if opened.house is None:
        _print_problems(opened.problems)
        sys.exit(1)
    try:
        address = publishing.target_of(opened.house.practice, target)
    except publishing.NoTarget as error:
        raise click.UsageError(str(error)) from None
    try:
        report = publishing.run(
            clients, out, address, dry_run=dry_run, adopt=adopt, progress=_progress
        )
    except Refused as error:
        click.echo(f"sitegen: {error}", err=True)
        sys.exit(1)
    for trouble in report.problems:
        click.echo(f"publish: {trouble}", err=True)
    for line in publishing.lines(report):
        click.echo(line)
    sys.exit(1 if report.problems else 0)


@main.command()
def rules() -> None:
    """Print the rule book: promises, parameters, sources, strength of evidence."""
    from sitegen.desk.rulebook import rule_book

    click.echo(rule_book(), nl=False)


@main.command()
@click.argument("file", type=click.Choice(["client", "practice"]), default="client")
def schema(file: str) -> None:
    """Print a JSON Schema for the client file, so that an editor completes and checks it.

    FILE is client (the default) or practice.
    """
    from sitegen.reading.schema import client_schema, practice_schema

    found = client_schema() if file == "client" else practice_schema()
    click.echo(json.dumps(found, ensure_ascii=False, indent=1))


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _progress(done: int, total: int, what: str) -> None:
    """One line on a terminal that rewrites itself; nothing in a pipe."""
    if not sys.stderr.isatty() or total < 20:
        return
    end = "\n" if done == total else ""
    click.echo(f"\r{what}: {done} of {total}", err=True, nl=False)
    if end:
        click.echo("\r\033[K", err=True, nl=False)
