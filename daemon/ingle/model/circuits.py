"""What the heaters ask of plugs, circuits and supply, and whether they may stand where they stand."""

from __future__ import annotations

from typing import Literal

from ingle.model.base import Result
from ingle.model.design import Working

CircuitVerdict = Literal["ok", "held", "over", "unknown"]
PlaceVerdict = Literal["ok", "check", "blocked"]


class CircuitCheck(Result, frozen=True, kw_only=True):
    """A plug, spur, circuit or the whole supply under the heaters that hang on it.

    ``connected_a`` is all of them at once at the voltage on site. ``household_a`` and ``guest_house_a`` are what the
    handbooks allow for, where storage and underfloor heating count whole. ``capped_a`` is what ingle would hold them
    to. ``limit_a`` is the rating, or what is allowed of the supply; null where nobody has said. ``held`` is a load
    above what ingle is to hold and within the rating as far as that is known; ``over`` is above the rating.
    """

    id: str
    kind: Literal["plug", "spur", "radial", "ring", "other", "supply"]
    heaters: tuple[str, ...]
    connected_w: float
    connected_a: float
    household_a: float
    guest_house_a: float
    capped_a: float
    limit_a: float | None
    verdict: CircuitVerdict
    sum: str
    working: tuple[Working, ...]
    notes: tuple[str, ...]


class PlaceCheck(Result, frozen=True, kw_only=True):
    """Whether a heater may stand where it stands, as far as the house file tells."""

    heater: str
    zone: str
    verdict: PlaceVerdict
    reasons: tuple[str, ...]


class Circuits(Result, frozen=True, kw_only=True):
    """Every circuit of the house, the plugs and spurs of single heaters, the supply, and where the heaters stand.

    ``standing_kwh_per_year`` is what all heaters draw in a year with their heat off.
    """

    voltage_v: float
    circuits: tuple[CircuitCheck, ...]
    supply: tuple[CircuitCheck, ...]
    without_circuit: tuple[str, ...]
    heaters: tuple[PlaceCheck, ...]
    standing_w: float
    standing_kwh_per_year: float
    standing: Working
    cautions: tuple[str, ...]
