"""The docs do what they say: each command in them runs, each example is read, each link leads on.

A reader goes through a page from top to bottom, so the test does. A block of YAML belongs to the
file that is named last before it, in `backticks`: a whole file is written, a part of one is put
into it. Then the commands of the ``sh`` blocks run, line by line, in one folder: those of the
README in a shell; of the other pages those that need one, and plain ones of ours in this process.
"""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import signal
import stat
import subprocess
import sys
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
import yaml

from commands import sitegen
from sitegen.checkins.signing import proof
from sitegen.cli import main
from sitegen.coach.fieldbook import BOOKS, Book, field_book
from sitegen.model.client import Client
from sitegen.model.record import all_rows, row_at
from sitegen.practice.house import case_of, read_house
from sitegen.practice.opening import texts_of
from sitegen.practice.records import read_client, read_log
from sitegen.practice.yaml_text import read_yaml
from sitegen.rules import RULES
from sitegen.seal.addresses import checkin_code
from sitegen.seal.keys_file import load_keys
from sitegen.seal.sealing import checkin_key
from sitegen.site.plans import plan_of
from sitegen.terminal.completion import client_ids
from sitegen.world import read_folder

ROOT = Path(__file__).resolve().parent.parent
DOCS = sorted((ROOT / "docs").glob("*.md"))
PAGES = (ROOT / "README.md", *DOCS)
FIRST = ROOT / "docs" / "first-client.md"
WRONG = ROOT / "docs" / "when-something-went-wrong.md"
TODAY = "2027-02-14"  # a Sunday, in the invented client's fifth week
FIRST_DAY = "2027-01-08"  # pages on a first client end before the plan begins
SHORT = 40  # lines; a common client's file stays under it
LETTERS = "mfzwizjtgq2dsmrqge3d"  # for the letters with which her page signs
CODE = "ABCD-EFGH"  # stands in the docs for the code that a client's page writes

# --- what stands in a page --------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Block:
    """A fenced block: its kind, its text, its line in the page, the file named last before it."""

    kind: str
    text: str
    line: int
    file: str


FENCE = re.compile(r"^```(?P<kind>\S*)\n(?P<text>.*?)^```$", re.MULTILINE | re.DOTALL)
NAMED = re.compile(r"`(?P<file>[\w.-]+\.(?:yaml|txt|csv))`")


def blocks_of(page: Path) -> list[Block]:
    text = page.read_text(encoding="utf-8")
    found = []
    for fence in FENCE.finditer(text):
        named = NAMED.findall(FENCE.sub("", text[: fence.start()]))
        line = text.count("\n", 0, fence.start()) + 1
        found.append(Block(fence["kind"], fence["text"], line, named[-1] if named else ""))
    return found


def commands_of(block: Block) -> list[str]:
    lines = block.text.splitlines()
    return [line for line in lines if line.strip() and not line.startswith("#")]


def put_in(whole: str, part: str) -> str:
    """A file with the top fields of ``part`` in place of its own of that name, or added."""
    wanted = set(yaml.load(part, Loader=yaml.BaseLoader) or {})
    kept: list[str] = []
    keep = True
    for line in whole.splitlines():
        if line[:1] not in (" ", "-", "#", ""):
            keep = line.split(":")[0] not in wanted
        if keep:
            kept.append(line)
    return "\n".join([*kept, part])


# --- commands that a test can't run as they stand ---------------------------------------------

SETS_UP = "sets a machine up, and CI does just that before it runs this test"
NOT_RUN = {
    "make demo": SETS_UP,
    "make test": SETS_UP + "; and it would run this test again",
    "python3 -m venv .venv": SETS_UP,
    "python3 -m venv ~/sitegen": SETS_UP,
    "~/sitegen/bin/pip install .": SETS_UP,
    ".venv/bin/pip install -e .": SETS_UP,
    ".venv/bin/pip install --require-hashes -r tools/locked-build.txt": SETS_UP,
    ".venv/bin/pip install --require-hashes -r tools/locked.txt --no-build-isolation": SETS_UP,
    ".venv/bin/pip install --no-deps --no-build-isolation -e .": SETS_UP,
    "tools/test-needs": SETS_UP,
    ".venv/bin/ruff check . && .venv/bin/mypy && node_modules/.bin/eslint .": SETS_UP,
    ".venv/bin/python -m pytest -n 3 --dist worksteal": SETS_UP,
    ".venv/bin/sitegen preview --as-of 2027-03-18": "test_preview.py serves the demo practice",
}
# Where a command asks, what is typed. The last answer of all is Enter.
TYPED = {
    "sitegen link mara --passphrase": "four loose words here\nfour loose words here\n",
    "sitegen erase mara": "mara\n",
    'sitegen rest mara tue --because "You travel that day."': "y\n",
    'sitegen move mara sun sat --because "The family comes on Sunday."': "y\n",
    'sitegen lighter mara --week 7 --because "A steady week after the journey."': "y\n",
    'sitegen word mara "Keep the hills easy."': "y\n",
    "sitegen undo": "y\n",
    'sitegen lighter mara --because "a hard week"': "y\n",
    "sitegen intake mara": "Mara Quint\n" + "\n" * 6 + "yes\nno\nno\n",
}
# Commands that end with another status than 0, and why.
ENDS_WITH = {
    "sitegen intake mara": (1, "the talk is broken off here; test_intake.py has whole ones"),
}
# Commands that serve until Ctrl-C: what they are given here, and what tells their address.
SERVES = {
    "sitegen preview": (("--port", "0"), "#k="),
    "sitegen desk": (("--port", "0", "--no-browser"), "http://127.0.0.1:"),
}
ONLY_READ = ("--page", "--to", "--json")  # with these the desk serves nothing
# What a page's commands write before its next example needs it.
LAID_DOWN = {"house-rules": {"texts/shoes.md": "# Shoes\n\nWear new ones on short runs first.\n"}}


PLAIN = re.compile(r"sitegen [^|&;<>$`*?~(){}#!\\]+")  # a command of ours that needs no shell


class Reader:
    """Somebody who follows a page in a folder of her own."""

    def __init__(self, home: Path, day: str, types_all: bool = False) -> None:
        """With ``types_all`` each command is a process; else a plain one of ours runs in this."""
        self.home = home
        self.day = day
        self.types_all = types_all
        tools = home.parent / "tools"
        tools.mkdir()
        self._tool = tools / "sitegen"
        # As the installed command; --as-of of each command from the environment.
        self._tool.write_text(
            f"#!{sys.executable}\nimport sys\nsys.path.insert(0, {str(ROOT)!r})\n"
            "from sitegen.cli import main\n"
            "main(prog_name='sitegen', auto_envvar_prefix='DOCS')\n"
        )
        self._tool.chmod(self._tool.stat().st_mode | stat.S_IXUSR)
        days = {f"DOCS_{name.upper()}_AS_OF": day for name in main.commands}
        compiled = str(home.parent.parent / "compiled")  # templates, once for all pages
        self.own = {**days, "HOME": str(home), "PATH": f"{tools}:{os.environ['PATH']}",
                    "XDG_CACHE_HOME": compiled}  # fmt: skip
        self.env = {**os.environ, **self.own}

    @property
    def clients(self) -> Path:
        return self.home / "clients"

    def follows(self, page: Path) -> Iterator[tuple[str, int, str]]:
        """Do what the page says; yields each command, its exit status, and all it printed."""
        for block in blocks_of(page):
            if block.kind == "sh":
                for command in commands_of(block):
                    bare = command.split("  #")[0].strip()
                    if bare not in NOT_RUN:
                        yield bare, *self.types(bare)
            elif block.kind == "yaml" and block.file.endswith(".yaml"):
                self.writes(block.file, block.text)
            elif block.kind == "text" and block.file.endswith((".txt", ".csv")):
                text = self.signed(block.text.replace(CODE, self.code()))
                (self.home / block.file).write_text(text, encoding="utf-8")

    def writes(self, name: str, text: str) -> None:
        """A file of the practice; answers for `intake` lie beside its folder."""
        self.clients.mkdir(exist_ok=True)
        path = (self.home if name == "form.yaml" else self.clients) / name
        before = path.read_text(encoding="utf-8") if path.exists() else ""
        if name.endswith(".log.yaml"):
            path.write_text(before + text, encoding="utf-8")
        else:
            path.write_text(put_in(before, text), encoding="utf-8")

    def types(self, command: str) -> tuple[int, str]:
        serves = SERVES.get(" ".join(command.split()[:2]))
        if serves is not None and not any(flag in command.split() for flag in ONLY_READ):
            return self._serves(command, *serves)
        if PLAIN.fullmatch(command) and not self.types_all:
            typed, words = TYPED.get(command, ""), shlex.split(command)[1:]
            here = sitegen(*words, cwd=self.home, typed=typed, prefix="DOCS", **self.own)
            return here.returncode, here.stdout + here.stderr
        done = subprocess.run(
            ["bash", "-c", command],
            cwd=self.home,
            env=self.env,
            input=TYPED.get(command, ""),
            capture_output=True,
            text=True,
            check=False,
            timeout=120,
        )
        return done.returncode, done.stdout + done.stderr

    def _serves(self, command: str, given: tuple[str, ...], address: str) -> tuple[int, str]:
        """Serves on any free port until it prints an address; then Ctrl-C."""
        with subprocess.Popen(
            [str(self._tool), *shlex.split(command)[1:], *given],
            cwd=self.home,
            env={**self.env, "PYTHONUNBUFFERED": "1"},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            # Who runs the tests in the background hands on that Ctrl-C is to be ignored.
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
        ) as process:
            watch = threading.Timer(90, process.kill)  # rather an end than a test that waits
            watch.daemon = True
            watch.start()
            assert process.stdout is not None
            told = ""
            for line in process.stdout:
                told += line
                if address in line:
                    process.send_signal(signal.SIGINT)
                    break
            told += process.stdout.read()
            watch.cancel()
            return process.wait(60), told

    def signed(self, text: str) -> str:
        """A message with the letters that Mara's page would write, in place of the docs' own."""
        if LETTERS not in text:
            return text
        keys, _ = load_keys(self.clients / ".keys.yaml")
        entries = read_yaml(text.partition("\n")[2].encode(), "").tree
        assert keys is not None and isinstance(entries, list) and isinstance(entries[0], dict)
        link = keys.links["mara"]
        return text.replace(LETTERS, proof(checkin_key(link.key, None, link.portal), entries[0]))

    def code(self) -> str:
        keys, _ = load_keys(self.clients / ".keys.yaml")
        assert keys is not None
        return checkin_code(keys.links["mara"])


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that holds the first client of the docs, built."""
    home = tmp_path_factory.mktemp("begun") / "home"
    home.mkdir()
    reader = Reader(home, TODAY)
    for block in blocks_of(FIRST):
        if block.kind == "yaml" and block.file in ("practice.yaml", "mara.yaml"):
            reader.writes(block.file, block.text)
    assert reader.types("sitegen build")[0] == 0
    return home


@pytest.fixture
def coach(begun: Path, tmp_path: Path) -> Reader:
    """A coach with a folder as that one."""
    shutil.copytree(begun, tmp_path / "home")
    return Reader(tmp_path / "home", TODAY)


@pytest.fixture
def reader(request: pytest.FixtureRequest, tmp_path: Path) -> Reader:
    """Before the first client her folder is empty; later it holds that client."""
    page: Path = request.getfixturevalue("page")
    if page not in (FIRST, ROOT / "README.md"):
        begun: Reader = request.getfixturevalue("coach")
        return begun
    home = tmp_path / "home"
    home.mkdir()
    return Reader(home, FIRST_DAY, types_all=page.stem == "README")


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.stem)
def test_every_command_of_a_page_does_what_it_says(page: Path, reader: Reader) -> None:
    for command, status, told in reader.follows(page):
        expected, _ = ENDS_WITH.get(command, (0, ""))
        assert status == expected, f"{page.name}: {command}\n{told}"
        assert "Traceback" not in told, f"{page.name}: {command}\n{told}"


def test_no_exception_outlives_the_command_that_needed_it() -> None:
    """Each of these stands in a page, so that the lists above hold nothing else."""
    there = {
        command.split("  #")[0].strip()
        for page in PAGES
        for block in blocks_of(page)
        if block.kind == "sh"
        for command in commands_of(block)
    }
    for listed in (NOT_RUN, TYPED, ENDS_WITH, SERVES):
        assert set(listed) <= there
    assert all(NOT_RUN.values()) and all(why for _, why in ENDS_WITH.values())


def test_no_command_of_ours_is_left_out() -> None:
    """Nothing that begins with `sitegen` is passed over: what can't be run stands in a list."""
    assert not [listed for listed in NOT_RUN if listed.startswith("sitegen")]


def test_every_command_stands_somewhere_in_the_docs() -> None:
    told = "\n".join(page.read_text(encoding="utf-8") for page in PAGES)

    assert [name for name in main.commands if f"sitegen {name}" not in told] == []


# --- examples ---------------------------------------------------------------------------------


def client_example(page: Path) -> str:
    return next(b.text for b in blocks_of(page) if b.kind == "yaml" and b.file == "mara.yaml")


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.stem)
def test_every_yaml_example_is_read_without_an_error(page: Path, reader: Reader) -> None:
    """Each within the file that it is a part of; a file of answers is for `intake` to read."""
    for name, text in LAID_DOWN.get(page.stem, {}).items():
        (reader.clients / name).parent.mkdir(exist_ok=True)
        (reader.clients / name).write_text(text)
    for block in blocks_of(page):
        if block.kind != "yaml":
            continue
        assert block.file, f"{page.name}:{block.line}: no file is named before this"
        reader.writes(block.file, block.text)
        if block.file == "form.yaml":
            continue
        texts = texts_of(read_folder(reader.clients))
        house, told = read_house(texts)
        problems = list(told)
        if house is not None and "mara" in texts.clients:
            problems += case_of(texts, house, "mara")[1]
        problems += read_log(texts.logs.get("mara", b""), "mara.log.yaml").problems
        errors = [str(p) for p in problems if p.level == "error"]
        assert house is not None and errors == [], f"{page.name}:{block.line}"


@pytest.mark.parametrize("page", [FIRST, ROOT / "README.md"], ids=lambda p: p.stem)
def test_a_common_clients_file_is_short(page: Path) -> None:
    text = client_example(page)

    assert text.count("\n") < SHORT
    assert {"screening", "baseline", "week", "plan"} <= set(yaml.load(text, Loader=yaml.BaseLoader))


@pytest.mark.parametrize("page", [FIRST, ROOT / "README.md"], ids=lambda p: p.stem)
def test_the_first_client_passes_check(page: Path, reader: Reader) -> None:
    for block in blocks_of(page):
        if block.kind == "yaml" and block.file in ("practice.yaml", "mara.yaml"):
            reader.writes(block.file, block.text)

    status, told = reader.types("sitegen check mara")

    assert status == 0
    clean = "0 errors, 0 warnings" if page == FIRST else "0 errors"
    assert f"1 client checked: {clean}" in told


def test_an_evening_changes_the_plan_as_the_page_says(coach: Reader) -> None:
    """A check-in taken, a day of rest, a session moved, a week made shorter."""
    page = ROOT / "docs" / "a-week-in-the-practice.md"
    told = {command: " ".join(words.split()) for command, _, words in coach.follows(page)}

    assert "1 check-in taken for 1 client" in told["sitegen receive inbox"]
    why = told["sitegen why mara --week 6"]
    assert "You travel that day." in why and "The family comes on Sunday." in why
    week = told["sitegen weeks mara --week 6"]
    assert "2027-02-20" in week and "2027-02-16" not in week.split("Minutes of running")[1]
    texts = texts_of(read_folder(coach.clients))
    house, _ = read_house(texts)
    assert house is not None
    case, _ = case_of(texts, house, "mara")
    assert case is not None
    plan = plan_of(case, house, date.fromisoformat(TODAY))
    assert next(w for w in plan.weeks if w.number == 7).run_minutes == 90


# --- links, messages, statuses ----------------------------------------------------------------

LINK = re.compile(r"\[[^\]]*\]\((?P<to>[^)\s]+)\)", re.DOTALL)


def anchors(page: Path) -> set[str]:
    heads = re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w -]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("page", [*PAGES, ROOT / "DEVELOPERS.md"], ids=lambda p: p.stem)
def test_links_between_pages_lead_somewhere(page: Path) -> None:
    text = FENCE.sub("", page.read_text(encoding="utf-8"))
    for to in LINK.findall(text):
        if "://" in to:
            continue
        file, _, anchor = to.partition("#")
        target = page.parent / file if file else page
        assert target.exists(), f"{page.name}: {to}"
        if anchor:
            assert anchor in anchors(target), f"{page.name}: {to}"


def test_the_index_lists_every_page() -> None:
    listed = set(LINK.findall((ROOT / "docs" / "index.md").read_text(encoding="utf-8")))

    assert listed == {page.name for page in DOCS if page.name != "index.md"}


STATUS = re.compile(r"^\| (?P<status>\d) \| .+ \| `(?P<command>[^`]+)` \|$", re.MULTILINE)


@pytest.mark.parametrize("page", [WRONG], ids=lambda p: p.stem)
def test_the_table_of_exit_statuses_is_true(page: Path, reader: Reader) -> None:
    table = STATUS.findall(page.read_text(encoding="utf-8"))

    assert [status for status, _ in table] == ["0", "1", "2"]
    for status, command in table:
        assert reader.types(command)[0] == int(status), command


def test_every_message_that_the_docs_explain_is_one_of_ours() -> None:
    code = "\n".join(p.read_text(encoding="utf-8") for p in (ROOT / "sitegen").rglob("*.py"))
    told = re.findall(r"\[([a-z]+(?:-[a-z]+)*)\](?!\()", WRONG.read_text(encoding="utf-8"))

    assert len(told) >= 6
    assert [name for name in told if f'"{name}"' not in code] == []


def test_what_a_locked_page_says_is_quoted_as_it_stands_there() -> None:
    door = (ROOT / "templates" / "door.html").read_text(encoding="utf-8")
    section = WRONG.read_text(encoding="utf-8").split("can't open the page")[1].split("\n## ")[0]
    said = re.findall(r"^\| ([A-Z][^|]+?) \|", section, re.MULTILINE)

    assert len(said) >= 6
    assert [words for words in said if f'_("{words}")' not in door] == []


# --- what the page on moving promises ---------------------------------------------------------


def link_of(coach: Reader) -> dict[str, str]:
    told: dict[str, str] = json.loads(coach.types("sitegen link mara --json")[1])
    return told


def test_on_the_new_computer_every_link_is_the_old_one(coach: Reader) -> None:
    old = link_of(coach)
    coach.types("sitegen publish ./host")
    coach.types("tar -czf practice.tar.gz clients public; rm -rf clients public")

    assert coach.types("tar -xzf practice.tar.gz; sitegen build")[0] == 0
    assert link_of(coach) == old
    assert (
        "0 files would be sent, 0 would be removed"
        in (coach.types("sitegen publish ./host --dry-run")[1])
    )


def test_keys_that_others_may_read_stop_the_tool_until_they_may_not(coach: Reader) -> None:
    (coach.clients / ".keys.yaml").chmod(0o644)

    status, told = coach.types("sitegen build")
    assert status == 1
    assert "run: chmod 600 clients/.keys.yaml" in told
    assert coach.types("chmod 600 clients/.keys.yaml && sitegen build")[0] == 0


def test_with_the_keys_lost_there_are_new_links_and_the_old_ones_lead_nowhere(
    coach: Reader,
) -> None:
    coach.types("sitegen publish ./host")
    old, code = link_of(coach), coach.code()
    (coach.clients / ".keys.yaml").unlink()

    told_of = [coach.types("sitegen build")[1] for _ in range(2)]
    assert ["keys are lost, so there are new links for mara" in told for told in told_of] == [
        True,
        False,
    ]
    coach.types("sitegen publish ./host")

    new = link_of(coach)
    host = coach.home / "host"
    assert new["url"] != old["url"]
    assert (host / new["portal"]).exists() and (host / new["feed"]).exists()
    assert not (host / old["portal"]).exists() and not (host / old["feed"]).exists()
    letter = f"Check-in {code}\n- on: 2027-02-09\n  ran: 31 min\n"
    (coach.home / "late.txt").write_text(letter)
    status, told = coach.types("sitegen receive late.txt")
    assert status == 1 and "kept aside in clients/.aside" in told
    mend = f"sed -i 's/{code}/mara/' clients/.aside/*.txt && sitegen receive clients/.aside/*.txt"
    assert "1 check-in taken for 1 client" in coach.types(mend)[1]


@pytest.mark.parametrize("share", [0.0, 0.3, 0.6, 0.9])
def test_a_half_saved_file_is_told_and_changes_nothing(coach: Reader, share: float) -> None:
    page = coach.home / "public" / link_of(coach)["portal"]
    before = page.read_bytes()
    file = coach.clients / "mara.yaml"
    whole = file.read_text()
    file.write_text(whole[: round(len(whole) * share)])

    status, told = coach.types("sitegen build")

    assert status == 1 and "clients/mara.yaml:" in told and "Traceback" not in told
    assert page.read_bytes() == before


def test_what_was_erased_is_gone_here_and_on_the_host(coach: Reader) -> None:
    coach.types("sitegen publish ./host")
    old = link_of(coach)

    assert coach.types("sitegen erase mara")[0] == 0
    coach.types("sitegen build && sitegen publish ./host")

    assert not (coach.clients / "mara.yaml").exists()
    assert old["key"] not in (coach.clients / ".keys.yaml").read_text()
    assert not (coach.home / "host" / old["portal"]).exists()
    assert not (coach.home / "host" / old["feed"]).exists()


# --- every field ------------------------------------------------------------------------------


def test_the_field_book_is_fresh() -> None:
    """Stale? Run: python -m sitegen.coach.fieldbook > docs/fields.md"""
    assert (ROOT / "docs" / "fields.md").read_text(encoding="utf-8") == field_book()


RUNNER = """\
name: Mara Quist
screening: {on: 2027-01-04, regular_exercise: yes, known_disease: no, symptoms: no}
baseline: {on: 2027-01-11, cadence: 158 spm, week: 60 min, pace: 6:45 /km, longest: 25 min, runs: 3}
week: {tue: yes, thu: yes, sun: yes}
plan: {from: 2027-01-18, weeks: 8}
fuel: {asked_on: 2027-01-11}
changes: [{on: 2027-02-09, move_to: 2027-02-10, because: travels}]
"""


@pytest.mark.parametrize(
    ("name", "left_out", "code"),
    [
        ("baseline.pace", "pace: 6:45 /km, ", "baseline-incomplete"),
        ("baseline.longest", "longest: 25 min, ", "baseline-incomplete"),
        ("baseline.runs", ", runs: 3", "baseline-incomplete"),
        ("week", "week: {tue: yes, thu: yes, sun: yes}\n", "no-run-day"),
        ("fuel.asked_on", "asked_on: 2027-01-11", "fuel-not-asked"),
        ("changes.on", "on: 2027-02-09, ", "change-move"),
        ("changes.week", "on: 2027-02-09, move_to: 2027-02-10, ", "change-when"),
        ("changes.move_to", "move_to: 2027-02-10, ", "change-nothing"),
    ],
)
def test_the_field_book_says_what_is_needed_beside_other_fields(
    name: str, left_out: str, code: str
) -> None:
    """Without it the reader refuses the file; with it, it does not."""

    def errors(text: str) -> list[str]:
        found = read_client(text.encode(), "mara.yaml", frozenset(), RULES).problems
        return [p.code for p in found if p.level == "error"]

    row = row_at(Client, tuple(name.split(".")))
    assert row is not None and "needed" in row.needs and row.needs in field_book()
    assert errors(RUNNER) == []
    assert RUNNER.count(left_out) == 1 and code in errors(RUNNER.replace(left_out, ""))


def test_a_pace_is_not_needed_of_who_does_not_run_yet() -> None:
    text = RUNNER.replace("week: 60 min, pace: 6:45 /km, longest: 25 min, runs: 3", "week: 0 min")
    found = read_client(text.encode(), "mara.yaml", frozenset(), RULES).problems

    assert [p for p in found if p.level == "error"] == []
    assert "*needed where week is over 0 min*" in field_book()


@pytest.mark.parametrize("book", BOOKS, ids=lambda b: b.file)
def test_every_field_has_a_meaning_and_an_example_that_is_read(book: Book) -> None:
    for path, row in all_rows(book.record):
        name = ".".join(path)
        assert row.meaning, f"{book.file}: {name} has no meaning"
        assert row.example, f"{book.file}: {name} has no example"
        if row.value is not None and not row.many:
            row.value.validate(yaml.load(row.example, Loader=yaml.BaseLoader))


def test_bounds_in_the_field_book_are_the_readers() -> None:
    book = field_book()

    assert (
        "| a cadence | `158 spm`: steps a minute, both feet | lies between 100 and 240 spm |"
        in book
    )
    assert "| `plan.weeks` | length of the plan | weeks, a whole number, from 1 to 52 |" in book
    assert "| `fuel.collagen` | how much collagen | a mass, 5 g to 20 g | 15 g |" in book


def test_defaults_in_the_field_book_are_the_rules() -> None:
    book = field_book()
    for rule in RULES:
        for parameter, path in rule.client_fields.items():
            default = rule.parameters.ROWS[parameter].fresh()
            if default is not None:
                row = next(
                    line
                    for line in book.splitlines()
                    if f"| `{'.'.join(map(str, path))}` |" in line
                )
                assert f" | {default} | " in row


# --- the Tab key ------------------------------------------------------------------------------


def completed(words: list[str], begun: str) -> list[str]:
    """What click offers after these words."""
    from click.shell_completion import ShellComplete

    offered = ShellComplete(main, {}, "sitegen", "_SITEGEN_COMPLETE").get_completions(words, begun)
    return [item.value for item in offered]


def test_commands_complete() -> None:
    assert completed([], "w") == ["weeks", "why", "word"]


def test_ids_are_the_files_of_the_folder(tmp_path: Path) -> None:
    import click

    for name in (
        "mara.yaml",
        "max.yaml",
        "mara.log.yaml",
        "practice.yaml",
        "Mo.yaml",
        ".keys.yaml",
    ):
        (tmp_path / name).touch()
    argument = click.Argument(["ids"], nargs=-1)

    def offered(begun: str, **typed: object) -> list[str]:
        ctx = click.Context(click.Command("check"))
        ctx.params = {"clients": tmp_path, **typed}
        return client_ids(ctx, argument, begun)

    assert offered("") == ["mara", "max"]
    assert offered("mar") == ["mara"]
    assert offered("", ids=("mara",)) == ["max"], "not twice"
    assert offered("", clients=tmp_path / "nowhere") == []


def test_completing_ids_is_quick() -> None:
    """It opens no file and brings in nothing of ours beside itself."""
    seen = (
        "import sys, sitegen.terminal.completion;"
        " print(*(m for m in sys.modules if 'sitegen' in m))"
    )
    done = subprocess.run(
        [sys.executable, "-c", seen], cwd=ROOT, capture_output=True, text=True, check=True
    )

    loaded = {"sitegen", "sitegen.terminal", "sitegen.terminal.completion"}
    assert set(done.stdout.split()) == loaded


@pytest.mark.parametrize("command", ["check", "weeks", "why", "build", "link", "export"])
def test_a_shell_completes_an_id(coach: Reader, command: str) -> None:
    """As bash asks: all words so far, and which of them is being typed."""
    asked = f"COMP_WORDS='sitegen {command} m' COMP_CWORD=2 _SITEGEN_COMPLETE=bash_complete sitegen"

    assert coach.types(asked) == (0, "plain,mara\n")


def test_bash_gets_its_script(coach: Reader) -> None:
    status, told = coach.types("_SITEGEN_COMPLETE=bash_source sitegen")

    assert status == 0
    assert "complete -o nosort -F _sitegen_completion sitegen" in told
