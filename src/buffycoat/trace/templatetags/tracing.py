"""What only the pages of this chapter write, and the button that takes back the last step of a job."""

import re
from datetime import datetime

from django import template
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from buffycoat.donors.rules import DonorGave
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Line
from buffycoat.journal.strike import last_step
from buffycoat.shell.words import clock, moment
from buffycoat.site.rules import limits
from buffycoat.trace.stories import STREAMS, stream_for
from buffycoat.trace.telling import detail, title

register = template.Library()


@register.filter
def code_of_stream(stream: str) -> str:
    """The code behind the stroke, if the stream is of something that has one."""
    chapter, _, code = stream.partition("/")
    return code if chapter in STREAMS.values() else ""


@register.filter
def title_of(line: Line) -> str:
    return title(line.fact)


@register.filter
def told(line: Line) -> str:
    """What a line says in one sentence."""
    said = detail(line.fact, limits(Book()).zone)
    return f"{title(line.fact)}: {said}" if said else title(line.fact)


@register.filter
def with_entries(sentence: str) -> SafeString:
    """The sentence with each entry that it names as a link to where that one is struck."""
    pieces = re.split(r"\b(?=entry \d)", sentence, flags=re.IGNORECASE)
    return format_html_join("", "{}", ((_linked(piece),) for piece in pieces))


def _linked(piece: str) -> SafeString | str:
    found = re.match(r"(entry (\d+))(.*)", piece, re.IGNORECASE | re.DOTALL)
    if found is None:
        return piece
    return format_html(
        '<a href="{}">{}</a>{}', reverse("journal-strike", args=[found[2]]), found[1], found[3]
    )


@register.inclusion_tag("trace/_undo.html")
def undo_last(code: str, look: str = "second-button") -> dict[str, str]:
    """The button with what it takes back; none where nothing stands. A draw is taken back at its own page."""
    last = last_step(stream_for(code))
    if not last or isinstance(last[0].fact, DonorGave):
        return {}
    line, zone = last[0], limits(Book()).zone
    today = line.happened_at.astimezone(zone).date() == datetime.now(zone).date()
    at = clock(line.happened_at, zone) if today else moment(line.happened_at, zone)
    told = f"{title(line.fact)}, {detail(line.fact, zone)}"
    return {"code": code, "look": look, "told": told, "when": f"{at}, by {line.by}"}
