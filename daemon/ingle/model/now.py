"""The state of now as every face shows it: the same object over HTTP, over MQTT and on the page."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from ingle.model.base import Result
from ingle.model.decisions import HeaterState, HeldBy, Next, Notice, Rule, ZoneState
from ingle.model.readings import Quality
from ingle.model.week import LevelName

Instant = Annotated[datetime, Meta(tz=True)]


class HeaterNow(Result, frozen=True, kw_only=True):
    """One heater now. ``power_w`` is null when nothing live says it."""

    id: str
    zone: str
    name: str
    state: HeaterState
    held_by: HeldBy | None
    reason: str
    until: Instant | None
    power_w: float | None
    plate_w: float
    temp_c: float | None
    setpoint_c: float | None
    wanted_c: float
    limit_w: float
    driven: bool
    quality: Quality
    t: Instant | None


class ZoneNow(Result, frozen=True, kw_only=True):
    """One zone now. ``t`` is the time of the temperature; ``quality`` says whether it is still current."""

    id: str
    name: str
    use: str
    temp_c: float | None
    wanted_c: float
    level: LevelName | None
    state: ZoneState
    rule: Rule
    reason: str
    until: Instant | None
    next: Next | None
    power_w: float | None
    plate_w: float
    quality: Quality
    t: Instant | None
    held: bool  # an override or a set level is in force
    heaters: tuple[HeaterNow, ...]


class HouseNow(Result, frozen=True, kw_only=True):
    """The house at a glance."""

    name: str
    timezone: str
    t: Instant
    power_w: float | None
    cap_w: float | None
    plate_w: float
    energy_today_wh: float | None
    money_today: float | None
    currency: str | None
    outdoor_c: float | None
    outdoor_t: Instant | None
    clock: Literal["synchronised", "confirmed", "assumed", "trusted", "untrusted", "stepped"]
    broker: Literal["up", "down"]
    history: Literal["kept", "paused"]
    notices: tuple[Notice, ...]
    energy_quality: Quality | None = None  # of energy_today_wh; null while nobody has said

    def narrowed(self, scope: frozenset[str] | None) -> HouseNow:
        """Return as much of it as somebody with these zones may see: no watts, kWh or money of the others."""
        if scope is None:
            return self
        return msgspec.structs.replace(
            self,
            power_w=None,
            cap_w=None,
            plate_w=0.0,
            energy_today_wh=None,
            money_today=None,
            energy_quality=None,
            notices=tuple(notice for notice in self.notices if notice.zone in scope),
        )
