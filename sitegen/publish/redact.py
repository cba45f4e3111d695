"""Keep secrets out of every sentence that a publish prints."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable, Mapping
from urllib.parse import quote

SECRET_NAME = re.compile(r"PASS|SECRET|TOKEN|KEY|CREDENTIAL|AUTH", re.IGNORECASE)
SHORTEST = 4  # a shorter value would blank out ordinary words
LONGEST_DETAIL = 200

_IN_ADDRESS = re.compile(r"(?<=://)[^/\s@]+@")
_HEADER = re.compile(r"(?i)\b(authorization|signature|x-amz-security-token)\b(\s*[:=]\s*).*")


def secrets_in(environ: Mapping[str, str]) -> tuple[str, ...]:
    """Values of variables whose names say that they hold a secret."""
    return tuple(
        value
        for name, value in environ.items()
        if SECRET_NAME.search(name) and len(value) >= SHORTEST and not value.startswith("/")
    )


def redact(text: str, secrets: Iterable[str] = ()) -> str:
    """``text`` on one line, without any of ``secrets`` and without user parts of addresses."""
    forms: set[str] = set()
    for secret in secrets:
        if len(secret) >= SHORTEST:
            forms |= {secret, quote(secret, safe=""), quote(secret)}
            forms.add(base64.b64encode(secret.encode()).decode())
    for form in sorted(forms, key=len, reverse=True):
        text = text.replace(form, "***")
    text = _IN_ADDRESS.sub("***@", text)
    text = _HEADER.sub(r"\1\2***", " ".join(text.split()))
    return text if len(text) <= LONGEST_DETAIL else text[: LONGEST_DETAIL - 1] + "…"
