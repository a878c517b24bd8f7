"""The family of a donation and the timeline of its story, from register and journal."""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from django.urls import reverse

from buffycoat.draws.models import DonationRow
from buffycoat.journal.book import story
from buffycoat.science.numbering import show_code
from buffycoat.shell.pictures.family import Edge, Node, draw_family
from buffycoat.shell.pictures.picture import Picture
from buffycoat.shell.pictures.timeline import Event, draw_timeline
from buffycoat.shell.words import millilitres, moment
from buffycoat.storage.rules import BEING_MADE, GONE
from buffycoat.storage.stock import StockedUnit
from buffycoat.trace.telling import detail, title


def family(donation: DonationRow, units: Sequence[StockedUnit]) -> Picture:
    """From the donor through the donation to each unit."""
    donor, code = donation.donor, donation.donation
    drawn = millilitres(donation.volume_ml) if donation.volume_ml else "being drawn"
    if donation.lot is None:
        drawn = "from before this book"
    status = GONE if donation.discarded else "" if units else BEING_MADE
    nodes = [
        Node(
            key=donor.donor,
            title=donor.name,
            lines=(donor.species.capitalize(), donor.blood_type),
            href=reverse("donor", args=[donor.donor]),
        ),
        Node(
            key=code,
            title="Donation",
            lines=(show_code(code), drawn),
            status=status,
            href=reverse("donation", args=[code]),
        ),
        *(_unit_node(unit) for unit in units),
    ]
    edges: list[Edge] = [(donor.donor, code), *((unit.row.parent or code, unit.row.unit) for unit in units)]
    return draw_family(nodes, edges)


def _unit_node(unit: StockedUnit) -> Node:
    where = unit.place or ("divided" if unit.divided else "out" if unit.out else "not put away")
    return Node(
        key=unit.row.unit,
        title=unit.row.product_name,
        lines=(show_code(unit.row.unit), f"{millilitres(unit.row.volume_ml)}, {where}"),
        status=unit.status,
        href=reverse("unit", args=[unit.row.unit]),
    )


def timeline(donation: DonationRow, zone: ZoneInfo) -> Picture:
    """Every line of the donation's story at its time, struck ones struck through."""
    told = story(f"donation/{donation.donation}")
    start = min((each.line.happened_at for each in told), default=donation.started_at)
    return draw_timeline(
        [
            Event(
                at_text=moment(each.line.happened_at, zone),
                minute_offset=int((each.line.happened_at - start).total_seconds() // 60),
                title=title(each.line.fact),
                detail=detail(each.line.fact, zone),
                by=each.line.by,
                struck=each.struck is not None,
            )
            for each in sorted(told, key=lambda each: (each.line.happened_at, each.line.number))
        ]
    )
