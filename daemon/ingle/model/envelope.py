"""What lies between a room and its surroundings: elements, layers, floors on the ground, spaces and air streams."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, field

from ingle.model.base import Id, Name, Value
from ingle.model.limits import Celsius, Conductivity, Degrees, Length, Share, UValue, Year
from ingle.model.provenance import Provenance

ElementKind = Literal["wall", "window", "rooflight", "door", "roof", "floor", "ground-floor", "party"]


class Bridge(Value, frozen=True, kw_only=True):
    """A second material in a layer, such as studs in insulation: its share of the area and its conductivity."""

    share: Share
    conductivity: Conductivity = field(name="lambda")


class Fixings(Value, frozen=True, kw_only=True):
    """Ties, screws or nails through a layer of insulation; ``length_mm`` if their heads are sunk into it."""

    conductivity: Conductivity = field(name="lambda")
    area_mm2: Annotated[float, Meta(gt=0, le=1000, description="cross-section of one")]
    per_m2: Annotated[float, Meta(gt=0, le=200)]
    length_mm: Annotated[float, Meta(gt=0, le=3000)] | None = None


class Layer(Value, frozen=True, kw_only=True):
    """One layer, given in one of four ways: mm and lambda; mm and material; air_mm; or r [m²·K/W]."""

    mm: Annotated[float, Meta(gt=0, le=3000)] | None = None
    conductivity: Conductivity | None = field(name="lambda", default=None)
    material: str | None = None
    air_mm: Annotated[float, Meta(gt=0, le=300)] | None = None
    r: Annotated[float, Meta(gt=0, le=20)] | None = None
    bridge: Bridge | None = None
    vent_mm2: (
        Annotated[float, Meta(ge=0, le=100_000, description="air: openings to outside, per m upright, per m² flat")]
        | None
    ) = None
    emissivity: Annotated[float, Meta(gt=0, le=1, description="air: of its brighter face")] | None = None
    gap_level: Annotated[int, Meta(ge=0, le=2, description="insulation: 1 gaps, 2 gaps with air moving")] = 0
    fixings: Fixings | None = None


class Ground(Value, frozen=True, kw_only=True):
    """A floor on or near the ground, for ISO 13370."""

    floor: Literal["slab", "suspended", "basement"] = "slab"
    perimeter_m: Annotated[float, Meta(ge=0, le=1000, description="exposed perimeter only")]
    wall_mm: Annotated[float, Meta(gt=0, le=1500)] = 300.0
    soil_lambda: Annotated[float, Meta(gt=0, le=5)] = 1.5
    insulation_r: Annotated[float, Meta(ge=0, le=20)] = 0.0
    water_table_m: Annotated[float, Meta(ge=0, le=100, description="ground water below the floor")] | None = None
    height_m: Annotated[float, Meta(gt=0, le=3, description="suspended: floor above ground")] | None = None
    vent_m2_per_m: Annotated[float, Meta(gt=0, le=0.1)] | None = None
    wall_u: UValue | None = None
    depth_m: Annotated[float, Meta(gt=0, le=6, description="basement: floor below ground")] | None = None
    edge_insulation_r: Annotated[float, Meta(gt=0, le=20)] | None = None
    edge_insulation_width_m: Annotated[float, Meta(gt=0, le=5, description="flat, inward from the edge")] | None = None
    edge_insulation_depth_m: Annotated[float, Meta(gt=0, le=5, description="upright, down along the edge")] | None = (
        None
    )


Construction = Literal[
    "granite",
    "sandstone",
    "solid-brick",
    "cob",
    "cavity",
    "filled-cavity",
    "timber-frame",
    "system-built",
    "loft",
    "rafters",
    "flat",
    "thatch",
    "exposed-floor",
    "plain-door",
    "single-glazing",
    "double-glazing",
    "secondary-glazing",
    "triple-glazing",
]


class Typical(Value, frozen=True, kw_only=True):
    """What a piece is like, where its U-value is to come from a table of typical ones: assumed, with a range.

    ``built`` is the piece's own year, by default the zone's or the house's; of double glazing it is the year in which
    it was put in. ``insulation_mm`` is what was put on a wall since, or what is seen in a roof or floor.
    """

    construction: Construction
    built: Year | None = None
    insulation_mm: Annotated[float, Meta(ge=0, le=1000)] | None = None
    thickness_mm: Annotated[float, Meta(ge=100, le=1200, description="of a stone wall")] | None = None
    gap_mm: Annotated[float, Meta(gt=0, le=50, description="between the panes of double glazing")] | None = None
    frame: Literal["pvc", "wood", "metal"] | None = None


UnheatedKind = Literal[
    "inner-circulation",
    "one-outside-wall",
    "two-outside-walls",
    "two-outside-walls-and-door",
    "three-outside-walls",
    "basement",
    "basement-with-openings",
    "roof-insulated",
    "roof-uninsulated",
    "roof-ventilated",
    "crawl-space",
]


class Space(Value, frozen=True, kw_only=True):
    """What lies beyond an element when it is neither outside, ground, a zone nor a surveyed space: one of the three.

    ``typical`` is a kind of unheated space, whose factor comes from a table: assumed, with a range.
    """

    factor: Annotated[float, Meta(ge=0, le=1, description="share of the full temperature difference")] | None = None
    temperature_c: Celsius | None = None
    typical: UnheatedKind | None = None


Beyond = (
    Annotated[
        str,
        Meta(
            pattern=r"^(outside|ground|(zone|space):[a-z0-9][a-z0-9-]{0,31})$",
            description='"outside", "ground", "zone:" and a zone\'s id or "space:" and an unheated space\'s id',
        ),
    ]
    | Space
)


class Element(Value, frozen=True, kw_only=True):
    """A piece of a zone's envelope."""

    name: Name
    kind: ElementKind
    area_m2: Annotated[float, Meta(gt=0, le=5000, description="net of openings")] | None = None
    width_m: Length | None = None
    height_m: Length | None = None
    openings: tuple[str, ...] = ()
    u_w_per_m2k: UValue | None = None
    layers: tuple[Layer, ...] = ()
    ground: Ground | None = None
    typical: Typical | None = None
    faces_deg: Degrees | None = None
    g_value: Share | None = None
    frame_share: Share | None = None
    psi_w_per_mk: Annotated[float, Meta(ge=0, le=3)] | None = None
    psi_length_m: Annotated[float, Meta(gt=0, le=500)] | None = None
    beyond: Beyond = "outside"
    provenance: dict[str, Provenance] = {}


class AirStream(Value, frozen=True, kw_only=True):
    """Air that a fan or a door brings into a zone beside its air changes, at a temperature of its own.

    ``from`` is ``{temperature_c}``, ``{factor}`` (1 less what heat recovery gives back), ``zone:<id>`` for air drawn
    from another room, ``space:<id>``, or ``outside``.
    """

    name: Name
    m3_per_h: Annotated[float, Meta(gt=0, le=100_000)]
    source: Beyond = field(name="from")


class UnheatedSpace(Value, frozen=True, kw_only=True):
    """A space without heating of its own, such as a roof void: how warm it is follows from its heat balance.

    Its elements lead outside, to the ground, to a known temperature or to another space; what lies between it and a
    zone is listed in the zone, with ``beyond = "space:<id>"``.
    """

    id: Id
    name: Name
    built: Year | None = None
    volume_m3: Annotated[float, Meta(gt=0, le=50_000)]
    air_changes_per_h: Annotated[float, Meta(ge=0, le=20, description="of outdoor air")] = 1.0
    provenance: dict[str, Provenance] = {}
    elements: tuple[Element, ...] = field(name="element", default=())
