"""Each slip of the pen has its sentence, the likely slip, and the figure without it; nothing is corrected."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from ingle.design import design_house
from ingle.design.usual import Usual
from ingle.model.design import Finding
from ingle.model.devices import Heater
from ingle.model.envelope import Element, Ground, Layer, Space
from ingle.model.house import House, Zone
from ingle.model.provenance import Provenance
from ingle.model.week import Levels
from surveys import net_loft, one_room, two_rooms

WALL = Element(name="wall", kind="wall", area_m2=10.0, u_w_per_m2k=0.5)
GLASS = Element(name="glass", kind="window", area_m2=2.0, u_w_per_m2k=2.0)
ROOF = Element(name="ceiling", kind="roof", area_m2=20.0, u_w_per_m2k=0.3)


def plain(*elements: Element, **zone: Any) -> House:
    """Return a room of 20 m² and 2.5 m height with a wall and a window, one air change, 20 K: nothing is odd."""
    return one_room(*(elements or (WALL, GLASS)), **({"air_changes_per_h": 1.0} | zone))


def findings(house: House) -> tuple[Finding, ...]:
    """Return what is found in the first room."""
    return design_house(house).zones[0].findings


def only(house: House) -> Finding:
    """Return the one finding of the first room."""
    (found,) = findings(house)
    return found


def wall(**change: Any) -> Element:
    """Return the wall, changed."""
    return replace(WALL, **change)


def test_nothing_is_odd_in_an_ordinary_room() -> None:
    """Neither in a plain one nor in the Net Loft, with heaters, under a roof and over a cold store."""
    assert findings(plain()) == ()
    assert design_house(net_loft()).zones[0].warnings == ()


# What was entered, and: code, slip, the number as meant. Feet, pounds and British thermal units by their definitions.
SLIPS: list[tuple[House, str, str, float]] = [
    (plain(floor_area_m2=215.0, use="bedroom", volume_m3=50.0), "floor-area", "square feet for square metres", 19.97),
    (plain(volume_m3=None, height_m=7.9), "room-height", "feet for metres", 2.408),
    (plain(volume_m3=None, height_m=25.0), "room-height", "a decimal point in the wrong place", 2.5),
    (plain(volume_m3=20.0), "room-height", "the floor area for the volume", 48.0),
    (plain(volume_m3=1766.0), "room-height", "cubic feet for cubic metres", 50.01),
    (plain(wall(area_m2=108.0), GLASS), "wall-area", "square feet for square metres or", 10.03),
    (plain(wall(area_m2=100.0), GLASS), "wall-area", "or a decimal point in the wrong place", 9.2903),
    (plain(wall(area_m2=None, width_m=4000.0 / 10, height_m=2.5)), "wall-area", "centimetres for metres", 4.0),
    (plain(wall(area_m2=None, width_m=4.0, height_m=8.2)), "wall-area", "feet for metres", 2.499),
    (plain(WALL, GLASS, replace(ROOF, area_m2=200.0)), "roof-area", "or a decimal point in the wrong place", 18.58),
    (plain(WALL, GLASS, replace(ROOF, area_m2=2.0)), "roof-area", "a decimal point in the wrong place", 20.0),
    (plain(WALL, replace(GLASS, area_m2=20.0)), "more-glass-than-wall", "or a decimal point in the wrong place", 1.858),
    (plain(wall(area_m2=1.0), GLASS), "more-glass-than-wall", "a decimal point in the wrong place", 10.0),
    (plain(wall(u_w_per_m2k=5.0), GLASS), "u-value", "a decimal point in the wrong place", 0.5),
    (plain(WALL, replace(GLASS, u_w_per_m2k=0.49)), "u-value", "a U in BTU/(h·ft²·°F)", 2.782),
    (plain(wall(u_w_per_m2k=0.14), GLASS, built=1905), "u-value", "a U in BTU/(h·ft²·°F)", 0.795),
    (plain(air_changes_per_h=10.0), "air-changes", "a decimal point in the wrong place", 1.0),
    (plain(air_changes_per_h=0.05), "air-changes", "a decimal point in the wrong place", 0.5),
    (plain(air_changes_per_h=15.0), "air-changes", "litres per second for air changes", 1.08),
    (plain(bridges_percent=100.0), "bridges", "a decimal point in the wrong place", 10.0),
    (plain(bridges_w_per_m2k=0.8), "bridges", "a decimal point in the wrong place", 0.08),
    (plain(reheat_w_per_m2=120.0), "reheat", "a decimal point in the wrong place", 12.0),
    (plain(reheat_w_per_m2=1.1), "reheat", "watts per square foot", 11.84),
    (
        plain(design_c=2.1, site={"outdoor_design_c": -3.0}),
        "inside-temperature",
        "a decimal point in the wrong place",
        21,
    ),
    (plain(wall(beyond=Space(temperature_c=50.0)), WALL), "temperature-beyond", "degrees Fahrenheit for Celsius", 10.0),
]


@pytest.mark.parametrize(("house", "code", "slip", "meant"), SLIPS)
def test_a_slip_is_named_with_what_the_load_would_be(house: House, code: str, slip: str, meant: float) -> None:
    """One sentence: what is odd, the likely slip, the number as meant, and the load now and then."""
    found = only(house)
    assert found.code == code
    assert slip in found.slip
    assert found.meant == pytest.approx(meant, rel=1e-3)
    design = design_house(house).zones[0]
    assert found.sentence in design.warnings
    assert found.now == design.heat_loss_w
    assert slip in found.sentence
    if abs(found.then - found.now) >= 1:
        assert f"{found.then:.0f} W instead of {found.now:.0f} W" in found.sentence
    assert found.sentence.count(". ") == 0


def test_the_figure_then_is_the_design_of_the_corrected_house() -> None:
    """A height in feet: the load named is exactly what the design of the house in metres gives."""
    found = only(plain(volume_m3=None, height_m=7.9))
    corrected = design_house(plain(volume_m3=None, height_m=7.9 * 0.3048)).zones[0]
    assert found.then == corrected.heat_loss_w
    assert found.entered == 7.9
    assert corrected.findings == ()


def test_a_number_without_a_likely_slip_is_set_against_the_nearest_usual_one() -> None:
    """Nothing is guessed; the figure at the edge of the usual range is told."""
    found = only(plain(air_changes_per_h=3.5))
    assert (found.slip, found.meant) == ("", 3.0)
    assert found.then < found.now
    assert "; at 3 1/h the load would be" in found.sentence


def test_a_published_survey_that_forgot_the_net_area() -> None:
    """A worked heat loss that is public: a window of 6 m² in a wall of 6 m x 2.3 m, the wall counted whole.

    3.3 m x 3 m x 2.3 m, two air changes, window U 2.9, wall U 1.5, floor U 1, 22 K: it says 63.03 W/K and 1386.7 W
    (worked example of a published UK heating guide). Net of the window the wall is 7.8 m², and 9 W/K less are lost.
    """
    window = Element(name="window", kind="window", area_m2=6.0, u_w_per_m2k=2.9)
    floor = Element(name="floor", kind="floor", area_m2=9.9, u_w_per_m2k=1.0)
    gross = wall(u_w_per_m2k=1.5, area_m2=None, width_m=6.0, height_m=2.3)
    room = {"floor_area_m2": 9.9, "volume_m3": None, "height_m": 2.3, "air_changes_per_h": 2.0, "design_c": 22.0}
    for outside in (gross, wall(u_w_per_m2k=1.5, area_m2=13.8)):
        house = plain(outside, window, floor, **room)
        assert design_house(house).zones[0].heat_loss_w == pytest.approx(1386.7, abs=0.2)
        found = only(house)
        assert (found.code, found.slip) == ("gross-area", "the gross area for the net one")
        assert found.meant == pytest.approx(7.8)
        assert found.then == pytest.approx(1386.7 - 9 * 22, abs=0.2)
    net = replace(gross, openings=("window",))
    assert findings(plain(net, window, floor, **room)) == ()


def test_a_window_on_another_side_is_not_taken_off() -> None:
    """A north wall without openings is whole where the only window faces south."""
    north = wall(area_m2=None, width_m=4.0, height_m=2.5, faces_deg=0.0)
    south = wall(name="front", faces_deg=180.0)
    assert findings(plain(north, south, replace(GLASS, faces_deg=180.0))) == ()


def test_twelve_kilowatts_in_one_room_are_a_slip() -> None:
    """12,020 W from heaters of 1500 W are nine heaters (8.013): no room takes them, so the survey is likely wrong."""
    heater = Heater(id="a", rated_w=1500)
    # 20 K x 601 W/K = 12,020 W.
    house = one_room(site={}, given_w_per_k=601.0, heaters=(heater,), floor_area_m2=25.0, volume_m3=62.0)
    found = only(house)
    assert found.code == "result"
    assert "481 W/m²" in found.sentence
    assert "would take 9 heaters of 1500 W" in found.sentence
    assert found.now == pytest.approx(12_020)
    assert (found.slip, found.meant) == ("a decimal point in the wrong place", pytest.approx(60.1))
    assert found.then == pytest.approx(1202)


def test_a_result_is_looked_at_only_where_no_input_is_odd() -> None:
    """The cause is said, not its effect as well."""
    assert [each.code for each in findings(plain(wall(area_m2=500.0, u_w_per_m2k=2.0)))] == ["wall-area"]


def test_an_outdoor_temperature_is_of_the_house() -> None:
    """28 °F for -2 °C: said once for the house, with the house's total as it would be."""
    house = net_loft(outdoor_design_c=28.4)
    design = design_house(house)
    (found,) = design.findings
    assert (found.code, found.slip, found.zone) == ("outdoor-temperature", "degrees Fahrenheit for Celsius", None)
    assert found.meant == pytest.approx(-2.0)
    assert found.then == pytest.approx(design_house(net_loft()).total_w)
    assert found.sentence in design.notes
    assert design.zones[0].findings == ()


@pytest.mark.parametrize(("entered", "slip"), [(6.0, "a lost minus sign"), (23.0, "degrees Fahrenheit for Celsius")])
def test_a_lost_minus_sign_is_told_from_fahrenheit(entered: float, slip: str) -> None:
    """By which of the two gives an ordinary winter."""
    (found,) = design_house(net_loft(outdoor_design_c=entered)).findings
    assert found.slip == slip
    assert found.meant < 0


def test_where_the_house_stands_narrows_its_winter() -> None:
    """-30 °C is a winter somewhere, but not at 50° N by the Atlantic; 4 °C is one in the south only."""
    assert design_house(net_loft(outdoor_design_c=-30.0)).findings == ()
    placed = {"latitude_deg": 50.4, "longitude_deg": -5.9}
    assert design_house(net_loft(outdoor_design_c=-30.0, **placed)).findings[0].meant == pytest.approx(-3.0)
    assert design_house(net_loft(outdoor_design_c=4.0)).findings == ()
    assert design_house(net_loft(outdoor_design_c=4.0, **placed)).findings != ()


def test_an_annual_mean_in_fahrenheit_is_noticed() -> None:
    """50 °F is 10 °C; as Celsius it would heat the house from below."""
    floor = Element(name="slab", kind="ground-floor", area_m2=20.0, ground=Ground(perimeter_m=9.0))
    house = plain(WALL, GLASS, floor, site={"method": "en12831", "outdoor_mean_c": 50.0})
    (found,) = design_house(house).findings
    assert (found.key, found.slip, found.meant) == ("outdoor_mean_c", "degrees Fahrenheit for Celsius", 10.0)


def test_no_design_without_a_temperature_difference() -> None:
    """A room designed no warmer than outdoors has no load, and says so instead of dividing by nothing."""
    house = plain(design_c=5.0, use="store", site={"outdoor_design_c": 5.0, "method": "en12831", "outdoor_mean_c": 9.0})
    assert only(house).code == "no-difference"
    assert "no design heat loss" in only(house).sentence
    assert design_house(house).zones[0].heat_loss_w == 0


def test_layers_in_metres_and_inches() -> None:
    """0.1 for 100 mm of insulation; 1000 mm for 100; a conductivity ten times off."""
    for layer, slip, meant in (
        (Layer(mm=0.1, conductivity=0.038), "metres for millimetres", 100.0),
        (Layer(mm=1000.0, conductivity=0.038), "a decimal point in the wrong place", 100.0),
        (Layer(mm=100.0, conductivity=7.7), "a decimal point in the wrong place", 0.77),
    ):
        element = wall(u_w_per_m2k=None, layers=(Layer(mm=215.0, conductivity=0.77), layer))
        found = next(each for each in findings(plain(element, GLASS)) if each.code == "layer")
        assert (found.slip, found.meant, found.element) == (slip, pytest.approx(meant), "wall")


def test_a_u_far_from_the_houses_others_is_asked_about() -> None:
    """Three walls of 1.4 and one of 0.14: a decimal point? Not where someone saw what it is made of."""
    old = [wall(name=f"wall {place}", area_m2=4.0, u_w_per_m2k=1.4) for place in range(3)]
    odd = wall(name="odd wall", area_m2=4.0, u_w_per_m2k=0.14)
    found = only(plain(*old, odd, GLASS))
    assert (found.code, found.element, found.meant) == ("u-unlike-others", "odd wall", pytest.approx(1.4))
    seen = replace(odd, provenance={"u_w_per_m2k": Provenance(kind="observed", note="150 mm added outside")})
    assert findings(plain(*old, seen, GLASS)) == ()
    newer = Zone(
        id="new", name="New", floor_area_m2=12.0, height_m=2.4, built=2020, elements=(replace(odd, area_m2=9.0), GLASS)
    )
    house = plain(*old, GLASS)
    assert design_house(replace(house, zones=(*house.zones, newer))).zones[1].findings == ()


def test_what_is_measured_is_questioned_only_where_no_such_element_exists() -> None:
    """A wall of 1905 at 0.14 W/(m²·K), measured, is taken; one of 5 is not."""
    for u, count in ((0.14, 0), (5.0, 1)):
        measured = {"u_w_per_m2k": Provenance(kind="measured", low=u * 0.9, high=u * 1.1)}
        element = wall(u_w_per_m2k=u, provenance=measured)
        assert len(findings(plain(element, GLASS, built=1905))) == count


def test_a_perimeter_in_feet() -> None:
    """40 ft around 20 m² of slab that has 18 m at most; the floor's own U comes of it."""
    slab = Element(name="slab", kind="ground-floor", area_m2=20.0, ground=Ground(perimeter_m=40.0))
    found = only(plain(WALL, GLASS, slab))
    assert (found.code, found.key, found.slip) == ("perimeter", "ground.perimeter_m", "feet for metres")


def test_lengths_of_bridges_that_add_up_to_too_much() -> None:
    """ψ·l above the usual share of the fabric is asked about at the longest."""
    element = wall(psi_w_per_mk=0.5, psi_length_m=80.0)
    found = only(plain(element, GLASS))
    assert (found.code, found.key, found.element) == ("bridges", "psi_length_m", "wall")
    assert only(plain(wall(psi_w_per_mk=2.0, psi_length_m=1.0), GLASS)).key == "psi_w_per_mk"


def test_plates_in_kilowatts_and_heaters_that_no_room_takes() -> None:
    """A plate of 1.5 W is 1.5 kW; seven heaters stand in no room of 20 m²."""
    found = only(plain(heaters=(Heater(id="a", rated_w=1.5), Heater(id="b", rated_w=1500))))
    assert (found.code, found.slip, found.meant) == ("heater-plate", "kilowatts for watts", 1500)
    assert (found.figure, found.now, found.then) == ("installed_w", 1501.5, 3000)
    many = only(plain(heaters=tuple(Heater(id=f"h{place}", rated_w=300) for place in range(7))))
    assert many.code == "heater-count"
    assert (many.entered, many.now) == (7, 2100)
    assert many.then >= many.meant * 300 > 0


def test_someone_vulnerable_is_warned_for_below_18_degrees() -> None:
    """By the WHO's Housing and health guidelines (2018); at design with the load it would take, and by the level."""
    found = only(plain(vulnerable=True, design_c=17.0))
    assert (found.code, found.key, found.meant) == ("vulnerable", "design_c", 18.0)
    assert found.then == pytest.approx(found.now * 18 / 17)
    level = only(plain(vulnerable=True, site={"levels": Levels(occupied_c=17.0)}))
    assert (level.key, level.figure, level.then) == ("levels.occupied_c", "occupied_c", 18.0)
    assert "17 °C is below the 18 °C" in level.sentence
    assert level.sentence.endswith("unless it is saved with a reason, as cooler_reason of the zone.")
    why = only(plain(vulnerable=True, cooler_reason="as they wish.", site={"levels": Levels(occupied_c=17.0)}))
    assert why.sentence.endswith("the reason given: as they wish.")
    assert findings(plain(vulnerable=False, design_c=17.0)) == ()


def test_heaters_count_at_the_voltage_of_the_house() -> None:
    """A plate of 525 W at 240 V gives 482 W at 230 V: too little for 520 W; a PTC element claims no such thing."""
    heater = Heater(id="a", rated_w=525, rated_v=240)

    def short(heater: Heater) -> bool:
        house = plain(heaters=(heater,), given_w_per_k=26.0)
        return any("The heaters give 482 W at 230 V" in each for each in design_house(house).zones[0].warnings)

    assert short(heater)
    assert not short(replace(heater, element="ptc"))


def test_openings_that_leave_no_wall_are_said() -> None:
    """A window larger than its wall leaves an area of 0, never less."""
    front = Element(name="front", kind="wall", width_m=1.0, height_m=1.0, u_w_per_m2k=1.0, openings=("glass",))
    zone = design_house(plain(WALL, front, GLASS)).zones[0]
    assert "The openings of front leave nothing of it." in zone.warnings
    assert zone.fabric_w_per_k == pytest.approx(10 * 0.5 + 2 * 2.0)


def test_a_zone_that_is_not_there_counts_as_outdoors() -> None:
    """A value built without the file's checks still errs to the high side and says so."""
    zone = design_house(plain(wall(beyond="zone:nowhere"), GLASS)).zones[0]
    assert any("leads to a zone that is not there" in each for each in zone.warnings)
    assert zone.fabric_w_per_k == pytest.approx(9)


def test_an_element_without_any_u_is_said() -> None:
    """It adds nothing, and the sheet tells."""
    zone = design_house(plain(WALL, GLASS, wall(name="bare", u_w_per_m2k=None))).zones[0]
    assert any("bare has no U" in each for each in zone.warnings)


def test_a_room_without_outside_has_no_usual_range() -> None:
    """Only its air counts, and that is said instead."""
    zone = design_house(one_room(air_changes_per_h=0.5)).zones[0]
    assert zone.findings == ()
    assert any("No element leads out" in each for each in zone.warnings)


def test_neighbours_at_the_same_temperature_need_no_word() -> None:
    """Only a difference of 2 K or more makes an unsurveyed joint worth a sentence."""
    house = plain(neighbours=("room", "nowhere"))
    twin = replace(house.zones[0], id="twin", neighbours=("room",))
    both = replace(house, zones=(house.zones[0], twin))
    assert not any("Not surveyed" in each for each in design_house(both).notes)


def test_unsurveyed_joints_are_one_line() -> None:
    """A cool hall between six warm rooms: the hall and its rooms, in one sentence."""
    house = two_rooms(wall(kind="party", beyond="zone:cool"))
    hall = replace(house.zones[1], id="hall", design_c=16.0)
    rooms = [
        replace(house.zones[1], id=f"room-{number}", design_c=20.0, neighbours=("hall",)) for number in range(1, 7)
    ]
    (line,) = [each for each in design_house(replace(house, zones=(hall, *rooms))).notes if "Not surveyed" in each]
    assert "between hall (16 °C) and room-1, room-2, room-3 and 3 more (20 °C)." in line


def test_a_usual_range_knows_its_side() -> None:
    """Its ends are usual."""
    usual = Usual(1.0, 2.0, "a table")
    assert [usual.side(value) for value in (0.9, 1.0, 2.0, 2.1)] == ["below", "", "", "above"]
