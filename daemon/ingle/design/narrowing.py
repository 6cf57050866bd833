"""Which input to measure first: every uncertain input of a room, ranked by how much of its band it is to blame for.

With shifts that combine by root-sum-square, the band that is left without one of them is the root of the difference of
squares. So the largest shift is worth far more than its share, and what lies below a third of it hardly counts.

Sizes are taken as taped and the design temperatures as chosen, unless the survey says otherwise; how well insulation,
air and bridges are known is what a survey has to say, so those are listed also where it says nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

from msgspec.structs import replace

from ingle.design.room import Piece, Room
from ingle.design.sheet import tidy
from ingle.design.spaces import TO_SPACE
from ingle.design.uncertainty import Band, Bands, Input, Shift
from ingle.model.design import UncertainInput
from ingle.model.envelope import Element, UnheatedSpace
from ingle.model.house import House, Site, Zone
from ingle.model.numbers import number
from ingle.model.provenance import Provenance

# How the keys of the house file are spoken of.
WORDS = {
    "u_w_per_m2k": "U",
    "layers": "U by layers",
    "ground": "U by the ground",
    "area_m2": "area",
    "width_m": "width",
    "height_m": "height",
    "floor_area_m2": "floor area",
    "volume_m3": "volume",
    "psi_w_per_mk": "thermal bridge",
    "air_changes_per_h": "air changes",
    "air_changes_in_use_per_h": "air changes in use",
    "bridges_percent": "thermal bridges",
    "bridges_w_per_m2k": "thermal bridges",
    "reheat_w_per_m2": "reheat",
    "warm_up_h": "warm-up time",
    "warm_up_from_c": "temperature before warm-up",
    "capacity_wh_per_k": "capacity",
    "air_gradient_k_per_m": "air gradient",
    "given_w_per_k": "given heat loss",
    "design_c": "design temperature",
    "outdoor_design_c": "outdoor design temperature",
    "outdoor_mean_c": "outdoor annual mean",
    "altitude_m": "altitude",
    "outdoor_at_altitude_m": "altitude of the outdoor temperatures",
    "outdoor_k_per_100m": "fall of temperature with height",
    "gains_k": "gains",
    "frame_share": "share of the frame",
    "psi_length_m": "length of the thermal bridge",
    "beyond.temperature_c": "temperature beyond",
    "beyond.factor": "factor of the space beyond",
    "ground.perimeter_m": "exposed perimeter",
    "ground.wall_mm": "thickness of the walls",
    "ground.soil_lambda": "conductivity of the soil",
    "ground.insulation_r": "resistance of the insulation",
    "ground.water_table_m": "depth of the ground water",
    "ground.height_m": "height over the ground",
    "ground.vent_m2_per_m": "vents under the floor",
    "ground.wall_u": "U of the walls at the ground",
    "ground.depth_m": "depth in the ground",
    "ground.edge_insulation_r": "resistance of the edge insulation",
    "ground.edge_insulation_width_m": "width of the edge insulation",
    "ground.edge_insulation_depth_m": "depth of the edge insulation",
    # Those of a list, without their number.
    "layers.mm": "thickness",
    "layers.lambda": "conductivity",
    "layers.air_mm": "thickness",
    "layers.r": "resistance",
    "layers.vent_mm2": "openings",
    "layers.emissivity": "emissivity",
    "layers.gap_level": "gap level",
    "layers.bridge.share": "bridged share",
    "layers.bridge.lambda": "conductivity of the bridge",
    "layers.fixings.lambda": "conductivity of the fixings",
    "layers.fixings.area_mm2": "cross-section of the fixings",
    "layers.fixings.per_m2": "number of fixings",
    "layers.fixings.length_mm": "length of the fixings",
    "air.m3_per_h": "air flow",
    "air.from.temperature_c": "temperature of the air",
    "air.from.factor": "factor of the air",
}
_LISTED = {"layers": "layer", "air": "stream"}
_UNKNOWN = Provenance(kind="assumed")


def ranked(house: House, room: Room, limits: Bands) -> tuple[UncertainInput, ...]:
    """Return a room's uncertain inputs, the one that would narrow the band of its load most first."""
    shifts = {shift.input.place: shift for shift in limits.shifts}
    followed = list(_tenths(house, room))
    tenths = {each.place: tenth for each, tenth in followed}
    listed = {each.place: each for each, _ in followed}
    listed |= {shift.input.place: shift.input for shift in limits.shifts}
    inputs = [
        _uncertain(house, each, shifts.get(place), limits.heat_loss_w, tenths.get(place))
        for place, each in listed.items()
    ]
    return tuple(sorted(inputs, key=_rank))


def _rank(each: UncertainInput) -> tuple[float, float]:
    return each.high_w - each.low_w if each.down_w or each.up_w else float("inf"), -abs(each.tenth_w or 0.0)


def _tenths(house: House, room: Room) -> Iterator[tuple[Input, float | None]]:
    """Yield each input that a survey should speak of, with what a tenth more of it adds to the load [W].

    Of a U from layers or ground it may speak as a whole, or of single numbers in them.
    """
    zone, per_tenth = room.zone, 0.1 * room.full_k
    if room.given_w_per_k is not None:
        yield Input("given_w_per_k", None, None, zone.id), room.given_w_per_k * per_tenth
    else:
        yield Input("air_changes_per_h", None, None, zone.id), room.air_w_per_k * per_tenth
    percent = zone.bridges_percent or 0.0
    for key in ("bridges_percent", "bridges_w_per_m2k"):
        if getattr(zone, key) is not None and room.given_w_per_k is None:
            yield Input(key, None, None, zone.id), room.bridges_w_per_k * per_tenth
    for place, stream in enumerate(room.streams, 1):
        yield Input(f"air.{place}.m3_per_h", None, None, zone.id), stream.w_per_k * per_tenth
    for piece in room.pieces:
        bridged = 1.0 if piece.link else 1 + percent / 100
        whole = _of_piece(house, room, piece)
        within = f"{whole.key}."
        inside = [key for key in piece.element.provenance if key.startswith(within)]
        if not _spoken_of(piece.element, inside):
            yield whole, piece.w_per_k * bridged * per_tenth
        for key in inside:
            yield replace(whole, key=key), None


def _spoken_of(element: Element, inside: list[str]) -> bool:
    """Whether what is said of single numbers is said of the whole: of each layer, or of anything of a floor."""
    if not inside or element.ground is not None:
        return bool(inside)
    return len({key.split(".")[1] for key in inside}) == len(element.layers) > 0


def _of_piece(house: House, room: Room, piece: Piece) -> Input:
    element = piece.element
    key = "u_w_per_m2k" if element.u_w_per_m2k is not None else "ground" if element.ground is not None else "layers"
    owner = house.zone(piece.there.zone_id) if piece.mirrored else room.zone
    listed = () if owner is None else owner.elements
    place = next((place for place, each in enumerate(listed) if each is element), None)
    return Input(key, None, None, None if owner is None else owner.id, place, element.name)


def _uncertain(house: House, each: Input, shift: Shift | None, band: Band, tenth: float | None) -> UncertainInput:
    value, said = _said(house, each)
    origin = _UNKNOWN if said is None else said
    down, up = (0.0, 0.0) if shift is None else (shift.down, shift.up)
    return UncertainInput(
        zone=each.zone_id,
        element=each.element_name,
        key=each.key,
        name=spoken(each),
        kind=origin.kind,
        vouched=said is not None,
        value=value,
        low=origin.low,
        high=origin.high,
        down_w=tidy(down),
        up_w=tidy(up),
        low_w=tidy(band.centre - _without(band.down, down)),
        high_w=tidy(band.centre + _without(band.up, up)),
        tenth_w=None if tenth is None else tidy(tenth),
    )


def _without(whole: float, part: float) -> float:
    """Return what is left of a root-sum-square without one of its parts.

    >>> _without(5.0, 3.0), _without(5.0, 5.0)
    (4.0, 0.0)
    """
    return sqrt(max(0.0, whole * whole - part * part))


def spoken(each: Input) -> str:
    """Return how a sentence calls an input.

    >>> spoken(Input("u_w_per_m2k", 0.8, 2.0, "net-loft", 0, "gable"))
    'U of gable'
    >>> spoken(Input("layers.2.lambda", 0.03, 0.05, "net-loft", 0, "gable"))
    'conductivity of layer 2 of gable'
    """
    word = _word(each.key)
    joint = "" if word.endswith("beyond") else "of "
    return word if each.element_name is None else f"{word} {joint}{each.element_name}"


def _word(key: str) -> str:
    """Return how a key is spoken of, one of a list by its number.

    >>> _word("layers.2.lambda"), _word("layers.1.bridge.share"), _word("air.1.m3_per_h"), _word("ground.soil_lambda")
    ('conductivity of layer 2', 'bridged share of layer 1', 'air flow of stream 1', 'conductivity of the soil')
    """
    if key in WORDS:
        return WORDS[key]
    head, place, rest = [*key.split(".", 2), "", ""][:3]
    word = WORDS.get(f"{head}.{rest}", rest)
    return f"{word} of {_LISTED[head]} {place}" if head in _LISTED else key


def _said(house: House, each: Input) -> tuple[float | None, Provenance | None]:
    """Return an input's value, where it is one number, and what the survey says of it."""
    place = each.zone_id or ""
    room = house.space(place.removeprefix(TO_SPACE)) if place.startswith(TO_SPACE) else house.zone(place)
    holder: Site | Zone | UnheatedSpace | Element = house.site if room is None else room
    if room is not None and each.element is not None:
        holder = room.elements[each.element]
    return number(holder, each.key), holder.provenance.get(each.key)


def measure_first(band: Band, inputs: tuple[UncertainInput, ...]) -> str:
    """Return the sentence that names what to measure first; empty where every input is measured already."""
    open_yet = [each for each in inputs if each.kind != "measured"]
    worth = next((each for each in open_yet if each.down_w or each.up_w), None)
    if worth is not None:
        left = f"{worth.low_w:.0f}-{worth.high_w:.0f} W"
        if round(worth.low_w) == round(worth.high_w):
            left = f"{worth.low_w:.0f} W, as far as limits are given"
        return f"Measure the {worth.name} first: the band would narrow from {band.low:.0f}-{band.high:.0f} W to {left}."
    loose = next((each for each in open_yet if each.low is None and each.high is None and each.tenth_w), None)
    if loose is None:
        return ""
    tenth = abs(loose.tenth_w or 0.0)
    return f"Look into the {loose.name} first: it has no limits, and a tenth of it moves the load by {tenth:.0f} W."
