"""How far the inputs' own limits move the result.

Each input whose provenance has a ``low`` or ``high`` (95 % limits, in its own unit) is put at that limit, alone, and
the rooms it touches are worked out again. The shifts down and the shifts up are each combined by root-sum-square, as
for independent errors (JCGM 100:2008, 5.1, done numerically), so halves may differ. Inputs without limits move
nothing; ``narrowing`` lists them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import hypot
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from ingle.design.room import IN_USE_AIR_SHARE_RANGE, Known, Piece, Room, room
from ingle.design.spaces import TO_SPACE, space_id
from ingle.model.envelope import Element, UnheatedSpace
from ingle.model.house import House, Site, Zone
from ingle.model.numbers import changed, number
from ingle.model.provenance import Provenance

IN_USE_AIR = "air_changes_in_use_per_h"


class Input(Struct, frozen=True):
    """One uncertain input: where it is, and its limits; ``guess`` is its value where it is assumed."""

    key: str
    low: float | None
    high: float | None
    zone_id: str | None = None
    element: int | None = None
    element_name: str | None = None
    guess: float | None = None

    @property
    def place(self) -> tuple[str | None, int | None, str]:
        """What tells it from every other: zone, element and key."""
        return self.zone_id, self.element, self.key

    @property
    def cause(self) -> tuple[object, ...]:
        """What tells its error from that of every other input of the house.

        Of one figure assumed in several rooms with the same limits, such as the U of one kind of wall, the error is
        one: who is wrong about it in a room is wrong in all of them.
        """
        return self.place if self.guess is None else (self.key, self.guess, self.low, self.high)

    def name(self) -> str:
        """Return how the sheet calls it."""
        place = self.zone_id or "house"
        if self.element_name is not None:
            place = f"{place}, {self.element_name}"
        ends = ["" if end is None else f"{end:g}" for end in (self.low, self.high)]
        return f"{place}: {self.key} {'...'.join(ends)}"


class Shift(Struct, frozen=True):
    """How far one input's limits move a room's load [W]."""

    input: Input
    down: float
    up: float


@dataclass(slots=True)
class Band:
    """Shifts of one figure, combined as they come."""

    centre: float
    down: float = 0.0
    up: float = 0.0

    def add(self, moved: list[float]) -> tuple[float, float]:
        """Take in the figure at an input's limits; return how far these moved it down and up."""
        down = max(0.0, self.centre - min([self.centre, *moved]))
        up = max(0.0, max([self.centre, *moved]) - self.centre)
        self.down, self.up = hypot(self.down, down), hypot(self.up, up)
        return down, up

    @property
    def low(self) -> float:
        """Lower 95 % limit."""
        return self.centre - self.down

    @property
    def high(self) -> float:
        """Upper 95 % limit."""
        return self.centre + self.up


def _nothing_yet() -> defaultdict[tuple[object, ...], list[float]]:
    return defaultdict(lambda: [0.0, 0.0])


@dataclass(slots=True)
class Bands:
    """A room's two bands, heat loss at design [W] and coefficient in use [W/K], and what moves the first.

    ``out_w`` is by how much each cause of uncertainty moves what leaves the house from here, at its low and its high
    limit [W].
    """

    heat_loss_w: Band
    in_use_w_per_k: Band
    shifts: list[Shift] = field(default_factory=list)
    out_w: defaultdict[tuple[object, ...], list[float]] = field(default_factory=_nothing_yet)


def bands(around: dict[str, House], rooms: dict[str, Room]) -> dict[str, Bands]:
    """Return each room's bands.

    ``around`` has the house near each zone (see ``nearby``), ``rooms`` the rooms at the central values, by zone id.
    """
    return {zone_id: _bands(around[zone_id], each) for zone_id, each in rooms.items()}


def _bands(house: House, centre: Room) -> Bands:
    result = Bands(Band(centre.heat_loss_w), Band(centre.in_use_w_per_k))
    pieces = {piece.key: piece for piece in centre.pieces}
    for uncertain in _inputs(house, centre.zone):
        known = _known(uncertain, centre, pieces)
        again = [_again(house, uncertain, limit, centre.zone, known) for limit in (uncertain.low, uncertain.high)]
        for end, each in enumerate(again):
            result.out_w[uncertain.cause][end] += _out_w(centre, each)
        moved = [each for each in again if each is not None]
        down, up = result.heat_loss_w.add([each.heat_loss_w for each in moved])
        result.in_use_w_per_k.add([each.in_use_w_per_k for each in moved])
        if down or up:
            result.shifts.append(Shift(uncertain, down, up))
    return result


def _out_w(centre: Room, moved: Room | None) -> float:
    """Return by how much more heat leaves the house from a room than at the central values [W]."""
    if moved is None:
        return 0.0
    return moved.heat_loss_w - moved.links_w - (centre.heat_loss_w - centre.links_w)


def total_band(total_w: float, limits: Iterable[Bands]) -> Band:
    """Return the band of a house's total: rooms move together by what they share, and each alone by the rest."""
    together = _nothing_yet()
    for room_limits in limits:
        for cause, moves in room_limits.out_w.items():
            together[cause] = [sum(pair) for pair in zip(together[cause], moves, strict=True)]
    band = Band(total_w)
    for moves in together.values():
        band.add([total_w + move for move in moves])
    return band


def _inputs(house: House, of: Zone) -> Iterator[Input]:
    """Yield what can move a zone: the site's inputs, its own, those by which a joined zone touches it, its spaces'.

    What other rooms' pieces to a shared space are uncertain by moves this room by little, and is left out.
    """
    yield from _limits(house.site, house.site.provenance)
    for zone in house.zones:
        own = zone.id == of.id
        for each in _limits(zone, zone.provenance, zone_id=zone.id):
            if own or each.key == "design_c":
                yield each
        leading = [element for element in zone.elements if element.beyond == f"zone:{of.id}"]
        cut_out = {name for element in leading for name in element.openings}
        for place, element in enumerate(zone.elements):
            if own or element in leading or element.name in cut_out:
                yield from _limits(element, element.provenance, zone_id=zone.id, place=place)
        if own and zone.air_changes_in_use_per_h is None and not _has_limits(zone.provenance.get(IN_USE_AIR)):
            low, high = (zone.air_changes_per_h * part for part in IN_USE_AIR_SHARE_RANGE)
            yield Input(IN_USE_AIR, low, high, zone.id, guess=zone.air_changes_per_h)
    for space in house.spaces:
        holder = f"{TO_SPACE}{space.id}"
        yield from _limits(space, space.provenance, zone_id=holder)
        for place, element in enumerate(space.elements):
            yield from _limits(element, element.provenance, zone_id=holder, place=place)


def _limits(
    holder: Site | Zone | UnheatedSpace | Element,
    provenance: dict[str, Provenance],
    *,
    zone_id: str | None = None,
    place: int | None = None,
) -> Iterator[Input]:
    name = holder.name if isinstance(holder, Element) else None
    for key, origin in provenance.items():
        if _has_limits(origin) and (number(holder, key) is not None or key in holder.__struct_fields__):
            guess = number(holder, key) if origin.kind == "assumed" else None
            yield Input(key, origin.low, origin.high, zone_id, place, name, guess)


def _has_limits(origin: Provenance | None) -> bool:
    return origin is not None and (origin.low is not None or origin.high is not None)


def _known(uncertain: Input, centre: Room, pieces: Mapping[tuple[str, int], Piece]) -> Known | None:
    """Return what stays as it is of a room when an input moves: for one of its own, all but the piece that it is of.

    ``pieces`` are the room's by their key. An element that leads to an unheated space moves that too, and with it all
    that faces a space.
    """
    zone = centre.zone
    if uncertain.zone_id != zone.id or uncertain.key == "design_c":
        return None
    if uncertain.element is None:
        return Known(centre.spaces, pieces)
    element = zone.elements[uncertain.element]
    cut = [each for each in zone.elements if element.name in each.openings]
    if all(space_id(each) is None for each in (element, *cut)):
        return Known(centre.spaces, _but(cut, pieces))
    return Known(None, {key: piece for key, piece in _but(cut, pieces).items() if piece.there.kind != "space"})


def _but(cut: Sequence[Element], pieces: Mapping[tuple[str, int], Piece]) -> Mapping[tuple[str, int], Piece]:
    """Return pieces without those that an opening is taken off; the opening itself is another element once it moves."""
    if not cut:
        return pieces
    return {key: piece for key, piece in pieces.items() if all(piece.element is not each for each in cut)}


def _again(house: House, uncertain: Input, value: float | None, zone: Zone, known: Known | None) -> Room | None:
    """Return a zone's room with one input at a limit; None where it has no such limit."""
    if value is None:
        return None
    moved = _moved(house, uncertain, value)
    return next(room(moved, each, known) for each in moved.zones if each.id == zone.id)


def _moved(house: House, uncertain: Input, value: float) -> House:
    """Return the house with one input at another value."""
    if uncertain.zone_id is None:
        return replace(house, site=changed(house.site, uncertain.key, value))
    if uncertain.zone_id.startswith(TO_SPACE):
        there = uncertain.zone_id.removeprefix(TO_SPACE)
        spaces = (_changed(each, uncertain, value) if each.id == there else each for each in house.spaces)
        return replace(house, spaces=tuple(spaces))
    zones = (_changed(each, uncertain, value) if each.id == uncertain.zone_id else each for each in house.zones)
    return replace(house, zones=tuple(zones))


Holder = TypeVar("Holder", Zone, UnheatedSpace)


def _changed(holder: Holder, uncertain: Input, value: float) -> Holder:
    if uncertain.element is None:
        return changed(holder, uncertain.key, value)
    elements = list(holder.elements)
    elements[uncertain.element] = changed(elements[uncertain.element], uncertain.key, value)
    return replace(holder, elements=tuple(elements))
