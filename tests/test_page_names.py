"""The names of what a page loads are kept from one build for the next, and are never another's."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from language_builder import LONGER, languages
from portal_builder import COMPILED, EVIDENCE, make_drills, read_templates
from sitegen.model.drill import Drill
from sitegen.portal.catalogue import Languages
from sitegen.portal.page import Look, Renderer

SHIPPED = tuple(drill._replace(own=False) for drill in make_drills())


def renderer(
    kept: dict[str, bytes], of: dict[str, str] | None = None, more: Languages | None = None
):
    templates = read_templates() if of is None else of
    return Renderer(templates, EVIDENCE, COMPILED, more or languages(), kept)


def page(
    drawn_by: Renderer,
    drills: Sequence[Drill] = SHIPPED,
    accent: str | None = None,
    language: str = "es",
    is_sealed: bool = True,
) -> str:
    return drawn_by.page(
        content=None if is_sealed else "<p>x</p>",
        sealed="x" if is_sealed else None,
        language=language, portal="A" * 22, look=Look(accent), drills=drills,
    )  # fmt: skip


def test_a_second_build_makes_nothing_to_name_it():
    kept: dict[str, bytes] = {}
    first, second = renderer(kept), renderer(kept)

    assert page(first) == page(second)
    assert {"_bundles", "_sealed_scripts", "_late_files"} <= vars(first).keys()
    assert not {"_bundles", "_sealed_scripts", "_late_files", "_shelves"} & vars(second).keys()


@pytest.mark.parametrize("is_sealed", [True, False])
def test_what_is_named_is_what_is_made(is_sealed: bool):
    kept: dict[str, bytes] = {}
    for _ in range(2):
        drawn_by = renderer(kept)
        text = page(drawn_by, drills=SHIPPED if is_sealed else (), is_sealed=is_sealed)
        files = drawn_by.assets() | drawn_by.shelves(SHIPPED)
        named = [part.split('"')[0] for part in text.split('"../')[1:]]
        assert len(named) > 5 and set(named) <= files.keys()


def test_whatever_a_name_depends_on_gives_another_page():
    templates, shipped = read_templates(), languages().shipped
    spanish, drills = shipped["es"]
    id = next(drill.id for drill in SHIPPED if drill.id in drills)
    other = Languages({**shipped, "es": (spanish, {**drills, id: drills[id] + b"\nMas.\n"})})
    said = Languages({**shipped, "es": (shipped[LONGER][0], drills)})
    styled = {**templates, "style/page.css": templates["style/page.css"] + "\n.x{top:0}"}
    script = {**templates, "start.js": templates["start.js"] + "\nwindow.x = 1;"}
    reworded = (SHIPPED[0]._replace(text="Other words."), *SHIPPED[1:])

    def pages(kept: dict[str, bytes] | None) -> list[str]:
        def drawn_by(of: dict[str, str] | None = None, more: Languages | None = None) -> Renderer:
            return renderer({} if kept is None else kept, of, more)

        return [
            page(drawn_by()),
            page(drawn_by(), accent="#0b5c8a"),
            page(drawn_by(), language="en"),
            page(drawn_by(), drills=SHIPPED[:1]),
            page(drawn_by(), drills=reworded, language="en"),
            page(drawn_by(), is_sealed=False, drills=()),
            page(drawn_by(styled)),
            page(drawn_by(script)),
            page(drawn_by(more=other)),
            page(drawn_by(more=said)),
        ]

    apart = pages(None)
    assert len({*apart}) == len(apart)
    assert pages({}) == apart
