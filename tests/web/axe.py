"""What a checker of accessibility finds on a page, in the words of its rules."""

from __future__ import annotations

from axe_playwright_python.async_playwright import Axe
from playwright.async_api import Page

#: Rules of WCAG 2.2 at levels A and AA, and what is good practice beside them.
OPTIONS = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}


async def faults(page: Page) -> list[str]:
    """Return each rule that the page breaks, with the places where it does."""
    found = await Axe().run(page, options=OPTIONS)
    return [f"{each['id']}: {[node['target'] for node in each['nodes']]}" for each in found.response["violations"]]
