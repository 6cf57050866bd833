"""A heater's delivered power against its plate, at the voltage measured.

A resistive element gives P = P_rated · (V / V_rated)². So half the watts at full voltage is an open element, while
88 % of the watts at 216 V is the supply: 0.88 = (216/230)². A self-limiting (PTC) element gives less the warmer it is,
so nothing is said of it. Only power that was metered counts, and only uninterrupted heating (``plateau``).
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Final

import numpy as np

from ingle.model.devices import Heater
from ingle.model.verdicts import Cause
from ingle.verdict.causes.case import Case
from ingle.verdict.judge import above
from ingle.verdict.plateau import Plateaus
from ingle.verdict.series import Bools, Floats

#: How far back a heater is looked at [s]: it may have been mended since.
RECENT_S: Final = 10 * 86400.0
#: Under these shares of the plate something is wrong; IEC 60335-1 allows −10 % (from memory). Without a measured
#: voltage the supply may be 10 % low (EN 50160), which takes 19 % of the power.
WEAK_SHARE: Final = 0.80
WEAK_SHARE_UNMEASURED: Final = 0.70
FULL_SHARE: Final = 0.88
LEAST_PLATEAUS: Final = 8
#: How far plateaus of one level may lie apart, as a share of it.
ONE_LEVEL: Final = 0.12
#: Below this share of the nominal voltage the supply is weak: EN 50160 allows −10 %, wiring in a house takes a few %.
WEAK_VOLTAGE: Final = 0.945
#: How far below its wanted temperature a room must be for its heater to be wholly on for sure [K].
CLEAR_DEMAND_K: Final = 1.5


def of_plate(case: Case, heater: Heater) -> Iterator[Cause]:
    """Yield what the power of uninterrupted heating says against the plate."""
    seen = case.room.plateaus.get(heater.id)
    if seen is None or heater.element != "resistive" or not len(seen.end_s):
        return
    recent = seen.pick(seen.end_s >= seen.end_s[-1] - RECENT_S)
    measured = bool(np.isfinite(recent.voltage_v).mean() > 0.5)
    if measured:
        recent = recent.pick(np.isfinite(recent.voltage_v))
    share = plate_share(recent, heater, case.house.site.voltage_v)
    chosen = _at_full(recent, share, seen.steady_switching)
    if chosen.sum() < LEAST_PLATEAUS or len(np.unique(recent.start_s[chosen] // 86400)) < 2:
        return
    best = float(np.quantile(share[chosen], 0.9))
    watts = float(np.median(recent.power_w[chosen]))
    volts = float(np.nanmedian(recent.voltage_v[chosen])) if measured else None
    if best < (WEAK_SHARE if measured else WEAK_SHARE_UNMEASURED):
        yield _part_failed(case, heater, seen, best, watts, volts)
    elif volts is not None and volts < WEAK_VOLTAGE * case.house.site.voltage_v:
        yield _weak_voltage(heater, best, watts, volts)


def _part_failed(case: Case, heater: Heater, seen: Plateaus, best: float, watts: float, volts: float | None) -> Cause:
    at = f" at {volts:.0f} V, where the plate means {watts / best:,.0f} W" if volts is not None else ""
    against = (
        "Nobody measures the voltage here; a very weak supply would look alike."
        if volts is None
        else "A plate entered too large would look alike."
    )
    return Cause(
        code="part-failed",
        probability=round(min(0.99, 1 - above((0.90 - best) / 0.05)), 3),
        evidence=f"{heater.id} gives {watts:,.0f} W of {heater.rated_w:,.0f} W while it heats without a "
        f"break{at}{_since(case, heater, seen)}.",
        against=against,
        check_next="Have a competent electrician measure the current and the resistance of each element; "
        "check that the plate entered is the plate fitted.",
    )


def _weak_voltage(heater: Heater, best: float, watts: float, volts: float) -> Cause:
    return Cause(
        code="weak-voltage",
        probability=0.95,
        evidence=f"{heater.id} sees {volts:.0f} V while it heats and so gives {watts:,.0f} W "
        f"of {heater.rated_w:,.0f} W.",
        against=f"The heater itself is sound: at that voltage its plate means {watts / best:,.0f} W.",
        check_next="Have a competent electrician measure the voltage at the supply and at the heater under load: "
        "a warm terminal or a long thin cable can be dangerous.",
    )


def plate_share(seen: Plateaus, heater: Heater, supply_v: float) -> Floats:
    """Return power as a share of what the plate means at the voltage measured, else at the supply's."""
    volts = np.where(np.isfinite(seen.voltage_v), seen.voltage_v, supply_v)
    return np.asarray(seen.power_w / (heater.rated_w * (volts / heater.rated_v) ** 2))


def _at_full(seen: Plateaus, share: Floats, steady_switching: bool) -> Bools:  # noqa: FBT001 - private, one caller
    """Return the plateaus in which the heater must have been wholly on.

    Either the room was well below the wanted temperature, or the heater plainly switches between nothing and one
    level, which then is its full power. A heater that modulates in a contented room proves nothing.
    """
    with np.errstate(invalid="ignore"):
        asked = seen.setpoint_c - seen.temp_c >= CLEAR_DEMAND_K
    if asked.sum() >= LEAST_PLATEAUS and _tight(share[asked]):
        return np.asarray(asked)
    if not steady_switching:
        return np.zeros(len(share), dtype=np.bool_)
    middle = np.median(share)
    alike = np.abs(share - middle) <= 0.05 * middle
    return np.asarray(alike if alike.mean() > 0.9 else np.zeros(len(share), dtype=np.bool_))


def _tight(share: Floats) -> bool:
    """Whether powers are one level: what is wholly on follows the voltage only, what modulates wanders."""
    low, middle, high = np.quantile(share, [0.1, 0.5, 0.9])
    return bool(high - low <= ONE_LEVEL * middle)


def _since(case: Case, heater: Heater, seen: Plateaus) -> str:
    share = plate_share(seen, heater, case.house.site.voltage_v)
    good = np.flatnonzero(share >= FULL_SHARE)
    if not len(good):
        return ""
    when = datetime.fromtimestamp(float(seen.end_s[good[-1]]), UTC).astimezone(case.balance.zone_of_time)
    return f"; until {when.date().isoformat()} it gave more"
