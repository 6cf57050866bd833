"""The simulated rooms: what they lose is what was asked for."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.demo.physics import CONVECTIVE, Room, Rooms, fabric_for


def room(total_w_per_k: float, air_w_per_k: float = 10.0, name: str = "one") -> Room:
    """Return a room of 17 m² that loses a known amount."""
    return Room(
        id=name,
        windows_w_per_k=air_w_per_k / 2,
        ventilation_w_per_k=air_w_per_k / 2,
        fabric_w_per_k=fabric_for(total_w_per_k, air_w_per_k, 160.0),
        ground_w_per_k=0.0,
        surfaces_w_per_k=160.0,
        air_j_per_k=340e3,
        fabric_j_per_k=2.8e6,
    )


def settle(rooms: Rooms, heat_w: list[float], *, outdoor_c: float = 5.0, days: float = 20.0) -> None:
    """Run until nothing moves any more."""
    for _ in range(int(days * 1440)):
        rooms.step(
            60.0,
            outdoor_c=outdoor_c,
            ground_c=outdoor_c,
            draught=1.0,
            to_air_w=[CONVECTIVE * watts for watts in heat_w],
            to_fabric_w=[(1 - CONVECTIVE) * watts for watts in heat_w],
        )


@given(total=st.floats(25, 80), air_share=st.floats(0.1, 0.6))
def test_fabric_makes_the_two_balances_close(total: float, air_share: float) -> None:
    """With the fabric chosen for a loss, the algebra of the steady state gives that loss back."""
    air = total * air_share
    fabric = fabric_for(total, air, 160.0)
    mass = 1 - (CONVECTIVE * total - air) / 160.0  # the fabric's excess when the air's is 1 K
    assert (1 - CONVECTIVE) * total + 160.0 * (1 - mass) == pytest.approx(fabric * mass)


def test_a_room_loses_what_was_asked_for() -> None:
    """A constant heater power divided by the temperature difference it holds is the room's loss."""
    rooms = Rooms([room(42.0)], [], start_c=18.0)
    settle(rooms, [630.0])
    assert 630.0 / (rooms.air_c[0] - 5.0) == pytest.approx(42.0, rel=1e-6)


def test_heat_that_leaves_one_room_enters_the_other() -> None:
    """A cold room beside a warm one is warmed by it, and the house as a whole loses what both lose."""
    rooms = Rooms([room(40.0), room(40.0, name="other")], [(0, 1, 20.0)], start_c=15.0)
    settle(rooms, [800.0, 0.0])
    warm, cool = rooms.air_c
    assert warm > cool > 5.0 + 1.0
    assert cool == pytest.approx(5.0 + 20.0 * (warm - cool) / 40.0, abs=0.4)


def test_a_room_without_heat_ends_at_the_temperature_outside() -> None:
    """With no heat and no neighbours both nodes come to the outdoor temperature."""
    rooms = Rooms([room(30.0)], [], start_c=20.0)
    settle(rooms, [0.0], outdoor_c=3.0)
    assert rooms.air_c[0] == pytest.approx(3.0, abs=1e-3)
    assert rooms.fabric_c[0] == pytest.approx(3.0, abs=1e-3)


def test_wind_makes_a_room_colder() -> None:
    """Twice the ventilation at the same power leaves the room cooler."""
    still, windy = Rooms([room(40.0)], [], start_c=18.0), Rooms([room(40.0)], [], start_c=18.0)
    for rooms, draught in ((still, 1.0), (windy, 2.0)):
        for _ in range(1440):
            rooms.step(60.0, outdoor_c=5.0, ground_c=5.0, draught=draught, to_air_w=[400.0], to_fabric_w=[100.0])
    assert windy.air_c[0] < still.air_c[0] - 0.5
