"""Bytes to readings and back: every payload is checked once, here.

A payload that is refused says why in a sentence fit for a log line; nothing of it is used. What each value may be
stands in ``model/measured``.
"""

from __future__ import annotations

import math
from datetime import datetime
from typing import Annotated, Any

import msgspec
from msgspec import Meta

from ingle.model.instants import to_ms
from ingle.model.measured import EARLIEST_MS, LATEST_MS, TIMES_WORDS, Measured, one_line, why_implausible
from ingle.model.readings import Reading, Source

#: The largest payload that is looked at [bytes].
PAYLOAD_MAX = 4096
#: What is believed as epoch seconds; milliseconds lie far beyond.
_T_MIN_S, _T_MAX_S = EARLIEST_MS // 1000, LATEST_MS // 1000


class Refused(ValueError):  # noqa: N818 - a payload that is refused, not a fault of ours
    """A payload that cannot be taken, and why."""


class Body(Measured, gc=False):
    """A payload's fields, any subset; what else it holds is passed over."""

    t: str | float | None = None
    boot: str | int | None = None
    seq: Annotated[int, Meta(ge=0, le=2**53)] | None = None


_decode = msgspec.json.Decoder(Body).decode


def reading(source: Source, payload: bytes, arrived_ms: int, *, retained: bool = False) -> Reading:
    """Turn a payload into a reading.

    Parameters
    ----------
    source
        Who reports, from the topic.
    payload
        A JSON object.
    arrived_ms
        When it arrived, used where it has no ``t`` [ms since 1970].
    retained
        Whether the broker kept it: then it is for showing only.

    Raises
    ------
    Refused
        With the reason.

    >>> reading(Source("heater", "loft-1"), b'{"t": 1768200000, "temp_c": 19.5}', 0).t_ms
    1768200000000
    """
    if len(payload) > PAYLOAD_MAX:
        raise Refused(f"{len(payload)} bytes is too much; allowed: {PAYLOAD_MAX}")
    if not payload:
        raise Refused("the payload is empty")
    try:
        body = _decode(payload)
    except msgspec.ValidationError as error:
        raise Refused(str(error)) from error
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise Refused(f"not JSON in UTF-8: {error}") from error
    except RecursionError as error:
        raise Refused("nested too deep") from error
    return from_body(source, body, arrived_ms, retained=retained)


def from_body(source: Source, body: Body, arrived_ms: int, *, retained: bool) -> Reading:
    """Return the reading that checked fields make."""
    why = why_implausible(source, body)
    if why:
        raise Refused(why)
    boot = None if body.boot is None else one_line(str(body.boot)[:64]) or None  # a blank one tells no boots apart
    return Reading(
        source=source,
        t_ms=arrived_ms if body.t is None else instant_ms(body.t),
        arrived_ms=arrived_ms,
        boot=boot,
        seq=body.seq if boot is not None else None,
        power_w=body.power_w,
        energy_wh=body.energy_wh,
        energy_is=body.energy_is,
        voltage_v=body.voltage_v,
        temp_c=body.temp_c,
        setpoint_c=body.setpoint_c,
        humidity_percent=body.humidity_percent,
        irradiance_w_per_m2=body.irradiance_w_per_m2,
        wind_m_per_s=body.wind_m_per_s,
        opening=body.opening,
        fault=body.fault if body.fault is None else one_line(body.fault),
        retained=retained,
    )


def instant_ms(t: str | float) -> int:
    """Return a payload's time as milliseconds since 1970: ISO 8601 with an offset, or epoch seconds.

    >>> instant_ms("2026-01-12T06:00:00+01:00") == instant_ms(1768194000)
    True
    """
    if isinstance(t, str):
        try:
            when = datetime.fromisoformat(t)
        except ValueError as error:
            raise Refused(f"t: {t[:40]!r} is no time; allowed: ISO 8601 with offset, or epoch seconds") from error
        if when.tzinfo is None:
            raise Refused(f"t: {t[:40]!r} has no offset; allowed: ISO 8601 with offset, or epoch seconds")
        t_ms = to_ms(when)
        if not EARLIEST_MS <= t_ms < LATEST_MS:
            raise Refused(f"t: {t[:40]!r} is not allowed; allowed: {TIMES_WORDS}")
        return t_ms
    if not _T_MIN_S <= t < _T_MAX_S:
        raise Refused(f"t: {t!r} is not epoch seconds of this age; allowed: {_T_MIN_S} to {_T_MAX_S}")
    return round(t * 1000)


def number(value: object) -> float | None:
    """Return a finite number that a foreign payload holds, None for anything else.

    >>> number("21.5"), number(True), number("NaN"), number([])
    (21.5, None, None, None)
    """
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return None
    try:
        found = float(value)
    except (ValueError, OverflowError):
        return None
    return found if math.isfinite(found) else None


def link(payload: bytes) -> bool:
    """Return whether a link is up.

    Raises
    ------
    Refused
        For anything but ``up`` and ``down``.
    """
    match payload.strip().strip(b'"').lower():
        case b"up":
            return True
        case b"down":
            return False
        case other:
            raise Refused(f"{other[:20]!r} is no link state; allowed: up, down")


def to_json(value: Any) -> bytes:  # noqa: ANN401 - any of our values
    """Return one of our values as JSON."""
    return msgspec.json.encode(value)
