"""One line of the server's log for one event, whatever was typed: time in UTC, how grave, where from, what."""

import logging
import re
import time

CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def shown(text: str) -> str:
    r"""
    >>> shown("robin\r\n2026-01-01 kim signed in")
    'robin\\x0d\\x0a2026-01-01 kim signed in'
    """
    return CONTROL.sub(lambda found: f"\\x{ord(found[0]):02x}", text)


class OneLine(logging.Formatter):
    """What follows of an error is set in by a bar, so that nothing that was typed looks like a line of its own."""

    converter = time.gmtime  # type: ignore[assignment]
    default_msec_format = "%s.%03dZ"
    default_time_format = "%Y-%m-%dT%H:%M:%S"

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s")

    def formatMessage(self, record: logging.LogRecord) -> str:  # noqa: N802 - the name of the library
        return shown(super().formatMessage(record))

    def formatException(self, ei: object) -> str:  # noqa: N802
        lines = super().formatException(ei).splitlines()  # type: ignore[arg-type]
        return "\n".join(f"    | {shown(line)}" for line in lines)

    def formatStack(self, stack_info: str) -> str:  # noqa: N802
        return "\n".join(f"    | {shown(line)}" for line in stack_info.splitlines())
