"""Which of a day's plans a page is: it counts changes, and the same files give the same page."""

from __future__ import annotations

import json
import re
import shutil
from datetime import date
from pathlib import Path

import pytest

from commands import PAGES
from sitegen.portal.edition import Edition, next_edition, split_edition, with_edition
from sitegen.site.building import build_site

CASES = Path(__file__).parent / "cases/receive/clients"
DAY = date(2027, 2, 9)


@pytest.fixture
def clients(tmp_path: Path) -> Path:
    folder = tmp_path / "clients"
    folder.mkdir()
    for name in ("practice.yaml", "mara.yaml"):
        shutil.copy(CASES / name, folder)
    with (folder / "practice.yaml").open("a", encoding="utf-8") as file:
        file.write("privacy: open\n")
    return folder


def page(clients: Path, site: str = "public", day: date | None = None) -> str:
    out = clients.parent / site
    assert build_site(clients, out, as_of=day).done
    (found,) = out.glob(PAGES)
    return found.read_text("utf-8")


def edition(page: str) -> int:
    block = re.search(r'id="portal-data">(.*?)</script>', page, re.DOTALL)
    assert block is not None
    return int(json.loads(block[1])["edition"])


def test_each_change_of_a_day_counts_also_one_that_is_taken_back(clients: Path) -> None:
    file = clients / "mara.yaml"
    first, before = page(clients), file.read_text("utf-8")
    file.write_text(before.replace("name: Mara", "name: Maria"), "utf-8")
    second = page(clients)
    file.write_text(before, "utf-8")
    third = page(clients)

    assert [edition(each) for each in (first, second, third)] == [0, 1, 2]
    assert page(clients, "other") == third, "the same files give the same page"
    assert edition(page(clients, "look", DAY)) == 0, "a look at another day counts nothing"
    assert page(clients, "again") == third


def test_a_day_begins_anew() -> None:
    first = next_edition(None, DAY, "a")
    assert first == Edition(DAY, 0, "a") == next_edition(first, DAY, "a")
    assert next_edition(first, DAY, "b") == Edition(DAY, 1, "b")
    assert next_edition(Edition(DAY, 7, "b"), date(2027, 2, 10), "c").number == 0


def test_it_comes_back_from_its_note() -> None:
    noted = Edition(DAY, 3, "0a1b")
    assert split_edition(with_edition(noted, "rest\n\nand more")) == (noted, "rest\n\nand more")
    assert split_edition(with_edition(None, "rest")) == (None, "rest")
    assert split_edition("edition 2027-02-30 x\n\nrest") == (None, "rest")
