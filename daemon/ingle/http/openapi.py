"""The API's description, OpenAPI 3.1, written from the route table and the structs themselves."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import msgspec

from ingle import __version__
from ingle.http.problems import Problem
from ingle.http.route import Route

_REF: Final = "#/components/schemas/{name}"

_SAID: Final = {
    400: "The query, or the body as a whole, cannot be read",
    401: "Who asks is not known: sign in, or send a token",
    403: "Another site's page asked, or the asker may not",
    404: "There is no such thing in this house",
    408: "The body did not arrive in time",
    409: "The house does not allow it now",
    412: "Somebody else changed it meanwhile: GET it again",
    413: "The body is too large",
    415: "The body is not plain application/json",
    421: "The Host is not one of this daemon's",
    422: "A value is not allowed; errors names it",
    428: "If-Match is missing",
    429: "Too many tries: Retry-After says how long to wait",
    503: "Something that is needed does not answer",
}

Json = dict[str, Any]


def describe(routes: Sequence[Route]) -> Json:
    """Return the description of routes as a document."""
    shown = [route for route in routes if route.described]
    schemas = _Schemas(shown)
    paths: dict[str, Json] = {}
    for route in shown:
        paths.setdefault(route.path, {})[route.method.lower()] = _operation(route, schemas)
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "ingle",
            "version": __version__,
            "summary": "Supervise a home's electric room heaters.",
            "description": "Requests that change the house name its version with If-Match. Every refusal is a problem "
            "(RFC 9457) that points at the value at fault. ingle is never a safety device.",
        },
        "servers": [{"url": "/"}],
        "paths": paths,
        "components": {"schemas": schemas.components},
    }


class _Schemas:
    """The schemas of every type that the routes name, and where to find each."""

    def __init__(self, routes: Sequence[Route]) -> None:
        named = [kind for route in routes for kind in (route.answers, route.body, route.query) if kind is not None]
        self._kinds = [Problem, *dict.fromkeys(named)]
        self._found, self.components = msgspec.json.schema_components(self._kinds, ref_template=_REF)
        for route in routes:
            if route.query is not None:
                self.components.pop(route.query.__name__, None)

    def of(self, kind: object) -> Json:
        """Return the schema of a type."""
        return dict(self._found[self._kinds.index(kind)])


def _operation(route: Route, schemas: _Schemas) -> Json:
    operation: Json = {
        "operationId": route.name,
        "summary": route.summary,
        "parameters": [*_path_parameters(route), *_query_parameters(route), *_header_parameters(route)],
        "responses": {
            str(route.status): _answer(route, schemas),
            **({str(route.also): _answer(route, schemas)} if route.also else {}),
            **{str(status): _problem(status, schemas) for status in route.statuses},
        },
    }
    if route.body is not None:
        operation["requestBody"] = {
            "required": True,
            "content": {"application/json": {"schema": _body(route, schemas)}},
        }
    return operation


def _answer(route: Route, schemas: _Schemas) -> Json:
    schema = {"type": "string"} if route.answers is None else schemas.of(route.answers)
    answer: Json = {"description": route.summary, "content": {route.media: {"schema": schema}}}
    if route.etag:
        answer["headers"] = {"ETag": {"description": "The version, for If-Match", "schema": {"type": "string"}}}
    return answer


def _problem(status: int, schemas: _Schemas) -> Json:
    content = {"application/problem+json": {"schema": schemas.of(Problem)}}
    return {"description": _SAID[status], "content": content}


def _body(route: Route, schemas: _Schemas) -> Json:
    """Return the schema of a body; ``do`` may be left out where the route says what it then means."""
    schema = schemas.of(route.body)
    if route.default_tag is None:
        return schema
    name = next(key for key, made in schemas.components.items() if _tag(made) == route.default_tag)
    whole = schemas.components[name]
    plain = {
        **whole,
        "title": f"Plain{name}",
        "description": f"{whole['description']} Without do, {route.default_tag} is meant.",
        "properties": {key: made for key, made in whole["properties"].items() if key != "do"},
        "required": [key for key in whole["required"] if key != "do"],
    }
    schemas.components[f"Plain{name}"] = plain
    return {"anyOf": [schema, {"$ref": _REF.format(name=f"Plain{name}")}]}


def _tag(schema: Json) -> str | None:
    values = schema.get("properties", {}).get("do", {}).get("enum", [None])
    return None if values[0] is None else str(values[0])


def _path_parameters(route: Route) -> list[Json]:
    return [
        {
            "name": name,
            "in": "path",
            "required": True,
            "schema": {"type": "string"},
            "description": "an id of the house",
        }
        for name in route.path_names
    ]


def _query_parameters(route: Route) -> list[Json]:
    if route.query is None:
        return []
    schema = msgspec.json.schema(route.query)
    properties = schema["$defs"][route.query.__name__]["properties"]
    return [{"name": name, "in": "query", "required": False, "schema": made} for name, made in properties.items()]


def _header_parameters(route: Route) -> list[Json]:
    if not route.match:
        return []
    # Not "required": a request without it is answered with 428, in words.
    described = "the ETag of the version that is changed; without it the answer is 428"
    return [
        {"name": "If-Match", "in": "header", "required": False, "schema": {"type": "string"}, "description": described}
    ]
