"""Kinds of what a practice says of itself: time zone, language, contact, address."""

from __future__ import annotations

import re
import zoneinfo

from sitegen.model.kinds.kind import Kind, schema_of, wrong
from sitegen.model.nearest import nearest_of

# Files beside the zones: with leap seconds, or without a rule for the years ahead.
_NO_ZONE = re.compile(r"(?:right|posix)/.*|localtime|posixrules|Factory")


def _parse_timezone(text: str) -> str:
    try:
        if _NO_ZONE.fullmatch(text):
            raise ValueError
        zoneinfo.ZoneInfo(text)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        names = zoneinfo.available_timezones()
        low = {n.lower(): n for n in names} | {n.lower().rsplit("/", 1)[-1]: n for n in names}
        found = nearest_of(text, low)
        mean = f"did you mean {low[found]}? " if found else ""
        raise wrong(
            "timezone", text, "a time zone", f"{mean}write an IANA name, like Europe/Lisbon"
        ) from None
    return text


TIMEZONE = Kind(
    (str,),
    _parse_timezone,
    "a time zone",
    "like Europe/Lisbon",
    schema_of(r"^[A-Za-z0-9_+\-/]+$", "an IANA time zone", "Europe/Lisbon"),
    form="its IANA name, like `Europe/Lisbon`",
)
_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,8})*")


def _parse_language(text: str) -> str:
    if not _LANGUAGE.fullmatch(text):
        raise wrong("language", text, "a language tag", "write one like en, es or pt-BR")
    return text


LANGUAGE = Kind(
    (str,),
    _parse_language,
    "a language tag",
    "like en",
    schema_of(r"^[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*$", "a language, BCP 47", "en", "es"),
    form="`en`, `es`, `pt-BR` (BCP 47)",
)
_EMAIL = re.compile(r"""[^@\s<>"']+@[^@\s<>"']+\.[^@\s<>"'.]+""")
_PHONE = re.compile(r"\+?\(?[0-9][0-9 ()./-]{4,24}")


def _parse_contact(text: str) -> str:
    if not (_EMAIL.fullmatch(text) or _PHONE.fullmatch(text)):
        raise wrong(
            "contact",
            text,
            "an e-mail address or a phone number",
            "write one like coach@example.org or +351 210 000 000",
        )
    return text


CONTACT = Kind(
    (str,),
    _parse_contact,
    "an e-mail address or a phone number",
    "where clients reach you",
    {
        "type": ["string", "integer"],
        "minimum": 10_000,
        "pattern": rf"^\s*(?:{_EMAIL.pattern}|{_PHONE.pattern})\s*$",
        "examples": ["coach@example.org", "+351 210 000 000"],
    },
    form="`coach@example.org`, `+351 210 000 000`",
)
_HTTPS = re.compile(r"https://[A-Za-z0-9.-]+(?::[0-9]{1,5})?(?:/[A-Za-z0-9._~%/-]*)?")


def _parse_address(text: str) -> str:
    if not _HTTPS.fullmatch(text):
        raise wrong(
            "address", text, "an https address", "write one like https://plans.example.org/"
        )
    return text if text.endswith("/") else text + "/"


ADDRESS = Kind(
    (str,),
    _parse_address,
    "an https address",
    "like https://plans.example.org/",
    schema_of(
        rf"^\s*{_HTTPS.pattern}\s*$", "where public/ is served", "https://plans.example.org/"
    ),
    form="`https://plans.example.org/`",
)
