"""Someone vulnerable is kept cooler than is safe only with a reason."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from ingle.config.saving import check_saving, unexplained
from ingle.errors import BadInput
from ingle.model.house import House, Zone
from ingle.model.week import Levels, ZoneLevels
from surveys import one_room


def house(occupied_c: float | None = None, **zone: object) -> House:
    """Return a house of one room with someone vulnerable in it, the house's own level being 17 °C."""
    levels = {} if occupied_c is None else {"levels": ZoneLevels(occupied_c=occupied_c)}
    return one_room(**({"vulnerable": True} | levels | zone), site={"levels": Levels(occupied_c=17.0)})


def changed(known: House, **zone: object) -> House:
    """Return a house with its first room changed."""
    first: Zone = replace(known.zones[0], **zone)
    return replace(known, zones=(first, *known.zones[1:]))


@pytest.mark.parametrize(
    ("known", "place"),
    [
        (house(), "house.levels.occupied_c"),
        (house(16.5), "zone[0].levels.occupied_c"),
        (house(cooler_reason="  "), "house.levels.occupied_c"),
    ],
)
def test_without_a_reason_it_is_refused_at_the_level_that_is_too_low(known: House, place: str) -> None:
    """The house's level or the zone's own, whichever holds; blanks are no reason."""
    with pytest.raises(BadInput, match="WHO") as caught:
        check_saving(known, why=" ")
    assert [fault.place for fault in caught.value.faults] == [place]


def test_a_reason_of_the_zone_or_of_who_saves_will_do() -> None:
    """So will a room that is warm enough, or that nobody vulnerable lives in."""
    check_saving(house(), why="their doctor advises it")
    check_saving(house(cooler_reason="their doctor advises it"))
    check_saving(house(18.0))
    assert not list(unexplained(house(vulnerable=False)))


def test_who_changes_another_thing_is_not_asked_again() -> None:
    """What was saved as cool stays so; cooler still, or with its reason dropped, is asked about."""
    cool, explained = house(16.0), house(16.0, cooler_reason="as they wish")
    check_saving(changed(cool, design_c=22.0), before=cool)
    for after, before in ((house(15.0), cool), (cool, explained), (cool, house(16.0, vulnerable=False))):
        with pytest.raises(BadInput, match="cooler_reason"):
            check_saving(after, before=before)
