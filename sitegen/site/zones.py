"""Days and time zones of one build: each zone is looked up once."""

from __future__ import annotations

from datetime import date, datetime

from sitegen.site import remember


class Zones:
    """What each time zone comes to in one build.

    Args:
        now: The moment of the build.
        as_of: The day that plans are as of everywhere; None for each zone's own today.
    """

    def __init__(self, now: datetime, as_of: date | None) -> None:
        self._now, self._as_of = now, as_of
        self._known: dict[str, tuple[date, str]] = {}

    def today(self, zone: str) -> date:
        """The calendar's day there at the moment of the build."""
        from zoneinfo import ZoneInfo

        return self._now.astimezone(ZoneInfo(zone)).date()

    def of(self, zone: str) -> tuple[date, str]:
        """The day that plans are as of there, and the state of the zone's data."""
        if zone not in self._known:
            self._known[zone] = self._as_of or self.today(zone), remember.zone(zone)
        return self._known[zone]
