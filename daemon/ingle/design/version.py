"""The design's version: a digest of what the heat loss is computed from, and of nothing else.

A changed programme, tariff, name or heater makes no new design; a changed wall does.
"""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256

import msgspec

from ingle.design.typical import filled
from ingle.model.envelope import Element, UnheatedSpace
from ingle.model.house import House, Zone
from ingle.model.provenance import Provenance

_DIGITS = 16
_SITE_FIELDS = ("method", "outdoor_design_c", "outdoor_mean_c")
# How high the house lies counts only beside the height that its outdoor temperatures are of.
_HEIGHT_FIELDS = ("altitude_m", "outdoor_at_altitude_m", "outdoor_k_per_100m")
_ZONE_FIELDS = (
    "id",
    "floor_area_m2",
    "volume_m3",
    "height_m",
    "design_c",
    "air_changes_per_h",
    "air_changes_in_use_per_h",
    "reheat_w_per_m2",
    "bridges_percent",
    "bridges_w_per_m2k",
    "given_w_per_k",
    "ground_share",
    "warm_up_h",
    "warm_up_from_c",
    "air_gradient_k_per_m",
)
# How heavy a room is counts only where it has to warm up in a given time.
_CAPACITY_FIELDS = ("thermal_mass", "capacity_wh_per_k")
# Orientation and glass serve the sun in verdicts, not the heat loss; what is typical is in U and its limits.
_NOT_OF_ELEMENT = frozenset({"faces_deg", "g_value", "frame_share", "typical", "provenance"})
_ELEMENT_FIELDS = tuple(key for key in Element.__struct_fields__ if key not in _NOT_OF_ELEMENT)
_AS_IS = frozenset({str, float})


def design_version(house: House) -> str:
    """Return the version of a house's design: 16 hexadecimal digits."""
    house = filled(house)
    keys = _SITE_FIELDS if house.site.altitude_m is None else _SITE_FIELDS + _HEIGHT_FIELDS
    zones = sorted(house.zones, key=lambda zone: zone.id)
    document = [_fields(house.site, keys), _limits(house.site.provenance), [_zone(zone) for zone in zones]]
    if house.spaces:
        document.append([_space(space) for space in sorted(house.spaces, key=lambda space: space.id)])
    return sha256(msgspec.json.encode(document, order="deterministic")).hexdigest()[:_DIGITS]


def _plain(value: object) -> object:
    """Return a value with its defaults spelled out and every number a float: 20 and 20.0 are one temperature.

    What is not given is left out, so that a key that nobody knew before makes no new design of an old survey.
    """
    if isinstance(value, str | float):
        return value
    if isinstance(value, msgspec.Struct):
        return _fields(value, value.__struct_fields__)
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    return float(value) if isinstance(value, int) else value


def _fields(holder: msgspec.Struct, keys: Iterable[str]) -> dict[str, object]:
    """Return some fields of a struct, plain; words and numbers are most of them, so they go the short way."""
    return {
        key: each if type(each) in _AS_IS else _plain(each)
        for key in keys
        if (each := getattr(holder, key)) is not None
    }


def _zone(zone: Zone) -> list[object]:
    keys = _ZONE_FIELDS if zone.warm_up_h is None else _ZONE_FIELDS + _CAPACITY_FIELDS
    described: list[object] = [
        _fields(zone, keys),
        _limits(zone.provenance),
        [_element(element) for element in zone.elements],
    ]
    return [*described, [_plain((each.m3_per_h, each.source)) for each in zone.air]] if zone.air else described


def _space(space: UnheatedSpace) -> list[object]:
    fields = _fields(space, ("id", "volume_m3", "air_changes_per_h"))
    return [fields, _limits(space.provenance), [_element(element) for element in space.elements]]


def _element(element: Element) -> list[object]:
    return [_fields(element, _ELEMENT_FIELDS) | {"provenance": {}}, _limits(element.provenance)]


def _limits(provenance: dict[str, Provenance]) -> dict[str, object]:
    """Return provenance without its notes, which explain a number but do not change it."""
    return {key: _plain([origin.kind, origin.low, origin.high]) for key, origin in provenance.items()}
