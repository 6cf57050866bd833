"""Costs: each quarter-hour at its rate, sums to the penny, what is not known said and not taken for nothing."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from databases import fresh
from houses import make_house, make_zone
from ingle.errors import BadInput, Unknown
from ingle.model.costs import Costs
from ingle.model.devices import Heater
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.tariff import Rate, Tariff
from ingle.reports.cost import costs
from ingle.store import houses, prices
from ingle.store.connect import open_writer
from ingle.store.rollups import settle
from reports.metered import run

LONDON = ZoneInfo("Europe/London")
NIGHT = Rate(per_kwh=0.142, start="00:30", end="07:30", clock="utc")
TWO_RATE = Tariff(
    start="2026-01-01",
    currency="GBP",
    tax_percent=20.0,
    standing_per_day=0.614,
    rates=(NIGHT, Rate(per_kwh=0.316)),
)
START = datetime(2026, 1, 1, tzinfo=LONDON)
END = datetime(2026, 2, 1, tzinfo=LONDON)
LATER = datetime(2027, 1, 1, tzinfo=UTC)
HOUR = timedelta(hours=1)


def house(*tariffs: Tariff) -> House:
    """Return a house of two rooms and three heaters."""
    two = (Heater(id="loft-1", rated_w=2000.0), Heater(id="loft-2", rated_w=2000.0))
    return make_house(make_zone("loft", *two), make_zone("hall", Heater(id="hall-1", rated_w=2000.0)), tariffs=tariffs)


HOUSE = house(TWO_RATE)


@pytest.fixture(name="conn")
def _conn(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    link = open_writer(tmp_path / "ingle.db")
    link.execute("BEGIN IMMEDIATE")
    yield link
    link.undo()
    link.close()


def of(conn: sqlite3.Connection, *, house: House = HOUSE, start: datetime = START, end: datetime = END) -> Costs:
    """Return the costs of a span, long after it."""
    return costs(conn, house, start, end, now=LATER)


def is_night(at: datetime) -> bool:
    """Whether an instant lies in the night window, on UTC."""
    return 30 <= at.astimezone(UTC).hour * 60 + at.astimezone(UTC).minute < 450


def test_a_january_of_two_rates(conn: sqlite3.Connection) -> None:
    """1480 kWh in 31 days, 22 % of it at night, cost 430.06 before tax and 516.07 with it.

    Worked by hand: 325.6 kWh x 0.142 + 1154.4 kWh x 0.316 + 31 x 0.614 = 430.0596; x 1.2 = 516.0715.
    """
    per_quarter = {True: 325_600.0 / (31 * 28), False: 1_154_400.0 / (31 * 68)}
    run(conn, "hall-1", lambda at: 4 * per_quarter[is_night(at)], start=START, end=END)
    found = of(conn)
    assert found.energy_wh == pytest.approx(1_480_000, abs=1)
    assert Decimal(found.units or 0) + Decimal(found.standing or 0) == Decimal("430.06")
    assert (found.units, found.standing, found.tax, found.total) == ("411.03", "19.03", "86.01", "516.07")
    assert (found.currency, found.days) == ("GBP", 31)
    assert [(rate.per_kwh, rate.money) for rate in found.rates] == [("0.142", "46.24"), ("0.316", "364.79")]
    assert len(found.by_day) == 31
    assert {day.total for day in found.by_day} == {"16.65"}  # 516.0715 / 31


@pytest.mark.parametrize("watts", [1.0, 333.0, 777.7, 1234.5])
def test_units_standing_and_tax_add_up_to_the_total(conn: sqlite3.Connection, watts: float) -> None:
    """Whatever is shown of the whole adds up to the hundredth, also where each part alone would round otherwise."""
    run(conn, "hall-1", watts, start=START, end=START + 5 * HOUR)
    found = of(conn, end=START + 29 * HOUR)
    parts = (Decimal(each or "nan") for each in (found.units, found.standing, found.tax))
    assert sum(parts) == Decimal(found.total or "nan")


def test_zones_and_heaters_are_told_apart(conn: sqlite3.Connection) -> None:
    """Two heaters share a zone; each costs its own energy with its tax, no standing charge, to its own quality."""
    noon = START + 12 * HOUR
    for heater, watts, kind in (
        ("loft-1", 1000.0, "metered"),
        ("loft-2", 500.0, "computed"),
        ("hall-1", 100.0, "metered"),
    ):
        run(conn, heater, watts, start=noon, end=noon + 2 * HOUR, kind=kind)  # type: ignore[arg-type]  # listed text
    found = of(conn, start=noon, end=noon + 2 * HOUR)
    loft, hall = found.zones
    assert [(one.heater, one.units, one.total) for one in loft.heaters] == [
        ("loft-1", "0.63", "0.76"),
        ("loft-2", "0.32", "0.38"),
    ]
    assert (loft.energy_wh, loft.units, loft.quality) == (pytest.approx(3000), "0.95", "estimated")
    assert (hall.total, hall.quality) == ("0.08", "metered")
    assert found.quality == "estimated"
    assert found.missing == ()


@pytest.mark.parametrize("settled", [False, True])
def test_the_edge_of_a_rate_inside_a_quarter_hour_shares_it_out(conn: sqlite3.Connection, *, settled: bool) -> None:
    """A window that ends at 12:05 takes a third of that quarter's energy, from tables or from readings."""
    odd = Tariff(
        start="2026-01-01",
        currency="GBP",
        rates=(Rate(per_kwh=1.0, start="06:00", end="12:05"), Rate(per_kwh=2.0)),
    )
    run(conn, "hall-1", 1200.0, start=START, end=START + 24 * HOUR)
    if settled:
        assert settle(conn) == 0
    found = of(conn, house=house(odd), start=START + 12 * HOUR, end=START + 13 * HOUR)
    assert {rate.per_kwh: rate.energy_wh for rate in found.rates} == pytest.approx({"1.0": 100, "2.0": 1100})
    assert found.units == "2.30"


def test_half_hourly_prices_hold_where_there_are_any(conn: sqlite3.Connection) -> None:
    """Energy at a price below zero earns money; where the series ends, the tariff's own rate holds again."""
    tariff = Tariff(start="2026-01-01", currency="GBP", rates=(Rate(per_kwh=0.3),), series="grid")
    at = [to_ms(START + HOUR * n / 2) for n in range(3)]
    given = [prices.Price(at[0], at[1], Decimal("0.1")), prices.Price(at[1], at[2], Decimal("-0.25"))]
    assert prices.save(conn, "grid", given) == 2
    run(conn, "hall-1", 2000.0, start=START, end=START + 2 * HOUR)
    found = of(conn, house=house(tariff), end=START + 2 * HOUR)
    # 1 kWh x 0.1 - 1 kWh x 0.25 + 2 kWh x 0.3
    assert found.units == "0.45"
    assert [rate.per_kwh for rate in found.rates] == ["-0.25", "0.1", "0.3"]


def test_a_price_that_comes_again_replaces_what_it_covers(conn: sqlite3.Connection) -> None:
    """A corrected half-hour is not counted beside the first one."""
    at = [to_ms(START + HOUR * n / 2) for n in range(3)]
    prices.save(conn, "grid", [prices.Price(at[n], at[n + 1], Decimal("0.1")) for n in range(2)])
    prices.save(conn, "grid", [prices.Price(at[0], at[2], Decimal("0.2"))])
    found = prices.series(conn, "grid", at[0], at[2])
    assert (found.starts_ms, found.per_kwh) == ((at[0],), (Decimal("0.2"),))


def test_clock_change_days_have_their_own_length(conn: sqlite3.Connection) -> None:
    """In March a day has 23 hours of energy and one standing charge, in October 25 and one."""
    for day, hours in (("2026-03-29", 23), ("2026-10-25", 25)):
        start = datetime.fromisoformat(day).replace(tzinfo=LONDON)
        end = datetime.fromisoformat(day).replace(tzinfo=LONDON) + timedelta(days=1)
        run(conn, "hall-1", 1000.0, start=start.astimezone(UTC), end=end.astimezone(UTC))
        found = of(conn, start=start, end=end)
        assert found.energy_wh == pytest.approx(hours * 1000)
        assert (found.days, len(found.by_day)) == (1, 1)
        night = next(rate for rate in found.rates if rate.per_kwh == "0.142")
        assert night.energy_wh == pytest.approx(7000)


def test_a_day_begun_is_charged_in_part(conn: sqlite3.Connection) -> None:
    """Six hours of a day are a quarter of its standing charge."""
    run(conn, "hall-1", 1000.0, start=START, end=START + 6 * HOUR)
    found = of(conn, end=START + 6 * HOUR)
    assert (found.days, found.standing) == (0.25, "0.15")


def test_no_data_is_not_free(conn: sqlite3.Connection) -> None:
    """Heaters without readings have no money, and are named; what is known for part of the time says so."""
    run(conn, "loft-1", 1000.0, start=START, end=START + 6 * HOUR)
    found = of(conn, end=START + 24 * HOUR)
    loft, hall = found.zones
    assert (hall.energy_wh, hall.units, hall.total, hall.rates) == (None, None, None, ())
    assert loft.total is not None
    assert found.missing == (
        "nothing is known of the energy of hall-1, loft-2",
        "the energy of loft-1 is known for 25% of the time",
    )


def test_what_has_not_happened_yet_is_not_missing(conn: sqlite3.Connection) -> None:
    """Asked for the whole day at six in the morning, six hours of readings are all there can be."""
    for heater in ("loft-1", "loft-2", "hall-1"):
        run(conn, heater, 1000.0, start=START, end=START + 6 * HOUR)
    found = costs(conn, HOUSE, START, START + 24 * HOUR, now=START + 6 * HOUR)
    assert found.missing == ()


def test_a_house_without_a_tariff_has_energy_and_no_money(conn: sqlite3.Connection) -> None:
    """Null, not 0.00, and why."""
    run(conn, "hall-1", 1000.0, start=START, end=START + HOUR)
    found = of(conn, house=house(), end=START + HOUR)
    assert found.energy_wh == pytest.approx(1000)
    assert (found.currency, found.units, found.standing, found.tax, found.total) == (None,) * 5
    assert "no tariff" in found.missing[0]


def test_days_before_the_first_tariff_are_named(conn: sqlite3.Connection) -> None:
    """The days that no tariff covers have energy alone; the rest is priced."""
    run(conn, "hall-1", 1000.0, start=START - 24 * HOUR, end=START + 24 * HOUR)
    found = of(conn, start=START - 24 * HOUR, end=START + 24 * HOUR)
    assert found.energy_wh == pytest.approx(48_000)
    assert [day.total is None for day in found.by_day] == [True, False]
    assert found.missing[0] == "no tariff covers 2025-12-31: the house's first begins on 2026-01-01"


def test_another_currency_is_left_out_and_said(conn: sqlite3.Connection) -> None:
    """Money of two currencies is not added up: the last tariff's stands, the other's days are named."""
    before = Tariff(start="2025-01-01", currency="EUR", rates=(Rate(per_kwh=0.2),))
    run(conn, "hall-1", 1000.0, start=START - 24 * HOUR, end=START + 24 * HOUR)
    found = of(conn, house=house(before, TWO_RATE), start=START - 24 * HOUR, end=START + 24 * HOUR)
    assert found.currency == "GBP"
    assert "another currency" in found.missing[0]
    assert [day.total is None for day in found.by_day] == [True, False]


def test_a_moved_heater_costs_where_it_stood(conn: sqlite3.Connection) -> None:
    """Before the move it is the loft's money, after it the hall's, also in the middle of a rate."""
    after = make_house(
        make_zone("loft", Heater(id="loft-2", rated_w=2000.0)),
        make_zone("hall", Heater(id="hall-1", rated_w=2000.0), Heater(id="loft-1", rated_w=2000.0)),
        tariffs=(TWO_RATE,),
    )
    houses.save(conn, HOUSE, who="test", why="", t_ms=to_ms(START))
    houses.save(conn, after, who="test", why="", t_ms=to_ms(START + 10 * HOUR))
    run(conn, "loft-1", 1000.0, start=START + 8 * HOUR, end=START + 13 * HOUR)
    found = of(conn, house=after, start=START + 8 * HOUR, end=START + 13 * HOUR)
    energy = {(zone.zone, one.heater): one.energy_wh for zone in found.zones for one in zone.heaters}
    assert energy["loft", "loft-1"] == pytest.approx(2000)
    assert energy["hall", "loft-1"] == pytest.approx(3000)


def test_one_zone_alone_has_no_standing_charge(conn: sqlite3.Connection) -> None:
    """The standing charge is the house's, not a room's."""
    run(conn, "hall-1", 1000.0, start=START + 12 * HOUR, end=START + 13 * HOUR)
    found = costs(conn, HOUSE, START, START + 24 * HOUR, now=LATER, zones=("hall",))
    assert [zone.zone for zone in found.zones] == ["hall"]
    assert (found.standing, found.units) == ("0.00", "0.32")


def test_bad_spans_and_zones_are_refused(conn: sqlite3.Connection) -> None:
    """A span that does not go forwards, and a room that is not there."""
    with pytest.raises(BadInput, match="an instant after from"):
        of(conn, end=START)
    with pytest.raises(Unknown, match=r"cellar.*loft, hall"):
        costs(conn, HOUSE, START, END, now=LATER, zones=("cellar",))


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(cuts=st.lists(st.integers(1, 72 * 60 - 1), max_size=4, unique=True), settled=st.booleans())
def test_parts_of_a_span_cost_what_the_whole_costs(cuts: list[int], *, settled: bool) -> None:
    """Cut at any minutes, the parts' energy is the whole's to a milliwatt-hour, their money to a hundredth a part."""
    start = datetime(2026, 3, 28, tzinfo=LONDON).astimezone(UTC)
    end = start + 72 * HOUR
    edges = [start, *(start + timedelta(minutes=cut) for cut in sorted(cuts)), end]
    with fresh() as link:
        run(link, "hall-1", lambda at: 200.0 + 37 * (at.hour % 7), start=start, end=end)
        if settled:
            settle(link)
        whole = of(link, start=start, end=end)
        parts = [of(link, start=low, end=high) for low, high in pairwise(edges)]
    assert sum(part.energy_wh or 0.0 for part in parts) == pytest.approx(whole.energy_wh, abs=0.0005 * (len(parts) + 1))
    assert sum(part.days for part in parts) == pytest.approx(whole.days)
    total = sum(Decimal(part.total or "nan") for part in parts)
    assert abs(total - Decimal(whole.total or "nan")) <= Decimal("0.005") * (len(parts) + 1)
