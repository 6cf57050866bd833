"""What a survey must say for a typical U-value: each slip one sentence in its place."""

from __future__ import annotations

from typing import Any

import pytest

from ingle.config.house import check_house, dump_house, parse_house
from ingle.errors import BadInput

ZONE_KEYS = frozenset({"built", "bridges_typical", "bridges_percent"})


def house(kind: str = "wall", *, site: dict[str, Any] | None = None, **fields: Any) -> dict[str, Any]:
    """Return a document with one room of one element."""
    zone = {key: fields.pop(key) for key in [*fields] if key in ZONE_KEYS}
    element = {"name": "piece", "kind": kind, "area_m2": 10} | fields
    room = {"id": "hall", "name": "Hall", "floor_area_m2": 10, "height_m": 2.4, "element": [element]}
    return {"house": {"name": "Quay Chapel", "outdoor_design_c": -3} | (site or {}), "zone": [room | zone]}


CAVITY, LOFT = {"construction": "cavity"}, {"construction": "loft"}
DOUBLE = {"construction": "double-glazing", "built": 1990}
PLACE = "zone[0].element[0].typical"
SLIPS = [
    (house(typical={"construction": "straw"}), f"{PLACE}.construction", "one of cavity, cob, double-glazing"),
    (house(typical=LOFT | {"built": 1900}), f"{PLACE}.construction", "for a wall, one of granite"),
    (house("ground-floor", typical=CAVITY, built=1900), PLACE, "nothing for a ground-floor"),
    (house(typical=CAVITY), f"{PLACE}.built", "the year it was built, here or as built of the zone or the house"),
    (house("roof", typical=LOFT), f"{PLACE}.built", "the year it was built"),
    (house(typical=CAVITY | {"built": 20}), f"{PLACE}.built", "a whole number from 1000 to 2100"),
    (
        house("window", typical={"construction": "double-glazing"}, built=1900),
        f"{PLACE}.built",
        "the year in which the glazing was put in",
    ),
    (house(typical=CAVITY | {"built": 1900, "gap_mm": 6}), f"{PLACE}.gap_mm", "only for double-glazing"),
    (house(typical=CAVITY | {"built": 1900, "thickness_mm": 300}), f"{PLACE}.thickness_mm", "only for granite"),
    (
        house(typical=CAVITY | {"built": 1900, "insulation_mm": -50}),
        f"{PLACE}.insulation_mm",
        "a number from 0 to 1000",
    ),
    (house("window", typical=DOUBLE | {"insulation_mm": 50}), f"{PLACE}.insulation_mm", "only for cavity, cob"),
    (house("window", typical=DOUBLE | {"frame": "brass"}), f"{PLACE}.frame", "one of metal, pvc, wood"),
    (house(typical=CAVITY, built=1900, beyond="ground"), PLACE, "only for what leads to outside"),
    (house(typical=CAVITY, built=1900, u_w_per_m2k=1.6), PLACE, "one of u_w_per_m2k, layers, ground and typical"),
    (
        house(typical=CAVITY | {"built": 1900}, bridges_typical=True),
        "zone[0].bridges_typical",
        "only where built is given",
    ),
    (
        house(typical=CAVITY, built=1900, bridges_typical=True, bridges_percent=10),
        "zone[0].bridges_typical",
        "only without bridges_percent",
    ),
]


@pytest.mark.parametrize(("document", "place", "allowed"), SLIPS, ids=[f"{place} {said}" for _, place, said in SLIPS])
def test_a_slip_is_one_fault_in_its_place(document: dict[str, Any], place: str, allowed: str) -> None:
    """Unknown type or age, what means nothing for a type, two ways at once: a place and what is allowed there."""
    with pytest.raises(BadInput) as caught:
        check_house(document)
    assert [fault.place for fault in caught.value.faults] == [place]
    assert caught.value.faults[0].allowed.startswith(allowed)


FINE = [
    house(typical=CAVITY | {"built": 1900}),
    house(typical=CAVITY, built=1900, bridges_typical=True),
    house(typical=CAVITY, site={"built": 1900}, bridges_typical=True),
    house("roof", typical=LOFT | {"insulation_mm": 0}),
    house("window", typical={"construction": "single-glazing"}),
    house("door", typical=DOUBLE | {"gap_mm": 12, "frame": "pvc"}),
    house(typical=CAVITY, built=1900, beyond={"factor": 0.6}),
    house(
        typical=CAVITY,
        site={"built": 1900, "provenance": {"built": {"kind": "assumed", "low": 1890, "high": 1910}}},
    ),
]


@pytest.mark.parametrize("document", FINE)
def test_what_is_enough_is_taken_and_comes_back(document: dict[str, Any]) -> None:
    """The year from the piece, the zone or the house, or none where none is needed; and load(dump(x)) = x."""
    taken = check_house(document)
    assert parse_house(dump_house(taken), "again") == taken
