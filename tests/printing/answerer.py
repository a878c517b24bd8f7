"""What real printers do that a well-behaved one will not do on demand: a small server that answers as it is told."""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

from buffycoat.benches.printers import PrinterAddress, read_address
from buffycoat.printing import ipp
from buffycoat.printing.printer import PDF

PRINTER_GROUP = 0x04
IDLE = 3


class Answerer:
    """`about` and `job` answer the two operations; either gives the bytes of an answer, or None to keep silent."""

    def __init__(self) -> None:
        self.asked: list[ipp.Message] = []
        self.http_status, self.location = 200, ""
        self.about: Callable[[], bytes | None] = described
        self.job: Callable[[], bytes | None] = lambda: accepted()
        self.over = threading.Event()
        self.address: PrinterAddress

    @property
    def jobs(self) -> int:
        return sum(message.code == ipp.PRINT_JOB for message in self.asked)

    def answer(self, body: bytes) -> bytes | None:
        asked = ipp.read(body)
        self.asked.append(asked)
        return self.job() if asked.code == ipp.PRINT_JOB else self.about()


def described(
    state: int = IDLE, *, formats: tuple[str, ...] = (PDF,), accepting: bool = True, **more: str
) -> bytes:
    said: list[ipp.Attribute] = [
        (ipp.NAME, "printer-name", "Invented"),
        (ipp.ENUM, "printer-state", state),
        (ipp.BOOLEAN, "printer-is-accepting-jobs", accepting),
        *((ipp.MIME, "document-format-supported", each) for each in formats),
        *((ipp.KEYWORD, name.replace("_", "-"), value) for name, value in more.items()),
    ]
    return ipp.write(0, [(ipp.OPERATION, []), (PRINTER_GROUP, said)])


def accepted(state: int = IDLE) -> bytes:
    return ipp.write(0, [(ipp.JOB, [(ipp.ENUM, "job-state", state)])])


def failed(status: int, words: str = "") -> bytes:
    said: list[ipp.Attribute] = [(ipp.TEXT, "status-message", words)] if words else []
    return ipp.write(status, [(ipp.OPERATION, said)])


@contextmanager
def answerer() -> Iterator[Answerer]:
    made = Answerer()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            answer = made.answer(self.rfile.read(int(self.headers["Content-Length"])))
            if answer is None:
                made.over.wait(60)
                return
            self.send_response(made.http_status)
            if made.location:
                self.send_header("Location", made.location)
            self.send_header("Content-Length", str(len(answer)))
            self.end_headers()
            self.wfile.write(answer)

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    made.address = read_address(f"ipp://127.0.0.1:{server.server_port}/ipp/print")
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    try:
        yield made
    finally:
        made.over.set()
        server.shutdown()
        server.server_close()
        thread.join()
