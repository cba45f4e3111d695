"""The desk in three engines: a row, an act shown and written, a portal in its closed frame."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from desk_served import lay_practice, served
from engines import NAMES, engine, until
from nightly import some_of
from sitegen.desk.server import Desk


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with served(lay_practice(tmp_path)) as running:
        yield running


@pytest.mark.parametrize("name", some_of(NAMES, "firefox"))
def test_each_engine_shows_a_row_an_act_and_the_portal(name: str, desk: Desk) -> None:
    with engine(name) as one:
        one.open(desk.new_address())
        one.wait_for(".sheet")
        one.ask("document.querySelector('[data-open=\"decide?whose=mirela\"]').click()")
        one.wait_for("dialog[open] form[data-show='sheet/lighter']")
        one.ask(
            "(() => { const form = document.querySelector(\"form[data-show='sheet/lighter']\");"
            " form.because.value = 'work'; form.requestSubmit(); })()"
        )
        one.wait_for("dialog[open] [data-yes]")
        one.ask("document.querySelector('[data-yes]').click()")
        until(lambda: "Written" in str(one.ask("document.querySelector('#says').textContent")))
        assert "work" in (desk.warm.clients / "mirela.yaml").read_text()
        one.ask("(() => { location.hash = 'client?id=ayla'; })()")
        one.wait_for("iframe.phone")
        assert one.ask("document.querySelector('iframe.phone').getAttribute('sandbox')") == (
            "allow-scripts"
        )
