"""Outdoor temperature at the house's own height, and the year's heat by the place's own degree days."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from ingle.design import design_house, design_version
from ingle.model.envelope import Element
from ingle.model.house import House
from ingle.model.provenance import Provenance
from surveys import one_room

WALL = Element(name="wall", kind="wall", area_m2=10.0, u_w_per_m2k=1.0)
# A twenty-year standard year of the United Kingdom, base 15.5 °C (vesma.com, std-year), 2463 K·d in all.
MONTHS = (395.0, 342.0, 297.0, 233.0, 151.0, 77.0, 42.0, 45.0, 83.0, 177.0, 275.0, 346.0)


def house(**site: Any) -> House:
    """Return one room at 20 °C that loses 10 W/K, 0 °C outside where the temperatures are of."""
    return one_room(WALL, site=site)


def test_a_house_on_the_hill_is_designed_for_colder_air() -> None:
    """250 m above its station at 0.6 K per 100 m: -1.5 °C, so 215 W for 200 W; the sheet says how."""
    up = design_house(house(altitude_m=300.0, outdoor_at_altitude_m=50.0))
    assert up.outdoor_design_c == pytest.approx(-1.5)
    assert up.zones[0].heat_loss_w == pytest.approx(215)
    line = next(each for each in up.zones[0].working if each.item == "outdoor design temperature")
    assert (line.value, line.inputs["outdoor_design_c"], line.inputs["altitude_m"]) == (-1.5, 0.0, 300.0)


def test_a_house_below_its_station_is_warmer() -> None:
    """100 m down with a gradient of its own, 0.98 K: warmer by that; the annual mean moves along."""
    down = house(altitude_m=0.0, outdoor_at_altitude_m=100.0, outdoor_k_per_100m=0.98, outdoor_mean_c=9.0)
    assert design_house(down).outdoor_design_c == pytest.approx(0.98)
    assert down.site.mean_here_c == pytest.approx(9.98)


def test_the_sheet_says_where_the_outdoor_temperature_is_from() -> None:
    """As entered, with its provenance; its limits move the band."""
    origin = {"outdoor_design_c": Provenance(kind="observed", low=-2.0, high=1.0, note="harbour station")}
    zone = design_house(house(provenance=origin)).zones[0]
    line = next(each for each in zone.working if each.item == "outdoor design temperature")
    assert (line.formula, line.source) == ("as entered", "observed (harbour station)")
    assert (zone.low_w, zone.high_w) == (pytest.approx(190), pytest.approx(220))


def test_height_is_an_input_of_the_design_and_the_year_is_not() -> None:
    """Another altitude is another design; other degree days are another year of the same design."""
    base = house(altitude_m=300.0, outdoor_at_altitude_m=50.0)
    higher = replace(base, site=replace(base.site, altitude_m=301.0))
    colder = replace(base, site=replace(base.site, degree_days=3000.0))
    assert design_version(higher) != design_version(base)
    assert design_version(colder) == design_version(base)


@pytest.mark.parametrize("told", [{"degree_days": 2463.0}, {"degree_days_by_month": MONTHS}])
def test_a_year_by_the_places_degree_days(told: dict[str, Any]) -> None:
    """10 W/K over 2463 K·d is 591 kWh at base 15.5 °C; as months or in all it is the same year."""
    # Held at 18.5 °C day and night, with the usual 3 K of gains, the base is 15.5 °C.
    levels = house().site.levels
    flat = replace(levels, occupied_c=18.5, setback_c=18.5, vacant_c=18.5)
    design = design_house(house(levels=flat, **told))
    assert design.year is not None
    assert design.year.mid_kwh == pytest.approx(10 * 2463 * 24 / 1000, rel=1e-4)
    assert design.year.low_kwh < design.year.mid_kwh < design.year.high_kwh
    assert design.zones[0].year == design.year


def test_a_year_by_the_months_means() -> None:
    """Hitchin turns means into degree days: twelve months at 4.4 °C have 365 x 11.1 K·d and a little more."""
    design = design_house(house(mean_c_by_month=(4.4,) * 12, degree_days=None))
    assert design.year is not None
    assert design.year.mid_kwh > 10 * 365 * 9 * 24 / 1000


def test_without_degree_days_no_year_is_told() -> None:
    """A place's winters are not guessed in a design."""
    design = design_house(house())
    assert (design.year, design.zones[0].year) == (None, None)


def test_without_a_temperature_difference_the_design_says_so() -> None:
    """20 °C inside and out: no load, no NaN, one sentence."""
    design = design_house(one_room(WALL, site={}, design_c=20.0, air_changes_per_h=1.0))
    level = design_house(replace(house(), site=replace(house().site, outdoor_design_c=20.0)))
    assert level.zones[0].heat_loss_w == 0
    assert level.findings or level.zones[0].findings
    assert design.zones[0].heat_loss_w > 0
