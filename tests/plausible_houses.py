"""Plausible houses drawn at random, and slips of the pen to plant in them.

The houses are drawn from what is published of real ones, not from the ranges that the design looks for: U as built by
age in England and Wales (RdSAP 2012, tables S6, S9, S14, S15a), air changes of UK domestic practice, rooms of the
sizes that dwellings have, rectangular, with one to three sides outside.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import Any

from msgspec.structs import replace

from ingle.model.envelope import Element, Ground
from ingle.model.house import House, Site, Use, Zone

FOOT = 0.3048
# First year of each age band, and as-built U of: walls by construction, roof, window, door.
AGES: tuple[tuple[int, tuple[float, ...], tuple[float, ...], tuple[float, ...], float], ...] = (
    (1880, (2.1, 2.5), (2.3, 0.68, 0.40), (4.8, 2.8), 3.0),
    (1930, (2.1, 1.6), (2.3, 0.68, 0.30), (4.8, 2.8), 3.0),
    (1950, (1.6, 2.1, 0.5), (1.5, 0.68, 0.40), (4.8, 3.1), 3.0),
    (1967, (1.7, 1.6), (1.5, 0.68), (4.8, 2.8), 3.0),
    (1976, (1.0,), (0.68, 0.50), (3.1, 2.8), 3.0),
    (1983, (0.6,), (0.40, 0.30), (3.1, 2.8), 3.0),
    (1996, (0.45,), (0.26, 0.30), (2.6, 2.8), 3.0),
    (2003, (0.35,), (0.16, 0.20), (2.0,), 2.0),
    (2012, (0.28,), (0.16, 0.14), (1.6, 1.8), 1.8),
)
# Floor area [m²], air changes before and after 2000 [1/h], temperature [°C]: UK domestic practice (from memory).
ROOMS: dict[Use, tuple[tuple[float, float], float, float, float]] = {
    "living": ((12.0, 38.0), 1.5, 0.6, 21.0),
    "bedroom": ((7.0, 22.0), 1.0, 0.5, 18.0),
    "kitchen": ((7.0, 25.0), 2.0, 1.0, 20.0),
    "bath": ((3.0, 9.0), 3.0, 1.5, 22.0),
    "hall": ((4.0, 18.0), 2.0, 0.8, 18.0),
    "office": ((8.0, 28.0), 1.0, 0.5, 20.0),
}


def drawn(seed: int) -> Random:
    """Return the chance by which a house and its slips are drawn."""
    return Random(seed)  # noqa: S311 - houses, not secrets


def house(random: Random, *, dated: bool = True) -> House:
    """Return a house of two to five rooms; ``dated`` is whether the survey says when it was built."""
    age = random.choice(AGES)
    site = Site(
        name="A house",
        built=age[0] + random.randrange(3) if dated else None,
        method=random.choice(("domestic", "en12831")),
        outdoor_design_c=round(random.uniform(-12, 0), 1),
        outdoor_mean_c=random.choice((None, round(random.uniform(6, 11), 1))),
        latitude_deg=round(random.uniform(46, 58), 2),
        longitude_deg=round(random.uniform(-8, 20), 2),
    )
    uses = random.choices(tuple(ROOMS), k=random.randint(2, 5))
    zones = [_zone(random, f"room-{number}", use, age) for number, use in enumerate(uses)]
    zones[0] = replace(zones[0], neighbours=tuple(zone.id for zone in zones[1:]))
    return House(site=site, zones=tuple(zones))


def _zone(random: Random, zone_id: str, use: Use, age: tuple[Any, ...]) -> Zone:
    built, walls, roofs, panes, door = age
    (least, most), old_air, new_air, warmth = ROOMS[use]
    area = round(random.uniform(least, most), 1)
    aspect = random.uniform(1.0, 2.2)
    height = round(random.uniform(2.2, 2.7 if built > 1930 else 3.1), 2)
    long_m, short_m = (area * aspect) ** 0.5, (area / aspect) ** 0.5
    sides = random.sample([long_m, short_m, long_m, short_m], random.choice((1, 1, 2, 2, 3)))
    wall_u = _about(random, random.choice(walls))
    elements = [
        each
        for number, side in enumerate(sides)
        for each in _side(random, number, side, height, wall_u, _about(random, random.choice(panes)))
    ]
    if use == "hall":
        elements.append(Element(name="front door", kind="door", area_m2=1.9, u_w_per_m2k=_about(random, door)))
    level = random.choice(("ground", "top", "between", "bungalow"))
    if level in {"top", "bungalow"}:
        roof = _about(random, random.choice(roofs))
        elements.append(Element(name="ceiling", kind="roof", area_m2=area, u_w_per_m2k=roof))
    if level in {"ground", "bungalow"}:
        elements.append(_floor(random, area, sum(sides), built))
    size = random.choice(({"height_m": height}, {"volume_m3": round(area * height, 1)}))
    bridges = random.choice(({}, {"bridges_percent": 10.0}, {"bridges_w_per_m2k": 0.08 if built > 2000 else 0.15}))
    air = round(random.uniform(0.8, 1.2) * (new_air if built > 2000 else old_air), 2)
    return Zone(
        id=zone_id,
        name=zone_id,
        use=use,
        floor_area_m2=area,
        design_c=warmth,
        air_changes_per_h=air,
        reheat_w_per_m2=random.choice((0.0, 0.0, 11.0)),
        elements=tuple(elements),
        **size,
        **bridges,
    )


def _about(random: Random, value: float) -> float:
    return round(value * random.uniform(0.9, 1.1), 2)


def _side(random: Random, number: int, side_m: float, height_m: float, wall_u: float, pane_u: float) -> list[Element]:
    """Return a side to outside: a wall and, on most, a window; net by area, or by width and height with openings."""
    faces = random.choice((None, random.choice((0.0, 90.0, 180.0, 270.0))))
    glass = round(side_m * height_m * random.uniform(0.12, 0.35), 1) if number == 0 or random.random() < 0.6 else 0.0
    name, pane = f"wall {number}", f"window {number}"
    wall = Element(name=name, kind="wall", u_w_per_m2k=wall_u, faces_deg=faces)
    if random.random() < 0.5:
        openings = (pane,) if glass else ()
        wall = replace(wall, width_m=round(side_m, 2), height_m=height_m, openings=openings)
    else:
        wall = replace(wall, area_m2=round(side_m * height_m - glass, 1))
    window = Element(name=pane, kind="window", area_m2=glass or 1.0, u_w_per_m2k=pane_u, faces_deg=faces)
    return [wall, window] if glass else [wall]


def _floor(random: Random, area: float, exposed_m: float, built: int) -> Element:
    floor = Element(name="ground floor", kind="ground-floor", area_m2=area, beyond="ground")
    if random.random() < 0.5:
        insulation = 0.0 if built < 1976 else 1.0 if built < 2000 else 3.0
        return replace(floor, ground=Ground(perimeter_m=round(exposed_m, 1), insulation_r=insulation))
    return replace(floor, u_w_per_m2k=_about(random, 0.7 if built < 1976 else 0.45 if built < 2000 else 0.22))


# ------------------------------------------------------------------------------------------------------- slips

Slip = Callable[[Random, House, int], House | None]
FACTORS = {"x10": 10.0, "/10": 0.1}


def _zone_field(key: str, factor: float) -> Slip:
    def slip(random: Random, house: House, place: int) -> House | None:
        del random
        value = getattr(house.zones[place], key)
        return None if not value else with_zone(house, place, **{key: value * factor})

    return slip


def _element_field(key: str, factor: float) -> Slip:
    def slip(random: Random, house: House, place: int) -> House | None:
        zone = house.zones[place]
        able = [index for index, each in enumerate(zone.elements) if getattr(each, key) is not None]
        if not able:
            return None
        index = random.choice(able)
        changed = replace(zone.elements[index], **{key: getattr(zone.elements[index], key) * factor})
        elements = (*zone.elements[:index], changed, *zone.elements[index + 1 :])
        return with_zone(house, place, elements=elements)

    return slip


def with_zone(house: House, place: int, **change: Any) -> House:
    """Return the house with fields of one zone changed."""
    zone = replace(house.zones[place], **change)
    return replace(house, zones=(*house.zones[:place], zone, *house.zones[place + 1 :]))


def _outdoor_fahrenheit(random: Random, house: House, place: int) -> House:
    del random, place
    return replace(house, site=replace(house.site, outdoor_design_c=house.site.outdoor_design_c * 1.8 + 32))


def _inside_fahrenheit(random: Random, house: House, place: int) -> House:
    del random
    return with_zone(house, place, design_c=house.zones[place].design_c * 1.8 + 32)


def _gross(random: Random, house: House, place: int) -> House | None:
    """Return the house with a wall by width and height whose openings are forgotten."""
    del random
    zone = house.zones[place]
    elements = tuple(replace(each, openings=()) for each in zone.elements)
    return None if elements == zone.elements else with_zone(house, place, elements=elements)


def _area_for_volume(random: Random, house: House, place: int) -> House | None:
    del random
    zone = house.zones[place]
    return None if zone.volume_m3 is None else with_zone(house, place, volume_m3=zone.floor_area_m2)


def _perimeter(factor: float) -> Slip:
    def slip(random: Random, house: House, place: int) -> House | None:
        del random
        elements = tuple(
            each if each.ground is None else replace(each, ground=_longer(each.ground, factor))
            for each in house.zones[place].elements
        )
        return None if elements == house.zones[place].elements else with_zone(house, place, elements=elements)

    return slip


def _longer(ground: Ground, factor: float) -> Ground:
    return replace(ground, perimeter_m=ground.perimeter_m * factor)


#: Every slip by its name; each returns None where the house has nothing that it could spoil.
SLIPS: dict[str, Slip] = {
    **{f"floor area {word}": _zone_field("floor_area_m2", by) for word, by in FACTORS.items()},
    "floor area in ft²": _zone_field("floor_area_m2", 1 / FOOT**2),
    **{f"height {word}": _zone_field("height_m", by) for word, by in FACTORS.items()},
    "height in ft": _zone_field("height_m", 1 / FOOT),
    "height in mm": _zone_field("height_m", 1000.0),
    **{f"volume {word}": _zone_field("volume_m3", by) for word, by in FACTORS.items()},
    "volume in ft³": _zone_field("volume_m3", 1 / FOOT**3),
    "area for volume": _area_for_volume,
    **{f"element area {word}": _element_field("area_m2", by) for word, by in FACTORS.items()},
    "element area in ft²": _element_field("area_m2", 1 / FOOT**2),
    "element area in mm²": _element_field("area_m2", 1e6),
    **{f"width {word}": _element_field("width_m", by) for word, by in FACTORS.items()},
    "width in ft": _element_field("width_m", 1 / FOOT),
    "width in mm": _element_field("width_m", 1000.0),
    "wall height in ft": _element_field("height_m", 1 / FOOT),
    **{f"U {word}": _element_field("u_w_per_m2k", by) for word, by in FACTORS.items()},
    "U in BTU": _element_field("u_w_per_m2k", 1 / 5.678263),
    **{f"air changes {word}": _zone_field("air_changes_per_h", by) for word, by in FACTORS.items()},
    "bridges x10": _zone_field("bridges_percent", 10.0),
    "bridge supplement x10": _zone_field("bridges_w_per_m2k", 10.0),
    "reheat x10": _zone_field("reheat_w_per_m2", 10.0),
    "design temperature /10": _zone_field("design_c", 0.1),
    "design temperature in °F": _inside_fahrenheit,
    "outdoor temperature in °F": _outdoor_fahrenheit,
    "perimeter x10": _perimeter(10.0),
    "gross area": _gross,
}
