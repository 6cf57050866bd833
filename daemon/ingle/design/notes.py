"""What is said once for the house, however many rooms it concerns: what nobody surveyed, what nobody vouched for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from ingle.design.nearby import leads_to
from ingle.model.design import UncertainInput
from ingle.model.house import House, Zone

# Rooms that differ by less exchange nothing worth a sentence [K].
_APART_K = 2.0
_NAMED = 3
# How the keys are counted: what of how many rooms or elements.
_OF_ROOM = {
    "air_changes_per_h": "air changes",
    "bridges_percent": "thermal bridges",
    "bridges_w_per_m2k": "thermal bridges",
    "given_w_per_k": "given heat loss",
}


def notes(house: House, inputs: dict[str, tuple[UncertainInput, ...]]) -> Iterator[str]:
    """Yield what is said once for the house; ``inputs`` are each room's, by zone id."""
    apart = _apart(house)
    if apart:
        yield f"Not surveyed, so not in the heat loss: what flows between {'; '.join(apart)}."
    counted = _unvouched(inputs)
    if counted:
        yield f"Without provenance, so taken as assumed and without a range in the band: {_and(counted)}."


def _apart(house: House) -> list[str]:
    """Return the joints that nobody surveyed, each with the room that has most of them first."""
    zones = {zone.id: zone for zone in house.zones}
    surveyed = {frozenset({zone.id, other}) for zone in house.zones for other in leads_to(zone)}
    pairs = {
        pair
        for zone in house.zones
        for other in zone.neighbours
        if other in zones
        and (pair := frozenset({zone.id, other})) not in surveyed
        and abs(zone.design_c - zones[other].design_c) >= _APART_K
    }
    return list(_grouped([zones[zone.id] for zone in house.zones], pairs))


def _grouped(zones: Sequence[Zone], pairs: set[frozenset[str]]) -> Iterator[str]:
    left = set(pairs)
    while left:
        count = Counter(zone_id for pair in left for zone_id in pair)
        hub = max(zones, key=lambda zone: count[zone.id])
        others = [zone for zone in zones if frozenset({hub.id, zone.id}) in left]
        left -= {frozenset({hub.id, zone.id}) for zone in others}
        yield f"{hub.id} ({hub.design_c:g} °C) and {_names(others)} ({_span(others)} °C)"


def _names(zones: Sequence[Zone]) -> str:
    names = [zone.id for zone in zones]
    if len(names) <= _NAMED + 1:
        return _and(names)
    return f"{', '.join(names[:_NAMED])} and {len(names) - _NAMED} more"


def _span(zones: Sequence[Zone]) -> str:
    low, high = min(zone.design_c for zone in zones), max(zone.design_c for zone in zones)
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


def _unvouched(inputs: dict[str, tuple[UncertainInput, ...]]) -> list[str]:
    """Return how many inputs of each sort nobody said anything of; what two rooms share counts where it is listed."""
    silent = [each for zone_id, room in inputs.items() for each in room if each.zone == zone_id and not each.vouched]
    rooms = Counter(_OF_ROOM[each.key] for each in silent if each.element is None and each.key in _OF_ROOM)
    counted = [f"{word} of {_count(number, 'room')}" for word, number in sorted(rooms.items())]
    elements = sum(each.element is not None for each in silent)
    return [*counted, f"U of {_count(elements, 'element')}"] if elements else counted


def _count(number: int, word: str) -> str:
    """Return a number of things.

    >>> _count(1, "room"), _count(13, "room")
    ('1 room', '13 rooms')
    """
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def _and(words: Sequence[str]) -> str:
    """Return words as a list in a sentence.

    >>> _and(["hall"]), _and(["hall", "bath", "room-1"])
    ('hall', 'hall, bath and room-1')
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
