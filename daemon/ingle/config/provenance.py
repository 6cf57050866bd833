"""What provenance must agree with: the number that it speaks of, and limits that hold it."""

from __future__ import annotations

import math

import msgspec

from ingle.config.findings import Findings, Path, below
from ingle.config.walk import faults_of_field, numeric_fields
from ingle.model.numbers import number, within
from ingle.model.provenance import Provenance

#: Tables and lists inside whose numbers may have a provenance of their own, and how such a number is called.
INSIDE = {
    "layers": "layers.1.lambda and the like",
    "ground": "ground.soil_lambda and the like",
    "beyond": "beyond.temperature_c or beyond.factor",
    "air": "air.1.m3_per_h, air.1.from.temperature_c and the like",
}


def check_provenance(holder: msgspec.Struct, provenance: dict[str, Provenance], path: Path, findings: Findings) -> None:
    """Check that provenance names a number field, with limits that this field could have and that hold its value."""
    for key, origin in provenance.items():
        where = (*path, "provenance", key)
        home, field = _home(holder, key)
        if home is None:
            allowed = f"a field that is a number: one of {', '.join(_numbers(holder))}"
            findings.add(where, msgspec.to_builtins(origin), allowed)
            continue
        limits = {end: limit for end in ("low", "high") if (limit := getattr(origin, end)) is not None}
        for end, limit in limits.items():
            for fault in faults_of_field(int(limit) if limit.is_integer() else limit, type(home), field):
                findings.add((*where, end), limit, fault.allowed)
        _check_limits(number(holder, key), limits, where, (*path, key.split(".")[0]), findings)


def _home(holder: msgspec.Struct, key: str) -> tuple[msgspec.Struct | None, str]:
    """Return the table that a number lies in, and its key there; no table where it is none that can be uncertain."""
    inside, _, field = key.rpartition(".")
    if inside and inside.split(".")[0] not in INSIDE:
        return None, field
    home = within(holder, inside) if inside else holder
    if isinstance(home, msgspec.Struct) and field in numeric_fields(type(home)):
        return home, field
    return None, field


def _numbers(holder: msgspec.Struct) -> list[str]:
    """Return the names of the numbers that provenance may speak of."""
    own = list(numeric_fields(type(holder)))
    return own + [name for key, name in INSIDE.items() if key in holder.__struct_encode_fields__]


def _check_limits(value: float | None, limits: dict[str, float], where: Path, field: Path, findings: Findings) -> None:
    low, high = limits.get("low", -math.inf), limits.get("high", math.inf)
    if low > high:
        findings.add((*where, "low"), low, f"at most high, which is {high:g}", rests_on=below(where, limits))
    elif value is not None and low > value:
        findings.add((*where, "low"), low, f"at most the value itself, which is {value:g}", rests_on=[field])
    elif value is not None and high < value:
        findings.add((*where, "high"), high, f"at least the value itself, which is {value:g}", rests_on=[field])
