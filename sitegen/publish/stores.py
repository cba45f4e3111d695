"""Which kind of host each scheme is, and what has to be installed to reach it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from pathlib import Path
from typing import Any

from sitegen.practice.address import Address
from sitegen.publish.fault import MissingExtra
from sitegen.publish.store import FolderStore, Store

Open = Callable[[Address, Mapping[str, str]], Store]

# scheme → module beside this one with an ``open_store``; loaded when a target asks for it
STORES = {
    "sftp": "store_sftp",
    "ssh": "store_sftp",
    "ftp": "store_ftp",
    "ftps": "store_ftp",
    "webdav+https": "store_webdav",
    "webdav+http": "store_webdav",
}
OTHERS = "store_fsspec"


def open_store(address: Address, environ: Mapping[str, str]) -> Store:
    """Open the folder that ``address`` names.

    Raises:
        MissingExtra: What speaks to this kind of host is not installed.
        Exception: Whatever the back end raises when it can't connect.
    """
    if not address.scheme:
        return FolderStore(Path(address.path))
    module = import_module(f"sitegen.publish.{STORES.get(address.scheme, OTHERS)}")
    opened: Store = module.open_store(address, environ)
    return opened


def load(module: str, extra: str) -> Any:
    """Import a back end, or say which extra brings it."""
    try:
        return import_module(module)
    except ImportError as error:
        raise MissingExtra(extra) from error
