"""A room against its own past, and the days that a figure rests on."""

from __future__ import annotations

from datetime import date

import pytest

from ingle.model.readings import OUTDOOR, Source
from ingle.model.verdicts import Assessment, ZoneVerdict
from ingle.verdict.rooms import assess_rooms
from verdict.homes import ROOMS, Flaws, Home, homes
from verdict.still import assess_columns, columns_by_source, still_house, still_readings, zone_of
from verdict.test_silence import some

SEED = 2711
#: Day 24 of the record.
BEGAN = date(2026, 1, 29)


def assessed(home: Home, days: float = 42, *, fit: bool = False) -> Assessment:
    """Return what is said of a home's first days."""
    end_s = min(home.end_s, home.start_s + days * 86400)
    read = home.until(end_s).read
    return assess_rooms(home.house, home.design, home.links, read, home.start_s, end_s, fit=fit, explained=False)


@pytest.fixture(name="winter", scope="module")
def _winter() -> list[Home]:
    """Return homes of which two change on day 24: one room loses 40 % more, in another it is mended."""
    flaws = [
        Flaws(loss_times={2: 1.4}, loss_from_day=24),
        Flaws(loss_times={1: 0.7}, loss_from_day=24),
        Flaws(),
        Flaws(),
    ]
    return homes(SEED, 42, flaws)


def room(home: Home, number: int, days: float = 42) -> ZoneVerdict:
    """Return what is said of one room."""
    return next(zone for zone in assessed(home, days).zones if zone.id == ROOMS[number])


def test_a_loss_that_begins_in_mid_winter_is_found_with_its_date(winter: list[Home]) -> None:
    """Within three days of when it began, by about 40 %, and judged by what the room takes since."""
    zone = room(winter[0], 2)
    assert zone.against_past is not None
    assert abs((date.fromisoformat(zone.against_past.since) - BEGAN).days) <= 3
    assert zone.against_past.low < 1.4 < zone.against_past.high
    assert zone.against_past.probability > 0.99
    assert zone.verdict == "loses-more"
    assert zone.measured_w_per_k == pytest.approx(zone.against_past.after_w_per_k, abs=1e-3)


def test_nothing_is_said_before_it_began(winter: list[Home]) -> None:
    """On day 21 the room is like any other."""
    assert room(winter[0], 2, days=21).against_past is None


def test_a_mended_room_is_no_loss(winter: list[Home]) -> None:
    """A change downwards is told, and never called a room that loses more."""
    zone = room(winter[1], 1)
    assert zone.against_past is not None
    assert zone.against_past.high < 0.95
    assert zone.verdict != "loses-more"


def test_sound_homes_have_no_past(winter: list[Home]) -> None:
    """No change where there was none."""
    for home in winter[2:]:
        assert [zone.id for zone in assessed(home).zones if zone.against_past is not None] == []


def test_every_day_of_a_fit_is_accounted_for(winter: list[Home]) -> None:
    """Used days have figures within a band that holds most of them; the others say why not."""
    for zone in assessed(winter[2], fit=True).zones:
        used = [day for day in zone.fit if day.used]
        assert len(used) == zone.days_used
        assert all(day.why_not and day.predicted_w is None for day in zone.fit if not day.used)
        inside = 0
        for day in used:
            assert day.metered_w is not None
            assert day.predicted_w is not None
            assert day.low_w is not None
            assert day.high_w is not None
            assert day.low_w < day.predicted_w < day.high_w
            inside += day.low_w <= day.metered_w <= day.high_w
        assert inside >= 0.85 * len(used)
    assert assessed(winter[2]).zones[0].fit == ()


def test_a_fit_says_what_a_day_lacks_and_how_it_was_metered() -> None:
    """No outdoor temperature on some days, silence on others, a mild end: each in its own words."""
    sources = columns_by_source(still_readings(40, 30, 20))
    hall = Source("heater", "hall-1")
    day = (sources[OUTDOOR].t_s - sources[OUTDOOR].t_s[0]) / 86400
    sources[OUTDOOR] = some(sources[OUTDOOR], (day < 5) | (day > 7.5))
    hour = (sources[hall].t_s - sources[hall].t_s[0]) / 3600
    sources[hall] = some(sources[hall], (hour < 250) | (hour > 255))
    zone = next(zone for zone in assess_columns(still_house(), sources, fit=True).zones if zone.id == "hall")
    reasons = {each.why_not for each in zone.fit if each.why_not}
    assert any("outdoor temperature" in reason for reason in reasons)
    assert {each.quality for each in zone.fit} == {"metered", "filled"}
    assert sum(each.quality == "filled" for each in zone.fit) == 1
    assert zone_of(assess_columns(still_house(), sources), "hall").fit == ()
