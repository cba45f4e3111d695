"""The files that all portals of a practice load: styles, scripts, icons, the worker.

Scripts and styles are written in parts, each short enough to be read, and travel as few files:

- ``portal.js``: the rules by which a device acts on check-ins, ``door/*.js`` for sealed pages,
  ``app/*.js``, each view's own scripts, and ``start.js``, which begins;
- ``portal-TAG.js``: the same for sealed pages, with what stands in the views of all clients of a
  language (`View.alike`) before it, which would make each document longer;
- ``later-TAG.js``: what no first picture needs (`LATER`), with its words in one language and the
  words of danger that the check-in looks for, asked for once the page is ready; the same for all
  clients, so that asking tells nothing of anybody;
- ``listen-TAG.js``: the listening check (`LISTEN`) with its words in one language; page and audio
  graph load the same file;
- ``portal.css``: ``style/*.css``, then each view's own styles, then those of ``LATER``, then the
  practice's accent.

Within a folder parts go by name, so a part leans only on those that stand before it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

from sitegen.model.colour import GROUND_DARK, GROUND_LIGHT, OUTDOORS, readable
from sitegen.model.languages import ENGLISH
from sitegen.portal.catalogue import Languages
from sitegen.portal.icon import SIZES, icon
from sitegen.portal.listening import listen_words
from sitegen.portal.reacting import DEVICE_RULES
from sitegen.portal.run_file import LIMITS, words_of
from sitegen.portal.shrink import content_hash, literal, short, shrunk
from sitegen.portal.wordlists import word_lists

# Before a block white space shows nothing; without it what is sent is 47 bytes less.
_IDLE = re.compile(r"\n(?=</?(?:p|div|section|fieldset|legend|details|summary|ul|li|h3)\b)")
WORKER = "worker.js"  # at the top of the site: it may only look after what lies below it
STYLE = "portal.css"
MAIN_SCRIPT = "portal.js"
LATE_SCRIPT = "later.js"
# Like beside like, which packs better by 150 bytes; readers of runs lean on those before them.
LATER = (
    "views/beat/counting.js",
    "app/host.js",
    "views/drills/late.js",
    "app/listen.js",
    "app/offline.js",
    "views/beat/sensing.js",
    "views/calendar/view.js",
    "views/cadence/view.js",
    "views/weeks/view.js",
    "views/drills/today.js",
    "views/drills/timer.js",
    "views/weeks/months.js",
    "views/checkin/words.js",
    "views/checkin/run_xml.js",
    "views/checkin/run_sum.js",
    "views/checkin/run_gpx.js",
    "views/checkin/run_csv.js",
    "views/checkin/run_file.js",
    "views/checkin/choosing.js",
    "views/cadence/late.css",
    "views/weeks/months.css",
    "views/weeks/view-print.css",
    "views/drills/late.css",
    "views/beat/listen.css",
)
LISTEN_SCRIPT = "listen.js"
LISTEN = (
    "listening.js",
    "views/beat/check.js",
    "views/beat/microphone.js",
    "views/beat/listen.js",
)
STRICT = "'use strict';"
NOT_FIRST = frozenset((*LATER, *LISTEN))  # what is in no script that a first picture needs
FOLDERS = {
    MAIN_SCRIPT: ("door/", "app/", "views/", "start.js"),
    LATE_SCRIPT: LATER,
    LISTEN_SCRIPT: LISTEN,
    STYLE: ("style/", "views/", *LATER),
}


def bundles(templates: Mapping[str, str]) -> dict[str, str]:
    """Each script and style sheet put together of its parts, as it travels, by its name."""
    made = {whole: _whole(templates, whole, places) for whole, places in FOLDERS.items()}
    rules, limits = (json.dumps(one, separators=(",", ":")) for one in (DEVICE_RULES, LIMITS))
    parts = f"window.portalParts.runFile={{limits:{limits}}};"
    return made | {
        MAIN_SCRIPT: f"window.portalParts={{rules:{rules}}};\n{made[MAIN_SCRIPT]}",
        LATE_SCRIPT: f"{parts}\n{made[LATE_SCRIPT]}",
    }


def late(language: str, whole: Mapping[str, str], languages: Languages) -> tuple[str, bytes]:
    """The name and the content of the scripts that come late, with their words in a language.

    Args:
        language: BCP 47; one of ours.
        whole: What `bundles` made.
        languages: Every language beside English.
    """
    words = {"runFile": words_of(languages.catalogue(language).gettext)}
    given = {"window.portalWords": words, "window.portalParts.wordLists": word_lists(language)}
    return _with_words(LATE_SCRIPT, given, language, whole)


def listen(language: str, whole: Mapping[str, str], languages: Languages) -> tuple[str, bytes]:
    """The same for the listening check. An audio graph, which loads it too, has no window."""
    words = listen_words(languages.catalogue(language).gettext)
    return _with_words(LISTEN_SCRIPT, {"globalThis.portalListen": words}, language, whole)


def late_addresses(language: str, whole: Mapping[str, str], languages: Languages) -> dict[str, str]:
    """Where a page finds what comes late, by the names that its template has for it."""
    return {
        "later": f"../{late(language, whole, languages)[0]}",
        "later_listen": f"../{listen(language, whole, languages)[0]}",
    }


def _with_words(
    name: str, given: Mapping[str, object], language: str, whole: Mapping[str, str]
) -> tuple[str, bytes]:
    head = "".join(
        f"{place}={json.dumps(words, ensure_ascii=False, separators=(',', ':'))};\n"
        for place, words in given.items()
    )
    content = f"{head}{whole[name]}".encode()
    return asset_name(f"{name.removesuffix('.js')}-{language.lower()}.js", content), content


def _whole(templates: Mapping[str, str], whole: str, places: tuple[str, ...]) -> str:
    ending = whole.rpartition(".")[2]
    names = [name for place in places for name in _parts(templates, place, ending)]
    if ending == "js":  # what stands before them all is no directive, so theirs would be none
        return "\n".join(short(name, templates).removeprefix(STRICT) for name in names)
    return shrunk(whole, "\n".join(templates[name] for name in names)).decode()


def _parts(templates: Mapping[str, str], place: str, ending: str) -> list[str]:
    names = [n for n in templates if n.startswith(place) and n.endswith(f".{ending}")]
    return sorted((n for n in names if n == place or n not in NOT_FIRST), key=_by_stem)


def _by_stem(name: str) -> str:
    """``view.css`` before ``view-print.css``."""
    return name.rpartition(".")[0]


def with_views(
    language: str, whole: Mapping[str, str], views: Mapping[str, str]
) -> tuple[str, bytes]:
    """The name and the content of the scripts of sealed pages. They come with what all clients'
    views have in common: one file, and so one answer of the host, packs better than two.

    Args:
        language: BCP 47; one of ours.
        whole: What `bundles` made.
        views: HTML by name.
    """
    drawn = {name: _IDLE.sub("", html).replace("\n", " ") for name, html in views.items()}
    content = f"window.portalViews={literal(drawn)};\n{whole[MAIN_SCRIPT]}".encode()
    return asset_name(f"portal-{language.lower()}.js", content), content


def assets(
    templates: Mapping[str, str], accent: str | None = None, languages: Languages | None = None
) -> dict[str, bytes]:
    """Styles, scripts and icons under names that carry a hash of their content; the worker.

    ``languages`` are those beside English; what comes late is a file for each.
    """
    languages = languages or Languages()
    whole = bundles(templates)
    made = {
        asset_name(name, text.encode()): text.encode()
        for name, text in whole.items()
        if name not in (LATE_SCRIPT, LISTEN_SCRIPT, STYLE)
    }
    made |= dict([style_sheet(whole, accent)])
    for with_words in (late, listen):
        made |= dict(with_words(tag, whole, languages) for tag in (ENGLISH, *languages.shipped))
    made |= {icon_name(size): icon(size) for size in SIZES}
    if WORKER in templates:
        made[WORKER] = short(WORKER, templates).encode()
    return made


def style_sheet(whole: Mapping[str, str], accent: str | None) -> tuple[str, bytes]:
    """The name and the content of a practice's style sheet.

    Args:
        whole: What `bundles` made.
        accent: A CSS hex colour; None for ours.
    """
    content = whole[STYLE].encode() + (b"" if accent is None else accent_css(accent))
    return asset_name(STYLE, content), content


def asset_name(name: str, content: bytes) -> str:
    """``assets/portal.1a2b3c4d5e.css``."""
    stem, _, ending = name.rpartition(".")
    return f"assets/{stem}.{content_hash(content)}.{ending}"


def icon_name(size: int) -> str:
    """The name of the icon of that many pixels."""
    return asset_name(f"icon-{size}.png", icon(size))


def accent_css(accent: str) -> bytes:
    """A practice's accent for both grounds, each with enough contrast to be read in the sun.

    Wins over ours where it comes after it.
    """
    light, dark = (readable(accent, ground, OUTDOORS) for ground in (GROUND_LIGHT, GROUND_DARK))
    return (
        f":root{{--accent:{light}}}"
        f"@media (prefers-color-scheme:dark){{:root{{--accent:{dark}}}}}"
        f"@media print{{:root{{--accent:{light}}}}}"
    ).encode()
