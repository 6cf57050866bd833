"""The pages: files of one folder, each asked for anew and mostly answered with "not modified".

The installed package carries the folder as ``ingle/web``; a checkout has it at its top. What may be served is listed
once at the start, so that no request's path ever reaches the file system.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path
from typing import Final, NamedTuple

from aiohttp import web

import ingle
from ingle.errors import Unreachable

_TYPES: Final = {
    ".html": "text/html",
    ".css": "text/css",
    ".js": "text/javascript",
    ".mjs": "text/javascript",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".ico": "image/x-icon",
    ".json": "application/json",
    ".webmanifest": "application/manifest+json",
    ".woff2": "font/woff2",
    ".txt": "text/plain",
}
_TEXT: Final = ("text/", "application/json", "application/manifest+json", "image/svg+xml")


class Page(NamedTuple):
    """A file as it is served."""

    file: Path
    media: str


def find_webroot() -> Path:
    """Return the folder of the pages.

    Raises
    ------
    Unreachable
        Where neither the package nor a checkout has it.
    """
    package = Path(ingle.__file__).parent
    for folder in (package / "web", package.parent.parent / "web"):
        if (folder / "index.html").is_file():
            return folder
    raise Unreachable(f"the pages are missing: no index.html in {package / 'web'}; install ingle again")


def list_pages(folder: Path) -> dict[str, Page]:
    """Return what is served under which path; ``/check`` stands for ``/check.html``, ``/`` for ``/index.html``."""
    pages: dict[str, Page] = {}
    for file in sorted(folder.rglob("*")):
        media = _TYPES.get(file.suffix)
        inside = file.relative_to(folder)
        if media is None or not file.is_file() or any(part.startswith(".") for part in inside.parts):
            continue
        page = Page(file, media)
        pages["/" + inside.as_posix()] = page
        if inside.suffix == ".html":
            pages["/" + inside.with_suffix("").as_posix()] = page
    if "/index.html" in pages:
        pages["/"] = pages["/index.html"]
    return pages


class WebRoot:
    """Serves the pages of a folder."""

    def __init__(self, pages: Mapping[str, Page]) -> None:
        self._pages = pages

    async def serve(self, request: web.Request) -> web.StreamResponse:
        """Answer with a file, or that it is the one the browser has."""
        page = self._pages.get(request.path)
        content = None if page is None else _read(page.file)
        if page is None or content is None:
            raise web.HTTPNotFound
        tag = hashlib.sha256(content).hexdigest()[:32]
        headers = {"Cache-Control": "no-cache", "ETag": f'"{tag}"'}
        if any(each.value in {tag, "*"} for each in request.if_none_match or ()):
            return web.Response(status=304, headers=headers)
        charset = "utf-8" if page.media.startswith(_TEXT) else None
        return web.Response(body=content, content_type=page.media, charset=charset, headers=headers)


def _read(file: Path) -> bytes | None:
    try:
        return file.read_bytes()
    except OSError:
        return None
