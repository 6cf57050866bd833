"""All that is known of one room when its causes are looked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ingle.model.design import Design
from ingle.model.house import House
from ingle.verdict.balance import Balance, RoomDays
from ingle.verdict.judge import Judgement
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
