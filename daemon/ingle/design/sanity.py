"""What in a room's survey is out of the ordinary, one sentence each; nothing here changes a number.

The ranges are wide: they are there to find a slip of the pen (a U in the wrong unit, a window larger than its wall,
an area for a length), not to hold opinions about a house.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from ingle.design.beyond import LEAST_DIFFERENCE_K
from ingle.design.room import Piece, Room, air_changes_in_use
from ingle.model.house import House, Zone
from ingle.physics.emitters import power_at_voltage

# Whole houses of Great Britain run from 1.4 (2010 and later) to 5.4 W/K per m² floor (terrace before 1919), that is
# 33-141 W/m² at 24 K (TABULA building table, EPISCOPE); rules of thumb from 54 to 135 W/m². One room may have more
# outside than its house; beyond these lines a slip is likelier than a room.
W_PER_M2_USUAL = (10.0, 200.0)
W_PER_M2K_USUAL = (0.4, 8.0)
# MacKay (2008), Table E.1: 0.5 to 3 air changes an hour; EN 12831-1:2017 Table B.12 starts at 0.25.
AIR_CHANGES_USUAL = (0.25, 3.0)
# As built in England and Wales (RdSAP 2012, tables S6, S9, S14, S15a), with room for what is better: W/(m²·K).
U_USUAL: dict[str, tuple[float, float]] = {
    "wall": (0.08, 3.0),
    "party": (0.08, 4.0),
    "roof": (0.07, 3.0),
    "floor": (0.07, 3.0),
    "ground-floor": (0.04, 2.0),
    "window": (0.5, 6.0),
    "rooflight": (0.5, 6.5),
    "door": (0.4, 6.0),
}
ROOM_HEIGHT_USUAL_M = (1.9, 6.0)
OUTDOOR_DESIGN_USUAL_C = (-40.0, 12.0)
GLAZED = frozenset({"window", "rooflight"})
SOLID = frozenset({"wall", "roof", "door"})


def warnings(house: House, room: Room) -> tuple[str, ...]:
    """Return a room's warnings, the gravest first."""
    rules: tuple[Callable[[House, Room], Iterator[str]], ...] = (
        _difference,
        _nothing_to_lose,
        _size,
        _areas,
        _transmittances,
        _air,
        _ground,
        _neighbours,
        _people,
        _heaters,
        _without_provenance,
    )
    found = [sentence for rule in rules for sentence in rule(house, room)]
    return tuple(dict.fromkeys(found))


def _out_of(value: float, usual: tuple[float, float]) -> str:
    """Return how a value stands to a range: "above", "below" or "" for within."""
    return "below" if value < usual[0] else "above" if value > usual[1] else ""


def _difference(house: House, room: Room) -> Iterator[str]:
    outdoor = house.site.outdoor_design_c
    if room.full_k < LEAST_DIFFERENCE_K:
        yield (
            f"The design temperature of {room.zone.design_c:g} °C is not above the {outdoor:g} °C outside, so there is "
            "no design heat loss; flows to other temperatures are left out."
        )
    if _out_of(outdoor, OUTDOOR_DESIGN_USUAL_C):
        yield f"An outdoor design temperature of {outdoor:g} °C is unusual."


def _nothing_to_lose(house: House, room: Room) -> Iterator[str]:
    del house
    if room.given_w_per_k is None and not any(not piece.link for piece in room.pieces):
        yield "No element leads out of the house, so only the air changes count; a survey would list walls and windows."
    elif room.heat_loss_w_per_k <= 0:
        yield "The neighbouring rooms give this one more than it loses; it needs no heat of its own at design."


def _size(house: House, room: Room) -> Iterator[str]:
    del house
    area = room.zone.floor_area_m2
    if room.full_k < LEAST_DIFFERENCE_K or room.heat_loss_w_per_k <= 0:
        return
    per_area = room.steady_w / area
    side = _out_of(per_area, W_PER_M2_USUAL)
    if side:
        low, high = W_PER_M2_USUAL
        yield (
            f"{per_area:.0f} W/m² without reheat is far {side} the usual {low:g} to {high:g} W/m² of a room; "
            "check areas and U-values."
        )
    per_kelvin = room.heat_loss_w_per_k / area
    side = _out_of(per_kelvin, W_PER_M2K_USUAL)
    if side:
        low, high = W_PER_M2K_USUAL
        yield f"{per_kelvin:.2f} W/K per m² floor is far {side} the usual {low:g} to {high:g}."
    height = room.zone.air_volume_m3 / area
    if _out_of(height, ROOM_HEIGHT_USUAL_M) and room.zone.use != "assembly":
        yield (
            f"A volume of {room.zone.air_volume_m3:g} m³ over {area:g} m² makes the room {height:.1f} m high; "
            "check volume_m3, height_m and floor_area_m2."
        )


def _areas(house: House, room: Room) -> Iterator[str]:
    del house
    own = [piece for piece in room.pieces if not piece.mirrored]
    for piece in own:
        if piece.area_m2 == 0:
            yield f"The openings of {piece.element.name} leave nothing of it."
    outside = [piece for piece in own if piece.there.kind == "outside"]
    glass = sum(piece.area_m2 for piece in outside if piece.element.kind in GLAZED)
    solid = sum(piece.area_m2 for piece in outside if piece.element.kind in SOLID)
    if glass > solid:
        yield f"There is more glass ({glass:g} m²) than wall and roof ({solid:g} m², net) to outside."
    floors = sum(piece.area_m2 for piece in own if piece.element.kind in {"floor", "ground-floor"})
    if floors > 1.2 * room.zone.floor_area_m2:
        yield f"The floor elements add up to {floors:g} m², more than floor_area_m2 = {room.zone.floor_area_m2:g}."


def _transmittances(house: House, room: Room) -> Iterator[str]:
    del house
    for piece in room.pieces:
        yield from piece.u.notes
        usual = U_USUAL[piece.element.kind]
        side = _out_of(piece.u.value, usual)
        if side and piece.u.value > 0:
            yield (
                f"U {piece.u.value:.2f} W/(m²·K) of {piece.element.name} is far {side} the usual {usual[0]:g} to "
                f"{usual[1]:g} of a {piece.element.kind}."
            )
        if piece.there.kind == "unknown":
            yield f"{piece.element.name} leads to a zone that is not there; counted as to outside."


def _air(house: House, room: Room) -> Iterator[str]:
    del house
    if room.given_w_per_k is not None:
        return
    zone = room.zone
    side = _out_of(zone.air_changes_per_h, AIR_CHANGES_USUAL)
    if side:
        low, high = AIR_CHANGES_USUAL
        yield f"{zone.air_changes_per_h:g} air changes an hour are {side} the usual {low:g} to {high:g}."
    if air_changes_in_use(zone) > zone.air_changes_per_h:
        yield (
            f"More air changes in use ({air_changes_in_use(zone):g}) than at design "
            f"({zone.air_changes_per_h:g}) are unusual."
        )


def _ground(house: House, room: Room) -> Iterator[str]:
    to_ground = [piece for piece in room.pieces if piece.there.kind == "ground"]
    if not to_ground:
        return
    site = house.site
    if site.method == "en12831" and site.outdoor_mean_c is None:
        yield "outdoor_mean_c is not given, so the ground counts at the full temperature difference."
    floor_with_walls = [each for each in to_ground if _counts_walls(each)]
    if floor_with_walls and any(piece.element.kind == "wall" for piece in to_ground):
        yield (
            f"{floor_with_walls[0].element.name} has wall_u and so counts the basement's walls, while walls to the "
            "ground are listed as well; one of them is too many."
        )


def _counts_walls(piece: Piece) -> bool:
    ground = piece.element.ground
    return (
        ground is not None
        and ground.floor == "basement"
        and ground.wall_u is not None
        and piece.element.kind in {"floor", "ground-floor"}
    )


def _neighbours(house: House, room: Room) -> Iterator[str]:
    surveyed = {piece.there.zone_id for piece in room.pieces if piece.link}
    named = [*room.zone.neighbours, *(zone.id for zone in house.zones if room.zone.id in zone.neighbours)]
    others = [other for zone_id in dict.fromkeys(named) if (other := house.zone(zone_id)) and zone_id not in surveyed]
    apart = [f"{other.id} ({other.design_c:g} °C)" for other in others if abs(other.design_c - room.zone.design_c) >= 2]
    if apart:
        yield f"Not surveyed, so not in the heat loss: what flows to or from {', '.join(apart)}."


def _people(house: House, room: Room) -> Iterator[str]:
    zone = room.zone
    occupied = house.level_c(zone, "occupied")
    coldest = min(occupied, zone.design_c)
    if zone.vulnerable and coldest < 18:
        yield f"{coldest:g} °C is below the 18 °C that the WHO calls safe, and someone vulnerable lives here."


def _heaters(house: House, room: Room) -> Iterator[str]:
    heaters = room.zone.heaters
    if not heaters:
        return
    voltage = house.site.voltage_v
    output = sum(
        power_at_voltage(each.rated_w, each.rated_v, voltage) if each.element == "resistive" else each.rated_w
        for each in heaters
    )
    if output < room.heat_loss_w:
        missing = room.heat_loss_w - output
        yield (
            f"The heaters give {output:.0f} W at {voltage:g} V, {missing:.0f} W less than the design load of "
            f"{room.heat_loss_w:.0f} W."
        )


def _without_provenance(house: House, room: Room) -> Iterator[str]:
    del house
    inputs = [*_zone_inputs(room), *(name for piece in room.pieces if (name := _element_input(piece)))]
    if inputs:
        yield f"Without provenance, so taken as assumed and without a range in the band: {', '.join(inputs)}."


def _zone_inputs(room: Room) -> Iterator[str]:
    zone: Zone = room.zone
    keys = ["given_w_per_k"] if room.given_w_per_k is not None else ["air_changes_per_h"]
    if room.given_w_per_k is None:
        keys += [key for key in ("bridges_percent", "bridges_w_per_m2k") if getattr(zone, key) is not None]
    yield from (key for key in keys if key not in zone.provenance)


def _element_input(piece: Piece) -> str:
    """Return the name of an element's U if nobody says where it is from; a mirrored one is listed at its owner."""
    if piece.mirrored or "u_w_per_m2k" in piece.element.provenance:
        return ""
    return f"U of {piece.element.name}"
