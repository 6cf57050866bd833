"""What the coming days should take and cost, as it was said beforehand, and how near that came."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from msgspec import Meta, field

from ingle.model.base import Result, Value
from ingle.model.costs import Money
from ingle.model.limits import Celsius

Instant = Annotated[datetime, Meta(tz=True)]
Day = Annotated[str, Meta(pattern=r"^\d{4}-\d\d-\d\d$", description="a date, YYYY-MM-DD")]
Method = Literal["degree-days", "days", "design"]
ScoreState = Literal["to-come", "running", "scored", "cannot-score"]


class ForecastRequest(Value, frozen=True, kw_only=True):
    """Which days, by the house's clock, ``to`` not included; the next seven where none are named.

    ``outdoor_c`` is the mean temperature outside to reckon with, else that of the last week measured.
    """

    start: Day | None = field(name="from", default=None)
    end: Day | None = field(name="to", default=None)
    outdoor_c: Celsius | None = None
    who: Annotated[str, Meta(max_length=200)] = ""


class ZoneForecast(Result, frozen=True, kw_only=True):
    """A zone's kWh with 95 % limits, and its money with tax; null where nothing can be said, and ``missing`` why."""

    zone: str
    name: str
    method: Method | None
    kwh: float | None
    kwh_low: float | None
    kwh_high: float | None
    money: Money | None
    missing: str | None


class Forecast(Result, frozen=True, kw_only=True):
    """What was said, kept as it is: the sum over the zones of which something can be said, standing charge and tax."""

    made: Instant
    who: str
    start: Instant = field(name="from")
    end: Instant = field(name="to")
    days: int
    outdoor_c: float | None
    outdoor_from: Literal["given", "measured"] | None
    degree_days_kd: float | None
    currency: str | None
    kwh: float | None
    kwh_low: float | None
    kwh_high: float | None
    units: Money | None
    standing: Money | None
    tax: Money | None
    money: Money | None
    zones: tuple[ZoneForecast, ...]
    assumptions: tuple[str, ...]
    missing: tuple[str, ...]


class ZoneScore(Result, frozen=True, kw_only=True):
    """What a zone took and cost, and by how much what was said was off: above 0, too much was said."""

    zone: str
    kwh_was: float | None
    kwh_error_percent: float | None
    money_was: Money | None
    money_error_percent: float | None


class Score(Result, frozen=True, kw_only=True):
    """How near a forecast came. Errors: said less happened, over happened.

    ``kwh_at_that_weather`` is what would have been said had the weather been known; ``within_limits`` is whether what
    came lies within the limits around that (around what was said, where the weather is not known).
    """

    state: ScoreState
    kwh_was: float | None
    kwh_error_percent: float | None
    within_limits: bool | None
    money_was: Money | None
    money_error_percent: float | None
    outdoor_was_c: float | None
    degree_days_were_kd: float | None
    kwh_at_that_weather: float | None
    zones: tuple[ZoneScore, ...]
    sentence: str
    missing: tuple[str, ...]


class KeptForecast(Result, frozen=True, kw_only=True):
    """A forecast with its number and score; ``intact`` is false where its text is no longer what was noted of it."""

    number: int
    intact: bool
    forecast: Forecast
    score: Score


class Forecasts(Result, frozen=True, kw_only=True):
    """The newest forecasts first, and how far off the scored ones were, typically."""

    forecasts: tuple[KeptForecast, ...]
    scored: int
    typical_error_percent: float | None
