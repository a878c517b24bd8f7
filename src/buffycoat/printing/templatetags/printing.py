"""Paper on pages: to the printer where the bench has one, else as a PDF to the browser."""

import uuid
from datetime import UTC, datetime
from typing import Any

from django import template

from buffycoat.shell.fields import site_zone
from buffycoat.shell.words import clock_or_moment

register = template.Library()


@register.filter
def lately(at: datetime) -> str:
    return clock_or_moment(at, site_zone(), datetime.now(UTC))


@register.inclusion_tag("printing/_to_paper.html", takes_context=True)
def to_paper(
    context: template.Context, kind: str, rest: str, address: str, words: str, look: str
) -> dict[str, Any]:
    """A sheet of many, for the bench's paper printer. `look` is the class that its button has on this page."""
    return {
        "request": context["request"],
        "csrf_token": context.get("csrf_token"),
        "there": getattr(context["here"].bench, "paper_printer_address", ""),
        "document": f"{kind}/{rest}",
        "address": address,
        "words": words,
        "look": look,
        "command_id": uuid.uuid4().hex,
    }
