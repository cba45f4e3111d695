"""Out: built and published by name, with what needs a yes; links on paper, messages to copy."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sitegen.coach.links_page import write_links
from sitegen.coach.reminding import silent_of
from sitegen.desk.panel import DeskPanel, Outcome, Sent, Shown
from sitegen.desk.warm import Warm
from sitegen.desk.wording import by_name, of_client
from sitegen.model.problem import Origin, Problem
from sitegen.practice.opening import NotThere
from sitegen.publish import command as publishing
from sitegen.publish.closed import LESS_PRIVATE
from sitegen.publish.look import MANY, NEWER
from sitegen.site.building import build_site

LINKS_FOLDER = Path("desk")
YES_DOES = {
    MANY: "Take those portals away, and publish",
    NEWER: "Put what was built here in its place",
    LESS_PRIVATE: "Open what was closed there",
}
"""The words on the button where a publish needs a yes that says what it does."""


def _view(warm: Warm, _given: Sent) -> Mapping[str, Any]:
    sheet = warm.sheet()
    house = warm.house
    return {
        "changed": [row for row in sheet.rows if row.changed],
        "alarms": [row for row in sheet.rows if row.has_alarm and row.status != "aside"],
        "silent": silent_of(sheet.rows, lambda id: warm.known(id).case),
        "targets": tuple(house.practice.targets) if house else (),
        "address": house.practice.address if house else None,
    }


def _build(warm: Warm, _given: Sent) -> Shown:
    rows = warm.sheet().rows
    changed = ", ".join(row.name for row in rows if row.changed)
    lines = (f"Other sessions than last seen: {changed}",) if changed else ()
    names = {row.id: row.name for row in rows}
    targets = warm.house.practice.targets if warm.house else {}
    then = ("out/publish", "Publish…") if len(targets) == 1 else None

    def do() -> Outcome:
        built = build_site(warm.clients, warm.out, (), warm.as_of, tells=True, reports=True)
        told = (*(of_client(one, names) for one in built.news), *built.more)
        if not built.done:
            return Outcome("Nothing was built.", lines=told)
        stopped, held = built.stopped, [id for id in built.held if id not in built.stopped]
        lines = (
            *(
                [f"Not built, for errors; a page of before stays: {', '.join(held)}"]
                if held
                else ()
            ),
            *(
                [f"With errors, but the page says to stop, and why: {', '.join(stopped)}"]
                if stopped
                else ()
            ),
            *told,
        )
        return Outcome(f"{built.summary}.", lines=lines, then=then)

    return Shown("Build all pages", lines, do=do, yes="Build")


def _publishing(before: bool) -> Any:
    def prepare(warm: Warm, given: Sent) -> Shown:
        practice = warm.house.practice if warm.house else None
        practice = practice or publishing.read_all_the_same(warm.clients)
        says = "Publish the state before" if before else "Publish"
        if practice is None:
            return Shown(says, problems=warm.listed().read[1])
        wanted = str(given.get("target") or "") or None
        try:
            target = publishing.target_of(practice, wanted, warm.clients)
        except NotThere:
            if warm.house is not None:
                raise
            return Shown(says, problems=warm.listed().read[1])  # it may be named where the error is
        ids = warm.listed().all_ids

        def run(said: tuple[str, ...], dry_run: bool) -> publishing.Published:
            return publishing.run(
                warm.clients, warm.out, target, dry_run=dry_run, adopt=False, said=said, here=ids,
                before=before, progress=_quiet,
            )  # fmt: skip

        seen = run((), dry_run=True)
        asks = tuple(one.code for one in seen.report.problems if one.code in YES_DOES)
        wrong = [publishing.problem_of(one, target) for one in seen.report.problems]
        wrong += [] if before else publishing.stale(warm.clients, warm.out)
        names = {row.id: row.name for row in warm.sheet().rows}
        lines = tuple(by_name(line.strip(), names) for line in publishing.report_lines(seen, names))
        can = seen.report.ok or all(one.code in YES_DOES for one in seen.report.problems)

        def do() -> Outcome:
            done = run(asks, dry_run=False)
            told: tuple[Problem, ...] = ()
            if practice.targets and done.report.ok:
                told = publishing.tell_published(
                    warm.clients, warm.out, target, done.again, is_new=done.is_new
                )
            trouble = (*map(str, done.report.problems), *(one.message for one in told))
            first, *rest = publishing.report_lines(done, names)
            return Outcome(
                f"{first}.", lines=(*trouble, *(by_name(line.strip(), names) for line in rest))
            )

        yes = "; ".join(YES_DOES[code] for code in asks) or says
        return Shown(f"{says}: {seen.report.target or target}", lines, problems=tuple(wrong),
                     do=do if can else None, yes=yes)  # fmt: skip

    return prepare


def _quiet(done: int, total: int, what: str, share: float | None = None) -> None:
    """The desk shows no progress."""


def _links(warm: Warm, _given: Sent) -> Shown:
    if warm.house is not None and not warm.house.practice.address:
        place = Origin((warm.clients / "practice.yaml").as_posix())
        wrong = "the site has no address yet, so each link would be half of one"
        hint = "write `address: https://...` into practice.yaml, where public/ will be served"
        return Shown("All links on paper", problems=(Problem(place, wrong, hint, "link-address"),))
    warns = "Whoever reads the page can open every portal on it: delete it once it is printed."

    def do() -> Outcome:
        written = write_links(warm.clients, LINKS_FOLDER, warm.out)
        wrong = tuple(map(str, written.problems))
        if written.page is None:
            return Outcome("Nothing was written.", lines=wrong)
        return Outcome(f"{written.page.resolve()}: open it and print it.", lines=wrong)

    return Shown("All links on paper", (f"Writes {LINKS_FOLDER}/links.html.", warns), do=do)


PANEL = DeskPanel(
    "out",
    "Out",
    _view,
    {
        "build": _build,
        "publish": _publishing(before=False),
        "before": _publishing(before=True),
        "links": _links,
    },
)
