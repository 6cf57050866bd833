"""A room's result beside what is usual for its age and use, and beside the rule of thumb of the trade.

The rule of thumb is shown because someone in the house will quote it, with what it cannot know. It recommends nothing.
"""

from __future__ import annotations

from typing import Literal

from ingle.design import usual
from ingle.design.beyond import LEAST_DIFFERENCE_K
from ingle.design.room import Room
from ingle.design.sheet import tidy
from ingle.design.usual import THUMB_W_PER_M2, Usual
from ingle.model.design import Beside
from ingle.model.house import House

# No room is smaller; it keeps the arithmetic finite.
_LEAST_FLOOR_M2 = 0.01
Standing = Literal["below", "within", "above"]


def beside(house: House, room: Room) -> tuple[Beside, ...]:
    """Return a room's figures beside their usual ranges; none where it has no temperature difference."""
    if room.full_k < LEAST_DIFFERENCE_K:
        return ()
    zone, built = room.zone, house.built(room.zone)
    area = max(zone.floor_area_m2, _LEAST_FLOOR_M2)
    return (
        _line("W/m² without reheat", room.steady_w / area, "W/m²", usual.w_per_m2(built, zone.use, area, room.full_k)),
        _line("W/K per m² floor", room.heat_loss_w_per_k / area, "W/(m²·K)", usual.w_per_m2k(built, zone.use, area)),
        _thumb(room),
    )


def _line(item: str, value: float, unit: str, fits: Usual, said: str = "") -> Beside:
    return Beside(
        item=item,
        value=tidy(value),
        unit=unit,
        low=tidy(fits.low),
        high=tidy(fits.high),
        standing=_standing(fits, value),
        source=fits.source,
        sentence=said,
    )


def _standing(fits: Usual, value: float) -> Standing:
    """Return how a value stands to a range.

    >>> _standing(Usual(1, 2, "a table"), 1.5), _standing(Usual(1, 2, "a table"), 3)
    ('within', 'above')
    """
    return "below" if value < fits.low else "above" if value > fits.high else "within"


def _thumb(room: Room) -> Beside:
    area = room.zone.floor_area_m2
    fits = Usual(THUMB_W_PER_M2.low * area, THUMB_W_PER_M2.high * area, THUMB_W_PER_M2.source)
    return _line("rule of thumb", room.heat_loss_w, "W", fits, _thumb_words(room, fits))


def _thumb_words(room: Room, fits: Usual) -> str:
    """Return the rule's range in kW beside the load, with the reason for the gap: what the rule does not look at."""
    load = room.heat_loss_w
    where = {"below": "below it", "within": "within it", "above": "above it"}[_standing(fits, load)]
    return (
        f"By the rule of thumb {fits.low / 1000:.2f} to {fits.high / 1000:.2f} kW; {load / 1000:.2f} kW is {where}. "
        f"The rule looks at the floor alone, and not at {_unseen(room)}."
    )


def _unseen(room: Room) -> str:
    """Return what the room has that the rule does not look at."""
    outer = [piece for piece in room.pieces if not piece.link]
    parts = [f"the {room.full_k:.0f} K between inside and outdoors"]
    area = sum(piece.area_m2 for piece in outer)
    if room.given_w_per_k is None and area:
        mean_u = sum(piece.area_m2 * piece.u.value for piece in outer) / area
        floor = max(room.zone.floor_area_m2, _LEAST_FLOOR_M2)
        parts += [f"{area / floor:.1f} m² of envelope per m² floor at a mean U of {mean_u:.2f}"]
        parts += [
            f"{room.zone.air_changes_per_h:g} air change{'' if room.zone.air_changes_per_h == 1 else 's'} an hour"
        ]
    if room.reheat_w:
        parts += [f"{room.reheat_w:.0f} W of reheat"]
    return f"{', '.join(parts[:-1])} and {parts[-1]}" if len(parts) > 1 else parts[0]
