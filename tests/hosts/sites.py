"""Small built sites, and what it means that a host holds whole portals."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

Site = dict[str, bytes]
PORTAL_SIZE = 16 * 1024


def portal(client: str) -> str:
    return f"{client * 32}"[:32] + "/index.html"


def a_site(version: str, clients: str = "abcd") -> Site:
    """A built site whose portals need the assets of the same version. Sizes never change."""
    site = {
        "index.html": f"<title>Training</title>{version}".encode(),
        "robots.txt": b"User-agent: *\nDisallow: /\n",
        "_headers": b"/*\n  Referrer-Policy: no-referrer\n",
        f"assets/page.{version}.css": f"/* {version} */".encode(),
        f"assets/page.{version}.js": f"// {version}".encode(),
    }
    for client in clients:
        text = f'<script src="../assets/page.{version}.js"></script>{client}'
        text += f'<link href="../assets/page.{version}.css">'
        site[portal(client)] = text.encode().ljust(PORTAL_SIZE, b" ")
        site[f"feeds/{client * 32}.ics"] = f"BEGIN:VCALENDAR {version} {client}".encode()
    return site


def on_disk(root: Path) -> Site:
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in root.rglob("*")
        if path.is_file()
    }


def seen(files: Mapping[str, bytes]) -> Site:
    """What a host holds, without the tool's own notes."""
    return {path: data for path, data in files.items() if ".sitegen-" not in path}


def broken_portals(files: Mapping[str, bytes], old: Site, new: Site) -> list[str]:
    """Portals that are neither the old nor the new one, or that lack an asset they name."""
    broken = []
    for path in sorted({p for p in (*old, *new) if p.count("/") == 1 and p.endswith(".html")}):
        data = files.get(path)
        if data is None:
            if path in old and path in new:
                broken.append(path)
        elif data not in (old.get(path), new.get(path)):
            broken.append(path)
        else:
            assets = re.findall(r"assets/[a-z0-9.]+", data.decode())
            broken += [path for asset in assets if asset not in files]
    return broken
