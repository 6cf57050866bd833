"""Where the heat goes, part by part."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from ingle.design import design_house
from ingle.model.envelope import Element
from surveys import net_loft, one_room, two_rooms


def test_the_net_loft_by_part() -> None:
    """Each element, the bridges and the air of the loft have their watts at design, in the order of the sheet."""
    zone = design_house(net_loft()).zones[0]
    assert [(part.kind, part.name, part.element) for part in zone.parts] == [
        ("wall", "gable", 0),
        ("wall", "knee walls", 1),
        ("roof", "slopes", 2),
        ("window", "window", 3),
        ("rooflight", "rooflight", 4),
        ("floor", "floor", 5),
        ("bridges", "thermal bridges", None),
        ("air", "ventilation", None),
    ]
    assert zone.parts[0].w == pytest.approx(12.0 * 1.40 * 23.0)
    assert zone.parts[5].beyond == "factor"
    assert {part.item for part in zone.parts} <= {line.item for line in zone.working}


@given(
    area=st.floats(0.1, 200),
    u=st.floats(0.05, 5),
    bridges=st.floats(0, 50),
    air=st.floats(0, 5),
    reheat=st.floats(0, 50),
    inside=st.floats(5, 30),
)
def test_the_parts_add_up_to_the_loss(
    area: float, u: float, bridges: float, air: float, reheat: float, inside: float
) -> None:
    """Nothing of a room's loss but its reheat is outside its parts."""
    wall = Element(name="wall", kind="wall", area_m2=area, u_w_per_m2k=u, psi_w_per_mk=0.1, psi_length_m=4.0)
    floor = Element(name="floor", kind="ground-floor", area_m2=20.0, u_w_per_m2k=0.4)
    zone = design_house(
        one_room(wall, floor, bridges_percent=bridges, air_changes_per_h=air, reheat_w_per_m2=reheat, design_c=inside)
    ).zones[0]
    assert sum(part.w for part in zone.parts) == pytest.approx(zone.heat_loss_w - zone.reheat_w, abs=1e-3)
    assert sum(part.w_per_k for part in zone.parts) == pytest.approx(zone.heat_loss_w_per_k, abs=1e-4)


def test_a_party_wall_is_a_part_of_both_rooms() -> None:
    """What one room gives through a party wall the other takes; both say where the house file lists it."""
    party = Element(name="party wall", kind="party", area_m2=9.0, u_w_per_m2k=1.5, beyond="zone:cool")
    warm, cool = design_house(two_rooms(party)).zones
    gives = next(part for part in warm.parts if part.kind == "party")
    takes = next(part for part in cool.parts if part.kind == "party")
    assert gives.w == pytest.approx(-takes.w)
    assert gives.w > 0
    assert (gives.zone, gives.element, gives.beyond) == ("warm", 1, "zone:cool")
    assert (takes.zone, takes.element, takes.beyond) == ("warm", 1, "zone:warm")
    assert takes.item in {line.item for line in cool.working}


def test_a_room_given_as_a_whole_is_one_part() -> None:
    """Where one number stands for the whole room, that number is its only part beside the links."""
    house = net_loft()
    given_room = replace(house.zones[0], given_w_per_k=42.0)
    zone = design_house(replace(house, zones=(given_room,))).zones[0]
    assert [(part.kind, part.w_per_k) for part in zone.parts] == [("given", 42.0)]
