"""Energy day by day, and two periods side by side, as every face shows them."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from msgspec import Meta, field

from ingle.model.base import Result
from ingle.model.readings import Quality

Instant = Annotated[datetime, Meta(tz=True)]
ChangeWord = Literal["more", "less", "no change", "cannot say"]


class DayZone(Result, frozen=True, kw_only=True):
    """What a zone's heaters used on a day; null where nothing is known."""

    zone: str
    energy_wh: float | None
    quality: Quality | None


class EnergyDay(Result, frozen=True, kw_only=True):
    """A day on the house's clock, 23 to 25 hours long; how cold it was is null where outdoor readings lack."""

    date: str
    zones: tuple[DayZone, ...]
    energy_wh: float | None
    quality: Quality | None
    outdoor_c: float | None
    degree_days_kd: float | None
    hours: float


class EnergyDays(Result, frozen=True, kw_only=True):
    """Energy day by day; degree days count from ``base_c``."""

    start: Instant = field(name="from")
    end: Instant = field(name="to")
    base_c: float
    days: tuple[EnergyDay, ...]
    missing: tuple[str, ...]


class Period(Result, frozen=True, kw_only=True):
    """A period's energy, per day and per degree day.

    ``days`` are the local days that are whole and known; those that are not are counted in ``days_left_out``.
    """

    start: Instant = field(name="from")
    end: Instant = field(name="to")
    days: int
    days_left_out: int
    kwh: float | None
    kwh_per_day: float | None
    degree_days_kd: float | None
    kwh_per_degree_day: float | None
    outdoor_c: float | None
    quality: Quality | None


class FigureChange(Result, frozen=True, kw_only=True):
    """How a figure of the second period compares with the first: in per cent, with its 95 % limits, and in a word."""

    word: ChangeWord
    percent: float | None
    low_percent: float | None
    high_percent: float | None
    sentence: str


class Comparison(Result, frozen=True, kw_only=True):
    """A period (``period``) beside another (``other``): what changed, beyond what chance does from day to day."""

    period: Period
    other: Period
    per_day: FigureChange
    per_degree_day: FigureChange
    sentence: str
    missing: tuple[str, ...]
