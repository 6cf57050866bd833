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
    """Something that explains a room, how likely, on what evidence for and against, and what to look at next.

    ``kwh`` and ``money`` (tax included) are what it takes in 30 days, with their limits; null where it takes nothing
    or where nobody can say.
    """

    code: CauseCode
    probability: float
    evidence: str
    against: str | None = None
    check_next: str
    kwh: float | None = None
    kwh_low: float | None = None
    kwh_high: float | None = None
    money: float | None = None
    money_low: float | None = None
    money_high: float | None = None
    currency: str | None = None


FindingCode = Literal["short-cycling", "never-reaches-target", "sensor-stuck"]


class Finding(Result, frozen=True, kw_only=True):
    """Something about a room's devices that a person should look at, though it names no cause by itself."""

    code: FindingCode
    sentence: str
    check_next: str


MouldVerdict = Literal["risk", "watch", "none", "cannot-say-yet"]


class Moisture(Result, frozen=True, kw_only=True):
    """Mould risk at the coldest surface of a room, from daily means; null where nobody measures.

    ``days_over`` counts the newest ``days`` on which humidity at the surface was above ``limit_percent``;
    ``lever`` says what would help most: heat, air or less moisture.
    """

    verdict: MouldVerdict
    days: int
    days_over: int
    limit_percent: float
    surface_rh_percent: float | None
    surface_c: float | None
    room_rh_percent: float | None
    room_c: float | None
    f_rsi: float
    f_rsi_source: str
    lever: Literal["heat", "air", "moisture"] | None
    sentence: str
    check_next: str | None = None


class Against(Result, frozen=True, kw_only=True):
    """A room's metered over design, as a ratio to what the house's other rooms show of theirs.

    ``ratio`` is 1.3 where it takes 30 % more than its design once every room's design is put right by the same factor;
    it survives a design that is wrong everywhere. ``probability``: that the stated verdict is true.
    """

    ratio: float
    low: float
    high: float
    probability: float | None
    verdict: VerdictName


class Change(Result, frozen=True, kw_only=True):
    """A lasting change of a room's loss within the record; null where the days show none.

    ``low`` and ``high`` are the limits of after over before; ``probability``: that the loss changed at all.
    """

    since: str
    before_w_per_k: float
    after_w_per_k: float
    low: float
    high: float
    probability: float


FitQuality = Literal["metered", "estimated", "filled"]


class FitDay(Result, frozen=True, kw_only=True):
    """One day of a room as the estimate sees it, from 04:00 to 04:00: metered, and predicted with its 95 % band.

    ``why_not`` says why a day was not used. ``quality``: ``estimated`` where power was only sampled or computed from
    duty, ``filled`` where the counter had to bridge a silence.
    """

    date: str
    metered_w: float | None
    predicted_w: float | None
    low_w: float | None
    high_w: float | None
    temp_c: float | None
    outdoor_c: float | None
    used: bool
    why_not: str | None
    quality: FitQuality | None


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
    findings: tuple[Finding, ...] = ()
    moisture: Moisture | None = None
    against_house: Against | None = None
    against_past: Change | None = None
    fit: tuple[FitDay, ...] = ()
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
    method_version: int
    zones: tuple[ZoneVerdict, ...]
