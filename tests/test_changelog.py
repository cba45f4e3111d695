"""The changelog tells of this version first, and of each thing once."""

from __future__ import annotations

import re
from pathlib import Path

from sitegen import __version__

TEXT = (Path(__file__).resolve().parents[1] / "CHANGELOG.md").read_text(encoding="utf-8")


def test_the_version_that_the_tool_tells_stands_first():
    versions = re.findall(r"^## (\S+)", TEXT, re.MULTILINE)

    assert versions[:1] == [__version__]
    assert len(versions) == len(set(versions))


def test_no_entry_stands_there_twice():
    entries = re.findall(r"^- (.+(?:\n  .+)*)", TEXT, re.MULTILINE)

    assert len(entries) > 100
    assert sorted(set(entries)) == sorted(entries)


def test_no_merge_left_its_marks():
    assert re.findall(r"^(?:<{7}|={7}|>{7}).*", TEXT, re.MULTILINE) == []
