"""What lies behind an element, and the share of the full temperature difference that it leaves.

Everything is brought to one footing, the conductance to an outdoor-equivalent [W/K]: area times U times **share**,
where the share is 1 outdoors, the given factor for an unheated space, the ratio of temperatures for a space whose
temperature is known, and so negative towards a warmer room.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

from ingle.model.envelope import Element, Space
from ingle.model.house import House, Site, Zone
from ingle.physics.air_layers import HeatFlow
from ingle.physics.heat_loss import ground_share, ground_water_factor, share_of_difference

Kind = Literal["outside", "ground", "zone", "space", "factor", "temperature", "unknown"]

# Below this difference between inside and outdoors no ratio of temperatures means anything.
LEAST_DIFFERENCE_K = 1.0


class Behind(Struct, frozen=True):
    """What an element faces: its kind, and the factor or temperature [°C] or zone that goes with it.

    A space has both, its temperature at design and its factor in use, and its id as ``zone_id``.
    """

    kind: Kind
    factor: float = 1.0
    temperature_c: float = 0.0
    zone_id: str = ""

    @property
    def inner(self) -> bool:
        """Whether air stands still behind it, so that both faces have the inner surface resistance."""
        return self.kind in {"zone", "space", "factor", "temperature"}


def behind(house: House, element: Element, spaces: Mapping[str, Behind]) -> Behind:
    """Return what lies behind an element of a house; ``spaces`` are its unheated spaces by id."""
    if element.beyond == "outside" and element.kind == "ground-floor":
        return Behind("ground")
    return behind_from(house, element.beyond, spaces)


def behind_from(house: House, beyond: str | Space, spaces: Mapping[str, Behind]) -> Behind:
    """Return what a house file's ``beyond`` or ``from`` stands for."""
    if isinstance(beyond, str) and beyond.startswith("space:"):
        return spaces.get(beyond.removeprefix("space:"), Behind("unknown"))
    if isinstance(beyond, str) and beyond.startswith("zone:"):
        return behind_zone(house.zone(beyond.removeprefix("zone:")))
    return _known(beyond)


def behind_own(element: Element) -> Behind:
    """Return what lies behind an element by itself; a ground floor left at the default lies on the ground."""
    if element.beyond == "outside" and element.kind == "ground-floor":
        return Behind("ground")
    return _known(element.beyond)


def _known(beyond: str | Space) -> Behind:
    if isinstance(beyond, Space):
        if beyond.temperature_c is not None:
            return Behind("temperature", temperature_c=beyond.temperature_c)
        return Behind("factor", factor=1.0 if beyond.factor is None else beyond.factor)
    return Behind("ground" if beyond == "ground" else "outside" if beyond == "outside" else "unknown")


def behind_zone(zone: Zone | None) -> Behind:
    """Return another room as what lies behind; a room that is not there counts as outdoors."""
    if zone is None:
        return Behind("unknown")
    return Behind("zone", temperature_c=zone.design_c, zone_id=zone.id)


def ground_rule(site: Site) -> Literal["mean", "full"]:
    """Return which difference drives the ground: the annual mean's (EN 12831-1), or the full one."""
    return "mean" if site.method == "en12831" and site.mean_here_c is not None else "full"


def ground_water(site: Site, element: Element) -> float:
    """Return what ground water multiplies an element's flow to the ground by; EN 12831-1's rule alone knows of it."""
    if element.ground is None or ground_rule(site) == "full":
        return 1.0
    return ground_water_factor(element.ground.water_table_m)


def share(site: Site, inside_c: float, there: Behind) -> float:
    """Return the share of the full design difference that drives heat to ``there``."""
    if there.kind in {"outside", "unknown"}:
        return 1.0
    if there.kind == "factor":
        return there.factor
    if inside_c - site.outdoor_here_c < LEAST_DIFFERENCE_K:
        return 0.0
    if there.kind == "ground":
        mean = site.mean_here_c if ground_rule(site) == "mean" else None
        return 1.0 if mean is None else ground_share(inside_c, mean, site.outdoor_here_c)
    return share_of_difference(inside_c, there.temperature_c, site.outdoor_here_c)


def heat_flow(element: Element, inside_c: float, there: Behind) -> HeatFlow:
    """Return which way heat flows through an element: a ceiling under a warmer room has it coming down."""
    outward = there.kind not in {"zone", "temperature"} or there.temperature_c <= inside_c
    if element.kind in {"roof", "rooflight"}:
        return "up" if outward else "down"
    if element.kind in {"floor", "ground-floor"}:
        return "down" if outward else "up"
    return "horizontal"
