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
    """How warm rooms were [°C]: in the hours at their occupied level, outside of them, and the share of these hours.

    A share of 0 has no warm hours, one of 1 no others: their temperature is then None, and says nothing.
    """

    warm_c: float | None
    cool_c: float | None
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


class Inside(NamedTuple):
    """How warm rooms are taken to have been [°C], every part of it filled in."""

    warm_c: float
    cool_c: float
    share: float

    @property
    def mean_c(self) -> float:
        """The mean over all hours [°C]."""
        return self.share * self.warm_c + (1 - self.share) * self.cool_c


class _Side(NamedTuple):
    """A bill's factors, exact; energy in kWh a day."""

    days: Fraction
    standing: Fraction
    price: Fraction
    outdoor_c: tuple[float, ...]
    inside: Inside
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
    insides = inside_of_both(before, after, gains_k)
    common = _common_loss((before, after), insides, told, gains_k)
    sides = [
        _side(account, inside, told, gains_k, common) for account, inside in zip((before, after), insides, strict=True)
    ]

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


def degree_days_a_day(outdoor_c: tuple[float, ...], inside_c: float, gains_k: float) -> float:
    """Return the mean degree days of a day, counted from how warm it was inside less gains [K·d/d].

    >>> degree_days_a_day((5.0, 9.0, 25.0), 18.0, 3.0)
    5.333333333333333
    """
    if not outdoor_c:
        return 0.0
    return sum(max(0.0, inside_c - gains_k - each) for each in outdoor_c) / len(outdoor_c)


def inside_of_both(before: Account, after: Account, gains_k: float) -> tuple[Inside, Inside]:
    """Return how warm both bills' rooms were; where it is not known, as warm as the customary base needs.

    A temperature that one bill has no hours of is taken from the other, so that it is no change.
    """
    if not known(before, after).rooms or before.rooms is None or after.rooms is None:
        usual = Inside(BASE_C + gains_k, BASE_C + gains_k, 0.0)
        return usual, usual
    return _filled(before.rooms, after.rooms), _filled(after.rooms, before.rooms)


def _filled(rooms: Rooms, other: Rooms) -> Inside:
    warm_c = next((each for each in (rooms.warm_c, other.warm_c, rooms.cool_c) if each is not None), BASE_C)
    cool_c = next((each for each in (rooms.cool_c, other.cool_c, rooms.warm_c) if each is not None), BASE_C)
    return Inside(warm_c, cool_c, rooms.share)


def _common_loss(
    accounts: tuple[Account, Account], insides: tuple[Inside, Inside], told: Known, gains_k: float
) -> float:
    """Return the one coefficient that gives what the heaters took over both bills together [W/K]."""
    if not told.outdoor:
        return 0.0
    cold = sum(
        account.days * degree_days_a_day(account.outdoor_c, inside.mean_c, gains_k)
        for account, inside in zip(accounts, insides, strict=True)
    )
    took = sum(account.heaters_kwh or 0.0 for account in accounts)
    return took * 1000 / 24 / cold if cold > 0 else 0.0


def _side(account: Account, inside: Inside, told: Known, gains_k: float, common_loss: float) -> _Side:
    days, kwh = Fraction(account.days), Fraction(account.kwh)
    standing, money = Fraction(account.standing), Fraction(account.money or 0)
    price = (money - days * standing) / kwh if kwh else Fraction(0)
    heaters = Fraction(account.heaters_kwh or 0.0) if told.heaters else kwh
    outdoor_c = account.outdoor_c if told.outdoor else ()
    loss = Fraction(account.loss_w_per_k if told.loss and account.loss_w_per_k is not None else common_loss)
    return _Side(
        days=days,
        standing=standing if kwh else money / days,
        price=price,
        outdoor_c=outdoor_c,
        inside=inside,
        loss=loss,
        other=(kwh - heaters) / days,
        rest=heaters / days - _heat(loss, outdoor_c, inside, gains_k),
    )


def _mixed(before: _Side, after: _Side, made: frozenset[Code]) -> _Side:
    """Return a bill as it would be when only these changes had been made."""

    def of(code: Code) -> _Side:
        return after if code in made else before

    warm, long = of("warmer").inside, of("longer").inside
    return _Side(
        days=of("days").days,
        standing=of("price").standing,
        price=of("price").price,
        outdoor_c=of("weather").outdoor_c,
        inside=Inside(warm.warm_c, warm.cool_c, long.share),
        loss=of("loss").loss,
        other=of("other-load").other,
        rest=of("unexplained").rest,
    )


def _kwh(side: _Side, gains_k: float) -> Fraction:
    heat = _heat(side.loss, side.outdoor_c, side.inside, gains_k)
    return side.days * (heat + side.other + side.rest)


def _heat(loss: Fraction, outdoor_c: tuple[float, ...], inside: Inside, gains_k: float) -> Fraction:
    """Return what a house loses on an average day [kWh]."""
    return loss * _KWH * Fraction(degree_days_a_day(outdoor_c, inside.mean_c, gains_k))
