"""All private links with their QR codes, as one page to print and to cut: it is never published."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from markupsafe import Markup

from sitegen import world
from sitegen.coach.desk_page import LINKS_PAGE, put_page
from sitegen.coach.paper import private_page
from sitegen.model.problem import Origin, Problem
from sitegen.portal.qr import drawing
from sitegen.practice.naming import is_error
from sitegen.practice.opening import list_practice
from sitegen.seal.addresses import address_of, feed_address_of
from sitegen.seal.keys import ensure
from sitegen.seal.keys_file import KEYS_FILE, update_keys

LINKS_TEMPLATE, LINKS_STYLE = "links.html", "links-style.html"


class LinkOnPaper(NamedTuple):
    """One client's link. ``qr`` is its drawing, an SVG; ``feed`` the calendar's address or empty;
    ``has_passphrase`` that the link alone opens nothing."""

    id: str
    name: str
    group: str
    url: str
    feed: str
    has_passphrase: bool
    qr: str


class LinksWritten(NamedTuple):
    """The page and who is on it; no page where ``problems`` say why."""

    page: Path | None
    ids: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()


def links_page(links: Sequence[LinkOnPaper], practice: str, templates: Mapping[str, str]) -> str:
    """The page: one file that loads and runs nothing."""
    return private_page(
        templates,
        LINKS_TEMPLATE,
        LINKS_STYLE,
        links=[one._replace(qr=Markup(one.qr)) for one in links],
        practice=practice,
    )


def write_links(clients: Path, to: Path, out: Path, group: str | None = None) -> LinksWritten:
    """Write the page into the desk's folder. Who has no link yet gets one, as by ``sitegen link``.

    Args:
        clients: The practice's folder.
        to: The desk's folder.
        out: The built site's folder, which must not hold the page.
        group: Only the clients of this group.

    Raises:
        Refused: The folder belongs to the site, to a target or to other files, or it or
            the keys can't be written.
    """
    listed = list_practice(clients)
    problems = {*filter(is_error, listed.problems)}
    house = listed.house
    if house is None:
        return LinksWritten(None, (), tuple(sorted({*problems, *listed.read[1]})))
    if not house.practice.address:
        problem = Problem(
            Origin((clients / "practice.yaml").as_posix()),
            "the site has no address yet, so each link would be half of one",
            "write `address: https://...` into practice.yaml, where public/ will be served",
            "link-address",
        )
        return LinksWritten(None, (), (problem,))
    cases = []
    for files, told in listed.files(listed.ids):
        case, wrong = listed.judge(files)
        problems.update((*told, *filter(is_error, wrong)))
        if case and case.client.status != "ended" and group in (None, case.client.group):
            cases.append((files.id, case))
    ids = tuple(id for id, _ in cases)
    try:
        keys, told = update_keys(clients / KEYS_FILE, lambda k: ensure(k, ids, world.draw_bytes))
    except OSError as error:
        says = f"{clients / KEYS_FILE} can't be written: {error.strerror or error}"
        raise world.Refused(says) from error
    if keys is None:
        return LinksWritten(None, (), told)
    on_paper = []
    for id, case in cases:
        link, url = keys.links[id], address_of(case, keys.links[id])
        feed = feed_address_of(case, link) or ""
        is_locked = link.passphrase is not None and case.privacy == "sealed"
        code = drawing(url, f"Code of {case.client.name}'s link")
        group_name = case.client.group or ""
        on_paper.append(LinkOnPaper(id, case.client.name, group_name, url, feed, is_locked, code))
    text = links_page(on_paper, house.practice.name, world.read_templates())
    page = put_page(house, clients, to, out, LINKS_PAGE, text)
    return LinksWritten(page, ids, tuple(sorted({*problems, *told})))
