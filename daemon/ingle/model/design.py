"""The survey's computed result, as every face shows it."""

from __future__ import annotations

from typing import Literal

from ingle.model.base import Result

Kind = Literal["measured", "observed", "assumed"]
FindingCode = Literal[
    "no-difference",
    "outdoor-temperature",
    "inside-temperature",
    "temperature-beyond",
    "floor-area",
    "room-height",
    "wall-area",
    "roof-area",
    "floor-elements",
    "gross-area",
    "more-glass-than-wall",
    "perimeter",
    "u-value",
    "u-unlike-others",
    "layer",
    "ground",
    "air-changes",
    "air-stream",
    "bridges",
    "reheat",
    "warm-up",
    "heater-plate",
    "heater-count",
    "result",
    "vulnerable",
]


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
    a U computed from layers or ground has ``layers`` or ``ground``, and no limits. ``vouched`` is whether the survey
    says how it is known; without that it is taken as assumed. ``down_w`` and ``up_w`` are how
    far its limits, alone, move the load; ``low_w`` and ``high_w`` the band of the load that would be left if it were
    known exactly. ``tenth_w`` is what a tenth more of it adds to the load, null where a tenth means nothing.
    """

    zone: str | None
    element: str | None
    key: str
    name: str
    kind: Kind
    vouched: bool
    value: float | None
    low: float | None
    high: float | None
    down_w: float
    up_w: float
    low_w: float
    high_w: float
    tenth_w: float | None


class Part(Result, frozen=True, kw_only=True):
    """One part of a room's loss at design: a piece of its envelope, its bridges, its air, or all of it as given.

    ``kind`` is the element's, or ``bridges``, ``air``, ``height``, ``given``. ``zone`` and ``element`` are where the
    house file lists it: a zone's id and a place among its elements, null for what is no element. ``beyond`` is
    ``outside``, ``ground``, ``factor``, ``temperature``, or ``zone:`` or ``space:`` and an id. ``item`` is its line on
    the sheet. ``w_per_k`` and ``w`` are below 0 where heat comes in from a warmer room.
    """

    kind: str
    name: str
    item: str
    zone: str
    element: int | None
    beyond: str | None
    area_m2: float | None
    u_w_per_m2k: float | None
    w_per_k: float
    w: float


class Finding(Result, frozen=True, kw_only=True):
    """Something in the survey that is out of the ordinary, the likely slip, and the figure without it.

    ``zone`` is None for the site, ``element`` for the room itself; ``key`` is the house file's. ``entered`` is the
    number as it stands, ``meant`` the one that the likely slip, or without one the nearest usual value, would make of
    it. ``now`` and ``then`` are the figure with the one and with the other; nothing is corrected silently.
    """

    code: FindingCode
    zone: str | None
    element: str | None
    key: str
    sentence: str
    slip: str
    entered: float
    meant: float
    figure: Literal["heat_loss_w", "total_w", "installed_w", "occupied_c"]
    unit: str
    now: float
    then: float


class Beside(Result, frozen=True, kw_only=True):
    """A figure of the room beside the range that is usual for its age and use, or that a rule of thumb gives."""

    item: str
    value: float
    unit: str
    low: float
    high: float
    standing: Literal["below", "within", "above"]
    source: str
    sentence: str = ""


class YearHeat(Result, frozen=True, kw_only=True):
    """The heat that is needed in a year, its 95 % limits from coefficient, weather and gains [kWh].

    It goes by what the programmes want, so it is no part of what the design's version freezes.
    """

    low_kwh: float
    mid_kwh: float
    high_kwh: float


class ZoneDesign(Result, frozen=True, kw_only=True):
    """A room's design heat loss.

    ``heat_loss_w`` includes ``reheat_w``. ``heat_loss_w_per_k`` is to the outside-equivalent at design conditions;
    ``in_use_w_per_k`` is what metering is compared with: without links to heated zones, at in-use air changes, the
    ground at its share. ``ground_w_per_k`` is the part of ``in_use_w_per_k`` that goes to the ground: a plain
    conductance, driven by the soil's temperature and not by the outdoor air's. ``low`` and ``high`` are 95 % limits
    from the provenance of the inputs. ``installed_w`` is the sum of the plates.

    ``parts`` add up to the heat loss without reheat. ``inputs`` are ranked: what would narrow the band most comes
    first, then what has no limits, by what a tenth more of it adds. ``measure_first`` says the same of the first in a
    sentence. ``beside`` sets the result against what is usual and against the rule of thumb, which recommends nothing;
    ``findings`` are what looks like a slip, their sentences among ``warnings`` too.
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
    parts: tuple[Part, ...] = ()
    inputs: tuple[UncertainInput, ...] = ()
    measure_first: str = ""
    high_room_w_per_k: float = 0.0
    year: YearHeat | None = None
    beside: tuple[Beside, ...] = ()
    findings: tuple[Finding, ...] = ()


class SpaceDesign(Result, frozen=True, kw_only=True):
    """An unheated space at design: how warm it is, and the share of a room's difference that it leaves.

    ``factor`` is with all rooms equally warm: what goes on from the space, over what it takes and what goes on.
    """

    id: str
    name: str
    temperature_c: float
    factor: float
    working: tuple[Working, ...]


class Design(Result, frozen=True, kw_only=True):
    """The whole house: rooms, and the total without flows between its own rooms.

    ``total_w`` is what heaters in the rooms need together at worst, with its 95 % limits: what rooms share, and what
    was assumed alike in several of them, moves them together; the rest partly evens out. ``one_source_w`` is what one
    source for all of them would need: air that comes in on one side of a house leaves on the other, so of several
    rooms' air half counts.
    ``findings`` and ``notes`` are what is said once for the house: of its site, of what nobody surveyed, of what
    nobody vouched for.
    """

    design_version: str
    method: str
    outdoor_design_c: float
    zones: tuple[ZoneDesign, ...]
    total_w: float
    total_low_w: float | None = None
    total_high_w: float | None = None
    one_source_w: float | None = None
    spaces: tuple[SpaceDesign, ...] = ()
    year: YearHeat | None = None
    findings: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = ()

    def zone(self, zone_id: str) -> ZoneDesign | None:
        """Return the zone's design, or None."""
        return next((zone for zone in self.zones if zone.id == zone_id), None)
