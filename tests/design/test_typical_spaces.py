"""Unheated spaces of which only the kind is known: a factor out of a table, assumed, with a range."""

from __future__ import annotations

from typing import get_args

import pytest

from ingle.config.house import parse_house
from ingle.design import design_house
from ingle.errors import BadInput
from ingle.model.design import ZoneDesign
from ingle.model.envelope import UnheatedKind
from ingle.physics.unheated_kinds import KINDS, unheated_factor

HOUSE = """
[house]
name = "Tern House"
method = "domestic"
outdoor_design_c = 0
[[zone]]
id = "room"
name = "Room"
floor_area_m2 = 10
height_m = 2.4
design_c = 20
air_changes_per_h = 0
AIR
[[zone.element]]
name = "floor"
kind = "floor"
area_m2 = 10
u_w_per_m2k = 1
beyond = {BEYOND}
"""


def room(beyond: str, air: str = "") -> ZoneDesign:
    """Return the design of a room over something, 10 m² of U 1 at 20 K."""
    return design_house(parse_house(HOUSE.replace("BEYOND", beyond).replace("AIR", air), "tern.toml")).zones[0]


@pytest.mark.parametrize(
    ("kind", "factor"),
    [
        ("inner-circulation", 0.0),
        ("one-outside-wall", 0.4),
        ("two-outside-walls", 0.5),
        ("two-outside-walls-and-door", 0.6),
        ("three-outside-walls", 0.8),
        ("basement", 0.5),
        ("basement-with-openings", 0.8),
        ("roof-insulated", 0.7),
        ("roof-uninsulated", 0.9),
        ("roof-ventilated", 1.0),
        ("crawl-space", 0.8),
    ],
)
def test_a_kind_of_space_has_the_factor_of_the_table(kind: str, factor: float) -> None:
    """EN 12831-1:2017, Annex B, default temperature factors of unheated spaces; as beyond = {factor} would have it."""
    found = room(f'typical = "{kind}"')
    assert found.heat_loss_w == pytest.approx(200 * factor)
    assert found.heat_loss_w == room(f"factor = {factor}").heat_loss_w
    line = next(each for each in found.working if each.item == "floor")
    assert "EN 12831-1:2017, Annex B" in line.source


def test_the_range_of_a_kind_is_the_band() -> None:
    """A basement of 0.5 may be 0.35 to 0.65, and the surveyor is told to look into it."""
    found = room('typical = "basement"')
    assert (found.low_w, found.high_w) == pytest.approx((70, 130))
    assert "factor of the space beyond floor" in found.measure_first


def test_air_out_of_such_a_space_goes_by_the_same_table() -> None:
    """0.33 x 30 m³/h x 20 K x 0.5, whether by its kind or by its factor."""
    stream = 'air = [{name = "draught", m3_per_h = 30, from = {FROM}}]'
    by_kind = room("factor = 0", stream.replace("FROM", 'typical = "basement"'))
    assert by_kind.heat_loss_w == pytest.approx(0.33 * 30 * 20 * 0.5, rel=0.01)
    assert by_kind.heat_loss_w == room("factor = 0", stream.replace("FROM", "factor = 0.5")).heat_loss_w
    assert by_kind.low_w < by_kind.heat_loss_w < by_kind.high_w


@pytest.mark.parametrize("beyond", ['typical = "basement", factor = 0.5', 'typical = "cave"', ""])
def test_two_ways_at_once_and_an_unknown_kind_are_refused(beyond: str) -> None:
    """One of factor, temperature and kind, and a kind of the table."""
    with pytest.raises(BadInput, match=r"exactly one of factor, temperature_c and typical|one of basement,"):
        room(beyond)


def test_the_file_knows_the_kinds_of_the_table() -> None:
    """And what it does not know is refused by the table itself."""
    assert get_args(UnheatedKind) == KINDS
    with pytest.raises(ValueError, match="no unheated space is called cave"):
        unheated_factor("cave")
