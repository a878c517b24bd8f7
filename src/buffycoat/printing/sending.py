"""The queue: one job for each thing printed, one attempt for each time the printer was asked."""

from datetime import UTC, datetime

from django.db import IntegrityError, transaction

from buffycoat.benches.models import Bench
from buffycoat.benches.printers import read_address
from buffycoat.printing.documents import document
from buffycoat.printing.models import Attempt, PrintJob
from buffycoat.printing.printer import NOT_SENT, SENT, Outcome, send

AGAIN = "Print the label again from its own page: that counts as another copy."
GONE = "There is nothing of that name to print any more."
NO_PRINTER = "This bench has no printer for it any more: open the PDF instead."
BATCHES = (
    "stickers",
    "places",
    "sheets",
)  # a unit's label never comes in a batch, and only by its own command


def give(bench: Bench, name: str, *, by: str, command_id: str, paper: bool = False) -> PrintJob | None:
    """Gives a document to the bench's printer; the same command again gives the job that it made before."""
    found = document(name)
    if found is None:
        return None
    job, new = PrintJob.objects.get_or_create(
        command_id=command_id,
        defaults={
            "document": name,
            "title": found.title,
            "bench": bench,
            "paper": paper,
            "by": by,
            "at": datetime.now(UTC),
        },
    )
    if new:
        attempt(job, after=0)
    return job


def attempt(job: PrintJob, *, after: int) -> Attempt | None:
    """Asks the printer, outside of any transaction. None if someone else did so since that many attempts."""
    address = _address(job)
    try:
        with transaction.atomic():
            made = Attempt.objects.create(job=job, number=after + 1, at=datetime.now(UTC), printer=address)
    except IntegrityError:
        return None
    outcome = _outcome(job, address)
    made.outcome, made.answer = outcome.kind, outcome.words[:400]
    made.save(update_fields=["outcome", "answer"])
    return made


def _address(job: PrintJob) -> str:
    if job.bench is None:
        return ""
    return job.bench.paper_printer_address if job.paper else job.bench.printer_address


def _outcome(job: PrintJob, address: str) -> Outcome:
    if not address:
        return Outcome(kind=NOT_SENT, words=NO_PRINTER)
    found = document(job.document)
    if found is None or found.settled:
        return Outcome(kind=NOT_SENT, words=f"Not needed any more: {found.settled}." if found else GONE)
    return send(read_address(address), found.pdf(), title=job.title, by=job.by)


def settled(job: PrintJob) -> str:
    """Why nobody need think of this job any more, in words; empty while somebody must."""
    if job.cancelled_at:
        return f"cancelled by {job.cancelled_by}"
    found, last = document(job.document), job.last
    if found is None:
        return "no longer there"
    if found.settled or found.counted:
        return found.settled
    return "sent" if last and last.outcome == SENT else ""


def why_not_again(job: PrintJob) -> str:
    """Why the same paper may not be sent once more. A label that may exist is printed again only as a counted copy."""
    if done := settled(job):
        return f"Not needed any more: {done}."
    if job.last and job.last.outcome != NOT_SENT:
        return f"It was given to the printer, so there may be one already. {AGAIN}"
    return ""
