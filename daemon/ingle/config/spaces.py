"""What unheated spaces must agree on: they lead somewhere, each piece is listed once, and nothing goes in a circle."""

from __future__ import annotations

from ingle.config.findings import Findings, Path
from ingle.model.envelope import Space, UnheatedSpace
from ingle.model.house import House

_TO_SPACE, _TO_ZONE = "space:", "zone:"
#: What tells how cold it is beyond an element, or where air comes from.
ONE_OF_SPACE = "exactly one of factor, temperature_c and typical"


def told_once(beyond: Space) -> bool:
    """Whether it is told in one way how cold it is there.

    >>> told_once(Space(factor=0.5)), told_once(Space()), told_once(Space(factor=0.5, typical="basement"))
    (True, False, False)
    """
    return sum(each is not None for each in (beyond.factor, beyond.temperature_c, beyond.typical)) == 1


def check_spaces(house: House, findings: Findings) -> None:
    """Check where the elements of the house's unheated spaces lead."""
    for index, space in enumerate(house.spaces):
        path: Path = ("space", index)
        for place, element in enumerate(space.elements):
            where = (*path, "element", place, "beyond")
            if isinstance(element.beyond, str) and element.beyond.startswith(_TO_ZONE):
                allowed = (
                    "outside, ground, a temperature or another space; list what lies between it and a zone in the zone"
                    f', with beyond = "{_TO_SPACE}{space.id}"'
                )
                findings.add(where, element.beyond, allowed)
        if not space.air_changes_per_h and not space.elements:
            allowed = "an element, or air changes above 0: a space that nothing reaches has no temperature"
            findings.add((*path, "element"), None, allowed, rests_on=[(*path, "air_changes_per_h")])
    _check_circles(house, findings)


def _leads_to(space: UnheatedSpace) -> list[tuple[int, str]]:
    """Return the places of a space's elements that lead to another space, with that space's id."""
    return [
        (place, element.beyond.removeprefix(_TO_SPACE))
        for place, element in enumerate(space.elements)
        if isinstance(element.beyond, str) and element.beyond.startswith(_TO_SPACE)
    ]


def _check_circles(house: House, findings: Findings) -> None:
    """Refuse spaces that lead to one another in a circle, and a space that leads to itself."""
    places = {space.id: place for place, space in enumerate(house.spaces)}
    done: set[str] = set()
    for start in places:
        _walk(house, places, [start], done, findings)


def _walk(house: House, places: dict[str, int], way: list[str], done: set[str], findings: Findings) -> None:
    here = way[-1]
    if here in done:
        return
    for place, there in _leads_to(house.spaces[places[here]]):
        if there in way:
            circle = " -> ".join([*way[way.index(there) :], there])
            allowed = f"spaces that do not lead round in a circle ({circle}); list each piece between two spaces once"
            findings.add(("space", places[here], "element", place, "beyond"), f"{_TO_SPACE}{there}", allowed)
        elif there in places:
            _walk(house, places, [*way, there], done, findings)
    done.add(here)
