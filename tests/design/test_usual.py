"""What is published of real houses is usual: no range of the design is narrower than what was built."""

from __future__ import annotations

import pytest

from ingle.design import usual
from ingle.model.envelope import ElementKind
from ingle.model.house import Use

# First years of the age bands A to L in England and Wales, and U of walls as built in each [W/(m²·K)] (RdSAP 2012,
# table S6).
BANDS = (1890, 1900, 1930, 1950, 1967, 1976, 1983, 1991, 1996, 2003, 2007, 2012)
WALLS = {
    "solid brick": (2.1, 2.1, 2.1, 2.1, 1.7, 1.0, 0.6, 0.6, 0.45, 0.35, 0.30, 0.28),
    "cavity": (2.1, 1.6, 1.6, 1.6, 1.6, 1.0, 0.6, 0.6, 0.45, 0.35, 0.30, 0.28),
    "filled cavity": (0.5, 0.5, 0.5, 0.5, 0.5, 0.4, 0.35, 0.35, 0.45, 0.35, 0.30, 0.28),
    "timber": (2.5, 1.9, 1.9, 1.0, 0.8, 0.45, 0.4, 0.4, 0.4, 0.35, 0.3, 0.28),
}
# U of a roof by insulation at the joists: 0, 12, 25, 50, 75, 100, 150, 200, 250, 300 mm (RdSAP 2012, table S9).
LOFTS = (2.3, 1.5, 1.0, 0.68, 0.50, 0.40, 0.30, 0.21, 0.17, 0.14)


@pytest.mark.parametrize("construction", WALLS)
def test_walls_as_built_are_usual_for_their_age(construction: str) -> None:
    """Every construction in every age band of RdSAP 2012, table S6."""
    for year, u in zip(BANDS, WALLS[construction], strict=True):
        assert usual.u_value("wall", year).side(u) == "", (year, u)
        assert usual.u_value("wall", None).side(u) == ""


def test_a_tenth_of_an_old_wall_is_not_usual_for_its_age() -> None:
    """As a solid wall of 1.7 or less at a tenth of itself would be; insulation since is for the survey to say."""
    for year, u in zip(BANDS[:5], WALLS["cavity"][:5], strict=True):
        if u < 2:
            assert usual.u_value("wall", year).side(u / 10) == "below"


@pytest.mark.parametrize("year", [None, 1890, 1950, 1970])
def test_lofts_with_any_insulation_are_usual_in_an_old_house(year: int | None) -> None:
    """From none to 300 mm at the joists (RdSAP 2012, table S9)."""
    assert all(usual.u_value("roof", year).side(u) == "" for u in LOFTS)


@pytest.mark.parametrize(
    ("kind", "year", "u"),
    [
        ("window", 1890, 4.8),
        ("window", 1996, 2.6),
        ("window", 1996, 3.1),
        ("window", 2003, 2.0),
        ("window", 2012, 1.8),
        ("door", 1990, 3.0),
        ("door", 2007, 2.0),
        ("door", 2012, 1.8),
    ],
)
def test_windows_and_doors_of_their_time_are_usual(kind: ElementKind, year: int, u: float) -> None:
    """Single and double glazing, triple, doors (RdSAP 2012, tables S14 and S15a)."""
    assert usual.u_value(kind, year).side(u) == ""


@pytest.mark.parametrize(
    ("year", "per_kelvin"),
    [(1910, 5.3), (1910, 4.8), (1955, 5.4), (1985, 3.7), (2006, 1.5), (2012, 1.4)],
)
def test_published_house_balances_are_usual_for_their_age(year: int, per_kelvin: float) -> None:
    """Terraces and detached houses of Great Britain, by W/K and by W per m² at 24 K (TABULA, EPISCOPE)."""
    assert usual.w_per_m2k(year, "living").side(per_kelvin) == ""
    assert usual.w_per_m2(year, "living", 20.0, 24.0).side(24 * per_kelvin) == ""
    assert usual.w_per_m2k(None, "living").side(per_kelvin) == ""


def test_the_trades_figures_are_usual() -> None:
    """75, 50 and 30 W/m² for old, newer and low-energy houses (trade rule of thumb), at 24 K."""
    for year, per_area in ((1950, 75.0), (1995, 50.0), (2015, 30.0)):
        assert usual.w_per_m2(year, "living", 20.0, 24.0).side(per_area) == ""


@pytest.mark.parametrize(("use", "air_changes"), [("living", 1.5), ("bedroom", 0.5), ("kitchen", 2.0), ("bath", 3.0)])
def test_air_changes_of_old_rooms_are_usual(use: Use, air_changes: float) -> None:
    """An older living room 1.5 (common practice); bedroom 0.5, kitchen 2 (MacKay 2008, table E.1); bath 3."""
    assert usual.air_changes_per_h(use).side(air_changes) == ""
    assert usual.air_changes_per_h(use, 1950).side(air_changes) == ""


@pytest.mark.parametrize("y", [0.15, 0.11, 0.08, 0.02, 0.05, 0.10])
def test_published_supplements_for_bridges_are_usual(y: float) -> None:
    """RdSAP 2012, table S13; EN 12831-1:2017, table B.1."""
    assert usual.BRIDGES_W_PER_M2K.side(y) == ""


def test_the_rule_of_thumb_is_five_to_twelve_and_a_half_watts_a_square_foot() -> None:
    """0.09290304 m² to the square foot."""
    assert pytest.approx(5 / 0.09290304, abs=0.5) == usual.THUMB_W_PER_M2.low
    assert pytest.approx(12.5 / 0.09290304, abs=0.5) == usual.THUMB_W_PER_M2.high
