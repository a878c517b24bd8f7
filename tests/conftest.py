"""What every test may ask for.

Tests inside one process use `db`, which is rolled back. The journal refuses to be emptied, so never
`transactional_db` or `live_server`: what needs a server asks for `bank`.
"""

import os
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from django.db import connections
from django.db.models.signals import post_save
from playwright.sync_api import Browser, Page

from tests.harness import browser as driven
from tests.harness.server import Bank, Stable

TOUCHES_DATABASE = {"db", "stable"}
EMPTIES_TABLES = {"transactional_db", "django_db_reset_sequences", "live_server"}
# One connection per thread. Django gives an event loop one of its own, and the browser's driver keeps a loop in the
# tests' thread: what a test wrote before the driver started would be out of its sight afterwards.
connections._connections = threading.local()  # type: ignore[attr-defined]

IN_CI = os.environ.get("CI", "").lower() == "true"


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    touching = [
        item for item in items if _touches_database(item) and not item.get_closest_marker("one_database")
    ]
    if os.environ.get("BUFFYCOAT_TEST_ONLY_DATABASE"):
        _keep(config, items, touching)
    if part := os.environ.get("BUFFYCOAT_TEST_PART"):
        number, parts = map(int, part.split("/"))
        files = sorted({item.path for item in items})
        mine = set(files[number - 1 :: parts])
        _keep(config, items, [item for item in items if item.path in mine])


def _keep(config: pytest.Config, items: list[pytest.Item], kept: list[pytest.Item]) -> None:
    left = set(map(id, kept))
    config.hook.pytest_deselected(items=[item for item in items if id(item) not in left])
    items[:] = kept


def _touches_database(item: pytest.Item) -> bool:
    asked = set(getattr(item, "fixturenames", ()))
    marker = item.get_closest_marker("django_db")
    if asked & EMPTIES_TABLES or (marker and marker.kwargs.get("transaction")):
        raise pytest.UsageError(f"{item.nodeid}: the journal cannot be emptied; ask for db or bank instead")
    return bool(asked & TOUCHES_DATABASE) or marker is not None


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    left_out = [*reporter.stats.get("skipped", ()), *reporter.stats.get("xfailed", ())] if reporter else []
    if IN_CI and left_out and session.exitstatus == pytest.ExitCode.OK:
        print("\nNothing may be skipped here:", *(report.nodeid for report in left_out))
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


@pytest.fixture(autouse=True)
def whoever_is_added_is_coordinator() -> Iterator[None]:
    """Most tests are about the work, not about who may do it; those that are give other roles."""
    cache.clear()  # of wrong tries that another test made
    post_save.connect(_coordinator, sender="auth.User")
    yield
    post_save.disconnect(_coordinator, sender="auth.User")


def _coordinator(instance: Any, created: bool, **rest: object) -> None:
    from buffycoat.people.roles import COORDINATOR, give_roles

    if created:
        give_roles(instance, [COORDINATOR])


@pytest.fixture(scope="session")
def stable(tmp_path_factory: pytest.TempPathFactory) -> Stable:
    return Stable(tmp_path_factory.mktemp("banks"), os.environ.get("BUFFYCOAT_DATABASE", ""))


@pytest.fixture(scope="session")
def empty_template(stable: Stable) -> Bank:
    return stable.empty()


@pytest.fixture(scope="session")
def demo_template(stable: Stable, empty_template: Bank) -> Bank:
    made = stable.copy(empty_template, "demo")
    made.cli("demo")
    return made


@pytest.fixture
def quiet_bank(stable: Stable, empty_template: Bank) -> Iterator[Bank]:
    """An empty bank without a server: for the command line alone."""
    made = stable.copy(empty_template)
    yield made
    stable.clear(made)


@pytest.fixture
def bank(quiet_bank: Bank) -> Iterator[Bank]:
    """An empty bank, served."""
    with quiet_bank.serving():
        yield quiet_bank


@pytest.fixture
def demo_bank(stable: Stable, demo_template: Bank) -> Iterator[Bank]:
    """A bank with the demo's three months in it, served."""
    made = stable.copy(demo_template)
    with made.serving():
        yield made
    stable.clear(made)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with driven.browser() as started:
        yield started


@pytest.fixture
def browser_page(browser: Browser, tmp_path: Path) -> Iterator[Page]:
    """A page on a tablet lying on its side. Leaving this computer and any error on the page fail the test."""
    context = browser.new_context(viewport={"width": 1280, "height": 800}, accept_downloads=True)
    page = context.new_page()
    faults = driven.Faults()
    context.on("page", faults.watch)
    faults.watch(page)
    yield page
    if not page.is_closed():
        page.screenshot(path=tmp_path / "last.png")
    context.close()
    assert [] == faults.seen
