"""Whom a stopped client is told to call: what is known of it, and nothing invented."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from commands import sitegen
from sitegen.model.practice import NO_CONTACT
from sitegen.practice.lenient import lenient_practice
from test_cli import practice
from test_one_stop import DAY, ID, build, open_practice, surfaces

__all__ = ["open_practice", "practice"]  # fixtures

CHEST = f"- {{on: {DAY}, signs: [chest_pain]}}\n"
HOUSES = {
    "no YAML": ("name: [\ncontact: ines@lanefour.example\n", "ines@lanefour.example"),
    "nothing to read": ("][", ""),
}


@pytest.mark.parametrize("house", HOUSES)
def test_a_stop_beside_an_unreadable_practice_tells_no_address_that_nobody_has(
    open_practice: Path, house: str
) -> None:
    build(open_practice)
    text, known = HOUSES[house]
    (open_practice / "clients" / "practice.yaml").write_text(text)
    log = open_practice / "clients" / f"{ID}.log.yaml"
    log.write_text(log.read_text() + CHEST)

    done = sitegen("build", "--as-of", DAY, cwd=open_practice)
    page, _ = surfaces(open_practice)

    assert done.returncode == 1 and "Call now" in page and 'href="tel:112"' in page
    addresses = {*re.findall(r"[\w.+-]+@[\w.-]+", page)}
    assert addresses == ({known} if known else set())
    assert ("Then tell your coach." in page) is (known == "") and ">?<" not in page
    assert f'"contact":"{known}"' in page.replace('": "', '":"')


def test_what_stands_in_for_an_address_is_nobodys() -> None:
    """RFC 2606 keeps the name for that."""
    assert lenient_practice(b"][").contact == NO_CONTACT
    assert NO_CONTACT.endswith(".invalid")


def test_the_clients_own_number_is_the_one_on_every_view_and_in_what_scripts_read(
    open_practice: Path,
) -> None:
    """The practice has another one: a client abroad who ticks a sign reads her own."""
    house = open_practice / "clients" / "practice.yaml"
    house.write_text(re.sub(r"(?m)^emergency:.*\n", "", house.read_text()) + "emergency: '911'\n")
    build(open_practice)
    page, _ = surfaces(open_practice)

    assert '"emergency":"112"' in page.replace('": "', '":"')
    assert "911" not in page and page.count('href="tel:112"') >= 1
