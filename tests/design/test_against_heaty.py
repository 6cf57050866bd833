"""Whole rooms, held against another program's calculation to EN 12831-1:2017: the package heaty 2020.10b2."""

from __future__ import annotations

from typing import Any

import pytest
from heaty.model.auxiliary import mean_internal_air_temperature, mean_internal_surface_temperature
from heaty.model.building import HeatedSpace, VentilationZone
from heaty.model.climate_data import ClimateData
from heaty.quantity.scalar import Quantity
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from ingle.design import design_house
from ingle.model.design import ZoneDesign
from ingle.model.envelope import AirStream, Element, Ground, Space
from ingle.model.house import House
from ingle.physics.ground import equivalent_u_en12831
from ingle.physics.heat_loss import rise_at_height_k
from surveys import one_room

WALLS = (("wall", 20.2, 0.45), ("window", 1.8, 1.6), ("door", 2.0, 1.8), ("roof", 12.0, 0.25))
# What their zone and room want to be told even where it is nothing (zero is not the same as left out).
NO_AIR_FLOWS = {key: Quantity(0, "m ** 3 / hr") for key in ("V_open", "V_ATD_d", "V_exh", "V_comb")}


def theirs(inside_c: float, outdoor_c: float, floor_m2: float, volume_m3: float, **more: Quantity) -> HeatedSpace:
    """Return a room of theirs with one air change, without elements."""
    climate = ClimateData(
        T_e_d=Quantity(outdoor_c, "degC"), T_e_an=Quantity(10, "degC"), T_e_min=Quantity(outdoor_c, "degC")
    )
    zone = VentilationZone(
        None, "zone", q_env_50=Quantity(0, "m ** 3 / (m ** 2 * hr)"), V_ATD_d=Quantity(0, "m ** 3 / hr")
    )
    given_flows = {
        "V_sup": Quantity(0, "m ** 3 / hr"),
        "V_trf": Quantity(0, "m ** 3 / hr"),
        "T_sup": Quantity(inside_c, "degC"),
        "T_trf": Quantity(inside_c, "degC"),
        "q_hu": Quantity(0, "W / m ** 2"),
        "dT_s": Quantity(0, "K"),
        "dT_rad": Quantity(0, "K"),
        "n_min": Quantity(1, "1 / hr"),
    }
    space = HeatedSpace(
        zone,
        "room",
        climate,
        T_i_d=Quantity(inside_c, "degC"),
        A_fl=Quantity(floor_m2, "m ** 2"),
        V_r=Quantity(volume_m3, "m ** 3"),
        **NO_AIR_FLOWS,
        **(given_flows | more),
    )
    zone.heated_spaces["room"] = space
    return space


def area(m2: float, u: float) -> dict[str, Quantity]:
    """Return the size of an element of theirs."""
    return {"A": Quantity(m2, "m ** 2"), "U": Quantity(u, "W / (m ** 2 * K)")}


def add_outside(space: HeatedSpace, m2: float, u: float, bridges: float) -> None:
    """Give a room of theirs an element to outside."""
    space.add_building_element(category="exterior", dU_tb=Quantity(bridges, "W / (m ** 2 * K)"), **area(m2, u))


def add_adjacent(space: HeatedSpace, m2: float, u: float, there_c: float) -> None:
    """Give a room of theirs an element to a heated room."""
    space.add_building_element(category="adjacent_heated_space", T_adj=Quantity(there_c, "degC"), **area(m2, u))


def add_slab(space: HeatedSpace, bridges: float, water: float = 1.0) -> None:
    """Give a room of theirs the bare slab of 12 m² with 10 m exposed; ``water`` is their factor of ground water."""
    space.add_building_element(
        category="ground",
        A_g=Quantity(12, "m ** 2"),
        P=Quantity(10, "m"),
        dU_tb=Quantity(bridges, "W / (m ** 2 * K)"),
        z=Quantity(0, "m"),
        f_gw=water,
        **area(12, 1 / 0.21),
    )


def ours(*elements: Element, outdoor_c: float = -3.0, **zone: Any) -> House:
    """Return a house of one room after EN 12831-1 with one air change."""
    given_zone = {"air_changes_per_h": 1.0, "volume_m3": 28.8, "floor_area_m2": 12.0, "design_c": 21.0} | zone
    house = one_room(*elements, site={"method": "en12831", "outdoor_mean_c": 10.0}, **given_zone)
    return replace(house, site=replace(house.site, outdoor_design_c=outdoor_c))


def only(house: House) -> ZoneDesign:
    """Return the design of a house's only room."""
    return design_house(house).zones[0]


def watts(quantity: Quantity) -> float:
    """Return a power of theirs [W]."""
    return float(quantity.to("W").magnitude)


@pytest.mark.parametrize(
    ("bridges", "reheat", "transmission", "total"),
    [(0.0, 0.0, 698.79, 933.79), (0.10, 0.0, 786.23, 1021.24), (0.10, 11.0, 786.23, 1153.24)],
)
def test_the_test_room(bridges: float, reheat: float, transmission: float, total: float) -> None:
    """4 x 3 x 2.4 m at 21 °C, -3 °C outside, with a house wall to 18 °C and a slab: equal in every part.

    The slab enters ours with the fitted U of EN 12831-1, on soil of 2.0 W/(m·K), as theirs; on clay ISO 13370 has less.
    """
    their = theirs(21, -3, 12, 28.8, q_hu=Quantity(reheat, "W / m ** 2"))
    for _, m2, u in WALLS:
        add_outside(their, m2, u, bridges)
    add_adjacent(their, 9.6, 1.7, 18)
    add_slab(their, bridges)
    assert watts(their.Q_trm) == pytest.approx(transmission, abs=0.02)
    assert watts(their.Q_load) == pytest.approx(total, abs=0.02)

    slab_u = equivalent_u_en12831(2.4, 1 / 0.21 + bridges)
    zone = only(
        ours(
            *(Element(name=kind, kind=kind, area_m2=m2, u_w_per_m2k=u) for kind, m2, u in WALLS),
            Element(name="house wall", kind="party", area_m2=9.6, u_w_per_m2k=1.7, beyond=Space(temperature_c=18.0)),
            Element(name="slab", kind="ground-floor", area_m2=12.0, u_w_per_m2k=slab_u, beyond="ground"),
            bridges_w_per_m2k=bridges,
            reheat_w_per_m2=reheat,
        )
    )
    through = (zone.fabric_w_per_k + zone.bridges_w_per_k) * 24
    assert through == pytest.approx(watts(their.Q_trm), abs=0.02)
    assert zone.ventilation_w_per_k * 24 == pytest.approx(watts(their.Q_ven), abs=0.02)
    assert zone.heat_loss_w == pytest.approx(watts(their.Q_load), abs=0.02)


@pytest.mark.parametrize(("depth_m", "factor"), [(None, 1.0), (0.4, 1.15), (3.0, 1.0)])
def test_ground_water_near_the_floor(depth_m: float | None, factor: float) -> None:
    """Less than a metre below it carries away 15 % more, in theirs and in ours; the sheet says so."""
    dry, wet = (theirs(21, -3, 12, 28.8) for _ in range(2))
    add_slab(dry, 0.0)
    add_slab(wet, 0.0, factor)
    slab = Element(
        name="slab", kind="ground-floor", area_m2=12.0, ground=Ground(perimeter_m=10.0, water_table_m=depth_m)
    )
    zone = only(ours(slab))
    known = only(ours(replace(slab, ground=Ground(perimeter_m=10.0))))
    assert zone.fabric_w_per_k / known.fabric_w_per_k == pytest.approx(watts(wet.Q_trm) / watts(dry.Q_trm), rel=1e-5)
    line = next(each for each in zone.working if each.item == "slab")
    assert ("1.15" in line.formula) == (factor > 1)
    assert zone.in_use_w_per_k == known.in_use_w_per_k


def test_the_bedroom_that_gains() -> None:
    """18 °C beside 21 and 18 °C, -2 °C outside: -55.4 W from the warm room, 544.30 W in all, in theirs and in ours."""
    their = theirs(18, -2, 10, 23.52)
    outside = (("wall", 7.6, 1.5), ("window", 1.7, 2.8), ("wall", 9.8, 0.4))
    for _, m2, u in outside:
        add_outside(their, m2, u, 0.1)
    add_adjacent(their, 8.4, 2.2, 21)
    add_adjacent(their, 6.0, 2.2, 18)
    assert watts(their.Q_load) == pytest.approx(544.30, abs=0.02)
    party = Element(name="warm", kind="party", area_m2=8.4, u_w_per_m2k=2.2, beyond=Space(temperature_c=21.0))
    zone = only(
        ours(
            *(Element(name=f"{kind} {u}", kind=kind, area_m2=m2, u_w_per_m2k=u) for kind, m2, u in outside),
            party,
            replace(party, name="level", area_m2=6.0, beyond=Space(temperature_c=18.0)),
            outdoor_c=-2.0,
            design_c=18.0,
            floor_area_m2=10.0,
            volume_m3=23.52,
            bridges_w_per_m2k=0.1,
        )
    )
    assert zone.heat_loss_w == pytest.approx(watts(their.Q_load), abs=0.02)
    warm = next(part for part in zone.parts if part.item == "warm")
    assert warm.w == pytest.approx(-55.44, abs=0.01)


@given(
    inside=st.floats(15, 25),
    outdoor=st.floats(-20, 5),
    there=st.floats(5, 26),
    supply=st.floats(5, 26),
    u=st.floats(0.1, 5),
    m2=st.floats(1, 100),
    m3_per_h=st.floats(1, 28),
)
def test_any_room_of_wall_neighbour_and_supply_air(
    inside: float, outdoor: float, there: float, supply: float, u: float, m2: float, m3_per_h: float
) -> None:
    """Whatever the temperatures, ours is theirs; they take the supply off the room's one air change, so do we here."""
    flows = {"V_sup": Quantity(m3_per_h, "m ** 3 / hr"), "T_sup": Quantity(supply, "degC")}
    their = theirs(inside, outdoor, 12, 28.8, **flows)
    add_outside(their, m2, u, 0.05)
    add_adjacent(their, m2, u, there)
    party = Element(name="party", kind="party", area_m2=m2, u_w_per_m2k=u, beyond=Space(temperature_c=there))
    zone = only(
        ours(
            Element(name="wall", kind="wall", area_m2=m2, u_w_per_m2k=u),
            party,
            outdoor_c=outdoor,
            design_c=inside,
            bridges_w_per_m2k=0.05,
            air_changes_per_h=1 - m3_per_h / 28.8,
            air=(AirStream(name="supply", m3_per_h=m3_per_h, source=Space(temperature_c=supply)),),
        )
    )
    # They round each quantity to six figures.
    scale = abs(watts(their.Q_ven)) + m2 * u * 2 * (inside - outdoor)
    assert zone.heat_loss_w == pytest.approx(watts(their.Q_load), abs=2e-5 * scale + 1e-3)


@given(gradient=st.floats(0.01, 2), height=st.floats(4, 20))
def test_warmer_air_at_height(gradient: float, height: float) -> None:
    """Surface and mean air of a high room are as much warmer as theirs (EN 12831-1:2017, B.2.6)."""
    at = {"T_i_d": Quantity(20, "degC"), "gT_a": Quantity(gradient, "K / m"), "h": Quantity(height, "m")}
    surface = mean_internal_surface_temperature(**at, dT_s=Quantity(0, "K"))
    air = mean_internal_air_temperature(**at, dT_rad=Quantity(0, "K"))
    assert 20 + rise_at_height_k(gradient, height) == pytest.approx(surface, abs=1e-3)
    assert 20 + rise_at_height_k(gradient, height / 2) == pytest.approx(air, abs=1e-3)
