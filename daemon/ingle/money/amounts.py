"""Amounts of money: decimal as written, exact until shown, and parts that add up to the whole that is shown."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import floor
from typing import Final

_CENT: Final = Decimal("0.01")
_CENTS: Final = 100


def exact(number: float) -> Decimal:
    """Return a number of a house file as the decimal that was written there.

    >>> exact(0.142)
    Decimal('0.142')
    """
    return Decimal(str(number))


def rounded(amount: Decimal) -> Decimal:
    """Return an amount in whole hundredths, halves up, as bills are.

    >>> rounded(Decimal("516.066"))
    Decimal('516.07')
    """
    return amount.quantize(_CENT, ROUND_HALF_UP)


def shared_out(total: Decimal, parts: Sequence[Decimal | Fraction]) -> tuple[Decimal, ...]:
    """Return parts in whole hundredths that add up to a total exactly: largest remainders are rounded up first.

    A part that is zero stays zero.

    Parameters
    ----------
    total
        In whole hundredths, and within half a hundredth a part of what the parts add up to.
    parts
        Exact.

    Raises
    ------
    ValueError
        Where the total is not the parts' own.

    >>> [str(each) for each in shared_out(Decimal("1.00"), [Decimal(1) / 3] * 3)]
    ['0.34', '0.33', '0.33']
    """
    hundredths = [Fraction(part) * _CENTS for part in parts]
    floors = [floor(each) for each in hundredths]
    left = int(total * _CENTS) - sum(floors)
    loose = sorted(
        (n for n, each in enumerate(hundredths) if each != floors[n]), key=lambda n: floors[n] - hundredths[n]
    )
    if not 0 <= left <= len(loose):
        raise ValueError(f"{total} is not what the parts add up to")
    for place in loose[:left]:
        floors[place] += 1
    return tuple(Decimal(each).scaleb(-2) for each in floors)
