"""What the coordinator looks at over all donors: the calendar, the calls due, the panel, the feed of visits."""

from django.contrib import messages
from django.contrib.auth import get_user_model
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from buffycoat.donors import feed
from buffycoat.donors.calendar import calendar as donor_weeks
from buffycoat.donors.calendar import calls_due
from buffycoat.donors.forms import PanelForm
from buffycoat.donors.models import DonorRow
from buffycoat.donors.panel import STREAM, SetPanelTest
from buffycoat.donors.paper import thank_you
from buffycoat.donors.pictures import weeks
from buffycoat.donors.rules import Donor, panel
from buffycoat.journal.book import Book
from buffycoat.people.second_person import checked_by
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.recording import again, recorded, seen
from buffycoat.site.rules import limits

MOST_DONORS = 100  # in one picture; the list narrows further


@require_safe
def calendar(request: HttpRequest) -> HttpResponse:
    """Weeks by donors: who may give when, by what the register knows."""
    today = timezone.localdate()
    found = donor_weeks(today, limits(Book()))
    shown = found[:MOST_DONORS]
    user = request.user
    return render(
        request,
        "donors/calendar.html",
        {
            "picture": weeks(shown, today) if shown else None,
            "count": len(found),
            "most": len(shown),
            "feed": request.build_absolute_uri(feed.path_for(user)),
        },
    )


@require_safe
def calls(request: HttpRequest) -> HttpResponse:
    """Whose owner is to be asked how the animal is, some days after it gave."""
    site = limits(Book())
    found = calls_due(timezone.localdate(), site)
    days = site.whole("owner_call_days")
    return render(request, "donors/calls.html", {"calls": found, "today": timezone.localdate(), "days": days})


def panel_page(request: HttpRequest) -> HttpResponse:
    """The panel of both species: the level that the site chose, and what it asks for itself."""
    look = Book()
    site, own = limits(look), panel(look)
    form = PanelForm(request.POST or None, seen=seen(STREAM), initial=again(request))
    sent = request.method == "POST" and form.is_valid()
    second = checked_by(request, form) if sent else None
    name = request.user.get_username()
    if second is not None and recorded(
        request, form, SetPanelTest(**form.values(), set_by=name, checked_by=second)
    ):
        messages.success(request, "The panel of this site is changed from now on.")
        return redirect("donor-panel")
    days = site.whole("panel_interval_days")
    wanted = [
        (
            species,
            site.text(f"{species}_panel"),
            list(own.wanted(species, site.text(f"{species}_panel"), days)),
        )
        for species in ("dog", "cat")
    ]
    return render(request, "donors/panel.html", {"form": form, "wanted": wanted, "own": own.own.values()})


@require_safe
def thanks(request: HttpRequest, donor: str) -> HttpResponse:
    """A sheet for whoever brought the donor: what it gave, and what became of it. It names no patient."""
    row = DonorRow.objects.filter(donor=donor).first()
    if row is None:
        raise Http404(f"No donor has the number {donor}.")
    state = Book()(Donor, donor)
    return pdf_answer(
        thank_you(row, len(state.all_gave), state.last_drawn_at, limits(Book())), f"thanks-{donor}"
    )


@require_safe
@login_not_required
def visits(request: HttpRequest, person: int, key: str) -> HttpResponse:
    """The feed, for whoever holds the secret link of a person who may still sign in."""
    user = get_user_model().objects.filter(pk=person, is_active=True).first()
    if user is None or not feed.holds(user, key):
        raise Http404("This link leads nowhere any more: take the new one from the calendar of donors.")
    found = feed.of_visits(donor_weeks(timezone.localdate(), limits(Book())), limits(Book()))
    return HttpResponse(found, content_type="text/calendar; charset=utf-8")
