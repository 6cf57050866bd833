"""Weekly looks: verdicts as they were given, with the design and the method of their day."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from msgspec import Meta, field

from ingle.model.base import Result
from ingle.model.verdicts import Against, CauseCode, Change, VerdictName


class LookedAt(Result, frozen=True, kw_only=True):
    """One room at one look; the figures are those of the day, whatever the survey says by now."""

    id: str
    name: str
    design_w_per_k: float | None
    measured_w_per_k: float | None
    low_w_per_k: float | None
    high_w_per_k: float | None
    probability: float | None
    verdict: VerdictName
    against_house: Against | None
    against_past: Change | None
    causes: tuple[CauseCode, ...]
    days_used: int


class Look(Result, frozen=True, kw_only=True):
    """One look at the house. ``digest`` names the revision of the house that stood then.

    With the readings from ``from`` to ``to``, that revision and that method it can be worked out again.
    """

    number: int
    at: Annotated[datetime, Meta(tz=True)]
    start: str = field(name="from")
    end: str = field(name="to")
    digest: str
    design_version: str
    method_version: int
    zones: tuple[LookedAt, ...]


class Looks(Result, frozen=True, kw_only=True):
    """Looks, the newest first."""

    looks: tuple[Look, ...]
