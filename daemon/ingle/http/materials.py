"""The table of materials, so that a page offers what the house file knows."""

from __future__ import annotations

from typing import Final

from ingle.http.route import Call, Reply, Route
from ingle.model.base import Result
from ingle.physics.materials import MATERIALS


class MaterialRow(Result, frozen=True, kw_only=True):
    """A material that a layer may name, its conductivity with its range, and where the figure is from."""

    id: str
    conductivity_w_per_mk: float
    low_w_per_mk: float
    high_w_per_mk: float
    source: str


class Materials(Result, frozen=True, kw_only=True):
    """Every material a layer may name, by id."""

    materials: tuple[MaterialRow, ...]


_TABLE: Final = Materials(
    materials=tuple(
        MaterialRow(
            id=name,
            conductivity_w_per_mk=row.conductivity,
            low_w_per_mk=round(row.low, 4),
            high_w_per_mk=round(row.high, 4),
            source=row.source,
        )
        for name, row in sorted(MATERIALS.items())
    )
)


async def materials(_: Call) -> Reply:
    """Return the table of materials."""
    return Reply(value=_TABLE)


ROUTES = (
    Route(
        method="GET",
        path="/api/materials",
        summary="Materials that a layer may name, with conductivity and source",
        handler=materials,
        answers=Materials,
    ),
)
