"""What in a survey is out of the ordinary, one sentence each; nothing here changes a number.

The ranges are wide: they are there to find a slip of the pen (a U in the wrong unit, a window larger than its wall, an
area for a volume), not to hold opinions about a house. Each finding has the likely slip and the figure without it. A
result is looked at last, and only where no input of the room has been found odd already: the cause is said, not also
its effect.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from ingle.design.air import too_little_air
from ingle.design.beyond import ground_rule
from ingle.design.height import is_high
from ingle.design.oddity import Look, Oddity, finding, sentence
from ingle.design.room import Piece, Room, air_changes_in_use, room
from ingle.design.sanity_air import air
from ingle.design.sanity_areas import areas
from ingle.design.sanity_fabric import Others, fabric, others
from ingle.design.sanity_ground import ground
from ingle.design.sanity_load import heaters, people, result
from ingle.design.sanity_room import floor_or_height, spans
from ingle.design.sanity_spaces import spaces
from ingle.design.sanity_warmth import inside, outdoors
from ingle.design.sheet import tidy
from ingle.model.design import Finding
from ingle.model.house import House
from ingle.physics.emitters import power_at_voltage


@dataclass(frozen=True, slots=True)
class Found:
    """What is odd in a house: of its site, and of each zone by id."""

    site: tuple[Finding, ...]
    zones: dict[str, tuple[Finding, ...]]


def look_over(house: House, around: dict[str, House], rooms: dict[str, Room], shown: dict[str, Room]) -> Found:
    """Return what is odd in a house.

    ``around`` has the house near each zone (see ``nearby``), ``rooms`` the rooms worked out, by zone id, and ``shown``
    those of them to look over.
    """
    site = tuple(_site_finding(rooms, odd) for odd in (*outdoors(house), *spaces(house)))
    known = others(house)
    zones = {
        zone_id: tuple(_of_zone(Look(around[zone_id], each), known, site_odd=bool(site)))
        for zone_id, each in shown.items()
    }
    return Found(site, zones)


def _of_zone(look: Look, known: Others, *, site_odd: bool) -> Iterator[Finding]:
    odd = [finding(look, each) for each in _oddities(look, known)]
    yield from odd
    if not odd and not site_odd:
        yield from result(look)
    yield from heaters(look)
    yield from people(look)


def _oddities(look: Look, known: Others) -> Iterator[Oddity]:
    """Yield a room's oddities; what is weighed by its size or its walls, not where those are odd themselves."""
    yield from inside(look)
    sizes = list(_sizes(look))
    yield from sizes
    if look.room.given_w_per_k is None:
        yield from fabric(look, known)
        yield from ground(look, walls_known=not sizes)
    yield from air(look)


def _sizes(look: Look) -> Iterator[Oddity]:
    size = floor_or_height(look)
    if size is not None:
        yield size
    elif look.room.given_w_per_k is None:
        wide = list(spans(look))
        yield from wide or areas(look)


def _site_finding(rooms: dict[str, Room], odd: Oddity) -> Finding:
    now = _total_w(rooms.values())
    other = odd.change(odd.meant)
    then = _total_w(room(other, zone) for zone in other.zones)
    return Finding(
        code=odd.code,
        zone=None,
        element=odd.element,
        key=odd.key,
        sentence=sentence(odd, now, then, "the house's total"),
        slip="" if odd.slip is None else odd.slip.words,
        entered=tidy(odd.entered),
        meant=tidy(odd.meant),
        figure="total_w",
        unit="W",
        now=tidy(now),
        then=tidy(then),
    )


def _total_w(rooms: Iterable[Room]) -> float:
    return sum(each.heat_loss_w - each.links_w for each in rooms)


def warnings(house: House, room: Room, findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Return a room's warnings: its findings, and what is left out, doubtful or short in it."""
    rules: tuple[Callable[[House, Room], Iterator[str]], ...] = (
        _nothing_to_lose,
        _notes,
        _air_in_use,
        _least_air,
        _height,
        _ground,
        _heaters,
    )
    found = [each.sentence for each in findings]
    found += [said for rule in rules for said in rule(house, room)]
    return tuple(dict.fromkeys(found))


def _nothing_to_lose(house: House, room: Room) -> Iterator[str]:
    del house
    if room.given_w_per_k is None and not any(not piece.link for piece in room.pieces):
        yield "No element leads out of the house, so only the air changes count; a survey would list walls and windows."
    elif room.heat_loss_w_per_k <= 0:
        yield "The neighbouring rooms give this one more than it loses; it needs no heat of its own at design."


def _notes(house: House, room: Room) -> Iterator[str]:
    del house
    for piece in room.pieces:
        yield from piece.u.notes
        if piece.area_m2 == 0:
            yield f"The openings of {piece.element.name} leave nothing of it."
        if piece.there.kind == "unknown":
            yield f"{piece.element.name} leads to a zone that is not there; counted as to outside."


def _air_in_use(house: House, room: Room) -> Iterator[str]:
    del house
    zone = room.zone
    if room.given_w_per_k is None and air_changes_in_use(zone) > zone.air_changes_per_h:
        yield (
            f"More air changes in use ({air_changes_in_use(zone):g}) than at design "
            f"({zone.air_changes_per_h:g}) are unusual."
        )


def _least_air(house: House, room: Room) -> Iterator[str]:
    said = too_little_air(house, room.zone)
    if said:
        yield said


def _height(house: House, room: Room) -> Iterator[str]:
    del house
    zone = room.zone
    # A stair's warm air goes on to the floors above: it is high, but hardly warmer at its own top.
    stair = zone.use == "hall"
    if room.given_w_per_k is None and is_high(zone) and zone.air_gradient_k_per_m is None and not stair:
        yield (
            f"At {zone.mean_height_m:.1f} m the room counts as high, and air is warmer under its ceiling than where "
            "people are; give air_gradient_k_per_m (about 1.0 with radiators and fan heaters) to count that."
        )


def _ground(house: House, room: Room) -> Iterator[str]:
    to_ground = [piece for piece in room.pieces if piece.there.kind == "ground"]
    if not to_ground:
        return
    site = house.site
    if site.method == "en12831" and site.outdoor_mean_c is None:
        yield "outdoor_mean_c is not given, so the ground counts at the full temperature difference."
    for piece in to_ground:
        ground = piece.element.ground
        if ground is not None and ground.water_table_m is not None and ground_rule(site) == "full":
            yield f"{piece.element.name}: water_table_m means nothing where the ground counts at the full difference."
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
