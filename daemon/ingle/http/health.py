"""Whether ingle lives, and whether it is of use: for service managers and monitors."""

from __future__ import annotations

from ingle.http.route import Call, Reply, Route
from ingle.live.state import NO_HOUSE
from ingle.model.base import Result


class Alive(Result, frozen=True, kw_only=True):
    """ingle answers; it says nothing about broker or disk."""

    alive: bool = True


class Ready(Result, frozen=True, kw_only=True):
    """Whether orders reach heaters and history is kept; ``missing`` says in words what is not so."""

    ready: bool
    missing: tuple[str, ...]


async def healthz(_: Call) -> Reply:
    """Answer, whatever else does not work."""
    return Reply(value=Alive())


async def readyz(call: Call) -> Reply:
    """Say what keeps ingle from being of use."""
    parts = call.parts
    missing: list[str] = []
    if parts.live.house is NO_HOUSE:
        missing.append("no house is loaded")
    if parts.live.house_now(parts.clock.now()).broker == "down":
        missing.append("the broker cannot be reached: heaters keep their last orders")
    health = parts.store.health()
    if not health.ok:
        missing.append(f"history is not kept: {health.reason}")
    return Reply(value=Ready(ready=not missing, missing=tuple(missing)), status=503 if missing else 200)


ROUTES = (
    Route(method="GET", path="/healthz", summary="Whether ingle lives", handler=healthz, answers=Alive, act=None),
    Route(
        method="GET",
        path="/readyz",
        summary="Whether ingle is of use: a house, a broker, a database (503 with the same body where not)",
        handler=readyz,
        answers=Ready,
        also=503,
        act=None,
    ),
)
