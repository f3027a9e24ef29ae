"""The day on the operator's own calendar."""

from datetime import date, datetime
from zoneinfo import ZoneInfo


def today_at(time_zone: str, now: datetime) -> date:
    """Return the operator's date at ``now``."""
    return now.astimezone(ZoneInfo(time_zone)).date()
