"""Two clients of one name are told of, with the place and what to do, by all that tell warnings."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commands import sitegen
from sitegen.practice.namesakes import WrittenName, namesakes, written_name
from sitegen.practice.opening import list_practice
from test_cli import practice

__all__ = ["practice"]  # a fixture

DAY = ("--as-of", "2027-03-18")
WARNING = (
    "clients/nia-2.yaml:2:7: warning: nia.yaml has the same name, and links of one are easily sent "
    "to the other (keep one file if they are one person; if not, write what tells them apart "
    "behind each name, like Mara Quist (north)) [name-twice]"
)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("name: Nia Sandoval\nborn: 1990-01-01\n", ("nia sandoval", 1, 7)),
        ("# hers\r\nname:   NIA   Sandoval  # new\r\n", ("nia sandoval", 2, 9)),
        ("goal:\n  name: A\nname: 'Nia Sandoval'\n", ("nia sandoval", 3, 7)),
        ('name: "Ana Peña"\n', ("ana peña", 1, 7)),
        ("name: No #1\n", ("no", 1, 7)),
        ("name:   # none yet\n", None),
        ("name: ''\n", None),
        ("{name: Nia}\n", None),
        ("  name: Nia\n", None),
        ("name:\n", None),
    ],
)
def test_a_name_is_found_where_it_is_written(text: str, name: tuple[str, int, int] | None) -> None:
    assert written_name(text.encode()) == (name and WrittenName(*name))


def test_one_warning_a_name_however_many_have_it() -> None:
    names = {id: WrittenName("nia", 3, 7) for id in ("d", "a", "c")} | {
        "b": WrittenName("bo", 1, 7), "e": None, "f": None,
    }  # fmt: skip

    (problem,) = namesakes(names, "clients")
    assert str(problem).startswith(
        "clients/c.yaml:3:7: warning: a.yaml has the same name (and 1 more), and"
    )


def test_check_and_build_tell_it_alike(practice: Path) -> None:
    clients = practice / "clients"
    (clients / "nia-2.yaml").write_text((clients / "nia.yaml").read_text())

    for command in ("check", "build", "build"):
        assert WARNING in sitegen(command, *DAY, cwd=practice).stderr.splitlines(), command

    # a build that reads one file again knows the other's name from the build before
    hers = clients / "nia-2.yaml"
    hers.write_text(hers.read_text() + "# hers\n")
    assert WARNING in sitegen("build", *DAY, cwd=practice).stderr
    hers.write_text(hers.read_text().replace("Nia Sandoval", "Nia Sandoval (north)", 1))
    for command in ("check", "build", "build"):
        assert "name-twice" not in sitegen(command, *DAY, cwd=practice).stderr


def test_the_memory_of_a_build_holds_no_name(practice: Path) -> None:
    sitegen("build", *DAY, cwd=practice)

    kept = [p for p in practice.rglob("*") if p.is_file() and "cache" in str(p).lower()]
    assert kept
    assert not any(b"sandoval" in path.read_bytes().lower() for path in kept)


def test_what_is_told_as_json_has_it_too(practice: Path) -> None:
    clients = practice / "clients"
    (clients / "nia-2.yaml").write_text((clients / "nia.yaml").read_text())

    told = json.loads(sitegen("check", "--json", *DAY, cwd=practice).stdout)
    (problem,) = (p for p in told if p["code"] == "name-twice")
    desk = json.loads(sitegen("desk", "--as-of", DAY[1], "--json", cwd=practice).stdout)
    assert problem in desk["problems"]
    assert (problem["file"], problem["line"], problem["level"]) == (
        "clients/nia-2.yaml", 2, "warning",
    )  # fmt: skip


def test_a_log_under_the_id_of_before_is_asked_for_before_it_is_erased(tmp_path: Path) -> None:
    (tmp_path / "bea.log.yaml").write_text("[]\n")
    (alone,) = [p for p in list_practice(tmp_path).problems if p.code == "log-alone"]

    assert "; has bea another id now, give this file that one, too; or has bea left" in alone.hint
