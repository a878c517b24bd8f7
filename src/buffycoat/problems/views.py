"""Problems: say what is wrong with what is in hand; what is open, and what came of it."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_safe

from buffycoat.journal.book import Book
from buffycoat.problems.forms import KINDS_OF_THINGS, FindThingForm, ReportForm, SettleForm
from buffycoat.problems.models import ProblemRow
from buffycoat.problems.rules import (
    MEANING,
    OUTCOMES,
    WHAT,
    ProblemReported,
    ReportProblem,
    SettleProblem,
    thing_of,
    told,
)
from buffycoat.science.numbering import KINDS, BadCode, read_code, show_code
from buffycoat.shell.recording import recorded, seen


def problem(request: HttpRequest) -> HttpResponse:
    """Scan the thing, if none is in hand; then one page: what is wrong."""
    if not (asked := request.GET.get("about", "")):
        return _find_thing(request)
    about = _code(asked)
    thing = thing_of(Book(), about)
    if thing is None or not thing.problems(Book()).exists:
        messages.error(request, _not_there(about))
        return redirect("problem")
    drawn_from = seen(f"{thing.stream}/{thing.number}")
    form = ReportForm(request.POST or None, kind=about[0], seen=drawn_from)
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        command = ReportProblem(about=about, what=values["what"], words=values["words"])
        if done := recorded(request, form, command):
            held = " It waits until that is settled." if thing.stream == "donation" else ""
            said = told(done.the(ProblemReported)).rstrip(".")
            messages.success(request, f"Reported for {show_code(about)}: {said}.{held}")
            return redirect(_back(request))
    shown = {"form": form, "about": about, "noun": KINDS[about[0]], "back": _back(request)}
    shown["open"] = [told(each.reported) for each in thing.problems(Book()).open]
    return render(request, "problems/problem.html", shown)


def _find_thing(request: HttpRequest) -> HttpResponse:
    form = FindThingForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        about = form.cleaned_data["about"]
        thing = thing_of(Book(), about)
        if thing and thing.problems(Book()).exists:
            return redirect(f"{reverse('problem')}?about={about}")
        form.refuse([_not_there(about)], "about")
    return render(request, "problems/find_thing.html", {"form": form})


def _not_there(about: str) -> str:
    return f"Nothing in the book has the number {show_code(about)}: scan it again."


def _code(text: str) -> str:
    try:
        return read_code(text, KINDS_OF_THINGS).text
    except BadCode:
        raise Http404 from None


def _back(request: HttpRequest) -> str:
    """The page that was left to say it, if it is one of ours; else the list."""
    back = request.GET.get("back", "")
    ours = back.startswith("/") and url_has_allowed_host_and_scheme(back, allowed_hosts=None)
    return back if ours else reverse("problems")


@require_safe
def problems(request: HttpRequest) -> HttpResponse:
    rows = ProblemRow.objects.all()
    settled = rows.filter(settled_at__isnull=False).order_by("-settled_at", "-problem")[:200]
    shown = {"open": rows.filter(settled_at=None), "settled": settled, "what": WHAT, "outcomes": OUTCOMES}
    return render(request, "problems/problems.html", shown)


def settle(request: HttpRequest, number: int) -> HttpResponse:
    row = get_object_or_404(ProblemRow, pk=number)
    form = SettleForm(request.POST or None, seen=seen(row.stream))
    if request.method == "POST" and form.is_valid():
        command = SettleProblem(
            about=row.about,
            problem=number,
            outcome=form.cleaned_data["outcome"],
            why=form.cleaned_data["why"],
            settled_by=request.user.get_username(),
        )
        if recorded(request, form, command):
            messages.success(request, f"Settled: {OUTCOMES[command.outcome].lower()}.")
            return redirect("problems")
    return render(request, "problems/settle.html", {"form": form, "row": row, "meaning": MEANING})
