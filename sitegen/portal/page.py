"""A client's portal as text: the document with all its views, the shell around it, the assets.

Pure: templates come in as texts, pages go out as texts. No clock; the browser picks today.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Hashable, Iterator, Mapping, MutableMapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from gettext import NullTranslations
from hashlib import blake2b
from types import MappingProxyType
from typing import Any, NamedTuple

from jinja2 import BytecodeCache, Environment
from markupsafe import Markup, escape

from sitegen.care.sentences import DEVICE_HOLDS
from sitegen.model.case import Case
from sitegen.model.colour import ACCENT_DEFAULT, GROUND_DARK, GROUND_LIGHT
from sitegen.model.drill import Drill
from sitegen.model.handout import Handout
from sitegen.model.languages import ENGLISH
from sitegen.model.picture import Picture
from sitegen.model.plan import Plan
from sitegen.model.sentence import N_
from sitegen.portal.assets import (
    MAIN_SCRIPT,
    WORKER,
    accent_css,
    asset_name,
    assets,
    bundles,
    icon_name,
    late_addresses,
    style_sheet,
    with_views,
)
from sitegen.portal.catalogue import Languages
from sitegen.portal.changed import Seen
from sitegen.portal.contact import coach_of, practice_name
from sitegen.portal.data_block import data_block
from sitegen.portal.folding import FoldedLines
from sitegen.portal.icon import SIZES
from sitegen.portal.prose import Prose
from sitegen.portal.scene import Key, Pens, Scene, View
from sitegen.portal.shelf import DrillShelf, shelf
from sitegen.portal.shrink import content_hash
from sitegen.portal.stopped import device_notices, stop_notice
from sitegen.portal.templating import portal_environment
from sitegen.portal.views import VIEWS
from sitegen.portal.views.drills import figure
from sitegen.portal.words import Words, tied

MOST_PIECES = 4096  # each about a kilobyte, with its key about three
MAIN_VIEWS = 4
YOUR_COACH = N_("your coach")
_INDENT = re.compile(r"^\s+", re.MULTILINE)
POLICY = "portal"
CONTENT_SECURITY_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "require-trusted-types-for 'script'",
        f"trusted-types {POLICY}",
    )
)
RIGHT_TO_LEFT = frozenset({"ar", "fa", "he", "ur", "yi"})
INSTALL = "plan.webmanifest"


class Look(NamedTuple):
    """What all pages of a practice share.

    ``accent`` is a CSS hex colour or None for ours, ``version`` the tool's, ``built`` names the
    page's content, so that a page can tell that a newer one has come; empty: a hash of it.
    """

    accent: str | None = None
    version: str = ""
    built: str = ""


PLAIN = Look()


class PageFiles(NamedTuple):
    """Where a page finds what it loads; ``drills`` with their hash only where they are apart."""

    style: str
    script: str
    icon: str
    later: str
    later_listen: str
    drills: str = ""
    drills_hash: str = ""


@dataclass(frozen=True)
class Renderer:
    """Draws portals from templates, name to text.

    ``bytecode`` lets a caller keep compiled templates, and ``kept`` the names of files: to name one
    all of it has to be made. ``evidence`` maps a rule's name to how
    firm its ground is (``weak`` and ``judgement`` are told to the client).
    """

    templates: Mapping[str, str]
    evidence: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    bytecode: BytecodeCache | None = None
    languages: Languages = field(default_factory=Languages)
    kept: MutableMapping[str, bytes] = field(default_factory=dict)

    def document(
        self,
        case: Case,
        plan: Plan,
        drills: Sequence[Drill],
        *,
        feed_url: str | None,
        code: str,
        signing: str = "",
        kept_under: str = "",
        link: str = "",
        before: Seen | None = None,
        handouts: Sequence[Handout] = (),
        logo: Picture | None = None,
        are_apart: bool = False,
        edition: int = 0,
    ) -> str:
        """Everything that a client reads: all views, in order.

        Args:
            drills: Those that this client practises, in order.
            feed_url: The calendar feed's https address, or a relative one; None leaves the
                view out.
            code: Says in a check-in whose it is.
            signing: The key that signs check-ins; empty where none may stand in the page.
            kept_under: Keys under which the reader's device may still hold what was told.
            link: The whole private link, for a QR code on paper; empty where it is not known.
            before: The plan that changes are told from.
            handouts: The coach's texts for this client, in order.
            logo: The practice's; it stands in the document, so that a host has it sealed.
            are_apart: Leaves the insides of shipped drills to the file that `shelves` has.
            edition: How many plans of this day came before this one.
        """
        language = self.languages.spoken(case.language)
        words = self._words(language, case.units)
        scene = Scene(
            case, plan, self.languages.drills(drills, language), words, self._prose,
            self._drawn_drill(language, are_apart), feed_url, code, link, before, self.evidence,
            self._shared_markdown, self._pens(language, case.units), tuple(handouts),
            are_apart, signing, edition,
        )  # fmt: skip
        names = frozenset(view.name for view in VIEWS if view.shows(scene))
        context = {
            "called": case.client.greeting,
            "practice": practice_name(case.practice),
            "names": names,
            "words": words,
            "lines": FoldedLines(),
        }
        views = [
            (
                view,
                None
                if are_apart and view.alike
                else self._drawn_view(view, view.build(scene), language, context),
            )
            for view in VIEWS
            if view.name in names
        ]
        coach = coach_of(case.practice)
        drawn = (
            self._templates(language)
            .get_template("document.html")
            .render(
                **context,
                coach=coach,
                as_of=plan.as_of,
                as_of_words=words.long_date(plan.as_of),
                views=views,
                main_views=MAIN_VIEWS,
                data=data_block(scene),
                kept_under=kept_under,
                logo=logo,
                stop=stop_notice(scene),
                device_stops=device_notices(scene),
                device_holds=DEVICE_HOLDS,
                own_host=case.practice.own_host,
            )
        )
        return _by_name(drawn, words.gettext(YOUR_COACH), coach.name)

    def page(
        self,
        *,
        content: str | None,
        sealed: str | None,
        language: str,
        portal: str,
        look: Look = PLAIN,
        drills: Sequence[Drill] = (),
    ) -> str:
        """The shell that a browser loads: exactly one of ``content`` and ``sealed``.

        Args:
            content: A document in clear, for an open portal.
            sealed: A sealed document in base64.
            language: BCP 47; where there is no catalogue for it, the page is in English.
            portal: The portal's id, which is also its folder; assets lie one folder up.
            drills: The practice's, where they are apart.

        Raises:
            ValueError: Both or neither of the two; a developer's slip.
        """
        if (content is None) == (sealed is None):
            raise ValueError("a page holds a document or a sealed document")
        said = self.languages.said(language)
        files = self._files_named(said, look.accent, sealed is not None, tuple(drills))
        if not look.built:
            named = (files.style, files.script, files.later, files.later_listen)
            held = "\n".join((content or sealed or "", look.version, *named))
            look = look._replace(built=content_hash(held.encode()))
        language = self.languages.spoken(language)
        return (
            self._templates(language)
            .get_template("page.html")
            .render(
                content=None if content is None else Markup(content),
                sealed=sealed,
                language=language,
                direction=direction(language),
                portal=portal,
                views=" ".join(view.name for view in VIEWS),
                look=look,
                policy=Markup(CONTENT_SECURITY_POLICY),
                ground_light=GROUND_LIGHT,
                ground_dark=GROUND_DARK,
                worker=f"../{WORKER}",
                **files._asdict(),
            )
        )

    def _files_named(
        self, language: str, accent: str | None, is_sealed: bool, drills: tuple[Drill, ...]
    ) -> PageFiles:
        asked = (language, accent, is_sealed, drills)
        if asked not in self._named:
            ours = [drill for drill in drills if not drill.own]
            digest = self._made_of.copy()
            digest.update(repr((language, accent, is_sealed, ours)).encode())
            words, translated = self.languages.shipped.get(language, (b"", {}))
            digest.update(words)
            for id in sorted(translated):
                digest.update(id.encode() + translated[id])
            key = f"names-{digest.hexdigest()}"
            if key not in self.kept:
                made = self._name_files(language, accent, is_sealed, drills)
                self.kept[key] = json.dumps(made).encode()
            self._named[asked] = PageFiles(*json.loads(self.kept[key]))
        return self._named[asked]

    def _name_files(
        self, language: str, accent: str | None, is_sealed: bool, drills: tuple[Drill, ...]
    ) -> PageFiles:
        script = self._sealed_scripts[language][0] if is_sealed else self._main_script
        apart = self._shelf(language, drills) if drills else None
        return PageFiles(
            f"../{self._style(accent)}",
            f"../{script}",
            f"../{icon_name(SIZES[0])}",
            **self._late_files[language],
            **({"drills": f"../{apart.name}", "drills_hash": apart.integrity} if apart else {}),
        )

    @cached_property
    def _named(self) -> dict[Hashable, PageFiles]:
        return {}

    @cached_property
    def _made_of(self) -> blake2b:
        """A hash of all templates."""
        digest = blake2b(digest_size=16)
        for name, text in sorted(self.templates.items()):
            digest.update(f"{name} {len(text)}\n{text}".encode())
        return digest

    def shelves(self, drills: Sequence[Drill]) -> dict[str, bytes]:
        """Shipped drills as files, one a language; each says nothing of who has which."""
        made = (self._shelf(at, tuple(drills)) for at in (ENGLISH, *self.languages.shipped))
        return {each.name: each.content for each in made}

    def _shelf(self, language: str, drills: tuple[Drill, ...]) -> DrillShelf:
        key = (language, drills)
        if key not in self._shelves:
            ours = self.languages.drills([d for d in drills if not d.own], language)
            drawn = {drill.id: self._inside_drill(language, drill) for drill in ours}
            self._shelves[key] = shelf(language, drawn)
        return self._shelves[key]

    @cached_property
    def _shelves(self) -> dict[tuple[str, tuple[Drill, ...]], DrillShelf]:
        return {}

    def install(self, language: str) -> str:
        """``<portal>/plan.webmanifest``, for a home screen. The same for each portal of a language.

        It is the portal's own file because its start address is relative to it. That address has
        no key: some browsers hand it to their maker, who wraps it for the home screen.
        """
        language = self.languages.spoken(language)
        return (
            self._templates(language)
            .get_template(INSTALL)
            .render(
                language=language,
                direction=direction(language),
                ground=GROUND_LIGHT,
                icons={size: f"../{icon_name(size)}" for size in SIZES},
            )
        )

    def front(self, accent: str | None = None) -> str:
        """``public/index.html``: says nothing about anyone."""
        return self._environment.get_template("front.html").render(
            policy=Markup(CONTENT_SECURITY_POLICY), style=self._style(accent)
        )

    def _style(self, accent: str | None) -> str:
        if accent not in self._styles:
            self._styles[accent] = style_sheet(self._bundles, accent)[0]
        return self._styles[accent]

    @cached_property
    def _styles(self) -> dict[str | None, str]:
        """The name of the style sheet, by its accent."""
        return {}

    @cached_property
    def _main_script(self) -> str:
        return asset_name(MAIN_SCRIPT, self._bundles[MAIN_SCRIPT].encode())

    @cached_property
    def _bundles(self) -> dict[str, str]:
        return bundles(self.templates)

    @cached_property
    def _late_files(self) -> dict[str, dict[str, str]]:
        """Addresses of what comes late, by language."""
        tags = (ENGLISH, *self.languages.shipped)
        return {tag: late_addresses(tag, self._bundles, self.languages) for tag in tags}

    @cached_property
    def _sealed_scripts(self) -> dict[str, tuple[str, bytes]]:
        """The scripts of sealed pages, a file for each language, with what its views share."""
        tags = (ENGLISH, *self.languages.shipped)
        return {tag: with_views(tag, self._bundles, dict(self._drawn_alike(tag))) for tag in tags}

    def _drawn_alike(self, tag: str) -> Iterator[tuple[str, str]]:
        for view in VIEWS:
            if view.alike:
                yield view.name, str(self._drawn_view(view, view.build(None), tag, {}))
        for units in ("km", "mi"):
            template = self._templates(tag).get_template("views/cadence/about.html")
            yield f"cadence-{units}", template.render(words=self._words(tag, units))

    def assets(self, accent: str | None = None) -> dict[str, bytes]:
        """The files that all portals of a practice load, by their names."""
        return assets(self.templates, accent, self.languages) | dict(self._sealed_scripts.values())

    @cached_property
    def _environment(self) -> Environment:
        """The templates in English."""
        return self._templates(ENGLISH)

    @cached_property
    def _flush(self) -> dict[str, str]:
        """The templates without indentation and empty lines, which a client would load in vain."""
        ours = {name: text for name, text in self.templates.items() if name.endswith(".html")}
        return {**self.templates, **{n: _INDENT.sub("", text) for n, text in ours.items()}}

    def _templates(self, language: str) -> Environment:
        """The templates with the catalogue of ``language``."""
        catalogue = self.languages.catalogue(language)
        if catalogue in self._environments:
            return self._environments[catalogue]
        edition = self.languages.edition(language)
        environment = portal_environment(self._flush, catalogue, edition, self.bytecode)
        return self._environments.setdefault(catalogue, environment)

    @cached_property
    def _environments(self) -> dict[NullTranslations, Environment]:
        return {}

    def _drawn_view(
        self, view: View, model: object, language: str, context: Mapping[str, Any]
    ) -> Markup:
        """One view's inside. Views that many clients share word for word are drawn once."""
        key = (view.name, language, model)
        if view.shared and key in self._shared:
            return self._shared[key]
        template = self._templates(language).get_template(view.template)
        drawn = Markup(template.render(**context, view=model, name=view.name))
        if view.shared:
            self._shared[key] = drawn
        return drawn

    def _words(self, language: str, units: str) -> Words:
        key = language, units
        if key not in self._all_words:
            catalogue = self.languages.catalogue(language)
            self._all_words[key] = Words(language, units, catalogue.gettext, catalogue.ngettext)
        return self._all_words[key]

    @cached_property
    def _all_words(self) -> dict[tuple[str, str], Words]:
        """By language and units."""
        return {}

    def _pens(self, language: str, units: str) -> Pens:
        def pen(template: str, in_words: Callable[[Key], object]) -> Callable[[Key], Markup]:
            pieces = self._pieces.setdefault((template, language, units), {})
            drawing: Any = self._templates(language).get_template(template).module

            def draw(key: Key) -> Markup:
                found = pieces.get(key)
                if found is None:
                    if len(pieces) >= MOST_PIECES:
                        pieces.clear()
                    found = pieces[key] = drawing.drawn(in_words(key))
                return found

            return draw

        return pen

    @cached_property
    def _pieces(self) -> dict[tuple[str, str, str], dict[Hashable, Markup]]:
        return {}

    def _drawn_drill(self, language: str, are_apart: bool) -> Callable[[Drill], Markup]:
        def draw(drill: Drill) -> Markup:
            is_apart = are_apart and not drill.own
            key = ("drill", language, (drill, is_apart))
            if key not in self._shared:
                inside = None if is_apart else self._inside_drill(language, drill)
                template = self._templates(language).get_template("views/drills/drill.html")
                self._shared[key] = Markup(
                    template.render(drill=drill, dose=tied(drill.dose), inside=inside)
                )
            return self._shared[key]

        return draw

    def _inside_drill(self, language: str, drill: Drill) -> Markup:
        text = self._prose(drill.text) if drill.text else ""
        template = self._templates(language).get_template("views/drills/inside.html")
        return Markup(template.render(drill=drill, figure=figure(drill), text=text))

    @cached_property
    def _prose(self) -> Prose:
        return Prose()

    @cached_property
    def _shared(self) -> dict[tuple[str, str, object], Markup]:
        return {}

    def _shared_markdown(self, text: str) -> Markup:
        """What many clients read word for word is drawn once."""
        key = ("prose", "", text)
        if key not in self._shared:
            self._shared[key] = self._prose(text)
        return self._shared[key]


def _by_name(drawn: str, said: str, name: str) -> str:
    """The coach by name where a language has no plain word for her; English has."""
    if not name or said == YOUR_COACH:
        return drawn
    name = str(escape(name))
    return drawn.replace(said, name).replace(said[:1].upper() + said[1:], name)


def direction(language: str) -> str:
    """``rtl`` where the language is written from the right."""
    return "rtl" if language.split("-")[0].lower() in RIGHT_TO_LEFT else "ltr"


__all__ = ["ACCENT_DEFAULT", "Look", "Renderer", "accent_css", "assets"]
