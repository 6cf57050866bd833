"""What rules now, why, until when, and what comes next."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from msgspec import Meta

from ingle.model.base import Result
from ingle.model.week import LevelName

Instant = Annotated[datetime, Meta(tz=True)]
ZoneState = Literal["below", "within", "above", "warming", "coasting", "unknown"]
HeaterState = Literal["satisfied", "heating", "held", "isolated", "fault", "unreachable"]
HeldBy = Literal["opening", "cap", "price", "limit", "absence", "sensor"]
#: The rules in the order in which they may speak; see PRODUCT words "what decides".
Rule = Literal[
    "cap",
    "not-driven",
    "frost-floor",
    "opening",
    "lock",
    "heating-test",
    "override",
    "booking",
    "absence",
    "presence",
    "price",
    "programme",
    "clock-untrusted",
    "no-programme",
]


class Next(Result, frozen=True, kw_only=True):
    """The next change that is already known."""

    at: Instant
    level: LevelName | None
    wanted_c: float


class Due(Result, frozen=True, kw_only=True):
    """What a programme wants at an instant: the temperature, the level behind it, until when, and what follows."""

    level: LevelName | None
    wanted_c: float
    until: Instant | None
    next: Next | None


class Wanted(Result, frozen=True, kw_only=True):
    """The absolute, idempotent, expiring order to one heater. ``limit_w`` 0 means no heat."""

    setpoint_c: float
    limit_w: float
    locked: bool
    fallback_c: float
    valid_for_s: int
    valid_until: Instant


class HeaterDecision(Result, frozen=True, kw_only=True):
    """One heater: its state, why it is held if it is, and the order it gets (None: it is not driven)."""

    id: str
    zone: str
    state: HeaterState
    held_by: HeldBy | None
    reason: str
    until: Instant | None
    setpoint_c: float
    limit_w: float
    locked: bool
    driven: bool


class ZoneDecision(Result, frozen=True, kw_only=True):
    """One zone: what is wanted, which rule spoke, its sentence, until when and what comes next."""

    id: str
    level: LevelName | None
    wanted_c: float
    rule: Rule
    reason: str
    until: Instant | None
    next: Next | None
    state: ZoneState
    heaters: tuple[HeaterDecision, ...]


class Notice(Result, frozen=True, kw_only=True):
    """Something a person should know: cause, effect on heating, next step. ``key`` is the same while it stands."""

    key: str
    severity: Literal["attention", "urgent"]
    zone: str | None
    cause: str
    effect: str
    next_step: str
    since: Instant


class Plan(Result, frozen=True, kw_only=True):
    """Everything one tick decided."""

    at: Instant
    zones: tuple[ZoneDecision, ...]
    notices: tuple[Notice, ...]
    supply_cap_a: float | None
    supply_allowed_w: float
