"""Air at temperatures of its own, the least air there is, and rooms so high that their air is warmer above."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from ingle.design import design_house, design_version
from ingle.model.design import ZoneDesign
from ingle.model.envelope import AirStream, Element, Space, UnheatedSpace
from ingle.model.house import House, Site, Zone
from ingle.model.provenance import Provenance
from surveys import one_room, two_rooms

PARTY = Element(name="partition", kind="party", area_m2=12.0, u_w_per_m2k=1.7, beyond="zone:cool")


def stream(source: str | Space, m3_per_h: float = 60.0) -> AirStream:
    """Return a stream of air."""
    return AirStream(name="supply", m3_per_h=m3_per_h, source=source)


def only(*elements: Element, **zone: Any) -> ZoneDesign:
    """Return the design of one room, 20 °C inside and 0 °C outside, domestic."""
    return design_house(one_room(*elements, **zone)).zones[0]


@pytest.mark.parametrize(
    ("source", "share"),
    [
        ("outside", 1.0),
        (Space(factor=0.25), 0.25),
        (Space(temperature_c=15.0), 0.25),
        (Space(temperature_c=24.0), -0.2),
    ],
)
def test_supply_air_counts_at_its_own_temperature(source: str | Space, share: float) -> None:
    """60 m³/h is 19.8 W/K of outdoor air; a quarter with 75 % heat recovery or at 15 °C, less than none if warmer."""
    zone = only(air=(stream(source),))
    assert zone.ventilation_w_per_k == pytest.approx(19.8 * share)
    line = next(each for each in zone.working if each.item == "supply")
    assert line.value == pytest.approx(19.8 * share)
    assert sum(part.w_per_k for part in zone.parts) == pytest.approx(zone.heat_loss_w_per_k)


def test_en12831_has_its_own_constant_for_streams() -> None:
    """0.34 Wh/(m³·K): 20.4 W/K."""
    assert only(air=(stream("outside"),), site={"method": "en12831"}).ventilation_w_per_k == pytest.approx(20.4)


def test_air_from_another_room_is_warmed_the_rest_of_the_way() -> None:
    """50 m³/h from 16 to 21 °C: 82.5 W here, in the room and in the house, since it leaves the house from here."""
    house = two_rooms(PARTY)
    drawn = replace(house, zones=(replace(house.zones[0], air=(stream("zone:cool", 50.0),)), house.zones[1]))
    plain, aired = design_house(house), design_house(drawn)
    assert aired.zones[0].heat_loss_w - plain.zones[0].heat_loss_w == pytest.approx(0.33 * 50 * 5, abs=1e-4)
    assert aired.total_w - plain.total_w == pytest.approx(82.5, abs=1e-4)
    assert aired.zones[1] == plain.zones[1]
    assert aired.zones[0].in_use_w_per_k == pytest.approx(plain.zones[0].in_use_w_per_k)


def test_air_from_an_unheated_space_comes_at_its_temperature() -> None:
    """A porch half-way between: half of the full 19.8 W/K, and in use by its factor."""
    step = Element(name="step", kind="wall", area_m2=10.0, u_w_per_m2k=1.0)
    porch = UnheatedSpace(id="porch", name="Porch", volume_m3=5.0, air_changes_per_h=0.0, elements=(step,))
    base = one_room(replace(step, beyond="space:porch"), air=(stream("space:porch"),))
    zone = design_house(replace(base, spaces=(porch,))).zones[0]
    assert zone.ventilation_w_per_k == pytest.approx(9.9)
    assert zone.in_use_w_per_k == pytest.approx(9.9 + 5.0)


@pytest.mark.parametrize(
    ("use", "built", "method", "least"),
    [
        ("bath", 1930, "domestic", 3.0),
        ("living", 1999, "domestic", 1.5),
        ("living", 2000, "domestic", 0.5),
        ("living", None, "domestic", 0.5),
        ("living", 1960, "en12831", 1.0),
        ("store", 2010, "en12831", 0.25),
    ],
)
def test_the_least_air_goes_by_use_and_age(use: str, built: int | None, method: str, least: float) -> None:
    """The sheet names the lower bound and its source; the figure itself is left as surveyed."""
    house = one_room(use=use, air_changes_per_h=0.1, site={"method": method, "built": built})
    zone = design_house(house).zones[0]
    line = next(each for each in zone.working if each.item == "least air changes")
    assert line.value == least
    assert zone.ventilation_w_per_k == pytest.approx({"domestic": 0.33, "en12831": 0.34}[method] * 0.1 * 50)
    assert any(f"less than the {least:g} that" in each for each in zone.warnings)


def test_enough_air_needs_no_word() -> None:
    """From what people need on nothing is said; the sheet alone has what is usual beyond that."""
    assert not any("less than the" in each for each in only(air_changes_per_h=0.5).warnings)


TALL = {"height_m": 8.0, "volume_m3": None, "air_gradient_k_per_m": 1.0, "air_changes_per_h": 0.5}
SHELL = (
    Element(name="wall", kind="wall", area_m2=60.0, u_w_per_m2k=1.0),
    Element(name="roof", kind="roof", area_m2=20.0, u_w_per_m2k=0.5),
    Element(name="floor", kind="floor", area_m2=20.0, u_w_per_m2k=0.8, beyond=Space(factor=0.5)),
)


def test_a_high_room_by_hand() -> None:
    """8 m at 1 K/m: wall and air 3 K up, roof 7 K up, floor 1 K down.

    60 x 3 + 10 x 7 - 16 x 1 + 0.33 x 0.5 x 160 x 3 = 313.2 W on top, 15.66 W/K at 20 K (EN 12831-1:2017, B.2.6).
    """
    zone = only(*SHELL, **TALL)
    level = only(*SHELL, **(TALL | {"air_gradient_k_per_m": None}))
    assert zone.high_room_w_per_k == pytest.approx(313.2 / 20)
    assert zone.heat_loss_w - level.heat_loss_w == pytest.approx(313.2, abs=1e-3)
    assert zone.in_use_w_per_k > level.in_use_w_per_k
    assert sum(part.w for part in zone.parts) == pytest.approx(zone.heat_loss_w)
    assert any("counts as high" in each for each in level.warnings)
    assert not any("counts as high" in each for each in zone.warnings)


def test_below_four_metres_height_counts_nothing() -> None:
    """A gradient in a room of ordinary height changes nothing."""
    assert only(*SHELL, **(TALL | {"height_m": 3.9})).high_room_w_per_k == 0


def test_the_gradient_and_the_streams_are_inputs_of_the_design() -> None:
    """Each makes another version; limits of the gradient move the band."""
    plain = one_room(*SHELL, **TALL)
    others = [
        one_room(*SHELL, **(TALL | more)) for more in ({"air_gradient_k_per_m": 0.5}, {"air": (stream("outside"),)})
    ]
    assert len({design_version(each) for each in (plain, *others)}) == 3
    unsure = {"air_gradient_k_per_m": Provenance(kind="assumed", low=0.5, high=1.5)}
    zone = only(*SHELL, **TALL, provenance=unsure)
    assert zone.low_w < zone.heat_loss_w < zone.high_w


rooms = st.lists(st.floats(8, 26), min_size=2, max_size=5)


@given(temperatures=rooms, us=st.lists(st.floats(0.1, 5), min_size=4, max_size=4), high=st.booleans())
def test_heat_moved_between_rooms_sums_to_zero(temperatures: list[float], us: list[float], *, high: bool) -> None:
    """In a row of rooms every watt that one gives through a partition another gets; the total is that without them."""
    wall = Element(name="wall", kind="wall", area_m2=10.0, u_w_per_m2k=0.5)

    def row(*, joined: bool) -> House:
        zones = []
        for place, temperature in enumerate(temperatures):
            party = Element(
                name="party", kind="party", area_m2=9.0, u_w_per_m2k=us[place % 4], beyond=f"zone:r{place + 1}"
            )
            own = (wall, party) if joined and place + 1 < len(temperatures) else (wall,)
            tall = {"air_gradient_k_per_m": 1.0, "height_m": 6.0} if high else {"height_m": 2.4}
            zones.append(
                Zone(id=f"r{place}", name="R", floor_area_m2=9.0, design_c=temperature, elements=own, **tall)  # type: ignore[arg-type]  # one table of keys
            )
        return House(site=Site(name="Row", outdoor_design_c=-5.0), zones=tuple(zones))

    joined, apart = design_house(row(joined=True)), design_house(row(joined=False))
    moved = [part.w for zone in joined.zones for part in zone.parts if (part.beyond or "").startswith("zone:")]
    assert sum(moved) == pytest.approx(0, abs=1e-3)
    assert joined.total_w == pytest.approx(apart.total_w, abs=1e-3)
