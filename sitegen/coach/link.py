"""A client's private link: shown, drawn as a QR code, renewed."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sitegen import world
from sitegen.coach.link_versions import LINK_END, keep_link
from sitegen.model.problem import Origin, Problem
from sitegen.practice.opening import Opened
from sitegen.seal.addresses import address_of, feed_name, portal_name
from sitegen.seal.keys import Keys, ensure, renew, with_passphrase
from sitegen.seal.keys_file import KEYS_FILE, load_keys, update_keys
from sitegen.site.owned import refuse_in_site
from sitegen.versions import recording


@dataclass(frozen=True, slots=True)
class ShownLink:
    """What ``link`` prints: ``told`` for JSON, ``text`` for a person. None where it failed."""

    told: dict[str, Any] | None
    text: str = ""
    problems: tuple[Problem, ...] = ()


def show(
    opened: Opened,
    id: str,
    *,
    renew: bool = False,
    passphrase: str | None = None,
    take_off: bool = False,
    png: Path | None = None,
) -> ShownLink:
    """The link of one client, changed first where that was asked for."""
    case = opened.cases.get(id)
    if case is None:
        return ShownLink(None, problems=opened.problems)
    if case.client.status == "ended":
        origin = case.origins.at("status")
        return ShownLink(
            None,
            problems=(
                Problem(origin, "this client's plan has ended", "there is no link", "link-ended"),
            ),
        )
    if png is not None and not case.practice.address:
        problem = Problem(
            Origin((opened.clients / "practice.yaml").as_posix()),
            "the site has no address yet, so a picture of the link would hold half of it",
            "write `address: https://...` into practice.yaml, where public/ will be served",
            "link-address",
        )
        return ShownLink(None, problems=(problem,))
    if passphrase is not None and case.privacy == "open":
        problem = Problem(
            case.origins.value("privacy"),
            "an open portal has no lock, so a passphrase would protect nothing",
            "write privacy: sealed first",
            "open-passphrase",
        )
        return ShownLink(None, problems=(problem,))
    if png is not None:
        refuse_in_site(png, "--png")
    before, _ = load_keys(opened.clients / KEYS_FILE)
    old = before.links.get(id) if before else None
    try:
        keys, problems = _update(opened.clients, id, renew, passphrase, take_off)
    except (OSError, world.Refused) as error:
        why = getattr(error, "strerror", None) or error
        wrong = f"the links can't be written, so the link is as it was: {why}"
        origin = Origin((opened.clients / KEYS_FILE).as_posix())
        return ShownLink(None, problems=(Problem(origin, wrong, "", "keys-write"),))
    if keys is None:
        return ShownLink(None, problems=problems)
    link = keys.links[id]
    url = address_of(case, link)
    has_feed = case.calendar != "off"
    base = case.practice.address or ""
    told = {
        "url": url,
        "portal": portal_name(link),
        "key": link.key_text if case.privacy == "sealed" else None,
        "feed_url": f"{base}{feed_name(link)}" if has_feed else None,
        "feed": feed_name(link) if has_feed else None,
    }
    if png is not None:
        try:
            world.write_bytes_atomic(png, _png(url), mode=0o600)  # it is a key
        except world.Refused as error:
            problem = Problem(Origin(png.as_posix()), str(error), "", "png-write")
            return ShownLink(None, problems=(*problems, problem))
    if case.practice.address:
        lines = [url, "", _terminal(url)]
    else:
        lines = [
            "The site has no address yet, so this link is only the part behind it: write",
            "`address: https://...` into practice.yaml, where public/ will be served.",
            "",
            url,
        ]
    if renew:
        lines.append("The old link ends at the next build and publish. sitegen undo takes it back.")
    if passphrase is not None or take_off:
        asks = "asks for it" if passphrase is not None else "asks for no passphrase"
        lines.append(f"The page {asks} from the next build and publish on, not before.")
    if old is not None and renew:
        lines.append(
            "What the client's page kept under the old one it can't open any more: a check-in that "
            "was begun, or sent and is not in the log yet. Ask for it first."
        )
    return ShownLink(told, "\n".join(lines), problems)


def _update(
    clients: Path, id: str, is_renewed: bool, passphrase: str | None, take_off: bool
) -> tuple[Keys | None, tuple[Problem, ...]]:
    """The link changed as was asked, kept as an act that can be taken back.

    Raises:
        OSError, Refused: The links or the version of before can't be written.
    """
    says = (
        "link renewed" if is_renewed else "passphrase taken off" if take_off else "passphrase set"
    )
    with recording(clients, "link") as record:

        def change(keys: Keys) -> Keys | Problem:
            new = _changed(keys, id, is_renewed, passphrase, take_off)
            if isinstance(new, Keys):
                keep_link(record, id, keys, new, says)
            return new

        try:
            return update_keys(clients / KEYS_FILE, change)
        except OSError:
            record.drop_part(f"{id}{LINK_END}")
            raise


def _changed(
    keys: Keys, id: str, is_renewed: bool, passphrase: str | None, take_off: bool
) -> Keys | Problem:
    fresh = id not in keys.links
    keys = ensure(keys, [id], world.draw_bytes)
    if is_renewed and not fresh:
        keys = renew(keys, id, world.draw_bytes)
    if passphrase is not None or take_off:
        return with_passphrase(keys, id, None if take_off else passphrase, world.draw_bytes)
    return keys


def _terminal(url: str) -> str:
    import segno

    out = io.StringIO()
    segno.make(url, error="m", micro=False).terminal(out, compact=True)
    return out.getvalue()


def _png(url: str) -> bytes:
    import segno

    out = io.BytesIO()
    segno.make(url, error="m", micro=False).save(out, kind="png", scale=8)
    return out.getvalue()
