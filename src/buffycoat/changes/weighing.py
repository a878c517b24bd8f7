"""Each part of a divided unit is weighed; together they hold no more than the unit did, and what is missing is told."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from buffycoat.draws.rules import HEAVIEST_G, stream_of
from buffycoat.journal.facts import Command, Fact, Look
from buffycoat.labels.changes import Changes, weighed_parts
from buffycoat.labels.facts import PartWeighed, UnitDivided, parent_of
from buffycoat.science.composition import volume_ml_from_mass
from buffycoat.separation.rules import Separation, why_not_separable
from buffycoat.site.rules import limits


@dataclass(frozen=True, kw_only=True)
class Balance:
    """What the unit held, what was weighed of it, and the parts that still have to be."""

    held_g: int
    weighed_g: tuple[int, ...]
    to_weigh: tuple[str, ...]

    @property
    def left_g(self) -> int:
        return self.held_g - sum(self.weighed_g)


def balance_of(look: Look, donation: str, divided: UnitDivided) -> Balance:
    weighed = look(Changes, donation).weighed
    parts = [child.part for child in divided.children]
    return Balance(
        held_g=weighed_parts(look, donation)[divided.part].content_g,
        weighed_g=tuple(weighed[part].content_g for part in parts if part in weighed),
        to_weigh=tuple(part for part in parts if part not in weighed),
    )


@dataclass(frozen=True, kw_only=True)
class WeighPart(Command):
    """Weighs one part of a divided unit, with its bag. `explained` says where what is missing went; usually empty."""

    donation: str
    part: str
    gross_g: int
    explained: str = ""
    scale: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_separable(look(Separation, self.donation), at, limits(look))
        changes = look(Changes, self.donation)
        child, words = changes.children.get(self.part), self.part.replace("-", " ")
        if child is None:
            yield f"No unit of this donation was divided into {words}: scan the bag again."
            return
        if weighed := changes.weighed.get(self.part):
            yield f"It was weighed already: {weighed.gross_g} g."
        if self.gross_g <= child.empty_g:
            yield f"{self.gross_g} g is no more than the empty bag ({child.empty_g} g)."
        elif self.gross_g > HEAVIEST_G:
            yield f"{self.gross_g} g is heavier than any bag: read the scale again."
        elif not weighed:
            yield from self._why_they_do_not_add_up(look, changes, self.gross_g - child.empty_g)

    def _why_they_do_not_add_up(self, look: Look, changes: Changes, content_g: int) -> Iterator[str]:
        balance = balance_of(look, self.donation, changes.divided[parent_of(self.part)])
        tolerance_g, over_g = limits(look).whole("parts_tolerance_g"), content_g - balance.left_g
        all_g = " + ".join(f"{each}" for each in (*balance.weighed_g, content_g))
        total_g = sum(balance.weighed_g) + content_g
        if over_g > tolerance_g:
            yield (
                f"{all_g} g = {total_g} g cannot come out of {balance.held_g} g: weigh again, the empty bag too."
                if balance.weighed_g
                else f"{content_g} g cannot come out of {balance.held_g} g: weigh again, the empty bag too."
            )
        elif -over_g > tolerance_g and balance.to_weigh == (self.part,) and not self.explained.strip():
            yield (
                f"{-over_g} g are missing: {all_g} g = {total_g} g, and the unit held {balance.held_g} g. "
                "Weigh again; if it is right, say where they went."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        child, before = (
            look(Changes, self.donation).children[self.part],
            weighed_parts(look, self.donation)[parent_of(self.part)],
        )
        content_g = self.gross_g - child.empty_g
        yield (
            stream_of(self.donation),
            PartWeighed(
                part=self.part,
                gross_g=self.gross_g,
                empty_g=child.empty_g,
                content_g=content_g,
                volume_ml=round(volume_ml_from_mass(content_g, before.density_mg_per_ml / 1000)),
                red_cell_part_ml=round(before.red_cell_part_ml * content_g / before.content_g),
                haematocrit_permille=before.haematocrit_permille,
                density_mg_per_ml=before.density_mg_per_ml,
                explained=self.explained.strip(),
                scale=self.scale,
            ),
        )
