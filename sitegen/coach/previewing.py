"""`sitegen preview`: build, serve what was built, and build again on change."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

from sitegen.coach.preview import serve
from sitegen.practice.opening import open_practice
from sitegen.seal.addresses import private_address
from sitegen.seal.keys_file import KEYS_FILE, load_keys
from sitegen.site.building import build_site
from sitegen.site.built import Built


def run_preview(clients: Path, out: Path, as_of: date | None, port: int) -> int:
    """Serve on this computer until interrupted. Nothing to serve is exit 1."""
    last = Built(False, ())

    def rebuild() -> tuple[str, ...]:
        nonlocal last
        built = build_site(clients, out, (), as_of, reports=True)
        last = built if built.done else last
        return built.told

    def links(address: str) -> list[str]:
        """A line for each client: the private link as the preview serves it at ``address``."""
        if not last.done:
            return [_seen_on(line, as_of) for line in preview_links(clients, address)]
        width = max((len(id) for id, *_ in last.addresses), default=0)
        return [
            _seen_on(f"{id:<{width}}  {private_address(address, link, privacy)}", as_of)
            for id, _, link, privacy in last.addresses
        ]

    return serve(out, rebuild, clients, links, port=port)


def _seen_on(line: str, as_of: date | None) -> str:
    """The line with a day in its link: in a preview the page then takes it for today."""
    if as_of is None:
        return line
    place, mark, key = line.partition("#")
    return f"{place}?day={as_of.isoformat()}{mark}{key}"


def preview_links(clients: Path, address: str) -> Iterator[str]:
    """The same where there are errors: of those clients who have none, if they have a link."""
    opened = open_practice(clients, (), None)
    keys, _ = load_keys(clients / KEYS_FILE)
    if keys is None:
        return
    width = max((len(id) for id in opened.cases), default=0)
    for id, case in opened.cases.items():
        if id in keys.links:
            link = private_address(address, keys.links[id], case.privacy)
            yield f"{id:<{width}}  {link}"
