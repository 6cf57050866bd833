"""The sentence of each step between two bills: what it was on one side, and what on the other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from ingle.money.periods import WORTH
from ingle.money.steps import Account, Code, degree_days_a_day, inside_of_both, known


def sentence(code: Code, before: Account, after: Account, changed: Sequence[str], gains_k: float) -> str:
    """Return what a step is about, with both sides' figures.

    Parameters
    ----------
    changed
        Rooms that lose more or less than before, in words.
    """
    if code == "loss":
        if changed:
            return f"rooms lose more or less heat: {', '.join(changed)}"
        return "no room is known to lose more or less heat than before"
    return _SENTENCES[code](before, after, gains_k)


def per_day(before: Account, after: Account) -> str:
    """Compare two bills by the day.

    >>> from decimal import Decimal
    >>> per_day(Account(days=28, kwh=Decimal(420)), Account(days=35, kwh=Decimal(525)))
    'A day used 15.0 kWh in both: no change; the longer bill has 35 days, the other 28.'
    """
    first, second = (float(account.kwh) / account.days for account in (before, after))
    if abs(second - first) <= WORTH * max(first, second):
        both = f"A day used {second:.1f} kWh in both: no change"
        if before.days == after.days:
            return f"{both}."
        low, high = sorted((before.days, after.days))
        return f"{both}; the longer bill has {high} days, the other {low}."
    share = f" ({100 * (second / first - 1):+.0f} %)" if first > 0 else ""
    return f"A day used {second:.1f} kWh instead of {first:.1f}{share}."


def _days(before: Account, after: Account, _: float) -> str:
    if before.days == after.days:
        return f"both bills are for {after.days} days"
    return f"{after.days} days instead of {before.days}"


def _price(before: Account, after: Account, _: float) -> str:
    first, second = _per_kwh(before), _per_kwh(after)
    if first is None or second is None:
        return "what a kWh cost is not known of both bills"
    charge = ""
    if before.standing or after.standing:
        charge = f", and {after.standing:.2f} a day instead of {before.standing:.2f} stands whatever is used"
        if before.standing == after.standing:
            charge = f", beside a standing charge of {after.standing:.2f} a day"
    return f"a kWh came to {second:.4f} instead of {first:.4f}, tax and dear or cheap hours included{charge}"


def _per_kwh(account: Account) -> float | None:
    if account.money is None or not account.kwh:
        return None
    return float((account.money - account.days * account.standing) / account.kwh)


def _weather(before: Account, after: Account, gains_k: float) -> str:
    told = known(before, after)
    if not told.outdoor:
        return "how cold it was is not known of both bills"
    inside = inside_of_both(before, after, gains_k)[0]
    means = [sum(account.outdoor_c) / len(account.outdoor_c) for account in (before, after)]
    cold = [degree_days_a_day(account.outdoor_c, inside.mean_c, gains_k) for account in (before, after)]
    word = "colder" if cold[1] > cold[0] else "milder" if cold[1] < cold[0] else "as cold"
    base_c = inside.mean_c - gains_k
    return (
        f"{word}: {means[1]:.1f} °C outdoors instead of {means[0]:.1f}, "
        f"{cold[1]:.1f} degree days a day instead of {cold[0]:.1f} (below {base_c:.1f} °C)"
    )


def _warmer(before: Account, after: Account, gains_k: float) -> str:
    told = known(before, after)
    if not told.rooms or before.rooms is None or after.rooms is None:
        return "how warm the rooms were is not known of both bills"
    first, second = inside_of_both(before, after, gains_k)
    if before.rooms.warm_c is None and after.rooms.warm_c is None:
        return f"rooms were {second.cool_c:.1f} °C on average instead of {first.cool_c:.1f}"
    return (
        f"rooms were {second.warm_c:.1f} °C instead of {first.warm_c:.1f} in their occupied hours, "
        f"{second.cool_c:.1f} instead of {first.cool_c:.1f} outside of them"
    )


def _longer(before: Account, after: Account, gains_k: float) -> str:
    told = known(before, after)
    nothing = before.rooms is None or after.rooms is None
    if not told.rooms or nothing or all(account.rooms and account.rooms.warm_c is None for account in (before, after)):
        return "for how long rooms were held at their occupied level is not known of both bills"
    first, second = inside_of_both(before, after, gains_k)
    return f"{24 * second.share:.1f} h a day at the occupied level instead of {24 * first.share:.1f}"


def _other(before: Account, after: Account, _: float) -> str:
    if before.heaters_kwh is None or after.heaters_kwh is None:
        return "what no heater drew is not known of both bills"
    first, second = ((float(account.kwh) - (account.heaters_kwh or 0.0)) / account.days for account in (before, after))
    return f"what no heater drew: {second:.1f} kWh a day instead of {first:.1f}"


def _unexplained(before: Account, after: Account, _: float) -> str:
    if not known(before, after).heaters:
        return "all use that is not known to be heat or something else"
    return "what the heaters took beyond what degree days and heat loss account for: sun, guests, open windows, chance"


_SENTENCES: Final[dict[Code, Callable[[Account, Account, float], str]]] = {
    "days": _days,
    "price": _price,
    "weather": _weather,
    "warmer": _warmer,
    "longer": _longer,
    "other-load": _other,
    "unexplained": _unexplained,
}
