"""Faults on the way to a host: which kind each is, whether to try again, and what to tell.

Back ends are loaded at publish only, so their exceptions are known here by name.
"""

from __future__ import annotations

import errno
import ssl
from collections.abc import Callable, Iterable, Iterator
from enum import Enum

from sitegen.publish.redact import redact
from sitegen.publish.report import Trouble

FIRST_DELAY_S = 0.5
LONGEST_DELAY_S = 30.0


class Kind(Enum):
    """Kinds of fault, by what the coach can do about them."""

    SECRET = "secret"  # the host does not accept who we say we are
    STRANGER = "stranger"  # we do not know the host's own key
    DENIED = "denied"
    FULL = "full"
    MISSING = "missing"  # no such bucket or folder
    CUT = "cut"  # the connection broke, or the host is busy: worth another try
    ALTERED = "altered"  # what came back is not what was sent
    EXTRA = "extra"  # a back end is not installed
    REFUSED = "refused"  # we do not go on, and `PublishError.trouble` says why
    OTHER = "other"


AGAIN = frozenset({Kind.CUT, Kind.ALTERED, Kind.OTHER})


class PublishError(Exception):
    """A publish can't go on, or one operation of it failed after the tries it was worth.

    Attributes:
        kind: What the coach can do about it. `Kind.REFUSED` ends the publish, whatever it was at.
        trouble: The sentence, where it is known already; else `tell` makes it.
        extra: What to install, of `Kind.EXTRA`.
    """

    def __init__(self, kind: Kind, said: str = "", trouble: Trouble | None = None, extra: str = ""):
        super().__init__(said or (trouble.code if trouble else kind.value))
        self.kind, self.trouble, self.extra = kind, trouble, extra


def refusal(trouble: Trouble) -> PublishError:
    """What ends a publish with this sentence."""
    return PublishError(Kind.REFUSED, trouble=trouble)


SLIPS = (TypeError, AttributeError, NameError, LookupError, ArithmeticError, AssertionError,
         RecursionError)  # fmt: skip


def is_slip(error: BaseException) -> bool:
    """Whether it is a programming error of this package, and no answer of a host.

    A back end may raise the same on an answer that it did not expect; then its own code is where
    it was raised.
    """
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    where = "" if trace is None else trace.tb_frame.f_globals.get("__name__", "")
    return isinstance(error, SLIPS) and where.partition(".")[0] == "sitegen"


_BY_NAME = {
    "AuthenticationException": Kind.SECRET,
    "BadAuthenticationType": Kind.SECRET,
    "PasswordRequiredException": Kind.SECRET,
    "NoCredentialsError": Kind.SECRET,
    "PartialCredentialsError": Kind.SECRET,
    "ProfileNotFound": Kind.SECRET,
    "BadHostKeyException": Kind.STRANGER,
    "SSLCertVerificationError": Kind.STRANGER,
    "InsufficientStorage": Kind.FULL,
    "ForbiddenOperation": Kind.DENIED,
    "ResourceConflict": Kind.MISSING,
    "ResourceNotFound": Kind.MISSING,
}
_BY_ERRNO = {
    errno.EACCES: Kind.DENIED,
    errno.EPERM: Kind.DENIED,
    errno.EROFS: Kind.DENIED,
    errno.ENOSPC: Kind.FULL,
    errno.EDQUOT: Kind.FULL,
    errno.EFBIG: Kind.FULL,
    errno.ENOENT: Kind.MISSING,
    errno.ENOTDIR: Kind.MISSING,
    errno.EISDIR: Kind.DENIED,
    errno.EEXIST: Kind.DENIED,
    errno.ENOTEMPTY: Kind.DENIED,
}
_BY_STATUS = {401: Kind.SECRET, 403: Kind.DENIED, 404: Kind.MISSING, 409: Kind.MISSING,
              413: Kind.FULL, 507: Kind.FULL}  # fmt: skip
_BY_S3_CODE = {
    "SignatureDoesNotMatch": Kind.SECRET,
    "InvalidAccessKeyId": Kind.SECRET,
    "ExpiredToken": Kind.SECRET,
    "InvalidToken": Kind.SECRET,
    "AccessDenied": Kind.DENIED,
    "NoSuchBucket": Kind.MISSING,
    "QuotaExceeded": Kind.FULL,
}


def kind_of(error: BaseException) -> Kind:
    """The kind of fault behind ``error``, or behind what caused it."""
    for link in _chain(error):
        found = _kind_of_one(link)
        if found is not Kind.OTHER:
            return found
    return Kind.OTHER


def _chain(error: BaseException) -> Iterator[BaseException]:
    seen: set[int] = set()
    link: BaseException | None = error
    while link is not None and id(link) not in seen:
        seen.add(id(link))
        yield link
        link = link.__cause__ or link.__context__


def _kind_of_one(error: BaseException) -> Kind:
    if isinstance(error, PublishError):
        return error.kind
    response = getattr(error, "response", None)
    if isinstance(response, dict):  # botocore: the S3 error code says more than the status
        code = str(response.get("Error", {}).get("Code", ""))
        if code in _BY_S3_CODE:
            return _BY_S3_CODE[code]
    names = [kind.__name__ for kind in type(error).__mro__]
    for name in names:
        if name in _BY_NAME:
            return _BY_NAME[name]
    status = getattr(error, "status_code", None)
    if isinstance(status, int):
        return _BY_STATUS.get(status, Kind.CUT if status >= 500 or status == 429 else Kind.OTHER)
    text = str(error)
    if "error_perm" in names:  # FTP: three digits and a sentence, RFC 959 section 4.2
        return _ftp_kind(text)
    if "known_hosts" in text or isinstance(error, ssl.CertificateError):
        return Kind.STRANGER
    if "No authentication methods available" in text:
        return Kind.SECRET
    if isinstance(error, OSError) and error.errno in _BY_ERRNO:
        return _BY_ERRNO[error.errno]
    if isinstance(error, PermissionError):
        return Kind.DENIED
    if isinstance(error, FileNotFoundError):
        return Kind.MISSING
    if isinstance(error, ConnectionError | EOFError | TimeoutError | OSError) or any(
        name.endswith(("TransportError", "SSHException", "HTTPClientError", "error_temp"))
        for name in names
    ):
        return Kind.CUT
    return Kind.OTHER


def _ftp_kind(text: str) -> Kind:
    """RFC 959: 530 not logged in, 532 account needed, 552 storage exceeded, 550/553 refused."""
    match text[:3]:
        case "530" | "532":
            return Kind.SECRET
        case "552" | "452":
            return Kind.FULL
        case "550" if "no space" in text.lower() or "quota" in text.lower():
            return Kind.FULL
        case "550" if "no such" in text.lower():
            return Kind.MISSING
        case "550" | "553":
            return Kind.DENIED
    return Kind.OTHER


def delay_s(attempt: int, chance: float) -> float:
    """Seconds before the next try: doubling, capped, and shortened by up to half by chance.

    ``attempt`` counts from 0; ``chance`` lies between 0 and 1. The chance keeps two publishes that
    failed together from coming back together. Common practice, no source.
    """
    whole = min(LONGEST_DELAY_S, FIRST_DELAY_S * 2.0 ** min(attempt, 16))
    return float(whole * (1.0 - chance / 2.0))


_SAYS: dict[Kind, tuple[str, str]] = {
    Kind.SECRET: (
        "the host does not accept the user name or the secret",
        "check the secret in the environment or in the settings file (see docs/publishing.md), "
        "then publish again",
    ),
    Kind.STRANGER: (
        "the host could not prove that it is the one you mean",
        "for SFTP connect once with ssh USER@HOST and compare the fingerprint with your host's; "
        "for https or FTPS ask your host about its certificate; do not go on until it fits",
    ),
    Kind.DENIED: (
        "the host does not allow it",
        "allow this user to read, write and delete in this folder, then publish again",
    ),
    Kind.FULL: (
        "the host has no room left",
        "free some space there or ask for more, then publish again: it goes on where it stopped",
    ),
    Kind.MISSING: (
        "the folder or bucket does not exist there",
        "make it on the host, or mend the target, then publish again",
    ),
    Kind.CUT: (
        "the connection to the host broke or could not be made",
        "check the address and your network, then publish again: it goes on where it stopped",
    ),
    Kind.ALTERED: (
        "what the host holds is not what was sent",
        "switch off whatever rewrites files there (compression, minifying, text mode), then "
        "publish again",
    ),
    Kind.OTHER: (
        "the host answered in a way that was not expected",
        "publish again; if it stays, use another kind of target",
    ),
}


def tell(failed: PublishError, doing: str, secrets: Iterable[str] = (), path: str = "") -> Trouble:
    """The sentence for a failed operation. ``doing`` reads like "sending a file"."""
    if failed.trouble is not None:
        return failed.trouble
    if failed.kind is Kind.EXTRA:
        return Trouble(
            "the part of the tool that speaks to this kind of host is not installed",
            f"install it with pip install 'sitegen[{failed.extra}]'",
            "publish-extra",
        )
    what, mend = _SAYS[failed.kind]
    said = redact(str(failed), secrets)
    detail = f'; it said: "{said}"' if failed.kind is not Kind.ALTERED else ""
    return Trouble(f"{doing}: {what}{detail}", mend, f"publish-{failed.kind.value}", path)


Chance = Callable[[], float]
