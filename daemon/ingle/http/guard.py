"""Who may ask at all: the right Host, no other site's page, nothing packed. Who they are, ``askers`` finds out.

While ingle listens on loopback the danger is another web page in the same browser: one that has its own name resolve
to 127.0.0.1, or that posts a form here. Both name themselves: by ``Host``, by ``Origin`` and by ``Sec-Fetch-Site``.
"""

from __future__ import annotations

import ipaddress
from typing import Final
from urllib.parse import urlsplit

from aiohttp import web

from ingle.errors import Refused
from ingle.http.parts import PARTS
from ingle.http.problems import Handler, Refusal, is_api

_LOCAL: Final = frozenset({"localhost", "127.0.0.1", "[::1]"})
_HEADERS: Final = {
    "Content-Security-Policy": "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
#: What a browser says of requests that its user or our own pages made.
_OWN: Final = frozenset({"same-origin", "none"})


def check_listen(host: str, *, owned: bool = False, plain: bool = False) -> None:
    """Refuse to listen where others could reach ingle, unless they will be asked who they are.

    Off loopback that takes an owner, and the owner's word that passwords and temperatures may travel there unencrypted
    (``plain_http``); and only an address of a network at home (RFC 1918, RFC 4193), never every address at once.

    Raises
    ------
    Refused
        With what to do.

    >>> check_listen("127.0.0.1")
    >>> check_listen("192.168.1.4")
    Traceback (most recent call last):
    ingle.errors.Refused: listen: 192.168.1.4 can be reached from other machines, and nobody has an account ...
    >>> check_listen("0.0.0.0", owned=True)
    Traceback (most recent call last):
    ingle.errors.Refused: listen: 0.0.0.0 stands for every address ...
    >>> check_listen("192.168.1.4", owned=True, plain=True)
    """
    try:
        address = ipaddress.ip_address("127.0.0.1" if host == "localhost" else host)
    except ValueError:
        address = None
    if address is not None and address.is_loopback:
        return
    if not owned:
        raise Refused(
            f"listen: {host} can be reached from other machines, and nobody has an account by which ingle could tell "
            "who asks; listen on 127.0.0.1 or [::1], or make an owner first: ingle user add NAME --role owner"
        )
    if address is None:
        raise Refused(f"listen: {host} is a name; give the address itself, such as 192.168.1.4")
    if address.is_unspecified:
        raise Refused(f"listen: {host} stands for every address of this machine; name the one to listen at")
    if not address.is_private or address.is_link_local:
        raise Refused(f"listen: {host} is not an address of a network at home; listen at one, or on 127.0.0.1")
    if not plain:
        raise Refused(
            f"listen: at {host} passwords and temperatures would travel unencrypted; put a proxy with TLS before "
            "127.0.0.1, or allow it with plain_http = true in the settings where you trust everybody on that network"
        )


@web.middleware
async def guarded(request: web.Request, handler: Handler) -> web.StreamResponse:
    """Refuse requests that no page of ours, no script of the user's and no person made."""
    _check_host(request)
    if is_api(request.path) or request.method not in {"GET", "HEAD"}:
        _check_site(request)
    if request.headers.get("Content-Encoding", "identity").lower() != "identity":
        raise Refusal(
            415, "the body must not be packed: send it without Content-Encoding", headers={"Accept-Encoding": ""}
        )
    return await handler(request)


async def mark(_: web.Request, response: web.StreamResponse) -> None:
    """Put the headers on every answer that keep browsers careful, and leave off the one that names our server."""
    for name, text in _HEADERS.items():
        response.headers.setdefault(name, text)
    response.headers.pop("Server", None)


def _check_host(request: web.Request) -> None:
    given = request.headers.getall("Host", [])
    if len(given) != 1 or not _is_ours(given[0].lower(), request):
        named = given[0][:100] if given else ""
        raise Refusal(421, f"this is not {named!r}; settings may add names (hosts)")


def _is_ours(given: str, request: web.Request) -> bool:
    settings = request.app[PARTS].settings
    port = _port(request)
    host = settings.listen_at[0].lower()
    names = _LOCAL | {f"[{host}]" if ":" in host else host}
    # A name without a port stands for 80, the browser's own default.
    ours = {f"{name}:{port}" for name in names} | (set(names) if port == 80 else set())
    extra = {name.lower() for name in settings.hosts}
    return given in ours or given in extra or _without_port(given) in extra


def _port(request: web.Request) -> int | None:
    at = None if request.transport is None else request.transport.get_extra_info("sockname")
    return at[1] if isinstance(at, tuple) else None


def _without_port(host: str) -> str:
    name, colon, port = host.rpartition(":")
    return name if colon and port.isdecimal() else host


def _check_site(request: web.Request) -> None:
    site = request.headers.get("Sec-Fetch-Site")
    if site is not None and site not in _OWN:
        raise Refusal(403, "another site's page may not ask this")
    origin = request.headers.get("Origin")
    if origin is not None and urlsplit(origin).netloc.lower() != request.headers.get("Host", "").lower():
        raise Refusal(403, f"a page of {origin[:100]} may not ask this")
