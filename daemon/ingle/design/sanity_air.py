"""Air changes, streams of air, and reheat out of the ordinary."""

from __future__ import annotations

from collections.abc import Iterator

from ingle.design import usual
from ingle.design.oddity import Change, Look, Oddity, outlier
from ingle.design.slips import DECIMAL, PER_AREA, Correction, airflow, likely, middling
from ingle.design.usual import Usual
from ingle.model.numbers import changed

# A stream of air may be this many times the most air changes that a room of its use has, and this little a part of one.
_MOST_TIMES, _LEAST_CHANGES = 2.0, 0.005
_FLOW: tuple[Correction, ...] = (*DECIMAL, ("litres for cubic metres", lambda value: value / 1000))
_LONGEST_H, _HALVINGS = 72.0, 40


def air(look: Look) -> Iterator[Oddity]:
    """Yield what is odd in a room's air changes, in its streams of air and in its allowance for reheat."""
    zone = look.zone
    found = [_reheat(look), _warm_up(look)]
    if look.room.given_w_per_k is None:
        fits = usual.air_changes_per_h(zone.use, look.built)
        slips = airflow(zone.air_volume_m3)
        found.append(
            outlier(
                "air-changes",
                "air_changes_per_h",
                "Air changes of",
                zone.air_changes_per_h,
                fits,
                slips,
                lambda value: look.zone_as(air_changes_per_h=value),
                unit="1/h",
                of=usual.a_room(zone.use),
                pick=middling,
            )
        )
        found += list(_streams(look, fits))
    yield from (each for each in found if each is not None)


def _streams(look: Look, changes: Usual) -> Iterator[Oddity | None]:
    volume = look.zone.air_volume_m3
    fits = Usual(_LEAST_CHANGES * volume, _MOST_TIMES * changes.high * volume, changes.source)
    for place, stream in enumerate(look.zone.air, 1):
        key = f"air.{place}.m3_per_h"
        change, of = _number_of(look, key), f"{usual.a_room(look.zone.use)} of {volume:.4g} m³"
        yield outlier("air-stream", key, f"{stream.name} at", stream.m3_per_h, fits, _FLOW, change, unit="m³/h", of=of)


def _number_of(look: Look, key: str) -> Change:
    return lambda value: look.zone_is(changed(look.zone, key, value))


def _reheat(look: Look) -> Oddity | None:
    zone = look.zone
    if not zone.reheat_w_per_m2:
        return None
    return outlier(
        "reheat",
        "reheat_w_per_m2",
        "Reheat of",
        zone.reheat_w_per_m2,
        usual.REHEAT_W_PER_M2,
        PER_AREA,
        lambda value: look.zone_as(reheat_w_per_m2=value),
        unit="W/m²",
    )


def _warm_up(look: Look) -> Oddity | None:
    """Return the oddity of a warm-up so short that no heaters of a room would do it."""
    hours, start_c = look.zone.warm_up_h, look.zone.warm_up_from_c
    most_w = usual.WARM_UP_W_PER_M2.high * look.floor_m2
    if hours is None or start_c is None or look.room.reheat_w <= most_w:
        return None
    shortest_h = _shortest_h(look, most_w)
    says = (
        f"Warming up from {start_c:g} to {look.zone.design_c:g} °C in {hours:.4g} h takes "
        f"{look.room.reheat_w / look.floor_m2:.0f} W/m² of reheat, above the {usual.WARM_UP_W_PER_M2.high:g} W/m² that "
        "4 K in an hour take in a room of brick"
    )
    slip = likely(hours, Usual(shortest_h, _LONGEST_H, "the room"), DECIMAL)
    return Oddity("warm-up", "warm_up_h", says, hours, slip, shortest_h, lambda h: look.zone_as(warm_up_h=h), "h")


def _shortest_h(look: Look, most_w: float) -> float:
    """Return the shortest warm-up that takes no more than that, or the longest that a survey may ask for [h]."""
    low, high = look.zone.warm_up_h or 0.0, _LONGEST_H
    steady_w = look.room.steady_w
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        enough = look.load_w(look.zone_as(warm_up_h=middle)) - steady_w <= most_w
        low, high = (low, middle) if enough else (middle, high)
    return high
