"""Heaters for a room: number and rating that meet its load, where they go, and how they would run.

The rules of this file:

* The load is the design's in whole watts, as it is quoted, reheat included. Margin and shortfall rest on what heaters
  give at the voltage on site; for PTC elements nobody can say, so the plate stands and the option tells.
* An option meets the load or says by how much it does not. None is recommended: the order is by what meets the load,
  then by spread, then by number, then by margin.
* The design day counts the coefficient at design, the ordinary day the one in use, as metering would see it.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from ingle.design.cautions import CAUTIONS
from ingle.design.circuits import circuits_of
from ingle.design.loads import draws_w
from ingle.design.local_rules import local_rules
from ingle.design.option import option
from ingle.design.plates import PLATES_W, Set, of_one_plate, of_plates, of_sections
from ingle.design.sheet import tidy
from ingle.design.spread import heaters_for_spread, places
from ingle.design.terms import Terms, terms_of
from ingle.design.ways import ways
from ingle.model.design import Design
from ingle.model.devices import Heater
from ingle.model.house import House, Zone
from ingle.model.options import HeaterOption, Wishes, ZoneOptions
from ingle.physics.emitters import nominal_voltage_v

#: More heaters than this in a room of ordinary size are more than its walls have place for (common practice).
MANY_HEATERS, ORDINARY_ROOM_M2 = 6, 60.0
#: Beyond this no room is usual [W/m²]: houses of Great Britain before 1919 take 141 W/m² at 24 K (TABULA), rules of
#: thumb go to 135, and a corner room may take more than its house.
MOST_W_PER_M2 = 200.0
#: No list goes beyond this many heaters in a room; a survey that asks for them has a slip in it.
MOST_HEATERS = 100
LARGEST_W = max(PLATES_W)
#: No load per area is shown as more than this [W/m²]; an area of almost nothing is a slip.
_MOST_SHOWN = 1e9


def zone_options(house: House, design: Design, zone: Zone, wishes: Wishes) -> ZoneOptions:
    """Return a zone's options.

    Raises
    ------
    BadInput
        Where the wishes contradict each other.
    """
    room = next(each for each in design.zones if each.id == zone.id)
    terms = terms_of(house, room, zone, wishes)
    rated_v = wishes.rated_v or nominal_voltage_v(terms.voltage_v)
    # A measured voltage is the house's voltage for every sum on this sheet.
    circuits = circuits_of(_at_voltage(house, terms.voltage_v))
    own = {heater.id for heater in zone.heaters}
    options = _options(terms, wishes, rated_v)
    year, other_ways = ways(house, zone, room)
    return ZoneOptions(
        zone=zone.id,
        name=zone.name,
        design_version=design.design_version,
        load_w=terms.load_w,
        low_w=room.low_w,
        high_w=room.high_w,
        load_w_per_m2=tidy(min(terms.load_w / zone.floor_area_m2, _MOST_SHOWN)),
        heat_loss_w_per_k=room.heat_loss_w_per_k,
        in_use_w_per_k=room.in_use_w_per_k,
        capacity_wh_per_k=tidy(terms.design_day.capacity_wh_per_k),
        voltage_v=terms.voltage_v,
        weak_voltage_v=tidy(terms.weak_v),
        rated_v=rated_v,
        element=wishes.element,
        places=places(zone),
        heaters_for_spread=heaters_for_spread(zone),
        options=options,
        installed=option(terms, zone.heaters) if zone.heaters else None,
        heaters=tuple(each for each in circuits.heaters if each.zone == zone.id),
        circuits=tuple(each for each in (*circuits.circuits, *circuits.supply) if own.intersection(each.heaters)),
        year=year,
        ways=other_ways,
        local_rules=local_rules(house.site.country),
        warnings=tuple(_warnings(terms, options)),
        cautions=CAUTIONS,
    )


def _options(terms: Terms, wishes: Wishes, rated_v: float) -> tuple[HeaterOption, ...]:
    """Return the options in their order; none for a room that needs no heat, or more than a hundred heaters."""
    like = Heater(id="option", rated_w=1.0, rated_v=rated_v, element=wishes.element)
    factor = draws_w(like, terms.voltage_v)
    if terms.load_w <= 0 or terms.load_w > MOST_HEATERS * factor * (wishes.rating_w or LARGEST_W):
        return ()
    if wishes.rating_w is not None:
        sets = of_one_plate(terms.load_w, wishes.rating_w, factor)
    elif wishes.section_w is not None:
        wanted = heaters_for_spread(terms.zone)
        sets = of_sections(terms.load_w, wishes.section_w, wishes.sections_max, factor, wanted)
    else:
        sets = of_plates(terms.load_w, factor)
    made = [option(terms, _heaters(each, like), each) for each in dict.fromkeys(sets)]
    return tuple(sorted(made, key=lambda each: _order(terms, each)))


def _heaters(chosen: Set, like: Heater) -> tuple[Heater, ...]:
    return tuple(replace(like, rated_w=plate) for plate in chosen.plates_w)


def _order(terms: Terms, made: HeaterOption) -> tuple[bool, bool, int, float]:
    few = len(made.plates_w) < heaters_for_spread(terms.zone)
    return made.shortfall_w > 0, few, len(made.plates_w), made.margin_percent


def _at_voltage(house: House, voltage_v: float) -> House:
    return replace(house, site=replace(house.site, voltage_v=voltage_v))


def _warnings(terms: Terms, options: tuple[HeaterOption, ...]) -> Iterator[str]:
    zone = terms.zone
    if terms.load_w <= 0:
        yield "The design has no heat loss for this room, so no heater is listed; see the design's own warnings."
        return
    yield from _unlikely(terms, options)
    if zone.use == "bath":
        yield (
            "A room with a bath or shower: fixed heaters only, IPX4 or better in zones 1 and 2, none in zone 0, and an "
            "RCD of 30 mA at most on its circuit."
        )
    if not places(zone) and options:
        yield "No window or outside wall is surveyed, so nobody can say along what the heaters should stand."


def _unlikely(terms: Terms, options: tuple[HeaterOption, ...]) -> Iterator[str]:
    """Yield what says that the load is not that of a room: a slip in the survey is likelier than the heaters."""
    area = terms.zone.floor_area_m2
    usual = MOST_W_PER_M2
    per_area = min(terms.load_w / area, _MOST_SHOWN)
    fewest = min((len(each.plates_w) for each in options if not each.shortfall_w), default=0)
    many = fewest > MANY_HEATERS and area < ORDINARY_ROOM_M2
    if per_area > usual:
        yield (
            f"{terms.load_w:.0f} W on {area:g} m² is {per_area:.0f} W/m², far above the usual range up to {usual:g} "
            "W/m²: the survey is likely wrong. Check areas, U-values and their units, air changes and temperatures."
        )
    if many or (terms.load_w > 0 and not options):
        count = f"{fewest} heaters" if options else f"more than {MOST_HEATERS} heaters"
        yield f"{count} in {area:g} m² are more than a room takes; look at the survey before buying any."
