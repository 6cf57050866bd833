"""Floors and basement walls on the ground, from the survey's ``ground`` table to ISO 13370.

What is covered: slab (bare, insulated all over, insulated at the edge), suspended floor over a ventilated space,
and heated basement: its floor, and its walls below ground either as elements of their own (``kind = "wall"``) or,
where the floor states ``wall_u``, counted with the floor. What is not covered is said in a note, and the value then
errs to the high side.
"""

from __future__ import annotations

from math import isinf

from msgspec.structs import replace

from ingle.design.sheet import Figure
from ingle.model.envelope import Element, Ground, UnheatedSpace
from ingle.model.house import Zone
from ingle.physics.ground import (
    BARE_DECK_R,
    R_SE,
    R_SI_WALL,
    UNDERFLOOR_HEIGHT_M,
    UNDERFLOOR_VENT_M2_PER_M,
    UNDERFLOOR_WALL_U,
    WIND_M_PER_S,
    WIND_SHIELD,
    basement_floor_u,
    basement_wall_u,
    characteristic_dimension,
    equivalent_thickness,
    slab_u,
    slab_u_with_edge,
    suspended_u,
)

UNIT = "W/(m²·K)"
_EDGE_KEYS = ("edge_insulation_r", "edge_insulation_width_m", "edge_insulation_depth_m")
# Keys of the table that a kind of floor has no use for.
_IDLE: dict[str, tuple[str, ...]] = {
    "slab": ("height_m", "vent_m2_per_m", "wall_u", "depth_m"),
    "suspended": ("depth_m", *_EDGE_KEYS),
    "basement": ("height_m", "vent_m2_per_m", *_EDGE_KEYS),
}
# Below these no soil, wall or floor is; they keep the arithmetic finite.
_LEAST_LAMBDA, _LEAST_WALL_M, _LEAST_DIMENSION_M, _MOST_R = 0.01, 0.001, 0.001, 1e6
# Conductivity of the edge insulation, to take off the soil that it displaces [W/(m·K)] (common practice).
_EDGE_LAMBDA = 0.035


def element_area_m2(element: Element) -> float:
    """Return an element's gross area [m²]."""
    if element.area_m2 is not None:
        return element.area_m2
    return (element.width_m or 0.0) * (element.height_m or 0.0)


def net_area_m2(holder: Zone | UnheatedSpace, element: Element) -> float:
    """Return an element's area with its openings taken off, never below 0 [m²]."""
    gross = element_area_m2(element)
    if element.area_m2 is not None:
        return gross
    off = sum(element_area_m2(other) for other in holder.elements if other.name in element.openings)
    return max(0.0, gross - off)


def floor_u(element: Element, ground: Ground) -> Figure:
    """Return the U [W/(m²·K)] of an element with a ``ground`` table, its notes telling what was not covered."""
    ground = replace(
        ground,
        soil_lambda=max(ground.soil_lambda, _LEAST_LAMBDA),
        wall_mm=max(ground.wall_mm, 1000 * _LEAST_WALL_M),
        depth_m=None if ground.depth_m is None else max(ground.depth_m, _LEAST_DIMENSION_M),
    )
    if element.kind not in {"floor", "ground-floor"}:
        return _upright(element, ground)
    notes = _notes(element, ground)
    if ground.floor == "suspended":
        return _suspended(element, ground, notes)
    if ground.floor == "basement" and ground.depth_m is not None:
        return _basement(element, ground, ground.depth_m, notes)
    if ground.floor == "basement":
        notes.append(f"{element.name}: a basement needs depth_m; counted as a slab at ground level.")
    return _slab(element, ground, notes)


def _notes(element: Element, ground: Ground) -> list[str]:
    notes = []
    idle = [key for key in _IDLE[ground.floor] if getattr(ground, key) is not None]
    if idle:
        notes.append(f"{element.name}: {', '.join(idle)} mean nothing for a {ground.floor} floor and are not used.")
    if ground.perimeter_m == 0:
        notes.append(f"{element.name}: without exposed perimeter it loses nothing to the ground (ISO 13370).")
    return notes


def _base(element: Element, ground: Ground, floor_r: float) -> tuple[float, float, dict[str, float | str]]:
    """Return B' [m], the equivalent thickness [m] and the inputs that all floors share."""
    area = element_area_m2(element)
    dimension = max(characteristic_dimension(area, ground.perimeter_m), _LEAST_DIMENSION_M)
    thickness = equivalent_thickness(ground.wall_mm / 1000, ground.soil_lambda, floor_r)
    inputs: dict[str, float | str] = {
        "floor": ground.floor,
        "area_m2": area,
        "perimeter_m": ground.perimeter_m,
        "wall_m": ground.wall_mm / 1000,
        "soil_lambda": ground.soil_lambda,
        "r_f": floor_r,
        "b_m": "without end" if isinf(dimension) else dimension,
        "d_t_m": thickness,
    }
    return dimension, thickness, inputs


def _slab(element: Element, ground: Ground, notes: list[str]) -> Figure:
    dimension, thickness, inputs = _base(element, ground, ground.insulation_r)
    formula = "2λ/(πB'+d) ln(πB'/d+1)" if thickness < dimension else "λ/(0.457B'+d)"
    flat, upright, edge_r = ground.edge_insulation_width_m, ground.edge_insulation_depth_m, ground.edge_insulation_r
    # Upright insulation turns the flow aside on both of its faces, so that it is worth twice its depth laid flat.
    width = 2 * upright if upright is not None else flat
    if width is None or edge_r is None:
        u = slab_u(dimension, thickness, ground.soil_lambda)
        return Figure(u, UNIT, inputs, formula, "ISO 13370:2007, 9.1", tuple(notes))
    extra = edge_r * max(0.0, 1 - _EDGE_LAMBDA / ground.soil_lambda)
    u = slab_u_with_edge(dimension, thickness, ground.soil_lambda, width_m=width, extra_r=extra)
    inputs |= {"edge_width_m" if upright is None else "edge_2_depth_m": width, "edge_r_added": extra}
    return Figure(u, UNIT, inputs, f"{formula} + 2ψ_edge/B'", "ISO 13370:2007, 9.1 and Annex B", tuple(notes))


def _suspended(element: Element, ground: Ground, notes: list[str]) -> Figure:
    deck_r = BARE_DECK_R + ground.insulation_r
    dimension, _, inputs = _base(element, ground, deck_r)
    bare = equivalent_thickness(ground.wall_mm / 1000, ground.soil_lambda)
    assumed = {
        "height_m": (ground.height_m, UNDERFLOOR_HEIGHT_M),
        "wall_u": (ground.wall_u, UNDERFLOOR_WALL_U),
        "vent_m2_per_m": (ground.vent_m2_per_m, UNDERFLOOR_VENT_M2_PER_M),
    }
    used = {key: default if given is None else given for key, (given, default) in assumed.items()}
    missing = [f"{key} {default:g}" for key, (given, default) in assumed.items() if given is None]
    if missing:
        notes.append(f"{element.name}: taken as assumed under the floor: {', '.join(missing)}.")
    u = suspended_u(
        dimension,
        bare,
        ground.soil_lambda,
        floor_r=deck_r,
        height_m=used["height_m"],
        wall_u=used["wall_u"],
        vent_m2_per_m=used["vent_m2_per_m"],
    )
    inputs |= {"d_t_m": bare, **used, "wind_m_per_s": WIND_M_PER_S, "wind_shield": WIND_SHIELD}
    return Figure(u, UNIT, inputs, "1/(2Rsi+Rf+1/(Ug+Ux))", "ISO 13370:2007, 9.2", tuple(notes))


def _basement(element: Element, ground: Ground, depth_m: float, notes: list[str]) -> Figure:
    dimension, thickness, inputs = _base(element, ground, ground.insulation_r)
    u = basement_floor_u(dimension, thickness, ground.soil_lambda, depth_m)
    inputs |= {"depth_m": depth_m, "u_floor": u}
    if ground.wall_u is None:
        notes.append(
            f"{element.name}: its walls below ground are not in it; give wall_u here, or list them as walls "
            'with beyond = "ground".'
        )
        return Figure(u, UNIT, inputs, "slab with d + z/2", "ISO 13370:2007, 9.3.2", tuple(notes))
    wall_r = _wall_r(ground.wall_u)
    u_wall = basement_wall_u(thickness, wall_r, ground.soil_lambda, depth_m)
    whole = u + depth_m * ground.perimeter_m * u_wall / max(element_area_m2(element), 1e-9)
    inputs |= {"u_wall": u_wall}
    return Figure(whole, UNIT, inputs, "U_floor + z·P·U_wall/A", "ISO 13370:2007, 9.3.4", tuple(notes))


def _wall_r(wall_u: float) -> float:
    """Return a wall's resistance without its surfaces [m²·K/W]."""
    return min(max(0.0, 1 / wall_u - R_SI_WALL - R_SE), _MOST_R)


def _upright(element: Element, ground: Ground) -> Figure:
    """Return the U of a wall against the soil; only a basement's wall is known to ISO 13370."""
    notes = []
    wall_r = 0.0 if ground.wall_u is None else _wall_r(ground.wall_u)
    if ground.wall_u is None:
        notes.append(f"{element.name}: wall_u is missing, so it counts as a bare wall without resistance of its own.")
    inputs: dict[str, float | str] = {"floor": ground.floor, "r_wall": wall_r, "soil_lambda": ground.soil_lambda}
    if ground.floor != "basement" or ground.depth_m is None:
        notes.append(
            f'{element.name}: a {element.kind} against the ground needs floor = "basement" and depth_m; '
            "counted as standing in outdoor air."
        )
        return Figure(1 / (R_SI_WALL + wall_r + R_SE), UNIT, inputs, "1/(Rsi+R+Rse)", "ISO 6946:2007", tuple(notes))
    thickness = equivalent_thickness(ground.wall_mm / 1000, ground.soil_lambda, ground.insulation_r)
    u = basement_wall_u(thickness, wall_r, ground.soil_lambda, ground.depth_m)
    inputs |= {"depth_m": ground.depth_m, "d_t_m": thickness}
    formula = "2λ/(πz) (1+0.5d/(d+z)) ln(z/d_w+1)"
    return Figure(u, UNIT, inputs, formula, "ISO 13370:2007, 9.3.3", tuple(notes))
