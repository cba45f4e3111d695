"""A client's portal for the frame in the desk: as it would be built now, without the client's key.

It is drawn in clear, and with a link that is nobody's, so that what lies on the frame's port opens
nothing and signs nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from sitegen import __version__, world
from sitegen.desk.warm import KnownClient, Warm
from sitegen.plan.drilling import used
from sitegen.portal.changed import compared_with, read_kept
from sitegen.portal.edition import split_edition
from sitegen.portal.handed import handed
from sitegen.portal.page import INSTALL, Look, Renderer
from sitegen.portal.told_before import seen_before
from sitegen.practice.house import House
from sitegen.seal.addresses import checkin_code, feed_name, portal_name
from sitegen.site.client import ANY_LINK, renderer_of, shared_files
from sitegen.site.notes import SEEN_FILE, Notes


def portal_of(warm: Warm, known: KnownClient) -> Mapping[str, bytes] | None:
    """The page and all that it loads, by names below a site's folder; None where the files have
    an error, or the client has ended."""
    house, case, plan = warm.house, known.case, known.plan
    if house is None or case is None or plan is None or plan.status == "ended":
        return None
    with Notes(warm.clients, SEEN_FILE, is_spare=True) as notes:
        _, note = split_edition(notes.get(known.files.id))
    kept = read_kept(note)
    handouts, named = handed(case, house.handouts)
    renderer, shared = _shared(house)
    document = renderer.document(
        case,
        plan,
        used(plan, house.drills, (*case.client.drills, *named)),
        feed_url=None if case.calendar == "off" else f"../{feed_name(ANY_LINK)}",
        code=checkin_code(ANY_LINK),
        before=seen_before(case, plan, kept) if case.told else compared_with(kept, plan),
        handouts=handouts,
        logo=house.logo,
    )
    page = renderer.page(
        content=document,
        sealed=None,
        language=case.language,
        portal=ANY_LINK.portal,
        look=Look(accent=house.practice.accent, version=__version__),
    )
    own = {
        portal_name(ANY_LINK): page.encode("utf-8"),
        f"{ANY_LINK.portal}/{INSTALL}": renderer.install(case.language).encode("utf-8"),
    }
    return {**shared, **own}


_made: list[tuple[House, Renderer, Mapping[str, bytes]]] = []  # of the house that was used last


def _shared(house: House) -> tuple[Renderer, Mapping[str, bytes]]:
    """What draws portals, and what all of them load."""
    if not _made or _made[0][0] is not house:
        renderer = _renderer()
        _made[:] = [(house, renderer, shared_files(renderer, house))]
    return _made[0][1:]


@lru_cache(1)
def _renderer() -> Renderer:
    return renderer_of(world.read_templates(), {}, world.read_languages())
