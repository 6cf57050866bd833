"""Forecasts over a record: made by rooms' own days or by design, kept, and scored by what came."""

from __future__ import annotations

import sqlite3
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import msgspec
import pytest

from databases import fresh
from houses import every_day, make_house, make_zone
from ingle.errors import BadInput
from ingle.model.devices import Heater
from ingle.model.forecasts import Forecast, ForecastRequest, KeptForecast
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.model.tariff import Rate, Tariff
from ingle.reports import forecast_score
from ingle.reports.forecast import forecast
from ingle.reports.forecast_score import kept_forecast, listed
from ingle.store import forecasts
from ingle.store.readings import insert

FLAT = Tariff(start="2025-04-01", currency="GBP", tax_percent=5.0, standing_per_day=0.5, rates=(Rate(per_kwh=0.3),))
HOUSE = make_house(
    make_zone("loft", Heater(id="loft-1", rated_w=3000.0), given_w_per_k=60.0),
    programmes=(every_day("loft", ("06:00", "22:00", 20.0)),),
    site={"timezone": "UTC"},
    tariffs=(FLAT,),
)
#: A Monday; forecasts made at 04:20 on the Sunday before are of its week.
MONDAY = datetime(2026, 2, 2, tzinfo=UTC)
NOW = MONDAY - timedelta(hours=19, minutes=40)


def live(
    conn: sqlite3.Connection, start: datetime, days: int, outdoor_c: float, kwh_a_day: float, heater: str = "loft-1"
) -> None:
    """Let a counter rise over days of one outdoor temperature; of seven, three take 0.5 kWh more and three less."""
    readings = []
    before = conn.execute(
        "SELECT max(energy) FROM reading WHERE series = (SELECT id FROM series WHERE name = ?)", (heater,)
    ).fetchone()[0]
    begun = 0.0 if before is None else before / 1000
    for place in range(days * 48 + 1):
        t_ms = to_ms(start + timedelta(minutes=30 * place))
        day, half_hour = divmod(place % 336, 48)
        strays = 0.0 if day == 6 else 500 * (half_hour if day % 2 == 0 else 48 - half_hour) / 48
        energy_wh = begun + kwh_a_day * 1000 * place / 48 + strays
        readings.append(
            Reading(
                source=Source("heater", heater), t_ms=t_ms, arrived_ms=t_ms, energy_wh=energy_wh, energy_is="metered"
            )
        )
        outside = ((t_ms + later, outdoor_c) for later in (0, 900_000))
        readings += [Reading(source=OUTDOOR, t_ms=at_ms, arrived_ms=at_ms, temp_c=temp_c) for at_ms, temp_c in outside]
    insert(conn, readings)


def keep(conn: sqlite3.Connection, said: Forecast) -> KeptForecast:
    """Keep a forecast and return it as it is read back."""
    forecast_score.keep(conn, said)
    return kept_forecast(conn, HOUSE, forecasts.newest(conn)[0], said.made)


def test_a_week_by_the_month_before_and_its_score() -> None:
    """5.5 °C, 20 kWh a day at 10 K·d: 140 kWh and 47.78 said; 168 come of 2 K less: -17 %, 0 % by weather (by hand)."""
    with fresh() as conn:
        live(conn, MONDAY - timedelta(days=29), 28, 5.5, 20.0)
        said = forecast(conn, HOUSE, ForecastRequest(), NOW, "Wenna")
        assert (said.start, said.end, said.days) == (MONDAY, MONDAY + timedelta(days=7), 7)
        assert (said.outdoor_c, said.outdoor_from, said.degree_days_kd) == (5.5, "measured", 70.0)
        assert said.kwh == pytest.approx(140.0, abs=0.5)
        assert [zone.method for zone in said.zones] == ["degree-days"]
        assert (said.units, said.standing) == ("42.00", "3.50")
        assert said.money == "47.78"  # (42 + 3.50) x 1.05 = 47.775
        kept = keep(conn, said)
        assert (kept.intact, kept.score.state, kept.forecast) == (True, "to-come", said)
        live(conn, MONDAY - timedelta(days=1), 1, 5.5, 20.0)
        live(conn, MONDAY, 7, 3.5, 24.0)
        half = listed(conn, HOUSE, MONDAY + timedelta(days=3), 10).forecasts[0]
        assert half.score.state == "running"
        done = listed(conn, HOUSE, MONDAY + timedelta(days=8), 10)
    score = done.forecasts[0].score
    assert score.state == "scored"
    assert score.kwh_was == pytest.approx(168.0, abs=0.2)
    assert score.kwh_error_percent == pytest.approx(-16.7, abs=0.2)
    assert score.money_was == "56.60"  # (168 x 0.3 + 3.50) x 1.05 = 56.595
    assert score.money_error_percent == pytest.approx(-15.6, abs=0.1)
    assert (score.outdoor_was_c, score.degree_days_were_kd) == (3.5, 84.0)
    assert score.kwh_at_that_weather == pytest.approx(168.0, abs=0.5)
    assert score.within_limits is True  # 168 would have been said at that weather
    assert "With the weather known (3.5 °C on average) it would have been" in score.sentence
    assert (done.scored, done.typical_error_percent) == (1, pytest.approx(16.7, abs=0.2))


def test_a_stated_temperature_changes_the_degree_days() -> None:
    """At 0.5 °C given, seven days have 105 K·d: 210 kWh, said to be given."""
    with fresh() as conn:
        live(conn, MONDAY - timedelta(days=29), 28, 5.5, 20.0)
        said = forecast(conn, HOUSE, ForecastRequest(outdoor_c=0.5), NOW, "Wenna")
    assert said.outdoor_from == "given"
    assert said.degree_days_kd == pytest.approx(105.0, abs=0.1)
    assert said.kwh == pytest.approx(210.0, abs=0.5)
    assert any("0.5 °C outside on average, as given" in line for line in said.assumptions)


def test_a_new_room_goes_by_its_design_and_says_so() -> None:
    """Without a record: 60 W/K, gains of 3 K, heat from 06:00 to 22:00; wide limits; no weather, no word."""
    with fresh() as conn:
        said = forecast(conn, HOUSE, ForecastRequest(outdoor_c=5.0), NOW, "Wenna")
        blind = forecast(conn, HOUSE, ForecastRequest(), NOW, "Wenna")
    (zone,) = said.zones
    assert zone.method == "design"
    assert zone.kwh is not None
    # Between always at 16 °C and always at 20 °C.
    assert 60 * (16 - 8) * 24 * 7 / 1000 < zone.kwh < 60 * (20 - 8) * 24 * 7 / 1000
    assert (zone.kwh_low, zone.kwh_high) == (
        pytest.approx(zone.kwh / 2, abs=0.01),
        pytest.approx(zone.kwh * 1.5, abs=0.01),
    )
    assert any("by design, programme and plates" in line for line in said.assumptions)
    assert (blind.kwh, blind.money) == (None, None)
    assert any("loft: 0 whole days are known" in line for line in blind.missing)


def test_a_hole_in_the_record_is_no_score() -> None:
    """Four days of seven known: it cannot be scored, and which room lacks how much is said."""
    with fresh() as conn:
        live(conn, MONDAY - timedelta(days=29), 28, 5.5, 20.0)
        keep(conn, forecast(conn, HOUSE, ForecastRequest(), NOW, "Wenna"))
        live(conn, MONDAY - timedelta(days=1), 5, 5.5, 20.0)
        found = listed(conn, HOUSE, MONDAY + timedelta(days=8), 10)
    score = found.forecasts[0].score
    assert (score.state, score.kwh_was, found.scored, found.typical_error_percent) == ("cannot-score", None, 0, None)
    assert score.missing == ("loft: 57 % of the time is known of its heaters, 95 % is needed.",)


def test_night_energy_is_priced_at_the_nights_rate() -> None:
    """All of a room's energy between 01:00 and 03:00 costs the night's 0.1, though the day's rate is 0.4."""
    two = Tariff(
        start="2025-04-01",
        currency="GBP",
        rates=(Rate(per_kwh=0.1, start="00:30", end="07:30"), Rate(per_kwh=0.4)),
    )
    house = make_house(*HOUSE.zones, site={"timezone": "UTC"}, tariffs=(two,))
    readings, counter = [], 0.0
    start = MONDAY - timedelta(days=29)
    for place in range(28 * 48 + 1):
        at = start + timedelta(minutes=30 * place)
        t_ms = to_ms(at)
        readings.append(
            Reading(
                source=Source("heater", "loft-1"), t_ms=t_ms, arrived_ms=t_ms, energy_wh=counter, energy_is="metered"
            )
        )
        counter += 1500.0 if at.hour in {1, 2} else 0.0
    with fresh() as conn:
        insert(conn, readings)
        said = forecast(conn, house, ForecastRequest(), NOW, "Wenna")
    assert said.kwh == pytest.approx(42.0, abs=0.1)
    assert said.units is not None
    assert Decimal(said.units) == pytest.approx(Decimal("4.20"), abs=Decimal("0.02"))


def test_what_somebody_changed_by_other_means_shows() -> None:
    """A row whose text is no longer that of its event is not intact."""
    with fresh() as conn:
        said = forecast(conn, HOUSE, ForecastRequest(outdoor_c=5.0), NOW, "Wenna")
        assert keep(conn, said).intact
        conn.execute("DROP TRIGGER forecast_unchanged")
        other = msgspec.structs.replace(said, kwh=1.0)
        conn.execute("UPDATE forecast SET document = ?", (msgspec.json.encode(other).decode(),))
        assert not listed(conn, HOUSE, NOW, 10).forecasts[0].intact


@pytest.mark.parametrize(
    ("asked", "place"),
    [
        ({"start": "2026-02-01"}, "from"),
        ({"start": "2026-13-40"}, "from"),
        ({"start": "2027-01-01"}, "from"),
        ({"start": "2026-02-10", "end": "2026-02-10"}, "to"),
        ({"end": "2026-12-01"}, "to"),
    ],
)
def test_days_that_cannot_be_said_are_named(asked: dict[str, str], place: str) -> None:
    """Days that have begun, are no dates, none at all, or too far off."""
    with fresh() as conn, pytest.raises(BadInput) as refused:
        forecast(conn, HOUSE, ForecastRequest(**asked), NOW, "Wenna")
    assert [fault.place for fault in refused.value.faults] == [place]


def test_a_house_without_heaters_says_so() -> None:
    """Nothing to forecast is said, not 0 kWh."""
    bare: House = make_house(site={"timezone": "UTC"})
    with fresh() as conn:
        said = forecast(conn, bare, ForecastRequest(outdoor_c=5.0), NOW, "Wenna")
    assert (said.kwh, said.zones) == (None, ())
    assert "The house has no heaters." in said.missing
    assert said.start.date() == date(2026, 2, 2)


def test_rooms_that_stray_together_widen_the_house() -> None:
    """Three rooms that take more and less on the same days: the house's limits are three times a room's, not √3."""
    house = make_house(
        *(make_zone(name, Heater(id=f"{name}-1", rated_w=3000.0), given_w_per_k=60.0) for name in ("a", "b", "c")),
        site={"timezone": "UTC"},
    )
    with fresh() as conn:
        for name in ("a", "b", "c"):
            live(conn, MONDAY - timedelta(days=29), 28, 5.5, 20.0, f"{name}-1")
        said = forecast(conn, house, ForecastRequest(), NOW, "Wenna")
    (room, *_) = said.zones
    assert said.kwh is not None
    assert said.kwh_high is not None
    assert room.kwh is not None
    assert room.kwh_high is not None
    assert room.kwh_high > room.kwh
    assert said.kwh_high - said.kwh == pytest.approx(3 * (room.kwh_high - room.kwh), rel=0.02)
