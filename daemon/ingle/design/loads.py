"""Heaters as electrical loads at the voltage that is there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ingle.model.devices import Heater
from ingle.model.house import House, Zone
from ingle.physics.emitters import output_w

#: A fuse in a plug or fused connection unit, BS 1363 and BS 1362 [A].
PLUG_A: Final = 13.0
#: Taken to be drawn with the heat off where a heater's plate does not say [W]: the most that Commission Regulation (EU)
#: 2024/1103 allows in networked standby over radio or mains; an assumption, on the high side.
STANDBY_W: Final = 3.0


def all_heaters(house: House) -> Iterator[tuple[Zone, Heater]]:
    """Yield every heater with its zone."""
    for zone in house.zones:
        for heater in zone.heaters:
            yield zone, heater


def draws_w(heater: Heater, voltage_v: float) -> float:
    """Return what a heater draws at full heat: a resistive one by the voltage, a PTC one as its plate says [W].

    >>> round(draws_w(Heater(id="h", rated_w=3000, rated_v=240), 230))
    2755
    """
    at_voltage = output_w(heater.rated_w, heater.rated_v, voltage_v, heater.element)
    return heater.rated_w if at_voltage is None else at_voltage


def standby_w(heater: Heater) -> float:
    """Return what a heater draws with its heat off [W]."""
    return STANDBY_W if heater.standby_w is None else heater.standby_w


def on_a_plug(heater: Heater) -> bool:
    """Return whether a heater hangs on a plug: it is said, or it can be carried about."""
    return heater.connection == "plug" or (heater.connection is None and heater.portable)
