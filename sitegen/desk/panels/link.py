"""One client's private link with its code, to copy or photograph: only shown, a build made it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from markupsafe import Markup

from sitegen.desk.panel import DeskPanel, Sent
from sitegen.desk.warm import Warm
from sitegen.portal.qr import drawing
from sitegen.seal.addresses import address_of
from sitegen.seal.keys_file import KEYS_FILE, load_keys


def _view(warm: Warm, given: Sent) -> Mapping[str, Any]:
    known = warm.known(str(given.get("id", "")))
    case = known.case
    keys, _ = load_keys(warm.clients / KEYS_FILE)
    link = keys.links.get(known.files.id) if keys else None
    seen = {"name": known.name, "url": "", "why": ""}
    if case is None:
        return {**seen, "why": "The file has an error; mend it first."}
    if case.client.status == "ended":
        return {**seen, "why": "This plan has ended, so there is no link."}
    if not case.practice.address:
        why = "The site has no address yet: write address: https://... into practice.yaml."
        return {**seen, "why": why}
    if link is None:
        return {**seen, "why": "There is none yet: build first, at Out."}
    url = address_of(case, link)
    return {
        **seen,
        "url": url,
        "qr": Markup(drawing(url, f"The link of {known.name} as a code")),
        "locked": link.passphrase is not None,
    }


PANEL = DeskPanel("link", "Private link", _view, stands="within")
