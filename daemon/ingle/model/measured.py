"""What a reading may hold, with the range that each value may have, for every face that readings come in by.

The ranges are wide enough for any real house, so that what they refuse is a slip (°F, kW for W, joules), not an
opinion. What is merely unusual for one heater's plate is taken, and counted as suspect.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated, Final

from msgspec import Meta, Struct

from ingle.model.instants import to_ms
from ingle.model.readings import EnergyIs, Source

Celsius = Annotated[float, Meta(ge=-60, le=100)]
#: What a heater may report at least: a meter's own error around nothing, but no generator [W].
HEATER_LEAST_W: Final = -100.0
#: How far above its plate a heater may draw before it is suspect: 10 % overvoltage is 21 % more power, and 5 % of
#: tolerance on the plate (EN 60335-1:2012, 10.1, power input of heating appliances; from memory).
SUSPECT_SHARE: Final = 1.27
#: The time of a reading is believed from here up to, not at, there [ms]: no clock that was ever set says anything
#: else, and every instant between can be written on any clock of the world.
EARLIEST_MS: Final = to_ms(datetime(2000, 1, 1, tzinfo=UTC))
LATEST_MS: Final = to_ms(datetime(2100, 1, 1, tzinfo=UTC))
TIMES_WORDS: Final = "the years 2000 to 2099"


class Measured(Struct, gc=False):
    """The values that a source can report, any subset."""

    power_w: Annotated[float, Meta(ge=-100_000, le=100_000)] | None = None
    energy_wh: Annotated[float, Meta(ge=0, le=1e12)] | None = None
    energy_is: EnergyIs | None = None
    voltage_v: Annotated[float, Meta(ge=0, le=500)] | None = None
    temp_c: Celsius | None = None
    setpoint_c: Celsius | None = None
    humidity_percent: Annotated[float, Meta(ge=0, le=100)] | None = None
    irradiance_w_per_m2: Annotated[float, Meta(ge=-10, le=2000)] | None = None
    wind_m_per_s: Annotated[float, Meta(ge=0, le=120)] | None = None
    opening: bool | None = None
    fault: Annotated[str, Meta(max_length=200)] | None = None


#: What must be there, at least one of them, for a report to say anything.
VALUES: Final = tuple(name for name in Measured.__struct_fields__ if name != "energy_is")


def nothing_said(measured: Measured) -> bool:
    """Whether a report holds no value at all; written out, because every message of the house passes here.

    >>> nothing_said(Measured(energy_is="metered")), nothing_said(Measured(opening=False))
    (True, False)
    """
    m = measured
    return (
        m.temp_c is None
        and m.power_w is None
        and m.energy_wh is None
        and m.setpoint_c is None
        and m.voltage_v is None
        and m.humidity_percent is None
        and m.opening is None
        and m.irradiance_w_per_m2 is None
        and m.wind_m_per_s is None
        and m.fault is None
    )


def why_implausible(source: Source, measured: Measured) -> str:
    """Return what is wrong with values that are each in range, empty for nothing.

    >>> why_implausible(Source("heater", "loft-1"), Measured(power_w=-500.0))
    'power_w: -500 is not allowed for a heater; allowed: -100 or more'
    """
    if nothing_said(measured):
        return "it holds no measured value; allowed: any of " + ", ".join(VALUES)
    power_w = measured.power_w
    if power_w is not None and power_w < HEATER_LEAST_W and source.kind == "heater":
        return f"power_w: {power_w:g} is not allowed for a heater; allowed: {HEATER_LEAST_W:g} or more"
    return ""


def one_line(text: str) -> str:
    """Return a text in which nothing breaks a line, a table or a terminal, without space around it.

    >>> one_line("probe" + chr(10) + "open ")
    'probe open'
    """
    return (text if text.isprintable() else "".join(sign if sign.isprintable() else " " for sign in text)).strip()
