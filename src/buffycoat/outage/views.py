"""Paper for the hours when no page opens, and catching up afterwards."""

from datetime import UTC, datetime
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from buffycoat.draws.models import DonationRow
from buffycoat.draws.spares import GiveSpareNumbers
from buffycoat.journal.book import Book
from buffycoat.outage.forms import CatchUpForm, MoreSheetsForm
from buffycoat.outage.pack import morning_pack, usable_lots
from buffycoat.outage.paper import blank_sheets_pdf
from buffycoat.outage.sheets import blank_sheets
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.recording import recorded
from buffycoat.shell.words import moment
from buffycoat.site.rules import limits


def paper_sheets(request: HttpRequest) -> HttpResponse:
    """The blank sheets there are, more of them, and the way to enter one that was written on."""
    form = MoreSheetsForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        sheets = form.cleaned_data["sheets"]
        if recorded(request, form, GiveSpareNumbers(sheets=sheets)):
            messages.success(request, f"{sheets} more spare numbers for donations: print the sheets now.")
            return redirect("paper-sheets")
    return render(request, "outage/paper_sheets.html", {"form": form, "sheets": blank_sheets()})


def catch_up(request: HttpRequest) -> HttpResponse:
    """One question: the sheet's number; then each step as usual, with the time that stands on the sheet."""
    form = CatchUpForm(request.POST or None, initial={"sheet": request.GET.get("sheet", "")})
    if request.method == "POST" and form.is_valid():
        sheet = form.cleaned_data["sheet"]
        if DonationRow.objects.filter(pk=sheet).exists():
            return redirect("next-step", sheet)
        if any(sheet == blank.number for blank in blank_sheets()):
            began = moment(form.cleaned_data["happened_at"], limits(Book()).zone)
            return redirect(f"{reverse('draw-new')}?{urlencode({'number': sheet, 'happened_at': began})}")
        form.refuse(
            ["This is not the number of a paper sheet: scan the code at the top of the sheet."], "sheet"
        )
    return render(request, "outage/catch_up.html", {"form": form})


@require_safe
def sheets_pdf(request: HttpRequest) -> HttpResponse:
    site = limits(Book())
    pdf = blank_sheets_pdf(blank_sheets(), usable_lots(site), datetime.now(UTC), site)
    return pdf_answer(pdf, "paper-sheets")


@require_safe
def pack_pdf(request: HttpRequest) -> HttpResponse:
    return pdf_answer(morning_pack(blank_sheets()), "morning-pack")
