"""What a request must fit beside its form: the zone's floor, the plate, and heaters that may be driven at all."""

from __future__ import annotations

from ingle.control.decide import bar
from ingle.control.levels import warm_enough_c
from ingle.control.situation import Situation
from ingle.control.words import degrees
from ingle.errors import BadInput, Fault, Refused
from ingle.model.commands import Cap, Override, SetLevel
from ingle.model.house import House, Zone

#: The warmest that may be asked for [°C]; the schema says so too, but requests also come from inside.
WARMEST_C = 35.0


def check_zone_request(house: House, zone: Zone, request: Override | SetLevel, situation: Situation) -> None:
    """Check a request for heat.

    Raises
    ------
    BadInput
        Where the temperature is below the zone's floor or above what may be asked for.
    Refused
        Where no heater of the zone may be driven, so that nothing would come of it.
    """
    if isinstance(request, Override):
        floor_c = warm_enough_c(house, zone, 0.0)
        if not floor_c <= request.temp_c <= WARMEST_C:
            allowed = f"{degrees(floor_c)} (the floor of {zone.name}) to {degrees(WARMEST_C)}"
            raise BadInput([Fault(("temp_c",), request.temp_c, allowed)])
    bars = [(heater.id, bar(heater, situation.heater(heater.id))) for heater in zone.heaters]
    if bars and all(why for _, why in bars):
        raise Refused("; ".join(f"heater {heater_id} is not driven: {why}" for heater_id, why in bars))


def check_cap(request: Cap) -> None:
    """Check a request to lower the supply cap.

    Raises
    ------
    BadInput
        Where it asks for less than no current, or for no number.
    """
    if not request.cap_a >= 0:
        raise BadInput([Fault(("cap_a",), request.cap_a, "a current of 0 A or more; above the installer's no effect")])
