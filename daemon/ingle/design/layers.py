"""The U-value of an element from its layers, each resistance shown: ISO 6946 as a survey writes it.

Layers stand from outside to inside. An air layer that is open to the outside splits the element: what lies inside of
it counts in full, the layer itself and what lies outside of it only as far as the air in it stands still.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from ingle.design.sheet import Figure
from ingle.model.envelope import Bridge, Layer
from ingle.physics.air_layers import (
    HeatFlow,
    air_layer_resistance,
    bright_air_layer_resistance,
    slightly_ventilated_resistance,
    still_share,
)
from ingle.physics.corrections import fixing_correction, gap_correction, total_correction
from ingle.physics.element import (
    LIMITS_RATIO_MAX,
    R_INSIDE,
    Resistance,
    Strip,
    conduction_resistance,
    layered_resistance,
)
from ingle.physics.materials import MATERIALS, material

# Beyond these a layer conducts as if it were not there, or not at all; they keep the arithmetic finite.
_LEAST_R, _MOST_R = 1e-6, 1e6
_SOURCE = "ISO 6946:2007, 6.7.2"


@dataclass(frozen=True, slots=True)
class _Laid:
    """A layer ready for ISO 6946: its name on the sheet, its resistance, the strip across it, what is odd about it."""

    layer: Layer
    name: str
    resistance: float
    across: Strip | None = None
    note: str = ""

    @property
    def strips(self) -> tuple[Strip, ...]:
        """The layer as it is."""
        if self.across is None:
            return self.plain
        return Strip(1 - self.across.share, self.resistance), self.across

    @property
    def plain(self) -> tuple[Strip, ...]:
        """The layer as if nothing bridged it."""
        return (Strip(1.0, self.resistance),)


@dataclass(frozen=True, slots=True)
class _Corrections:
    """What gaps and fixings add [W/(m²·K)], and what of it is made."""

    gaps: float
    fixings: float
    made: float


@lru_cache(maxsize=1024)  # a band works a room out many times over, and its walls stay what they are
def layers_u(name: str, layers: tuple[Layer, ...], flow: HeatFlow, r_outside: float) -> Figure:
    """Return the U [W/(m²·K)] of an element from its layers, with notes on what is odd in them."""
    laid = [_laid(number, layer, flow) for number, layer in enumerate(layers, 1)]
    total = _total(laid, [each.strips for each in laid], flow, r_outside)
    added = _corrections(laid, 1 / total.total, flow, r_outside)
    inputs: dict[str, float | str] = {"heat_flow": flow, "r_si": R_INSIDE[flow], "r_se": r_outside}
    inputs |= {f"r {each.name}": _joined_r(each.strips) for each in laid}
    inputs |= {"r_upper": total.upper, "r_lower": total.lower}
    formula = "2 / (R_upper + R_lower)"
    place, openings = _open_at(laid)
    if place is not None:
        inputs |= {"share_still": still_share(openings)}
        formula += ", each between air still and open"
    if added.gaps or added.fixings:
        inputs |= {"du_gaps": added.gaps, "du_fixings": added.fixings}
        formula += " + ΔU" if added.made else "; ΔU left out, below 3 % of U"
    notes = [f"{name}: {each.note}" for each in laid if each.note]
    if total.upper > LIMITS_RATIO_MAX * total.lower:
        notes.append(
            f"{name}: its bridges are too strong for ISO 6946 (limits {total.upper:.2f} and {total.lower:.2f} "
            "m²K/W); have it computed in two dimensions."
        )
    return Figure(1 / total.total + added.made, "W/(m²·K)", inputs, formula, _sources(layers), tuple(notes))


def _sources(layers: Sequence[Layer]) -> str:
    """Return where the method is from, and each conductivity that was looked up."""
    found = [(each.material or "", material(each.material or "")) for each in layers if each.material is not None]
    looked_up = dict.fromkeys(f"λ of {name}: {row.source}" for name, row in found if row is not None)
    return "; ".join([_SOURCE, *looked_up])


def _joined_r(strips: Sequence[Strip]) -> float:
    """Return the resistance of a layer whose strips are joined at their faces."""
    return 1 / sum(strip.share / strip.resistance for strip in strips)


def _open_at(laid: Sequence[_Laid]) -> tuple[int | None, float]:
    """Return which layer is open to the outside, if one is, and its openings [mm²]."""
    for place, each in enumerate(laid):
        if each.layer.vent_mm2 is not None and still_share(each.layer.vent_mm2) < 1:
            return place, each.layer.vent_mm2
    return None, 0.0


def _total(laid: Sequence[_Laid], strips: Sequence[Sequence[Strip]], flow: HeatFlow, r_outside: float) -> Resistance:
    """Return the total resistance; with an open layer, between what it is when still and what it is when open."""
    still = layered_resistance(strips, R_INSIDE[flow], r_outside)
    place, openings = _open_at(laid)
    if place is None:
        return still
    # Air that moves past a sheltered face: the outer resistance is then that of still air (ISO 6946:2007, 5.3.4).
    sheltered = layered_resistance(strips[place + 1 :], R_INSIDE[flow], R_INSIDE[flow])
    return Resistance(*(slightly_ventilated_resistance(openings, a, b) for a, b in zip(still, sheltered, strict=True)))


def _corrections(laid: Sequence[_Laid], u: float, flow: HeatFlow, r_outside: float) -> _Corrections:
    plain = [each.plain for each in laid]
    place, openings = _open_at(laid)
    still_r = layered_resistance(plain, R_INSIDE[flow], r_outside).total
    whole_r = _total(laid, plain, flow, r_outside).total
    gaps, fixings = 0.0, 0.0
    for index, each in enumerate(laid):
        outside_air = place is not None and index < place
        weight, r_total = (still_share(openings), still_r) if outside_air else (1.0, whole_r)
        gaps += weight * _gaps(each, r_total)
        fixings += weight * _fixings(each, r_total)
    return _Corrections(gaps, fixings, total_correction(u, [gaps, fixings]))


def _gaps(laid: _Laid, r_total: float) -> float:
    level = laid.layer.gap_level
    return gap_correction(level, laid.resistance, r_total) if level else 0.0


def _fixings(laid: _Laid, r_total: float) -> float:
    fixings, mm = laid.layer.fixings, laid.layer.mm
    if fixings is None or mm is None:
        return 0.0
    length = None if fixings.length_mm is None else min(fixings.length_mm, mm)
    return fixing_correction(
        fixings.conductivity, fixings.area_mm2, fixings.per_m2, mm, laid.resistance, r_total, length_mm=length
    )


def _laid(number: int, layer: Layer, flow: HeatFlow) -> _Laid:
    if layer.air_mm is not None:
        name = f"{number} air {layer.air_mm:g} mm"
        if layer.vent_mm2 is not None and still_share(layer.vent_mm2) < 1:
            name += f" open by {layer.vent_mm2:g} mm²"
        return _bridged(layer, name, _air_r(layer.air_mm, layer.emissivity, flow), layer.air_mm)
    if layer.r is not None:
        return _Laid(layer, f"{number} r", _bounded(layer.r))
    mm = layer.mm or 0.0
    if layer.material is None:
        return _bridged(layer, f"{number} {mm:g} mm", conduction_resistance(mm, layer.conductivity or 1.0), mm)
    name = f"{number} {layer.material} {mm:g} mm"
    row = material(layer.material)
    if row is None:
        known = ", ".join(MATERIALS)
        note = f"no material is called {layer.material!r}, so that layer counts for nothing; known are {known}."
        return _Laid(layer, name, _LEAST_R, note=note)
    conductivity = row.conductivity if layer.conductivity is None else layer.conductivity
    return _bridged(layer, name, conduction_resistance(mm, conductivity), mm)


def _air_r(air_mm: float, emissivity: float | None, flow: HeatFlow) -> float:
    if emissivity is None:
        return air_layer_resistance(air_mm, flow)
    return bright_air_layer_resistance(air_mm, flow, emissivity)


def _bridged(layer: Layer, name: str, resistance: float, mm: float) -> _Laid:
    bridge: Bridge | None = layer.bridge
    if bridge is None:
        return _Laid(layer, name, _bounded(resistance))
    across = Strip(bridge.share, _bounded(conduction_resistance(mm, bridge.conductivity)))
    return _Laid(layer, f"{name} with {100 * bridge.share:g} % bridge", _bounded(resistance), across)


def _bounded(resistance: float) -> float:
    return min(max(resistance, _LEAST_R), _MOST_R)
