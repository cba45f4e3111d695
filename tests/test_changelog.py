"""The changelog tells of this version first, of each thing once, and of every command."""

from __future__ import annotations

import re
from pathlib import Path

from sitegen import __version__
from sitegen.cli import COMMANDS

TEXT = (Path(__file__).resolve().parents[1] / "CHANGELOG.md").read_text(encoding="utf-8")


def test_the_version_that_the_tool_tells_stands_first():
    versions = re.findall(r"^## (\S+)", TEXT, re.MULTILINE)

    assert versions[:1] == [__version__]
    assert len(versions) == len(set(versions))


def test_no_entry_stands_there_twice():
    entries = re.findall(r"^- (.+(?:\n  .+)*)", TEXT, re.MULTILINE)

    assert len(entries) > 30
    assert sorted(set(entries)) == sorted(entries)


def test_every_command_is_named():
    told = set(re.findall(r"`(?:sitegen )?([a-z]+)[^`]*`", TEXT))

    assert len(COMMANDS) > 30
    assert set(COMMANDS) - told == set()


def test_no_merge_left_its_marks():
    assert re.findall(r"^(?:<{7}|={7}|>{7}).*", TEXT, re.MULTILINE) == []
