"""What the base page needs on every page."""

from functools import cached_property
from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.urls import resolve
from django.utils import timezone

from buffycoat.journal.book import Book
from buffycoat.people.may import may
from buffycoat.people.roles import roles_of
from buffycoat.people.sessions import allowed_s
from buffycoat.shell import navigation
from buffycoat.shell.command_cards import in_the_page
from buffycoat.shell.views import LOOKS, cookie_of
from buffycoat.site.rules import Limits, limits


def shell(request: HttpRequest) -> dict[str, Any]:
    return {"shell": Shell(request)}


class Shell:
    """Read by the base page as `shell.…`; nothing is looked up until it is asked for."""

    help = navigation.HELP
    sign_out, scan, here_door = navigation.SIGN_OUT, navigation.SCAN, navigation.YOU_WERE_HERE

    def __init__(self, request: HttpRequest) -> None:
        self._request = request

    @cached_property
    def main(self) -> list[navigation.Door]:
        return self._open(navigation.MAIN)

    @cached_property
    def more(self) -> list[navigation.Door]:
        return self._open(navigation.MORE)

    def _open(self, doors: tuple[navigation.Door, ...]) -> list[navigation.Door]:
        """Only where this person may go."""
        roles = roles_of(self._request.user)
        return [door for door in doors if may(roles, resolve(door.path, "buffycoat.urls").view_name)]

    @property
    def bank(self) -> str:
        return self._site.text("site_name")

    @property
    def cards(self) -> str:
        return in_the_page(self._site.text("site_code"))

    @property
    def now(self) -> str:
        return timezone.now().isoformat(timespec="milliseconds")

    @property
    def zone(self) -> str:
        return timezone.get_current_timezone_name()

    @property
    def here(self) -> str:
        door = next((door for door in (*self.main, *self.more) if door.leads_to(self._request.path)), None)
        return door.word if door else ""

    @property
    def theme(self) -> str:
        return self._look("theme")

    @property
    def sounds(self) -> str:
        return self._look("sounds")

    @property
    def idle_s(self) -> int:
        return allowed_s(self._request)

    @property
    def practice(self) -> bool:
        return settings.PRACTICE

    @property
    def guide(self) -> str:
        return self._look("guide")

    @cached_property
    def _site(self) -> Limits:
        return limits(Book())

    def _look(self, name: str) -> str:
        value = self._request.COOKIES.get(cookie_of(self._request, name), "")
        return value if value in LOOKS[name] else LOOKS[name][0]
