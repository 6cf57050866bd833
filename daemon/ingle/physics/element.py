"""Thermal transmittance of building elements from their layers (ISO 6946:2007, unchanged in principle in 2017).

The rules of this file:

* A layer is a list of **strips** side by side, each with its share of the area and its resistance; a homogeneous
  layer is one strip of share 1. Timber in insulation makes two.
* With strips, heat has two idealised ways through. Straight through, each strip keeping to itself, gives the **upper**
  limit of the resistance; all strips of a layer joined by perfect conductors at its faces gives the **lower** limit.
  The result is their mean (ISO 6946, 6.7.2).
* Several bridged layers make every combination of strips a path of its own, its share the product of the shares:
  timber in one layer is not assumed to stand in line with timber in the next.
* Surface resistances follow the direction of the heat flow, not the name of the element: a floor over a cold void
  is "down", a ceiling under a loft "up". An element between two rooms has the inner resistance on both faces.

Where it stops holding: metal that bridges insulation (upper over lower limit above 1.5), ventilated air layers, and
the corrections for air gaps and fixings of ISO 6946 Annex F, which are not made here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Literal, NamedTuple

HeatFlow = Literal["up", "horizontal", "down"]

# [m²·K/W], ISO 6946:2007 Table 1; "horizontal" holds up to 30 degrees from the horizontal.
R_INSIDE: dict[HeatFlow, float] = {"up": 0.10, "horizontal": 0.13, "down": 0.17}
R_OUTSIDE = 0.04

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

# Above this ratio of upper to lower limit ISO 6946 sends the reader to a numerical method.
LIMITS_RATIO_MAX = 1.5
# More paths than this are merged with their nearest; the limit is far above any wall that was ever built.
_PATHS_MAX = 1024


class Strip(NamedTuple):
    """A part of a layer: its share of the area [-] and its resistance [m²·K/W]."""

    share: float
    resistance: float


Layer = Sequence[Strip]


class Resistance(NamedTuple):
    """Total resistance of an element with its two limits [m²·K/W]."""

    total: float
    upper: float
    lower: float

    @property
    def u(self) -> float:
        """Thermal transmittance [W/(m²·K)]."""
        return 1 / self.total


def conduction_resistance(thickness_mm: float, conductivity: float) -> float:
    """Return the resistance of a solid layer [m²·K/W]: R = d / λ.

    Parameters
    ----------
    thickness_mm
        Thickness [mm].
    conductivity
        Thermal conductivity λ [W/(m·K)].

    Examples
    --------
    >>> conduction_resistance(140, 0.04)
    3.5
    """
    return thickness_mm / 1000 / conductivity


def air_layer_resistance(thickness_mm: float, flow: HeatFlow) -> float:
    """Return the resistance of an unventilated air layer [m²·K/W] (ISO 6946:2007 Table 2, interpolated).

    Thicker than 300 mm is a space, not a layer; the value for 300 mm is then returned.

    Examples
    --------
    >>> round(air_layer_resistance(20, "horizontal"), 3)
    0.175
    """
    column = _COLUMN[flow]
    for below, above in pairwise(AIR_LAYERS):
        if thickness_mm <= above[0]:
            along = (thickness_mm - below[0]) / (above[0] - below[0])
            return below[column] + along * (above[column] - below[column])
    return AIR_LAYERS[-1][column]


def layered_resistance(layers: Sequence[Layer], r_inside: float, r_outside: float) -> Resistance:
    """Return the total resistance of plane layers, bridged or not (ISO 6946:2007, 6.7.2).

    Parameters
    ----------
    layers
        Each layer as its strips; the shares of a layer add up to 1.
    r_inside, r_outside
        Surface resistances [m²·K/W].

    Examples
    --------
    A stud wall of the Scottish Technical Handbook, annex 6.B (published: upper 3.435, lower 3.304):

    >>> solid = [[Strip(1, r)] for r in (0.132, 0.18, 0.069, 0.06)]
    >>> studs = [Strip(0.85, 140 / 1000 / 0.04), Strip(0.15, 140 / 1000 / 0.12)]
    >>> wall = layered_resistance([*solid, studs], 0.13, 0.04)
    >>> round(wall.upper, 2), round(wall.lower, 2), round(wall.u, 2)
    (3.43, 3.3, 0.3)
    """
    surfaces = r_inside + r_outside
    upper = 1 / sum(path.share / (surfaces + path.resistance) for path in _paths(layers))
    lower = surfaces + sum(1 / sum(strip.share / strip.resistance for strip in layer) for layer in layers)
    return Resistance((upper + lower) / 2, upper, lower)


def _paths(layers: Sequence[Layer]) -> list[Strip]:
    """Return every straight way through, as its share and the sum of its resistances."""
    paths = [Strip(1.0, 0.0)]
    for layer in layers:
        paths = [
            Strip(path.share * strip.share, path.resistance + strip.resistance)
            for path in paths
            for strip in layer
            if strip.share > 0
        ]
        while len(paths) > _PATHS_MAX:
            paths = list(_merged(sorted(paths, key=lambda path: path.resistance)))
    return paths


def _merged(paths: Sequence[Strip]) -> Iterator[Strip]:
    """Join neighbours two by two, each pair at its mean resistance, so that paths stay countable."""
    for first, second in zip(paths[::2], paths[1::2], strict=False):
        share = first.share + second.share
        if share > 0:
            yield Strip(share, (first.share * first.resistance + second.share * second.resistance) / share)
    if len(paths) % 2:
        yield paths[-1]
