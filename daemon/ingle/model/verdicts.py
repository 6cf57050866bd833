"""Metered use against design, as every face shows it. All intervals are 95 %."""

from __future__ import annotations

from typing import Literal

from msgspec import field

from ingle.model.base import Result

VerdictName = Literal["loses-more", "loses-less", "as-designed", "cannot-say-yet"]
CauseCode = Literal[
    "leak",
    "survey-wrong",
    "opening",
    "cold-neighbour",
    "other-heat",
    "gains-low",
    "part-failed",
    "weak-voltage",
    "too-small",
    "sensor-bias",
    "sensor-place",
    "target-high",
    "hours-long",
    "start-late",
    "local-change",
    "cap-binding",
    "radio-lost",
    "tariff-clock",
]


class Cause(Result, frozen=True, kw_only=True):
    """Something that explains a room, how likely, on what evidence, and what to look at next."""

    code: CauseCode
    probability: float
    evidence: str
    check_next: str
    kwh: float | None = None
    money: float | None = None


class ZoneVerdict(Result, frozen=True, kw_only=True):
    """What can be said of one room; numbers are null where they cannot be computed."""

    id: str
    name: str
    design_w_per_k: float | None
    design_low_w_per_k: float | None
    design_high_w_per_k: float | None
    measured_w_per_k: float | None
    low_w_per_k: float | None
    high_w_per_k: float | None
    probability: float | None
    verdict: VerdictName
    causes: tuple[Cause, ...]
    days_used: int
    missing: tuple[str, ...]
    possible_from: str | None
    metered_kwh: float | None
    expected_kwh: float | None


class Assessment(Result, frozen=True, kw_only=True):
    """The verdicts of a house over a span of days, with the design version they were compared with."""

    start: str = field(name="from")
    end: str = field(name="to")
    design_version: str
    method: str
    zones: tuple[ZoneVerdict, ...]
