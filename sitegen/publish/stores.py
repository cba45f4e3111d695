"""The store of a target, and what has to be installed to reach it."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any

from sitegen.practice.address import Address
from sitegen.practice.targets import kind_of_scheme
from sitegen.publish.fault import FaultKind, PublishError
from sitegen.publish.store import Store


def open_store(address: Address, environ: Mapping[str, str]) -> Store:
    """Open the folder that ``address`` names.

    Raises:
        PublishError: What speaks to this kind of host is not installed.
        Exception: Whatever the back end raises when it can't connect.
    """
    kind = kind_of_scheme(address.scheme)
    opened: Store = import_module(f"sitegen.publish.{kind.module}").open_store(address, environ)
    return opened


def back_end(module: str, extra: str) -> Any:
    """Import a back end, or say which extra brings it."""
    try:
        return import_module(module)
    except ImportError as error:
        raise PublishError(FaultKind.EXTRA, extra=extra) from error
