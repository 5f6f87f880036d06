"""What browser tests ask of a page: that it stands still, fits its screen, and is clear to assistive technology."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from typing import Any

from axe_playwright_python.sync_playwright import Axe

#: Loaded with its lettering and its pictures, those aside that load once they are seen, and no part being fetched.
STILL = """() => document.readyState === "complete" && document.fonts.status === "loaded"
    && !document.querySelector(".htmx-request, .htmx-swapping, .htmx-settling, .htmx-added")
    && [...document.images].every((one) => one.complete || one.loading === "lazy")"""


def still(page: Any) -> Any:
    """The page, once it stands still."""
    page.wait_for_function(STILL)
    return page


def opened(page: Any, address: str) -> Any:
    """The page at an address, once it stands still."""
    page.goto(address)
    return still(page)


def framed(page: Any) -> Any:
    """The page, once what the last event changed is drawn: it is drawn with the next frame."""
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    return page


def until(page: Any, fact: Callable[[], bool]) -> None:
    """Waits, while the page goes on, until something is true of what it stored."""
    ending = time.monotonic() + 15
    while not fact():
        assert time.monotonic() < ending, "the page did not bring it about"
        page.wait_for_timeout(50)


def too_wide(page: Any) -> int:
    """How much wider than its window the page is [px]: 0 where nothing scrolls sideways."""
    return page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")


def shifted(page: Any) -> float:
    """How much of the page moved by itself while it was loaded (a layout shift score, W3C Layout Instability)."""
    return page.evaluate(
        """() => new Promise((done) => {
            let sum = 0;
            new PerformanceObserver((list) => {
                for (const one of list.getEntries()) if (!one.hadRecentInput) sum += one.value;
            }).observe({ type: "layout-shift", buffered: true });
            setTimeout(() => done(sum), 50);
        })"""
    )


def barriers(page: Any) -> list[str]:
    """What axe, which knows WCAG 2.2, finds serious or critical for assistive technology, with where it is."""
    return [
        f"{found['id']} ({found['help']}): " + "; ".join(node["html"][:160] for node in found["nodes"][:3])
        for found in Axe().run(page).response["violations"]
        if found["impact"] in ("serious", "critical")
    ]


def shot(page: Any, name: str) -> None:
    """A picture of the whole page in the folder SCREENSHOTS, where one is named."""
    if folder := os.environ.get("SCREENSHOTS"):
        page.screenshot(path=f"{folder}/{name}.png", full_page=True)
