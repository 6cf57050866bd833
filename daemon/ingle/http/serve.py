"""Puts the HTTP face together: the application for browsers and scripts, the desk for the command line."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from aiohttp import web

from ingle.http import desk, table
from ingle.http.askers import AT_DESK
from ingle.http.bodies import BODY_MAX
from ingle.http.events import STREAMS, Streams
from ingle.http.guard import guarded, mark
from ingle.http.listener import Listener
from ingle.http.parts import PARTS, Parts
from ingle.http.problems import as_problems
from ingle.http.route import Route
from ingle.http.unix import socket_path
from ingle.http.webroot import WebRoot, find_webroot, list_pages

__all__ = ["Listener", "Parts", "build_app", "build_desk", "serve_http"]


def build_app(parts: Parts, webroot: Path | None = None) -> web.Application:
    """Return the application for browsers and scripts.

    Parameters
    ----------
    webroot
        The folder of the pages; None for the installed ones.
    """
    app = web.Application(middlewares=[as_problems, guarded], client_max_size=BODY_MAX)
    app[PARTS] = parts
    streams = app[STREAMS] = Streams()
    app.on_shutdown.append(streams.close)
    # Who waits for verdicts is told at once, rather than keeping ingle from stopping.
    app.on_shutdown.append(lambda _: parts.verdicts.close())
    app.on_response_prepare.append(mark)
    _register(app, table.ROUTES)
    pages = WebRoot(list_pages(webroot or find_webroot()))
    app.router.add_get("/{path:(?!api(?:/|$)).*}", pages.serve)
    return app


def build_desk(parts: Parts) -> web.Application:
    """Return the application for the command line."""
    app = web.Application(middlewares=[as_problems], client_max_size=desk.DESK_MAX)
    app[PARTS] = parts
    app[AT_DESK] = True
    app.on_response_prepare.append(mark)
    _register(app, desk.ROUTES)
    return app


async def serve_http(parts: Parts, *, webroot: Path | None = None) -> Listener:
    """Listen where the settings say, and at the desk beside the database.

    Raises
    ------
    Unreachable
        Where an address cannot or must not be used.
    """
    listener = Listener()
    try:
        await listener.add_unix(build_desk(parts), socket_path(parts.store.path))
        await listener.add_tcp(build_app(parts, webroot), *parts.settings.listen_at)
    except BaseException:
        await listener.close()
        raise
    return listener


def _register(app: web.Application, routes: Iterable[Route]) -> None:
    for route in routes:
        if route.method == "GET" and route.answers is not None:
            app.router.add_get(route.path, route.answer, allow_head=True)
        else:
            app.router.add_route(route.method, route.path, route.answer)
