"""The address of a printer, as a person types it."""

from dataclasses import dataclass
from urllib.parse import urlsplit

USUAL_PORT = 631
USUAL_PATH = "/ipp/print"
LIKE_THIS = "Write it like ipp://192.0.2.7/ipp/print, as the printer's own information page shows it."


class NoAddress(ValueError):
    """With what is wrong, as a sentence."""


@dataclass(frozen=True, kw_only=True)
class PrinterAddress:
    secure: bool
    host: str
    port: int
    path: str

    def __str__(self) -> str:
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"ipp{'s' if self.secure else ''}://{host}:{self.port}{self.path}"


def read_address(text: str) -> PrinterAddress:
    """
    >>> str(read_address("IPP://Labels.example"))
    'ipp://labels.example:631/ipp/print'
    >>> read_address("http://labels.example/")
    Traceback (most recent call last):
    buffycoat.benches.printers.NoAddress: A printer's address begins with ipp:// or ipps://. ...
    """
    try:
        parts = urlsplit(text)
        port = parts.port or USUAL_PORT
    except ValueError:
        raise NoAddress(f"This is no address. {LIKE_THIS}") from None
    if parts.scheme not in ("ipp", "ipps"):
        raise NoAddress(f"A printer's address begins with ipp:// or ipps://. {LIKE_THIS}")
    odd = any(not "!" <= character <= "~" for character in text) or parts.query or parts.fragment
    if odd or not parts.hostname or "@" in parts.netloc:
        raise NoAddress(f"An address has a host and a path, and no name, password or question. {LIKE_THIS}")
    path = parts.path if parts.path not in ("", "/") else USUAL_PATH
    return PrinterAddress(secure=parts.scheme == "ipps", host=parts.hostname, port=port, path=path)
