"""`make faults`: what is killed, cut, full, at once or damaged, tried at length; a table of it.

Each test may tell how many trials it holds (`record_property`); else it is one. Prints Markdown,
as it stands in `docs/security.md`; ends with pytest's status.
"""

from __future__ import annotations

import sys
import tempfile
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ROWS = {
    "killed (-9) while the keys are written: the file is whole": ("test_keys.py::test_killed_",),
    "killed (-9) while the site is written: old or new, whole": (
        "test_site_folder.py::test_killed_at_any_moment_a_whole_site_is_there",
    ),
    "power gone at a step of a publish: each portal whole": (
        "test_publish_faults.py::test_the_power_may_go_at_any_step",
    ),
    "line cut while publishing: each portal whole, the next run finishes": (
        "test_publish_faults.py::test_the_line_may_break",
        "test_publish_hosts.py::test_a_cut_line",
    ),
    "disk full: nothing half, said in words": (
        "test_publish_faults.py::test_a_full_disk",
        "test_site_folder.py::test_a_full_disk",
        "test_output_lost.py::test_a_full_disk",
    ),
    "two at once: nothing lost": (
        "test_two_at_once.py::",
        "test_keys.py::test_of_two_commands_at_once",
        "test_site_folder.py::test_two_builds_at_once",
        "test_publish_hosts.py::test_two_publishes_at_once",
    ),
    "stopped with Ctrl-C: nothing half, said what is so": ("test_stopping.py::",),
    "strangers' mail: stops no other, words searched": (
        "test_receive_strangers.py::",
        "test_receive_memory.py::",
    ),
    "files and messages with bytes changed: a value, or a place and a mend": (
        "test_reading_fuzz.py::",
        "test_fuzz_kinds.py::",
    ),
}


class OfRows:
    """Runs the tests of the table alone."""

    def pytest_collection_modifyitems(
        self, config: pytest.Config, items: list[pytest.Item]
    ) -> None:
        asked = [item for item in items if row_of(f"{item.path.name}::{item.name}")]
        config.hook.pytest_deselected(items=[item for item in items if item not in asked])
        items[:] = asked


def row_of(test: str) -> str:
    """The row in which a test counts; empty for none."""
    return next((row for row, begins in ROWS.items() if test.startswith(begins)), "")


def table(report: Path) -> str:
    """What a run's report in JUnit's form says of each row."""
    trials, failed, skipped = (dict.fromkeys(ROWS, 0) for _ in range(3))
    for case in ElementTree.parse(report).iter("testcase"):
        file = f"{case.attrib['classname'].rpartition('.')[2]}.py"
        row = row_of(f"{file}::{case.attrib['name']}")
        if not row:
            continue
        told = [p.attrib["value"] for p in case.iter("property") if p.attrib["name"] == "trials"]
        if case.find("skipped") is not None:
            skipped[row] += 1
            continue
        trials[row] += int(told[0]) if told else 1
        failed[row] += case.find("failure") is not None or case.find("error") is not None
    lines = [
        "| trial | how often | tests that failed | tests left out |",
        "| --- | --- | --- | --- |",
    ]
    lines += [f"| {row} | {trials[row]:,} | {failed[row]} | {skipped[row]} |" for row in ROWS]
    return "\n".join(lines)


def main() -> int:
    files = sorted({begins.partition("::")[0] for row in ROWS.values() for begins in row})
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder, "report.xml")
        words = ["-q", f"--junitxml={report}", *(str(HERE / file) for file in files)]
        status = pytest.main([*words, *sys.argv[1:]], plugins=[OfRows()])
        if report.exists():
            print(table(report))
    return int(status)


if __name__ == "__main__":
    sys.exit(main())
