"""What comes in, from bytes and query strings to values, and every fault of it with its place.

A body is looked at in this order, so that nothing is done for a request that will be refused: media type, size, depth
of nesting, JSON, and then the value that the route takes.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final, TypeVar, get_args

import msgspec
from aiohttp import web
from msgspec import inspect as types

from ingle.config import walk
from ingle.errors import BadInput, Fault
from ingle.http.problems import BadQuery, Refusal
from ingle.reports import spans

T = TypeVar("T")

#: The largest JSON body [bytes], the deepest nesting, and how long a body may take to arrive [s].
BODY_MAX: Final = 64 * 1024
DEPTH_MAX: Final = 16
BODY_S: Final = 10.0

_PARTS: Final = re.compile(rb'"(?:[^"\\]|\\.)*"|[\[\]{}]', re.DOTALL)
_PLACE: Final = re.compile(r"^(?P<what>.*?)(?: - at `\$(?P<path>.*)`)?$", re.DOTALL)
_STEP: Final = re.compile(r"\.([^.\[]+)|\[(\d+)\]")
_INSTANT_WORDS: Final = "an instant with its offset, such as 2026-01-12T18:00:00Z"


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


def value(body: object, kind: Any, default_tag: str | None = None) -> Any:  # noqa: ANN401 - a struct or a union of them
    """Return the value that a JSON document describes.

    Parameters
    ----------
    default_tag
        What ``do`` means where it is left out.

    Raises
    ------
    BadInput
        Naming the field.
    """
    if default_tag is not None and isinstance(body, dict):
        body = {"do": default_tag, **body}
    try:
        return msgspec.convert(body, kind)
    except msgspec.ValidationError as error:
        raise BadInput([_fault(str(error), body, kind)]) from None


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
        raise BadQuery([_fault(str(error), dict(given), kind)]) from None


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


def _fault(message: str, body: object, kind: Any) -> Fault:  # noqa: ANN401 - a struct or a union of them
    """Turn what msgspec says into place, value and what is allowed."""
    said = _PLACE.match(message)
    what = message if said is None else said["what"]
    steps = _STEP.findall("" if said is None else said["path"] or "")
    path: tuple[str | int, ...] = tuple(int(index) if index else key for key, index in steps)
    named = re.search(r"(required|unknown) field `(.*)`$", what)
    if named is not None:
        path = (*path, named[2])
    allowed = _allowed(path, body, kind, unknown=named is not None and named[1] == "unknown")
    return Fault(path, _at(body, path), allowed or what)


def _at(body: object, path: tuple[str | int, ...]) -> object:
    for step in path:
        if isinstance(body, Mapping):
            body = body.get(step)
        elif isinstance(body, list) and isinstance(step, int) and step < len(body):
            body = body[step]
        else:
            return None
    return body


def _allowed(path: tuple[str | int, ...], body: object, kind: Any, *, unknown: bool) -> str:  # noqa: ANN401 - as above
    """Say what a field of a request takes; empty where only msgspec's own words will do."""
    structs = [types.type_info(each) for each in get_args(kind) or (kind,)]
    shapes = [shape for shape in structs if isinstance(shape, types.StructType)]
    tags = [str(shape.tag) for shape in shapes if shape.tag is not None]
    if path == ("do",):
        return "one of " + ", ".join(tags)
    tag = body.get("do") if isinstance(body, Mapping) else None
    shape = next((shape for shape in shapes if shape.tag == tag), None)
    if shape is None or not path:
        return "a JSON object"
    if unknown:
        known = ([shape.tag_field] if shape.tag_field else []) + [field.encode_name for field in shape.fields]
        return "no such key here; known: " + ", ".join(known)
    field = next((field for field in shape.fields if field.encode_name == path[0]), None)
    return "" if field is None else _words(field.type)


def _words(kind: types.Type) -> str:
    alternatives = kind.types if isinstance(kind, types.UnionType) else (kind,)
    bare = [each.type if isinstance(each, types.Metadata) else each for each in alternatives]
    if any(isinstance(each, types.DateTimeType) for each in bare):
        return _INSTANT_WORDS
    return walk.allowed(kind)
