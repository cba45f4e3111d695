"""Whether a built folder may be published there: before it could empty a host, or itself."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from sitegen.practice.address import AddressError, read_address
from sitegen.publish.look import ids_named
from sitegen.site.owned import mark_of, read_record, walk
from sitegen.world import Refused


def check_ready(
    out: Path, target: str, *, withdraws: bool, whose: Mapping[str, str] = MappingProxyType({})
) -> None:
    """Look at the built folder and at the target's address.

    Args:
        out: The built folder.
        target: Where it goes.
        withdraws: Whether what is missing in the folder is to be taken from the host.
        whose: The client of each page and feed, by path.

    Raises:
        Refused: Files that were built are gone or can't be seen; or the target is the site itself,
            or keeps nothing.
    """
    missing = _missing(out)
    if missing and not withdraws:
        files = "1 file or folder" if len(missing) == 1 else f"{len(missing)} files or folders"
        ids = {id for path, id in whose.items() if mark_of(path) in missing}
        files += f" (of {ids_named(ids)})" if ids else ""
        raise Refused(
            f"{files} of the built site in {out} can't be found or read, and publishing would "
            "withdraw them from the host: run sitegen build first, then publish; or say "
            "--withdraw-missing"
        )
    try:
        address = read_address(target)
    except AddressError:
        return  # publishing says what is wrong
    if address.scheme == "memory":
        raise Refused(f"{target} is kept by nobody once this command ends; name a host or a folder")
    if address.scheme == "" and address.path:
        there, site = Path(address.path).resolve(), out.resolve()
        if there == site or site in there.parents:
            raise Refused(f"{target} is the built site itself; name another folder to publish to")


def _missing(out: Path) -> frozenset[str]:
    """Marks of the files and folders that a build noted and that are not there to be seen."""
    noted = read_record(out) if out.is_dir() else None
    if noted is None:
        return frozenset()  # publishing says that this is no built site
    seen = walk(out, noted)
    there = {mark_of(name) for name in seen.own} | {mark_of(f"{name}/") for name in seen.folders}
    return noted - there
