"""The last weighings: what each product weighs, what it holds, and whether it fits everything weighed before."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.draws.brought_in import DonationBroughtIn
from buffycoat.draws.rules import HEAVIEST_G, DrawFinished, stream_of
from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.science.composition import Content, density_g_per_ml, haematocrit_of, volume_ml_from_mass
from buffycoat.separation.contents import bag_g, densities, plasma_content, red_cell_content, whole_content
from buffycoat.separation.misfit import why_they_disagree
from buffycoat.separation.rules import (
    PLASMA,
    RED_CELLS,
    WHOLE_BLOOD,
    AdditiveAdded,
    PlasmaExpressed,
    SegmentsSealed,
    Separation,
    why_not_at_the_bench,
)
from buffycoat.site.rules import Limits, limits


@dataclass(frozen=True, kw_only=True)
class ProductWeighed(
    Fact, kind="product-weighed", builds_on=(DrawFinished, PlasmaExpressed, AdditiveAdded, SegmentsSealed)
):
    """`volume_ml` is all that is in the bag; `red_cell_part_ml` is that without the additive."""

    part: str
    gross_g: int
    empty_g: int
    content_g: int
    expected_g: int
    volume_ml: int
    red_cell_part_ml: int
    haematocrit_permille: int
    density_mg_per_ml: int
    explained: str
    scale: str = ""  # how the mass came in; empty: typed


@dataclass(frozen=True, kw_only=True)
class Weighings(State):
    stream: ClassVar[str] = "donation"
    weighed: dict[str, ProductWeighed] = field(default_factory=dict)

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case ProductWeighed() as fact:
                return replace(self, weighed={**self.weighed, fact.part: fact})
            case DonationBroughtIn() as fact:
                return replace(self, weighed={fact.part: _by_its_old_label(fact)})
        return self


def _by_its_old_label(fact: DonationBroughtIn) -> ProductWeighed:
    return ProductWeighed(
        part=fact.part,
        gross_g=0,
        empty_g=0,
        content_g=fact.content_g,
        expected_g=fact.content_g,
        volume_ml=fact.volume_ml,
        red_cell_part_ml=fact.volume_ml if fact.part == RED_CELLS else 0,
        haematocrit_permille=0,
        density_mg_per_ml=round(1000 * fact.content_g / fact.volume_ml),
        explained="",
    )


def content_of(state: Separation, part: str, site: Limits) -> Content:
    if part == WHOLE_BLOOD:
        return whole_content(state.draw)
    assert state.expressed
    if part == PLASMA:
        return plasma_content(state.draw, state.expressed.plasma_g, site)
    return red_cell_content(state.draw, state.expressed.plasma_g, state.additive_ml, site)


def expected_g(state: Separation, part: str, site: Limits) -> int:
    """What the scale should show without the bag, from all that was weighed before."""
    if part == WHOLE_BLOOD:
        return round(bag_g(state.draw, site))
    assert state.expressed
    if part == PLASMA:
        return state.expressed.plasma_g
    additive_g = state.additive_ml * site.whole("additive_density_mg_per_ml") / 1000
    return round(bag_g(state.draw, site) - state.expressed.plasma_g + additive_g)


def empty_g(state: Separation, part: str) -> int:
    assert state.draw.started
    bag_set = state.draw.started.bag_set
    return bag_set.plasma_bag_empty_g if part == PLASMA else bag_set.main_bag_empty_g


@dataclass(frozen=True, kw_only=True)
class WeighProduct(Command):
    """`explained` says why a weight that does not fit the rest is right all the same; usually empty."""

    donation: str
    part: str
    gross_g: int
    explained: str = ""
    scale: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        site, state = limits(look), look(Separation, self.donation)
        yield from why_not_at_the_bench(state, at, site)
        if self.part not in state.parts:
            made = " and ".join(state.parts).replace("-", " ") or "nothing yet"
            yield f"This donation gives {made}: there is no {self.part.replace('-', ' ')} to weigh."
            return
        if weighed := look(Weighings, self.donation).weighed.get(self.part):
            yield f"It was weighed already: {weighed.gross_g} g."
        if self.part in (RED_CELLS, WHOLE_BLOOD) and state.segments is None:
            yield "Seal the segments first: they are weighed off the unit."
        if self.gross_g <= empty_g(state, self.part):
            yield f"{self.gross_g} g is no more than the empty bag ({empty_g(state, self.part)} g)."
        elif self.gross_g > HEAVIEST_G:
            yield f"{self.gross_g} g is heavier than any bag: read the scale again."
        else:
            plasma = look(Weighings, self.donation).weighed.get(PLASMA)
            yield from self._why_it_does_not_fit(state, plasma.content_g if plasma else None, site)

    def _why_it_does_not_fit(
        self, state: Separation, plasma_bag_g: int | None, site: Limits
    ) -> Iterator[str]:
        expected = expected_g(state, self.part, site)
        off_g = self.gross_g - empty_g(state, self.part) - expected
        if abs(off_g) > site.whole("weighing_tolerance_g") and not self.explained.strip():
            yield (
                f"The weight does not fit the rest: {abs(off_g)} g too {'much' if off_g > 0 else 'little'}. "
                f"Expected {expected + empty_g(state, self.part)} g with the bag ({expected} g in it). "
                "Weigh again without tubing or hand on the pan; if it is right, say why."
            )
            if state.expressed:
                yield why_they_disagree(state, self.part, expected + off_g, plasma_bag_g, site)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        site, state = limits(look), look(Separation, self.donation)
        content = content_of(state, self.part, site)
        content_g = self.gross_g - empty_g(state, self.part)
        density = density_g_per_ml(content, densities(site))
        volume_ml = round(volume_ml_from_mass(content_g, density))
        additive_ml = state.additive_ml if self.part == RED_CELLS else 0
        yield (
            stream_of(self.donation),
            ProductWeighed(
                part=self.part,
                gross_g=self.gross_g,
                empty_g=empty_g(state, self.part),
                content_g=content_g,
                expected_g=expected_g(state, self.part, site),
                volume_ml=volume_ml,
                red_cell_part_ml=volume_ml - additive_ml if self.part == RED_CELLS else 0,
                haematocrit_permille=round(haematocrit_of(content) * 1000),
                density_mg_per_ml=round(density * 1000),
                explained=self.explained.strip(),
                scale=self.scale,
            ),
        )
