"""Slips in numbers inside a table or list: a floor on the ground, layers, streams of air, a wanted warm-up."""

from __future__ import annotations

import pytest

from ingle.config.house import parse_house
from ingle.design import design_house
from ingle.model.design import Design, Finding

HOUSE = """
[house]
name = "Tern House"
outdoor_design_c = -2
outdoor_mean_c = 10
built = 1935

[[zone]]
id = "room"
name = "Room"
floor_area_m2 = 20
height_m = 2.4
design_c = 21
air_changes_per_h = 1.0
air = [{name = "fan", m3_per_h = 30, from = {factor = 0.3}}]
warm_up_h = 2
warm_up_from_c = 18

[[zone.element]]
name = "wall"
kind = "wall"
area_m2 = 18
layers = [{mm = 102, lambda = 0.77}, {air_mm = 50}, {r = 0.2}, {mm = 13, lambda = 0.57}]

[[zone.element]]
name = "window"
kind = "window"
area_m2 = 3
u_w_per_m2k = 2.8

[[zone.element]]
name = "slab"
kind = "ground-floor"
area_m2 = 20
ground = {perimeter_m = 9, wall_mm = 300, soil_lambda = 1.5, insulation_r = 0.5}
"""


def designed(change: tuple[str, str] = ("", "")) -> Design:
    """Return the design of the house with one text of its file changed."""
    assert change[0] in HOUSE
    return design_house(parse_house(HOUSE.replace(*change, 1) if change[0] else HOUSE, "tern.toml"))


def findings(design: Design) -> tuple[Finding, ...]:
    """Return what is odd in it."""
    return (*design.findings, *design.zones[0].findings)


def test_the_sound_house_has_nothing_odd() -> None:
    """Neither floor, layers, fan nor warm-up are asked about."""
    assert findings(designed()) == ()


@pytest.mark.parametrize(
    ("change", "code", "key", "slip", "meant"),
    [
        (("wall_mm = 300", "wall_mm = 0.3"), "ground", "ground.wall_mm", "metres for millimetres", 300),
        (("soil_lambda = 1.5", "soil_lambda = 0.15"), "ground", "ground.soil_lambda", "decimal point", 1.5),
        (("insulation_r = 0.5", "insulation_r = 15"), "ground", "ground.insulation_r", "decimal point", 1.5),
        (("perimeter_m = 9", "perimeter_m = 0.9"), "perimeter", "ground.perimeter_m", "decimal point", 9),
        (("perimeter_m = 9", "perimeter_m = 900"), "perimeter", "ground.perimeter_m", "centimetres for metres", 9),
        (("air_mm = 50", "air_mm = 0.05"), "layer", "layers.2.air_mm", "metres for millimetres", 50),
        (("r = 0.2", "r = 20"), "layer", "layers.3.r", "decimal point", 2),
        (("m3_per_h = 30,", "m3_per_h = 30000,"), "air-stream", "air.1.m3_per_h", "litres for cubic metres", 30),
        (("warm_up_h = 2", "warm_up_h = 0.1"), "warm-up", "warm_up_h", "decimal point", 1),
    ],
)
def test_a_slip_inside_is_one_sentence_with_the_load_without_it(
    change: tuple[str, str], code: str, key: str, slip: str, meant: float
) -> None:
    """What is odd, the likely slip, and the load that a survey with the number as meant would have."""
    design = designed(change)
    (found,) = findings(design)
    assert (found.code, found.key) == (code, key)
    assert slip in found.slip
    assert found.meant == pytest.approx(meant)
    assert found.now == design.zones[0].heat_loss_w
    as_meant = (change[0], f"{change[0].split(' = ')[0]} = {meant}{',' if change[0].endswith(',') else ''}")
    assert found.then == pytest.approx(designed(as_meant).zones[0].heat_loss_w, abs=0.01)
    assert f"{found.then:.0f} W instead of {found.now:.0f} W" in found.sentence
    assert found.sentence in design.zones[0].warnings


def test_a_floor_s_edge_without_walls_to_compare_is_left_alone() -> None:
    """A short edge is no slip where only a part of the room lies on the ground, or little of it stands outside."""
    part = design_house(
        parse_house(HOUSE.replace("area_m2 = 20\nground", "area_m2 = 6\nground").replace("_m = 9", "_m = 1.5"), "")
    )
    assert not any(each.code == "perimeter" for each in findings(part))
