"""What is wrong with the simulated house, and what the supervisor is not told.

``ingle assess`` has to find the first two from readings alone; the third shows how a silent sensor looks.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Flaws:
    """Where the built house differs from its survey.

    Attributes
    ----------
    loses_w_per_k
        By zone: what the room really loses to the outside [W/K].
    element_share
        By heater: the share of its plate that still heats.
    silent_for_s
        By sensor: how long it has been silent at the end of history [s].
    """

    loses_w_per_k: Mapping[str, float] = field(default_factory=dict)
    element_share: Mapping[str, float] = field(default_factory=dict)
    silent_for_s: Mapping[str, float] = field(default_factory=dict)


#: A house built as surveyed.
SOUND = Flaws()

#: Tern House: room 7 was never insulated behind its knee walls; one of the two elements in room 4 is open, which
#: leaves 506 W of 1000 at 231 V; the hall's thermometer has a flat battery.
TERN_HOUSE = Flaws(
    loses_w_per_k={"room-7": 71.0},
    element_share={"room-4-h1": 506.0 / 1000.0 * (230.0 / 231.0) ** 2},
    silent_for_s={"hall-air": 9 * 3600.0},
)
