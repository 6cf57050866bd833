"""A cause as lines of text for a person: evidence for and against, what it takes in a month, what to look at next."""

from __future__ import annotations

from collections.abc import Iterator

from ingle.model.verdicts import Cause


def cause_lines(cause: Cause) -> Iterator[str]:
    """Yield the lines of a cause."""
    yield f"  {cause.code} ({cause.probability:.0%}): {cause.evidence}"
    if cause.against is not None:
        yield f"    Against: {cause.against}"
    if cause.kwh is not None:
        yield f"    In 30 days: {taken(cause)}."
    yield f"    Next: {cause.check_next}"


def taken(cause: Cause) -> str:
    """Return what a cause takes in 30 days, with its limits.

    >>> taken(Cause(code="leak", probability=0.9, evidence="", check_next="", kwh=303, kwh_low=204, kwh_high=402))
    '303 kWh (204 to 402)'
    """
    text = f"{cause.kwh:,.0f} kWh"
    if cause.kwh_low is not None and cause.kwh_high is not None:
        text += f" ({cause.kwh_low:,.0f} to {cause.kwh_high:,.0f})"
    if cause.money is not None and cause.currency is not None:
        text += f", {cause.money:,.2f} {cause.currency}"
        if cause.money_low is not None and cause.money_high is not None:
            text += f" ({cause.money_low:,.2f} to {cause.money_high:,.2f})"
        text += " with tax"
    return text
