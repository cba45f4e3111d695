"""One catalogue for all that a client reads: whole, fresh, and followed by dates and numbers."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path
from string import Formatter

import pytest

from language_builder import BACKWARDS, backwards, languages, longer, make_renderer, tool
from portal_builder import make_case, make_drills, make_plan
from sitegen import world
from sitegen.feed.feed import feed
from sitegen.model.kinds import one_of
from sitegen.model.languages import ENGLISH, LANGUAGES, fitting
from sitegen.model.sentence import say, say_count
from sitegen.model.values import Distance, Pace, Percent
from sitegen.portal import cldr
from sitegen.portal.reasons import Source, source_as_read
from sitegen.portal.scene import for_client
from sitegen.portal.words import Words
from sitegen.practice.house import Texts, read_house
from sitegen.practice.records import read_practice
from sitegen.practice.returns import way_of
from sitegen.rules import RULES
from sitegen.site.plans import open_plans

catalogue = tool("catalogue")
OTHERS = [language for language in LANGUAGES if language != ENGLISH]
NBSP = "\N{NO-BREAK SPACE}"


def spanish(language: str = "es", units: str = "km") -> Words:
    said = languages().catalogue(language)
    return Words(language, units, said.gettext, said.ngettext)


def places(text: str) -> set[str]:
    """What a template leaves open: ``{names}`` and ``%(names)s``."""
    named = {name for _, name, _, _ in Formatter().parse(text) if name is not None}
    return named | set(re.findall(r"%\((\w+)\)s", text))


def texts(value: object) -> list[str]:
    return [str(v) for v in value] if isinstance(value, tuple | list) else [str(value)]


# --- the catalogues -----------------------------------------------------------------------------


def test_the_template_has_just_the_sentences_of_code_and_templates():
    """If this fails: python tools/catalogue, then translate what it lists."""
    now = catalogue.places(catalogue.collected())

    assert len(now) > 400, "the sentences were not found; is the test blind?"
    assert catalogue.places(catalogue.read(catalogue.TEMPLATE)) == now


def test_each_language_has_its_catalogue_and_no_other_is_there():
    assert [catalogue.language_of(po) for po in catalogue.catalogues()] == sorted(OTHERS)


@pytest.mark.parametrize("po", catalogue.catalogues(), ids=catalogue.language_of)
def test_every_sentence_is_translated_and_leaves_open_the_same_places(po):
    wanted = {m.id for m in catalogue.read(catalogue.TEMPLATE) if m.id}
    catalog = catalogue.read(po)

    assert catalogue.missing(catalog) == []
    assert {m.id for m in catalog if m.id} == wanted
    for message in catalog:
        if not message.id:
            continue
        english = [places(text) for text in texts(message.id)]
        for number, said in enumerate(texts(message.string)):
            assert places(said) == english[min(number, len(english) - 1)], said
            assert said.count("%") == texts(message.id)[-1].count("%"), said
            assert (said[0] + said[-1]).count(" ") == (texts(message.id)[0][0]).count(" "), said


@pytest.mark.parametrize("po", catalogue.catalogues(), ids=catalogue.language_of)
def test_the_compiled_catalogue_says_what_the_readable_one_says(po):
    said = languages().catalogue(catalogue.language_of(po))

    for message in catalogue.read(po):
        if isinstance(message.id, str) and message.id:
            assert said.gettext(message.id) == message.string
        elif message.id:
            forms = [said.ngettext(*message.id, n) for n in (1, 2)]
            assert forms == list(message.string)


def test_names_of_days_and_months_are_those_of_cldr():
    """Source: Unicode CLDR as Babel carries it. If this fails: python tools/cldr-words."""
    tables = tool("cldr-words").tables()

    assert set(tables) == set(cldr.DATE_WORDS)
    for language, fields in tables.items():
        for name, value in fields.items():
            assert getattr(cldr.DATE_WORDS[language], name) == value


# --- what a client reads ------------------------------------------------------------------------


def test_dates_and_numbers_are_spanish():
    """Forms as Babel 2.19 formats them with CLDR: format_date(..., "full", "es") and decimals."""
    from babel.dates import format_date
    from babel.numbers import format_decimal

    words, day = spanish(), date(2027, 2, 9)
    assert words.long_date(day) == format_date(day, "full", "es") == "martes, 9 de febrero de 2027"
    assert words.number(7.5) == format_decimal(7.5, locale="es") == "7,5"
    assert spanish("es-MX").number(7.5) == format_decimal(7.5, locale="es_MX") == "7.5"
    assert words.day(day) == "mar 9 feb"
    assert words.span(date(2027, 3, 29), 7) == "29 mar al 4 abr"
    assert words.distance(Distance(5200)) == f"5,2{NBSP}km"
    assert spanish(units="mi").distance(Distance(5000)) == f"3,1{NBSP}mi"
    assert words.distance(Distance(40)) == f"40{NBSP}m"
    assert spanish(units="mi").distance(Distance(40)) == f"0,02{NBSP}mi"
    assert words.number(-0.04) == "0"
    assert spanish(units="mi").pace(Pace(405)) == "10:52 /mi"


def test_a_reason_is_said_in_the_clients_language_with_its_numbers():
    said = spanish().say(
        say("{minutes} of {total} min are hard now, more than {share} of the week.",
            minutes=22.5, total=80.0, share=Percent(12.5))
    )  # fmt: skip

    assert said == f"Ahora son fuertes 22,5 de 80{NBSP}min, más del 12,5{NBSP}% de la semana."


def test_one_week_is_one_and_two_are_more():
    template = (
        "The new step rate is held for {count} week before the next.",
        "The new step rate is held for {count} weeks before the next.",
    )
    one, two = (say_count(*template, count=n) for n in (1, 2))

    assert str(one) == "The new step rate is held for 1 week before the next."
    assert str(two) == "The new step rate is held for 2 weeks before the next."
    assert "1 semana antes" in spanish().say(one)
    assert "2 semanas antes" in spanish().say(two)


def test_a_word_within_a_sentence_is_translated_too():
    said = spanish().say(
        say("Stop. {sign}: do not run. Call the emergency number now if it is there or comes "
            "again, else see a doctor today; then tell your coach. The plan waits.",
            sign=say("Chest pain"))
    )  # fmt: skip

    assert said.startswith("Para. Dolor en el pecho: no corras.")


def shell(language: str) -> str:
    return make_renderer().page(
        content="", sealed=None, language=language, portal="AAECAwQFBgcICQoLDA0ODw"
    )


@pytest.mark.parametrize(
    ("asked", "tag", "direction", "title"),
    [
        ("en", "en", "ltr", "Running plan"),
        ("es", "es", "ltr", "Plan de entrenamiento"),
        ("es-MX", "es-MX", "ltr", "Plan de entrenamiento"),
        ("xx", "en", "ltr", "Running plan"),
        (BACKWARDS, BACKWARDS, "rtl", backwards("Running plan")),
    ],
)
def test_a_page_tells_its_language_and_direction(asked, tag, direction, title):
    page = shell(asked)

    assert f'<html lang="{tag}" dir="{direction}"' in page
    assert f"<title>{title}</title>" in page


def document(language: str) -> str:
    case = make_case(language=language)
    feed_url = "https://plans.example.org/feeds/x.ics"
    return make_renderer().document(case, make_plan(), make_drills(), feed_url=feed_url, code="K7")


def test_a_spanish_portal_holds_no_english_of_ours():
    """Sentences of six words and more would be seen; names, notes and sources are the coach's."""
    page = document("es")
    english = {
        text
        for message in catalogue.collected()
        for text in texts(message.id)
        if len(text.split()) > 5 and not places(text)
    }

    assert [text for text in sorted(english) if text in page] == []
    assert "Plan de entrenamiento de Mara" in page
    assert '"language":"es"' in page
    assert "bajó un 22,2\N{NO-BREAK SPACE}% en cada paso" in page


def shown_sources() -> set[str]:
    """Each source behind a decision of the shipped clients' plans, and all that rules have."""
    day, clients = date(2027, 3, 18), Path(__file__).parents[1] / "clients"
    opened = open_plans(clients, (), day)
    plans = [plan for id in opened.cases if (plan := opened.plan(id))]
    found = {d.source for p in plans for w in p.weeks for d in w.decisions if for_client(d)}
    ways = (way_of(name, data) for name, data in world.read_returns().items())
    return {*found, *(rule.source for rule in RULES), *(way.source for way in ways)} - {""}


def test_sources_are_spanish_but_for_the_works_that_they_name():
    """A work is its authors, journal, year and pages, as they are printed."""
    sources = [source_as_read(source, spanish().gettext) for source in shown_sources()]
    english = re.compile(r"\b(the|and|of|with|not|for|by|no source|common|judgement|see)\b")

    assert len(sources) > 20
    assert [one.says for one in sources if one.is_english or english.search(one.says)] == []
    assert any("Buist I et al., Am J Sports Med 2008;36(1):33-39" in one.says for one in sources)


def test_a_source_that_the_catalogue_does_not_know_is_marked_as_english():
    scene_of_own = source_as_read("our own notes, from 2026", spanish().gettext)
    assert scene_of_own == Source("Our own notes, from 2026", True)
    case, plan = make_case(language="es"), make_plan()
    week = plan.weeks[0]
    mine = week.decisions[0]._replace(source="our own notes, from 2026")
    plan = plan._replace(weeks=(week._replace(decisions=(mine,)), *plan.weeks[1:]))
    page = make_renderer().document(case, plan, make_drills(), feed_url=None, code="K7")

    assert '<li id="weeks-source-1" lang="en" dir="ltr">Our own notes, from 2026</li>' in page


def test_one_client_can_read_spanish_and_the_next_english():
    renderer = make_renderer()
    plan, drills = make_plan(), make_drills()
    pages = [
        renderer.document(make_case(language=x), plan, drills, feed_url=None, code="K7")
        for x in ("es", "en", "es", "de")
    ]

    assert pages[0] == pages[2] != pages[1]
    assert "Pain, from 0 to 10" in pages[1] and "Dolor, de 0 a 10" in pages[0]
    assert pages[3].replace('"language":"de"', '"language":"en-GB"') == pages[1]


def test_what_goes_to_the_coach_stays_in_the_words_of_the_log():
    """Only labels are translated: the values that a check-in sends are the log's own."""
    values = re.compile(r'name="(did|skipped|landing|signs|effort|during)" value="(\w+)"')

    assert set(values.findall(document("es"))) == set(values.findall(document("en")))
    assert len(set(values.findall(document("es")))) > 40


def test_the_feed_speaks_spanish():
    case, plan = make_case(language="es"), make_plan()
    said = languages().catalogue("es").gettext
    text = feed(
        case, plan, feed_id="x", mode="full", translate=said
    ).text.decode().replace("\r\n ", "")  # fmt: skip

    assert "NAME:Plan de entrenamiento" in text
    assert "SUMMARY:Correr\\, 29 min" in text and "SUMMARY:Fuerza\\, 25 min" in text
    assert "4 veces: correr al compás 1 min a 158 pasos por minuto" in text
    assert "Run" not in text and "warm-up" not in text


# --- drills -------------------------------------------------------------------------------------


def shipped_drills():
    found = read_house(
        Texts(
            b"name: A\ncontact: a@example.org\ntimezone: UTC\n", "p", {}, {}, "clients",
            shipped_drills=world.read_library(),
        )
    )[0]  # fmt: skip
    assert found is not None
    return found.drills


@pytest.mark.parametrize("language", OTHERS)
def test_every_shipped_drill_is_translated_with_as_much_to_say(language):
    english = shipped_drills()
    translated = languages().drills(english, language)

    assert len(english) >= 16
    for one, other in zip(english, translated, strict=True):
        assert (one.id, one.where, one.stages, one.minutes) == (
            other.id, other.where, other.stages, other.minutes,
        )  # fmt: skip
        assert other.title != one.title and other.purpose != one.purpose
        assert other.shows and other.dose
        for name in ("cues", "slips", "stop"):
            assert len(getattr(one, name)) == len(getattr(other, name)), (one.id, name)
        assert len(other.text.split("\n\n")) == len(one.text.split("\n\n")), one.id
        numbers = re.compile(r"\d+")
        assert sorted(numbers.findall(one.dose)) == sorted(numbers.findall(other.dose)), one.id
    assert set(world.read_languages()[language][1]) <= {d.id for d in english}


def test_a_coachs_own_drill_stays_in_her_words():

    own = shipped_drills()[0]._replace(own=True)
    assert languages().drills([own], "es") == (own,)


# --- which language -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("asked", "found"),
    [("es", "es"), ("ES-mx", "es"), ("es-x-own", "es"), ("en-GB", "en"), ("de", None), ("e", None)],
)
def test_a_language_is_served_by_the_nearest_one(asked, found):
    """RFC 4647 section 3.4: subtags go from the end until one fits."""
    assert fitting(asked) == found


def test_a_language_that_there_is_not_is_told_with_those_there_are():
    text = (
        b"name: Still\ncontact: a@example.org\ntimezone: Europe/Lisbon\nlanguage: de\n"
        b"emergency: '112'\n"
    )
    (problem,) = read_practice(text, "practice.yaml").problems

    assert str(problem) == (
        'practice.yaml:4:11: warning: there is no "de": pages come out in English '
        f"(write {one_of(LANGUAGES)}) [language-unknown]"
    )


# --- the languages that nobody speaks -----------------------------------------------------------


def test_made_up_languages_keep_what_is_filled_in():
    assert longer("Run {n} min, %(x)s") == "Ruoon {n} mioon, %(x)s"
    assert backwards("Run {n}") == "رعن {n}"
    for message in catalogue.collected():
        for text in texts(message.id):
            assert places(longer(text)) == places(backwards(text)) == places(text)
            assert len(longer(text)) >= len(text)


def test_in_spanish_running_is_correr_and_only_a_race_is_a_carrera():
    """A run is a *salida* or a *rodaje*; *carrera* stands for the race that a pace comes from."""
    spanish = catalogue.read(catalogue.LOCALE / "es" / "LC_MESSAGES" / "messages.po")
    said = {m.id: m.string for m in spanish if m.id and "carrera" in str(m.string).lower()}
    drills = (catalogue.ROOT / "sitegen" / "library" / "drills" / "es").glob("*.md")

    assert said, "the race that a pace comes from is not named any more: is the test blind?"
    assert [m for m in said if "race" not in str(m).lower()] == []
    assert [d.name for d in drills if "carrera" in d.read_text(encoding="utf-8").lower()] == []


def test_the_file_for_the_home_screen_speaks_the_pages_language():
    renderer = make_renderer()
    english, spanish_one = (json.loads(renderer.install(tag)) for tag in ("en", "es"))

    assert (english["lang"], english["name"]) == ("en", "Running plan")
    assert (spanish_one["lang"], spanish_one["name"]) == ("es", "Plan de entrenamiento")
