"""Bills over HTTP: entered, corrected, removed; every change in the history, every fault pointed at."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from ingle.model.devices import Meter
from ingle.model.instants import to_ms
from ingle.model.readings import Reading, Source
from ingle.model.tariff import Rate, Tariff
from ingle.store import events
from served import HOUSE, Served, serving

TARIFF = Tariff(start="2025-01-01", currency="GBP", rates=(Rate(per_kwh=0.3),))
BILL = {"from": "2025-12-01", "to": "2025-12-15", "kwh": 280.5, "money": "98.10"}


def counted(kind: str, name: str, watts: float) -> list[Reading]:
    """Return an hourly counter of the two weeks that the bill is for."""
    start = datetime(2025, 12, 1, tzinfo=UTC)
    times = [start + timedelta(hours=n) for n in range(14 * 24 + 1)]
    return [
        Reading(source=Source(kind, name), t_ms=to_ms(at), arrived_ms=to_ms(at), energy_wh=watts * n)  # type: ignore[arg-type]  # kinds of the test
        for n, at in enumerate(times)
    ]


@pytest.fixture(name="billed")
async def _billed(tmp_path: Path, empty: Path) -> AsyncIterator[Served]:
    """Serve a house with a tariff and a supply meter, of which nothing is known yet."""
    house = replace(HOUSE, tariffs=(TARIFF,), meters=(Meter(id="main"),))
    async with serving(tmp_path, house, empty=empty) as served:
        yield served


async def send(served: Served, method: str, path: str, body: object = None, **headers: str) -> tuple[int, Any, str]:
    """Ask, and return status, body and ETag."""
    url = served.url(path)
    async with served.client.request(method, url, json=body, headers=headers) as answer:
        return answer.status, await answer.json(content_type=None), answer.headers.get("ETag", "")


async def history(served: Served) -> list[dict[str, Any]]:
    """Return what the audit trail says of bills."""
    found = await served.parts.store.read(lambda conn: events.since(conn, 0))
    return [{"subject": each.subject, **each.data} for each in found if each.kind == "bill"]


async def test_a_bill_from_entry_to_removal(billed: Served) -> None:
    """Entered, corrected under its ETag, removed; who did it and why stays, with what it was before and after."""
    status, made, tag = await send(billed, "POST", "/api/bills?who=Wenna%20Trask&why=post", BILL)
    assert (status, made["number"], made["days"], made["money"], made["currency"]) == (201, 1, 14, "98.10", "GBP")
    assert (made["kwh_per_day"], made["money_per_day"]) == (pytest.approx(20.0357, abs=1e-3), "7.01")
    status, changed, newer = await send(
        billed, "PUT", "/api/bills/1?why=misread", {**BILL, "kwh": 208.5, "money": "73"}, **{"If-Match": tag}
    )
    assert (status, changed["kwh"], changed["money"]) == (200, 208.5, "73.00")
    assert newer != tag
    assert (await send(billed, "DELETE", "/api/bills/1", **{"If-Match": tag}))[0] == 412
    status, gone, _ = await send(billed, "DELETE", "/api/bills/1?why=double", **{"If-Match": newer})
    assert (status, gone["kwh"]) == (200, 208.5)
    assert (await billed.get("/api/bills"))["bills"] == []
    told = await history(billed)
    assert [(each["do"], each["subject"], each["who"], each["why"]) for each in told] == [
        ("enter", "1", "Wenna Trask", "post"),
        ("change", "1", "local user", "misread"),
        ("remove", "1", "local user", "double"),
    ]
    assert (told[1]["before"]["kwh"], told[1]["after"]["kwh"], told[2]["after"]) == (280.5, 208.5, None)


async def test_a_number_is_never_given_twice(billed: Served) -> None:
    """A bill that is gone leaves its number behind, for the history speaks of it."""
    _, _, tag = await send(billed, "POST", "/api/bills", BILL)
    await send(billed, "DELETE", "/api/bills/1", **{"If-Match": tag})
    _, made, _ = await send(billed, "POST", "/api/bills", BILL)
    assert made["number"] == 2


async def test_what_no_heater_drew(billed: Served) -> None:
    """The bill less the heaters; with the supply's own meter read throughout, that meter less the heaters."""
    for name, watts in (("loft-1", 300.0), ("loft-2", 0.0), ("hall-1", 200.0), ("store-1", 0.0)):
        billed.parts.intake.accept_all(counted("heater", name, watts))
    await billed.parts.store.write(lambda _: None)
    _, made, _ = await send(billed, "POST", "/api/bills", BILL)
    # 14 days x 24 h x 0.5 kW = 168 kWh of heaters
    assert (made["heaters_kwh"], made["heaters_quality"]) == (pytest.approx(168), "filled")
    assert (made["other_kwh"], made["other_from"]) == (pytest.approx(112.5), "bill")
    billed.parts.intake.accept_all(counted("meter", "main", 800.0))
    await billed.parts.store.write(lambda _: None)
    again = await billed.get("/api/bills/1")
    assert (again["supply_kwh"], again["other_kwh"]) == (pytest.approx(268.8), pytest.approx(100.8))
    assert again["other_from"] == "supply meter"
    assert again["missing"] == []


async def test_unknown_heaters_leave_the_rest_unknown(billed: Served) -> None:
    """Three heaters of four known say nothing of the fourth: null, and how much is known."""
    for name in ("loft-1", "loft-2", "hall-1"):
        billed.parts.intake.accept_all(counted("heater", name, 100.0))
    await billed.parts.store.write(lambda _: None)
    _, made, _ = await send(billed, "POST", "/api/bills", {**BILL, "estimated_read": True})
    assert (made["heaters_kwh"], made["other_kwh"], made["other_from"]) == (None, None, None)
    assert "known not at all" in made["missing"][0]
    assert "estimated" in made["missing"][1]


async def test_meters_that_contradict_each_other_are_said(billed: Served) -> None:
    """Heaters that counted more than the bill, and a supply meter that counted another figure."""
    for name in ("loft-1", "loft-2", "hall-1", "store-1"):
        billed.parts.intake.accept_all(counted("heater", name, 300.0))
    billed.parts.intake.accept_all(counted("meter", "main", 1000.0))
    await billed.parts.store.write(lambda _: None)
    _, made, _ = await send(billed, "POST", "/api/bills", BILL)
    assert made["other_kwh"] == pytest.approx(-67.2)
    assert "more than the supply" in made["missing"][0]
    assert "counted 336.0 kWh, not the 280.5" in made["missing"][1]


async def test_a_meter_read_by_hand_may_cover_a_bills_days(billed: Served) -> None:
    """A hand-read meter checks a bill, so they may share days; two bills may not."""
    await send(billed, "POST", "/api/bills", BILL)
    status, made, _ = await send(billed, "POST", "/api/bills", {**BILL, "kind": "meter", "money": None})
    assert (status, made["kind"], made["money"]) == (201, "meter", None)
    status, refused, _ = await send(billed, "POST", "/api/bills", {**BILL, "from": "2025-12-14", "to": "2026-01-01"})
    assert status == 422
    assert refused["errors"][0]["pointer"] == "/from"
    assert "number 1 is from 2025-12-01 to 2025-12-15" in refused["errors"][0]["allowed"]
    status, _, _ = await send(billed, "POST", "/api/bills", {**BILL, "from": "2025-12-15", "to": "2026-01-01"})
    assert status == 201


@pytest.mark.parametrize(
    ("change", "pointer", "allowed"),
    [
        ({"to": "2025-12-01"}, "/to", "a date after from"),
        ({"to": "2025-11-01"}, "/to", "a date after from"),
        ({"from": "2025-02-30"}, "/from", "a date that exists"),
        ({"from": "1066-10-14"}, "/from", "a date from 1990-01-01"),
        ({"from": "2020-12-01"}, "/to", "at most 1100 days"),
        ({"from": "1.12.2025"}, "/from", "YYYY-MM-DD"),
        ({"kwh": -1}, "/kwh", "a number from 0 to 10000000"),
        ({"kwh": "280"}, "/kwh", "a number"),
        ({"money": "98,10"}, "/money", "an amount, such as 430.06"),
        ({"money": "98.123"}, "/money", "an amount, such as 430.06"),
        ({"money": 98.1}, "/money", "text"),
        ({"currency": "pounds"}, "/currency", "ISO 4217"),
        ({"kind": "guess"}, "/kind", "one of bill, meter"),
        ({"kind": "meter"}, "/money", "a hand-read meter has no amount"),
        ({"note": "x" * 501}, "/note", "at most 500"),
        ({"paid": True}, "/paid", "no such key"),
    ],
)
async def test_a_fault_of_a_bill_is_pointed_at(
    billed: Served, change: dict[str, Any], pointer: str, allowed: str
) -> None:
    """The field, and what it takes; nothing is kept."""
    status, refused, _ = await send(billed, "POST", "/api/bills", {**BILL, **change})
    assert status == 422, refused
    assert pointer in [wrong["pointer"] for wrong in refused["errors"]]
    assert allowed in json.dumps(refused["errors"])
    assert (await billed.get("/api/bills"))["bills"] == []
    assert await history(billed) == []


async def test_money_without_a_currency_is_refused(billed: Served) -> None:
    """Where no tariff says what the money is, the bill must."""
    old = {**BILL, "from": "2024-01-01", "to": "2024-01-15"}
    status, refused, _ = await send(billed, "POST", "/api/bills", old)
    assert (status, refused["errors"][0]["pointer"]) == (422, "/currency")
    assert (await send(billed, "POST", "/api/bills", {**old, "currency": "EUR"}))[0] == 201


@pytest.mark.parametrize("path", ["/api/bills/7", "/api/bills/0", "/api/bills/one", "/api/bills/-1", "/api/bills/²"])
async def test_a_bill_that_is_not_there(billed: Served, path: str) -> None:
    """404 in words, for numbers that were never given and for what is no number."""
    for method, headers in (("GET", {}), ("DELETE", {"If-Match": '"any"'})):
        status, problem, _ = await send(billed, method, path, **headers)
        assert status == 404
        assert "there is no bill" in problem["detail"]


async def test_a_change_names_what_it_changes(billed: Served) -> None:
    """Without If-Match neither a correction nor a removal is done."""
    await send(billed, "POST", "/api/bills", BILL)
    assert (await send(billed, "PUT", "/api/bills/1", BILL))[0] == 428
    assert (await send(billed, "DELETE", "/api/bills/1"))[0] == 428


async def test_why_one_bill_is_higher(billed: Served) -> None:
    """Steps that add up to the difference, in the order of the causes; by default beside the bill before."""
    await send(billed, "POST", "/api/bills", {**BILL, "from": "2025-11-01", "to": "2025-12-01", "money": "90"})
    await send(billed, "POST", "/api/bills", {**BILL, "kwh": 300})
    found = await billed.get("/api/bills/2/why?against=1")
    assert (found["from_bill"], found["to_bill"], found["difference"], found["currency"]) == (1, 2, "8.10", "GBP")
    assert [step["code"] for step in found["steps"]] == [
        "days",
        "price",
        "weather",
        "warmer",
        "longer",
        "loss",
        "other-load",
        "unexplained",
    ]
    assert sum(Decimal(step["money"]) for step in found["steps"]) == Decimal("8.10")
    assert sum(Decimal(str(step["kwh"])) for step in found["steps"]) == Decimal("19.5")
    assert found["order"] == "averaged over all orders"
    assert "14 days instead of 30" in found["steps"][0]["sentence"]
    assert found["missing"]
    assert await billed.get("/api/bills/2/why") == found


@pytest.mark.parametrize(
    ("query", "status"), [("against=2", 400), ("against=one", 400), ("against=0", 400), ("against=7", 404)]
)
async def test_bills_that_cannot_be_set_side_by_side(billed: Served, query: str, status: int) -> None:
    """With itself, by no number, or with one that is not there; the query is pointed at."""
    await send(billed, "POST", "/api/bills", {**BILL, "from": "2025-11-01", "to": "2025-12-01"})
    await send(billed, "POST", "/api/bills", BILL)
    code, problem, _ = await send(billed, "GET", f"/api/bills/2/why?{query}")
    assert code == status
    if status == 400:
        assert (problem["errors"][0]["pointer"], problem["errors"][0]["place"]) == ("/against", "query")
