"""The gallery, as pages of the real program with the shipped settings, without a server."""

from collections.abc import Callable
from pathlib import Path

import pytest
from django.contrib.auth import get_user_model
from django.db import connections
from django.test import Client
from playwright.sync_api import Page, Route

GALLERY = Path(__file__).parent / "gallery"
ADDRESS = "http://127.0.0.1:8999"


@pytest.fixture
def gallery(db, settings) -> Client:
    settings.ROOT_URLCONF = "tests.shell.gallery.pages"
    settings.MIDDLEWARE = [each for each in settings.MIDDLEWARE if each != "buffycoat.people.gate.Gate"]
    settings.TEMPLATES = [{**settings.TEMPLATES[0], "DIRS": [GALLERY]}]
    client = Client(headers={"host": "127.0.0.1"})
    client.force_login(
        get_user_model().objects.create(username="ines", first_name="Ines", last_name="Okafor")
    )
    return client


@pytest.fixture
def shown(gallery: Client, browser_page: Page) -> Callable[[str], Page]:
    """Opens a gallery page in the browser; every request of the browser is answered by the test client."""

    same = connections["default"]

    def answer(route: Route) -> None:
        connections["default"] = same  # the driver's event loop would otherwise get a connection of its own
        request = route.request
        path = request.url.removeprefix(ADDRESS)
        if request.method == "POST":
            answered = gallery.post(
                path, request.post_data or "", content_type="application/x-www-form-urlencoded"
            )
        else:
            answered = gallery.get(path)
        body = b"".join(answered) if answered.streaming else answered.content
        route.fulfill(status=answered.status_code, headers=dict(answered.headers), body=body)

    browser_page.route(f"{ADDRESS}/**", answer)

    def show(path: str, width: int = 1024, height: int = 768) -> Page:
        browser_page.set_viewport_size({"width": width, "height": height})
        browser_page.goto(ADDRESS + path)
        return browser_page

    return show
