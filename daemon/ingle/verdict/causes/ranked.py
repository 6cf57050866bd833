"""Which causes are asked in which order, and who is silenced by whom."""

from __future__ import annotations

from ingle.model.verdicts import Cause
from ingle.verdict.causes.case import Case, Clocked
from ingle.verdict.causes.held import held
from ingle.verdict.causes.loss import excess_loss
from ingle.verdict.causes.neighbour import cold_neighbour
from ingle.verdict.causes.opening import opening
from ingle.verdict.causes.plate import of_plate
from ingle.verdict.causes.short import too_small
from ingle.verdict.causes.thermometer import biased_sensor, misplaced_sensor
from ingle.verdict.causes.wants import wants
from ingle.verdict.causes.warmth import other_heat


def causes(case: Case) -> tuple[Cause, ...]:
    """Return what explains a room, most probable first.

    A heater with a dead part is not called too small; a thermometer in the wrong place says nothing of the hours; a
    window that stands open is not called a heater too small.
    """
    of_heaters = [cause for heater in case.room.zone.heaters for cause in of_plate(case, heater)]
    of_sensors = [*misplaced_sensor(case), *biased_sensor(case)]
    listed = [*of_heaters, *of_sensors]
    if not any(cause.code == "sensor-place" for cause in of_sensors):
        clocked = _sharper(opening(case), other_heat(case))
        listed += clocked
        if not of_heaters and not any(cause.code == "opening" for cause in clocked):
            listed += too_small(case)
        listed += cold_neighbour(case)
    listed += [*wants(case), *held(case)]
    listed += excess_loss(case, listed)
    return tuple(sorted(listed, key=lambda cause: -cause.probability))


def _sharper(opened: Clocked | None, warmed: Clocked | None) -> list[Cause]:
    """Return the sharper of the two: each makes the other hours of the clock look like its opposite."""
    found = [each for each in (opened, warmed) if each is not None]
    return [max(found, key=lambda each: each.sharp).cause] if found else []
