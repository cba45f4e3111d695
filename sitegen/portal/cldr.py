"""Names of days and months, and the decimal sign, by language.

Made by ``tools/cldr-words``. Source: Unicode CLDR as Babel carries it (Unicode License V3).
Names are those that stand within a date. A regional language is listed where it differs from
the one above it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class DateWords:
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
    "es": ES,
    "es-419": replace(ES, decimal="."),
    "es-BR": replace(ES, decimal="."),
    "es-BZ": replace(ES, decimal="."),
    "es-CU": replace(ES, decimal="."),
    "es-DO": replace(ES, decimal="."),
    "es-GT": replace(ES, decimal="."),
    "es-HN": replace(ES, long_date="{weekday} {day:02} de {month} de {year}", decimal="."),
    "es-MX": replace(
        ES,
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
    "es-NI": replace(ES, decimal="."),
    "es-PA": replace(ES, decimal="."),
    "es-PE": replace(
        ES,
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
    "es-PR": replace(ES, decimal="."),
    "es-SV": replace(ES, decimal="."),
    "es-US": replace(ES, decimal="."),
    "es-UY": replace(
        ES,
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
}
