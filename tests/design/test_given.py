"""Rooms whose whole coefficient another source has given."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from ingle.design import design_house
from ingle.model.envelope import Element
from ingle.model.house import House
from ingle.model.provenance import Provenance
from surveys import one_room, two_rooms

WALL = Element(name="wall", kind="wall", area_m2=10.0, u_w_per_m2k=0.5)
PARTY = Element(name="partition", kind="party", area_m2=12.0, u_w_per_m2k=1.7, beyond="zone:cool")


def given_room(**zone: object) -> House:
    """Return a room with elements and air, and 42 W/K given for all of it."""
    return one_room(WALL, given_w_per_k=42.0, air_changes_per_h=1.0, bridges_percent=10.0, **zone)


def test_given_is_everything_but_links_and_reheat() -> None:
    """Elements, bridges and air add nothing; reheat comes on top."""
    zone = design_house(given_room(reheat_w_per_m2=10.0)).zones[0]
    assert zone.heat_loss_w_per_k == 42
    assert (zone.bridges_w_per_k, zone.ventilation_w_per_k) == (0, 0)
    assert zone.heat_loss_w == pytest.approx(42 * 20 + 200)
    assert zone.in_use_w_per_k == 42


def test_ground_share_of_given() -> None:
    """The share tells how much of the given goes to the ground."""
    zone = design_house(given_room(ground_share=0.16)).zones[0]
    assert zone.ground_w_per_k == pytest.approx(6.72)


def test_links_are_added_to_given() -> None:
    """A surveyed partition to a cooler room stays a link of its own."""
    house = two_rooms(PARTY)
    warm = replace(house.zones[0], given_w_per_k=30.0)
    zone = design_house(replace(house, zones=(warm, house.zones[1]))).zones[0]
    assert zone.heat_loss_w == pytest.approx(30 * 23 + 12 * 1.7 * 5)
    assert zone.in_use_w_per_k == 30


def test_band_of_given() -> None:
    """Its own limits are the band, at design and in use; the in-use air range has no part in it."""
    house = given_room(provenance={"given_w_per_k": Provenance(kind="measured", low=36.0, high=50.0)})
    zone = design_house(house).zones[0]
    assert (zone.low_w, zone.high_w) == (36 * 20, 50 * 20)
    assert (zone.in_use_low_w_per_k, zone.in_use_high_w_per_k) == (36, 50)


def test_the_sheet_of_given_is_short() -> None:
    """It has the given line, the totals and the in-use line, and asks where the number is from."""
    zone = design_house(given_room()).zones[0]
    assert [line.item for line in zone.working] == [
        "given heat loss",
        "outdoor design temperature",
        "heat loss coefficient",
        "heat loss at design",
        "reheat",
        "total",
        "coefficient in use",
    ]
    assert [each.key for each in zone.inputs] == ["given_w_per_k"]
