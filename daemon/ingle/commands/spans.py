"""How long a request holds: an ISO 8601 duration, an instant, or to the next transition of the programme."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Final

from ingle.errors import BadInput, Fault
from ingle.model.commands import Cap, Override, SetLevel

#: The longest that a request may hold; whoever wants longer changes the programme or the house.
LONGEST: Final = timedelta(days=7)
#: How long a request holds that names no end, where no transition is known ahead.
UNENDING: Final = timedelta(hours=12)

_UNITS: Final = {"W": "weeks", "D": "days", "H": "hours", "M": "minutes", "S": "seconds"}
_PART: Final = re.compile(r"(\d+)([WDHMS])")


def span(duration: str) -> timedelta:
    """Return an ISO 8601 duration of weeks, days, hours, minutes and seconds; its form was checked on the way in.

    >>> span("PT90M"), span("P1DT12H")
    (datetime.timedelta(seconds=5400), datetime.timedelta(days=1, seconds=43200))
    """
    return timedelta(**{_UNITS[unit]: int(number) for number, unit in _PART.findall(duration)})


def ends(request: Override | SetLevel | Cap, now: datetime, transition: datetime | None) -> datetime:
    """Return when a request ends.

    Parameters
    ----------
    request
        With ``for``, ``until`` or neither.
    now
        The instant of the request.
    transition
        The next transition of the zone's programme, None where none is known.

    Raises
    ------
    BadInput
        Where both ends are given, or the end is not ahead, or too far ahead.
    """
    if request.duration is not None and request.until is not None:
        raise BadInput([Fault(("until",), request.until.isoformat(), "one of for and until, not both")])
    if request.duration is not None:
        return _from_duration(request.duration, now)
    if request.until is not None:
        return _from_instant(request.until, now)
    return now + UNENDING if transition is None else min(transition, now + LONGEST)


def _from_duration(duration: str, now: datetime) -> datetime:
    allowed = f"an ISO 8601 duration above zero and of at most {LONGEST.days} days, such as PT90M"
    try:
        length = span(duration)
    except OverflowError:
        raise BadInput([Fault(("for",), duration, allowed)]) from None
    if not timedelta(0) < length <= LONGEST:
        raise BadInput([Fault(("for",), duration, allowed)])
    return now + length


def _from_instant(until: datetime, now: datetime) -> datetime:
    if not now < until <= now + LONGEST:
        allowed = f"an instant after now ({now:%Y-%m-%dT%H:%M:%SZ}) and at most {LONGEST.days} days ahead"
        raise BadInput([Fault(("until",), until.isoformat(), allowed)])
    return until.astimezone(now.tzinfo)
