"""Who may not ask, and what may not be sent: each refusal is a problem that says why."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ingle.errors import BadInput, Fault, Refused
from ingle.http.bodies import document
from ingle.http.guard import check_listen
from ingle.http.problems import Refusal, Wrong, of_error
from served import Served

JSON = {"Content-Type": "application/json"}


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/api", 404),
        ("GET", "/api/", 404),
        ("GET", "/api/nothing", 404),
        ("POST", "/api/nothing", 404),
        ("GET", "/api/zones/loft/", 404),
        ("GET", "/api/zones/%00", 404),
        ("DELETE", "/api/zones", 405),
        ("GET", "/api/limits", 405),
        ("OPTIONS", "/api/zones", 405),
        ("GET", "/api/zones?nonsense=1", 400),
        ("GET", "/api/readings?limit=0", 400),
        ("GET", "/api/readings?limit=many", 400),
        ("GET", "/api/readings?limit=1&limit=2", 400),
        ("GET", "/api/readings?from=yesterday", 400),
        ("GET", "/api/readings?from=2026-01-12T05:00:00", 400),
        ("GET", "/api/readings?from=2026-01-13&to=2026-01-12", 400),
        ("GET", "/api/readings?next=nonsense", 400),
        ("GET", "/api/readings?zone=loft&heater=hall-1", 400),
        ("GET", "/api/readings?zone=nowhere", 404),
        ("GET", "/api/energy?from=0001-01-01T00:00:00Z", 400),
        ("GET", "/api/energy?from=2026-01-13&to=2026-01-12", 400),
        ("GET", "/api/energy?to=9999-12-31", 400),
        ("GET", "/desk/health", 404),
        ("POST", "/desk/house?who=me", 405),
    ],
)
async def test_no_such_thing(served: Served, method: str, path: str, status: int) -> None:
    """Paths, methods and parameters that are not there are problems, and a 405 says what is."""
    async with served.client.request(method, served.url(path)) as answer:
        assert answer.status == status
        assert answer.content_type == "application/problem+json"
        problem = await answer.json(content_type=None)
    assert problem["status"] == status
    assert problem["detail"]
    if status == 405 and path.startswith("/api"):
        assert answer.headers["Allow"]
    if status == 400:
        assert problem["errors"][0]["place"] == "query"


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:{port}", "127.0.0.1", "127.0.0.1:1", "localhost", "", "localhost:{port}.evil"],
)
async def test_a_foreign_host_is_misdirected(served: Served, host: str) -> None:
    """A name that is not ours, or one of ours with another port, is refused: it may resolve here for another page."""
    for path in ("/api/zones", "/", "/healthz"):
        named = host.format(port=served.listener.port)
        async with served.client.get(served.url(path), headers={"Host": named}) as answer:
            assert answer.status == 421


@pytest.mark.parametrize(
    "host", ["localhost:{port}", "LOCALHOST:{port}", "[::1]:{port}", "tern.example", "tern.example:443"]
)
async def test_our_own_names_are_served(served: Served, host: str) -> None:
    """Loopback names with the port, and names that the settings add, are ours."""
    named = host.format(port=served.listener.port)
    async with served.client.get(served.url("/api/zones"), headers={"Host": named}) as answer:
        assert answer.status == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:1"},
    ],
)
async def test_another_sites_page_is_refused(served: Served, headers: dict[str, str]) -> None:
    """A page of another origin can neither ask nor command."""
    body = b'{"do": "release"}'
    post = served.client.post(served.url("/api/zones/loft/overrides"), data=body, headers={**JSON, **headers})
    for call in (post, served.client.get(served.url("/api/zones"), headers=headers)):
        async with call as answer:
            assert answer.status == 403


async def test_our_own_page_is_served(served: Served) -> None:
    """What our page sends, with its Origin, is done."""
    origin = served.listener.page.rstrip("/")
    headers = {**JSON, "Origin": origin, "Sec-Fetch-Site": "same-origin"}
    async with served.client.post(
        served.url("/api/zones/loft/overrides"), data=b'{"do": "release"}', headers=headers
    ) as answer:
        assert answer.status == 200


@pytest.mark.parametrize(
    ("headers", "body", "status"),
    [
        ({"Content-Type": "text/plain"}, b"{}", 415),
        ({"Content-Type": "application/x-www-form-urlencoded"}, b"do=release", 415),
        ({"Content-Type": "multipart/form-data; boundary=x"}, b"--x--", 415),
        ({"Content-Type": "application/json; charset=latin-1"}, b"{}", 415),
        ({**JSON, "Content-Encoding": "gzip"}, b"\x1f\x8b", 415),
        (JSON, b"", 400),
        (JSON, b"\xff\xfe", 400),
        (JSON, b'{"do": "override", "temp_c": NaN}', 400),
        (JSON, b'{"do": "override", "temp_c": 1e999}', 400),
        (JSON, b'{"do": "release"} x', 400),
        (JSON, b"[" * 17 + b"]" * 17, 400),
        (JSON, b"[" * 60_000, 400),
        (JSON, b"[]", 422),
        (JSON, b'{"do": "fly"}', 422),
        (JSON, b'{"do": "release", "when": 1}', 422),
        (JSON, b'{"do": "override"}', 422),
        (JSON, b'{"do": "override", "temp_c": true}', 422),
        (JSON, b'{"do": "override", "temp_c": 20, "for": "a while"}', 422),
        (JSON, b'{"do": "override", "temp_c": 20, "until": "2026-01-12T07:00:00"}', 422),
        (JSON, b'{"do": "override", "temp_c": 20, "until": "2026-01-12T07:00:00Z", "for": "PT1H"}', 422),
        (JSON, b" " * 65_537, 413),
    ],
)
async def test_a_body_that_cannot_be_taken(served: Served, headers: dict[str, str], body: bytes, status: int) -> None:
    """Bodies of the wrong kind, form or size are refused and change nothing."""
    before = await served.get("/api/zones/hall")
    async with served.client.post(served.url("/api/zones/hall/overrides"), data=body, headers=headers) as answer:
        assert answer.status == status
        problem = await answer.json(content_type=None)
    assert problem["status"] == status
    assert await served.get("/api/zones/hall") == before


@pytest.mark.parametrize(
    ("body", "pointer", "allowed"),
    [
        ({"do": "fly"}, "/do", "one of override, release, set-level, lock-local, unlock-local"),
        ({"temp_c": 99}, "/temp_c", "a number from 1 to 35"),
        ({"do": "override"}, "/temp_c", "a number from 1 to 35"),
        ({"do": "release", "when": 1}, "/when", "no such key here; known: do, why"),
        ({"temp_c": 20, "for": 90}, "/for", "text: ISO 8601 duration, such as PT90M"),
        ({"temp_c": 20, "until": "soon"}, "/until", "an instant with its offset, such as 2026-01-12T18:00:00Z"),
        ({"do": "set-level", "level": "warm"}, "/level", "one of frost, occupied, setback, vacant"),
    ],
)
async def test_the_field_at_fault_is_pointed_at(served: Served, body: object, pointer: str, allowed: str) -> None:
    """A problem names the member, what came, and what is allowed."""
    (wrong,) = (await served.post("/api/zones/hall/overrides", body, 422))["errors"]
    assert wrong["pointer"] == pointer
    assert wrong["allowed"] == allowed
    assert wrong["value"] == (body.get(pointer[1:]) if isinstance(body, dict) else None)


async def test_every_answer_is_marked(served: Served) -> None:
    """Pages, answers and problems carry the careful headers, and none names the server."""
    for path in ("/", "/api/zones", "/api/nothing", "/nothing"):
        async with served.client.get(served.url(path)) as answer:
            assert answer.headers["X-Content-Type-Options"] == "nosniff"
            assert "default-src 'self'" in answer.headers["Content-Security-Policy"]
            assert "unsafe" not in answer.headers["Content-Security-Policy"]
            assert "Server" not in answer.headers


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.binary(max_size=200) | st.text(alphabet='{}[]":,\\0aeN+-. ', max_size=60).map(str.encode))
def test_any_bytes_are_a_document_or_refused(raw: bytes) -> None:
    """Whatever bytes come: a JSON value without NaN, or a refusal with a sentence; never another error."""
    try:
        found = document(raw)
    except Refusal as refusal:
        found = refusal
    said = (found.status, bool(str(found))) if isinstance(found, Refusal) else (400, True)
    assert said == (400, True)
    assert not isinstance(found, float) or math.isfinite(found)


@pytest.mark.parametrize(
    "value", [math.nan, math.inf, 2**60, "x" * 1000, b"\xff", {"a": object()}, None, True, "\ud800"]
)
def test_any_value_at_fault_can_be_shown(value: object) -> None:
    """A problem is JSON whatever the value was that it is about."""
    (wrong,) = of_error(BadInput([Fault(("a",), value, "something else")])).errors
    assert isinstance(wrong, Wrong)
    assert len(repr(wrong.value)) < 300


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.4", "::", "tern.example", ""])
def test_only_loopback_is_listened_on_without_an_owner(host: str) -> None:
    """Any other address is refused with a sentence on how to make one, for nobody could be asked who they are."""
    with pytest.raises(Refused, match="ingle user add"):
        check_listen(host, plain=True)


@pytest.mark.parametrize(
    ("host", "why"),
    [
        ("0.0.0.0", "every address"),
        ("::", "every address"),
        ("tern.example", "is a name"),
        ("1.2.3.4", "not an address of a network at home"),
        ("2001:db8:1::1", "unencrypted|not an address"),
        ("192.168.1.4", "unencrypted"),
    ],
)
def test_off_loopback_also_takes_the_owners_word(host: str, why: str) -> None:
    """With an owner, an address at home is listened on where the settings allow it unencrypted; no other ever is."""
    with pytest.raises(Refused, match=why):
        check_listen(host, owned=True)
    if why == "unencrypted":
        check_listen(host, owned=True, plain=True)
