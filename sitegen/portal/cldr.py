"""Names of days and months, and the decimal sign, by language.

Made by ``tools/cldr-words``. Source: Unicode CLDR as Babel carries it (Unicode License V3).
Names are those that stand within a date. A regional language is listed where it differs from
the one above it.
"""

from __future__ import annotations

from typing import NamedTuple


class DateWords(NamedTuple):
    """Monday first; ``long_date`` is a template of weekday, day, month and year."""

    days: tuple[str, ...]
    days_short: tuple[str, ...]
    months: tuple[str, ...]
    months_short: tuple[str, ...]
    long_date: str
    decimal: str


ES = DateWords(
    days=("lunes", "martes", "miércoles", "jueves", "viernes", "sábado", "domingo"),
    days_short=("lun", "mar", "mié", "jue", "vie", "sáb", "dom"),
    months=(
        "enero",
        "febrero",
        "marzo",
        "abril",
        "mayo",
        "junio",
        "julio",
        "agosto",
        "septiembre",
        "octubre",
        "noviembre",
        "diciembre",
    ),
    months_short=(
        "ene",
        "feb",
        "mar",
        "abr",
        "may",
        "jun",
        "jul",
        "ago",
        "sept",
        "oct",
        "nov",
        "dic",
    ),
    long_date="{weekday}, {day} de {month} de {year}",
    decimal=",",
)
DATE_WORDS: dict[str, DateWords] = {
    **dict.fromkeys(["es"], ES),
    **dict.fromkeys(
        [
            "es-419",
            "es-BR",
            "es-BZ",
            "es-CU",
            "es-DO",
            "es-GT",
            "es-MX",
            "es-NI",
            "es-PA",
            "es-PR",
            "es-SV",
            "es-US",
        ],
        ES._replace(
            months_short=(
                "ene",
                "feb",
                "mar",
                "abr",
                "may",
                "jun",
                "jul",
                "ago",
                "sep",
                "oct",
                "nov",
                "dic",
            ),
            decimal=".",
        ),
    ),
    **dict.fromkeys(
        ["es-AR", "es-BO", "es-CL", "es-CO", "es-CR", "es-EC"],
        ES._replace(
            months_short=(
                "ene",
                "feb",
                "mar",
                "abr",
                "may",
                "jun",
                "jul",
                "ago",
                "sep",
                "oct",
                "nov",
                "dic",
            )
        ),
    ),
    **dict.fromkeys(
        ["es-HN"],
        ES._replace(
            months_short=(
                "ene",
                "feb",
                "mar",
                "abr",
                "may",
                "jun",
                "jul",
                "ago",
                "sep",
                "oct",
                "nov",
                "dic",
            ),
            long_date="{weekday} {day:02} de {month} de {year}",
            decimal=".",
        ),
    ),
    **dict.fromkeys(
        ["es-PE"],
        ES._replace(
            months=(
                "enero",
                "febrero",
                "marzo",
                "abril",
                "mayo",
                "junio",
                "julio",
                "agosto",
                "setiembre",
                "octubre",
                "noviembre",
                "diciembre",
            ),
            months_short=(
                "ene",
                "feb",
                "mar",
                "abr",
                "may",
                "jun",
                "jul",
                "ago",
                "set",
                "oct",
                "nov",
                "dic",
            ),
            decimal=".",
        ),
    ),
    **dict.fromkeys(
        ["es-UY"],
        ES._replace(
            months=(
                "enero",
                "febrero",
                "marzo",
                "abril",
                "mayo",
                "junio",
                "julio",
                "agosto",
                "setiembre",
                "octubre",
                "noviembre",
                "diciembre",
            ),
            months_short=(
                "ene",
                "feb",
                "mar",
                "abr",
                "may",
                "jun",
                "jul",
                "ago",
                "set",
                "oct",
                "nov",
                "dic",
            ),
        ),
    ),
}
