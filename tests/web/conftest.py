"""A browser for the whole session, and a house for it to look at."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest
import pytest_asyncio
from playwright.async_api import Browser, BrowserContext, ConsoleMessage, Error, Page, Request, async_playwright, expect

from web.served import Served

PHONE, SHEET = 390, 1280
#: How long a page may take on a machine that runs other tests at the same time [ms].
PATIENCE_MS = 20_000
expect.set_options(timeout=PATIENCE_MS)


@pytest_asyncio.fixture(name="browser", scope="session", loop_scope="session")
async def _browser() -> AsyncIterator[Browser]:
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        yield browser
        await browser.close()


@pytest_asyncio.fixture(name="served", loop_scope="session")
async def _served(tmp_path: Path) -> AsyncIterator[Served]:
    served = await Served(tmp_path).start()
    served.take(temp_c=5.5)
    served.hear("vestry-1", 18.2, 1460.0)
    served.hear("gallery-1", 16.1, 0.0)
    served.hear("gallery-2", 16.3, 0.0)
    yield served
    await served.stop()


class Watched:
    """A page, what it asked for, and what it complained about."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.asked: list[str] = []
        self.complaints: list[str] = []
        page.on("request", self._asked)
        page.on("console", self._said)
        page.on("pageerror", self._broke)

    def _asked(self, request: Request) -> None:
        self.asked.append(request.url)

    def _said(self, message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"}:
            self.complaints.append(message.text)

    def _broke(self, error: Error) -> None:
        self.complaints.append(str(error))


@pytest.fixture(name="size", params=[PHONE, SHEET])
def _size(request: pytest.FixtureRequest) -> int:
    width: int = request.param
    return width


@pytest_asyncio.fixture(name="context", loop_scope="session")
async def _context(browser: Browser) -> AsyncIterator[BrowserContext]:
    context = await browser.new_context(viewport={"width": SHEET, "height": 900})
    context.set_default_timeout(PATIENCE_MS)
    yield context
    await context.close()


@pytest_asyncio.fixture(name="now", loop_scope="session")
async def _now(context: BrowserContext, served: Served) -> Watched:
    watched = Watched(await context.new_page())
    await watched.page.goto(served.url)
    await watched.page.wait_for_selector("body:not(.loading)")
    return watched


@pytest_asyncio.fixture(name="forms_site", scope="session", loop_scope="session")
async def _forms_site(tmp_path_factory: pytest.TempPathFactory) -> AsyncIterator[Served]:
    served = await Served(tmp_path_factory.mktemp("forms")).start()
    yield served
    await served.stop()


@pytest.fixture(name="forms_url", scope="session")
def _forms_url(forms_site: Served) -> str:
    return f"{forms_site.url}/forms.html"
