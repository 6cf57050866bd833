"""Numbers of a floor on the ground out of the ordinary: its edge, and what its ``ground`` table says besides."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ingle.design import usual
from ingle.design.floors import element_area_m2
from ingle.design.oddity import Change, Look, Oddity, outlier
from ingle.design.sanity_room import UPRIGHT
from ingle.design.slips import DECIMAL, LENGTH, THICKNESS, U_VALUE, Correction, likely
from ingle.design.usual import Usual
from ingle.model.envelope import Element, Ground
from ingle.model.numbers import changed

# The longest edge of a floor, in sides of a square one: all round, with some corners to spare; and the shortest to ask.
_LONGEST_EDGE, _SHORTEST_EDGE = 5.5, 0.2
# The edge of a room's floor is what stands on it outside; less than this part of that, and one of them is a slip.
_LEAST_OF_WALLS, _OF_WALLS = 0.35, (0.6, 1.7)
# A floor that covers less of the room says nothing of its walls.
_MOST_OF_ROOM = 0.5

_ROWS: Final[tuple[tuple[str, str, str, Usual, tuple[Correction, ...]], ...]] = (
    ("wall_mm", "walls around it of", "mm", usual.GROUND_WALL_MM, THICKNESS),
    ("soil_lambda", "soil of", "W/(m·K)", usual.SOIL_LAMBDA, DECIMAL),
    ("insulation_r", "insulation of", "m²·K/W", usual.FLOOR_R, DECIMAL),
    ("height_m", "a height over the ground of", "m", usual.UNDERFLOOR_M, LENGTH),
    ("vent_m2_per_m", "openings below it of", "m²/m", usual.UNDERFLOOR_VENT, DECIMAL),
    ("wall_u", "walls at the ground of U", "W/(m²·K)", usual.u_value("wall", None), U_VALUE),
    ("depth_m", "a depth in the ground of", "m", usual.BASEMENT_M, LENGTH),
    ("edge_insulation_r", "edge insulation of", "m²·K/W", usual.FLOOR_R, DECIMAL),
    ("edge_insulation_width_m", "edge insulation to a width of", "m", usual.EDGE_M, LENGTH),
    ("edge_insulation_depth_m", "edge insulation to a depth of", "m", usual.EDGE_M, LENGTH),
)


def ground(look: Look, *, walls_known: bool) -> Iterator[Oddity]:
    """Yield what is odd in the floors and walls on the ground that a room lists.

    ``walls_known`` is whether its walls can be weighed against, being not odd themselves.
    """
    walls_m = _walls_m(look) if walls_known else 0.0
    for piece in look.own:
        element, table = piece.element, piece.element.ground
        if table is None:
            continue
        if element.kind in {"floor", "ground-floor"}:
            yield from _edge(look, element, table, walls_m)
        yield from _numbers(look, element, table)


def _numbers(look: Look, element: Element, table: Ground) -> Iterator[Oddity]:
    for key, says, unit, fits, slips in _ROWS:
        value = getattr(table, key)
        if not value:
            continue
        name = f"ground.{key}"
        change, subject = _number_of(look, element, name), f"{element.name}: {says}"
        odd = outlier("ground", name, subject, value, fits, slips, change, unit=unit, element=element.name)
        if odd is not None:
            yield odd


def _edge(look: Look, element: Element, table: Ground, walls_m: float) -> Iterator[Oddity]:
    """Yield an exposed edge longer than the floor's can be, or far shorter than the walls that stand outside."""
    side, edge_m = element_area_m2(element) ** 0.5, table.perimeter_m
    if side * side <= _MOST_OF_ROOM * look.floor_m2 / look.storeys:
        walls_m = 0.0
    if edge_m > _LONGEST_EDGE * side:
        says = f"The edge of {element.name} is {edge_m:.4g} m, more than {side * side:.4g} m² of floor has"
        shortest = min(_LONGEST_EDGE * side, max(_SHORTEST_EDGE * side, _LEAST_OF_WALLS * walls_m))
        fits, limit = Usual(shortest, _LONGEST_EDGE * side, "the floor"), _LONGEST_EDGE * side
    elif edge_m < _LEAST_OF_WALLS * walls_m:
        says = f"The edge of {element.name} is {edge_m:.4g} m, while {walls_m:.1f} m of the room's walls stand outside"
        low, high = (part * walls_m for part in _OF_WALLS)
        fits, limit = Usual(low, high, "the walls"), walls_m
    else:
        return
    change = _number_of(look, element, "ground.perimeter_m")
    slip = likely(edge_m, fits, LENGTH)
    yield Oddity("perimeter", "ground.perimeter_m", says, edge_m, slip, limit, change, "m", element.name)


def _walls_m(look: Look) -> float:
    """Return how long the walls are that stand outside [m]: their area and that of what is in them, over the height."""
    outside = [each for each in look.own if each.element.kind in UPRIGHT and each.there.kind == "outside"]
    return sum(each.area_m2 for each in outside) / (look.height_m * look.storeys)


def _number_of(look: Look, element: Element, name: str) -> Change:
    return lambda value: look.element_is(element, changed(element, name, value))
