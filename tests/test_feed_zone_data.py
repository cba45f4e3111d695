"""The newer of the system's and of the package's time zone data is read, and its version told."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import tzdata

from commands import process
from sitegen.terminal.zones import system_version, use_newest_zones, version_read, zones_told

PACKAGE = f"{tzdata.IANA_VERSION}, of the package tzdata"


@pytest.mark.parametrize(
    ("version", "told"), [("1999z", PACKAGE), ("2999a", "2999a, of this computer"), (None, PACKAGE)]
)
def test_the_newer_is_read(tmp_path: Path, version: str | None, told: str) -> None:
    if version is not None:
        (tmp_path / "tzdata.zi").write_text(f"# version {version}\n# This is the data\n")
    script = (
        "import sys, zoneinfo\nzoneinfo.reset_tzpath((sys.argv[1],))\n"
        "from sitegen.terminal.zones import use_newest_zones, zones_told\n"
        "use_newest_zones(); print(zones_told()); zoneinfo.ZoneInfo('Europe/Lisbon')\n"
        "import subprocess; subprocess.run([sys.executable, '-c',"
        " 'import zoneinfo; print(bool(zoneinfo.TZPATH))'])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, str(tmp_path)], capture_output=True, text=True, check=True
    )
    is_ours = "package" in told
    assert done.stdout == f"{told}\n{not is_ours}\n"  # and so does a process that it starts


def test_who_has_chosen_is_left_alone(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PYTHONTZPATH", str(tmp_path))
    before = zones_told()
    use_newest_zones()
    assert zones_told() == before


def test_versions_are_read_as_systems_write_them(tmp_path: Path) -> None:
    (tmp_path / "+VERSION").write_text("2024b\n")
    assert system_version(("/nowhere", str(tmp_path))) == "2024b"
    assert system_version(("/nowhere",)) == ""


def test_the_version_tells_it(tmp_path: Path) -> None:
    told = process("--version", cwd=tmp_path).stdout
    assert told.startswith("sitegen, version ") and "; time zones 2" in told


def test_the_same_data_is_one_version_whoever_keeps_it(tmp_path: Path) -> None:
    """A cluster's worker that read the system's was refused where the package's are the same."""
    (tmp_path / "tzdata.zi").write_text(f"# version {tzdata.IANA_VERSION}\n")
    assert version_read((str(tmp_path),)) == version_read(()) == tzdata.IANA_VERSION
    assert version_read(("/nowhere",)) == "of no known version"
