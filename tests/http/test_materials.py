"""The table of materials over HTTP."""

from __future__ import annotations

from ingle.physics.materials import MATERIALS
from served import Served


async def test_every_material_is_listed_with_its_source(served: Served) -> None:
    """Each row of the table is there once, by id, with its conductivity and where the figure is from."""
    rows = (await served.get("/api/materials"))["materials"]
    assert [row["id"] for row in rows] == sorted(MATERIALS)
    brick = next(row for row in rows if row["id"] == "brick-outer")
    assert brick["conductivity_w_per_mk"] == MATERIALS["brick-outer"].conductivity
    assert brick["low_w_per_mk"] < brick["conductivity_w_per_mk"] < brick["high_w_per_mk"]
    assert all(row["source"] for row in rows)
