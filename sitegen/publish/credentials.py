"""Where passwords come from: the environment, then the user's ``.netrc``. Never an address."""

from __future__ import annotations

import netrc
import os
from collections.abc import Mapping
from pathlib import Path

from sitegen.practice.address import Address
from sitegen.publish.fault import refusal
from sitegen.publish.redact import secrets_in
from sitegen.publish.report import PublishProblem

PASSWORD = "SITEGEN_PASSWORD"


def login_for(address: Address, environ: Mapping[str, str]) -> tuple[str | None, str | None]:
    """User and password for a host; either may be None.

    Raises:
        PublishError: ``.netrc`` can't be read, or other users of this machine can read it.
    """
    if PASSWORD in environ:
        return address.user, environ[PASSWORD]
    path = Path(environ.get("NETRC", "~/.netrc")).expanduser()
    if not path.is_file():
        return address.user, None
    if os.name == "posix" and path.stat().st_mode & 0o077:
        raise refusal(
            PublishProblem(
                f"{path.name} can be read by other users of this machine",
                "run chmod 600 on it",
                "publish-netrc",
            )
        )
    try:
        found = netrc.netrc(str(path)).authenticators(address.host)
    except (netrc.NetrcParseError, OSError, UnicodeDecodeError):
        raise refusal(
            PublishProblem(
                f"{path.name} can't be read",
                "write one line a host: machine HOST login USER password SECRET",
                "publish-netrc",
            )
        ) from None
    if found is None or (address.user is not None and found[0] != address.user):
        return address.user, None
    return found[0], found[2]


def known_secrets(address: Address, environ: Mapping[str, str]) -> tuple[str, ...]:
    """All that must not be printed, whatever a back end says."""
    _, password = login_for(address, environ)
    return (*secrets_in(environ), *((password,) if password else ()))
