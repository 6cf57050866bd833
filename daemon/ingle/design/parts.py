"""Where a room's heat goes: one part for each piece of its envelope, its bridges, its air, as a drawing shows them.

The parts add up to the room's heat loss without its reheat, which is no loss but an allowance.
"""

from __future__ import annotations

from collections.abc import Iterator

from ingle.design.room import Piece, Room
from ingle.design.sheet import tidy
from ingle.design.working import item_name
from ingle.model.design import Part
from ingle.model.house import House


def parts(house: House, room: Room) -> tuple[Part, ...]:
    """Return the parts of a room's heat loss, in the order of its sheet."""
    return tuple(_parts(house, room))


def _parts(house: House, room: Room) -> Iterator[Part]:
    if room.given_w_per_k is not None:
        yield _whole(room, "given", "given heat loss", room.given_w_per_k)
    for piece in room.pieces:
        yield _of_piece(house, room, piece)
    if room.bridges_w_per_k:
        yield _whole(room, "bridges", "thermal bridges", room.bridges_w_per_k)
    if room.given_w_per_k is None:
        yield _whole(room, "air", "ventilation", room.air_w_per_k)
    for stream in room.streams:
        yield _whole(room, "air", stream.air.name, stream.w_per_k)
    if room.high.value:
        yield _whole(room, "height", "high room", room.high.value)


def _whole(room: Room, kind: str, item: str, w_per_k: float) -> Part:
    return Part(
        kind=kind,
        name=item,
        item=item,
        zone=room.zone.id,
        element=None,
        beyond=None,
        area_m2=None,
        u_w_per_m2k=None,
        w_per_k=tidy(w_per_k),
        w=tidy(w_per_k * room.full_k),
    )


def _of_piece(house: House, room: Room, piece: Piece) -> Part:
    owner = (house.zone(piece.there.zone_id) if piece.mirrored else None) or room.zone
    return Part(
        kind=piece.element.kind,
        name=piece.element.name,
        item=item_name(piece),
        zone=owner.id,
        element=owner.elements.index(piece.element),
        beyond=f"{piece.there.kind}:{piece.there.zone_id}" if piece.there.zone_id else piece.there.kind,
        area_m2=tidy(piece.area_m2),
        u_w_per_m2k=tidy(piece.u.value),
        w_per_k=tidy(piece.w_per_k),
        w=tidy(piece.w_per_k * room.full_k),
    )
