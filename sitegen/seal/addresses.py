"""What a private link gives names to: the portal, the feed, the code of check-ins."""

from __future__ import annotations

import base64
import hmac
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sitegen.model.case import Case
    from sitegen.seal.keys import Link


def checkin_code(link: Link) -> str:
    """Eight letters by which the coach's tool knows whose check-in it is.

    Comes from the link's key, so it changes with the link, and tells nothing of it.
    """
    digest = hmac.digest(link.key, b"sitegen check-in code", "sha256")
    letters = base64.b32encode(digest).decode("ascii")[:8]
    return f"{letters[:4]}-{letters[4:]}"


def signing_key(case: Case, link: Link) -> str:
    """The key with which a page signs check-ins, in base64url; empty for an open portal, where
    whoever its host lets in could read it."""
    if case.privacy != "sealed":
        return ""
    from sitegen.seal.sealing import checkin_key, to_base64url

    return to_base64url(checkin_key(link.key, link.passphrase, link.portal))


def kept_under(link: Link) -> str:
    """Keys, in base64, under which the page's reader may have kept something before a passphrase
    was changed; an open page keeps it under none."""
    return " ".join(base64.b64encode(key).decode("ascii") for key in link.kept_under)


def feed_name(link: Link) -> str:
    """The feed's file, relative to the site's folder."""
    return f"feeds/{link.feed}.ics"


def portal_name(link: Link) -> str:
    """The portal's page, relative to the site's folder."""
    return f"{link.portal}/index.html"


def address_of(case: Case, link: Link) -> str:
    """The private link: absolute where the practice has an address, else within ``public/``."""
    return private_address(case.practice.address, link, case.privacy)


def private_address(base: str | None, link: Link, privacy: str) -> str:
    """The private link below ``base``, an https address that ends in ``/``, or the folder itself.

    A sealed portal's key stands behind ``#``, so no host ever sees it.
    """
    key = f"#k={link.key_text}" if privacy == "sealed" else ""
    return f"{base or ''}{link.portal}/{key}"


def feed_address_of(case: Case, link: Link) -> str | None:
    """Where the calendar feed is; None where the coach turned it off."""
    if case.calendar == "off":
        return None
    return f"{case.practice.address or '../'}{feed_name(link)}"
