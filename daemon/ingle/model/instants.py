"""Instants as the store and the wire write them: whole milliseconds since 1970-01-01 UTC."""

from __future__ import annotations

from datetime import UTC, datetime


def to_ms(when: datetime) -> int:
    """Return an aware instant as whole milliseconds since 1970-01-01 UTC.

    >>> to_ms(datetime(1970, 1, 1, 0, 0, 1, tzinfo=UTC))
    1000
    """
    return round(when.timestamp() * 1000)


def from_ms(t_ms: int) -> datetime:
    """Return milliseconds since 1970-01-01 UTC as an aware instant.

    >>> from_ms(1000).isoformat()
    '1970-01-01T00:00:01+00:00'
    """
    return datetime.fromtimestamp(t_ms / 1000, UTC)
