"""Simple data must come out right: a house in which nothing moves, its power made by arithmetic."""

from __future__ import annotations

import pytest

from ingle.model.verdicts import VerdictName
from verdict.still import FILE, SURVEYED, assess_columns, columns_by_source, still_house, still_readings, zone_of


@pytest.mark.parametrize(
    ("hall", "loft", "of_hall", "of_loft"),
    [
        (40.0, 30.0, "as-designed", "as-designed"),
        (60.0, 30.0, "loses-more", "as-designed"),
        (25.0, 50.0, "loses-less", "loses-more"),
        (100.0, 30.0, "loses-more", "as-designed"),
    ],
)
def test_the_truth_comes_out_whatever_the_design_says(
    hall: float, loft: float, of_hall: VerdictName, of_loft: VerdictName
) -> None:
    """Within 1.5 %, inside the interval, with the right verdict."""
    result = assess_columns(still_house(), columns_by_source(still_readings(hall, loft)))
    for name, truth, verdict in (("hall", hall, of_hall), ("loft", loft, of_loft)):
        zone = zone_of(result, name)
        assert zone.measured_w_per_k == pytest.approx(truth, rel=0.015)
        assert zone.low_w_per_k is not None
        assert zone.high_w_per_k is not None
        assert zone.low_w_per_k < truth < zone.high_w_per_k
        assert zone.verdict == verdict
        assert zone.missing == ()


def test_the_interval_is_as_wide_as_a_thermometer_is_wrong() -> None:
    """Constant data cannot tell a thermometer's offset from loss, so the interval may not shrink to nothing."""
    zone = zone_of(assess_columns(still_house(), columns_by_source(still_readings(40, 30))), "hall")
    assert zone.low_w_per_k is not None
    assert zone.high_w_per_k is not None
    assert 0.04 < (zone.high_w_per_k - zone.low_w_per_k) / 2 / 40 < 0.15


def test_energy_is_told_for_the_days_used() -> None:
    """Metered and expected speak of the same days; at the design's own loss they agree."""
    zone = zone_of(assess_columns(still_house(), columns_by_source(still_readings(40, 30))), "hall")
    assert zone.days_used == 27
    assert zone.metered_kwh == pytest.approx(630 * 24 * 27 / 1000, rel=1e-3)
    assert zone.expected_kwh == pytest.approx(zone.metered_kwh, rel=0.01)


def test_a_surveyed_room_is_compared_with_its_loss_in_use() -> None:
    """Without a given coefficient the design in use is what metering is held against."""
    file = FILE.replace("given_w_per_k = 30.0\n", "air_changes_per_h = 1.0\n" + SURVEYED)
    in_use = 16.0 * 1.5 + 0.34 * 0.5 * 16.0 * 2.4  # EN 12831-1: 0.34 n V, at half the design's air changes
    zone = zone_of(assess_columns(still_house(file), columns_by_source(still_readings(40, in_use))), "loft")
    assert zone.design_w_per_k == pytest.approx(in_use, rel=0.005)
    assert zone.measured_w_per_k == pytest.approx(in_use, rel=0.01)
    assert zone.verdict == "as-designed"


def test_a_wrong_survey_in_every_room_is_told_before_a_leak() -> None:
    """With three rooms off by the same ratio the survey is the likelier cause."""
    third = FILE[FILE.index('[[zone]]\nid = "loft"') :].replace("loft", "attic").replace("Loft", "Attic")
    sources = columns_by_source(still_readings(60, 45))
    twin = {source._replace(id="attic-1"): each for source, each in sources.items() if source.id == "loft-1"}
    result = assess_columns(still_house(FILE + third), {**sources, **twin})
    assert [cause.code for cause in zone_of(result, "hall").causes] == ["survey-wrong", "leak"]


def test_one_room_alone_lists_the_leak_first() -> None:
    """From one room's readings the two cannot be told apart: both are listed."""
    result = assess_columns(still_house(), columns_by_source(still_readings(60, 30)))
    assert [cause.code for cause in zone_of(result, "hall").causes] == ["leak", "survey-wrong"]


def test_only_the_zones_asked_for_are_told() -> None:
    """The whole house is estimated, one room is reported."""
    result = assess_columns(still_house(), columns_by_source(still_readings(40, 30)), zones=("loft",))
    assert [zone.id for zone in result.zones] == ["loft"]
