"""The API's description is valid, and every documented operation answers as documented, in success and in refusal."""

from __future__ import annotations

import asyncio
import sqlite3
from functools import cache
from typing import Any, NamedTuple

import aiohttp
import jsonschema
import msgspec
import pytest
from jsonschema import Draft202012Validator
from openapi_spec_validator import validate

from ingle.commands.secrets import hash_password
from ingle.http import bodies
from ingle.http.openapi import describe
from ingle.http.table import ROUTES
from ingle.model.instants import to_ms
from ingle.model.people import Person
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.store import people as stored
from served import HOUSE, Served

DOCUMENT = msgspec.json.decode(msgspec.json.encode(describe(ROUTES)))
DOCUMENT_OF_HOUSE = msgspec.to_builtins(HOUSE)


A_BILL = {"from": "2025-12-01", "to": "2026-01-01", "kwh": 1480, "money": "516.07", "currency": "GBP"}
SOME_PRICES = {
    "series": "grid",
    "prices": [{"from": "2026-01-05T00:00:00Z", "to": "2026-01-05T00:30:00Z", "per_kwh": -0.02}],
}
PASSWORD = "ropes and tar on the quay"
A_READER = {"id": "reader", "name": "Reader", "role": "reader", "password": PASSWORD}
A_CLAIM = {"code": "X", "id": "wenna", "name": "Wenna Trask", "password": PASSWORD}
A_TARIFF = {"from": "2026-01-01", "currency": "GBP", "rates": [{"per_kwh": 0.3}]}
A_TEST = {"zones": ["hall"], "temp_c": 21, "nights": 4, "empty": True, "who": "Wenna"}


class Example(NamedTuple):
    """A valid call, and bodies and paths that earn a refusal."""

    path: str
    body: object = None
    wrong: object = None
    missing: str = ""
    refused: str = ""


EXAMPLES = {
    "get-zones": Example("/api/zones"),
    "get-zones-id": Example("/api/zones/loft", missing="/api/zones/nowhere"),
    "post-zones-id-overrides": Example(
        "/api/zones/loft/overrides",
        {"do": "override", "temp_c": 21, "for": "PT90M"},
        {"do": "override", "temp_c": 210},
        missing="/api/zones/nowhere/overrides",
        refused="/api/zones/store/overrides",
    ),
    "post-limits": Example("/api/limits", {"do": "cap", "cap_a": 20}, {"do": "cap", "cap_a": -1}),
    "get-house-now": Example("/api/house/now"),
    "get-heaters": Example("/api/heaters"),
    "get-notices": Example("/api/notices"),
    "post-clock-confirm": Example("/api/clock/confirm"),
    "get-house": Example("/api/house"),
    "put-house": Example("/api/house?why=test", DOCUMENT_OF_HOUSE, {**DOCUMENT_OF_HOUSE, "zone": [{"id": "A"}]}),
    "get-house-history": Example("/api/house/history"),
    "get-design": Example("/api/design"),
    "post-design-try": Example("/api/design/try?zone=hall", DOCUMENT_OF_HOUSE),
    "get-zones-id-options": Example(
        "/api/zones/loft/options?rating_w=1500&voltage_v=216.2", missing="/api/zones/nowhere/options"
    ),
    "get-carbon": Example("/api/carbon?from=2026-01-01&to=2026-01-12"),
    "get-forecasts": Example("/api/forecasts?limit=5"),
    "post-forecasts": Example("/api/forecasts", {"outdoor_c": 5}, {"outdoor_c": 500}),
    "get-zones-id-explain": Example(
        "/api/zones/loft/explain?at=2026-01-12T06:00:00Z", missing="/api/zones/nowhere/explain"
    ),
    "get-zones-id-what-if": Example(
        "/api/zones/loft/what-if?outdoor_c=5&cap_a=20", missing="/api/zones/nowhere/what-if?outdoor_c=5"
    ),
    "get-circuits": Example("/api/circuits"),
    "get-materials": Example("/api/materials"),
    "get-readings": Example(
        "/api/readings?zone=hall&from=2026-01-12T05:00:00Z&to=2026-01-13&limit=10",
        missing="/api/readings?heater=nowhere",
    ),
    "get-energy": Example("/api/energy?from=2026-01-11"),
    "get-costs": Example("/api/costs?from=2026-01-11&to=2026-01-12", missing="/api/costs?zone=nowhere"),
    "post-costs-try": Example(
        "/api/costs/try?from=2026-01-11&to=2026-01-11",
        {"tariff": [A_TARIFF]},
        {"tariff": [{**A_TARIFF, "rates": []}]},
        refused="/api/costs/try?from=2025-01-11&to=2025-01-11",
    ),
    "get-energy-days": Example("/api/energy/days?from=2026-01-11", missing="/api/energy/days?zone=nowhere"),
    "get-tariff": Example("/api/tariff?date=2026-01-11"),
    "get-energy-compare": Example(
        "/api/energy/compare?from=2026-01-05&to=2026-01-11", missing="/api/energy/compare?zone=nowhere"
    ),
    "get-prices": Example("/api/prices?series=grid&from=2026-01-05"),
    "post-prices": Example("/api/prices", SOME_PRICES, {**SOME_PRICES, "series": "A b"}),
    "get-bills": Example("/api/bills"),
    "post-bills": Example("/api/bills", A_BILL, {**A_BILL, "to": "2025-12-01"}),
    "get-bills-number": Example("/api/bills/1", missing="/api/bills/7"),
    "put-bills-number": Example("/api/bills/2", A_BILL, {**A_BILL, "kwh": -1}, missing="/api/bills/7"),
    "get-bills-number-why": Example("/api/bills/2/why?against=1", missing="/api/bills/2/why?against=7"),
    "delete-bills-number": Example("/api/bills/2", missing="/api/bills/7"),
    "get-verdicts": Example("/api/verdicts?from=2026-01-01&to=2026-01-12"),
    "get-verdicts-history": Example("/api/verdicts/history?zone=loft", missing="/api/verdicts/history?zone=nowhere"),
    "get-verdicts-id": Example("/api/verdicts/loft", missing="/api/verdicts/nowhere"),
    "post-verdicts-refresh": Example("/api/verdicts/refresh"),
    "get-heating-tests": Example("/api/heating-tests"),
    "get-heating-tests-number": Example("/api/heating-tests/1", missing="/api/heating-tests/7"),
    "post-heating-tests": Example("/api/heating-tests", A_TEST, {**A_TEST, "empty": False}),
    "post-heating-tests-look": Example("/api/heating-tests/look", A_TEST, {**A_TEST, "temp_c": 35}),
    "post-heating-tests-number-stop": Example(
        "/api/heating-tests/1/stop", {"who": "Wenna"}, {"who": ""}, missing="/api/heating-tests/7/stop"
    ),
    "post-claim": Example("/api/claim", A_CLAIM, {**A_CLAIM, "id": "A b"}),
    "post-session": Example("/api/session", {"id": "reader", "password": PASSWORD}, {"id": 5}),
    "post-session-end": Example("/api/session/end"),
    "get-me": Example("/api/me"),
    "get-people-rights": Example("/api/people/rights"),
    "get-people": Example("/api/people"),
    "post-people": Example("/api/people", A_READER, {**A_READER, "role": "boss"}),
    "post-people-id": Example(
        "/api/people/reader",
        {"name": "Reader", "role": "reader"},
        {"name": ""},
        missing="/api/people/nobody",
        refused="/api/people/wenna",
    ),
    "post-people-id-close": Example(
        "/api/people/reader/close", missing="/api/people/nobody/close", refused="/api/people/wenna/close"
    ),
    "post-people-id-password": Example(
        "/api/people/reader/password",
        {"password": "another sentence", "present": PASSWORD},
        {"password": "short", "present": PASSWORD},
        missing="/api/people/nobody/password",
    ),
    "post-people-id-tokens": Example(
        "/api/people/reader/tokens", {"label": "x"}, {"label": ""}, missing="/api/people/nobody/tokens"
    ),
    "post-proofs-number-end": Example("/api/proofs/1/end", missing="/api/proofs/7/end"),
    "get-events": Example("/api/events"),
    "get-healthz": Example("/healthz"),
    "get-readyz": Example("/readyz"),
    "get-openapi.json": Example("/api/openapi.json"),
}

OPERATIONS = [
    (method, path, operation) for path, item in DOCUMENT["paths"].items() for method, operation in item.items()
]
ERRORS = [
    (method, operation, int(status))
    for method, _, operation in OPERATIONS
    for status, answer in operation["responses"].items()
    if "application/problem+json" in answer["content"]
]


def check(body: object, schema: dict[str, Any]) -> None:
    """Hold a body to a schema of the document."""
    whole = {**schema, "components": DOCUMENT["components"]}
    Draft202012Validator(whole, format_checker=jsonschema.FormatChecker()).validate(body)


def test_the_document_is_valid() -> None:
    """An independent validator finds nothing wrong with the description."""
    validate(DOCUMENT)
    assert DOCUMENT["openapi"].startswith("3.1")


def test_every_route_is_described_and_has_an_example() -> None:
    """Nothing under /api is left out of the description, nor of this test."""
    names = [operation["operationId"] for _, _, operation in OPERATIONS]
    assert sorted(names) == sorted(EXAMPLES)
    assert len(set(names)) == len(names)


async def test_the_server_registers_what_is_described(served: Served) -> None:
    """The served document is this one."""
    assert await served.get("/api/openapi.json") == DOCUMENT


@pytest.mark.parametrize(
    ("method", "path", "operation"), OPERATIONS, ids=[one["operationId"] for _, _, one in OPERATIONS]
)
async def test_valid_call(served: Served, method: str, path: str, operation: Any) -> None:
    """A valid call gets the documented status, media type and body, and the headers that are promised."""
    del path
    await hear(served)
    example = EXAMPLES[operation["operationId"]]
    if "heating-tests-number" in operation["operationId"]:
        await served.post("/api/heating-tests", A_TEST, 201)
    await prepare_money(served, operation["operationId"])
    body, token = await people(served, operation["operationId"], example.body)
    async with await ask(served, method, operation, example.path, body, token=token) as answer:
        documented = operation["responses"].get(str(answer.status))
        assert documented is not None, await answer.text()
        assert answer.status < 400 or operation["operationId"] == "get-readyz"
        (media,) = documented["content"]
        assert answer.content_type == media
        if media == "application/json":
            check(await answer.json(), documented["content"][media]["schema"])
        assert all(name in answer.headers for name in documented.get("headers", {}))


@pytest.mark.parametrize(
    ("method", "operation", "status"), ERRORS, ids=[f"{one['operationId']}-{status}" for _, one, status in ERRORS]
)
async def test_documented_refusal(
    served: Served, method: str, operation: Any, status: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each documented refusal can be earned, and is a problem of the documented form."""
    example = EXAMPLES[operation["operationId"]]
    path = {404: example.missing, 409: example.refused}.get(status) or example.path
    body = example.wrong if status == 422 else example.body
    if (operation["operationId"], status) == ("post-heating-tests-number-stop", 409):
        await hear(served)
        await served.post("/api/heating-tests", A_TEST, 201)
        await served.post("/api/heating-tests/1/stop", {"who": "Wenna"})
    await prepare_money(served, operation["operationId"])
    body, token = await people(served, operation["operationId"], body, status)
    held = await break_things(served, operation["operationId"]) if status == 503 else []
    if status == 408:
        monkeypatch.setattr(bodies, "BODY_S", 0.05)
    async with await ask(served, method, operation, path, body, status, token=token) as answer:
        assert answer.status == status, await answer.text()
        assert answer.content_type == "application/problem+json"
        problem = await answer.json(content_type=None)
    for stream in held:
        stream.close()
    check(problem, operation["responses"][str(status)]["content"]["application/problem+json"]["schema"])
    assert problem["status"] == status
    assert problem["detail"]
    if status == 422:
        assert all(wrong["pointer"].startswith("/") and wrong["allowed"] for wrong in problem["errors"])
        assert problem["errors"]


async def hear(served: Served) -> None:
    """Let the hall's heater and the outdoor sensor report, and wait until that is stored."""
    now_ms = int(served.clock.now().timestamp() * 1000)
    stamps: Any = {"t_ms": now_ms, "arrived_ms": now_ms}
    hall: Any = {"temp_c": 18.0, "power_w": 500.0, "energy_wh": 1000.0, "energy_is": "metered"}
    served.parts.intake.accept(Reading(source=Source("heater", "hall-1"), **stamps, **hall))
    served.parts.intake.accept(Reading(source=OUTDOOR, **stamps, temp_c=3.0))
    await served.parts.store.write(lambda _: None)


async def ask(
    served: Served, method: str, operation: Any, path: str, body: object, status: int = 0, *, token: str = ""
) -> Any:
    """Make a call, bent so that it earns a status."""
    headers: dict[str, str] = {"Authorization": f"Bearer {token}"} if token else {}
    data: Any = None if body is None else msgspec.json.encode(body)
    if body is not None:
        headers["Content-Type"] = "application/json"
    if any(parameter["name"] == "If-Match" for parameter in operation["parameters"]):
        async with served.client.get(served.url(path.partition("?")[0])) as before:
            headers["If-Match"] = before.headers.get("ETag", '"none"')
    if status == 400 and body is None:
        path += ("&" if "?" in path else "?") + "nonsense=1"
    data = {400: b'{"do": ', 408: slow(), 413: b" " * 70_000}.get(status, data) if data is not None else None
    headers |= {403: {"Origin": "http://elsewhere.example"}, 421: {"Host": "elsewhere.example"}}.get(status, {})
    headers |= {415: {"Content-Type": "application/x-www-form-urlencoded"}, 412: {"If-Match": '"older"'}}.get(
        status, {}
    )
    if status == 428:
        del headers["If-Match"]
    return served.client.request(method.upper(), served.url(path), data=data, headers=headers)


async def people(served: Served, name: str, body: object, status: int = 200) -> tuple[object, str]:
    """Give accounts to whoever an operation speaks of; return its body, and the token to ask with."""
    known = served.parts.people
    if name == "post-claim" and status != 409:
        await fail_often(served, "/api/claim", A_CLAIM, status)
        return ({**A_CLAIM, "code": known.new_claim()} if status == 200 else body), ""
    of_people = name.startswith(("post-claim", "post-session", "post-people-", "post-proofs"))
    if not of_people and status != 401 and (name, status) != ("post-people", 409):
        return body, ""
    await open_accounts(served)
    if name in {"post-claim", "post-session"}:
        wrong = {"id": "reader", "password": "a guess"}
        await fail_often(served, "/api/session", wrong, status)
        return (wrong if status == 401 else body), ""
    token = (await known.make_token("wenna", "test", "test"))[1]
    if (name, status) == ("post-people-id-tokens", 409):
        for _ in range(50):
            await known.make_token("reader", "many", "test")
    if name == "post-people-id-password":
        await fail_often(served, EXAMPLES[name].path, {"password": "x", "present": "a guess"}, status, token)
    return body, "" if status == 401 else token


async def open_accounts(served: Served) -> None:
    """Open an owner's and a reader's account."""
    now = served.clock.now()

    def add(conn: sqlite3.Connection) -> None:
        for person_id, role in (("wenna", "owner"), ("reader", "reader")):
            person = Person(id=person_id, name=person_id, role=role, since=now)  # type: ignore[arg-type]  # both roles
            stored.add(conn, person, kept(), to_ms(now))

    await served.parts.store.write(add)
    await served.parts.people.start()


async def fail_often(served: Served, path: str, body: object, status: int, token: str = "") -> None:
    """Guess until guesses are slowed, where that is what is to be seen."""
    headers = {"Authorization": f"Bearer {token}"} if token else {}
    for _ in range(4 if status == 429 else 0):
        async with served.client.post(served.url(path), json=body, headers=headers) as answer:
            assert answer.status in {401, 403}


@cache
def kept() -> str:
    """Return what is kept of the password; hashing is slow by intent, so once."""
    return hash_password(PASSWORD)


async def prepare_money(served: Served, name: str) -> None:
    """Enter the two bills that operations on one speak of; let a day of use be known to one that prices it anew."""
    if name == "post-costs-try":
        day = range(1_768_089_600_000, 1_768_176_000_001, 900_000)  # 11 January 2026
        served.parts.intake.accept_all(
            Reading(source=Source("heater", "hall-1"), t_ms=t, arrived_ms=t, energy_wh=float(n))
            for n, t in enumerate(day)
        )
        await served.parts.store.write(lambda _: None)
    if "bills-number" in name:
        await served.post("/api/bills", {**A_BILL, "from": "2025-11-01", "to": "2025-12-01"}, 201)
        await served.post("/api/bills", A_BILL, 201)


async def slow() -> Any:
    """Yield a body that does not end in time."""
    yield b"{"
    await asyncio.Event().wait()


async def break_things(served: Served, name: str) -> list[aiohttp.ClientResponse]:
    """Take away what an operation needs; return the streams that take all the places."""
    held = [await served.client.get(served.url("/api/events")) for _ in range(16 if name == "get-events" else 0)]
    await served.parts.store.close()
    await served.parts.verdicts.close()
    return held
