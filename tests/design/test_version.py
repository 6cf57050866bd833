"""The version changes with the design's inputs and with nothing else."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from ingle.design import design_house, design_version
from ingle.model.devices import Heater
from ingle.model.envelope import Element, Ground
from ingle.model.house import House
from ingle.model.provenance import Provenance
from ingle.model.week import Levels, Period, Programme
from surveys import GABLE, NET_LOFT, net_loft, two_rooms


def changed_zone(**change: Any) -> House:
    """Return the Net Loft with other fields of its zone."""
    house = net_loft()
    return replace(house, zones=(replace(house.zones[0], **change),))


def changed_gable(**change: Any) -> House:
    """Return the Net Loft with another gable."""
    return changed_zone(elements=(replace(GABLE, **change), *NET_LOFT.elements[1:]))


SAME = {
    "programme": replace(
        net_loft(),
        programmes=(Programme(zone="net-loft", days=("mon",), periods=(Period(start="06:00", end="09:00"),)),),
    ),
    "house name": net_loft(name="Quay Chapel"),
    "levels": net_loft(levels=Levels(occupied_c=22.0)),
    "zone name": changed_zone(name="Sail Loft"),
    "heaters": changed_zone(heaters=(Heater(id="other", rated_w=2000),)),
    "orientation": changed_gable(faces_deg=180.0),
    "note": changed_gable(provenance={"u_w_per_m2k": Provenance(kind="assumed", low=0.8, high=2.0, note="seen again")}),
    "whole numbers": changed_zone(design_c=21),
    "capacity": changed_zone(thermal_mass="heavy", capacity_wh_per_k=3000.0),
}
OTHER = {
    "method": net_loft(method="en12831"),
    "outdoor": net_loft(outdoor_design_c=-3.0),
    "mean": net_loft(outdoor_mean_c=10.0),
    "inside": changed_zone(design_c=20.0),
    "air": changed_zone(air_changes_per_h=0.9),
    "reheat": changed_zone(reheat_w_per_m2=0.0),
    "warm-up": changed_zone(warm_up_h=2.0, warm_up_from_c=16.0),
    "warm-up of a heavy room": changed_zone(warm_up_h=2.0, warm_up_from_c=16.0, thermal_mass="heavy"),
    "area": changed_gable(area_m2=12.1),
    "u": changed_gable(u_w_per_m2k=1.41),
    "limits": changed_gable(provenance={"u_w_per_m2k": Provenance(kind="assumed", low=0.9, high=2.0)}),
    "ground": changed_zone(
        elements=(*NET_LOFT.elements, Element(name="g", kind="ground-floor", area_m2=1, ground=Ground(perimeter_m=1)))
    ),
}


@pytest.mark.parametrize("case", SAME)
def test_what_is_no_input_of_the_design_keeps_the_version(case: str) -> None:
    """Programmes, names, levels, heaters, the sun's data and notes make no new design."""
    assert design_version(SAME[case]) == design_version(net_loft())


@pytest.mark.parametrize("case", OTHER)
def test_every_input_of_the_design_makes_a_new_version(case: str) -> None:
    """All differ from the original, and from one another."""
    versions = {name: design_version(house) for name, house in OTHER.items()}
    assert versions[case] != design_version(net_loft())
    assert len(set(versions.values())) == len(OTHER)


def test_the_order_of_zones_is_no_input() -> None:
    """The same rooms in another order are the same design."""
    house = two_rooms(Element(name="p", kind="party", area_m2=5.0, u_w_per_m2k=1.0, beyond="zone:cool"))
    assert design_version(replace(house, zones=house.zones[::-1])) == design_version(house)


def test_the_design_carries_its_version() -> None:
    """16 hexadecimal digits."""
    design = design_house(net_loft())
    assert design.design_version == design_version(net_loft())
    assert len(design.design_version) == 16
    assert int(design.design_version, 16) >= 0
