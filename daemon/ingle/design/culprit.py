"""Which single slip would explain a result that cannot be right: every input is tried with every slip it may have."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf, log

from ingle.design import usual
from ingle.design.floors import element_area_m2
from ingle.design.oddity import Change, Look
from ingle.design.slips import AREA, DECIMAL, LENGTH, U_VALUE, VOLUME, Correction, Slip, airflow, all_meant
from ingle.design.usual import Usual

# No element that a survey lists is smaller [m²], or larger than all sides of its room.
_LEAST_AREA_M2, _MOST_SIDES = 0.2, 4.0
_ANY = Usual(-inf, inf, "anything")


@dataclass(frozen=True, slots=True)
class Suspect:
    """An input that may be the slip: its name and key, and what may be wrong with it."""

    name: str
    key: str
    value: float
    fits: Usual
    slips: tuple[Correction, ...]
    change: Change
    unit: str
    element: str | None = None


@dataclass(frozen=True, slots=True)
class Culprit:
    """The suspect whose slip brings the result nearest to what is usual, and the load that is left [W]."""

    suspect: Suspect
    slip: Slip
    then_w: float


def culprit(look: Look, usual_w: Usual) -> Culprit | None:
    """Return the likeliest single slip behind a room's load, or None where none would make it usual.

    ``usual_w`` is the usual range of the load without reheat [W].
    """
    reheat = look.room.reheat_w
    best, least = None, inf
    for suspect in _suspects(look):
        for slip in all_meant(suspect.value, suspect.slips):
            if suspect.fits.side(slip.meant):
                continue
            then = look.load_w(suspect.change(slip.meant))
            steady = then - reheat
            if steady <= 0 or usual_w.side(steady):
                continue
            distance = abs(log(steady / usual_w.middle))
            if distance < least:
                best, least = Culprit(suspect, slip, then), distance
    return best


def _suspects(look: Look) -> Iterator[Suspect]:
    zone = look.zone
    if zone.given_w_per_k is not None:
        yield Suspect(
            "the given heat loss",
            "given_w_per_k",
            zone.given_w_per_k,
            _ANY,
            DECIMAL,
            lambda value: look.zone_as(given_w_per_k=value),
            "W/K",
        )
        return
    yield from _of_air(look)
    for piece in look.own:
        element = piece.element
        gross, side = element_area_m2(element), look.side_m2
        yield Suspect(
            f"the area of {element.name}",
            "area_m2" if element.area_m2 is not None else "width_m",
            gross,
            Usual(_LEAST_AREA_M2, _MOST_SIDES * max(side, look.floor_m2), "the room"),
            AREA,
            look.area_of(element),
            "m²",
            element.name,
        )
        if element.u_w_per_m2k is not None:
            yield Suspect(
                f"the U of {element.name}",
                "u_w_per_m2k",
                element.u_w_per_m2k,
                usual.u_value(element.kind, look.built),
                U_VALUE,
                look.field_of(element, "u_w_per_m2k"),
                "W/(m²·K)",
                element.name,
            )


def _of_air(look: Look) -> Iterator[Suspect]:
    zone = look.zone
    yield Suspect(
        "air_changes_per_h",
        "air_changes_per_h",
        zone.air_changes_per_h,
        usual.air_changes_per_h(zone.use, look.built),
        airflow(zone.air_volume_m3),
        lambda value: look.zone_as(air_changes_per_h=value),
        "1/h",
    )
    heights = usual.height_m(zone.use)
    if zone.volume_m3 is not None:
        area = look.floor_m2
        yield Suspect(
            "the volume",
            "volume_m3",
            zone.volume_m3,
            Usual(heights.low * area, heights.high * area, heights.source),
            VOLUME,
            lambda value: look.zone_as(volume_m3=value),
            "m³",
        )
    elif zone.height_m is not None:
        yield Suspect(
            "the height", "height_m", zone.height_m, heights, LENGTH, lambda value: look.zone_as(height_m=value), "m"
        )
