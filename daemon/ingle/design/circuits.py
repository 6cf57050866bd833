"""What heaters ask of plugs, spurs, circuits and the supply: connected, by custom, and as ingle would hold it.

Three sums stand side by side because they answer three questions:

* **connected**: everything on at once. It is what a circuit must carry, because heaters on a cold morning are all on.
* **by custom**: what handbooks allow for in a household or guest house, where people use appliances one at a time.
  Storage and underfloor heating, and halls that warm with all they have, are left out of that custom.
* **held**: what ingle would let through. It lowers the chance of a trip and proves nothing about a cable.

A circuit is judged by what is connected. No part of this replaces an electrician.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Literal

from ingle.design.cautions import CAUTIONS
from ingle.design.loads import PLUG_A, all_heaters, draws_w, on_a_plug, standby_w
from ingle.design.place import place_check
from ingle.design.sheet import Figure, tidy
from ingle.model.circuits import CircuitCheck, Circuits, CircuitVerdict
from ingle.model.design import Working
from ingle.model.devices import Circuit, Heater
from ingle.model.house import House
from ingle.physics.diversity import guest_house_a, household_a
from ingle.physics.emitters import standing_kwh_per_year

_HANDBOOK = "installers' handbook, allowances for diversity, heating and power"
_OHM = "P = P_r (V/V_r)², I = P/V; PTC as its plate"
#: Largest fixed appliance that is customarily fed from a ring by a fused connection unit [W]; United Kingdom practice.
RING_APPLIANCE_W = 3000.0
#: Floor area that a circuit customarily serves [m²], by kind and rating (United Kingdom practice, from memory).
CUSTOMARY_M2 = {("ring", 32.0): 100, ("radial", 20.0): 50, ("radial", 32.0): 75}
#: What ingle counts a heater at while no voltage is measured: plate +5 % at 10 % above the nominal voltage.
UNMEASURED = 1.05 * 1.10
_ROUNDING_A = 1e-9

Kind = Literal["plug", "spur", "radial", "ring", "other", "supply"]


def circuits_of(house: House) -> Circuits:
    """Check every circuit of a house under its heaters, and the supply under all of them."""
    pairs = list(all_heaters(house))
    standing_w = sum((standby_w(heater) for _, heater in pairs), 0.0)
    return Circuits(
        voltage_v=house.site.voltage_v,
        circuits=tuple(chain(_circuits(house), _connections(house))),
        supply=tuple(_supply(house)),
        without_circuit=tuple(heater.id for _, heater in pairs if heater.circuit is None),
        heaters=tuple(place_check(house, zone, heater) for zone, heater in pairs),
        standing_w=tidy(standing_w),
        standing_kwh_per_year=tidy(standing_kwh_per_year(standing_w)),
        standing=_standing([heater for _, heater in pairs], standing_w),
        cautions=CAUTIONS,
    )


def _standing(heaters: Sequence[Heater], standing_w: float) -> Working:
    unsaid = sum(heater.standby_w is None for heater in heaters)
    inputs: dict[str, float | str] = {
        "heaters": float(len(heaters)),
        "standing_w": standing_w,
        "assumed": float(unsaid),
    }
    source = "8760 h; standby_w, where not given 3 W, the most that (EU) 2024/1103 allows over radio or mains"
    return Figure(standing_kwh_per_year(standing_w), "kWh", inputs, "ΣP·8760 h", source).line("standing loss in a year")


def _circuits(house: House) -> Iterator[CircuitCheck]:
    """Yield each circuit of the file under what hangs on it."""
    for circuit in house.circuits:
        heaters = [heater for _, heater in all_heaters(house) if heater.circuit == circuit.id]
        cap_a = circuit.cap_a or circuit.rated_a
        check = _Check(house, circuit.id, circuit.kind, heaters, limit_a=circuit.rated_a, cap_a=cap_a)
        yield check.done(_circuit_notes(circuit, heaters, check))


def _circuit_notes(circuit: Circuit, heaters: Sequence[Heater], check: _Check) -> Iterator[str]:
    if circuit.kind == "ring" and heaters:
        yield (
            f"Heaters are a lasting load and leave {max(0.0, circuit.rated_a - check.connected_a):.1f} A for all else "
            "on the ring; where on it they hang decides whether a part of the cable carries too much."
        )
        for heater in heaters:
            if heater.rated_w > RING_APPLIANCE_W:
                yield f"{heater.id} is above 3 kW, which customarily has a radial of its own."
    area = CUSTOMARY_M2.get((circuit.kind, circuit.rated_a))
    if area is not None:
        yield f"A {circuit.rated_a:g} A {circuit.kind} customarily serves up to {area} m² (from memory)."


def _connections(house: House) -> Iterator[CircuitCheck]:
    """Yield the plug or fused spur of each heater that has one of its own on a larger circuit."""
    kinds = {circuit.id: circuit.kind for circuit in house.circuits}
    for _, heater in all_heaters(house):
        plugged = on_a_plug(heater)
        if (plugged or heater.connection == "spur") and kinds.get(heater.circuit or "") not in {"plug", "spur"}:
            kind: Kind = "plug" if plugged else "spur"
            yield _Check(house, f"{kind} of {heater.id}", kind, [heater], limit_a=PLUG_A, cap_a=None).done(
                ["Its fuse is taken as 13 A (BS 1363); elsewhere give a circuit of this kind with its own rating."]
            )


def _supply(house: House) -> Iterator[CircuitCheck]:
    """Yield the supply, or each of its three phases; what has no known phase counts on each."""
    phases = {circuit.id: circuit.phase for circuit in house.circuits}
    for phase in range(1, house.site.phases + 1):
        name = "supply" if house.site.phases == 1 else f"supply phase {phase}"
        heaters = [heater for _, heater in all_heaters(house) if phases.get(heater.circuit or "", phase) == phase]
        cap_a = house.site.supply_cap_a
        check = _Check(house, name, "supply", heaters, limit_a=cap_a, cap_a=cap_a)
        yield check.done(_supply_notes(house, check))


def _supply_notes(house: House, check: _Check) -> Iterator[str]:
    if check.household_a < check.connected_a - _ROUNDING_A:
        halls = [zone.name for zone in house.zones if zone.use == "assembly" and zone.heaters]
        here = f"; here {', '.join(halls)}" if halls else ""
        yield (
            "The household rule is not for 100 %-on halls, which warm with all their heaters together"
            f"{here}: then the connected {check.connected_a:.1f} A is what is drawn."
        )
    if check.limit_a is None:
        yield "supply_cap_a is not given, so ingle would hold nothing, and nobody has said what the supply allows."
    elif check.verdict == "held":
        yield (
            f"ingle would hold the heaters to {check.limit_a:g} A, whoever is coldest first. While no voltage is "
            f"measured it counts {check.connected_a * UNMEASURED:.1f} A for all of them (plate +5 %, voltage +10 %)."
        )


class _Check:
    """One circuit, plug or supply under some heaters."""

    def __init__(
        self,
        house: House,
        name: str,
        kind: Kind,
        heaters: Sequence[Heater],
        *,
        limit_a: float | None,
        cap_a: float | None,
    ) -> None:
        self._voltage_v = house.site.voltage_v
        self._name, self._kind, self._heaters = name, kind, heaters
        self.limit_a, self._cap_a = limit_a, cap_a
        watts = [draws_w(heater, self._voltage_v) for heater in heaters]
        amps = [each / self._voltage_v for each in watts]
        self._watts = watts
        self.connected_a = sum(amps, 0.0)
        # Storage and underfloor heating charge together, so no custom lessens them.
        whole_a = sum((a for heater, a in zip(heaters, amps, strict=True) if heater.kind != "direct"), 0.0)
        lessened = [a for heater, a in zip(heaters, amps, strict=True) if heater.kind == "direct"]
        self._whole_a = whole_a
        self.household_a = whole_a + household_a(sum(lessened, 0.0))
        self.guest_house_a = whole_a + guest_house_a(lessened)
        self._left_alone_a = sum(
            (a for heater, a in zip(heaters, amps, strict=True) if not heater.switched_automatically), 0.0
        )

    @property
    def capped_a(self) -> float:
        """What ingle would hold it to: the cap, but never less than what ingle does not switch [A]."""
        if self._cap_a is None:
            return self.connected_a
        return max(min(self.connected_a, self._cap_a), self._left_alone_a)

    @property
    def verdict(self) -> CircuitVerdict:
        """Judged by what is connected; a supply has only the cap, within which ingle would hold what it switches."""
        if self.limit_a is None:
            return "unknown"
        if self._kind == "supply":
            within = self.connected_a <= self.limit_a + _ROUNDING_A
            return "ok" if within else "held" if self.capped_a <= self.limit_a + _ROUNDING_A else "over"
        if self.connected_a > self.limit_a + _ROUNDING_A:
            return "over"
        return "held" if self._cap_a is not None and self.connected_a > self._cap_a + _ROUNDING_A else "ok"

    @property
    def sum(self) -> str:
        """The sum as a person would write it."""
        if not self._heaters:
            return "no heaters"
        many = Counter(f"{each:.0f} W" for each in self._watts)
        terms = " + ".join(f"{count} x {watts}" if count > 1 else watts for watts, count in many.items())
        against = "" if self.limit_a is None else f", {self._against()}"
        return f"{terms} at {self._voltage_v:g} V = {self._amps(self.connected_a)} A{against}"

    def _against(self) -> str:
        limit_a = self.limit_a or 0.0
        more = self.connected_a > limit_a + _ROUNDING_A
        words = "more than the" if more else "within the"
        return f"{words} {limit_a:g} A {'allowed' if self._kind == 'supply' else f'of the {self._kind}'}"

    def _amps(self, amps: float) -> str:
        """Return amperes with as many decimals as it takes to see that 13.04 is more than 13."""
        near = self.limit_a is not None and 0 < abs(amps - self.limit_a) < 0.1
        return f"{amps:.2f}" if near else f"{amps:.1f}"

    def done(self, notes: Iterator[str] | Sequence[str]) -> CircuitCheck:
        """Return the check with its notes, the gravest first."""
        return CircuitCheck(
            id=self._name,
            kind=self._kind,
            heaters=tuple(heater.id for heater in self._heaters),
            connected_w=tidy(sum(self._watts, 0.0)),
            connected_a=tidy(self.connected_a),
            household_a=tidy(self.household_a),
            guest_house_a=tidy(self.guest_house_a),
            capped_a=tidy(self.capped_a),
            limit_a=self.limit_a,
            verdict=self.verdict,
            sum=self.sum,
            working=tuple(self._working()),
            notes=(*self._grave(), *notes),
        )

    def _grave(self) -> Iterator[str]:
        if self.verdict == "over":
            yield f"{self.sum}: this fails. A cap in ingle does not mend it; cable, fuse or heaters must change."
        if self._whole_a:
            yield f"Storage and underfloor heating ({self._whole_a:.1f} A) counts whole: no custom lessens it."
        if self._left_alone_a and self._cap_a is not None:
            yield f"{self._left_alone_a:.1f} A of it are heaters that ingle does not switch, so it cannot hold them."

    def _working(self) -> Iterator[Working]:
        connected: dict[str, float | str] = {"watts": sum(self._watts, 0.0), "voltage_v": self._voltage_v}
        yield Figure(self.connected_a, "A", connected, _OHM, "Ohm's and Joule's laws").line("connected")
        parts: dict[str, float | str] = {"connected_a": self.connected_a, "storage_and_underfloor_a": self._whole_a}
        formula = "10 A + 50 % of the rest; storage and underfloor whole"
        yield Figure(self.household_a, "A", parts, formula, _HANDBOOK).line("household custom")
        formula = "100 % of the largest, 80 % of the second, 60 % of the rest; storage and underfloor whole"
        yield Figure(self.guest_house_a, "A", parts, formula, _HANDBOOK).line("guest-house custom")
        held: dict[str, float | str] = {"cap_a": "none" if self._cap_a is None else self._cap_a}
        yield Figure(self.capped_a, "A", held, "min(connected, cap)", "house file").line("held by ingle")
