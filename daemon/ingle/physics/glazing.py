"""Typical U-values of windows by their glazing, frame and year, where nobody knows the product.

The values are RdSAP 2012 (v9.94), table S14, and hold for the whole window with its frame. They are a convention for
existing houses, so each comes with a range in which 19 of 20 windows of that kind are thought to lie. A value off the
window's own papers or spacer bar is always better.
"""

from __future__ import annotations

from typing import Final, Literal, NamedTuple, get_args

from ingle.physics.typical import Typical

Glazing = Literal["single-glazing", "double-glazing", "secondary-glazing", "triple-glazing"]
Frame = Literal["pvc", "wood", "metal"]

_SOURCE: Final = "RdSAP 2012 v9.94 table S14; range: common practice"
# From this year on double glazing has soft coatings, by the building rules of England and Wales (table S14).
COATED_FROM: Final = 2002


class _Pane(NamedTuple):
    """U of an upright window and of one in a roof, and the range of the first as factors."""

    upright: float
    in_roof: float
    factors: tuple[float, float]


# The range of single glazing reaches up to bare metal frames (5.7 in SAP 2012 table 6e, from memory) and down to small
# panes in thick wood; that of double glazing down to the next better kind and up to the next worse (common practice).
_SINGLE = _Pane(4.8, 5.1, (0.85, 1.2))
_COATED = _Pane(2.0, 2.2, (0.7, 1.3))
_SECONDARY = _Pane(2.4, 2.6, (0.8, 1.25))
_TRIPLE = _Pane(1.8, 2.0, (0.5, 1.25))
# Uncoated double glazing in plastic frames by its gap from this many mm on; in any other frame as the narrowest.
_UNCOATED: Final = (
    (16.0, _Pane(2.6, 2.8, (0.8, 1.2))),
    (12.0, _Pane(2.8, 3.0, (0.8, 1.2))),
    (0.0, _Pane(3.1, 3.3, (0.75, 1.25))),
)


def window_u(
    glazing: str,
    *,
    installed: int | None = None,
    gap_mm: float | None = None,
    frame: Frame | None = None,
    in_roof: bool = False,
) -> Typical:
    """Return the typical U of a window [W/(m²·K)].

    Parameters
    ----------
    glazing
        One of ``Glazing``.
    installed
        Year in which it was put in; needed for double glazing.
    gap_mm
        Between the panes of double glazing from before 2002 [mm]; not known counts as narrow.
    frame
        Of double glazing from before 2002; not known counts as not of plastic.
    in_roof
        Whether it lies in a roof: heat then passes the gap more easily.

    Raises
    ------
    ValueError
        For a glazing that the table has not, double glazing without its year, or a negative gap.

    Examples
    --------
    >>> window_u("single-glazing").value, window_u("single-glazing", in_roof=True).value
    (4.8, 5.1)
    >>> window_u("double-glazing", installed=1995, gap_mm=12, frame="pvc").value
    2.8
    >>> window_u("double-glazing", installed=2010).value
    2.0
    """
    pane = _pane(glazing, installed, gap_mm, frame)
    value = pane.in_roof if in_roof else pane.upright
    return Typical(value, value * pane.factors[0], value * pane.factors[1], _SOURCE)


def _pane(glazing: str, installed: int | None, gap_mm: float | None, frame: Frame | None) -> _Pane:
    if glazing in _ALWAYS:
        return _ALWAYS[glazing]
    if glazing != "double-glazing":
        raise ValueError(f"no glazing is called {glazing}; known are {', '.join(get_args(Glazing))}")
    if installed is None:
        raise ValueError("double glazing is typical of its year; the year in which it was put in is needed")
    if installed >= COATED_FROM:
        return _COATED
    gap = 0.0 if gap_mm is None or frame != "pvc" else gap_mm
    if not gap >= 0:
        raise ValueError(f"a gap of {gap_mm:g} mm is not possible; the least is 0")
    return next(pane for least, pane in _UNCOATED if gap >= least)


_ALWAYS: Final = {"single-glazing": _SINGLE, "secondary-glazing": _SECONDARY, "triple-glazing": _TRIPLE}
