"""Each fault in a simulated home is named first, with evidence for it; seeds on which no threshold was chosen.

The confusion table over many more homes has its own command: ``python tests/long/causes_table.py``.
"""

from __future__ import annotations

import numpy as np
import pytest

from ingle.model.verdicts import Cause, ZoneVerdict
from ingle.verdict.rooms import assess_rooms
from verdict.faults import Fault, faulty_homes
from verdict.homes import ROOMS, Home

SEED = 2711
ROOM = 2
FAULTS = {
    "night window": Fault(opens={ROOM: (1.4, 22.0, 6.0, 0.95)}, contact=True),
    "airing": Fault(opens={ROOM: (3.0, 11.0, 14.0, 0.95)}),
    "forgotten window": Fault(forgotten={ROOM: 1.2}),
    "other heat": Fault(hidden_heat_w={ROOM: 800.0}, evening=(18.5, 22.0)),
    "too small": Fault(plate_k={ROOM: 8.5}),
    "sensor at the heater": Fault(heater_on_sensor_k={ROOM: 7.0}),
    "wrong wall thermometer": Fault(sensor_off_k={ROOM: 2.4}),
    "weak supply": Fault(supply_v=210.0),
    "sound": Fault(),
}


@pytest.fixture(name="winter", scope="module")
def _winter() -> dict[str, Home]:
    return dict(zip(FAULTS, faulty_homes(SEED, 28, list(FAULTS.values())), strict=True))


def room_of(home: Home) -> ZoneVerdict:
    """Return what is said of the room with the fault."""
    zones = assess_rooms(home.house, home.design, home.links, home.read, home.start_s, home.end_s).zones
    return next(zone for zone in zones if zone.id == ROOMS[ROOM])


def first(home: Home) -> Cause:
    """Return the first cause of the room with the fault."""
    causes = room_of(home).causes
    assert causes
    return causes[0]


def test_a_window_open_at_night_is_told_by_its_nights(winter: dict[str, Home]) -> None:
    """The first cause is the opening; the evidence is nights, and the contact's agreement with them."""
    cause = first(winter["night window"])
    assert cause.code == "opening"
    assert "nights" in cause.evidence
    assert "the contact bedroom-1-contact says open on" in cause.evidence
    assert cause.kwh_low is not None
    assert cause.kwh is not None
    assert cause.kwh_high is not None
    assert 0 < cause.kwh_low < cause.kwh < cause.kwh_high


def test_a_window_that_comes_and_goes_is_not_called_a_leak_first(winter: dict[str, Home]) -> None:
    """Where the room loses more as well, the leak stands behind the opening and says what speaks against it."""
    causes = room_of(winter["forgotten window"]).causes
    assert causes[0].code == "opening"
    assert "steps" in causes[0].evidence
    for cause in causes[1:]:
        assert cause.probability < causes[0].probability


def test_airing_for_hours_at_noon_is_an_opening(winter: dict[str, Home]) -> None:
    """Hours by day count as well as nights."""
    cause = first(winter["airing"])
    assert cause.code == "opening"
    assert "days" in cause.evidence
    assert cause.against is not None


def test_a_stove_is_told_by_the_hours_it_spares(winter: dict[str, Home]) -> None:
    """In the evenings the room needs less than at other hours; what that costs nobody knows."""
    cause = first(winter["other heat"])
    assert cause.code == "other-heat"
    assert cause.kwh == pytest.approx(800 * 3.5 * 0.88 * 30 / 1000, rel=0.5)
    assert "carbon monoxide" in cause.check_next


@pytest.mark.parametrize(
    ("fault", "code"),
    [
        ("too small", "too-small"),
        ("sensor at the heater", "sensor-place"),
        ("wrong wall thermometer", "sensor-bias"),
        ("weak supply", "weak-voltage"),
    ],
)
def test_faults_of_heaters_and_sensors_come_first(winter: dict[str, Home], fault: str, code: str) -> None:
    """Named first, with a next check on site."""
    cause = first(winter[fault])
    assert cause.code == code
    assert cause.check_next


def test_a_misplaced_thermometer_withholds_the_verdict(winter: dict[str, Home]) -> None:
    """A thermometer that shows the heater can tell no heat loss; the figure stands, the verdict does not."""
    zone = room_of(winter["sensor at the heater"])
    assert zone.verdict == "cannot-say-yet"
    assert zone.measured_w_per_k is not None


def test_a_sound_home_gets_no_cause_at_any_weekly_look(winter: dict[str, Home]) -> None:
    """Nor any of the sound rooms beside a fault that is one room's own."""
    home = winter["sound"]
    for days in (7, 14, 21, 28):
        end_s = home.start_s + days * 86400
        zones = assess_rooms(home.house, home.design, home.links, home.until(end_s).read, home.start_s, end_s).zones
        assert [zone.causes for zone in zones] == [()] * len(ROOMS)


def test_a_contact_that_says_shut_speaks_against_an_opening(winter: dict[str, Home]) -> None:
    """The same nights with a contact that never opens: less likely, and said so."""
    home = winter["night window"]
    agreed = first(home)
    source = next(source for source in home.sources if source.id == "bedroom-1-contact")
    shut = home.sources[source].values["opening"]
    kept = shut.copy()
    shut[:] = np.zeros(len(shut))
    try:
        cause = next(each for each in room_of(home).causes if each.code == "opening")
    finally:
        shut[:] = kept
    assert cause.probability < agreed.probability
    assert cause.against is not None
    assert "shut" in cause.against
