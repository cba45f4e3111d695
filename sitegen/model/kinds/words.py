"""Kinds of words: texts, ids, one word of a few, names of pictures."""

from __future__ import annotations

import re

from sitegen.model.kinds.kind import Kind, nearest, one_of, quoted, schema_of, slip, wrong

_YES_NO = {"yes": True, "true": True, "no": False, "false": False}


def parse_yes_no(text: str) -> bool:
    try:
        return _YES_NO[text.lower()]
    except KeyError:
        raise wrong("yes-no-form", text, "yes or no", "write yes or no") from None


YES_NO = Kind(
    (bool,),
    parse_yes_no,
    "yes or no",
    "nothing else",
    {"enum": ["yes", "no", True, False]},
    form="`yes`, `no`, `true`, `false`",
)
MAX_TEXT = 200
MAX_PROSE = 20_000


def parse_text(text: str) -> str:
    if "\n" in text:
        raise slip("text-lines", "this text runs over several lines", "write it on one line")
    if len(text) > MAX_TEXT:
        raise slip(
            "text-length",
            "this text has {count} characters",
            f"write at most {MAX_TEXT}",
            count=len(text),
        )
    return text


def _parse_prose(text: str) -> str:
    if len(text) > MAX_PROSE:
        raise slip(
            "text-length",
            "this text has {count} characters",
            f"write at most {MAX_PROSE}",
            count=len(text),
        )
    return text


_TEXT_SCHEMA = {
    "type": ["string", "number"],
    "minLength": 1,
    "maxLength": MAX_TEXT,
    "pattern": r"^[^\n]*\S[^\n]*\n?$",
}
TEXT = Kind(
    (str,),
    parse_text,
    "a text",
    "on one line",
    _TEXT_SCHEMA,
    bounds=f"at most {MAX_TEXT} characters",
)

PROSE = Kind(
    (str,),
    _parse_prose,
    "a text",
    "Markdown if you like",
    {"type": ["string", "number"], "minLength": 1, "maxLength": MAX_PROSE, "pattern": r"\S"},
)
_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")


def is_id(text: str) -> bool:
    """True for small letters, digits and hyphens, at most 40."""
    return _ID.fullmatch(text) is not None


def _id_of(noun: str, example: str) -> Kind:
    def parse(text: str) -> str:
        if not is_id(text):
            hint = f"write small letters, digits and hyphens, like {example}"
            raise wrong("id-form", text, noun, hint)
        return text

    schema = schema_of(r"^[a-z0-9][a-z0-9-]{0,39}$", noun, example)
    schema["type"] = ["string", "integer"]
    return Kind((str,), parse, "an id", f"like {example}", schema)


DRILL_ID = _id_of("a drill's id", "quiet-landing")
TEXT_ID = _id_of("a text's id", "shoes")
SESSION_ID = _id_of("a session's name", "hills-short")
RETURN_ID = _id_of("a return's name", "long-absence")
CHECKIN_ID = _id_of("a check-in's id", "kqvbnrtwzd")
_PICTURE_NAME = re.compile(r"[^/\\:\0]{1,100}\.(?:png|jpe?g|webp)", re.IGNORECASE)
PICTURE_HINT = "write the name of a PNG, JPEG or WebP file beside practice.yaml, like logo.png"


def _parse_picture_name(text: str) -> str:
    if "/" in text or "\\" in text or text.startswith("."):
        raise slip(
            "logo-form",
            "{wrong} is not the name of a file beside practice.yaml",
            "put the file beside practice.yaml, and write its name alone, like logo.png",
            wrong=quoted(text),
        )
    if text.lower().endswith((".svg", ".svgz")):
        raise slip(
            "logo-svg",
            "{wrong} is an SVG",
            "save it as PNG, because an SVG can carry a program",
            wrong=quoted(text),
        )
    if not _PICTURE_NAME.fullmatch(text):
        raise wrong("logo-form", text, "the name of a picture", PICTURE_HINT)
    return text


PICTURE_NAME = Kind(
    (str,),
    _parse_picture_name,
    "the name of a picture",
    "like logo.png",
    schema_of(
        r"^[^/\\:]+\.([pP][nN][gG]|[jJ][pP][eE]?[gG]|[wW][eE][bB][pP])$",
        "a PNG, JPEG or WebP file beside practice.yaml",
        "logo.png",
    ),
)


def choice(*words: str) -> Kind:
    """One of a few words; a slip is told the nearest one."""

    def parse(text: str) -> str:
        if text in words:
            return text
        if text.lower() in words:
            return text.lower()
        raise slip(
            "choice",
            "{wrong} is not one of the words that can stand here",
            f"{nearest(text, words)}write {one_of(words)}",
            wrong=quoted(text),
        )

    return Kind((str,), parse, "one word", one_of(words), {"type": "string", "enum": list(words)})
