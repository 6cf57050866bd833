"""A house document tried out: its design comes back, nothing of it stays."""

from __future__ import annotations

from typing import Any

import msgspec

from ingle.design import design_house
from served import HOUSE, Served
from surveys import net_loft

LOFT = net_loft()


async def tried(served: Served, document: object, query: str = "") -> tuple[int, Any]:
    """Post a document; return status and answer."""
    async with served.client.post(served.url(f"/api/design/try{query}"), json=document) as answer:
        return answer.status, await answer.json(content_type=None)


async def test_a_document_is_worked_out_and_not_stored(served: Served) -> None:
    """The answer is that document's design; house, design and history of the house that runs stay."""
    before = await served.get("/api/house/history")
    status, answer = await tried(served, msgspec.to_builtins(LOFT))
    assert (status, answer["faults"]) == (200, [])
    assert answer["design"] == msgspec.json.decode(msgspec.json.encode(design_house(LOFT)))
    assert await served.get("/api/house/history") == before
    assert (await served.get("/api/design"))["zones"][0]["id"] == HOUSE.zones[0].id


async def test_one_zone_is_enough_for_who_types(served: Served) -> None:
    """With zone only that one is answered, as it is in the whole design; the total stays the house's."""
    document = msgspec.to_builtins(HOUSE)
    _, whole = await tried(served, document)
    status, one = await tried(served, document, "?zone=hall")
    assert status == 200
    assert one["design"]["zones"] == [zone for zone in whole["design"]["zones"] if zone["id"] == "hall"]
    assert one["design"]["total_w"] == whole["design"]["total_w"]


async def test_every_fault_is_pointed_at(served: Served) -> None:
    """Wrong and missing values are an answer, named one by one by JSON Pointer, with what is allowed; no design."""
    document = msgspec.to_builtins(LOFT)
    del document["zone"][0]["element"][1]["area_m2"]
    document["zone"][0]["element"][0]["u_w_per_m2k"] = "1,4"
    document["zone"][0]["air_changes_per_h"] = -1
    status, answer = await tried(served, document)
    assert (status, answer["design"]) == (200, None)
    assert {wrong["pointer"] for wrong in answer["faults"]} == {
        "/zone/0/element/1/area_m2",
        "/zone/0/element/0/u_w_per_m2k",
        "/zone/0/air_changes_per_h",
    }
    assert all(wrong["allowed"] for wrong in answer["faults"])


async def test_what_is_no_document_at_all(served: Served) -> None:
    """A list or a number has one fault, the whole of it; what is not JSON is refused."""
    status, answer = await tried(served, [])
    assert (status, [wrong["pointer"] for wrong in answer["faults"]]) == (200, [""])
    address = served.url("/api/design/try")
    async with served.client.post(address, data=b"{", headers={"Content-Type": "application/json"}) as refused:
        assert refused.status == 400


async def test_a_zone_that_the_document_does_not_have(served: Served) -> None:
    """Asking for a zone that is not in the document is a fault of the query, and names it."""
    status, problem = await tried(served, msgspec.to_builtins(LOFT), "?zone=hall")
    assert status == 400
    assert (problem["errors"][0]["pointer"], problem["errors"][0]["place"]) == ("/zone", "query")
