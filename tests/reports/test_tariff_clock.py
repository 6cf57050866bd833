"""The tariff-clock cause, from readings in a database to the verdicts of a room."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from databases import fresh
from houses import make_house, make_zone
from ingle.design import design_house
from ingle.model.devices import Heater
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.model.tariff import Rate, Tariff
from ingle.model.verdicts import Cause
from ingle.reports.assess import assess
from ingle.store.readings import insert

LONDON = ZoneInfo("Europe/London")
#: 7 h cheap on UTC, whatever the clocks on the wall do.
TARIFF = Tariff(
    start="2025-04-01",
    currency="GBP",
    tax_percent=20.0,
    rates=(
        Rate(per_kwh=0.142, start="00:30", end="07:30", clock="utc"),
        Rate(per_kwh=0.316, start="07:30", end="00:30", clock="utc"),
    ),
)
HOUSE = make_house(
    make_zone("lobby", Heater(id="lobby-1", rated_w=9000.0, kind="storage"), given_w_per_k=150.0),
    make_zone("loft", Heater(id="loft-1", rated_w=2000.0), given_w_per_k=70.0),
    tariffs=(TARIFF,),
)
#: Clocks go back on 25 October; ten nights of the old block follow.
START, END = datetime(2026, 10, 18, 12, tzinfo=UTC), datetime(2026, 11, 3, 12, tzinfo=UTC)


def wall(first: str, last: str) -> Callable[[datetime], bool]:
    """Return whether a timer on the wall's clock is on."""
    return lambda at: first <= f"{at.astimezone(LONDON):%H:%M}" < last


def fill(conn: sqlite3.Connection, heater: str, power_w: float, on: Callable[[datetime], bool]) -> None:
    """Store a heater's counter and temperature every five minutes."""
    readings, counter = [], 0.0
    at = START
    while at < END:
        watts = power_w if on(at) else 0.0
        t_ms = to_ms(at)
        readings.append(
            Reading(
                source=Source("heater", heater),
                t_ms=t_ms,
                arrived_ms=t_ms,
                power_w=watts,
                energy_wh=round(counter),
                temp_c=19.0,
                energy_is="metered",
            )
        )
        counter += watts / 12
        at += timedelta(minutes=5)
    insert(conn, readings)


def causes(house: House, conn: sqlite3.Connection) -> dict[str, list[Cause]]:
    """Return each room's tariff-clock causes as the verdicts have them."""
    found = assess(conn, house, design_house(house))
    return {zone.id: [cause for cause in zone.causes if cause.code == "tariff-clock"] for zone in found.zones}


def test_a_charge_that_clocks_left_outside_its_window() -> None:
    """60 min x 9 kW x 10 nights at 31.6, not 14.2: 90 kWh, 15.66 before tax (by hand); the right block is said."""
    with fresh() as conn:
        fill(conn, "lobby-1", 9000.0, wall("01:30", "08:30"))
        fill(conn, "loft-1", 2000.0, wall("06:30", "09:00"))
        insert(conn, [Reading(source=OUTDOOR, t_ms=to_ms(START), arrived_ms=to_ms(START), temp_c=6.0)])
        found = causes(HOUSE, conn)
        silent = causes(make_house(*HOUSE.zones), conn)
    assert found["loft"] == []
    assert silent == {"lobby": [], "loft": []}
    (cause,) = found["lobby"]
    assert "90.0 kWh at the wrong rate, 15.66 GBP lost before tax" in cause.evidence
    assert "lobby-1 runs from 01:30 to 08:30: 60 min past the end of the cheap window at 07:30" in cause.evidence
    assert "10 nights in a row to 2026-11-03" in cause.evidence
    assert "00:30 to 07:30" in cause.check_next
    assert "moves by an hour" in cause.check_next
    assert cause.kwh == pytest.approx(270.0, abs=0.5)
    assert cause.money == pytest.approx(15.66 * 3 * 1.2, abs=0.05)
    assert cause.currency == "GBP"
    assert cause.money is not None
    assert cause.money_low is not None
    assert cause.money_low <= cause.money


def test_the_shifted_block_is_left_alone() -> None:
    """Once the timer is set as advised nothing is named."""
    with fresh() as conn:
        fill(conn, "lobby-1", 9000.0, lambda at: "00:30" <= f"{at:%H:%M}" < "07:30")
        assert causes(HOUSE, conn)["lobby"] == []
