"""What may be surveyed and worked out, but is saved only with a reason: someone vulnerable kept cooler than is safe.

A design says so as a warning, so that whoever surveys can see the figures first. Saving is where somebody answers for
it: with ``cooler_reason`` in the zone, which stays with the survey, or in words of their own for the history.
"""

from __future__ import annotations

from collections.abc import Iterator

from ingle.design.sanity_load import SAFE_C
from ingle.errors import BadInput, Fault
from ingle.model.house import House, Zone


def check_saving(house: House, *, before: House | None = None, why: str = "", source: str = "") -> None:
    """Refuse a house that needs a reason and has none.

    Parameters
    ----------
    house
        The checked house.
    before
        The house as it was saved last: whoever changes another room is not asked again.
    why
        What a person wrote for the history; words that a program made up are no reason.
    source
        The file's name, for the faults.

    Raises
    ------
    BadInput
        With a fault for each zone in which someone vulnerable is kept below what is safe, and nobody says why.
    """
    wrong = [
        fault for zone, fault in _unexplained(house, source) if before is None or not _as_before(zone, house, before)
    ]
    if wrong and not why.strip():
        raise BadInput(wrong)


def unexplained(house: House, source: str = "") -> Iterator[Fault]:
    """Yield a fault for each zone that is saved only with a reason and has none of its own."""
    yield from (fault for _, fault in _unexplained(house, source))


def _unexplained(house: House, source: str) -> Iterator[tuple[Zone, Fault]]:
    for index, zone in enumerate(house.zones):
        occupied_c = house.level_c(zone, "occupied")
        if zone.vulnerable and occupied_c < SAFE_C and not (zone.cooler_reason or "").strip():
            own = zone.levels.occupied_c is not None
            path = ("zone", index, "levels", "occupied_c") if own else ("house", "levels", "occupied_c")
            allowed = (
                f"at least {SAFE_C:g} °C where someone vulnerable lives, as in {zone.id} (WHO Housing and health "
                "guidelines, 2018); or a reason, as cooler_reason of that zone"
            )
            yield zone, Fault(path, occupied_c, allowed, source)


def _as_before(zone: Zone, house: House, before: House | None) -> bool:
    """Whether a zone was saved like this already: someone vulnerable in it, no warmer, and no reason in it to drop."""
    old = None if before is None else before.zone(zone.id)
    if before is None or old is None or not old.vulnerable or old.cooler_reason is not None:
        return False
    return before.level_c(old, "occupied") <= house.level_c(zone, "occupied")
