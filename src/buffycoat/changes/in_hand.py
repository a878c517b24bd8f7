"""The unit that is to be changed: what it is now, and whether anything may be done with it at all."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Self

from buffycoat.journal.facts import Look
from buffycoat.labels.facts import Becomes
from buffycoat.labels.products import FREEZER, PRODUCTS, Product
from buffycoat.labels.rules import Labelling, UnitName, due_now
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import Limits, limits
from buffycoat.storage.rules import CHANGED, Shelf, what_to_do_when_expired, why_not_unit


@dataclass(frozen=True, kw_only=True)
class InHand:
    """A labelled unit, whatever its state. `frozen`: it has stood in a freezer and was not thawed since."""

    unit: str
    donation: str
    part: str
    due: Becomes
    shelf: Shelf
    site: Limits

    @classmethod
    def of(cls, look: Look, unit: str, at: datetime) -> Self | None:
        """None if no unit has this number."""
        named = look(UnitName, unit).named
        if named is None:
            return None
        return cls(
            unit=unit,
            donation=named.donation,
            part=named.part,
            due=due_now(look, named.donation, named.part, at),
            shelf=look(Shelf, named.donation),
            site=limits(look),
        )

    @property
    def product(self) -> Product:
        return PRODUCTS[self.due.product]

    @property
    def frozen(self) -> bool:
        return self.product.kept_in == FREEZER and self.part in self.shelf.put_away_at

    @property
    def said(self) -> str:
        return self.shelf.changes.words(self.part)


def why_not_in_hand(look: Look, unit: str, at: datetime) -> Iterator[str]:
    """Why nothing at all may be done with a unit: unknown, gone, out of date, warmed, or not truly labelled."""
    yield from why_not_unit(look, unit, at)
    named = look(UnitName, unit).named
    shelf = look(Shelf, named.donation) if named else None
    if named is None or shelf is None or shelf.gone(named.part):
        return
    labels, site = look(Labelling, named.donation), limits(look)
    label = labels.printed[named.part]
    if named.part in labels.untrue:
        yield CHANGED
    elif named.part not in labels.labelled_at:
        yield "Its label was not scanned back from the bag yet: do that first."
    elif at > label.expires_at:
        ended = f"{show_code(unit)} expired on {label.expires_at.astimezone(site.zone):%d %b %Y}"
        yield f"{ended}: {what_to_do_when_expired(look, named, at)}."
    if shelf.out_of(named.part).warm(at, site):
        yield "It was out of the fridge for longer than this site allows: discard it."
