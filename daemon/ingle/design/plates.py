"""Which sets of heaters come into question for a load: plates in ones, twos and equal rows, or built from sections.

Every set meets the load, or misses it by so little that somebody may prefer one heater fewer; which of the two, the
option says. Sets of far too much are left out, unless nothing smaller meets the load.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Final, NamedTuple

from ingle.physics.emitters import heaters_needed

#: Plates that electric room heaters are commonly made with [W]; common practice.
PLATES_W: Final = (250.0, 500.0, 750.0, 1000.0, 1250.0, 1500.0, 2000.0, 2400.0, 3000.0)
#: More than the load by this share is far too much, as long as something smaller meets it.
MOST_MARGIN: Final = 0.35
#: Less than the load by this share is a miss worth knowing of: within what a survey is uncertain anyway.
NEAR_MISS: Final = 0.03
#: Two unlike heaters share a room well when the smaller has at least this share of the larger's plate.
LEAST_OF_PAIR: Final = 0.5
_ROUNDING: Final = 1e-9


class Set(NamedTuple):
    """Plates, largest first, and how many sections make each (empty where they are not built from sections)."""

    plates_w: tuple[float, ...]
    sections: tuple[int, ...] = ()


def of_plates(load_w: float, factor: float) -> list[Set]:
    """Return sets of common plates for a load.

    Parameters
    ----------
    load_w
        What is needed [W], above 0.
    factor
        What a plate gives on site, as a share of its rating.
    """
    gives = {plate: plate * factor for plate in PLATES_W}
    most = max(4, 2 * heaters_needed(load_w, max(gives.values())))
    found = [*_rows(load_w, gives, most), *_pairs(gives)]
    meet = [each for each in found if _given(each, gives) >= load_w * (1 - _ROUNDING)]
    least = min(_given(each, gives) for each in meet)
    near = [each for each in found if each not in meet and _given(each, gives) >= load_w * (1 - NEAR_MISS)]
    limit = max(least, load_w * (1 + MOST_MARGIN)) * (1 + _ROUNDING)
    return [each for each in meet if _given(each, gives) <= limit] + near


def _given(each: Set, gives: Mapping[float, float]) -> float:
    return sum(gives[plate] for plate in each.plates_w)


def _rows(load_w: float, gives: Mapping[float, float], most: int) -> Iterator[Set]:
    """Yield rows of equal plates: as many as meet the load, and one fewer."""
    for plate, given in gives.items():
        count = heaters_needed(load_w, given)
        for each in (count, count - 1):
            if 0 < each <= most:
                yield Set((plate,) * each)


def _pairs(gives: Mapping[float, float]) -> Iterator[Set]:
    """Yield two unlike plates."""
    for small, large in combinations(sorted(gives), 2):
        if small >= LEAST_OF_PAIR * large:
            yield Set((large, small))


def of_one_plate(load_w: float, plate_w: float, factor: float) -> list[Set]:
    """Return as many of one plate as meet a load, and one fewer where that just misses.

    >>> [len(each.plates_w) for each in of_one_plate(12_020, 1500, 1.0)]
    [9, 8]
    >>> [len(each.plates_w) for each in of_one_plate(12_020, 1600, 1.0)]
    [8]
    """
    count = heaters_needed(load_w, plate_w * factor)
    near = (count - 1) * plate_w * factor >= load_w * (1 - NEAR_MISS)
    return [Set((plate_w,) * each) for each in ((count, count - 1) if near else (count,)) if each > 0]


def of_sections(load_w: float, section_w: float, sections_max: int, factor: float, heaters: int) -> list[Set]:
    """Return heaters built from sections, spread over as many heaters as the room wants, and over one more.

    Sections are shared out evenly; heaters of one room differ by one section at most.

    >>> [each.sections for each in of_sections(1931, 150, 16, 1.0, 2)]
    [(13,), (7, 6), (5, 4, 4)]
    """
    sections = heaters_needed(load_w, section_w * factor)
    fewest = heaters_needed(sections, sections_max)
    counts = sorted({fewest, max(fewest, heaters), max(fewest, heaters) + 1})
    found = [_shared_out(sections, count, section_w) for count in counts if count <= sections]
    if (sections - 1) * section_w * factor >= load_w * (1 - NEAR_MISS):
        found.append(_shared_out(sections - 1, max(fewest, min(heaters, sections - 1)), section_w))
    return found


def _shared_out(sections: int, heaters: int, section_w: float) -> Set:
    whole, over = divmod(sections, heaters)
    shares = tuple(whole + 1 if place < over else whole for place in range(heaters))
    return Set(tuple(share * section_w for share in shares), shares)
