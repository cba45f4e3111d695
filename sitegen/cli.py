"""Commands: parse words, call, print, exit code. Everything else is elsewhere.

Exit status: 0 all well, 1 a problem that the coach can mend, 2 a command used wrongly, 130 stopped
with Ctrl-C (143 where the system asked). With ``--json`` standard output is one JSON value and
nothing else, whether the status is 0 or 1; docs/json.md has the shapes.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

import click

from sitegen import __version__
from sitegen.terminal.completion import client_ids

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from sitegen.model.plan import Plan
    from sitegen.model.problem import Problem
    from sitegen.site.plans import Planned
    from sitegen.terminal.progress import Show

Command = TypeVar("Command", bound=Callable[..., Any])

# With \b before it, the help keeps lines and columns as they are here.
EXAMPLES = {
    "check": "sitegen check            every client\nsitegen check mara       one client",
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
    "rules": "sitegen rules            as docs/rules.md has them",
    "schema": "sitegen schema > clients/.schema.json",
}
EXAMPLES = {name: f"\b\n{example}" for name, example in EXAMPLES.items()}

# What is so after Ctrl-C, by command. The rest read only, and need no word about it.
STOPPED = {
    "build": "the site is whole, as it was or as it shall be; build again",
    "preview": "the site is whole, as it was or as it shall be",
    "publish": "every portal on the host is whole, old or new; publish again to finish",
    "receive": "each log is whole; receive the same again, nothing is taken twice",
    "export": "nothing is half written; export again",
    "erase": "nothing was removed",
    "intake": "nothing was written",
    "desk": "the page is whole, as it was or as it shall be",
    "link": "the links are whole, as they were or as they shall be",
}

STATUSES = """\
\b
Exit status:
  0    all well; there may be warnings
  1    something that you can mend; the message says what
  2    the command was written wrongly, or names a client who is not there
  130  stopped with Ctrl-C; what is kept is whole
"""


class Day(click.ParamType):  # type: ignore[type-arg]  # no type before click 8.4 takes one
    """A date on the command line."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail(f"{value!r} is not a date; write year-month-day, like 2027-01-18", param, ctx)


def _quick_start() -> None:
    """Settings of a process that lives for one command."""
    import gc
    import os

    # What is loaded stays until the end: looking through it a hundred times finds nothing to free.
    gc.set_threshold(50_000, 20, 100)
    # Looking for plugins reads about every installed package; and none may change what we read.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")


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

    _is_process = False

    def main(self, args: Sequence[str] | None = None, *rest: Any, **how: Any) -> Any:
        """Without ``args`` the command line of this process is meant, which ends with it."""
        self._is_process = args is None
        if self._is_process:
            _quick_start()
        return super().main(args, *rest, **how)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command. Ctrl-C ends it with one sentence, once all is tidied up."""
        from sitegen.terminal.stopping import status_of, stoppable

        with stoppable(to_the_end=self._is_process):
            try:
                return super().invoke(ctx)
            except KeyboardInterrupt as interrupt:
                status = status_of(interrupt)
            # Out here the interrupt is let go of, and with it whatever work it broke off.
            whole = STOPPED.get(ctx.invoked_subcommand or "")
            click.echo(f"sitegen: stopped{f'; {whole}' if whole else ''}", err=True)
        sys.exit(status)


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
    epilog=STATUSES,
)
@click.version_option(__version__, prog_name="sitegen")
def main() -> None:
    """Running plans in YAML, expanded by rules into a private site for each client."""


def _print_problems(problems: Iterable[Problem], as_json: bool = False) -> None:
    if as_json:
        _print_json([p.as_json() for p in problems])
        return
    text = "\n".join(map(str, problems))
    if text:
        click.echo(text, err=True)


def _print_json(value: Any) -> None:
    click.echo(json.dumps(value, ensure_ascii=False, indent=1))


@contextmanager
def _refusals(where: Path, as_json: bool, told: Callable[[], Any] | None = None) -> Iterator[None]:
    """What the world refuses, in words or as JSON, and exit 1.

    ``told`` gives what the command prints with ``--json`` when nothing was done; its problems are
    put in. Without it the list of problems is all.
    """
    from sitegen.world import Refused

    try:
        yield
    except Refused as error:
        if as_json:
            _print_json(_with_problems([_problem(where, str(error))], told))
        else:
            click.echo(f"sitegen: {error}", err=True)
        sys.exit(1)


def _problem(where: Path, message: str, code: str = "refused") -> Problem:
    from sitegen.model.problem import Origin, Problem

    return Problem(Origin(where.as_posix()), message, "", code)


def _with_problems(problems: Iterable[Problem], told: Callable[[], Any] | None) -> Any:
    listed = [p.as_json() for p in problems]
    return listed if told is None else {**told(), "done": False, "problems": listed}


def _fail(
    problems: Iterable[Problem], as_json: bool, told: Callable[[], Any] | None = None
) -> NoReturn:
    """Say what is wrong, and exit 1."""
    if as_json:
        _print_json(_with_problems(problems, told))
    else:
        _print_problems(problems)
    sys.exit(1)


@contextmanager
def _progress() -> Iterator[Show]:
    """What is being done, on a terminal; the line is gone when it is done."""
    from sitegen.terminal.progress import progress

    with progress(sys.stderr) as show:
        yield show


def _ask(text: str, **how: Any) -> str:
    """What is typed. Raises EOFError at the end of the input."""
    try:
        return str(click.prompt(text, **how))
    except click.Abort as abort:  # click's word for Ctrl-C and for the end alike
        if isinstance(abort.__context__, KeyboardInterrupt):
            raise abort.__context__ from None
        raise EOFError from None


def _open(
    clients: Path,
    ids: Iterable[str] = (),
    as_of: date | None = None,
    as_json: bool = False,
    told: Callable[[], Any] | None = None,
    progress: Show | None = None,
) -> Planned:
    """The practice, or the words why not, and exit 1."""
    from sitegen.practice.opening import NotThere
    from sitegen.site.plans import open_plans

    try:
        with _refusals(clients, as_json, told):
            return open_plans(clients, tuple(ids), as_of, progress)
    except NotThere as error:
        raise click.UsageError(str(error)) from None


def _usage_if_nobody(problems: Iterable[Problem]) -> None:
    """A client who is not there was named: that is wrong usage, in every command."""
    for problem in problems:
        if problem.code == "no-client":
            raise click.UsageError(problem.message)


def _open_plan(id: str, clients: Path, as_of: date | None, as_json: bool) -> tuple[Planned, Plan]:
    """One client's expanded plan, or its problems and exit 1."""
    opened = _open(clients, (id,), as_of, as_json)
    plan = opened.plan(id)
    if plan is None:
        _fail(opened.problems, as_json)
    return opened, plan


def _usage_if_no_week(plan: Plan, week: int | None) -> None:
    """A week that the plan does not have was named."""
    if week is not None and all(w.number != week for w in plan.weeks):
        raise click.UsageError(f"the plan has {_count(len(plan.weeks), 'week')}")


@main.command(epilog=EXAMPLES["check"])
@click.argument("ids", nargs=-1, metavar="[ID]...", shell_complete=client_ids)
@clients_option
@as_of_option
@json_option
def check(ids: tuple[str, ...], clients: Path, as_of: date | None, as_json: bool) -> None:
    """Tell every problem of the practice, or of the clients named."""
    from sitegen.practice.opening import NotThere
    from sitegen.site import checking

    try:
        with _refusals(clients, as_json), _progress() as show:
            found = checking.check(clients, ids, as_of, show)
    except NotThere as error:
        raise click.UsageError(str(error)) from None
    _print_problems(found.problems, as_json)
    if not as_json:
        click.echo(
            f"{_count(found.clients, 'client')} checked: {_count(found.errors, 'error')}, "
            f"{_count(len(found.problems) - found.errors, 'warning')}"
        )
    sys.exit(1 if found.errors else 0)


@main.command(epilog=EXAMPLES["weeks"])
@click.argument("id", shell_complete=client_ids)
@click.option("--week", type=click.IntRange(1, 52), help="Only this week, with its sessions.")
@clients_option
@as_of_option
@json_option
def weeks(id: str, week: int | None, clients: Path, as_of: date | None, as_json: bool) -> None:
    """Show a client's expanded weeks."""
    from sitegen.coach.words import session_lines, weeks_table
    from sitegen.terminal.as_json import plan_json

    opened, plan = _open_plan(id, clients, as_of, as_json)
    _usage_if_no_week(plan, week)
    if as_json:
        whole = plan_json(plan)
        told = [p.as_json() for p in opened.problems_of(id)]
        whole["problems"] = told
        if week is not None:
            whole["weeks"] = [w for w in whole["weeks"] if w["number"] == week]
        _print_json(whole)
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
    from sitegen.coach.words import why as words
    from sitegen.terminal.as_json import plan_json

    _, plan = _open_plan(id, clients, as_of, as_json)
    _usage_if_no_week(plan, week)
    if as_json:
        whole = plan_json(plan)
        found = [
            {"week": w["number"], **d}
            for w in whole["weeks"]
            if week in (None, w["number"])
            for d in w["decisions"]
        ]
        _print_json(whole["decisions"] + found)
        return
    click.echo(words(plan, week))


@main.command(epilog=EXAMPLES["build"])
@click.argument("ids", nargs=-1, metavar="[ID]...", shell_complete=client_ids)
@clients_option
@out_option
@as_of_option
@click.option("--links", is_flag=True, help="Print each private link, too.")
@click.option("--cluster", metavar="ADDRESS", help="Build on a cluster, like tls://scheduler:8786.")
@json_option
def build(
    ids: tuple[str, ...],
    clients: Path,
    out: Path,
    as_of: date | None,
    links: bool,
    cluster: str | None,
    as_json: bool,
) -> None:
    """Check everything, then write the site. Nothing is written where there is an error."""
    from sitegen.site.building import Built, build_site, without_errors

    def nothing() -> dict[str, Any]:
        return Built(False, ()).as_json(out)

    with _refusals(clients, as_json, nothing), _executor(cluster) as executor, _progress() as show:
        built = build_site(clients, out, ids, as_of, show, executor=executor)
    _usage_if_nobody(built.problems)
    if as_json:
        _print_json(built.as_json(out, links))
        sys.exit(0 if built.done else 1)
    _print_problems(built.problems)
    if not built.done:
        click.echo(f"nothing was written: {_count(built.errors, 'error')}", err=True)
        with _refusals(clients, as_json):
            sound = None if ids else without_errors(clients, built.problems)
        if sound is not None:
            like = f"sitegen build {sound}"
            click.echo(f"clients without errors can be built by name, like: {like}", err=True)
        sys.exit(1)
    if links:
        for line in built.links:
            click.echo(line)
    click.echo(built.summary)


@contextmanager
def _executor(cluster: str | None) -> Iterator[Executor | None]:
    """Where to build.

    Raises:
        Refused: It can't be there.
    """
    if cluster is None:
        yield None
        return
    from sitegen.site.cluster import connected

    with connected(cluster, lambda told: click.echo(f"sitegen: {told}", err=True)) as executor:
        yield executor


@main.command(epilog=EXAMPLES["preview"])
@clients_option
@out_option
@as_of_option
@click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True)
def preview(clients: Path, out: Path, as_of: date | None, port: int) -> None:
    """Build, serve on this computer only, rebuild and reload on change."""
    from sitegen.coach.previewing import run_preview

    with _refusals(clients, as_json=False):
        sys.exit(run_preview(clients, out, as_of, port))


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
    from sitegen.coach import link as links

    opened = _open(clients, (id,), as_json=as_json)
    words: str | None = None
    if passphrase:
        try:
            words = _ask("Passphrase", hide_input=True, confirmation_prompt=True, err=as_json)
        except EOFError:
            _fail([_problem(clients, "no passphrase was typed", "passphrase-none")], as_json)
    result = links.show(opened, id, renew=renew, passphrase=words, take_off=no_passphrase, png=png)
    if result.told is None:
        _fail(result.problems, as_json)
    _print_problems(result.problems)
    if as_json:
        _print_json(result.told)
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
@json_option
def intake(id: str | None, clients: Path, answers: Path | None, sheet: bool, as_json: bool) -> None:
    """Ask for what a new client's file needs, and write it with a comment beside each field."""
    from sitegen.coach import intake as taking

    if as_json and (sheet or answers is None):
        raise click.UsageError("--json goes with --answers FILE: a talk is no JSON")
    if sheet:
        with _refusals(clients, as_json):
            click.echo(taking.sheet_of(clients), nl=False)
        return
    if id is None:
        raise click.UsageError("name the new client, like: sitegen intake mara")

    stopped: list[KeyboardInterrupt] = []

    def ask(text: str) -> str:
        try:
            return _ask(text, default="", show_default=False, prompt_suffix="")
        except KeyboardInterrupt as interrupt:
            stopped.append(interrupt)
            raise

    taken = taking.intake(id, clients, ask=ask, say=click.echo, answers_file=answers)
    if stopped:
        raise stopped[0]
    if as_json and taken.status != 2:
        _print_json(taken.as_json(id))
        sys.exit(taken.status)
    _print_problems(taken.problems)
    for line in taken.lines:
        click.echo(line)
    sys.exit(taken.status)


@main.command(epilog=EXAMPLES["receive"])
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE]...")
@clients_option
@as_of_option
@click.option(
    "--for",
    "whose",
    metavar="ID",
    shell_complete=client_ids,
    help="You know that they are this client's, where no code does.",
)
@json_option
def receive(
    files: tuple[Path, ...], clients: Path, as_of: date | None, whose: str | None, as_json: bool
) -> None:
    """Take check-ins that clients sent into their logs, and tell what they change.

    FILE is a saved text or mail (.eml), or a folder of them; without one, standard input.
    """
    from sitegen.checkins import receive as receiving

    stdin_text = None if files else sys.stdin.read()
    nobody = receiving.Received((), (), 1, receiving.NOTHING)
    try:
        with _refusals(clients, as_json, nobody.as_json), _progress() as show:
            received = receiving.receive(files, stdin_text, clients, as_of, whose, show)
    except receiving.NoClient as error:
        raise click.UsageError(str(error)) from None
    if as_json:
        _print_json(received.as_json())
    else:
        _print_problems(received.problems)
        for line in received.lines:
            click.echo(line)
    if received.stopped is not None:
        raise received.stopped
    sys.exit(received.status)


@main.command(epilog=EXAMPLES["roster"])
@clients_option
@as_of_option
@json_option
def roster(clients: Path, as_of: date | None, as_json: bool) -> None:
    """One line a client: who needs the coach first, and why."""
    from sitegen.coach import roster as rows

    with _progress() as show:
        opened = _open(clients, (), as_of, as_json, progress=show)
        found = rows.roster(opened)
    if opened.house is None:
        _fail((p for p in opened.problems if p.level == "error"), as_json)
    _print_problems(p for p in opened.problems if p.level == "error")
    if as_json:
        _print_json(rows.roster_json(found))
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
@json_option
def desk(clients: Path, out: Path, as_of: date | None, to: Path, as_json: bool) -> None:
    """Write the coach's own overview as a page for this computer alone."""
    from sitegen.coach.desk_page import desk_json, write_desk

    with _refusals(clients, as_json, desk_json), _progress() as show:
        page, opened = write_desk(clients, to, as_of, out, show)
    if as_json:
        _print_json(desk_json(page, opened.ids, opened.problems))
        sys.exit(1 if opened.has_errors else 0)
    _print_problems(p for p in opened.problems if p.level == "error")
    click.echo(f"{page}: open it in a browser; it is never published")
    sys.exit(1 if opened.has_errors else 0)


@main.command(epilog=EXAMPLES["export"])
@click.argument("id", shell_complete=client_ids)
@clients_option
@as_of_option
@click.option("--to", type=click.Path(path_type=Path), help="A .zip or a folder to be made.")
@json_option
def export(id: str, clients: Path, as_of: date | None, to: Path | None, as_json: bool) -> None:
    """Write all that is kept of one client, for a client who asks for it."""
    from sitegen.coach.leaving import export as write

    with _progress() as show:
        exported = write(clients, id, to, as_of, show)
    _usage_if_nobody(exported.problems)
    if as_json:
        _print_json(exported.as_json(id))
        sys.exit(0 if exported.to is not None else 1)
    _print_problems(exported.problems)
    if exported.to is None:
        sys.exit(1)
    click.echo(exported.text)


@main.command(epilog=EXAMPLES["erase"])
@click.argument("id", shell_complete=client_ids)
@clients_option
@json_option
def erase(id: str, clients: Path, as_json: bool) -> None:
    """Remove a client's file, log and link; asks for the id once more."""
    from sitegen.coach.leaving import erase as remove

    def ask(text: str) -> str:
        try:
            return _ask(text, default="", show_default=False, prompt_suffix=" ", err=as_json)
        except EOFError:
            return ""

    erased = remove(clients, id, ask)
    _usage_if_nobody(erased.problems)
    if as_json:
        _print_json(erased.as_json(id))
        sys.exit(0 if erased.done else 1)
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
@json_option
def publish(
    target: str | None, clients: Path, out: Path, dry_run: bool, adopt: bool, as_json: bool
) -> None:
    """Upload what changed in the built site, and remove what is gone.

    TARGET is a name from practice.yaml, a folder, or an address such as sftp://user@host/folder.
    """
    from sitegen.publish import Report
    from sitegen.publish import command as publishing

    def nothing() -> dict[str, Any]:
        return publishing.report_json(Report("", dry_run=dry_run))

    opened = _open(clients, (), None, as_json, nothing)
    if opened.house is None:
        _fail(opened.problems, as_json, nothing)
    try:
        address = publishing.target_of(opened.house.practice, target, clients)
    except publishing.NoTarget as error:
        raise click.UsageError(str(error)) from None
    warnings = publishing.stale(clients, out)
    if not as_json:
        for warning in warnings:
            click.echo(f"{warning.message}: {warning.hint}", err=True)
    with _refusals(clients, as_json, nothing), _progress() as show:
        report = publishing.run(clients, out, address, dry_run=dry_run, adopt=adopt, progress=show)
    if as_json:
        _print_json(publishing.report_json(report, warnings))
        sys.exit(1 if report.problems else 0)
    for trouble in report.problems:
        click.echo(f"publish: {trouble}", err=True)
    for line in publishing.lines(report):
        click.echo(line)
    sys.exit(1 if report.problems else 0)


@main.command(epilog=EXAMPLES["rules"])
@json_option
def rules(as_json: bool) -> None:
    """Print the rule book: promises, parameters, sources, strength of evidence."""
    from sitegen.coach.rulebook import rule_book, rule_book_json

    if as_json:
        _print_json(rule_book_json())
        return
    click.echo(rule_book(), nl=False)


@main.command(epilog=EXAMPLES["schema"])
@click.argument("file", type=click.Choice(["client", "practice"]), default="client")
def schema(file: str) -> None:
    """Print a JSON Schema for the client file, so that an editor completes and checks it.

    FILE is client (the default) or practice.
    """
    from sitegen.practice.schema import client_schema, practice_schema

    found = client_schema() if file == "client" else practice_schema()
    _print_json(found)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
