"""Who was trained in which step, and the page on which a trainer signs."""

from django.contrib import messages
from django.contrib.auth import get_user_model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from buffycoat.shell.guidance import TRAINED
from buffycoat.shell.recording import recorded
from buffycoat.training.forms import SignForm
from buffycoat.training.models import TrainingRow
from buffycoat.training.rules import MEANING, SignTraining, TrainingSigned


@require_safe
def training(request: HttpRequest) -> HttpResponse:
    signed = {(row.trainee, row.step): row for row in TrainingRow.objects.all()}
    active = get_user_model().objects.filter(is_active=True).values_list("username", flat=True)
    people = sorted({*active, *(trainee for trainee, _ in signed)})
    steps = [
        (title, [(name, signed.get((name, step))) for name in people]) for step, title in TRAINED.items()
    ]
    return render(request, "training/training.html", {"people": people, "steps": steps})


def sign(request: HttpRequest) -> HttpResponse:
    assert request.user.is_authenticated
    asked = {name: request.GET[name] for name in ("trainee", "step") if name in request.GET}
    form = SignForm(request.POST or None, trainer=request.user, initial=asked)
    if request.method == "POST" and form.is_valid():
        values = {name: form.cleaned_data[name] for name in ("trainee", "step", "remarks")}
        if done := recorded(request, form, SignTraining(trainer=request.user.get_username(), **values)):
            signed = done.the(TrainingSigned)
            messages.success(request, f"{signed.trainer} signed “{signed.title}” for {signed.trainee}.")
            return redirect("training")
    return render(request, "training/sign.html", {"form": form, "meaning": MEANING})
