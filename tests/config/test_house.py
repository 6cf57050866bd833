"""House files: read, checked, written back."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from house_strategies import documents, houses
from ingle.config.house import LARGEST_FILE, check_house, dump_house, parse_house, read_house_file
from ingle.errors import BadInput, Unreachable
from ingle.model.envelope import Space
from ingle.model.house import House

NET_LOFT = """
[house]
name = "Tern House"
timezone = "Europe/London"
method = "domestic"
outdoor_design_c = -2.0
latitude_deg = 50.4
longitude_deg = -5.9

[house.levels]
frost_c = 7.0

[[zone]]
id = "net-loft"
name = "Net Loft"
floor_area_m2 = 25.42
volume_m3 = 58.5
provenance.air_changes_per_h = {kind = "assumed", low = 0.7, high = 1.5, note = "pre-1950 sash"}

[[zone.element]]
name = "gable"
kind = "wall"
width_m = 5
height_m = 3
openings = ["sash"]
layers = [{mm = 102, lambda = 0.77}, {air_mm = 50}, {r = 0.18}, {mm = 12.5, material = "plasterboard"}]

[[zone.element]]
name = "sash"
kind = "window"
area_m2 = 1.5
u_w_per_m2k = 4.8
beyond = {factor = 0.6}
provenance.u_w_per_m2k = {kind = "assumed", low = 4.0, high = 5.5}

[[zone.heater]]
id = "loft-1"
rated_w = 1500

[[programme]]
zone = "net-loft"
days = ["mon", "tue"]
periods = [{from = "06:30", to = "09:00", level = "occupied"}, {from = 22:00:00, to = "01:00", temp_c = 20.5}]

[[tariff]]
from = 2026-04-01
currency = "GBP"
rates = [{per_kwh = 0.27}, {per_kwh = 0.09, from = "23:30", to = "05:30", clock = "utc"}]
"""

CALM = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])


def faults(text: str) -> list[str]:
    """Return the faults of a house file, each as "place: allowed"."""
    with pytest.raises(BadInput) as caught:
        parse_house(text, "house.toml")
    return [f"{fault.place}: {fault.allowed}" for fault in caught.value.faults]


def outcome(document: object) -> House | list[str]:
    """Return the house of a document, or its faults in words."""
    try:
        return check_house(document)
    except BadInput as error:
        return [str(fault) for fault in error.faults]


def changed(**tables: Any) -> dict[str, Any]:
    """Return the smallest house as a document, with these tables put in."""
    zone = {"id": "hall", "name": "Hall", "floor_area_m2": 10, "height_m": 2.4}
    return {"house": {"name": "Quay Chapel", "outdoor_design_c": -3}, "zone": [zone]} | tables


def test_a_file_becomes_a_house() -> None:
    """Numbers, nested tables, unions and TOML's own dates and times arrive as the house's values."""
    house = parse_house(NET_LOFT, "house.toml")
    loft = house.zones[0]
    assert (house.site.outdoor_design_c, loft.volume_m3, loft.elements[0].layers[0].conductivity) == (-2.0, 58.5, 0.77)
    assert loft.elements[1].beyond == Space(factor=0.6)
    assert loft.provenance["air_changes_per_h"].high == 1.5
    assert (house.tariffs[0].start, house.programmes[0].periods[1].start) == ("2026-04-01", "22:00")


def test_the_least_house_is_a_name_and_a_design_temperature() -> None:
    """A house with no zone, programme, sensor, circuit or tariff is a house."""
    house = parse_house('[house]\nname = "Quay Chapel"\noutdoor_design_c = -3', "house.toml")
    assert (house.zones, house.site.timezone) == ((), "UTC")


@CALM
@given(house=houses())
def test_a_dumped_house_loads_as_itself(house: House) -> None:
    """load(dump(x)) = x, and dumping that again gives the same text."""
    text = dump_house(house)
    again = parse_house(text, "dump")
    assert again == house
    assert dump_house(again) == text


@CALM
@given(document=documents())
def test_the_walk_reads_what_msgspec_reads(document: dict[str, Any]) -> None:
    """Where there is no fault the walk builds exactly what msgspec's own strict conversion builds."""
    assert check_house(document) == msgspec.convert(document, House)


@settings(CALM, max_examples=150)
@given(document=documents(), data=st.data())
def test_damage_anywhere_is_named_or_harmless(document: dict[str, Any], data: st.DataObject) -> None:
    """Whatever a value is replaced by, the answer is a house that msgspec would take too, or a list of faults."""
    damaged = copy.deepcopy(document)
    place: Any = damaged
    while True:
        key = data.draw(st.sampled_from(sorted(place) if isinstance(place, dict) else range(len(place))))
        inner = place[key]
        if not isinstance(inner, dict | list) or not inner or data.draw(st.booleans()):
            break
        place = inner
    odd = st.sampled_from([None, True, -1, 10**400, float("nan"), float("inf"), "", "zone:nowhere", "\ud800", [], {}])
    place[key] = data.draw(odd | st.text(max_size=5))
    found = outcome(damaged)
    if isinstance(found, House):
        assert found == msgspec.convert(damaged, House)
    else:
        assert found
        assert all(found)


def test_every_fault_is_said_at_once() -> None:
    """One reading of a file names its wrong types, ranges, unknown and missing keys and broken references together."""
    text = NET_LOFT.replace("outdoor_design_c = -2.0", "outdor_design_c = -2.0\nphases = 2")
    text = text.replace("floor_area_m2 = 25.42", "floor_area_m2 = true")
    text = text.replace("u_w_per_m2k = 4.8", "u_w_per_m2k = 48")
    text = text.replace("rated_w = 1500", 'rated_w = "1500"\ncircuit = "ring-2"')
    text = text.replace('zone = "net-loft"', 'zone = "net-lofty"')
    text = text.replace("frost_c = 7.0", "frost_c = nan")
    found = faults(text)
    assert found == [
        "house.outdor_design_c: no such key here; did you mean outdoor_design_c?",
        "house.outdoor_design_c: a number from -60 to 60 (required)",
        "house.phases: one of 1, 3",
        "house.levels.frost_c: a number from 4 to 15",
        "zone[0].floor_area_m2: a number above 0 and at most 5000",
        "zone[0].element[1].u_w_per_m2k: a number above 0 and at most 7",
        "zone[0].heater[0].rated_w: a number above 0 and at most 30000",
        "zone[0].heater[0].circuit: the id of a circuit of this house; there is none",
        "programme[0].zone: the id of a zone of this house; did you mean net-loft?",
    ]


def test_a_fault_names_file_place_value_and_what_is_allowed() -> None:
    """The line that a person reads holds all four."""
    with pytest.raises(BadInput) as caught:
        parse_house(NET_LOFT.replace("volume_m3 = 58.5", "volume_m3 = -3"), "house.toml")
    said = "house.toml: zone[0].volume_m3: -3 is not allowed; allowed: a number above 0 and at most 50000"
    assert str(caught.value) == said


def test_one_slip_is_said_once() -> None:
    """A value that cannot be read does not also count as one that is missing or does not agree."""
    assert faults(NET_LOFT.replace("volume_m3 = 58.5", 'volume_m3 = "58.5"')) == [
        "zone[0].volume_m3: a number above 0 and at most 50000"
    ]
    assert faults(NET_LOFT.replace("4.8", "-4.8")) == ["zone[0].element[1].u_w_per_m2k: a number above 0 and at most 7"]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("[house", "line 1, column 7"),
        ('[house]\nname = "x\n', "line 2, column 10"),
        ("[house]\nname = 1\nname = 2", "line 3"),
        ("a = " + "[" * 100_000, ""),
        ("a = 1" + "0" * 10_000, ""),
    ],
)
def test_what_is_not_toml_is_one_fault_with_its_line(text: str, line: str) -> None:
    """Malformed, over-nested or over-long TOML is one fault that says where, not a traceback."""
    with pytest.raises(BadInput) as caught:
        parse_house(text, "house.toml")
    (fault,) = caught.value.faults
    assert line in fault.place
    assert fault.source == "house.toml"


@pytest.mark.parametrize("document", [None, [], "house", 3])
def test_a_document_that_is_no_table_is_refused(document: object) -> None:
    """What HTTP may send instead of an object is one fault."""
    with pytest.raises(BadInput):
        check_house(document)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    """A missing file, and a folder in its place, are bad input that names them."""
    for path in (tmp_path / "missing.toml", tmp_path, tmp_path / "a" / "b.toml"):
        with pytest.raises(BadInput, match=str(path)):
            read_house_file(path)


def test_a_file_that_cannot_be_read_is_unreachable() -> None:
    """A file that is there and refuses to be read is another matter than a wrong name."""
    with pytest.raises(Unreachable, match="cannot be read"):
        read_house_file(Path("/proc/self/mem"))


def test_bytes_that_are_no_text_are_named_by_line(tmp_path: Path) -> None:
    """A file in another encoding, or far too large, is bad input."""
    path = tmp_path / "house.toml"
    path.write_bytes(b'[house]\nname = "\xff"')
    with pytest.raises(BadInput, match="line 2"):
        read_house_file(path)
    path.write_bytes(b"#" * (LARGEST_FILE + 1))
    with pytest.raises(BadInput, match="at most"):
        read_house_file(path)


def test_an_id_may_not_end_with_a_line_break() -> None:
    """An id goes into topics and logs, so that not even a line break at its end may pass."""
    document = changed()
    document["zone"][0]["id"] = "hall\n"
    with pytest.raises(BadInput):
        check_house(document)
