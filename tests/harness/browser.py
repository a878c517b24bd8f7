"""An installed browser, driven: every request that leaves this computer and every error on a page is a fault."""

import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, ConsoleMessage, Page, Request, Response, sync_playwright

NAMES = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "microsoft-edge",
    "msedge",
)
PLACES = (
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    "%ProgramFiles%/Google/Chrome/Application/chrome.exe",
    "%ProgramFiles(x86)%/Google/Chrome/Application/chrome.exe",
    "%LocalAppData%/Google/Chrome/Application/chrome.exe",
    "%ProgramFiles(x86)%/Microsoft/Edge/Application/msedge.exe",
)
HOW_TO_GET_ONE = (
    "The tests need a Chromium, Chrome or Edge and found none. Install one (Debian: sudo apt install chromium), "
    "or say where it is with BUFFYCOAT_BROWSER=/path/to/browser."
)
FLAGS = (
    "--no-sandbox",  # root, as in a container, has no sandbox; only our own pages are opened
    "--disable-gpu",
    "--disable-quic",
    "--disable-sync",
    "--disable-component-update",
    "--disable-background-networking",
    "--no-first-run",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE localhost, EXCLUDE 127.0.0.1",
)
LOOPBACK = ("127.0.0.1", "localhost", "::1")
# A refused form answers with one of these; the browser and htmx both write them to the console.
REFUSALS = re.compile(r"\b(400|403|409|422)\b")


class NoBrowser(Exception):
    pass


def find_browser() -> str:
    given = os.environ.get("BUFFYCOAT_BROWSER")
    places = [given] if given else [*map(shutil.which, NAMES), *map(os.path.expandvars, PLACES)]
    for place in places:
        if place and Path(place).is_file():
            return place
    raise NoBrowser(HOW_TO_GET_ONE)


@contextmanager
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        driven = playwright.chromium.launch(executable_path=find_browser(), args=list(FLAGS))
        try:
            yield driven
        finally:
            driven.close()


@dataclass
class Faults:
    """What went wrong on a page while nobody looked."""

    seen: list[str] = field(default_factory=list)

    def watch(self, page: Page) -> None:
        page.on("request", self._leaves)
        page.on("response", self._fails)
        page.on("console", self._complains)
        page.on("pageerror", lambda error: self.seen.append(f"script: {error}"))

    def _leaves(self, request: Request) -> None:
        parts = urlsplit(request.url)
        if parts.scheme not in ("data", "blob", "about") and parts.hostname not in LOOPBACK:
            self.seen.append(f"left this computer: {request.url}")

    def _fails(self, response: Response) -> None:
        if response.status >= 500 or (
            response.status == 404 and response.request.resource_type != "document"
        ):
            self.seen.append(f"{response.status}: {response.url}")

    def _complains(self, message: ConsoleMessage) -> None:
        refused = REFUSALS.search(message.text) and ("status" in message.text.lower())
        if message.type == "error" and not refused:
            self.seen.append(f"console: {message.text} ({message.location.get('url', '')})")


def accessibility_faults(page: Page, *, colours_only: bool = False) -> list[str]:
    """What axe finds on the page as it stands: rule, help and the element. A theme changes the colours only."""
    colours = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
    options = {"runOnly": colours} if colours_only else None
    found = Axe().run(page, options=options).response["violations"]
    return [f"{each['id']}: {each['help']}: {node['html']}" for each in found for node in each["nodes"]]
