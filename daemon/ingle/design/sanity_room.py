"""A room's own sizes: a floor of its use, a height of a room, and elements no wider or taller than it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ingle.design import usual
from ingle.design.oddity import Change, Look, Oddity, outlier
from ingle.design.slips import AREA, LENGTH, VOLUME, Slip, likely
from ingle.design.usual import Usual
from ingle.model.envelope import ElementKind

UPRIGHT: Final[frozenset[ElementKind]] = frozenset({"wall", "window", "door"})
# The longest wall of a room of 10:1 is 3.2 times the side of a square one; a gable may rise to twice the mean height.
_LONGEST, _TALLEST = 3.2, 2.2
_USUAL_HEIGHT_M = 2.4
_SAME = 1e-3


def floor_or_height(look: Look) -> Oddity | None:
    """Return what is odd in the floor area, or else in the height: a wrong floor makes a wrong height."""
    return _floor(look) or _height(look)


def _floor(look: Look) -> Oddity | None:
    zone = look.zone
    return outlier(
        "floor-area",
        "floor_area_m2",
        "A floor area of",
        zone.floor_area_m2,
        usual.floor_m2(zone.use),
        AREA,
        lambda area: look.zone_as(floor_area_m2=area),
        unit="m²",
        of=usual.a_room(zone.use),
    )


def _height(look: Look) -> Oddity | None:
    zone, fits = look.zone, usual.height_m(look.zone.use)
    if zone.volume_m3 is None:
        return outlier(
            "room-height",
            "height_m",
            "A height of",
            look.height_m,
            fits,
            LENGTH,
            lambda value: look.zone_as(height_m=value),
            unit="m",
            of=usual.a_room(zone.use),
        )
    side = fits.side(look.height_m)
    return _volume(look, zone.volume_m3, fits, side) if side else None


def _volume(look: Look, volume: float, fits: Usual, side: str) -> Oddity:
    zone, area = look.zone, look.floor_m2
    slip = likely(volume, Usual(area * fits.low, area * fits.high, fits.source), VOLUME)
    if abs(volume - area) <= _SAME * area:
        slip = Slip("the floor area for the volume", area * (zone.height_m or _USUAL_HEIGHT_M))
    says = (
        f"{volume:.4g} m³ over {area:.4g} m² makes the room {look.height_m:.1f} m high, {side} the usual "
        f"{fits.words()} m of {usual.a_room(zone.use)}"
    )
    limit = area * (fits.high if side == "above" else fits.low)
    return Oddity(
        "room-height", "volume_m3", says, volume, slip, limit, lambda value: look.zone_as(volume_m3=value), "m³"
    )


def spans(look: Look) -> Iterator[Oddity]:
    """Yield widths and heights of elements that no room of this size has."""
    longest = _LONGEST * look.floor_m2**0.5
    tallest = _TALLEST * look.height_m * look.storeys
    for piece in look.own:
        element = piece.element
        if element.area_m2 is None and element.kind in {*UPRIGHT, "party"}:
            yield from _span(look, element.name, "width", element.width_m, longest, look.field_of(element, "width_m"))
            yield from _span(
                look, element.name, "height", element.height_m, tallest, look.field_of(element, "height_m")
            )


def _span(look: Look, name: str, word: str, value: float | None, most: float, change: Change) -> Iterator[Oddity]:
    if value is None or value <= most:
        return
    says = f"{name} is {value:.4g} m {'wide' if word == 'width' else 'high'}, more than {look.size()} has"
    slip = likely(value, Usual(most / 8, most, "the room"), LENGTH)
    yield Oddity("wall-area", f"{word}_m", says, value, slip, most, change, "m", name)
