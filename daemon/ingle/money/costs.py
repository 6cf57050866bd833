"""What energy costs: every stretch at its own rate, standing charges by the day, tax on both.

Cost = sum of energy times rate, plus days times the standing charge, plus tax on both. Amounts are exact decimals until
somebody shows them.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from ingle.model.tariff import Tariff
from ingle.money.amounts import exact
from ingle.money.rates import Serieses, rate_at


def before_tax(
    tariff: Tariff,
    energy: Iterable[tuple[datetime, float]],
    timezone: ZoneInfo,
    *,
    days: float = 0.0,
    serieses: Serieses | None = None,
) -> Decimal:
    """Return what energy and standing charges cost, before tax [currency].

    Parameters
    ----------
    energy
        Pairs of an instant and the energy used from then on [Wh], in pieces that lie at one rate each.
    days
        Days of standing charge [d].
    """
    units = sum((exact(wh) / 1000 * rate_at(tariff, at, timezone, serieses) for at, wh in energy), Decimal(0))
    return units + exact(days) * exact(tariff.standing_per_day)


def with_tax(tariff: Tariff, amount: Decimal) -> Decimal:
    """Return an amount with the tariff's tax on it [currency]."""
    return amount + tax_on(tariff, amount)


def tax_on(tariff: Tariff, amount: Decimal) -> Decimal:
    """Return the tariff's tax on an amount [currency]."""
    return amount * exact(tariff.tax_percent) / 100
