"""What a room needs and how warm it gets when its wanted temperature goes up and down the same way again and again.

Theory. The room is one heat store C behind one conductance H (``dynamics``), with τ = C/H. Without heat it falls
towards the free temperature θf (outdoors, plus what people and sun warm it by); at full power P it rises towards
θ∞ = θf + P/H. So between two changes of what is wanted it does one of three things, each in closed form:

* falls:  θ(t) = θf + (θ0-θf) e^(-t/τ)      no power
* stays:  θ = wanted                        H (wanted-θf)
* rises:  θ(t) = θ∞ + (θ0-θ∞) e^(-t/τ)      P

A warm-up on time begins where the rise, followed back from the moment that wants the higher temperature, meets the
room: R(t) = θ∞ - (θ∞-r) e^((T-t)/τ), with r what is required at the end T of the stretch. Going back stretch by
stretch, r is the greater of what is wanted next and what is required later. Where the wanted temperature lies at or
above θ∞ no time is early enough: the heater is on at full power throughout, and the room never gets there.

The pattern repeats for ever: the temperature that it begins with is the one that it ends with. A round that begins
warmer ends warmer, but by less (e^(-T/τ) at most); so halving finds the one temperature that comes back. Energy is then
exact: power is constant in each step.

One store is a fair guide for a day (see ``dynamics``); a real room's air is quicker and its walls are slower.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import exp, inf, log, log1p
from typing import Final, NamedTuple

#: Temperatures within this of each other are the same [K].
SAME_K: Final = 1e-7
#: A pattern is settled when the temperature that comes back is known to this [K].
_SETTLED_K: Final = 1e-10
#: Shorter steps than this are an artefact of rounding [h].
_LEAST_H: Final = 1e-9


class Room(NamedTuple):
    """A room as one store: H [W/K], τ [h], full power P [W], and the temperature that it has without heat [°C]."""

    loss_w_per_k: float
    tau_h: float
    power_w: float
    free_c: float

    @property
    def full_c(self) -> float:
        """Where full power for ever would end [°C].

        >>> round(Room(70.7, 14.0, 2250.0, 5.0).full_c, 1)
        36.8
        """
        return self.free_c + self.power_w / self.loss_w_per_k


class Stretch(NamedTuple):
    """For how long a temperature is wanted [h, °C]."""

    hours: float
    wanted_c: float


class Step(NamedTuple):
    """What the room does for a while: from when in the pattern, how long [h], from and to [°C], at what power [W].

    ``stretch`` is the place of the stretch that it belongs to.
    """

    start_h: float
    hours: float
    from_c: float
    to_c: float
    power_w: float
    stretch: int

    @property
    def energy_wh(self) -> float:
        """What it takes [Wh]."""
        return self.power_w * self.hours


def settled_steps(room: Room, pattern: Sequence[Stretch], *, warm_up_on_time: bool) -> list[Step]:
    """Return what a room does over a pattern that repeats for ever.

    Parameters
    ----------
    room
        H and τ above 0, P at or above 0.
    pattern
        At least one stretch, each longer than 0 h.
    warm_up_on_time
        Whether heat starts early enough for a higher temperature to be there when it is first wanted; otherwise it
        starts when it is wanted.

    Examples
    --------
    A room held at 20 °C at 5 °C outside takes 70.7 x 15 x 24 Wh a day:

    >>> loft = Room(70.7, 14.0, 2250.0, 5.0)
    >>> day = settled_steps(loft, [Stretch(24, 20)], warm_up_on_time=False)
    >>> [round(step.energy_wh) for step in day]
    [25452]
    """
    needed = _required(room, pattern) if warm_up_on_time else [-inf] * len(pattern)
    return list(_round(room, pattern, needed, _settled_c(room, pattern, needed)))


def temperature_at(room: Room, step: Step, hours: float) -> float:
    """Return the temperature after some time of a step [°C].

    >>> round(temperature_at(Room(40.0, 10.0, 1000.0, 0.0), Step(0, 10, 20, 7.36, 0, 0), 10.0), 2)
    7.36
    """
    target = room.free_c + step.power_w / room.loss_w_per_k
    return target + (step.from_c - target) * exp(-hours / room.tau_h)


def mean_c(room: Room, steps: Sequence[Step]) -> float:
    """Return the mean temperature of a settled pattern [°C]: what goes in is what goes out, H (mean-θf).

    >>> loft = Room(70.7, 14.0, 2250.0, 5.0)
    >>> round(mean_c(loft, settled_steps(loft, [Stretch(24, 20)], warm_up_on_time=False)), 2)
    20.0
    """
    hours = sum(step.hours for step in steps)
    return room.free_c + sum(step.energy_wh for step in steps) / hours / room.loss_w_per_k


def _settled_c(room: Room, pattern: Sequence[Stretch], needed: Sequence[float]) -> float:
    """Return the temperature that a round ends with if it begins with it [°C]."""
    usual_c = _end_c(room, pattern, needed, max(pattern[0].wanted_c, room.free_c))
    if _end_c(room, pattern, needed, usual_c) == usual_c:
        return usual_c
    low_c, high_c = room.free_c, max(room.full_c, *(each.wanted_c for each in pattern))
    while high_c - low_c > _SETTLED_K:
        middle_c = (low_c + high_c) / 2
        if middle_c in {low_c, high_c}:
            break
        low_c, high_c = (middle_c, high_c) if _end_c(room, pattern, needed, middle_c) > middle_c else (low_c, middle_c)
    return (low_c + high_c) / 2


def _end_c(room: Room, pattern: Sequence[Stretch], needed: Sequence[float], start_c: float) -> float:
    """Return where a round ends that begins with a temperature [°C]."""
    *_, last = _round(room, pattern, needed, start_c)
    return last.to_c


def _required(room: Room, pattern: Sequence[Stretch]) -> list[float]:
    """Return the temperature that each stretch must end with, so that all later ones begin warm enough [°C]."""
    needed = [-inf] * len(pattern)
    begins = -inf
    # Twice round: what the first stretch requires reaches back over the end of the last one.
    for at in (*reversed(range(len(pattern))), *reversed(range(len(pattern)))):
        needed[at] = begins
        stretch = pattern[at]
        begins = max(stretch.wanted_c, _back(room, begins, stretch.hours))
        if begins >= room.full_c:
            begins = inf
    return needed


def _back(room: Room, end_c: float, hours: float) -> float:
    """Return where a rise at full power begins that ends at a temperature [°C]."""
    if end_c in {inf, -inf}:
        return end_c
    return room.full_c - (room.full_c - end_c) * _power_of_e(hours / room.tau_h)


def _round(room: Room, pattern: Sequence[Stretch], needed: Sequence[float], start_c: float) -> Iterator[Step]:
    """Yield the steps of one round from a temperature on."""
    begins_h, now_c = 0.0, start_c
    for place, (stretch, end_c) in enumerate(zip(pattern, needed, strict=True)):
        done_h = 0.0
        while stretch.hours - done_h > _LEAST_H:
            step = _step(room, Stretch(stretch.hours - done_h, stretch.wanted_c), end_c, now_c)
            yield Step(begins_h + done_h, step.hours, now_c, step.to_c, step.power_w, place)
            done_h += step.hours
            now_c = step.to_c
        begins_h += stretch.hours


class _Move(NamedTuple):
    hours: float
    to_c: float
    power_w: float


def _step(room: Room, left: Stretch, end_c: float, now_c: float) -> _Move:
    """Return what the room does next, for as long as it does that."""
    wanted_c, must_c = left.wanted_c, _back(room, end_c, left.hours)
    if now_c > max(wanted_c, must_c) + SAME_K:
        return _fall(room, left, now_c, must_c)
    if must_c >= wanted_c - SAME_K or wanted_c >= room.full_c or now_c < wanted_c - SAME_K:
        # Below the warm-up's curve it stays below it, for both rise alike; so it does not stop on the way.
        return _rise(room, left, now_c, stop_c=wanted_c if must_c < now_c - SAME_K else inf)
    until_h = room.tau_h * log((room.full_c - must_c) / (room.full_c - wanted_c)) if must_c > -inf else inf
    return _Move(min(left.hours, until_h), wanted_c, max(0.0, room.loss_w_per_k * (wanted_c - room.free_c)))


def _fall(room: Room, left: Stretch, now_c: float, must_c: float) -> _Move:
    """Without heat, until the wanted temperature or the warm-up's curve is met, or the stretch ends."""
    above_k, hours = now_c - room.free_c, left.hours
    if left.wanted_c > room.free_c:
        hours = min(hours, room.tau_h * log(above_k / (left.wanted_c - room.free_c)))
    lift_k = room.full_c - room.free_c
    if must_c > -inf and lift_k > 0:
        # Curves meet where θf + above e^(-t/τ) = θ∞ - (θ∞-must) e^(-t/τ).
        hours = min(hours, room.tau_h * log1p((now_c - must_c) / lift_k))
    return _Move(hours, room.free_c + above_k * exp(-hours / room.tau_h), 0.0)


def _rise(room: Room, left: Stretch, now_c: float, *, stop_c: float) -> _Move:
    """At full power, until a temperature is reached or the stretch ends."""
    full_c, hours = room.full_c, left.hours
    if now_c < stop_c < full_c:
        reached_h = room.tau_h * log((full_c - now_c) / (full_c - stop_c))
        if reached_h < hours:
            return _Move(reached_h, stop_c, room.power_w)
    return _Move(hours, full_c + (now_c - full_c) * exp(-hours / room.tau_h), room.power_w)


def _power_of_e(exponent: float) -> float:
    """Return e to a power, no larger than a number can be."""
    return exp(min(exponent, 700.0))
