"""Air layers against the standard's table and its own rules."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.physics.air_layers import (
    AIR_LAYERS,
    HeatFlow,
    air_layer_resistance,
    bright_air_layer_resistance,
    slightly_ventilated_resistance,
    still_share,
)

FLOWS: tuple[HeatFlow, ...] = ("up", "horizontal", "down")


@pytest.mark.parametrize(
    ("thickness_mm", "up", "horizontal", "down"),
    [(5, 0.11, 0.11, 0.11), (15, 0.16, 0.17, 0.17), (20, 0.16, 0.175, 0.18), (25, 0.16, 0.18, 0.19)],
)
def test_air_layers_of_iso_6946(thickness_mm: float, up: float, horizontal: float, down: float) -> None:
    """ISO 6946:2007 Table 2 (as read in the package becalib 0.0.1), 20 mm interpolated."""
    got = [air_layer_resistance(thickness_mm, flow) for flow in ("up", "horizontal", "down")]
    assert got == pytest.approx([up, horizontal, down])


def test_air_layer_beyond_the_table_keeps_its_last_row() -> None:
    """A thicker layer is not extrapolated."""
    assert air_layer_resistance(500, "down") == air_layer_resistance(300, "down") == 0.23


@given(thickness=st.floats(0, 400), more=st.floats(0, 100), flow=st.sampled_from(["up", "horizontal", "down"]))
def test_thicker_air_never_insulates_less(thickness: float, more: float, flow: HeatFlow) -> None:
    """The table rises, and so does what is read between its rows."""
    assert air_layer_resistance(thickness + more, flow) >= air_layer_resistance(thickness, flow) - 1e-12


@pytest.mark.parametrize("row", [row for row in AIR_LAYERS if row[0]], ids=str)
def test_a_layer_between_ordinary_faces_is_the_table_by_its_formula(row: tuple[float, ...]) -> None:
    """Annex B of ISO 6946:2007 with both faces at 0.9 gives its Table 2, which is rounded to 0.01, within 0.007."""
    thickness, *table = row
    assert [bright_air_layer_resistance(thickness, flow, 0.9) for flow in FLOWS] == pytest.approx(table, abs=0.007)


@given(thickness=st.floats(1, 400), flow=st.sampled_from(FLOWS), dull=st.floats(0.02, 1), shine=st.floats(0, 0.9))
def test_a_brighter_face_insulates_more(thickness: float, flow: HeatFlow, dull: float, shine: float) -> None:
    """Less radiation, less heat."""
    bright = max(dull * (1 - shine), 0.02)
    assert bright_air_layer_resistance(thickness, flow, bright) >= bright_air_layer_resistance(thickness, flow, dull)


def test_a_slightly_ventilated_layer_lies_between_still_and_open() -> None:
    """ISO 6946:2007, 5.3.3: (1500 - Av)/1000 of the one and (Av - 500)/1000 of the other, never beyond either."""
    totals = [slightly_ventilated_resistance(openings, 2.0, 1.5) for openings in (0, 500, 700, 1000, 1500, 9000)]
    assert totals == pytest.approx([2.0, 2.0, 1.9, 1.75, 1.5, 1.5])


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda: air_layer_resistance(-5, "up"), "an air layer of -5 mm is not possible"),
        (lambda: air_layer_resistance(float("nan"), "up"), "an air layer of nan mm is not possible"),
        (lambda: bright_air_layer_resistance(0, "up", 0.1), "its thickness is above 0 mm"),
        (lambda: bright_air_layer_resistance(20, "up", 0.0), "an emissivity of 0 is not possible"),
        (lambda: bright_air_layer_resistance(20, "up", 1.2), "an emissivity of 1.2 is not possible"),
        (lambda: still_share(-1), "openings of -1 mm² are not possible"),
    ],
)
def test_what_cannot_be_is_said(wrong: Callable[[], float], said: str) -> None:
    """Each impossible input is a sentence that names it, not a number."""
    with pytest.raises(ValueError, match=said):
        wrong()
