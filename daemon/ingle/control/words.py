"""How decisions are said: temperatures, times and what comes next, in the house's own clock."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from ingle.model.decisions import Next
from ingle.model.week import LevelName

_DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_A_WEEK: Final = timedelta(days=6)


def clock_text(at: datetime, now: datetime, timezone: ZoneInfo) -> str:
    """Return an instant as people say it: the time alone today, with its weekday soon, with its date later.

    >>> from datetime import UTC
    >>> now = datetime(2026, 1, 12, 6, 0, tzinfo=UTC)
    >>> zone = ZoneInfo("Europe/London")
    >>> clock_text(now.replace(hour=22, minute=30), now, zone)
    '22:30'
    >>> clock_text(now.replace(day=13), now, zone)
    'Tue 06:00'
    >>> clock_text(now.replace(day=30), now, zone)
    'Fri 30 Jan 06:00'
    """
    local, today = at.astimezone(timezone), now.astimezone(timezone).date()
    text = f"{local:%H:%M}"
    if local.date() == today:
        return text
    weekday = _DAYS[local.weekday()]
    if abs(local.date() - today) <= _A_WEEK:
        return f"{weekday} {text}"
    year = "" if local.year == today.year else f" {local.year}"
    return f"{weekday} {local.day} {_MONTHS[local.month - 1]}{year} {text}"


def degrees(celsius: float) -> str:
    """Return a temperature as text, without needless decimals.

    >>> degrees(20.0), degrees(20.5)
    ('20 °C', '20.5 °C')
    """
    return f"{round(celsius, 1):g} °C"


def want_text(level: LevelName | None, wanted_c: float) -> str:
    """Return a temperature with the level behind it.

    >>> want_text("setback", 16.0)
    '16 °C (setback)'
    """
    return f"{degrees(wanted_c)} ({level})" if level else degrees(wanted_c)


def span_text(until: datetime | None, following: Next | None, now: datetime, timezone: ZoneInfo) -> str:
    """Return how long a decision holds and what follows it, to be put behind a statement."""
    if until is None:
        return ""
    text = f" until {clock_text(until, now, timezone)}"
    return text if following is None else f"{text}, then {want_text(following.level, following.wanted_c)}"


def listed(names: tuple[str, ...]) -> str:
    """Return names as a list in a sentence.

    >>> listed(("a", "b", "c"))
    'a, b and c'
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
