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

from ingle.config.request import value
from ingle.errors import Refused
from ingle.http import bodies
from ingle.http.parts import PARTS, Parts
from ingle.http.problems import Refusal
from ingle.model.base import Result
from ingle.model.commands import Origin
from ingle.model.house import House

#: Who asks over HTTP while there are no accounts: whoever is on this machine.
ORIGIN = Origin(who="local user", via="http")


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """One request, checked."""

    parts: Parts
    request: web.Request
    query: Any = None
    body: Any = None
    match: str | None = None

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
    what ``do`` means in a request that leaves it out.
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
        call = Call(
            parts=request.app[PARTS],
            request=request,
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
