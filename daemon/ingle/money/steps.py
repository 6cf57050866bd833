"""Why one bill is higher than another: steps that add up to the difference exactly.

A bill is taken apart as

    money = days · (standing + price · (heat + other + rest))

with kWh a day in the inner brackets, and the heaters' share as

    heat = loss · 24/1000 · degree days a day,    degree days a day = mean over days of max(0, inside - gains - outside)
    inside = share · warm + (1 - share) · cool

``share`` is the part of the time at which rooms were held at their occupied level, ``warm`` and ``cool`` are how warm
they were in it and outside of it, and ``gains`` is what people, sun and appliances warm a house by: inside less gains
is the base temperature of the degree days. ``rest`` is what the heaters took beyond that: it is what these causes do
not explain, and is a step of its own. Price is what a kilowatt-hour came to with standing charges taken off, so it
holds tax, and any move between cheap and dear hours, too.

Each step is its mean over all orders of making the changes (``shapley``). What is not known on both sides cannot be
told apart: its part stays in ``rest``.

References
----------
CIBSE TM41, Degree-days: theory and application, 2006: energy in proportion to degree days, base from gains.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Final, Literal, NamedTuple

from msgspec import Struct

from ingle.money.amounts import shared_out
from ingle.money.shapley import shares
from ingle.physics.weather import BASE_C

Code = Literal["days", "price", "weather", "warmer", "longer", "loss", "other-load", "unexplained"]
CODES: Final[tuple[Code, ...]] = (
    "days",
    "price",
    "weather",
    "warmer",
    "longer",
    "loss",
    "other-load",
    "unexplained",
)
#: W/K times degree days to kWh.
_KWH: Final = Fraction(24, 1000)


class Rooms(Struct, frozen=True, kw_only=True):
    """How warm rooms were [°C]: in the hours at their occupied level, outside of them, and the share of these hours."""

    warm_c: float
    cool_c: float
    share: float


class Account(Struct, frozen=True, kw_only=True):
    """What is known of a bill; None where it is not.

    ``kwh``, ``money`` and ``standing`` (a day, with tax) are the bill's own, the first two in whole hundredths;
    ``heaters_kwh`` is what the heaters' counters say; ``outdoor_c`` is the mean of each day that is known;
    ``loss_w_per_k`` is the whole house's coefficient.
    """

    days: int
    kwh: Decimal
    money: Decimal | None = None
    standing: Decimal = Decimal(0)
    heaters_kwh: float | None = None
    outdoor_c: tuple[float, ...] = ()
    rooms: Rooms | None = None
    loss_w_per_k: float | None = None


class Step(NamedTuple):
    """What one change did to the bill; money None where a bill has no amount."""

    code: Code
    money: Decimal | None
    kwh: Decimal


class Known(NamedTuple):
    """What is known on both sides, so that its step can be told."""

    money: bool
    heaters: bool
    outdoor: bool
    rooms: bool
    loss: bool


class _Side(NamedTuple):
    """A bill's factors, exact; energy in kWh a day."""

    days: Fraction
    standing: Fraction
    price: Fraction
    outdoor_c: tuple[float, ...]
    rooms: Rooms
    loss: Fraction
    other: Fraction
    rest: Fraction


def known(before: Account, after: Account) -> Known:
    """Return what is known of both bills."""
    both = (before, after)
    heaters = all(account.heaters_kwh is not None for account in both)
    outdoor = heaters and all(account.outdoor_c for account in both)
    return Known(
        money=all(account.money is not None for account in both),
        heaters=heaters,
        outdoor=outdoor,
        rooms=outdoor and all(account.rooms is not None for account in both),
        loss=outdoor and all(account.loss_w_per_k is not None for account in both),
    )


def steps(before: Account, after: Account, gains_k: float) -> tuple[Step, ...]:
    """Return the steps from one bill to another, in the order of ``CODES``; those that cannot be told are zero.

    Parameters
    ----------
    gains_k
        What people, sun and appliances warm the house by [K].
    """
    told = known(before, after)
    common = _common_loss(before, after, told, gains_k)
    sides = [_side(account, told, gains_k, common) for account in (before, after)]

    @cache
    def kwh_when(made: frozenset[Code]) -> Fraction:
        return _kwh(_mixed(sides[0], sides[1], made), gains_k)

    def money_when(made: frozenset[Code]) -> Fraction:
        mixed = _mixed(sides[0], sides[1], made)
        return mixed.days * mixed.standing + mixed.price * kwh_when(made)

    kwh = shared_out(after.kwh - before.kwh, list(shares(CODES, kwh_when).values()))
    money: tuple[Decimal | None, ...] = (None,) * len(CODES)
    if before.money is not None and after.money is not None:
        money = shared_out(after.money - before.money, list(shares(CODES, money_when).values()))
    return tuple(Step(code, money[n], kwh[n]) for n, code in enumerate(CODES))


def degree_days_a_day(outdoor_c: tuple[float, ...], rooms: Rooms, gains_k: float) -> float:
    """Return the mean degree days of a day, counted from how warm the rooms were less gains [K·d/d].

    >>> degree_days_a_day((5.0, 9.0, 25.0), Rooms(warm_c=20.0, cool_c=16.0, share=0.5), 3.0)
    5.333333333333333
    """
    if not outdoor_c:
        return 0.0
    base_c = rooms.share * rooms.warm_c + (1 - rooms.share) * rooms.cool_c - gains_k
    return sum(max(0.0, base_c - each) for each in outdoor_c) / len(outdoor_c)


def rooms_of(account: Account, told: Known, gains_k: float) -> Rooms:
    """Return how warm a bill's rooms were; where it is not known, as warm as the customary base temperature needs."""
    if told.rooms and account.rooms is not None:
        return account.rooms
    inside_c = BASE_C + gains_k
    return Rooms(warm_c=inside_c, cool_c=inside_c, share=0.0)


def _common_loss(before: Account, after: Account, told: Known, gains_k: float) -> float:
    """Return the one coefficient that gives what the heaters took over both bills together [W/K]."""
    if not told.outdoor:
        return 0.0
    cold = sum(
        account.days * degree_days_a_day(account.outdoor_c, rooms_of(account, told, gains_k), gains_k)
        for account in (before, after)
    )
    took = (before.heaters_kwh or 0.0) + (after.heaters_kwh or 0.0)
    return took * 1000 / 24 / cold if cold > 0 else 0.0


def _side(account: Account, told: Known, gains_k: float, common_loss: float) -> _Side:
    days, kwh = Fraction(account.days), Fraction(account.kwh)
    standing, money = Fraction(account.standing), Fraction(account.money or 0)
    price = (money - days * standing) / kwh if kwh else Fraction(0)
    heaters = Fraction(account.heaters_kwh or 0.0) if told.heaters else kwh
    rooms = rooms_of(account, told, gains_k)
    outdoor_c = account.outdoor_c if told.outdoor else ()
    loss = Fraction(account.loss_w_per_k if told.loss and account.loss_w_per_k is not None else common_loss)
    heat = loss * _KWH * Fraction(degree_days_a_day(outdoor_c, rooms, gains_k))
    return _Side(
        days=days,
        standing=standing if kwh else money / days,
        price=price,
        outdoor_c=outdoor_c,
        rooms=rooms,
        loss=loss,
        other=(kwh - heaters) / days,
        rest=heaters / days - heat,
    )


def _mixed(before: _Side, after: _Side, made: frozenset[Code]) -> _Side:
    """Return a bill as it would be when only these changes had been made."""

    def of(code: Code) -> _Side:
        return after if code in made else before

    warm, long = of("warmer").rooms, of("longer").rooms
    return _Side(
        days=of("days").days,
        standing=of("price").standing,
        price=of("price").price,
        outdoor_c=of("weather").outdoor_c,
        rooms=Rooms(warm_c=warm.warm_c, cool_c=warm.cool_c, share=long.share),
        loss=of("loss").loss,
        other=of("other-load").other,
        rest=of("unexplained").rest,
    )


def _kwh(side: _Side, gains_k: float) -> Fraction:
    heat = side.loss * _KWH * Fraction(degree_days_a_day(side.outdoor_c, side.rooms, gains_k))
    return side.days * (heat + side.other + side.rest)
