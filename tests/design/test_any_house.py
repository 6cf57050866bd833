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
from ingle.model.house import House

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
    | st.fixed_dictionaries({"mm": number(3000.0), "material": st.sampled_from(["softwood", "no such thing"])})
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
        "vent_m2_per_m": number(0.1),
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
element = st.builds(
    lambda base, how: base | how,
    st.fixed_dictionaries(
        {
            "name": st.just("piece"),
            "kind": st.sampled_from(["wall", "window", "rooflight", "door", "roof", "floor", "ground-floor", "party"]),
            "area_m2": number(HUGE),
            "beyond": beyond,
        }
    ),
    construction,
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
        degree_days=number(12_000.0, 100.0),
        altitude_m=number(5500.0, -450.0),
        outdoor_at_altitude_m=number(5500.0, -450.0),
        outdoor_k_per_100m=number(2.0, 0.0),
    ),
)


@st.composite
def houses(draw: st.DrawFn) -> House:
    """Return a house of two rooms that config accepts."""
    document = {
        "house": draw(site),
        "zone": [{"id": name} | draw(zone) for name in ("a", "b")],
        "space": [{"id": name} | draw(space) for name in ("s", "t")],
    }
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
