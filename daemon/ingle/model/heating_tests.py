"""A heating test: some nights at one level in an empty house, and what they tell about each room's loss."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Final, Literal

from msgspec import Meta

from ingle.model.base import Id, Result, Value
from ingle.model.commands import Reason

Instant = Annotated[datetime, Meta(tz=True)]
Who = Annotated[str, Meta(min_length=1, max_length=80, description="the name of who asks")]
#: planned: not begun · settling: warming through · measuring: its nights count · done · ended-early: with a reason.
Stage = Literal["planned", "settling", "measuring", "done", "ended-early"]

#: The warmest a test may hold a room at [°C]: above it a bedroom counts as too hot (CIBSE TM59:2017, criterion b).
#: It is a limit of ingle's, not a safety device: thermal cut-outs stay in the heaters.
SAFE_MAX_C: Final = 26.0
#: The coolest that makes sense [°C]; below it the difference to outside is too small in most weathers.
LEAST_C: Final = 14.0
#: Nights that are measured. Three make the 72 h that ISO 9869-1 asks of an average method at least.
FEWEST_NIGHTS: Final = 3
MOST_NIGHTS: Final = 14
#: Below this mean difference to outside [K] an interval is too wide to be worth the energy; common practice in
#: co-heating tests asks for 10 K.
LEAST_DIFFERENCE_K: Final = 10.0


class HeatingTestPlan(Value, frozen=True, kw_only=True):
    """What a person asks for. ``empty``: nobody lives there meanwhile. ``mild_accepted``: in mild weather as well."""

    zones: Annotated[tuple[Id, ...], Meta(min_length=1, max_length=100)]
    temp_c: Annotated[float, Meta(ge=LEAST_C, le=SAFE_MAX_C)]
    nights: Annotated[int, Meta(ge=FEWEST_NIGHTS, le=MOST_NIGHTS)] = 4
    empty: bool
    who: Who
    why: Reason = ""
    start: Instant | None = None
    cool_down: bool = False
    mild_accepted: bool = False


class HeatingTestStop(Value, frozen=True, kw_only=True):
    """Who ends a test before its time, and why."""

    who: Who
    why: Reason = ""


class HeatingTest(Result, frozen=True, kw_only=True):
    """A test as it is kept: what was asked, when it begins, measures, cools down and ends, and how far it has come.

    ``zones`` are judged; ``guards`` are their heated neighbours, held at the same level so that no heat flows between
    rooms. ``cool_from`` begins a last night without heat down to setback, null where none was asked for.
    """

    number: int
    zones: tuple[Id, ...]
    guards: tuple[Id, ...]
    temp_c: float
    nights: int
    who: str
    via: str
    why: str
    asked: Instant
    start: Instant
    measure_from: Instant
    cool_from: Instant | None
    end: Instant
    stage: Stage = "planned"
    ended: Instant | None = None
    reason: str = ""

    @property
    def open(self) -> bool:
        """Whether it still has something ahead."""
        return self.stage not in {"done", "ended-early"}

    @property
    def held(self) -> tuple[Id, ...]:
        """Every zone that it holds at its level."""
        return (*self.zones, *self.guards)


class NightSeen(Result, frozen=True, kw_only=True):
    """One measured night of one room, and the estimate from all up to its end; ``why_not`` says why it is not good."""

    date: str
    power_w: float | None
    temp_c: float | None
    outdoor_c: float | None
    good: bool
    why_not: str | None
    w_per_k: float | None
    low_w_per_k: float | None
    high_w_per_k: float | None


class RoomTested(Result, frozen=True, kw_only=True):
    """What a test tells of one room. All intervals are 95 %; ``missing`` says why there is no figure."""

    id: str
    name: str
    design_w_per_k: float | None
    design_low_w_per_k: float | None
    design_high_w_per_k: float | None
    measured_w_per_k: float | None
    low_w_per_k: float | None
    high_w_per_k: float | None
    time_constant_h: float | None
    good_nights: int
    converged: bool
    missing: tuple[str, ...]
    nights: tuple[NightSeen, ...]


class HeatingTestResult(Result, frozen=True, kw_only=True):
    """What a test's record tells so far, with the design and the method it was worked out by."""

    number: int
    computed: Instant
    start: Instant
    end: Instant
    final: bool
    design_version: str
    method: str
    method_version: int
    zones: tuple[RoomTested, ...]


class HeatingTestOutlook(Result, frozen=True, kw_only=True):
    """What a test would do, before it starts: rooms, instants, energy, and all that stands against it.

    ``expected_kwh`` is of all rooms held, from the design at the outdoor temperature of the last days; ``usual_kwh`` is
    what their programmes would take in the same time. ``money`` is for ``expected_kwh``, null without a tariff.
    """

    zones: tuple[Id, ...]
    guards: tuple[Id, ...]
    start: Instant
    measure_from: Instant
    cool_from: Instant | None
    end: Instant
    outdoor_c: float | None
    expected_kwh: float | None
    usual_kwh: float | None
    money: str | None
    currency: str | None
    cautions: tuple[str, ...]
    refusals: tuple[str, ...]


class HeatingTestShown(Result, frozen=True, kw_only=True):
    """A test with its progress: nights over, what it waits for, and what its record tells so far."""

    test: HeatingTest
    nights_done: int
    waits_for: str
    result: HeatingTestResult | None
