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

Where it stops holding: metal that bridges insulation (upper over lower limit above 1.5). Air inside an element is in
``air_layers``, what gaps and fixings add in ``corrections``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isclose
from typing import NamedTuple

from ingle.physics.air_layers import HeatFlow

# [m²·K/W], ISO 6946:2007 Table 1; "horizontal" holds up to 30 degrees from the horizontal.
R_INSIDE: dict[HeatFlow, float] = {"up": 0.10, "horizontal": 0.13, "down": 0.17}
R_OUTSIDE = 0.04

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

    Raises
    ------
    ValueError
        For a negative thickness, or a conductivity that is not above 0.

    Examples
    --------
    >>> conduction_resistance(140, 0.04)
    3.5
    """
    if not thickness_mm >= 0:
        raise ValueError(f"a layer of {thickness_mm:g} mm is not possible; the least is 0")
    if not conductivity > 0:
        raise ValueError(f"a conductivity of {conductivity:g} W/(m·K) is not possible; it is above 0")
    return thickness_mm / 1000 / conductivity


def layered_resistance(layers: Sequence[Layer], r_inside: float, r_outside: float) -> Resistance:
    """Return the total resistance of plane layers, bridged or not (ISO 6946:2007, 6.7.2).

    Parameters
    ----------
    layers
        Each layer as its strips; the shares of a layer add up to 1.
    r_inside, r_outside
        Surface resistances [m²·K/W].

    Raises
    ------
    ValueError
        If the shares of a layer do not lie in 0 to 1 and add up to 1, or a strip has no resistance.

    Examples
    --------
    A stud wall of the Scottish Technical Handbook, annex 6.B (published: upper 3.435, lower 3.304):

    >>> solid = [[Strip(1, r)] for r in (0.132, 0.18, 0.069, 0.06)]
    >>> studs = [Strip(0.85, 140 / 1000 / 0.04), Strip(0.15, 140 / 1000 / 0.12)]
    >>> wall = layered_resistance([*solid, studs], 0.13, 0.04)
    >>> round(wall.upper, 2), round(wall.lower, 2), round(wall.u, 2)
    (3.43, 3.3, 0.3)
    """
    for layer in layers:
        _check_strips(layer)
    surfaces = r_inside + r_outside
    upper = 1 / sum(path.share / (surfaces + path.resistance) for path in _paths(layers))
    lower = surfaces + sum(1 / sum(strip.share / strip.resistance for strip in layer) for layer in layers)
    return Resistance((upper + lower) / 2, upper, lower)


def _check_strips(layer: Layer) -> None:
    for strip in layer:
        if not 0 <= strip.share <= 1:
            raise ValueError(f"a share of {strip.share:g} of a layer is not possible; it is from 0 to 1")
        if not strip.resistance > 0:
            raise ValueError(f"a strip of {strip.resistance:g} m²·K/W is not possible; it is above 0")
    whole = sum(strip.share for strip in layer)
    if not isclose(whole, 1, abs_tol=1e-6):
        raise ValueError(f"the shares of a layer add up to {whole:g}; they add up to 1")


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
