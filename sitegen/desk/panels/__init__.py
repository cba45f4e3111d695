"""The parts of the desk's page, in the order of the evening: one file and one line each."""

from __future__ import annotations

from sitegen.desk.panel import DeskPanel
from sitegen.desk.panels import (
    alarms,
    back,
    client,
    decide,
    draft,
    history,
    link,
    many,
    out,
    sheet,
    taking,
    whatif,
    why,
)

PANELS: tuple[DeskPanel, ...] = (
    alarms.PANEL,
    taking.PANEL,
    sheet.PANEL,
    client.PANEL,
    draft.PANEL,
    whatif.PANEL,
    why.PANEL,
    decide.PANEL,
    history.PANEL,
    link.PANEL,
    many.PANEL,
    out.PANEL,
    back.PANEL,
)
