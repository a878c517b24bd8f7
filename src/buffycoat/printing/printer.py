"""One printer: what it says of itself, and one document sent to it. The only network this program ever uses.

It is at the address that a coordinator typed and nowhere else: no redirection is followed.
"""

import http.client
import ssl
import time
from dataclasses import dataclass

from buffycoat.benches.printers import PrinterAddress
from buffycoat.printing import ipp
from buffycoat.printing.words import media_words, reasons_words

PATIENCE_S = 3.0  # for asking and sending together: someone stands there with a bag in hand
BETWEEN_S = 0.2
MOST_BYTES = 400_000
PDF = "application/pdf"
STOPPED, BUSY_STATUS, REFUSED_FROM = 5, 0x0507, 0x0400
CANCELLED_STATES = (7, 8)
SENT, NOT_SENT, UNKNOWN = "sent", "not-sent", "unknown"
TRUE_SIZE: ipp.Attribute = (ipp.KEYWORD, "print-scaling", "none")
_ASKED: list[ipp.Attribute] = [
    (ipp.KEYWORD, "requested-attributes", name)
    for name in (
        "printer-name",
        "printer-info",
        "printer-make-and-model",
        "printer-state",
        "printer-state-reasons",
        "printer-is-accepting-jobs",
        "document-format-supported",
        "print-scaling-supported",
        "media-ready",
        "media-default",
    )
]
LOOK = (
    "Look at the printer: if it came out, go on with it; if not, print again, which counts as another copy."
)


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """`sent`: the printer took it. `not-sent`: certainly nothing was printed. `unknown`: someone must look."""

    kind: str
    words: str


@dataclass(frozen=True, kw_only=True)
class About:
    """What a printer says of itself. `why_not` is why nothing may be sent to it now, empty if something may."""

    name: str
    model: str
    state: str
    media: str
    why_not: str
    true_size: bool
    notes: str


class NoAnswer(Exception):
    """With a sentence. `heard`: the request may have reached the printer."""

    def __init__(self, words: str, *, heard: bool) -> None:
        super().__init__(words)
        self.heard = heard


def ask(address: PrinterAddress, until: float | None = None) -> About:
    answer = _exchange(address, ipp.GET_PRINTER_ATTRIBUTES, _ASKED, until=until or _patience())
    if answer.code >= REFUSED_FROM:
        raise NoAnswer(f"The printer answered: {_told(answer)}.", heard=True)
    stopped = answer.first("printer-state") == STOPPED
    reasons = reasons_words(answer.texts("printer-state-reasons"))
    why_not = ""
    if stopped or answer.first("printer-is-accepting-jobs", True) is False:
        why_not = f"The printer is stopped{': ' + reasons if reasons else ''}. Put it right there first."
    elif PDF not in answer.texts("document-format-supported"):
        why_not = "This printer takes no PDF. Put it behind a print server that does, and give the server's address."
    return About(
        name=str(answer.first("printer-info") or answer.first("printer-name")),
        model=str(answer.first("printer-make-and-model")),
        state="stopped" if stopped else "working" if answer.first("printer-state") == 4 else "ready",
        media=media_words(answer.texts("media-ready") or answer.texts("media-default")),
        why_not=why_not,
        true_size="none" in answer.texts("print-scaling-supported"),
        notes=reasons,
    )


def send(address: PrinterAddress, document: bytes, *, title: str, by: str) -> Outcome:
    """Asks first, then sends. A busy printer is asked again while there is time."""
    until = _patience()
    try:
        about = ask(address, until)
    except NoAnswer as none:
        return Outcome(kind=NOT_SENT, words=str(none))
    if about.why_not:
        return Outcome(kind=NOT_SENT, words=about.why_not)
    while True:
        try:
            said = _job(title, by)
            wanted = [TRUE_SIZE] if about.true_size else []
            answer = _exchange(address, ipp.PRINT_JOB, said, wanted, document, until=until)
        except NoAnswer as none:
            if not none.heard:
                return Outcome(kind=NOT_SENT, words=str(none))
            return Outcome(kind=UNKNOWN, words=f"{none} It may have printed all the same. {LOOK}")
        if answer.code != BUSY_STATUS or time.monotonic() + BETWEEN_S > until:
            break
        time.sleep(BETWEEN_S)
    if answer.code >= REFUSED_FROM:
        return Outcome(kind=NOT_SENT, words=f"The printer did not take it: {_told(answer)}.")
    if answer.first("job-state") in CANCELLED_STATES:
        return Outcome(kind=UNKNOWN, words=f"The printer took it and gave it up. {LOOK}")
    return Outcome(kind=SENT, words=about.notes)


def _job(title: str, by: str) -> list[ipp.Attribute]:
    return [
        (ipp.NAME, "requesting-user-name", by),
        (ipp.NAME, "job-name", title),
        (ipp.MIME, "document-format", PDF),
    ]


def _patience() -> float:
    return time.monotonic() + PATIENCE_S


def _exchange(
    address: PrinterAddress,
    operation: int,
    said: list[ipp.Attribute],
    wanted: list[ipp.Attribute] | None = None,
    document: bytes = b"",
    *,
    until: float,
) -> ipp.Message:
    first: list[ipp.Attribute] = [
        (ipp.CHARSET, "attributes-charset", "utf-8"),
        (ipp.LANGUAGE, "attributes-natural-language", "en"),
        (ipp.URI, "printer-uri", str(address)),
    ]
    groups = [(ipp.OPERATION, [*first, *said]), *([(ipp.JOB, wanted)] if wanted else [])]
    body = ipp.write(operation, groups, document)
    connection = _connected(address, until)
    try:
        return _answered(connection, address.path, body, until)
    except TimeoutError:
        raise NoAnswer(f"The printer gave no answer within {PATIENCE_S:.0f} seconds.", heard=True) from None
    except (OSError, http.client.HTTPException):
        raise NoAnswer("The printer broke off while it was asked.", heard=True) from None
    except ipp.NoMessage:
        raise NoAnswer("What answers there speaks no IPP: check the address.", heard=True) from None
    finally:
        connection.close()


def _connected(address: PrinterAddress, until: float) -> http.client.HTTPConnection:
    left_s = max(until - time.monotonic(), 0.01)
    connection: http.client.HTTPConnection
    if address.secure:
        # Printers sign their own certificates: this hides what is sent from who listens, and proves no printer.
        context = ssl.create_default_context()
        context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
        connection = http.client.HTTPSConnection(address.host, address.port, timeout=left_s, context=context)
    else:
        connection = http.client.HTTPConnection(address.host, address.port, timeout=left_s)
    try:
        connection.connect()
    except TimeoutError:
        raise NoAnswer(
            "The printer does not answer. Is it switched on and in the network?", heard=False
        ) from None
    except (OSError, UnicodeError):  # the latter for a name that no name can be
        words = (
            "The printer cannot be reached. Is it switched on and in the network, and is its address right?"
        )
        raise NoAnswer(words, heard=False) from None
    return connection


def _answered(connection: http.client.HTTPConnection, path: str, body: bytes, until: float) -> ipp.Message:
    connection.request("POST", path, body, {"Content-Type": "application/ipp"})
    _shorten(connection, until)
    response = connection.getresponse()
    if response.status != http.HTTPStatus.OK:
        # Below 500 it was turned away; from 500 on it may have got further.
        words = f"What answers there is no printer, or not at this path (it says {response.status})."
        raise NoAnswer(words, heard=response.status >= http.HTTPStatus.INTERNAL_SERVER_ERROR)
    read = bytearray()
    while piece := response.read1(65_536):
        read += piece
        _shorten(connection, until)
        if len(read) > MOST_BYTES:
            raise ipp.NoMessage
    return ipp.read(bytes(read))


def _shorten(connection: http.client.HTTPConnection, until: float) -> None:
    left_s = until - time.monotonic()
    if left_s <= 0:
        raise TimeoutError
    if connection.sock:
        connection.sock.settimeout(left_s)


def _told(answer: ipp.Message) -> str:
    """The printer's own words, or the number it gave."""
    said = " ".join(str(answer.first("status-message")).split()).rstrip(".")[:120]
    return said or f"error {answer.code:#06x}"
