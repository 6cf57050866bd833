"""How the simulated rooms warm and cool: two nodes a room, one step a minute.

Theory
------
Each room has an air node (air and furniture, J/K) and a fabric node (walls, floor, ceiling as deep as a day reaches).
The air loses to outside through windows and by ventilation, which grows with the wind; the fabric loses to outside
and, where there is a floor on it, to the ground; air and fabric exchange through the room's surfaces; rooms exchange
through partitions, air to air. A heater gives part of its heat to the air and the rest to the fabric, as radiation.

    Ca dTa/dt = Pa + G (Tm - Ta) + (Hw + Hv wind) (To - Ta) + sum L (Tj - Ta)
    Cm dTm/dt = Pm - G (Tm - Ta) + Hf (To - Tm) + Hg (Tg - Tm)

The step is explicit Euler: the shortest time constant, Ca / G, is over ten minutes, so that 60 s is stable and within
a few hundredths of a kelvin. What a room loses per kelvin is known exactly: ``fabric_for`` chooses Hf so that in
steady state the heater's power divided by (Ta - To) is the figure asked for. This is the truth that a verdict is
measured against; nothing here is shared with the estimator.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

#: Share of a panel heater's output that warms the air; the rest radiates (handbook values 0.6-0.8 for panels).
CONVECTIVE = 0.7
#: The longest step that is stable and accurate [s].
STEP_S = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A room's constants: exchanges [W/K] and stores [J/K]."""

    id: str
    windows_w_per_k: float
    ventilation_w_per_k: float
    fabric_w_per_k: float
    ground_w_per_k: float
    surfaces_w_per_k: float
    air_j_per_k: float
    fabric_j_per_k: float


def fabric_for(total_w_per_k: float, air_w_per_k: float, surfaces_w_per_k: float) -> float:
    """Return the exchange of the fabric node that makes a room lose ``total_w_per_k`` in steady state [W/K].

    From the two balances in steady state with power p per kelvin, of which the share ``CONVECTIVE`` goes to the air:
    the fabric stands at mu = 1 - (CONVECTIVE p - Ha) / G of the air's excess, and gives off p - Ha.

    Examples
    --------
    40 W/K of which 12 by air, with 160 W/K between air and fabric: mu = 1 - (28 - 12) / 160 = 0.9; 28 / 0.9 = 31.1.

    >>> fabric_for(40.0, 12.0, 160.0)
    31.1
    """
    excess = 1 - (CONVECTIVE * total_w_per_k - air_w_per_k) / surfaces_w_per_k
    return (total_w_per_k - air_w_per_k) / excess


class Rooms:
    """All rooms of a house and their temperatures.

    Parameters
    ----------
    rooms
        Their constants.
    links
        What joins two rooms, by position: (one, other, W/K).
    start_c
        The temperature of every node at the start [°C].
    """

    def __init__(self, rooms: Sequence[Room], links: Sequence[tuple[int, int, float]], start_c: float) -> None:
        self.rooms = tuple(rooms)
        self._links = tuple(links)
        self._constants = tuple(
            (
                room.windows_w_per_k,
                room.ventilation_w_per_k,
                room.fabric_w_per_k,
                room.ground_w_per_k,
                room.surfaces_w_per_k,
                1 / room.air_j_per_k,
                1 / room.fabric_j_per_k,
            )
            for room in self.rooms
        )
        self.air_c = [start_c] * len(self.rooms)
        self.fabric_c = [start_c] * len(self.rooms)

    def step(
        self,
        seconds: float,
        *,
        outdoor_c: float,
        ground_c: float,
        draught: float,
        to_air_w: Sequence[float],
        to_fabric_w: Sequence[float],
    ) -> None:
        """Move all rooms on by at most ``STEP_S``; ``draught`` is the ventilation relative to its mean."""
        air, fabric = self.air_c, self.fabric_c
        flows = list(to_air_w)
        for one, other, per_k in self._links:
            flow = per_k * (air[other] - air[one])
            flows[one] += flow
            flows[other] -= flow
        for place, (windows, ventilation, walls, ground, surfaces, per_air, per_fabric) in enumerate(self._constants):
            room, mass = air[place], fabric[place]
            within = surfaces * (mass - room)
            outward = (windows + ventilation * draught) * (outdoor_c - room)
            air[place] = room + seconds * per_air * (flows[place] + within + outward)
            beyond = walls * (outdoor_c - mass) + ground * (ground_c - mass)
            fabric[place] = mass + seconds * per_fabric * (to_fabric_w[place] - within + beyond)
