"""The design's version: a digest of what the heat loss is computed from, and of nothing else.

A changed programme, tariff, name or heater makes no new design; a changed wall does.
"""

from __future__ import annotations

from hashlib import sha256

import msgspec
from msgspec.structs import replace

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


def design_version(house: House) -> str:
    """Return the version of a house's design: 16 hexadecimal digits."""
    house = filled(house)
    keys = _SITE_FIELDS if house.site.altitude_m is None else _SITE_FIELDS + _HEIGHT_FIELDS
    site = {key: getattr(house.site, key) for key in keys}
    zones = sorted(house.zones, key=lambda zone: zone.id)
    document = [site, _limits(house.site.provenance), [_zone(zone) for zone in zones]]
    if house.spaces:
        document.append([_space(space) for space in sorted(house.spaces, key=lambda space: space.id)])
    return sha256(msgspec.json.encode(_plain(document), order="deterministic")).hexdigest()[:_DIGITS]


def _plain(value: object) -> object:
    """Return a value with its defaults spelled out and every number a float: 20 and 20.0 are one temperature.

    What is not given is left out, so that a key that nobody knew before makes no new design of an old survey.
    """
    if isinstance(value, msgspec.Struct):
        value = {key: getattr(value, key) for key in value.__struct_fields__}
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items() if each is not None}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    return float(value) if isinstance(value, int) else value


def _zone(zone: Zone) -> list[object]:
    keys = _ZONE_FIELDS if zone.warm_up_h is None else _ZONE_FIELDS + _CAPACITY_FIELDS
    fields = {key: getattr(zone, key) for key in keys}
    described: list[object] = [fields, _limits(zone.provenance), [_element(element) for element in zone.elements]]
    return [*described, [(each.m3_per_h, each.source) for each in zone.air]] if zone.air else described


def _space(space: UnheatedSpace) -> list[object]:
    fields = {"id": space.id, "volume_m3": space.volume_m3, "air_changes_per_h": space.air_changes_per_h}
    return [fields, _limits(space.provenance), [_element(element) for element in space.elements]]


def _element(element: Element) -> list[object]:
    # Orientation and glass serve the sun in verdicts, not the heat loss; what is typical is in U and its limits.
    bare = replace(element, faces_deg=None, g_value=None, frame_share=None, typical=None, provenance={})
    return [bare, _limits(element.provenance)]


def _limits(provenance: dict[str, Provenance]) -> dict[str, list[float | str | None]]:
    """Return provenance without its notes, which explain a number but do not change it."""
    return {key: [origin.kind, origin.low, origin.high] for key, origin in provenance.items()}
