"""All calculators, and one of them. They read what is typed and tell the result; nothing is recorded."""

import re
import shlex
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from buffycoat.calculator import drawings
from buffycoat.calculator.calculator import Answer, Calculator
from buffycoat.calculator.catalogue import CALCULATORS, GROUPS, group_of
from buffycoat.calculator.forms import CalculatorForm
from buffycoat.calculator.kinds import Asked, label_of
from buffycoat.calculator.labels import LABELS
from buffycoat.shell.fields import site_zone

MOST_BESIDE_A_PICTURE = 16


@require_safe
def calculators(request: HttpRequest) -> HttpResponse:
    return render(request, "calculator/calculators.html", {"groups": GROUPS})


@require_safe
def calculator(request: HttpRequest, name: str) -> HttpResponse:
    found = CALCULATORS.get(name)
    if found is None:
        raise Http404(f"There is no calculator called {name}.")
    zone = site_zone()
    asked = Asked(zone=zone, today=timezone.now().astimezone(zone).date())
    typed = request.GET.dict()
    form = CalculatorForm(found, typed or None, asked)
    answer: Answer | None = None
    if form.is_valid():
        try:
            answer = found.compute(form.values(), asked)
        except ValueError as refusal:
            form.add_error(None, str(refusal))
    lines = answer.lines if answer else ()
    shown = {
        "calculator": found,
        "group": group_of(found),
        "explained": found.explained,
        "typed_so": in_words(found, found.explained.arguments),
        "holds": in_words(found, found.explained.range),
        "form": form,
        "answer": answer,
        "large": [line for line in lines[: found.large] if line.short],
        "sentences": [line for line in lines[: found.large] if not line.short],
        "rest": lines[found.large :],
        "folded_rest": bool(answer and answer.picture and len(lines) > MOST_BESIDE_A_PICTURE),
        "wide": found.picture is drawings.rotor,
        "example": urlencode(found.example),
        "command": command(found, typed) if answer else "",
    }
    return render(request, "calculator/calculator.html", shown)


TITLES = {each.function.__name__: f"“{each.title}”" for each in CALCULATORS.values()}


def in_words(found: Calculator, text: str) -> str:
    """What a docstring says, with the words of the page for the names of the code."""
    labels = {each.name: each.label.partition(",")[0] for each in found.inputs}

    def word(match: re.Match[str]) -> str:
        name = match[1] or match[0]
        said = labels.get(name) or match[2] or TITLES.get(name) or LABELS.get(name) or label_of(name)
        return said if said[1:2].isupper() else said[:1].lower() + said[1:]

    said = re.sub(r"`(\w+)`|\b[a-z]+(?:_[a-z0-9]+)+\b|\b([a-z]+)(?=,| and )", word, text)
    return re.sub(r"^[a-z]|(?<=\. )[a-z]", lambda first: first[0].upper(), said)


def command(found: Calculator, typed: dict[str, str]) -> str:
    """The same calculation for a terminal."""
    words = ["buffycoat", "calc", found.name]
    for each in found.inputs:
        if text := typed.get(each.name, "").strip():
            parts = text.splitlines() if each.kind.lines else text.split() if each.kind.many else [text]
            words += [f"--{each.name.replace('_', '-')}", *(part.strip() for part in parts)]
    return shlex.join(words)
