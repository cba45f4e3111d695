"""The changelog tells of this version first, of each thing once, and of every command."""

from __future__ import annotations

import re
from pathlib import Path

from sitegen import __version__
from sitegen.__main__ import main

TEXT = (Path(__file__).resolve().parents[1] / "CHANGELOG.md").read_text(encoding="utf-8")


def test_the_version_that_the_tool_tells_stands_first():
    versions = re.findall(r"^## (\S+)", TEXT, re.MULTILINE)

    assert versions[:1] == [__version__]
    assert len(versions) == len(set(versions))
