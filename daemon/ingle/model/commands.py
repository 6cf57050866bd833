"""What a person, a script or another program may ask of the running house."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from msgspec import Meta, Struct, field

from ingle.model.base import Id, Result
from ingle.model.limits import RoomCelsius
from ingle.model.week import LevelName

Instant = Annotated[datetime, Meta(tz=True)]
Duration = Annotated[
    str,
    Meta(
        pattern=r"^P(?=.)(\d+W|(\d+D)?(T(?=.)(\d+H)?(\d+M)?(\d+S)?)?)$",
        max_length=24,
        description="ISO 8601 duration, such as PT90M",
    ),
]
Reason = Annotated[str, Meta(max_length=200)]


class _Request(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True, tag_field="do"):
    why: Reason = ""


class Override(_Request, frozen=True, kw_only=True, tag="override"):
    """Hold a temperature ``for`` a duration or ``until`` an instant; with neither, to the next transition."""

    temp_c: RoomCelsius
    duration: Duration | None = field(name="for", default=None)
    until: Instant | None = None


class Release(_Request, frozen=True, kw_only=True, tag="release"):
    """End an override or a set level now."""


class SetLevel(_Request, frozen=True, kw_only=True, tag="set-level"):
    """Hold a level for a while, as an override does a temperature."""

    level: LevelName
    duration: Duration | None = field(name="for", default=None)
    until: Instant | None = None


class LockLocal(_Request, frozen=True, kw_only=True, tag="lock-local"):
    """Ask the zone's heaters to refuse changes at their own buttons."""


class UnlockLocal(_Request, frozen=True, kw_only=True, tag="unlock-local"):
    """Let the zone's heaters take changes at their own buttons again."""


class Cap(_Request, frozen=True, kw_only=True, tag="cap"):
    """Lower the house's supply cap for a while; never above the installer's."""

    cap_a: Annotated[float, Meta(ge=0, le=400)]
    duration: Duration | None = field(name="for", default=None)
    until: Instant | None = None


ZoneRequest = Override | Release | SetLevel | LockLocal | UnlockLocal
LimitRequest = Cap | Release


class Origin(Result, frozen=True, kw_only=True):
    """Who asked, and over which face."""

    who: str
    via: Literal["http", "mqtt", "cli", "tick"]


class Held(Result, frozen=True, kw_only=True):
    """A request in force: what rules a zone (or, with zone None, the supply) until an instant."""

    zone: Id | None
    request: Override | SetLevel | Cap
    origin: Origin
    since: Instant
    until: Instant
