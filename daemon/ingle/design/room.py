"""One room's heat loss: its pieces, what each of them adds, and what is left of it in use.

The rules of this file:

* Each piece is a conductance to the outdoor-equivalent [W/K]: area x U x share (see ``beyond``).
* **Links** are pieces between two rooms. Each is listed once, in either room, and mirrored into the other with the
  same U, so the flow is equal and opposite. Links count in the room and never in the house.
* ``bridges_percent`` is taken on all fabric but links and gains; ``bridges_w_per_m2k`` on the area to outside;
  linear bridges see what their element sees.
* **In use** is what metering is compared with: no links, the in-use air changes, and the ground as the plain
  conductance A·U that the soil's temperature drives, whatever the method does at design.
* With ``given_w_per_k`` the room's own fabric, bridges, air and ground are that one number; only links are added.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

from msgspec import Struct

from ingle.design.air import Stream, streams
from ingle.design.beyond import Behind, behind, behind_zone, ground_rule, ground_water, heat_flow, share
from ingle.design.floors import net_area_m2
from ingle.design.height import high_room
from ingle.design.reheat import reheat
from ingle.design.sheet import Figure, origin
from ingle.design.spaces import Settled, reaches_space, settled
from ingle.design.transmittance import transmittance
from ingle.model.envelope import Element, ElementKind
from ingle.model.house import House, Zone
from ingle.physics.heat_loss import AIR_WH_PER_M3K, GROUND_SWING, transmission_w_per_k, ventilation_w_per_k

# What people leave of the design air changes in ordinary use (common practice; a survey may say better).
IN_USE_AIR_SHARE = 0.5
IN_USE_AIR_SHARE_RANGE = (0.25, 1.0)


class Piece(Struct, frozen=True, dict=True):
    """An element as one of its rooms sees it; what is worked out once stays with it."""

    element: Element
    there: Behind
    area_m2: float
    u: Figure
    share: float
    swing: float = 1.0
    mirrored: bool = False

    @property
    def key(self) -> tuple[str, int]:
        """What tells it from the room's other pieces: the room that lists it, if another, and which element it is."""
        return self.there.zone_id if self.mirrored else "", id(self.element)

    @property
    def link(self) -> bool:
        """Whether it joins two rooms of the house."""
        return self.there.kind == "zone"

    @cached_property
    def linear_w_per_k(self) -> float:
        """Its linear thermal bridge ψ·l, before its share [W/K]."""
        psi = self.element.psi_w_per_mk
        return psi * (self.element.psi_length_m or 0.0) if psi else 0.0

    @cached_property
    def w_per_k(self) -> float:
        """A·U·f, for a link with its linear bridge [W/K]."""
        flow = transmission_w_per_k(self.area_m2, self.u.value, self.share)
        return flow + self.linear_w_per_k * self.share if self.there.kind == "zone" else flow

    @property
    def per_degree(self) -> float:
        """The part of A·U that a degree more inside drives: f1 + f2 of EN 12831-1:2017, so all of it."""
        return self.swing if self.there.kind == "ground" else 1.0

    @property
    def in_use_share(self) -> float:
        """The share in use: none for links, the whole conductance for the ground, a space's factor."""
        if self.link:
            return 0.0
        return {"ground": 1.0, "space": self.there.factor}.get(self.there.kind, self.share)

    @cached_property
    def in_use_w_per_k(self) -> float:
        """A·U·f in use [W/K]."""
        return transmission_w_per_k(self.area_m2, self.u.value, self.in_use_share)


class Room(Struct, frozen=True, dict=True):
    """A room's heat loss in its parts [W/K], and the temperature difference at design [K].

    ``spaces`` are the unheated ones that it may face. ``fabric_w_per_k`` are all pieces, links included;
    ``links_w_per_k`` what goes to other rooms, negative if they are warmer.
    """

    zone: Zone
    spaces: Mapping[str, Behind]
    full_k: float
    pieces: tuple[Piece, ...]
    given_w_per_k: float | None
    fabric_w_per_k: float
    links_w_per_k: float
    bridges_w_per_k: float
    bridges_in_use_w_per_k: float
    air_w_per_k: float
    air_in_use_w_per_k: float
    streams: tuple[Stream, ...]
    high: Figure
    high_in_use_w_per_k: float
    ground_w_per_k: float

    @property
    def ventilation_w_per_k(self) -> float:
        """Outdoor air and streams of air [W/K]."""
        return self.air_w_per_k + sum(each.w_per_k for each in self.streams)

    @property
    def ventilation_in_use_w_per_k(self) -> float:
        """The same in use [W/K]."""
        return self.air_in_use_w_per_k + sum(each.in_use_w_per_k for each in self.streams)

    @cached_property
    def heat_loss_w_per_k(self) -> float:
        """Fabric, bridges and air, and what height adds [W/K]."""
        return self.fabric_w_per_k + self.bridges_w_per_k + self.ventilation_w_per_k + self.high.value

    @property
    def in_use_w_per_k(self) -> float:
        """What metering is compared with [W/K]."""
        if self.given_w_per_k is not None:
            return self.given_w_per_k
        fabric = sum(piece.in_use_w_per_k for piece in self.pieces)
        return fabric + self.bridges_in_use_w_per_k + self.ventilation_in_use_w_per_k + self.high_in_use_w_per_k

    @property
    def steady_w(self) -> float:
        """Heat loss at design without reheat [W]."""
        return self.heat_loss_w_per_k * self.full_k

    @cached_property
    def reheat_w(self) -> float:
        """What it takes beyond that to warm up again [W]."""
        return reheat(self.zone, self.heat_loss_w_per_k).value

    @property
    def heat_loss_w(self) -> float:
        """Heat loss at design with reheat [W]."""
        return self.steady_w + self.reheat_w

    @property
    def links_w(self) -> float:
        """Heat to other rooms at design [W]."""
        return self.links_w_per_k * self.full_k


def air_changes_in_use(zone: Zone) -> float:
    """Return a zone's in-use air changes: its own, or half of the design's [1/h]."""
    own = zone.air_changes_in_use_per_h
    return zone.air_changes_per_h * IN_USE_AIR_SHARE if own is None else own


def spaces_of(house: House, zone: Zone) -> dict[str, Behind]:
    """Return the unheated spaces that a zone may face, as what lies behind an element; none where it reaches none."""
    if not house.spaces or not reaches_space(zone):
        return {}
    return {each.space.id: _behind_space(each) for each in settled(house).values()}


class Known(Struct, frozen=True):
    """What is worked out already: the unheated spaces that a zone faces, if they stay, and pieces by their ``key``."""

    spaces: Mapping[str, Behind] | None
    pieces: Mapping[tuple[str, int], Piece]


def room(house: House, zone: Zone, known: Known | None = None) -> Room:
    """Work out one room of a house; what is ``known`` is not worked out again."""
    site = house.site
    kept = {} if known is None else known.pieces
    spaces = spaces_of(house, zone) if known is None or known.spaces is None else known.spaces
    pieces = tuple(_pieces(house, zone, spaces, kept))
    given = zone.given_w_per_k
    if given is not None:
        pieces = tuple(piece for piece in pieces if piece.link)
        ground = given * (zone.ground_share or 0.0)
    else:
        to_ground = [piece for piece in pieces if piece.there.kind == "ground"]
        ground = sum((piece.in_use_w_per_k + piece.linear_w_per_k for piece in to_ground), 0.0)
    constant = AIR_WH_PER_M3K[site.method] if given is None else 0.0
    air = ventilation_w_per_k(constant, zone.air_changes_per_h, zone.air_volume_m3)
    air_in_use = ventilation_w_per_k(constant, air_changes_in_use(zone), zone.air_volume_m3)
    brought = streams(house, zone, spaces)
    moved = sum(each.whole_w_per_k for each in brought)
    full_k = zone.design_c - site.outdoor_here_c
    at_design, in_use = _flows(zone, pieces)
    return Room(
        zone=zone,
        spaces=spaces,
        full_k=full_k,
        pieces=pieces,
        given_w_per_k=given,
        fabric_w_per_k=(given or 0.0) + sum(piece.w_per_k for piece in pieces),
        links_w_per_k=sum(piece.w_per_k for piece in pieces if piece.link),
        bridges_w_per_k=sum(figure.value for _, figure in bridges(zone, pieces, in_use=False)),
        bridges_in_use_w_per_k=sum(figure.value for _, figure in bridges(zone, pieces, in_use=True)),
        air_w_per_k=air,
        air_in_use_w_per_k=air_in_use,
        streams=brought,
        high=high_room(zone, at_design, air + moved, full_k),
        high_in_use_w_per_k=high_room(zone, in_use, air_in_use + moved, full_k).value,
        ground_w_per_k=ground,
    )


def _flows(zone: Zone, pieces: Sequence[Piece]) -> tuple[list[tuple[ElementKind, float]], ...]:
    """Return what a degree more inside drives through each piece but links, at design and in use [W/K]."""
    if zone.air_gradient_k_per_m is None:
        return [], []
    percent, per_area = 1 + (zone.bridges_percent or 0.0) / 100, zone.bridges_w_per_m2k or 0.0
    at_design: list[tuple[ElementKind, float]] = []
    in_use: list[tuple[ElementKind, float]] = []
    for piece in pieces:
        if piece.link:
            continue
        u = piece.u.value * percent + (per_area if piece.there.kind == "outside" else 0.0)
        whole = piece.area_m2 * u + piece.linear_w_per_k
        at_design.append((piece.element.kind, whole * piece.per_degree))
        in_use.append((piece.element.kind, whole * (1.0 if piece.there.kind == "ground" else piece.per_degree)))
    return at_design, in_use


def _behind_space(each: Settled) -> Behind:
    return Behind("space", factor=each.factor, temperature_c=each.temperature_c, zone_id=each.space.id)


def _pieces(
    house: House, zone: Zone, spaces: Mapping[str, Behind], kept: Mapping[tuple[str, int], Piece]
) -> Iterator[Piece]:
    """Yield the zone's elements, then those of other zones that lead here."""
    for element in zone.elements:
        piece = kept.get(("", id(element)))
        yield _piece(house, zone, element, behind(house, element, spaces)) if piece is None else piece
    here = f"zone:{zone.id}"
    for other in house.zones:
        if other.id == zone.id:
            continue
        for element in other.elements:
            if element.beyond == here:
                yield kept.get((other.id, id(element))) or _mirror(house, other, zone, element)


def _piece(house: House, zone: Zone, element: Element, there: Behind) -> Piece:
    u = transmittance(element, heat_flow(element, zone.design_c, there), there)
    part = share(house.site, zone.design_c, there)
    if there.kind != "ground" or ground_rule(house.site) == "full":
        return Piece(element, there, net_area_m2(zone, element), u, part)
    water = ground_water(house.site, element)
    return Piece(element, there, net_area_m2(zone, element), u, part * water, GROUND_SWING * water)


def _mirror(house: House, owner: Zone, zone: Zone, element: Element) -> Piece:
    """Return the owner's element as seen from the other side: the same area and U, the other temperature."""
    from_owner = _piece(house, owner, element, behind(house, element, {}))
    there = behind_zone(owner)
    return Piece(
        element, there, from_owner.area_m2, from_owner.u, share(house.site, zone.design_c, there), mirrored=True
    )


def bridges(zone: Zone, pieces: tuple[Piece, ...], *, in_use: bool) -> Iterator[tuple[str, Figure]]:
    """Yield each allowance for thermal bridges with its name, at design or in use."""
    own = [piece for piece in pieces if piece.there.kind != "zone"]
    if zone.given_w_per_k is not None:
        return
    if zone.bridges_percent is not None:
        fabric = sum(max(0.0, piece.in_use_w_per_k if in_use else piece.w_per_k) for piece in own)
        yield (
            "thermal bridges",
            Figure(
                zone.bridges_percent / 100 * fabric,
                "W/K",
                {"percent": zone.bridges_percent, "fabric_w_per_k": fabric},
                "percent of fabric, links left out",
                "common practice",
            ),
        )
    if zone.bridges_w_per_m2k is not None:
        area = sum(piece.area_m2 for piece in own if piece.there.kind == "outside")
        yield (
            "thermal bridges",
            Figure(
                zone.bridges_w_per_m2k * area,
                "W/K",
                {"du_tb_w_per_m2k": zone.bridges_w_per_m2k, "exposed_area_m2": area},
                "ΔU_TB·A to outside",
                f"EN 12831-1:2017, 6.3.2.2; ΔU_TB: {origin(zone.provenance.get('bridges_w_per_m2k'))}",
            ),
        )
    for piece in own:
        if piece.linear_w_per_k:
            part = piece.in_use_share if in_use else piece.share
            yield (
                f"thermal bridge of {piece.element.name}",
                Figure(
                    piece.linear_w_per_k * part,
                    "W/K",
                    {
                        "psi_w_per_mk": piece.element.psi_w_per_mk or 0.0,
                        "length_m": piece.element.psi_length_m or 0.0,
                        "share": part,
                    },
                    "ψ·l·f",
                    "ISO 14683:2007",
                ),
            )
