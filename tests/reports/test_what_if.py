"""What if: two stories checked by hand, and laws over any room."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from databases import fresh
from houses import every_day, make_house, make_zone
from ingle.config.house import read_house_file
from ingle.errors import BadInput, Unknown
from ingle.model.devices import Heater, Sensor
from ingle.model.explanation import VerdictSaid
from ingle.model.house import House, Zone
from ingle.model.instants import to_ms
from ingle.model.readings import Reading, Source
from ingle.model.tariff import Rate, Tariff
from ingle.model.week import Levels, Programme, ZoneLevels
from ingle.model.what_if import Case, Changes, WhatIf
from ingle.reports.dampness import Damp, lately_damp
from ingle.reports.what_if import reckoned, what_if
from ingle.store.readings import insert

NOW = datetime(2026, 1, 12, 6, 0, tzinfo=UTC)
#: 70.7 W/K and 14 h (989.8 Wh/K), 2,250 W.
LOFT = make_zone(
    "loft",
    Heater(id="loft-1", rated_w=1500.0),
    Heater(id="loft-2", rated_w=750.0),
    given_w_per_k=70.7,
    capacity_wh_per_k=989.8,
)
DAY = every_day("loft", ("05:30", "08:00", 20.0), ("15:30", "22:30", 20.0), otherwise="vacant")
FLAT = Tariff(start="2025-04-01", currency="GBP", tax_percent=5.0, standing_per_day=0.5, rates=(Rate(per_kwh=0.264),))


def house(*zones: Zone, programmes: tuple[Programme, ...] = (DAY,), **fields: Any) -> House:
    """Return a house whose ``vacant`` level is 15 °C."""
    return make_house(*(zones or (LOFT,)), programmes=programmes, site={"levels": Levels(vacant_c=15.0)}, **fields)


def ask(of: House, zone: str = "loft", verdict: VerdictSaid | None = None, **asked: Any) -> WhatIf:
    """Return the ways of a zone at 5 °C outside unless asked otherwise."""
    found = of.zone(zone)
    assert found is not None
    return reckoned(of, found, Changes(**{"outdoor_c": 5.0, **asked}), NOW, verdict, None)


def case(found: WhatIf, code: str) -> Case:
    """Return one way."""
    return next(each for each in found.cases if each.code == code)


def test_is_low_all_day_cheaper() -> None:
    """70.7 W/K, τ 14 h, 5 °C: 25.5 kWh held at 20 °C; 23.4 by programme, 8 % less; 20.6 late, and cold (by hand)."""
    found = ask(house())
    assert found.loss_w_per_k == 70.7
    assert found.tau_h == pytest.approx(14.0, abs=0.01)
    held, programme, late = (case(found, code) for code in ("held", "programme", "late"))
    assert held.kwh_per_day == pytest.approx(25.45, abs=0.02)
    assert programme.kwh_per_day == pytest.approx(23.39, abs=0.02)
    assert programme.against_held_percent == pytest.approx(-8.1, abs=0.1)
    assert late.kwh_per_day == pytest.approx(20.60, abs=0.02)
    # A table that writes the figure to a tenth says what the sentence beside it says: 25.45(2) is 25.5, not 25.4.
    assert all(f"{each.kwh_per_day:.1f} kWh a day" in each.sentence for each in (held, programme, late))
    assert programme.cold == ()
    assert "8 % less than held at 20 °C all day" in programme.sentence
    assert [(spell.start, spell.until, spell.reached) for spell in late.cold] == [
        ("05:30", "08:00", False),
        ("15:30", "18:44", True),
    ]
    assert "cold until 08:00 (20 °C wanted from 05:30, never reached)" in late.sentence


def test_a_hall_under_its_cap() -> None:
    """620 W/K, 5.5 kWh/K, 8 x 2.4 kW: 8 to 16 °C at 4 °C in 3.1 h, 5.1 h at 60 A; 93 kWh are 25.75 (by hand)."""
    nave = make_zone(
        "nave",
        *(Heater(id=f"nave-{n}", rated_w=2400.0) for n in range(1, 9)),
        given_w_per_k=620.0,
        capacity_wh_per_k=5500.0,
        levels=ZoneLevels(setback_c=8.0),
    )
    hall = make_house(
        nave,
        programmes=(
            Programme(zone="nave", days=("sat",), periods=every_day("nave", ("19:00", "22:00", 16.0)).periods),
        ),
        site={"supply_cap_a": 60.0},
        tariffs=(FLAT,),
    )
    found = ask(hall, "nave", outdoor_c=4.0)
    free, capped = case(found, "programme"), case(found, "cap")
    assert free.warm_up_h == pytest.approx(3.12, abs=0.02)
    assert capped.warm_up_h == pytest.approx(5.11, abs=0.02)
    resting = 7 * 24 * 620 * 4 / 1000
    concert = capped.kwh_per_day * 7 - resting
    # Without the concert the room would have been held at 8 °C meanwhile, and it stays warm for a while afterwards.
    warm_up_and_concert = 5.11 * 13.8 + 3 * 620 * 12 / 1000
    assert warm_up_and_concert == pytest.approx(92.8, abs=0.3)
    assert Decimal("0.264") * Decimal("1.05") * Decimal(str(warm_up_and_concert)) == pytest.approx(
        Decimal("25.75"), rel=Decimal("0.002")
    )
    assert 0 < concert < warm_up_and_concert
    assert "60 A cap" in capped.title


def test_a_cap_leaves_a_small_room_its_share() -> None:
    """2,250 W beside 2,250 W elsewhere under 10 A x 230 V: 1,150 W each while both want heat; 40 A leave it whole."""
    other = make_zone("hall", Heater(id="hall-1", rated_w=2250.0), given_w_per_k=30.0)
    of = make_house(LOFT, other, programmes=(DAY,), site={"levels": Levels(vacant_c=15.0), "supply_cap_a": 40.0})
    assert "cap" not in {each.code for each in ask(of).cases}
    shared = case(ask(of, cap_a=10.0), "cap")
    assert shared.title == "Its share of a 10 A cap while every heater wants heat: 1,150 W"
    alone = case(ask(of, cap_a=5.0), "cap")
    assert alone.title == "Under a 5 A cap with nothing else on: 1,150 W"
    assert shared.kwh_per_day == alone.kwh_per_day


def test_a_tax_changes_money_and_nothing_else() -> None:
    """5 % to 20 %: money by 1.20/1.05, kWh the same; without a tariff no money is shown, and that is said."""
    found = ask(house(tariffs=(FLAT,)), tax_percent=20.0)
    before, after = case(found, "programme"), case(found, "tax")
    assert after.kwh_per_day == before.kwh_per_day
    assert before.money_per_day == Decimal("6.48")  # 23.39 x 0.264 x 1.05
    assert after.money_per_day == Decimal("7.41")  # 23.39 x 0.264 x 1.20
    assert after.against_programme_money == Decimal("0.93")
    bare = ask(house())
    assert case(bare, "programme").money_per_day is None
    assert bare.missing == ("No tariff covers 2026-01-12, so no money is shown.",)


def test_each_quarter_of_an_hour_has_its_own_rate() -> None:
    """Held at 20 °C the loft takes 1.0605 kW: 7 h of it a day at 14.2, 17 h at 31.6 (by hand)."""
    night = Rate(per_kwh=0.142, start="00:30", end="07:30", clock="utc")
    two = Tariff(start="2025-04-01", currency="GBP", rates=(night, Rate(per_kwh=0.316)))
    held = case(ask(house(tariffs=(two,))), "held")
    assert held.money_per_day == Decimal("6.75")  # 1.0605 x (7 x 0.142 + 17 x 0.316)


def test_less_energy_may_be_dearer() -> None:
    """A warm-up in the cheap night beats a late one at the day's rate, and the sentence says both."""
    night = Rate(per_kwh=0.05, start="00:00", end="08:00")
    two = Tariff(start="2025-04-01", currency="GBP", rates=(night, Rate(per_kwh=0.50)))
    day = every_day("loft", ("08:00", "12:00", 20.0), otherwise="vacant")
    found = ask(house(programmes=(day,), tariffs=(two,)))
    programme, late = case(found, "programme"), case(found, "late")
    assert late.kwh_per_day < programme.kwh_per_day
    assert late.against_programme_money is not None
    assert late.against_programme_money > 0
    assert f"and yet {late.against_programme_money} GBP dearer" in late.sentence


def test_a_room_too_small_says_never() -> None:
    """800 W in 70.7 W/K at 5 °C end at 16.3 °C: 20 °C is never reached, and both words and flag say so."""
    found = ask(house(), power_w=800.0)
    programme = case(found, "programme")
    assert not programme.reaches
    assert "never reaches 20 °C: full power ends at 16.3 °C" in programme.sentence


def test_one_hour_less_ends_the_last_period_sooner() -> None:
    """Less than the programme, more than nothing; a week whose days differ says the day of a cold spell."""
    found = ask(house())
    assert 0 < -case(found, "shorter").against_programme_kwh < 1.0605
    week = (
        Programme(zone="loft", days=("mon",), periods=DAY.periods, otherwise="vacant"),
        Programme(zone="loft", days=("tue", "wed", "thu", "fri", "sat", "sun"), otherwise="vacant"),
    )
    late = case(ask(house(programmes=week)), "late")
    assert [spell.day for spell in late.cold] == ["Mon", "Mon"]
    assert "cold until 08:00 on Mon (20 °C wanted from 05:30" in late.sentence


def test_the_metered_coefficient_goes_before_the_design() -> None:
    """A verdict's W/K is taken and said; one that cannot say yet is not, and then the design's stands."""
    said = VerdictSaid(
        at=NOW,
        verdict="loses-more",
        measured_w_per_k=101.0,
        low_w_per_k=90.0,
        high_w_per_k=112.0,
        probability=0.98,
        causes=(),
    )
    found = ask(house(), verdict=said)
    assert (found.loss_from, found.loss_w_per_k) == ("metered", 101.0)
    assert "101.0 W/K (95 %: 90.0 to 112.0), as metered, as of 2026-01-12" in found.assumptions[0]
    unsure = VerdictSaid(
        **{name: getattr(said, name) for name in said.__struct_fields__} | {"verdict": "cannot-say-yet"}
    )
    assert ask(house(), verdict=unsure).loss_from == "design"
    assert ask(house(), verdict=said, loss_w_per_k=50.0).loss_from == "given"


def test_a_vulnerable_person_is_not_reckoned_cold() -> None:
    """1 K less never goes under the 18 °C that such a room is kept at (WHO Housing and health guidelines, 2018)."""
    frail = make_zone("loft", vulnerable=True, given_w_per_k=70.7)
    found = ask(house(frail, programmes=(every_day("loft", ("00:00", "24:00", 18.0)),)))
    assert case(found, "cooler").kwh_per_day == case(found, "held").kwh_per_day == pytest.approx(22.06, abs=0.01)


def test_what_is_missing_is_asked_for_by_name() -> None:
    """No outdoor reading and none given, no heater, no such zone: each says what to give."""
    with fresh() as conn:
        with pytest.raises(BadInput, match="outdoor_c: nothing is not allowed; allowed: the temperature outside"):
            what_if(conn, house(), "loft", Changes(), NOW, None)
        with pytest.raises(Unknown, match="zone 'attic' is not in this house; it has: loft"):
            what_if(conn, house(), "attic", Changes(), NOW, None)
    bare = Zone(id="store", name="Store", floor_area_m2=4.0, height_m=2.0, given_w_per_k=10.0)
    with pytest.raises(BadInput, match="power_w"):
        ask(house(bare, programmes=()), "store")


def test_a_programme_is_safe_at_62_percent_and_a_cold_room_is_not() -> None:
    """62 % at 18.8 °C: at f_Rsi 0.75 and 5 °C outside surfaces stand at 77 %; at 14 °C inside over 80 % (by hand)."""
    damp = Damp(62.0, 18.8, NOW, NOW)
    found = reckoned(house(), LOFT, Changes(outdoor_c=5.0), NOW, None, None, damp)
    programme = case(found, "programme")
    assert programme.surface_rh_percent == pytest.approx(77.2, abs=0.3)
    assert "mould" not in programme.sentence
    cold = house(programmes=(every_day("loft", ("00:00", "24:00", 14.0)),))
    low = case(reckoned(cold, LOFT, Changes(outdoor_c=5.0), NOW, None, None, damp), "programme")
    assert low.surface_rh_percent is not None
    assert low.surface_rh_percent > 80
    assert "where mould may grow" in low.sentence
    assert case(ask(house()), "programme").surface_rh_percent is None


def test_humidity_is_what_was_measured_in_the_room() -> None:
    """The mean of the room's own sensor over the last week; another room's does not count."""
    sensors = (
        Sensor(id="loft-damp", zone="loft", measures="humidity"),
        Sensor(id="hall-damp", zone="hall", measures="humidity"),
    )
    of = house(LOFT, make_zone("hall", given_w_per_k=30.0), sensors=sensors)
    now_ms = to_ms(NOW)
    readings = [
        Reading(source=Source(kind, name), t_ms=now_ms - hour * 3_600_000, arrived_ms=now_ms, **values)
        for hour in range(1, 25)
        for kind, name, values in (
            ("sensor", "loft-damp", {"humidity_percent": 60.0 + 2 * (hour % 2)}),
            ("sensor", "hall-damp", {"humidity_percent": 90.0}),
            ("heater", "loft-1", {"temp_c": 19.0}),
        )
    ]
    with fresh() as conn:
        insert(conn, readings)
        damp = lately_damp(conn, of, LOFT, NOW)
        found = what_if(conn, of, "loft", Changes(outdoor_c=5.0), NOW, None)
    assert damp is not None
    assert (damp.humidity_percent, damp.room_c) == (61.0, 19.0)
    assert any("held 61 % at 19.0 °C" in line for line in found.assumptions)


@pytest.mark.parametrize("name", ["tern-house", "quay-chapel", "net-loft"])
def test_every_room_of_the_shipped_houses(name: str) -> None:
    """Each room of each house file has its ways, in order, with money, and no word of nothing."""
    of = read_house_file(Path(__file__).parents[2] / "config" / f"{name}.toml")
    for zone in of.zones:
        found = ask(of, zone.id)
        kwh = {each.code: each.kwh_per_day for each in found.cases}
        assert kwh["late"] <= kwh["programme"] <= kwh["held"] + 0.01
        said = " ".join([*(each.sentence for each in found.cases), *found.assumptions])
        assert not [word for word in ("None", "nan", "inf ") if word in said]


@settings(max_examples=40)
@given(
    loss=st.floats(5, 800),
    tau_h=st.floats(1, 200),
    power_w=st.floats(0, 20_000),
    outdoor_c=st.floats(-20, 25),
    gains_k=st.floats(0, 6),
)
def test_any_room_keeps_the_order(loss: float, tau_h: float, power_w: float, outdoor_c: float, gains_k: float) -> None:
    """Late takes no more than on time, on time no more than held; cooler and shorter take no more than either."""
    found = ask(
        house(tariffs=(FLAT,)),
        loss_w_per_k=loss,
        tau_h=tau_h,
        power_w=power_w,
        outdoor_c=outdoor_c,
        gains_k=gains_k,
    )
    kwh = {each.code: each.kwh_per_day for each in found.cases}
    assert kwh["late"] <= kwh["programme"] + 0.01
    assert kwh["programme"] <= kwh["held"] + 0.01
    assert max(kwh["cooler"], kwh["shorter"]) <= kwh["programme"] + 0.01
    assert all(each.money_per_day is not None and each.money_per_day >= 0 for each in found.cases)
