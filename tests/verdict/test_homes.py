"""Verdicts on simulated homes, healthy and faulty, from seeds that no threshold was chosen on.

The full table over many more homes has its own command: ``python tests/long/verdict_table.py``.
"""

from __future__ import annotations

import pytest

from ingle.model.verdicts import Assessment, CauseCode, ZoneVerdict
from ingle.verdict.rooms import assess_rooms
from verdict.homes import Flaws, Home, homes

SEED = 2601
ROOM = 2
NAME = "bedroom-1"
FAULTY = {
    "leaky": Flaws(loss_times={ROOM: 1.6}),
    "half a heater": Flaws(plate_times={ROOM: 0.5}),
    "two thermometers": Flaws(second_sensor_off_k={ROOM: 2.0}),
}
HEALTHY = 5


def assessed(home: Home, days: float = 1000.0) -> Assessment:
    """Return what is said of a home's first days."""
    end_s = min(home.end_s, home.start_s + days * 86400)
    return assess_rooms(home.house, home.design, home.links, home.until(end_s).read, home.start_s, end_s)


def zone_of(home: Home, days: float = 1000.0) -> ZoneVerdict:
    """Return what is said of the room with the flaw."""
    return next(zone for zone in assessed(home, days).zones if zone.id == NAME)


@pytest.fixture(name="winter", scope="module")
def _winter() -> dict[str, Home]:
    names = [*FAULTY, *(f"healthy {number}" for number in range(HEALTHY))]
    flaws = [*FAULTY.values(), *(Flaws() for _ in range(HEALTHY))]
    return dict(zip(names, homes(SEED, 28, flaws), strict=True))


def codes(zone: ZoneVerdict) -> list[CauseCode]:
    """Return the causes' codes."""
    return [cause.code for cause in zone.causes]


def test_healthy_rooms_are_not_flagged(winter: dict[str, Home]) -> None:
    """No excess, no lack, no cause, at any weekly look."""
    for number in range(HEALTHY):
        for days in (7, 14, 21, 28):
            for zone in assessed(winter[f"healthy {number}"], days).zones:
                assert zone.verdict in {"as-designed", "cannot-say-yet"}
                assert codes(zone) == []


def test_most_healthy_rooms_are_as_designed_after_four_weeks(winter: dict[str, Home]) -> None:
    """Silence alone would be no verdict."""
    zones = [zone for number in range(HEALTHY) for zone in assessed(winter[f"healthy {number}"]).zones]
    assert sum(zone.verdict == "as-designed" for zone in zones) > len(zones) / 2


def test_intervals_hold_the_truth(winter: dict[str, Home]) -> None:
    """Of the healthy homes' thirty intervals at least 26 hold the true coefficient, and they say something."""
    held = 0
    for number in range(HEALTHY):
        home = winter[f"healthy {number}"]
        for zone in assessed(home).zones:
            assert zone.low_w_per_k is not None
            assert zone.high_w_per_k is not None
            assert zone.measured_w_per_k is not None
            assert zone.high_w_per_k - zone.low_w_per_k < 0.6 * zone.measured_w_per_k
            held += zone.low_w_per_k < home.true_w_per_k[zone.id] < zone.high_w_per_k
    assert held >= 26


def test_a_room_that_loses_60_percent_more_is_found(winter: dict[str, Home]) -> None:
    """Within 28 days, with a leak before a wrong survey among the causes."""
    zone = zone_of(winter["leaky"])
    assert zone.verdict == "loses-more"
    assert zone.probability is not None
    assert zone.probability > 0.99
    assert codes(zone) == ["leak", "survey-wrong"]
    assert zone.metered_kwh is not None
    assert zone.expected_kwh is not None
    assert zone.metered_kwh > 1.25 * zone.expected_kwh


def test_half_a_heater_is_told_by_its_plateaus(winter: dict[str, Home]) -> None:
    """A dead element does not change the room's loss: the cause stands without a verdict of excess."""
    zone = zone_of(winter["half a heater"])
    assert codes(zone) == ["part-failed"]
    assert zone.verdict in {"as-designed", "cannot-say-yet"}
    assert "bedroom-1-1" in zone.causes[0].evidence
    assert "electrician" in zone.causes[0].check_next


def test_two_thermometers_that_stay_apart_are_told(winter: dict[str, Home]) -> None:
    """One of them is off."""
    assert codes(zone_of(winter["two thermometers"])) == ["sensor-bias"]


def test_nine_mild_days_say_when_it_should_be_possible() -> None:
    """13 °C outside and people about: a figure perhaps, no verdict, and a date after the last day."""
    home = homes(SEED + 1, 9, [Flaws(warmer_k=10.0)])[0]
    for zone in assessed(home).zones:
        assert zone.verdict == "cannot-say-yet"
        assert zone.missing
        assert zone.possible_from is not None
        assert zone.possible_from > "2026-01-14"
