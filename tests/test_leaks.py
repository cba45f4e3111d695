"""Nothing in the built site tells who runs, why, or what hurts.

Two practices are built to disk: the demo, and twelve clients of invented, unusual words. Every
word that a coach or a client wrote, and every sentence that the rules made of it, is looked for
in all that a host would hold: file names, contents, whatever can be unpacked or decoded in them.
The links come from a fixed source of bytes, so that a short word can't turn up in the sealed
noise one day in a thousand.
"""

from __future__ import annotations

import base64
import binascii
import gzip
import hashlib
import json
import re
import shutil
import zlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from itertools import count
from pathlib import Path
from typing import Any

import pytest
import yaml

from sitegen.seal.keys import Keys, ensure
from sitegen.seal.keys_file import load_keys, write_keys
from sitegen.site.building import build_site
from sitegen.site.plans import open_plans
from unsealing import unseal

ROOT = Path(__file__).resolve().parents[1]
AS_OF = date(2027, 3, 18)
STEP = 16 * 1024
NOISE_WORD = 5
"""Letters. Shorter words come up in noise by chance: they are looked for as whole words, and not
in sealed blocks nor in what is decoded."""


# Twelve invented clients


SYLLABLES = ("zor", "vax", "quim", "thul", "gryb", "yex", "wosk", "jurv", "plof", "kwee", "drax")


def drawn(seed: str) -> Callable[[int], bytes]:
    """Bytes from nowhere but the seed."""
    number = count()

    def draw(size: int) -> bytes:
        return hashlib.shake_256(f"{seed} {next(number)}".encode()).digest(size)

    return draw


class Invent:
    """Words that stand in no dictionary and in no other text of the site, each one once."""

    def __init__(self, seed: str, taken: set[str]) -> None:
        self.draw = drawn(seed)
        self.taken = taken
        self.all: set[str] = set()

    def word(self) -> str:
        text = "".join(SYLLABLES[b % len(SYLLABLES)] for b in self.draw(5))
        if text in self.taken:
            return self.word()
        self.taken.add(text)
        self.all.add(text)
        return text

    def words(self, number: int) -> str:
        return " ".join(self.word() for _ in range(number)).capitalize()


def invented(seed: str, folder: Path, **practice: str) -> dict[str, set[str]]:
    """Write a practice of twelve; gives each client's own words, and under "" the practice's."""
    (folder / "drills").mkdir(parents=True)
    taken: set[str] = set()
    house = Invent(f"{seed} house", taken)
    settings: dict[str, Any] = {
        "name": house.words(2), "coach": house.words(1), "contact": f"{house.word()}@example.org",
        "timezone": "Asia/Kathmandu", "emergency": house.words(1),
        "address": "https://plans.example.org/", **practice,
    }  # fmt: skip
    settings["notes"] = [
        {"from": "2027-03-01", "until": "2027-04-01", "text": house.words(5), "read": ["own-text"]}
    ]
    settings["groups"] = {
        "own-group": {"notes": [
            {"from": "2027-03-01", "until": "2027-03-09", "text": house.words(4)}
        ]}
    }  # fmt: skip
    (folder / "texts").mkdir()
    text = f"# {house.words(3)}\n\n{house.words(9)}\n"
    (folder / "texts" / "own-text.md").write_text(text)
    write(folder / "practice.yaml", settings)
    front = {"title": house.words(2), "where": "after", "cues": [house.words(2)]}
    drill = f"---\n{yaml.safe_dump(front)}---\n{house.words(6)}\n"
    (folder / "drills" / "own-drill.md").write_text(drill)
    words = {"": house.all}
    for number in range(12):
        id = f"client-{number}-{Invent(f'{seed} id {number}', taken).word()[:8]}"
        mine = Invent(f"{seed} {number}", taken)
        status = {9: "paused", 10: "ended"}.get(number, "active")
        client = {
            "name": f"{mine.words(1)} {mine.words(1)}", "status": status,
            "called": mine.words(1), "born": f"19{50 + number}-0{1 + number % 9}-17",
            "height": f"1{60 + number} cm",
            "screening": {"on": "2027-01-04", "regular_exercise": "yes", "known_disease": "no",
                          "symptoms": "yes" if number == 11 else "no"},
            "baseline": {"on": "2027-01-04", "cadence": f"{150 + number} spm",
                         "pace": "6:40 /km", "week": f"{60 + 11 * number} min",
                         "longest": f"{31 + number} min", "runs": "3"},
            "goal": {"text": mine.words(4), "event": {"on": "2027-05-16", "distance": "10 km",
                                                      "name": mine.words(2)}},
            "week": {"mon": {"for": "strength"}, "tue": {"at": "18:30"}, "thu": {"at": "18:30"},
                     "sun": {"at": "10:00"}, "long": "sun"},
            "plan": {"from": "2027-01-25", "weeks": str(14 + number)},
            "drills": ["own-drill", "bridge"],
            "notes": [{"week": str(n), "text": mine.words(5)} for n in range(1, 13)],
            "changes": [{"on": "2027-03-02", "rest": "yes", "because": mine.words(3)}],
            "calendar": ("discreet", "full", "off")[number % 3],
            "group": "own-group",
        }  # fmt: skip
        log: list[dict[str, Any]] = [
            {"on": "2027-03-04", "ran": "33 min", "effort": "3", "said": mine.words(6),
             "pain": {"during": "1", "after": "2", "site": mine.words(2)}},
            {"on": "2027-03-07", "skipped": "ill", "said": mine.words(3)},
        ]  # fmt: skip
        write(folder / f"{id}.yaml", client)
        write(folder / f"{id}.log.yaml", log)
        mine.all |= {str(client["born"]), id}
        words[id] = mine.all
    return words


def write(file: Path, tree: Any) -> None:
    file.write_text(yaml.safe_dump(tree, allow_unicode=True, width=1000), encoding="utf-8")


# Every text of a practice, from its files and from its expanded plans


def texts_in(tree: Any) -> Iterator[str]:
    """The texts of a YAML tree that hold words: no number, date, unit or choice."""
    if isinstance(tree, dict):
        for key, value in tree.items():
            if key in ("name", "called", "text", "said", "site", "because", "born", "title",
                       "cues", "purpose", "coach", "contact"):  # fmt: skip
                yield from texts_of(value)
            else:
                yield from texts_in(value)
    elif isinstance(tree, list):
        for value in tree:
            yield from texts_in(value)


def texts_of(value: Any) -> Iterator[str]:
    if isinstance(value, list):
        for one in value:
            yield from texts_of(one)
    elif isinstance(value, str):
        yield value


def written(clients: Path) -> dict[str, set[str]]:
    """What coach and clients wrote, by client; the practice's own under ""."""
    found: dict[str, set[str]] = {}
    for file in sorted(clients.glob("*.yaml")):
        id = file.name.split(".")[0]
        tree = yaml.load(file.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
        found.setdefault("" if id == "practice" else id, set()).update(texts_in(tree))
        if id != "practice":
            found[id].add(id)
    return found


@lru_cache
def public_words() -> frozenset[str]:
    """Every word of what anybody can read in this repository: templates and shipped drills."""
    files = [p for p in (ROOT / "templates").rglob("*") if p.is_file()]
    files += (ROOT / "sitegen" / "library").rglob("*.md")
    files += [p for e in ("py", "html", "js", "css") for p in (ROOT / "sitegen").rglob(f"*.{e}")]
    return frozenset(
        word
        for file in files
        for word in re.findall(r"\w+", file.read_text(encoding="utf-8").lower())
    )


def secrets(texts: set[str]) -> set[str]:
    """Each text whole, and each of its words that the tool itself does not use."""
    words = {w for text in texts for w in re.findall(r"\w+", text.lower())}
    return {t.lower() for t in texts if len(t) >= 4} | {
        w for w in words if len(w) >= 3 and not w.isdigit() and w not in public_words()
    }


# Looking


@dataclass(frozen=True, order=True)
class Leak:
    """A word, the file that tells it, and through which wrappings."""

    file: str
    how: str
    word: str


def leaks(folder: Path, words: set[str]) -> list[Leak]:
    """Every word that a host could read out of a folder."""
    found: set[Leak] = set()
    long = any_of(w for w in words if len(w.encode()) >= NOISE_WORD)
    short = any_of((w for w in words if len(w.encode()) < NOISE_WORD), whole=True)
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        data = path.read_bytes() if path.is_file() else b""
        places = [("name", name.encode()), ("content", data)]
        # In 64 kB of base64 a short word stands by chance; what it hides is looked at decoded.
        clear = [(how, re.sub(rb"[A-Za-z0-9+/=]{4096,}", b" ", part)) for how, part in places]
        for how, part in [*clear, *unwrapped(data, 3)]:
            for word in long.findall(part.lower()):
                found.add(Leak(name, how, word.decode()))
        for how, part in places:
            plain = re.sub(rb"[A-Za-z0-9+/=_-]{22,}", b" ", part)
            for word in short.findall(plain.lower()):
                found.add(Leak(name, how, word.decode()))
    return sorted(found)


def any_of(words: Iterable[str], whole: bool = False) -> re.Pattern[bytes]:
    """Any of the words; the longest where several begin alike."""
    each = b"|".join(re.escape(w.encode()) for w in sorted(words, key=len, reverse=True))
    return re.compile((rb"\b(?:%s)\b" if whole else rb"%s") % (each or rb"(?!)"))


def unwrapped(data: bytes, depth: int) -> Iterator[tuple[str, bytes]]:
    """All that can be decoded or unpacked somewhere in some bytes, and in what comes out."""
    if depth == 0:
        return
    for how, part in [*decoded(data), *unpacked(data)]:
        yield how, part
        for inner, more in unwrapped(part, depth - 1):
            yield f"{how}, {inner}", more


def decoded(data: bytes) -> Iterator[tuple[str, bytes]]:
    """Base64 of both alphabets, hex, percent, entities, escapes, and text in two bytes a letter."""
    for block in re.findall(rb"[A-Za-z0-9+/_-]{12,}", data):
        plain = block.translate(bytes.maketrans(b"-_", b"+/"))
        for start in range(4 if len(plain) < 4096 else 1):
            part = plain[start:]
            yield "base64", base64.b64decode(part[: len(part) // 4 * 4])
    for block in re.findall(rb"(?:[0-9a-fA-F]{2}){6,}", data):
        yield "hex", binascii.unhexlify(block)
    if b"\0" in data[:4096]:
        yield "two bytes a letter", data.replace(b"\0", b"")


def unpacked(data: bytes) -> Iterator[tuple[str, bytes]]:
    """zlib, gzip and the raw form, wherever a stream could begin."""
    for head in re.finditer(rb"\x1f\x8b\x08|\x78[\x01\x5e\x9c\xda]", data):
        yield from inflated(data[head.start() :], 47)
    if len(data) < 65536:
        yield from inflated(data, -15)


def inflated(data: bytes, form: int) -> Iterator[tuple[str, bytes]]:
    reader = zlib.decompressobj(form)
    try:
        found = reader.decompress(data, 8 * 1024 * 1024)
    except zlib.error:
        return
    if len(found) > 16:
        yield "unpacked", found


# The two sites


@dataclass(frozen=True)
class Site:
    clients: Path
    public: Path
    keys: Keys
    words: dict[str, set[str]]

    def all_words(self) -> set[str]:
        return set().union(*self.words.values())

    def sentences(self) -> set[str]:
        """What the rules say to clients: titles, reasons, warnings, with the numbers in them."""
        opened = open_plans(self.clients, (), AS_OF)
        return {
            str(decision.says).lower()
            for plan in opened.plans.values()
            for decisions in (plan.decisions, *(w.decisions for w in plan.weeks))
            for decision in decisions
        } | {
            str(part.text).lower()
            for plan in opened.plans.values()
            for session in plan.sessions
            for part in session.parts
            if len(str(part.text)) > 12
        }


def built(clients: Path, seed: str, words: dict[str, set[str]]) -> Site:
    ids = {p.name.split(".")[0] for p in clients.glob("*.yaml")} - {"practice", ""}
    write_keys(clients / ".keys.yaml", ensure(Keys(), ids, drawn(seed)))
    public = clients.parent / "public"
    done = build_site(clients, public, as_of=AS_OF)
    assert done.done, done.problems
    keys, _ = load_keys(clients / ".keys.yaml")
    assert keys is not None
    return Site(clients, public, keys, words)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Site:
    folder = tmp_path_factory.mktemp("demo") / "clients"
    shutil.copytree(ROOT / "clients", folder, ignore=shutil.ignore_patterns(".keys.yaml*"))
    texts = written(folder)
    return built(folder, "demo", {id: secrets(mine) for id, mine in texts.items()})


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Site:
    folder = tmp_path_factory.mktemp("made") / "clients"
    return built(folder, "made", invented("made", folder))


@pytest.fixture(params=["demo", "made"])
def site(request: pytest.FixtureRequest) -> Site:
    return request.getfixturevalue(request.param)  # type: ignore[no-any-return]


# What was looked for at all


def test_the_words_looked_for_are_those_that_were_written(demo: Site, made: Site) -> None:
    assert {"castell", "mirela", "tomas", "ayla", "1979-05-20", "tidewrack"} <= demo.all_words()
    assert any("shins less after the sunday run" in word for word in demo.words["mirela"])
    assert len(made.all_words()) > 12 * 80
    assert {"sealed"} == {
        case.privacy for case in open_plans(made.clients, (), AS_OF).cases.values()
    }


def test_what_is_looked_for_does_stand_in_the_sealed_documents(made: Site) -> None:
    """Otherwise not finding it outside would say nothing."""
    for id, link in made.keys.links.items():
        document = unseal(block(made, id), portal=link.portal, key=link.key).decode().lower()
        shown = [word for word in made.words[id] if word in document]
        assert len(shown) > 30 or id.startswith(("client-9-", "client-11-")), id


# Nothing leaks


def test_no_written_word_can_be_read_in_the_site(site: Site) -> None:
    assert leaks(site.public, site.all_words()) == []


def test_no_sentence_of_a_plan_can_be_read_in_the_site(site: Site) -> None:
    sentences = site.sentences()
    assert len(sentences) > 40
    assert leaks(site.public, sentences) == []


def block(site: Site, id: str) -> bytes:
    return base64.b64decode(block_text(page(site, id)))


def block_text(text: str) -> str:
    found = re.search(r'id="sealed" data-portal="[^"]*">([^<]*)</script>', text)
    assert found is not None
    return found[1]


def page(site: Site, id: str) -> str:
    return (site.public / site.keys.links[id].portal / "index.html").read_text(encoding="utf-8")


def test_what_lies_beside_the_pages_is_the_same_for_all(site: Site) -> None:
    """The file for the home screen: no name, no colour, no key; in the page's own language."""
    files: dict[str, set[str]] = {}
    for id, link in site.keys.links.items():
        text = (site.public / link.portal / "plan.webmanifest").read_text(encoding="utf-8")
        language = re.search(r'<html lang="([^"]+)"', page(site, id))
        assert language and json.loads(text)["lang"] == language[1]
        files.setdefault(language[1], set()).add(text)
    assert files and {len(texts) for texts in files.values()} == {1}


def test_two_pages_differ_in_their_id_and_their_sealed_block_alone(site: Site) -> None:
    """So neither status, language, length of plan nor anything else stands beside the block."""
    shells = {
        re.sub(r'data-built="[0-9a-f]{10}"', "", page(site, id))  # a hash of the sealed block
        .replace(block_text(page(site, id)), "")
        .replace(link.portal, "ID")
        for id, link in site.keys.links.items()
    }
    assert len(shells) == 1


def test_sizes_tell_only_the_number_of_steps(site: Site) -> None:
    sizes = []
    shell = set()
    for id in site.keys.links:
        text = page(site, id)
        sealed = len(block_text(text))
        assert sealed % STEP == 0
        sizes.append(sealed // STEP)
        shell.add(len(text.encode()) - sealed)
    assert len(shell) == 1
    assert max(sizes) <= 4, "a portal has grown: more steps tell more"
    assert len(set(sizes)) <= 3


def test_names_are_random_ids_and_names_that_every_site_has(site: Site) -> None:
    random = r"[A-Za-z0-9_-]{22}"
    allowed = re.compile(
        rf"(index\.html|robots\.txt|_headers|\.nojekyll|\.sitegen-files|worker\.js|"
        rf"{random}/(index\.html|plan\.webmanifest)|feeds/({random}\.ics|index\.html)|"
        rf"assets/[a-z0-9-]+\.[0-9a-f]{{10}}\.(css|js|png))"
    )
    names = [p.relative_to(site.public).as_posix() for p in site.public.rglob("*") if p.is_file()]
    assert [n for n in names if not allowed.fullmatch(n)] == []
    known = {link.portal for link in site.keys.links.values()}
    assert {n.split("/")[0] for n in names if n.endswith("/index.html")} == {*known, "feeds"}
    folders = {n.rpartition("/")[0] for n in names} - {"assets"}
    assert all(f"{folder}/index.html".lstrip("/") in names for folder in folders), "none is listed"


def test_what_all_portals_share_is_the_same_for_every_practice(demo: Site, made: Site) -> None:
    """Front page, robots, headers and assets say nothing of a practice but its accent, which is
    the end of the style sheet, so that its name differs, too."""
    hex = rb":root\{--accent:#[0-9a-f]{3,6}\}"
    accent = rb"%b@media \(prefers-color-scheme:dark\)\{%b\}@media print\{%b\}$" % (hex, hex, hex)
    style = rb"assets/portal\.[0-9a-f]{10}\.css"

    def shared(site: Site) -> dict[str, bytes]:
        found = {
            p.relative_to(site.public).as_posix().encode(): p.read_bytes()
            for p in site.public.rglob("*")
            if p.is_file() and p.parent.name in ("public", "assets") and p.name != ".sitegen-files"
        }
        return {
            re.sub(style, b"style", name).decode(): re.sub(
                style, b"style", re.sub(accent, b"", data)
            )
            for name, data in found.items()
        }

    assert shared(demo) == shared(made)
    assert {"index.html", "robots.txt", "_headers"} <= set(shared(demo))
    assert b"noindex" in shared(demo)["_headers"] and b"no-referrer" in shared(demo)["_headers"]
    assert shared(demo)["robots.txt"].endswith(b"User-agent: *\nDisallow:\n")  # may read noindex


def test_a_client_who_ended_has_nothing_in_the_site(made: Site) -> None:
    ended = next(id for id in made.words if id.startswith("client-10-"))
    assert ended not in made.keys.links
    assert len(made.keys.links) == 11
    assert {old.portal for old in made.keys.retired} != set()
    for old in made.keys.retired:
        assert not (made.public / old.portal).exists()
        assert not (made.public / "feeds" / f"{old.feed}.ics").exists()


# Feeds


FEED_WORDS = {
    "discreet": {"running", "plan", "run", "strength", "h", "min"},
    "full": {"warm", "up", "walk", "cool", "down", "at", "steps", "a", "the", "beat", "to",
             "times"},
}  # fmt: skip


def feed_words(text: str) -> set[str]:
    """Words of what a person reads in a feed."""
    unfolded = text.replace("\r\n ", "")
    read = re.findall(r"^(?:SUMMARY|DESCRIPTION|X-WR-CALNAME|NAME)[^:]*:(.*)$", unfolded, re.M)
    return {w.lower() for line in read for w in re.findall(r"[^\W\d_]+", line.replace("\\n", " "))}


def test_a_feed_says_only_words_of_its_own(made: Site) -> None:
    modes: dict[str, list[str]] = {}
    for id, case in open_plans(made.clients, (), AS_OF).cases.items():
        if id in made.keys.links:
            file = made.public / "feeds" / f"{made.keys.links[id].feed}.ics"
            assert file.exists() == (case.calendar != "off")
            if file.exists():
                modes.setdefault(case.calendar, []).append(file.read_text(encoding="utf-8"))
    assert set(modes) == {"discreet", "full"}
    for text in modes["discreet"]:
        assert feed_words(text) <= FEED_WORDS["discreet"]
        properties = set(re.findall(r"^([A-Z-]+)[;:]", text.replace("\r\n ", ""), re.M))
        assert not properties & {"LOCATION", "ORGANIZER", "ATTENDEE", "URL", "COMMENT", "CONTACT"}
    for text in modes["full"]:
        assert feed_words(text) <= FEED_WORDS["discreet"] | FEED_WORDS["full"]


# In clear, where the coach says so


def test_an_open_portal_holds_its_own_client_s_words_and_nobody_else_s(tmp_path: Path) -> None:
    folder = tmp_path / "clients"
    words = invented("open", folder, privacy="open")
    site = built(folder, "open", words)
    for id, link in site.keys.links.items():
        text = page(site, id).lower()
        assert 'id="sealed"' not in text
        others = set().union(*(mine for other, mine in words.items() if other not in ("", id)))
        assert [word for word in others if word in text] == []
        assert any(word in text for word in words[id])
        assert link.key_text.lower() not in text


def test_no_key_of_any_client_stands_in_the_site(site: Site) -> None:
    content = b"".join(p.read_bytes() for p in site.public.rglob("*") if p.is_file())
    for link in site.keys.links.values():
        assert link.key not in content and link.key_text.encode() not in content
        assert link.portal.encode() in content or (site.public / link.portal).is_dir()
        assert link.feed.encode() not in content  # the feed's address is inside the seal


# The looking can fail


def test_one_portal_left_open_by_mistake_is_found(made: Site, tmp_path: Path) -> None:
    """The same practice, one client's file says `privacy: open`."""
    folder = tmp_path / "clients"
    shutil.copytree(made.clients, folder)
    id = next(id for id in made.words if id.startswith("client-3-"))
    file = folder / f"{id}.yaml"
    file.write_text(file.read_text() + "privacy: open\n")
    assert build_site(folder, tmp_path / "public", as_of=AS_OF).done
    found = leaks(tmp_path / "public", made.all_words())
    assert {leak.file for leak in found} == {f"{made.keys.links[id].portal}/index.html"}
    assert {leak.word for leak in found} <= made.words[id] | made.words[""]
    assert len(found) > 30


@pytest.mark.parametrize(
    ("name", "wrap", "how"),
    [
        ("assets/x.js", lambda word: b"var who='" + word.upper() + b"'", "content"),
        ("assets/x.js.gz", lambda word: gzip.compress(b"the plan of " + word), "unpacked"),
        ("assets/x.bin", lambda word: b"head" + zlib.compress(b"the plan of " + word), "unpacked"),
        ("x.txt", lambda word: b"data:" + base64.b64encode(b"ab" + word + b"cd"), "base64"),
        ("x.txt", lambda word: base64.b64encode(zlib.compress(b"the plan of " + word)),
         "base64, unpacked"),
        ("x.txt", lambda word: word.hex().encode(), "hex"),
        ("x.txt", lambda word: word.decode().encode("utf-16-le"), "two bytes a letter"),
        ("{word}.txt", lambda word: b"", "name"),
    ],
)  # fmt: skip
def test_a_planted_word_is_found(
    tmp_path: Path, name: str, wrap: Callable[[bytes], bytes], how: str
) -> None:
    word = "zorvaxquim"
    file = tmp_path / name.format(word=word)
    file.parent.mkdir(exist_ok=True)
    file.write_bytes(wrap(word.encode()))
    found = leaks(tmp_path, {word})
    assert (file.relative_to(tmp_path).as_posix(), how) in {(f.file, f.how) for f in found}
