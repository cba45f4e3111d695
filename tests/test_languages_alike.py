"""A page says the same numbers in each language, line by line."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

from portal_builder import COMPILED, EVIDENCE, read_templates
from sitegen import world
from sitegen.model.case import Case
from sitegen.model.plan import Plan
from sitegen.portal.catalogue import Languages
from sitegen.portal.page import Renderer
from sitegen.site.plans import open_plans

ROOT = Path(__file__).resolve().parent.parent
BLOCKS = "p|li|h[1-6]|td|th|tr|div|section|summary|figcaption|dt|dd|caption|button|label|option"


def lines(document: str) -> list[str]:
    """The text of a page, block by block."""
    text = re.sub(r"<(script|style|svg)\b.*?</\1>", " ", document, flags=re.DOTALL)
    blocks = re.split(rf"</?(?:{BLOCKS})\b[^>]*>", text)
    plain = (html.unescape(re.sub(r"<[^>]+>", "", block)) for block in blocks)
    return [" ".join(line.split()) for line in plain if line.strip()]


def numbers(line: str) -> list[str]:
    """Those of one line, whatever their order; the sign of a decimal and of thousands aside."""
    plain = re.sub(r"(?<=\d),(?=\d{3}\b)", "", line)
    return sorted(re.findall(r"\d+(?:[.:]\d+)*", re.sub(r"(?<=\d),(?=\d)", ".", plain)))


def page(case: Case, plan: Plan, language: str) -> list[str]:
    """Without drills, whose texts are files of their own in each language."""
    told = replace(case, client=case.client.but(language=language))
    renderer = Renderer(read_templates(), EVIDENCE, COMPILED, Languages(world.read_languages()))
    return lines(renderer.document(told, plan, (), feed_url=None, code="K7Q2"))


def test_spanish_says_the_numbers_of_english() -> None:
    opened = open_plans(ROOT / "clients", ("ayla", "nia", "jonas"), date(2027, 3, 18))
    for id, case in opened.cases.items():
        english, spanish = (page(case, opened.plans[id], tag) for tag in ("en", "es"))
        both = list(zip(english, spanish, strict=True))

        assert [pair for pair in both if numbers(pair[0]) != numbers(pair[1])] == []
        assert sum(one != other for one, other in both) > 200


def test_another_number_is_seen() -> None:
    assert numbers("Run 1,234 steps in 4.5 min at 18:30") == ["1234", "18:30", "4.5"]
    assert numbers("1234 pasos en 4,5 min a las 18:30") == ["1234", "18:30", "4.5"]
    assert numbers("30 min") != numbers("31 min")
