"""A year of heat for a room, and the ways of giving it."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from houses import every_day
from ingle.design import design_house
from ingle.design.ways import ways
from ingle.design.week import week
from ingle.model.house import AirToAir, Boiler, House
from ingle.model.provenance import Provenance
from ingle.model.tariff import Rate, Tariff
from ingle.model.ways import Band, Way, Year
from ingle.model.week import Period, Programme
from ingle.physics.year import degree_days_of_year
from surveys import net_loft, one_room

FLAT = Tariff(start="2025-04-01", currency="GBP", tax_percent=5.0, standing_per_day=0.5, rates=(Rate(per_kwh=0.30),))
NIGHT = Rate(per_kwh=0.142, start="00:30", end="07:30", clock="utc")
TWO_RATE = Tariff(start="2025-04-01", currency="GBP", tax_percent=20.0, rates=(NIGHT, Rate(per_kwh=0.316)))


def of(house: House) -> tuple[Year, dict[str, Way]]:
    """Return the year and the ways of a house's first room, by kind."""
    design = design_house(house)
    found, all_ways = ways(house, house.zones[0], design.zones[0])
    return found, {way.kind: way for way in all_ways}


def room(w_per_k: float = 100.0, *tariffs: Tariff, held_c: float = 18.5, **site: Any) -> House:
    """Return a room held at one temperature all week."""
    house = one_room(given_w_per_k=w_per_k, site=site)
    hold = Programme(
        zone="room",
        days=("mon", "tue", "wed", "thu", "fri", "sat", "sun"),
        periods=(Period(start="00:00", end="24:00", temp_c=held_c),),
    )
    return replace(house, programmes=(hold,), tariffs=tariffs)


def test_a_year_is_coefficient_times_degree_days() -> None:
    """190 W/K, held at 18.5 °C with 3 K of gains (base 15.5 °C), 2463 K·d: 11,231 kWh (standard UK year)."""
    found, _ = of(room(190.0))
    assert found.base_c == pytest.approx(15.5)
    assert found.degree_days == pytest.approx(2463, abs=0.01)
    assert found.kwh.mid == pytest.approx(11_231.28, abs=0.1)
    assert found.kwh.low < found.kwh.mid < found.kwh.high


def test_the_places_own_degree_days_count() -> None:
    """Twice the degree days, twice the heat."""
    here, there = (of(room(100.0, degree_days=total))[0].kwh.mid for total in (2463.0, 2 * 2463.0))
    assert there == pytest.approx(2 * here, rel=1e-3)


def test_standard_year_at_other_bases() -> None:
    """Published totals of the same standard year: 3422 K·d at 18.5 °C and 1060 K·d at 10 °C, within 3 %."""
    assert degree_days_of_year(18.5) == pytest.approx(3422, rel=0.03)
    assert degree_days_of_year(10.0) == pytest.approx(1060, rel=0.03)


def test_the_band_is_a_root_sum_square() -> None:
    """The coefficient alone ±20 %, weather ±10 %: the band is wider than either and narrower than their sum."""
    assumed = Provenance(kind="assumed", low=80.0, high=120.0)
    house = room(100.0, gains_k=0.0)
    zone = replace(house.zones[0], provenance={"given_w_per_k": assumed})
    kwh = of(replace(house, zones=(zone,)))[0].kwh
    share = kwh.high / kwh.mid - 1
    assert 0.20 < share < 0.20 + 0.10 + 0.25
    measured = of(house)[0].kwh
    assert measured.mid == pytest.approx(kwh.mid)
    assert measured.high < kwh.high


def test_tax_changes_money_and_not_energy() -> None:
    """From 5 % to 20 %: money by 1.20/1.05 (arithmetic), kWh the same; at 0.30 a kWh by hand."""
    _, five = of(room(100.0, FLAT))
    _, twenty = of(room(100.0, replace(FLAT, tax_percent=20.0)))
    low, high = five["direct"], twenty["direct"]
    assert low.kwh == high.kwh
    assert low.money is not None
    assert high.money is not None
    assert low.kwh is not None
    assert high.money.mid == pytest.approx(low.money.mid * 1.20 / 1.05, abs=0.02)
    assert low.money.mid == pytest.approx(low.kwh.mid * 0.30 * 1.05, abs=0.01)
    assert low.currency == "GBP"


def test_direct_heat_is_paid_by_the_hours_it_is_wanted() -> None:
    """Wanted all day long at one temperature: 7 of 24 hours at the night rate, the rest at the day's (arithmetic)."""
    way = of(room(100.0, TWO_RATE))[1]["direct"]
    assert way.money is not None
    assert way.kwh is not None
    mean = (7 * 0.142 + 17 * 0.316) / 24
    assert way.money.mid == pytest.approx(way.kwh.mid * mean * 1.2, rel=1e-4)


def test_storage_charges_in_the_cheap_window() -> None:
    """100 W/K at 20/0 °C lose 48 kWh in a day: 6,857 W over seven hours, without diversity; 90 % at the night rate."""
    way = of(room(100.0, TWO_RATE))[1]["storage"]
    assert way.kwh is not None
    assert way.money is not None
    assert any("6857 W of charge" in need and "7.0 h" in need and "no diversity" in need for need in way.needs)
    assert any("48.0 kWh" in need for need in way.needs)
    assert way.money.mid == pytest.approx(way.kwh.mid * (0.9 * 0.142 + 0.1 * 0.316) * 1.2, rel=1e-4)


@pytest.mark.parametrize("tariffs", [(), (FLAT,)])
def test_no_cheap_window_no_storage(tariffs: tuple[Tariff, ...]) -> None:
    """No figures are made up: it is said what is missing."""
    way = of(room(100.0, *tariffs))[1]["storage"]
    assert (way.kwh, way.money) == (None, None)
    assert "cheap window" in way.missing[0]


def test_a_radiator_at_the_real_water_temperature() -> None:
    """EN 442: at 60/40 °C in 20 °C, logarithmic 28.9 K; 2000 W take 2000 / (28.9/50)^1.3 = 4085 W as stated at 50 K."""
    boiler = Boiler(output_w=24_000, used_w=21_000, flow_c=60, return_c=40, useful_percent=80, fuel_per_kwh=0.07)
    found, by_kind = of(room(100.0, FLAT, boiler=boiler))
    way = by_kind["wet-radiator"]
    stated = next(line for line in way.working if line.item == "radiator, stated")
    assert stated.value == pytest.approx(2000 / (28.854 / 50) ** 1.3, rel=1e-4)
    assert any("3000 W left, 1000 W more" in need for need in way.needs)
    assert way.kwh is not None
    assert way.money is not None
    assert way.kwh.mid == pytest.approx(found.kwh.mid / 0.8)
    assert way.money.mid == pytest.approx(way.kwh.mid * 0.07 * 1.05, abs=0.01)


def test_a_boiler_without_headroom_is_said() -> None:
    """24 kW of which 23 kW are taken: 1000 W too little for a room of 2 kW."""
    way = of(room(100.0, boiler=Boiler(output_w=24_000, used_w=23_000)))[1]["wet-radiator"]
    assert any("only 1000 W left: 1000 W too little" in need for need in way.needs)
    assert any("fuel_per_kwh" in each for each in way.missing)


def test_water_no_warmer_than_the_room() -> None:
    """No logarithm of a negative number: a sentence."""
    way = of(room(100.0, boiler=Boiler(output_w=9000, used_w=0, flow_c=30, return_c=18)))[1]["wet-radiator"]
    assert way.kwh is None
    assert "no warmer than the room" in way.missing[0]


def test_an_air_to_air_unit_by_its_coefficient() -> None:
    """A third of the electricity at 3.0; a fifth either way where no range is stated; money at the direct rate."""
    found, by_kind = of(room(100.0, FLAT, air_to_air=AirToAir(coefficient=3.0)))
    way = by_kind["air-to-air"]
    assert way.kwh is not None
    assert way.money is not None
    assert way.kwh.mid == pytest.approx(found.kwh.mid / 3)
    assert way.kwh.low == pytest.approx(found.kwh.low / 3.6)
    assert way.kwh.high == pytest.approx(found.kwh.high / 2.4)
    assert way.money.mid == pytest.approx(way.kwh.mid * 0.315, abs=0.01)


def test_without_figures_there_are_no_figures() -> None:
    """No tariff, no boiler, no unit: energy of direct heat, and for the rest what is missing."""
    _, by_kind = of(room(100.0))
    assert by_kind["direct"].money is None
    assert by_kind["direct"].missing == ("money: the house file has no tariff",)
    for kind in ("storage", "wet-radiator", "air-to-air"):
        assert by_kind[kind].kwh is None
        assert by_kind[kind].missing
        assert by_kind[kind].needs


def test_assumptions_stand_on_the_face() -> None:
    """Hours, weather and gains of the year, and those of each way that has figures."""
    boiler, unit = Boiler(output_w=24_000, used_w=0), AirToAir(coefficient=3.0)
    found, by_kind = of(room(100.0, TWO_RATE, boiler=boiler, air_to_air=unit))
    assert [words.split(":")[0] for words in found.assumptions[:2]] == ["Hours", "Weather"]
    assert all(way.assumptions for way in by_kind.values())
    assert all(line.formula and line.source for way in by_kind.values() for line in way.working)


def test_a_week_with_a_programme() -> None:
    """Two hours and a half at 20 °C every morning, else 16 °C; a night that runs into the next day counts there."""
    house = net_loft()
    planned = replace(house, programmes=(every_day("net-loft", ("06:30", "09:00", "occupied")),))
    wanted = week(planned, planned.zones[0])
    assert wanted.warm_hours == 7 * 2.5
    assert wanted.mean_c == pytest.approx(16 + 4 * 2.5 / 24)
    night = Programme(zone="net-loft", days=("sun",), periods=(Period(start="22:00", end="02:00", temp_c=20.0),))
    late = week(replace(house, programmes=(night,)), house.zones[0])
    assert late.warm_hours == 4
    assert late.wanted_c[0] == 20
    assert late.wanted_c[8] == 16


def test_a_room_without_a_programme_is_not_taken_for_empty() -> None:
    """Occupied from 07:00 to 22:00, and the assumption is said."""
    found, _ = of(net_loft())
    assert found.warm_hours_per_week == 7 * 15
    assert any("no programme yet" in words for words in found.assumptions)


@given(st.floats(1, 500), st.floats(1, 500), st.floats(12, 24))
def test_more_loss_or_more_warmth_never_takes_less(first: float, second: float, held_c: float) -> None:
    """The year grows with the coefficient and with what is held; low, mid and high stay in order and above zero."""
    small, large = sorted((first, second))
    found = [of(room(loss, TWO_RATE, held_c=held))[0].kwh for loss, held in ((small, held_c), (large, held_c))]
    warmer = of(room(small, TWO_RATE, held_c=held_c + 1))[0].kwh
    assert found[0].mid <= found[1].mid + 1e-6
    assert found[0].mid <= warmer.mid + 1e-6
    assert all(_ordered(band) for band in (*found, warmer))


@given(st.floats(0.05, 0.5), st.floats(0, 100))
def test_money_is_energy_at_its_price(per_kwh: float, tax_percent: float) -> None:
    """In all three figures, to the cent."""
    tariff = replace(FLAT, tax_percent=tax_percent, rates=(Rate(per_kwh=per_kwh),))
    way = of(room(100.0, tariff))[1]["direct"]
    assert way.kwh is not None
    assert way.money is not None
    assert _ordered(way.money)
    for name in ("low", "mid", "high"):
        expected = getattr(way.kwh, name) * per_kwh * (1 + tax_percent / 100)
        assert getattr(way.money, name) == pytest.approx(expected, abs=0.006)


def _ordered(band: Band) -> bool:
    return 0 <= band.low <= band.mid <= band.high
