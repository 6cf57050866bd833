"""Why a room is as it is: one sentence, and everything that it rests on."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from msgspec import Meta

from ingle.model.base import Result
from ingle.model.decisions import HeaterState, HeldBy, Next, Notice, Rule, ZoneState
from ingle.model.readings import Quality, SourceKind
from ingle.model.week import LevelName

Instant = Annotated[datetime, Meta(tz=True)]


class Witness(Result, frozen=True, kw_only=True):
    """One value of one source, with its unit and time. ``age_s`` is counted back from the instant explained [s]."""

    kind: SourceKind
    id: str
    what: str
    value: float
    unit: str
    t: Instant
    age_s: float
    quality: Quality


class RuleSaid(Result, frozen=True, kw_only=True):
    """What a rule says; ``wins``: whether it is the one that ruled."""

    rule: Rule
    sentence: str
    wanted_c: float
    level: LevelName | None
    until: Instant | None
    wins: bool


class HeaterSaid(Result, frozen=True, kw_only=True):
    """One heater: its state, what holds it if anything does, and why."""

    id: str
    name: str
    state: HeaterState
    held_by: HeldBy | None
    sentence: str
    power_w: float | None
    plate_w: float


class CauseSaid(Result, frozen=True, kw_only=True):
    """A cause as it was found; words and probability are null where only its code was noted."""

    code: str
    probability: float | None
    evidence: str | None
    check_next: str | None


class VerdictSaid(Result, frozen=True, kw_only=True):
    """The newest verdict on a room, and when it was given."""

    at: Instant | None
    verdict: str
    measured_w_per_k: float | None
    low_w_per_k: float | None
    high_w_per_k: float | None
    probability: float | None
    causes: tuple[CauseSaid, ...]


class Explanation(Result, frozen=True, kw_only=True):
    """Why a zone was as it was at an instant. Null is what nobody knows.

    ``source``: ``live`` is the state of the running house, ``record`` what was noted of that time. ``basis`` says
    which, in words, and how far it goes.
    """

    zone: str
    name: str
    at: Instant
    source: Literal["live", "record"]
    basis: str
    sentence: str
    state: ZoneState
    rule: Rule | None
    temp_c: float | None
    temp_t: Instant | None
    temp_quality: Quality | None
    wanted_c: float | None
    level: LevelName | None
    until: Instant | None
    next: Next | None
    comes_next: str
    rules: tuple[RuleSaid, ...]
    heaters: tuple[HeaterSaid, ...]
    readings: tuple[Witness, ...]
    notices: tuple[Notice, ...]
    verdict: VerdictSaid | None
