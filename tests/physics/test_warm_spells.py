"""A room whose wanted temperature goes up and down: figures checked by hand, and laws that any room keeps."""

from __future__ import annotations

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.physics.warm_spells import SAME_K, Room, Step, Stretch, mean_c, settled_steps, temperature_at

LOFT = Room(70.7, 14.0, 2250.0, 5.0)
#: 20 °C from 05:30 to 08:00 and from 15:30 to 22:30, else 15 °C.
DAY = (Stretch(5.5, 15), Stretch(2.5, 20), Stretch(7.5, 15), Stretch(7, 20), Stretch(1.5, 15))

rooms = st.builds(
    Room,
    st.floats(1, 800),
    st.floats(0.5, 400),
    st.floats(0, 30_000),
    st.floats(-25, 18),
)
patterns = st.lists(st.builds(Stretch, st.floats(0.05, 48), st.floats(5, 30)), min_size=1, max_size=12)


def kwh(steps: list[Step]) -> float:
    """Return what steps take [kWh]."""
    return sum((step.energy_wh for step in steps), 0.0) / 1000


def test_a_loft_by_its_programme_with_warm_up_on_time() -> None:
    """70.7 W/K, τ 14 h, 2,250 W, 5 °C outside: 23.4 kWh a day, 8 % less than held at 20 °C (closed form)."""
    held = kwh(settled_steps(LOFT, [Stretch(24, 20)], warm_up_on_time=False))
    timed = kwh(settled_steps(LOFT, DAY, warm_up_on_time=True))
    assert held == pytest.approx(25.45, abs=0.01)
    assert timed == pytest.approx(23.39, abs=0.01)
    assert timed / held - 1 == pytest.approx(-0.081, abs=0.001)


def test_the_same_loft_without_warm_up_is_cold_in_the_morning() -> None:
    """20.6 kWh a day, but the room is at 18.6 °C when the morning's 2.5 h end: 36.8 - 21.8 e^(-2.5/14)."""
    steps = settled_steps(LOFT, DAY, warm_up_on_time=False)
    assert kwh(steps) == pytest.approx(20.60, abs=0.01)
    morning = [step for step in steps if step.stretch == 1]
    assert [step.power_w for step in morning] == [2250.0]
    full_c = 5 + 2250 / 70.7
    assert morning[0].to_c == pytest.approx(full_c - (full_c - 15) * exp(-2.5 / 14), abs=1e-6)


def test_a_hall_takes_longer_under_its_cap() -> None:
    """620 W/K, 5.5 kWh/K, 8 to 16 °C at 4 °C outside: 3.1 h at 19.2 kW, 5.1 h at 60 A x 230 V (closed form)."""
    for power_w, hours in ((19_200.0, 3.12), (13_800.0, 5.11)):
        hall = Room(620.0, 5500 / 620, power_w, 4.0)
        steps = settled_steps(hall, [Stretch(160, 8), Stretch(8, 16)], warm_up_on_time=True)
        warm_up = [step for step in steps if step.power_w == power_w]
        assert sum(step.hours for step in warm_up) == pytest.approx(hours, abs=0.01)
        assert warm_up[-1].to_c == pytest.approx(16, abs=1e-6)


@given(rooms, patterns, st.booleans())
def test_time_and_temperature_have_no_gap(room: Room, pattern: list[Stretch], on_time: bool) -> None:  # noqa: FBT001 - drawn
    """Steps fill the pattern without a gap, end as they began, and each begins where the last one ended."""
    steps = settled_steps(room, pattern, warm_up_on_time=on_time)
    assert sum(step.hours for step in steps) == pytest.approx(sum(each.hours for each in pattern), rel=1e-9)
    for before, after in zip(steps, [*steps[1:], steps[0]], strict=True):
        assert after.from_c == pytest.approx(before.to_c, abs=1e-6)
    for step in steps:
        assert 0 <= step.power_w <= room.power_w + 1e-6 or step.from_c == step.to_c
        if step.power_w in {0.0, room.power_w}:
            assert temperature_at(room, step, step.hours) == pytest.approx(step.to_c, abs=1e-5)


@given(rooms, patterns, st.booleans())
def test_what_goes_in_goes_out(room: Room, pattern: list[Stretch], on_time: bool) -> None:  # noqa: FBT001 - drawn
    """Energy is the coefficient times how much warmer than free the room is on average, whatever the pattern."""
    steps = settled_steps(room, pattern, warm_up_on_time=on_time)
    hours = sum(step.hours for step in steps)
    area = 0.0
    for step in steps:
        target = room.free_c + step.power_w / room.loss_w_per_k
        area += target * step.hours + (step.from_c - target) * room.tau_h * (1 - exp(-step.hours / room.tau_h))
    assert mean_c(room, steps) == pytest.approx(area / hours, abs=1e-5)


@given(rooms, patterns)
def test_on_time_is_on_time(room: Room, pattern: list[Stretch]) -> None:
    """With warm-up on time a temperature that full power can reach is there whenever it is first wanted."""
    steps = settled_steps(room, pattern, warm_up_on_time=True)
    if max(each.wanted_c for each in pattern) >= room.full_c - SAME_K:
        return
    for place, stretch in enumerate(pattern):
        first = next(step for step in steps if step.stretch == place)
        assert first.from_c >= stretch.wanted_c - 1e-5


@given(rooms, patterns)
def test_heating_early_never_takes_less(room: Room, pattern: list[Stretch]) -> None:
    """Warm-up on time takes at least what late heating takes, and no more than holding the highest temperature."""
    late = kwh(settled_steps(room, pattern, warm_up_on_time=False))
    timed = kwh(settled_steps(room, pattern, warm_up_on_time=True))
    highest = max(each.wanted_c for each in pattern)
    held = kwh(settled_steps(room, [Stretch(sum(p.hours for p in pattern), highest)], warm_up_on_time=False))
    assert late <= timed + 1e-6 * max(1.0, timed)
    assert timed <= held + 1e-6 * max(1.0, held)


@given(rooms, patterns, st.floats(0.1, 5), st.booleans())
def test_cooler_takes_no_more(room: Room, pattern: list[Stretch], by_k: float, on_time: bool) -> None:  # noqa: FBT001 - drawn
    """Every wanted temperature lower: the same or less energy."""
    cooler = [Stretch(each.hours, each.wanted_c - by_k) for each in pattern]
    before, after = (kwh(settled_steps(room, each, warm_up_on_time=on_time)) for each in (pattern, cooler))
    assert after <= before + 1e-6 * max(1.0, before)


def test_a_heater_that_is_too_small_is_on_all_day() -> None:
    """800 W in 39.57 W/K at 0 °C outside settles at 20.2 °C: 21 °C is never reached, and no number is undefined."""
    steps = settled_steps(Room(39.57, 13.9, 800.0, 0.0), [Stretch(12, 21), Stretch(12, 16)], warm_up_on_time=True)
    assert {step.power_w for step in steps} == {800.0}
    assert steps[-1].to_c == pytest.approx(20.217, abs=0.001)
