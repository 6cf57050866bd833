"""What a flaw costs in 30 days, from the store to the line that a person reads."""

from __future__ import annotations

from contextlib import closing
from decimal import Decimal
from pathlib import Path

import pytest

from ingle.design import design_house
from ingle.model.verdicts import Assessment
from ingle.reports.assess import assess, has_finding, summary
from ingle.reports.flaw_cost import Price, money_of
from ingle.store.connect import open_writer
from ingle.store.houses import save
from ingle.store.readings import insert
from ingle.verdict.causes.amounts import of_power
from verdict.still import FILE, START_MS, still_house, still_readings

FLAT = """
[[tariff]]
from = "2026-01-01"
currency = "GBP"
tax_percent = 20
standing_per_day = 0.5
rates = [{ per_kwh = 0.257 }]
"""


def assessed(tmp_path: Path, file: str, hall_w_per_k: float = 60) -> Assessment:
    """Return the verdicts of a still house whose hall loses so much."""
    house = still_house(file)
    with closing(open_writer(tmp_path / "ingle.db")) as conn:
        conn.execute("BEGIN IMMEDIATE")
        save(conn, house, who="Wenna Trask", why="survey", t_ms=START_MS)
        insert(conn, list(still_readings(hall_w_per_k, 30, 30, every_s=900)))
        conn.execute("COMMIT")
        return assess(conn, house, design_house(house))


def test_29_watts_per_kelvin_for_a_month() -> None:
    """29 W/K over 14.5 K for 30 days is 302.76 kWh: 77.81 at 25.7 p before tax, 93.37 with 20 %."""
    kwh = of_power(29 * 14.5, 0.0).kwh
    assert kwh == pytest.approx(302.76)
    assert money_of(kwh, Price(Decimal("0.257"), "GBP")) == 77.81
    assert money_of(kwh, Price(Decimal("0.257") * Decimal("1.2"), "GBP")) == 93.37


def test_a_leak_has_its_price_with_a_band(tmp_path: Path) -> None:
    """20 W/K more over 15 K for 30 days is 216 kWh; at 25.7 p and 20 % tax 66.61."""
    result = assessed(tmp_path, FILE + FLAT)
    leak = next(cause for cause in result.zones[0].causes if cause.code == "leak")
    assert leak.kwh == pytest.approx(216, rel=0.02)
    assert leak.currency == "GBP"
    assert leak.kwh is not None
    assert leak.money == pytest.approx(leak.kwh * 0.257 * 1.2, abs=0.02)
    assert leak.money_low is not None
    assert leak.money_high is not None
    assert leak.money_low < leak.money < leak.money_high
    text = summary(result, lambda _, __: "")
    assert f"{leak.money:,.2f} GBP ({leak.money_low:,.2f} to {leak.money_high:,.2f}) with tax" in text
    assert has_finding(result)


def test_a_room_is_priced_by_the_hours_it_heats_in(tmp_path: Path) -> None:
    """Two rates for half a day each, and heat at all hours: the mean of both."""
    two = '{ per_kwh = 0.10, from = "00:00", to = "12:00" }, { per_kwh = 0.30 }'
    file = FILE + FLAT.replace("{ per_kwh = 0.257 }", two)
    leak = next(cause for cause in assessed(tmp_path, file).zones[0].causes if cause.code == "leak")
    assert leak.kwh is not None
    assert leak.money == pytest.approx(leak.kwh * 0.20 * 1.2, rel=0.01)


def test_without_a_tariff_a_flaw_has_energy_and_no_money(tmp_path: Path) -> None:
    """Nothing is made up."""
    leak = next(cause for cause in assessed(tmp_path, FILE).zones[0].causes if cause.code == "leak")
    assert leak.kwh is not None
    assert leak.money is None
    assert leak.currency is None
