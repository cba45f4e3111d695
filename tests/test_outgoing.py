"""Out: who gets what by name, and what is sent only after a yes that says what it does."""

from __future__ import annotations

import json
import shutil
import stat
from datetime import timedelta
from pathlib import Path

import pytest

from commands import PAGES, Done, sitegen
from sitegen.publish import PublishProblem
from sitegen.publish import publish as send_site
from sitegen.publish.command import run
from sitegen.publish.known import PUBLISHED_FILE, load_known
from sitegen.publish.look import MANY, NEWER, HostLook, guard, others_work
from sitegen.publish.manifest import ABSENT, Manifest, digest_of, name_of
from sitegen.publish.outgoing import Gets, outgoing_lines
from sitegen.site.folder import write_site
from test_ledger_files import CLIENT, PRACTICE, Coach

HOUSE = "name: Harbour\ncontact: coach@example.org\ntimezone: Europe/Lisbon\n"
FRONT = {"index.html": b"front", "robots.txt": b"none"}


def pages(letters: str, text: bytes = b"sealed") -> dict[str, bytes]:
    return {f"{letter * 22}/index.html": text for letter in letters}


@pytest.fixture
def work(tmp_path: Path) -> Path:
    """One computer, beside the host and, in some tests, a second one."""
    first = tmp_path / "first"
    (first / "clients").mkdir(parents=True)
    (first / "clients/practice.yaml").write_text(HOUSE)
    put(first, "abcdefgh")
    assert publish(first).returncode == 0
    return first


def put(work: Path, letters: str, text: bytes = b"sealed") -> None:
    write_site({**FRONT, **pages(letters, text)}, work / "public")


def publish(work: Path, *words: str, typed: str = "") -> Done:
    return sitegen("publish", str(work.parent / "host"), *words, cwd=work, typed=typed)


def there(work: Path) -> str:
    return "".join(sorted(p.name[0] for p in (work.parent / "host").iterdir() if p.is_dir()))


# --- much that goes ------------------------------------------------------------------------------


def test_a_quarter_goes_unasked_and_more_does_not(work: Path) -> None:
    put(work, "cdefgh")
    assert publish(work).returncode == 0 and there(work) == "cdefgh"
    put(work, "efgh")
    done = publish(work)

    assert done.returncode == 1 and there(work) == "cdefgh"
    assert "2 of the 6 portals there would go: 2 files of no client here" in done.stderr
    assert "Type withdraw to do so" in done.stdout
    assert publish(work, "--withdraw-many").returncode == 0 and there(work) == "efgh"


@pytest.mark.parametrize(("typed", "left"), [("withdraw\n", "h"), ("yes\n", "abcdefgh")])
def test_the_yes_says_what_it_does(work: Path, typed: str, left: str) -> None:
    put(work, "h")
    done = publish(work, typed=typed)

    assert there(work) == left
    assert done.returncode == (left != "h")


def test_a_dry_run_and_json_tell_it_and_never_ask(work: Path) -> None:
    put(work, "h")
    dry = publish(work, "--dry-run", typed="withdraw\n")
    told = publish(work, "--json", typed="withdraw\n")

    assert dry.returncode == told.returncode == 1 and there(work) == "abcdefgh"
    assert "7 of the 8 portals there would go" in dry.stderr
    assert [p["code"] for p in json.loads(told.stdout)["problems"]] == [MANY]


# --- what another computer published --------------------------------------------------------------


@pytest.fixture
def other(work: Path) -> Path:
    """The same practice on a second computer, as it was after the first publish."""
    second = work.parent / "second"
    shutil.copytree(work, second)
    return second


def test_what_was_sent_until_it_was_cut_off_is_no_other_computers(work: Path) -> None:
    put(work, "abcdefgh", b"newer")
    known = load_known(work / "clients")

    def cut(done: int, *_: object) -> None:
        if done:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(
            work / "clients", work / "public", str(work.parent / "host"), dry_run=False,
            adopt=False, progress=cut,
        )  # fmt: skip
    assert load_known(work / "clients") != known
    done = publish(work)
    assert (done.returncode, done.stderr) == (0, "")


def test_what_another_computer_put_there_gives_way_only_when_asked(work: Path, other: Path) -> None:
    put(other, "abcdefgh", b"newer")
    assert publish(other).returncode == 0
    put(work, "abcdefgh", b"mine")
    done = publish(work)
    host = work.parent / "host"

    assert done.returncode == 1
    assert (
        "the host holds what this computer did not put there: 8 files of no client" in done.stderr
    )
    assert (host / ("a" * 22) / "index.html").read_bytes() == b"newer"
    assert publish(work, typed="replace\n").returncode == 0
    assert (host / ("a" * 22) / "index.html").read_bytes() == b"mine"
    assert publish(work).returncode == 0, "and now it is known"
    assert publish(other, "--dry-run").returncode == 1, "the other one is told as well"


def test_a_page_that_another_computer_withdrew_does_not_come_back_unasked(
    work: Path, other: Path
) -> None:
    put(other, "bcdefgh")
    assert publish(other).returncode == 0
    done = publish(work)

    assert done.returncode == 1 and there(work) == "bcdefgh"
    assert "1 file fewer than this computer left there" in done.stderr
    assert publish(work, "--replace-newer").returncode == 0 and there(work) == "abcdefgh"


def test_who_brings_the_folder_along_is_not_asked(work: Path, other: Path) -> None:
    put(other, "abcdefgh", b"newer")
    assert publish(other).returncode == 0
    shutil.rmtree(work / "clients")
    shutil.copytree(other / "clients", work / "clients")
    put(work, "abcdefgh", b"newest")

    assert publish(work).returncode == 0


def test_what_is_known_is_closed_to_others_and_may_be_lost(work: Path) -> None:
    note = work / "clients" / PUBLISHED_FILE
    assert stat.S_IMODE(note.stat().st_mode) == 0o600
    note.write_text("{")
    assert publish(work).returncode == 0, "the host holds just what was built"
    note.unlink()
    put(work, "abcdefgh", b"otherwise")
    assert publish(work).returncode == 1, "asked once"
    assert publish(work, "--replace-newer").returncode == 0
    assert publish(work).returncode == 0


def look(there: dict[str, bytes], site: dict[str, bytes]) -> HostLook:
    digests = {path: digest_of(path, data) for path, data in site.items()}
    held = {name_of(path): (digest_of(path, data),) for path, data in there.items()}
    send = tuple(p for p in site if held.get(name_of(p)) != (digests[p],))
    same = tuple(p for p in site if p not in send)
    return HostLook(Manifest(held), digests, send, tuple(p for p in there if p not in site), same)


def test_a_publish_of_ones_own_that_was_cut_off_is_nobody_elses() -> None:
    old, new = pages("ab", b"old"), pages("bc", b"new")
    first = look({}, old)
    whole = first.settled(first.send, ())
    cut = look(old, new).expected()
    half = look({**old, **pages("c", b"new")}, new)._replace(before=cut)

    assert others_work(look(old, new), whole) == (frozenset(), 0)
    assert others_work(half, cut) == (frozenset(), 0)
    assert cut.digests(next(iter(pages("c"))))[0] == ABSENT
    assert others_work(half._replace(before=Manifest({"ff": ("1",)})), cut)[0] == {"ff"}


def test_what_was_left_of_other_people_s_files_does_not_become_ours() -> None:
    theirs, ours = "index.html", next(iter(pages("a")))
    before = Manifest({name_of(ours): ("1",)})

    assert before.settled({}, [theirs, ours]) == before
    assert not before.settled({}, [theirs]).owns(theirs)


def test_a_renewed_link_is_no_portal_that_goes() -> None:
    seen = look(pages("a"), pages("b"))
    renewed = dict.fromkeys((*pages("a"), *pages("b")), "mara")
    left = seen.before

    assert guard(seen, left, renewed, ()) == ()
    lost = {next(iter(pages("a"))): "mara"}
    (wrong,) = guard(seen, left, lost, (), ["theo"])
    assert wrong.code == MANY and "go: mara; nothing was sent" in wrong.message
    (wrong,) = guard(seen, left, {**lost, next(iter(pages("b"))): "theo"}, (), ["theo", "kim"])
    assert "nothing was sent but what stops theo" in wrong.message
    assert [w.code for w in guard(seen, None, renewed, ())] == [NEWER]


def test_a_stop_goes_out_though_the_rest_waits_for_a_yes(tmp_path: Path) -> None:
    """And nothing that waits is taken for somebody else's by the next publish."""
    host, first = tmp_path / "host", f"{'a' * 22}/index.html"
    asset = {"assets/style.1.css": b"style"}
    old = {**FRONT, **pages("abcd", b"old")}
    new = {**FRONT, **asset, **pages("ab", b"new")}
    objection = PublishProblem("so", "do", MANY)
    assert send_site(old, str(host)).ok
    done = send_site(new, str(host), first=[first], consider=lambda look: (objection,))

    assert done.uploaded == ("assets/style.1.css", first) and done.problems == (objection,)
    assert not done.removed and len(done.skipped) == 3
    held = {letter: (host / (letter * 22) / "index.html").read_bytes() for letter in "abcd"}
    assert held == {"a": b"new", "b": b"old", "c": b"old", "d": b"old"}
    again = send_site(new, str(host))
    assert again.ok and len(again.uploaded) == 1 and len(again.removed) == 2
    assert not again.kept and not (host / ("c" * 22)).exists()
    nothing = send_site(old, str(host), consider=lambda look: (objection,))
    assert nothing.uploaded == () and not (host / ("c" * 22)).exists()


# --- by name -------------------------------------------------------------------------------------


def test_who_gets_what_is_told_by_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    coach = Coach(tmp_path / "home", monkeypatch)
    coach.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    for id, name in (("bo", "Bo Lind"), ("cy", "Cy Moor")):
        coach.write(f"{id}.yaml", CLIENT.replace("Ada Holm", name))
    coach.run("build")
    assert coach.run("publish").splitlines()[1:] == [
        "  ada (Ada Holm): a new page", "  bo (Bo Lind): a new page", "  cy (Cy Moor): a new page",
    ]  # fmt: skip
    coach.day += timedelta(days=1)
    away = 'changes: [{on: 2027-01-07, rest: yes, because: "You travel."}]\n'
    coach.write("ada.yaml", CLIENT + away)
    coach.write("ada.log.yaml", "- {on: 2027-01-04, signs: [limp]}\n")
    coach.write("bo.yaml", CLIENT.replace("Ada Holm", "Bo Lind") + away)
    coach.run("link", "cy", "--renew")
    coach.run("build")
    told = coach.run("publish", "--dry-run").splitlines()
    why = "since 2027-01-04: Your coach made 2027-01-07 a day of rest: You travel: Thu 7 Jan easy"

    assert any(x.startswith("  bo (Bo Lind): ") and why in x
               and "227 → 173 min" in x for x in told)  # fmt: skip
    assert any(x.startswith("  ada (Ada Holm): stopped, nothing is to be run") for x in told)
    assert any(x.startswith("  cy (Cy Moor): a new link") for x in told)
    assert "  an alarm is open, and holds nothing up: ada; see sitegen alarms" in told
    assert not [word for line in told[1:] for word in line.split() if len(word) == 22]
    coach.run("publish")
    (coach.clients / "bo.yaml").unlink()
    coach.run("build")
    gone = json.loads(coach.run("publish", "--json", "--withdraw-many"))
    assert {"client": "bo", "gets": "goes", "says": "there is no file bo.yaml",
            "minutes": None} in gone["clients"]  # fmt: skip
    assert gone["alarms"] == ["ada"]


def test_weeks_that_the_coach_set_are_told_by_her_reason_and_later_ones_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    coach = Coach(tmp_path / "home", monkeypatch)
    coach.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    coach.write("bo.yaml", CLIENT.replace("Ada Holm", "Bo Lind"))
    coach.run("build")
    coach.run("publish")
    coach.day += timedelta(days=1)
    set_so = "changes: [{week: WEEK, minutes: 60 min, because: Quiet days.}]\n"
    coach.write("ada.yaml", CLIENT + set_so.replace("WEEK", "2"))
    coach.write("bo.yaml", CLIENT.replace("Ada Holm", "Bo Lind") + set_so.replace("WEEK", "5"))
    coach.run("build")
    ada, bo = coach.run("publish").splitlines()[1:]

    assert "since 2027-01-04: Your coach set 60 min for this week: Quiet days: " in ada
    assert bo.startswith(
        "  bo (Bo Lind): no session of the next two weeks changed; further on you set week 5, "
        "from Mon 1 Feb, 60 min in place of "
    )


def test_who_is_erased_is_no_name_any_more(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    coach = Coach(tmp_path / "home", monkeypatch)
    coach.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    coach.write("bo.yaml", CLIENT.replace("Ada Holm", "Bo Lind"))
    coach.run("build")
    coach.run("publish")
    assert '"bo"' in coach.read(PUBLISHED_FILE)
    coach.run("erase", "bo", "--yes")

    assert '"bo"' not in coach.read(PUBLISHED_FILE)
    coach.run("build")
    assert "  a portal: goes, of no client here" in coach.run("publish", "--withdraw-many")


def test_files_that_are_missing_here_are_told_with_whose_they_are(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    coach = Coach(tmp_path / "home", monkeypatch)
    coach.run("build")
    for page in coach.out.glob(PAGES):
        page.unlink()
    done = sitegen("publish", "./host", "--clients", str(coach.clients), "--out", str(coach.out),
                   cwd=tmp_path)  # fmt: skip

    assert done.returncode == 1 and "of the built site (of ada) in " not in done.stderr
    assert "(of ada)" in done.stderr and not (tmp_path / "host").exists()


def test_a_page_of_which_nothing_is_noted_as_seen_is_not_called_unchanged() -> None:
    lines = list(outgoing_lines([Gets("ada", "unknown")], {"ada": "Ada"}, ()))

    assert lines == ["  drawn anew; what was seen before is not known here: ada"]


@pytest.mark.parametrize(
    ("minutes", "says"),
    [
        ((180, 0), "stopped, nothing is to be run, 180 → 0 min"),
        ((0, 141), "stopped for now, and sessions stand again after that, 0 → 141 min"),
    ],
)
def test_a_stop_that_ends_is_not_said_to_leave_nothing(minutes: tuple[int, int], says: str) -> None:
    """The day after an illness is the last without a run."""
    gets = Gets("flor", "stopped", "since 2027-01-10", minutes)

    assert [*outgoing_lines([gets], {}, [])] == [f"  flor: {says}, since 2027-01-10"]
