"""A real mail server on this computer, that keeps what it is given."""

from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes, policy
from email.message import EmailMessage

from aiosmtpd.controller import Controller

from tests.harness.server import _free_port


class Kept:
    """`mails` are those that came; with `refuses` each is turned away."""

    def __init__(self) -> None:
        self.mails: list[tuple[list[str], EmailMessage]] = []
        self.refuses = False

    async def handle_DATA(self, server, session, envelope) -> str:  # noqa: N802 - the library's own name
        if self.refuses:
            return "451 Not now"
        self.mails.append((envelope.rcpt_tos, message_from_bytes(envelope.content, policy=policy.default)))
        return "250 Kept"


@contextmanager
def mail_server() -> Iterator[tuple[Kept, int]]:
    kept, port = Kept(), _free_port()
    controller = Controller(kept, hostname="127.0.0.1", port=port)
    controller.start()
    try:
        yield kept, port
    finally:
        controller.stop()
