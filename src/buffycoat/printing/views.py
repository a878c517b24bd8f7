"""The queue, and a label to try a printer with."""

import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from buffycoat.benches.here import bench_of
from buffycoat.benches.printers import read_address
from buffycoat.printing.models import PrintJob
from buffycoat.printing.paper import TEST_LABEL
from buffycoat.printing.printer import SENT, NoAnswer, ask
from buffycoat.printing.sending import BATCHES, NO_PRINTER, attempt, give, settled, why_not_again

SHOWN = timedelta(days=7)
MOST_SHOWN = 200


@require_safe
def queue(request: HttpRequest) -> HttpResponse:
    """Open jobs first: what was given to a printer and not yet proved, cancelled or done."""
    since = datetime.now(UTC) - SHOWN
    recent = PrintJob.objects.filter(at__gte=since).select_related("bench").prefetch_related("attempts")
    shown = [_shown(job) for job in recent[:MOST_SHOWN]]
    groups = [
        ("Open", [each for each in shown if not each["settled"]]),
        ("Settled", [each for each in shown if each["settled"]]),
    ]
    return render(request, "printing/queue.html", {"groups": groups})


def _shown(job: PrintJob) -> dict[str, Any]:
    return {"job": job, "settled": settled(job), "again": not why_not_again(job)}


@require_POST
def send_batch(request: HttpRequest) -> HttpResponse:
    """Sheets of many to the paper printer: stickers of one donation, cards of places, sheets with spare numbers."""
    name, command_id = request.POST.get("document", "")[:60], request.POST.get("command_id", "")[:32]
    bench = bench_of(request)
    if name.partition("/")[0] not in BATCHES or not command_id:
        raise Http404
    if bench is None or not bench.paper_printer_address:
        messages.error(request, NO_PRINTER)
        return redirect(_back(request))
    job = give(bench, name, by=request.user.get_username(), command_id=command_id, paper=True)
    if job is None:
        raise Http404
    if job.last and job.last.outcome == SENT:
        messages.success(request, f"{job.title}: sent to the paper printer.")
    else:
        messages.error(request, job.last.answer if job.last else NO_PRINTER)
    return redirect(_back(request))


@require_POST
def again(request: HttpRequest, number: int) -> HttpResponse:
    """The same paper once more: only where certainly nothing was printed."""
    job = get_object_or_404(PrintJob, pk=number)
    if why_not := why_not_again(job):
        messages.error(request, why_not)
    else:
        sent = request.POST.get("after", "")
        made = (
            attempt(job, after=int(sent)) if sent.isascii() and sent.isdecimal() and len(sent) < 4 else None
        )
        if made is None:
            messages.info(request, "Someone else tried just now; this is how it stands.")
        elif made.outcome == SENT:
            messages.success(request, f"{job.title}: sent to the printer.")
        else:
            messages.error(request, made.answer)
    return redirect(_back(request))


@require_POST
def cancel(request: HttpRequest, number: int) -> HttpResponse:
    """Takes it from the list; what a printer has already taken, it prints."""
    job = get_object_or_404(PrintJob, pk=number, cancelled_at=None)
    job.cancelled_at, job.cancelled_by = datetime.now(UTC), request.user.get_username()
    job.save(update_fields=["cancelled_at", "cancelled_by"])
    messages.success(request, f"{job.title}: cancelled.")
    return redirect("printing")


@require_POST
def test_label(request: HttpRequest) -> HttpResponse:
    """Asks the printer of this bench what it says of itself, and sends it a label to try."""
    bench = bench_of(request)
    if bench is None or not bench.printer_address:
        messages.error(request, "Give the printer's address and save first.")
        return redirect("bench")
    try:
        about = ask(read_address(bench.printer_address))
    except NoAnswer as none:
        messages.error(request, str(none))
        return redirect("bench")
    said = [f"The printer says: {about.name}", about.model, about.state, about.notes, about.media]
    messages.info(request, "; ".join(each for each in said if each) + ".")
    by = request.user.get_username()
    job = give(bench, TEST_LABEL, by=by, command_id=uuid.uuid4().hex)
    last = job.last if job else None
    if last and last.outcome == SENT:
        messages.success(request, "A test label was sent to it: scan it, and measure its black line: 80 mm.")
    else:
        messages.error(request, last.answer if last else NO_PRINTER)
    return redirect("bench")


def _back(request: HttpRequest) -> str:
    wanted = request.POST.get("then", "")
    ours = wanted.startswith("/") and url_has_allowed_host_and_scheme(wanted, allowed_hosts=None)
    return wanted if ours else reverse("printing")
