"""The least air that a room should be reckoned with: by method, use and age.

Not a ventilation design: a lower bound, so that a room is not sized for air as tight as nobody has measured.

References
----------
EN 12831-1:2017, Annex B: a single room 0.5 per hour; simplified by age of the building, before 1977 1.0, before 1995
0.5, from 1995 on 0.25.
UK domestic practice for houses before 2000: bath 3.0, kitchen and hall 2.0, living room 1.5, bedroom 1.0 (from memory).
"""

from __future__ import annotations

from typing import Literal, NamedTuple

ONE_ROOM_PER_H = 0.5
_OLD_YEAR, _OLD_PER_H = 1977, 1.0
_DOMESTIC_YEAR = 2000
_DOMESTIC_PER_H = {
    "bath": 3.0,
    "kitchen": 2.0,
    "utility": 2.0,
    "hall": 2.0,
    "living": 1.5,
    "dining": 1.5,
    "bedroom": 1.0,
}
# Rooms that nobody stays in need no air for people; what leaks in is all (EN 12831-1:2017, Annex B, from 1995 on).
_EMPTY_USES, _EMPTY_PER_H = frozenset({"store", "hall"}), 0.25

# Wind blows on one side of a house at a time: of the air of two rooms or more, half comes in at once.
_SEVERAL_AT_ONCE = 0.5


class LeastAir(NamedTuple):
    """A lower bound of air changes [1/h] with its source."""

    per_h: float
    source: str


def needed_air_changes(use: str) -> float:
    """Return what people in a room need, or what leaks in where nobody stays [1/h] (EN 12831-1:2017, Annex B).

    >>> needed_air_changes("bedroom"), needed_air_changes("store")
    (0.5, 0.25)
    """
    return _EMPTY_PER_H if use in _EMPTY_USES else ONE_ROOM_PER_H


def least_air_changes(method: Literal["en12831", "domestic"], use: str, built: int | None) -> LeastAir:
    """Return the least air changes of a room [1/h].

    Parameters
    ----------
    method
        Whose rule.
    use
        What the room is for, in the house file's words.
    built
        Year of the fabric; None counts as no older than any rule asks for.

    Examples
    --------
    >>> least_air_changes("domestic", "bath", 1930).per_h, least_air_changes("domestic", "bath", None).per_h
    (3.0, 0.5)
    >>> least_air_changes("en12831", "living", 1960).per_h, least_air_changes("en12831", "store", 2010).per_h
    (1.0, 0.25)
    """
    if method == "domestic" and built is not None and built < _DOMESTIC_YEAR and use in _DOMESTIC_PER_H:
        return LeastAir(_DOMESTIC_PER_H[use], "UK domestic practice, houses before 2000 (from memory)")
    if built is not None and built < _OLD_YEAR:
        return LeastAir(_OLD_PER_H, "EN 12831-1:2017, Annex B, buildings before 1977")
    if use in _EMPTY_USES:
        return LeastAir(_EMPTY_PER_H, "EN 12831-1:2017, Annex B, by age, a room that nobody stays in")
    return LeastAir(ONE_ROOM_PER_H, "EN 12831-1:2017, Annex B, a single room")


def air_at_once(rooms: int) -> float:
    """Return the share of the rooms' outdoor air that comes into a house at once (EN 12831-1:2017, table B.5).

    Each room by itself is reckoned with all of its air, so rooms do not add up to what one source must give.

    >>> air_at_once(1), air_at_once(2), air_at_once(12)
    (1.0, 0.5, 0.5)
    """
    return 1.0 if rooms <= 1 else _SEVERAL_AT_ONCE
