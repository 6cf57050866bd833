"""The house document: read with its digest, changed only by who read the newest, refused whole with every fault."""

from __future__ import annotations

import asyncio
from typing import Any

import msgspec

from ingle.config.house import check_house
from ingle.design import design_house, design_version
from served import HOUSE, Served


async def put(served: Served, document: object, tag: str, why: str = "") -> tuple[int, Any, str]:
    """Put a house; return status, answer and its new tag."""
    headers = {"If-Match": tag}
    async with served.client.put(
        served.url("/api/house"), json=document, headers=headers, params={"why": why}
    ) as answer:
        return answer.status, await answer.json(content_type=None), answer.headers.get("ETag", "")


async def read(served: Served) -> tuple[Any, str]:
    """Return the document and its tag."""
    async with served.client.get(served.url("/api/house")) as answer:
        assert answer.status == 200
        return await answer.json(), answer.headers["ETag"]


async def test_what_is_read_can_be_put_back(served: Served) -> None:
    """The document is the house: checking it gives the same value, and putting it back keeps the digest."""
    document, tag = await read(served)
    assert check_house(document) == HOUSE
    status, made, same = await put(served, document, tag)
    assert (status, same) == (200, tag)
    assert made["digest"] == tag.strip('"')


async def test_a_change_makes_a_revision_and_runs(served: Served) -> None:
    """PUT with the tag that was read: a new revision with who and why, a new tag, and the new house is served."""
    document, tag = await read(served)
    document["zone"][1]["name"] = "Great Hall"
    status, made, new = await put(served, document, tag, "renamed")
    assert (status, made["revision"], made["why"]) == (200, 2, "renamed")
    assert new not in {tag, ""}
    assert (await read(served)) == (document, new)
    assert (await served.get("/api/zones/hall"))["name"] == "Great Hall"
    history = (await served.get("/api/house/history"))["revisions"]
    assert [(line["revision"], line["who"], line["why"]) for line in history] == [
        (1, "test", ""),
        (2, "local user", "renamed"),
    ]


async def test_someone_vulnerable_is_kept_cooler_only_with_a_reason(served: Served) -> None:
    """Words for the history are no reason here; with one in the zone it is saved, and it cannot be dropped."""
    document, tag = await read(served)
    zone = document["zone"][0]
    zone |= {"vulnerable": True, "levels": {"occupied_c": 17.0}}
    status, problem, _ = await put(served, document, tag, "survey of a room")
    assert status == 422
    (fault,) = problem["errors"]
    assert "18 °C" in fault["allowed"]
    assert "cooler_reason" in fault["allowed"]
    zone["cooler_reason"] = "as they wish"
    status, _, tag = await put(served, document, tag)
    assert status == 200
    del zone["cooler_reason"]
    assert (await put(served, document, tag))[0] == 422


async def test_of_two_who_read_the_same_one_is_told(served: Served) -> None:
    """Two changes to one version at the same time: one is made, the other gets 412; nothing is overwritten."""
    document, tag = await read(served)
    names = ("East Hall", "West Hall")
    answers = await asyncio.gather(
        *(put(served, {**document, "house": {**document["house"], "name": name}}, tag) for name in names)
    )
    assert sorted(status for status, _, _ in answers) == [200, 412]
    won = next(name for name, (status, _, _) in zip(names, answers, strict=True) if status == 200)
    assert (await read(served))[0]["house"]["name"] == won


async def test_a_weak_or_foreign_tag_matches_nothing(served: Served) -> None:
    """Only the strong tag of the newest version opens the door."""
    document, tag = await read(served)
    for wrong in (f"W/{tag}", "*", tag.strip('"'), f'{tag}, "other"', '""'):
        assert (await put(served, document, wrong))[0] == 412


async def test_every_fault_is_named(served: Served) -> None:
    """A bad document is refused whole, each fault with its pointer; the house that runs stays."""
    document, tag = await read(served)
    before = msgspec.json.encode(document)
    document["zone"][0]["floor_area_m2"] = -3
    document["zone"][1]["colour"] = "red"
    document["house"]["timezone"] = "Haverlock"
    status, problem, _ = await put(served, document, tag)
    assert status == 422
    assert {"/zone/0/floor_area_m2", "/zone/1/colour", "/house/timezone"} <= {
        wrong["pointer"] for wrong in problem["errors"]
    }
    assert msgspec.json.encode((await read(served))[0]) == before


async def test_a_house_that_is_no_object(served: Served) -> None:
    """A list or a number is refused as a whole."""
    _, tag = await read(served)
    for document in ([], 3, "house"):
        assert (await put(served, document, tag))[0] == 422


async def test_the_design_is_that_of_the_running_house(served: Served) -> None:
    """GET /api/design is what ingle design computes of the same house."""
    design = await served.get("/api/design")
    assert design["design_version"] == design_version(HOUSE)
    assert design == msgspec.json.decode(msgspec.json.encode(design_house(HOUSE)))
