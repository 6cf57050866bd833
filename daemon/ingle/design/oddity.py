"""Something odd in a survey, and how it becomes a finding: the room is worked out again with the number as meant."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from msgspec.structs import replace

from ingle.design.floors import element_area_m2
from ingle.design.room import Piece, Room, room
from ingle.design.sheet import tidy
from ingle.design.slips import Correction, Slip, likely
from ingle.design.usual import Usual
from ingle.model.design import Finding, FindingCode
from ingle.model.envelope import Element
from ingle.model.house import House, Zone

Change = Callable[[float], House]
# No room is smaller than this; it keeps the arithmetic finite [m²], [m].
_LEAST_FLOOR_M2, _LEAST_HEIGHT_M = 0.01, 0.01
# A load that changes by less than this is the same load [W].
_SAME_W = 0.5


@dataclass(frozen=True)
class Look:
    """A room to look over: worked out, in its neighbourhood."""

    near: House
    room: Room

    @property
    def zone(self) -> Zone:
        """The room's zone."""
        return self.room.zone

    @property
    def built(self) -> int | None:
        """The year that its fabric is of."""
        return self.near.built(self.zone)

    @cached_property
    def own(self) -> tuple[Piece, ...]:
        """The pieces that the zone itself lists."""
        return tuple(piece for piece in self.room.pieces if not piece.mirrored)

    @property
    def floor_m2(self) -> float:
        """Its floor area [m²]."""
        return max(self.zone.floor_area_m2, _LEAST_FLOOR_M2)

    @property
    def storeys(self) -> int:
        """How many floors stand over each other in this zone, by what lies below or above it."""
        level = [each for each in self.own if each.element.kind in {"roof", "ground-floor"} and not each.link]
        footprint = max((each.area_m2 for each in level), default=0.0)
        if footprint <= 0:
            return 1
        return max(1, round(min(_MOST_STOREYS, self.floor_m2 / footprint)))

    @property
    def height_m(self) -> float:
        """Mean height of a storey [m]."""
        return max(self.zone.air_volume_m3 / self.floor_m2, _LEAST_HEIGHT_M)

    @property
    def side_m2(self) -> float:
        """The upright area of one side of a square room of this size, over all its storeys [m²]."""
        return math.sqrt(self.floor_m2 * self.storeys) * self.height_m

    def zone_as(self, **change: object) -> House:
        """Return the neighbourhood with fields of the zone changed."""
        return self.zone_is(replace(self.zone, **change))

    def element_as(self, element: Element, **change: object) -> House:
        """Return the neighbourhood with fields of one of the zone's elements changed."""
        return self.element_is(element, replace(element, **change))

    def element_is(self, element: Element, other: Element) -> House:
        """Return the neighbourhood with another element in place of one of the zone's."""
        elements = tuple(other if each is element else each for each in self.zone.elements)
        return self.zone_is(replace(self.zone, elements=elements))

    def area_as(self, element: Element, area_m2: float) -> House:
        """Return the neighbourhood with an element of another gross area."""
        if element.area_m2 is not None:
            return self.element_as(element, area_m2=area_m2)
        width_m = (element.width_m or 0.0) * area_m2 / max(element_area_m2(element), 1e-9)
        return self.element_as(element, width_m=width_m)

    def u_as(self, element: Element, u_w_per_m2k: float) -> House:
        """Return the neighbourhood with an element of another U, however it is given."""
        return self.element_as(element, u_w_per_m2k=u_w_per_m2k, layers=(), ground=None)

    def field_of(self, element: Element, key: str) -> Change:
        """Return what makes the neighbourhood with another number in a field of an element."""
        return lambda value: self.element_as(element, **{key: value})

    def area_of(self, element: Element) -> Change:
        """Return what makes the neighbourhood with another gross area of an element."""
        return lambda value: self.area_as(element, value)

    def site_as(self, **change: object) -> House:
        """Return the neighbourhood with fields of the site changed."""
        return replace(self.near, site=replace(self.near.site, **change))

    def size(self) -> str:
        """Return the room's size in words."""
        return f"a room of {self.floor_m2:.4g} m² and {self.height_m:.1f} m height"

    def load_w(self, house: House) -> float:
        """Return this room's heat loss in another house [W]."""
        return next(room(house, each).heat_loss_w for each in house.zones if each.id == self.zone.id)

    def zone_is(self, zone: Zone) -> House:
        """Return the neighbourhood with another zone in place of this one."""
        zones = tuple(zone if each.id == zone.id else each for each in self.near.zones)
        return replace(self.near, zones=zones)


# A zone of more floors than this is no zone but a faulty footprint.
_MOST_STOREYS = 4


@dataclass(frozen=True, slots=True)
class Oddity:
    """Something odd: where, in which words, and what the number may have been meant to be.

    ``says`` is the sentence up to the slip, without its end. ``slip`` is the likely one; without it ``nearest`` is
    taken, the nearest usual number. ``change`` makes the house with a number in place of ``entered``.
    """

    code: FindingCode
    key: str
    says: str
    entered: float
    slip: Slip | None
    nearest: float
    change: Change
    unit: str = ""
    element: str | None = None

    @property
    def meant(self) -> float:
        """The number to take instead."""
        return self.nearest if self.slip is None else self.slip.meant


def nearest(value: float, usual: Usual) -> float:
    """Return the usual number nearest to a value.

    >>> nearest(7.9, Usual(1.7, 5.0, "rooms"))
    5.0
    """
    return min(max(value, usual.low), usual.high)


def outlier(
    code: FindingCode,
    key: str,
    subject: str,
    value: float,
    usual: Usual,
    corrections: tuple[Correction, ...],
    change: Change,
    *,
    unit: str = "",
    of: str = "",
    element: str | None = None,
    pick: Callable[[float, Usual, tuple[Correction, ...]], Slip | None] = likely,
) -> Oddity | None:
    """Return the oddity of a number that is outside of what is usual, or None.

    ``subject`` is the number's name in the sentence, ``of`` what the usual range is of.
    """
    side = usual.side(value)
    if not side:
        return None
    tail = f" {unit}" if unit else ""
    says = f"{subject} {value:.4g}{tail} is {side} the usual {usual.words()}{tail}{f' of {of}' if of else ''}"
    return Oddity(code, key, says, value, pick(value, usual, corrections), nearest(value, usual), change, unit, element)


def finding(look: Look, oddity: Oddity) -> Finding:
    """Return an oddity as a finding, the room's load worked out again."""
    now, then = look.room.heat_loss_w, look.load_w(oddity.change(oddity.meant))
    return Finding(
        code=oddity.code,
        zone=look.zone.id,
        element=oddity.element,
        key=oddity.key,
        sentence=sentence(oddity, now, then, "the load"),
        slip="" if oddity.slip is None else oddity.slip.words,
        entered=tidy(oddity.entered),
        meant=tidy(oddity.meant),
        figure="heat_loss_w",
        unit="W",
        now=tidy(now),
        then=tidy(then),
    )


def sentence(oddity: Oddity, now: float, then: float, figure: str) -> str:
    """Return the one sentence of an oddity: what is odd, the likely slip, and the figure without it."""
    tail = f" {oddity.unit}" if oddity.unit else ""
    guess = "; " if oddity.slip is None else f": {oddity.slip.words}? "
    at = "at" if oddity.slip is None else "With"
    change = f"{figure} would be {then:.0f} W instead of {now:.0f} W"
    if abs(then - now) < _SAME_W:
        change = f"{figure} stays at {now:.0f} W"
    return f"{oddity.says}{guess}{at} {oddity.meant:.4g}{tail} {change}."
