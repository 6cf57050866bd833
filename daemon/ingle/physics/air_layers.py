"""Air inside an element: still, bright-faced, or open to the outside (ISO 6946:2007, 5.3 and Annex B).

The rules of this file:

* A **still** layer between ordinary faces has the resistance of a table, by its thickness and by the direction of
  the heat. Thicker than 300 mm it is a space, not a layer, and the last row holds.
* A **bright** face, such as foil, sends little heat across by radiation; then the resistance is worked out from the
  two ways through, by the air and by radiation.
* A layer **open to the outside** is judged by the area of its openings, per metre of length if it stands upright
  (a wall's cavity), per square metre if it lies flat. Up to 500 mm² it counts as still; from 1500 mm² on it counts as
  outdoor air, sheltered, so that it and all outside of it give nothing; between the two it is shared out.
"""

from __future__ import annotations

from itertools import pairwise
from math import pow as power
from typing import Final, Literal

HeatFlow = Literal["up", "horizontal", "down"]

# Unventilated air layers between ordinary (high-emissivity) surfaces: mm, then [m²·K/W] for heat flowing up,
# horizontally and down. ISO 6946:2007 Table 2; values between are interpolated, as the standard says.
AIR_LAYERS: tuple[tuple[float, float, float, float], ...] = (
    (0, 0.00, 0.00, 0.00),
    (5, 0.11, 0.11, 0.11),
    (7, 0.13, 0.13, 0.13),
    (10, 0.15, 0.15, 0.15),
    (15, 0.16, 0.17, 0.17),
    (25, 0.16, 0.18, 0.19),
    (50, 0.16, 0.18, 0.21),
    (100, 0.16, 0.18, 0.22),
    (300, 0.16, 0.18, 0.23),
)
_COLUMN: dict[HeatFlow, int] = {"up": 1, "horizontal": 2, "down": 3}

# Openings to outside [mm² per m, or per m² if the layer lies flat]: up to the first still, from the second on open.
# ISO 6946:2007, 5.3.2 to 5.3.4, from memory.
STILL_MM2: Final = 500.0
OPEN_MM2: Final = 1500.0

# Radiation between black faces at 10 °C [W/(m²·K)], and what an ordinary face sends of it [-].
# ISO 6946:2007, Annexes A and B, from memory.
H_RADIATION: Final = 5.1
ORDINARY_EMISSIVITY: Final = 0.9


def air_layer_resistance(thickness_mm: float, flow: HeatFlow) -> float:
    """Return the resistance of an unventilated air layer [m²·K/W] (ISO 6946:2007 Table 2, interpolated).

    Thicker than 300 mm is a space, not a layer; the value for 300 mm is then returned.

    Raises
    ------
    ValueError
        For a negative thickness.

    Examples
    --------
    Half way from 15 mm (0.17) to 25 mm (0.18):

    >>> round(air_layer_resistance(20, "horizontal"), 3)
    0.175
    """
    _check_thickness(thickness_mm)
    column = _COLUMN[flow]
    for below, above in pairwise(AIR_LAYERS):
        if thickness_mm <= above[0]:
            along = (thickness_mm - below[0]) / (above[0] - below[0])
            return below[column] + along * (above[column] - below[column])
    return AIR_LAYERS[-1][column]


def bright_air_layer_resistance(thickness_mm: float, flow: HeatFlow, emissivity: float) -> float:
    """Return the resistance of an unventilated air layer with one bright face [m²·K/W] (ISO 6946:2007, Annex B).

    Parameters
    ----------
    thickness_mm
        Thickness [mm], above 0; beyond 300 mm as 300 mm.
    flow
        The way heat goes.
    emissivity
        Of the bright face [-]: about 0.05 for clean foil, 0.2 once it is dusty (common practice); the other face is
        an ordinary one of 0.9.

    Raises
    ------
    ValueError
        For a thickness that is not above 0, or an emissivity that is not above 0 and at most 1.

    Examples
    --------
    Foil of 0.05 in a 25 mm cavity: E = 1/(1/0.05 + 1/0.9 - 1) = 0.0497, so 0.254 W/(m²·K) by radiation and 1.25 by
    the air: 1/1.504.

    >>> round(bright_air_layer_resistance(25, "horizontal", 0.05), 3)
    0.665
    """
    _check_thickness(thickness_mm)
    if thickness_mm == 0:
        raise ValueError("an air layer of 0 mm has no faces; its thickness is above 0 mm")
    if not 0 < emissivity <= 1:
        raise ValueError(f"an emissivity of {emissivity:g} is not possible; it is above 0 and at most 1")
    metres = min(thickness_mm, AIR_LAYERS[-1][0]) / 1000
    moving = {"up": 1.95, "horizontal": 1.25, "down": 0.12 / power(metres, 0.44)}[flow]
    between = 1 / (1 / emissivity + 1 / ORDINARY_EMISSIVITY - 1)
    return 1 / (max(moving, 0.025 / metres) + between * H_RADIATION)


def still_share(openings_mm2: float) -> float:
    """Return how far an air layer with openings to outside counts as still [-] (ISO 6946:2007, 5.3).

    1 up to 500 mm² (still), 0 from 1500 mm² on (open), straight between.

    Parameters
    ----------
    openings_mm2
        Openings [mm²] per metre of length of an upright layer, per square metre of one that lies flat.

    Raises
    ------
    ValueError
        For a negative area.

    Examples
    --------
    >>> still_share(300), still_share(900), still_share(2000)
    (1.0, 0.6, 0.0)
    """
    if not openings_mm2 >= 0:
        raise ValueError(f"openings of {openings_mm2:g} mm² are not possible; the least is 0")
    return min(1.0, max(0.0, (OPEN_MM2 - openings_mm2) / (OPEN_MM2 - STILL_MM2)))


def slightly_ventilated_resistance(openings_mm2: float, r_still: float, r_open: float) -> float:
    """Return an element's total resistance with a slightly ventilated air layer in it [m²·K/W].

    ISO 6946:2007, 5.3.3: (1500 - Av)/1000 of the total with the layer still, (Av - 500)/1000 of that with it open.

    Parameters
    ----------
    openings_mm2
        Openings Av of the air layer [mm²] per m or m², as in ``still_share``.
    r_still, r_open
        The element's total resistance with that layer unventilated, and with it well ventilated [m²·K/W].

    Examples
    --------
    A wall of 2.0 m²·K/W with a still cavity and 1.5 with an open one, openings half way between 500 and 1500 mm²:

    >>> slightly_ventilated_resistance(1000, 2.0, 1.5)
    1.75
    """
    share = still_share(openings_mm2)
    return share * r_still + (1 - share) * r_open


def _check_thickness(thickness_mm: float) -> None:
    if not thickness_mm >= 0:
        raise ValueError(f"an air layer of {thickness_mm:g} mm is not possible; the least is 0")
