"""Diversity: how much of what is connected is taken to draw at once, by the customary handbook rules.

These rules are allowances from experience with people who use heaters one at a time. They hold for no installation that
is meant to draw everything together: storage and underfloor heating charge at one hour, a hall warms with all it has.

Source: installers' handbook table of allowances for diversity (United Kingdom), rows "heating and power", as retold
by two public pages on domestic wiring that agree; none is quoted here.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

#: Household: this much counts whole, and of the rest this share.
HOUSEHOLD_WHOLE_A: Final = 10.0
HOUSEHOLD_REST: Final = 0.5
#: Guest house: the largest appliance, the second, and each further one.
GUEST_HOUSE: Final = (1.0, 0.8, 0.6)


def household_a(connected_a: float) -> float:
    """Return what a household's heating and power is taken to draw [A]: 10 A and half of the rest.

    >>> household_a(8.7), household_a(20), household_a(33)
    (8.7, 15.0, 21.5)
    """
    return min(connected_a, HOUSEHOLD_WHOLE_A) + HOUSEHOLD_REST * max(0.0, connected_a - HOUSEHOLD_WHOLE_A)


def guest_house_a(appliances_a: Iterable[float]) -> float:
    """Return what the appliances of a guest house or small hotel are taken to draw [A]: 100 %, 80 %, then 60 %.

    >>> guest_house_a([5, 10, 10])
    21.0
    """
    largest_first = sorted(appliances_a, reverse=True)
    return sum(amps * GUEST_HOUSE[min(place, len(GUEST_HOUSE) - 1)] for place, amps in enumerate(largest_first))
