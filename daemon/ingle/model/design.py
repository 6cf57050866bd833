"""The survey's computed result, as every face shows it."""

from __future__ import annotations

from typing import Literal

from ingle.model.base import Result

Kind = Literal["measured", "observed", "assumed"]


class Working(Result, frozen=True, kw_only=True):
    """One line of the calculation sheet: what, from which inputs, by which formula, how much, and after whom."""

    item: str
    inputs: dict[str, float | str]
    formula: str
    value: float
    unit: str
    source: str


class UncertainInput(Result, frozen=True, kw_only=True):
    """One input of a room's design load: how it is known, within which 95 % limits, and what that moves.

    ``zone`` is None for an input of the site, ``element`` for one of the room itself. ``key`` is the house file's;
    a U computed from layers or ground has ``layers`` or ``ground``, and no limits. ``down_w`` and ``up_w`` are how
    far its limits, alone, move the load; ``low_w`` and ``high_w`` the band of the load that would be left if it were
    known exactly. ``tenth_w`` is what a tenth more of it adds to the load, null where a tenth means nothing.
    """

    zone: str | None
    element: str | None
    key: str
    name: str
    kind: Kind
    value: float | None
    low: float | None
    high: float | None
    down_w: float
    up_w: float
    low_w: float
    high_w: float
    tenth_w: float | None


class ZoneDesign(Result, frozen=True, kw_only=True):
    """A room's design heat loss.

    ``heat_loss_w`` includes ``reheat_w``. ``heat_loss_w_per_k`` is to the outside-equivalent at design conditions;
    ``in_use_w_per_k`` is what metering is compared with: without links to heated zones, at in-use air changes, the
    ground at its share. ``ground_w_per_k`` is the part of ``in_use_w_per_k`` that goes to the ground: a plain
    conductance, driven by the soil's temperature and not by the outdoor air's. ``low`` and ``high`` are 95 % limits
    from the provenance of the inputs. ``installed_w`` is the sum of the plates.

    ``inputs`` are ranked: what would narrow the band most comes first, then what has no limits, by what a tenth more
    of it adds. ``measure_first`` says the same of the first in a sentence.
    """

    id: str
    name: str
    design_c: float
    fabric_w_per_k: float
    bridges_w_per_k: float
    ventilation_w_per_k: float
    heat_loss_w_per_k: float
    in_use_w_per_k: float
    in_use_low_w_per_k: float
    in_use_high_w_per_k: float
    ground_w_per_k: float
    reheat_w: float
    heat_loss_w: float
    low_w: float
    high_w: float
    installed_w: float
    working: tuple[Working, ...]
    warnings: tuple[str, ...]
    inputs: tuple[UncertainInput, ...] = ()
    measure_first: str = ""


class Design(Result, frozen=True, kw_only=True):
    """The whole house: rooms, and the total without flows between its own rooms."""

    design_version: str
    method: str
    outdoor_design_c: float
    zones: tuple[ZoneDesign, ...]
    total_w: float

    def zone(self, zone_id: str) -> ZoneDesign | None:
        """Return the zone's design, or None."""
        return next((zone for zone in self.zones if zone.id == zone_id), None)
