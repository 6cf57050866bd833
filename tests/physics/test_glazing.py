"""Typical windows against the published table of RdSAP 2012 (v9.94), copied here row by row."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, get_args

import pytest

from ingle.physics.glazing import Glazing, window_u
from ingle.physics.typical import Typical

OLD, NEW = {"installed": 2001}, {"installed": 2002}


@pytest.mark.parametrize(
    ("glazing", "said", "upright", "in_roof"),
    [
        ("single-glazing", {}, 4.8, 5.1),
        ("double-glazing", OLD | {"gap_mm": 6, "frame": "pvc"}, 3.1, 3.3),
        ("double-glazing", OLD | {"gap_mm": 12, "frame": "pvc"}, 2.8, 3.0),
        ("double-glazing", OLD | {"gap_mm": 16, "frame": "pvc"}, 2.6, 2.8),
        ("double-glazing", OLD | {"gap_mm": 20, "frame": "pvc"}, 2.6, 2.8),
        ("double-glazing", OLD | {"gap_mm": 16, "frame": "wood"}, 3.1, 3.3),
        ("double-glazing", OLD | {"gap_mm": 16, "frame": "metal"}, 3.1, 3.3),
        ("double-glazing", OLD, 3.1, 3.3),
        ("double-glazing", NEW, 2.0, 2.2),
        ("double-glazing", NEW | {"gap_mm": 6, "frame": "metal"}, 2.0, 2.2),
        ("secondary-glazing", {}, 2.4, 2.6),
        ("triple-glazing", {}, 1.8, 2.0),
    ],
)
def test_windows_are_the_table(glazing: str, said: dict[str, Any], upright: float, in_roof: float) -> None:
    """RdSAP 2012 table S14, England and Wales: windows and roof windows by glazing, year, gap and frame."""
    assert window_u(glazing, **said).value == upright
    assert window_u(glazing, **said, in_roof=True).value == in_roof


@pytest.mark.parametrize("glazing", get_args(Glazing))
def test_every_window_lies_in_its_range_and_names_its_source(glazing: str) -> None:
    """The range of single glazing reaches bare metal frames of 5.7 (SAP 2012 table 6e, from memory)."""
    window = window_u(glazing, installed=1990)
    assert window.low < window.value < window.high
    assert window.source.startswith("RdSAP 2012 v9.94 table S14")
    assert glazing != "single-glazing" or window.high > 5.7


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda: window_u("quadruple"), "no glazing is called quadruple; known are single-glazing, double-glazing"),
        (lambda: window_u("double-glazing"), "the year in which it was put in is needed"),
        (lambda: window_u("double-glazing", installed=1990, gap_mm=-6, frame="pvc"), "a gap of -6 mm is not possible"),
    ],
)
def test_what_cannot_be_is_said(wrong: Callable[[], Typical], said: str) -> None:
    """Each impossible input is a sentence that names it, not a number."""
    with pytest.raises(ValueError, match=said):
        wrong()
