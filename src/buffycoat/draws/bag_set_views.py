"""Bag sets: which lots are on the shelf, what is in one, and one that has come in."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.db.models import Count
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from buffycoat.draws.bag_sets import BagSetLot, BagSetLotReceived, HoldLot, ReceiveBagSetLot, ReleaseLot
from buffycoat.draws.forms import EXAMPLES, HoldForm, ReceiveForm, like
from buffycoat.draws.models import BagSetLotRow, DonationRow
from buffycoat.draws.paper import lot_card, lot_cards
from buffycoat.journal.book import Book, standing
from buffycoat.science.numbering import show_code
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.forms import BenchForm
from buffycoat.shell.recording import again, recorded, seen
from buffycoat.site.rules import limits

RECENT = 50
ASKED = [name for name in ReceiveForm.base_fields if name not in BenchForm.base_fields]


@require_safe
def bag_sets(request: HttpRequest) -> HttpResponse:
    """Lots by expiry: what runs out first is on top, what has expired stands apart."""
    rows = BagSetLotRow.objects.annotate(drawn=Count("donationrow")).order_by("expires_on", "lot")
    lots = [{"row": row, **_expiry(row.expires_on)} for row in rows]
    return render(
        request,
        "draws/bag_sets.html",
        {
            "usable": [lot for lot in lots if lot["days"] >= 0],
            "expired": [lot for lot in lots if lot["days"] < 0],
        },
    )


def _expiry(expires_on: date) -> dict[str, Any]:
    """Days left; a lot is good to the end of its last day."""
    days = (expires_on - timezone.localdate()).days
    return {"days": days, "gone": -days, "soon": 0 <= days <= limits(Book()).whole("use_first_days")}


@require_safe
def bag_set(request: HttpRequest, lot: str) -> HttpResponse:
    state = _known(lot)
    assert state.received
    return render(
        request,
        "draws/bag_set.html",
        {
            "lot": state.received,
            "received": standing(f"{BagSetLot.stream}/{lot}")[0],
            "on_hold": state.on_hold,
            "donations": DonationRow.objects.filter(lot=lot).select_related("donor")[:RECENT],
            **_expiry(state.received.expires_on),
        },
    )


def new_bag_set(request: HttpRequest) -> HttpResponse:
    """Receives a lot; an example or an earlier lot of the same set fills in what they share."""
    form = ReceiveForm(request.POST or None, initial=_start(request))
    if request.method == "POST" and form.is_valid():
        values = {name: form.cleaned_data[name] for name in ASKED}
        if result := recorded(request, form, ReceiveBagSetLot(**values)):
            received = result.the(BagSetLotReceived)
            messages.success(
                request,
                f"Lot {received.maker_lot} is {show_code(received.lot)}. Next: print its card and put it on the box.",
            )
            return redirect("bag-set", received.lot)
    return render(request, "draws/bag_set_new.html", {"form": form, "examples": EXAMPLES})


def hold(request: HttpRequest, lot: str) -> HttpResponse:
    """Puts a lot on hold, or releases one that is."""
    state = _known(lot)
    assert state.received
    form = HoldForm(
        request.POST or None, released=bool(state.on_hold), seen=seen(f"{BagSetLot.stream}/{lot}")
    )
    if request.method == "POST" and form.is_valid():
        why = form.cleaned_data["why"]
        name = request.user.get_username()
        release = ReleaseLot(lot=lot, why=why, released_by=name)
        command = release if state.on_hold else HoldLot(lot=lot, reason=why)
        if recorded(request, form, command):
            became = (
                "may be used again" if state.on_hold else "is on hold, and all that was made with it waits"
            )
            messages.success(request, f"Lot {state.received.maker_lot} {became}.")
            return redirect("bag-set", lot)
    shown = {"form": form, "lot": state.received, "on_hold": state.on_hold}
    return render(request, "draws/bag_set_hold.html", shown)


def _start(request: HttpRequest) -> dict[str, Any]:
    if earlier := request.GET.get("like"):
        return like(_known(earlier))
    return dict(EXAMPLES.get(request.GET.get("example", ""), ("", {}))[1]) | again(request)


@require_safe
def card_pdf(request: HttpRequest, lot: str) -> HttpResponse:
    return pdf_answer(lot_card(get_object_or_404(BagSetLotRow, pk=lot), limits(Book())), f"lot-{lot}")


@require_safe
def cards_pdf(request: HttpRequest) -> HttpResponse:
    return pdf_answer(lot_cards(BagSetLotRow.objects.all(), limits(Book())), "bag-sets")


def _known(lot: str) -> BagSetLot:
    state = Book()(BagSetLot, lot)
    if state.received is None:
        raise Http404(f"No bag set lot has the number {lot}: scan the lot's card again, or receive the lot.")
    return state
