"""How templates are compiled: each in its language, with what is escaped as Jinja escapes it."""

from __future__ import annotations

from gettext import NullTranslations

import pytest
from jinja2 import BytecodeCache, DictLoader, Environment, UndefinedError
from jinja2.bccache import Bucket
from markupsafe import Markup, escape

from sitegen.portal.templating import escaped, portal_environment


class Shouted(NullTranslations):
    """Says everything with more force."""

    def gettext(self, message: str) -> str:
        return f"¡{message}!"


class Kept(BytecodeCache):
    def __init__(self) -> None:
        self.codes: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if code := self.codes.get(bucket.key):
            bucket.bytecode_from_string(code)

    def dump_bytecode(self, bucket: Bucket) -> None:
        self.codes[bucket.key] = bucket.bytecode_to_string()


VALUES = ["run", "", "a < b", "5 & 6", "\"so\" 'so'", Markup("<b>"), 7, 7.5, None, True]
TEMPLATE = """\
{% set said = _("it's 5 %% & <more>") %}
<p title="{{ _("a \\"title\\"") }}">{{ said }} {{ _("you, {name}").format(name=view.name) }}</p>
{% trans %}Fixed words, 10 %.{% endtrans %} {% trans n=view.n %}With {{ n }}.{% endtrans %}
{% for value in view.some %}<i>{{ value }}</i>{{ value ~ "'" }}{% endfor %}
{% set block %}{{ view.name }}<br>{% endset %}{{ block }}{{ _(view.name) }}
"""


class View:
    name, n, some = "<A & B>", 3, VALUES


def plain(catalogue: NullTranslations) -> Environment:
    """The same as Jinja has it by itself: the referee."""
    found = Environment(
        loader=DictLoader({"t.html": TEMPLATE}),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    found.install_gettext_translations(catalogue, newstyle=True)
    return found


@pytest.mark.parametrize("value", VALUES)
def test_a_value_is_escaped_as_markupsafe_escapes_it(value):
    assert escaped(value) == escape(value)


def test_two_languages_keep_their_own_words_in_one_store_of_compiled_templates():
    kept = Kept()
    for _ in range(2):  # the second time from the store
        for name, catalogue in (("en", NullTranslations()), ("loud", Shouted())):
            ours = portal_environment({"t.html": TEMPLATE}, catalogue, name, kept)
            said = plain(catalogue).get_template("t.html").render(view=View)
            assert ours.get_template("t.html").render(view=View) == said
            assert ("¡Fixed words, 10 %.!" in said) == (name == "loud")
    assert len(kept.codes) == 2


def test_what_is_not_there_is_no_empty_text():
    made = portal_environment(
        {"a.html": "{{ view.nme }}", "b.html": "{{ vew }}", "c.html": "{{ vew.n }}"},
        NullTranslations(), "en", None,
    )  # fmt: skip
    with pytest.raises(AttributeError):
        made.get_template("a.html").render(view=View)
    for name in ("b.html", "c.html"):
        with pytest.raises(UndefinedError):
            made.get_template(name).render(view=View)
