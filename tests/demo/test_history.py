"""Weeks of readings before the demo begins."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from datetime import timedelta

import pytest

from fakes import FakeClock
from ingle.demo import history
from ingle.demo.clock import DemoClock
from ingle.demo.flaws import TERN_HOUSE
from ingle.demo.history import fill_history
from ingle.errors import Unreachable
from ingle.model.design import Design
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import Reading, Source


class Shelf:
    """An intake that keeps readings in a list and says so at once."""

    def __init__(self) -> None:
        self.readings: list[Reading] = []

    def accept_all(self, readings: Iterable[Reading], done: Callable[[], None] | None) -> None:
        """Keep readings."""
        self.readings.extend(readings)
        assert done is not None
        done()


class Blocked:
    """An intake whose disk is full: nothing is ever stored."""

    def accept_all(self, readings: Iterable[Reading], done: Callable[[], None] | None) -> None:
        """Take readings and never be done with them."""


async def days_of_history(house: House, design: Design, days: int = 7) -> tuple[list[Reading], DemoClock]:
    """Return some days of readings and the clock they end at."""
    shelf, clock = Shelf(), DemoClock(FakeClock())
    await fill_history(shelf, house, design, clock, weeks=days / 7)
    return shelf.readings, clock


async def test_every_source_reports_every_five_minutes(tern_house: House, tern_design: Design) -> None:
    """Each heater, the weather station, the meter and the sound sensors report 288 times a day, up to now."""
    readings, clock = await days_of_history(tern_house, tern_design, days=2)
    counts = Counter(reading.source for reading in readings)
    assert len([source for source in counts if source.kind == "heater"]) == 18
    assert {count for source, count in counts.items() if source.id != "hall-air"} == {2 * 288}
    assert max(reading.t_ms for reading in readings) == to_ms(clock.now())
    assert clock.now() == clock.start


async def test_the_flat_battery_shows(tern_house: House, tern_design: Design) -> None:
    """The hall's thermometer has been silent for nine hours when history ends."""
    readings, clock = await days_of_history(tern_house, tern_design, days=1)
    last = max(reading.t_ms for reading in readings if reading.source == Source("sensor", "hall-air"))
    assert last == to_ms(clock.now() - timedelta(hours=9))


async def test_counters_and_numbers_only_grow(tern_house: House, tern_design: Design) -> None:
    """Of each heater, energy never goes back and reports are numbered one by one."""
    readings, _ = await days_of_history(tern_house, tern_design, days=1)
    for heater in {reading.source for reading in readings if reading.source.kind == "heater"}:
        series = [reading for reading in readings if reading.source == heater]
        assert [reading.seq for reading in series] == list(range(1, len(series) + 1))
        energies = [reading.energy_wh or 0.0 for reading in series]
        assert energies == sorted(energies)
        assert energies[-1] > energies[0]


async def test_the_supply_cap_is_kept(tern_house: House, tern_design: Design) -> None:
    """With 100 A of heaters on a cold week the supply never carries more than its 60 A."""
    readings, _ = await days_of_history(tern_house, tern_design)
    metered = [reading for reading in readings if reading.source.kind == "meter"]
    amps = [(reading.power_w or 0.0) / (reading.voltage_v or 230.0) for reading in metered]
    assert 40 < max(amps) <= 60


async def test_room_4_never_gives_more_than_half(tern_house: House, tern_design: Design) -> None:
    """The failed element shows as a plateau at half of the plate, though the room is cold."""
    readings, _ = await days_of_history(tern_house, tern_design)
    series = [reading for reading in readings if reading.source.id == "room-4-h1"]
    assert 480 < max(reading.power_w or 0.0 for reading in series) < 530
    assert min((reading.temp_c or 99.0) - (reading.setpoint_c or 0.0) for reading in series) < -1


async def test_progress_ends_at_the_end(tern_house: House, tern_design: Design) -> None:
    """Progress is told hour by hour and ends with all of them."""
    told: list[tuple[int, int]] = []
    clock = DemoClock(FakeClock())
    await fill_history(
        Shelf(), tern_house, tern_design, clock, weeks=1 / 7, progress=lambda done, of: told.append((done, of))
    )
    assert told == [(hour, 24) for hour in range(1, 25)]


async def test_a_store_that_takes_nothing_is_said(
    tern_house: House, tern_design: Design, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When no reading reaches the disk, history gives up with a sentence instead of waiting for ever."""
    monkeypatch.setattr(history, "PATIENCE_S", 0.05)
    clock = DemoClock(FakeClock())
    with pytest.raises(Unreachable, match="disk"):
        await fill_history(Blocked(), tern_house, tern_design, clock, weeks=1 / 7)


async def test_history_is_the_same_for_the_same_flaws(tern_house: House, tern_design: Design) -> None:
    """The house handed back stands where its readings end, with its flaws."""
    shelf, clock = Shelf(), DemoClock(FakeClock())
    site = await fill_history(shelf, tern_house, tern_design, clock, weeks=1 / 7)
    assert site.t_s == clock.now().timestamp()
    assert site.flaws == TERN_HOUSE
