"""Invented surveys that several tests share, built as values."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from ingle.model.devices import Heater
from ingle.model.envelope import Element, Space
from ingle.model.house import House, Site, Zone
from ingle.model.provenance import Provenance

GABLE = Element(
    name="gable",
    kind="wall",
    area_m2=12.0,
    u_w_per_m2k=1.40,
    provenance={"u_w_per_m2k": Provenance(kind="assumed", low=0.8, high=2.0, note="solid brick, age guessed")},
)
NET_LOFT = Zone(
    id="net-loft",
    name="Net Loft",
    floor_area_m2=25.42,
    volume_m3=58.5,
    design_c=21.0,
    air_changes_per_h=1.0,
    reheat_w_per_m2=12.0,
    bridges_percent=10.0,
    elements=(
        GABLE,
        Element(name="knee walls", kind="wall", area_m2=14.8, u_w_per_m2k=0.35),
        Element(name="slopes", kind="roof", area_m2=34.0, u_w_per_m2k=0.25),
        Element(name="window", kind="window", area_m2=3.2, u_w_per_m2k=1.6),
        Element(name="rooflight", kind="rooflight", area_m2=1.1, u_w_per_m2k=1.8),
        Element(name="floor", kind="floor", area_m2=25.42, u_w_per_m2k=0.60, beyond=Space(factor=0.6)),
    ),
    heaters=(Heater(id="loft-1", rated_w=1500), Heater(id="loft-2", rated_w=750)),
)
TERN_SITE = Site(name="Tern House", timezone="Europe/London", method="domestic", outdoor_design_c=-2.0)


def net_loft(**site: Any) -> House:
    """Return the Net Loft at Haverlock, by the domestic method unless told otherwise."""
    return House(site=replace(TERN_SITE, **site), zones=(NET_LOFT,))


def one_room(*elements: Element, site: dict[str, Any] | None = None, **zone: Any) -> House:
    """Return a house of one plain room, 20 °C inside and 0 °C outside, with these elements and no air change."""
    fields: dict[str, Any] = {
        "id": "room",
        "name": "Room",
        "floor_area_m2": 20.0,
        "volume_m3": 50.0,
        "design_c": 20.0,
        "air_changes_per_h": 0.0,
    }
    outside = replace(TERN_SITE, **({"outdoor_design_c": 0.0} | (site or {})))
    return House(site=outside, zones=(Zone(**(fields | zone), elements=elements),))


def two_rooms(party: Element, *, warm_c: float = 21.0, cool_c: float = 16.0, **site: Any) -> House:
    """Return two rooms with a party element that the first, ``warm``, lists; each has a wall to outside."""
    wall = Element(name="wall", kind="wall", area_m2=10.0, u_w_per_m2k=0.5)
    warm = Zone(id="warm", name="Warm", floor_area_m2=20.0, volume_m3=50.0, design_c=warm_c, elements=(wall, party))
    cool = Zone(id="cool", name="Cool", floor_area_m2=15.0, volume_m3=36.0, design_c=cool_c, elements=(wall,))
    return House(site=replace(TERN_SITE, **site), zones=(warm, cool))
