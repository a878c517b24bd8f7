"""From a form to the book, and back to the form with the reasons."""

import json
from collections.abc import Callable
from datetime import UTC, datetime

from django.contrib import messages
from django.http import HttpRequest, QueryDict

from buffycoat.journal.book import standing, version_of
from buffycoat.journal.facts import Command, Fact, Line, Refused
from buffycoat.journal.record import Recorded, record
from buffycoat.shell.fields import site_zone
from buffycoat.shell.forms import BenchForm
from buffycoat.shell.words import clock_or_moment

# Filled by other chapters: why this person may not record on this page and bench, and what they are told if they do.
AskBefore = Callable[[HttpRequest], tuple[list[str], list[str]]]
ask_before: list[AskBefore] = []


def recorded(request: HttpRequest, form: BenchForm, command: Command) -> Recorded | None:
    """Records what a valid form asks. If the book refuses, the reasons stand on the form and nothing is returned.

    A field `happened_at` of the form, where there is one and it is filled, says when it was done.
    """
    happened_at: datetime | None = form.cleaned_data.get("happened_at")
    name = request.user.get_username()
    asked = [each(request) for each in ask_before]
    try:
        if against := [reason for refusals, _ in asked for reason in refusals]:
            raise Refused(*against)
        done = record(command, by=name, happened_at=happened_at, **form.for_record())
        for sentence in (sentence for _, warnings in asked for sentence in warnings):
            messages.warning(request, sentence)
        return done
    except Refused as refused:
        form.refuse(refused.reasons)
        _renew(form)
        return None


def page_of(request: HttpRequest) -> str:
    """The name of the page's address."""
    return request.resolver_match.view_name if request.resolver_match else ""


def _renew(form: BenchForm) -> None:
    """The page that shows the reasons is drawn from what stands now: pressing again is then a new decision."""
    data = QueryDict(mutable=True)
    data.update(form.data)
    data["seen"] = json.dumps(seen(*form.cleaned_data.get("seen", {})))
    form.data = data


def again(request: HttpRequest) -> dict[str, str]:
    """What was written before, when a step that was taken back is done again: it stands in the address, as typed."""
    given = request.GET.dict()
    return {name: str(value) for name, value in given.items() if name not in BenchForm.base_fields}


def last_of(stream: str, *kinds: type[Fact], **of: str) -> Line | None:
    """The last line that stands of these kinds, of that part or unit."""
    lines = (line for line in reversed(standing(stream)) if isinstance(line.fact, kinds))
    return next((line for line in lines if all(getattr(line.fact, each) == of[each] for each in of)), None)


def when_done(stream: str, *kinds: type[Fact], **of: str) -> str:
    """When and by whom a step was done that someone is about to repeat: `recorded at 10:42 by robin`."""
    line = last_of(stream, *kinds, **of)
    if line is None:
        return ""
    return f"recorded at {clock_or_moment(line.happened_at, site_zone(), datetime.now(UTC))} by {line.by}"


def seen(*streams: str) -> dict[str, int]:
    """What a form was drawn from: if one of these streams goes on meanwhile, the book refuses the form."""
    return {stream: version_of(stream) for stream in streams}
