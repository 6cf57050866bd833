"""What could heat a room, what is installed there, and what one should know of either: answers to ``ingle size``."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from ingle.model.base import Result, Value
from ingle.model.circuits import CircuitCheck, PlaceCheck
from ingle.model.design import Working
from ingle.model.limits import Celsius, RoomCelsius, Volts
from ingle.model.ways import LocalRule, Way, Year


class Wishes(Value, frozen=True, kw_only=True):
    """What the person who chooses has in mind; all of it may be left out.

    ``rating_w``: heaters of this plate only. ``section_w``: heaters built from sections of this plate, at most
    ``sections_max`` each. ``voltage_v``: as measured on site, instead of the house's. The ordinary day is
    ``outdoor_c`` cold; warm-ups run from ``from_c`` to ``to_c``, by default from the zone's setback to its occupied
    level.
    """

    rating_w: Annotated[float, Meta(ge=100, le=30_000, description="heaters of this plate only")] | None = None
    section_w: Annotated[float, Meta(ge=20, le=2000, description="plate of one section")] | None = None
    sections_max: Annotated[int, Meta(ge=1, le=40, description="most sections in one heater")] = 16
    rated_v: Annotated[Volts, Meta(description="voltage of the plate")] | None = None
    element: Literal["resistive", "ptc"] = "resistive"
    voltage_v: Annotated[Volts, Meta(description="measured on site")] | None = None
    outdoor_c: Annotated[Celsius, Meta(description="an ordinary day of the heating season")] = 8.0
    from_c: Annotated[RoomCelsius, Meta(description="warm-up from")] | None = None
    to_c: Annotated[RoomCelsius, Meta(description="warm-up to")] | None = None


class Running(Result, frozen=True, kw_only=True):
    """How heaters do on one day: how much of the time they are on, how often they switch, how long a warm-up takes.

    ``duty_percent`` is above 100 where they cannot hold the room. ``settles_c`` is where full power ends, null where
    nothing bounds it. ``warm_up_h`` is null where the room never gets
    there. ``warm_up_capped_h`` is the same with all of them held to the supply's cap; null where none holds them.
    """

    outdoor_c: float
    room_c: float
    loss_w: float
    duty_percent: float
    switchings_per_h: float
    settles_c: float | None
    warm_up_from_c: float
    warm_up_to_c: float
    warm_up_h: float | None
    warm_up_capped_h: float | None
    says: str


class HeaterOption(Result, frozen=True, kw_only=True):
    """Some heaters for a room, against its load.

    ``output_w`` is what they give at the voltage on site, null where nobody can say (PTC); margin and shortfall rest on
    it, else on the plate. ``weak_output_w`` is the same at the low end of the supply. ``plate_low_w`` and
    ``plate_high_w`` are what healthy ones may draw at their rated voltage.
    """

    label: str
    plates_w: tuple[float, ...]
    sections: tuple[int, ...]
    rated_w: float
    output_w: float | None
    margin_percent: float
    shortfall_w: float
    weak_output_w: float | None
    weak_margin_percent: float | None
    plate_low_w: float
    plate_high_w: float
    current_a: float
    standing_w: float
    standing_kwh_per_year: float
    spread: tuple[str, ...]
    design_day: Running
    ordinary_day: Running
    short_cycles: bool
    working: tuple[Working, ...]
    notes: tuple[str, ...]


class ZoneOptions(Result, frozen=True, kw_only=True):
    """A room's load and what would meet it, best spread and nearest to the load first."""

    zone: str
    name: str
    design_version: str
    load_w: float
    low_w: float
    high_w: float
    load_w_per_m2: float
    heat_loss_w_per_k: float
    in_use_w_per_k: float
    capacity_wh_per_k: float
    voltage_v: float
    weak_voltage_v: float
    rated_v: float
    element: str
    places: tuple[str, ...]
    heaters_for_spread: int
    options: tuple[HeaterOption, ...]
    installed: HeaterOption | None
    heaters: tuple[PlaceCheck, ...]
    circuits: tuple[CircuitCheck, ...]
    year: Year
    ways: tuple[Way, ...]
    local_rules: tuple[LocalRule, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
