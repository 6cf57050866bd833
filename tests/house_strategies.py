"""Hypothesis strategies for houses that are valid: every field used, every rule between fields kept."""

from __future__ import annotations

import string
from typing import Any

from hypothesis import strategies as st

from ingle.model.house import House
from ingle.model.week import WEEKDAYS
from ingle.physics.materials import MATERIALS

DAY = 24 * 60


def number(low: float, high: float) -> st.SearchStrategy[float]:
    """Return numbers as people write them: whole, or with a few decimals, or any float."""
    return st.one_of(
        st.floats(low, high, allow_nan=False, exclude_min=low == 0),
        st.integers(int(low) + 1, int(high)) if high - low > 2 else st.just(high),
    )


names = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), min_size=1, max_size=80)
ids = st.text(string.ascii_lowercase + string.digits + "-", min_size=1, max_size=32).filter(
    lambda text: text[0] != "-" and text != "outdoor"
)


def some(**optional: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """Return tables with any choice of these keys."""
    return st.fixed_dictionaries({}, optional=optional)


def _time(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


levels = st.lists(number(15, 35), min_size=3, max_size=3).map(
    lambda warm: dict(zip(("occupied_c", "setback_c", "vacant_c"), warm, strict=True))
)
bridges = st.fixed_dictionaries({"share": st.floats(0, 1), "lambda": number(0.02, 60)})
fixings = st.fixed_dictionaries(
    {"lambda": number(0.1, 60), "area_mm2": number(1, 1000), "per_m2": number(0.1, 200)},
    optional={"length_mm": st.just(1.0)},
)
layers = st.one_of(
    st.fixed_dictionaries(
        {"mm": number(1, 900), "lambda": number(0.02, 60)},
        optional={"bridge": bridges, "gap_level": st.integers(0, 2), "fixings": fixings},
    ),
    st.fixed_dictionaries({"mm": number(1, 900), "material": st.sampled_from(sorted(MATERIALS))}),
    st.fixed_dictionaries(
        {"air_mm": number(1, 300)},
        optional={"bridge": bridges, "vent_mm2": st.floats(0, 500), "emissivity": number(0.02, 1)},
    ),
    st.fixed_dictionaries({"r": number(0.01, 20)}),
)
beyond = st.one_of(
    st.sampled_from(["outside", "ground"]),
    st.fixed_dictionaries({"factor": st.floats(0, 1)}),
    st.fixed_dictionaries({"temperature_c": number(-20, 30)}),
)
fabric = st.one_of(
    st.fixed_dictionaries({"u_w_per_m2k": number(0.05, 7)}),
    st.fixed_dictionaries({"layers": st.lists(layers, min_size=1, max_size=4)}),
    st.fixed_dictionaries(
        {"layers": st.lists(layers, max_size=3).map(lambda inner: [{"air_mm": 50, "vent_mm2": 900}, *inner])}
    ),
)
constructions = {
    "wall": ["granite", "sandstone", "solid-brick", "cob", "cavity", "filled-cavity", "timber-frame", "system-built"],
    "roof": ["loft", "rafters", "flat", "thatch"],
    "floor": ["exposed-floor"],
    "door": ["plain-door", "single-glazing"],
    "window": ["single-glazing", "double-glazing", "secondary-glazing", "triple-glazing"],
}
size = st.one_of(
    st.fixed_dictionaries({"area_m2": number(0.1, 5000)}),
    st.fixed_dictionaries({"width_m": number(0.1, 70), "height_m": number(0.1, 30)}),
)


@st.composite
def elements(draw: st.DrawFn) -> dict[str, Any]:
    """Return an element without links to other zones."""
    kind = draw(st.sampled_from(["wall", "window", "rooflight", "door", "roof", "floor", "ground-floor"]))
    element = {"name": draw(names), "kind": kind, "beyond": draw(beyond)} | draw(fabric) | draw(size)
    element |= draw(some(faces_deg=number(0, 359), g_value=st.floats(0, 1), frame_share=st.floats(0, 1)))
    if kind == "ground-floor" and draw(st.booleans()):
        element = {key: value for key, value in element.items() if key not in {"u_w_per_m2k", "layers"}}
        element["ground"] = {"perimeter_m": draw(number(0, 100)), "insulation_r": draw(st.floats(0, 20))}
        if draw(st.booleans()):
            edge = draw(st.sampled_from(["edge_insulation_width_m", "edge_insulation_depth_m"]))
            element["ground"] |= {"edge_insulation_r": draw(number(0.1, 20)), edge: draw(number(0.1, 5))}
    elif kind in constructions and element["beyond"] != "ground" and draw(st.booleans()):
        element = {key: value for key, value in element.items() if key not in {"u_w_per_m2k", "layers"}}
        typical = {"construction": draw(st.sampled_from(constructions[kind])), "built": draw(st.integers(1000, 2100))}
        element["typical"] = typical | draw(some(insulation_mm=number(0, 1000)) if kind in {"wall", "roof"} else some())
    elif "u_w_per_m2k" in element and draw(st.booleans()):
        u = element["u_w_per_m2k"]
        note = draw(st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=60))
        element["provenance"] = {"u_w_per_m2k": {"kind": "assumed", "low": u * 0.5, "high": u, "note": note}}
    return element


@st.composite
def zones(draw: st.DrawFn, zone_id: str, heater_ids: list[str]) -> dict[str, Any]:
    """Return a zone with some elements and these heaters."""
    zone = {"id": zone_id, "name": draw(names), "floor_area_m2": draw(number(1, 5000))}
    zone |= draw(st.sampled_from([{"volume_m3": 60.0}, {"height_m": 2.4}, {"height_m": 2.4, "volume_m3": 60}]))
    zone |= draw(some(use=st.sampled_from(["bath", "hall", "other"]), vulnerable=st.booleans(), levels=levels))
    zone |= draw(some(built=st.integers(1000, 2100)))
    zone |= draw(some(design_c=number(5, 30), air_changes_per_h=number(0, 20), bridges_percent=number(0, 100)))
    zone |= draw(some(thermal_mass=st.sampled_from(["light", "medium", "heavy"]), reheat_w_per_m2=number(0, 150)))
    sources = st.sampled_from(["outside", {"factor": 0.3}, {"temperature_c": 16.5}])
    stream = st.fixed_dictionaries({"name": names, "m3_per_h": number(1, 500), "from": sources})
    zone |= draw(some(air=st.lists(stream, max_size=2), air_gradient_k_per_m=st.floats(0, 2)))
    if "reheat_w_per_m2" not in zone and draw(st.booleans()):
        zone |= {"warm_up_h": draw(number(0.1, 72)), "warm_up_from_c": draw(number(1, 4.9))}
    zone["element"] = draw(st.lists(elements(), max_size=3))
    plate = st.fixed_dictionaries(
        {"rated_w": number(100, 30_000)},
        optional={
            "rated_v": number(100, 480),
            "element": st.sampled_from(["resistive", "ptc"]),
            "automatic": st.booleans(),
            "portable": st.booleans(),
            "drives": st.lists(st.sampled_from(["setpoint", "limit", "switch"]), unique=True),
            "ip": st.sampled_from(["IP20", "IPX4"]),
            "bath_zone": st.integers(0, 2),
            "connection": st.just("plug"),
            "clearance_m": st.floats(0, 20),
            "below_socket": st.booleans(),
            "standby_w": st.floats(0, 50),
        },
    )
    zone["heater"] = [{"id": heater_id} | draw(plate) for heater_id in heater_ids]
    return zone


@st.composite
def programmes(draw: st.DrawFn, zone_id: str) -> dict[str, Any]:
    """Return a programme whose periods do not overlap, the last one perhaps ending at midnight."""
    edges = sorted(draw(st.lists(st.integers(0, DAY), min_size=2, max_size=6, unique=True)))
    periods = []
    for start, end in zip(edges[::2], edges[1::2], strict=False):
        wants: dict[str, Any] = draw(st.sampled_from([{"level": "occupied"}, {"level": "vacant"}, {"temp_c": 20.5}]))
        periods.append({"from": _time(start), "to": _time(end)} | wants)
    days = draw(st.lists(st.sampled_from(WEEKDAYS), min_size=1, unique=True))
    return {"zone": zone_id, "days": days, "periods": periods} | draw(
        some(otherwise=st.sampled_from(["setback", "frost"]))
    )


@st.composite
def documents(draw: st.DrawFn) -> dict[str, Any]:
    """Return what a valid house file decodes to."""
    zone_ids = draw(st.lists(ids, max_size=3, unique=True))
    heater_ids = draw(st.lists(ids, min_size=len(zone_ids), max_size=2 * len(zone_ids), unique=True))
    site = {"name": draw(names), "outdoor_design_c": draw(number(-60, 60))}
    site |= draw(
        some(
            built=st.integers(1000, 2100),
            timezone=st.sampled_from(["Europe/London", "Pacific/Chatham", "UTC"]),
            method=st.sampled_from(["en12831", "domestic"]),
            supply_cap_a=number(1, 400),
            outdoor_mean_c=number(-20, 25),
            outdoor_k_per_100m=st.floats(0, 2),
            gains_k=st.floats(0, 15),
            country=st.sampled_from(["GB", "DE", "NO"]),
            boiler=st.just({"output_w": 24_000, "used_w": 9_000, "flow_c": 65, "fuel_per_kwh": 0.07}),
            air_to_air=st.just({"coefficient": 3.4, "low": 2.5}),
            voltage_v=number(90, 480),
            phases=st.sampled_from([1, 3]),
            levels=levels,
            check_in=st.just("16:00"),
        )
    )
    site |= draw(
        st.sampled_from(
            [
                {},
                {"degree_days": 2463.5},
                {"degree_days_by_month": [210] * 12},
                {"mean_c_by_month": [9.5] * 12},
                {"altitude_m": 300, "outdoor_at_altitude_m": 50.5},
            ]
        )
    )
    document: dict[str, Any] = {"house": site}
    count = max(len(zone_ids), 1)
    document["zone"] = [draw(zones(each, heater_ids[index::count])) for index, each in enumerate(zone_ids)]
    document["programme"] = [draw(programmes(each)) for each in zone_ids if draw(st.booleans())]
    for first, second in zip(document["zone"], document["zone"][1:], strict=False):
        if draw(st.booleans()):
            element = {"name": "between", "kind": "party", "area_m2": 9, "u_w_per_m2k": 1.5}
            first["element"].append(element | {"beyond": f"zone:{second['id']}"})
            first["neighbours"] = [second["id"]]
    document["space"] = [
        {"id": each, "name": "void", "volume_m3": draw(number(1, 500)), "element": [draw(elements())]}
        | draw(some(air_changes_per_h=number(0, 20), built=st.integers(1000, 2100)))
        for each in draw(st.lists(ids, max_size=2, unique=True))
    ]
    if document["space"] and document["zone"]:
        ceiling = {"name": "ceiling", "kind": "roof", "area_m2": 9, "u_w_per_m2k": 0.4}
        document["zone"][0]["element"].append(ceiling | {"beyond": f"space:{document['space'][0]['id']}"})
    document["circuit"] = draw(
        st.lists(st.fixed_dictionaries({"id": ids, "rated_a": number(10, 63)}), max_size=2, unique_by=_id)
    )
    document["sensor"] = [{"id": each, "zone": "outdoor", "offset_k": 0.5} for each in draw(st.sets(ids, max_size=2))]
    document["tariff"] = draw(
        st.sampled_from([[], [{"from": "2026-04-01", "currency": "GBP", "rates": [{"per_kwh": 0.27}]}]])
    )
    return document


def _id(table: dict[str, Any]) -> str:
    return str(table["id"])


def houses() -> st.SearchStrategy[House]:
    """Return valid houses."""
    from ingle.config.house import check_house

    return documents().map(check_house)
