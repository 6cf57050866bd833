"""Ways of heating a room, side by side: direct, storage by night, a wet radiator, an air-to-air unit.

Each is a year's energy and money as low, mid and high, what it needs, and what was assumed. It is advice on arithmetic:
nothing here weighs comfort, noise, looks or the price of the work, and no way is called the best.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from ingle.design.prices import Prices, prices
from ingle.design.sheet import Figure, tidy
from ingle.design.week import Week, week
from ingle.design.year import year
from ingle.model.design import Working, ZoneDesign
from ingle.model.house import AirToAir, Boiler, House, Zone
from ingle.model.ways import Band, Way, WayKind, Year
from ingle.money import exact
from ingle.physics.radiator import EXPONENT, NOMINAL_EXCESS_K, excess_k, nominal_w

#: What storage heaters give off when nobody wants it, as a factor on the heat wanted: low, mid, high (common practice).
STORAGE_MORE: Final = Band(low=1.0, mid=1.10, high=1.25)
#: How much of it they take in the cheap window; the rest is drawn by day (common practice).
STORAGE_CHEAP: Final = 0.90
#: How far a boiler's useful share may lie from what is said [%] (common practice).
USEFUL_OFF: Final = 5.0
_STANDING: Final = "Standing charges are left out; they are paid in any case."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """What every way is reckoned with."""

    house: House
    zone: Zone
    design: ZoneDesign
    year: Year
    week: Week
    prices: Prices | None

    @property
    def voltage_v(self) -> float:
        """The supply's [V]."""
        return self.house.site.voltage_v

    @property
    def outdoor_c(self) -> float:
        """The mean outdoor temperature that a week's use is spread by [°C]."""
        return min(self.year.base_c, 8.0)

    @property
    def spread(self) -> tuple[float, ...]:
        """How a direct heater's use is spread over the week, as wanted."""
        return tuple(max(0.0, wanted - self.outdoor_c) for wanted in self.week.wanted_c)


def ways(house: House, zone: Zone, design: ZoneDesign) -> tuple[Year, tuple[Way, ...]]:
    """Return a zone's year of heat and the ways of giving it."""
    wanted = week(house, zone)
    room = _Room(
        house=house,
        zone=zone,
        design=design,
        year=year(house, design, wanted),
        week=wanted,
        prices=prices(house),
    )
    return room.year, (_direct(room), _storage(room), _wet(room), _air(room))


def _no_tariff(room: _Room) -> Iterator[str]:
    if room.prices is None:
        yield "money: the house file has no tariff"


def _currency(room: _Room) -> str | None:
    return None if room.prices is None else room.prices.tariff.currency


def _load_a(room: _Room) -> str:
    load_w = room.design.heat_loss_w
    return f"{load_w:.0f} W of heaters, {load_w / room.voltage_v:.1f} A, on circuits that carry them."


def _direct(room: _Room) -> Way:
    kwh = room.year.kwh
    rate = None if room.prices is None else room.prices.mean(room.spread)
    assumed = "All of the electricity becomes heat in the room; its use over the day is spread as the week wants it."
    return Way(
        kind="direct",
        kwh=kwh,
        money=None if room.prices is None or rate is None else room.prices.cost(kwh, rate),
        currency=_currency(room),
        needs=(_load_a(room),),
        assumptions=(assumed, _STANDING),
        missing=tuple(_no_tariff(room)),
        working=tuple(_money_line(room, kwh, float(rate)) if rate is not None else ()),
    )


def _money_line(room: _Room, kwh: Band, rate: float) -> Iterator[Working]:
    if room.prices is not None:
        tariff = room.prices.tariff
        inputs: dict[str, float | str] = {"kwh": kwh.mid, "per_kwh": rate, "tax_percent": tariff.tax_percent}
        value = kwh.mid * rate * (1 + tariff.tax_percent / 100)
        yield Figure(value, tariff.currency, inputs, "kWh · rate · (1 + tax)", f"tariff from {tariff.start}").line(
            "money"
        )


def _storage(room: _Room) -> Way:
    """Charge in the cheap window what the day needs."""
    found = room.prices
    if found is None or found.cheapest == found.dearest:
        why = "a tariff with a cheap window; the house file has none"
        return _without(room, "storage", (why,), ("A tariff with a cheap window, and a meter for it.",))
    heat = room.year.kwh
    kwh = Band(
        low=tidy(heat.low * STORAGE_MORE.low),
        mid=tidy(heat.mid * STORAGE_MORE.mid),
        high=tidy(heat.high * STORAGE_MORE.high),
    )
    rate = exact(STORAGE_CHEAP) * found.cheapest + exact(1 - STORAGE_CHEAP) * found.dearest
    hours = found.cheap_hours_a_day
    day_kwh = max(0.0, room.design.heat_loss_w - room.design.reheat_w) * 24 / 1000
    charge_w = day_kwh * 1000 / hours
    inputs: dict[str, float | str] = {"day_kwh": day_kwh, "window_h": hours}
    charge = Figure(charge_w, "W", inputs, "heat of the design day / window", "heat balance").line("charging power")
    return Way(
        kind="storage",
        kwh=kwh,
        money=found.cost(kwh, rate),
        currency=found.tariff.currency,
        needs=(
            (
                f"{charge_w:.0f} W of charge, {charge_w / room.voltage_v:.1f} A for {hours:.1f} h a day, all at once "
                "with the other storage heaters: no diversity."
            ),
            f"A store of {day_kwh:.1f} kWh for the design day, and charge control by room or outdoor temperature.",
            "Floors that carry the weight of the bricks.",
        ),
        assumptions=(
            (
                f"Gives off {100 * (STORAGE_MORE.mid - 1):.0f} % more than is wanted (0 to "
                f"{100 * (STORAGE_MORE.high - 1):.0f} %), since it is warm when nobody wants it."
            ),
            f"{100 * STORAGE_CHEAP:.0f} % is taken in the cheap window.",
            _STANDING,
        ),
        missing=(),
        working=(charge, *_money_line(room, kwh, float(rate))),
    )


def _without(room: _Room, kind: WayKind, missing: tuple[str, ...], needs: tuple[str, ...]) -> Way:
    """Return a way that cannot be reckoned, with what is missing."""
    return Way(
        kind=kind,
        kwh=None,
        money=None,
        currency=_currency(room),
        needs=needs,
        assumptions=(),
        missing=missing,
        working=(),
    )


def _wet(room: _Room) -> Way:
    """Feed a radiator from the boiler that is there."""
    boiler = room.house.site.boiler
    if boiler is None:
        needs = ("A boiler with headroom, pipes to the room and back, and a balanced circuit.",)
        return _without(room, "wet-radiator", ("house.boiler: the house file has none",), needs)
    excess = excess_k(boiler.flow_c, boiler.return_c, room.zone.design_c)
    if excess is None:
        water = (
            f"water of {boiler.flow_c:g}/{boiler.return_c:g} °C is no warmer than the room at {room.zone.design_c:g} °C"
        )
        return _without(room, "wet-radiator", (f"house.boiler: {water}",), ("Warmer water.",))
    kwh = _fuel(room.year.kwh, boiler)
    found, per_kwh = room.prices, boiler.fuel_per_kwh
    known = found is not None and per_kwh is not None
    missing = [*_no_tariff(room), *(["money: house.boiler has no fuel_per_kwh"] if per_kwh is None else [])]
    load_w = max(0.0, room.design.heat_loss_w)
    stated_w = nominal_w(load_w, excess)
    inputs: dict[str, float | str] = {"load_w": load_w, "excess_k": excess, "exponent": EXPONENT}
    radiator = Figure(stated_w, "W", inputs, "Φ / (ΔT/50)ⁿ", "EN 442-2; exponent from memory").line("radiator, stated")
    return Way(
        kind="wet-radiator",
        kwh=kwh,
        money=found.cost(kwh, exact(per_kwh)) if found is not None and per_kwh is not None else None,
        currency=_currency(room),
        needs=(
            (
                f"A radiator stated as {stated_w:.0f} W at {NOMINAL_EXCESS_K:g} K (EN 442): at {boiler.flow_c:g}/"
                f"{boiler.return_c:g} °C, {excess:.0f} K above the room, it gives {load_w:.0f} W."
            ),
            _headroom(boiler, load_w),
            "Pipes to the room and back, a balanced circuit, and its own control in this room.",
        ),
        assumptions=(
            f"{boiler.useful_percent:g} ±{USEFUL_OFF:g} % of the fuel's heat reaches the water; pipes, pump left out.",
            "The tariff's tax counts on the fuel too.",
            _STANDING,
        ),
        missing=tuple(missing),
        working=(radiator, *(_money_line(room, kwh, per_kwh) if known and per_kwh is not None else ())),
    )


def _fuel(heat: Band, boiler: Boiler) -> Band:
    useful = boiler.useful_percent
    return Band(
        low=tidy(heat.low / ((useful + USEFUL_OFF) / 100)),
        mid=tidy(heat.mid / (useful / 100)),
        high=tidy(heat.high / (max(1.0, useful - USEFUL_OFF) / 100)),
    )


def _headroom(boiler: Boiler, load_w: float) -> str:
    left = boiler.output_w - boiler.used_w
    if left >= load_w:
        return f"The boiler has {left:.0f} W left, {left - load_w:.0f} W more than this room takes."
    return f"The boiler has only {max(0.0, left):.0f} W left: {load_w - max(0.0, left):.0f} W too little for this room."


def _air(room: _Room) -> Way:
    """Take an air-to-air unit at its stated coefficient."""
    unit = room.house.site.air_to_air
    needs = (
        (
            f"A unit that still gives {room.design.heat_loss_w:.0f} W at {room.house.site.outdoor_here_c:g} °C "
            "outside; its stated output is for milder air."
        ),
        "A place outside, a way for its water, a circuit of its own, and a fitter certified for refrigerants.",
    )
    if unit is None:
        return _without(room, "air-to-air", ("house.air_to_air: the house file states no coefficient",), needs)
    low, high = _range(unit)
    heat = room.year.kwh
    kwh = Band(low=tidy(heat.low / high), mid=tidy(heat.mid / unit.coefficient), high=tidy(heat.high / low))
    found = room.prices
    rate = None if found is None else found.mean(room.spread)
    return Way(
        kind="air-to-air",
        kwh=kwh,
        money=None if found is None or rate is None else found.cost(kwh, rate),
        currency=_currency(room),
        needs=needs,
        assumptions=(
            (
                f"A coefficient of {unit.coefficient:g} over the season, as stated, between {low:g} and {high:g}; "
                "defrosting is in it."
            ),
            _STANDING,
        ),
        missing=tuple(_no_tariff(room)),
        working=tuple(_money_line(room, kwh, float(rate)) if rate is not None else ()),
    )


def _range(unit: AirToAir) -> tuple[float, float]:
    """Return the range of a coefficient: as given, else a fifth either way, never below 1 (common practice)."""
    low = max(1.0, 0.8 * unit.coefficient) if unit.low is None else unit.low
    return low, 1.2 * unit.coefficient if unit.high is None else unit.high
