"""Beat: a click at the week's step rate. Its script reads the portal's data block itself."""

from __future__ import annotations

from sitegen.model.sentence import N_
from sitegen.portal.scene import Scene, View, nothing
from sitegen.portal.stopped import stop_notice


def shows(scene: Scene) -> bool:
    """Not where nothing is planned, nor where the client must not run."""
    return bool(scene.plan.sessions) and stop_notice(scene) is None


VIEW = View("beat", N_("Beat"), N_("Beat"), nothing, shared=True, shows=shows, alike=True)
