"""Areas that do not fit the room they are said to enclose: walls, glass, roofs, floors.

A square room of floor A and height h has four sides of √A·h each; an oblong one of 3:1 has 4.6 such sides. No ordinary
room has more upright area to outside, and none that is joined to another has all of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ingle.design.floors import element_area_m2
from ingle.design.oddity import Look, Oddity
from ingle.design.room import Piece
from ingle.design.sanity_room import UPRIGHT
from ingle.design.slips import AREA, DECIMAL, Slip, likely
from ingle.design.usual import Usual
from ingle.model.design import FindingCode
from ingle.model.envelope import Element, ElementKind
from ingle.model.house import House

# In sides of a square room: all round with some corners to spare, with a neighbour on one side, and one plane of wall
# with its gable.
_ALL_ROUND, _WITH_NEIGHBOUR, _ONE_PLANE = 5.5, 4.0, 2.6
_LEAST_SIDE, _LARGE_WINDOW = 0.2, 0.5
# In floor areas: a roof at 60° is twice the floor below it; a tenth is where a lost decimal point leaves one that
# covers the room.
_ROOF, _FLOOR = 2.2, 1.25
_TENTH, _WHOLE = Usual(0.06, 0.135, "a tenth of the room"), Usual(0.6, 1.6, "one room")
# Windows in walls, as a part of the walls left.
_GLASS = Usual(0.03, 0.7, "windows in walls")
# Where a window takes this part of a wall, the gross area shows in the load.
_GROSS_GLASS = 0.4
_SAME = 1e-3
# Half metres of a wall beyond which none is measured.
_MOST_HALVES = 1e3 + 0.25

_GROUPS: tuple[tuple[FindingCode, str, frozenset[ElementKind], float], ...] = (
    ("roof-area", "roof", frozenset({"roof", "rooflight"}), _ROOF),
    ("floor-elements", "floor elements", frozenset({"floor", "ground-floor"}), _FLOOR),
)
_PANES: tuple[tuple[ElementKind, frozenset[ElementKind], str], ...] = (
    ("window", frozenset({"wall", "door"}), "wall"),
    ("rooflight", frozenset({"roof"}), "roof"),
)


def areas(look: Look) -> Iterator[Oddity]:
    """Yield what is odd in the areas; windows are not weighed against walls that are themselves odd."""
    walls = list(_walls(look))
    yield from walls or _glass(look)
    yield from _cover(look)
    yield from _gross(look)


def _outer(look: Look, kinds: frozenset[ElementKind]) -> list[Piece]:
    """Return the pieces of some kinds that lead out of the house, the largest first."""
    found = [piece for piece in look.own if piece.element.kind in kinds and not piece.link]
    return sorted(found, key=lambda piece: -piece.area_m2)


def _total(pieces: Sequence[Piece]) -> float:
    return sum(piece.area_m2 for piece in pieces)


def _area(look: Look, piece: Piece, code: FindingCode, says: str, fits: Usual) -> Oddity:
    """Return the oddity of an element's area that should be within ``fits``."""
    element, gross = piece.element, element_area_m2(piece.element)
    key = "width_m" if element.area_m2 is None else "area_m2"
    limit = min(max(gross, fits.low), fits.high)
    slip = likely(gross, fits, AREA)
    return Oddity(code, key, says, gross, slip, limit, look.area_of(element), f"m² of {element.name}", element.name)


def _walls(look: Look) -> Iterator[Oddity]:
    """Yield the wall or window that makes more outside than the room has sides."""
    upright, side = _outer(look, UPRIGHT), look.side_m2
    joined = bool(look.zone.neighbours) or any(piece.link for piece in look.room.pieces)
    most, total = (_WITH_NEIGHBOUR if joined else _ALL_ROUND) * side, _total(upright)
    if total > most:
        piece = upright[0]
        fits = Usual(_LEAST_SIDE * side, max(2 * _LEAST_SIDE * side, most - total + piece.area_m2), "the room")
        kinds = "walls, windows and doors" if len(upright) > 1 else piece.element.name
        says = f"{total:.4g} m² of {kinds} to outside is more than {look.size()} has"
        yield _area(look, piece, "wall-area", says, fits)
        return
    for piece in upright:
        if piece.element.faces_deg is not None and piece.area_m2 > _ONE_PLANE * side:
            says = f"{piece.area_m2:.4g} m² of {piece.element.name} is more than one side of {look.size()} has"
            fits = Usual(_LEAST_SIDE * side, _ONE_PLANE * side, "one side")
            yield _area(look, piece, "wall-area", says, fits)
            return


def _cover(look: Look) -> Iterator[Oddity]:
    """Yield roofs and floors that are far larger than the room, or just a tenth of it."""
    footprint = look.floor_m2
    fits = Usual(_WHOLE.low * footprint, _WHOLE.high * footprint, "the room")
    for code, word, kinds, most in _GROUPS:
        pieces = _outer(look, kinds)
        part = _total(pieces) / footprint
        if part > most:
            says = f"{_total(pieces):.4g} m² of {word} is far more than a floor_area_m2 of {footprint:.4g}"
            yield _area(look, pieces[0], code, says, fits)
        elif pieces and not _TENTH.side(part):
            says = f"{_total(pieces):.4g} m² of {word} is a tenth of a floor_area_m2 of {footprint:.4g}"
            yield _area(look, pieces[0], code, says, fits)


def _glass(look: Look) -> Iterator[Oddity]:
    """Yield the window that makes more glass than wall, or more rooflight than roof."""
    for kind, solids, word in _PANES:
        panes, walls = _outer(look, frozenset({kind})), _outer(look, solids)
        glass, solid = _total(panes), _total(walls)
        if panes and glass > solid:
            says = f"There is more glass ({glass:.4g} m²) than {word} ({solid:.4g} m², net) to outside"
            yield _small_wall(look, says, panes, walls) or _large_pane(look, says, panes[0], solid)


def _small_wall(look: Look, says: str, panes: Sequence[Piece], walls: Sequence[Piece]) -> Oddity | None:
    """Return the oddity at the wall, where ten times of it fits the room and the window is of a window's size."""
    if not walls or panes[0].area_m2 > _LARGE_WINDOW * look.side_m2:
        return None
    wall, glass = walls[0], _total(panes)
    least = glass / _GLASS.high - _total(walls) + wall.area_m2
    slip = likely(wall.area_m2, Usual(max(least, _SAME), max(_WITH_NEIGHBOUR * look.side_m2, least), "it"), DECIMAL)
    if slip is None:
        return None
    element = wall.element
    unit = f"m² of {element.name}"
    return Oddity(
        "more-glass-than-wall",
        "area_m2",
        says,
        wall.area_m2,
        slip,
        glass,
        look.area_of(element),
        unit,
        element.name,
    )


def _large_pane(look: Look, says: str, pane: Piece, solid: float) -> Oddity:
    fits = Usual(_GLASS.low * solid, max(_GLASS.high * solid, _SAME), "walls")
    return _area(look, pane, "more-glass-than-wall", says, fits)


def _gross(look: Look) -> Iterator[Oddity]:
    """Yield a wall whose windows were not taken off.

    Width times height is gross by its nature, so windows that no wall lists among its openings count twice, unless
    they may stand in a wall whose area is given, which is net by the house file. One such wall alone looks gross all
    the same where it is exactly a length in half metres times the room's height, and much of it is glass.
    """
    listed = {name for piece in look.own for name in piece.element.openings}
    loose = [each for each in _outer(look, frozenset({"window", "door"})) if each.element.name not in listed]
    walls = _outer(look, frozenset({"wall"}))
    for wall in walls:
        gross = element_area_m2(wall.element)
        off = sum(pane.area_m2 for pane in loose if _same_side(wall, pane))
        rivals = [each for each in walls if each is not wall and any(_same_side(each, pane) for pane in loose)]
        how = "" if wall.element.openings or not 0 < off < gross else _why_gross(look, wall.element, off, rivals)
        if how:
            yield _net(look, wall.element, gross, off, how)
            return


def _why_gross(look: Look, element: Element, off: float, rivals: Sequence[Piece]) -> str:
    if element.area_m2 is None:
        may_be_there = any(each.element.area_m2 is not None or each.element.openings for each in rivals)
        return "" if may_be_there else "is width by height without openings"
    if not rivals and off > _GROSS_GLASS * element.area_m2 and looks_gross(element.area_m2, look.height_m):
        return f"is exactly {element.area_m2 / look.height_m:.3g} m by the room's height"
    return ""


def _net(look: Look, element: Element, gross: float, off: float, how: str) -> Oddity:
    says = f"The {gross:.4g} m² of {element.name} {how}, so {off:.4g} m² of window and door may count twice"
    key = "openings" if element.area_m2 is None else "area_m2"
    slip = Slip("the gross area for the net one", gross - off)

    def change(area: float) -> House:
        return look.element_as(element, area_m2=area, width_m=None, height_m=None)

    return Oddity("gross-area", key, says, gross, slip, gross - off, change, "m²", element.name)


def _same_side(wall: Piece, pane: Piece) -> bool:
    sides = {wall.element.faces_deg, pane.element.faces_deg}
    return wall.there.kind == pane.there.kind and (None in sides or len(sides) == 1)


def looks_gross(area_m2: float, height_m: float) -> bool:
    """Return whether an area is a length in half metres times a height.

    >>> looks_gross(13.8, 2.3), looks_gross(12.0, 2.3), looks_gross(12.5, 2.5)
    (True, False, True)
    """
    halves = min(2 * area_m2 / height_m, _MOST_HALVES)
    return round(halves) > 0 and abs(halves - round(halves)) < _SAME * halves
