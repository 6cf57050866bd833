"""Heat loss through floors on or near the ground (ISO 13370:2007; EN 12831-1:2017 for the fitted formula).

The theory: heat from a floor leaves in arcs through the soil to the outdoor air beside the building, so what counts is
how far the middle is from the edge. The **characteristic dimension** B' = A / (P/2) says that: area over half the
*exposed* perimeter. All resistance of construction and wall is turned into a thickness of soil with the same effect,
the **equivalent thickness**. The results are steady-state transmittances between the room and the outdoor air (its
annual mean); the seasonal swing is left to the method that uses them.

No exposed perimeter (B' infinite) means no steady loss: the soil under a middle room is as warm as the house.

Symbols: A area [m²], P exposed perimeter [m], w wall thickness [m], λ soil conductivity [W/(m·K)], d equivalent
thickness [m], R resistance [m²·K/W], U transmittance [W/(m²·K)], z depth of a basement floor [m].
"""

from __future__ import annotations

from math import inf, log, log1p, pi

R_SI_FLOOR = 0.17  # heat flowing down, ISO 6946:2007 Table 1
R_SI_WALL = 0.13
R_SE = 0.04

# Underfloor space: wind and shielding of ISO 13370; with wall U 1.7, floor R 0.2 and 0.3 m height they reproduce the
# published table C4 of Approved Document L (England), Appendix C, to its last figure.
WIND_M_PER_S = 3.0
WIND_SHIELD = 0.05  # average exposure
UNDERFLOOR_HEIGHT_M = 0.3
UNDERFLOOR_WALL_U = 1.7
UNDERFLOOR_VENT_M2_PER_M = 0.0015
BARE_DECK_R = 0.2


def characteristic_dimension(area_m2: float, perimeter_m: float) -> float:
    """Return B' = A / (P/2) [m]; infinite without exposed perimeter.

    >>> characteristic_dimension(12, 10)
    2.4
    """
    half = 0.5 * perimeter_m
    return area_m2 / half if half > 0 else inf


def equivalent_thickness(wall_m: float, soil_lambda: float, floor_r: float = 0.0) -> float:
    """Return d = w + λ(Rsi + Rf + Rse) [m] (ISO 13370:2007, 9.1).

    >>> round(equivalent_thickness(0.3, 1.5), 3)
    0.615
    """
    return wall_m + soil_lambda * (R_SI_FLOOR + floor_r + R_SE)


def slab_u(dimension_m: float, thickness_m: float, soil_lambda: float) -> float:
    """Return U of a slab on the ground [W/(m²·K)] (ISO 13370:2007, 9.1, both branches).

    Parameters
    ----------
    dimension_m
        Characteristic dimension B' [m].
    thickness_m
        Equivalent thickness d [m]; at d below B' the slab counts as little insulated.
    soil_lambda
        Conductivity of the soil [W/(m·K)]: clay or silt 1.5, sand or gravel 2.0, rock 3.5.

    Examples
    --------
    >>> round(slab_u(2.4, 0.615, 1.5), 4)
    0.9509
    """
    if dimension_m == inf:
        return 0.0
    if thickness_m < dimension_m:
        spread = pi * dimension_m
        return 2 * soil_lambda / (spread + thickness_m) * log(spread / thickness_m + 1)
    return soil_lambda / (0.457 * dimension_m + thickness_m)


def edge_psi(width_m: float, thickness_m: float, extra_r: float, soil_lambda: float) -> float:
    """Return the edge term of horizontal edge insulation, negative [W/(m·K)] (ISO 13370:2007, Annex B).

    It adds 2ψ/B' to the slab's U. ``extra_r`` is the resistance that the insulation adds over the soil it displaces.
    Upright insulation down to a depth D is ``width_m`` = 2 D: the flow goes round both of its faces.

    Examples
    --------
    Approved Document L, Appendix C, table C2: 0.5 m wide, R 1.0: -0.18.

    >>> round(edge_psi(0.5, 0.615, 1.0, 1.5), 2)
    -0.18
    """
    added = soil_lambda * extra_r
    return -soil_lambda / pi * (log(width_m / thickness_m + 1) - log(width_m / (thickness_m + added) + 1))


def slab_u_with_edge(
    dimension_m: float, thickness_m: float, soil_lambda: float, *, width_m: float, extra_r: float
) -> float:
    """Return U of a slab with horizontal edge insulation, never below the slab insulated all over [W/(m²·K)].

    >>> round(slab_u_with_edge(2.4, 0.615, 1.5, width_m=0.5, extra_r=1.0), 3)
    0.799
    """
    if dimension_m == inf:
        return 0.0
    whole = slab_u(dimension_m, thickness_m + soil_lambda * extra_r, soil_lambda)
    edged = slab_u(dimension_m, thickness_m, soil_lambda) + 2 / dimension_m * edge_psi(
        width_m, thickness_m, extra_r, soil_lambda
    )
    return max(whole, edged)


def suspended_u(
    dimension_m: float,
    ground_thickness_m: float,
    soil_lambda: float,
    *,
    floor_r: float = BARE_DECK_R,
    height_m: float = UNDERFLOOR_HEIGHT_M,
    wall_u: float = UNDERFLOOR_WALL_U,
    vent_m2_per_m: float = UNDERFLOOR_VENT_M2_PER_M,
    wind_m_per_s: float = WIND_M_PER_S,
    wind_shield: float = WIND_SHIELD,
) -> float:
    """Return U of a suspended floor over a ventilated space [W/(m²·K)] (ISO 13370:2007, 9.2).

    Parameters
    ----------
    dimension_m
        Characteristic dimension B' [m].
    ground_thickness_m
        Equivalent thickness of the bare ground below, w + λ(Rsi + Rg + Rse) [m].
    floor_r
        Resistance of the deck without its surfaces [m²·K/W].
    height_m, wall_u
        Height of the deck above ground [m] and transmittance of the walls of the space [W/(m²·K)].
    vent_m2_per_m
        Ventilation openings per metre of exposed perimeter [m²/m].

    Examples
    --------
    Approved Document L, Appendix C, table C4, perimeter over area 0.5, openings 0.0015 m²/m: 0.66.

    >>> round(suspended_u(4.0, 0.615, 1.5), 2)
    0.66
    """
    if dimension_m == inf:
        return 0.0
    spread = pi * dimension_m
    u_ground = 2 * soil_lambda / (spread + ground_thickness_m) * log(spread / ground_thickness_m + 1)
    u_space = 2 * height_m * wall_u / dimension_m + 1450 * vent_m2_per_m * wind_m_per_s * wind_shield / dimension_m
    return 1 / (2 * R_SI_FLOOR + floor_r + 1 / (u_ground + u_space))


def basement_floor_u(dimension_m: float, thickness_m: float, soil_lambda: float, depth_m: float) -> float:
    """Return U of the floor of a heated basement [W/(m²·K)] (ISO 13370:2007, 9.3.2).

    The slab formula with half the depth added to its equivalent thickness; at depth 0 it is the slab.

    >>> round(basement_floor_u(2.4, 0.615, 1.5, 2.0), 4)
    0.5685
    """
    deep = thickness_m + depth_m / 2
    if dimension_m == inf:
        return 0.0
    if deep < dimension_m:
        spread = pi * dimension_m
        return 2 * soil_lambda / (spread + deep) * log(spread / deep + 1)
    return soil_lambda / (0.457 * dimension_m + deep)


def basement_wall_u(thickness_m: float, wall_r: float, soil_lambda: float, depth_m: float) -> float:
    """Return U of the wall of a heated basement below ground [W/(m²·K)] (ISO 13370:2007, 9.3.3).

    Parameters
    ----------
    thickness_m
        Equivalent thickness of the basement floor [m].
    wall_r
        Resistance of the wall without surfaces [m²·K/W].
    depth_m
        Depth of the floor below ground [m], above 0.

    Examples
    --------
    >>> round(basement_wall_u(0.615, 0.5, 1.5, 2.0), 4)
    0.5845
    """
    wall_thickness = soil_lambda * (R_SI_WALL + wall_r + R_SE)
    floor_thickness = min(thickness_m, wall_thickness)
    corner = 1 + 0.5 * floor_thickness / (floor_thickness + depth_m)
    return 2 * soil_lambda / (pi * depth_m) * corner * log1p(depth_m / wall_thickness)


def equivalent_u_en12831(dimension_m: float, u: float, depth_m: float = 0.0) -> float:
    """Return the equivalent U of a floor by the fitted formula of EN 12831-1:2017, 6.3.2.5 [W/(m²·K)].

    Made for soil of 2.0 W/(m·K), so on clay (1.5) it says more than ISO 13370. Kept to compare; the design uses
    ISO 13370 with the soil that the survey names.

    Parameters
    ----------
    dimension_m
        Characteristic dimension B' [m].
    u
        Transmittance of the construction alone, its bridges added [W/(m²·K)].
    depth_m
        Depth of the floor below ground [m].

    Examples
    --------
    >>> round(equivalent_u_en12831(2.4, 1 / 0.21), 4)
    1.0666
    """
    width_term: float = (10.76 + dimension_m) ** 0.5532
    depth_term: float = (9.773 + depth_m) ** 0.6027
    construction_term: float = (0.0265 + u) ** -0.9296
    return 0.9671 / (width_term + depth_term + construction_term - 7.455) - 0.0203
