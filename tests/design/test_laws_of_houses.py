"""Laws that hold for whole houses: rooms that share walls, a roof void over some of them, floors on the ground."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from ingle.design import design_house
from ingle.model.design import Part, ZoneDesign
from ingle.model.envelope import Element, UnheatedSpace
from ingle.model.house import House, Zone
from plausible_houses import drawn
from plausible_houses import house as plausible

VOID = UnheatedSpace(
    id="void",
    name="Roof void",
    volume_m3=60.0,
    air_changes_per_h=2.0,
    elements=(Element(name="tiles", kind="roof", area_m2=50.0, u_w_per_m2k=2.3),),
)


def house(seed: int) -> House:
    """Return a plausible house in which each room has a partition to the one before it, and ceilings meet one void."""
    chance = drawn(seed)
    whole = plausible(chance)
    zones = []
    for place, zone in enumerate(whole.zones):
        elements = [replace(each, beyond="space:void") if each.kind == "roof" else each for each in zone.elements]
        if place:
            psi = chance.choice(({}, {"psi_w_per_mk": 0.1, "psi_length_m": 5.0}))
            partition = Element(
                name="partition",
                kind="party",
                area_m2=round(chance.uniform(4, 12), 1),
                u_w_per_m2k=round(chance.uniform(0.4, 2.5), 2),
                beyond=f"zone:{whole.zones[place - 1].id}",
                **psi,
            )
            elements.append(partition)
        zones.append(replace(zone, elements=tuple(elements), neighbours=()))
    return replace(whole, zones=tuple(zones), spaces=(VOID,))


HOUSES = st.integers(0, 10_000).map(house)


def linked(part: Part) -> bool:
    """Whether a part's heat stays in the house."""
    return part.beyond is not None and part.beyond.startswith("zone:")


def loads(whole: House) -> list[float]:
    """Return the rooms' loads."""
    return [zone.heat_loss_w for zone in design_house(whole).zones]


@settings(max_examples=40)
@given(whole=HOUSES)
def test_what_rooms_give_each_other_adds_up_to_nothing(whole: House) -> None:
    """Each watt that one room loses to another is gained there, and none of it is in the house's total."""
    design = design_house(whole)
    assert any(linked(part) for zone in design.zones for part in zone.parts)
    assert sum(part.w for zone in design.zones for part in zone.parts if linked(part)) == pytest.approx(0, abs=1e-3)
    out = sum(part.w for zone in design.zones for part in zone.parts if not linked(part))
    assert design.total_w == pytest.approx(out + sum(zone.reheat_w for zone in design.zones), abs=1e-2)


@settings(max_examples=30)
@given(whole=HOUSES, warmer=st.floats(0.5, 6), place=st.integers(0, 10))
def test_heat_moved_between_rooms_is_neither_made_nor_lost(whole: House, warmer: float, place: int) -> None:
    """With one room warmer, its neighbours need less by just what it gives them."""
    whole = replace(whole, spaces=(), zones=tuple(_without_void(zone) for zone in whole.zones))
    place %= len(whole.zones)
    zones = list(whole.zones)
    zones[place] = replace(zones[place], design_c=min(35.0, zones[place].design_c + warmer))
    before, after = design_house(whole), design_house(replace(whole, zones=tuple(zones)))
    saved = sum(
        old.heat_loss_w - new.heat_loss_w
        for number, (old, new) in enumerate(zip(before.zones, after.zones, strict=True))
        if number != place
    )
    given_more = to_rooms(after.zones[place]) - to_rooms(before.zones[place])
    assert given_more > 0
    assert saved == pytest.approx(given_more, abs=1e-3)


def _without_void(zone: Zone) -> Zone:
    elements = tuple(replace(each, beyond="outside") if each.beyond == "space:void" else each for each in zone.elements)
    return replace(zone, elements=elements)


def to_rooms(zone: ZoneDesign) -> float:
    """Return what a room gives to others."""
    return sum(part.w for part in zone.parts if linked(part))


@settings(max_examples=30)
@given(whole=HOUSES, place=st.integers(0, 10), factor=st.floats(1.05, 3))
def test_what_conducts_better_loses_more(whole: House, place: int, factor: float) -> None:
    """Any one U raised raises its room's load and the house's total, through a void or not."""
    base = design_house(whole)
    for number, zone in enumerate(whole.zones):
        able = [
            each for each in zone.elements if each.u_w_per_m2k is not None and each.beyond in {"outside", "space:void"}
        ]
        chosen = able[place % len(able)]
        raised = replace(chosen, u_w_per_m2k=(chosen.u_w_per_m2k or 0.0) * factor)
        changed = replace(zone, elements=tuple(raised if each is chosen else each for each in zone.elements))
        zones = (*whole.zones[:number], changed, *whole.zones[number + 1 :])
        other = design_house(replace(whole, zones=zones))
        assert other.zones[number].heat_loss_w > base.zones[number].heat_loss_w
        assert other.total_w > base.total_w


@settings(max_examples=30)
@given(whole=HOUSES)
def test_two_halves_of_a_room_are_the_room(whole: House) -> None:
    """Every area, edge and volume halved: each half loses half, and the others do not notice."""
    last = whole.zones[-1]
    halves = [replace(_half(last), id=f"half-{number}") for number in (1, 2)]
    parted = replace(whole, zones=(*whole.zones[:-1], *halves))
    *others, whole_w = loads(whole)
    *same, first, second = loads(parted)
    assert same == pytest.approx(others, abs=1e-3)
    assert first == pytest.approx(second, abs=1e-6)
    assert first + second == pytest.approx(whole_w, abs=1e-3)
    assert design_house(parted).total_w == pytest.approx(design_house(whole).total_w, abs=1e-3)


def _half(zone: Zone) -> Zone:
    volume = None if zone.volume_m3 is None else zone.volume_m3 / 2
    elements = tuple(_half_element(each) for each in zone.elements)
    return replace(zone, floor_area_m2=zone.floor_area_m2 / 2, volume_m3=volume, elements=elements)


def _half_element(element: Element) -> Element:
    ground, length = element.ground, element.psi_length_m
    return replace(
        element,
        area_m2=None if element.area_m2 is None else element.area_m2 / 2,
        width_m=None if element.width_m is None else element.width_m / 2,
        psi_length_m=None if length is None else length / 2,
        ground=None if ground is None else replace(ground, perimeter_m=ground.perimeter_m / 2),
    )
