"""The pages: found, typed, asked for anew, and nothing beside them."""

from __future__ import annotations

from pathlib import Path

import pytest

from ingle.http.webroot import find_webroot, list_pages
from served import Served


async def test_the_start_page_and_its_parts(served: Served) -> None:
    """/ is the Now page, /check the Check page; what they load has the right type."""
    for path, media, text in (
        ("/", "text/html", "<!doctype html>"),
        ("/index.html", "text/html", "<!doctype html>"),
        ("/check", "text/html", "<!doctype html>"),
        ("/css/sheet.css", "text/css", "{"),
        ("/js/api.js", "text/javascript", "export"),
        ("/css/mark.svg", "image/svg+xml", "<svg"),
    ):
        async with served.client.get(served.url(path)) as answer:
            assert answer.status == 200
            assert (answer.content_type, answer.charset) == (media, "utf-8")
            assert text in (await answer.text()).lower()
            assert answer.headers["Cache-Control"] == "no-cache"


async def test_an_unchanged_page_is_not_sent_again(served: Served) -> None:
    """A browser that names the version it has gets 304 without a body; another version is sent."""
    async with served.client.get(served.url("/")) as first:
        tag = first.headers["ETag"]
    for given, status in ((tag, 304), (f'"x", W/{tag}', 304), ('"x"', 200)):
        async with served.client.get(served.url("/"), headers={"If-None-Match": given}) as answer:
            assert answer.status == status
            assert bool(await answer.read()) == (status == 200)


async def test_a_head_is_answered_without_a_body(served: Served) -> None:
    """HEAD tells what GET would."""
    for path in ("/", "/api/zones"):
        async with served.client.head(served.url(path)) as answer:
            assert answer.status == 200
            assert int(answer.headers["Content-Length"]) > 0
            assert await answer.read() == b""


@pytest.mark.parametrize(
    "path",
    [
        "/nothing",
        "/css/",
        "/js",
        "/../pyproject.toml",
        "/%2e%2e/pyproject.toml",
        "/css/%2e%2e/%2e%2e/README.md",
        "/%00",
    ],
)
async def test_there_is_nothing_else(served: Served, path: str) -> None:
    """What is not a page is a short 404 in plain words, whatever the path tries."""
    async with served.client.get(served.url(path)) as answer:
        assert answer.status == 404
        assert answer.content_type == "text/plain"
        assert await answer.text() == "Not Found\n"


async def test_a_page_cannot_be_written(served: Served) -> None:
    """Other methods are not for pages."""
    async with served.client.post(served.url("/"), data=b"") as answer:
        assert answer.status == 405


def test_only_known_kinds_of_files_are_pages(tmp_path: Path) -> None:
    """Hidden files, folders and files of unknown kinds are not served."""
    for name in ("index.html", ".secret.html", "notes.bak", "js/a.js", ".git/b.js"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("x")
    assert sorted(list_pages(tmp_path)) == ["/", "/index", "/index.html", "/js/a.js"]


def test_pages_load_nothing_from_elsewhere() -> None:
    """No script, style, picture or font of a page comes from another machine."""
    for page in list_pages(find_webroot()).values():
        if page.media.startswith("text/"):
            text = page.file.read_text()
            assert 'src="http' not in text
            assert "@import" not in text
            assert "url(http" not in text
