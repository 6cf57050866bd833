"""What comes in, from bytes and query strings to values, and every fault of it with its place.

A body is looked at in this order, so that nothing is done for a request that will be refused: media type, size, depth
of nesting, JSON, and then the value that the route takes.
"""

from __future__ import annotations

import asyncio
import re
from datetime import datetime
from typing import Final, TypeVar

import msgspec
from aiohttp import web

from ingle.config.request import fault
from ingle.errors import BadInput, Fault
from ingle.http.problems import BadQuery, Refusal
from ingle.reports import spans

T = TypeVar("T")

#: The largest JSON body [bytes], the deepest nesting, and how long a body may take to arrive [s].
BODY_MAX: Final = 64 * 1024
DEPTH_MAX: Final = 16
BODY_S: Final = 10.0

_PARTS: Final = re.compile(rb'"(?:[^"\\]|\\.)*"|[\[\]{}]', re.DOTALL)


async def read(request: web.Request, media_type: str) -> bytes:
    """Return a request's body.

    Raises
    ------
    Refusal
        Where it is of another media type, or does not arrive.
    """
    if request.content_type != media_type or "Content-Type" not in request.headers:
        came = request.headers.get("Content-Type", "none")
        raise Refusal(415, f"the body must be {media_type}, not {came[:80]}")
    if (request.charset or "utf-8").lower() not in {"utf-8", "utf8"}:
        raise Refusal(415, "the body must be UTF-8")
    try:
        async with asyncio.timeout(BODY_S):
            return await request.read()
    except TimeoutError:
        raise Refusal(408, f"the body did not arrive within {BODY_S:.0f} s") from None


def document(raw: bytes) -> object:
    """Return a JSON text as dicts, lists and scalars.

    Raises
    ------
    Refusal
        Where it is nested too deep or is not JSON; NaN and Infinity are not.
    """
    if _depth(raw) > DEPTH_MAX:
        raise Refusal(400, f"the body is nested deeper than {DEPTH_MAX}")
    try:
        return msgspec.json.decode(raw)
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise Refusal(400, f"the body is not JSON in UTF-8: {error}") from None


def _depth(raw: bytes) -> int:
    deepest = depth = 0
    for part in _PARTS.finditer(raw):
        opens = part[0] in b"[{"
        depth += 1 if opens else -1 if part[0] in b"]}" else 0
        deepest = max(deepest, depth)
    return deepest


def query(request: web.Request, kind: type[T]) -> T:
    """Return a query string as the struct of its parameters.

    Raises
    ------
    BadQuery
        Naming the parameter.
    """
    given = request.query
    twice = [Fault((name,), given.getall(name)[1], "given once") for name in set(given) if len(given.getall(name)) > 1]
    if twice:
        raise BadQuery(twice)
    try:
        return msgspec.convert(dict(given), kind, strict=False)
    except msgspec.ValidationError as error:
        raise BadQuery([fault(str(error), dict(given), kind)]) from None


def instant(text: str, name: str, timezone: str) -> datetime:
    """Return an instant that a query names, as every report reads it.

    Raises
    ------
    BadQuery
        Where it is neither an instant with its offset nor a date.
    """
    # An unescaped "+" of an offset arrives as a space.
    text = re.sub(r"(?<=T)([\d:.]+) (?=\d\d:?\d\d$)", r"\1+", text)
    try:
        return spans.instant(text, name, timezone)
    except BadInput as error:
        raise BadQuery(error.faults) from error
