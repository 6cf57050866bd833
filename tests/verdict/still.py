"""A house in which nothing moves: power by arithmetic from two coefficients, a party wall and constant temperatures."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ingle.config.house import parse_house
from ingle.design import design_house
from ingle.model.house import House
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.model.verdicts import Assessment, ZoneVerdict
from ingle.reports.assess import links
from ingle.verdict.rooms import assess_rooms
from ingle.verdict.series import Columns

START_MS = 1_767_571_200_000  # 2026-01-05 00:00 UTC
PARTY_W_PER_K = 15.0
WARM_C = {"hall": 20.0, "loft": 18.0}
OUTDOOR_C = 5.0

FILE = """
[house]
name = "Still House"
outdoor_design_c = -2.0
latitude_deg = 51.0
longitude_deg = 0.0

[[zone]]
id = "hall"
name = "Hall"
floor_area_m2 = 20.0
height_m = 2.4
given_w_per_k = 40.0
neighbours = ["loft"]

[[zone.element]]
name = "partition"
kind = "party"
area_m2 = 10.0
u_w_per_m2k = 1.5
beyond = "zone:loft"

[[zone.element]]
name = "window"
kind = "window"
area_m2 = 2.0
u_w_per_m2k = 1.6
faces_deg = 180

[[zone.heater]]
id = "hall-1"
rated_w = 2000

[[zone]]
id = "loft"
name = "Loft"
floor_area_m2 = 16.0
height_m = 2.4
given_w_per_k = 30.0

[[zone.heater]]
id = "loft-1"
rated_w = 1500
"""

SURVEYED = """
[[zone.element]]
name = "gable"
kind = "wall"
area_m2 = 16.0
u_w_per_m2k = 1.5
"""


def still_house(text: str = FILE) -> House:
    """Return the house."""
    return parse_house(text, "still.toml")


def still_readings(
    hall_w_per_k: float, loft_w_per_k: float, days: int = 28, *, outdoors: bool = True, every_s: int = 300
) -> Iterator[Reading]:
    """Return what the heaters and the outdoor station report, source by source."""
    between = PARTY_W_PER_K * (WARM_C["hall"] - WARM_C["loft"])
    watts = {
        "hall": hall_w_per_k * (WARM_C["hall"] - OUTDOOR_C) + between,
        "loft": loft_w_per_k * (WARM_C["loft"] - OUTDOOR_C) - between,
    }
    times = range(START_MS, START_MS + days * 86_400_000 + 1, every_s * 1000)
    for zone, power in watts.items():
        for t_ms in times:
            yield Reading(
                source=Source("heater", f"{zone}-1"),
                t_ms=t_ms,
                arrived_ms=t_ms,
                power_w=power,
                energy_wh=power * (t_ms - START_MS) / 3_600_000,
                temp_c=WARM_C[zone],
                setpoint_c=WARM_C[zone],
            )
    for t_ms in times if outdoors else ():
        yield Reading(source=OUTDOOR, t_ms=t_ms, arrived_ms=t_ms, temp_c=OUTDOOR_C)


def columns_by_source(readings: Iterator[Reading] | list[Reading]) -> dict[Source, Columns]:
    """Return readings as columns."""
    by_source: dict[Source, list[Reading]] = {}
    for reading in readings:
        by_source.setdefault(reading.source, []).append(reading)
    return {source: Columns.of(rows) for source, rows in by_source.items()}


def assess_columns(
    house: House, sources: dict[Source, Columns], *, zones: tuple[str, ...] = (), fit: bool = False
) -> Assessment:
    """Return what is said of a house whose readings lie in memory."""
    ends = [float(at) for columns in sources.values() if len(columns.t_s) for at in columns.t_s[[0, -1]]] or [0.0]
    nothing = Columns.of([])
    return assess_rooms(
        house,
        design_house(house),
        links(house),
        lambda source: sources.get(source, nothing),
        min(ends),
        max(ends),
        zones=zones,
        fit=fit,
    )


def changed(columns: Columns, **values: np.typing.ArrayLike) -> Columns:
    """Return columns with some values replaced."""
    new = {name: np.broadcast_to(np.asarray(each, np.float64), columns.t_s.shape) for name, each in values.items()}
    return Columns(t_s=columns.t_s, computed=columns.computed, values={**columns.values, **new})


def zone_of(assessment: Assessment, name: str) -> ZoneVerdict:
    """Return one zone's verdict."""
    return next(zone for zone in assessment.zones if zone.id == name)
