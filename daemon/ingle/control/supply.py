"""How heaters share a supply and its circuits: who may draw now, and who waits.

The rules of the file:

1. A heater counts at what it could draw, not at what it draws: its plate at the measured voltage. Where no voltage is
   measured, at the plate's upper tolerance and the supply's upper limit. Measured more than that counts as measured.
2. What ingle cannot stop counts first: heaters it does not drive, heaters that cannot be reached (no data is not 0 W),
   heaters that draw although they were ordered off.
3. The rest is given whole heater by whole heater: zones at their frost floor, then zones that need heat, then the
   others; within these first a heater in its first minutes (so that places do not change hands every tick), then one
   that has waited too long (so that nobody is starved), then the coldest against what is wanted.
4. Break before make: one that loses its place is stopped at once; one that gains it starts when the measured draw of
   those stopped has made room.

A cap only lowers the chance of a trip. It protects no fuse and no person.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from ingle.control.situation import HeaterSeen, Situation
from ingle.model.devices import Heater
from ingle.model.house import House

#: Upper tolerance of the power input marked on a heating appliance above 200 W: IEC 60335-1, clause 10.1.
PLATE_TOLERANCE: Final = 1.05
#: Upper limit of a public low-voltage supply over its nominal voltage: EN 50160, 230 V + 10 % = 253 V.
SUPPLY_TOLERANCE: Final = 1.10
#: A heater keeps the place it was given for this long, if it still needs heat [s]; common practice for shared loads.
SLICE_S: Final = 300.0
#: A heater that needs heat and was held for this long goes before the others [s]; with the slice of the one whose place
#: it takes it waits less than 15 min, if no more than two wait for one place.
STARVED_S: Final = 540.0
#: How much colder a waiting zone must be to take the place of a running one [K]; common practice.
SWAP_K: Final = 0.3
#: A heater that still draws this long after it was ordered off does not obey [s]: three reports at one a minute.
DISOBEYS_S: Final = 180.0
_ROUNDING_A: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One heater as a claim on the supply.

    ``candidate``: it may be given heat if there is room. ``unstoppable``: it may draw whatever it is ordered, being out
    of reach (``away``), not driven, or disobedient. ``draws_a`` is what it is measured to draw.
    """

    id: str
    amps: float
    watts: float
    budgets: tuple[str, ...]
    candidate: bool
    frost: bool = False
    needs: bool = False
    gap_k: float = 0.0
    running: bool = False
    since_s: float = 0.0
    draws_a: float | None = None
    away: bool = False
    unstoppable: bool = False

    @property
    def rank(self) -> tuple[int, int, int, float]:
        """The claim's place in line, lowest first."""
        in_slice = self.running and self.needs and self.since_s < SLICE_S
        starved = not self.running and self.needs and self.since_s >= STARVED_S
        urgency = 0 if self.frost else 1 if self.needs else 2
        within = -self.since_s if starved else -self.gap_k - (SWAP_K if self.running else 0.0)
        return urgency, 0 if in_slice else 1, 0 if starved else 1, within


@dataclass(frozen=True, slots=True)
class Shares:
    """Who may draw, and for the others which budget is exhausted; and what is taken in all.

    ``guessed``: the budgets in which a heater out of reach counts, though nobody knows whether it draws.
    """

    allowed: frozenset[str]
    held: Mapping[str, str]
    allowed_w: float
    guessed: frozenset[str] = frozenset()


def could_draw(house: House, heater: Heater, seen: HeaterSeen, supply_v: float | None) -> tuple[float, float]:
    """Return the current and the power that a heater could draw now ([A], [W]).

    A resistive element's power goes with the square of the voltage (Ohm's and Joule's laws); a PTC element holds its
    power about constant, so the plate is all that can be said.

    >>> from ingle.model.house import Site
    >>> house = House(site=Site(name="x", outdoor_design_c=0.0))
    >>> heater = Heater(id="h", rated_w=2300.0)
    >>> could_draw(house, heater, HeaterSeen(), 230.0)
    (10.0, 2300.0)
    >>> could_draw(house, heater, HeaterSeen(), None)  # nothing measured: 1.05 x 2300 W x 1.1^2
    (11.55, 2922.15)
    """
    volts = seen.voltage_v if seen.voltage_v is not None else supply_v
    tolerance = 1.0
    if volts is None:
        volts, tolerance = house.site.voltage_v * SUPPLY_TOLERANCE, PLATE_TOLERANCE
    if heater.element == "ptc":
        volts = heater.rated_v
    watts = tolerance * heater.rated_w * (volts / heater.rated_v) ** 2
    watts = max(watts, seen.power_w or 0.0)
    return watts / volts, watts


def draws(house: House, seen: HeaterSeen, supply_v: float | None) -> float | None:
    """Return the current that a heater is measured to draw now, None when nothing live tells [A]."""
    if seen.power_w is None:
        return None
    volts = seen.voltage_v if seen.voltage_v is not None else supply_v
    return max(seen.power_w, 0.0) / (volts if volts is not None else house.site.voltage_v)


def budgets(house: House, cap_a: float | None) -> dict[str, float]:
    """Return every current limit that heaters share [A]: the supply (by phase where it has three) and each circuit."""
    shared = {f"circuit {circuit.id}": circuit.cap_a or circuit.rated_a for circuit in house.circuits}
    if cap_a is None:
        return shared
    return {**dict.fromkeys(_supply_names(house), cap_a), **shared}


def budgets_of(house: House, heater: Heater, known: Iterable[str]) -> tuple[str, ...]:
    """Return the limits that a heater's current counts against.

    On three phases a heater whose circuit does not say its phase counts on each: it is on one of them, nobody knows
    which.
    """
    circuit = next((circuit for circuit in house.circuits if circuit.id == heater.circuit), None)
    names = list(_supply_names(house))
    if house.site.phases == 3 and circuit is not None:
        names = [f"supply phase {circuit.phase}"]
    if circuit is not None:
        names.append(f"circuit {circuit.id}")
    known = frozenset(known)
    return tuple(name for name in names if name in known)


def cap_a(house: House, requested_a: float | None) -> float | None:
    """Return the supply cap in force: the installer's, or a lower one asked for [A]."""
    caps = [cap for cap in (house.site.supply_cap_a, requested_a) if cap is not None]
    return min(caps, default=None)


def _supply_names(house: House) -> tuple[str, ...]:
    return ("supply",) if house.site.phases == 1 else tuple(f"supply phase {phase}" for phase in (1, 2, 3))


def share(loads: Sequence[Load], limits_a: Mapping[str, float], unseen_a: float | None = None) -> Shares:
    """Share current limits among heaters.

    Parameters
    ----------
    loads
        All heaters of the house.
    limits_a
        Every limit by name [A].
    unseen_a
        What the supply meter measures beyond the heaters that report, None without a meter [A]. It bounds what
        heaters that cannot be reached may be drawing.

    Returns
    -------
    Who may draw and who is held by what. The sum of what the allowed could draw is within every limit.
    """
    free = dict(limits_a)
    held: dict[str, str] = {}
    allowed: list[Load] = []
    for load in _unstoppable_first(loads):
        if load.candidate and _serve(load, free, held):
            allowed.append(load)
        else:
            _take(load, free, _cannot_be_kept_from(load, loads, unseen_a))
    ranked = sorted((load for load in loads if not load.unstoppable and load.candidate), key=lambda load: load.rank)
    winners = [load for load in ranked if _serve(load, free, held)]
    keepers = [load for load in winners if load.running]
    starters = [load for load in winners if not load.running]
    for load in starters:
        _take(load, free, -load.amps)
    for load in loads:
        if not load.unstoppable and load not in keepers:
            _take(load, free, load.draws_a or 0.0)
    allowed += keepers
    allowed += [load for load in starters if _start(load, free, held)]
    guessed = frozenset(name for load in loads if load.away and load.unstoppable for name in load.budgets)
    return Shares(frozenset(load.id for load in allowed), held, sum(load.watts for load in allowed), guessed)


def _unstoppable_first(loads: Sequence[Load]) -> list[Load]:
    """Return what ingle cannot stop: first those that get no heat from it anyway, then the others by rank."""
    return sorted((load for load in loads if load.unstoppable), key=lambda load: (load.candidate, load.rank))


def _cannot_be_kept_from(load: Load, loads: Sequence[Load], unseen_a: float | None) -> float:
    """Return what a heater draws whatever it is ordered: as measured, else in full, bounded by the meter [A]."""
    if load.draws_a is not None:
        return load.draws_a
    if unseen_a is None or not load.away:
        return load.amps
    away_a = sum(other.amps for other in loads if other.away)
    return load.amps * min(1.0, unseen_a / away_a)


def _serve(load: Load, free: dict[str, float], held: dict[str, str]) -> bool:
    """Give a heater its whole current if every limit has room, else say which has not."""
    short = next((name for name in load.budgets if free[name] + _ROUNDING_A < load.amps), None)
    if short is not None:
        held[load.id] = short
        return False
    _take(load, free, load.amps)
    return True


def _start(load: Load, free: dict[str, float], held: dict[str, str]) -> bool:
    """Give a heater that did not run its current, in place of what it may already draw, if there is room by now."""
    _take(load, free, -(load.draws_a or 0.0))
    if _serve(load, free, held):
        return True
    _take(load, free, load.draws_a or 0.0)
    return False


def _take(load: Load, free: dict[str, float], amps: float) -> None:
    for name in load.budgets:
        free[name] -= amps


def supply_unseen_a(situation: Situation, nominal_v: float) -> float | None:
    """Return what the supply meter measures beyond the heaters that report, None without a live meter [A]."""
    if situation.supply_w is None:
        return None
    reported_w = sum(seen.power_w or 0.0 for seen in situation.heaters.values() if not seen.away)
    return max(0.0, situation.supply_w - reported_w) / (situation.supply_v or nominal_v)
