"""A house that has used energy for some weeks, under a tariff, for the Use page to show."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from msgspec.structs import replace

from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, EnergyIs, Reading, Source
from ingle.model.tariff import Rate, Tariff
from web.served import HOUSE, Served

TARIFF: Final = Tariff(
    start="2025-04-01",
    currency="GBP",
    tax_percent=20.0,
    standing_per_day=0.614,
    rates=(Rate(per_kwh=0.142, start="00:30", end="07:30", clock="utc"), Rate(per_kwh=0.316)),
)
PRICED: Final = replace(HOUSE, tariffs=(TARIFF,))
DAYS: Final = 30
_STEP: Final = timedelta(minutes=15)


async def start_used(folder: Path, house: House = PRICED, carbon: Path | None = None) -> Served:
    """Serve a house whose vestry drew 1 kW and whose gallery drew 600 W, by its running time, for thirty days.

    The porch never said anything. It was 6 °C outside for the first half, and 2 °C since.
    """
    served = Served(folder)
    served.settings = replace(served.settings, carbon=None if carbon is None else str(carbon))
    await served.start(house)
    served.intake.accept_all(list(_history(served.clock.now())))
    await served.store.write(lambda _: None)
    return served


def _history(now: datetime) -> Iterator[Reading]:
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    start = midnight - timedelta(days=DAYS)
    for step in range(int((now - start) / _STEP)):
        at = start + step * _STEP
        yield _counted("vestry-1", at, 250.0 * step, "metered")
        yield _counted("gallery-1", at, 150.0 * step, "computed")
        yield _counted("gallery-2", at, 0.0, "metered")
        outdoor_c = 6.0 if at < midnight - timedelta(days=DAYS / 2) else 2.0
        yield Reading(source=OUTDOOR, t_ms=to_ms(at), arrived_ms=to_ms(at), temp_c=outdoor_c)


def _counted(heater: str, at: datetime, energy_wh: float, energy_is: EnergyIs) -> Reading:
    t_ms = to_ms(at)
    return Reading(
        source=Source("heater", heater), t_ms=t_ms, arrived_ms=t_ms, energy_wh=energy_wh, energy_is=energy_is
    )
