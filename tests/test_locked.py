"""The lock files hold what the tests lean on: every name that pyproject.toml gives, with one exact
version within its range for each Python, hashes, and no registry's address."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())
PYTHONS = ("3.11", "3.12", "3.13")
LOCKS = ("locked.txt", "locked-build.txt")
LINE = re.compile(
    r"^(?P<pinned>[a-z0-9][^\\\n]*?) *\\\n(?P<hashes>(?: +--hash=\S+(?: \\)?\n)+)", re.M
)


def locked(name: str) -> list[Requirement]:
    """What a lock file pins, a line for each name and kind of machine."""
    return [Requirement(m["pinned"]) for m in LINE.finditer((ROOT / "tools" / name).read_text())]


def wanted(lock: str) -> list[Requirement]:
    """What pyproject.toml asks for; an extra of this project itself stands for its own list."""
    lines = list(PROJECT["dependency-groups"]["build"])
    if lock == "locked.txt":
        extras = PROJECT["project"]["optional-dependencies"]
        lines += PROJECT["project"]["dependencies"] + [
            n for names in extras.values() for n in names
        ]
    return [r for r in map(Requirement, lines) if r.name != PROJECT["project"]["name"]]


@pytest.mark.parametrize("python", PYTHONS)
@pytest.mark.parametrize("lock", LOCKS)
def test_every_dependency_is_pinned_within_its_range(lock: str, python: str) -> None:
    machine = {"python_version": python, "python_full_version": f"{python}.0"}
    pins: dict[str, str] = {}
    for pinned in locked(lock):
        if pinned.marker is None or pinned.marker.evaluate(machine):
            (exact,) = pinned.specifier
            assert exact.operator == "=="
            assert pins.setdefault(canonicalize_name(pinned.name), exact.version) == exact.version

    for asked in wanted(lock):
        version = pins.get(canonicalize_name(asked.name))
        assert version is not None, f"{asked.name} is not locked: make lock"
        assert asked.specifier.contains(version), f"{asked} and {version} locked: make lock"


@pytest.mark.parametrize("lock", LOCKS)
def test_nothing_is_locked_without_a_hash_or_with_an_address(lock: str) -> None:
    text = (ROOT / "tools" / lock).read_text()

    assert len(locked(lock)) == len(re.findall(r"^\w", text, re.M)) > 5
    assert "://" not in text and "--index" not in text


def test_what_comes_from_npm_is_locked_by_hash_and_without_an_address() -> None:
    asked = json.loads((ROOT / "package.json").read_text())["devDependencies"]
    found = json.loads((ROOT / "package-lock.json").read_text())["packages"]

    assert found.pop("")["devDependencies"] == asked
    assert all(re.fullmatch(r"\d+\.\d+\.\d+", version) for version in asked.values())
    assert {n: found[f"node_modules/{n}"]["version"] for n in asked} == asked
    assert all(p["integrity"].startswith("sha512-") for p in found.values())
    assert not any("resolved" in package for package in found.values())
