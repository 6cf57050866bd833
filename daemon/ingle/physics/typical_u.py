"""Typical U-values by element, construction and year, for what nobody can see or measure.

The values are those of RdSAP 2012 (v9.94, 20 September 2019) for England and Wales, tables S6 (walls), S9 and S10
(roofs), S12 (floors over outdoor air), S13 (thermal bridges) and S15a (doors): conventions of a national method, not
measurements. Windows are in ``glazing``, floors on the ground in ``ground``.

Each value comes with the range in which 19 of 20 such pieces are thought to lie. The factors are our judgement, after
what is known of measured walls (common practice, from memory): uninsulated solid and cavity walls lose less than the
table says, often by a quarter (later editions of RdSAP take 1.7 for a solid brick wall, not 2.1); filled cavities and
other insulation lose more than it says, as gaps and wet patches are common. A survey that knows better says so with
its own U-value or its own limits.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final, Literal, get_args

from ingle.physics.typical import LETTERS, Typical, age_band, spread

Wall = Literal["granite", "sandstone", "solid-brick", "cob", "cavity", "filled-cavity", "timber-frame", "system-built"]
Roof = Literal["loft", "rafters", "flat", "thatch"]

_EDITION: Final = "RdSAP 2012 v9.94"
_RANGE: Final = "range: common practice"


def _by_band(*values: float) -> dict[str, float]:
    return dict(zip(LETTERS, values, strict=True))


# As built, bands A to L [W/(m²·K)]. Table S6, England and Wales.
_LATER = (1.0, 0.6, 0.6, 0.45, 0.35, 0.3, 0.28)  # F to L, by the building rules whatever the wall is of
WALLS: Final[dict[str, dict[str, float]]] = {
    "solid-brick": _by_band(2.1, 2.1, 2.1, 2.1, 1.7, *_LATER),
    "cob": _by_band(0.8, 0.8, 0.8, 0.8, 0.8, 0.8, *_LATER[1:]),
    "cavity": _by_band(2.1, 1.6, 1.6, 1.6, 1.6, *_LATER),
    "filled-cavity": _by_band(0.5, 0.5, 0.5, 0.5, 0.5, 0.4, 0.35, 0.35, 0.45, 0.35, 0.3, 0.28),
    "timber-frame": _by_band(2.5, 1.9, 1.9, 1.0, 0.8, 0.45, 0.4, 0.4, 0.4, 0.35, 0.3, 0.28),
    "system-built": _by_band(2.0, 2.0, 2.0, 2.0, 1.7, *_LATER),
}
# Stone up to 1975 by its thickness: U at no thickness, less 0.002 for each mm (RdSAP 2012, S5.1.1, from memory); from
# 1967 at most 1.7. Thickness where it is not known: 500 mm, 450 mm from 1967 (table S3, England and Wales).
STONES: Final = {"granite": 3.3, "sandstone": 3.0}
STONE_SLOPE: Final = 0.002
STONE_MM: Final = {"A": 500.0, "B": 500.0, "C": 500.0, "D": 500.0, "E": 450.0}
STONE_MOST_E: Final = 1.7
STONE_LATER: Final = dict(zip(LETTERS[5:], _LATER, strict=True))

# Insulation that was put on a wall since, inside or outside [W/(m·K)]. It gives back the insulated rows of table S6
# within 0.04 W/(m²·K).
ADDED_LAMBDA: Final = 0.04

# Insulation [mm] and U. Table S9: between joists under slates or tiles; under thatch.
LOFT: Final[tuple[tuple[float, float], ...]] = (
    (0, 2.3),
    (12, 1.5),
    (25, 1.0),
    (50, 0.68),
    (75, 0.50),
    (100, 0.40),
    (150, 0.30),
    (200, 0.21),
    (250, 0.17),
    (270, 0.16),
    (300, 0.14),
    (350, 0.12),
    (400, 0.11),
)
THATCH: Final[tuple[tuple[float, float], ...]] = (
    (0, 0.35),
    (12, 0.32),
    (25, 0.30),
    (50, 0.25),
    (75, 0.22),
    (100, 0.20),
    (150, 0.17),
    (200, 0.14),
    (250, 0.12),
    (300, 0.11),
    (350, 0.10),
    (400, 0.09),
)
# As built, where the insulation is not known. Table S10, England and Wales.
ROOFS: Final[dict[str, dict[str, float]]] = {
    "loft": _by_band(2.3, 2.3, 2.3, 2.3, 1.5, 0.68, 0.4, 0.3, 0.26, 0.16, 0.16, 0.16),
    "rafters": _by_band(2.3, 2.3, 2.3, 2.3, 1.5, 0.68, 0.4, 0.35, 0.35, 0.2, 0.2, 0.18),
    "flat": _by_band(2.3, 2.3, 2.3, 2.3, 1.5, 0.68, 0.4, 0.35, 0.35, 0.25, 0.25, 0.18),
    "thatch": _by_band(*[0.35] * 9, 0.3, 0.25, 0.18),
}
# Floors over outdoor air or an unheated space. Table S12: as built, and by insulation [mm].
EXPOSED_FLOORS: Final = _by_band(*[1.2] * 7, 0.51, 0.51, 0.25, 0.22, 0.22)
EXPOSED_FLOOR_INSULATED: Final[tuple[tuple[float, float], ...]] = ((0, 1.2), (50, 0.5), (100, 0.3), (150, 0.22))
# Doors to outside. Table S15a, England and Wales.
DOORS: Final = _by_band(*[3.0] * 10, 2.0, 1.8)
# y: thermal bridges for each m² of exposed area [W/(m²·K)]. Table S13.
BRIDGES: Final = _by_band(*[0.15] * 9, 0.11, 0.08, 0.08)

# Ranges as factors of the value; our judgement, as the head of this file tells.
_BARE_WALL, _BARE_CAVITY, _FILLED, _INSULATED = (0.6, 1.2), (0.65, 1.25), (0.8, 1.6), (0.8, 1.4)
_BARE_ROOF, _SEEN_ROOF, _FLOOR, _DOOR, _BRIDGES = (0.8, 1.2), (0.85, 1.5), (0.7, 1.3), (0.7, 1.2), (0.5, 1.5)
# Above this a wall or roof of the tables holds no insulation [W/(m²·K)].
_BARE_U: Final = 1.2
# The best that an old loft may hold by now where nobody looked: 300 mm (table S9).
_TOPPED_UP_U: Final = 0.14


def wall_u(construction: str, built: int, *, insulation_mm: float = 0.0, thickness_mm: float | None = None) -> Typical:
    """Return the typical U of an outside wall [W/(m²·K)].

    Parameters
    ----------
    construction
        One of ``Wall``.
    built
        Year in which the wall was built.
    insulation_mm
        Insulation put on it since, inside or outside [mm]; added as its thickness over 0.04 W/(m·K).
    thickness_mm
        Of a stone wall built before 1976 [mm].

    Raises
    ------
    ValueError
        For a construction that the table has not, or a negative insulation or thickness.

    Examples
    --------
    >>> wall_u("solid-brick", 1890).value, wall_u("cavity", 1935).value, wall_u("filled-cavity", 1935).value
    (2.1, 1.6, 0.5)

    50 mm on a solid wall: 1/(1/2.1 + 0.05/0.04)

    >>> round(wall_u("solid-brick", 1890, insulation_mm=50).value, 3)
    0.579

    Granite of 600 mm: 3.3 - 0.002 x 600

    >>> round(wall_u("granite", 1850, thickness_mm=600).value, 3)
    2.1
    """
    band = age_band(built)
    as_built = _stone_u(construction, band, thickness_mm) if construction in STONES else _wall(construction)[band]
    added = _insulated(insulation_mm)
    value = 1 / (1 / as_built + insulation_mm / 1000 / ADDED_LAMBDA) if added else as_built
    table = "S6 and S5.1.1 (from memory)" if construction in STONES else "table S6"
    return spread(value, _wall_range(construction, as_built, added=added), f"{_EDITION} {table}; {_RANGE}")


def _wall(construction: str) -> dict[str, float]:
    if construction not in WALLS:
        raise ValueError(f"no wall is called {construction}; known are {', '.join(get_args(Wall))}")
    return WALLS[construction]


def _stone_u(construction: str, band: str, thickness_mm: float | None) -> float:
    if band in STONE_LATER:
        return STONE_LATER[band]
    thickness = STONE_MM[band] if thickness_mm is None else thickness_mm
    if not 0 < thickness <= 1200:
        raise ValueError(f"a stone wall of {thickness:g} mm is not possible; it is above 0 and at most 1200 mm thick")
    by_thickness = STONES[construction] - STONE_SLOPE * thickness
    return min(by_thickness, STONE_MOST_E) if band == "E" else by_thickness


def _wall_range(construction: str, as_built: float, *, added: bool) -> tuple[float, float]:
    if construction == "filled-cavity":
        return _FILLED
    if added or as_built <= _BARE_U:
        return _INSULATED
    return _BARE_CAVITY if construction == "cavity" else _BARE_WALL


def roof_u(construction: str, *, built: int | None = None, insulation_mm: float | None = None) -> Typical:
    """Return the typical U of a roof [W/(m²·K)], by the insulation in it or, where nobody looked, by its year.

    Parameters
    ----------
    construction
        ``loft`` (insulation on the flat ceiling), ``rafters`` (in the slope under slates or tiles), ``flat`` (also a
        sloping ceiling) or ``thatch``.
    built
        Year in which it was built; needed unless the insulation is known.
    insulation_mm
        Insulation seen [mm]; between rows of the table its resistance is interpolated. Rafters and flat roofs take
        the same row as lofts, but never lose more than as built.

    Raises
    ------
    ValueError
        For a roof that the table has not, a negative insulation, or neither year nor insulation.

    Examples
    --------
    >>> roof_u("loft", insulation_mm=100).value, roof_u("loft", built=1935).value, roof_u("flat", built=2010).value
    (0.4, 2.3, 0.25)

    125 mm lie half way between 1/0.40 and 1/0.30 m²·K/W:

    >>> round(roof_u("loft", insulation_mm=125).value, 3)
    0.343
    """
    if construction not in ROOFS:
        raise ValueError(f"no roof is called {construction}; known are {', '.join(get_args(Roof))}")
    as_built = None if built is None else ROOFS[construction][age_band(built)]
    if insulation_mm is not None:
        _insulated(insulation_mm)
        seen = _between(THATCH if construction == "thatch" else LOFT, insulation_mm)
        if construction in {"rafters", "flat"} and as_built is not None:
            seen = min(seen, as_built)
        return spread(seen, _roof_range(seen), f"{_EDITION} table S9; {_RANGE}")
    if as_built is None:
        raise ValueError("a roof is typical of its insulation or of its year; one of them is needed")
    guess = spread(as_built, _roof_range(as_built), f"{_EDITION} table S10; {_RANGE}")
    return guess._replace(low=min(guess.low, _TOPPED_UP_U)) if construction == "loft" else guess


def _roof_range(u: float) -> tuple[float, float]:
    return _BARE_ROOF if u > _BARE_U else _SEEN_ROOF


def exposed_floor_u(built: int, *, insulation_mm: float | None = None) -> Typical:
    """Return the typical U of a floor over outdoor air or an unheated space [W/(m²·K)], such as over a passage.

    Examples
    --------
    >>> exposed_floor_u(1935).value, exposed_floor_u(1935, insulation_mm=100).value, exposed_floor_u(2008).value
    (1.2, 0.3, 0.22)
    """
    value = EXPOSED_FLOORS[age_band(built)]
    if insulation_mm is not None and _insulated(insulation_mm):
        value = min(value, _between(EXPOSED_FLOOR_INSULATED, insulation_mm))
    return spread(value, _FLOOR, f"{_EDITION} table S12; {_RANGE}")


def door_u(built: int) -> Typical:
    """Return the typical U of a door to outside [W/(m²·K)]; one with more glass than not is a window.

    Examples
    --------
    >>> door_u(1935).value, door_u(2008).value, door_u(2015).value
    (3.0, 2.0, 1.8)
    """
    return spread(DOORS[age_band(built)], _DOOR, f"{_EDITION} table S15a; {_RANGE}")


def bridges_y(built: int) -> Typical:
    """Return what thermal bridges typically add for each m² of exposed area [W/(m²·K)].

    Examples
    --------
    >>> bridges_y(1935).value, bridges_y(2005).value, bridges_y(2015).value
    (0.15, 0.11, 0.08)
    """
    return spread(BRIDGES[age_band(built)], _BRIDGES, f"{_EDITION} table S13; {_RANGE}")


def _insulated(insulation_mm: float) -> bool:
    if not insulation_mm >= 0:
        raise ValueError(f"insulation of {insulation_mm:g} mm is not possible; the least is 0")
    return insulation_mm > 0


def _between(table: Sequence[tuple[float, float]], thickness_mm: float) -> float:
    """Return U at a thickness: resistances between rows are interpolated, beyond the last row it is that row's."""
    for (thin, u_thin), (thick, u_thick) in pairwise(table):
        if thickness_mm <= thick:
            along = (thickness_mm - thin) / (thick - thin)
            return 1 / ((1 - along) / u_thin + along / u_thick)
    return table[-1][1]
