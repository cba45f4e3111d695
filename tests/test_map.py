"""What is kept beside the code is not behind it: DEVELOPERS.md says what is tested where, and the
short forms of scripts are of what they are now."""

from __future__ import annotations

import re
from fnmatch import fnmatch
from pathlib import Path

from sitegen.portal.shrink import outdated
from sitegen.world import read_templates

HERE = Path(__file__).resolve().parent
PAGE = (HERE.parent / "DEVELOPERS.md").read_text(encoding="utf-8")


def lines() -> list[list[str]]:
    """The names in the second column, line by line; ``*`` in a name stands for any letters."""
    table = PAGE.partition("## What is tested where")[2].partition("\n## ")[0]
    rows = [row.split("|")[2] for row in table.splitlines() if row.startswith("|")]
    return [names for names in (re.findall(r"`([^`]+)`", row) for row in rows[2:]) if names]


def files() -> list[str]:
    """Every file of tests, as the table writes it: no folder ``tests``, no ending."""
    found = [*HERE.rglob("test_*.py"), *HERE.rglob("*.test.js")]
    return sorted(path.relative_to(HERE).as_posix().split(".")[0] for path in found)


def test_every_file_of_tests_stands_in_the_map() -> None:
    names = [name for line in lines() for name in line]
    missing = [f for f in files() if not any(fnmatch(f, name) for name in names)]

    assert missing == [], "say in DEVELOPERS.md what these test"
    assert len(files()) > 80


def test_every_line_of_the_map_leads_somewhere() -> None:
    assert [line for line in lines() if not any(fnmatch(f, n) for n in line for f in files())] == []
    assert len(lines()) > 15


def test_each_script_of_the_page_has_a_short_form_of_what_it_is_now() -> None:
    """Else it travels as it is written, and a first visit grows."""
    assert outdated(read_templates()) == (), "run: node tools/shorten.mjs"


def test_a_newcomer_has_at_most_forty_words_to_learn() -> None:
    table = PAGE.partition("\n## Words\n")[2].partition("\n## ")[0]
    words = [row.split("|")[1].split(",") for row in table.splitlines() if row.startswith("| ")][1:]

    assert 20 < len([word for row in words for word in row]) <= 40
