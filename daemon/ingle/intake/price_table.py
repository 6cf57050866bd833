"""A CSV file of half-hourly prices: columns ``from``, ``to`` and ``per_kwh``, in any order, nothing else."""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from datetime import datetime
from typing import Final

from ingle.errors import BadInput, Fault
from ingle.model.prices import PriceGiven

COLUMNS: Final = ("from", "to", "per_kwh")
#: Two years of half-hours.
ROWS_MAX: Final = 40_000
_LOW, _HIGH = -10.0, 100.0


def parse(raw: bytes, source: str) -> list[tuple[PriceGiven, int]]:
    """Return the prices of a file, each with its line.

    Raises
    ------
    BadInput
        With every fault of its form, by line and column.
    """
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput([Fault((), "bytes that are not UTF-8", "text in UTF-8", source)]) from None
    lines = list(csv.reader(text.splitlines()))
    _check_head(lines[0] if lines else [], source)
    if len(lines) - 1 > ROWS_MAX:
        raise BadInput([Fault((), len(lines) - 1, f"at most {ROWS_MAX} rows at once", source)])
    order = [name.strip() for name in lines[0]]
    found: list[tuple[PriceGiven, int]] = []
    faults: list[Fault] = []
    for number, cells in enumerate(lines[1:], 2):
        if cells:
            price, wrong = _row(dict(zip(order, cells, strict=False)), number, source)
            faults += wrong
            if price is not None:
                found.append((price, number))
    if not found and not faults:
        faults.append(Fault((), 0, "at least one row", source))
    if faults:
        raise BadInput(faults[:50])
    return found


def _check_head(cells: Sequence[str], source: str) -> None:
    if sorted(cell.strip() for cell in cells) != sorted(COLUMNS):
        raise BadInput([Fault(("line 1",), ",".join(cells)[:80], f"the columns {', '.join(COLUMNS)}", source)])


def _row(cells: dict[str, str], line: int, source: str) -> tuple[PriceGiven | None, list[Fault]]:
    faults: list[Fault] = []
    times = [_instant(cells.get(name, "").strip()) for name in ("from", "to")]
    faults += [
        Fault((f"line {line}", name), cells.get(name, ""), "an instant with its offset: 2026-01-31T18:00:00Z", source)
        for name, when in zip(("from", "to"), times, strict=True)
        if when is None
    ]
    per_kwh = _number(cells.get("per_kwh", ""))
    if per_kwh is None:
        allowed = f"a number from {_LOW:g} to {_HIGH:g}"
        faults.append(Fault((f"line {line}", "per_kwh"), cells.get("per_kwh", ""), allowed, source))
    start, end = times
    if faults or start is None or end is None or per_kwh is None:
        return None, faults
    return PriceGiven(start=start, end=end, per_kwh=per_kwh), []


def _instant(text: str) -> datetime | None:
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        return None
    return when if when.tzinfo is not None else None


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) and _LOW <= value <= _HIGH else None
