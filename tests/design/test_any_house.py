"""Whatever a house file may hold, the design answers with finite numbers."""

from __future__ import annotations

import math
from typing import Any

import msgspec
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from ingle.config.house import check_house
from ingle.design import design_house
from ingle.errors import BadInput
from ingle.model.envelope import Element
from ingle.model.house import House
from ingle.model.numbers import number as number_of

TINY, HUGE = 5e-324, 5000.0


def number(high: float, low: float = TINY) -> st.SearchStrategy[float]:
    """Return numbers of a field, its edges often."""
    return st.sampled_from([low, high, 1.0]) | st.floats(low, high)


def optional(**fields: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """Return tables with any of these keys."""
    return st.fixed_dictionaries({}, optional=fields)


bridge = st.fixed_dictionaries({"share": number(1.0, 0.0), "lambda": number(500.0)})
layer = (
    st.fixed_dictionaries({"mm": number(3000.0), "lambda": number(500.0)}, optional={"bridge": bridge})
    | st.fixed_dictionaries({"mm": number(3000.0), "material": st.sampled_from(["softwood", "steel"])})
    | st.fixed_dictionaries({"air_mm": number(300.0)})
    | st.fixed_dictionaries({"r": number(20.0)})
)
ground = st.fixed_dictionaries(
    {"floor": st.sampled_from(["slab", "suspended", "basement"]), "perimeter_m": number(1000.0, 0.0)},
    optional={
        "wall_mm": number(1500.0),
        "soil_lambda": number(5.0),
        "insulation_r": number(20.0, 0.0),
        "height_m": number(3.0),
        "vent_m2_per_m": st.floats(TINY, 0.1),
        "wall_u": number(7.0),
        "depth_m": number(6.0),
        "edge_insulation_r": number(20.0),
        "edge_insulation_width_m": number(5.0),
        "edge_insulation_depth_m": number(5.0),
    },
)
beyond = (
    st.sampled_from(["outside", "ground", "zone:a", "zone:b", "space:s", "space:t"])
    | st.fixed_dictionaries({"factor": number(1.0, 0.0)})
    | st.fixed_dictionaries({"temperature_c": number(60.0, -60.0)})
)
construction = (
    st.fixed_dictionaries({"u_w_per_m2k": number(7.0)})
    | st.fixed_dictionaries({"layers": st.lists(layer, min_size=1, max_size=4)})
    | st.fixed_dictionaries({"ground": ground, "beyond": st.just("ground")})
    | st.fixed_dictionaries({"ground": ground, "kind": st.just("ground-floor")})
)
# Where nobody knows anything: limits as wide as the fields themselves.
DOUBTS = {
    "u_w_per_m2k": (TINY, 7.0),
    "area_m2": (TINY, HUGE),
    "layers.1.mm": (TINY, 3000.0),
    "layers.1.lambda": (TINY, 500.0),
    "layers.1.air_mm": (TINY, 300.0),
    "layers.1.bridge.share": (0.0, 1.0),
    "ground.perimeter_m": (0.0, 1000.0),
    "ground.wall_mm": (TINY, 1500.0),
    "ground.soil_lambda": (TINY, 5.0),
    "ground.insulation_r": (0.0, 20.0),
    "beyond.temperature_c": (-60.0, 60.0),
    "beyond.factor": (0.0, 1.0),
}


def doubted(piece: dict[str, Any], doubts: list[str]) -> dict[str, Any]:
    """Return an element with some of its numbers unknown within all that their fields allow."""
    known = msgspec.convert(piece, Element)
    provenance = {
        key: {"kind": "assumed", "low": DOUBTS[key][0], "high": DOUBTS[key][1]}
        for key in doubts
        if number_of(known, key) is not None
    }
    return piece | {"provenance": provenance}


element = st.builds(
    lambda base, how, doubts: doubted(base | how, doubts),
    st.fixed_dictionaries(
        {
            "name": st.just("piece"),
            "kind": st.sampled_from(["wall", "window", "rooflight", "door", "roof", "floor", "ground-floor", "party"]),
            "area_m2": number(HUGE),
            "beyond": beyond,
        }
    ),
    construction,
    st.lists(st.sampled_from(sorted(DOUBTS)), max_size=4, unique=True),
)
zone = st.fixed_dictionaries(
    {
        "name": st.just("Room"),
        "floor_area_m2": number(HUGE),
        "height_m": number(40.0),
        "element": st.lists(element, max_size=3),
    },
    optional={
        "design_c": number(35.0, 1.0),
        "air_changes_per_h": number(20.0, 0.0),
        "reheat_w_per_m2": number(150.0, 0.0),
        "air_gradient_k_per_m": number(2.0, 0.0),
        "air": st.lists(
            st.fixed_dictionaries({"name": st.just("supply"), "m3_per_h": number(100_000.0), "from": beyond}),
            max_size=2,
        ),
        "warm_up_h": number(72.0, 0.1),
        "warm_up_from_c": number(35.0, 1.0),
        "capacity_wh_per_k": number(1e6),
        "bridges_percent": number(100.0, 0.0),
        "given_w_per_k": number(10_000.0),
        "use": st.sampled_from(["living", "assembly"]),
    },
)
space = st.fixed_dictionaries(
    {
        "name": st.just("Void"),
        "volume_m3": number(HUGE),
        "air_changes_per_h": number(20.0, 0.0),
        "element": st.lists(element, max_size=2),
    }
)
site = st.builds(
    lambda fixed, free: fixed | free,
    st.fixed_dictionaries({"name": st.just("House"), "outdoor_design_c": number(60.0, -60.0)}),
    optional(
        method=st.sampled_from(["domestic", "en12831"]),
        outdoor_mean_c=number(60.0, -60.0),
        degree_days=st.floats(100.0, 12_000.0),
        altitude_m=number(5500.0, -450.0),
        outdoor_at_altitude_m=number(5500.0, -450.0),
        outdoor_k_per_100m=number(2.0, 0.0),
    ),
)


def agreeing(document: dict[str, Any]) -> dict[str, Any]:
    """Return a document without what contradicts itself, so that hardly any is refused."""
    heights = {"altitude_m", "outdoor_at_altitude_m"}
    if not heights <= document["house"].keys():
        document["house"] = without(document["house"], heights)
    for each in document["zone"]:
        clash = {"air", "air_gradient_k_per_m"} if "given_w_per_k" in each else set()
        warm_up = {"warm_up_h", "warm_up_from_c"}
        if each.get("reheat_w_per_m2") or not warm_up <= each.keys():
            clash |= warm_up
        elif each["warm_up_from_c"] >= each.get("design_c", 20.0):
            each["warm_up_from_c"] = each["design_c"] = 1.0
            clash |= warm_up
        for key in clash:
            each.pop(key, None)
        leads_to_itself, elsewhere = f"zone:{each['id']}", "zone:b" if each["id"] == "a" else "outside"
        for stream in each.get("air", []):
            if stream["from"] in ("ground", leads_to_itself):
                stream["from"] = elsewhere
        # Only the first room lists what lies between the two, and only the first space what leads to the second.
        places = {leads_to_itself: elsewhere, "zone:a": "outside"}
        each["element"] = [agreeing_element(piece, places) for piece in each["element"]]
    for each in document["space"]:
        each["air_changes_per_h"] = each["air_changes_per_h"] or 1.0
        places = {"zone:a": "outside", "zone:b": "outside", "space:s": "outside", f"space:{each['id']}": "outside"}
        each["element"] = [agreeing_element(piece, places) for piece in each["element"]]
    return document


def agreeing_element(piece: dict[str, Any], places: dict[str, str]) -> dict[str, Any]:
    """Return an element that leads somewhere else than it may not, with insulation at its edge given whole or not."""
    if isinstance(piece["beyond"], str):
        piece["beyond"] = places.get(piece["beyond"], piece["beyond"])
    if piece["kind"] == "party" and piece["beyond"] in ("outside", "ground"):
        piece["kind"] = "wall"
    edge, ground = ("edge_insulation_width_m", "edge_insulation_depth_m"), piece.get("ground", {})
    if ("edge_insulation_r" in ground) + sum(key in ground for key in edge) not in {0, 2} or all(map(ground.get, edge)):
        piece["ground"] = without(ground, {"edge_insulation_r", *edge})
    return piece


def without(table: dict[str, Any], keys: set[str]) -> dict[str, Any]:
    """Return a table without some keys."""
    return {key: value for key, value in table.items() if key not in keys}


@st.composite
def houses(draw: st.DrawFn) -> House:
    """Return a house of two rooms that config accepts."""
    document = agreeing(
        {
            "house": draw(site),
            "zone": [{"id": name} | draw(zone) for name in ("a", "b")],
            "space": [{"id": name} | draw(space) for name in ("s", "t")],
        }
    )
    try:
        return check_house(document)
    except BadInput:
        assume(False)
        raise


@settings(max_examples=60, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
@given(house=houses())
def test_the_design_never_fails_on_an_accepted_house(house: House) -> None:
    """Edges of every range included; all numbers of result and sheet are finite, and it can be written as JSON."""
    design = design_house(house)
    for each in design.zones:
        numbers = [value for value in msgspec.structs.asdict(each).values() if isinstance(value, float)]
        numbers += [line.value for line in each.working]
        numbers += [value for line in each.working for value in line.inputs.values() if isinstance(value, float)]
        results = (*each.inputs, *each.beside, *each.findings, *design.findings)
        fields = [value for result in results for value in msgspec.structs.asdict(result).values()]
        numbers += [value for value in fields if isinstance(value, float)]
        assert all(math.isfinite(value) for value in numbers), each
        assert each.low_w <= each.heat_loss_w <= each.high_w
        assert each.in_use_low_w_per_k <= each.in_use_w_per_k <= each.in_use_high_w_per_k
    assert math.isfinite(design.total_w)
    assert all(math.isfinite(each.temperature_c) and 0 <= each.factor <= 1 for each in design.spaces)
    assert msgspec.json.encode(design)


def test_a_house_without_zones_has_a_design() -> None:
    """Nothing is lost by nothing."""
    design = design_house(check_house({"house": {"name": "Empty", "outdoor_design_c": -2.0}}))
    assert design.zones == ()
    assert design.total_w == 0
