"""The calculation sheet of a room: one line per piece, in the order in which a person would do it by hand."""

from __future__ import annotations

from collections.abc import Iterator

from ingle.design.air import least_air_figure, stream_figure
from ingle.design.beyond import ground_rule, ground_water
from ingle.design.reheat import reheat
from ingle.design.room import Piece, Room, air_changes_in_use, bridges
from ingle.design.sheet import Figure, origin
from ingle.design.uncertainty import Bands
from ingle.model.design import Working
from ingle.model.house import House, Site
from ingle.physics.heat_loss import AIR_WH_PER_M3K, GROUND_SWING

_SOURCE = {"en12831": "EN 12831-1:2017, 6.3", "domestic": "domestic method (UK practice)"}


def working(house: House, room: Room, limits: Bands) -> tuple[Working, ...]:
    """Return a room's sheet."""
    return (*_lines(house, room), *_band(limits))


def _band(limits: Bands) -> Iterator[Working]:
    """Yield the line that tells what the band of the total is made of, if it has one."""
    if limits.shifts:
        half = (limits.heat_loss_w.down + limits.heat_loss_w.up) / 2
        formula = "root-sum-square of each input at its limits"
        moved: dict[str, float | str] = {
            shift.input.name(): f"-{shift.down:.0f}/+{shift.up:.0f} W" for shift in limits.shifts
        }
        yield Figure(half, "W", moved, formula, "JCGM 100:2008, 5.1").line("95 % half-width of total")


def _lines(house: House, room: Room) -> Iterator[Working]:
    site = house.site
    if room.given_w_per_k is not None:
        inputs: dict[str, float | str] = {"ground_share": room.zone.ground_share or 0.0}
        source = origin(room.zone.provenance.get("given_w_per_k"))
        yield Figure(room.given_w_per_k, "W/K", inputs, "given for the whole room", source).line("given heat loss")
    for piece in room.pieces:
        if piece.u.inputs:
            yield piece.u.line(f"U of {piece.element.name}")
        yield _piece(house, room, piece).line(item_name(piece))
    for name, figure in bridges(room.zone, room.pieces, in_use=False):
        yield figure.line(name)
    if room.given_w_per_k is None:
        yield _air(room, site, room.zone.air_changes_per_h, room.air_w_per_k).line("ventilation")
        yield least_air_figure(house, room.zone).line("least air changes")
    for stream in room.streams:
        yield stream_figure(house, room.zone, stream).line(stream.air.name)
    if room.high.value:
        yield room.high.line("high room")
    yield from _totals(room, site)
    yield from _in_use(room, site)


def item_name(piece: Piece) -> str:
    """Return what a piece is called on the sheet."""
    if not piece.link:
        return piece.element.name
    towards = f"to {piece.there.zone_id}"
    return f"{piece.element.name} ({towards}, listed there)" if piece.mirrored else f"{piece.element.name} ({towards})"


def _piece(house: House, room: Room, piece: Piece) -> Figure:
    site, there = house.site, piece.there
    inputs: dict[str, float | str] = {"area_m2": piece.area_m2, "u_w_per_m2k": piece.u.value}
    temperatures: dict[str, float | str] = {"inside_c": room.zone.design_c, "outdoor_c": site.outdoor_here_c}
    formula, source = "A·U", f"{_SOURCE[site.method]}; U: {piece.u.source}"
    if there.kind == "factor":
        inputs["factor"] = there.factor
        formula = "A·U·f"
        known = piece.element.provenance.get("beyond.factor")
        source += "" if known is None else f"; f: {origin(known)}"
    elif there.kind in {"zone", "space", "temperature"}:
        if there.kind == "space":
            inputs["space"] = there.zone_id
        inputs |= {"beyond_c": there.temperature_c, **temperatures, "share": piece.share}
        linear = "(A·U + ψ·l)" if piece.link and piece.linear_w_per_k else "A·U"
        formula = f"{linear} (θi-θb)/(θi-θe)"
        if piece.link and piece.linear_w_per_k:
            inputs["psi_l_w_per_k"] = piece.linear_w_per_k
    elif there.kind == "ground" and ground_rule(site) == "mean":
        inputs |= {"outdoor_mean_c": site.mean_here_c or 0.0, **temperatures, "share": piece.share}
        inputs["ground_rule"] = "annual mean, EN 12831-1"
        water = ground_water(site, piece.element)
        formula = f"{GROUND_SWING} {'' if water == 1 else f'{water} '}A·U_equiv (θi-θm)/(θi-θe)"
    elif there.kind == "ground":
        inputs["ground_rule"] = "full difference"
        formula = "A·U, ground at the full difference"
    return Figure(piece.w_per_k, "W/K", inputs, formula, source)


def _air(room: Room, site: Site, air_changes: float, value: float) -> Figure:
    constant = AIR_WH_PER_M3K[site.method]
    inputs: dict[str, float | str] = {"air_changes_per_h": air_changes, "volume_m3": room.zone.air_volume_m3}
    return Figure(value, "W/K", inputs, f"{constant} n·V", _SOURCE[site.method])


def _outdoors(site: Site) -> Figure:
    """Return the outdoor design temperature as entered, and brought to the height of the house [°C]."""
    source = origin(site.provenance.get("outdoor_design_c"))
    inputs: dict[str, float | str] = {"outdoor_design_c": site.outdoor_design_c}
    if site.altitude_m is None or site.outdoor_at_altitude_m is None:
        return Figure(site.outdoor_here_c, "°C", inputs, "as entered", source)
    inputs |= {
        "altitude_m": site.altitude_m,
        "outdoor_at_altitude_m": site.outdoor_at_altitude_m,
        "k_per_100m": site.outdoor_k_per_100m,
    }
    lapse = "EN 12831-1:2017, 6.2; by default 0.6 K per 100 m (common practice)"
    return Figure(site.outdoor_here_c, "°C", inputs, "θ - k (h - h_ref) / 100 m", f"{source}; {lapse}")


def _totals(room: Room, site: Site) -> Iterator[Working]:
    source = _SOURCE[site.method]
    yield _outdoors(site).line("outdoor design temperature")
    yield Figure(
        room.heat_loss_w_per_k,
        "W/K",
        {
            "fabric_w_per_k": room.fabric_w_per_k,
            "bridges_w_per_k": room.bridges_w_per_k,
            "ventilation_w_per_k": room.ventilation_w_per_k,
            **({"high_room_w_per_k": room.high.value} if room.high.value else {}),
            "method": site.method,
        },
        "fabric + bridges + ventilation" + (" + high room" if room.high.value else ""),
        source,
    ).line("heat loss coefficient")
    temperatures: dict[str, float | str] = {"inside_c": room.zone.design_c, "outdoor_c": site.outdoor_here_c}
    coefficient: dict[str, float | str] = {"heat_loss_w_per_k": room.heat_loss_w_per_k}
    yield Figure(room.steady_w, "W", coefficient | temperatures, "H (θi-θe)", source).line("heat loss at design")
    yield reheat(room.zone, room.heat_loss_w_per_k).line("reheat")
    parts: dict[str, float | str] = {"steady_w": room.steady_w, "reheat_w": room.reheat_w}
    yield Figure(room.heat_loss_w, "W", parts, "heat loss + reheat", source).line("total")


def _in_use(room: Room, site: Site) -> Iterator[Working]:
    if room.given_w_per_k is not None:
        yield Figure(room.in_use_w_per_k, "W/K", {}, "given for the whole room", "survey").line("coefficient in use")
        return
    air_changes = air_changes_in_use(room.zone)
    yield _air(room, site, air_changes, room.air_in_use_w_per_k).line("ventilation in use")
    yield Figure(
        room.in_use_w_per_k,
        "W/K",
        {
            "fabric_w_per_k": sum(piece.in_use_w_per_k for piece in room.pieces),
            "of_which_ground_w_per_k": room.ground_w_per_k,
            "bridges_w_per_k": room.bridges_in_use_w_per_k,
            "ventilation_w_per_k": room.ventilation_in_use_w_per_k,
            **({"high_room_w_per_k": room.high_in_use_w_per_k} if room.high.value else {}),
        },
        "without links, ground as A·U, air in use",
        "what metering is compared with",
    ).line("coefficient in use")
