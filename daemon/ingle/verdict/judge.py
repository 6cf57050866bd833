"""From a coefficient with its error to a verdict: which, how sure, or what is missing and when it may be there.

r is metered over design with both errors in it, taken as log-normal, told with the help of the house's other rooms
(``among``). The rules are the product's:

* ``loses-more`` where P(r > 1.10) is above ``SURE`` and r is more than ``LOOKS_ERRORS`` standard errors above 1;
  ``loses-less`` mirrored, P(r < 1/1.10);
* ``loses-more`` too where the loss has changed within the record by more than a tenth beyond doubt and r is by now
  more likely above 1.10 than not (``changed``): a room is then judged against its own past;
* ``as-designed`` where neither, where the 95 % half-width of r is at most 25 %, and where that is at least as likely as
  not: a room that probably loses more is not called as designed only because it is not sure enough;
* else ``cannot-say-yet``.

**Two thresholds.** P(r > 1.10) says whether it is worth somebody's time; where r is known to 3 % it would call out
rooms that are a mere 13 % off, and it should. Where r is known to 12 % the same P lies only 2.4 standard errors from a
room exactly as designed, and somebody looks each week, for some thirty weeks of a winter, at both tails. Looks at one
growing record are strongly alike and count for about eight; ``LOOKS_ERRORS`` keeps rooms as designed at about 2 in
1000 a winter. Both were chosen on training seeds; ``tests/long/verdict_table.py`` prints what others make of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import erfc, exp, log, sqrt
from typing import Final

import numpy as np

from ingle.model.verdicts import VerdictName
from ingle.verdict.among import Standing
from ingle.verdict.balance import Balance, RoomDays
from ingle.verdict.changed import probability_of_more
from ingle.verdict.estimate import LEAST_DAYS, LEAST_DIFFERENCE_K
from ingle.verdict.system import Estimate

MARGIN: Final = 1.10
SURE: Final = 0.93
LOOKS_ERRORS: Final = 3.0
#: A room that takes less than its design waits for more certainty: nobody loses by it.
LOOKS_ERRORS_LESS: Final = 3.3
WIDEST: Final = 0.25
#: ``SURE`` in standard errors.
SURE_ERRORS: Final = 1.48
#: Nothing is foretold for later than this [days].
LONGEST_WAIT_DAYS: Final = 56
#: Where nothing is known yet, good days needed before it is worth asking [days].
USUAL_DAYS: Final = 14
#: A winter's usual difference between a warm room and outdoors [K]: what coming days are credited with.
WINTER_K: Final = 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """A verdict with its probability, or what is missing."""

    verdict: VerdictName
    probability: float | None = None
    missing: tuple[str, ...] = ()
    possible_from: date | None = None
    ratio: float | None = None
    ratio_spread: float | None = None


def above(x: float) -> float:
    """Return the chance that a standard normal value exceeds x.

    >>> above(1.96)
    0.025
    """
    return erfc(x / sqrt(2)) / 2


def judge(found: Estimate, standing: Standing, design_spread: float, *, end: date) -> Judgement:
    """Return the verdict on a room whose coefficient could be computed.

    Parameters
    ----------
    found
        The estimate.
    standing
        What is believed of the logarithm of metered over design.
    design_spread
        The design's relative standard error.
    end
        Last day of the record, for the date when more may be known.
    """
    more, less = standing.beyond(log(MARGIN)), 1 - standing.beyond(-log(MARGIN))
    verdict, probability = leaning(standing)
    if verdict == "cannot-say-yet" and found.change is not None and more > 0.5 and found.change.more_w_per_k > 0:
        verdict, probability = "loses-more", probability_of_more(found.change)
    missing: tuple[str, ...] = ()
    when: date | None = None
    if verdict == "cannot-say-yet":
        missing, when = _what_is_missing(found, design_spread, standing, (more, less), end)
    return Judgement(
        verdict=verdict,
        probability=probability,
        missing=missing,
        possible_from=when,
        ratio=exp(standing.middle),
        ratio_spread=standing.spread,
    )


def leaning(standing: Standing) -> tuple[VerdictName, float | None]:
    """Return the verdict that a ratio allows by itself, and the probability that it is true."""
    more, less = standing.beyond(log(MARGIN)), 1 - standing.beyond(-log(MARGIN))
    errors = standing.middle / standing.spread
    if more > SURE and errors > LOOKS_ERRORS:
        return "loses-more", more
    if less > SURE and errors < -LOOKS_ERRORS_LESS:
        return "loses-less", less
    if more + less <= 0.5 and 1.96 * standing.spread <= WIDEST:
        return "as-designed", 1 - more - less
    return "cannot-say-yet", None


def _what_is_missing(
    found: Estimate, design_spread: float, standing: Standing, tails: tuple[float, float], end: date
) -> tuple[tuple[str, ...], date | None]:
    if 1.96 * design_spread > WIDEST:
        return (
            f"The design itself is only known to ±{1.96 * design_spread:.0%}; survey the room's assumed inputs better.",
        ), None
    aim = _aim(standing, tails)
    reasons = [
        f"Known to ±{1.96 * standing.spread:.1%} of the design; at most ±{WIDEST:.0%} is needed."
        if 1.96 * standing.spread > WIDEST
        else _leaning(*tails)
    ]
    # A constant error counts the less, the colder it is; the rest shrinks with the number of days.
    colder = max(1.0, WINTER_K / max(found.difference_k, 1.0))
    if colder > 1.0:
        reasons.append(f"These days were mild: on average {found.difference_k:.0f} K warmer inside than out.")
    if aim <= design_spread:
        reasons.append("More days alone will not settle it; a better survey of the room's assumed inputs may.")
        return tuple(reasons), None
    more = _days_needed(found, aim**2 - design_spread**2, colder)
    if more is None:
        reasons.append("More days alone will not settle it; a longer heating period with different weather may.")
        return tuple(reasons), end + timedelta(days=LONGEST_WAIT_DAYS)
    reasons.append(f"About {more} more heated {'day is' if more == 1 else 'days are'} needed.")
    return tuple(reasons), end + timedelta(days=more)


def _aim(standing: Standing, tails: tuple[float, float]) -> float:
    """Return the standard error of r that would settle a room, if its middle stays where it is."""
    if 1.96 * standing.spread > WIDEST:
        return WIDEST / 1.96
    off, leans_more = abs(standing.middle), tails[0] > tails[1]
    if max(tails) <= 0.5:
        return 0.7 * standing.spread  # between two verdicts: half the variance, and either may come out
    return min(off / (LOOKS_ERRORS if leans_more else LOOKS_ERRORS_LESS), (off - log(MARGIN)) / SURE_ERRORS)


def _days_needed(found: Estimate, room: float, colder: float) -> int | None:
    """Return how many more days bring an estimate's own variance down to some room; None where none will."""
    days = int(found.days.sum())
    lasting = (found.lasting_error_w_per_k / found.loss_w_per_k / colder) ** 2
    total = found.relative_error**2
    passing = max(total - (found.lasting_error_w_per_k / found.loss_w_per_k) ** 2, 0.01 * total) / colder**2
    if room <= lasting:
        return None
    needed = days * passing / (room - lasting)
    more = needed - days if colder == 1.0 else max(needed, 7.0)
    return None if more > LONGEST_WAIT_DAYS else max(int(np.ceil(more)), 1)


def _leaning(more: float, less: float) -> str:
    if max(more, less) > 0.5:
        return (
            f"It probably loses {'more' if more > less else 'less'} ({max(more, less):.0%}), but not beyond doubt yet."
        )
    return f"That it is as designed is only {1 - more - less:.0%} sure yet."


def nothing_computed(room: RoomDays, balance: Balance, usable_days: int, end: date) -> Judgement:
    """Return why a room has no coefficient, and when it may have one."""
    if not balance.days and room.zone.heaters and len(room.silent) < len(room.zone.heaters):
        return Judgement(
            verdict="cannot-say-yet",
            missing=("The record holds no whole day yet; a day runs from 04:00 to 04:00.",),
            possible_from=end + timedelta(days=USUAL_DAYS),
        )
    reasons = [*absent(room), *_absent_outside(balance)]
    if reasons:
        return Judgement(verdict="cannot-say-yet", missing=tuple(reasons))
    complete = room.complete
    if not complete.any():
        return Judgement(
            verdict="cannot-say-yet",
            missing=("No whole day (04:00 to 04:00) has both energy and temperature.",),
            possible_from=end + timedelta(days=USUAL_DAYS),
        )
    if float(np.nansum(room.power_w)) <= 0:
        return Judgement(
            verdict="cannot-say-yet",
            missing=("The room was not heated in these days.",),
            possible_from=end + timedelta(days=USUAL_DAYS),
        )
    with np.errstate(invalid="ignore"):
        mild = int((complete & (room.temp_c - balance.outdoor_c < LEAST_DIFFERENCE_K)).sum())
    sentence = f"{usable_days} usable {'day' if usable_days == 1 else 'days'}; at least {LEAST_DAYS} are needed."
    if mild:
        sentence += f" On {mild} more it was less than {LEAST_DIFFERENCE_K:.0f} K warmer inside than out."
    when = end + timedelta(days=max(USUAL_DAYS - usable_days, 1))
    return Judgement(verdict="cannot-say-yet", missing=(sentence,), possible_from=when)


def absent(room: RoomDays) -> list[str]:
    """Return what a room's own devices leave out."""
    heaters = [heater.id for heater in room.zone.heaters]
    if not heaters:
        return ["The room has no heater, so nothing metered can be compared."]
    reasons = [f"Heater {name} has reported no energy." for name in room.silent]
    if not np.isfinite(room.temp_c).any() and not (room.silent and len(room.silent) == len(heaters)):
        reasons.append("No thermometer of the room has reported for a whole day.")
    return reasons


def _absent_outside(balance: Balance) -> list[str]:
    if balance.days and not np.isfinite(balance.outdoor_c).any():
        return [
            f"The outdoor temperature is missing; {USUAL_DAYS} days after it is reported a verdict should be possible."
        ]
    return []


def doubts(room: RoomDays, balance: Balance, which: np.typing.NDArray[np.bool_]) -> list[str]:
    """Return what forbids a verdict although a figure can be computed."""
    reasons = [
        f"Heater {name} computes its energy from its duty and plate instead of metering it; "
        "that hides a weak or dead element."
        for name in room.computed
    ]
    temps, power, outdoors = room.temp_c[which], room.power_w[which], balance.outdoor_c[which]
    still = len(temps) > 1 and float(np.ptp(temps)) < 0.005 and float(np.nanstd(room.hour_temp_c)) < 0.005
    moving = len(power) > 1 and float(np.ptp(power)) > 0.3 * float(power.mean()) and float(np.ptp(outdoors)) > 2.0
    if still and moving:
        reasons.append("The room's temperature has not moved at all while power and weather did: is the sensor stuck?")
    return reasons
