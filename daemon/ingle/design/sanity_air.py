"""Air changes and reheat out of the ordinary."""

from __future__ import annotations

from collections.abc import Iterator

from ingle.design import usual
from ingle.design.oddity import Look, Oddity, outlier
from ingle.design.slips import PER_AREA, airflow, middling


def air(look: Look) -> Iterator[Oddity]:
    """Yield what is odd in a room's air changes and in its allowance for reheat."""
    zone = look.zone
    found = [_reheat(look)]
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
    yield from (each for each in found if each is not None)


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
