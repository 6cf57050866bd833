"""The demo's clock."""

from __future__ import annotations

import pytest

from fakes import FakeClock
from ingle.demo.clock import DemoClock


def test_stands_until_it_runs() -> None:
    """While history is made no simulated time passes, however long that takes."""
    machine = FakeClock()
    clock = DemoClock(machine, speed=60)
    start, mono = clock.now(), clock.monotonic()
    machine.jump(30)
    assert (clock.now(), clock.monotonic()) == (start, mono)


def test_both_faces_run_at_the_speed() -> None:
    """Once it runs, wall and monotonic time pass alike, ``speed`` times as fast; running twice changes nothing."""
    machine = FakeClock()
    clock = DemoClock(machine, speed=60)
    start, mono = clock.now(), clock.monotonic()
    clock.run()
    machine.jump(10)
    clock.run()
    assert (clock.now() - start).total_seconds() == pytest.approx(600)
    assert clock.monotonic() - mono == pytest.approx(600)


def test_a_step_of_the_machine_does_not_reach_the_demo() -> None:
    """A time server that sets the machine's clock does not move the simulated house."""
    machine = FakeClock()
    clock = DemoClock(machine)
    clock.run()
    machine.step(3600)
    assert clock.now() == clock.start


@pytest.mark.parametrize("speed", [0, -1])
def test_time_goes_forwards(speed: float) -> None:
    """A speed that is not above 0 is refused."""
    with pytest.raises(ValueError, match="not above 0"):
        DemoClock(FakeClock(), speed=speed)
