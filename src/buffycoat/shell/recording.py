"""From a form to the book, and back to the form with the reasons."""

import json
from datetime import datetime

from django.http import HttpRequest, QueryDict

from buffycoat.journal.book import version_of
from buffycoat.journal.facts import Command, Refused
from buffycoat.journal.record import Recorded, record
from buffycoat.shell.forms import BenchForm


def recorded(request: HttpRequest, form: BenchForm, command: Command) -> Recorded | None:
    """Records what a valid form asks. If the book refuses, the reasons stand on the form and nothing is returned.

    A field `happened_at` of the form, where there is one and it is filled, says when it was done.
    """
    happened_at: datetime | None = form.cleaned_data.get("happened_at")
    try:
        return record(command, by=request.user.get_username(), happened_at=happened_at, **form.for_record())
    except Refused as refused:
        form.refuse(refused.reasons)
        _renew(form)
        return None


def _renew(form: BenchForm) -> None:
    """The page that shows the reasons is drawn from what stands now: pressing again is then a new decision."""
    data = QueryDict(mutable=True)
    data.update(form.data)
    data["seen"] = json.dumps(seen(*form.cleaned_data.get("seen", {})))
    form.data = data


def seen(*streams: str) -> dict[str, int]:
    """What a form was drawn from: if one of these streams goes on meanwhile, the book refuses the form."""
    return {stream: version_of(stream) for stream in streams}
