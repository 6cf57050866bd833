"""The states that zones and heaters are in: each a table of what is seen, first match wins.

``below``, ``within``, ``above`` say where the temperature is against what is wanted; ``warming`` and ``coasting`` say
in addition that something is being done about it: below and heated, or above, not heated and cooling down.
"""

from __future__ import annotations

from typing import Final

from ingle.control.situation import HeaterSeen
from ingle.model.decisions import HeaterState, ZoneState
from ingle.model.devices import Heater

#: Half the band around the wanted temperature that counts as having it [K]: common practice for room controls.
BAND_K: Final = 0.5
#: Below this a heater's electronics, not its element, explain what is measured: a share of the plate, and watts.
HEATS_SHARE: Final = 0.05
HEATS_W: Final = 20.0
#: A heater whose mains is measured below this has been isolated [V]: extra-low voltage, IEC 61140 (50 V a.c.).
ISOLATED_V: Final = 50.0


def heats(heater: Heater, seen: HeaterSeen) -> bool | None:
    """Return whether a heater is measured to heat, None when nothing live tells."""
    if seen.power_w is None:
        return None
    return seen.power_w > max(HEATS_W, HEATS_SHARE * heater.rated_w)


def isolated(seen: HeaterSeen) -> bool:
    """Return whether a heater that still reports has no mains on its element."""
    return seen.voltage_v is not None and seen.voltage_v < ISOLATED_V


def zone_state(temp_c: float | None, wanted_c: float, *, heating: bool, falling: bool) -> ZoneState:
    """Return the state of a zone.

    >>> zone_state(18.0, 20.0, heating=True, falling=False)
    'warming'
    >>> zone_state(18.0, 16.0, heating=False, falling=True)
    'coasting'
    >>> zone_state(None, 20.0, heating=True, falling=False)
    'unknown'
    """
    if temp_c is None:
        return "unknown"
    if temp_c < wanted_c - BAND_K:
        return "warming" if heating else "below"
    if temp_c <= wanted_c + BAND_K:
        return "within"
    return "coasting" if falling and not heating else "above"


def heater_state(*, away: bool, fault: bool, cut: bool, heating: bool | None, held: bool, needs: bool) -> HeaterState:
    """Return the state of a heater. ``cut``: its mains is off; ``held``: heat is kept from it by a rule.

    Where no power is measured, a heater that is needed and not held is taken to heat, as it was ordered to.

    >>> heater_state(away=False, fault=False, cut=False, heating=None, held=False, needs=True)
    'heating'
    """
    if away:
        return "unreachable"
    if cut:
        return "isolated"
    if fault:
        return "fault"
    if held:
        return "held"
    return "heating" if heating or (heating is None and needs) else "satisfied"
