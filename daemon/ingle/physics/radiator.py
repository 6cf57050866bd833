"""Wet radiators: what one gives at the water temperatures it really gets.

EN 442-2: output is stated at an excess temperature of 50 K (water 75/65 °C, room 20 °C) and goes with a power of the
excess, near 1.3 for panels (from memory; a maker states its own).
"""

from __future__ import annotations

from math import log
from typing import Final

#: Excess temperature at which outputs are stated [K], EN 442-2.
NOMINAL_EXCESS_K: Final = 50.0
#: Exponent of a panel radiator, EN 442-2 (typical; from memory).
EXPONENT: Final = 1.3
#: Below this ratio of the excess at return and at flow the plain mean is too kind, and the logarithmic one is taken.
PLAIN_MEAN_RATIO: Final = 0.7


def excess_k(flow_c: float, return_c: float, room_c: float) -> float | None:
    """Return by how much the water is warmer than the room [K]; None where it leaves no warmer than the room.

    The arithmetic mean, and the logarithmic where the water cools by far (EN 442-2, from memory).

    >>> excess_k(75, 65, 20)
    50.0
    >>> round(excess_k(70, 40, 20), 1)  # (70 - 40) / ln(50 / 20)
    32.7
    >>> excess_k(30, 20, 20) is None
    True
    """
    at_flow, at_return = flow_c - room_c, return_c - room_c
    if at_return <= 0 or at_flow <= 0:
        return None
    if at_flow <= at_return or at_return / at_flow >= PLAIN_MEAN_RATIO:
        return (at_flow + at_return) / 2
    return (at_flow - at_return) / log(at_flow / at_return)


def radiator_w(nominal_w: float, excess: float, exponent: float = EXPONENT) -> float:
    """Return what a radiator gives at an excess temperature [W]: Φ = Φ_N (ΔT/50)ⁿ (EN 442-2).

    >>> radiator_w(1000, 50), round(radiator_w(1000, 30))
    (1000.0, 515)
    """
    return nominal_w * float((excess / NOMINAL_EXCESS_K) ** exponent)


def nominal_w(wanted_w: float, excess: float, exponent: float = EXPONENT) -> float:
    """Return the stated output of a radiator that gives what is wanted at an excess temperature [W].

    >>> round(nominal_w(515, 30))
    1000
    """
    return wanted_w / float((excess / NOMINAL_EXCESS_K) ** exponent)
