"""Unheated spaces by their heat balance: a roof void, a porch, and what they do to the rooms beside them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from ingle.design import design_house, design_version
from ingle.design.nearby import nearby
from ingle.design.room import room
from ingle.model.envelope import Element, Ground, Space, UnheatedSpace
from ingle.model.house import House, Zone
from ingle.model.provenance import Provenance
from surveys import TERN_SITE

CEILING = Element(name="ceiling", kind="roof", area_m2=30.0, u_w_per_m2k=0.5, beyond="space:void")
WALL = Element(name="wall", kind="wall", area_m2=10.0, u_w_per_m2k=0.5)
TILES = Element(name="tiles", kind="roof", area_m2=45.0, u_w_per_m2k=2.0)
VOID = UnheatedSpace(id="void", name="Roof void", volume_m3=50.0, air_changes_per_h=2.0, elements=(TILES,))


def zone(zone_id: str = "room", *elements: Element, **fields: Any) -> Zone:
    """Return a room at 20 °C with one air change."""
    given = {"floor_area_m2": 30.0, "volume_m3": 72.0, "design_c": 20.0} | fields
    return Zone(id=zone_id, name=zone_id, elements=elements, **given)


def house(*zones: Zone, spaces: tuple[UnheatedSpace, ...] = (VOID,), **site: Any) -> House:
    """Return a house with these zones under one roof void, 0 °C outside."""
    return House(site=replace(TERN_SITE, **({"outdoor_design_c": 0.0} | site)), zones=zones, spaces=spaces)


def test_a_roof_void_by_hand() -> None:
    """Ceiling 15 W/K in; tiles 90 and air 0.33 x 2 x 50 = 33 W/K out: 20 x 15 / 138 = 2.17 °C, b = 123 / 138."""
    design = design_house(house(zone("room", CEILING, WALL)))
    void = design.spaces[0]
    assert void.temperature_c == pytest.approx(20 * 15 / 138, abs=1e-5)
    assert void.factor == pytest.approx(123 / 138, abs=1e-6)
    line = next(each for each in design.zones[0].working if each.item == "ceiling")
    assert line.value == pytest.approx(15 * 123 / 138, abs=1e-5)
    assert line.inputs["space"] == "void"
    assert line.inputs["beyond_c"] == pytest.approx(void.temperature_c)
    assert {each.item for each in void.working} == {"ceiling (room)", "tiles", "air", "temperature", "factor"}


def test_a_factor_says_the_same_of_one_room() -> None:
    """The balance's factor put in as beyond = {factor} gives the same loss, at design and in use."""
    balanced = design_house(house(zone("room", CEILING, WALL)))
    factor = balanced.spaces[0].factor
    by_factor = design_house(house(zone("room", replace(CEILING, beyond=Space(factor=factor)), WALL), spaces=()))
    for key in ("heat_loss_w", "in_use_w_per_k"):
        assert getattr(balanced.zones[0], key) == pytest.approx(getattr(by_factor.zones[0], key), abs=1e-3)


def test_what_rooms_lose_to_a_space_the_space_loses_outdoors() -> None:
    """The rooms' watts through their ceilings are those of tiles and air; in all they count in the house."""
    design = design_house(house(zone("warm", CEILING, design_c=22.0), zone("cool", CEILING, design_c=12.0)))
    void = design.spaces[0]
    through = [part.w for each in design.zones for part in each.parts if part.beyond == "space:void"]
    assert sum(through) == pytest.approx(123 * void.temperature_c, abs=1e-3)
    assert design.total_w == pytest.approx(sum(each.heat_loss_w for each in design.zones), abs=1e-4)


def test_a_cool_room_under_a_warm_void_gains() -> None:
    """Much ceiling to a warm room and little roof: the void is warmer than the cold store, which gains from it."""
    tight = replace(VOID, air_changes_per_h=0.1, elements=(replace(TILES, u_w_per_m2k=0.2),))
    warm = zone("warm", replace(CEILING, u_w_per_m2k=4.0), design_c=24.0)
    design = design_house(house(warm, zone("store", CEILING, design_c=8.0), spaces=(tight,)))
    ceiling = next(part for part in design.zones[1].parts if part.beyond == "space:void")
    assert ceiling.w < 0


def test_spaces_can_lie_behind_spaces() -> None:
    """Room, porch, lobby, outdoors with 10 W/K each and no air: the porch stands at two thirds of the difference."""
    still = {"volume_m3": 1.0, "air_changes_per_h": 0.0}
    step = Element(name="step", kind="wall", area_m2=10.0, u_w_per_m2k=1.0)
    porch = UnheatedSpace(id="porch", name="Porch", elements=(replace(step, beyond="space:lobby"),), **still)
    lobby = UnheatedSpace(id="lobby", name="Lobby", elements=(step,), **still)
    design = design_house(house(zone("room", replace(step, beyond="space:porch")), spaces=(porch, lobby)))
    assert [each.temperature_c for each in design.spaces] == pytest.approx([20 * 2 / 3, 20 / 3], abs=1e-5)
    assert any(line.item == "to lobby" for line in design.spaces[0].working)


@pytest.mark.parametrize(("site", "expected"), [({}, 100 / 6), ({"method": "en12831", "outdoor_mean_c": 10.0}, 0)])
def test_the_ground_under_a_space(site: dict[str, Any], expected: float) -> None:
    """Domestic at the full difference; EN 12831-1 at 1.45 U on the annual mean: 10 and 2 or 2.9 W/K."""
    step = Element(name="step", kind="wall", area_m2=10.0, u_w_per_m2k=1.0, beyond="space:cellar")
    earth = Element(name="earth", kind="ground-floor", area_m2=2.0, u_w_per_m2k=1.0, beyond="ground")
    cellar = UnheatedSpace(id="cellar", name="Cellar", volume_m3=1.0, air_changes_per_h=0.0, elements=(earth,))
    found = design_house(house(zone("room", step), spaces=(cellar,), **site)).spaces[0].temperature_c
    assert found == pytest.approx(expected or (10 * 20 + 2.9 * 10) / 12.9, abs=1e-5)


@given(st.lists(st.tuples(st.floats(8, 25), st.floats(1, 60)), min_size=2, max_size=5))
def test_a_neighbourhood_says_what_the_whole_house_says(rooms: list[tuple[float, float]]) -> None:
    """Other rooms under the same roof as one of their mean temperature: every ceiling's share comes out the same."""
    zones = [
        zone(f"r{place}", replace(CEILING, area_m2=area), design_c=temperature)
        for place, (temperature, area) in enumerate(rooms)
    ]
    whole = house(*zones)
    around = nearby(whole)
    for each in whole.zones:
        near, far = room(around[each.id], each).pieces[0], room(whole, each).pieces[0]
        assert near.share == pytest.approx(far.share, abs=1e-9)
        assert near.there.factor == pytest.approx(far.there.factor, abs=1e-9)


def test_what_is_unsure_of_a_space_moves_the_band() -> None:
    """Limits of a space's U and air changes widen the band of the room below, and are ranked among its inputs."""
    unsure = {"u_w_per_m2k": Provenance(kind="assumed", low=0.5, high=4.0)}
    airy = {"air_changes_per_h": Provenance(kind="assumed", low=0.5, high=10.0)}
    loose = replace(VOID, provenance=airy, elements=(replace(TILES, provenance=unsure),))
    sure, wide = (design_house(house(zone("room", CEILING), spaces=(each,))).zones[0] for each in (VOID, loose))
    assert sure.low_w == sure.high_w
    assert wide.low_w < wide.heat_loss_w < wide.high_w
    keys = {(each.zone, each.element, each.key) for each in wide.inputs}
    assert {("space:void", "tiles", "u_w_per_m2k"), ("space:void", None, "air_changes_per_h")} <= keys


def test_a_space_is_an_input_of_the_design() -> None:
    """Another roof over the void is another design; the space's name is not."""
    base = house(zone("room", CEILING))
    other = replace(base, spaces=(replace(VOID, air_changes_per_h=1.0),))
    named = replace(base, spaces=(replace(VOID, name="Loft"),))
    assert design_version(other) != design_version(base)
    assert design_version(named) == design_version(base)


def test_a_floor_on_the_ground_of_a_space_follows_iso_13370() -> None:
    """A cellar floor with a ground table has the U that a room's would have."""
    earth = Element(name="earth", kind="ground-floor", area_m2=20.0, ground=Ground(perimeter_m=10.0))
    cellar = UnheatedSpace(id="void", name="Cellar", volume_m3=40.0, elements=(earth,))
    line = design_house(house(zone("room", CEILING), spaces=(cellar,))).spaces[0].working[0]
    assert line.value == pytest.approx(20 * 0.70, abs=0.1)


def test_without_a_difference_nothing_flows_and_nothing_is_nan() -> None:
    """As warm outside as inside: the ceiling's share is 0, the void as warm as all the rest."""
    design = design_house(house(zone("room", CEILING), outdoor_design_c=20.0))
    assert design.spaces[0].temperature_c == pytest.approx(20)
    assert design.zones[0].heat_loss_w == 0
