"""Setting a bench up; the way of a reading from the scale program to the page."""

import hmac
import json
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import cache_control
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe

from buffycoat.benches import keyboard, simulated
from buffycoat.benches.forms import PX_PER_100_MM, BenchSetUpForm
from buffycoat.benches.here import COOKIE, bench_of, set_up_as, stay
from buffycoat.benches.live import SCALES, SILENT, WAITING, WEIGHING, Shown
from buffycoat.benches.models import PROCESS, Bench, hash_of
from buffycoat.benches.paper import test_card
from buffycoat.benches.weighing import signed
from buffycoat.journal.book import Book
from buffycoat.shell.answers import pdf_answer
from buffycoat.site.rules import limits

MOST_BYTES = 4_000


def bench(request: HttpRequest) -> HttpResponse:
    """This device: which bench it is, and how it is set up. Beside it, all benches."""
    known = set_up_as(request)
    form = BenchSetUpForm(request.POST or None, bench=known)
    if request.method == "POST" and form.is_valid():
        saved = form.save()
        messages.success(request, f"{saved.name} is set up, and this device knows that it is that bench.")
        return stay(redirect("bench"), saved)
    return _page(request, form, known)


def _page(request: HttpRequest, form: BenchSetUpForm, known: Bench | None, key: str = "") -> HttpResponse:
    shown = {"form": form, "bench": known, "benches": Bench.objects.all(), "key": key, "card": keyboard.CARD}
    return render(request, "benches/bench.html", shown)


@require_POST
def new_bench(request: HttpRequest) -> HttpResponse:
    """This device becomes a bench of its own: it forgets which one it was."""
    response = redirect("bench")
    response.delete_cookie(COOKIE)
    return response


@require_POST
def use_here(request: HttpRequest, number: int) -> HttpResponse:
    found = get_object_or_404(Bench, pk=number)
    messages.success(request, f"This device is {found.name} from now on.")
    return stay(redirect("bench"), found)


@require_POST
def new_key(request: HttpRequest) -> HttpResponse:
    """The key stands on this one answer and nowhere else: only its hash is kept."""
    known = set_up_as(request)
    if known is None:
        messages.error(request, "Give this bench a name first.")
        return redirect("bench")
    return _page(request, BenchSetUpForm(bench=known), known, known.new_key())


@require_safe
def test_card_pdf(request: HttpRequest) -> HttpResponse:
    return pdf_answer(test_card(limits(Book()).text("site_name")), "scanner-test-card")


@require_safe
def heard(request: HttpRequest) -> HttpResponse:
    """What a scan of the test card tells of the scanner."""
    text, prefix = request.GET.get("text", "")[:200], request.GET.get("prefix") == "1"
    wrong = keyboard.what_is_wrong(text, alt=request.GET.get("alt") == "1")
    known = "" if wrong else keyboard.how_it_is_known(text, prefix=prefix)
    return JsonResponse(
        {"wrong": wrong, "known": known, "advice": [] if wrong else keyboard.advice(text, prefix=prefix)}
    )


@require_safe
@cache_control(max_age=365 * 24 * 3600, immutable=True, private=True)
def size_sheet(request: HttpRequest, px_per_100_mm: int) -> HttpResponse:
    """Real millimetres on this screen, for buttons of 20 and 15 and a label in its own size. The address says all."""
    within = min(max(px_per_100_mm, PX_PER_100_MM[0]), PX_PER_100_MM[1])
    sizes = {"mm": 1, "touch-second": 15, "touch-main": 20}
    lines = "".join(f"--{name}:{mm * within / 100:g}px;" for name, mm in sizes.items())
    return HttpResponse(f":root{{{lines}}}", content_type="text/css")


@csrf_exempt
@require_POST
def reading(request: HttpRequest) -> HttpResponse:
    """The scale program tells what its scale shows. It is known by its key, not by a person."""
    key = request.headers.get("Authorization", "").removeprefix("Bearer ")
    found = Bench.objects.filter(key_hash=hash_of(key)).first() if key else None
    if found is None or not hmac.compare_digest(found.key_hash or "", hash_of(key)):
        return JsonResponse({"why": "No bench has this key."}, status=403)
    said = _said(request.body)
    if said is None:
        return JsonResponse({"why": "This is no reading."}, status=400)
    SCALES.put(found.pk, **said)
    site = limits(Book())
    return JsonResponse({"still_g": site.whole("scale_still_g"), "still_ms": site.whole("scale_still_ms")})


def _said(body: bytes) -> dict[str, Any] | None:
    """The fields of a reading, each of the type it must have; None if it is none."""
    try:
        given = json.loads(body) if len(body) <= MOST_BYTES else None
    except (ValueError, RecursionError):
        return None
    if not isinstance(given, dict) or given.get("state") not in (WEIGHING, WAITING, SILENT):
        return None
    types = {"state": str, "g": int, "text": str, "still": bool, "net": bool, "raw": str, "words": str}
    said = {name: given[name] for name in types if given.get(name) is not None}
    if any(type(value) is not types[name] for name, value in said.items()):
        return None
    if said["state"] == WEIGHING and not {"g", "still", "raw"} <= said.keys():
        return None
    return said


@require_safe
def scale(request: HttpRequest) -> HttpResponse:
    """What the scale of this device's bench shows; no content while it is what the page has seen already."""
    known = bench_of(request)
    if known is None or known.scale != PROCESS:
        return JsonResponse(
            {"seen": "", "state": SILENT, "words": "No scale program is set up at this bench."}
        )
    shown = SCALES.of(known.pk)
    seen = f"{known.pk}.{shown.change}"
    if request.GET.get("seen") == seen:
        return HttpResponse(status=204)
    return JsonResponse(
        {
            "seen": seen,
            "state": shown.state,
            "g": shown.g,
            "text": shown.text.replace("-", "−"),
            "still": shown.still,
            "net": shown.net,
            "words": _words(shown),
            "reading": signed(known, shown) if shown.takable else "",
        }
    )


def _words(shown: Shown) -> str:
    if shown.state != SILENT or shown.since is None:
        return shown.words
    since = timezone.localtime(shown.since)
    return f"{shown.words.rstrip('.')}. Since {since:%H:%M}."


@require_POST
def lay(request: HttpRequest) -> HttpResponse:
    """What the demo's invented scale is to do: hold a mass, pour, or stop pouring."""
    known, invented = bench_of(request), simulated.scale()
    if invented is None or known is None or known.pk != simulated.bench():
        return HttpResponse(status=404)
    match request.POST.get("act"):
        case "pour":
            invented.pour()
        case "stop":
            invented.stop()
        case "lay" if (g := request.POST.get("g", "")).isascii() and g.isdecimal() and len(g) < 6:
            invented.lay(float(g))
        case _:
            return HttpResponse(status=400)
    return HttpResponse(status=204)
