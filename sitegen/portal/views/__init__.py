"""The portal's views, in the order in which they stand in the document and the navigation.

A view is a folder here; see ``View`` in ``sitegen/portal/scene.py``.
"""

from __future__ import annotations

from sitegen.portal.scene import View
from sitegen.portal.views import beat, cadence, calendar, care, checkin, drills, now, weeks

# The first four are the ones for the roadside: a phone shows them beside "More".
VIEWS: tuple[View, ...] = (
    now.VIEW,
    weeks.VIEW,
    beat.VIEW,
    checkin.VIEW,
    drills.VIEW,
    cadence.VIEW,
    calendar.VIEW,
    care.VIEW,
)
