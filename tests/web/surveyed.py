"""An invented house that is surveyed, small enough to know by heart: a loft, a hall beside it, and a store."""

from __future__ import annotations

from msgspec.structs import replace

from ingle.model.devices import Heater
from ingle.model.envelope import Element
from ingle.model.house import House, Zone
from ingle.model.provenance import Provenance
from surveys import NET_LOFT, TERN_SITE

HALL = Zone(
    id="hall",
    name="Hall",
    use="hall",
    floor_area_m2=18.0,
    height_m=2.5,
    design_c=18.0,
    air_changes_per_h=0.8,
    bridges_percent=10.0,
    elements=(
        Element(
            name="street wall",
            kind="wall",
            width_m=6.0,
            height_m=2.5,
            openings=("front door", "stair window"),
            u_w_per_m2k=1.05,
            provenance={"u_w_per_m2k": Provenance(kind="measured", low=0.9, high=1.2, note="two plates, a week")},
        ),
        Element(name="front door", kind="door", width_m=1.0, height_m=2.1, u_w_per_m2k=2.2),
        Element(name="stair window", kind="window", width_m=1.2, height_m=1.0, u_w_per_m2k=1.8),
        Element(name="wall to the loft", kind="party", area_m2=9.0, u_w_per_m2k=1.6, beyond="zone:net-loft"),
        Element(name="flags", kind="floor", area_m2=18.0, u_w_per_m2k=0.7),
    ),
    heaters=(Heater(id="hall-1", rated_w=750.0),),
)
STORE = Zone(id="store", name="Store", floor_area_m2=6.0, height_m=2.2, design_c=12.0, given_w_per_k=11.0)
SURVEYED = House(site=replace(TERN_SITE, supply_cap_a=60.0), zones=(NET_LOFT, HALL, STORE))
