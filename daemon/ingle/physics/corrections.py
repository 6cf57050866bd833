"""What is added to a U-value for gaps in insulation and for fixings through it (ISO 6946:2007, Annex D).

Layers are computed as if insulation lay without a gap and nothing went through it. Two corrections ΔU put that right;
both scale with the square of the share that the layer has in the element's resistance, since a leak in a layer that
does little does little harm. If all of them together come to less than 3 % of the U-value, none need be made.

The formulas are quoted from memory of the 2007 edition; the 2017 edition has them in Annex F. Not covered: rain on
insulation that lies above the membrane of a roof, and metal profiles, which need a numerical method.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

# ΔU'' by level [W/(m²·K)] (ISO 6946:2007, Table D.1): 0 no gaps that matter, or joints covered by a second layer;
# 1 gaps that go through, without air moving between the two faces; 2 gaps with air moving round the insulation.
GAP_LEVELS: Final[dict[int, float]] = {0: 0.0, 1: 0.01, 2: 0.04}
# α of a fixing that goes through the whole insulation [-] (ISO 6946:2007, D.3.2).
FIXING_ALPHA: Final = 0.8
# Below this conductivity a fixing (plastic, timber) needs no correction [W/(m·K)] (ISO 6946:2007, D.3.2).
FIXING_LEAST_LAMBDA: Final = 1.0
# Corrections below this share of U are left out (ISO 6946:2007, 7).
LEAST_SHARE: Final = 0.03


def gap_correction(level: int, r_layer: float, r_total: float) -> float:
    """Return the correction for air gaps in a layer of insulation [W/(m²·K)]: ΔUg = ΔU'' (R1/RT)².

    Parameters
    ----------
    level
        0, 1 or 2, as in ``GAP_LEVELS``.
    r_layer, r_total
        Resistance of the layer, and of the whole element without its bridges [m²·K/W].

    Raises
    ------
    ValueError
        For a level that there is not, or resistances that cannot be.

    Examples
    --------
    A layer of half the resistance at level 2: 0.04 x 0.25.

    >>> gap_correction(2, 1.0, 2.0)
    0.01
    """
    if level not in GAP_LEVELS:
        raise ValueError(f"a gap level of {level} is not known; the levels are 0, 1 and 2")
    return GAP_LEVELS[level] * _squared_share(r_layer, r_total)


def fixing_correction(
    conductivity: float,
    area_mm2: float,
    per_m2: float,
    thickness_mm: float,
    r_layer: float,
    r_total: float,
    *,
    length_mm: float | None = None,
) -> float:
    """Return the correction for fixings through a layer of insulation [W/(m²·K)]: ΔUf = α λ A n/d (R1/RT)².

    Parameters
    ----------
    conductivity
        Of the fixing, λ [W/(m·K)]: 17 stainless, 50 mild steel (common practice). Below 1 there is no correction.
    area_mm2
        Cross-section of one fixing, A [mm²].
    per_m2
        Fixings per square metre, n.
    thickness_mm
        Thickness of the layer, d [mm].
    r_layer, r_total
        As in ``gap_correction``.
    length_mm
        How much of the layer the fixing goes through, where its head is sunk [mm]; None is all of it.

    Raises
    ------
    ValueError
        For what cannot be: a thickness that is not above 0, a negative number, a fixing longer than the layer is thick.

    Examples
    --------
    Stainless ties of 12.5 mm², 2.5 to the m², through 50 mm that are 55 % of the resistance:
    0.8 x 17 x 12.5e-6 x 2.5/0.05 x (1.4286/2.6)²

    >>> round(fixing_correction(17, 12.5, 2.5, 50, 1.4286, 2.6), 5)
    0.00257
    """
    length = thickness_mm if length_mm is None else length_mm
    if not thickness_mm > 0 or not 0 < length <= thickness_mm:
        raise ValueError(
            f"fixings of {length:g} mm in a layer of {thickness_mm:g} mm are not possible; "
            "both are above 0 and the fixing is no longer than the layer is thick"
        )
    if not min(conductivity, area_mm2, per_m2) >= 0:
        raise ValueError("a fixing's conductivity, area and number per m² are at least 0")
    if conductivity < FIXING_LEAST_LAMBDA:
        return 0.0
    alpha = FIXING_ALPHA * length / thickness_mm
    through = alpha * conductivity * area_mm2 * 1e-6 * per_m2 / (thickness_mm / 1000)
    return through * _squared_share(r_layer, r_total)


def total_correction(u: float, corrections: Sequence[float]) -> float:
    """Return what the corrections come to [W/(m²·K)]: their sum, or 0 if that is less than 3 % of U.

    Examples
    --------
    0.006 is less than 3 % of 0.38 (0.0114), but not of 0.15 (0.0045):

    >>> total_correction(0.38, [0.003, 0.003]), total_correction(0.15, [0.003, 0.003])
    (0.0, 0.006)
    """
    total = sum(corrections)
    return total if total >= LEAST_SHARE * u else 0.0


def _squared_share(r_layer: float, r_total: float) -> float:
    if not 0 <= r_layer <= r_total or not r_total > 0:
        raise ValueError(f"a layer of {r_layer:g} m²·K/W is not a part of {r_total:g} m²·K/W")
    return (r_layer / r_total) ** 2
