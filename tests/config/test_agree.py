"""The rules between fields, each broken once."""

from __future__ import annotations

from typing import Any

import pytest

from ingle.config.house import check_house
from ingle.errors import BadInput


def house(**tables: Any) -> dict[str, Any]:
    """Return a valid document of two zones, with these tables put in."""
    return {
        "house": {"name": "Quay Chapel", "outdoor_design_c": -3},
        "zone": [zone("hall"), zone("porch")],
    } | tables


def zone(zone_id: str, **fields: Any) -> dict[str, Any]:
    """Return a zone."""
    return {"id": zone_id, "name": zone_id, "floor_area_m2": 10, "height_m": 2.4} | fields


def wall(**fields: Any) -> dict[str, Any]:
    """Return an element; a field given as None is left out."""
    given = {"name": "wall", "kind": "wall", "area_m2": 10, "u_w_per_m2k": 1.4} | fields
    return {key: value for key, value in given.items() if value is not None}


def with_element(**fields: Any) -> dict[str, Any]:
    """Return a house with one element."""
    return house(zone=[zone("hall", element=[wall(**fields)]), zone("porch")])


def with_periods(*periods: tuple[str, str], days: tuple[str, ...] = ("mon",)) -> dict[str, Any]:
    """Return a house with one programme."""
    wanted = [{"from": start, "to": end, "level": "occupied"} for start, end in periods]
    return house(programme=[{"zone": "hall", "days": list(days), "periods": wanted}])


def site(**fields: Any) -> dict[str, Any]:
    """Return a house with these fields of its site."""
    return house(house={"name": "Quay Chapel", "outdoor_design_c": -3} | fields)


def tariff(*rates: dict[str, Any], start: str = "2026-04-01") -> dict[str, Any]:
    """Return a house with a tariff."""
    return house(tariff=[{"from": start, "currency": "GBP", "rates": list(rates)}])


def heater(heater_id: str = "h1", **fields: Any) -> dict[str, Any]:
    """Return a heater."""
    return {"id": heater_id, "rated_w": 1000} | fields


def with_layer(**layer: Any) -> dict[str, Any]:
    """Return a house with one element of one layer."""
    return with_element(u_w_per_m2k=None, layers=[layer])


LAYER = "zone[0].element[0].layers[0]"
WOOL = {"mm": 100, "lambda": 0.04}
OPEN = {"air_mm": 50, "vent_mm2": 1000}
TIES = {"lambda": 17, "area_mm2": 12.5, "per_m2": 2.5}


def supply(source: Any) -> dict[str, Any]:
    """Return a stream of air from there."""
    return {"name": "supply", "m3_per_h": 30, "from": source}


ASSUMED = {"kind": "assumed"}
RATE = {"per_kwh": 0.3}


def space(space_id: str = "void", *leads: str, **fields: Any) -> dict[str, Any]:
    """Return an unheated space with a wall towards each of these."""
    walls = [wall(name=each, beyond=each) for each in leads]
    return {"id": space_id, "name": space_id, "volume_m3": 30, "element": walls} | fields


BROKEN = [
    # ids
    (house(zone=[zone("hall"), zone("hall")]), "zone[1].id"),
    (house(zone=[zone("outdoor")]), "zone[0].id"),
    (house(zone=[zone("hall", heater=[heater()]), zone("porch", heater=[heater()])]), "zone[1].heater[0].id"),
    (house(circuit=[{"id": "a", "rated_a": 32}, {"id": "a", "rated_a": 32}]), "circuit[1].id"),
    (house(sensor=[{"id": "outdoor", "zone": "hall"}]), "sensor[0].id"),
    # names that lead nowhere
    (house(zone=[zone("hall", heater=[heater(circuit="ring")])]), "zone[0].heater[0].circuit"),
    (house(zone=[zone("hall", heater=[heater(gateway="gw")])]), "zone[0].heater[0].gateway"),
    (house(zone=[zone("hall", neighbours=["attic"])]), "zone[0].neighbours[0]"),
    (house(zone=[zone("hall", neighbours=["hall"])]), "zone[0].neighbours[0]"),
    (house(sensor=[{"id": "s1", "zone": "attic"}]), "sensor[0].zone"),
    (house(programme=[{"zone": "attic", "days": ["mon"]}]), "programme[0].zone"),
    (house(calendar=[{"file": "a.ics", "zones": ["attic"]}]), "calendar[0].zones[0]"),
    (house(opening=[{"id": "o1", "zone": "attic"}]), "opening[0].zone"),
    (house(opening=[{"id": "o1", "zone": "hall", "element": "sash"}]), "opening[0].element"),
    (house(opening=[{"id": "o1", "zone": "hall", "sensor": "s9"}]), "opening[0].sensor"),
    (
        house(sensor=[{"id": "s1", "zone": "hall"}], opening=[{"id": "o1", "zone": "hall", "sensor": "s1"}]),
        "opening[0].sensor",
    ),
    (with_element(beyond="zone:attic"), "zone[0].element[0].beyond"),
    (with_element(beyond="zone:hall"), "zone[0].element[0].beyond"),
    # the site
    (site(timezone="Europe/Haverlock"), "house.timezone"),
    (site(timezone="../etc/passwd"), "house.timezone"),
    (site(latitude_deg=50), "house.longitude_deg"),
    (site(levels={"frost_c": 14, "vacant_c": 12}), "house.levels.vacant_c"),
    (house(zone=[zone("hall", levels={"vacant_c": 5})]), "zone[0].levels.vacant_c"),
    (house(zone=[zone("hall", levels={"frost_c": 15})]), "zone[0].levels.frost_c"),
    (site(provenance={"timezone": ASSUMED}), "house.provenance.timezone"),
    # sizes and fabric
    (
        house(zone=[zone("hall", bridges_percent=5, bridges_w_per_m2k=0.1)]),
        "zone[0].bridges_w_per_m2k",
    ),
    (house(zone=[{"id": "hall", "name": "Hall", "floor_area_m2": 10}]), "zone[0].volume_m3"),
    (house(zone=[zone("hall", ground_share=0.2)]), "zone[0].ground_share"),
    (with_element(area_m2=None), "zone[0].element[0].area_m2"),
    (with_element(area_m2=None, width_m=3), "zone[0].element[0].area_m2"),
    (with_element(width_m=3, height_m=2), "zone[0].element[0].area_m2"),
    (with_element(u_w_per_m2k=None), "zone[0].element[0].u_w_per_m2k"),
    (with_element(layers=[{"r": 1}]), "zone[0].element[0].layers"),
    (house(space=[space(), space()]), "space[1].id"),
    (site(altitude_m=300), "house.outdoor_at_altitude_m"),
    (site(outdoor_at_altitude_m=300), "house.altitude_m"),
    (site(mean_c_by_month=[5] * 11), "house.mean_c_by_month"),
    (site(degree_days_by_month=[200] * 13), "house.degree_days_by_month"),
    (site(degree_days=2400, mean_c_by_month=[5] * 12), "house.mean_c_by_month"),
    (house(zone=[zone("hall", air=[supply("ground")])]), "zone[0].air[0].from"),
    (house(zone=[zone("hall", air=[supply("zone:hall")])]), "zone[0].air[0].from"),
    (house(zone=[zone("hall", air=[supply("zone:attic")])]), "zone[0].air[0].from"),
    (house(zone=[zone("hall", air=[supply("space:attic")])]), "zone[0].air[0].from"),
    (house(zone=[zone("hall", air=[supply({"factor": 0.2, "temperature_c": 9})])]), "zone[0].air[0].from"),
    (house(zone=[zone("hall", given_w_per_k=42, air=[supply("outside")])]), "zone[0].air"),
    (house(zone=[zone("hall", given_w_per_k=42, air_gradient_k_per_m=1)]), "zone[0].air_gradient_k_per_m"),
    (with_element(beyond="space:void"), "zone[0].element[0].beyond"),
    (house(space=[space("void", "space:attic")]), "space[0].element[0].beyond"),
    (house(space=[space("void", "zone:hall")]), "space[0].element[0].beyond"),
    (house(space=[space("void", "space:void")]), "space[0].element[0].beyond"),
    (house(space=[space("a", "space:b"), space("b", "outside", "space:a")]), "space[1].element[1].beyond"),
    (
        house(space=[space("a", "space:b"), space("b", "space:c"), space("c", "space:a")]),
        "space[2].element[0].beyond",
    ),
    (house(space=[space("void", air_changes_per_h=0)]), "space[0].element"),
    (house(space=[space("void", element=[wall(area_m2=None)])]), "space[0].element[0].area_m2"),
    (house(space=[space("void", element=[wall(u_w_per_m2k=None)])]), "space[0].element[0].u_w_per_m2k"),
    (house(zone=[zone("hall", warm_up_h=2)]), "zone[0].warm_up_from_c"),
    (house(zone=[zone("hall", warm_up_from_c=16)]), "zone[0].warm_up_h"),
    (house(zone=[zone("hall", warm_up_h=2, warm_up_from_c=20)]), "zone[0].warm_up_from_c"),
    (house(zone=[zone("hall", warm_up_h=2, warm_up_from_c=16, reheat_w_per_m2=9)]), "zone[0].warm_up_h"),
    (with_element(u_w_per_m2k=None, ground={"perimeter_m": 8}), "zone[0].element[0].ground"),
    (with_element(psi_w_per_mk=0.1), "zone[0].element[0].psi_length_m"),
    (with_element(beyond={}), "zone[0].element[0].beyond"),
    (with_element(beyond={"factor": 0.5, "temperature_c": 5}), "zone[0].element[0].beyond"),
    (with_element(kind="party"), "zone[0].element[0].beyond"),
    (
        house(zone=[zone("hall", element=[wall(openings=["sash"]), wall(name="sash", kind="window")])]),
        "zone[0].element[0].openings",
    ),
    (with_element(u_w_per_m2k=None, layers=[{"mm": 10}]), "zone[0].element[0].layers[0].mm"),
    (with_element(u_w_per_m2k=None, layers=[{"r": 1, "air_mm": 20}]), "zone[0].element[0].layers[0].mm"),
    (with_element(u_w_per_m2k=None, layers=[{}]), "zone[0].element[0].layers[0].mm"),
    (
        with_element(u_w_per_m2k=None, layers=[{"mm": 9, "material": "moonstone"}]),
        "zone[0].element[0].layers[0].material",
    ),
    (
        with_element(u_w_per_m2k=None, layers=[{"r": 1, "bridge": {"share": 0.1, "lambda": 0.1}}]),
        "zone[0].element[0].layers[0].bridge",
    ),
    (with_layer(r=1, vent_mm2=600), f"{LAYER}.vent_mm2"),
    (with_layer(mm=9, material="osb", emissivity=0.1), f"{LAYER}.emissivity"),
    (with_layer(air_mm=20, gap_level=1), f"{LAYER}.gap_level"),
    (with_layer(air_mm=20, fixings=TIES), f"{LAYER}.fixings"),
    (with_layer(**WOOL, fixings=TIES | {"length_mm": 150}), f"{LAYER}.fixings.length_mm"),
    (with_layer(mm=-50, material="osb"), f"{LAYER}.mm"),
    (with_layer(**WOOL, bridge={"share": 1.1, "lambda": 0.13}), f"{LAYER}.bridge.share"),
    (with_layer(**WOOL, gap_level=3), f"{LAYER}.gap_level"),
    (
        with_element(u_w_per_m2k=None, layers=[OPEN, WOOL, OPEN]),
        "zone[0].element[0].layers[2].vent_mm2",
    ),
    (
        with_element(kind="ground-floor", u_w_per_m2k=None, ground={"perimeter_m": 8, "edge_insulation_r": 1}),
        "zone[0].element[0].ground.edge_insulation_width_m",
    ),
    (
        with_element(kind="ground-floor", u_w_per_m2k=None, ground={"perimeter_m": 8, "edge_insulation_depth_m": 1}),
        "zone[0].element[0].ground.edge_insulation_r",
    ),
    (
        with_element(
            kind="ground-floor",
            u_w_per_m2k=None,
            ground={
                "perimeter_m": 8,
                "edge_insulation_r": 1,
                "edge_insulation_width_m": 1,
                "edge_insulation_depth_m": 1,
            },
        ),
        "zone[0].element[0].ground.edge_insulation_depth_m",
    ),
    (with_element(provenance={"kind": ASSUMED}), "zone[0].element[0].provenance.kind"),
    (
        with_element(provenance={"u_w_per_m2k": ASSUMED | {"low": 2, "high": 1}}),
        "zone[0].element[0].provenance.u_w_per_m2k.low",
    ),
    (with_element(provenance={"u_w_per_m2k": ASSUMED | {"low": 1.5}}), "zone[0].element[0].provenance.u_w_per_m2k.low"),
    (
        with_element(provenance={"u_w_per_m2k": ASSUMED | {"high": 1.3}}),
        "zone[0].element[0].provenance.u_w_per_m2k.high",
    ),
    (with_element(provenance={"u_w_per_m2k": ASSUMED | {"low": -1}}), "zone[0].element[0].provenance.u_w_per_m2k.low"),
    # the week
    (with_periods(("06:00", "09:00"), ("08:00", "10:00")), "programme[0].periods[1].from"),
    (with_periods(("22:00", "02:00"), ("01:00", "03:00"), days=("mon", "tue")), "programme[0].periods[1].from"),
    (with_periods(("22:00", "08:00"), ("06:00", "09:00"), days=("sun", "mon")), "programme[0].periods[1].from"),
    (with_periods(("00:00", "00:00"), ("12:00", "13:00")), "programme[0].periods[1].from"),
    (with_periods(("24:00", "02:00")), "programme[0].periods[0].from"),
    (with_periods(("06:00", "07:00"), days=("mon", "mon")), "programme[0].days[1]"),
    (
        house(programme=[{"zone": "hall", "days": ["mon", "tue"]}, {"zone": "hall", "days": ["tue"]}]),
        "programme[1].days[0]",
    ),
    (
        house(programme=[{"zone": "hall", "days": ["mon"], "periods": [{"from": "06:00", "to": "07:00"}]}]),
        "programme[0].periods[0].level",
    ),
    (
        house(
            programme=[
                {
                    "zone": "hall",
                    "days": ["mon"],
                    "periods": [{"from": "06:00", "to": "07:00", "level": "frost", "temp_c": 9}],
                }
            ]
        ),
        "programme[0].periods[0].level",
    ),
    # money and calendars
    (tariff(RATE, start="2026-02-30"), "tariff[0].from"),
    (tariff(RATE | {"from": "01:00"}), "tariff[0].rates[0].to"),
    (tariff(RATE, RATE), "tariff[0].rates[1].from"),
    (
        tariff(RATE | {"from": "23:00", "to": "05:00"}, RATE | {"from": "04:00", "to": "06:00"}),
        "tariff[0].rates[1].from",
    ),
    (
        tariff(
            RATE | {"from": "22:00", "to": "06:00", "days": ["fri"]},
            RATE | {"from": "05:00", "to": "07:00", "days": ["sat", "sun"]},
        ),
        "tariff[0].rates[1].from",
    ),
    (tariff(RATE | {"days": ["sat", "sun"]}, RATE, RATE | {"days": ["sun"]}), "tariff[0].rates[2].from"),
    (tariff(RATE | {"days": ["sat", "sat"]}), "tariff[0].rates[0].days[1]"),
    (house(tariff=[{"from": "2026-01-01", "currency": "GBP", "rates": [RATE]}] * 2), "tariff[1].from"),
    (house(calendar=[{}]), "calendar[0].url"),
    (house(calendar=[{"file": "a.ics", "url": "http://192.168.1.2/a.ics"}]), "calendar[0].url"),
    (house(calendar=[{"url": "ftp://192.168.1.2/a.ics"}]), "calendar[0].url"),
    # ways of heating
    (site(boiler={"output_w": 9000, "used_w": 0, "flow_c": 50, "return_c": 50}), "house.boiler.return_c"),
    (site(air_to_air={"coefficient": 3, "low": 3.5}), "house.air_to_air.low"),
    (site(air_to_air={"coefficient": 3, "high": 2.5}), "house.air_to_air.high"),
    # circuits
    (house(circuit=[{"id": "a", "rated_a": 32, "phase": 2}]), "circuit[0].phase"),
    (house(circuit=[{"id": "a", "rated_a": 16, "cap_a": 20}]), "circuit[0].cap_a"),
    (house(zone=[zone("hall", heater=[heater(portable=True, connection="wired")])]), "zone[0].heater[0].connection"),
]


@pytest.mark.parametrize(("document", "place"), BROKEN, ids=[place for _, place in BROKEN])
def test_a_broken_rule_is_one_fault_in_its_place(document: dict[str, Any], place: str) -> None:
    """Each rule between fields, broken alone, is exactly one fault that names the field."""
    with pytest.raises(BadInput) as caught:
        check_house(document)
    assert [fault.place for fault in caught.value.faults] == [place]


FINE = [
    house(),
    with_periods(("22:00", "06:00"), ("06:00", "09:00"), days=("mon", "tue", "sun")),
    with_periods(("00:00", "24:00"), days=("mon", "tue", "wed", "thu", "fri", "sat", "sun")),
    with_periods(("00:00", "00:00")),
    house(programme=[{"zone": "hall", "days": ["mon"]}, {"zone": "hall", "days": ["tue"]}]),
    tariff(RATE, RATE | {"from": "23:30", "to": "05:30"}, RATE | {"from": "01:00", "to": "02:00", "clock": "utc"}),
    tariff(RATE | {"from": "23:00", "to": "05:00"}, RATE | {"from": "05:00", "to": "23:00"}),
    house(zone=[zone("hall", neighbours=["porch"]), zone("porch", neighbours=["hall"])]),
    house(zone=[zone("hall", given_w_per_k=42, ground_share=0.1, element=[wall(kind="window", u_w_per_m2k=None)])]),
    house(sensor=[{"id": "s1", "zone": "outdoor"}], meter=[{"id": "s1"}]),
    with_element(provenance={"area_m2": ASSUMED, "u_w_per_m2k": ASSUMED | {"low": 1.4, "high": 1.4}}),
    with_element(u_w_per_m2k=None, layers=[{"mm": 12.5, "material": "Mineral wool"}]),
    with_layer(air_mm=20, emissivity=0.2, bridge={"share": 0.1, "lambda": 0.13}),
    with_layer(**WOOL, gap_level=2, fixings=TIES | {"length_mm": 100}),
    with_element(u_w_per_m2k=None, layers=[OPEN, WOOL, OPEN | {"vent_mm2": 500}]),
    with_element(kind="wall", u_w_per_m2k=None, beyond="ground", ground={"floor": "basement", "perimeter_m": 8}),
]


@pytest.mark.parametrize("document", FINE)
def test_what_is_odd_but_possible_is_taken(document: dict[str, Any]) -> None:
    """Periods that touch, a whole day, neighbours named from both sides and the like are no faults."""
    assert check_house(document).zones


def between(kind: str, beyond: str) -> dict[str, Any]:
    """Return an element towards another zone."""
    return wall(name=kind, kind=kind, beyond=beyond)


@pytest.mark.parametrize(
    ("there", "back"), [("party", "party"), ("party", "wall"), ("floor", "roof"), ("door", "door")]
)
def test_a_piece_between_two_zones_is_listed_once(there: str, back: str) -> None:
    """The same piece listed from both sides would count twice, also where each side has its own word for it."""
    zones = [zone("hall", element=[between(there, "zone:porch")]), zone("porch", element=[between(back, "zone:hall")])]
    with pytest.raises(BadInput) as caught:
        check_house(house(zone=zones))
    assert [fault.place for fault in caught.value.faults] == ["zone[1].element[0].beyond"]


def test_different_pieces_between_two_zones_may_stand_on_either_side() -> None:
    """A wall listed by one zone and the door in it listed by the other are two pieces."""
    zones = [
        zone("hall", element=[between("wall", "zone:porch")]),
        zone("porch", element=[between("door", "zone:hall")]),
    ]
    assert check_house(house(zone=zones)).zones


def test_openings_are_pieces_of_the_zone_and_leave_some_wall() -> None:
    """An opening that is no window, is taken off twice, or is larger than its wall is a fault."""
    window = wall(name="sash", kind="window", area_m2=7)
    big = wall(name="a", area_m2=None, width_m=3, height_m=2, openings=["sash"])
    other = wall(name="b", area_m2=None, width_m=9, height_m=2, openings=["sash", "a", "gone"])
    with pytest.raises(BadInput) as caught:
        check_house(house(zone=[zone("hall", element=[window, big, other])]))
    assert [fault.place for fault in caught.value.faults] == [
        "zone[0].element[1].openings",
        "zone[0].element[2].openings[0]",
        "zone[0].element[2].openings[1]",
        "zone[0].element[2].openings[2]",
    ]
