"""What reckoning with a room rests on: coefficient, store, heaters and weather, each with its source."""

from __future__ import annotations

from typing import Literal, NamedTuple

from ingle.control.words import degrees
from ingle.design import design_house
from ingle.errors import BadInput, Fault
from ingle.model.explanation import VerdictSaid
from ingle.model.house import House, Zone
from ingle.model.what_if import Changes
from ingle.physics.dynamics import capacity_wh_per_k, time_constant_h
from ingle.reports.outdoors import Lately

LossFrom = Literal["metered", "design", "given"]


class Loss(NamedTuple):
    """A heat loss coefficient with its 95 % limits [W/K], where it is from, and its sentence."""

    w_per_k: float
    low: float | None
    high: float | None
    origin: LossFrom
    sentence: str


class Basis(NamedTuple):
    """Everything that a room is reckoned with; ``sentences`` say it in words."""

    loss: Loss
    tau_h: float
    power_w: float
    outdoor_c: float
    sentences: tuple[str, ...]


def basis(house: House, zone: Zone, verdict: VerdictSaid | None, weather: Lately | None, asked: Changes) -> Basis:
    """Return what a zone is reckoned with.

    Raises
    ------
    BadInput
        Where the outdoor temperature, the coefficient or the power is neither known nor given.
    """
    loss = _loss(house, zone, verdict, asked)
    tau_h, store = _tau(zone, loss.w_per_k, asked)
    power_w, plates = _power(zone, asked)
    outdoor_c, outside = _outdoor(weather, asked)
    gains = (
        f"People, sun and appliances are taken to warm the room by {asked.gains_k:g} K."
        if asked.gains_k
        else "No heat of people, sun, appliances or neighbours is counted; with it every case takes less."
    )
    return Basis(loss, tau_h, power_w, outdoor_c, (loss.sentence, store, plates, outside, gains))


def _loss(house: House, zone: Zone, verdict: VerdictSaid | None, asked: Changes) -> Loss:
    if asked.loss_w_per_k is not None:
        given = asked.loss_w_per_k
        return Loss(given, None, None, "given", f"The room loses {given:g} W/K, as given.")
    metered = None if verdict is None or verdict.verdict == "cannot-say-yet" else verdict.measured_w_per_k
    if verdict is not None and metered is not None and metered > 0:
        low, high = verdict.low_w_per_k, verdict.high_w_per_k
        between = "" if low is None or high is None else f" (95 %: {low:.1f} to {high:.1f})"
        when = "" if verdict.at is None else f", as of {verdict.at:%Y-%m-%d}"
        return Loss(metered, low, high, "metered", f"The room loses {metered:.1f} W/K{between}, as metered{when}.")
    room = design_house(house).zone(zone.id)
    if room is None or room.in_use_w_per_k <= 0:
        raise BadInput([Fault(("loss_w_per_k",), None, "the room's W/K: its survey gives none above 0")])
    low, high = room.in_use_low_w_per_k, room.in_use_high_w_per_k
    return Loss(
        room.in_use_w_per_k,
        low,
        high,
        "design",
        f"The room loses {room.in_use_w_per_k:.1f} W/K (95 %: {low:.1f} to {high:.1f}) by its design as used; "
        "no verdict on metered use is there yet.",
    )


def _tau(zone: Zone, loss_w_per_k: float, asked: Changes) -> tuple[float, str]:
    if asked.tau_h is not None:
        return asked.tau_h, f"Time constant {asked.tau_h:g} h, as given; one store of heat."
    capacity = zone.capacity_wh_per_k or capacity_wh_per_k(zone.floor_area_m2, zone.thermal_mass)
    origin = "as surveyed" if zone.capacity_wh_per_k else f"a {zone.thermal_mass} room, ISO 13790:2008 Table 12"
    tau_h = time_constant_h(capacity, loss_w_per_k)
    return tau_h, f"Time constant {tau_h:.1f} h: one store of {capacity:,.0f} Wh/K ({origin})."


def _power(zone: Zone, asked: Changes) -> tuple[float, str]:
    if asked.power_w is not None:
        return asked.power_w, f"Full power {asked.power_w:,.0f} W, as given."
    if not zone.heaters:
        raise BadInput([Fault(("power_w",), None, f"the full power [W]: zone {zone.id} has no heater")])
    power_w = sum(heater.rated_w for heater in zone.heaters)
    return power_w, f"Full power {power_w:,.0f} W: the plates of its heaters."


def _outdoor(weather: Lately | None, asked: Changes) -> tuple[float, str]:
    if asked.outdoor_c is not None:
        return asked.outdoor_c, f"{degrees(asked.outdoor_c)} outside, day and night, as given."
    if weather is None:
        raise BadInput([Fault(("outdoor_c",), None, "the temperature outside [°C]: no outdoor reading is stored")])
    days = f"{weather.start:%Y-%m-%d} to {weather.end:%Y-%m-%d}"
    mean_c = round(weather.mean_c, 1)
    return mean_c, f"{degrees(mean_c)} outside, day and night: the mean measured from {days}."
