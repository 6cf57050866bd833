"""Counters that run as told, for reports that add them up."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import datetime, timedelta

from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, EnergyIs, Reading, Source
from ingle.store.readings import insert

QUARTER = timedelta(minutes=15)


def run(
    conn: sqlite3.Connection,
    heater: str,
    watts: Callable[[datetime], float] | float,
    *,
    start: datetime,
    end: datetime,
    kind: EnergyIs = "metered",
    every: timedelta = QUARTER,
) -> float:
    """Let a heater's counter run, a reading at each step; return what it counted [Wh]."""
    readings, counted, at = [], 0.0, start
    while True:
        readings.append(
            Reading(
                source=Source("heater", heater),
                t_ms=to_ms(at),
                arrived_ms=to_ms(at),
                energy_wh=1000.0 + counted,
                energy_is=kind,
            )
        )
        if at >= end:
            break
        counted += (watts(at) if callable(watts) else watts) * (every / timedelta(hours=1))
        at += every
    insert(conn, readings)
    return counted


def outdoors(
    conn: sqlite3.Connection, temp_c: Callable[[datetime], float] | float, *, start: datetime, end: datetime
) -> None:
    """Let the outdoor station report every quarter of an hour."""
    count = int((end - start) / QUARTER)
    times = [start + QUARTER * n for n in range(count)]
    insert(
        conn,
        [
            Reading(
                source=OUTDOOR,
                t_ms=to_ms(at),
                arrived_ms=to_ms(at),
                temp_c=temp_c(at) if callable(temp_c) else temp_c,
            )
            for at in times
        ],
    )
