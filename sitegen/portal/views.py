"""The portal's views, in the order in which they stand in the document and the navigation."""

from __future__ import annotations

from sitegen.model.sentence import N_
from sitegen.portal import cadence, calendar, care, drills, now, weeks
from sitegen.portal.scene import View, nothing

BEAT = View("beat", N_("Beat"), N_("Beat"), nothing, shared=True)
CHECK_IN = View("checkin", N_("Check-in"), N_("Check-in"), nothing, shared=True)

# The first four are the ones for the roadside: a phone shows them beside "More".
VIEWS: tuple[View, ...] = (
    now.VIEW,
    weeks.VIEW,
    BEAT,
    CHECK_IN,
    drills.VIEW,
    cadence.VIEW,
    calendar.VIEW,
    care.VIEW,
)
