"""Which causes are asked in which order, and who is silenced by whom."""

from __future__ import annotations

from ingle.model.verdicts import Cause
from ingle.verdict.causes.case import Case
from ingle.verdict.causes.loss import excess_loss
from ingle.verdict.causes.plate import of_plate
from ingle.verdict.causes.short import too_small
from ingle.verdict.causes.thermometer import biased_sensor
from ingle.verdict.causes.warmth import other_heat


def causes(case: Case) -> tuple[Cause, ...]:
    """Return what explains a room, most probable first."""
    of_heaters = [cause for heater in case.room.zone.heaters for cause in of_plate(case, heater)]
    listed = [*of_heaters, *biased_sensor(case), *other_heat(case)]
    if not of_heaters:
        listed += too_small(case)
    listed += excess_loss(case, explained={cause.code for cause in listed})
    return tuple(sorted(listed, key=lambda cause: -cause.probability))
