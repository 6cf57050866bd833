"""What is odd in an unheated space: its U-values and its air changes. The figure then is the house's total."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from ingle.design import usual
from ingle.design.oddity import Change, Oddity, outlier
from ingle.design.slips import DECIMAL, U_VALUE
from ingle.design.usual import Usual
from ingle.model.envelope import Element, UnheatedSpace
from ingle.model.house import House

# ISO 13789:2007, table 3: 0.1 for a tight space to 10 for one with many openings (from memory) [1/h].
_AIR_PER_H = Usual(0.05, 15.0, "ISO 13789:2007, table 3, 0.1 to 10")


def spaces(house: House) -> Iterator[Oddity]:
    """Yield what is odd in a house's unheated spaces."""
    for space in house.spaces:
        odd = outlier(
            "air-changes",
            "air_changes_per_h",
            f"Air changes in {space.id} of",
            space.air_changes_per_h,
            _AIR_PER_H,
            DECIMAL,
            _air_of(house, space),
            unit="1/h",
            of="an unheated space",
        )
        if odd is not None:
            yield odd
        for element in space.elements:
            yield from _u_value(house, space, element)


def _u_value(house: House, space: UnheatedSpace, element: Element) -> Iterator[Oddity]:
    if element.u_w_per_m2k is None:
        return
    odd = outlier(
        "u-value",
        "u_w_per_m2k",
        f"U of {element.name} around {space.id} of",
        element.u_w_per_m2k,
        # What encloses an unheated space is often bare: sheet, slate or single glass, whatever its age.
        usual.bare_u(element.kind),
        U_VALUE,
        _u_of(house, space, element),
        unit="W/(m²·K)",
        element=element.name,
    )
    if odd is not None:
        yield odd


def _air_of(house: House, space: UnheatedSpace) -> Change:
    return lambda value: _with(house, space, replace(space, air_changes_per_h=value))


def _u_of(house: House, space: UnheatedSpace, element: Element) -> Change:
    def change(value: float) -> House:
        changed = replace(element, u_w_per_m2k=value)
        elements = tuple(changed if each is element else each for each in space.elements)
        return _with(house, space, replace(space, elements=elements))

    return change


def _with(house: House, space: UnheatedSpace, changed: UnheatedSpace) -> House:
    return replace(house, spaces=tuple(changed if each is space else each for each in house.spaces))
