"""The span that a report is asked for: one way of reading it, on the command line and over HTTP."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from ingle.errors import BadInput, Fault

ALLOWED = "a date such as 2026-01-31, or an instant with its offset such as 2026-01-31T18:00:00+00:00"


def instant(text: str, place: str, timezone: str) -> datetime:
    """Return an instant that is named with its offset, or by a date on the house's clock.

    A date stands for the whole day: as a beginning its midnight, as an end (a place that ends in ``to``) the next one.

    Parameters
    ----------
    text
        What was given.
    place
        Where it was given: ``from`` or ``to``, with the dashes of a flag or without.
    timezone
        The house's.

    Raises
    ------
    BadInput
        Where it is neither.

    >>> instant("2026-07-01", "--from", "Europe/London").isoformat()
    '2026-07-01T00:00:00+01:00'
    >>> instant("2026-07-01", "to", "Europe/London").isoformat()
    '2026-07-02T00:00:00+01:00'
    """
    try:
        if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
            day = date.fromisoformat(text) + timedelta(days=place.endswith("to"))
            when = datetime.combine(day, time(), ZoneInfo(timezone))
        else:
            when = datetime.fromisoformat(text)
        if when.tzinfo is not None and 1970 <= when.year <= 9000:
            return when
    except (ValueError, OverflowError):
        pass
    raise BadInput([Fault((place,), text, ALLOWED)])


def span(
    start: str | None, end: str | None, timezone: str, places: tuple[str, str] = ("--from", "--to")
) -> tuple[datetime | None, datetime | None]:
    """Return both ends of a span, None for one that is not given.

    Raises
    ------
    BadInput
        With all that is wrong with both ends at once.
    """
    found: list[datetime | None] = []
    faults: list[Fault] = []
    for text, place in zip((start, end), places, strict=True):
        try:
            found.append(None if text is None else instant(text, place, timezone))
        except BadInput as error:
            faults.extend(error.faults)
            found.append(None)
    first, last = found
    if first is not None and last is not None and first >= last:
        faults.append(Fault((places[1],), end, f"later than {places[0]} ({start})"))
    if faults:
        raise BadInput(faults)
    return first, last
