"""The parts of the desk's page, in the order of the evening: one file and one line each."""

from __future__ import annotations

from sitegen.desk.panel import Panel
from sitegen.desk.panels import alarms, back, decide, sheet

PANELS: tuple[Panel, ...] = (
    alarms.PANEL,
    sheet.PANEL,
    decide.PANEL,
    back.PANEL,
)
