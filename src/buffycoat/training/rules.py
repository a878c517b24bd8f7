"""Training: who may be trusted with a step, on whose signature."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.shell.guidance import TRAINED

MEANING = "I have seen this person do this step alone and well, and answer why it is done so."
LONGEST_NAME = 50


@dataclass(frozen=True, kw_only=True)
class TrainingSigned(Fact, kind="training-signed"):
    """`title` and `meaning` are what stood on the page when it was signed."""

    trainee: str
    step: str
    title: str
    trainer: str
    meaning: str
    remarks: str = ""


@dataclass(frozen=True, kw_only=True)
class Trained(State):
    """The steps that are signed for a person."""

    stream: ClassVar[str] = "person"
    signed: dict[str, TrainingSigned] = field(default_factory=dict)
    signed_at: dict[str, datetime] = field(default_factory=dict)

    def evolve(self, line: Line) -> Self:
        if not isinstance(line.fact, TrainingSigned):
            return self
        step = line.fact.step
        signed_at = {**self.signed_at, step: line.happened_at}
        return replace(self, signed={**self.signed, step: line.fact}, signed_at=signed_at)


@dataclass(frozen=True, kw_only=True)
class SignTraining(Command):
    trainee: str
    step: str
    trainer: str
    remarks: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not self.trainee.strip() or not self.trainer.strip():
            yield "Say who was trained and who signs."
        elif self.trainee.strip().casefold() == self.trainer.strip().casefold():
            yield "Nobody signs for themselves: another trained person must have watched."
        if len(self.trainee.strip()) > LONGEST_NAME:
            yield f"A name that is signed for has at most {LONGEST_NAME} letters."
        if self.step not in TRAINED:
            yield f"There is no step called {self.step}: take one of {', '.join(TRAINED)}."
        elif before := look(Trained, self.trainee.strip()).signed.get(self.step):
            yield (
                f"{before.trainer} has signed “{before.title}” for {before.trainee} already: "
                "if that was a mistake, strike it in the journal first."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        trainee = self.trainee.strip()
        yield (
            f"{Trained.stream}/{trainee}",
            TrainingSigned(
                trainee=trainee,
                step=self.step,
                title=TRAINED[self.step],
                trainer=self.trainer.strip(),
                meaning=MEANING,
                remarks=self.remarks.strip(),
            ),
        )
