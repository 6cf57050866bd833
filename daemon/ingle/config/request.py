"""A request, from what JSON or a query string decodes to, and its fault with place, value and what is allowed.

msgspec stops at the first fault, which is enough for a request of a few fields; a house file is walked (``walk``).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final, get_args

import msgspec
from msgspec import inspect as types

from ingle.config import walk
from ingle.errors import BadInput, Fault

_PLACE: Final = re.compile(r"^(?P<what>.*?)(?: - at `\$(?P<path>.*)`)?$", re.DOTALL)
_STEP: Final = re.compile(r"\.([^.\[]+)|\[(\d+)\]")
_INSTANT_WORDS: Final = "an instant with its offset, such as 2026-01-12T18:00:00Z"


def value(body: object, kind: Any, default_tag: str | None = None) -> Any:  # noqa: ANN401 - a struct or a union of them
    """Return the request that a document describes.

    Parameters
    ----------
    body
        Dicts, lists and scalars.
    kind
        What it may be.
    default_tag
        What ``do`` means where it is left out.

    Raises
    ------
    BadInput
        Naming the field.

    >>> from ingle.model.commands import ZoneRequest
    >>> value({"do": "override", "temp_c": 21}, ZoneRequest).temp_c
    21.0
    >>> value({"do": "override", "temp_c": 210}, ZoneRequest)
    Traceback (most recent call last):
    ingle.errors.BadInput: temp_c: 210 is not allowed; allowed: a number from 1 to 35
    """
    if default_tag is not None and isinstance(body, dict):
        body = {"do": default_tag, **body}
    try:
        return msgspec.convert(body, kind)
    except msgspec.ValidationError as error:
        raise BadInput([fault(str(error), body, kind)]) from None


def fault(message: str, body: object, kind: Any) -> Fault:  # noqa: ANN401 - a struct or a union of them
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
