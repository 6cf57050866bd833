"""What a tariff makes of energy. Decimal throughout; rounded once, at the end, by whoever shows it."""

from __future__ import annotations

from ingle.money.amounts import exact, rounded, shared_out
from ingle.money.costs import before_tax, tax_on, with_tax
from ingle.money.rates import Series, Serieses, rate_at, tariff_on
from ingle.money.stretches import LocalDay, Stretch, local_days, stretches

__all__ = [
    "LocalDay",
    "Series",
    "Serieses",
    "Stretch",
    "before_tax",
    "exact",
    "local_days",
    "rate_at",
    "rounded",
    "shared_out",
    "stretches",
    "tariff_on",
    "tax_on",
    "with_tax",
]
