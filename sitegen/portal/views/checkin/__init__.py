"""Check-in: what a client did and felt. Its script reads the portal's data block itself."""

from __future__ import annotations

from sitegen.model.sentence import N_
from sitegen.portal.scene import View, nothing

VIEW = View("checkin", N_("Check-in"), N_("Check-in"), nothing, shared=True)
