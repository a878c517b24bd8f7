"""The limits of the site: what holds, where it comes from, who set it and why."""

from collections import defaultdict
from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from buffycoat.journal.book import Book, Told, story
from buffycoat.people.second_person import checked_by
from buffycoat.shell.recording import again, recorded, seen
from buffycoat.site.forms import LimitForm, shown, shown_range
from buffycoat.site.limits import GROUPS, LIMITS, Limit
from buffycoat.site.rules import STREAM, Limits, LimitSet, SetLimit, limits


@dataclass(frozen=True, kw_only=True)
class Setting:
    """What was set once; `told.struck` says if that was a mistake."""

    value: str
    reason: str
    told: Told


@dataclass(frozen=True, kw_only=True)
class Row:
    """A limit as the page shows it. `settings` are newest first; without one that stands, the default holds."""

    limit: Limit
    value: str
    range: str
    default: str
    settings: tuple[Setting, ...]

    @property
    def set_here(self) -> Setting | None:
        return next((each for each in self.settings if each.told.struck is None), None)


def row_of(limit: Limit, site: Limits, settings: list[Setting]) -> Row:
    return Row(
        limit=limit,
        value=shown(limit, site.set_here.get(limit.key, limit.default)),
        range=shown_range(limit),
        default=shown(limit, limit.default),
        settings=tuple(reversed(settings)),
    )


def _settings() -> dict[str, list[Setting]]:
    found = defaultdict(list)
    for told in story(STREAM):
        fact = told.line.fact
        if isinstance(fact, LimitSet) and fact.key in LIMITS:
            value = shown(LIMITS[fact.key], fact.value)
            found[fact.key].append(Setting(value=value, reason=fact.reason, told=told))
    return found


@require_safe
def all_limits(request: HttpRequest) -> HttpResponse:
    site, settings = limits(Book()), _settings()
    groups = [
        {
            "title": title,
            "anchor": slugify(title),
            "rows": [row_of(limit, site, settings[limit.key]) for limit in group],
        }
        for title, group in GROUPS
    ]
    return render(request, "site/limits.html", {"groups": groups})


def one_limit(request: HttpRequest, key: str) -> HttpResponse:
    limit = LIMITS.get(key)
    if limit is None:
        raise Http404(f"There is no limit called {key}.")
    row = row_of(limit, limits(Book()), _settings()[key])
    holds = limits(Book()).set_here.get(key, limit.default)
    form = LimitForm(
        limit, request.POST or None, seen=seen(STREAM), initial={"value": holds} | again(request)
    )
    if request.method == "POST" and form.is_valid():
        value, reason, name = (
            form.cleaned_data["value"],
            form.cleaned_data["reason"],
            request.user.get_username(),
        )
        second = checked_by(request, form)
        command = SetLimit(key=key, value=value, reason=reason, set_by=name, checked_by=second or "")
        if second is not None and recorded(request, form, command):
            messages.success(
                request,
                f"{limit.title}: {shown(limit, value)} from now on, before it was {row.value}. "
                "What was decided earlier stays as it was decided.",
            )
            return redirect(f"{reverse('limits')}#{key}")
    return render(request, "site/limit.html", {"form": form, "row": row})
