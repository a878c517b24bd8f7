"""You were here: what whoever comes back to a page must know before they go on."""

import re
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from buffycoat.draws.models import DonationRow
from buffycoat.journal.book import Book, written_by
from buffycoat.journal.facts import Line
from buffycoat.journal.models import Entry, Head
from buffycoat.journal.strike import last_step
from buffycoat.science.numbering import BadCode, read_code
from buffycoat.trace.jobs import Step, next_step
from buffycoat.trace.stories import STREAMS, stream_for

LATELY = 2_000  # so many entries back is still "here"; nobody comes back to what was before


@dataclass(frozen=True, kw_only=True)
class InHand:
    """`last` is what was done with it last, by anyone; `step` is what comes next, if it is a donation."""

    code: str
    donation: DonationRow | None
    last: Line | None
    step: Step | None


@require_safe
def you_were_here(request: HttpRequest) -> HttpResponse:
    mine = last_by(request.user.get_username())
    in_hand = of_page(request.GET.get("page", "")) or (
        in_hand_of(mine.stream.partition("/")[2]) if mine else None
    )
    return render(request, "trace/_you_were_here.html", {"mine": mine, "in_hand": in_hand})


def last_by(name: str) -> Line | None:
    """The first line of the last step that this person took lately."""
    since = Head.objects.get(id=1).number - LATELY
    entry = Entry.objects.filter(by=name, number__gt=since).order_by("-number").first()
    return written_by(entry.command_id)[0] if entry else None


def of_page(address: str) -> InHand | None:
    """What the page is about: the last code in its address, as a bag that was just scanned stands last."""
    for text in reversed(re.findall(r"[A-Z]{5}\d{9}", address)):
        if found := in_hand_of(text):
            return found
    return None


def in_hand_of(text: str) -> InHand | None:
    try:
        code = read_code(text).text
    except BadCode:
        return None
    if code[0] not in STREAMS:
        return None
    stream = stream_for(code)
    last = last_step(stream)
    donation = DonationRow.objects.select_related("donor").filter(pk=stream.partition("/")[2]).first()
    step = next_step(Book(), donation.donation) if donation else None
    return InHand(code=code, donation=donation, last=last[0] if last else None, step=step)
