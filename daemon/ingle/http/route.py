"""One route as a value: the handlers are registered from it and the API's description is written from it.

A handler gets a ``Call``, with query and body already checked, and returns a ``Reply``; what it raises becomes a
problem. So a route cannot take or give anything that its description does not say.
"""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, cast

import msgspec
from aiohttp import web

from ingle.commands.people import Known
from ingle.config.request import value
from ingle.errors import Refused
from ingle.http import bodies
from ingle.http.askers import allow, checked
from ingle.http.parts import PARTS, Parts
from ingle.http.problems import Refusal
from ingle.model.base import Result
from ingle.model.commands import Origin
from ingle.model.house import House
from ingle.model.people import Act


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """One request, checked."""

    parts: Parts
    request: web.Request
    known: Known
    query: Any = None
    body: Any = None
    match: str | None = None

    @property
    def origin(self) -> Origin:
        """Who asks, for the log."""
        return Origin(who=self.known.asker.who, via="http")

    def who(self, given: str | None) -> str:
        """Return whose name goes into the log: the account's; at a machine without accounts, whoever is named."""
        return given if given and self.known.number == 0 else self.known.asker.who

    def require(self, act: Act, zone: str | None = None) -> None:
        """Refuse where the asker may not do one more thing.

        Raises
        ------
        Refusal
            403, naming it.
        """
        allow(self.known.asker, act, zone)

    @property
    def scope(self) -> frozenset[str] | None:
        """The zones that the asker sees; None for all of them."""
        return self.known.asker.scope

    def path(self, name: str) -> str:
        """Return a part of the path."""
        return self.request.match_info[name]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """What a handler answers."""

    value: Result | House
    status: int = 200
    headers: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """One operation.

    ``errors`` are the statuses that the handler itself may answer beside those that follow from what it takes, and
    ``also`` is a second status with the same answer. ``body`` is checked by ``config.request``; ``raw`` bodies are
    checked by the handler. With ``faults_told`` what is wrong with a body is part of the answer. ``default_tag`` is
    what ``do`` means in a request that leaves it out. ``act`` is what the asker must be allowed to do, None for what
    anybody may; a zone in the path is the zone that it is about.
    """

    method: Literal["GET", "POST", "PUT", "DELETE"]
    path: str
    summary: str
    handler: Callable[[Call], Awaitable[Reply | web.StreamResponse]]
    answers: Any
    status: int = 200
    media: str = "application/json"
    query: type | None = None
    body: Any = None
    raw: bool = False
    faults_told: bool = False
    default_tag: str | None = None
    etag: bool = False
    match: bool = False
    errors: tuple[int, ...] = ()
    also: int | None = None
    described: bool = True
    act: Act | None = "look-house"

    def __post_init__(self) -> None:
        if self.method != "GET" and self.act == "look-house":
            raise TypeError(f"{self.method} {self.path}: what changes something must name its act")

    @property
    def name(self) -> str:
        """The operation's name.

        >>> Route(method="GET", path="/api/zones/{id}", summary="", handler=None, answers=None).name
        'get-zones-id'
        """
        words = re.findall(r"[a-z.]+", self.path.removeprefix("/api"))
        return "-".join([self.method.lower(), *words])

    @property
    def path_names(self) -> list[str]:
        """The names in the path."""
        return re.findall(r"{(\w+)}", self.path)

    @property
    def statuses(self) -> list[int]:
        """Every problem that the operation documents."""
        follow: set[int] = {403, 421, *self.errors}
        if self.act is not None:
            follow |= {401}
        if self.query is not None:
            follow |= {400}
        if self.path_names:
            follow |= {404}
        if self.body is not None:
            follow |= {400, 408, 413, 415} | (set() if self.faults_told else {422})
        if self.match:
            follow |= {412, 428}
        return sorted(follow)

    async def answer(self, request: web.Request) -> web.StreamResponse:
        """Check a request, have it handled, and write the answer."""
        zone = request.match_info.get("id") if "/zones/{id}" in self.path else None
        call = Call(
            parts=request.app[PARTS],
            request=request,
            known=checked(request, self.act, zone),
            query=self._query(request),
            match=_if_match(request) if self.match else None,
            body=await self._body(request),
        )
        try:
            reply = await self.handler(call)
        except Refused as error:
            # Refused where the sender named the version that it changes: somebody else was faster.
            raise Refusal(412, str(error)) if self.match else error from None
        if isinstance(reply, web.StreamResponse):
            return reply
        headers = {"Cache-Control": "no-store", **reply.headers}
        return web.Response(
            status=reply.status, body=msgspec.json.encode(reply.value), content_type=self.media, headers=headers
        )

    def _query(self, request: web.Request) -> object:
        return bodies.query(request, self.query or _NoQuery)

    async def _body(self, request: web.Request) -> object:
        if self.body is None:
            return None
        document = bodies.document(await bodies.read(request, "application/json"))
        return document if self.raw else value(document, self.body, self.default_tag)


class _NoQuery(msgspec.Struct, forbid_unknown_fields=True):
    """A route without parameters."""


def quoted(digest: str) -> str:
    """Return a digest as an entity tag (RFC 9110).

    >>> quoted("ab12")
    '"ab12"'
    """
    return f'"{digest}"'


def _if_match(request: web.Request) -> str:
    """Return the digest that a change names; weak tags never match a change (RFC 9110, 13.1.1)."""
    given = request.headers.get("If-Match", "").strip()
    if not given:
        raise Refusal(428, "name the version that you change: If-Match with the ETag of the last GET")
    found = re.fullmatch(r'"([^"]*)"', given)
    if found is None:
        raise Refusal(412, "If-Match must be the ETag of the last GET, one strong tag in its quotes")
    return cast("str", found[1])
