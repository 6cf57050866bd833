"""Temperatures of spaces without heating."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.physics.unheated import unheated_temperatures

flows = st.floats(0.1, 500)
temperatures = st.floats(-20, 30)


@given(inside=flows, outside=flows, room_c=temperatures, outdoor_c=temperatures)
def test_one_space_follows_the_closed_form(inside: float, outside: float, room_c: float, outdoor_c: float) -> None:
    """θu = θe + (θi-θe) H_iu / (H_iu + H_ue), so b = H_ue / (H_iu + H_ue) (ISO 13789:2007, Annex B)."""
    found = unheated_temperatures([[(inside, room_c), (outside, outdoor_c)]], {})[0]
    assert found == pytest.approx(outdoor_c + (room_c - outdoor_c) * inside / (inside + outside), abs=1e-9)


@given(
    st.lists(st.lists(st.tuples(flows, temperatures), min_size=1, max_size=3), min_size=1, max_size=5),
    st.data(),
)
def test_every_space_is_in_balance(to_known: list[list[tuple[float, float]]], data: st.DataObject) -> None:
    """As much comes in as goes out, and no space is warmer or colder than everything around."""
    pairs = [(one, other) for one in range(len(to_known)) for other in range(one + 1, len(to_known))]
    between = {pair: data.draw(flows) for pair in pairs if data.draw(st.booleans())}
    found = unheated_temperatures(to_known, between)
    known = [each for own in to_known for _, each in own]
    for place, own in enumerate(to_known):
        here = found[place]
        assert here is not None
        assert min(known) - 1e-6 <= here <= max(known) + 1e-6
        net = sum(flow * (here - there) for flow, there in own)
        for pair, flow in between.items():
            if place in pair:
                net += flow * (here - (found[sum(pair) - place] or 0.0))
        assert net == pytest.approx(0, abs=1e-6)


def test_a_space_that_nothing_reaches_has_no_temperature() -> None:
    """None, not a number made up; spaces joined only to each other likewise."""
    assert unheated_temperatures([[]], {}) == [None]
    assert unheated_temperatures([[], [], [(1, 5)]], {(0, 1): 3.0}) == [None, None, 5.0]
