"""Two periods side by side: per day and per degree day, from days that are whole and known on both counts.

Rules of this file: only whole local days count, and only those of which every heater's energy is known; what is left
out is counted and said; a word is given only where chance would not do as well (``money.periods``).
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from datetime import datetime
from typing import Final, NamedTuple

from ingle.model.days import ChangeWord, Comparison, FigureChange, Period
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import Quality
from ingle.money import LocalDay
from ingle.money.periods import FEWEST_DAYS, Change, Day, change, per_day, per_degree_day
from ingle.reports.days import Cold, of_zones, outdoors, whole_days
from ingle.reports.energy import plain
from ingle.reports.use import Use, summed, uses

#: The least share of a day for which each heater must be known.
_KNOWN: Final = 0.9


class _Side(NamedTuple):
    """A period's days that count, how it is shown, and the heaters of which anything is known."""

    days: list[Day]
    shown: Period
    heaters: frozenset[str]


def compare(
    conn: sqlite3.Connection,
    house: House,
    period: tuple[datetime, datetime],
    other: tuple[datetime, datetime],
    zones: Sequence[str] = (),
) -> Comparison:
    """Return how a period's use compares with another's: ``other`` is what is compared with.

    Raises
    ------
    BadInput
        Where a span does not end after its start, or is too long.
    Unknown
        Where a zone is not, and never was, in the house.
    """
    before, after = (_side(conn, house, span, zones) for span in (other, period))
    a_day = _figure("day", change(per_day(before.days), per_day(after.days)))
    a_degree_day = _figure("degree day", change(per_degree_day(before.days), per_degree_day(after.days)))
    return Comparison(
        period=after.shown,
        other=before.shown,
        per_day=a_day,
        per_degree_day=a_degree_day,
        sentence=_sentence(a_day, a_degree_day),
        missing=(*_missing("from", after.shown), *_missing("with_from", before.shown), *_one_sided(before, after)),
    )


def _side(conn: sqlite3.Connection, house: House, span: tuple[datetime, datetime], zones: Sequence[str]) -> _Side:
    start, end = span
    touched = whole_days(house, start, end)
    days = [day for day in touched if day.start_ms >= to_ms(start) and day.end_ms <= to_ms(end)]
    if not days:
        return _Side([], _shown(span, [], len(touched), None), frozenset())
    used = of_zones(house, uses(conn, house, [days[0].start_ms, *(day.end_ms for day in days)]), zones)
    # A heater of which nothing is known at all is no reason to leave every day out: it is missing from both sides.
    used = [use for use in used if use.covered_s > 0]
    cold = outdoors(conn, house, days)
    counted = [_day(day, place, used, cold[place]) for place, day in enumerate(days)]
    known = [each for each in counted if each is not None]
    quality = summed(part for use in used for part in use.parts).quality
    heaters = frozenset(use.heater for use in used)
    return _Side([day for day, _ in known], _shown(span, known, len(touched) - len(known), quality), heaters)


def _day(day: LocalDay, place: int, used: Sequence[Use], cold: Cold | None) -> tuple[Day, Cold | None] | None:
    """Return a day that counts; None where a heater is not known for it."""
    parts = [use.parts[place] for use in used]
    whole = summed(parts).energy_wh
    wanted_s = day.hours * 3600
    covered: dict[str, float] = {}
    for use, part in zip(used, parts, strict=True):
        covered[use.heater] = covered.get(use.heater, 0.0) + part.covered_s
    if whole is None or any(known_s < _KNOWN * wanted_s for known_s in covered.values()):
        return None
    return Day(whole / 1000, None if cold is None else cold.degree_days), cold


def _shown(
    span: tuple[datetime, datetime],
    known: Sequence[tuple[Day, Cold | None]],
    left_out: int,
    quality: Quality | None,
) -> Period:
    days = [day for day, _ in known]
    a_day, a_degree_day = per_day(days), per_degree_day(days)
    cold = [each for _, each in known if each is not None]
    return Period(
        start=span[0],
        end=span[1],
        days=len(days),
        days_left_out=left_out,
        kwh=plain(sum(day.kwh for day in days)) if days else None,
        kwh_per_day=None if a_day is None else plain(a_day.value),
        degree_days_kd=plain(sum(each.degree_days for each in cold)) if cold else None,
        kwh_per_degree_day=None if a_degree_day is None else plain(a_degree_day.value),
        outdoor_c=plain(sum(each.mean_c for each in cold) / len(cold)) if cold else None,
        quality=quality if days else None,
    )


def _figure(of: str, found: Change) -> FigureChange:
    return FigureChange(
        word=found.word,
        percent=plain(found.percent),
        low_percent=plain(found.low_percent),
        high_percent=plain(found.high_percent),
        sentence=_words(of, found),
    )


def _words(of: str, found: Change) -> str:
    if found.percent is None or found.low_percent is None or found.high_percent is None:
        return f"per {of}: cannot say"
    between = f"95 %: {found.low_percent:+.0f} to {found.high_percent:+.0f} %"
    if found.word == "no change":
        return f"per {of}: no change ({found.percent:+.0f} %, {between}: no more than chance does from day to day)"
    return f"per {of}: {abs(found.percent):.0f} % {found.word} ({between})"


#: What both words together mean; a pair that is missing here is two different changes.
_MEANS: Final[dict[tuple[ChangeWord, ChangeWord], str]] = {
    ("no change", "no change"): "No change: the use of a day is the same, as far as chance lets one tell.",
    ("no change", "cannot say"): "No change: the use of a day is the same, as far as chance lets one tell.",
    ("more", "no change"): "A day uses more, and the weather accounts for it: per degree day there is no change.",
    ("less", "no change"): "A day uses less, and the weather accounts for it: per degree day there is no change.",
    ("more", "more"): "A day uses more, and it is not the weather: per degree day it is more too.",
    ("less", "less"): "A day uses less, and it is not the weather: per degree day it is less too.",
    ("more", "cannot say"): "A day uses more; how much of that is the weather cannot be said.",
    ("less", "cannot say"): "A day uses less; how much of that is the weather cannot be said.",
}


def _sentence(a_day: FigureChange, a_degree_day: FigureChange) -> str:
    """Say both at once: what use did, and whether the weather accounts for it."""
    if a_day.word == "cannot say":
        return f"Cannot say: both periods need {FEWEST_DAYS} whole days on which every heater is known."
    apart = f"A day uses {_AS[a_day.word]}, while the weather alone would have it otherwise: per degree day it is "
    return _MEANS.get((a_day.word, a_degree_day.word), f"{apart}{a_degree_day.word}.")


_AS: Final[dict[ChangeWord, str]] = {"more": "more", "less": "less", "no change": "as much as before"}


def _one_sided(before: _Side, after: _Side) -> list[str]:
    if not before.heaters or not after.heaters:
        return []
    return [f"{heater} is known in one of the periods only" for heater in sorted(before.heaters ^ after.heaters)]


def _missing(place: str, period: Period) -> list[str]:
    said = []
    if period.days_left_out:
        left_out = "1 day is" if period.days_left_out == 1 else f"{period.days_left_out} days are"
        said.append(f"{place}: {left_out} left out, begun in part or not known of every heater")
    if period.days < FEWEST_DAYS:
        said.append(f"{place}: {period.days} whole days are known; {FEWEST_DAYS} are needed")
    if period.days and period.degree_days_kd is None:
        said.append(f"{place}: no outdoor readings, so nothing can be said per degree day")
    return said
