"""Build and preview: the thin shell round `sitegen.build`."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sitegen import build, world
from sitegen.desk.practice import Opened, open_practice
from sitegen.keys import Keys, ensure, retire
from sitegen.keys_file import NAME, load_keys, update_keys
from sitegen.model.problem import Origin, Problem

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True, slots=True)
class Built:
    """What a build did, or why it did nothing."""

    done: bool
    problems: tuple[Problem, ...]
    summary: str = ""
    links: tuple[str, ...] = ()

    @property
    def errors(self) -> int:
        return sum(1 for p in self.problems if p.level == "error")


def quiet(done: int, total: int, what: str) -> None:
    """For who wants no progress."""


def build_site(
    clients: Path,
    out: Path,
    ids: tuple[str, ...] = (),
    as_of: date | None = None,
    progress: Progress = quiet,
) -> Built:
    """Check everything, then write ``out`` whole; with an error anywhere, write nothing."""
    from sitegen.desk.practice import NotThere

    try:
        opened = open_practice(clients, ids, as_of)
    except NotThere as error:
        return Built(False, (Problem(Origin(clients.as_posix()), str(error), "", "no-client"),))
    except world.Refused as error:
        return _refused(clients, error)
    if opened.has_errors or opened.house is None:
        return Built(False, opened.problems)
    ended = {id for id, case in opened.cases.items() if case.client.status == "ended"}
    keys, told = _keys(clients, opened, ended)
    problems = (*opened.problems, *told)
    if keys is None:
        return Built(False, problems)
    try:
        written = _write(opened, keys, out, ids, progress)
    except world.Refused as error:
        return _refused(out, error)
    changed = len(written.added) + len(written.changed)
    count = len(opened.cases)
    summary = (
        f"{count} client{'' if count == 1 else 's'} built into {out}: "
        f"{changed} files written, {len(written.removed)} removed"
    )
    return Built(True, problems, summary, tuple(_links(opened, keys)))


def _refused(where: Path, error: Exception) -> Built:
    return Built(False, (Problem(Origin(where.as_posix()), str(error), "", "refused"),))


def _keys(
    clients: Path, opened: Opened, ended: set[str]
) -> tuple[Keys | None, tuple[Problem, ...]]:
    """A link for each client; none for those who ended or whose file is gone."""
    living = {id for id in opened.all_ids if id not in ended}

    def change(keys: Keys) -> Keys:
        for id in [id for id in keys.links if id in ended or id not in opened.all_ids]:
            keys = retire(keys, id)
        return ensure(keys, living, world.draw_bytes)

    try:
        return update_keys(clients / NAME, change)
    except OSError as error:
        why = error.strerror or str(error)
        origin = Origin((clients / NAME).as_posix())
        return None, (Problem(origin, f"the links can't be written: {why}", "", "keys-write"),)


def _write(
    opened: Opened, keys: Keys, out: Path, ids: tuple[str, ...], progress: Progress
) -> world.Written:
    house = opened.house
    assert house is not None
    world.finish_site(out)
    renderer = build.renderer_of(world.read_templates())
    stamp = world.now_utc()
    total = len(opened.cases)

    def files() -> Iterator[tuple[str, bytes]]:
        yield from build.shared_files(renderer, house.practice).items()
        for done, (id, case) in enumerate(opened.cases.items(), start=1):
            link = keys.links.get(id)
            if link is not None:
                before = world.read_site_file(out, build.feed_name(link))
                plan = opened.plans[id]
                made = build.files_of(case, plan, house, link, renderer, before, stamp)
                yield from made.items()
            progress(done, total, "building")

    return world.write_site(files(), out, keep=_kept(opened, keys, ids))


def _kept(opened: Opened, keys: Keys, ids: tuple[str, ...]) -> Callable[[str], bool]:
    """With clients named, the portals of all others stay as they are."""
    if not ids:
        return lambda name: False
    others = {
        name
        for id, link in keys.links.items()
        if id not in opened.ids
        for name in (build.portal_name(link), build.feed_name(link))
    }
    return others.__contains__


def _links(opened: Opened, keys: Keys) -> Iterator[str]:
    for id, case in opened.cases.items():
        if id in keys.links:
            yield f"{id}: {build.address_of(case, keys.links[id])}"


def run_preview(clients: Path, out: Path, as_of: date | None, port: int) -> int:
    """Serve on this computer until interrupted. Nothing to serve is exit 1."""
    from sitegen.desk.preview import serve

    def rebuild() -> tuple[Problem, ...]:
        return build_site(clients, out, (), as_of).problems

    def links(address: str) -> list[str]:
        return list(preview_links(clients, address))

    return serve(out, rebuild, clients, links, port=port)


def preview_links(clients: Path, address: str) -> Iterator[str]:
    """A line for each client: the private link as the preview serves it at ``address``."""
    opened = open_practice(clients, (), None)
    keys, _ = load_keys(clients / NAME)
    if keys is None:
        return
    width = max((len(id) for id in opened.cases), default=0)
    for id, case in opened.cases.items():
        if id in keys.links:
            link = build.address_of(case, keys.links[id])
            yield f"{id:<{width}}  {address}{link.removeprefix(case.practice.address or '')}"
