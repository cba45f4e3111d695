"""The recipe of DEVELOPERS.md for a way back to running, followed in a copy: one file, no line."""

from __future__ import annotations

from pathlib import Path

from recipe import Copy

RETURNS = "sitegen/library/returns"


def test_a_way_back_is_one_file(tmp_path: Path) -> None:
    copy = Copy(tmp_path)
    calf = (copy.root / RETURNS / "calf.yaml").read_text(encoding="utf-8")
    copy.write(f"{RETURNS}/shin.yaml", calf.replace("calf", "shin"))
    by_hand = copy.touched()

    client = (copy.root / "clients/nia.yaml").read_text(encoding="utf-8")
    copy.write("clients/nia.yaml", f"{client}return: {{after: shin, cleared_on: 2027-03-18}}\n")
    told = copy.run("-m", "sitegen", "weeks", "nia", "--as-of", "2027-03-18", "--json")
    assert told.returncode == 0, told.stderr
    assert "Coming back, step 1 of 5." in told.stdout

    wrong = client + "return: {after: shun, cleared_on: 2027-03-18}\n"
    copy.write("clients/nia.yaml", wrong)
    checked = copy.run("-m", "sitegen", "check", "nia")
    assert checked.returncode == 1 and "did you mean shin?" in checked.stderr + checked.stdout
    assert by_hand == [f"{RETURNS}/shin.yaml"]
