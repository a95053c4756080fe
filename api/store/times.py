"""Moments as the store writes them: UTC, ISO 8601 with microseconds, so that they sort as text."""

from collections.abc import Callable
from datetime import UTC
from datetime import datetime
from datetime import timedelta

Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """Return the present moment."""
    return datetime.now(UTC)


def stamp(moment: datetime) -> str:
    """Return a moment as text. Raises ValueError where it does not say its time zone.

    >>> stamp(datetime(2026, 1, 31, 12, tzinfo=UTC))
    '2026-01-31T12:00:00.000000Z'
    """
    if moment.tzinfo is None:
        raise ValueError("a moment without a time zone can be any of many")
    return moment.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


def stamp_after(moment: datetime, seconds: float) -> str:
    """Return as text the moment some seconds after another; before it, where they are negative."""
    return stamp(moment + timedelta(seconds=seconds))
