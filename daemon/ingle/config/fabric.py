"""What the fields of a zone's envelope must agree on among themselves."""

from __future__ import annotations

import difflib
from collections import Counter

import msgspec

from ingle.config.findings import Findings, Path, below
from ingle.config.provenance import check_provenance
from ingle.config.spaces import ONE_OF_SPACE, check_spaces, told_once
from ingle.config.typical import check_typical, check_typical_bridges
from ingle.model.envelope import Element, Ground, Layer, Space, UnheatedSpace
from ingle.model.house import House, Zone
from ingle.physics.air_layers import STILL_MM2
from ingle.physics.materials import MATERIALS, material

#: Kinds that are taken off a wall when it lists them among its openings.
OPENING_KINDS = frozenset({"window", "rooflight", "door"})
#: Seen from either side, one piece of fabric may go by two names: a floor is the roof of the room below.
SAME_PIECE = {"party": "wall", "roof": "level", "floor": "level", "ground-floor": "level"}
FABRIC_FORMS = ("u_w_per_m2k", "layers", "ground", "typical")
#: Layers are given in one of these ways.
LAYER_FORMS = ({"mm", "lambda"}, {"mm", "material"}, {"air_mm"}, {"r"})
LAYER_KEYS = ("mm", "lambda", "material", "air_mm", "r")
#: What else a layer may say, and the keys of which one must be there for it to mean something.
LAYER_EXTRAS = {
    "bridge": ("mm", "air_mm"),
    "vent_mm2": ("air_mm",),
    "emissivity": ("air_mm",),
    "gap_level": ("mm", "r"),
    "fixings": ("mm",),
}


def check_fabric(house: House, findings: Findings) -> None:
    """Check each zone's sizes, elements and provenance, and that no party element is listed from both sides."""
    check_provenance(house.site, house.site.provenance, ("house",), findings)
    for index, zone in enumerate(house.zones):
        path: Path = ("zone", index)
        _check_sizes(zone, path, findings)
        check_typical_bridges(house, zone, path, findings)
        check_provenance(zone, zone.provenance, path, findings)
        for place, element in enumerate(zone.elements):
            _check_element(zone, element, (*path, "element", place), findings)
            check_typical(house, zone, element, (*path, "element", place), findings)
        _check_openings(zone, path, findings)
    _check_mirrored(house, findings)
    _check_spaces(house, findings)


def _check_spaces(house: House, findings: Findings) -> None:
    """Check the elements of unheated spaces as those of zones."""
    for index, space in enumerate(house.spaces):
        path: Path = ("space", index)
        check_provenance(space, space.provenance, path, findings)
        for place, element in enumerate(space.elements):
            _check_element(space, element, (*path, "element", place), findings)
            check_typical(house, space, element, (*path, "element", place), findings)
        _check_openings(space, path, findings)
    check_spaces(house, findings)


def _check_sizes(zone: Zone, path: Path, findings: Findings) -> None:
    if zone.volume_m3 is None and zone.height_m is None:
        findings.add(
            (*path, "volume_m3"), None, "volume_m3 or height_m (one is needed)", rests_on=[(*path, "height_m")]
        )
    if zone.bridges_percent is not None and zone.bridges_w_per_m2k is not None:
        findings.add(
            (*path, "bridges_w_per_m2k"),
            zone.bridges_w_per_m2k,
            "bridges_percent or bridges_w_per_m2k, not both",
            rests_on=[(*path, "bridges_percent")],
        )
    if zone.ground_share is not None and zone.given_w_per_k is None:
        findings.add(
            (*path, "ground_share"),
            zone.ground_share,
            "only beside given_w_per_k, whose share it is",
            rests_on=[(*path, "given_w_per_k")],
        )


def _check_element(zone: Zone | UnheatedSpace, element: Element, path: Path, findings: Findings) -> None:
    _check_area(element, path, findings)
    _check_construction(zone, element, path, findings)
    _check_beyond(zone, element, path, findings)
    check_provenance(element, element.provenance, path, findings)
    for index, layer in enumerate(element.layers):
        _check_layer(layer, (*path, "layers", index), findings)
    _check_open_layers(element, path, findings)
    _check_pair(element, ("psi_w_per_mk", "psi_length_m"), path, findings)
    if element.ground is not None:
        _check_ground(element, path, findings)


def _check_area(element: Element, path: Path, findings: Findings) -> None:
    sides = (element.width_m, element.height_m)
    keys = below(path, ("area_m2", "width_m", "height_m"))
    if element.area_m2 is None and None in sides:
        findings.add(keys[0], None, "area_m2, or width_m and height_m (one of the two is needed)", rests_on=keys)
    elif element.area_m2 is not None and sides != (None, None):
        findings.add(keys[0], element.area_m2, "area_m2, or width_m and height_m, not both", rests_on=keys)
    if element.area_m2 is not None and element.openings:
        findings.add(
            (*path, "openings"), list(element.openings), "only with width_m and height_m; area_m2 is net", rests_on=keys
        )


def _check_construction(zone: Zone | UnheatedSpace, element: Element, path: Path, findings: Findings) -> None:
    """Check that the element's heat flow is given in one way.

    With the whole room's coefficient given, elements to outside serve only the sun and need no U-value; one towards
    another zone still makes a link.
    """
    forms = [bool(element.layers) if key == "layers" else getattr(element, key) is not None for key in FABRIC_FORMS]
    keys = below(path, FABRIC_FORMS)
    needed = isinstance(zone, UnheatedSpace) or zone.given_w_per_k is None or _leads_to_zone(element)
    if not any(forms) and needed:
        findings.add(keys[0], None, "u_w_per_m2k, layers, ground or typical (one is needed)", rests_on=keys)
    if sum(forms) > 1:
        given = next(key for key, there in zip(FABRIC_FORMS[1:], forms[1:], strict=True) if there)
        value = msgspec.to_builtins(getattr(element, given))
        findings.add((*path, given), value, "one of u_w_per_m2k, layers, ground and typical, not more", rests_on=keys)


def _leads_to_zone(element: Element) -> bool:
    return isinstance(element.beyond, str) and element.beyond.startswith("zone:")


def _check_beyond(zone: Zone | UnheatedSpace, element: Element, path: Path, findings: Findings) -> None:
    where = (*path, "beyond")
    kind = (*path, "kind")
    if isinstance(element.beyond, Space):
        if not told_once(element.beyond):
            value = msgspec.to_builtins(element.beyond)
            findings.add(where, value, ONE_OF_SPACE)
        return
    if element.beyond == f"zone:{zone.id}":
        findings.add(where, element.beyond, "another zone than the element's own")
    if element.kind == "party" and element.beyond in {"outside", "ground"}:
        findings.add(
            where,
            element.beyond,
            "for a party element: zone:<id>, space:<id>, factor or temperature_c",
            rests_on=[kind],
        )


def _check_ground(element: Element, path: Path, findings: Findings) -> None:
    where = (*path, "ground")
    ground = element.ground
    if ground is None:
        return
    if element.kind != "ground-floor" and element.beyond != "ground":
        findings.add(
            where,
            msgspec.to_builtins(ground),
            'only for kind = "ground-floor" or beyond = "ground"',
            rests_on=below(path, ("kind", "beyond")),
        )
    _check_edge(ground, where, findings)


def _check_edge(ground: Ground, path: Path, findings: Findings) -> None:
    """Check that insulation at a slab's edge has a resistance and one direction: flat or upright."""
    keys = ("edge_insulation_r", "edge_insulation_width_m", "edge_insulation_depth_m")
    resistance, width, depth = (getattr(ground, key) for key in keys)
    if width is not None and depth is not None:
        allowed = "edge_insulation_width_m (flat) or edge_insulation_depth_m (upright), not both; the better one counts"
        findings.add((*path, keys[2]), depth, allowed, rests_on=below(path, keys))
    elif resistance is not None and width is None and depth is None:
        allowed = "edge_insulation_width_m or edge_insulation_depth_m beside edge_insulation_r"
        findings.add((*path, keys[1]), None, allowed, rests_on=below(path, keys))
    elif resistance is None and (width is not None or depth is not None):
        allowed = "edge_insulation_r beside its width or depth"
        findings.add((*path, keys[0]), None, allowed, rests_on=below(path, keys))


def _check_pair(holder: msgspec.Struct, keys: tuple[str, str], path: Path, findings: Findings) -> None:
    """Check that two fields are given together or not at all."""
    missing = [key for key in keys if getattr(holder, key) is None]
    if len(missing) == 1:
        findings.add((*path, missing[0]), None, f"{keys[0]} and {keys[1]} together", rests_on=below(path, keys))


def _check_layer(layer: Layer, path: Path, findings: Findings) -> None:
    given = {key for key in LAYER_KEYS if getattr(layer, "conductivity" if key == "lambda" else key) is not None}
    keys = below(path, LAYER_KEYS)
    if given not in LAYER_FORMS:
        value = msgspec.to_builtins(layer)
        allowed = "mm and lambda; or mm and material; or air_mm; or r"
        # The layer itself is named, but only its own keys matter for whether to say so.
        findings.add((*path, "mm"), value, allowed, rests_on=keys)
    if layer.material is not None and material(layer.material) is None:
        near = difflib.get_close_matches(layer.material.lower(), MATERIALS, n=1)
        hint = f"did you mean {near[0]}?" if near else f"one of {', '.join(MATERIALS)}"
        findings.add((*path, "material"), layer.material, f"a material of the table, or give lambda; {hint}")
    _check_extras(layer, path, findings)


def _check_extras(layer: Layer, path: Path, findings: Findings) -> None:
    """Check that what a layer says besides its resistance has something to go with."""
    for key, homes in LAYER_EXTRAS.items():
        extra = getattr(layer, key)
        if extra and all(getattr(layer, home) is None for home in homes):
            allowed = f"only in a layer with {' or '.join(homes)}"
            findings.add((*path, key), msgspec.to_builtins(extra), allowed, rests_on=below(path, LAYER_KEYS))
    length = None if layer.fixings is None else layer.fixings.length_mm
    if length is not None and layer.mm is not None and length > layer.mm:
        allowed = f"at most the thickness of the layer, {layer.mm:g} mm"
        findings.add((*path, "fixings", "length_mm"), length, allowed, rests_on=[(*path, "mm")])


def _check_open_layers(element: Element, path: Path, findings: Findings) -> None:
    """Refuse a second air layer that is open to the outside: what lies outside of the inner one counts for little."""
    openings = [
        (index, layer.vent_mm2) for index, layer in enumerate(element.layers) if (layer.vent_mm2 or 0) > STILL_MM2
    ]
    for index, vent in openings[1:]:
        keys = [(*path, "layers", each, "vent_mm2") for each, _ in openings]
        allowed = f"above {STILL_MM2:g} mm² in one layer only; layer {openings[0][0] + 1} has that already"
        findings.add((*path, "layers", index, "vent_mm2"), vent, allowed, rests_on=keys)


def _check_openings(zone: Zone | UnheatedSpace, path: Path, findings: Findings) -> None:
    """Check that each wall's openings are pieces of the same zone, counted once, and leave some wall."""
    named = Counter(element.name for element in zone.elements)
    pieces = {element.name: element for element in zone.elements}
    taken: set[str] = set()
    for place, element in enumerate(zone.elements):
        where = (*path, "element", place, "openings")
        for index, name in enumerate(element.openings):
            if named[name] != 1 or pieces[name].kind not in OPENING_KINDS:
                allowed = "the name of one window, rooflight or door of this zone"
                findings.add((*where, index), name, allowed, rests_on=_names(zone, path))
            elif name in taken:
                findings.add((*where, index), name, "an opening that no other wall has taken off", rests_on=[])
            taken.add(name)
        _check_wall_left(zone, place, path, findings)


def _names(zone: Zone | UnheatedSpace, path: Path) -> list[Path]:
    return [(*path, "element", place, key) for place in range(len(zone.elements)) for key in ("name", "kind")]


def _check_wall_left(zone: Zone | UnheatedSpace, place: int, path: Path, findings: Findings) -> None:
    element = zone.elements[place]
    if element.width_m is None or element.height_m is None or not element.openings:
        return
    whole = element.width_m * element.height_m
    parts = [(index, each) for index, each in enumerate(zone.elements) if each.name in element.openings]
    off = sum(_area(each) for _, each in parts)
    if off >= whole:
        sizes = ("area_m2", "width_m", "height_m")
        rests_on = [at for index in (place, *[i for i, _ in parts]) for at in below((*path, "element", index), sizes)]
        allowed = f"openings smaller than the wall: they take {off:g} m² off {whole:g} m²"
        findings.add((*path, "element", place, "openings"), list(element.openings), allowed, rests_on=rests_on)


def _area(element: Element) -> float:
    if element.area_m2 is not None:
        return element.area_m2
    return (element.width_m or 0.0) * (element.height_m or 0.0)


def _check_mirrored(house: House, findings: Findings) -> None:
    """Refuse a piece between two zones that both of them list: it is mirrored, so it would count twice."""
    listed: dict[tuple[str, str, str], Path] = {}
    for index, zone in enumerate(house.zones):
        for place, element in enumerate(zone.elements):
            if not _leads_to_zone(element):
                continue
            other, piece = str(element.beyond).removeprefix("zone:"), SAME_PIECE.get(element.kind, element.kind)
            path: Path = ("zone", index, "element", place)
            listed.setdefault((zone.id, other, piece), path)
            first = listed.get((other, zone.id, piece))
            if first is not None and other != zone.id:
                allowed = f"once, from one side: {other} lists a {piece} towards {zone.id} already, and it is mirrored"
                rests_on = [(*each, key) for each in (path, first) for key in ("kind", "beyond")]
                findings.add((*path, "beyond"), element.beyond, allowed, rests_on=rests_on)
