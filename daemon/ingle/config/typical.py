"""What a survey must say for a typical U-value, and what means nothing beside it."""

from __future__ import annotations

import msgspec

from ingle.config.findings import Findings, Path, below
from ingle.design.typical import CONSTRUCTIONS, needs_year, year_of
from ingle.model.envelope import Element, Typical, UnheatedSpace
from ingle.model.house import House, Zone
from ingle.physics.typical_u import STONES, WALLS

#: Constructions that what is said of a piece goes with.
_INSULATED = frozenset({*WALLS, *STONES, *CONSTRUCTIONS["roof"], *CONSTRUCTIONS["floor"]})
_EXTRAS = {
    "insulation_mm": _INSULATED,
    "thickness_mm": frozenset(STONES),
    "gap_mm": frozenset({"double-glazing"}),
    "frame": frozenset({"double-glazing"}),
}


def check_typical(house: House, zone: Zone | UnheatedSpace, element: Element, path: Path, findings: Findings) -> None:
    """Check an element's ``typical`` table against its kind, what lies beyond it, and the years that are known."""
    piece = element.typical
    if piece is None:
        return
    where = (*path, "typical")
    possible = CONSTRUCTIONS.get(element.kind, ())
    if not possible:
        allowed = f"nothing for a {element.kind}: it has no typical U-value; give u_w_per_m2k, layers or ground"
        findings.add(where, msgspec.to_builtins(piece), allowed, rests_on=[(*path, "kind")])
        return
    if piece.construction not in possible:
        allowed = f"for a {element.kind}, one of {', '.join(possible)}"
        findings.add((*where, "construction"), piece.construction, allowed, rests_on=[(*path, "kind")])
        return
    if element.beyond == "ground" or (isinstance(element.beyond, str) and element.beyond.startswith("zone:")):
        allowed = "only for what leads to outside or to an unheated space; typical values hold for nothing else"
        findings.add(where, msgspec.to_builtins(piece), allowed, rests_on=[(*path, "beyond")])
    _check_extras(piece, where, findings)
    _check_year(house, zone, piece, where, findings)


def _check_extras(piece: Typical, where: Path, findings: Findings) -> None:
    for key, homes in _EXTRAS.items():
        value = getattr(piece, key)
        if value is not None and piece.construction not in homes:
            allowed = f"only for {', '.join(sorted(homes))}"
            findings.add((*where, key), value, allowed, rests_on=[(*where, "construction")])


def _check_year(house: House, zone: Zone | UnheatedSpace, piece: Typical, where: Path, findings: Findings) -> None:
    if not needs_year(piece) or year_of(piece, house.built(zone)) is not None:
        return
    if piece.construction == "double-glazing":
        allowed = "the year in which the glazing was put in"
    else:
        allowed = "the year it was built, here or as built of the zone or the house"
    findings.add((*where, "built"), None, allowed, rests_on=below(where, ("construction", "insulation_mm")))


def check_typical_bridges(house: House, zone: Zone, path: Path, findings: Findings) -> None:
    """Check that typical bridges are the only ones and have a year to go by."""
    if not zone.bridges_typical:
        return
    where = (*path, "bridges_typical")
    others = [key for key in ("bridges_percent", "bridges_w_per_m2k") if getattr(zone, key) is not None]
    if others:
        findings.add(where, value=True, allowed=f"only without {' and '.join(others)}", rests_on=below(path, others))
    if house.built(zone) is None:
        allowed = "only where built is given, for the zone or the house"
        findings.add(where, value=True, allowed=allowed, rests_on=[(*path, "built"), ("house", "built")])
