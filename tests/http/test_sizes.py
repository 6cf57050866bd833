"""Heaters for a room and the circuits of the house, over HTTP."""

from __future__ import annotations

import pytest

from served import Served


async def test_options_of_a_zone(served: Served) -> None:
    """40 W/K over 22 K are 880 W: a plate of 1 kW meets it with 13.6 %; the installed stand beside it."""
    found = await served.get("/api/zones/loft/options")
    assert found["load_w"] == 880
    single = next(each for each in found["options"] if each["label"] == "1000 W")
    assert single["margin_percent"] == pytest.approx(13.6, abs=0.05)
    assert found["installed"]["rated_w"] == 2000
    assert any("competent electrician" in caution for caution in found["cautions"])


async def test_what_is_wished_is_heard(served: Served) -> None:
    """Plate, voltage and the ordinary day come with the query."""
    found = await served.get("/api/zones/loft/options?rating_w=500&voltage_v=216.2&outdoor_c=5")
    assert [each["label"] for each in found["options"]] == ["2 x 500 W"]
    assert found["options"][0]["output_w"] == pytest.approx(883.6)
    assert found["options"][0]["ordinary_day"]["outdoor_c"] == 5


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ("rating_w=50", "/rating_w"),
        ("rating_w=many", "/rating_w"),
        ("voltage_v=nan", "/voltage_v"),
        ("element=steam", "/element"),
        ("rating_w=1000&section_w=100", "/section_w"),
        ("from_c=20&to_c=18", "/to_c"),
        ("colour=red", "/colour"),
    ],
)
async def test_a_wrong_wish_is_named(served: Served, query: str, pointer: str) -> None:
    """400 with the parameter and what is allowed."""
    async with served.client.get(served.url(f"/api/zones/loft/options?{query}")) as answer:
        assert answer.status == 400
        problem = await answer.json(content_type=None)
    (wrong,) = problem["errors"]
    assert wrong["pointer"] == pointer
    assert wrong["allowed"]


async def test_an_unknown_zone_is_named_with_the_known(served: Served) -> None:
    """404 in a sentence."""
    async with served.client.get(served.url("/api/zones/attic/options")) as answer:
        assert answer.status == 404
        problem = await answer.json(content_type=None)
    assert "attic" in problem["detail"]
    assert "loft" in problem["detail"]


async def test_circuits_of_the_house(served: Served) -> None:
    """The portable heater's plug, the supply over all four heaters (4.75 kW, 20.65 A), and what is on no circuit."""
    found = await served.get("/api/circuits")
    assert [each["id"] for each in found["circuits"]] == ["plug of store-1"]
    (supply,) = found["supply"]
    assert supply["connected_a"] == pytest.approx(4750 / 230)
    assert supply["verdict"] == "unknown"
    assert found["without_circuit"] == ["loft-1", "loft-2", "hall-1", "store-1"]
    assert found["standing_kwh_per_year"] == pytest.approx(105.12)
