"""Whether a heater may stand where it stands, as far as a house file can tell.

The rules are the usual ones, in our own words and from memory of the standards named beside them; editions and
countries differ. What the file does not say counts against the heater where water is near: an IP code or an RCD that
nobody has written down is not there. ``blocked`` means that it must not be run so; ``check`` that a person must look.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ingle.design.loads import on_a_plug
from ingle.model.circuits import PlaceCheck, PlaceVerdict
from ingle.model.devices import Circuit, Heater
from ingle.model.house import House, Zone

#: Water resistance by bath zone, second figure of the IP code: IEC 60364-7-701 (BS 7671 section 701), from memory.
WATER_FIGURE: Final = {1: 4, 2: 4}
#: Additional protection of every circuit of a room with a bath or shower [mA]: the same.
RCD_MA: Final = 30.0
#: Least distance of a portable heater to what burns [m]: fire-service advice (London, 2017).
PORTABLE_CLEARANCE_M: Final = 1.0
#: In front of a fixed one; makers differ, theirs counts (common practice) [m].
FIXED_CLEARANCE_M: Final = 0.3

Finding = tuple[PlaceVerdict, str]
_WORST: Final[tuple[PlaceVerdict, ...]] = ("blocked", "check", "ok")


def place_check(house: House, zone: Zone, heater: Heater) -> PlaceCheck:
    """Check one heater's place."""
    circuit = next((each for each in house.circuits if each.id == heater.circuit), None)
    found = sorted(
        [*_bath(zone, heater, circuit), *_surroundings(heater), *_carried(heater)],
        key=lambda finding: _WORST.index(finding[0]),
    )
    return PlaceCheck(
        heater=heater.id,
        zone=zone.id,
        verdict=found[0][0] if found else "ok",
        reasons=tuple(sentence for _, sentence in found),
    )


def water_figure(ip: str | None) -> int | None:
    """Return the second figure of an IP code (IEC 60529); None where it is X or there is no code.

    >>> water_figure("IPX4"), water_figure("IP20"), water_figure("IP2X"), water_figure(None)
    (4, 0, None, None)
    """
    return int(ip[3]) if ip is not None and ip[3].isdigit() else None


def _bath(zone: Zone, heater: Heater, circuit: Circuit | None) -> Iterator[Finding]:
    """Yield what a room with a bath or shower forbids."""
    if zone.use != "bath" and heater.bath_zone is None:
        return
    if heater.bath_zone == 0:
        yield (
            "blocked",
            f"Zone 0 takes only extra-low voltage and IPX7; a heater for {heater.rated_v:g} V must not be there.",
        )
    elif heater.bath_zone is not None:
        yield from _water(heater, heater.bath_zone)
    else:
        yield "check", "bath_zone is not given: taken as outside zones 0, 1 and 2, that is, beyond 0.6 m of zone 1."
    if heater.bath_zone == 1:
        yield "check", "In zone 1 only what maker and local rules allow there, such as a fixed towel rail."
    if heater.portable:
        yield "blocked", "A portable heater does not belong into a room with a bath or shower."
    elif on_a_plug(heater):
        plugged: PlaceVerdict = "check" if heater.bath_zone is None else "blocked"
        yield plugged, "It hangs on a plug, and sockets keep metres away from zone 1; how many, the local rules say."
    yield from _rcd(circuit)


def _water(heater: Heater, bath_zone: int) -> Iterator[Finding]:
    least, figure = WATER_FIGURE[bath_zone], water_figure(heater.ip)
    if figure is None:
        said = "No IP code is given" if heater.ip is None else f"{heater.ip} says nothing of water"
        yield "blocked", f"{said}; zone {bath_zone} needs IPX{least} or better."
    elif figure < least:
        yield "blocked", f"{heater.ip} in zone {bath_zone}, which needs IPX{least} or better."


def _rcd(circuit: Circuit | None) -> Iterator[Finding]:
    need = f"a room with a bath or shower needs one of {RCD_MA:g} mA at most on every circuit, outside the zones too"
    if circuit is None:
        yield "blocked", f"No circuit is named, so no RCD is known; {need}."
    elif circuit.rcd_ma is None:
        yield "blocked", f"Circuit {circuit.id} has no RCD; {need}."
    elif circuit.rcd_ma > RCD_MA:
        yield "blocked", f"The RCD of circuit {circuit.id} trips at {circuit.rcd_ma:g} mA; {need}."


def _surroundings(heater: Heater) -> Iterator[Finding]:
    if heater.below_socket:
        yield "blocked", "A heater must not be right below a socket outlet (IEC 60335-2-30, from memory)."
    clearance_m = heater.clearance_m
    if clearance_m is None:
        return
    if heater.portable and clearance_m < PORTABLE_CLEARANCE_M:
        yield (
            "blocked",
            f"{clearance_m:g} m to cloth, furniture or bed; a portable heater keeps {PORTABLE_CLEARANCE_M:g} m.",
        )
    elif clearance_m < FIXED_CLEARANCE_M:
        yield (
            "check",
            f"{clearance_m:g} m to cloth or furniture is little; many makers ask for {FIXED_CLEARANCE_M:g} m or more.",
        )


def _carried(heater: Heater) -> Iterator[Finding]:
    if heater.portable:
        yield (
            "check",
            "Portable: into a wall socket of its own, never an extension lead, and on only while somebody is there.",
        )
