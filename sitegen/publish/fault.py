"""Faults on the way to a host: which kind each is, whether to try again, and what to tell.

Back ends are loaded at publish only, so their exceptions are known here by name.
"""

from __future__ import annotations

import errno
import ssl
from collections.abc import Callable, Iterable, Iterator
from enum import Enum

from sitegen.publish.redact import redact
from sitegen.publish.report import PublishProblem

FIRST_DELAY_S = 0.5
LONGEST_DELAY_S = 30.0


class FaultKind(Enum):
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


AGAIN = frozenset({FaultKind.CUT, FaultKind.ALTERED, FaultKind.OTHER})


class PublishError(Exception):
    """A publish can't go on, or one operation of it failed after the tries it was worth.

    Attributes:
        kind: What the coach can do about it. `Kind.REFUSED` ends the publish, whatever it was at.
        trouble: The sentence, where it is known already; else `told_as` makes it.
        extra: What to install, of `Kind.EXTRA`.
    """

    def __init__(
        self,
        kind: FaultKind,
        said: str = "",
        trouble: PublishProblem | None = None,
        extra: str = "",
    ):
        super().__init__(said or (trouble.code if trouble else kind.value))
        self.kind, self.trouble, self.extra = kind, trouble, extra


def refusal(trouble: PublishProblem) -> PublishError:
    """What ends a publish with this sentence."""
    return PublishError(FaultKind.REFUSED, trouble=trouble)


PROGRAMMING_ERRORS = (
    TypeError, AttributeError, NameError, LookupError, ArithmeticError, AssertionError,
    RecursionError,
)  # fmt: skip


def is_slip(error: BaseException) -> bool:
    """Whether it is a programming error of this package, and no answer of a host.

    A back end may raise the same on an answer that it did not expect; then its own code is where
    it was raised.
    """
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    where = "" if trace is None else trace.tb_frame.f_globals.get("__name__", "")
    return isinstance(error, PROGRAMMING_ERRORS) and where.partition(".")[0] == "sitegen"


_BY_NAME = {
    "AuthenticationException": FaultKind.SECRET,
    "BadAuthenticationType": FaultKind.SECRET,
    "PasswordRequiredException": FaultKind.SECRET,
    "NoCredentialsError": FaultKind.SECRET,
    "PartialCredentialsError": FaultKind.SECRET,
    "ProfileNotFound": FaultKind.SECRET,
    "BadHostKeyException": FaultKind.STRANGER,
    "SSLCertVerificationError": FaultKind.STRANGER,
    "InsufficientStorage": FaultKind.FULL,
    "ForbiddenOperation": FaultKind.DENIED,
    "ResourceConflict": FaultKind.MISSING,
    "ResourceNotFound": FaultKind.MISSING,
}
_BY_ERRNO = {
    errno.EACCES: FaultKind.DENIED,
    errno.EPERM: FaultKind.DENIED,
    errno.EROFS: FaultKind.DENIED,
    errno.ENOSPC: FaultKind.FULL,
    errno.EDQUOT: FaultKind.FULL,
    errno.EFBIG: FaultKind.FULL,
    errno.ENOENT: FaultKind.MISSING,
    errno.ENOTDIR: FaultKind.MISSING,
    errno.EISDIR: FaultKind.DENIED,
    errno.EEXIST: FaultKind.DENIED,
    errno.ENOTEMPTY: FaultKind.DENIED,
}
_BY_STATUS = {
    401: FaultKind.SECRET,
    403: FaultKind.DENIED,
    404: FaultKind.MISSING,
    409: FaultKind.MISSING,
    413: FaultKind.FULL,
    507: FaultKind.FULL,
}
_BY_S3_CODE = {
    "SignatureDoesNotMatch": FaultKind.SECRET,
    "InvalidAccessKeyId": FaultKind.SECRET,
    "ExpiredToken": FaultKind.SECRET,
    "InvalidToken": FaultKind.SECRET,
    "AccessDenied": FaultKind.DENIED,
    "NoSuchBucket": FaultKind.MISSING,
    "QuotaExceeded": FaultKind.FULL,
}


def kind_of(error: BaseException) -> FaultKind:
    """The kind of fault behind ``error``, or behind what caused it."""
    for link in _chain(error):
        found = _kind_of_one(link)
        if found is not FaultKind.OTHER:
            return found
    return FaultKind.OTHER


def _chain(error: BaseException) -> Iterator[BaseException]:
    seen: set[int] = set()
    link: BaseException | None = error
    while link is not None and id(link) not in seen:
        seen.add(id(link))
        yield link
        link = link.__cause__ or link.__context__


def _kind_of_one(error: BaseException) -> FaultKind:
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
        return _BY_STATUS.get(
            status, FaultKind.CUT if status >= 500 or status == 429 else FaultKind.OTHER
        )
    text = str(error)
    if "error_perm" in names:  # FTP: three digits and a sentence, RFC 959 section 4.2
        return _ftp_kind(text)
    if "known_hosts" in text or isinstance(error, ssl.CertificateError):
        return FaultKind.STRANGER
    if "No authentication methods available" in text:
        return FaultKind.SECRET
    if isinstance(error, OSError) and error.errno in _BY_ERRNO:
        return _BY_ERRNO[error.errno]
    if isinstance(error, PermissionError):
        return FaultKind.DENIED
    if isinstance(error, FileNotFoundError | NotADirectoryError):
        return FaultKind.MISSING
    if isinstance(error, ConnectionError | EOFError | TimeoutError | OSError) or any(
        name.endswith(("TransportError", "SSHException", "HTTPClientError", "error_temp"))
        for name in names
    ):
        return FaultKind.CUT
    return FaultKind.OTHER


def _ftp_kind(text: str) -> FaultKind:
    """RFC 959: 530 not logged in, 532 account needed, 552 storage exceeded, 550/553 refused."""
    match text[:3]:
        case "530" | "532":
            return FaultKind.SECRET
        case "552" | "452":
            return FaultKind.FULL
        case "550" if "no space" in text.lower() or "quota" in text.lower():
            return FaultKind.FULL
        case "550" if "no such" in text.lower():
            return FaultKind.MISSING
        case "550" | "553":
            return FaultKind.DENIED
    return FaultKind.OTHER


def delay_s(attempt: int, chance: float) -> float:
    """Seconds before the next try: doubling, capped, and shortened by up to half by chance.

    ``attempt`` counts from 0; ``chance`` lies between 0 and 1. The chance keeps two publishes that
    failed together from coming back together. Common practice, no source.
    """
    whole = min(LONGEST_DELAY_S, FIRST_DELAY_S * 2.0 ** min(attempt, 16))
    return float(whole * (1.0 - chance / 2.0))


_SAYS: dict[FaultKind, tuple[str, str]] = {
    FaultKind.SECRET: (
        "the host does not accept the user name or the secret",
        "check the secret in the environment or in the settings file (see docs/publishing.md), "
        "then publish again",
    ),
    FaultKind.STRANGER: (
        "the host could not prove that it is the one you mean",
        "for SFTP connect once with ssh USER@HOST and compare the fingerprint with your host's; "
        "for https or FTPS ask your host about its certificate; do not go on until it fits",
    ),
    FaultKind.DENIED: (
        "the host does not allow it",
        "allow this user to read, write and delete in this folder, then publish again",
    ),
    FaultKind.FULL: (
        "the host has no room left",
        "free some space there or ask for more, then publish again: it goes on where it stopped",
    ),
    FaultKind.MISSING: (
        "the folder or bucket does not exist there",
        "make it on the host, or mend the target, then publish again",
    ),
    FaultKind.CUT: (
        "the connection to the host broke or could not be made",
        "check the address and your network, then publish again: it goes on where it stopped",
    ),
    FaultKind.ALTERED: (
        "what the host holds is not what was sent",
        "switch off whatever rewrites files there (compression, minifying, text mode), then "
        "publish again",
    ),
    FaultKind.OTHER: (
        "the host answered in a way that was not expected",
        "publish again; if it stays, use another kind of target",
    ),
}


def told_as(
    failed: PublishError, doing: str, secrets: Iterable[str] = (), path: str = ""
) -> PublishProblem:
    """The sentence for a failed operation. ``doing`` reads like "sending a file"."""
    if failed.trouble is not None:
        return failed.trouble
    if failed.kind is FaultKind.EXTRA:
        return PublishProblem(
            "the part of the tool that speaks to this kind of host is not installed",
            f"install it with pip install 'sitegen[{failed.extra}]'",
            "publish-extra",
        )
    what, mend = _SAYS[failed.kind]
    said = redact(str(failed), secrets)
    detail = f'; it said: "{said}"' if failed.kind is not FaultKind.ALTERED else ""
    return PublishProblem(f"{doing}: {what}{detail}", mend, f"publish-{failed.kind.value}", path)


Chance = Callable[[], float]
