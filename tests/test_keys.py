"""The private links of a practice: drawn once, kept safe, never lost half-way."""

from __future__ import annotations

import os
import random
import signal
import stat
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sitegen.model.problem import Origin, Problem
from sitegen.seal.keys import (
    Keys,
    Link,
    Retired,
    ensure,
    forget,
    keys_text,
    renew,
    retire,
    with_passphrase,
)
from sitegen.seal.keys_file import guard_problems, load_keys, update_keys, write_keys
from sitegen.seal.keys_yaml import read_keys
from sitegen.seal.sealing import (
    Passphrase,
    device_key,
    from_base64url,
    stretch,
    to_base64url,
)

posix_only = pytest.mark.skipif(os.name != "posix", reason="file modes are a POSIX matter")

FILE = ".keys.yaml"


def dice(seed: str = "dice") -> Callable[[int], bytes]:
    """Bytes that look random and are the same in each run."""
    count = iter(range(1_000_000))
    return lambda size: sha256(f"{seed} {next(count)}".encode()).digest()[:size]


def practice_of(*clients: str, seed: str = "dice") -> Keys:
    return ensure(Keys(), clients, dice(seed))


# Drawing


def test_a_new_client_gets_a_portal_a_key_and_a_feed_of_their_own():
    link = practice_of("mara").links["mara"]

    assert len(link.portal) == len(link.feed) == 22
    assert from_base64url(link.portal, 16) and from_base64url(link.feed, 16)
    assert link.portal != link.feed
    assert len(link.key) == 32 and len(link.key_text) == 43


def test_the_others_keep_their_links_when_a_client_joins():
    before = practice_of("mara", "tom")
    after = ensure(before, ["mara", "tom", "ines"], dice("later"))

    assert sorted(after.links) == ["ines", "mara", "tom"]
    assert after.links["mara"] == before.links["mara"]
    assert after.links["tom"] == before.links["tom"]


def test_nothing_is_drawn_when_nobody_is_missing():
    def no_dice(size: int) -> bytes:
        raise AssertionError("drew bytes for nobody")

    before = practice_of("mara")

    assert ensure(before, ["mara"], no_dice) is before


def test_a_thousand_clients_share_nothing():
    links = practice_of(*(f"runner-{number}" for number in range(1000))).links.values()

    assert len({text for link in links for text in (link.portal, link.feed, link.key_text)}) == 3000


def test_a_random_source_that_repeats_itself_is_refused():
    with pytest.raises(ValueError, match="repeats itself"):
        ensure(Keys(), ["mara", "tom"], lambda size: bytes(size))


def test_a_renewed_link_shares_nothing_with_the_old_one_which_waits_for_its_removal():
    before = practice_of("mara", "tom")
    after = renew(before, "mara", dice("renewed"))
    old, new = before.links["mara"], after.links["mara"]

    assert not {old.portal, old.feed, old.key} & {new.portal, new.feed, new.key}
    assert after.retired == (Retired(old.portal, old.feed),)
    assert after.links["tom"] == before.links["tom"]
    assert forget(after, after.retired).retired == ()


def test_a_client_who_leaves_has_no_link_and_the_old_one_waits_for_its_removal():
    before = practice_of("mara", "tom")
    after = retire(before, "mara")
    old = before.links["mara"]

    assert list(after.links) == ["tom"]
    assert after.retired == (Retired(old.portal, old.feed),)
    assert old.key_text not in keys_text(after)
    assert retire(after, "mara") == after


def test_a_publish_forgets_only_what_it_removed():
    before = practice_of("mara", "tom")
    after = retire(retire(before, "mara"), "tom")

    assert forget(after, after.retired[:1]).retired == after.retired[1:]


# Passphrase


def test_a_passphrase_is_kept_as_what_it_becomes_and_not_as_its_words():
    keys = with_passphrase(practice_of("mara"), "mara", "lane four, quiet feet", dice("salt"))

    assert isinstance(keys, Keys)
    kept = keys.links["mara"].passphrase
    assert kept is not None and kept.rounds == 600_000
    assert kept == stretch("lane four, quiet feet", kept.salt)
    assert "quiet" not in keys_text(keys)
    assert read_keys(keys_text(keys), FILE) == keys


def test_a_renewed_link_asks_for_the_same_passphrase_until_it_is_taken_off():
    keys = with_passphrase(practice_of("mara"), "mara", "lane four, quiet feet", dice("salt"))
    assert isinstance(keys, Keys)
    renewed = renew(keys, "mara", dice("renewed"))
    open_again = with_passphrase(renewed, "mara", None, dice())

    assert renewed.links["mara"].passphrase == keys.links["mara"].passphrase
    assert isinstance(open_again, Keys)
    link = renewed.links["mara"]
    under = (device_key(link.key, link.passphrase, link.portal),)
    assert open_again.links["mara"] == replace(link, passphrase=None, kept_under=under)


def test_what_a_device_kept_under_passphrases_before_is_opened_until_the_link_is_another():
    keys = practice_of("mara")
    before = []
    for words in ("lane four, quiet feet", "lane five, quiet feet", None):
        new = with_passphrase(keys, "mara", words, dice(str(words)))
        assert isinstance(new, Keys)
        keys, link = new, new.links["mara"]
        assert link.kept_under == tuple(before)
        if link.passphrase:
            before.append(device_key(link.key, link.passphrase, link.portal))
    assert len(set(before)) == 2
    assert read_keys(keys_text(keys), FILE) == keys
    assert renew(keys, "mara", dice("renewed")).links["mara"].kept_under == ()


def test_a_short_passphrase_is_a_problem_and_draws_nothing():
    problem = with_passphrase(practice_of("mara"), "mara", "  run  fast ", dice())

    assert problem == Problem(
        Origin("passphrase"),
        "a passphrase needs at least 12 characters",
        "four or five words that do not belong together are easy to say and hard to guess",
        "passphrase-short",
    )


def test_a_passphrase_from_a_broken_terminal_is_a_problem():
    problem = with_passphrase(practice_of("mara"), "mara", "quiet feet \udcff\udcfe", dice())

    assert isinstance(problem, Problem) and problem.code == "passphrase-form"


def test_no_secret_shows_when_keys_are_printed():
    link = Link("p" * 21 + "A", b"\x41" * 32, "f" * 21 + "A", Passphrase(b"\x42" * 32, bytes(16)))

    assert "AAAA" not in repr(link) and "BBBB" not in repr(link)


# Text

IDS = st.from_regex(r"[a-z0-9][a-z0-9-]{0,39}", fullmatch=True)
PASSPHRASES = st.none() | st.builds(
    Passphrase,
    st.binary(min_size=32, max_size=32),
    st.binary(min_size=16, max_size=16),
    st.integers(100_000, 10_000_000),
)


@st.composite
def practices(draw: st.DrawFn) -> Keys:
    clients = draw(st.lists(IDS, unique=True, max_size=6))
    gone = draw(st.integers(0, len(clients)))
    keys = practice_of(*clients, seed=draw(st.text(max_size=8)))
    for client in clients[:gone]:
        keys = retire(keys, client)
    under = st.lists(st.binary(min_size=32, max_size=32), max_size=3).map(tuple)
    links = {
        name: replace(link, passphrase=draw(PASSPHRASES), kept_under=draw(under))
        for name, link in keys.links.items()
    }
    return replace(keys, links=links)


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # whatever else runs
@given(practices())
def test_what_is_written_is_read_back_the_same(keys: Keys):
    assert read_keys(keys_text(keys), FILE) == keys


def test_a_plain_yaml_reader_sees_the_same_file():
    """PyYAML's own loader, as someone else's script would use it."""
    keys = practice_of("mara", "1e5", "no")
    plain = yaml.safe_load(keys_text(keys))

    assert plain["clients"]["mara"]["key"] == keys.links["mara"].key_text
    assert plain["version"] == 1


SMALL = keys_text(
    replace(
        retire(practice_of("mara", "tom"), "tom"),
        links={
            "mara": replace(
                practice_of("mara").links["mara"],
                passphrase=Passphrase(b"k" * 32, b"s" * 16),
                kept_under=(b"u" * 32,),
            )
        },
    )
)


def test_every_truncation_is_a_problem_with_a_place():
    for cut in range(len(SMALL)):
        found = read_keys(SMALL[:cut], FILE)
        if isinstance(found, Keys):  # only the last line's end was cut off
            assert found == read_keys(SMALL, FILE) and cut >= len(SMALL) - 2
        else:
            assert found and all(problem.origin.file == FILE for problem in found)


def test_every_changed_character_is_a_problem_or_a_whole_file():
    for at in range(len(SMALL)):
        for other in "A:\"'{[&*!\n\t\0\u2028#- ":
            found = read_keys(SMALL[:at] + other + SMALL[at + 1 :], FILE)
            assert isinstance(found, Keys) or (
                found and all(isinstance(problem, Problem) for problem in found)
            )


def test_no_problem_quotes_a_secret():
    keys = practice_of("mara")
    link = keys.links["mara"]
    for at in range(len(keys_text(keys))):
        found = read_keys(keys_text(keys)[:at] + "}" + keys_text(keys)[at + 1 :], FILE)
        if not isinstance(found, Keys):
            printed = " ".join(str(problem) for problem in found)
            assert link.key_text[2:12] not in printed and link.key_text[-12:-2] not in printed


@pytest.mark.parametrize(
    ("text", "place", "code"),
    [
        ("", "1:1", "keys-damaged"),
        ("\0", "1:1", "keys-damaged"),
        ("- a", "1:1", "keys-form"),
        ("version: 1\nclients: [a\n", "3:1", "keys-damaged"),
        ("version: 2\nclients: {}\nretired: []\n", "1:10", "keys-version"),
        ("version: 1\nclients: {}\n", "1:1", "keys-missing"),
        ("version: 1\nclients: 7\nretired: []\n", "2:10", "keys-form"),
        ("version: 1\nclients: {}\nretired: 7\n", "3:10", "keys-form"),
        ("version: 1\nclients: {}\nretired: []\nextra: 1\n", "4:1", "keys-form"),
        ("version: 1\nclients: {}\nclients: {}\nretired: []\n", "3:1", "keys-twice"),
        ("version: 1\nclients:\n  Mara: {}\nretired: []\n", "3:3", "keys-form"),
        ("version: 1\nclients: {}\nretired: []\n---\na: b\n", "4:1", "keys-damaged"),
    ],
)
def test_a_damaged_file_says_where(text: str, place: str, code: str):
    found = read_keys(text, FILE)

    assert isinstance(found, tuple)
    assert (f"{FILE}:{place}", code) in [(str(problem.origin), problem.code) for problem in found]


@pytest.mark.parametrize(("loader", "depth"), [("CSafeLoader", 50_000), ("SafeLoader", 5_000)])
def test_a_file_nested_without_end_is_a_problem(
    loader: str, depth: int, monkeypatch: pytest.MonkeyPatch
):
    """Both of PyYAML's loaders: not every system has the one written in C."""
    if loader == "SafeLoader":
        monkeypatch.delattr(yaml, "CSafeLoader", raising=False)
    found = read_keys("a: " + "[" * depth, FILE)

    assert isinstance(found, tuple) and [problem.code for problem in found] == ["keys-damaged"]


def test_a_key_cut_short_is_shown_as_the_coach_sees_it():
    keys = practice_of("mara")
    text = keys_text(keys).replace(keys.links["mara"].key_text, keys.links["mara"].key_text[:-1])
    found = read_keys(text, "clients/.keys.yaml")

    assert isinstance(found, tuple)
    assert [str(problem) for problem in found] == [
        'clients/.keys.yaml:8:10: error: "key" is cut short or garbled (put back the last good '
        "copy of this file; without one, delete it, and every client gets a new link) [keys-form]"
    ]


def test_two_clients_with_one_link_are_refused(tmp_path: Path):
    keys = practice_of("mara")
    shared = replace(keys, links={"mara": keys.links["mara"], "tom": keys.links["mara"]})
    write_keys(tmp_path / FILE, shared)
    keys_read, found = load_keys(tmp_path / FILE)

    assert keys_read is None
    assert [problem.code for problem in found] == ["keys-shared"] * 3
    assert found[0].message == 'this "portal" is also the one in line 7'


# The file


def test_no_file_yet_means_no_links_yet(tmp_path: Path):
    assert load_keys(tmp_path / FILE) == (Keys(), ())


def test_the_file_is_written_read_and_left_alone_when_nothing_changes(tmp_path: Path):
    path = tmp_path / FILE
    first, problems = update_keys(path, lambda keys: ensure(keys, ["mara"], dice()))
    written = path.stat()
    second, _ = update_keys(path, lambda keys: ensure(keys, ["mara"], dice("other")))

    assert problems == ()
    assert first == second == practice_of("mara")
    assert path.stat().st_ino == written.st_ino
    assert [entry.name for entry in tmp_path.iterdir()] == [FILE]


def test_a_problem_leaves_the_file_as_it_was(tmp_path: Path):
    path = tmp_path / FILE
    write_keys(path, practice_of("mara"))
    wrong = Problem(Origin("passphrase"), "too short", "", "passphrase-short")

    assert update_keys(path, lambda keys: wrong) == (None, (wrong,))
    assert load_keys(path) == (practice_of("mara"), ())


def test_a_damaged_file_is_never_replaced(tmp_path: Path):
    path = tmp_path / FILE
    path.write_bytes(b"version: 1\nclients:\n  mara: {portal: \xff")
    path.chmod(0o600)
    keys, problems = update_keys(path, lambda keys: ensure(keys, ["mara"], dice()))

    assert keys is None and [problem.code for problem in problems] == ["keys-damaged"]
    assert path.read_bytes().endswith(b"\xff")


@posix_only
@pytest.mark.parametrize("umask", [0o000, 0o022, 0o777])
def test_only_the_owner_may_read_the_file_whatever_the_umask(tmp_path: Path, umask: int):
    before = os.umask(umask)
    try:
        write_keys(tmp_path / FILE, practice_of("mara"))
    finally:
        os.umask(before)

    assert stat.S_IMODE((tmp_path / FILE).stat().st_mode) == 0o600


@posix_only
@pytest.mark.parametrize("mode", [0o640, 0o604, 0o644, 0o620, 0o601])
def test_a_file_that_others_may_touch_is_refused(tmp_path: Path, mode: int):
    path = tmp_path / FILE
    write_keys(path, practice_of("mara"))
    path.chmod(mode)

    assert load_keys(path) == (
        None,
        (
            Problem(
                Origin(str(path)),
                "other people on this computer may read the private keys",
                f"run: chmod 600 {path}",
                "keys-readable",
            ),
        ),
    )


@posix_only
def test_a_link_in_place_of_the_file_is_refused(tmp_path: Path):
    write_keys(tmp_path / "elsewhere", practice_of("mara"))
    (tmp_path / FILE).symlink_to(tmp_path / "elsewhere")
    keys, problems = load_keys(tmp_path / FILE)

    assert keys is None and [problem.code for problem in problems] == ["keys-not-a-file"]


def test_a_failed_write_leaves_the_old_file_and_nothing_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    path = tmp_path / FILE
    write_keys(path, practice_of("mara"))

    def full_disk(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(OSError, match="No space left"):
        write_keys(path, practice_of("mara", "tom"))

    assert load_keys(path) == (practice_of("mara"), ())
    assert [entry.name for entry in tmp_path.iterdir()] == [FILE]


# Git


def git(folder: Path, *words: str) -> None:
    clean = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    subprocess.run(["git", "-C", folder, *words], check=True, capture_output=True, env=clean)


@pytest.fixture
def practice_in_git(tmp_path: Path) -> Path:
    git(tmp_path, "init", "-q")
    (tmp_path / "clients").mkdir()
    write_keys(tmp_path / "clients" / FILE, practice_of("mara"))
    return tmp_path / "clients" / FILE


def test_keys_that_git_tracks_are_refused(practice_in_git: Path):
    git(practice_in_git.parent, "add", "-f", FILE)
    keys, problems = load_keys(practice_in_git)

    assert keys is None
    assert [(problem.code, problem.level) for problem in problems] == [("keys-tracked", "error")]


def test_keys_that_git_tracks_are_refused_even_if_ignored(practice_in_git: Path):
    (practice_in_git.parent / ".gitignore").write_text(".keys.yaml*\n")
    git(practice_in_git.parent, "add", "-f", FILE)

    assert load_keys(practice_in_git)[0] is None


def test_keys_that_git_tracks_are_refused_when_called_from_a_hook_of_another_repository(
    practice_in_git: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
):
    git(practice_in_git.parent, "add", "-f", FILE)
    other = tmp_path_factory.mktemp("other")
    git(other, "init", "-q")
    monkeypatch.setenv("GIT_DIR", str(other / ".git"))

    assert load_keys(practice_in_git)[0] is None


def test_keys_that_git_would_take_along_are_warned_about(practice_in_git: Path):
    keys, problems = load_keys(practice_in_git)

    assert keys == practice_of("mara")
    assert [(problem.code, problem.level) for problem in problems] == [
        ("keys-not-ignored", "warning")
    ]


def test_the_first_keys_are_kept_from_git(practice_in_git: Path):
    practice_in_git.unlink()
    keys, problems = update_keys(practice_in_git, lambda _: practice_of("mara"))

    assert (keys, problems) == (practice_of("mara"), ())
    for name in (FILE, f"{FILE}.new"):
        git(practice_in_git.parent, "check-ignore", name)  # fails where it is not ignored
    assert load_keys(practice_in_git)[1] == ()


def test_a_coachs_own_list_of_what_git_ignores_is_left_alone(practice_in_git: Path):
    practice_in_git.unlink()
    (practice_in_git.parent / ".gitignore").write_text("drafts\n")
    _, problems = update_keys(practice_in_git, lambda _: practice_of("mara"))

    assert [problem.code for problem in problems] == ["keys-not-ignored"]
    assert (practice_in_git.parent / ".gitignore").read_text() == "drafts\n"


def test_half_written_keys_must_be_ignored_too(practice_in_git: Path):
    (practice_in_git.parent / ".gitignore").write_text(".keys.yaml\n")

    assert [problem.code for problem in guard_problems(practice_in_git)] == ["keys-not-ignored"]


def test_ignored_keys_are_fine(practice_in_git: Path):
    (practice_in_git.parent / ".gitignore").write_text(".keys.yaml*\n")

    assert load_keys(practice_in_git) == (practice_of("mara"), ())


def test_a_repository_that_git_cannot_read_is_refused(practice_in_git: Path):
    (practice_in_git.parent.parent / ".git" / "HEAD").write_text("garbled")
    keys, problems = load_keys(practice_in_git)

    assert keys is None and [problem.code for problem in problems] == ["keys-git-unknown"]


def test_without_git_installed_a_warning_is_all(
    practice_in_git: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("PATH", "")
    keys, problems = load_keys(practice_in_git)

    assert keys == practice_of("mara")
    assert [(problem.code, problem.level) for problem in problems] == [
        ("keys-git-unknown", "warning")
    ]


# Killed at any moment

ROOT = Path(__file__).parents[1]

CHILD = """
import os, signal, sys
from hashlib import sha256
from pathlib import Path
from sitegen.seal.keys import Keys, ensure
from sitegen.seal.keys_file import update_keys, write_keys

def dice(seed):
    count = iter(range(1_000_000))
    return lambda size: sha256(f"{seed} {next(count)}".encode()).digest()[:size]

path, clients = Path(sys.argv[1]), [f"runner-{n}" for n in range(300)]
"""

WRITE_FOR_EVER = (
    CHILD
    + """
old, new = ensure(Keys(), clients, dice("old")), ensure(Keys(), clients, dice("new"))
print("ready", flush=True)
while True:
    write_keys(path, new)
    print("new", flush=True)
    write_keys(path, old)
    print("old", flush=True)
"""
)

DIE_AT_STEP = (
    CHILD
    + """
left = int(sys.argv[2])

def die_at_step(name):
    real = getattr(os, name)
    def step(*words, **more):
        global left
        left -= 1
        if left < 0:
            os.kill(os.getpid(), signal.SIGKILL)
        return real(*words, **more)
    setattr(os, name, step)

for name in ("open", "fchmod", "fsync", "close", "replace", "unlink"):
    die_at_step(name)
update_keys(path, lambda keys: ensure(Keys(), clients, dice("new")))
"""
)


def three_hundred(seed: str) -> Keys:
    return practice_of(*(f"runner-{number}" for number in range(300)), seed=seed)


def start(script: str, *words: object) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", script, *map(str, words)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    )


@posix_only
def test_killed_at_random_moments_the_file_is_whole(
    tmp_path: Path, record_property: Callable[[str, object], None]
):
    record_property("trials", 15)
    path = tmp_path / FILE
    old, new = three_hundred("old"), three_hundred("new")
    write_keys(path, old)
    moments = random.Random(11)
    seen = set()
    for _ in range(15):
        with start(WRITE_FOR_EVER, path) as child:
            assert child.stdout is not None and child.stdout.readline() == "ready\n"
            for _ in range(moments.randrange(6)):  # so many writes, and a part of the next
                child.stdout.readline()
            child.send_signal(signal.SIGKILL)
            child.wait()
        assert child.returncode == -signal.SIGKILL
        keys, problems = load_keys(path)
        assert problems == () and keys in (old, new)
        seen.add("old" if keys == old else "new")
        for left in tmp_path.iterdir():
            assert left.name in (FILE, FILE + ".new")
            assert stat.S_IMODE(left.stat().st_mode) == 0o600
    assert seen == {"old", "new"}, "every kill came too early or too late to tell anything"


@posix_only
def test_killed_before_each_single_step_the_file_is_whole_and_the_next_run_finishes(
    tmp_path: Path,
    record_property: Callable[[str, object], None],
):
    path = tmp_path / FILE
    old, new = three_hundred("old"), three_hundred("new")
    found = []
    for step in range(30):
        write_keys(path, old)
        with start(DIE_AT_STEP, path, step) as child:
            child.wait()
        keys, problems = load_keys(path)
        assert problems == () and keys in (old, new)
        found.append((child.returncode, "old" if keys == old else "new"))
        same, _ = update_keys(path, lambda keys: keys)  # one that changes nothing tidies as well
        assert same == keys and [entry.name for entry in tmp_path.iterdir()] == [FILE]
        again, _ = update_keys(path, lambda keys: new)
        assert again == new and load_keys(path)[0] == new
        assert [entry.name for entry in tmp_path.iterdir()] == [FILE]
        if child.returncode == 0:
            break
    record_property("trials", len(found))
    assert found[-1] == (0, "new")
    assert (-signal.SIGKILL, "old") in found and (-signal.SIGKILL, "new") in found


@posix_only
def test_of_two_commands_at_once_neither_loses_the_other_s_link(tmp_path: Path):
    path = tmp_path / FILE
    script = CHILD + (
        "for n in range(15):\n"
        "    update_keys(path, lambda keys: ensure(keys, [f'{sys.argv[2]}-{n}'], os.urandom))\n"
    )
    both = [start(script, path, name) for name in ("left", "right")]
    for child in both:
        with child:
            child.wait()
    keys, _ = load_keys(path)

    assert keys is not None and len(keys.links) == 30


def test_a_passphrase_s_salt_is_drawn_by_the_practice():
    keys = with_passphrase(practice_of("mara"), "mara", "lane four, quiet feet", dice("salt"))

    assert isinstance(keys, Keys) and keys.links["mara"].passphrase is not None
    assert to_base64url(keys.links["mara"].passphrase.salt) == to_base64url(dice("salt")(16))
