"""A house whose heaters were metered for five weeks, for the Check page to show what the verdicts rest on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Final

from msgspec.structs import replace

from ingle.commands.service import house_etag
from ingle.model.devices import Sensor
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.model.tariff import Rate, Tariff
from ingle.store import verdicts
from web.served import HOUSE, Served

TARIFF: Final = Tariff(
    start="2025-04-01", currency="GBP", tax_percent=5.0, standing_per_day=0.6, rates=(Rate(per_kwh=0.29),)
)
DAMP: Final = Sensor(id="vestry-air", zone="vestry", measures="humidity")
PRICED: Final = replace(HOUSE, tariffs=(TARIFF,), sensors=(DAMP,))
DAYS: Final = 35
#: What the rooms really lose, and what they are designed to [W/K]: the vestry is worse than its survey.
VESTRY_W_PER_K: Final = 72.0
GALLERY_W_PER_K: Final = 55.0
_STEP: Final = timedelta(minutes=15)
_HOURS: Final = _STEP / timedelta(hours=1)
#: A day on which the vestry's heater was silent from morning to evening, so many days ago.
SILENT_DAYS_AGO: Final = 9


async def start_recorded(folder: Path, house: House = PRICED) -> Served:
    """Serve a house whose vestry loses 72 W/K and is damp, and whose gallery loses 55 W/K; the porch says nothing."""
    served = await Served(folder).start(house)
    served.intake.accept_all(list(_history(served.clock.now())))
    await served.store.write(lambda _: None)
    return served


async def keep_looks(served: Served, days_ago: Sequence[int]) -> None:
    """Keep looks as they would have been taken so many days ago, the oldest first."""
    digest = house_etag(served.live.house)
    for days in days_ago:
        at = served.clock.now() - timedelta(days=days)
        found = await served.verdicts.assess(digest, None, at.isoformat())
        await served.store.write(partial(verdicts.save, assessment=found.assessment, t_ms=to_ms(at), digest=digest))


def _history(now: datetime) -> Iterator[Reading]:
    start = now - timedelta(days=DAYS)
    vestry_wh = gallery_wh = 0.0
    for step in range(int((now - start) / _STEP)):
        at = start + step * _STEP
        days = step * _HOURS / 24
        outdoor_c = 4.0 + 4.0 * math.sin(days * 0.7) + 2.0 * math.sin(2 * math.pi * days)
        swing_k = 0.6 * math.sin(2 * math.pi * days + 1.0)
        vestry_wh += VESTRY_W_PER_K * (19.5 - outdoor_c) * _HOURS
        gallery_wh += GALLERY_W_PER_K * (18.0 - outdoor_c) * _HOURS
        silent = int(days) == DAYS - SILENT_DAYS_AGO and 8 <= at.hour < 20
        if not silent:
            yield _counted("vestry-1", at, 19.5 + swing_k, vestry_wh)
        t_ms = to_ms(at)
        yield Reading(source=Source("sensor", DAMP.id), t_ms=t_ms, arrived_ms=t_ms, humidity_percent=74.0)
        yield _counted("gallery-1", at, 18.0 + swing_k, gallery_wh / 2)
        yield _counted("gallery-2", at, 18.0 + swing_k, gallery_wh / 2)
        yield Reading(source=OUTDOOR, t_ms=t_ms, arrived_ms=t_ms, temp_c=outdoor_c)


def _counted(heater: str, at: datetime, temp_c: float, energy_wh: float) -> Reading:
    t_ms = to_ms(at)
    return Reading(
        source=Source("heater", heater),
        t_ms=t_ms,
        arrived_ms=t_ms,
        temp_c=temp_c,
        energy_wh=round(energy_wh),
        energy_is="metered",
    )
