"""Where a site goes: a target as a coach wrote it, taken apart and made safe to show.

Nothing here asks a host: what a target lacks is told where it is written, in `practice.yaml` or on
the command line, before anything is sent.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from urllib.parse import unquote, urlsplit
from urllib.request import url2pathname

from sitegen.model.problem import Origin, Problem
from sitegen.practice.targets import ANY_HOST, BY_SCHEME

GIT = "git+"
LONGEST_USER = 32  # a longer "user name" is an access token in most cases

_SCHEME = re.compile(r"[a-z][a-z0-9+.-]*(?=://)", re.IGNORECASE)
_CHAIN = re.compile(r"^[a-z][a-z0-9+.-]*::|::[a-z][a-z0-9+.-]*://", re.IGNORECASE)
_HELPER = re.compile(r"[a-z0-9][a-z0-9+.-]*::", re.IGNORECASE)  # gitremote-helpers(7)
_BEFORE_COLON = re.compile(r"([^/\\:]{2,}):(//)?")  # one letter is a drive
_ADDRESS_USER = re.compile(r"^https?://([^/@]+)@")
_SECRET_WORD = re.compile(r"(?i)[?&;#].*(pass|secret|token|sig|key|auth)[a-z_-]*=")


class AddressError(Exception):
    """No site can go there. The sentence never repeats a secret.

    Attributes:
        message: What is wrong.
        hint: What to write instead.
        code: As a problem's.
    """

    def __init__(self, message: str, hint: str, code: str) -> None:
        super().__init__(message)
        self.message, self.hint, self.code = message, hint, code


@dataclass(frozen=True, slots=True)
class Address:
    """A host and a folder on it. ``scheme`` is empty for a folder on this machine."""

    scheme: str
    host: str = ""
    port: int | None = None
    user: str | None = None
    path: str = ""
    shown: str = field(default="", compare=False)


def read_address(text: str) -> Address:
    """Take a folder path or an address such as ``sftp://coach@host/folder`` apart.

    Raises:
        AddressError: It can't be read, or it carries a secret.
    """
    text = text.strip()
    found = _SCHEME.match(text)
    if not text or "\n" in text or "\0" in text:
        raise _unreadable("the target is empty or more than one line")
    if _CHAIN.search(text):
        raise _unreadable("the target chains two addresses")
    _refuse_slip(text)
    begins, path = split_local(text)
    if begins:
        return Address(begins[:-1], path=_at_home(path), shown=text)
    if found is None:
        return Address("", path=_at_home(text), shown=text)
    scheme = found.group().lower()
    refuse_secrets(text)
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError:
        raise _unreadable("the address can't be taken apart") from None
    if parts.query or parts.fragment:
        raise _unreadable("an address can't have a part after ? or #")
    if scheme == "file":
        if parts.hostname not in (None, "", "localhost"):
            raise _unreadable("a file address names no other machine")
        folder = url2pathname(parts.path)
        return Address("", path=folder, shown=f"file://{parts.path}")
    user = unquote(parts.username) if parts.username else None
    host = parts.hostname or ""
    if not host and BY_SCHEME.get(scheme, ANY_HOST) is not ANY_HOST:
        raise _unreadable("the address names no host")
    authority = (f"{user}@" if user else "") + host + (f":{port}" if port else "")
    path = unquote(parts.path)
    return Address(scheme, host, port, user, path, shown=f"{scheme}://{authority}{parts.path}")


def _at_home(path: str) -> str:
    """The path with the home folder in place of ``~`` or ``~user``.

    Raises:
        AddressError: There is no such user here.
    """
    try:
        return str(Path(path).expanduser())
    except RuntimeError:
        raise _unreadable("the folder begins with ~ and a name that no user has here") from None


def split_local(text: str) -> tuple[str, str]:
    """Take a target that lies on this computer apart, into ``scheme:`` and the path.

    The first is empty for a plain folder, both are for what lies elsewhere.
    """
    found = _BEFORE_COLON.match(text)
    if found is None:
        return "", text
    kind = BY_SCHEME.get(found[1].lower())
    if kind is None or not kind.is_local:
        return "", ""
    return f"{found[1].lower()}:", text[found.end() :]


def _refuse_slip(text: str) -> None:
    """Refuse ``sftp:host`` and ``sfpt://host``: the first would be the name of a folder.

    Raises:
        AddressError: A word stands before a colon, and it is not one that opens an address.
    """
    found = _BEFORE_COLON.match(text)
    if found is None:
        return
    word, slashes = found[1].lower(), found[2]
    near = difflib.get_close_matches(word, list(BY_SCHEME), n=1, cutoff=0.7)
    if split_local(text)[0] or (slashes and (word in BY_SCHEME or not near)):
        return  # another one may be known to a back end
    is_word = word.isascii() and word.isalnum() and len(word) <= LONGEST_USER
    begins = f"with {word}:{slashes or ''}" if is_word else "like an address"
    mend = f"did you mean {near[0]}://?" if near else "write one like sftp://user@host/folder"
    raise AddressError(
        f"the target begins {begins}, and that is no kind of host that the tool knows",
        f"{mend}; of a folder with a colon in its name, write the whole path",
        "target-scheme",
    )


def refuse_secrets(text: str) -> None:
    """Refuse an address with a password in it: targets stand in a file that gets copied about.

    Raises:
        AddressError: The address carries what looks like a secret.
    """
    scheme, _, rest = text.partition("://")
    authority = rest.split("/", 1)[0]
    if "@" in authority:
        user = authority.rpartition("@")[0]
        secret = ":" in user or (len(user) > LONGEST_USER and user.isascii())
    else:
        # A password with a slash in it: "sftp://me:pa/ss@host". No port is made of letters.
        port = authority.rpartition(":")[2] if ":" in authority else ""
        secret = "@" in rest and bool(port) and not port.isdecimal() and "]" not in port
    if secret or _SECRET_WORD.search(rest):
        raise AddressError(
            f"the {scheme.lower()} address carries a password or an access key",
            "write the address without it, keep the secret in the environment or in the "
            "usual settings file (see docs/publishing.md), and change it, as it may have "
            "been copied",
            "target-secret",
        )


def _unreadable(why: str) -> AddressError:
    return AddressError(
        why,
        "write a folder, an address like sftp://user@host/folder, or git+REMOTE#BRANCH",
        "target-form",
    )


def is_branch(target: str) -> bool:
    """Whether it is ``git+REMOTE#BRANCH``."""
    return target.strip().startswith(GIT)


def scheme_of(target: str) -> str:
    """What says which kind of target it is; empty for a plain folder."""
    if is_branch(target):
        return "git+file"  # whatever its remote is: git reaches it
    begins = _SCHEME.match(target.strip())
    return begins.group().lower() if begins else split_local(target.strip())[0].rstrip(":")


def read_branch(target: str) -> tuple[str, str]:
    """Take ``git+REMOTE#BRANCH`` apart, into the two.

    Raises:
        AddressError: It can't be read, or it carries a secret.
    """
    remote, mark, name = target.strip().removeprefix(GIT).rpartition("#")
    if not mark or not remote or not name or remote.startswith("-"):
        raise AddressError(
            "the git target names no repository or no branch",
            "write git+REMOTE#BRANCH, like git+ssh://git@host/site.git#pages",
            "target-form",
        )
    if _HELPER.match(remote):
        raise AddressError(
            "the git target names a helper of git, which may run any program",
            "write git+REMOTE#BRANCH, like git+ssh://git@host/site.git#pages",
            "target-form",
        )
    if "://" in remote:
        refuse_secrets(remote)
        user = _ADDRESS_USER.match(remote)
        if user and len(user[1]) > LONGEST_USER:
            refuse_secrets(f"https://{user[1]}:@")
    return remote, name


def target_problem(target: str, origin: Origin) -> Problem | None:
    """Why a target can't be published to, as far as it shows without asking the host."""
    try:
        if is_branch(target):
            read_branch(target)
        else:
            refuse_unknown_kind(read_address(target))
    except AddressError as wrong:
        return Problem(origin, wrong.message, wrong.hint, wrong.code)
    return None


def refuse_unknown_kind(address: Address) -> None:
    """Refuse a host that nothing here speaks to, as far as it shows without opening anything.

    Where fsspec is not installed nobody can tell what it would know, so nothing is said.

    Raises:
        AddressError: There is no such kind.
    """
    if address.scheme in ("", *BY_SCHEME):
        return
    try:
        registry = import_module("fsspec.registry")
    except ImportError:
        return
    if address.scheme not in {*registry.known_implementations, *registry.registry}:
        raise no_such_kind(address.scheme)


def no_such_kind(scheme: str) -> AddressError:
    """The error of an address with a scheme that no kind of target has."""
    return AddressError(
        f"{scheme}:// is no kind of host that the tool knows",
        "use a folder, sftp, ftps, webdav+https, s3 or git; see docs/publishing.md",
        "target-scheme",
    )
