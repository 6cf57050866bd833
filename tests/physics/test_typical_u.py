"""Typical U-values against the published tables of RdSAP 2012 (v9.94, 20 September 2019), copied here row by row."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.physics.typical import AGE_BANDS, LETTERS, Typical, age_band, band_years
from ingle.physics.typical_u import (
    BRIDGES,
    DOORS,
    EXPOSED_FLOORS,
    ROOFS,
    STONES,
    WALLS,
    bridges_y,
    door_u,
    exposed_floor_u,
    roof_u,
    wall_u,
)

# One year of each band, A to L (table S1, England and Wales).
YEARS = (1850, 1915, 1940, 1958, 1970, 1979, 1987, 1993, 2000, 2005, 2009, 2020)
# Table S6, as built, A to L.
PUBLISHED_WALLS = {
    "solid-brick": "2.1 2.1 2.1 2.1 1.7 1.0 .6 .6 .45 .35 .3 .28",
    "cob": ".8 .8 .8 .8 .8 .8 .6 .6 .45 .35 .3 .28",
    "cavity": "2.1 1.6 1.6 1.6 1.6 1.0 .6 .6 .45 .35 .3 .28",
    "filled-cavity": ".5 .5 .5 .5 .5 .4 .35 .35 .45 .35 .3 .28",
    "timber-frame": "2.5 1.9 1.9 1.0 .8 .45 .4 .4 .4 .35 .3 .28",
    "system-built": "2.0 2.0 2.0 2.0 1.7 1.0 .6 .6 .45 .35 .3 .28",
}
# Table S10, as built, A to L.
PUBLISHED_ROOFS = {
    "loft": "2.3 2.3 2.3 2.3 1.5 .68 .4 .3 .26 .16 .16 .16",
    "rafters": "2.3 2.3 2.3 2.3 1.5 .68 .4 .35 .35 .2 .2 .18",
    "flat": "2.3 2.3 2.3 2.3 1.5 .68 .4 .35 .35 .25 .25 .18",
    "thatch": ".35 .35 .35 .35 .35 .35 .35 .35 .35 .3 .25 .18",
}


def row(text: str) -> list[float]:
    """Return the numbers of a row."""
    return [float(cell) for cell in text.split()]


@pytest.mark.parametrize("construction", PUBLISHED_WALLS)
def test_walls_as_built(construction: str) -> None:
    """RdSAP 2012 table S6, England and Wales, bands A to L."""
    got = [wall_u(construction, year).value for year in YEARS]
    assert got == pytest.approx(row(PUBLISHED_WALLS[construction]))


@pytest.mark.parametrize(
    ("construction", "year", "cells"),
    [
        ("solid-brick", 1850, {50: 0.6, 100: 0.35, 150: 0.25, 200: 0.18}),
        ("cob", 1850, {50: 0.4, 100: 0.26, 150: 0.2, 200: 0.16}),
        ("cavity", 1940, {50: 0.53, 100: 0.32, 150: 0.23, 200: 0.18}),
        ("filled-cavity", 1940, {50: 0.31, 100: 0.22, 150: 0.17, 200: 0.14}),
        ("system-built", 1970, {50: 0.55, 100: 0.35, 150: 0.25, 200: 0.18}),
        ("cavity", 1979, {50: 0.45, 100: 0.3, 150: 0.21, 200: 0.17}),
        ("cavity", 1993, {50: 0.35, 100: 0.24, 150: 0.18, 200: 0.15}),
        ("solid-brick", 2020, {50: 0.21, 100: 0.16, 150: 0.14, 200: 0.12}),
    ],
)
def test_walls_with_insulation_added(construction: str, year: int, cells: dict[float, float]) -> None:
    """RdSAP 2012 table S6, rows with internal or external insulation; its cells are rounded and banded."""
    for thickness, published in cells.items():
        assert wall_u(construction, year, insulation_mm=thickness).value == pytest.approx(published, abs=0.04)


def test_stone_walls_by_thickness_and_year() -> None:
    """RdSAP 2012, S5.1.1 (from memory): 3.3 or 3.0 less 0.002 a mm, 500 mm unless known; 1.7 at most from 1967."""
    assert wall_u("granite", 1850).value == pytest.approx(2.3)
    assert wall_u("sandstone", 1850, thickness_mm=700).value == pytest.approx(1.6)
    assert wall_u("granite", 1970).value == 1.7
    assert wall_u("sandstone", 1970, thickness_mm=800).value == pytest.approx(1.4)
    assert [wall_u("granite", year).value for year in YEARS[5:]] == row("1.0 .6 .6 .45 .35 .3 .28")


@pytest.mark.parametrize("construction", PUBLISHED_ROOFS)
def test_roofs_as_built(construction: str) -> None:
    """RdSAP 2012 table S10, England and Wales, bands A to L."""
    got = [roof_u(construction, built=year).value for year in YEARS]
    assert got == pytest.approx(row(PUBLISHED_ROOFS[construction]))


@pytest.mark.parametrize(
    ("construction", "cells"),
    [
        (
            "loft",
            "0 2.3 12 1.5 25 1.0 50 .68 75 .5 100 .4 150 .3 200 .21 250 .17 270 .16 300 .14 350 .12 400 .11 600 .11",
        ),
        ("thatch", "0 .35 12 .32 25 .3 50 .25 75 .22 100 .2 150 .17 200 .14 250 .12 300 .11 350 .1 400 .09"),
    ],
)
def test_roofs_by_insulation(construction: str, cells: str) -> None:
    """RdSAP 2012 table S9: insulation at joists, and under thatch [mm], beyond 400 mm as 400 mm."""
    numbers = row(cells)
    for thickness, published in zip(numbers[::2], numbers[1::2], strict=True):
        assert roof_u(construction, insulation_mm=thickness).value == pytest.approx(published)


def test_a_sloping_roof_is_never_worse_than_as_built() -> None:
    """RdSAP 2012 table S10, its note: the lower of the table's value and that by the insulation seen."""
    assert roof_u("rafters", built=2005, insulation_mm=50).value == 0.2
    assert roof_u("rafters", built=1935, insulation_mm=50).value == 0.68


def test_doors_floors_and_bridges() -> None:
    """RdSAP 2012 tables S15a, S12 and S13, England and Wales, bands A to L."""
    assert [door_u(year).value for year in YEARS] == row("3 3 3 3 3 3 3 3 3 3 2 1.8")
    assert [exposed_floor_u(year).value for year in YEARS] == row("1.2 1.2 1.2 1.2 1.2 1.2 1.2 .51 .51 .25 .22 .22")
    seen = [exposed_floor_u(1935, insulation_mm=thickness).value for thickness in (50, 100, 150)]
    assert seen == pytest.approx(row(".5 .3 .22"))
    assert [exposed_floor_u(2005, insulation_mm=each).value for each in (50, 150)] == pytest.approx(row(".25 .22"))
    assert [bridges_y(year).value for year in YEARS] == row(".15 .15 .15 .15 .15 .15 .15 .15 .15 .11 .08 .08")


def test_every_year_has_its_band() -> None:
    """RdSAP 2012 table S1, England and Wales: a band begins in its first year and ends before the next one's."""
    assert [age_band(year) for year in YEARS] == list("ABCDEFGHIJKL")
    starts = [first for _, first in AGE_BANDS[1:]]
    assert starts == [1900, 1930, 1950, 1967, 1976, 1983, 1991, 1996, 2003, 2007, 2012]
    assert "".join(age_band(year - 1) for year in starts) == "ABCDEFGHIJK"
    assert "".join(age_band(year) for year in starts) == "BCDEFGHIJKL"
    assert [band_years(letter) for letter in "AGL"] == ["before 1900", "1983 to 1990", "2012 on"]


def test_tables_are_whole_and_in_bounds() -> None:
    """Every table has all twelve bands; a slip by a factor of ten would leave these bounds."""
    for table in (*WALLS.values(), *ROOFS.values(), EXPOSED_FLOORS, DOORS):
        assert "".join(table) == LETTERS
        assert all(0.1 < value <= 3 for value in table.values())
    assert all(0.05 <= value <= 0.2 for value in BRIDGES.values())


walls = st.sampled_from(sorted({*WALLS, *STONES}))
years = st.integers(1000, 2100)


@given(construction=walls, built=years, thin=st.floats(0, 400), more=st.floats(0, 400))
def test_more_insulation_never_loses_more(construction: str, built: int, thin: float, more: float) -> None:
    """On walls, in lofts, in floors."""
    for u in (
        lambda mm: wall_u(construction, built, insulation_mm=mm),
        lambda mm: roof_u("loft", insulation_mm=mm),
        lambda mm: exposed_floor_u(built, insulation_mm=mm),
    ):
        assert u(thin + more).value <= u(thin).value + 1e-12


@given(construction=walls, built=years, roof=st.sampled_from(sorted(ROOFS)), mm=st.floats(0, 500))
def test_every_value_lies_in_its_range_and_names_its_source(
    construction: str, built: int, roof: str, mm: float
) -> None:
    """A range that left its own value out, or a value without a source, could not be defended."""
    values: list[Typical] = [wall_u(construction, built, insulation_mm=mm), roof_u(roof, built=built)]
    values += [roof_u(roof, insulation_mm=mm), exposed_floor_u(built), door_u(built), bridges_y(built)]
    for each in values:
        assert 0 < each.low < each.value < each.high
        assert each.source.startswith("RdSAP 2012 v9.94 ")


def test_a_solid_wall_may_be_what_later_editions_take() -> None:
    """Later editions of RdSAP take 1.7 for solid brick up to 1966; the range of 2.1 reaches well below that."""
    wall = wall_u("solid-brick", 1890)
    assert wall.low < 1.4
    assert wall.high > 1.7


def test_a_loft_that_nobody_looked_into_may_be_full() -> None:
    """300 mm (0.14 in table S9) is in the range of any old loft."""
    assert all(roof_u("loft", built=year).low <= 0.14 for year in YEARS)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda: wall_u("straw", 1900), "no wall is called straw; known are granite, sandstone, solid-brick"),
        (lambda: wall_u("cavity", 1900, insulation_mm=-50), "insulation of -50 mm is not possible"),
        (lambda: wall_u("granite", 1900, thickness_mm=-500), "a stone wall of -500 mm is not possible"),
        (lambda: roof_u("dome", built=1900), "no roof is called dome; known are loft, rafters, flat, thatch"),
        (lambda: roof_u("loft"), "typical of its insulation or of its year; one of them is needed"),
        (lambda: roof_u("loft", insulation_mm=-1), "insulation of -1 mm is not possible"),
        (lambda: exposed_floor_u(1900, insulation_mm=-1), "insulation of -1 mm is not possible"),
    ],
)
def test_what_cannot_be_is_said(wrong: Callable[[], Typical], said: str) -> None:
    """Each impossible input is a sentence that names it, not a number."""
    with pytest.raises(ValueError, match=said):
        wrong()
