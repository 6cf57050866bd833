"""What a year of heat for a room takes and costs, and the ways of giving it: advice, its assumptions on its face."""

from __future__ import annotations

from typing import Literal

from ingle.model.base import Result
from ingle.model.design import Working

WayKind = Literal["direct", "storage", "wet-radiator", "air-to-air"]


class Band(Result, frozen=True, kw_only=True):
    """A figure with its 95 % limits."""

    low: float
    mid: float
    high: float


class LocalRule(Result, frozen=True, kw_only=True):
    """What a country asks, in short, from where, and how it stood on which day."""

    says: str
    source: str
    as_of: str


class Year(Result, frozen=True, kw_only=True):
    """The heat that a room needs in a year, and how it was reckoned.

    ``warm_hours_per_week`` are those wanted above the lowest temperature of the week. ``base_c`` is the outdoor
    temperature below which heat is needed, ``degree_days`` those of a year at that base.
    """

    kwh: Band
    warm_hours_per_week: float
    mean_wanted_c: float
    base_c: float
    degree_days: float
    working: tuple[Working, ...]
    assumptions: tuple[str, ...]


class Way(Result, frozen=True, kw_only=True):
    """One way of heating a room: what it takes in a year, what that costs with tax, and what it needs.

    ``kwh`` is what is paid for: electricity or fuel. ``missing`` is what the house file would have to say; then there
    are no figures. Standing charges are left out: they are paid in any case.
    """

    kind: WayKind
    kwh: Band | None
    money: Band | None
    currency: str | None
    needs: tuple[str, ...]
    assumptions: tuple[str, ...]
    missing: tuple[str, ...]
    working: tuple[Working, ...]
