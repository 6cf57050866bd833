"""The unheated spaces of a house, each at the temperature that its heat balance gives.

The rules of this file:

* A zone's element that leads to a space takes part in the space's balance with A·U and its linear bridge; so do the
  space's own elements, its outdoor air, and pieces between two spaces, which either of them lists.
* Heat is taken to go outward through all of them (a space is no warmer than its rooms), which settles the surface
  resistances before the temperature is known.
* The ground takes part as in a room: at the full difference, or 1.45 U on the annual mean.
* A space's **factor** is what is left of a room's difference with all rooms equally warm and all else outdoors: the b
  of ISO 13789. In use that counts; at design the temperature itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from ingle.design.beyond import Behind, behind_own, ground_rule, ground_water
from ingle.design.floors import net_area_m2
from ingle.design.sheet import Figure, tidy
from ingle.design.transmittance import transmittance
from ingle.model.design import SpaceDesign
from ingle.model.envelope import Element, UnheatedSpace
from ingle.model.house import House, Zone
from ingle.physics.air_layers import HeatFlow
from ingle.physics.heat_loss import AIR_WH_PER_M3K, GROUND_SWING, ventilation_w_per_k
from ingle.physics.unheated import unheated_temperatures

TO_SPACE = "space:"
_OUTWARD: dict[str, HeatFlow] = {"roof": "up", "rooflight": "up", "floor": "down", "ground-floor": "down"}


class Joint(Struct, frozen=True):
    """What joins a space to something of known temperature: a room's piece, an own piece, or its air."""

    name: str
    w_per_k: float
    there_c: float
    of_room: bool


class Settled(Struct, frozen=True):
    """A space at its temperature [°C], with its factor and its joints; ``adrift`` where nothing reaches it."""

    space: UnheatedSpace
    temperature_c: float
    factor: float
    joints: tuple[Joint, ...]
    between: tuple[tuple[str, float], ...]
    adrift: bool


def space_id(element: Element) -> str | None:
    """Return the id of the space that an element leads to, or None."""
    beyond = element.beyond
    return beyond.removeprefix(TO_SPACE) if isinstance(beyond, str) and beyond.startswith(TO_SPACE) else None


def reaches_space(zone: Zone) -> bool:
    """Whether any element of a zone leads to an unheated space, or any air of it comes from one."""
    beyonds = [*(element.beyond for element in zone.elements), *(stream.source for stream in zone.air)]
    return any(isinstance(beyond, str) and beyond.startswith(TO_SPACE) for beyond in beyonds)


def conductance_w_per_k(holder: Zone | UnheatedSpace, element: Element, there: Behind) -> float:
    """Return A·U + ψ·l of an element, heat going outward [W/K]."""
    u = transmittance(element, _OUTWARD.get(element.kind, "horizontal"), there).value
    linear = (element.psi_w_per_mk or 0.0) * (element.psi_length_m or 0.0)
    return net_area_m2(holder, element) * u + linear


def settled(house: House) -> dict[str, Settled]:
    """Return every unheated space of a house at its temperature, by id."""
    if not house.spaces:
        return {}
    places = {space.id: place for place, space in enumerate(house.spaces)}
    joints = [list(_own_joints(house, space)) for space in house.spaces]
    leads = {f"{TO_SPACE}{space_id}": own for space_id, own in zip(places, joints, strict=True)}
    for zone in house.zones:
        for element in zone.elements:
            if isinstance(element.beyond, str) and element.beyond in leads:
                flow = conductance_w_per_k(zone, element, Behind("space"))
                joint = Joint(f"{element.name} ({zone.id})", flow, zone.design_c, of_room=True)
                leads[element.beyond].append(joint)
    between = _between(house, places)
    at_design = unheated_temperatures([[(each.w_per_k, each.there_c) for each in own] for own in joints], between)
    warm = unheated_temperatures([[(each.w_per_k, float(each.of_room)) for each in own] for own in joints], between)
    outdoor = house.site.outdoor_here_c
    return {
        space.id: Settled(
            space=space,
            temperature_c=outdoor if found is None else found,
            factor=1.0 if part is None else min(1.0, max(0.0, 1.0 - part)),
            joints=tuple(own),
            between=tuple(_joined(house.spaces, between, place)),
            adrift=found is None,
        )
        for place, (space, found, part, own) in enumerate(zip(house.spaces, at_design, warm, joints, strict=True))
    }


def _own_joints(house: House, space: UnheatedSpace) -> Iterator[Joint]:
    site = house.site
    for element in space.elements:
        if space_id(element) is not None:
            continue
        there = behind_own(element)
        flow = conductance_w_per_k(space, element, there)
        there_c = there.temperature_c if there.kind == "temperature" else site.outdoor_here_c
        if there.kind == "factor":
            flow *= there.factor
        if there.kind == "ground" and ground_rule(site) == "mean" and site.mean_here_c is not None:
            flow, there_c = GROUND_SWING * ground_water(site, element) * flow, site.mean_here_c
        yield Joint(element.name, flow, there_c, of_room=False)
    air = ventilation_w_per_k(AIR_WH_PER_M3K[site.method], space.air_changes_per_h, space.volume_m3)
    yield Joint("air", air, site.outdoor_here_c, of_room=False)


def _between(house: House, places: Mapping[str, int]) -> dict[tuple[int, int], float]:
    """Return the conductance between each two spaces that a piece joins [W/K]."""
    found: dict[tuple[int, int], float] = {}
    for place, space in enumerate(house.spaces):
        for element in space.elements:
            other = places.get(space_id(element) or "")
            if other is not None and other != place:
                pair = (min(place, other), max(place, other))
                found[pair] = found.get(pair, 0.0) + conductance_w_per_k(space, element, Behind("space"))
    return found


def _joined(
    spaces: Sequence[UnheatedSpace], between: Mapping[tuple[int, int], float], place: int
) -> Iterator[tuple[str, float]]:
    for pair, flow in between.items():
        if place in pair:
            yield spaces[pair[0] + pair[1] - place].id, flow


def space_design(house: House, each: Settled, all_settled: Mapping[str, Settled]) -> SpaceDesign:
    """Return a settled space as the design shows it."""
    return SpaceDesign(
        id=each.space.id,
        name=each.space.name,
        temperature_c=tidy(each.temperature_c),
        factor=tidy(each.factor),
        working=tuple(figure.line(item) for item, figure in _lines(house, each, all_settled)),
    )


def _lines(house: House, each: Settled, all_settled: Mapping[str, Settled]) -> Iterator[tuple[str, Figure]]:
    source = "ISO 13789:2007, heat balance of an unheated space"
    for joint in each.joints:
        inputs: dict[str, float | str] = {"there_c": joint.there_c}
        yield joint.name, Figure(joint.w_per_k, "W/K", inputs, "A·U + ψ·l" if joint.name != "air" else "n·V", source)
    for other, flow in each.between:
        there: dict[str, float | str] = {"there_c": all_settled[other].temperature_c}
        yield f"to {other}", Figure(flow, "W/K", there, "A·U + ψ·l", source)
    outdoor: dict[str, float | str] = {"outdoor_c": house.site.outdoor_here_c}
    formula = "nothing of known temperature reaches it; as outdoors" if each.adrift else "Σ H θ / Σ H"
    yield "temperature", Figure(each.temperature_c, "°C", outdoor, formula, source)
    yield "factor", Figure(each.factor, "-", {}, "H_out / (H_in + H_out), all rooms equally warm", source)
