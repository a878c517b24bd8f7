"""A donor's visit: consent, questions, the examination, and how the animal bore it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from buffycoat.donors.donor import Donor, stream_of, why_not_known
from buffycoat.donors.facts import (
    Answer,
    ChecksWaived,
    ConsentGiven,
    ConsentWithdrawn,
    DonorExamined,
    DonorReacted,
    DonorSedated,
    OwnerCalled,
    QuestionnaireAnswered,
)
from buffycoat.donors.may_give import MAY_NOT, NOT_WAIVED, may_give
from buffycoat.donors.questions import NO, YES, asked_of
from buffycoat.journal.facts import Command, Fact, Look
from buffycoat.site.rules import limits

WEIGHTS_G = {"dog": (1_000, 120_000), "cat": (1_000, 15_000)}  # outside it, the scale or the hand has slipped
PCV_PERMILLE = (50, 750)
PCV_METHODS = ("spun tube", "analyser")
MEMBRANES = ("pink", "pale", "red", "yellow", "bluish")
MEASURED = {  # what a living animal can have: field, unit, divisor, least, most
    "total_protein_g_per_l": ("g/L of total protein", 1, 20, 120),
    "temperature_deci_c": ("°C", 10, 340, 430),
    "pulse_per_min": ("beats a minute", 1, 30, 300),
    "breaths_per_min": ("breaths a minute", 1, 5, 250),
}
REACTIONS = ("weak or fainted", "bruise or bleeding", "pain or lameness", "vomited", "fever", "other")
SEVERITIES = ("mild", "needed treatment", "life-threatening", "died")


@dataclass(frozen=True, kw_only=True)
class GiveConsent(Command):
    """The owner signed the form of that version; the paper stays with the site."""

    donor: str
    version: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        version = self.version.strip() or limits(look).text("consent_version")
        yield stream_of(self.donor), ConsentGiven(version=version)


@dataclass(frozen=True, kw_only=True)
class WithdrawConsent(Command):
    donor: str
    reason: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        if look(Donor, self.donor).consent is None:
            yield "No consent stands that could be withdrawn."
        if not self.reason.strip():
            yield "Say how it was withdrawn: by word, by letter, or what you know."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.donor), ConsentWithdrawn(reason=self.reason.strip())


@dataclass(frozen=True, kw_only=True)
class AnswerQuestions(Command):
    """Each question of the visit, answered yes or no by whoever brought the animal."""

    donor: str
    answers: tuple[Answer, ...]

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        registered = look(Donor, self.donor).registered
        if registered is None:
            return
        asked = {question.key: question for question in asked_of(registered.species, registered.sex)}
        given = [answer.key for answer in self.answers]
        for key, question in asked.items():
            if given.count(key) != 1:
                yield f"Answer this once: {question.text}"
        for answer in self.answers:
            if answer.key not in asked:
                yield f"“{answer.key}” is not asked about a {registered.sex} {registered.species}."
            elif answer.answer not in (YES, NO):
                yield f"Answer yes or no: {asked[answer.key].text}"

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.donor), QuestionnaireAnswered(answers=self.answers)


def why_not_weighed(species: str, weight_g: int) -> Iterator[str]:
    least_g, most_g = WEIGHTS_G[species]
    if not least_g <= weight_g <= most_g:
        yield (
            f"{weight_g / 1000:g} kg is no weight of a donor {species} "
            f"({least_g / 1000:g} to {most_g / 1000:g} kg): weigh again."
        )


def why_no_pcv(pcv_permille: int) -> Iterator[str]:
    if not PCV_PERMILLE[0] <= pcv_permille <= PCV_PERMILLE[1]:
        yield f"A PCV of {pcv_permille / 10:g} % is not read in a living animal (5 to 75 %): read it again."


@dataclass(frozen=True, kw_only=True)
class ExamineDonor(Command):
    donor: str
    weight_g: int
    pcv_permille: int
    cautions: str = ""
    pcv_method: str = ""
    total_protein_g_per_l: int | None = None
    temperature_deci_c: int | None = None
    pulse_per_min: int | None = None
    breaths_per_min: int | None = None
    mucous_membranes: str = ""
    murmur: bool | None = None

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        registered = look(Donor, self.donor).registered
        if registered is None:
            return
        yield from why_not_weighed(registered.species, self.weight_g)
        yield from why_no_pcv(self.pcv_permille)
        for name, (unit, by, least, most) in MEASURED.items():
            value = getattr(self, name)
            if value is not None and not least <= value <= most:
                yield (
                    f"{value / by:g} {unit} is not found in a living animal ({least / by:g} to {most / by:g}): "
                    "look again."
                )
        if self.pcv_method and self.pcv_method not in PCV_METHODS:
            yield f"The PCV is read from a {' or an '.join(PCV_METHODS)}: choose one, or leave it out."
        if self.mucous_membranes and self.mucous_membranes not in MEMBRANES:
            yield f"Mucous membranes are {', '.join(MEMBRANES)}: choose one, or leave it out."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield (
            stream_of(self.donor),
            DonorExamined(
                weight_g=self.weight_g,
                pcv_permille=self.pcv_permille,
                cautions=self.cautions.strip(),
                pcv_method=self.pcv_method,
                total_protein_g_per_l=self.total_protein_g_per_l,
                temperature_deci_c=self.temperature_deci_c,
                pulse_per_min=self.pulse_per_min,
                breaths_per_min=self.breaths_per_min,
                mucous_membranes=self.mucous_membranes,
                murmur=self.murmur,
            ),
        )


@dataclass(frozen=True, kw_only=True)
class Waived:
    check: str


@dataclass(frozen=True, kw_only=True)
class WaiveChecks(Command):
    """An animal that walks in and gives in an emergency: which checks are left out today, and who decided it."""

    donor: str
    checks: tuple[Waived, ...]
    decided_by: str
    reason: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        if look(Donor, self.donor).registered is None:
            return
        stops = {each.key: each for each in may_give(look, self.donor, at).checks if each.verdict == MAY_NOT}
        if not self.checks:
            yield "Name at least one check that is left out."
        for each in self.checks:
            if each.check in NOT_WAIVED:
                yield f"The check “{each.check}” is never waived."
            elif each.check not in stops:
                yield f"The check “{each.check}” does not stand against a draw today: leave it out of the list."
        if not self.decided_by.strip():
            yield "Name the veterinarian who decided it."
        if not self.reason.strip():
            yield "Say why it cannot wait."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        checks = tuple(each.check for each in self.checks)
        decided_by, reason = self.decided_by.strip(), self.reason.strip()
        yield stream_of(self.donor), ChecksWaived(checks=checks, decided_by=decided_by, reason=reason)


@dataclass(frozen=True, kw_only=True)
class SedateDonor(Command):
    """What it was sedated with, the lowest pressure that was read, and the fluids given after."""

    donor: str
    protocol: str
    lowest_systolic_mmhg: int | None = None
    fluids_ml: int | None = None
    remarks: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        if not self.protocol.strip():
            yield "Name the drugs, their doses and the way they were given."
        pressure, fluids_ml = self.lowest_systolic_mmhg, self.fluids_ml
        if pressure is not None and not 20 <= pressure <= 300:
            yield f"{pressure} mmHg is no pressure of a living animal (20 to 300): look again."
        if fluids_ml is not None and not 0 <= fluids_ml <= 3_000:
            yield f"{fluids_ml} mL of fluids is not given to a donor (0 to 3000): look again."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield (
            stream_of(self.donor),
            DonorSedated(
                protocol=self.protocol.strip(),
                lowest_systolic_mmhg=self.lowest_systolic_mmhg,
                fluids_ml=self.fluids_ml,
                remarks=self.remarks.strip(),
            ),
        )


def _why_not_its_donation(look: Look, donor: str, donation: str) -> Iterator[str]:
    yield from why_not_known(look, donor)
    if donation not in {each.donation for each in look(Donor, donor).gave}:
        yield f"This donor has no donation {donation}: choose one of its own."


@dataclass(frozen=True, kw_only=True)
class ReportReaction(Command):
    """How the donor itself took the draw."""

    donor: str
    donation: str
    reaction: str
    severity: str
    remarks: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_not_its_donation(look, self.donor, self.donation)
        if self.reaction not in REACTIONS:
            yield f"Choose what happened: {', '.join(REACTIONS)}."
        if self.severity not in SEVERITIES:
            yield f"Choose how bad it was: {', '.join(SEVERITIES)}."
        if self.reaction == "other" and not self.remarks.strip():
            yield "Say in words what happened."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        said = {"reaction": self.reaction, "severity": self.severity, "remarks": self.remarks.strip()}
        yield stream_of(self.donor), DonorReacted(donation=self.donation, **said)


@dataclass(frozen=True, kw_only=True)
class CallOwner(Command):
    """Some days after a draw the owner is asked how the animal is."""

    donor: str
    donation: str
    well: bool
    remarks: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_not_its_donation(look, self.donor, self.donation)
        if not self.well and not self.remarks.strip():
            yield "Say what is wrong with it, and what was advised."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        called = OwnerCalled(donation=self.donation, well=self.well, remarks=self.remarks.strip())
        yield stream_of(self.donor), called
