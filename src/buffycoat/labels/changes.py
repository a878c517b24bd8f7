"""What became of the units of a donation since they were first labelled: changed, divided, weighed anew."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.journal.facts import Line, Look, State, replace
from buffycoat.labels.facts import (
    Becomes,
    Change,
    Child,
    PartWeighed,
    UnitDivided,
    UnitFrozen,
    UnitIrradiated,
    UnitOpened,
    UnitThawed,
    lineage,
)
from buffycoat.labels.products import FRESH, LATE, PRODUCTS, expires_at, product_of
from buffycoat.separation.rules import Separation
from buffycoat.separation.weighings import ProductWeighed, Weighings
from buffycoat.site.rules import Limits

OWN_END = "its own end"
# Said on the label. Thawed is said by the product's name.
SAID = {UnitOpened: "opened", UnitIrradiated: "irradiated"}


@dataclass(frozen=True, kw_only=True)
class Changes(State):
    """By part: what it became, what is said of it, into what it was divided, and what the parts weigh."""

    stream: ClassVar[str] = "donation"
    became: dict[str, Becomes] = field(default_factory=dict)
    said: dict[str, tuple[str, ...]] = field(default_factory=dict)
    divided: dict[str, UnitDivided] = field(default_factory=dict)
    children: dict[str, Child] = field(default_factory=dict)
    weighed: dict[str, PartWeighed] = field(default_factory=dict)

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case UnitThawed() | UnitOpened() | UnitIrradiated() | UnitFrozen() as fact:
                return self._changed(fact)
            case UnitDivided() as fact:
                became = {child.part: child.becomes for child in fact.children if child.becomes}
                return replace(
                    self,
                    divided={**self.divided, fact.part: fact},
                    children={**self.children, **{child.part: child for child in fact.children}},
                    became={**self.became, **became},
                    said=self.said if fact.closed else {**self.said, **_opened(fact)},
                )
            case PartWeighed() as fact:
                return replace(self, weighed={**self.weighed, fact.part: fact})
        return self

    def _changed(self, fact: Change) -> Self:
        said = self.said.get(fact.part, ())
        if word := SAID.get(type(fact)):
            said = (*said, word) if word not in said else said
        return replace(
            self,
            became={**self.became, fact.part: fact.becomes},
            said={**self.said, fact.part: said},
        )

    def ends_of(self, parts: Iterable[str]) -> tuple[str, ...]:
        """The bags that there are: in place of each divided part, what it was divided into."""
        return tuple(self._ends(parts))

    def _ends(self, parts: Iterable[str]) -> Iterator[str]:
        for part in parts:
            if part in self.divided:
                yield from self._ends(child.part for child in self.divided[part].children)
            else:
                yield part

    def changed_to(self, part: str) -> Becomes | None:
        """What the last change made of it; a part takes it over from what it was divided from."""
        return next((self.became[each] for each in lineage(part) if each in self.became), None)

    def words(self, part: str) -> str:
        """What is said on the label of all that was done to it and to what it was divided from."""
        return ", ".join(
            dict.fromkeys(word for each in reversed(lineage(part)) for word in self.said.get(each, ()))
        )


def _opened(fact: UnitDivided) -> dict[str, tuple[str, ...]]:
    return {child.part: (SAID[UnitOpened],) for child in fact.children}


def root_of(part: str) -> str:
    """What came of the separation.

    >>> root_of("red-cells-2-1")
    'red-cells'
    """
    return lineage(part)[-1]


def due(
    state: Separation, changes: Changes, part: str, *, frozen_at: datetime, at: datetime, site: Limits
) -> Becomes:
    """What a part is at a moment and until when: by its changes, else as it was made.

    Fresh frozen plasma that has come to its date is frozen plasma, if this site keeps that for longer.
    """
    if changed := changes.changed_to(part):
        return changed
    root = root_of(part)
    product = product_of(state, root, frozen_at, site)
    end = expires_at(product, state, site)
    if product.key == FRESH and at > end:
        product = PRODUCTS[LATE]
        end = max(end, expires_at(product, state, site))
    return Becomes(product=product.key, expires_at=end, because=OWN_END)


def weighed_parts(look: Look, donation: str) -> dict[str, ProductWeighed | PartWeighed]:
    """The last weighing of each part."""
    return {**look(Weighings, donation).weighed, **look(Changes, donation).weighed}


def parts_of(look: Look, donation: str) -> tuple[str, ...]:
    """The parts of a donation that are bags now."""
    return look(Changes, donation).ends_of(look(Separation, donation).parts)
