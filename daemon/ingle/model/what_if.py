"""What a room would take if it were run another way: the question, and the answer with its assumptions."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from msgspec import Meta

from ingle.model.base import Result, Value
from ingle.model.limits import Celsius, RoomCelsius

CaseCode = Literal["programme", "late", "held", "cooler", "shorter", "cap", "tax"]


class Changes(Value, frozen=True, kw_only=True):
    """What is asked; all of it may be left out.

    ``outdoor_c``, ``loss_w_per_k``, ``tau_h``, ``power_w`` and ``gains_k`` stand in for what ingle would take by itself
    and change every case; the others each make a case.
    """

    outdoor_c: Annotated[Celsius, Meta(description="outside, day and night; else what was measured lately")] | None = (
        None
    )
    loss_w_per_k: Annotated[float, Meta(ge=0.1, le=10_000, description="the room's heat loss coefficient")] | None = (
        None
    )
    tau_h: Annotated[float, Meta(ge=0.1, le=1000, description="the room's time constant")] | None = None
    power_w: Annotated[float, Meta(ge=0, le=200_000, description="full power; else the sum of the plates")] | None = (
        None
    )
    gains_k: Annotated[float, Meta(ge=0, le=15, description="what people, sun and appliances warm the room by")] = 0.0
    less_k: Annotated[float, Meta(gt=0, le=10, description="how much cooler")] = 1.0
    less_h: Annotated[float, Meta(gt=0, le=12, description="how much sooner the last warm period of a day ends")] = 1.0
    held_c: Annotated[RoomCelsius, Meta(description="held all day; else the warmest of the programme")] | None = None
    cap_a: Annotated[float, Meta(ge=1, le=1000, description="another cap of the supply")] | None = None
    tax_percent: Annotated[float, Meta(ge=0, le=100, description="another tax on energy")] | None = None


class ColdSpell(Result, frozen=True, kw_only=True):
    """When a room would be colder than wanted by more than its band. ``day``: null where every day is alike."""

    day: str | None
    start: str
    until: str
    wanted_c: float
    lowest_c: float
    reached: bool


class Case(Result, frozen=True, kw_only=True):
    """One way to run the room. Money: unit rates with tax, without standing charge; null without a tariff.

    ``surface_rh_percent`` is the humidity at the room's cold surfaces with the water its air held lately; null where
    nobody measures it. ``against_programme_percent`` and ``against_held_percent`` compare the energy. ``reaches`` is
    false where full power can never bring the room to what is wanted.
    """

    code: CaseCode
    title: str
    kwh_per_day: float
    money_per_day: Decimal | None
    against_programme_kwh: float
    against_programme_percent: float | None
    against_held_percent: float | None
    against_programme_money: Decimal | None
    mean_c: float
    warm_up_h: float
    surface_rh_percent: float | None
    cold: tuple[ColdSpell, ...]
    reaches: bool
    sentence: str


class WhatIf(Result, frozen=True, kw_only=True):
    """A room's ways side by side, with everything that they rest on."""

    zone: str
    name: str
    outdoor_c: float
    loss_w_per_k: float
    loss_from: Literal["metered", "design", "given"]
    loss_low_w_per_k: float | None
    loss_high_w_per_k: float | None
    tau_h: float
    power_w: float
    gains_k: float
    currency: str | None
    cases: tuple[Case, ...]
    assumptions: tuple[str, ...]
    missing: tuple[str, ...]
