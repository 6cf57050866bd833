"""How much each heater used in each of many stretches of a span: the one reading of the record below every cost.

Rules of this file: sums come from the roll-ups, so that a year is quick. The edge of a rate may lie inside a
quarter-hour; that quarter's energy is then shared out by time. The span's own two ends are exact.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from functools import reduce
from itertools import pairwise
from typing import NamedTuple

from ingle.model.house import House
from ingle.model.readings import Quality, Source
from ingle.reports.energy import Stay, stays, worst
from ingle.store import houses
from ingle.store.readings import QUARTER_MS
from ingle.store.rollups import EnergySum, spans


class Part(NamedTuple):
    """A heater's energy in one stretch [Wh]; None where nothing is known."""

    energy_wh: float | None
    quality: Quality | None
    covered_s: float


class Use(NamedTuple):
    """What a heater used while it stood in a zone, stretch by stretch."""

    heater: str
    zone: str
    parts: tuple[Part, ...]

    @property
    def covered_s(self) -> float:
        """For how long its energy is known [s]."""
        return sum(part.covered_s for part in self.parts)


_NOTHING = Part(None, None, 0.0)


def uses(conn: sqlite3.Connection, house: House, edges_ms: Sequence[int]) -> list[Use]:
    """Return the use of every heater that stood in the house between the first and the last of some instants.

    Parameters
    ----------
    edges_ms
        In order; each two neighbours are a stretch.
    """
    found: dict[tuple[str, str], Use] = {}
    for stay in stays(house, houses.lifetimes(conn), edges_ms[0], edges_ms[-1]):
        parts = _of_stay(conn, stay, edges_ms)
        before = found.get((stay.heater, stay.zone))
        joined = parts if before is None else [_joined(*both) for both in zip(before.parts, parts, strict=True)]
        found[stay.heater, stay.zone] = Use(stay.heater, stay.zone, tuple(joined))
    return list(found.values())


def parts_of(conn: sqlite3.Connection, source: Source, edges_ms: Sequence[int]) -> list[Part]:
    """Return the energy of one source between each two of some instants."""
    cells = _cells(edges_ms)
    sums = spans(conn, source, cells)
    return list(_shared(edges_ms, cells, sums))


def summed(parts: Iterable[Part]) -> Part:
    """Return parts added up; what is not known adds nothing.

    >>> summed([Part(2.0, "metered", 60.0), Part(None, None, 0.0), Part(1.0, "filled", 60.0)])
    Part(energy_wh=3.0, quality='filled', covered_s=120.0)
    """
    return reduce(_joined, parts, _NOTHING)


def _of_stay(conn: sqlite3.Connection, stay: Stay, edges_ms: Sequence[int]) -> list[Part]:
    inside = [edge for edge in edges_ms if stay.start_ms < edge < stay.end_ms]
    parts = iter(parts_of(conn, Source("heater", stay.heater), [stay.start_ms, *inside, stay.end_ms]))
    return [next(parts) if low < stay.end_ms and high > stay.start_ms else _NOTHING for low, high in pairwise(edges_ms)]


def _cells(edges_ms: Sequence[int]) -> list[int]:
    """Return the edges with those inside a quarter-hour widened to both ends of it; the first and last stay.

    >>> _cells([10, 900_000, 1_000_000, 9_000_000])
    [10, 900000, 1800000, 9000000]
    """
    first, last = edges_ms[0], edges_ms[-1]
    wide = {
        around
        for edge in edges_ms[1:-1]
        for around in (edge // QUARTER_MS * QUARTER_MS, -(-edge // QUARTER_MS) * QUARTER_MS)
    }
    return [first, *sorted(each for each in wide if first < each < last), last]


def _shared(edges_ms: Sequence[int], cells: Sequence[int], sums: Sequence[EnergySum]) -> Iterator[Part]:
    """Give each stretch the cells in it, and of a cell that lies across its edge the share by time."""
    place = 0
    for low, high in pairwise(edges_ms):
        if cells[place] == low and cells[place + 1] == high:
            yield Part(sums[place].energy_wh, sums[place].quality, sums[place].covered_s)
            place += 1
            continue
        whole = _NOTHING
        while cells[place] < high:
            start, end = max(cells[place], low), min(cells[place + 1], high)
            share = (end - start) / (cells[place + 1] - cells[place])
            whole = _joined(whole, _share(sums[place], share))
            if cells[place + 1] > high:
                break
            place += 1
        yield whole


def _share(found: EnergySum, share: float) -> Part:
    energy_wh = None if found.energy_wh is None else found.energy_wh * share
    return Part(energy_wh, found.quality, found.covered_s * share)


def _joined(one: Part, other: Part) -> Part:
    if one.energy_wh is None or other.energy_wh is None:
        return other if one.energy_wh is None else one
    return Part(
        one.energy_wh + other.energy_wh,
        worst((one.quality, other.quality)),
        one.covered_s + other.covered_s,
    )
