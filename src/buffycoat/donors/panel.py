"""The infectious panel: which agents are looked for, by which method, how often. A site's own choice goes first.

After ACVIM 2016 (Wardrop and others, JVIM 2016;30:15-35, Tables 1 and 2), in part by second hand or from memory: the
veterinarian in charge decides what holds where the donors live.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.site.rules import why_no_second_person

OPTIMAL, MINIMAL, OWN_ONLY = "optimal", "minimal", "own only"
LEVELS = (OPTIMAL, MINIMAL, OWN_ONLY)
PCR, SEROLOGY, ANTIGEN = "PCR", "serology", "antigen"
METHODS = (PCR, SEROLOGY, ANTIGEN, "culture", "smear")
NEGATIVE, POSITIVE, UNCLEAR = "negative", "positive", "unclear"
RESULTS = (NEGATIVE, POSITIVE, UNCLEAR)
STREAM = "site/panel"
SEEN = "ACVIM 2016, Tables 1 and 2."
REPORTED = "ACVIM 2016, as reported."
MEMORY = "ACVIM 2016, from memory."


@dataclass(frozen=True, kw_only=True)
class Agent:
    """`optimal` and `minimal` are the methods of each level; each of them is to be negative."""

    name: str
    species: str
    optimal: tuple[str, ...]
    minimal: tuple[str, ...]
    source: str


def _dog(name: str, optimal: tuple[str, ...], minimal: tuple[str, ...], source: str) -> Agent:
    return Agent(name=name, species="dog", optimal=optimal, minimal=minimal, source=source)


def _cat(name: str, optimal: tuple[str, ...], minimal: tuple[str, ...], source: str) -> Agent:
    return Agent(name=name, species="cat", optimal=optimal, minimal=minimal, source=source)


BOTH = (SEROLOGY, PCR)
AGENTS = (
    _dog("Anaplasma phagocytophilum", BOTH, (PCR,), SEEN),
    _dog("Anaplasma platys", BOTH, (PCR,), SEEN),
    _dog("Babesia vogeli", BOTH, (PCR,), SEEN),
    _dog("Babesia gibsoni", BOTH, (PCR,), SEEN),
    _dog("Bartonella spp.", BOTH, (PCR,), MEMORY),
    _dog("Ehrlichia canis", BOTH, (PCR,), MEMORY),
    _dog("Ehrlichia ewingii", BOTH, (PCR,), MEMORY),
    _dog("Ehrlichia chaffeensis", BOTH, (PCR,), MEMORY),
    _dog("Leishmania spp.", BOTH, (), f"{REPORTED} At high risk both are the minimum."),
    _dog("Mycoplasma haemocanis", (PCR,), (), f"{REPORTED} At high risk PCR is the minimum."),
    _dog("Candidatus Mycoplasma haematoparvum", (PCR,), (), REPORTED),
    _dog("Trypanosoma cruzi", (SEROLOGY,), (), REPORTED),
    _dog("Brucella canis", (SEROLOGY,), (), REPORTED),
    _cat("Feline leukaemia virus", (ANTIGEN, PCR), (ANTIGEN,), REPORTED),
    _cat("Feline immunodeficiency virus", (SEROLOGY,), (SEROLOGY,), REPORTED),
    _cat("Mycoplasma haemofelis", (PCR,), (PCR,), SEEN),
    _cat("Bartonella henselae", BOTH, (PCR,), SEEN),
    _cat("Anaplasma phagocytophilum", BOTH, (PCR,), SEEN),
    _cat("Candidatus Mycoplasma haemominutum", (PCR,), (), SEEN),
    _cat("Cytauxzoon felis", (PCR,), (), f"{SEEN} Strongly advised outdoors where it is endemic."),
)


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """One test of the panel: its last negative sample is no older than this."""

    agent: str
    method: str
    interval_days: int
    source: str


@dataclass(frozen=True, kw_only=True)
class PanelTestSet(Fact, kind="panel-test-set"):
    """`interval_days` of 0: this site does not ask it."""

    species: str
    agent: str
    method: str
    interval_days: int
    reason: str
    checked_by: str = ""  # who typed the same, blind


@dataclass(frozen=True, kw_only=True)
class Panel(State):
    """What the site decided for itself, on top of the level that it chose."""

    stream: ClassVar[str] = "site"
    own: dict[tuple[str, str, str], PanelTestSet] = field(default_factory=dict)

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case PanelTestSet(species=species, agent=agent, method=method) as fact:
                return replace(self, own={**self.own, (species, agent, method): fact})
        return self

    def wanted(self, species: str, level: str, interval_days: int) -> Iterator[Wanted]:
        for agent in AGENTS:
            if agent.species != species or level == OWN_ONLY:
                continue
            for method in agent.optimal if level == OPTIMAL else agent.minimal:
                if (species, agent.name, method) not in self.own:
                    yield Wanted(
                        agent=agent.name, method=method, interval_days=interval_days, source=agent.source
                    )
        for fact in self.own.values():
            if fact.species == species and fact.interval_days:
                yield Wanted(
                    agent=fact.agent,
                    method=fact.method,
                    interval_days=fact.interval_days,
                    source=f"This site: {fact.reason}",
                )


def names_of(own: Panel, species: str) -> list[str]:
    """Every agent that may be looked for: by the consensus, or because this site asks it."""
    names = {each.name for each in AGENTS if each.species == species}
    return sorted(names | {fact.agent for fact in own.own.values() if fact.species == species})


def panel(look: Look) -> Panel:
    return look(Panel, "panel")


@dataclass(frozen=True, kw_only=True)
class SetPanelTest(Command):
    """What this site asks beside or instead of the level it chose; 0 days leaves a test out."""

    species: str
    agent: str
    method: str
    interval_days: int
    reason: str
    set_by: str = ""
    checked_by: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if self.species not in ("dog", "cat"):
            yield "Choose dog or cat."
        if not self.agent.strip():
            yield "Name the agent that is looked for."
        if self.method not in METHODS:
            yield f"Choose the method: {', '.join(METHODS)}."
        if not 0 <= self.interval_days <= 3_650:
            yield f"{self.interval_days} days is no interval: 0 leaves the test out, 3650 is the longest."
        if not self.reason.strip():
            yield "Say why, and on whose word: the reason stays beside the panel."
        yield from why_no_second_person(look, self.set_by, self.checked_by)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield (
            STREAM,
            PanelTestSet(
                species=self.species,
                agent=self.agent.strip(),
                method=self.method,
                interval_days=self.interval_days,
                reason=self.reason.strip(),
                checked_by=self.checked_by.strip(),
            ),
        )
