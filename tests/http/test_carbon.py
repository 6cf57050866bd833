"""Carbon over HTTP: by the house's own file, and none without it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import msgspec
import pytest

from ingle.http.serve import serve_http
from ingle.model.instants import to_ms
from ingle.model.readings import Reading, Source
from served import Served

FACTORS = """
name = "Invented factors"
region = "Haverlock"
[[factor]]
year = 2025
kg_per_kwh = 0.2
"""


async def used(served: Served) -> None:
    """Let the hall take 2 kWh in the last hour of 2025 and 1.8 kWh in the first of 2026."""
    midnight = datetime(2026, 1, 1, tzinfo=UTC)
    for minutes, energy_wh in ((-60, 0.0), (0, 2000.0), (60, 3800.0)):
        t_ms = to_ms(midnight + timedelta(minutes=minutes))
        source = Source("heater", "hall-1")
        served.parts.store.append(
            [Reading(source=source, t_ms=t_ms, arrived_ms=t_ms, energy_wh=energy_wh, energy_is="metered")]
        )
    await served.parts.store.write(lambda _: None)


async def asked(served: Served, file: Path | None) -> Any:
    """Return the carbon of the new year's two days, as an ingle with that file in its settings answers."""
    settings = msgspec.structs.replace(served.parts.settings, carbon=None if file is None else str(file))
    parts = replace(served.parts, settings=settings)
    async with await serve_http(parts) as listener:
        url = f"{listener.page.rstrip('/')}/api/carbon?from=2025-12-31&to=2026-01-01"
        async with served.client.get(url) as answer:
            assert answer.status == 200, await answer.text()
            return await answer.json()


async def test_each_year_by_its_factor_and_none_by_default(served: Served, tmp_path: Path) -> None:
    """2 kWh of 2025 at 0.2 are 0.4 kg with name and year; 2026 has no factor and is left out, and that is said."""
    await used(served)
    file = tmp_path / "carbon.toml"
    file.write_text(FACTORS)
    found = await asked(served, file)
    assert (found["name"], found["region"]) == ("Invented factors", "Haverlock")
    assert found["kg"] == pytest.approx(0.4)
    assert [(each["year"], each["kg_per_kwh"], each["energy_wh"]) for each in found["years"]] == [
        (2025, 0.2, 2000.0),
        (2026, None, 1800.0),
    ]
    assert {each["zone"]: each["kg"] for each in found["zones"]}["hall"] == pytest.approx(0.4)
    assert "Invented factors has no factor for 2026: 1.8 kWh are left out." in found["missing"]


async def test_without_the_file_no_carbon_is_shown(served: Served, tmp_path: Path) -> None:
    """No file named, a file that is gone, a file with faults: no number anywhere, and the reason."""
    await used(served)
    faulty = tmp_path / "faulty.toml"
    faulty.write_text(FACTORS.replace("0.2", "-3"))
    for file, said in (
        (None, "No factor file is named in the settings"),
        (tmp_path / "gone.toml", "gone.toml"),
        (faulty, "faulty.toml: factor[0].kg_per_kwh: -3 is not allowed"),
    ):
        found = await asked(served, file)
        assert found["kg"] is None
        assert {each["kg"] for each in (*found["years"], *found["zones"])} == {None}
        assert any(said in line for line in found["missing"])
        assert any("no carbon is shown" in line for line in found["missing"])
