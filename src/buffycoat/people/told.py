"""Who came in and who did not, in the server's log: the name, the place, never what was typed as a secret."""

import logging
from typing import Any

from django.contrib.auth.signals import user_logged_in, user_logged_out, user_login_failed

LOG = logging.getLogger("buffycoat.people")
LONGEST = 60


def listen() -> None:
    user_logged_in.connect(_in)
    user_logged_out.connect(_out)
    user_login_failed.connect(_failed)


def _in(request: Any, user: Any, **rest: Any) -> None:
    LOG.info("%r signed in at %s", user.get_username(), _place(request))


def _out(request: Any, user: Any, **rest: Any) -> None:
    if user:
        LOG.info("%r signed out at %s", user.get_username(), _place(request))


def _failed(credentials: Any, request: Any = None, **rest: Any) -> None:
    LOG.warning("%r was not let in at %s", str(credentials.get("username", ""))[:LONGEST], _place(request))


def wrong(name: str, what: str, place: str) -> None:
    LOG.warning("%r was not let in: wrong %s at %s", name, what, place)


def _place(request: Any) -> str:
    return str(request.META.get("REMOTE_ADDR", "")) if request else ""
