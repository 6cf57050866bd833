"""A small house with a bit of everything that reports, and what its database holds."""

from __future__ import annotations

import msgspec

from houses import make_house, make_zone
from ingle.model.devices import Heater, Meter, Sensor
from ingle.model.house import House
from ingle.model.readings import Reading, Source
from ingle.store.db import Store
from ingle.store.readings import select

LOFT = Source("heater", "loft-1")
HALL = Source("heater", "hall-1")

HOUSE = make_house(
    make_zone("loft", Heater(id="loft-1", rated_w=1500.0), Heater(id="loft-2", rated_w=500.0)),
    make_zone("hall"),
    make_zone("store"),
    sensors=(
        Sensor(id="loft-air", zone="loft", measures="temperature"),
        Sensor(id="loft-door", zone="loft", measures="opening"),
        Sensor(id="mast", zone="outdoor", measures="temperature"),
    ),
    meters=(Meter(id="main", measures="supply"),),
)


async def stored(store: Store) -> list[Reading]:
    """Return every reading that is committed, after those that wait."""
    await store.write(lambda _: None)
    return await store.read(lambda conn: list(select(conn)))


def renamed(house: House, old: str, new: str) -> House:
    """Return the house with a heater under another id."""
    zones = tuple(
        msgspec.structs.replace(
            zone,
            heaters=tuple(
                msgspec.structs.replace(heater, id=new) if heater.id == old else heater for heater in zone.heaters
            ),
        )
        for zone in house.zones
    )
    return msgspec.structs.replace(house, zones=zones)
