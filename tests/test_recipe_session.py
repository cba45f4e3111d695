"""The recipe of DEVELOPERS.md for a session, followed in a copy: one file, and it is planned."""

from __future__ import annotations

import json
from pathlib import Path

from recipe import Copy

SESSIONS = "sitegen/library/sessions"
BRIDGES = """\
title: Over the bridges
purpose: Changes of effort that a course asks for.
kind: tempo
parts:
  - {run: 4 min, effort: 6, text: "Run hard but evenly over the bridge."}
  - {run: 2 min, effort: 2, text: "Run very easily."}
repeat: 2
grows: {by: 1, to: 8}
"""


def test_a_session_is_one_file(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    copy.write(f"{SESSIONS}/a-bridges.yaml", BRIDGES)
    assert copy.touched() == [f"{SESSIONS}/a-bridges.yaml"]

    told = copy.run("-m", "sitegen", "weeks", "bram", "--as-of", "2027-01-11", "--json")
    assert told.returncode == 0, told.stderr
    sessions = [s for w in json.loads(told.stdout)["weeks"] for s in w["sessions"]]
    planned = [s for s in sessions if s["session"] == "a-bridges"]
    assert planned
    assert {s["title"] for s in planned} == {"Over the bridges"}
    assert all(s["hard"] and s["hard_minutes"] >= 4 for s in planned)
    assert {p["effort"] for s in planned for p in s["parts"]} >= {6, 2}
    checked = copy.run("-m", "sitegen", "check", "--as-of", "2027-01-11")
    assert checked.returncode == 0, checked.stdout


def test_a_session_of_the_coachs_own_is_one_file_in_her_folder(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    copy.write("clients/sessions/bridges.yaml", BRIDGES)

    told = copy.run("-m", "sitegen", "weeks", "bram", "--as-of", "2027-01-11", "--json")
    weeks = json.loads(told.stdout)["weeks"]
    hard = [s["session"] for w in weeks for s in w["sessions"] if s["hard"]]
    assert hard[0] == "bridges"
