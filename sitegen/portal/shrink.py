"""Scripts and style sheets as they travel: without comments and idle white space.

Scripts travel with short local names, too. That is done beforehand: ``tools/shorten.mjs`` writes
each script's short form into ``templates/scripts.json``, beside a hash of the script that it was
made from. One that has changed since travels as it is written, and `outdated` names it. What others
see of a script, such as names of properties, stays. A comment that begins with ``/*!``, as licences
do, is kept.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

SHORT_FORMS = "scripts.json"
HASH_LETTERS = 10


@lru_cache(maxsize=64)
def shrunk(name: str, text: str) -> bytes:
    """The bytes of the asset that a template named ``name.js`` or ``name.css`` becomes."""
    if name.endswith(".css"):
        from rcssmin import cssmin as make  # most builds find all of it made
    else:
        from rjsmin import jsmin as make
    return str(make(text, keep_bang_comments=True)).encode("utf-8")


def short(name: str, templates: Mapping[str, str]) -> str:
    """A script of the templates as it travels."""
    made_from, form = _forms(templates.get(SHORT_FORMS, "{}")).get(name, ("", ""))
    text = templates[name]
    return form if made_from == content_hash(text.encode()) else shrunk(name, text).decode()


def outdated(templates: Mapping[str, str]) -> tuple[str, ...]:
    """Scripts without a short form of what they are now, and forms without a script."""
    forms = _forms(templates.get(SHORT_FORMS, "{}"))
    now = {n: content_hash(t.encode()) for n, t in templates.items() if n.endswith(".js")}
    names = sorted(now.keys() | forms.keys())
    return tuple(name for name in names if forms.get(name, [])[:1] != [now.get(name)])


def literal(value: Mapping[str, Any] | Sequence[Any] | str) -> str:
    """Texts in lists and maps as a script writes them, with the quotes that HTML has fewer of."""
    if isinstance(value, Mapping):
        return "{" + ",".join(f"{json.dumps(k)}:{literal(v)}" for k, v in value.items()) + "}"
    if not isinstance(value, str):
        return "[" + ",".join(literal(one) for one in value) + "]"
    text = json.dumps(value, ensure_ascii=False)[1:-1]
    return "'" + text.replace('\\"', '"').replace("'", "\\'") + "'"


def content_hash(content: bytes) -> str:
    """The letters that tell this content from any other."""
    return hashlib.sha256(content).hexdigest()[:HASH_LETTERS]


@lru_cache(maxsize=2)
def _forms(text: str) -> dict[str, list[str]]:
    """By script: the hash of what its short form was made from, and that form."""
    return dict(json.loads(text))
