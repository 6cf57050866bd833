"""Bills and hand-read meters: what somebody entered, and how it is shown."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, field

from ingle.model.base import Result, Value
from ingle.model.costs import Money
from ingle.model.readings import Quality

Date = Annotated[str, Meta(pattern=r"^\d{4}-\d\d-\d\d$", description="a date, YYYY-MM-DD")]
BillKind = Literal["bill", "meter"]
OtherFrom = Literal["supply meter", "bill"]


class Bill(Value, frozen=True, kw_only=True):
    """Energy of the whole supply over some days: as billed, or as somebody read it off the meter twice.

    ``to`` is the first day that is not in it. ``money`` is what was asked for, standing charge and tax included; on a
    hand-read meter there is none. ``estimated_read``: the supplier guessed at least one of the two readings.
    """

    start: Date = field(name="from")
    end: Date = field(name="to")
    kwh: Annotated[float, Meta(ge=0, le=10_000_000)]
    money: Annotated[str, Meta(pattern=r"^-?\d{1,9}(\.\d{1,2})?$", description="an amount, such as 430.06")] | None = (
        None
    )
    currency: Annotated[str, Meta(pattern=r"^[A-Z]{3}$", description="ISO 4217 code")] | None = None
    estimated_read: bool = False
    kind: BillKind = "bill"
    note: Annotated[str, Meta(max_length=500)] = ""


class BillShown(Result, frozen=True, kw_only=True):
    """A bill with what ingle knows of its days; null where nothing is known.

    ``heaters_kwh`` is what the heaters' counters say; ``other_kwh`` is the supply less the heaters: by the supply's
    own meter where the house has one that was read throughout, else by the bill.
    """

    number: int
    start: str = field(name="from")
    end: str = field(name="to")
    days: int
    kwh: float
    money: Money | None
    currency: str | None
    estimated_read: bool
    kind: BillKind
    note: str
    kwh_per_day: float
    money_per_day: Money | None
    heaters_kwh: float | None
    heaters_quality: Quality | None
    supply_kwh: float | None
    other_kwh: float | None
    other_from: OtherFrom | None
    missing: tuple[str, ...]


class BillsShown(Result, frozen=True, kw_only=True):
    """All bills and hand-read meters, by their first day."""

    bills: tuple[BillShown, ...]


StepCode = Literal["days", "price", "weather", "warmer", "longer", "loss", "other-load", "unexplained"]


class BillStep(Result, frozen=True, kw_only=True):
    """What one change did to a bill: money (null where a bill has no amount), energy, and its sentence."""

    code: StepCode
    money: Money | None
    kwh: float
    sentence: str


class BillWhy(Result, frozen=True, kw_only=True):
    """Why a bill is higher or lower than another: steps that add up to the difference exactly.

    ``sentence`` compares both per day, so that a longer bill is not taken for a higher one. What ``missing`` names
    could not be told apart and is in ``unexplained``.
    """

    from_bill: int
    to_bill: int
    currency: str | None
    difference: Money | None
    difference_kwh: float
    steps: tuple[BillStep, ...]
    order: str
    from_kwh_per_day: float
    to_kwh_per_day: float
    sentence: str
    missing: tuple[str, ...]
