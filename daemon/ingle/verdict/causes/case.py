"""All that is known of one room when its causes are looked for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ingle.model.design import Design
from ingle.model.house import House
from ingle.model.verdicts import Cause
from ingle.verdict.balance import Balance, RoomDays
from ingle.verdict.hours import Hours
from ingle.verdict.judge import Judgement
from ingle.verdict.prior import LinkPrior, design_of
from ingle.verdict.record import Record
from ingle.verdict.system import Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """All that is known of one room."""

    house: House
    design: Design
    balance: Balance
    room: RoomDays
    found: Estimate | None
    judgement: Judgement
    ratios: Mapping[str, float]
    links: Sequence[LinkPrior] = ()
    hours: Hours | None = None
    record: Record | None = None

    @property
    def design_w_per_k(self) -> float | None:
        """What metering is compared with [W/K]."""
        compared = design_of(self.room.zone, self.design)
        return None if compared is None else compared[0]

    @property
    def stored(self) -> bool:
        """Whether a heater gives its heat hours after it took the power: nothing within a day can then be told."""
        return any(heater.kind != "direct" for heater in self.room.zone.heaters)


class Clocked(NamedTuple):
    """A cause that lives on the clock, and how sharply it stands out [1/h].

    Sharp is what is large in few hours: the share of the room's coefficient by which they differ, over their number.
    """

    cause: Cause
    sharp: float
