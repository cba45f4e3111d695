"""What the coach's own pages have in common: one file each, which loads and runs nothing."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable, Mapping
from typing import Any

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup

from sitegen import __version__

PRIVATE_HEAD = "private-head.html"


def environment_of(
    templates: Mapping[str, str],
    *names: str,
    filters: Mapping[str, Callable[..., str]] | None = None,
) -> Environment:
    """Templates by name; text in them is no markup unless it says so, and none may be missing."""
    environment = Environment(
        loader=DictLoader({name: templates[name] for name in names}),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= filters or {}
    return environment


def private_page(
    templates: Mapping[str, str],
    name: str,
    style: str,
    filters: Mapping[str, Callable[..., str]] | None = None,
    **shown: Any,
) -> str:
    """A page for the coach's eyes.

    Args:
        templates: Texts by name.
        name: The page's template; it begins with `PRIVATE_HEAD`.
        style: The template of its style.
        filters: What the template calls its own.
        shown: What the template names.
    """
    text = templates[style].strip()
    return (
        environment_of(templates, name, PRIVATE_HEAD, filters=filters)
        .get_template(name)
        .render(style=Markup(text), policy=Markup(policy_of(text)), version=__version__, **shown)
    )


def policy_of(style: str) -> str:
    """Nothing may load or run; of styles only this very text."""
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode("ascii")
    return (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; "
        "form-action 'none'"
    )
